"""Printers: the edges they leave bare, what they take, and the file they are kept in."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from output.makers import as_picture, job, matte_paper, scene
from panel_helpers import choose, settle

from workbench.analysis.fit import as_borders, fit_on, largest_on
from workbench.analysis.sheets import SHEETS, find_sheet, held_sheets, sheets_for
from workbench.analysis.size import print_size
from workbench.errors import LibraryError, OutputError, PlanError, SizeError
from workbench.gang.nest import nest
from workbench.gang.strip_layout import test_strip as lay_strip
from workbench.library.printer_file import keep_printer, read_printer
from workbench.output.layout import layout_of
from workbench.panels.size.panel import SizePanel
from workbench.paper import Paper
from workbench.plan import Plan
from workbench.printer import BORDERLESS, TYPICAL, Feed, Printer

margins = st.floats(0, 30)
feeds = st.builds(Feed, margins, margins, margins, margins)
cut_sheets = st.sampled_from([each for each in SHEETS if not each.is_roll and each.width_mm > 90])
borders = st.tuples(margins, margins, margins, margins)


def thick(thickness_mm: float) -> Paper:
    paper = matte_paper()
    return Paper(name="Thick", profile=paper.profile, thickness_mm=thickness_mm)


# worked by hand -------------------------------------------------------------------


def test_a_sheet_fits_only_inside_the_margins():
    # 590 × 390 mm on A2, 594 × 420 mm (ISO 216): 2 mm on each side are less than 3
    size = print_size((8362, 5528), ppi=360, sheet="A2")
    assert not size.chosen.fits and size.best_fit.name != "A2"
    assert "does not fit A2 inside the printer's margins: 2 mm too wide" in size.sentence()
    over = print_size((8362, 5528), ppi=360, sheet="A2", feed=BORDERLESS)
    assert over.chosen.fits and over.best_fit.name == "A2"


def test_a_thick_sheet_loses_its_end():
    # A3 is 420 × 297 mm: 3 mm at the front, 20 at the end and 3 on either side are left bare
    printer = Printer()
    assert printer.feed(thickness_mm=0.3) == TYPICAL
    feed = printer.feed(thickness_mm=0.5)
    assert feed == printer.feed("thick") == Feed(3, 3, 3, 20, (3, 3), thick=True)
    assert largest_on(find_sheet("A3"), 397 / 291, feed=feed) == pytest.approx((397, 291))
    fit = fit_on(find_sheet("A3"), 390, 280, feed=feed)
    # the middle would be at 15 mm, and 15 mm from the end is too near: moved by 5 mm
    assert (fit.left_mm, fit.top_mm) == pytest.approx((10, 8.5))
    assert (fit.spare_width_mm, fit.spare_height_mm) == pytest.approx((3.5, 5.5))
    # small enough, it lies in the middle of the sheet
    assert fit_on(find_sheet("A3"), 300, 200, feed=feed).left_mm == pytest.approx(60)


def test_the_papers_thickness_decides_in_the_plan():
    plan = Plan(picture=as_picture(scene()), paper=thick(0.5), size_from="sheet", sheet="A3")
    assert plan.feed.trailing_mm == 20
    assert plan.print_size().width_mm == pytest.approx(397)
    plan.paper = thick(0.2)
    assert plan.feed == TYPICAL and plan.print_size().width_mm == pytest.approx(414)
    plan.feed_path = "borderless"
    assert plan.print_size().width_mm == pytest.approx(420)


def test_a_panorama_on_a_roll():
    # 4 : 1 on 24 in (609.6 mm): 603.6 mm between the margins, 2414.4 mm long, cut 3 mm away
    roll = find_sheet("24 in roll")
    size = print_size((40_000, 10_000), sheet=roll)
    assert (size.width_mm, size.height_mm) == pytest.approx((2414.4, 603.6))
    # thick or not, a roll has its own way through
    assert (
        print_size((40_000, 10_000), sheet=roll, feed=Printer().feed("thick")).chosen == size.chosen
    )
    assert size.chosen.length_used_mm == pytest.approx(2420.4)
    # a printer that ends at 1 m: 994 mm between its margins
    short = Feed(longest_mm=1000)
    assert print_size((40_000, 10_000), sheet=roll, feed=short).width_mm == pytest.approx(994)
    fit = fit_on(roll, 2000, 500, feed=short)
    assert not fit.fits and "longer than the printer takes" in fit.text()


def test_what_is_looked_through():
    inches = {sheet.name for sheet in sheets_for("inches")}
    assert {"Letter", "16×20 in", "44 in roll"} <= inches and "A4" not in inches
    narrow = sheets_for("centimetres", Feed(widest_mm=329))
    assert max(sheet.width_mm for sheet in narrow) == 329
    rolls = [sheet.width_mm for sheet in sheets_for(rolls="17 in, 61 cm") if sheet.is_roll]
    assert rolls == pytest.approx([431.8, 610])
    # the sheets that a paper is there in come before smaller ones that it is not
    paper = Paper(name="Held", profile=matte_paper().profile, sheets=("A3+", "my own cut"))
    assert [sheet.name for sheet in held_sheets(paper)] == ["A3+"]
    plan = Plan(picture=as_picture(scene()), paper=paper, size_from="size", long_side_mm=150)
    assert plan.print_size().best_fit.name == plan.solved().fit.name == "A3+"
    plan.long_side_mm = 600
    assert plan.print_size().best_fit.name == plan.solved().job.sheet.name == "20×24 in"


def test_strips_and_nests_keep_the_margins_bare():
    plan = Plan(picture=as_picture(scene(600, 400)), paper=thick(0.5), size_from="size",
                long_side_mm=60, printer_ppi=100)  # fmt: skip
    # 20 mm at the end of thick sheets, whichever end that is; on a roll 3 mm, and 0 asked for
    assert nest([plan], "A4", margin_mm=0).margin_mm == 20
    assert nest([plan], "24 in roll", margin_mm=0).margin_mm == 3
    strip = lay_strip(plan, crops=[(0.5, 0.5)], lightness_steps=(0, 4), sheet="A4")
    assert min(strip.title_px[:2]) >= 20 / 25.4 * 100 - 1


# laws -----------------------------------------------------------------------------


@given(cut_sheets, st.floats(20, 400), st.floats(20, 400), borders, feeds)
def test_nothing_lies_where_it_cannot_be_printed(sheet, width_mm, height_mm, edges, feed):
    fit = fit_on(sheet, width_mm, height_mm, edges, feed)
    right = fit.width_mm - fit.left_mm - width_mm
    bottom = fit.height_mm - fit.top_mm - height_mm
    around = fit.top_mm, right, bottom, fit.left_mm
    # picture and white around it make the sheet
    assert fit.left_mm + width_mm + right == pytest.approx(fit.width_mm)
    if not fit.fits:
        return
    for bare, border, kept in zip(around, edges, fit.kept.sides, strict=True):
        assert bare >= kept - 1e-5 >= border - 2e-5
    # each margin lies at one edge, the ends opposite one another
    ends = sorted((feed.leading_mm, feed.trailing_mm)), sorted((feed.left_mm, feed.right_mm))
    upright = fit.width_mm <= fit.height_mm
    for pair, sides in zip(ends if upright else ends[::-1], ((0, 2), (1, 3)), strict=True):
        assert all(fit.kept.sides[side] >= as_borders(edges).sides[side] for side in sides)
        assert sum(fit.kept.sides[side] for side in sides) >= sum(pair) - 1e-9


@given(cut_sheets, st.floats(0.2, 5), borders, feeds)
def test_what_fills_a_sheet_fits_it(sheet, ratio, edges, feed):
    try:
        width, height = largest_on(sheet, ratio, edges, 0, feed)
    except SizeError:
        return
    fit = fit_on(sheet, width, height, edges, feed)
    assert fit.fits and fit.spare_mm == pytest.approx(0, abs=1e-6)


@given(st.floats(0, 12), st.sampled_from([72, 100, 360]), feeds)
def test_the_file_keeps_the_margins_bare(border, ppi, feed):
    work = job(ppi=ppi, width_mm=90, height_mm=60, sheet=(160, 130), on_sheet=True,
               borders_mm=border, feed=feed)  # fmt: skip
    try:
        layout = layout_of(work.checked())
    except (SizeError, OutputError):
        return
    # short side first, whichever end: the two ends lie left and right here
    least = min(feed.leading_mm, feed.trailing_mm), min(feed.left_mm, feed.right_mm)
    sides = (
        (layout.x_px, layout.width_px - layout.x_px - layout.printed_px[0]),
        (layout.y_px, layout.height_px - layout.y_px - layout.printed_px[1]),
    )
    if layout.width_px < layout.height_px:
        sides = sides[::-1]
    for pair, bare in zip(sides, least, strict=True):
        assert min(pair) >= max(bare, border) / 25.4 * ppi - 2.5


# the file, and the panel ----------------------------------------------------------


def test_a_printer_is_kept_and_read_again(tmp_path):
    assert read_printer(tmp_path) is None
    printer = Printer(printer_name="Studio", margin_leading_mm=4.5, printer_rolls="17 in",
                      ink_price_per_ml=0.6, region="centimetres")  # fmt: skip
    path = keep_printer(printer, tmp_path)
    assert read_printer(tmp_path) == printer
    # a person's words stay when another value is kept
    path.write_text(path.read_text() + '# mine\nnickname = "old friend"\n')
    keep_printer(Printer(printer_name="Studio", margin_leading_mm=5), tmp_path)
    text = path.read_text()
    assert "# mine" in text and "old friend" in text
    assert read_printer(tmp_path) == Printer(printer_name="Studio", margin_leading_mm=5)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("[printer]\nmargin_left_mm = -1\n", "margin_left_mm"),
        ('[printer]\nprinter_rolls = "wide"\n', "commas"),
        ("[printer\n", "not whole"),
        ("printer = 3\n", "table"),
    ],
)
def test_a_broken_file_is_told_and_left_alone(tmp_path, text, said):
    path = tmp_path / "printer.toml"
    path.write_text(text)
    with pytest.raises(LibraryError, match=said):
        read_printer(tmp_path)
    with pytest.raises(LibraryError):
        keep_printer(Printer(), tmp_path)
    assert path.read_text() == text


def test_senseless_printers_are_refused():
    with pytest.raises(PlanError, match="thickest_mm"):
        Printer(thickest_mm=-1)
    with pytest.raises(PlanError, match="feed_path"):
        Printer().feed("sideways")
    assert Printer(thickest_mm=0.4).too_thick(0.5) and not Printer().too_thick(0.5)


def test_the_panel_keeps_and_takes_the_printer(tmp_path, monkeypatch, plan, open_panel):
    monkeypatch.setenv("WORKBENCH_SHELF", str(tmp_path))
    panel = open_panel(SizePanel, plan)
    part = panel.printer_part
    assert part.knobs["thick_from_mm"].field.value == 0.35
    part.knobs["margin_leading_mm"].slider.set_state({"value": 0.7})  # cm
    part.keep.click()
    assert read_printer(tmp_path).margin_leading_mm == plan.margin_leading_mm == 7
    plan.margin_leading_mm = 3
    part.take.click()
    assert plan.margin_leading_mm == 7
    plan.size_from, plan.sheet = "sheet", "A3"
    choose(panel.feed_path, "borderless, over the edge")
    settle(panel)
    assert plan.feed == BORDERLESS and "this prints 42 ×" in panel.notes.value
