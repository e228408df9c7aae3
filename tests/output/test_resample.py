"""Resampling, held against zone plates, slanted edges and the other candidates."""

from __future__ import annotations

import numpy as np
import pytest
from output.band_limited import (
    CANDIDATES,
    edge_figures,
    enlargement_figures,
    reduction_figures,
    zone_plate,
)
from output.makers import as_picture, job, scene

from workbench.colour.spaces import GREY_SPACES, RGB_SPACES, standard_profile
from workbench.output.layout import layout_of
from workbench.output.light import light_of
from workbench.output.render import Renderer
from workbench.output.resample import Axis, resample, settle


def ours(plane, size):
    """The workbench's own way from plane to plane, in two windows put together."""
    height, width = plane.shape
    across, down = Axis(0, width, size[0], 0, width), Axis(0, height, size[1], 0, height)
    parts = []
    for a, b in ((0, size[1] // 3), (size[1] // 3, size[1])):
        top, bottom, y0, y1 = down.window(a, b)
        left, right, x0, x1 = across.window(0, size[0])
        window = plane[top:bottom, left:right]
        parts.append(resample(window, size[0], b - a, (x0, y0, x1, y1)))
    return np.concatenate(parts)


@pytest.fixture(scope="module")
def candidates():
    names = [n for n in CANDIDATES if "5" not in n]
    return {name: CANDIDATES[name]() for name in names}


def test_windows_put_together_are_the_whole():
    plane = np.random.default_rng(1).random((230, 170)).astype(np.float32)
    for size in ((255, 345), (68, 92), (171, 229)):
        whole = CANDIDATES["Pillow Lanczos"]()(plane, size)
        # Pillow holds a window's place as a 32-bit float
        assert np.abs(ours(plane, size) - whole).max() < 1e-4


def test_reduction_keeps_most_and_lets_least_false_detail_through(candidates):
    mine = reduction_figures(ours)
    others = {name: reduction_figures(c) for name, c in candidates.items()}
    # reference: the zone plate computed at the target's own size
    assert mine["kept half"] == pytest.approx(1, abs=0.03)
    assert mine["kept near"] > 0.85
    assert mine["alias"] < 0.08
    assert mine["alias"] <= min(o["alias"] for o in others.values()) + 1e-3
    filtered = [o for name, o in others.items() if name != "scipy spline 3"]
    assert mine["kept near"] >= max(o["kept near"] for o in filtered) - 1e-3
    # without a filter of its own, the spline lets nearly everything through
    assert others["scipy spline 3"]["alias"] > 0.8


def test_enlargement_is_nearest_to_the_truth(candidates):
    mine = enlargement_figures(ours)
    assert mine["kept half"] == pytest.approx(1, abs=0.03)
    assert mine["kept near"] > 0.85
    assert mine["error"] < 0.065
    for name, other in candidates.items():
        assert mine["error"] <= enlargement_figures(other)["error"] + 1e-4, name


@pytest.mark.parametrize("scale", [1.5, 0.4])
def test_edges_stay_sharp_with_little_overshoot(candidates, scale):
    size = 240 if scale > 1 else 600
    mine = edge_figures(ours, size, scale)
    assert mine["overshoot"] < 0.07
    for name in ("Pillow bicubic", "Pillow Hamming", "Pillow box", "scipy spline 3, blurred"):
        assert mine["MTF half"] > edge_figures(candidates[name], size, scale)["MTF half"], name


# --- averages in linear light ------------------------------------------------------


def stars(size: int = 240) -> np.ndarray:
    pixels = np.full((size, size, 3), 400, np.uint16)
    places = np.random.default_rng(8).integers(2, size - 2, (2, 500))
    pixels[places[0], places[1]] = 65535
    return pixels


def black_and_white(size: int = 240) -> np.ndarray:
    y, x = np.mgrid[0:size, 0:size]
    lines = ((x // 3 + y // 5) % 7 == 0) | ((x * 2 - y) % 31 < 2)
    return np.repeat((~lines * 65535).astype(np.uint16)[..., None], 3, axis=2)


def plate() -> np.ndarray:
    grey = np.rint(zone_plate(240)[0] * 65535).astype(np.uint16)
    return np.repeat(grey[..., None], 3, axis=2)


def noise() -> np.ndarray:
    return np.random.default_rng(2).integers(0, 65536, (240, 240, 3), dtype=np.uint16)


def _light(pixels, space):
    light = light_of(standard_profile(space), 3)
    return np.stack([light.decode(pixels[..., c], c).mean(dtype=float) for c in range(3)])


@pytest.mark.parametrize("make", [lambda: scene(240, 240), stars, black_and_white, plate, noise])
@pytest.mark.parametrize("side", [96, 171, 360, 610])
def test_averages_of_light_are_kept_to_a_thousandth(make, side):
    pixels = make()
    work = job(pixels, width_mm=side * 25.4 / 100).checked()
    layout = layout_of(work)
    out = Renderer(work, layout).pixels(0, 0, layout.across.n_out, layout.down.n_out)
    assert out.shape[:2] == (side, side)
    space = "opRGB"
    assert _light(out, space) == pytest.approx(_light(pixels, space), rel=1e-3)


def test_averaging_encoded_values_would_not_keep_it():
    # the check above can fail: halves of black and white, averaged as they are encoded
    pixels = np.zeros((240, 240, 3), np.uint16)
    pixels[:, ::2] = 65535
    encoded = np.full((120, 120, 3), 32768, np.uint16)
    space = "opRGB"
    assert _light(encoded, space)[0] < 0.5 * _light(pixels, space)[0]


def test_cutting_off_overshoot_would_not_keep_it():
    grid = np.zeros((80, 80), np.float32)
    grid[::9, ::9] = 1
    large = resample(grid, 120, 120, (0, 0, 80, 80))
    cut = np.clip(large, 0, 1).mean(dtype=float) / large.mean(dtype=float)
    settled = settle(large)
    assert cut > 1.05
    assert np.clip(settled, 0, 1).mean(dtype=float) == pytest.approx(
        large.mean(dtype=float), rel=1e-3
    )


def test_settling_leaves_light_in_range_alone():
    plane = np.random.default_rng(0).random((40, 50)).astype(np.float32)
    assert settle(plane) is plane


# --- the way to linear light and back ----------------------------------------------


@pytest.mark.parametrize("space", RGB_SPACES + GREY_SPACES)
def test_every_code_comes_back(space):
    channels = 1 if space in GREY_SPACES else 3
    light = light_of(standard_profile(space), channels)
    codes = np.arange(65536, dtype=np.uint16)[None]
    back = np.rint(light.encode(light.decode(codes, 0), 0) * 65535)
    assert np.abs(back - codes).max() <= 1
    assert (back == codes).mean() > 0.99


def test_srgb_light_is_that_of_its_standard():
    # IEC 61966-2-1: code 128 of 255 is 0.21586 of full light
    light = light_of(standard_profile("sRGB"), 3)
    assert light.decode(np.array([[128]], np.uint8), 1)[0, 0] == pytest.approx(0.21586, abs=2e-5)
    assert light.weights == pytest.approx([0.2225, 0.7169, 0.0606], abs=2e-4)  # adapted to D50


def test_table_profiles_take_gamma_2_2():
    from output.makers import matte_paper

    light = light_of(matte_paper().profile, 3)
    value = light.decode(np.array([[32768]], np.uint16), 0)[0, 0]
    assert value == pytest.approx((32768 / 65535) ** 2.2, rel=1e-5)


# --- whatever rectangle is asked for -----------------------------------------------


@pytest.mark.parametrize("width_mm", [20.0, 45.72, 70.0, 200.0])
@pytest.mark.parametrize("sharpening", [None, 0.7])
def test_a_pixel_is_the_same_in_any_rectangle(width_mm, sharpening):
    work = job(stars(120)[:80], width_mm=width_mm, sharpening=sharpening).checked()
    layout = layout_of(work)
    width, height = layout.across.n_out, layout.down.n_out
    renderer = Renderer(work, layout)
    whole = renderer.pixels(0, 0, width, height)
    light = light_of(standard_profile("opRGB"), 3)
    for x0, y0, x1, y1 in ((0, 0, width, height // 3), (width // 2, height // 3, width, height)):
        part = renderer.pixels(x0, y0, x1, y1)
        # Pillow holds a window's place as a 32-bit float
        off = light.decode(part, 0) - light.decode(whole[y0:y1, x0:x1], 0)
        assert np.abs(off).max() < 5e-5


def test_a_crop_is_resampled_as_if_there_were_nothing_else():
    pixels = scene(200, 150)
    box = (31, 17, 120, 90)
    inside = np.ascontiguousarray(pixels[17:107, 31:151])
    one = job(pixels, crop=box, width_mm=60).checked()
    other = job(inside, width_mm=60).checked()
    rendered = []
    for work in (one, other):
        layout = layout_of(work)
        renderer = Renderer(work, layout)
        rendered.append(renderer.pixels(0, 0, layout.across.n_out, layout.down.n_out))
    assert np.array_equal(*rendered)


def test_nothing_is_resampled_at_the_picture_s_own_pixels():
    pixels = scene()
    work = job(pixels).checked()
    layout = layout_of(work)
    assert np.array_equal(Renderer(work, layout).pixels(0, 0, 180, 120), pixels)
    eight = (pixels >> 8).astype(np.uint8)
    work = job(eight).checked()
    assert np.array_equal(Renderer(work, layout).pixels(0, 0, 180, 120), eight * np.uint16(257))


@pytest.mark.parametrize("orientation", [3, 6, 8])
def test_turned_pictures_are_printed_upright(orientation):
    turn = {3: 2, 6: 1, 8: 3}[orientation]
    upright = scene()
    stored = np.ascontiguousarray(np.rot90(upright, turn))
    picture = as_picture(stored, extratags=[(274, "H", 1, orientation, True)])
    assert (picture.width_px, picture.height_px) == (180, 120)
    rendered = []
    for work in (job(upright, width_mm=70), job(upright, width_mm=70)):
        if rendered:
            work = type(work)(picture, width_mm=70, ppi=100, paper=work.paper)
        work = work.checked()
        layout = layout_of(work)
        renderer = Renderer(work, layout)
        rendered.append(renderer.pixels(0, 0, layout.across.n_out, layout.down.n_out))
    assert np.array_equal(*rendered)
