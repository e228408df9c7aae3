"""The side-by-side panel without a browser: ticks, weights, the linked view, files to take away."""

import csv
import io
import os
import re
from html import escape

import numpy as np
import pytest
from helpers import model_paper
from panel_helpers import settle, shown
from PIL import Image

from workbench.analysis.black import black_point
from workbench.analysis.columns import COLUMNS
from workbench.analysis.compare import compare
from workbench.analysis.crops import shadow_box
from workbench.analysis.gamut import gamut_report
from workbench.analysis.white import highlights
from workbench.errors import WorkbenchError
from workbench.figures.compare_view import window_pixels
from workbench.figures.style import SURROUND
from workbench.output.solved import paper_prices
from workbench.panels import parts
from workbench.panels.compare import panel as compare_panel
from workbench.panels.compare.panel import ComparePanel
from workbench.paper_readings import MeasuredPaper
from workbench.plan import Plan
from workbench.readings import reading


@pytest.fixture(scope="module")
def papers():
    return (
        model_paper("Cool <gloss>", (95, 0, -7), 2.3, "gloss", price_per_sheet=(("", 4.0),)),
        model_paper("White matte", (97, 0, 0), 1.6, "matte", price_per_sheet=(("", 1.0),)),
        model_paper("Warm satin", (95, 0, 4), 2.0, "satin", price_per_sheet=(("", 2.0),)),
    )


@pytest.fixture
def plan(papers, picture):
    return Plan(
        papers=papers,
        paper=papers[0],
        picture=picture,
        reference="perfect diffuser",
        adaptation=0.0,
    )


@pytest.fixture
def panel(plan, open_panel):
    return open_panel(ComparePanel, plan)


def listed(panel):
    return [re.sub(r"^\d+\. ", "", name) for name in re.findall(r"<b>(.*?)</b>", panel.order.value)]


def tick(panel, place, value):
    list(panel.ticks.values())[place].field.value = value


def in_view(panel):
    return [
        view
        for view, column in zip(panel.view.rows, panel.view._columns, strict=True)
        if column.layout.display != "none"
    ]


# order --------------------------------------------------------------------------


def test_what_is_shown_is_what_the_function_says(panel, plan, papers, picture):
    priced = dict(zip(papers, paper_prices(plan, papers), strict=True))
    wanted = compare(picture, papers, prices=priced, reference=plan.reference)
    assert panel.answer.text == wanted.sentence
    assert wanted.exact and panel.answer.mark == "whole picture, every pixel"
    assert listed(panel) == [escape(row.name) for row in wanted.rows]
    for row in wanted.rows:
        assert escape(row.reason) in panel.order.value
        assert all(escape(each.sentence) in panel.order.value for each in row.advice)
    # nothing matters yet: the best of each property, but no order
    assert wanted.weights_sentence in panel.weights_note.value
    assert wanted.weights is None and "Score" not in panel.order.value
    assert panel.table.value.count("✓") == sum(
        len(row.best - {"mark_whites"}) for row in wanted.rows
    )
    panel.weights["colour"].slider.value = 2
    weighed = wanted.order({"colour": 2})
    assert panel.answer.text == weighed.sentence
    for row in weighed.rows:
        assert f">{row.score.total:.2f}</td>" in panel.order.value
    assert panel.status.text == ""
    for row in panel.comparison.rows:  # to the bit
        report = gamut_report(picture, row.paper, threshold=plan.threshold)
        assert row.gamut.share_outside == report.share_outside


def test_what_failed_is_told_until_it_succeeds(panel, plan, monkeypatch):
    def failing(*given, **named):
        raise WorkbenchError("The disk is gone.")

    with monkeypatch.context() as patch:
        patch.setattr(compare_panel, "compare", failing)
        plan.intent = "perceptual"
        settle(panel)
    assert panel.status.kind == "problem" and "disk is gone" in panel.status.text
    plan.intent = "absolute"
    settle(panel)
    assert panel.status.text == "" and panel.comparison.intent == "absolute"


def test_the_order_follows_the_weights(panel, plan):
    def only(name):
        for other, control in panel.weights.items():
            control.slider.value = 10 if other == name else control.slider.value
        for other, control in panel.weights.items():
            control.slider.value = 10 if other == name else 0
        return listed(panel)[0]

    assert only("blacks") == "Cool &lt;gloss&gt;"
    assert "What matters: blacks 100 %" in panel.weights_note.value
    only("whites")  # a white is a choice: none is better until the person says so
    assert panel.comparison.weights is None
    panel.wish.field.value = "neutral"
    assert plan.white_wish == "neutral" and only("whites") == "White matte"
    plan.white_wish = "cool"
    assert only("whites") == "Cool &lt;gloss&gt;"
    assert only("price") == "White matte"
    assert "price 1.00 × 0.25" in panel.order.value  # four times the cheapest


def test_blacks_are_those_of_the_place(panel, plan):
    before = {row.name: row.contrast_seen for row in panel.comparison.rows}
    plan.light, plan.illuminance_lux, plan.glass = "living room", 100.0, "plain"
    settle(panel)
    now = {row.name: row.contrast_seen for row in panel.comparison.rows}
    assert all(now[name] < before[name] for name in before)
    assert max(now.values()) / min(now.values()) < max(before.values()) / min(before.values()) / 2


def test_what_merges_and_what_is_tinted_is_as_in_the_panels_of_black_and_white(panel, plan):
    plan.tolerance, plan.highlight_lightness = 2.5, 75.0
    settle(panel)
    way = plan.rendering.way
    for row in panel.comparison.rows:
        black = black_point(row.paper, plan.picture, tolerance=2.5, **way)
        assert row.black.merged_levels == black.merged_levels
        assert (
            row.highlights.share == highlights(plan.picture, row.paper, lightness=75.0, **way).share
        )


def test_unknown_prices_are_said(panel, plan, papers):
    plan.papers = (papers[0], papers[1], model_paper("Dear one", (96, 0, 0), 2.1, "satin"))
    settle(panel)
    assert "price" not in panel.weights_note.value
    panel.weights["price"].slider.value = 5
    assert "Only 2 of 3 of these papers has a price" in panel.weights_note.value
    assert listed(panel)[-1] == "Dear one"


def test_the_size_changes_prices(panel, plan, papers):
    roll = model_paper(
        "Roll", (96, 0, 0), 2.1, "satin", rolls=("24 in roll",), price_per_metre=(("", 10.0),)
    )
    plan.papers = (*papers, roll)
    plan.size_from = "size"
    plan.long_side_mm = 400.0
    settle(panel)
    price = {row.name: row.price.amount for row in panel.comparison.rows}
    plan.long_side_mm = 300.0
    settle(panel)
    now = {row.name: row.price.amount for row in panel.comparison.rows}
    assert now["Roll"] < price["Roll"]


def test_the_intent_changes_figures(panel, plan):
    before = panel.table.value
    plan.intent = "perceptual"
    settle(panel)
    assert panel.comparison.intent == "perceptual"
    assert panel.table.value != before


# table --------------------------------------------------------------------------


def test_the_table_has_a_row_for_each_paper_and_says_where_figures_come_from(panel):
    html = panel.table.value
    assert "Cool &lt;gloss&gt;" in html and "<gloss>" not in html
    assert html.count('scope="row"') == 3
    panel.weights["blacks"].slider.value = 1
    html = panel.table.value
    for column in COLUMNS:
        if column.key in ("rank", "paper", "reason", "currency", "best"):
            continue
        assert escape(column.title) in html
        assert column.source.replace("'", "&#x27;") in html
    first = panel.comparison.rows[0]
    assert f">{first.black_density:.2f}</td>" in html
    assert f">{first.white.white_lab[0]:.1f}</td>" in html


# which papers --------------------------------------------------------------------


def test_ticks_choose_the_papers(panel):
    tick(panel, 1, False)
    settle(panel)
    assert sorted(listed(panel)) == ["Cool &lt;gloss&gt;", "Warm satin"]
    assert len(in_view(panel)) == 1
    assert "White matte" not in in_view(panel)[0].alt
    assert "White matte" not in panel.fan.alt and "White matte" not in panel.curves.alt
    tick(panel, 0, False)
    tick(panel, 2, False)
    assert "Tick at least one paper" in panel.status.text
    tick(panel, 1, True)
    settle(panel)
    assert listed(panel) == ["White matte"] and panel.status.text == ""


def test_at_most_six_and_new_ones_while_there_is_room(panel, plan, papers):
    more = tuple(model_paper(f"Paper {n}", (96, 0, n), 2, "satin") for n in range(2))
    plan.papers = (*papers, *more)
    settle(panel)
    assert len(panel.papers) == 5
    plan.papers = (
        *plan.papers,
        *(model_paper(f"Late {n}", (96, 0, -n), 2, "satin") for n in range(2)),
    )
    settle(panel)
    values = [t.value for t in panel.ticks.values()]
    assert values == [True] * 6 + [False]
    assert [t.disabled for t in panel.ticks.values()] == [False] * 6 + [True]
    tick(panel, 0, False)
    settle(panel)
    assert not any(t.disabled for t in panel.ticks.values())


def test_a_choice_stays_when_papers_come_and_go(panel, plan, papers):
    tick(panel, 1, False)
    settle(panel)
    plan.papers = papers[1:]
    settle(panel)
    assert panel.papers == [papers[2]]
    assert [t.field.description for t in panel.ticks.values()] == [
        "1. White matte",
        "2. Warm satin",
    ]


def test_a_paper_known_by_readings_only_has_a_row_and_no_picture(panel, plan, papers):
    read = MeasuredPaper("Read sheet", reading(lab=(95, 0, 3), illuminant="D50", observer_deg=2))
    plan.papers = (papers[0], read)
    settle(panel)
    assert panel.status.text == ""
    assert "Read sheet" in listed(panel)
    assert "Read sheet" in panel.fan.alt
    assert "Read sheet" not in in_view(panel)[0].alt and "Read sheet" not in panel.curves.alt
    tick(panel, 0, False)
    settle(panel)
    assert in_view(panel) == [] and "None of the ticked papers" in panel.view.note.value


# the linked view -------------------------------------------------------------------


def test_all_papers_move_together(panel):
    (view,) = in_view(panel)
    before = shown(view)
    panel.view.zoom.slider.value = 2.0
    closer = shown(view)
    assert closer.shape == before.shape and (closer != before).any()
    panel.view.across.slider.value = 20
    assert (shown(view) != closer).any()
    panel.view.whole.click()
    np.testing.assert_array_equal(shown(view), before)


def test_jump_to_the_shadows(panel, picture):
    panel.view.shadows.click()
    window = panel.view.window()
    x, y, width, height = shadow_box(picture, panel.view._tile_px())
    assert abs(window.x - x) <= 2 and abs(window.y - y) <= 2
    assert abs(window.width - width) <= 2 and window.y >= 340  # in the dark half
    assert "100 %: one eye" in panel.view.note.value


@pytest.mark.parametrize("room_px", [701, 717, 733, 747])
def test_at_the_right_end_a_pixel_of_the_picture_is_one_of_the_screen(panel, picture, room_px):
    panel.view._room_changed({"width": room_px})
    panel.view.zoom.slider.value = panel.view.zoom.high
    window = panel.view.window()
    seen = window_pixels(picture, window, max(panel.view._tile_px()))
    own = picture.crop(window.x, window.y, window.width, window.height)
    assert seen.shape == own.shape
    assert panel.view.note.value.count("100 %") == 1


def test_each_picture_lies_on_its_own_paper_on_the_wall_chosen(panel):
    (view,) = in_view(panel)
    grey = shown(view)
    width = panel.view._tile_px()[0] + 2 * 9
    corners = [tuple(int(v) for v in grey[2, 2 + n * (width + 14)]) for n in range(3)]
    assert len(set(corners)) == 3  # three whites
    assert corners[2][2] < corners[0][2]  # satin warmer than gloss
    assert (grey[5, width + 5] == int(SURROUND[1:3], 16)).all()
    panel.view.wall.field.value = "white wall"
    white = shown(view)
    assert (white[5, width + 5] > 180).all()
    np.testing.assert_array_equal(white[:, :width], grey[:, :width])
    assert f"rgb({','.join(str(v) for v in white[5, width + 5])})" in panel.view._css.value


def test_narrow_pages_get_more_rows(panel):
    panel.view._room_changed({"width": 420})
    assert len(in_view(panel)) == 2
    panel.view._room_changed({"width": 300})
    assert len(in_view(panel)) == 3
    assert all(shown(view).shape[1] < 300 for view in in_view(panel))


def test_the_eye_is_the_plans(panel, plan):
    (view,) = in_view(panel)
    before = shown(view)
    plan.adaptation = 1.0
    assert (shown(view) != before).any()
    # the eye is used to the chosen paper, which now passes for white
    assert "Cool <gloss> L* 100.0, a* 0.0, b* 0.0" in panel.fan.alt


def test_the_slice_follows_its_slider(panel):
    before = panel.slices.image.value
    panel.lightness.slider.value = 20
    assert panel.slices.image.value != before
    assert "lightness 20" in panel.slices.alt


def test_a_weight_touches_no_picture(panel):
    held = [view.image.value for view in in_view(panel)] + [panel.curves.image.value]
    panel.weights["blacks"].slider.value = 2
    assert held == [view.image.value for view in in_view(panel)] + [panel.curves.image.value]


# on a desk, and without things -------------------------------------------------------


def test_hidden_it_does_nothing(plan, papers):
    front = parts.Front()
    worker = front.scheduler
    panel = ComparePanel(plan, front)
    assert panel.comparison is None and not worker.is_busy()
    plan.intent = "perceptual"
    assert not worker.is_busy()
    panel.show(True)
    assert worker.wait_until_idle(20)
    assert panel.comparison.intent == "perceptual"
    worker.close()


def test_it_says_what_is_missing(papers, picture):
    panel = ComparePanel(Plan())
    assert "Open a picture and some papers" in panel.status.text
    panel.plan.papers = papers[:1]
    panel.plan.picture = picture
    settle(panel)
    assert listed(panel) == ["Cool &lt;gloss&gt;"] and panel.status.text == ""


def test_a_picture_without_a_profile_gets_a_sentence(panel, plan):
    import tifffile

    from workbench.picture.opening import open_picture

    out = io.BytesIO()
    tifffile.imwrite(out, np.zeros((8, 8, 3), np.uint8), photometric="rgb")
    plan.picture = open_picture(out.getvalue(), name="untagged.tif")
    assert panel.status.kind == "problem"


# files -------------------------------------------------------------------------------


def save(panel, kind, folder):
    panel.export.folder.field.value = str(folder)
    panel.export.buttons[kind].click()
    assert panel.front.scheduler.wait_until_idle(20)
    return panel.export.said.text


def test_files_to_take_away(panel, tmp_path):
    for kind in ("png", "pdf", "csv", "html", "png"):
        assert "Saved as" in save(panel, kind, tmp_path)
    names = sorted(p.name for p in tmp_path.iterdir())
    stem = "half dark, side by side"
    kinds = ("csv", "html", "pdf", "png")
    assert names == sorted([*(f"{stem}.{kind}" for kind in kinds), f"{stem}-2.png"])
    page = (tmp_path / f"{stem}.html").read_text("utf-8")
    shown = [escape(row.name) for row in panel.comparison.rows if not row.needs_profile]
    assert shown and [name for name in shown if name not in page] == []
    image = Image.open(tmp_path / f"{stem}.png")
    image.load()
    assert image.width > 900
    assert (tmp_path / f"{stem}.pdf").read_bytes().startswith(b"%PDF-")
    with (tmp_path / f"{stem}.csv").open(encoding="utf-8-sig", newline="") as file:
        rows = list(csv.reader(file))
    assert [row[1] for row in rows[1:]] == [row.name for row in panel.comparison.rows]


def test_the_view_saved_is_the_one_seen(panel, tmp_path):
    save(panel, "png", tmp_path)
    panel.view.shadows.click()
    save(panel, "png", tmp_path)
    whole, part = sorted(tmp_path.iterdir(), key=lambda p: "-2" in p.name)
    middle = [np.asarray(Image.open(p).convert("L"))[100:200, 60:240].mean() for p in (whole, part)]
    assert middle[1] < middle[0] - 30


def test_a_folder_that_is_none_gets_a_sentence_beside_the_buttons(panel, tmp_path):
    assert "does not exist" in save(panel, "csv", tmp_path / "nowhere")
    assert panel.export.said.kind == "problem"
    assert panel.status.text == ""
    assert "Saved as" in save(panel, "csv", tmp_path)


def test_the_folder_is_the_pictures_own_unless_typed(panel, plan, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert f"Saved as {tmp_path}{os.sep}" in save(panel, "csv", "")
    own = tmp_path / "pictures"
    own.mkdir()
    Image.new("RGB", (60, 40), (90, 90, 90)).save(own / "grey.png")
    from workbench.picture.opening import open_picture

    plan.picture = open_picture(own / "grey.png", assume_profile="sRGB")
    settle(panel)
    assert f"Saved as {own}{os.sep}" in save(panel, "csv", "  ")
