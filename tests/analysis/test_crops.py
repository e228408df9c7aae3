"""Crops that tell: found where we put the detail, always inside, always the same."""

import time

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from picture.makers import tiff_bytes

from workbench.analysis.crops import PREVIEW_PX, best_window, highlight_box, shadow_box
from workbench.errors import UntaggedPictureError, WorkbenchError
from workbench.picture import open_picture

WIDTH, HEIGHT = 1600, 1000
MIDDLE_GREY = 118


def picture_of(pixels, **options):
    return open_picture(tiff_bytes(np.ascontiguousarray(pixels), **options), "sRGB")


def plain(value=MIDDLE_GREY, width=WIDTH, height=HEIGHT):
    return np.full((height, width, 3), value, np.uint8)


def texture(pixels, x, y, width, height, low, high, seed=3):
    """Blocks of 8 px, which a preview of half the size keeps, of grey values low..high."""
    rng = np.random.default_rng(seed)
    blocks = rng.integers(low, high + 1, (height // 8, width // 8, 1), np.uint8)
    grown = blocks.repeat(8, axis=0).repeat(8, axis=1)
    pixels[y : y + height, x : x + width] = grown


def covered(box, x, y, width, height) -> float:
    """Share of the box that lies in the rectangle."""
    across = min(box[0] + box[2], x + width) - max(box[0], x)
    down = min(box[1] + box[3], y + height) - max(box[1], y)
    return max(0, across) * max(0, down) / (box[2] * box[3])


def test_the_best_window_is_the_one_with_the_largest_sum_of_those_that_fit():
    """A single hot column at the edge weighs no more than once."""
    worth = np.zeros((50, 80))
    worth[:, 0], worth[20:30, 40:50] = 5.0, 3.0
    picture = picture_of(plain(width=800, height=500))
    assert best_window(picture, worth, (100, 100), (0, 0, 800, 500)) == (400, 200, 100, 100)


def test_highlights_are_found_where_they_have_detail():
    pixels = plain()
    pixels[100:500, 100:500] = 255  # blown
    pixels[100:500, 700:1100] = 238  # light, but flat
    texture(pixels, 1104, 600, 320, 320, 225, 250)
    box = highlight_box(picture_of(pixels), (240, 240))
    assert covered(box, 1104, 600, 320, 320) == 1


def test_shadows_are_found_where_they_have_detail():
    pixels = plain()
    pixels[100:500, 100:500] = 0  # blocked
    pixels[100:500, 700:1100] = 25  # dark, but flat
    texture(pixels, 1104, 600, 320, 320, 8, 40)
    box = shadow_box(picture_of(pixels), (240, 240))
    assert covered(box, 1104, 600, 320, 320) == 1


def test_detail_in_middle_tones_does_not_draw_the_window():
    pixels = plain()
    texture(pixels, 100, 100, 400, 400, 80, 160)
    texture(pixels, 1000, 500, 400, 400, 236, 246)
    picture = picture_of(pixels)
    assert covered(highlight_box(picture, (300, 300)), 1000, 500, 400, 400) == 1
    texture(pixels, 1000, 500, 400, 400, 12, 22)
    picture = picture_of(pixels)
    assert covered(shadow_box(picture, (300, 300)), 1000, 500, 400, 400) == 1


def test_light_colours_are_not_near_white():
    # sRGB yellow has L* 97, a chroma of 97 and no highlight's tone
    pixels = plain()
    texture(pixels, 100, 100, 320, 320, 200, 255)
    pixels[100:420, 100:420, 2] = 0
    texture(pixels, 1000, 500, 320, 320, 240, 246)
    assert covered(highlight_box(picture_of(pixels), (240, 240)), 1000, 500, 320, 320) == 1


def test_a_hard_edge_tells_less_than_a_texture():
    pixels = plain(0)
    pixels[:, 300:500] = 243  # bright, flat, between black
    texture(pixels, 1000, 500, 320, 320, 236, 247)
    assert covered(highlight_box(picture_of(pixels), (240, 240)), 1000, 500, 320, 320) == 1


def test_without_any_highlights_the_lightest_part_is_shown():
    pixels = plain(60)
    pixels[600:900, 1200:1500] = 90
    picture = picture_of(pixels)
    assert covered(highlight_box(picture, (200, 200)), 1200, 600, 300, 300) == 1
    pixels = plain(200)
    pixels[600:900, 1200:1500] = 160
    assert covered(shadow_box(picture_of(pixels), (200, 200)), 1200, 600, 300, 300) == 1


@pytest.mark.parametrize("value", [0, MIDDLE_GREY, 240, 255])
@pytest.mark.parametrize("choose", [highlight_box, shadow_box])
def test_a_flat_picture_gives_its_middle(choose, value):
    x, y, width, height = choose(picture_of(plain(value)), (300, 200))
    assert (width, height) == (300, 200)
    assert abs(x + width / 2 - WIDTH / 2) <= 4  # a pixel of the preview is two wide
    assert abs(y + height / 2 - HEIGHT / 2) <= 4


@given(
    width=st.integers(1, 90),
    height=st.integers(1, 90),
    across=st.integers(1, 120),
    down=st.integers(1, 120),
    seed=st.integers(0, 9),
    channels=st.sampled_from([1, 3]),
    dtype=st.sampled_from([np.uint8, np.uint16]),
)
@settings(max_examples=40, deadline=None)
def test_always_inside_always_the_size_asked_for(
    width, height, across, down, seed, channels, dtype
):
    rng = np.random.default_rng(seed)
    shape = (height, width, 3) if channels == 3 else (height, width)
    pixels = rng.integers(0, np.iinfo(dtype).max, shape, dtype, endpoint=True)
    space = "sRGB" if channels == 3 else "Grey, power 2.2"
    picture = open_picture(tiff_bytes(pixels), space)
    for choose in (highlight_box, shadow_box):
        x, y, w, h = choose(picture, (across, down))
        assert (w, h) == (min(across, width), min(down, height))
        assert picture.crop(x, y, w, h).shape == (h, w, channels)


@pytest.mark.parametrize(
    ("choose", "low", "high"), [(highlight_box, 225, 250), (shadow_box, 8, 24)]
)
def test_only_the_part_asked_for_is_looked_through(choose, low, high):
    pixels = plain()
    texture(pixels, 1104, 600, 320, 320, low, high)
    texture(pixels, 200, 100, 320, 320, (low + high) // 2 - 2, (low + high) // 2 + 2)
    picture, part = picture_of(pixels), (100, 50, 700, 500)
    assert covered(choose(picture, (240, 240)), 1104, 600, 320, 320) > 0.9
    box = choose(picture, (240, 240), part)
    assert covered(box, 200, 100, 320, 320) > 0.9 and covered(box, *part) == 1
    assert choose(picture, (2000, 2000), part) == part


def test_a_tiny_picture_is_shown_whole():
    picture = picture_of(plain(200, 40, 30))
    assert highlight_box(picture, (320, 320)) == (0, 0, 40, 30)
    assert shadow_box(picture, (40, 30)) == (0, 0, 40, 30)


def test_the_box_is_in_pixels_of_the_upright_picture():
    pixels = plain(width=HEIGHT, height=WIDTH)  # upright 1600 wide, stored on its side
    upright = plain()
    texture(upright, 1104, 600, 320, 320, 225, 250)
    pixels[:] = np.rot90(upright)  # orientation 6: turn clockwise to view
    picture = picture_of(pixels, extratags=[(274, "H", 1, 6, True)])
    assert (picture.width_px, picture.height_px) == (WIDTH, HEIGHT)
    box = highlight_box(picture, (240, 240))
    assert covered(box, 1104, 600, 320, 320) == 1
    assert picture.crop(*box).min() >= 225


def test_the_same_picture_gives_the_same_box_every_time():
    rng = np.random.default_rng(11)
    pixels = rng.integers(0, 256, (300, 400, 3), np.uint8)
    boxes = {highlight_box(picture_of(pixels), (100, 80)) for _ in range(3)}
    assert len(boxes) == 1


def test_it_finds_the_window_that_a_plain_search_finds():
    """The integral image against sums of every window, one by one."""
    from workbench.analysis.crops import _best

    worth = np.random.default_rng(5).random((23, 31))
    down, across = 7, 9
    sums = np.array(
        [
            [worth[r : r + down, c : c + across].sum() for c in range(31 - across + 1)]
            for r in range(23 - down + 1)
        ]
    )
    assert _best(worth, down, across) == np.unravel_index(np.argmax(sums), sums.shape)


def test_a_large_window_costs_no_more_than_a_small_one():
    rng = np.random.default_rng(2)
    pixels = rng.integers(0, 256, (533, PREVIEW_PX, 3), np.uint8)

    def seconds(size):
        times = []
        for turn in range(3):
            picture = picture_of(pixels)
            picture.preview(PREVIEW_PX)
            begin = time.perf_counter()
            highlight_box(picture, (size + turn, size))
            times.append(time.perf_counter() - begin)
        return min(times)

    seconds(20)
    # a search of every window would take some hundred times as long
    assert seconds(260) < 5 * seconds(20)


@pytest.mark.parametrize("size", [(0, 10), (10, -1), (10,), None, "ab", (float("nan"), 5)])
def test_a_size_that_is_none_is_refused_with_a_sentence(size):
    with pytest.raises(WorkbenchError, match="at least 1 pixel"):
        highlight_box(picture_of(plain(200, 40, 30)), size)


def test_a_picture_without_a_profile_is_asked_about():
    picture = open_picture(tiff_bytes(plain(200, 400, 300)))
    with pytest.raises(UntaggedPictureError, match="no colour profile"):
        highlight_box(picture, (100, 100))
