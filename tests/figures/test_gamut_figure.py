"""The gamut figures: what is drawn is what was counted, and it moves with the person's hands."""

from __future__ import annotations

import io
from types import SimpleNamespace

import numpy as np
import pytest
from figure_helpers import assert_words_inside
from helpers import coated_profile
from matplotlib.colors import to_rgb
from matplotlib.text import Text
from PIL import Image

from workbench.analysis.colours import gathered
from workbench.analysis.counts import SHAPE, Counts, Share
from workbench.analysis.gamut import colour_shift, gamut_report
from workbench.analysis.words import HUE_NAMES
from workbench.colour.inkmodel import model_profile
from workbench.colour.shell import gamut_shell
from workbench.colour.trip import Trip
from workbench.figures.gamut import DistributionFigure, ReasonsFigure, height
from workbench.figures.gamut_overlay import COLOURS, marked
from workbench.figures.gamut_slice import SliceFigure
from workbench.figures.gamut_solid import SolidFigure
from workbench.figures.gamut_view import GamutView
from workbench.figures.on_screen import screen_rgb
from workbench.figures.style import CARD, colour


class Sheet:
    """Of a paper, all that a report asks for."""

    def __init__(self, noise_floor=0.2):
        self.noise_floor = noise_floor
        self.icc = SimpleNamespace(checksum="")


class Made(Counts):
    """Counts of pixels at given distances, all of one reason and one hue."""

    def share(self, limit, **work):
        pixels = np.zeros(SHAPE)
        pixels[self.place] = np.mean(self.distance > limit)
        return Share(pixels, pixels.sum(axis=(1, 2)), True)


def counted(distances, sheet, place, *rendering):
    counts = Made(None, sheet, *rendering, SimpleNamespace(counts=np.ones(len(distances))))
    mean = float(np.mean(distances))
    counts.__dict__.update(distance=np.array(distances), place=place, mean_distance=mean)
    return counts


def report(distances, *, threshold=2.0, noise_floor=0.2, reason=0, hue=8, lightness=0):
    """A report on pixels at these distances, all of one reason and one hue."""
    sheet = Sheet(noise_floor)
    counts = counted(distances, sheet, (reason, hue, lightness), None, None)
    return gamut_report(None, sheet, threshold=threshold, counts=counts)


def shift(distances):
    """A shift of pixels by these distances."""
    sheet = Sheet()
    counts = counted(distances, sheet, (0, 0, 0), "relative", True)
    return colour_shift(None, sheet, counts=counts)


def both(distances, **how):
    """A report, and a shift by the same distances."""
    return report(distances, **how), shift(distances)


def texts(figure):
    return [t.get_text() for t in figure.figure.findobj(Text) if t.get_text()]


# -- distribution


def test_the_line_meets_the_threshold_at_the_share_outside():
    figure = DistributionFigure()
    for threshold in (0.5, 2.0, 4.0, 6.3):
        made = report([0.05] * 60 + [1.05] * 10 + [3.05] * 20 + [7.05] * 10, threshold=threshold)
        figure.update((made, shift([1.0])))
        x, y = figure.further.get_data()
        assert np.interp(threshold, x, y) == pytest.approx(height(made.share_outside), abs=1e-9)
        assert figure.threshold.get_xdata()[0] == threshold
        assert figure.answer.get_ydata()[0] == pytest.approx(height(made.share_outside))
    assert y[0] == 1 and y[-1] == pytest.approx(0, abs=1e-6)
    assert np.all(np.diff(y) <= 0)


def test_the_share_axis_shows_square_roots_with_percents_written():
    axes = DistributionFigure()._axes
    for place, label in zip(axes.get_yticks(), axes.get_yticklabels(), strict=True):
        assert place**2 * 100 == pytest.approx(float(label.get_text()))


def test_columns_hold_their_pixels_and_change_colour_at_the_limit():
    figure = DistributionFigure()
    figure.update(both([0.05] * 64 + [2.3] * 36, threshold=2.2))
    inside, outside = figure.inside.get_xy(), figure.outside.get_xy()
    # columns are 0.5 wide here: 64 % in the first, 36 % in the one from 2 to 2.5
    assert inside[:, 1].max() == pytest.approx(0.8)
    assert outside[:, 1].max() == pytest.approx(0.6)
    assert inside[:, 0].max() == pytest.approx(2.2) == outside[:, 0].min()
    tall = outside[np.isclose(outside[:, 1], 0.6), 0]
    assert (tall.min(), tall.max()) == (pytest.approx(2.2), pytest.approx(2.5))
    assert to_rgb(figure.outside.get_facecolor()) == to_rgb(colour("outside"))


def test_noise_above_the_threshold_decides_and_says_so():
    figure = DistributionFigure()
    made = report([0.1] * 50 + [1.2] * 30 + [3.0] * 20, threshold=0.5, noise_floor=1.5)
    figure.update((made, shift([1.0])))
    assert figure.threshold.get_xdata()[0] == 1.5
    assert figure.noise.get_xy()[:, 0].max() == 1.5
    assert "noise floor 1.5, above the threshold 0.5" in texts(figure)
    assert "20 % outside" in texts(figure)
    assert_words_inside(figure)


def test_moved_pixels_have_a_line_of_their_own():
    figure = DistributionFigure()
    figure.update((report([0.05] * 100), shift([4.05] * 100)))
    assert np.interp(3, *figure.moved.get_data()) == 1
    assert np.interp(3, *figure.further.get_data()) == 0
    assert figure.moved.get_linestyle() != figure.further.get_linestyle()


@pytest.mark.parametrize("furthest", [1.0, 9.0, 14.0, 26.0, 75.0])
def test_the_axis_reaches_as_far_as_needed(furthest):
    figure = DistributionFigure()
    figure.update(both([0.05] * 50 + [furthest] * 50, threshold=0.5))
    assert figure._axes.get_xlim()[1] >= min(furthest, 60)
    # nothing is lost: what lies past the axis is in its last column
    heights = np.unique(figure.outside.get_xy()[:, 1])
    assert heights.max() == pytest.approx(height(0.5))
    assert_words_inside(figure)


def test_moving_the_threshold_redraws_only_what_moves():
    figure = DistributionFigure()
    seen = set()
    for threshold in np.arange(1, 6, 0.5):
        figure.update(both([0.05] * 40 + [3.1] * 40 + [8.1] * 20, threshold=float(threshold)))
        seen.add(figure.render())
    assert figure.still_draws == 1
    assert len(seen) == 10


# -- reasons


def test_bars_are_as_long_as_their_shares():
    figure = ReasonsFigure()
    made = report([0.05] * 60 + [5.05] * 40, reason=1, hue=HUE_NAMES.index("greens"), lightness=2)
    figure.update(made)
    for group, wanted in (("reasons", "too dark"), ("hues", "greens"), ("lightnesses", "light")):
        names, bars, labels = figure.groups[group]
        lengths = dict(zip(names, (bar.get_width() for bar in bars), strict=True))
        assert lengths.pop(wanted) == pytest.approx(1)
        assert set(lengths.values()) == {0}
        assert [t.get_text() for t in labels if t.get_text()] == ["40 %"]
    assert_words_inside(figure)


def test_nothing_outside_draws_no_bars():
    figure = ReasonsFigure()
    figure.update(report([0.05] * 60 + [5.05] * 40))
    figure.update(report([0.05] * 100))
    for names, bars, labels in figure.groups.values():
        assert all(bar.get_width() == 0 for bar in bars)
        assert all(label.get_text() == "" for label in labels)
        assert len(bars) == len(names)


def test_hue_bars_wear_their_hue():
    _, bars, _ = ReasonsFigure().groups["hues"]
    shown = {name: bar.get_facecolor() for name, bar in zip(HUE_NAMES, bars, strict=True)}
    red, green, blue = shown["reds"], shown["greens"], shown["blues"]
    assert red[0] > max(red[1:3]) and green[1] > max(green[0], green[2])
    assert blue[2] > max(blue[:2])
    assert np.ptp(shown["greys"][:3]) < 0.01


# -- slice and solid


@pytest.fixture(scope="module")
def profile():
    return model_profile((96, 0, 0), 1.7, finish="matte", grid=17)


def one_colour(value):
    lab = np.full((1, 3), value, np.float32)
    trip = Trip(lab, lab, lambda: lab)
    return SimpleNamespace(trip=trip, counts=np.ones(1), distance=np.zeros(1))


def view(profile, lab, beyond=None, counts=None, **more):
    lab = np.asarray(lab, np.float32).reshape(-1, 3)
    beyond = np.zeros(len(lab), np.float32) if beyond is None else np.asarray(beyond, np.float32)
    counts = np.ones(len(lab), int) if counts is None else np.asarray(counts)
    trip = Trip(lab, lab, lambda: lab)
    found = gathered(SimpleNamespace(trip=trip, counts=counts, distance=beyond), cell=1.0)
    return GamutView(gamut_shell(profile), found, **more)


INSIDE, OUTSIDE = (50, 5, 5), (50, 5, -95)


def test_the_slice_draws_the_outline_and_tells_dots_apart(profile):
    figure = SliceFigure()
    seen = view(profile, [INSIDE, OUTSIDE], beyond=[0.1, 12], limit=2.0)
    figure.update((seen, 50))
    assert np.array_equal(figure.outline.get_xydata(), seen.shell.outline(50))
    assert figure.held.get_offsets() == pytest.approx(np.array([INSIDE[1:]]))
    assert figure.outside.get_offsets() == pytest.approx(np.array([OUTSIDE[1:]]))
    assert to_rgb(figure.outside.get_edgecolor()[0]) == to_rgb(colour("outside"))
    assert figure.held.get_facecolor()[0, :3] == pytest.approx(screen_rgb(INSIDE))
    # they differ in shape as well as in colour
    assert len(figure.held.get_paths()[0]) != len(figure.outside.get_paths()[0])
    # a higher limit lets the same colour pass
    figure.update((view(profile, [INSIDE, OUTSIDE], beyond=[0.1, 12], limit=15.0), 50))
    assert len(figure.outside.get_offsets()) == 0


def test_the_outline_moves_with_lightness_without_new_still_parts(profile):
    figure = SliceFigure()
    seen = view(profile, [INSIDE, OUTSIDE])
    pictures, areas = set(), []
    for lightness in (25, 40, 55, 70, 85):
        figure.update((seen, lightness))
        pictures.add(figure.render())
        x, y = figure.outline.get_data()
        areas.append(abs(np.sum(x[:-1] * y[1:] - x[1:] * y[:-1])) / 2)
    assert len(pictures) == 5 and figure.still_draws == 1
    assert max(areas) > 2 * min(areas)
    assert f"area of {areas[-1]:.0f}" in figure.alt_text(seen, 85)
    assert "Slice at L* 85 (media-relative)" in texts(figure)


def test_another_paper_is_dashed_and_named(profile):
    figure = SliceFigure()
    other = gamut_shell(coated_profile())
    figure.update((view(profile, [INSIDE], paper_name="One", other=other, other_name="Two"), 50))
    assert np.array_equal(figure.other.get_xydata(), other.outline(50))
    assert figure.other.get_linestyle() != figure.outline.get_linestyle()
    assert {"One", "Two"} <= set(texts(figure))
    assert_words_inside(figure)
    figure.update(
        (view(profile, [INSIDE], paper_name="A name much too long for any legend at all"), 50)
    )
    assert len(figure.other.get_xdata()) == 0 and "Two" not in texts(figure)
    assert any(text.endswith("…") for text in texts(figure))
    assert_words_inside(figure)


def test_no_colours_near_a_lightness_is_no_trouble(profile):
    seen = view(profile, [INSIDE])
    empty = gathered(one_colour(0), lightness=90)
    figure = SliceFigure()
    figure.update((GamutView(seen.shell, empty), 90))
    assert len(figure.held.get_offsets()) == 0
    assert len(figure.outline.get_xdata()) == 121


def test_dots_grow_with_their_share(profile):
    figure = SliceFigure()
    figure.update((view(profile, [(50, 0, 0), (50, 20, 0)], counts=[1, 1000]), 50))
    sizes = {
        x: s for (x, _), s in zip(figure.held.get_offsets(), figure.held.get_sizes(), strict=True)
    }
    assert sizes[20] > 2 * sizes[0]


def colour_at(figure, x, y):
    """Mean sRGB 0..255 around a point of the solid's axes."""
    column, row = figure._axes.transData.transform((x, y))
    pixels = figure.pixels()
    row, column = round(pixels.shape[0] - row), round(column)
    return pixels[row - 2 : row + 3, column - 2 : column + 3].reshape(-1, 3).mean(axis=0)


def test_from_above_the_solid_is_the_plane_of_the_slice(profile):
    figure = SolidFigure()
    seen = view(profile, [INSIDE])
    figure.update((seen, 0, 90, None))
    figure.pixels()
    red, blue = colour_at(figure, 60, 30), colour_at(figure, 0, -45)
    assert red[0] > red[2] + 40 and blue[2] > blue[0] + 40
    card = np.array(to_rgb(CARD)) * 255
    assert colour_at(figure, 0.9 * figure._radius, 0.9 * figure._radius) == pytest.approx(
        card, abs=1
    )
    # its silhouette reaches as far as the slices do
    shown = np.concatenate([path.vertices for path in figure.shapes.get_paths()])
    rings = np.concatenate([seen.shell.outline(h) for h in range(100)])
    assert shown.min(axis=0) == pytest.approx(rings.min(axis=0), abs=5)
    assert shown.max(axis=0) == pytest.approx(rings.max(axis=0), abs=5)


def test_from_the_side_height_is_lightness(profile):
    figure = SolidFigure()
    figure.update((view(profile, [INSIDE]), 40, 0, 70.0))
    assert np.unique(np.round(figure.ring.get_ydata(), 6)) == pytest.approx([20])
    zero, hundred = (label.get_position()[1] for label in figure.labels[:2])
    assert zero < -50 and hundred > 50


def test_a_half_turn_mirrors_the_silhouette(profile):
    figure = SolidFigure()
    seen = view(profile, [INSIDE])
    spans = []
    for turn in (30, 210):
        figure.update((seen, turn, 0, None))
        shown = np.concatenate([path.vertices for path in figure.shapes.get_paths()])
        spans.append((shown[:, 0].min(), shown[:, 0].max()))
    assert spans[0] == pytest.approx((-spans[1][1], -spans[1][0]))


def test_what_is_nearer_covers_what_is_behind(profile):
    """A dot outside on the near side is painted last of all, one on the far side first."""
    figure = SolidFigure()
    near, far = (50, 0, -115), (50, 0, 115)
    seen = view(profile, [near, far], beyond=[20, 20])
    figure.update((seen, 0, 0, None))  # looking along +b*, so −b* is nearest
    faces = figure.shapes.get_facecolor()
    assert faces[-1, :3] == pytest.approx(screen_rgb(near))
    assert faces[0, :3] == pytest.approx(screen_rgb(far))
    assert faces[-1, 3] == 1 and np.all(faces[1:-1, 3] < 1)
    figure.update((seen, 180, 0, None))
    faces = figure.shapes.get_facecolor()
    assert faces[-1, :3] == pytest.approx(screen_rgb(far))


def test_turning_redraws_no_still_parts_and_changes_the_picture(profile):
    figure = SolidFigure()
    seen = view(profile, [INSIDE, OUTSIDE])
    pictures = set()
    for turn, tilt in ((0, 20), (60, 20), (60, 50), (120, 90)):
        figure.update((seen, turn, tilt, 50.0))
        pictures.add(figure.render())
    assert len(pictures) == 4 and figure.still_draws == 1


@pytest.mark.parametrize("tilt", [0, 25, 60, 90])
def test_everything_stays_inside_the_figure(profile, tilt):
    figure = SolidFigure()
    for turn in (0, 50, 135, 270):
        figure.update((view(profile, [(60, 100, 60)]), turn, tilt, 50.0))
        assert_words_inside(figure)
        left, bottom, right, top = figure._axes.viewLim.extents
        for path in figure.shapes.get_paths():
            x, y = path.vertices.T
            assert left <= x.min() and x.max() <= right
            assert bottom <= y.min() and y.max() <= top


def test_a_solid_of_four_inks_keeps_only_its_surface():
    shell = gamut_shell(coated_profile())
    figure = SolidFigure()
    figure.update((GamutView(shell, gathered(one_colour(50))), 0, 90, None))
    corners = figure._mesh[0]
    assert 200 < len(corners) < 1200
    centre = corners.mean(axis=1)
    axis = np.stack(
        [np.interp(centre[:, 0], np.arange(0.5, 100), shell.axis[:, i]) for i in (0, 1)]
    )
    away = centre[:, 1:] - axis.T
    reach = shell.reach_at(centre[:, 0], np.degrees(np.arctan2(away[:, 1], away[:, 0])))
    assert np.all(np.hypot(*away.T) > 0.9 * reach - 3)


@pytest.mark.parametrize("figure", [SliceFigure, SolidFigure, DistributionFigure, ReasonsFigure])
def test_narrow_and_sharp_screens(profile, figure):
    made = figure()
    made.set_size(320)
    made.set_scale(2)
    if figure is SliceFigure:
        made.update((view(profile, [INSIDE, OUTSIDE]), 50))
    elif figure is SolidFigure:
        made.update((view(profile, [INSIDE, OUTSIDE]), 0, 30, 50.0))
    else:
        found = both([0.05] * 60 + [5.05] * 40)
        made.update(found if figure is DistributionFigure else found[0])
    assert Image.open(io.BytesIO(made.render())).size == (640, 2 * made.size_px[1])


@pytest.mark.parametrize("width", [510, 460, 459, 360, 320])
@pytest.mark.parametrize("absolute", [False, True])
def test_words_stay_inside_where_it_is_narrow(profile, width, absolute):
    other = gamut_shell(model_profile((96, 0, 0), 1.2, finish="matte", grid=9))
    solid, cut, reasons = SolidFigure(), SliceFigure(), ReasonsFigure()
    for figure in (solid, cut, reasons):
        figure.set_size(width)
    shown = view(profile, [INSIDE, OUTSIDE], absolute=absolute, paper_name="A paper of Fen",
                 other=other, other_name="Another of Moor")  # fmt: skip
    solid.update((shown, 0, 30, 50.0))
    cut.update((shown, 50))
    reasons.update(report([0.05] * 60 + [5.05] * 40))
    for figure in (solid, cut, reasons):
        assert_words_inside(figure)
    # what their numbers relate to is said
    kind = "(absolute)" if absolute else "(media-relative)"
    assert all(any(kind in words for words in texts(figure)) for figure in (solid, cut))


# -- marks


def test_marks_cover_what_is_further_and_nothing_else():
    pixels = np.full((40, 60, 3), 100, np.uint8)
    distance = np.zeros((40, 60))
    distance[:, 30:] = 5.0
    distance[:, 45:] = 30.0
    result = marked(pixels, distance, 2.0, "#ffffff")
    assert np.all(result[:, :30] == 100)
    assert np.all(result[:, 30:] > 100)
    # stronger where further, striped, and the picture given is left alone
    assert result[:, 45:].mean() > result[:, 30:45].mean()
    assert len(np.unique(result[:, 45:])) == 2 and result.max() == 255
    assert np.all(pixels == 100)
    assert np.array_equal(marked(pixels, distance, 40.0, "#ffffff"), pixels)


def test_marks_of_a_pixel_exactly_at_the_limit_are_left_out():
    assert np.all(marked(np.zeros((2, 2, 3), np.uint8), np.full((2, 2), 2.0), 2.0, "#ffffff") == 0)


def test_mark_colours_are_told_apart():
    rgb = {name: to_rgb(value) for name, value in COLOURS}
    assert len(set(rgb.values())) == len(COLOURS) >= 6
    # no red beside a green: they look alike to many
    assert not any(g > 1.2 * r and g > 1.2 * b for r, g, b in rgb.values())
