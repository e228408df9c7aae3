"""Papers side by side: curves, slices, swatches, and the same part of a picture on each paper."""

import io

import numpy as np
import pytest
from figure_helpers import assert_words_inside, shown_words
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from workbench.analysis.adaptation import BRIGHTENED_CARD, PERFECT_DIFFUSER, REFERENCE_WHITES
from workbench.analysis.black import tone_curve
from workbench.analysis.crops import printed_crop
from workbench.colour.inkmodel import model_profile
from workbench.colour.lab import lab_to_xyz, luminance_factor
from workbench.colour.shell import HUES, LIGHTNESS, GamutShell, gamut_shell
from workbench.colour.spaces import standard_profile
from workbench.figures.compare import (
    CurvesFigure,
    Fan,
    FanFigure,
    Named,
    SlicesFigure,
    fan_pixels,
)
from workbench.figures.compare_sheet import pdf_of, png_of, sheet_figure
from workbench.figures.compare_view import (
    PREVIEW_PX,
    eye_for,
    most_zoom,
    printed_tiles,
    sheets,
    wall_rgb,
    window_at,
    window_pixels,
)
from workbench.figures.style import SURROUND
from workbench.figures.white_steps import side_by_side
from workbench.paper import Paper
from workbench.picture.opening import from_pixels


@pytest.fixture(scope="module")
def papers():
    return tuple(
        Paper(name, model_profile(white, density, finish=finish, grid=17), finish=finish)
        for name, white, density, finish in (
            ("Cool gloss", (96, 0, -5), 2.3, "gloss"),
            ("Warm matte", (94, 0, 5), 1.6, "matte"),
        )
    )


@pytest.fixture(scope="module")
def picture():
    pixels = np.random.default_rng(5).integers(0, 65536, (1200, 1800, 3), dtype=np.uint16)
    return from_pixels(pixels, "opRGB")


def cylinder(radius):
    """A gamut of one reach at every lightness and hue."""
    return GamutShell(
        np.zeros((len(LIGHTNESS), 2)), np.full((len(LIGHTNESS), len(HUES)), float(radius)),
        np.zeros((0, 2, 2, 3)),
    )  # fmt: skip


# plots -------------------------------------------------------------------------


def test_curves_are_those_of_the_papers(papers):
    curves = tuple(tone_curve(paper) for paper in papers)
    figure = CurvesFigure()
    figure.update(Named(("A", "B"), curves, (0, 3)))
    for lines in figure.curves.values():
        for style, curve in ((0, curves[0]), (3, curves[1])):
            np.testing.assert_array_equal(lines[style].get_ydata(), curve.print_lightness)
        assert len(lines[1].get_xdata()) == 0
    both = figure.pixels()
    figure.update(Named(("A",), curves[:1], (0,)))
    assert (figure.pixels() != both).any()
    assert "A from L*" in figure.alt_text(Named(("A",), curves[:1]))
    # colour is not all that tells the lines apart
    patterns = {str(line.get_linestyle()) + str(line._dash_pattern) for line in lines}
    assert len(patterns) == len(lines)


def test_slices_are_circles_for_cylinders():
    figure = SlicesFigure()
    shown = Named(("small", "large"), (cylinder(20), cylinder(55)))
    figure.update((shown, 50))
    for style, radius in ((0, 20), (1, 55)):
        np.testing.assert_allclose(np.hypot(*figure.outlines[style].get_data()), radius)
    assert figure.axes.get_xlim() == (-60, 60)
    # the area of a regular polygon of 120 corners
    assert cylinder(20).area(50) == pytest.approx(60 * 400 * np.sin(np.radians(3)))
    assert "L* 50" in figure.title.get_text()
    assert "small 1256" in figure.alt_text(shown, 50)


def test_a_real_slice_moves_with_the_lightness(papers):
    shells = Named(tuple(p.name for p in papers), tuple(gamut_shell(p.profile) for p in papers))
    figure = SlicesFigure()
    figure.update((shells, 60))
    before = figure.pixels()
    draws = figure.still_draws
    figure.update((shells, 25))
    assert (figure.pixels() != before).any()
    assert figure.still_draws == draws  # only what moves is drawn again


def test_swatches_have_their_colours():
    colours = [(0.9, 0.1, 0.1), (0.1, 0.9, 0.1), (0.1, 0.1, 0.9)]
    pixels, middles = fan_pixels(colours, (356, 200))
    assert pixels.shape == (200, 356, 3)
    for colour, (x, y) in zip(colours, middles, strict=True):
        np.testing.assert_array_equal(pixels[round(y), round(x)], np.round(np.array(colour) * 255))
    assert (pixels[0, 0] == int(SURROUND[1:3], 16)).all()


@pytest.mark.parametrize("count", range(1, 7))
def test_every_swatch_is_seen_however_many_there_are(count):
    colours = np.linspace(0.2, 0.9, count + 1)[:, None] * np.ones(3)
    pixels, middles = fan_pixels(colours, (300, 200))
    for colour in colours:
        assert (pixels == np.round(colour * 255)).all(axis=-1).sum() > 500
    assert all(0 <= x < 300 and 0 <= y < 200 for x, y in middles)


def test_the_fan_names_its_swatches(papers):
    eye = eye_for(papers, reference=PERFECT_DIFFUSER)
    names = tuple(p.name for p in papers)
    fan = Fan(
        names, (2, 5), eye.whites_rgb, eye.whites_lab, eye.beside, eye.beside_rgb, eye.beside_lab
    )
    figure = FanFigure()
    figure.update(fan)
    assert [n.get_text() for n in figure.numbers[:3]] == ["2", "5", ""]
    assert figure.names[1].get_text() == "5  Warm matte"
    assert figure.labs[2].get_text() == "100.0, 0.0, 0.0"  # the sheet beside a perfect white
    before = figure.pixels()
    figure.set_dark(True)
    after = figure.pixels()
    x, y = 178, 60  # in the fan, whose colours no theme touches
    np.testing.assert_array_equal(before[y, x], after[y, x])
    assert (before[-3, 3] != after[-3, 3]).any()


# the linked view -----------------------------------------------------------------


@given(st.floats(1, 40), st.floats(0, 1), st.floats(0, 1))
def test_a_window_lies_inside_the_picture(zoom, across, down):
    class Shape:
        width_px, height_px = 613, 407

    window = window_at(Shape, zoom, across, down)
    assert 0 <= window.x and window.x + window.width <= 613
    assert 0 <= window.y and window.y + window.height <= 407
    assert window.width == max(1, round(613 / zoom))


def test_a_window_is_where_it_was_asked_for():
    class Shape:
        width_px, height_px = 1000, 500

    assert window_at(Shape, 1, 0.1, 0.9) == window_at(Shape, 1, 0.5, 0.5)
    window = window_at(Shape, 4, 0.5, 0.5)
    assert (window.x, window.y, window.width, window.height) == (375, 188, 250, 125)
    assert window_at(Shape, 4, 0, 1).x == 0 and window_at(Shape, 4, 0, 1).y == 375


def test_at_full_zoom_the_pixels_are_the_pictures_own(picture):
    zoom = most_zoom(picture, (180, 120))
    assert zoom == 10
    window = window_at(picture, zoom, 0.3, 0.7)
    pixels = window_pixels(picture, window, 180)
    np.testing.assert_array_equal(
        pixels, picture.crop(window.x, window.y, window.width, window.height)
    )


def test_preview_and_full_resolution_show_the_same_place():
    """A bright square on black: its middle stays where it is, whichever road is taken."""
    pixels = np.zeros((2000, 3000, 3), np.uint8)
    pixels[1180:1220, 1980:2020] = 255
    picture = from_pixels(pixels, "sRGB")
    for zoom in (1.0, 2.0, 6.0, 12.0):
        window = window_at(picture, zoom, 2000 / 3000, 1200 / 2000)
        shown = window_pixels(picture, window, 240)[..., 0].astype(float)
        assert shown.shape == (160, 240)
        scale = shown.shape[1] / window.width
        y, x = np.indices(shown.shape) + 0.5
        assert (x * shown).sum() / shown.sum() == pytest.approx((2000 - window.x) * scale, abs=0.8)
        assert (y * shown).sum() / shown.sum() == pytest.approx((1200 - window.y) * scale, abs=0.8)
    assert 3000 / PREVIEW_PX > 3  # both roads were taken


def test_tiles_agree_with_every_pixel_worked_out(papers, picture):
    window = window_at(picture, 10, 0.5, 0.5)
    eye = eye_for(papers, reference=BRIGHTENED_CARD)
    how = {"intent": "relative", "black_point_compensation": True}
    pixels = window_pixels(picture, window, 180)
    tiles = printed_tiles(pixels, picture.profile, papers, eye, **how)
    box = (window.x, window.y, window.width, window.height)
    for paper, tile in zip(papers, tiles, strict=True):
        exact = printed_crop(picture, paper, box, **how).seen(eye.white_xyz, eye.dim)
        difference = np.abs(tile.astype(int) - exact)
        assert difference.mean() < 1 and np.percentile(difference, 99) <= 8
    assert (tiles[0] != tiles[1]).any()


def test_no_white_clips_and_the_order_of_whites_stays(papers):
    eye = eye_for(papers, reference=BRIGHTENED_CARD)
    assert eye.dim > 1  # both are lighter than an brightened card
    assert eye.whites_rgb.max() == pytest.approx(1, abs=1e-3)
    assert eye.whites_rgb[1, 2] < eye.whites_rgb[0, 2]  # the warm one has less blue
    alone = eye_for(papers, reference=BRIGHTENED_CARD, adaptation=1, adapted_to=papers[1])
    np.testing.assert_allclose(alone.whites_lab[1], (100, 0, 0), atol=0.05)
    np.testing.assert_allclose(
        eye.white_xyz, lab_to_xyz(np.array(REFERENCE_WHITES[BRIGHTENED_CARD]))
    )


def test_walls():
    assert (wall_rgb("mid grey", 1.3) == int(SURROUND[1:3], 16)).all()
    # sRGB of L* 20 (IEC 61966-2-1: the curve by hand)
    light = float(luminance_factor(20.0))
    assert wall_rgb("dark wall")[0] == pytest.approx(
        255 * (1.055 * light ** (1 / 2.4) - 0.055), abs=1
    )
    white = wall_rgb("white wall")
    assert 225 < white[1] < 240
    assert (wall_rgb("white wall", 1.2) < white).all()  # dimmed as the papers are
    assert np.ptp(white.astype(int)) <= 1


def test_tiles_lie_on_their_papers_side_by_side():
    tiles = [np.full((10, 20, 3), v, np.uint8) for v in (10, 200)]
    laid = sheets(tiles, np.array([[1, 1, 0], [0, 1, 1]]), 4)
    row = side_by_side(laid, 6, (1, 2, 3))
    assert row.shape == (18, 28 + 6 + 28, 3)
    assert tuple(row[0, 0]) == (255, 255, 0) and tuple(row[0, 40]) == (0, 255, 255)
    assert tuple(row[9, 10]) == (10, 10, 10) and tuple(row[9, 30]) == (1, 2, 3)


# to take away ---------------------------------------------------------------------


@pytest.fixture
def sheet():
    random = np.random.default_rng(2)
    tiles = [random.integers(0, 256, (120, 180, 3), dtype=np.uint8) for _ in range(4)]
    captions = [(f"Paper ${n} {'x' * 60}", "white looks neutral") for n in range(4)]
    return tiles, sheet_figure("Harbour on 4 papers", "note " * 60, tiles, captions, (119,) * 3)


def test_a_saved_png_holds_the_very_pixels(sheet):
    tiles, figure = sheet
    profile = standard_profile("sRGB")
    image = Image.open(io.BytesIO(png_of(figure, profile)))
    assert image.info["icc_profile"] == profile
    pixels = np.asarray(image)
    for place, tile in enumerate(tiles):
        row, column = divmod(place, 3)
        x, y = 36 + column * (180 + 24), 62 + row * (120 + 52)
        np.testing.assert_array_equal(pixels[y : y + 120, x : x + 180], tile)
    assert tuple(pixels[2, 2]) == (119, 119, 119)


def test_no_word_runs_off_the_sheet(sheet):
    _, figure = sheet
    assert len(shown_words(figure)) == 2 + 2 * 4
    assert_words_inside(figure)


def test_a_saved_pdf_is_one(sheet):
    tiles, figure = sheet
    data = pdf_of(figure, "Harbour")
    assert data.startswith(b"%PDF-") and data.rstrip().endswith(b"%%EOF")
    # every tile as its own pixels
    assert data.count(b"/Width 180") == len(tiles) and data.count(b"/Height 120") == len(tiles)
