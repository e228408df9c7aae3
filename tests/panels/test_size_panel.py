"""The size panel, driven without a browser, and every panel alone in a cell."""

from __future__ import annotations

from html import unescape

import numpy as np
import pytest
from panel_helpers import choose, page_says, settle, type_in
from picture.makers import tiff_bytes
from pictures import picture_of

import workbench as wb
from workbench.analysis.eye import eye_limit_ppi
from workbench.analysis.size import print_size
from workbench.colour.inkmodel import model_profile
from workbench.panels import parts
from workbench.panels.size.panel import SizePanel
from workbench.paper import open_paper
from workbench.picture import open_picture
from workbench.plan import Plan


def gradient(height, width, space="sRGB"):
    """A picture whose red grows to the right and green downwards."""
    red, green = np.meshgrid(np.linspace(0, 1, width), np.linspace(0, 1, height))
    return picture_of(np.stack([red, green, np.full_like(red, 0.4)], -1), space)


@pytest.fixture(scope="module")
def picture():
    return gradient(1200, 1800)


@pytest.fixture(scope="module")
def untagged():
    pixels = np.random.default_rng(2).integers(0, 255, (400, 300, 3), np.uint8)
    return open_picture(tiff_bytes(pixels), name="old scan.tif")


@pytest.fixture(scope="module")
def paper():
    return open_paper(model_profile((96, 0, -4), 2.2, finish="gloss", grid=9), name="Gloss")


@pytest.fixture
def panel(picture, open_panel):
    return open_panel(SizePanel, Plan(picture=picture))


@pytest.fixture
def plan(panel):
    return panel.plan


def said(panel):
    return panel.notes.value


def is_hidden(part):
    return part.layout.display == "none"


# -- each way of deciding


def test_the_resolution_decides_at_first(panel, plan):
    # 1800 pixels at 360 to the inch are 5 inches, 12.7 cm
    assert "At 360 ppi this prints 12.7 × 8.5 cm" in said(panel)
    before = panel.drawing.image.value
    panel.ppi.slider.set_state({"value": 180})
    assert plan.ppi == 180
    assert "At 180 ppi this prints 25.4 × 16.9 cm" in said(panel)
    assert panel.drawing.image.value != before
    assert "25.4 × 16.9 cm" in panel.drawing.alt
    assert "enlarged 2 times" in said(panel)


def test_finer_than_the_slider_may_be_typed(panel, plan):
    panel.ppi.field.set_state({"value": 1440})
    assert plan.ppi == 1440
    assert "At 1440 ppi this prints 3.2 × 2.1 cm" in said(panel)


def test_the_long_side_decides(panel, plan):
    choose(panel.decides, "the length of the long side")
    assert plan.size_from == "size"
    assert panel.lengths["long_side_mm"].visible and not panel.ppi.visible
    panel.lengths["long_side_mm"].slider.set_state({"value": 60})
    assert plan.long_side_mm == 600
    assert "At 76.2 ppi this prints 60 × 40 cm" in said(panel)
    settle(panel)
    assert "no fine detail" in panel.seen_notes.value  # it is a gradient


def test_the_sheet_decides(panel, plan):
    choose(panel.sheet, "A3 (ISO A, 297 × 420 mm)")
    choose(panel.decides, "the sheet, filled inside its borders")
    assert not panel.ppi.visible and not panel.lengths["long_side_mm"].visible
    # the picture is 3:2 and A3 slimmer: the length fills the sheet between margins of 3 mm
    assert "this prints 41.4 × 27.6 cm; it fits A3" in said(panel)
    panel.lengths["border_mm"].slider.set_state({"value": 3})
    assert plan.border_mm == 30
    assert plan.print_size().width_mm == pytest.approx((297 - 60) * 3 / 2)
    assert "× 23.7 cm; it fits A3 inside 30 mm borders" in said(panel)
    choose(panel.crop, "the sheet's, inside its borders")
    assert "this prints 36 × 23.7 cm" in said(panel)
    assert "of the picture is lost" in said(panel)


def test_the_viewing_distance_decides(panel, plan):
    choose(panel.decides, "the viewing distance: as large as its pixels are enough for")
    panel.lengths["viewing_distance_mm"].slider.set_state({"value": 200})
    assert plan.viewing_distance_mm == 2000
    expected = print_size(plan.picture, viewing_distance_mm=2000)
    assert expected.sentence("cm").split(";")[0] in said(panel)


@pytest.mark.parametrize(
    "way",
    [
        "the length of the long side",
        "the sheet, filled inside its borders",
        "the viewing distance: as large as its pixels are enough for",
        "the resolution you choose",
    ],
)
def test_another_way_begins_at_what_is_shown(panel, plan, way):
    plan.ppi = 200
    choose(panel.decides, way)
    assert panel.status.text == ""
    assert not is_hidden(panel.results)
    size = plan.print_size()
    if "sheet" in way:
        # the smallest that fitted is now filled
        assert plan.sheet == print_size(plan.picture, ppi=200).best_fit.name
    elif "viewing" in way:
        assert size.ppi == pytest.approx(eye_limit_ppi(plan.viewing_distance_mm))
    else:
        assert (size.width_mm, size.ppi) == pytest.approx((1800 / 200 * 25.4, 200))


def test_back_to_the_resolution_keeps_the_size(panel, plan):
    choose(panel.decides, "the length of the long side")
    panel.lengths["long_side_mm"].field.set_state({"value": 45.7})
    choose(panel.decides, "the resolution you choose")
    assert plan.ppi == pytest.approx(1800 / (457 / 25.4))
    assert "this prints 45.7 × 30.5 cm" in said(panel)


# -- what is seen


def test_it_tells_what_is_seen_and_follows_size_and_distance(open_panel):
    noise = np.random.default_rng(5).random((600, 900, 3))
    panel = open_panel(SizePanel, Plan(picture=picture_of(noise)))
    settle(panel)
    shown = unescape(panel.seen_notes.value)
    assert all(text in shown for text in panel.plan.seen_detail().sentences())
    before = panel.spectrum.image.value
    choose(panel.decides, "the length of the long side")
    panel.lengths["long_side_mm"].field.set_state({"value": 200})
    # at once, as the spectrum is there: 900 pixels on two metres look sharp nowhere
    assert panel.seen_notes.value.startswith('<p class="tex2jax_ignore mathjax_ignore">Soft ')
    settle(panel)  # the plot follows where the slider rests
    assert panel.spectrum.image.value != before and "Soft" in panel.spectrum.alt
    panel.lengths["viewing_distance_mm"].slider.set_state({"value": 600})
    assert "across the room (6 m)" in panel.seen_notes.value
    assert panel.plan.seen_detail().verdict() in unescape(panel.seen_notes.value)


def test_without_colours_nothing_is_said_of_detail(panel, plan, untagged):
    settle(panel)
    plan.picture = untagged
    settle(panel)
    assert "once its colours are known" in panel.seen_notes.value
    assert is_hidden(panel.spectrum.widget)
    plan.picture = untagged.assume("sRGB")
    settle(panel)
    assert "The eye resolves" in panel.seen_notes.value and not is_hidden(panel.spectrum.widget)


# -- units


def test_lengths_stay_when_the_unit_changes(panel, plan):
    plan.size_from, plan.long_side_mm, plan.border_mm, plan.viewing_distance_mm = (
        "size",
        508,
        12,
        900,
    )
    choose(panel.unit, "inches")
    assert plan.unit == "in"
    assert (plan.long_side_mm, plan.border_mm, plan.viewing_distance_mm) == (508, 12, 900)
    assert panel.lengths["long_side_mm"].name == "Long side (in)"
    assert panel.lengths["long_side_mm"].field.value == 20
    assert panel.lengths["border_mm"].field.value == pytest.approx(0.5)  # shown to 0.1
    assert "this prints 20 × 13.3 in" in said(panel)
    assert "20 × 13.3 in" in panel.drawing.alt
    choose(panel.unit, "mm")
    assert panel.lengths["viewing_distance_mm"].field.value == 900
    assert "this prints 508 × 339 mm" in said(panel)
    choose(panel.unit, "cm")
    assert (plan.long_side_mm, plan.border_mm, plan.viewing_distance_mm) == (508, 12, 900)


def test_typing_counts_in_the_unit_shown(panel, plan):
    choose(panel.unit, "inches")
    panel.lengths["border_mm"].field.set_state({"value": 2})
    assert plan.border_mm == pytest.approx(50.8)


def test_sheets_are_offered_in_inches_to_those_who_use_them(panel, plan):
    choose(panel.sheet, "A4 (ISO A, 210 × 297 mm)")
    choose(panel.unit, "inches")
    assert panel.sheet.choice.field.label == "A4 (ISO A, 8.27 × 11.7 in)"
    assert plan.sheet == "A4"
    assert "24 in roll (24 in wide)" in dict(panel.sheet.choice.field.options)


# -- sheets, crops, printers


def test_a_typed_sheet(panel, plan):
    type_in(panel.sheet, "30 x 40 cm")
    assert "fits 30×40 cm paper" in said(panel)
    type_in(panel.sheet, "31.5 x 44 cm")
    assert "315 × 440 mm" in said(panel)
    type_in(panel.sheet, "roll 61 cm")
    assert "roll" in said(panel) and panel.status.text == ""


def test_a_sheet_that_does_not_exist_is_told_and_the_plan_stays(panel, plan):
    choose(panel.sheet, "A3 (ISO A, 297 × 420 mm)")
    before = said(panel)
    type_in(panel.sheet, "A33 <b>")
    assert panel.status.kind == "problem"
    assert "There is no sheet called 'A33 <b>'" in panel.status.text
    assert "<b>" not in panel.status._line.value
    assert (plan.sheet, said(panel)) == ("A3", before)
    choose(panel.sheet, "A3 (ISO A, 297 × 420 mm)")
    assert panel.status.kind == ""


def test_a_crop_to_a_ratio(panel, plan):
    choose(panel.crop, "1:1")
    assert "this prints 8.5 × 8.5 cm" in said(panel)
    assert "33.3 % of the picture is lost" in said(panel)
    type_in(panel.crop, "7:5")
    assert plan.crop_ratio == "7:5"
    type_in(panel.crop, "wide")
    assert "'wide' is not a ratio: write 3:2, 5:4 or 1.5." in panel.status.text
    assert plan.crop_ratio == "7:5"


def test_a_mounts_opening_decides_the_crop_and_no_other_is_offered(panel, plan):
    plan.crop_ratio, plan.mount_overlap_mm = "1:1", 3
    assert not is_hidden(panel.crop.widget)
    plan.mount_opening, plan.size_from = "28 x 38 cm", "opening"
    settle(panel)
    assert is_hidden(panel.crop.widget) and not is_hidden(panel.opening.widget)
    # 38 × 28 cm are seen, and 3 mm more on each side printed
    assert "this prints 38.6 × 28.6 cm" in said(panel)
    assert "has an opening of 38 × 28 cm" in said(panel)
    plan.size_from = "ppi"
    settle(panel)
    assert not is_hidden(panel.crop.widget)


def test_a_crop_to_the_sheet_needs_a_sheet_and_shows_nothing_old_without(panel, plan):
    choose(panel.crop, "the sheet's, inside its borders")
    assert "To crop to the sheet, choose a sheet" in panel.status.text
    assert is_hidden(panel.results)
    choose(panel.sheet, "A2 (ISO A, 420 × 594 mm)")
    assert panel.status.kind == ""
    assert not is_hidden(panel.results)


def test_the_printers_resolution(panel, plan):
    assert "nothing is resampled" in said(panel)
    choose(panel.printer, "720 ppi")
    assert plan.printer_ppi == 720
    assert "enlarged 2 times to 3,600 × 2,400 pixels" in said(panel)
    type_in(panel.printer, "400 ppi")
    assert plan.printer_ppi == 400
    assert panel.printer.value == "400"


@pytest.mark.parametrize(
    ("typed", "reason"),
    [
        ("fine", "“fine” is not a resolution"),
        ("0", "greater than 0 ppi"),
        ("-360", "greater than 0 ppi"),
        ("1e9", "at most 10000 ppi"),
        ("nan", "must be a number in ppi"),
        ("", "“” is not a resolution"),
    ],
)
def test_no_printer_has_such_a_resolution(panel, plan, typed, reason):
    before = said(panel)
    type_in(panel.printer, "400")
    type_in(panel.printer, typed)
    assert reason in panel.status.text
    assert plan.printer_ppi == 400
    assert before != said(panel) and not is_hidden(panel.results)
    choose(panel.printer, "300 ppi")
    assert panel.status.kind == ""
    assert plan.printer_ppi == 300


def test_the_table_says_what_each_printer_would_do(panel):
    table = panel.resampling.value
    rows = [row for row in table.split("<tr>") if "ppi" in row]
    assert [row.split(" ppi")[0].split(">")[1] for row in rows] == ["300", "360", "600", "720"]
    assert "pixel for pixel" in rows[1] and "1800 × 1200" in rows[1]
    assert "reduced" in rows[0] and "1500 × 1000" in rows[0]
    assert "enlarged" in rows[3] and "3600 × 2400" in rows[3]


# -- following the plan


def test_controls_follow_the_plan(panel, plan):
    plan.size_from, plan.long_side_mm, plan.sheet = "size", 333, "A2"
    plan.printer_ppi, plan.crop_ratio, plan.viewing_distance_mm = 400, "7:5", 1234
    assert panel.decides.value == "size"
    assert panel.lengths["long_side_mm"].value == pytest.approx(33.3)
    assert panel.sheet.choice.field.label.startswith("A2 (")
    assert panel.printer.typed.visible and panel.printer.value == "400"
    assert panel.crop.value == "7:5"
    assert panel.lengths["viewing_distance_mm"].field.value == pytest.approx(123.4)


def test_another_picture_is_drawn(panel, plan):
    before = panel.drawing.image.value
    plan.picture = gradient(1800, 1200)
    assert panel.drawing.image.value != before
    assert "this prints 8.5 × 12.7 cm" in said(panel)


def test_a_picture_without_colours_has_sizes_and_no_old_thumbnail(panel, plan, untagged):
    plan.picture = untagged
    assert panel.status.text == ""
    assert "this prints 2.1 × 2.8 cm" in said(panel)
    first = panel.drawing.image.value
    # the same shape in colours: only the thumbnail differs
    plan.picture = untagged.assume("sRGB")
    assert panel.drawing.image.value != first
    plan.picture = untagged
    assert panel.drawing.image.value == first


def test_numbers_that_make_no_size_are_told_and_nothing_old_is_shown(panel, plan):
    plan.ppi = 0.01
    assert "more than 50 m" in panel.status.text
    assert is_hidden(panel.results)
    plan.ppi = 300
    assert panel.status.kind == ""
    assert not is_hidden(panel.results)


def test_without_a_picture_it_asks_for_one_until_there_is_one(picture):
    panel = SizePanel(Plan())
    assert panel.status.text == "Open a picture to see its sizes here."
    choose(panel.decides, "the length of the long side")  # nothing to carry over
    panel.plan.picture = picture
    assert panel.status.text == ""
    assert "this prints 40 × 26.7 cm" in said(panel)
    panel.front.scheduler.close()


def test_on_a_desk_it_waits_until_shown(picture):
    panel = SizePanel(Plan(picture=picture), parts.Front())
    assert said(panel).find("prints") == -1 and panel.drawing.image.value == b""
    panel.show(True)
    assert "prints 12.7 × 8.5 cm" in said(panel)
    panel.show(False)
    panel.plan.ppi = 180
    assert "prints 12.7 × 8.5 cm" in said(panel)
    panel.show(True)
    assert "prints 25.4 × 16.9 cm" in said(panel)
    panel.front.scheduler.close()


def test_every_control_has_a_name_and_help(panel):
    controls = [panel.decides, panel.ppi, panel.unit, *panel.lengths.values()]
    for listed in (panel.printer, panel.sheet, panel.crop):
        controls += [listed.choice, listed.typed]
    for control in controls:
        assert control.label
        assert len(control.help) > 10
        assert panel.front.attributes(control.field)["aria-label"] == control.name
    assert panel.ppi.name == "Picture resolution (ppi)"
    assert all(control.name.endswith("(cm)") for control in panel.lengths.values())


def test_what_is_wrong_stands_between_the_knobs_and_the_drawing(panel):
    body = list(panel.body.children)
    # after what may be doubted, what it is about, and the knobs
    assert body.index(panel.status.widget) == body.index(panel.doubt) + 2
    assert body.index(panel.results) == body.index(panel.status.widget) + 1


# -- panels alone


def test_a_size_needs_no_paper(picture, tmp_path):
    import tifffile

    panel = wb.size_panel(picture)._panel
    assert "prints 12.7 × 8.5 cm" in said(panel)
    assert panel.plan.paper is None
    path = tmp_path / "by path.tif"
    tifffile.imwrite(path, np.zeros((30, 40, 3), np.uint8), photometric="rgb")
    assert "At 360 ppi" in said(wb.size_panel(path)._panel)


@pytest.mark.parametrize("name", ["size_panel", "gamut_panel", "white_panel", "black_panel"])
def test_each_panel_displays_alone(name, paper):
    face = getattr(wb, name)(gradient(40, 60), paper)
    bundle, panel = face._repr_mimebundle_(), face._panel
    view = "application/vnd.jupyter.widget-view+json"
    bundle = bundle[0] if isinstance(bundle, tuple) else bundle
    assert bundle[view]["model_id"] == panel.widget.model_id
    assert panel.plan.paper is paper
    assert panel.plan.papers == (paper,)
    assert panel.status.kind in ("", "work")
    # it brings its own front end, without which nothing has a name
    assert panel.front in panel.widget.children
    settle(panel)
    assert panel.status.text == ""
    panel.front.scheduler.close()


@pytest.mark.parametrize("name", ["gamut_panel", "white_panel", "black_panel"])
def test_colours_need_a_profile_and_the_panel_says_so(name, paper, untagged):
    panel = getattr(wb, name)(untagged, paper)._panel
    settle(panel)
    assert panel.status.kind == "problem"
    assert "“old scan.tif” has no colour profile" in panel.status.text
    panel.plan.picture = untagged.assume("sRGB")
    settle(panel)
    assert panel.status.text == ""
    panel.front.scheduler.close()


def test_a_plan_handed_in_goes_on(picture, paper):
    plan = Plan(ppi=240, papers=(paper,), unit="mm")
    panel = wb.size_panel(picture, paper, plan)._panel
    assert panel.plan is plan
    assert plan.papers == (paper,)
    assert "At 240 ppi" in said(panel) and " mm" in said(panel)


def test_the_crop_follows_the_hand_and_the_picture_stays_under_it(picture, paper):
    plan = Plan(picture=picture, paper=paper, papers=(paper,), crop_ratio="1:1")
    panel = SizePanel(plan)
    settle(panel)
    figure, drawing = panel.drawing.figure, panel.drawing.widget

    def hand(phase, by_x=0.0, by_y=0.0):
        page_says(panel.front, drawing, "hand", phase=phase, x=0.5, y=0.5, by_x=by_x, by_y=by_y)
        settle(panel)

    whole, kept = picture.width_px, plan.print_size().crop.width_px
    across = whole > picture.height_px
    assert across
    assert panel.crop_place["crop_across"].visible and not panel.crop_place["crop_down"].visible
    px = figure._image.box[2]
    hand("begin")
    hand("move", by_x=px / 10 / figure.size_px[0])
    # a tenth of what is shown to the right: the crop goes as far to the left
    before = (whole - kept) / 2
    assert plan.print_size().crop.x_px == pytest.approx(max(before - kept / 10, 0), abs=2)
    assert plan.crop_down == 0.5
    hand("move", by_x=-9)
    assert plan.crop_across == 1.0 and plan.print_size().crop.right_px == 0
    hand("end", by_x=-9)
    assert plan.solved().job.crop[0] == whole - kept  # the print file's too
    panel.front.scheduler.close()
