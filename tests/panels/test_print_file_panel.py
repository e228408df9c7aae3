"""The print file panel, driven without a browser."""

from __future__ import annotations

import hashlib
import re
import threading
import time
from dataclasses import replace
from html import escape

import numpy as np
import pytest
import tifffile
from output.makers import facts, matte_paper, save_picture, scene
from output.test_resample import stars
from panel_helpers import choose, page_says, settle, shown, slide, type_in

from workbench.analysis.detail import detailed_place
from workbench.colour.spaces import standard_profile
from workbench.errors import Cancelled
from workbench.output.adjust import TONES, Adjustments
from workbench.output.bands import in_file_colours
from workbench.output.job import PrintJob
from workbench.output.layout import layout_of
from workbench.output.patch import patch_of
from workbench.output.seen_patch import sharpening_seen
from workbench.output.suggest import suggest_adjustments, tone_change
from workbench.panels import parts
from workbench.panels.outcome import Outcome
from workbench.panels.print_file import writing as writing
from workbench.panels.print_file.panel import PrintFilePanel
from workbench.panels.print_file.sharpening import VIEW_PX
from workbench.panels.print_file.words import hands_words, size_text
from workbench.paper_readings import measured_paper
from workbench.picture import open_picture
from workbench.plan import Plan
from workbench.readings import reading
from workbench.run import names_for


@pytest.fixture
def picture(tmp_path):
    dark = scene(900, 600).astype(float)
    # a third of it deep shadow with drawing in it, for which the paper wants a lift
    dark[:, :300] *= 0.3
    return save_picture(tmp_path, dark.astype(np.uint16))


@pytest.fixture
def plan(picture):
    paper = matte_paper()
    return Plan(picture=picture, paper=paper, papers=(paper,), printer_ppi=100, ppi=100)


@pytest.fixture
def panel(plan, open_panel):
    return open_panel(PrintFilePanel, plan)


def close(panel):
    panel.front.scheduler.close()


def tick(control, on=True):
    control.field.set_state({"value": on})


# -- what will be made


def test_it_says_what_will_be_made(panel, plan):
    # 900 × 600 pixels at 100 ppi: 9 × 6 inches
    assert panel.answer.text == (
        "A TIFF file of 900 × 600 pixels at 100 ppi, 22.9 × 15.2 cm, 16 bits per channel, "
        "converted for Invented matte."
    )
    bytes_ = 900 * 600 * 6 + len(plan.paper.profile)
    assert f"TIFF, {bytes_ / 1e6:.0f} MB" in panel.expected.value
    assert "is not known" in panel.expected.value
    assert panel.status.text == ""


def test_the_file_is_as_large_as_was_said(panel, tmp_path):
    panel.writing.write()
    settle(panel)
    written = next(tmp_path.glob("*matte.tif"))
    expected = panel.made.job.picture.width_px * 600 * 6 + len(matte_paper().profile)
    assert written.stat().st_size == pytest.approx(expected, abs=3000)
    assert facts(written)["size"] == (900, 600)


def test_the_price_and_that_of_the_edition(panel, plan):
    plan.paper = replace(matte_paper(), price_per_sheet=(("A4", 1.5),), currency="EUR")
    assert "1.50 EUR (one sheet of A4)" in panel.expected.value
    type_in(panel.copies, 4)
    assert plan.copies == 4
    assert "four prints 6.00 EUR" in panel.expected.value


def test_sizes_of_files_in_words():
    assert [size_text(n) for n in (900, 4200, 3.1e6, 672e6, 4.23e9)] == [
        "1 kB", "4 kB", "3 MB", "672 MB", "4.2 GB",
    ]  # fmt: skip


# -- who converts, and into what


def test_who_converts_is_told_with_what_it_asks_for(panel, plan):
    assert "driver's dialog off" in panel.colours.hands.value.replace("&#x27;", "'")
    choose(panel.colours.converts, "the printer driver, later")
    assert plan.converts == "driver"
    assert hands_words("driver").split(";")[0] in panel.colours.hands.value
    assert "for the driver to convert" in panel.answer.text
    # two hands on the wheel: never both
    assert "twice" in hands_words("workbench") and "Nothing else" in hands_words("driver")


def test_the_driver_needs_no_paper_and_the_workbench_does(plan):
    plan.paper = None
    panel = PrintFilePanel(plan)
    assert "Choose a paper, or let the printer driver convert" in panel.status.text
    plan.converts = "driver"
    settle(panel)
    assert panel.status.text == ""
    assert "for the driver to convert" in panel.answer.text
    assert (
        "Choose a paper with a profile to see what its proof suggests"
        in panel.adjustments.offer.value
    )
    assert panel.sharpening.view.image.value
    close(panel)


def test_the_kind_of_file_and_the_ending_of_the_name_go_together(panel, plan):
    assert panel.writing.name.value == "harbour on Invented matte.tif"
    choose(panel.colours.kind, "PNG")
    assert panel.writing.name.value == "harbour on Invented matte.png"
    assert "A PNG file" in panel.answer.text
    assert not panel.colours.compression.visible
    type_in(panel.writing.name, "wall.jpeg")
    assert panel.colours.kind.value == "JPEG"
    assert panel.colours.bit_depth.disabled and "8 bits per channel" in panel.answer.text
    bytes_ = 900 * 600 * 3 + len(plan.paper.profile)
    assert f"at most {bytes_ / 1e6:.0f} MB; usually a quarter" in panel.expected.value
    choose(panel.colours.kind, "TIFF (best)")
    assert panel.writing.name.value == "wall.tif"
    choose(panel.colours.compression, "deflate, without loss")
    assert plan.compression == "deflate" and "at most" in panel.expected.value
    choose(panel.colours.compression, "none")
    assert plan.compression is None


def test_a_kind_that_cannot_hold_the_print_is_told_beside_the_kind(panel, plan):
    plan.printer_ppi = 8000
    choose(panel.colours.kind, "JPEG, high quality")
    assert "at most 65,500 pixels" in panel.colours.problem.text
    assert panel.expected.value == ""
    choose(panel.colours.kind, "TIFF (best)")
    assert panel.colours.problem.text == ""
    assert "A TIFF file" in panel.answer.text


def test_eight_bits(panel, plan):
    choose(panel.colours.bit_depth, "8, dithered")
    assert plan.bit_depth == 8 and "8 bits per channel" in panel.answer.text


# -- where it lies


def test_borders_sheet_offset_and_bleed_reach_plan_and_drawing(panel, plan):
    before = panel.place.drawing.image.value
    slide(panel.place.border, 2)
    assert plan.border_mm == pytest.approx(20)
    assert "26.9 × 19.3 cm" in panel.answer.text  # 228.6 × 152.4 and 20 on each side
    assert panel.place.drawing.image.value != before
    assert "above 2.01 cm" in panel.place.measures.value  # 79 pixels of 0.254 mm
    choose(panel.place.sheet, "A3 (ISO A, 297 × 420 mm)")
    tick(panel.place.on_sheet)
    assert plan.on_sheet and plan.sheet == "A3"
    assert "42 × 29.7 cm" in panel.answer.text
    slide(panel.place.weight, 1)
    assert plan.bottom_weight_mm == pytest.approx(10)
    assert panel.place.bleed.disabled
    slide(panel.place.bleed_mm, 3)
    assert plan.bleed_mm == pytest.approx(30) and not panel.place.bleed.disabled
    choose(panel.place.bleed, "white")
    assert plan.bleed == "white"
    assert "beyond the front on every side" in panel.place.measures.value
    layout = panel.made.layout
    assert layout == layout_of(PrintJob.from_plan(plan))
    assert panel.place.drawing.alt == panel.place.figure.alt_text(layout)


def test_lengths_follow_the_unit(panel, plan):
    plan.border_mm = 25.4
    plan.unit = "in"
    assert panel.place.border.name == "White border (in)"
    assert panel.place.border.field.value == pytest.approx(1)
    # every length on the page speaks it
    settle(panel)
    assert "11 × 8 in" in panel.answer.text and "above 1.00 in" in panel.place.measures.value
    assert "9 in · 900 px" in panel.place.drawing.alt
    said = panel.answer.text + panel.place.measures.value + panel.place.drawing.alt
    assert " mm" not in said and " cm" not in said
    assert "3.2 in of paper" in panel.sharpening.view.alt
    plan.unit = "mm"
    settle(panel)
    assert "279 × 203 mm" in panel.answer.text and "above 25.4 mm" in panel.place.measures.value
    assert "229 mm · 900 px" in panel.place.drawing.alt
    plan.unit = "in"
    type_in(panel.place.weight, 0.5)
    assert plan.bottom_weight_mm == pytest.approx(12.7)


@pytest.mark.parametrize(
    ("wrong", "trait", "words", "mended"),
    [
        ({"bottom_weight_mm": 300.0, "on_sheet": True, "sheet": "A4"}, "bottom_weight_mm",
         "does not fit A4", {"bottom_weight_mm": 5.0}),
        ({"bleed_mm": 400.0}, "bleed_mm", "wider than the picture", {"bleed_mm": 10.0}),
        ({"on_sheet": True, "ppi": 5.0}, "on_sheet", "No sheet takes this print", {"ppi": 100.0}),
        ({"on_sheet": True, "sheet": "A5"}, "on_sheet", "does not fit A5", {"sheet": "A3"}),
    ],
)  # fmt: skip
def test_what_does_not_add_up_stands_beside_the_control_that_caused_it(
    panel, plan, wrong, trait, words, mended
):
    for name, value in wrong.items():
        setattr(plan, name, value)
    line = panel.place.problems[trait]
    assert words in line.text and line.kind == "problem"
    assert "wb-status-empty" not in line.widget._dom_classes
    field = panel.place._fields[trait]
    assert panel.front.attributes(field)["aria-invalid"] == "true"
    assert panel.status.text == ""
    others = [each.text for name, each in panel.place.problems.items() if name != trait]
    assert not any(others)
    # nothing is shown, or written, that no longer holds
    assert panel.made is None and panel.expected.value == ""
    assert panel.place.drawing.widget.layout.visibility == "hidden"
    assert panel.sharpening.room.layout.display == "none"
    panel.writing.write_button.click()
    assert "nothing to write yet" in panel.writing.said.text
    for name, value in mended.items():
        setattr(plan, name, value)
    settle(panel)
    assert line.text == "" and panel.made is not None
    assert panel.front.attributes(field)["aria-invalid"] is None
    assert panel.sharpening.room.layout.display == ""


def test_a_size_that_is_none_is_told_at_the_top(panel, plan):
    plan.ppi = 0.01
    assert "more than 50 m" in panel.status.text
    plan.ppi = 100
    assert panel.status.text == "" and panel.made is not None


def test_an_unknown_sheet_is_told_and_the_plan_stays(panel, plan):
    choose(panel.place.sheet, "typed below")
    panel.place.sheet.typed.field.set_state({"value": "A33"})
    assert "no sheet called 'A33'" in panel.status.text and plan.sheet == ""


# -- sharpening


def test_the_part_is_that_of_the_written_file_pixel_by_pixel(panel, plan, tmp_path):
    # at the picture's own pixels nothing is resampled, so every value must agree
    type_in(panel.sharpening.across, 40)
    type_in(panel.sharpening.down, 60)
    settle(panel)
    patch, job = panel.sharpening._found.patch, panel.made.job
    panel.writing.write()
    settle(panel)
    x0, y0, x1, y1 = patch.box
    whole = tifffile.imread(next(tmp_path.glob("*matte.tif")))
    assert np.array_equal(in_file_colours(job, patch.after), whole[y0:y1, x0:x1])
    assert not np.array_equal(in_file_colours(job, patch.before), whole[y0:y1, x0:x1])


def test_what_changes_no_pixel_works_nothing_out_again(panel, plan, monkeypatch):
    from workbench.panels.print_file import sharpening as print_file_sharpening

    plan.adjustments = Adjustments(mid_tones=3)
    settle(panel)
    made, drawn = [], []
    honest = print_file_sharpening.patch_of
    monkeypatch.setattr(
        print_file_sharpening, "patch_of", lambda *args: made.append(1) or honest(*args)
    )
    update = panel.adjustments.figure.update
    monkeypatch.setattr(
        panel.adjustments.figure, "update", lambda *a, **k: drawn.append(1) or update(*a, **k)
    )
    plan.border_mm, plan.copies, plan.unit, plan.description = 12.0, 4, "mm", "For the hall"
    settle(panel)
    assert made == drawn == []
    plan.adjustments = Adjustments(mid_tones=4)
    settle(panel)
    assert made and drawn
    before = len(made)
    plan.adaptation = 0.5
    settle(panel)
    assert len(made) > before


def test_before_and_after_are_shown_at_print_pixels(panel, plan):
    plan.sharpening = 1.0
    settle(panel)
    patch = panel.sharpening._found.patch
    width, height = VIEW_PX
    assert patch.after.shape == (height, width, 3)
    assert panel.sharpening.view.image.width == f"{width}"
    from workbench.analysis.proof import ProofMaker
    from workbench.analysis.viewing import viewing

    exact = ProofMaker(
        plan.picture.require_profile(), plan.paper.profile, "relative", True,
        viewing(adaptation=0.0, reference=plan.reference, display="sRGB"),
    )  # fmt: skip
    slide(panel.sharpening.divider, 0)
    after = shown(panel.sharpening.view).astype(int)
    slide(panel.sharpening.divider, 100)
    before = shown(panel.sharpening.view).astype(int)
    # each print pixel takes one screen pixel; colours are interpolated in a table
    for seen, own in ((before, patch.before), (after, patch.after)):
        assert np.abs(seen - exact.pixels(own)).mean() < 0.6
    # edges are sharpened, and the noise between them is not
    assert np.abs(after - before).max() > 10 and np.median(np.abs(after - before)) == 0
    slide(panel.sharpening.divider, 50)
    split = shown(panel.sharpening.view).astype(int)
    assert np.array_equal(split[:, : width // 2 - 2], before[:, : width // 2 - 2])
    assert np.array_equal(split[:, width // 2 + 2 :], after[:, width // 2 + 2 :])


def test_the_difference_is_shown_and_counted_as_it_is_seen(panel, plan):
    plan.sharpening, plan.viewing_distance_mm = 1.0, 20_000
    settle(panel)

    def difference():
        views = []
        for at in (0, 100):
            slide(panel.sharpening.divider, at)
            views.append(shown(panel.sharpening.view).astype(int))
        return np.abs(views[0] - views[1]).mean()

    by_pixels = difference()
    found = sharpening_seen(plan, panel.sharpening._found.patch)
    assert [each.sentence() in panel.sharpening.statement.value for each in found[::2]] == [
        True
    ] * 2
    assert "nothing across the room (20 m)" in panel.sharpening.statement.value
    choose(panel.sharpening.place, "across the room")
    settle(panel)
    # ten pixels of this print are a minute of arc from there: nothing is left of the difference
    assert difference() < 0.1 * by_pixels
    assert "across the room (20 m)" in panel.sharpening.view.alt
    plan.viewing_distance_mm = 700
    settle(panel)
    assert "across the room (70 cm)" in panel.sharpening.view.alt


def test_two_screen_pixels_for_each_print_pixel_side_by_side(panel):
    choose(panel.sharpening.compare, "side by side")
    choose(panel.sharpening.zoom, "two screen pixels wide")
    settle(panel)
    seen = shown(panel.sharpening.view)
    half = (VIEW_PX[0] - 16) // 2 // 2 * 2
    assert seen.shape == (VIEW_PX[1], 2 * half + 16, 3)
    assert np.array_equal(seen[::2, :half:2], seen[1::2, 1:half:2])
    assert not panel.sharpening.divider.visible
    assert panel.sharpening._found.patch.box[2] - panel.sharpening._found.patch.box[0] == half // 2


def test_that_nothing_clips_is_counted_and_said(panel, plan, tmp_path):
    plan.picture = save_picture(tmp_path, stars(400), "stars.tif")
    slide(panel.sharpening.strength, 1.0)
    choose(panel.sharpening.way, "as strong as you set it")
    settle(panel)
    assert plan.sharpening == 1.0
    patch = panel.sharpening._found.patch
    assert patch.newly_clipped == 0
    assert f"none of {patch.after.size:,} values" in panel.sharpening.statement.value


def test_off_matched_and_own(panel, plan):
    assert panel.sharpening.way.value == "auto" and not panel.sharpening.strength.visible
    # the spread is a guess, and said to be one beside the knob
    assert re.search(r"matte paper \(0\.04 mm is our guess\)", panel.sharpening.said.value)
    choose(panel.sharpening.way, "off")
    settle(panel)
    assert plan.sharpening is None
    assert "not sharpened" in panel.sharpening.statement.value
    choose(panel.sharpening.way, "as strong as you set it")
    assert plan.sharpening == 0.5 and panel.sharpening.strength.visible
    slide(panel.sharpening.strength, 0.8)
    assert plan.sharpening == pytest.approx(0.8)
    plan.sharpening = "auto"
    assert panel.sharpening.way.value == "auto"
    plan.sharpening = 0.3
    assert panel.sharpening.strength.value == pytest.approx(0.3)


def test_the_place_is_found_moved_and_framed(panel, plan, tmp_path):
    pixels_ = np.full((900, 1400, 3), 30000, np.uint16)
    # fine stripes in one corner: 4 px at 100 ppi are 1 mm
    pixels_[600:850, 950:1350] = np.where(np.arange(400) // 2 % 2, 20000, 45000)[:, None]
    plan.picture = save_picture(tmp_path, pixels_, "corner.tif")
    settle(panel)
    x, y = detailed_place(plan.picture, 100, (0, 0, 1400, 900))
    assert 950 < x < 1350 and 600 < y < 850
    x0, y0, x1, y1 = panel.sharpening._found.patch.box
    assert x0 < x < x1 and y0 < y < y1
    assert panel.place._window == panel.sharpening._found.patch.box
    slide(panel.sharpening.across, 10)
    slide(panel.sharpening.down, 10)
    settle(panel)
    assert panel.sharpening._found.patch.box[:2] == (0, 0)
    # what the person has chosen stays when the plan moves on
    plan.sharpening = 0.2
    settle(panel)
    assert panel.sharpening._found.patch.box[:2] == (0, 0)
    panel.sharpening.buttons[0].click()
    settle(panel)
    assert panel.sharpening._found.patch.box == (x0, y0, x1, y1)
    for button in panel.sharpening.buttons[1:]:
        button.click()
        settle(panel)
        assert panel.status.text == ""


def test_detail_is_looked_for_in_what_is_printed(panel, plan, tmp_path):
    pixels_ = np.full((900, 1400, 3), 30000, np.uint16)
    stripes = np.arange(200) // 2 % 2 == 0
    # stronger in the part that is cut away than in what is kept
    for left, apart in ((1000, 9000), (400, 4000)):
        for top, middle in ((40, 54000), (300, 6000), (620, 30000)):
            light, dark = min(middle + apart, 62000), max(middle - apart, 1500)
            pixels_[top : top + 240, left : left + 200] = np.where(stripes, light, dark)[:, None]
    plan.picture = save_picture(tmp_path, pixels_, "two.tif")
    plan.crop_ratio, plan.crop_across = "1:1", 0.0
    settle(panel)
    layout = panel.made.layout
    assert (layout.across.start, layout.across.length) == (0, 900)
    for button, top in zip(panel.sharpening.buttons[1:], (40, 300), strict=True):
        button.click()
        settle(panel)
        x0, y0, x1, y1 = panel.sharpening._found.patch.box
        assert x0 < 500 < x1 and y0 < top + 120 < y1, (button, (x0, y0, x1, y1))
        assert abs(panel.sharpening.down.value / 100 * 900 - top - 120) < 150
        # not at the edge that the stronger one lies beyond
        assert panel.sharpening.across.value < 80
    panel.sharpening.buttons[0].click()
    x, _ = panel.sharpening.across.value * 9, panel.sharpening.down.value * 9
    assert 380 < x < 620


def test_a_part_is_worked_out_quickly(plan):
    solved = plan.solved()
    patch_of(solved, (0.5, 0.5), (400, 300))
    spent = []
    for place in (0.2, 0.4, 0.6, 0.8):
        begin = time.thread_time()
        patch_of(solved, (place, place), (400, 300))
        spent.append(time.thread_time() - begin)
    # 20 ms on the machine this was written on
    assert min(spent) < 0.1


# -- adjustments


def test_the_suggested_curve_is_offered_with_its_gain_and_not_applied(panel, plan):
    expected = suggest_adjustments(plan.picture, plan.paper)
    part = panel.adjustments
    assert expected and part.suggestion.adjustments == expected.adjustments
    assert plan.adjustments is None and not PrintJob.from_plan(plan).adjustments
    assert escape(expected.sentence) in part.offer.value and "As set" not in part.now.value
    drawn = part.figure.lines["offered"]
    assert drawn[0].get_ydata() == pytest.approx(expected.change.after)
    assert "offered" in part.plot.alt


def test_an_accepted_curve_reaches_the_plan_and_may_be_moved_and_dropped(panel, plan):
    part = panel.adjustments
    slide(part.warmth, 2)
    part.accept.click()
    wanted = suggest_adjustments(plan.picture, plan.paper).adjustments
    assert plan.adjustments == replace(wanted, warmth=2)
    assert part.knobs.controls["shadows"].value == wanted.shadows
    assert "As set now" in part.now.value
    slide(part.knobs.controls["shadows"], wanted.shadows - 1)
    # to a tenth, as its knob has it
    lower = pytest.approx(wanted.shadows - 1, abs=1e-9)
    assert plan.adjustments.shadows == lower
    assert replace(plan.adjustments, shadows=wanted.shadows) == replace(wanted, warmth=2)
    now = tone_change(plan.picture, plan.paper, plan.adjustments)
    assert escape(now.sentence) in part.now.value
    part.drop.click()
    assert plan.adjustments == Adjustments(warmth=2)
    slide(part.warmth, 0)
    assert plan.adjustments is None and part.drop.disabled


def test_the_curve_is_drawn_once_with_its_suggestion_and_at_once_for_a_hand(plan, monkeypatch):
    from workbench.panels.print_file import adjustments as module

    drawn, known = [], threading.Event()
    update, honest = module.AdjustmentsFigure.update, module.suggestion

    def seen(figure, curves):
        drawn.append(curves)
        update(figure, curves)

    monkeypatch.setattr(module.AdjustmentsFigure, "update", seen)
    monkeypatch.setattr(module, "suggestion", lambda *a: known.wait(20) and honest(*a))
    panel = PrintFilePanel(plan)
    assert drawn == []
    known.set()
    settle(panel)
    assert len(drawn) == 1 and drawn[0].offered is not None
    known.clear()
    plan.intent = "perceptual"
    assert len(drawn) == 1
    slide(panel.adjustments.warmth, 2)
    assert len(drawn) == 2 and drawn[1].offered is None and drawn[1].accepted is not None
    known.set()
    settle(panel)
    assert len(drawn) == 3 and drawn[2].offered is not None
    close(panel)


def test_a_curve_that_would_fall_is_told_and_not_taken(panel, plan):
    part = panel.adjustments
    slide(part.knobs.controls["deep_shadows"], 8)
    assert plan.adjustments is None and "would not rise" in part.problem.text


def test_knobs_follow_the_plan(panel, plan):
    plan.adjustments = {"warmth": -2.5, "mid_tones": 3}
    part = panel.adjustments
    assert part.warmth.value == -2.5 and part.knobs.controls["mid_tones"].value == 3
    plan.adjustments = None
    assert not any(part.knobs.controls[name].value for name in TONES)


def test_the_suggestion_is_not_worked_out_again_while_sliders_move(panel, plan, monkeypatch):
    from workbench.panels.print_file import adjustments as print_file_adjustments

    asked = []
    real = suggest_adjustments
    monkeypatch.setattr(
        print_file_adjustments,
        "suggest_adjustments",
        lambda *a, **k: asked.append(a) or real(*a, **k),
    )
    for value in (1, 2, 3):
        slide(panel.adjustments.warmth, value)
        slide(panel.place.border, value)
    settle(panel)
    assert asked == []
    plan.intent = "perceptual"
    settle(panel)
    assert len(asked) == 1


def test_black_and_white_is_chosen_mixed_toned_and_told(panel, plan):
    part = panel.black_and_white
    assert part.mix.layout.display == part.toning.layout.display == "none"
    choose(part.choice, "By a mix of its channels")
    assert plan.adjustments == Adjustments(black_and_white="mix")
    assert part.mix.layout.display == part.toning.layout.display == ""
    controls = panel.adjustments.knobs.controls
    slide(controls["mix_red"], 100)
    slide(controls["shadow_chroma"], 30)
    assert (plan.adjustments.mix_red, plan.adjustments.shadow_chroma) == (1, 30)
    assert "instead of 30 in the shadows" in part.held.value
    assert part.said.value == "" or "Greys" not in part.said.value
    part.greys.button.click()
    settle(panel)
    assert "toning" in part.said.value and part.plot.image.value
    # warmth does nothing to it, and that is said
    slide(panel.adjustments.warmth, 3)
    assert "nothing to a print" in panel.adjustments.no_warmth.value
    choose(part.choice, "Off: the picture's colours")
    assert (
        plan.adjustments.warmth == 3
        and "nothing to a print" not in panel.adjustments.no_warmth.value
    )


# -- writing


def test_writing_tells_what_was_written_and_found(panel, plan, tmp_path):
    panel.writing.write_button.click()
    settle(panel)
    path = tmp_path / "harbour on Invented matte.tif"
    assert path.exists() and str(path) in panel.writing.said.text
    said = panel.writing.result.value
    assert hashlib.sha256(path.read_bytes()).hexdigest() in said
    assert said.count("✓") == 4 and "▲" not in said
    assert "every one as it was made" in said
    assert not panel.writing.write_button.disabled and panel.writing.cancel_button.disabled
    assert facts(path)["size"] == (900, 600)
    assert (
        Outcome.of(plan).written.path == path and Outcome.of(plan).written.checksum in said
    )  # for the record


def test_another_folder_and_name(panel, tmp_path):
    (tmp_path / "out").mkdir()
    type_in(panel.writing.folder, f"'{tmp_path / 'out'}'")
    type_in(panel.writing.name, "wall")
    panel.writing.write_button.click()
    settle(panel)
    assert (tmp_path / "out" / "wall.tif").exists()


def test_the_name_follows_the_paper_until_it_is_typed(panel, plan):
    plan.paper = replace(matte_paper(), name="Another sheet")
    assert panel.writing.name.value == "harbour on Another sheet.tif"
    type_in(panel.writing.name, "mine.tif")
    plan.paper = matte_paper()
    assert panel.writing.name.value == "mine.tif"


@pytest.mark.parametrize(
    ("folder", "name", "words"),
    [
        ("", "", "Give the file a name"),
        ("", "a/b.tif", "holds a folder"),
        ("", "print.xyz", "not a kind of print file"),
        ("nowhere", "print.tif", "no folder"),
        ("", "harbour.tif", "is the picture itself"),
        ("", "old.tif", "There is a file “old.tif” already"),
        ("", "<b>.xyz", "not a kind of print file"),
    ],
)
def test_impossible_targets_are_told_below_the_name(panel, tmp_path, folder, name, words):
    (tmp_path / "old.tif").write_bytes(b"old")
    before = {path: path.read_bytes() for path in tmp_path.iterdir()}
    if folder:
        type_in(panel.writing.folder, str(tmp_path / folder))
    type_in(panel.writing.name, name)
    panel.writing.write_button.click()
    settle(panel)
    assert words in panel.writing.problem.text
    assert "<b>" not in panel.writing.problem._line.value
    assert {path: path.read_bytes() for path in tmp_path.iterdir()} == before
    type_in(panel.writing.name, "fine.tif")
    assert panel.writing.problem.text == ""


def test_only_a_tick_replaces_and_never_the_original(panel, tmp_path):
    original = (tmp_path / "harbour.tif").read_bytes()
    (tmp_path / "old.tif").write_bytes(b"old")
    tick(panel.writing.replace)
    type_in(panel.writing.name, "harbour.tif")
    panel.writing.write_button.click()
    settle(panel)
    assert "is the picture itself" in panel.writing.problem.text
    assert (tmp_path / "harbour.tif").read_bytes() == original
    type_in(panel.writing.name, "old.tif")
    panel.writing.write_button.click()
    settle(panel)
    assert (tmp_path / "old.tif").stat().st_size > 1000


def test_cancelling_leaves_no_file(panel, plan, tmp_path, monkeypatch):
    plan.size_from, plan.long_side_mm = "size", 900
    monkeypatch.setattr("workbench.output.bands.BAND_PIXELS", 200_000)
    before = set(tmp_path.iterdir())
    begun = threading.Event()
    honest = writing.write_print_file

    def slow(*args, progress, **more):
        def told(share):
            progress(share)
            begun.set()
            time.sleep(0.02)

        return honest(*args, progress=told, **more)

    monkeypatch.setattr(writing, "write_print_file", slow)
    panel.writing.write_button.click()
    assert panel.writing.write_button.disabled and not panel.writing.cancel_button.disabled
    assert begun.wait(20)
    panel.writing.cancel_button.click()
    settle(panel)
    assert panel.writing.said.text == "Cancelled; nothing was written."
    assert set(tmp_path.iterdir()) == before
    assert not panel.writing.write_button.disabled
    # and it can be written afterwards
    monkeypatch.setattr(writing, "write_print_file", honest)
    panel.writing.write_button.click()
    settle(panel)
    assert "Written as" in panel.writing.said.text


def test_progress_is_shown_and_the_desk_s_worker_does_not_delay_it(plan, tmp_path):
    front = parts.Front()
    hold = threading.Event()
    front.scheduler.submit(
        "counting", lambda cancelled, progress: hold.wait(20), lambda result: None
    )
    panel = PrintFilePanel(plan, front)
    panel.show(True)
    shares = []
    honest = panel.writing.said.working

    def working(text, fraction=None):
        shares.append(fraction)
        honest(text, fraction)

    panel.writing.said.working = working
    panel.writing.write_button.click()
    assert panel.writing._work.wait_until_idle(60)
    assert "Written as" in panel.writing.said.text
    known = [share for share in shares if share is not None]
    assert known and known == sorted(known) and 0 < known[0] <= 1
    hold.set()
    close(panel)


def test_trouble_while_writing_is_a_sentence(panel, monkeypatch, tmp_path):
    import errno
    import os

    def fail(_handle):
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    before = set(tmp_path.iterdir())
    monkeypatch.setattr(os, "fsync", fail)
    panel.writing.write_button.click()
    settle(panel)
    assert "The disk is full" in panel.writing.said.text
    assert panel.writing.said.kind == "problem"
    assert not panel.writing.write_button.disabled
    assert set(tmp_path.iterdir()) == before


def test_what_moves_while_writing_does_not_change_the_file(panel, plan, tmp_path, monkeypatch):
    honest = writing.write_print_file
    begun, go_on = threading.Event(), threading.Event()

    def waiting(*args, **more):
        begun.set()
        go_on.wait(20)
        return honest(*args, **more)

    monkeypatch.setattr(writing, "write_print_file", waiting)
    panel.writing.write_button.click()
    assert begun.wait(20)
    plan.border_mm = 50
    go_on.set()
    settle(panel)
    assert facts(tmp_path / "harbour on Invented matte.tif")["size"] == (900, 600)


def test_file_sheet_and_plan_together(panel, plan, tmp_path):
    (tmp_path / "out").mkdir()
    type_in(panel.writing.folder, str(tmp_path / "out"))
    type_in(panel.notes, "For the north wall.")
    panel.writing.all_button.click()
    settle(panel)
    assert panel.writing.said.text.startswith("File, job sheet and plan are in")
    kinds = sorted(path.suffix for path in (tmp_path / "out").glob("harbour*"))
    assert kinds == [".html", ".pdf", ".tif", ".toml"]
    for path in (tmp_path / "out").glob("harbour*"):
        assert path.name in panel.writing.result.value
    stem = names_for(plan)
    assert {path.name for path in (tmp_path / "out").glob("harbour*")} == {
        stem + ending for ending in writing.RUN_ENDINGS
    }

    # again
    panel.writing.all_button.click()
    settle(panel)
    assert panel.writing.problem.kind == "problem"
    assert "already; choose another name" in panel.writing.problem.text
    panel.writing.replace.field.value = True
    assert panel.writing.problem.kind == ""
    panel.writing.all_button.click()
    settle(panel)
    assert panel.writing.said.text.startswith("File, job sheet and plan are in")
    type_in(panel.writing.name, "north wall.tif")
    panel.writing.replace.field.value = False
    panel.writing.all_button.click()
    settle(panel)
    named = {path.name for path in (tmp_path / "out").glob("north wall*")}
    assert named == {"north wall" + ending for ending in writing.RUN_ENDINGS}


def test_a_folder_that_is_not_there_is_told_and_not_made(panel, tmp_path):
    type_in(panel.writing.folder, str(tmp_path / "mistyped"))
    panel.writing.all_button.click()
    settle(panel)
    assert "There is no folder" in panel.writing.problem.text
    assert not (tmp_path / "mistyped").exists()


def test_what_was_said_of_a_name_goes_with_it(panel, tmp_path):
    panel.writing.plan_button.click()
    settle(panel)
    saved = next(tmp_path.glob("*plan.toml"))
    panel.writing.plan_button.click()
    settle(panel)
    assert panel.writing.problem.kind == "problem"
    type_in(panel.writing.opener.path, str(saved))
    panel.writing.opener.open_button.click()
    settle(panel)
    assert panel.writing.problem.kind == ""


def test_the_frame_follows_a_hand_on_the_drawing(panel, plan):
    settle(panel)
    drawing = panel.place.drawing.widget

    def hand(phase, x=0.5, y=0.5, **by):
        page_says(panel.front, drawing, "hand", phase=phase, x=x, y=y, **by)
        settle(panel)

    figure = panel.place.figure
    left, top, width, height = figure._placed(*figure._inner(figure._layout))
    hand("begin", (left + width / 4) / figure.size_px[0], (top + height * 0.6) / figure.size_px[1])
    assert panel.sharpening.across.value == pytest.approx(25, abs=0.6)
    assert panel.sharpening.down.value == pytest.approx(60, abs=0.6)
    hand("key", by_x=0.1)
    assert panel.sharpening.across.value == pytest.approx(35, abs=0.6)
    hand("move", -3, 7)
    assert (panel.sharpening.across.value, panel.sharpening.down.value) == (0, 100)


def test_the_print_follows_a_hand_on_its_sheet(panel, plan):
    plan.sheet, plan.on_sheet = "A2", True
    settle(panel)
    drawing, figure = panel.place.drawing.widget, panel.place.figure

    def hand(phase, x=0.5, y=0.5, **by):
        page_says(panel.front, drawing, "hand", phase=phase, x=x, y=y, **by)
        settle(panel)

    middle = panel.made.layout.front_box_px
    left, top, width, height = figure._placed(*middle)
    beside = (left + 6) / figure.size_px[0], (top + 6) / figure.size_px[1]
    assert not figure.on_window(*beside)
    looked_at = panel.sharpening.across.value
    by = [mm * figure.px_per_mm / px for mm, px in zip((15, -10), figure.size_px, strict=True)]
    hand("begin", *beside)
    hand("move", *beside, by_x=by[0], by_y=by[1])
    assert (plan.moved_right_mm, plan.moved_down_mm) == pytest.approx((15, -10), abs=0.05)
    assert panel.sharpening.across.value == looked_at
    # the file has it there: 15 mm and 10 mm in its pixels
    px = plan.printer_ppi / 25.4
    now = panel.made.layout.front_box_px
    assert (now[0] - middle[0], now[1] - middle[1]) == pytest.approx((15 * px, -10 * px), abs=2)
    hand("key", by_x=0.01)
    assert plan.moved_right_mm == pytest.approx(16, abs=0.05)
    # no further than the printer's margins, and back into the middle where it is let go near it
    hand("begin", *beside)
    hand("move", *beside, by_x=9, by_y=9)
    kept, made = panel.made.fit.kept, panel.made.layout
    x, y, width, height = made.front_box_px
    assert made.width_px - x - width == pytest.approx(kept.right_mm * px, abs=2)
    assert made.height_px - y - height == pytest.approx(kept.bottom_mm * px, abs=2)
    back = [
        -mm * figure.px_per_mm / px
        for mm, px in zip(panel.made.fit.moved_mm, figure.size_px, strict=True)
    ]
    hand("begin", 0.02, 0.02)
    hand("move", 0.02, 0.02, by_x=back[0] * 1.01, by_y=back[1])
    assert (plan.moved_right_mm, plan.moved_down_mm) == (0, 0)
    plan.moved_down_mm = 8
    # the frame, where the hand takes hold of it
    settle(panel)
    x, y, wide, high = figure._window_px(figure._window)
    hand("begin", (x + wide / 2) / figure.size_px[0], (y + high / 2) / figure.size_px[1])
    hand("move", 0.01, 0.5, by_x=-0.4, by_y=0)
    assert panel.sharpening.across.value == 0 and plan.moved_down_mm == 8
    # without its sheet a key moves the frame, whatever was held before
    hand("begin", *beside)
    plan.on_sheet = False
    hand("key", by_x=0.01)
    assert panel.sharpening.across.value == 1 and plan.moved_right_mm == 0


# -- plans


def test_a_plan_is_saved_and_opened_again(panel, plan, tmp_path):
    plan.border_mm, plan.sharpening, plan.copies = 12.0, 0.35, 3
    plan.adjustments = Adjustments(shadows=2.5)
    plan.converts, plan.bleed_mm, plan.notes = "driver", 8.0, "north wall"
    panel.writing.plan_button.click()
    settle(panel)
    assert "The plan is saved as" in panel.writing.said.text
    saved = next(tmp_path.glob("*plan.toml"))
    papers, own = plan.papers, plan.paper
    plan.border_mm, plan.sharpening, plan.copies = 0.0, "auto", 1
    plan.adjustments, plan.converts, plan.bleed_mm, plan.notes = None, "workbench", 0.0, ""
    type_in(panel.writing.opener.path, str(saved))
    panel.writing.opener.open_button.click()
    settle(panel)
    assert "The plan is open." in panel.writing.opener.status.text
    assert (plan.border_mm, plan.sharpening, plan.copies) == (12.0, 0.35, 3)
    assert plan.adjustments == Adjustments(shadows=2.5)
    assert (plan.converts, plan.bleed_mm, plan.notes) == ("driver", 8.0, "north wall")
    # the paper is the one at hand, not another of the same name
    assert plan.paper is own and plan.papers == papers
    assert panel.adjustments.knobs.controls["shadows"].value == 2.5
    assert panel.colours.converts.value == "driver"


def test_a_plan_is_not_saved_over_another_without_the_tick(panel, tmp_path):
    panel.writing.plan_button.click()
    settle(panel)
    panel.writing.plan_button.click()
    settle(panel)
    assert "already" in panel.writing.problem.text
    tick(panel.writing.replace)
    panel.writing.plan_button.click()
    settle(panel)
    assert panel.writing.problem.text == "" and "is saved" in panel.writing.said.text


def test_a_file_that_is_no_plan_is_told_and_the_plan_stays(panel, plan, tmp_path):
    (tmp_path / "no.toml").write_text("size = [", encoding="utf-8")
    plan.border_mm = 7.0
    type_in(panel.writing.opener.path, str(tmp_path / "no.toml"))
    panel.writing.opener.open_button.click()
    settle(panel)
    assert panel.writing.opener.status.kind == "problem"
    assert plan.border_mm == 7.0


def test_opening_a_plan_can_be_stopped(panel, plan, tmp_path, monkeypatch):
    import workbench.plan_file

    (tmp_path / "slow.toml").write_text("", encoding="utf-8")
    begun, ended = threading.Event(), threading.Event()

    def slowly(path, *, cancelled, **_):
        begun.set()
        while not cancelled():
            ended.wait(0.01)
        ended.set()
        raise Cancelled

    monkeypatch.setattr(workbench.plan_file, "open_plan", slowly)
    plan.border_mm = 7.0
    type_in(panel.writing.opener.path, str(tmp_path / "slow.toml"))
    panel.writing.opener.open_button.click()
    assert begun.wait(10) and not panel.writing.stop_button.disabled
    panel.writing.stop_button.click()
    assert ended.wait(10)
    settle(panel)
    assert panel.writing.opener.status.text == "Cancelled; the plan is as it was."
    assert panel.writing.stop_button.disabled and plan.border_mm == 7.0


# -- manners


def test_without_a_picture_it_asks_for_one_until_there_is_one(picture):
    panel = PrintFilePanel(Plan())
    assert panel.status.text == "Open a picture to see its print file here."
    panel.writing.write_button.click()
    assert "open a picture" in panel.writing.said.text
    with panel.plan.hold_trait_notifications():
        panel.plan.papers, panel.plan.paper = (matte_paper(),), matte_paper()
        panel.plan.picture = picture
    settle(panel)
    assert panel.status.text == "" and "A TIFF file" in panel.answer.text
    close(panel)


def test_a_picture_without_a_profile_is_told(panel, plan, tmp_path):
    plan.picture = save_picture(tmp_path, scene(), "untagged.tif", space=None)
    settle(panel)
    assert "“untagged.tif” has no colour profile" in panel.status.text
    assert panel.made is None
    plan.picture = plan.picture.assume("sRGB")
    settle(panel)
    assert panel.status.text == "" and panel.made is not None


def test_a_paper_known_by_readings_alone_can_only_go_by_the_driver(panel, plan):
    white = reading(lab=(95, 0, 2), illuminant="D50", observer_deg=2)
    plan.paper = measured_paper("Read sheet", white)
    assert "“Read sheet” is known by readings" in panel.status.text
    assert panel.made is None
    plan.converts = "driver"
    settle(panel)
    assert panel.status.text == panel.sharpening.problem.text == ""
    assert "with a profile" in panel.adjustments.offer.value
    panel.writing.write_button.click()
    settle(panel)
    assert "Written as" in panel.writing.said.text


def test_a_grey_picture(panel, plan, tmp_path):
    tifffile.imwrite(
        tmp_path / "grey.tif", scene()[..., 1], photometric="minisblack",
        iccprofile=standard_profile("Grey, power 2.2"),
    )  # fmt: skip
    plan.picture = open_picture(tmp_path / "grey.tif")
    settle(panel)
    assert panel.status.text == "" and panel.sharpening.problem.text == ""
    panel.writing.write_button.click()
    settle(panel)
    assert "Written as" in panel.writing.said.text


def test_on_a_desk_it_has_no_knobs_of_its_own_and_waits_until_shown(plan):
    panel = PrintFilePanel(plan, parts.Front())
    assert not hasattr(panel, "intent") and panel.answer.text == ""
    panel.show(True)
    assert "A TIFF file" in panel.answer.text
    panel.show(False)
    said = panel.answer.text
    plan.border_mm = 30
    assert panel.answer.text == said
    panel.show(True)
    assert panel.answer.text != said
    settle(panel)
    close(panel)


def test_the_panel_alone_has_paper_and_intent(panel, plan):
    other = replace(matte_paper(), name="Second <sheet>")
    plan.papers = (*plan.papers, other)
    choose(panel.paper, "2. Second <sheet>")
    assert plan.paper is other
    choose(panel.intent, "perceptual")
    assert plan.intent == "perceptual"
    assert "<sheet>" not in panel.answer.widget.value
    assert "&lt;sheet&gt;" in panel.answer.widget.value


def test_every_control_has_a_name_and_help(panel):
    place, sharp, colours = panel.place, panel.sharpening, panel.colours
    controls = [
        place.border, place.weight, place.bars, place.bleed_mm, place.bleed, place.sheet.choice,
        colours.converts, colours.kind, colours.bit_depth, colours.compression,
        sharp.way, sharp.strength, sharp.compare, sharp.zoom, sharp.across, sharp.down,
        sharp.divider, *panel.adjustments.knobs.controls.values(), panel.copies, panel.description,
        panel.notes, panel.writing.folder, panel.writing.name,
    ]  # fmt: skip
    for control in controls:
        assert control.label and len(control.help) > 10
        assert panel.front.attributes(control.field)["aria-label"] == control.name
    for ticked in (place.on_sheet, panel.writing.replace):
        assert ticked.label and ticked.field.tooltip == ticked.help
    assert place.border.name.endswith("(cm)") and sharp.across.name.endswith("(%)")
    for view in (place.drawing, panel.adjustments.plot, sharp.view):
        assert len(view.alt) > 30
