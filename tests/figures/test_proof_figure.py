"""The difference map's colours and legend, the stripes for paper and display, the frame."""

import io

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from workbench.analysis.proof_maps import DIFFERENCE_STEPS, LIMITS, step_shares
from workbench.colour.difference import delta_e_2000
from workbench.colour.engine import transform
from workbench.colour.spaces import standard_profile
from workbench.figures.proof import (
    DIFFERENCE_COLOURS,
    LIMIT_COLOURS,
    DifferenceFigure,
    difference_picture,
    framed,
    limits_picture,
)

SHARES = (0.5, 0.2, 0.15, 0.1, 0.05)

# severity 1.0, in linear sRGB: G. M. Machado, M. M. Oliveira, L. A. F. Fernandes, "A
# physiologically-based model for simulation of color vision deficiency", IEEE TVCG 15(6),
# 2009, supplementary tables (from memory; each row sums to 1)
BLINDNESS = {
    "protan": [[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216],
               [-0.003882, -0.048116, 1.051998]],
    "deutan": [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413],
               [-0.011820, 0.042940, 0.968881]],
    "tritan": [[1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602],
               [0.004733, 0.691367, 0.303900]],
}  # fmt: skip


def rgb(colour):
    return tuple(int(colour[i : i + 2], 16) for i in (1, 3, 5))


def lab_of(colours, kind=None):
    values = np.array([rgb(colour) for colour in colours]) / 255
    if kind:
        # IEC 61966-2-1
        light = np.where(values <= 0.04045, values / 12.92, ((values + 0.055) / 1.055) ** 2.4)
        light = np.clip(light @ np.array(BLINDNESS[kind]).T, 0, 1)
        values = np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055)
    return transform(values, standard_profile("sRGB"), "lab")


@pytest.mark.parametrize("kind", [None, *BLINDNESS])
def test_every_step_is_clearly_lighter_than_the_one_before(kind):
    assert np.diff(lab_of(DIFFERENCE_COLOURS, kind)[:, 0]).min() > 12


@pytest.mark.parametrize("kind", [None, *BLINDNESS])
def test_the_limits_are_told_apart_by_colour_also_by_the_colour_blind(kind):
    lab = lab_of(LIMIT_COLOURS.values(), kind)
    pairs = [(0, 1), (0, 2), (1, 2)]
    assert min(float(delta_e_2000(lab[a], lab[b])) for a, b in pairs) > 15


@given(st.floats(0, 200, width=32))
def test_each_pixel_has_its_steps_colour(value):
    step = max(i for i, (limit, _) in enumerate(DIFFERENCE_STEPS) if value >= limit)
    shown = difference_picture(np.full((1, 2), value, np.float32))
    assert shown.dtype == np.uint8 and shown.shape == (1, 2, 3)
    assert tuple(shown[0, 0]) == rgb(DIFFERENCE_COLOURS[step])


def test_limits_have_their_colours_and_directions_and_leave_the_rest_grey():
    limits = np.repeat(np.arange(4, dtype=np.uint8), 12)[None].repeat(12, axis=0)
    pixels = np.full((12, 48, 3), (200, 90, 40), np.uint8)
    shown = limits_picture(pixels, limits)
    assert (pixels == (200, 90, 40)).all()
    plain = shown[:, :12].reshape(-1, 3)
    assert len(np.unique(plain, axis=0)) == 1 and len(set(plain[0].tolist())) == 1
    covered = {}
    for index, name in enumerate(LIMITS[1:], 1):
        part = shown[:, 12 * index : 12 * index + 12]
        covered[name] = (part == rgb(LIMIT_COLOURS[name])).all(axis=-1)
        assert set(map(tuple, part[~covered[name]])) == {tuple(plain[0])}
    assert covered["paper"].mean() == covered["display"].mean() == 0.5
    assert covered["both"].mean() > 0.7
    # stripes of the paper rise to the right, those of the display fall
    row, column = np.nonzero(covered["paper"])
    assert len(np.unique((row + column) // 3 % 2)) == 1
    row, column = np.nonzero(covered["display"])
    assert len(np.unique((row - column) // 3 % 2)) == 1


def test_the_frame_lies_at_the_box_and_nowhere_else():
    pixels = np.full((50, 101, 3), 128, np.uint8)
    shown = framed(pixels, (0.2, 0.2, 0.6, 0.6))
    changed = np.argwhere((shown != 128).any(axis=2))
    assert changed.min(axis=0).tolist() == [10, 20] and changed.max(axis=0).tolist() == [29, 60]
    assert (shown[10, 20:61] == 0).all() and (shown[11, 21:60] == 255).all()
    assert (shown[12:28, 22:59] == 128).all() and (pixels == 128).all()


@given(st.lists(st.floats(-1, 2), min_size=4, max_size=4))
def test_any_frame_stays_in_the_picture(box):
    pixels = np.full((7, 9, 3), 128, np.uint8)
    assert framed(pixels, box).shape == pixels.shape


def test_the_legend_shows_the_shares_as_lengths_and_figures():
    figure = DifferenceFigure()
    figure.update(SHARES)
    assert [bar.get_width() for bar in figure.bars] == pytest.approx([50, 20, 15, 10, 5])
    assert [text.get_text() for text in figure.figures] == ["50 %", "20 %", "15 %", "10 %", "5.0 %"]
    labels = [label.get_text() for label in figure.labels]
    assert labels[0] == "0 to 1: not to be seen" and labels[-1].startswith("above 8")
    first = figure.pixels()
    figure.update((0, 0, 0, 0, 1))
    assert (figure.pixels() != first).any()
    assert figure.still_draws == 1
    image = Image.open(io.BytesIO(figure.render()))
    assert image.size == figure.size_px
    # half way along the last bar is its colour
    x, y = figure.axes.transData.transform((50, 4.2))
    assert image.convert("RGB").getpixel((int(x), int(image.height - y))) == rgb(
        DIFFERENCE_COLOURS[-1]
    )


@pytest.mark.parametrize("width", [360, 640])
def test_words_stay_inside_the_figure_and_off_the_bars(width):
    figure = DifferenceFigure()
    figure.set_size(width)
    figure.update((1, 0, 0, 0, 0))
    figure.pixels()
    renderer = figure.figure.canvas.get_renderer()
    bars = [bar.get_window_extent(renderer) for bar in figure.bars]
    for row, label in enumerate(figure.labels):
        box = label.get_window_extent(renderer)
        assert 0 <= box.x0 and box.x1 <= width and box.y1 <= figure.size_px[1]
        assert box.y0 > bars[row].y1
        assert row == 0 or box.y1 < bars[row - 1].y0
    assert figure.figures[0].get_window_extent(renderer).x1 <= width


def test_the_alternative_text_says_every_share():
    text = DifferenceFigure().alt_text(step_shares(np.array([[0.0, 0.5], [3.0, 9.0]])))
    assert "0 to 1 (not to be seen) 50 %" in text
    assert "2 to 4 (seen side by side) 25 %" in text
    assert "above 8 (another colour) 25 %" in text
