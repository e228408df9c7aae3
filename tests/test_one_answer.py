"""The same question gets one number: by function, on panels, in the comparison, on paper and headless."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache
from html import unescape
from types import SimpleNamespace

import pytest
from helpers import coated_profile, demo_paper

import workbench as wb
from workbench.analysis.printed_black import DARKEST, PICTURE_BLACK, black_words
from workbench.analysis.words import percent
from workbench.output.ink import ink_load
from workbench.output.job_sheet import job_sheet
from workbench.panels.black.panel import BlackPanel
from workbench.panels.compare.panel import ComparePanel
from workbench.panels.gamut.panel import GamutPanel
from workbench.panels.print_file.panel import PrintFilePanel
from workbench.panels.proof.panel import ProofPanel
from workbench.panels.record.panel import RecordPanel
from workbench.panels.white.panel import WhitePanel
from workbench.plan import Plan
from workbench.plan_file import save_plan

PRICES = {
    "sheets": ("A4", "A3"), "price_per_sheet": (("A4", 2.0), ("A3", 5.0)), "currency": "EUR",
}  # fmt: skip
WAYS = {
    "as it comes": {},
    "perceptual": {"intent": "perceptual", "black_point_compensation": False},
    "limits of one's own": {"black_point_compensation": False, "threshold": 3.5, "tolerance": 2.0},
}


ASKED = (("matte", "as it comes"), ("resin-coated", "perceptual"), ("press", "limits of one's own"))


@cache
def paper_of(name: str):
    if name == "press":
        return wb.open_paper(coated_profile(), name="Press", **PRICES)
    return replace(demo_paper(*name.split()), **PRICES)


@pytest.fixture(scope="module", params=ASKED, ids="/".join)
def plan(request):
    """A picture that would fit A4, on a sheet of A3."""
    name, way = request.param
    paper = paper_of(name)
    return Plan(
        picture=wb.demo_picture(),
        papers=(paper,),
        paper=paper,
        size_from="size",
        long_side_mm=200.0,
        printer_ppi=150.0,
        sheet="A3",
        ink_ml_per_m2=12.0,
        ink_price_per_ml=0.5,
        **WAYS[way],
    )


@pytest.fixture(scope="module")
def functions(plan):
    """What the functions say: the numbers that everything else is held to."""
    of = plan.picture, plan.paper
    return SimpleNamespace(
        gamut=wb.gamut_report(*of, threshold=plan.threshold),
        shift=wb.colour_shift(*of, **plan.rendering, threshold=plan.threshold),
        black=wb.black_point(
            plan.paper, plan.picture, **plan.rendering, tolerance=plan.tolerance
        ),
        white=wb.paper_white(plan.paper, reference=plan.reference),
        cost=plan.cost(),
    )  # fmt: skip


def at_rest(panel):
    """A panel with all its answers, closed for further work."""
    assert panel.front.scheduler.wait_until_idle(120)
    panel.front.scheduler.close()
    return panel


def cells(table: str) -> dict[str, str]:
    """{heading of a row: its first cell} of a table in HTML."""
    rows = re.findall(r"<tr[^>]*><th[^>]*>([^<]*)</th><td[^>]*>(.*?)</td>", table, re.DOTALL)
    return {_plain(name): _plain(value) for name, value in rows}


def _plain(html: str) -> str:
    return unescape(re.sub("<[^>]*>", "", html)).replace("\u00a0", " ").strip()


def test_gamut_panel(plan, functions):
    panel = at_rest(GamutPanel(plan))
    assert panel.share.text == functions.gamut.sentence
    assert percent(functions.gamut.share_outside) in panel.share.text
    assert panel.reason.text == functions.gamut.why_sentence
    for share in (functions.gamut.share_too_saturated, functions.gamut.share_too_dark):
        assert share < 0.0005 or percent(share) in panel.reason.text
    assert panel.far.text == functions.shift.sentence


def test_black_panel(plan, functions):
    panel = at_rest(BlackPanel(plan))
    facts = cells(panel.facts.value)
    assert facts[f"{PICTURE_BLACK}, density (absolute)"] == f"{functions.black.black_density:.2f}"
    assert facts[f"{DARKEST}, density (absolute)"] == f"{plan.paper.black_density:.2f}"
    assert panel.answer.text == functions.black.sentence
    for black in (functions.black.printed, plan.paper.facts):
        dense = getattr(black, "density", None) or black.black_density
        assert f"{dense:.2f}" in panel.answer.widget.value
    if functions.black.printed.warning:
        assert functions.black.printed.warning in _plain(panel.answer.widget.value)


def test_white_panel(plan, functions):
    panel = at_rest(WhitePanel(plan))
    assert functions.white.tint in _plain(str(panel.facts.value))


def test_comparison(plan, functions):
    panel = at_rest(ComparePanel(plan))
    (row,) = panel.comparison.rows
    (figures,) = panel.comparison.table()
    gamut = functions.gamut
    assert row.share_outside == figures["share_outside"] == gamut.share_outside
    assert row.gamut.share_too_saturated == gamut.share_too_saturated
    assert row.gamut.share_too_dark == gamut.share_too_dark
    assert row.shift.share_moved == functions.shift.share_moved
    assert figures["black_density"] == functions.black.black_density
    assert figures["darkest_density"] == plan.paper.black_density
    assert figures["tint"] == functions.white.tint
    assert figures["price"] == functions.cost.paper_amount


def test_table_of_intents(plan, functions):
    table = wb.compare_intents(plan.picture, plan.paper, threshold=plan.threshold)
    row = table.row(plan.intent, plan.black_point_compensation)
    assert table.gamut.share_outside == functions.gamut.share_outside
    assert table.gamut.share_too_saturated == functions.gamut.share_too_saturated
    assert table.gamut.share_too_dark == functions.gamut.share_too_dark
    assert row.share_moved == functions.shift.share_moved
    assert row.mean_shift == functions.shift.mean


def test_proof_panel(plan, functions):
    panel = at_rest(ProofPanel(plan))
    said = panel.shares.text
    assert f"{percent(functions.gamut.share_outside)} of the picture" in said


def held_to(value, plan, functions):
    """Lines of a job sheet, by their labels."""
    assert value("Out of gamut").startswith(percent(functions.gamut.share_outside))
    assert value("Moved by the rendering").startswith(percent(functions.shift.share_moved))
    black = functions.black
    assert value(PICTURE_BLACK) == black_words(black.black_density, black.black_lab[0])
    assert value(DARKEST) == black_words(plan.paper.black_density, plan.paper.black_lab[0])
    assert value("Paper for one print") == functions.cost.money(functions.cost.paper_amount)
    assert functions.cost.money(functions.cost.ink_amount) in value("Ink for one print")


def test_job_sheet(plan, functions):
    sheet = job_sheet(plan)
    held_to(sheet.value, plan, functions)
    assert (
        functions.black.printed.warning in sheet.cautions
    ) or not functions.black.printed.warning


def test_headless(plan, functions, tmp_path):
    run = wb.run_plan(save_plan(plan, tmp_path / "plan.toml"), tmp_path / "out")
    held_to(cells(run.html_path.read_text("utf-8")).__getitem__, plan, functions)


def test_price(plan, functions):
    cost = functions.cost
    assert cost.paper_amount == 5.0  # the chosen sheet, though A4 would do
    assert plan.solved().cost == cost
    direct = wb.print_cost(
        plan.paper,
        plan.solved().layout.width_mm,
        plan.solved().layout.height_mm,
        sheet="A3",
        ink_ml_per_m2=12.0,
        ink_price_per_ml=0.5,
        ink_load=ink_load(plan.solved().job, plan.solved().layout),
    )
    assert direct.paper_amount == cost.paper_amount
    assert direct.per_copy == pytest.approx(cost.per_copy, rel=1e-3)
    record = at_rest(RecordPanel(plan))
    assert record.view.cost.text == cost.sentence
    file = at_rest(PrintFilePanel(plan))
    assert cost.sentence in _plain(file.expected.value)
