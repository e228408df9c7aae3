"""The plane of whites and the patches of highlights: true places, true colours, no overlap."""

import io
import itertools

import numpy as np
import pytest
from figure_helpers import assert_words_have_room, shown_words
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from workbench.analysis.adaptation import BRIGHTENED_CARD, PERFECT_DIFFUSER, eye_beside
from workbench.analysis.crops import dimming, srgb_light
from workbench.analysis.white import HIGHLIGHT_STEPS, NeutralSteps, paper_white, whites_seen
from workbench.colour.lab import lab_to_xyz
from workbench.figures.on_screen import screen_rgb
from workbench.figures.style import SURROUND, rgb_codes
from workbench.figures.white import OTHERS_SHOWN, WhiteFigure, signed, spread
from workbench.figures.white_steps import (
    BARE_COLOUR,
    REACH_COLOUR,
    StepsFigure,
    marked,
    on_sheet,
    side_by_side,
)


class Sheet:
    """All that the whites ask of a paper."""

    def __init__(self, name, white_lab, white_is_known=True):
        self.name, self.white_lab, self.white_is_known = name, white_lab, white_is_known


WARM = Sheet("Warm sheet", (93.0, 0.6, 6.0))
SHELF = (
    Sheet("Cool sheet", (96.0, 0.5, -5.0)),
    Sheet("Nearly the same cool sheet", (96.0, 0.5, -5.1)),
    Sheet("Neutral sheet", (96.5, 0.0, 0.2)),
    WARM,
    Sheet("A sheet with a name that is much too long for any column", (90.0, 1.0, 3.0)),
)


def shown(adaptation=0.0, paper=WARM, papers=SHELF, reference=PERFECT_DIFFUSER):
    return whites_seen(paper, papers, reference=reference, adaptation=adaptation)


def in_plane(figure, marker):
    """a* and b* of a marker, by way of the screen."""
    (x,), (y,) = marker.get_data()
    pixel = marker.axes.transData.transform((x, y))
    return figure.axes.transData.inverted().transform(pixel)


# -- the plane


@pytest.mark.parametrize("width", [600, 900, 440, 320])
@pytest.mark.parametrize("adaptation", [0.0, 0.35, 1.0])
def test_whites_lie_at_their_a_and_b(adaptation, width):
    result, figure = shown(adaptation), WhiteFigure()
    figure.set_size(width)
    figure.update(result)
    figure.pixels()
    labs = [result.chosen.seen_lab, result.reference_lab, *(lab for _, lab in result.others)]
    for marker, lab in zip(figure.markers, labs, strict=False):
        assert marker.get_visible()
        assert in_plane(figure, marker) == pytest.approx(lab[1:], abs=0.02)
    assert not figure.markers[len(labs)].get_visible()


def test_the_ends_of_the_slider():
    figure = WhiteFigure()
    figure.update(shown(0.0))
    assert in_plane(figure, figure.markers[0]) == pytest.approx(WARM.white_lab[1:], abs=0.01)
    assert in_plane(figure, figure.markers[1]) == pytest.approx((0, 0), abs=0.01)
    figure.update(shown(1.0))
    assert in_plane(figure, figure.markers[0]) == pytest.approx((0, 0), abs=0.01)
    assert in_plane(figure, figure.markers[1])[1] < -5  # the diffuser is bluish to this eye


def test_the_path_joins_both_ends():
    figure = WhiteFigure()
    figure.update(shown(0.5))
    figure.pixels()
    x, y = figure.path.get_data()
    ends = figure.axes.transData.inverted().transform(
        figure.path.axes.transData.transform(np.array([[x[0], y[0]], [x[-1], y[-1]]]))
    )
    assert ends[0] == pytest.approx(WARM.white_lab[1:], abs=0.01)
    assert ends[1] == pytest.approx((0, 0), abs=0.01)


def test_a_move_of_the_slider_changes_the_picture_but_no_still_part():
    figure = WhiteFigure()
    figure.update(shown(0.0))
    first = figure.pixels()
    for adaptation in (0.2, 0.7, 1.0):
        figure.update(shown(adaptation))
        now = figure.pixels()
        assert (now != first).any()
        first = now
    assert figure.still_draws == 1


def test_a_unit_of_a_is_as_long_as_a_unit_of_b():
    figure = WhiteFigure()
    for width in (600, 760, 440):
        figure.set_size(width)
        figure.update(shown())
        figure.pixels()
        origin, a, b = figure.axes.transData.transform([(0, 0), (1, 0), (0, 1)])
        assert a[0] - origin[0] == pytest.approx(b[1] - origin[1], rel=1e-6)


@pytest.mark.parametrize("width", [600, 440, 320])
@pytest.mark.parametrize("adaptation", [0.0, 0.5, 1.0])
@pytest.mark.parametrize("reference", [PERFECT_DIFFUSER, BRIGHTENED_CARD, SHELF[0]])
def test_no_words_lie_on_other_words_or_outside(reference, adaptation, width):
    figure = WhiteFigure()
    figure.set_size(width)
    figure.update(shown(adaptation, reference=reference))
    assert_words_have_room(figure)
    names = {text.get_text() for text in figure.names if text.get_visible()}
    assert "Warm sheet" in names
    assert {"yellower", "bluer", "greener", "pinker", "8"} <= set(dict(shown_words(figure)))


def test_words_for_tints_stand_in_their_own_regions():
    figure = WhiteFigure()
    for reach in (PERFECT_DIFFUSER, BRIGHTENED_CARD):
        figure.update(shown(reference=reach))
        for word, text in figure.regions.items():
            a, b = text.get_position()
            axis = b if word in ("yellower", "bluer") else a
            assert abs(axis) == max(abs(a), abs(b))
            assert (axis > 0) == (word in ("yellower", "pinker"))


def test_rings_are_circles_of_chroma():
    figure = WhiteFigure()
    figure.update(shown())
    assert {2, 4, 8} <= set(figure.rings)
    for radius, (ring, _) in figure.rings.items():
        assert ring.get_radius() == radius
        assert ring.center == (0, 0)


def test_every_white_fits_whatever_the_adaptation():
    extreme = Sheet("Deep yellow", (80.0, 5.0, 40.0))
    figure = WhiteFigure()
    for adaptation in (0, 0.5, 1):
        figure.update(shown(adaptation, papers=(*SHELF, extreme), reference=BRIGHTENED_CARD))
        left, right = figure.axes.get_xlim()
        low, high = figure.axes.get_ylim()
        for marker in figure.markers:
            if marker.get_visible():
                a, b = in_plane(figure, marker)
                assert left < a < right and low < b < high


def test_of_many_papers_the_nearest_are_shown():
    many = [Sheet(f"Sheet {n}", (95.0, 0.0, 6.0 - n)) for n in range(14)]
    figure = WhiteFigure()
    figure.update(shown(papers=many))
    names = [text.get_text() for text in figure.names if text.get_visible()]
    # the nearest to b* 6, in their own order
    assert names[2:] == [f"Sheet {n}" for n in range(OTHERS_SHOWN)]


def test_a_profile_without_a_white_is_said_to_have_none():
    blank = Sheet("Blank", (100.0, 0.0, 0.0), white_is_known=False)
    figure = WhiteFigure()
    figure.update(shown(paper=blank))
    assert not figure.markers[0].get_visible()
    assert "does not state" in figure.unknown.get_text()
    assert "does not state" in figure.alt_text(shown(paper=blank))
    figure.update(shown())
    assert figure.markers[0].get_visible()
    assert figure.unknown.get_text() == ""


def test_the_words_for_those_who_do_not_see_it_hold_the_figures():
    said = WhiteFigure().alt_text(shown())
    assert "Warm sheet at a* +0.6, b* +6.0, a clearly warm white" in said
    assert "perfect diffuser at a* 0.0, b* 0.0" in said


def test_it_stays_right_when_the_page_gets_narrower():
    fresh, resized = WhiteFigure(), WhiteFigure()
    for figure, sizes in ((fresh, (440,)), (resized, (600, 320, 440))):
        figure.update(shown(0.3))
        for width in sizes:
            figure.set_size(width)
    assert fresh.size_px == resized.size_px
    assert (fresh.pixels() == resized.pixels()).all()


def test_dark_pages_change_the_greys_and_come_back():
    figure = WhiteFigure()
    figure.update(shown(0.3))
    light = figure.pixels()
    figure.set_dark(True)
    assert figure.pixels().mean() < 60
    figure.set_dark(False)
    assert (figure.pixels() == light).all()


@given(
    wanted=st.lists(st.floats(0, 400), min_size=1, max_size=12),
    gap=st.floats(1, 30),
)
def test_spread_places_keep_their_distance_and_order(wanted, gap):
    places = spread(wanted, gap, 0, 400)
    assert places.min() >= -1e-9 and places.max() <= 400 + 1e-9
    order = np.argsort(wanted, kind="stable")
    assert (np.diff(places[order]) >= gap - 1e-6).all()


def test_spread_leaves_alone_what_is_far_enough_apart():
    assert spread([10, 200, 60], 20, 0, 300).tolist() == [10, 200, 60]
    assert spread([100, 100], 20, 0, 300).tolist() == [90, 110]


@pytest.mark.parametrize(
    ("value", "text"), [(0.04, "0.0"), (-0.04, "0.0"), (1.26, "+1.3"), (-2, "−2.0")]
)
def test_signs(value, text):
    assert signed(value) == text


# -- the patches


def highlights_of(sheet=WARM, adaptation=0.0, reference=PERFECT_DIFFUSER):
    """Highlights of a paper that prints every step as it is asked to."""
    whites = whites_seen(sheet, reference=reference, adaptation=adaptation)
    steps = np.array([[step, 0, 0] for step in HIGHLIGHT_STEPS])
    return NeutralSteps(
        steps=HIGHLIGHT_STEPS,
        before_lab=steps,
        after_lab=eye_beside(reference, adaptation).seen(steps, lab_to_xyz(sheet.white_lab)),
        white=paper_white(sheet, reference=reference, adaptation=adaptation),
        reference_lab=whites.reference_lab,
    )


def drawn(figure, patch):
    """The colour in the middle of a patch of the rendered figure."""
    x, y, width, height = patch.box
    image = np.asarray(Image.open(io.BytesIO(figure.render())).convert("RGB"))
    return image[int((y + height / 2) * figure.scale), int((x + width / 2) * figure.scale)]


def colour_science_srgb(lab):
    """8-bit sRGB by colour-science, from D50 by Bradford."""
    import colour

    d50 = colour.XYZ_to_xy(lab_to_xyz([100.0, 0, 0]))
    rgb = colour.XYZ_to_sRGB(
        lab_to_xyz(lab), illuminant=d50, chromatic_adaptation_transform="Bradford"
    )
    return np.clip(rgb, 0, 1) * 255


def test_patches_have_their_true_colours():
    figure, found = StepsFigure(), highlights_of()
    figure.update(found)
    # beside the perfect diffuser nothing is whiter than the screen, so nothing is dimmed
    for step in range(len(HIGHLIGHT_STEPS)):
        before = drawn(figure, figure.before[step])
        after = drawn(figure, figure.after[step])
        assert np.abs(before - colour_science_srgb(found.before_lab[step])).max() <= 1.5
        assert np.abs(after - colour_science_srgb(found.after_lab[step])).max() <= 1.5
        assert int(before[2]) - int(after[2]) > 10  # a warm sheet takes blue away
    assert drawn(figure, figure.reference).tolist() == [255, 255, 255]


def test_adapted_before_and_after_are_alike():
    figure = StepsFigure()
    figure.update(highlights_of(adaptation=1.0))
    for step in range(len(HIGHLIGHT_STEPS)):
        assert (drawn(figure, figure.before[step]) == drawn(figure, figure.after[step])).all()
    bluish = drawn(figure, figure.reference).astype(int)
    assert bluish[2] > bluish[0] + 5


def test_beside_the_brightened_card_nothing_clips_and_all_is_dimmed_alike():
    found = highlights_of(Sheet("Light", (97.0, 0.0, 2.0)), reference=BRIGHTENED_CARD)
    figure = StepsFigure()
    figure.update(found)
    after, sheet = drawn(figure, figure.after[0]), drawn(figure, figure.reference)
    light = (np.array([after, sheet]) / 255) ** 2.2
    ratio = srgb_light(lab_to_xyz([found.after_lab[0], found.reference_lab]))
    assert after.max() == 255
    # relative to one another they are as bright as they ought to be
    assert light[0] / light[1] == pytest.approx(ratio[0] / ratio[1], rel=0.03)


def test_a_given_dimming_is_used():
    figure, found = StepsFigure(), highlights_of()
    figure.update(found, 1.2)
    expected = np.round(screen_rgb((100.0, 0, 0), 1.2) * 255)
    assert drawn(figure, figure.before[0]).tolist() == expected.tolist()
    assert expected[0] == pytest.approx(255 * (1 / 1.2) ** (1 / 2.2), abs=3)


def test_patches_lie_on_the_mid_grey_surround_and_touch():
    figure = StepsFigure()
    figure.update(highlights_of())
    image = figure.pixels()
    grey = int(SURROUND[1:3], 16)
    for step in range(len(HIGHLIGHT_STEPS)):
        x, y, width, height = figure.before[step].box
        below = figure.after[step].box
        assert below[1] == pytest.approx(y + height)
        assert image[int(y - 6), int(x + width / 2)].tolist() == [grey] * 3
        assert image[int(below[1] + below[3] + 6), int(x + width / 2)].tolist() == [grey] * 3
    x, y, width, height = figure.reference.box
    assert image[int(y + height / 2), int(x - 10)].tolist() == [grey] * 3


@pytest.mark.parametrize("width", [1000, 660, 440, 320])
@pytest.mark.parametrize("reference", [BRIGHTENED_CARD, SHELF[-1]])
def test_patches_and_words_fit_at_every_width(width, reference):
    figure = StepsFigure()
    figure.update(highlights_of(reference=reference))
    figure.set_size(width)
    assert_words_have_room(figure)
    assert figure.shown_steps[0] == 0  # white is always there
    boxes = [figure.before[step].box for step in figure.shown_steps] + [figure.reference.box]
    for one, other in itertools.pairwise(boxes):
        assert one[0] + one[2] < other[0]
    assert boxes[-1][0] + boxes[-1][2] < width


def test_values_stand_beneath_their_patches():
    figure, found = StepsFigure(), highlights_of()
    figure.update(found)
    lab = found.after_lab[3]
    assert figure.values[3].get_text() == f"{lab[0]:.1f}\n{signed(lab[1])}, {signed(lab[2])}"
    assert figure.heads[3].get_text() == "L* 93"
    assert figure.values[-1].get_text() == "100.0\n0.0, 0.0"
    assert figure.heads[-1].get_text() == "perfect diffuser"
    alt = figure.alt_text(found)
    assert "L* 100 becomes L* 93.0, a* +0.6, b* +6.0" in alt
    assert "perfect diffuser, L* 100.0" in alt


def test_patches_keep_their_colours_on_a_dark_page():
    """Greys of patches may equal greys of the page, which a dark theme exchanges."""
    figure = StepsFigure()
    figure.update(highlights_of(Sheet("White", (100.0, 0.0, 0.0))))
    light = [drawn(figure, patch) for patch in (*figure.before, figure.reference)]
    figure.set_dark(True)
    dark = [drawn(figure, patch) for patch in (*figure.before, figure.reference)]
    assert np.array_equal(light, dark)
    assert figure.pixels()[5, 5].max() < 60


def test_sliding_redraws_no_still_part():
    figure = StepsFigure()
    figure.update(highlights_of())
    first = figure.pixels()
    figure.update(highlights_of(adaptation=0.5))
    assert (figure.pixels() != first).any()
    assert figure.still_draws == 1


# -- crops


def test_a_crop_lies_on_its_own_sheet():
    crop = np.full((20, 30, 3), 90, np.uint8)
    sheet = on_sheet(crop, (1.0, 0.9, 0.8), 5)
    assert sheet.shape == (30, 40, 3)
    assert sheet[0, 0].tolist() == [255, 230, 204]
    assert (sheet[5:25, 5:35] == 90).all()
    assert (sheet[:, :5] == sheet[0, 0]).all()


def test_tiles_stand_apart_on_the_surround():
    one, two = np.zeros((10, 8, 3), np.uint8), np.full((10, 6, 3), 255, np.uint8)
    both = side_by_side([one, two], gap_px=4)
    assert both.shape == (10, 18, 3)
    assert (both[:, 8:12] == int(SURROUND[1:3], 16)).all()
    assert (both[:, :8] == 0).all() and (both[:, 12:] == 255).all()
    assert side_by_side([one]).shape == one.shape


def test_marks_cover_what_is_reached_and_nothing_else():
    picture = np.full((30, 40, 3), 120, np.uint8)
    reach = np.zeros((30, 40), np.uint8)
    reach[:10, :10], reach[20:, 30:] = 1, 2
    result = marked(picture, reach, (12, 12, 24, 18))
    assert (result[:10, :10] == rgb_codes(REACH_COLOUR)).all()
    assert (result[20:, 30:] == rgb_codes(BARE_COLOUR)).all()
    rest = result[25, 5]
    assert rest[0] == rest[1] == rest[2]
    assert result[12, 15].tolist() == [0, 0, 0]  # the frame's outer line
    assert result[13, 15].tolist() == [255, 255, 255]
    assert marked(picture, reach)[12, 15].tolist() == rest.tolist()


def test_dimming_is_what_the_lightest_patch_needs():
    found = highlights_of(Sheet("Light", (98.0, 0.0, 0.0)), reference=BRIGHTENED_CARD)
    dim = dimming([*found.after_lab, found.reference_lab])
    assert screen_rgb(found.after_lab[0], dim).max() == pytest.approx(1, abs=2e-3)
