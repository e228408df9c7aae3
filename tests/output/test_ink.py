"""Ink from the picture's own device values, and what else an edition costs: worked by hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from output.makers import as_picture, job, matte_paper, scene

from workbench.analysis.cost import print_cost
from workbench.colour.engine import transform
from workbench.output.ink import AVERAGE_INK, ink_load, mean_ink
from workbench.output.job_sheet import job_sheet
from workbench.output.layout import layout_of
from workbench.output.solved import solve
from workbench.plan import Plan
from workbench.record import open_record
from workbench.record.note import note_of

PRICED = replace(matte_paper(), currency="EUR", price_per_sheet=(("A5", 0.5), ("A4", 2.0)))


def load_of(pixels, **more) -> float:
    work = job(pixels, **more).checked()
    return ink_load(work, layout_of(work))


def flat(value: float) -> np.ndarray:
    return np.full((40, 60, 3), round(value * 65535), np.uint16)


# the load -------------------------------------------------------------------------


def test_bare_paper_takes_none_and_black_the_most():
    # white goes to 1, 1, 1 in the paper's device values: no ink
    assert load_of(flat(1.0)) == pytest.approx(0, abs=0.01)
    # a darker picture takes more; black is about 0, 0, 0: 3 of 3, twice the average of 1.5
    loads = [load_of(flat(value)) for value in (0.9, 0.6, 0.3, 0.0)]
    assert loads == sorted(loads) and loads[-1] == pytest.approx(2, abs=0.15)


def test_the_load_is_the_mean_of_what_is_left_out(coated):
    # by the engine itself: 1 − R, 1 − G, 1 − B on an RGB profile, the sum of the inks on CMYK
    picture = as_picture(scene())
    whole = 0, 0, picture.width_px, picture.height_px
    values = transform(scene(), picture.profile, matte_paper().profile, intent="relative",
                       black_point_compensation=True)  # fmt: skip
    ours = mean_ink(picture, matte_paper().profile, "relative", True, None, whole)
    assert ours == pytest.approx((1 - values / 65535).mean(axis=(0, 1)).sum(), rel=0.01)
    inks = transform(scene(), picture.profile, coated.profile, intent="relative",
                     black_point_compensation=True)  # fmt: skip
    cmyk = mean_ink(picture, coated.profile, "relative", True, None, whole)
    assert cmyk == pytest.approx((inks / 65535).mean(axis=(0, 1)).sum(), rel=0.01)


def test_only_the_printed_part_counts():
    pixels = np.concatenate([flat(1.0), flat(0.0)], axis=1)
    assert load_of(pixels, crop=(0, 0, 60, 40)) == pytest.approx(0, abs=0.05)
    assert load_of(pixels, crop=(60, 0, 60, 40)) == pytest.approx(load_of(flat(0.0)), abs=0.05)
    assert load_of(pixels) == pytest.approx(load_of(flat(0.0)) / 2, rel=0.05)
    # without the paper's profile it passes for average
    assert ink_load(job(pixels, paper=None), layout_of(job(pixels).checked())) == 1


# in the price ---------------------------------------------------------------------


def test_ink_of_a_print_by_hand():
    plan = Plan(picture=as_picture(scene(600, 400)), paper=PRICED, size_from="size",
                long_side_mm=150, border_mm=10, sheet="A4", ink_ml_per_m2=12,
                ink_price_per_ml=0.5)  # fmt: skip
    solved = plan.solved()
    load = ink_load(solved.job, solved.layout)
    # 150 × 100 mm take ink, the white borders none
    assert solved.cost.ink_ml == pytest.approx(12 * 0.015 * load, rel=1e-3)
    # 170 × 120 mm of 297 × 210 mm are kept: 67 % of the 2 EUR lie beyond
    assert solved.cost.cut_share == pytest.approx(1 - 170 * 120 / (297 * 210), rel=1e-3)
    plan.on_sheet = True
    assert plan.solved().cost.cut_share == 0  # the sheet stays whole


def test_strips_and_rejects_by_hand():
    cost = print_cost(PRICED, 297, 210, copies=9, ink_ml_per_m2=10, ink_price_per_ml=1,
                      coverage_mm2=50_000, ink_load=0.8, test_strips=2, reject_share=0.1)  # fmt: skip
    # 10 ml/m² × 0.05 m² × 0.8
    assert cost.ink_ml == pytest.approx(0.4) and cost.per_copy == pytest.approx(2.4)
    # a page of A5 for 0.50, and 0.128 × 0.190 m² × 10 × 0.8 of ink
    strip = 0.5 + 0.128 * 0.19 * 8
    assert cost.strips_amount == pytest.approx(2 * strip)
    # nine good ones of ten: one fails
    assert cost.rejects_amount == pytest.approx(2.4)
    assert cost.in_all == pytest.approx(9 * 2.4 + 2.4 + 2 * strip)
    assert [what for what, _ in cost.extras] == [
        "Ink of this picture", "Test strips", "Rejects", "In all",
    ]  # fmt: skip
    told = " ".join(cost.sentences())
    assert cost.money(cost.in_all) in told and "10 % of all prints" in told
    assert print_cost(PRICED, 297, 210).extras == ()


@given(st.integers(1, 50), st.floats(0, 0.85), st.integers(0, 9), st.floats(0, 2))
def test_more_of_anything_never_costs_less(copies, share, strips, load):
    def all_of(**more):
        given = {"copies": copies, "reject_share": share, "test_strips": strips, "ink_load": load}
        return print_cost(PRICED, 200, 140, ink_ml_per_m2=10, ink_price_per_ml=1,
                          **{**given, **more}).in_all  # fmt: skip

    base = all_of()
    for more in ({"copies": copies + 1}, {"reject_share": share + 0.1},
                 {"test_strips": strips + 1}, {"ink_load": load + 0.1}):  # fmt: skip
        assert all_of(**more) > base


def test_the_job_sheet_names_each():
    plan = Plan(picture=as_picture(scene(600, 400)), paper=PRICED, size_from="size",
                long_side_mm=150, sheet="A4", ink_ml_per_m2=12, ink_price_per_ml=0.5, copies=3,
                test_strips=2, reject_share=0.25)  # fmt: skip
    sheet, cost = job_sheet(plan), plan.solved().cost
    assert sheet.value("In all") == cost.money(cost.in_all)
    assert sheet.value("Rejects").startswith("25 % of all prints")
    assert sheet.value("Test strips").startswith("2, ")
    assert "EUR" in sheet.value("Paper beyond the borders")


# learnt from the record -----------------------------------------------------------


def test_what_was_noted_scales_the_next_picture(tmp_path):
    dark, light = (
        Plan(picture=as_picture(flat(value)), paper=PRICED, size_from="size", long_side_mm=300)
        for value in (0.1, 0.8)
    )
    record = open_record(tmp_path / "prints.sqlite")
    # the dark print took 1.2 ml; the light one is foretold by its own colours
    record.add(note_of(dark, ink_ml=1.2))
    learnt = record.ink_ml_per_m2(PRICED).median_ml_per_m2
    dark.ink_ml_per_m2 = light.ink_ml_per_m2 = learnt
    loads = [ink_load(solve(each).job, solve(each).layout) for each in (dark, light)]
    assert dark.cost().ink_ml == pytest.approx(1.2, rel=0.005)
    assert light.cost().ink_ml == pytest.approx(1.2 * loads[1] / loads[0], rel=0.005)
    assert loads[1] < loads[0] / 2 and AVERAGE_INK == 1.5
