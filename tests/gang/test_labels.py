"""Labels and cut marks."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import ImageFont

from workbench.gang.labels import cut_marks, plain, text_mask


def test_letters_the_font_lacks_are_written_another_way():
    assert plain("−2 cooler, 30 × 20 cm – Ünal") == "-2 cooler, 30 x 20 cm - Unal"
    assert plain("港 · $x") == "? · $x"


def test_every_letter_that_is_kept_has_a_shape():
    font = ImageFont.load_default(40)
    missing = bytes(font.getmask("\uffff"))
    for letter in [chr(code) for code in range(33, 127)] + list("“”·°…±"):
        assert plain(letter) == letter
        assert bytes(font.getmask(letter)) != missing, letter


@given(st.text(max_size=60), st.integers(4, 80), st.integers(1, 400))
def test_text_stays_in_its_line(text, height, widest):
    mask = text_mask(text, height, widest)
    assert mask.dtype == np.uint8 and mask.shape[0] == height and mask.shape[1] <= widest


def test_letters_are_whole():
    mask = text_mask("Ågjpqy|", 50)
    # nothing is cut off above and below
    assert mask.max() == 255 and not mask[0].any() and not mask[-1].any()


def test_long_text_ends_in_dots():
    long, short = text_mask("m" * 40, 30), text_mask("m" * 40, 30, 200)
    assert long.shape[1] > 200 >= short.shape[1] > 150


@given(st.integers(1, 500), st.integers(1, 500), st.integers(0, 200), st.integers(1, 6))
def test_cut_marks_lie_in_the_gap(width, height, gap, thickness):
    for x, y, w, h in cut_marks(width, height, gap, thickness):
        assert (w >= 1 and h >= 1 and min(w, h) == thickness) or max(w, h) <= gap
        inside = x + w > 0 and x < width and y + h > 0 and y < height
        assert not inside
        assert -gap / 2 <= min(x, y) and x + w <= width + gap / 2 and y + h <= height + gap / 2


@pytest.mark.parametrize("gap", [0, 1, 4])
def test_no_marks_without_room(gap):
    assert cut_marks(100, 100, gap, 2) == []
    assert len(cut_marks(100, 100, 40, 2)) == 8
