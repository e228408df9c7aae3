"""The drawing of a print on its sheet: to scale, complete, and nothing on top of anything."""

import io
from functools import partial

import numpy as np
import pytest
from figure_helpers import assert_words_have_room, shown_words
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from workbench.analysis import size as sizes
from workbench.analysis.sheets import ROLLS
from workbench.errors import SizeError
from workbench.figures.size import SizeFigure, size_figure
from workbench.figures.style import SURROUND
from workbench.printer import BORDERLESS

print_size = partial(sizes.print_size, feed=BORDERLESS)

RED, BLUE = (200, 30, 30), (30, 30, 200)

CASES = {
    "landscape on A2": ((8362, 5528), {"ppi": 360}),
    "portrait on A3": ((4000, 6000), {"sheet": "A3", "borders_mm": (20, 20, 40, 20)}),
    "square": ((3000, 3000), {"width_mm": 190}),
    "panorama on a roll": ((18000, 4000), {"sheet": "24 in roll", "borders_mm": 10}),
    "across a roll": ((4680, 4000), {"width_mm": 468, "sheet": "24 in roll", "borders_mm": 25}),
    "upright on a roll": ((4000, 6000), {"width_mm": 400, "sheet": "17 in roll"}),
    "tiny": ((1200, 800), {"ppi": 300}),
    "fits nothing": ((8000, 6000), {"ppi": 30}),
    "far too large for its sheet": ((18000, 4000), {"ppi": 240, "sheet": "A4", "borders_mm": 10}),
    "borders eat the sheet": ((6000, 4000), {"ppi": 360, "sheet": "A4", "borders_mm": 150}),
    "sliver": ((600, 9000), {"width_mm": 40, "borders_mm": 25}),
}


def thumbnail(width=90, height=60):
    """Left half red, right half blue."""
    pixels = np.empty((height, width, 3), np.uint8)
    pixels[:, : width // 2] = RED
    pixels[:, width // 2 :] = BLUE
    return pixels


def box(patch):
    """(left, top, right, bottom) in CSS pixels."""
    x, y = patch.get_xy()
    return np.array([x, y, x + patch.get_width(), y + patch.get_height()])


@pytest.mark.parametrize("unit", ["cm", "mm", "in"])
@pytest.mark.parametrize("case", CASES)
def test_words_are_neither_cut_off_nor_on_top_of_each_other(case, unit):
    pixels, given_ = CASES[case]
    size = print_size(pixels, **given_)
    figure = SizeFigure(size, thumbnail(), unit=unit)
    assert_words_have_room(figure)
    # the print's own dimensions are always there
    words = {text for text, _ in shown_words(figure)}
    assert any(text.endswith(f" {unit}") for text in words)


@settings(max_examples=40, deadline=None)
@given(
    st.tuples(st.integers(400, 20_000), st.integers(400, 20_000)),
    st.floats(40, 900),
    st.sampled_from([None, "A4", "A2", "24 in roll", "44 in roll", "4x6 in"]),
    st.floats(0, 80),
    st.sampled_from(["cm", "mm", "in"]),
)
def test_words_have_room_whatever_the_size(pixels, ppi, sheet, border, unit):
    size = print_size(pixels, ppi=ppi, sheet=sheet, borders_mm=border)
    _FIGURE.update(size, unit=unit)
    assert_words_have_room(_FIGURE)


_FIGURE = SizeFigure(thumbnail=None)


@pytest.mark.parametrize("case", CASES)
def test_sheet_picture_and_borders_are_to_one_scale(case):
    pixels, given_ = CASES[case]
    size = print_size(pixels, **given_)
    fit = size.chosen or size.best_fit
    figure = SizeFigure(size, thumbnail())
    x, y, width, height = figure._image.box
    scale = width / size.width_mm
    assert height / size.height_mm == pytest.approx(scale)
    if fit is None:
        assert not figure._paper.get_visible()
        return
    left, top, right, bottom = box(figure._paper)
    assert (right - left) / fit.width_mm == pytest.approx(scale)
    assert (bottom - top) / fit.height_mm == pytest.approx(scale)
    # the picture lies in the middle of what the borders leave
    edges = size.borders
    gaps = ((x - left) / scale - edges.left_mm, (right - x - width) / scale - edges.right_mm,
            (y - top) / scale - edges.top_mm, (bottom - y - height) / scale - edges.bottom_mm)  # fmt: skip
    assert gaps[0] == pytest.approx(gaps[1], abs=1e-6)
    assert gaps[2] == pytest.approx(gaps[3], abs=1e-6)
    assert gaps[0] + gaps[1] == pytest.approx(
        fit.width_mm - edges.across_mm - size.width_mm, abs=1e-6
    )
    assert figure._frame.get_visible() == (not fit.fits)
    assert figure._roll_on.get_visible() == fit.sheet.is_roll
    # and so is the bar below: its length in px is its words in mm
    bar_x = figure._bar.get_xdata()
    assert (bar_x[1] - bar_x[0]) / scale == pytest.approx(
        float(figure._bar_text.get_text().split()[0]) * 10
    )


def test_compared_sheets_share_one_scale_and_mark_what_fits():
    size = print_size((8362, 5528), ppi=360)
    figure = SizeFigure(size, thumbnail())
    scales, names = [], []
    for paper, picture, name, room in figure._rows:
        left, _, right, _ = box(picture)
        scales.append((right - left) / size.width_mm)
        fit = next(fit for fit in size.fits if fit.name == name.get_text())
        left, _, right, _ = box(paper)
        scales.append((right - left) / fit.width_mm)
        assert ("too" in room.get_text()) == (not fit.fits)
        assert (picture.get_linestyle() in ("-", "solid")) == fit.fits
        names.append(name.get_text())
        assert (name.get_weight() == "bold") == (name.get_text() == "A2")
    assert scales == pytest.approx([scales[0]] * len(scales))
    assert "A2" in names


def test_fewer_sheets_leave_rows_empty():
    figure = SizeFigure(print_size((8362, 5528), ppi=360), thumbnail())
    one = print_size((8362, 5528), ppi=360, sheets=ROLLS)
    figure.update(one)
    assert [row[2].get_text() for row in figure._rows] == ["16 in roll", "", "", "", ""]
    assert [row[0].get_visible() for row in figure._rows] == [True, False, False, False, False]
    none = print_size((8362, 5528), ppi=60, sheets=ROLLS, crop_ratio=1)
    figure.update(none)
    assert not any(row[0].get_visible() for row in figure._rows)
    assert np.array_equal(figure.pixels(), SizeFigure(none, thumbnail()).pixels())


def test_pixels_show_surround_paper_and_picture():
    size = print_size((6000, 4000), sheet="A4", borders_mm=30)
    figure = SizeFigure(size, thumbnail())
    shown = figure.pixels()
    assert shown.shape == (420, 700, 3)
    shown = shown[:, 700 - round(figure._stage[2]) :]  # the comparison lies left of the stage
    left, top, right, bottom = (round(v) for v in box(figure._paper))
    x, y, width, height = figure._image.box
    middle = (top + bottom) // 2
    assert tuple(shown[5, 5]) == tuple(bytes.fromhex(SURROUND[1:]))
    assert tuple(shown[top + 4, left + 4]) == (255, 255, 255)
    assert tuple(shown[bottom - 4, right - 4]) == (255, 255, 255)
    assert tuple(shown[middle, round(x + width * 0.25)]) == RED
    assert tuple(shown[middle, round(x + width * 0.75)]) == BLUE
    assert tuple(shown[round(y + height) + 3, round(x + width * 0.25)]) == (255, 255, 255)


def test_the_crop_is_what_is_shown():
    # a square from the left of 3:2 keeps 2/3 of the width: red to 3/4 of it
    size = print_size((6000, 4000), crop_ratio=1, crop_position=(0, 0), ppi=300)
    figure = SizeFigure(size, thumbnail())
    shown = figure._image.pixels
    assert shown.shape == (60, 60, 3)
    assert tuple(shown[30, 44]) == RED
    assert tuple(shown[30, 46]) == BLUE
    figure.update(print_size((6000, 4000), crop_ratio=1, crop_position=(1, 0), ppi=300))
    assert tuple(figure._image.pixels[30, 20]) == BLUE


def test_a_bleed_of_the_pictures_own_is_not_squeezed_into_the_front():
    # 300 dpi and 1 inch beyond each edge: 300 of 3000 × 1500 px on each side lie beyond it
    size = print_size((3000, 1500), ppi=300, bleed_mm=25.4, bleed="picture")
    assert size.width_mm == pytest.approx(8 * 25.4) and size.height_mm == pytest.approx(3 * 25.4)
    pixels = np.full((150, 300, 3), 90, np.uint8)
    pixels[30:120, 30:270] = RED
    figure = SizeFigure(size, pixels)
    assert figure._image.pixels.shape == (90, 240, 3)
    assert (figure._image.pixels == RED).all()
    assert figure.cut_px == (0.0, 0.0)
    # a hand moves the picture by as much as is cut, to the scale of the drawing
    size = print_size((3000, 1500), ppi=300, bleed_mm=25.4, bleed="picture", crop_ratio=1)
    figure.update(size)
    scale = figure._image.box[2] / size.width_mm
    cut_mm = (size.crop.left_px + size.crop.right_px) / size.ppi * 25.4
    assert figure.cut_px[0] == pytest.approx(cut_mm * scale)


def test_update_ends_where_a_new_figure_starts():
    """Nothing of an earlier state stays behind."""
    figure = SizeFigure(unit="cm")
    for pixels, given_ in CASES.values():
        size = print_size(pixels, **given_)
        figure.update(size, thumbnail=thumbnail())
        assert np.array_equal(figure.pixels(), SizeFigure(size, thumbnail()).pixels())


def test_a_slider_redraws_only_what_moves():
    figure = SizeFigure(print_size((6000, 4000), width_mm=430), thumbnail())
    figure.render()
    draws = figure.still_draws
    seen = set()
    for step in range(12):  # the same sheets stay in question between 430 and 436 mm
        figure.update(print_size((6000, 4000), width_mm=430 + step / 2))
        seen.add(figure.render())
    assert figure.still_draws == draws
    assert len(seen) > 6


def test_render_is_a_png_of_the_right_size():
    size = print_size((6000, 4000))
    for scale in (1, 2):
        data = SizeFigure(size, thumbnail(), scale=scale, width_px=600, height_px=300).render()
        assert Image.open(io.BytesIO(data)).size == (600 * scale, 300 * scale)


def test_a_plain_figure_draws_everything():
    size = print_size((6000, 4000), sheet="A4", borders_mm=30)
    figure = size_figure(size, thumbnail(), unit="in")
    out = io.BytesIO()
    figure.savefig(out, format="png")
    plain = np.asarray(Image.open(out).convert("RGB"))
    live = SizeFigure(size, thumbnail(), unit="in").pixels()
    assert plain.shape == live.shape
    # to the bit but for words, which a live figure puts down at whole pixels
    other = np.abs(plain.astype(int) - live).max(axis=-1) > 0
    assert other.mean() < 0.02
    assert not other[100:300, 500:620].any()  # the picture


def test_alt_text_says_what_is_drawn():
    size = print_size((8362, 5528), ppi=360)
    words = SizeFigure(size).alt_text(size)
    assert "At 360 ppi this prints 59 × 39 cm; it fits A2 with 2 mm to spare on each side." in words
    assert "17×22 in: 32 mm too wide" in words


@pytest.mark.parametrize(
    "wrong", [np.zeros((4, 4), np.uint8), np.zeros((4, 4, 3), float), np.zeros((0, 4, 3), np.uint8)]
)
def test_other_arrays_are_refused(wrong):
    with pytest.raises(SizeError, match="thumbnail"):
        SizeFigure(print_size((6000, 4000)), wrong)


@pytest.mark.parametrize("width_px", [740, 470, 461, 300])
def test_another_width_is_laid_out_anew(width_px):
    """A page that grows narrower never squeezes the picture; below 462 px the comparison goes."""
    size = print_size((6000, 4000), sheet="A4", borders_mm=30)
    figure = SizeFigure(size, thumbnail())
    figure.set_size(width_px)
    assert np.array_equal(
        figure.pixels(), SizeFigure(size, thumbnail(), width_px=width_px).pixels()
    )
    _, _, width, height = figure._image.box
    assert width / height == pytest.approx(1.5)
    assert figure._stage[2] == (width_px - 222 if width_px >= 462 else width_px)


def test_other_units_and_too_little_room_are_refused():
    with pytest.raises(SizeError, match="cm, mm or in"):
        SizeFigure(unit="pt")
    with pytest.raises(SizeError, match="at least"):
        SizeFigure(width_px=200)
