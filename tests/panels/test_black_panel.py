"""The black panel without a browser: knobs set the plan, the plan shows in words and pictures."""

import io
import re

import numpy as np
import pytest
from helpers import model_paper
from panel_helpers import settle, shown
from PIL import Image

from workbench.analysis.black import black_point
from workbench.analysis.crops import printed_crop, shadow_box
from workbench.analysis.shadows import shadow_tally
from workbench.figures.style import colour
from workbench.output.adjust import Adjustments
from workbench.panels import parts
from workbench.panels.black.panel import CROP_PX, BlackPanel
from workbench.picture.opening import from_pixels, open_picture
from workbench.plan import Plan


@pytest.fixture(scope="module")
def papers():
    return (
        model_paper("Smooth <matte>", (96, 0, 1), 1.65, "matte"),
        model_paper("Rough matte", (95, 0, 3), 1.55, "matte"),
        model_paper("Gloss", (96, 0, -3), 2.3, "gloss"),
        model_paper("Satin", (96, 0, 0), 2.1, "satin"),
    )


@pytest.fixture
def panel(plan, open_panel):
    return open_panel(BlackPanel, plan)


def row_of(table, label) -> list[str]:
    """The cells of a table's row."""
    row = next(
        r for r in re.findall(r"<tr.*?</tr>", table.value.replace("\u00a0", " ")) if label in r
    )
    return re.findall(r"<td>(.*?)</td>", row)


# answers ---------------------------------------------------------------------------


def test_answers_are_the_analyses(panel, plan, papers):
    plan.black_point_compensation = False  # with it, hardly a level merges
    settle(panel)
    for sentence, paper in ((panel.answer, papers[0]), (panel.other_answer, papers[2])):
        shadows = shadow_tally(plan.picture)
        black = black_point(paper, plan.picture, shadows=shadows, **plan.rendering)
        assert sentence.label == paper.name
        assert sentence.text == black.sentence
        assert re.fullmatch(
            r"The shadows' last \d+ levels merge; [\d.]+ % of the picture lies there"
            r"(, and [\d.]+ % merges even before printing)?\.",
            sentence.text,
        )
        assert f"density {black.black_density:.2f}" in sentence.widget.value
        assert f"{black.stops:.1f} stops" in sentence.widget.value
    assert "<matte>" not in panel.answer.widget.value + panel.facts.value + panel.intents.value


def test_a_previews_share_is_replaced_by_that_of_every_pixel(plan):
    said = []
    plan.black_point_compensation = False
    front = parts.Front()
    worker, front.scheduler.rest_s = front.scheduler, 0.5
    panel = BlackPanel(plan, front)
    assert panel.answer.text == ""  # a hidden panel does no work
    panel.show(True)
    said.append((panel.answer.mark, panel.answer.text))
    assert worker.wait_until_idle(20)
    said.append((panel.answer.mark, panel.answer.text))
    worker.close()
    assert [mark for mark, _ in said] == ["quick count", "whole picture, every pixel"]
    exact = np.mean(plan.picture.pixels()[..., 0] <= black_levels(plan))
    assert f"{100 * exact:.0f} % of the picture" in said[1][1]


def black_levels(plan) -> int:
    return black_point(plan.paper, plan.picture, **plan.rendering).merged_levels


def test_figures_of_both_papers_stand_side_by_side(panel, plan, papers):
    blacks = [black_point(papers[i], plan.picture, **plan.rendering) for i in (0, 2)]
    assert row_of(panel.facts, "as it will print, density") == [
        f"{b.black_density:.2f}" for b in blacks
    ] + ["—"]
    assert row_of(panel.facts, "Contrast") == [f"{b.contrast_ratio:.0f}:1" for b in blacks] + ["—"]
    assert row_of(panel.facts, "Grey levels") == [
        *(str(b.merged_levels) for b in blacks), str(blacks[0].merged_levels_in_picture),
    ]  # fmt: skip
    assert row_of(panel.facts, "Stops")[:2] == [f"{b.stops:.1f}" for b in blacks]


def test_every_way_to_print_is_listed_and_the_chosen_one_marked(panel, plan):
    rows = re.findall(r"<tr.*?</tr>", panel.intents.value)[1:]
    assert len(rows) == 7
    now = [row for row in rows if "aria-current" in row]
    assert len(now) == 1 and "relative colorimetric" in now[0] and "<td>on</td>" in now[0]
    for row, compensation in zip(
        [r for r in rows if "perceptual" in r], (False, True), strict=True
    ):
        black = black_point(
            plan.paper, plan.picture, intent="perceptual", black_point_compensation=compensation
        )
        assert f"<td>{black.merged_levels} levels, " in row
    plan.intent = "absolute"
    now = [row for row in re.findall(r"<tr.*?</tr>", panel.intents.value) if "aria-current" in row]
    assert len(now) == 1 and "absolute" in now[0] and "not used" in now[0]


# knobs -----------------------------------------------------------------------------


def test_tolerance_slider_moves_plan_sentence_and_curve_but_not_the_pictures(panel, plan):
    before = panel.answer.text, panel.tones.image.value
    shown(panel.views[0])
    still = panel.views[0].image.value, panel.scale.image.value
    panel.tolerance.slider.set_state({"value": 2.5})
    assert plan.tolerance == 2.5
    assert panel.answer.text != before[0] and panel.tones.image.value != before[1]
    assert (panel.views[0].image.value, panel.scale.image.value) == still
    assert panel.tones.figure.still_draws == 1
    plan.tolerance = 0.5
    assert panel.tolerance.value == 0.5 and panel.tolerance.slider.value == 0.5


def test_alone_it_has_the_desks_knobs(panel, plan, papers):
    panel.intent.field.value = "perceptual"
    panel.compensation.field.value = False
    assert (plan.intent, plan.black_point_compensation) == ("perceptual", False)
    how = {"shadows": shadow_tally(plan.picture), **plan.rendering}
    assert panel.answer.text == black_point(papers[0], plan.picture, **how).sentence
    panel.paper.field.value = 1
    assert plan.paper is papers[1] and panel.answer.label == "Rough matte"
    plan.paper = papers[3]
    assert panel.paper.value == 3


def test_on_a_desk_it_leaves_them_to_the_desk(plan):
    panel = BlackPanel(plan, parts.Front())
    assert not hasattr(panel, "paper") and not hasattr(panel, "intent")
    panel.front.scheduler.close()


def test_compensation_shows_in_the_answer(panel, plan):
    def levels():
        return int(re.search(r"last (\d+) levels", panel.answer.text)[1])

    compensated = levels()
    plan.black_point_compensation = False
    assert levels() > compensated


# the other paper -------------------------------------------------------------------


def test_the_other_paper_is_at_first_one_of_the_other_kind(papers):
    plan = Plan(papers=papers, paper=papers[0])
    assert plan.second_paper() is papers[2]
    plan.paper = papers[2]
    assert plan.second_paper() is papers[0]
    plan.other_paper = papers[3]
    assert plan.second_paper() is papers[3]
    plan.paper = papers[3]  # a paper is not compared with itself
    assert plan.second_paper() is papers[0]
    plan.papers, plan.other_paper = papers[:2], None
    plan.paper = papers[0]
    assert plan.second_paper() is papers[1]
    plan.papers = papers[:1]
    assert plan.second_paper() is None


def test_another_paper_can_be_held_against_it(panel, plan, papers):
    shown(panel.views[1])
    before = panel.views[1].image.value
    assert [value for _, value in panel.other.field.options] == [1, 2, 3]
    assert panel.other.value == 2
    panel.other.field.value = 1
    assert plan.other_paper is papers[1]
    assert panel.other_answer.label == "Rough matte"
    assert panel.views[1].image.value != before
    elsewhere = model_paper("Elsewhere", (95, 0, 0), 1.4, "matte")
    plan.other_paper = elsewhere
    assert panel.other_answer.label == "Elsewhere" and panel.other.field.label == "Elsewhere"


def test_a_single_paper_stands_alone(plan, papers):
    plan.papers = papers[:1]
    panel = BlackPanel(plan)
    panel.front.scheduler.wait_until_idle(20)
    assert panel.other.disabled and panel.other.field.label == "no other paper at hand"
    assert panel.other_answer.widget.layout.display == "none"
    assert panel.views[1].widget.layout.display == "none"
    assert row_of(panel.facts, "as it will print, density")[1:] == ["—"]
    plan.papers = papers[:3]
    assert panel.views[1].widget.layout.display == "" and not panel.other.disabled
    panel.front.scheduler.close()


def test_all_papers_at_hand_are_on_the_scale(panel, papers):
    figure = panel.scale.figure
    assert len(figure.rows) == len(papers)
    assert "Rough matte: 1." in panel.scale.alt


# pictures ---------------------------------------------------------------------------


def test_pictures_are_the_shadows_at_full_size_on_each_paper(panel, plan, papers):
    matte, gloss = (shown(view) for view in panel.views)
    assert matte.shape == gloss.shape == (CROP_PX[1], CROP_PX[0], 3)
    _, y, _, height = shadow_box(plan.picture, CROP_PX)
    assert y + height > 500  # it lies in the dark half
    # the matte paper's deepest tone is lighter than the glossy one's
    assert matte.min() > gloss.min() + 10


def test_pictures_agree_with_a_soft_proof(panel, plan):
    from workbench.analysis.proof import soft_proof

    box = shadow_box(plan.picture, CROP_PX)
    crop = from_pixels(plan.picture.crop(*box), "sRGB")
    proof = soft_proof(
        crop, plan.paper, reference=plan.reference, adaptation=plan.adaptation,
        long_side_px=None, **plan.rendering,
    )  # fmt: skip
    difference = shown(panel.views[0]).astype(int) - proof.pixels
    assert np.abs(difference).max() <= 1


def test_brightening_is_for_the_screen_only(panel, plan):
    text, table = panel.answer.text, panel.facts.value
    dark = shown(panel.views[0])
    panel.lift.slider.set_state({"value": 2.0})
    light = shown(panel.views[0])
    assert "brighter on screen only" in panel.views[0].widget.children[1].value
    assert (panel.answer.text, panel.facts.value) == (text, table)

    # two stops are four times the light; sRGB's curve, IEC 61966-2-1
    def linear(codes):
        v = codes / 255
        return np.where(v <= 0.04045, v / 12.92, ((v + 0.055) / 1.055) ** 2.4)

    # codes are whole, so the mean of many is compared
    assert linear(light).mean() == pytest.approx(4 * linear(dark).mean(), rel=0.02)
    panel.lift.slider.set_state({"value": 0.0})
    assert (shown(panel.views[0]) == dark).all()
    assert "brighter" not in panel.views[0].widget.children[1].value


def test_marks_cover_what_merges_and_nothing_else(panel, plan):
    bare = shown(panel.views[0])
    panel.mark.field.value = True
    covered = shown(panel.views[0])
    crop = plan.picture.crop(*shadow_box(plan.picture, CROP_PX))[..., 0]
    merged = crop <= black_levels(plan)
    assert 0.1 < merged.mean() < 0.9
    assert ((bare != covered).any(axis=-1) == merged).all()
    tint = np.array([int(colour("too_dark")[i : i + 2], 16) for i in (1, 3, 5)])
    assert np.abs(covered[merged].mean(axis=0) - tint).max() < 70
    panel.tolerance.slider.set_state({"value": 2.5})
    wider = crop <= black_point(plan.paper, plan.picture, tolerance=2.5).merged_levels
    assert wider.sum() > merged.sum()  # the marks follow the tolerance
    assert ((bare != shown(panel.views[0])).any(axis=-1) == wider).all()


def test_fine_screens_get_more_of_the_picture(panel):
    panel.front.pixel_ratio = 1.5
    assert shown(panel.views[0]).shape[:2] == (450, 558)
    assert panel.views[0].image.width == "372"


def test_both_crops_fit_side_by_side(panel):
    for room, width in ((748, 334), (1300, 372), (536, 228), (200, 120), (0, 120)):
        panel._room_changed({"width": room})
        assert [shown(view).shape[:2] for view in panel.views] == [(300, width)] * 2
        if room > 300:
            assert 2 * (width + 28) + 24 <= room
        assert panel.views[0].widget.layout.max_width == f"{width + 28}px"


def test_a_crop_already_printed_is_not_printed_again(panel, plan, papers):
    box = shadow_box(plan.picture, CROP_PX)
    first = printed_crop(plan.picture, papers[0], box, **plan.rendering)
    plan.black_point_compensation = False
    plan.black_point_compensation = True
    assert printed_crop(plan.picture, papers[0], box, **plan.rendering) is first


# what may go wrong --------------------------------------------------------------------


def test_without_a_picture_it_says_what_to_do(papers):
    panel = BlackPanel(Plan(papers=papers, paper=papers[0]))
    assert "Open a picture" in panel.status.text
    panel.front.scheduler.close()


def test_a_picture_without_a_profile_is_a_sentence(panel, plan, picture):
    data = io.BytesIO()
    Image.new("RGB", (20, 10)).save(data, "PNG")
    plan.picture = open_picture(data.getvalue(), name="bare.png")
    assert panel.status.kind == "problem" and "bare.png" in panel.status.text
    plan.picture = picture
    assert panel.status.kind != "problem"


def test_small_and_grey_pictures(panel, plan):
    plan.picture = from_pixels(np.arange(200, dtype=np.uint8).reshape(10, 20, 1), "Grey, power 2.2")
    settle(panel)
    assert panel.status.kind != "problem"
    assert shown(panel.views[0]).shape == (10, 20, 3)
    assert panel.answer.mark == "whole picture, every pixel"


def test_words_for_those_who_do_not_see_it(panel, papers):
    assert panel.views[0].alt == f"Shadows of the picture, at 100 %, on {papers[0].name}"
    assert f"{black_levels(panel.plan)} levels merge" in panel.tones.alt
    assert panel.lift.name == "Brighten on screen, to look only (stops)"
    named = panel.front.attributes(panel.lift.slider)
    assert named["aria-label"] == panel.lift.name and "no print changes" in named["title"]


def test_what_is_told_of_the_file_says_so_where_the_plan_adjusts_it(panel, plan):
    assert panel.before_adjustments.layout.display == "none"
    told = panel.answer.text
    plan.adjustments = Adjustments(shadows=6)
    settle(panel)
    assert panel.answer.text == told and panel.before_adjustments.layout.display == ""
    plan.adjustments = None
    settle(panel)
    assert panel.before_adjustments.layout.display == "none"
