"""The test strip panel without a browser: knobs lay out strips, steps go into the plan."""

import io
import threading
from dataclasses import replace
from html import unescape

import numpy as np
import pytest
import tifffile
from gang.makers import make_strip
from output.makers import SPACE, as_picture, matte_paper, scene
from panel_helpers import settle

import workbench as wb
from workbench.analysis.place import place_of
from workbench.colour.spaces import standard_profile
from workbench.files import free_path
from workbench.gang import writing
from workbench.output.adjust import Adjustments, as_adjustments, former_tones
from workbench.output.care import CUTTING
from workbench.output.ink import ink_load
from workbench.panels.strip import panel as panel_module
from workbench.panels.strip.panel import StripPanel
from workbench.plan import Plan


@pytest.fixture(scope="module")
def paper():
    return replace(matte_paper(), price_per_sheet=(("A4", 1.2), ("A2", 6.0)), currency="EUR")


@pytest.fixture
def plan(paper):
    return Plan(
        picture=as_picture(scene()), paper=paper, size_from="size", long_side_mm=250.0,
        printer_ppi=120.0,
    )  # fmt: skip


@pytest.fixture
def panel(plan, open_panel):
    return open_panel(StripPanel, plan)


def press(writer, folder):
    writer.folder.field.value = folder
    writer.buttons["write"].click()


def strip_of(panel):
    return panel._laid.strip


def step(panel, label):
    return next(s for text, s in panel.liked.field.options if text == label)


# laying out ------------------------------------------------------------------------------


def test_a_strip_is_laid_out_at_once(panel):
    assert panel.status.kind == ""
    strip = strip_of(panel)
    assert panel.answer.text == strip.sentences("cm")[0]
    assert "on A4 (21 × 29.7 cm)" in panel.answer.text or "(29.7 × 21 cm)" in panel.answer.text
    assert "1.20 EUR (one sheet of A4)" in panel.answer.widget.value
    # the ink that the patches take: their area by what a square metre of this picture takes,
    # at its price
    width, height = strip.patch_mm
    ml = width * height * len(strip.patches) / 1e6 * 12 * ink_load(strip.job, strip.layout)
    panel.plan.ink_ml_per_m2, panel.plan.ink_price_per_ml = 12.0, 0.5
    settle(panel)
    assert f"{1.2 + ml * 0.5:.2f} EUR together" in panel.answer.widget.value
    assert panel.drawing.image.value[:4] == b"\x89PNG"
    assert "as planned" in panel.drawing.alt
    assert set(panel._laid.proofs) == {(p.crop.letter, p.step) for p in strip.patches}


def test_each_row_says_what_it_tests_and_how_far_its_steps_are_apart(panel):
    strip = strip_of(panel)
    said = [unescape(reason.value) for reason in panel.controls.reasons.values()]
    for row in strip.rows:
        assert row.apart >= 1.5 and sum(row.sentence in each for each in said) == 1
    assert all(sentence in unescape(panel.short.value) for sentence in strip.short)


def test_ticks_place_and_sheet_make_another_strip(panel):
    first = [row.name for row in strip_of(panel).rows]
    panel.controls.rows["around"].field.value = False
    settle(panel)
    assert [row.name for row in strip_of(panel).rows] == first[:-1]
    panel.controls.own.field.value = True
    panel.controls.own_x.field.value = 80
    panel.controls.own_y.field.value = 25
    settle(panel)
    last = strip_of(panel).rows[-1]
    telling = last.crop.telling
    assert (telling.x, telling.y, telling.name) == (0.8, 0.25, "chosen")
    assert last.name == "lightness and warmth"
    panel.controls.sheet.choice.field.value = "A5"
    settle(panel)
    assert strip_of(panel).sheet.name == "A5" and "A5" in panel.answer.text


def test_a_click_on_the_picture_gives_the_place_of_ones_own(panel, plan):
    settle(panel)
    panel.front.pointed = (0.25, 0.75)  # nothing asks for a place yet
    assert panel.controls.own_x.value == 50
    panel.controls.own.field.value = True
    panel.front.pointed = (0.2, 0.7)
    settle(panel)
    assert panel.controls.own_place == pytest.approx((0.2, 0.7), abs=0.002)
    plan.crop_ratio = "1:1"  # shares of the print, not of the picture
    panel.front.pointed = (0.01, 0.5)
    settle(panel)
    assert panel.controls.own_place == pytest.approx((0.0, 0.5), abs=0.002)


def test_no_row_ticked_is_told_and_nothing_stale_shown(panel):
    for tick in panel.controls.rows.values():
        tick.field.value = False
    settle(panel)
    assert "Tick at least one decision" in panel.status.text
    assert panel.results.layout.display == "none"
    press(panel.writer, "/")
    assert "no strip to write" in panel.writer.said.text
    panel.controls.rows["around"].field.value = True
    settle(panel)
    assert panel.status.text == "" and panel.results.layout.display == ""


def test_a_sheet_that_is_none_is_told(panel):
    panel.controls.sheet.choice.field.value = "\0typed"
    panel.controls.sheet.typed.field.value = "roll 24 in"
    settle(panel)
    assert "is a roll" in panel.status.text and panel.status.kind == "problem"
    panel.controls.sheet.typed.field.value = "20 x 15 cm"
    settle(panel)
    assert panel.status.kind == "" and "150 × 200 mm" in strip_of(panel).sheet.name


def test_without_picture_or_paper_it_says_so(paper):
    empty = StripPanel(Plan())
    assert "Open a picture" in empty.status.text
    half = StripPanel(Plan(picture=as_picture(scene())))
    assert "Choose a paper" in half.status.text
    half.plan.converts = "driver"
    settle(half)
    assert half.status.kind == "" and strip_of(half).job.converts == "driver"
    # what the driver will do is not known, nor what the place then asks for
    half.controls.rows["place"].field.value = True
    settle(half)
    assert half.status.kind == "problem" and "untick the row" in half.status.text
    for each in (empty, half):
        each.front.scheduler.close()


def test_an_untagged_picture_is_told_in_words(plan, panel):
    file = io.BytesIO()
    tifffile.imwrite(file, scene(), photometric="rgb")
    plan.picture = wb.open_picture(file.getvalue(), name="plain.tif")
    settle(panel)
    assert "no colour profile" in panel.status.text
    assert panel.results.layout.display == "none"


def test_names_from_files_are_escaped(plan, panel):
    plan.picture = as_picture(scene())
    object.__setattr__(plan.picture, "name", "<b>bold</b>.tif")
    panel.nest.add_print()
    settle(panel)
    assert "<b>bold" not in panel.answer.widget.value + panel.nest.answer.widget.value
    assert "<b>bold" not in panel.taken.value + panel.writer.notes.value


def test_a_hidden_panel_does_no_work_until_it_is_shown(plan, panel):
    on_desk = StripPanel(plan, panel.front)
    settle(on_desk)
    assert on_desk._laid is None
    on_desk.show(True)
    settle(on_desk)
    assert on_desk.answer.text == panel.answer.text
    on_desk.show(False)
    before = on_desk._laid
    plan.long_side_mm = 180.0
    settle(on_desk)
    assert on_desk._laid is before


def test_sizes_follow_the_unit(plan, panel):
    panel.nest.add_print()
    settle(panel)
    plan.unit = "in"
    settle(panel)
    assert " in each" in panel.answer.text and " in" in panel.nest.list.options[0]
    assert panel.nest.gap.unit == panel.nest.margin.unit == "in"
    panel.nest.gap.slider.set_state({"value": 0.5})
    settle(panel)
    assert panel.nest.nest.gap_mm == pytest.approx(12.7)


# choosing --------------------------------------------------------------------------------


def test_plain_and_for_the_place_lie_side_by_side(plan, panel):
    own = Adjustments(warmth=1)
    plan.light, plan.illuminance_lux, plan.glass = "2700 K", 60.0, "plain"
    plan.adjustments = own
    for kind, tick in panel.controls.rows.items():
        tick.field.value = kind == "place"
    settle(panel)
    (row,) = strip_of(panel).rows
    (line,) = row.lines
    assert [each.label for each in line] == ["as planned", "for the place"]
    assert line[0].adjustments == own and row.gaps[0][1] > 1.5
    made = line[1].adjustments
    found = wb.print_for_place(plan, place=place_of(plan), long_side_px=60).adjustments
    assert made == own.taking(found) and "60 lux" in made.made_for and made.chroma_gain > 1
    patches = [strip_of(panel).pixels(row.crop, each) for each in line]
    whole = replace(strip_of(panel).job, adjustments=made)
    again = make_strip(whole, [(row.crop.telling.x, row.crop.telling.y)], (0,),
                       crop_mm=strip_of(panel).patch_mm)  # fmt: skip
    off = patches[1].astype(int) - again.pixels(again.crops[0], again.steps[0])
    assert np.abs(off).max() <= 64  # a thousandth: cut out of another rectangle
    panel.liked.field.value = line[1]
    settle(panel)
    assert plan.adjustments == made and strip_of(panel).rows[0].lines == row.lines
    # made elsewhere: the plain print stands beside it
    panel._rebase()
    settle(panel)
    line = strip_of(panel).rows[0].lines[0]
    assert [each.label for each in line] == ["plain", "as planned"]
    assert line[0].adjustments == own


def lighter(panel):
    return next(s for s in strip_of(panel).steps if s.lightness > 0 and not s.warmth)


def darker(panel):
    return next(s for s in strip_of(panel).steps if s.lightness < 0 and not s.warmth)


def test_the_step_that_was_liked_goes_into_the_plan(plan, panel):
    plan.adjustments = Adjustments(shadows=2)
    settle(panel)
    drawn = panel.drawing.image.value
    panel.liked.field.value = liked = lighter(panel)
    by = liked.lightness
    assert plan.adjustments == Adjustments(shadows=2).moved(former_tones(lightness=by).values())
    settle(panel)
    # the strip on the table stays the one it was
    assert strip_of(panel).job.adjustments == Adjustments(shadows=2)
    assert panel.liked.value == liked and panel.drawing.image.value != drawn
    assert f"middle tones +{by:.1f} L*" in panel.taken.value
    panel.liked.field.value = step(panel, "as planned")
    assert plan.adjustments == Adjustments(shadows=2)
    panel.liked.field.value = darker(panel)
    settle(panel)
    panel.liked.field.value = ""
    assert plan.adjustments == Adjustments(shadows=2)


def test_another_strip_begins_at_the_choice(plan, panel):
    assert panel.around.disabled
    panel.liked.field.value = liked = lighter(panel)
    assert not panel.around.disabled
    panel.around.click()
    settle(panel)
    assert strip_of(panel).job.adjustments == liked.adjustments
    assert panel.liked.value == "" and panel.around.disabled
    panel.liked.field.value = step(panel, "as planned")
    assert as_adjustments(plan.adjustments) == liked.adjustments


def test_adjustments_from_elsewhere_are_what_is_planned(plan, panel):
    panel.liked.field.value = lighter(panel)
    plan.adjustments = Adjustments(mid_tones=1)
    settle(panel)
    assert strip_of(panel).job.adjustments == Adjustments(mid_tones=1)
    assert panel.liked.value == ""


# writing ---------------------------------------------------------------------------------


def written(panel):
    assert panel.front.scheduler.wait_until_idle(60)


def test_the_strip_is_written_into_the_folder(panel, tmp_path):
    panel.writer.folder.field.value = str(tmp_path)
    panel.writer.buttons["write"].click()
    written(panel)
    path = tmp_path / "scene, test strip.tif"
    assert panel.writer.said.text == f"Written: {path}"
    strip = strip_of(panel)
    assert tifffile.imread(path).shape[:2] == (strip.height_px, strip.width_px)
    assert "own colour conversion off" in unescape(panel.writer.notes.value)
    assert panel.writer.cancel.disabled
    press(panel.writer, f'"{tmp_path}"')
    written(panel)
    assert (tmp_path / "scene, test strip-2.tif").exists()


def test_beside_the_picture_unless_a_folder_is_given(plan, panel, tmp_path):
    path = tmp_path / "own.tif"
    tifffile.imwrite(path, scene(), photometric="rgb", iccprofile=standard_profile(SPACE))
    before = path.read_bytes()
    plan.picture = wb.open_picture(path)
    settle(panel)
    press(panel.writer, "")
    written(panel)
    assert (tmp_path / "own, test strip.tif").exists() and path.read_bytes() == before


def test_a_missing_folder_is_told(panel, tmp_path):
    press(panel.writer, str(tmp_path))
    written(panel)
    assert panel.writer.notes.value
    press(panel.writer, str(tmp_path / "none"))
    assert panel.writer.notes.value == ""  # of the one before
    assert "does not exist; make the folder" in panel.writer.said.text
    assert panel.writer.said.kind == "problem"


def test_giving_up_leaves_nothing(panel, tmp_path, monkeypatch):
    begun, stopped = threading.Event(), threading.Event()

    def slow(strip, path, progress, cancelled):
        def told():
            begun.set()
            if cancelled():
                stopped.set()
            return cancelled()

        def waiting(share):
            stopped.wait(0.01)

        for _ in range(2000):
            if told():
                break
            waiting(0)
        return writing.write_strip(strip, path, cancelled=told)

    monkeypatch.setattr(panel_module, "write_strip", slow)
    press(panel.writer, str(tmp_path))
    assert begun.wait(20) and not panel.writer.cancel.disabled
    panel.writer.cancel.click()
    written(panel)
    assert stopped.is_set() and list(tmp_path.iterdir()) == []
    assert panel.writer.said.text == "Cancelled; nothing was written."
    assert panel.writer.cancel.disabled


def test_names_that_are_taken(tmp_path):
    assert free_path(str(tmp_path), "a/b: c", ".tif").name == "a b c.tif"
    (tmp_path / "a b c.tif").touch()
    assert free_path(str(tmp_path), "a/b: c", ".tif").name == "a b c-2.tif"


def test_a_liked_step_a_unit_and_a_price_lay_nothing_out_again(plan, panel, monkeypatch):
    laid = []
    honest = panel_module.test_strip
    monkeypatch.setattr(
        panel_module, "test_strip", lambda *a, **k: laid.append(1) or honest(*a, **k)
    )
    panel.liked.field.value = lighter(panel)
    plan.unit, plan.ink_ml_per_m2, plan.ink_price_per_ml = "in", 10.0, 1.0
    settle(panel)
    assert laid == [] and " in" in panel.answer.text and "ink about" in panel.answer.widget.value
    plan.border_mm = 5.0
    settle(panel)
    assert laid


# several on one sheet --------------------------------------------------------------------


def test_prints_are_added_nested_and_written(plan, panel, tmp_path):
    part = panel.nest
    assert part.result.layout.display == "none" and part.remove.disabled
    part.copies.field.value = 2
    part.add.click()
    plan.long_side_mm = 150.0
    part.copies.field.value = 1
    part.add.click()
    part.sheet.choice.field.value = "A2"
    settle(panel)
    assert len(part.list.options) == 3 and len(part.nest.pieces) == 3
    assert part.answer.text == "3 prints on one sheet of A2 instead of 3 sheets."
    assert "6.00 EUR (one sheet of A2)" in part.answer.widget.value
    assert "of the paper carries prints" in part.answer.widget.value
    assert any(CUTTING in getattr(item, "value", "") for item in part.result.children)
    assert part.drawing.image.value and "3 pieces" in part.drawing.alt
    press(part.writer, str(tmp_path))
    written(panel)
    sheet = tifffile.imread(tmp_path / "3 prints on A2.tif")
    assert sheet.shape[:2] == (part.nest.height_px, part.nest.width_px)


def test_prints_are_taken_out(panel):
    part = panel.nest
    part.copies.field.value = 3
    part.add.click()
    settle(panel)
    part.list.index = 1
    part.remove.click()
    assert len(part.jobs) == 2
    part.list.index = None
    part.remove.click()
    assert "Choose a print" in part.said.text
    part.empty.click()
    assert part.jobs == [] and part.nest is None and part.result.layout.display == "none"
    press(part.writer, "/")
    assert "no sheet to write" in part.writer.said.text


def test_what_cannot_share_a_sheet_is_told_and_not_added(plan, panel):
    part = panel.nest
    part.add.click()
    plan.printer_ppi = 240.0
    part.add.click()
    assert "a file has one resolution" in part.said.text and len(part.jobs) == 1
    plan.printer_ppi = 120.0
    part.copies.field.value = 60
    part.add.click()
    assert "At most 60 prints" in part.said.text and len(part.jobs) == 1


def test_what_does_not_fit_is_told(plan, panel):
    part = panel.nest
    part.add.click()
    part.sheet.choice.field.value = "A6"
    settle(panel)
    assert "None of these prints fits A6." == part.answer.text
    assert "no room for scene.tif" in part.answer.widget.value
    press(part.writer, "/")
    written(panel)
    assert "nothing to write" in part.writer.said.text


def test_every_control_has_a_name_and_help(panel):
    controls = [
        *panel.controls.rows.values(), panel.controls.own, panel.controls.own_x,
        panel.controls.own_y, panel.controls.sheet.choice, panel.controls.sheet.typed,
        panel.liked, panel.writer.folder, panel.nest.copies, panel.nest.gap, panel.nest.margin,
        panel.nest.turn, panel.nest.marks, panel.nest.sheet.choice,
    ]  # fmt: skip
    for control in controls:
        assert control.label and control.help.strip(), control.label
    names = [control.name for control in controls]
    assert len(names) == len(set(names))
    for button in (panel.writer.buttons["write"], panel.writer.cancel, panel.around, panel.nest.add,
                   panel.nest.remove, panel.nest.empty, panel.nest.writer.buttons["write"]):  # fmt: skip
        assert button.tooltip and button.description


def test_in_black_and_white_a_row_says_that_it_steps_through_lightness_alone(panel):
    panel.plan.adjustments = Adjustments(black_and_white="lightness")
    settle(panel)
    (row,) = (each for each in strip_of(panel).rows if each.kind == "around")
    assert not any(step.warmth for line in row.lines for step in line)
    assert row.sentence.startswith(f"{row.crop.letter}, lightness, at the ")
    assert row.sentence in unescape(panel.controls.reasons["around"].value)
