"""The invented picture: what it is, and that it holds what is hard to print."""

from __future__ import annotations

import zlib

import numpy as np
import pytest
from helpers import demo_paper

import workbench as wb
from workbench.colour.engine import transform
from workbench.colour.lab import chroma, hue_deg
from workbench.colour.spaces import standard_profile
from workbench.colour.trip import trip
from workbench.demo.brush import Canvas, ink, smooth_noise
from workbench.demo.picture import generate_demo_pixels


@pytest.fixture(scope="module")
def picture():
    return wb.demo_picture()


@pytest.fixture(scope="module")
def pixels(picture):
    return picture.pixels()


@pytest.fixture(scope="module")
def sample(pixels):
    """Every eighth pixel of every eighth row, (n, 3)."""
    return np.ascontiguousarray(pixels[4::8, 4::8]).reshape(-1, 3)


@pytest.fixture(scope="module")
def trips(picture, sample):
    way = "relative", False
    return {p.name: (p, trip(sample, picture.profile, p.profile, *way)) for p in wb.demo_papers()}


@pytest.fixture(scope="module")
def lab(trips):
    return next(iter(trips.values()))[1].source


def test_what_it_is(picture):
    assert (picture.width_px, picture.height_px) == (5400, 3600)
    assert (picture.bit_depth, picture.channels, picture.dtype) == (16, 3, np.uint16)
    assert picture.profile == standard_profile("ROMM RGB")
    assert picture.profile_name == "ROMM RGB"
    assert not picture.profile_assumed
    assert picture.path is None
    assert picture.orientation == 1


def test_it_says_that_it_is_invented(picture):
    assert "Invented" in picture.name
    assert any("invented" in note for note in picture.notes)


def test_it_is_made_once(picture):
    assert wb.demo_picture() is picture


def test_it_works_as_any_picture(picture, pixels):
    assert picture.preview(600).shape == (400, 600, 3)
    assert sum(strip.shape[0] for strip in picture.strips()) == 3600
    np.testing.assert_array_equal(picture.crop(1000, 500, 30, 20), pixels[500:520, 1000:1030])


def test_two_generations_are_the_same(pixels):
    again = generate_demo_pixels()
    assert again.shape == (3600, 5400, 3) and again.dtype == np.uint16
    part = np.s_[::7, ::5]
    assert zlib.crc32(again[part].tobytes()) == zlib.crc32(pixels[part].tobytes())


@pytest.mark.parametrize("size", [(90, 60), (301, 199), (900, 600)])
def test_it_can_be_made_at_other_sizes(size):
    small = generate_demo_pixels(*size)
    assert small.shape == (size[1], size[0], 3)
    # the sky is above the rocks at every size
    tenth = size[1] // 10
    assert small[:tenth].mean() > 2 * small[-tenth:, : size[0] // 4].mean()


def test_a_small_one_looks_like_the_large_one(picture):
    small = generate_demo_pixels(900, 600).astype(float)
    large = picture.preview(900).astype(float)
    assert np.corrcoef(small.ravel(), large.ravel())[0, 1] > 0.98


def test_more_than_eight_bits_are_used(sample):
    # an 8-bit value v is stretched to 257 v
    assert (sample % 257 != 0).mean() > 0.95
    assert min(len(np.unique(sample[:, i])) for i in range(3)) > 10000


def test_no_channel_runs_against_its_end(sample):
    assert (sample == 65535).mean() < 0.001
    assert (sample == 0).mean() < 0.02


def test_colours_are_numbers(lab):
    assert np.isfinite(lab).all()
    assert lab[:, 0].min() >= 0 and lab[:, 0].max() < 100.1


def relative_steps(area, axis):
    return np.abs(np.diff(area, axis=axis)) / area.take(range(1, area.shape[axis]), axis)


def test_clear_sky_has_no_bands(pixels):
    sky = pixels[840:1020, 3800:4440].astype(float)
    for axis in (0, 1):
        steps = relative_steps(sky, axis)
        assert steps.max() < 0.015
        assert (steps == 0).mean() < 0.05
    # rows on average, without the grain: far finer than a step of 8 bits, and never back
    rows = np.diff(sky.mean(axis=1), axis=0)
    assert np.abs(rows).max() < 257 / 4
    assert np.all(rows[:, 0] > 0)


def test_clouds_are_soft(pixels):
    clouds = pixels[300:1150, 3800:4440].astype(float)
    for axis in (0, 1):
        assert relative_steps(clouds, axis).max() < 0.05


def test_highlights_have_detail(lab):
    # highlights a few per cent, and every lightness up to near white is there
    assert 0.02 < (lab[:, 0] > 92).mean() < 0.08
    counts, _ = np.histogram(lab[:, 0], bins=np.arange(90, 100))
    assert (counts / len(lab)).min() > 5e-4


def test_shadows_have_detail(lab):
    assert 0.08 < (lab[:, 0] < 12).mean() < 0.15
    counts, _ = np.histogram(lab[:, 0], bins=np.arange(1, 16))
    assert (counts / len(lab)).min() > 1e-3
    deep = np.unique(np.round(lab[lab[:, 0] < 15, 0], 1))
    assert len(deep) > 130


@pytest.mark.parametrize(
    ("name", "hue", "lightness", "least_chroma"),
    [
        ("deep blue", (265, 305), (8, 40), 60),
        ("red", (25, 50), (30, 65), 90),
        ("orange", (55, 80), (60, 88), 95),
        ("wood", (45, 75), (25, 60), 15),
    ],
)
def test_it_holds(lab, name, hue, lightness, least_chroma):
    angle = hue_deg(lab)
    here = (angle > hue[0]) & (angle < hue[1]) & (chroma(lab) > least_chroma)
    here &= (lab[:, 0] > lightness[0]) & (lab[:, 0] < lightness[1])
    assert here.mean() > 0.002


def test_it_holds_neutral_greys(lab):
    neutral = chroma(lab) < 2
    counts, _ = np.histogram(lab[neutral, 0], bins=np.arange(20, 80, 10))
    assert (counts / len(lab)).min() > 5e-4


def test_share_beyond_the_papers(trips):
    for paper, result in trips.values():
        share = (result.beyond > 2).mean()
        if paper.finish == "matte":
            assert 0.15 < share < 0.40
        else:
            assert 0.03 < share < 0.15


def test_every_reason_for_being_beyond_is_there(trips):
    _, result = trips[demo_paper("gloss").name]
    beyond, start = result.beyond > 2, result.source
    assert (beyond & (start[:, 0] < 10) & (chroma(start) < 20)).mean() > 0.005
    assert (beyond & (chroma(start) > 60)).mean() > 0.01
    assert (beyond & (start[:, 0] > 88)).mean() > 0.0005
    # oranges that no paper of the shelf can print
    nowhere = np.min([t.beyond for _, t in trips.values()], axis=0) > 2
    assert (nowhere & (hue_deg(start) > 45) & (hue_deg(start) < 80)).mean() > 0.005


def test_ink_is_the_standard_space_read_backwards():
    wanted = np.array([[50.0, 20, -30], [97, 2, 50], [5, 1, -3]])
    back = transform(ink(*wanted.T).astype(float), standard_profile("ROMM RGB"), "lab")
    np.testing.assert_allclose(back, wanted, atol=0.05)


def test_noise_tiles():
    noise = smooth_noise(np.random.default_rng(1), 120, 120, 4, 4)
    inside = np.abs(np.diff(noise, axis=0)).max()
    assert np.abs(noise[0] - noise[-1]).max() < 1.2 * inside
    assert np.abs(noise[:, 0] - noise[:, -1]).max() < 1.2 * inside
    assert abs(noise.mean()) < 1e-4 and abs(noise.std() - 1) < 1e-4


def test_a_shape_covers_its_area_and_its_reflection_hangs_below():
    canvas = Canvas(np.zeros((100, 150, 3), np.float32))
    square = [(0.205, 0.305), (0.505, 0.305), (0.505, 0.505), (0.205, 0.505)]
    canvas.paint(square, np.ones(3))
    # 30 by 20 pixels, whose half-covered edges count by their share
    assert canvas.pixels[..., 0].sum() == pytest.approx(600, rel=0.06)
    mirror = Canvas(np.zeros((100, 150, 3), np.float32))
    mirror.mirrored(0.6).paint(square, np.ones(3))
    rows = np.flatnonzero(mirror.pixels[..., 0].any(axis=1))
    assert 68 <= rows[0] <= 70 and 88 <= rows[-1] <= 90
    assert mirror.pixels.sum() == pytest.approx(canvas.pixels.sum(), rel=0.02)
