"""The drawing of a print file: to scale, complete, and nothing on top of anything."""

from __future__ import annotations

import numpy as np
import pytest
from figure_helpers import assert_words_have_room, shown_words
from figures.test_size_figure import box
from hypothesis import given, settings
from hypothesis import strategies as st
from output.makers import job, scene

from workbench.errors import SizeError
from workbench.figures.print_layout import PrintLayoutFigure, dimension_text
from workbench.output.layout import layout_of

CASES = {
    "alone": {"width_mm": 300},
    "borders": {"width_mm": 200, "borders_mm": (20, 30, 50, 10)},
    "on its sheet": {"width_mm": 127, "sheet": "A4", "on_sheet": True, "borders_mm": (10, 10, 26, 10)},
    "mirrored": {"width_mm": 600, "ppi": 300, "bleed_mm": 40, "borders_mm": 20},
    "own bleed": {"width_mm": 200, "bleed_mm": 20, "bleed": "picture"},
    "canvas": {"width_mm": 200, "bleed_mm": 40, "bar_depth_mm": 20, "bleed": "stretched"},
    "white bleed": {"width_mm": 200, "bleed_mm": 20, "bleed": "white", "borders_mm": 5},
    "tiny": {"width_mm": 20, "sheet": "A2", "on_sheet": True},
    "large": {"width_mm": 5000, "borders_mm": 3},
    "sliver": {"crop": (0, 0, 30, 400), "width_mm": 30, "borders_mm": 4},
    "panorama": {"crop": (0, 0, 600, 30), "width_mm": 900, "borders_mm": 2},
}  # fmt: skip


def laid_out(**details):
    work = job(scene(600, 400), **details).checked()
    return work, layout_of(work)


def small(width=90, height=60):
    """Left half red, right half blue, top row green."""
    pixels = np.empty((height, width, 3), np.uint8)
    pixels[:, : width // 2], pixels[:, width // 2 :] = (200, 30, 30), (30, 30, 200)
    pixels[: height // 6] = (30, 200, 30)
    return pixels


def drawn(case, **more):
    work, layout = laid_out(**CASES[case])
    figure = PrintLayoutFigure()
    figure.update(layout, bleed=work.bleed, thumbnail=small(), **more)
    return work, layout, figure


def in_mm(figure, layout, edges):
    """(left, top, right, bottom) in CSS pixels, as millimetres of the file."""
    left, top, _, _ = box(figure.paper)
    return (np.array(edges) - [left, top, left, top]) / figure.scale_px / layout.ppi * 25.4


@pytest.mark.parametrize("width", [560, 300])
@pytest.mark.parametrize("case", CASES)
def test_words_are_neither_cut_off_nor_on_top_of_each_other(case, width):
    _, _, figure = drawn(case)
    figure.set_size(width)
    assert_words_have_room(figure)


_FIGURE = PrintLayoutFigure()


@settings(max_examples=40, deadline=None)
@given(
    st.tuples(st.integers(20, 600), st.integers(20, 400)),
    st.floats(30, 3000),
    st.floats(0, 200),
    st.floats(0, 10),
    st.sampled_from([300, 430, 560]),
)
def test_words_have_room_whatever_the_size(size, width_mm, border, bleed, width_px):
    _, layout = laid_out(
        crop=(0, 0, *size), width_mm=width_mm, borders_mm=border, bleed_mm=bleed, bleed="white"
    )
    _FIGURE.set_size(width_px)
    _FIGURE.update(layout, bleed="white")
    assert_words_have_room(_FIGURE)


@pytest.mark.parametrize("case", CASES)
def test_paper_and_front_are_as_large_as_in_the_file(case):
    work, layout, figure = drawn(case)
    left, top, right, bottom = in_mm(figure, layout, box(figure.paper))
    assert (right - left, bottom - top) == pytest.approx((layout.width_mm, layout.height_mm))
    x, y, width, height = (side / layout.ppi * 25.4 for side in layout.front_box_px)
    front = in_mm(figure, layout, box(figure.front))
    assert front == pytest.approx([x, y, x + width, y + height])
    # whole pixels, so a length may be off by one
    pixel = 25.4 / layout.ppi
    assert width == pytest.approx(layout.front_mm[0], abs=1e-9)
    if "width_mm" in CASES[case]:
        assert width == pytest.approx(CASES[case]["width_mm"], abs=pixel)
    assert figure.front.get_visible() == (work.bleed_mm > 0)


def test_borders_offset_and_bleed_lie_where_they_are_asked_for():
    pixel = 25.4 / 100
    _, layout, figure = drawn("borders")
    x0, y0, x1, y1 = in_mm(figure, layout, box(figure.front))
    assert (y0, layout.width_mm - x1, layout.height_mm - y1, x0) == pytest.approx(
        (20, 30, 50, 10), abs=pixel
    )
    _, layout, figure = drawn("on its sheet")
    x0, y0, x1, y1 = in_mm(figure, layout, box(figure.front))
    assert (layout.width_mm, layout.height_mm) == pytest.approx((297, 210), abs=pixel)
    assert layout.height_mm - y1 - y0 == pytest.approx(16, abs=3 * pixel)
    for case, printed in (("mirrored", 40), ("canvas", 40), ("own bleed", 20), ("white bleed", 0)):
        _, layout, figure = drawn(case)
        shown = [in_mm(figure, layout, box_of(p)) for p in figure.pictures if p.get_visible()]
        left, front = min(e[0] for e in shown), in_mm(figure, layout, box(figure.front))[0]
        assert front - left == pytest.approx(printed, abs=2 * 25.4 / layout.ppi), case
        assert figure.bars.get_visible() == (case == "canvas")
    _, layout, figure = drawn("canvas")
    # the bars' back edge, 20 mm beyond the front and 20 mm before the fold ends
    assert in_mm(figure, layout, box(figure.bars))[0] == pytest.approx(20, abs=pixel)


def box_of(picture):
    x, y, width, height = picture.box
    return np.array([x, y, x + width, y + height])


def test_a_mirrored_bleed_mirrors_the_picture_s_edges():
    _, layout, figure = drawn("mirrored")
    for veil in figure.veil:
        veil.set_alpha(0.0)
    pixels = figure.pixels().astype(int)
    x0, y0, x1, y1 = (round(v) for v in box(figure.front))
    for step in (4, 8, 12):
        row = (y0 + 2 * y1) // 3
        assert np.abs(pixels[row, x0 - step] - pixels[row, x0 + step]).max() < 6
        assert np.abs(pixels[y0 - step, x0 + 60] - pixels[y0 + step, x0 + 60]).max() < 6
    # green above, so green beyond the upper edge, and none below
    assert pixels[y0 - 6, (x0 + x1) // 2][1] > 150 > 100 > pixels[y1 + 6, (x0 + x1) // 2][1]


def test_the_numbers_are_those_of_the_layout_in_the_person_s_unit_and_pixels():
    _, layout, figure = drawn("on its sheet")
    words = {text for text, _ in shown_words(figure)}
    assert "29.7 cm · 1,169 px" in words
    assert "21 cm · 827 px" in words
    assert "12.7 cm · 500 px" in words
    assert len(words) == 4
    for text in words:
        assert text in figure.alt_text(layout)
    _, layout, figure = drawn("alone")
    assert len(shown_words(figure)) == 2
    # an inch is 25.4 mm exactly (international yard and pound agreement of 1959)
    told = [dimension_text(254, 254, unit) for unit in ("cm", "mm", "in")]
    assert told == ["2.5 cm · 254 px", "25.4 mm · 254 px", "1 in · 254 px"]


def test_the_part_looked_at_is_framed_where_it_lies():
    _, layout, figure = drawn("borders", window=(100, 50, 300, 250))
    x0, y0, x1, y1 = in_mm(figure, layout, box(figure.window))
    x, y, _, _ = layout.front_box_px
    pixel = 25.4 / layout.ppi
    assert (x0, y0, x1, y1) == pytest.approx(
        ((x + 100) * pixel, (y + 50) * pixel, (x + 300) * pixel, (y + 250) * pixel)
    )
    figure.update(layout, window=None)
    assert not figure.window.get_visible()
    # a part too small to be seen gets a frame that is not
    figure.update(layout, window=(100, 50, 104, 53))
    left, top, right, bottom = box(figure.window)
    assert min(right - left, bottom - top) == pytest.approx(8)


def test_only_moving_parts_are_drawn_for_another_layout():
    _, _, figure = drawn("borders")
    figure.pixels()
    before = figure.still_draws
    for case in ("alone", "mirrored", "on its sheet"):
        work, layout = laid_out(**CASES[case])
        figure.update(layout, bleed=work.bleed)
        figure.pixels()
    assert figure.still_draws == before


def test_bad_sizes_and_thumbnails_are_told():
    with pytest.raises(SizeError, match="280 × 300"):
        PrintLayoutFigure(200, 390)
    with pytest.raises(SizeError, match="thumbnail"):
        PrintLayoutFigure().update(laid_out()[1], thumbnail=np.zeros((3, 4)))
