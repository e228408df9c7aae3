"""The gamut panel, driven without a browser: the plan, the words, the plots and the pictures."""

from __future__ import annotations

import io
import re
import threading

import numpy as np
import pytest
import tifffile
from helpers import coated_profile
from panel_helpers import decoded, page_says, settle, slide

from workbench.analysis.colour_at import colour_at
from workbench.analysis.gamut import colour_shift, gamut_report
from workbench.analysis.words import percent, volume_words
from workbench.colour.difference import delta_e_2000
from workbench.colour.engine import LAB, transform
from workbench.colour.inkmodel import model_profile
from workbench.colour.shell import gamut_shell
from workbench.colour.spaces import standard_profile
from workbench.panels import parts
from workbench.panels.gamut.panel import PREVIEW_PX, GamutPanel
from workbench.panels.gamut.words import WAYS
from workbench.paper import open_paper
from workbench.picture import open_picture
from workbench.plan import Plan


def picture(pixels, space="sRGB"):
    stream = io.BytesIO()
    profile = standard_profile(space) if space else None
    tifffile.imwrite(stream, pixels, photometric="rgb", iccprofile=profile)
    return open_picture(stream.getvalue(), name="made by hand")


@pytest.fixture(scope="module")
def papers():
    return (
        open_paper(model_profile((96, 0, -4), 2.3, finish="gloss", grid=17), name="Gloss"),
        open_paper(model_profile((96, 0, 1), 1.6, finish="matte", grid=17), name="Matte"),
        open_paper(coated_profile(), name="Press"),
    )


def by_quarters():
    """A grey half, a quarter of pure blue and a quarter of black."""
    pixels = np.full((60, 80, 3), 118, np.uint8)
    pixels[:30, 40:] = (0, 0, 255)
    pixels[30:, 40:] = 0
    return picture(pixels)


@pytest.fixture(scope="module")
def colourful():
    return by_quarters()


@pytest.fixture
def plan(papers, colourful):
    made = Plan()
    made.papers, made.paper, made.picture = papers, papers[1], colourful
    made.black_point_compensation = False
    return made


@pytest.fixture
def panel(plan, open_panel):
    return open_panel(GamutPanel, plan)


def rest(panel):
    settle(panel)
    assert panel.picture.flat.wait_until_settled()


def drawings(panel):
    return {
        name: getattr(panel, name).image.value
        for name in ("distribution", "reasons", "slice", "solid", "picture")
    }


def changed(before, after):
    return {name for name in before if before[name] != after[name]}


def shown(panel):
    return decoded(panel.picture.image).astype(int)


def table_rows(panel):
    rows = re.findall(r"<tr.*?</tr>", panel.table.value)[1:]
    return [
        [re.sub("<.*?>", "", c) for c in re.findall(r"<t[hd][^>]*>.*?</t[hd]>", r)] for r in rows
    ]


# -- the answers


def test_the_sentences_say_share_distance_and_reason(panel, plan):
    assert panel.share.text == (
        "50 % of the picture is out of this paper's gamut, above all shadows that are too dark for this black."
    )
    assert panel.share.mark == panel.far.mark == panel.reason.mark == "whole picture, every pixel"
    shift = colour_shift(plan.picture, plan.paper, **plan.rendering)
    assert f"95 % of the pixels move by less than {shift.percentiles[95]:.1f}" in panel.far.text
    assert "25 % of the picture is too" in panel.reason.text
    assert "25 % is too" in panel.reason.text
    assert "relative to the paper&#x27;s white" in panel.far.widget.value


def test_first_a_quick_count_then_the_whole_picture(plan):
    plan.picture = by_quarters()  # nobody has counted this one yet
    front, gate = parts.Front(), threading.Event()
    front.scheduler.on(parts.WHOLE, 0).submit("gate", lambda *_: gate.wait(60), lambda _: None)
    panel = GamutPanel(plan, front)
    panel.show(True)
    assert panel.share.mark == panel.far.mark == "quick count"
    assert panel.share.text.startswith("50 % of the picture")
    assert "Being counted" in panel.table.value
    gate.set()
    rest(panel)
    assert panel.share.mark == panel.far.mark == "whole picture, every pixel"
    assert len(table_rows(panel)) == len(WAYS)
    front.scheduler.close()


def test_every_plot_and_picture_is_described(panel):
    for view in (panel.distribution, panel.reasons, panel.slice, panel.solid):
        assert len(view.alt) > 40 and view.image.value
    assert "50 %" in panel.distribution.alt
    assert "Vermilion marks what is out of gamut: 50 % of the picture" in panel.picture.alt


# -- the threshold


def test_the_threshold_moves_plan_sentences_and_plots(panel, plan):
    slide(panel.controls.lightness, 30)  # where the blue is
    rest(panel)
    before = drawings(panel)
    slide(panel.controls.threshold, 15.0)
    assert plan.threshold == 15.0
    expected = gamut_report(plan.picture, plan.paper, threshold=15.0)
    assert panel.share.text == expected.sentence
    assert expected.share_outside < 0.5
    assert {"distribution", "picture"} <= changed(before, drawings(panel))
    rest(panel)
    assert changed(before, drawings(panel)) == {
        "distribution", "reasons", "slice", "solid", "picture",
    }  # fmt: skip
    assert "by more than 15.0 CIEDE2000" in panel.table.value


def test_a_plan_set_from_code_moves_the_slider(panel, plan):
    plan.threshold = 7.5
    assert panel.controls.threshold.value == 7.5
    assert "Counted from 7.5" in panel.share.widget.value


def test_a_threshold_below_the_noise_is_said_to_be(panel, plan):
    panel.controls.threshold.field.value = 0.1
    assert plan.threshold == 0.1
    floor = plan.paper.noise_floor
    assert f"Counted from {floor:.1f} CIEDE2000 on: the noise of this profile" in (
        panel.share.widget.value.replace("&#x27;", "'")
    )


# -- where


def test_stripes_lie_where_the_paper_falls_short(panel):
    pixels = shown(panel)
    grey = pixels[:, :38].reshape(-1, 3)
    assert np.abs(grey - grey.mean(axis=1, keepdims=True)).max() < 4
    yellow = (pixels[..., 1] - pixels[..., 2] > 60) & (pixels[..., 0] > 120)
    assert yellow[:, 42:].mean() > 0.3 and not yellow[:, :38].any()


def test_marks_can_be_taken_away_recoloured_and_changed(panel, plan):
    striped = shown(panel)
    panel.controls.marks.field.value = False
    plain = shown(panel)
    assert np.abs(plain[5:25, 45:75] - [0, 0, 255]).max() < 12  # sRGB blue as it is
    assert "gamut" not in panel.picture.alt
    panel.controls.marks.field.value = True
    panel.controls.marks_colour.field.value = "#ffffff"
    white = shown(panel)
    assert np.abs(white - striped).max() > 100
    assert panel.picture.alt.endswith("White marks what is out of gamut: 50 % of the picture.")
    # the paper cannot hold black, with compensation or without
    black_corner = np.s_[35:55, 45:75]
    assert shown(panel)[black_corner].max() > 150
    plan.black_point_compensation = True
    rest(panel)
    assert shown(panel)[black_corner].max() > 150
    panel.controls.marks_of.field.value = "moved"
    assert "is moved by the print" in panel.picture.alt


@pytest.mark.parametrize("of", ["beyond", "moved"])
@pytest.mark.parametrize("intent", ["relative", "perceptual", "absolute"])
def test_the_overlay_covers_the_share_that_is_counted(panel, plan, of, intent):
    """Every colour of its own place and share: stripes lie on those that lie beyond the limit."""
    shares = np.array([0.3, 0.25, 0.2, 0.15, 0.1])
    colours = [(0, 0, 255), (118, 118, 118), (255, 255, 255), (20, 20, 20), (230, 30, 40)]
    widths = (shares * 80).astype(int)
    plan.picture = picture(np.repeat(np.array([colours], np.uint8), widths, axis=1).repeat(60, 0))
    plan.intent, plan.threshold = intent, 4.0
    panel.controls.marks_of.field.value = of
    panel.controls.marks.field.value = False
    rest(panel)
    plain = shown(panel)
    panel.controls.marks.field.value = True
    rest(panel)
    marked = (np.abs(shown(panel) - plain).max(-1) > 8).mean(axis=0) > 0.5
    counted = (
        gamut_report(plan.picture, plan.paper, threshold=4.0).share_outside
        if of == "beyond"
        else colour_shift(plan.picture, plan.paper, **plan.rendering, threshold=4.0).share_moved
    )
    assert 0.05 < counted < 0.95
    assert marked.mean() == pytest.approx(counted, abs=0.02)
    assert f"{percent(counted)} of the picture" in panel.picture.alt


def test_the_picture_below_can_be_the_print(panel):
    panel.controls.marks.field.value = False
    before = shown(panel)
    panel.controls.below.field.value = "print"
    after = shown(panel)
    assert panel.picture.alt == "The picture as it will print on Matte"
    assert after[35:55, 45:75].mean() > before[35:55, 45:75].mean() + 20  # the paper's black
    assert np.abs(after[:, :38] - before[:, :38]).max() < 6


# -- slice and solid


def test_lightness_moves_the_slice_at_once_and_the_ring_after(panel):
    before = drawings(panel)
    slide(panel.controls.lightness, 30)
    assert changed(before, drawings(panel)) == {"slice"}
    assert "at lightness 30" in panel.slice.alt
    ring = gamut_shell(panel.plan.paper.profile).outline(30)
    np.testing.assert_array_equal(np.transpose(panel.slice.figure.outline.get_data()), ring)
    rest(panel)
    assert changed(before, drawings(panel)) == {"slice", "solid"}
    slide(panel.controls.tilt, 0)  # from the side height is lightness, from its middle
    rest(panel)
    assert np.asarray(panel.solid.figure.ring.get_ydata()) == pytest.approx(30 - 50)
    slide(panel.controls.tilt, 90)  # from above the ring is the slice's outline, turned
    rest(panel)
    seen = np.transpose(panel.solid.figure.ring.get_data())
    assert np.hypot(*seen.T) == pytest.approx(np.hypot(*ring.T))


def test_the_slice_shows_the_colours_near_its_lightness(panel, plan):
    pixels = np.unique(plan.picture.pixels().reshape(-1, 3), axis=0)
    lab = transform(pixels, plan.picture.profile, LAB, dtype=np.float64)
    for lightness in np.round(lab[:, 0]):
        slide(panel.controls.lightness, lightness)
        figure = panel.slice.figure
        shown = np.concatenate([figure.held.get_offsets(), figure.outside.get_offsets()])
        near = lab[np.abs(lab[:, 0] - lightness) < 2.5][:, 1:]
        assert len(shown) == len(near) < len(lab)
        away = np.linalg.norm(shown[:, None] - near[None], axis=-1).min(axis=1)
        assert away.max() < 0.5 and f"of {len(near)} groups" in panel.slice.alt


@pytest.mark.parametrize("knob, value", [("turn", 120), ("tilt", 80)])
def test_turning_moves_the_solid_alone(panel, knob, value):
    before = drawings(panel)
    slide(getattr(panel.controls, knob), value)
    rest(panel)
    assert changed(before, drawings(panel)) == {"solid"}


def test_another_papers_outline_comes_from_the_plan_and_goes_to_it(panel, plan, papers):
    labels = [label for label, _ in panel.controls.other.field.options]
    assert labels == ["none", "1. Gloss", "3. Press"]
    before = drawings(panel)
    panel.controls.other.field.value = 2
    assert plan.other_paper is papers[2]
    rest(panel)
    assert changed(before, drawings(panel)) >= {"slice"}
    ring = gamut_shell(papers[2].profile).outline(panel.controls.lightness.value)
    np.testing.assert_array_equal(np.transpose(panel.slice.figure.other.get_data()), ring)
    plan.other_paper = None
    rest(panel)
    assert panel.controls.other.value == -1
    assert len(panel.slice.figure.other.get_xdata()) == 0


def test_the_absolute_intent_has_an_absolute_slice(panel, plan):
    plan.intent = "absolute"
    rest(panel)
    assert "absolute" in panel.slice.figure._title.get_text()
    ring = gamut_shell(plan.paper.profile, absolute=True).outline(panel.controls.lightness.value)
    np.testing.assert_array_equal(np.transpose(panel.slice.figure.outline.get_data()), ring)
    assert np.abs(ring - gamut_shell(plan.paper.profile).outline(50)).max() > 0.5
    assert "From picture to print, absolute" in panel.far.widget.value


def test_black_point_compensation_is_named_only_where_it_is_at_work(panel, plan):
    plan.black_point_compensation = True
    rest(panel)
    assert "with it the print moves 100\u00a0% of the picture" in panel.reason.widget.value
    assert "Black point compensation" in panel.reason.widget.value
    plan.intent = "absolute"  # which has none, and moves what is lighter than the paper too
    plan.picture = picture(np.full((8, 8, 3), 255, np.uint8))
    rest(panel)
    shift = colour_shift(plan.picture, plan.paper, **plan.rendering)
    assert shift.share_moved > gamut_report(plan.picture, plan.paper).share_outside
    assert "Black point compensation" not in panel.reason.widget.value


def test_the_solid_counts_the_groups_that_it_draws(panel, plan):
    dots = 3  # grey, blue and black, of which two are out of gamut
    assert f"of {dots} groups of the picture's colours, 2 are out of gamut" in panel.solid.alt
    plan.intent = "absolute"
    rest(panel)
    assert f"{volume_words(plan.paper.gamut_volume)} cubic Lab units, absolute" in panel.solid.alt


# -- intents


def test_the_table_holds_every_way_and_marks_the_chosen_one(panel, plan):
    rows = table_rows(panel)
    assert [(r[0], r[1]) for r in rows] == [
        ("relative colorimetric", "off"),
        ("relative colorimetric", "on"),
        ("perceptual", "off"),
        ("perceptual", "on"),
        ("saturation", "off"),
        ("saturation", "on"),
        ("absolute colorimetric", "not used"),
    ]
    assert [r[4] == "◀ chosen" for r in rows] == [True] + [False] * 6
    assert rows[0][2] == "50 %"  # what is out of gamut moves, and nothing else
    plan.intent, plan.black_point_compensation = "absolute", True
    rest(panel)
    assert [r[4] == "◀ chosen" for r in table_rows(panel)] == [False] * 6 + [True]


def test_a_profile_whose_intents_share_tables_is_said_to(panel, plan, papers):
    press = papers[2]
    plan.paper = press
    rest(panel)
    notes = {r[0]: r[4] for r in table_rows(panel) if r[1] == "off"}
    for intent, other in press.shared_intents:
        assert notes[intent] == f"same tables as {other}"


def test_perceptual_says_what_moves_on_purpose(panel, plan):
    panel.intent.field.value = "perceptual"
    assert plan.intent == "perceptual"
    rest(panel)
    assert "moves colours on purpose" in panel.reason.widget.value
    assert panel.compensation.value is False
    panel.compensation.field.value = True
    assert plan.black_point_compensation is True


# -- being a panel


def test_on_a_desk_the_plan_alone_chooses_the_intent(plan):
    front = parts.Front()
    worker = front.scheduler
    panel = GamutPanel(plan, front)
    said = {getattr(w, "description", "") for w in every_widget(panel.body)}
    assert "Black point compensation" not in said and not hasattr(panel, "intent")
    assert panel.controls.threshold.widget in every_widget(panel.body)
    # hidden, it does not work; shown, it catches up
    assert panel.share.text == ""
    panel.show(True)
    assert panel.share.text.startswith("50 %")
    panel.show(False)
    plan.threshold = 20.0
    assert "Counted from 2.0" in panel.share.widget.value
    panel.show(True)
    assert "Counted from 20.0" in panel.share.widget.value
    worker.wait_until_idle(20)
    worker.close()


def every_widget(box):
    found = [box]
    for child in getattr(box, "children", ()):
        found += every_widget(child)
    return found


def test_alone_it_has_its_own_intent(panel):
    assert panel.intent.widget in every_widget(panel.widget)
    assert panel.compensation.widget in every_widget(panel.widget)


def test_an_untagged_picture_is_asked_about_not_guessed(panel, plan, colourful):
    plan.picture = picture(np.full((8, 8, 3), 90, np.uint8), None)
    rest(panel)
    assert panel.status.kind == "problem"
    assert "has no colour profile" in panel.status.text
    assert panel.share.text == "…"
    plan.picture = colourful
    rest(panel)
    assert panel.status.kind == ""
    assert panel.share.text.startswith("50 %") and panel.share.mark == "whole picture, every pixel"


def test_without_picture_or_paper_it_says_what_to_do():
    panel = GamutPanel(Plan())
    assert "Open a picture and choose a paper" in panel.status.text
    for control in (panel.controls.turn, panel.controls.lightness):
        slide(control, 10)  # nothing to show yet, and nothing breaks
    assert panel.status.kind == "remark"
    panel.front.scheduler.close()


def test_a_sharper_screen_gets_a_sharper_picture(papers):
    pixels = np.zeros((700, 1000, 3), np.uint8)
    pixels[:, 500:] = 200
    plan = Plan()
    plan.papers, plan.paper, plan.picture = papers, papers[0], picture(pixels)
    panel = GamutPanel(plan)
    rest(panel)
    assert shown(panel).shape[1] == PREVIEW_PX == 420
    panel.front.pixel_ratio = 2.0
    rest(panel)
    assert shown(panel).shape[1] == 840
    panel.front.pixel_ratio = 3.0
    rest(panel)
    assert shown(panel).shape[1] == 900  # no more than are of use
    panel.front.scheduler.close()


def test_the_picture_takes_the_room_beside_its_controls_or_above_them(papers):
    plan = Plan()
    plan.papers, plan.paper = papers, papers[0]
    plan.picture = picture(np.full((600, 1000, 3), 90, np.uint8))
    panel = GamutPanel(plan)
    rest(panel)
    for room, width in ((748, 420), (1300, 620), (900, 580), (536, 500), (200, 240), (0, 240)):
        panel._room_changed({"width": room})
        rest(panel)
        assert shown(panel).shape[1] == width
        if room > 300:  # with the surround it leaves room for the controls, or takes its own row
            held = float(panel.picture.widget.layout.width.removesuffix("px"))
            assert width + 28 <= held <= room
            assert room - held - 24 >= 240 or held > room - 48
    plan.picture = picture(np.full((1000, 500, 3), 90, np.uint8))
    panel._room_changed({"width": 1300})
    rest(panel)
    assert shown(panel).shape[:2] == (420, 210)  # upright ones no higher than is seen at once
    panel.front.scheduler.close()


def test_hurried_hands_end_where_they_stopped(panel, plan):
    for step in range(30):
        slide(panel.controls.threshold, 1.0 + step / 10)
        slide(panel.controls.lightness, 20 + step)
        slide(panel.controls.turn, 2 * step)
    rest(panel)
    hurried = drawings(panel)
    calm = GamutPanel(plan)
    slide(calm.controls.lightness, 49)
    slide(calm.controls.turn, 58)
    rest(calm)
    assert plan.threshold == pytest.approx(3.9)
    assert (
        changed(
            {k: v for k, v in hurried.items() if k != "picture"},
            {k: v for k, v in drawings(calm).items() if k != "picture"},
        )
        == set()
    )
    assert calm.share.text == panel.share.text
    calm.front.scheduler.close()


# -- direct hands


def hand(panel, phase, x=0.5, y=0.5, by_x=0.0, by_y=0.0):
    page_says(panel.front, panel.slice.widget, "hand", phase=phase, x=x, y=y, by_x=by_x, by_y=by_y)
    settle(panel)


def test_a_drag_in_the_slice_moves_the_cut(panel):
    settle(panel)
    before = panel.controls.lightness.value
    hand(panel, "begin")
    hand(panel, "move", by_y=-0.2)
    assert panel.controls.lightness.value == pytest.approx(before + 20)
    hand(panel, "move", by_y=0.1)  # from where it began, not from the last
    assert panel.controls.lightness.value == pytest.approx(before - 10)
    hand(panel, "end", by_y=0.1)
    hand(panel, "key", by_y=-0.01)
    assert panel.controls.lightness.value == pytest.approx(before - 9)


def test_a_click_in_the_slice_marks_where_the_colour_is(panel, plan):
    settle(panel)
    figure = panel.slice.figure
    small = plan.picture.preview(300)
    full = np.float32(np.iinfo(small.dtype).max)
    lab = transform(small / full, plan.picture.require_profile(), "lab").reshape(-1, 3)
    wanted = lab[len(lab) // 2]
    slide(panel.controls.lightness, float(round(wanted[0])))
    settle(panel)
    axes = figure._axes
    width, height = figure.figure.bbox.size
    x, y = axes.transData.transform(wanted[1:])
    plain = shown(panel)
    hand(panel, "begin", x / width, 1 - y / height)
    hand(panel, "end", x / width, 1 - y / height)
    colour = panel._near()
    assert delta_e_2000(np.array(colour), wanted) < 1
    changed = (shown(panel) != plain).any(-1)
    assert changed.any() and "Black marks the places of" in panel.picture.alt
    hand(panel, "begin", 0.001, 0.001)
    hand(panel, "end", 0.001, 0.001)
    assert panel._near() is None and "Black marks" not in panel.picture.alt


def test_what_the_page_says_of_hands_is_checked(panel):
    settle(panel)
    before = panel.controls.lightness.value
    for wrong in ({"by_y": "nonsense"}, {"by_y": float("nan")}, {"phase": "fly"}):
        told = {"phase": "move", "x": 0.5, "y": 0.5, "by_x": 0, "by_y": 0.5} | wrong
        page_says(panel.front, panel.slice.widget, "hand", **told)
    settle(panel)
    assert panel.controls.lightness.value == before and panel.status.kind != "problem"


def test_a_place_clicked_in_the_picture_is_marked_in_the_slice(panel, plan):
    settle(panel)
    panel.front.pointed = (0.3, 0.4)
    settle(panel)
    lab = colour_at(plan.picture, plan.paper, 0.3, 0.4).lab
    assert panel.controls.lightness.value == round(lab[0])
    marked = [values[0] for values in panel.slice.figure.picked.get_data()]
    assert marked == pytest.approx(lab[1:])
    slide(panel.controls.lightness, 3)  # the cut has gone elsewhere
    settle(panel)
    assert len(panel.slice.figure.picked.get_data()[0]) == 0
