"""One solution of a plan: the same size, sheet and price wherever they are told."""

from __future__ import annotations

from dataclasses import replace
from html import unescape

import pytest
from output.makers import as_picture, job, matte_paper, scene

from workbench.analysis.price import price_of_size
from workbench.errors import SizeError, WorkbenchError
from workbench.output.job_sheet import job_sheet
from workbench.output.layout import layout_of
from workbench.output.solved import Prices, cost_of, paper_prices, solve, solved_cost
from workbench.panels.compare.panel import ComparePanel
from workbench.panels.print_file.panel import PrintFilePanel
from workbench.panels.record.panel import RecordPanel
from workbench.plan import Plan

PRICED = replace(
    matte_paper(),
    currency="EUR",
    price_per_sheet=(("A4", 2.0), ("A3", 5.0)),
    price_per_metre=(("24 in roll", 10.0),),
)


def plan_of(**changes) -> Plan:
    values = {"picture": as_picture(scene(600, 400)), "paper": PRICED, "papers": (PRICED,),
              "size_from": "size", "long_side_mm": 240}  # fmt: skip
    return Plan(**values | changes)


@pytest.mark.parametrize(
    ("changes", "amount"),
    [
        ({}, 2.0),  # on the sheet that the size answer finds: the smallest of those held
        ({"long_side_mm": 500}, 10.0 * (0.5 * 2 / 3 + 0.006)),  # 3 mm bare at either end
        ({"sheet": "A3"}, 5.0),  # what is chosen is taken, though it would fit A4
        ({"sheet": "A4"}, 2.0),
        ({"sheet": "A3", "on_sheet": True}, 5.0),
        ({"sheet": "A3", "size_from": "sheet"}, 5.0),
        ({"sheet": "A4", "size_from": "sheet", "bleed_mm": 12, "border_mm": 7}, 2.0),
        ({"sheet": "24 in roll"}, 10.0 * 0.166),
        ({"long_side_mm": 260, "bleed_mm": 20, "sheet": "A4"}, None),  # 300 mm do not fit 297
        ({"sheet": "A3", "copies": 7, "ink_ml_per_m2": 10, "ink_price_per_ml": 0.5}, 5.0),
    ],
)
def test_a_print_has_one_price(changes, amount, tmp_path):
    plan = plan_of(**changes)
    solved = plan.solved()
    cost = cost_of(solved.job, solved.layout, Prices.of(plan))
    assert cost == solved.cost == plan.cost()
    if amount is None:
        assert cost.paper is None
    else:
        assert cost.paper_amount == pytest.approx(amount, rel=1e-3)
    # among the papers compared
    rows = ComparePanel(plan)._to_compare()
    assert rows[3] == paper_prices(plan, [PRICED]) == (cost.paper,)
    # on the job sheet, in the panel of the file, and in that of the record
    rows = dict(job_sheet(plan).rows)
    said = None if amount is None else cost.money(cost.paper_amount)
    assert rows.get("Paper for one print") == said
    told = cost.sentence or cost.unknown[0]
    assert told in unescape(PrintFilePanel(plan).expected.value)
    if cost.sentence:
        assert RecordPanel(plan, file=tmp_path / "record.sqlite").view.cost.text == told


def test_a_price_needs_a_size_but_neither_paper_nor_profile():
    plan = plan_of(paper=None, ink_ml_per_m2=10, ink_price_per_ml=0.5, copies=2)
    with pytest.raises(WorkbenchError, match="without a paper"):
        plan.solved()
    # 0.24 m × 0.16 m × 10 ml
    assert plan.cost().ink_ml == pytest.approx(0.384, rel=1e-3)
    with pytest.raises(SizeError):
        solved_cost(plan_of(size_from="ppi", ppi=0.001))


def test_what_is_solved_is_not_solved_again():
    solved = solve(job(width_mm=100))
    assert solve(solved) is solved and solved.layout == layout_of(solved.job)
    assert (solved.fit, solved.prices) == (None, Prices())


@pytest.mark.parametrize("bleed", ["mirrored", "stretched", "picture", "white"])
@pytest.mark.parametrize("crop", ["", "sheet"])
def test_a_print_made_for_a_sheet_leaves_room_for_its_bleed(bleed, crop):
    plan = plan_of(
        sheet="A4", size_from="sheet", border_mm=10, bleed_mm=15, bleed=bleed, crop_ratio=crop,
        on_sheet=True,
    )  # fmt: skip
    size, solved = plan.print_size(), plan.solved()
    assert size.chosen.fits and solved.fit.fits
    # A4 is 297 mm × 210 mm (ISO 216); 10 mm of border and 15 mm of bleed on either side
    room = 297 - 50, 210 - 50
    if crop:
        assert (size.width_mm, size.height_mm) == pytest.approx(room, abs=0.5)
    elif bleed == "picture":
        # the picture and its own outer part are 3 : 2 together, on 277 × 190 mm
        assert size.width_mm == pytest.approx(min(277, 190 * 1.5) - 30)
    else:
        assert size.width_mm == pytest.approx(min(room[0], room[1] * 1.5))
    layout = solved.layout
    assert (layout.width_mm, layout.height_mm) == pytest.approx((297, 210), abs=0.15)
    assert solved.cost.paper.amount == price_of_size(297, 210, "A4", 2.0)
    assert "15 mm of bleed" in size.sentence()


@pytest.mark.parametrize("bleed_mm", [0.3, 1.21, 2.5, 3.33, 5.05, 6.7])
def test_pixel_for_pixel_stays_so_with_a_bleed_of_the_pictures_own(bleed_mm):
    plan = plan_of(
        size_from="ppi", ppi=300, printer_ppi=300, bleed_mm=bleed_mm, bleed="picture", sheet="A2"
    )  # fmt: skip
    told, layout = plan.print_size().resampling, plan.solved().layout
    assert told.kind == "none" and layout.factor == 1
    assert layout.printed_px == (told.target_width_px, told.target_height_px)
    assert layout.printed_px == (plan.picture.width_px, plan.picture.height_px)
    # the front is right to a pixel
    assert layout.front_mm[0] == pytest.approx(plan.print_size().width_mm, abs=25.4 / 300)


def test_a_bleed_wider_than_the_sheet_is_told():
    plan = plan_of(sheet="A4", size_from="sheet", bleed_mm=110)
    with pytest.raises(SizeError, match="bleed of 11 cm leave nothing of A4|bleed of 110 mm"):
        plan.print_size()
