"""Sharpening: as strong as it says, in lightness alone, and never into black or white."""

from __future__ import annotations

import numpy as np
import pytest
from output.makers import as_picture, job, scene
from output.test_resample import black_and_white, noise, stars

from workbench.errors import OutputError
from workbench.output.noise import noise_of
from workbench.output.sharpen import kernel, sharpen, sharpening_for

WEIGHTS = np.array([0.25, 0.65, 0.10], np.float32)


def sharpened(planes, settings, weights=WEIGHTS):
    planes = [np.asarray(p, np.float32) for p in planes]
    out = np.empty((*planes[0].shape, len(planes)), np.uint16)
    sharpen(planes, weights, settings, (0, 0, 0, 0), out)
    return out


@pytest.mark.parametrize("frequency", [0.05, 0.1, 0.2])
def test_contrast_rises_by_the_textbook_amount(frequency):
    settings = sharpening_for(360, finish="satin", strength=0.5)
    x = np.arange(400)
    small = 0.002 * np.sin(2 * np.pi * frequency * x)
    out = sharpened([np.tile(0.5 + small, (60, 1))] * 3, settings) / 65535
    middle = slice(20, -20)
    wave = np.exp(-2j * np.pi * frequency * x[100:300])
    gain = abs((out[middle, 100:300, 1].mean(0) - 0.5) @ wave) / abs(small[100:300] @ wave)
    # a Gaussian of deviation s passes exp(-2 (pi s f)^2)
    passed = np.exp(-2 * (np.pi * settings.radius_px * frequency) ** 2)
    assert gain == pytest.approx(1 + settings.amount * (1 - passed), rel=0.03)


def test_the_blur_is_the_gaussian_of_scipy():
    from scipy import ndimage

    plane = np.random.default_rng(4).random((90, 110)).astype(np.float32) * 0.2 + 0.4
    settings = sharpening_for(360, 120, "gloss", strength=0.2)
    blurred = ndimage.gaussian_filter(
        plane, settings.radius_px, mode="reflect", radius=settings.reach_px
    )
    change = settings.amount * (plane - blurred)
    limited = change * settings.halo_limit / (settings.halo_limit + np.abs(change))
    out = sharpened([plane], settings, np.ones(1, np.float32))[..., 0] / 65535
    assert np.abs(out - (plane + limited)).max() < 2e-5


def test_a_kernel_adds_up_to_one():
    for radius in (0.5, 1.3, 4.2):
        weights = kernel(radius)
        assert weights[0] + 2 * weights[1:].sum() == pytest.approx(1, abs=1e-6)


def softened():
    """Black and white with soft edges, where halos would want out of range."""
    from scipy import ndimage

    soft = ndimage.gaussian_filter(black_and_white().astype(float), (1.2, 1.2, 0))
    return np.rint(np.clip(soft, 0, 65535)).astype(np.uint16)


@pytest.mark.parametrize("make", [scene, stars, softened, black_and_white, noise])
@pytest.mark.parametrize("strength", [0.5, 1.0])
def test_nothing_is_clipped_that_was_not(make, strength):
    pixels = make()
    planes = [pixels[..., c].astype(np.float32) / 65535 for c in range(3)]
    out = sharpened(planes, sharpening_for(360, 240, "matte", strength=strength))
    between = (pixels > 400) & (pixels < 65000)
    assert between.any() == bool((out != pixels)[between].any())
    for end in (0, 65535):
        assert ((out == end) <= (pixels == end)).all()


def test_halos_stay_below_their_limit():
    edge = np.tile(np.where(np.arange(200) < 100, 0.2, 0.8).astype(np.float32), (40, 1))
    settings = sharpening_for(360, 120, "matte", strength=1.0)
    out = sharpened([edge] * 3, settings) / 65535
    assert out.max() - 0.8 == pytest.approx(settings.halo_limit, rel=0.25)
    assert out.max() - 0.8 < settings.halo_limit
    assert 0.2 - out.min() < settings.halo_limit


def test_colour_differences_stay():
    rng = np.random.default_rng(6)
    # a sharp edge in lightness and colours that vary softly
    base = np.where(np.arange(120) < 60, 0.35, 0.6) + rng.normal(0, 0.02, (80, 120))
    planes = [base + 0.08, base, base - 0.1]
    out = sharpened(planes, sharpening_for(360, 360, "matte", strength=0.8)).astype(float) / 65535
    assert np.abs((out[..., 0] - out[..., 1]) - 0.08).max() < 2e-5
    assert np.abs((out[..., 1] - out[..., 2]) - 0.1).max() < 2e-5


def test_flat_areas_and_averages_stay():
    flat = [np.full((50, 60), v, np.float32) for v in (0.3, 0.5, 0.9)]
    out = sharpened(flat, sharpening_for(360, 360, "matte", strength=1.0))
    assert np.abs(out / 65535 - [0.3, 0.5, 0.9]).max() < 1e-5


def test_it_matches_paper_pixels_and_resolution():
    def of(ppi=360, own=360, finish="satin", base=None):
        return sharpening_for(ppi, own, finish, base)

    # more where the paper soaks up more; order: common practice, no source
    amounts = [of(finish=f).amount for f in ("gloss", "satin", "matte")] + [
        of(base="canvas").amount
    ]
    assert amounts == sorted(amounts) and len(set(amounts)) == 4
    # half a pixel of the picture, and the ink's spread, as two blurs add up
    spread_px = 0.025 / 25.4 * 360
    assert of().radius_px == pytest.approx(np.hypot(0.5, spread_px))
    # reduced, the print's pixels are the coarser ones
    assert of(own=720).radius_px == of().radius_px
    # a paper of unknown finish is taken for the one between
    assert of(finish=None) == of(finish="satin")
    assert "our guess" in of().sentence() and "0.025 mm" in of().sentence()


@pytest.mark.parametrize("times", [2, 4, 8])
def test_an_enlargement_is_sharpened_at_its_own_pitch(times):
    # on paper the same as for a print made at the picture's own ppi, but for the ink's share
    own = 360 / times
    enlarged = sharpening_for(360, own)
    spread_px = 0.025 / 25.4 * 360
    assert enlarged.radius_px == pytest.approx(np.hypot(0.5 * times, spread_px))
    assert enlarged.radius_px / 360 == pytest.approx(sharpening_for(own, own).radius_px / own)


def test_an_enlarged_print_takes_its_own_pixels_from_the_layout():
    from workbench.output.layout import layout_of
    from workbench.output.render import sharpening_of

    # 180 pixels at 100 ppi are 45.72 mm; four times as wide they are 25 to the inch
    work = job(width_mm=4 * 45.72, sharpening="auto").checked()
    found = sharpening_of(work, layout_of(work))
    assert found.own_ppi == pytest.approx(25)
    assert found.radius_px == pytest.approx(np.hypot(2, 0.040 / 25.4 * 100), rel=1e-3)
    assert found.least > 0  # scene() has noise


def noisy_edge(deviation, seed=11):
    """A step of 0.3 and noise all over: (h, w), with the noise alone."""
    grain = np.random.default_rng(seed).normal(0, deviation, (300, 400))
    return np.where(np.arange(400) < 200, 0.35, 0.65) + grain, grain


@pytest.mark.parametrize("deviation", [0.002, 0.006, 0.012])
@pytest.mark.parametrize("times", [1, 3])
def test_noise_in_flat_areas_stays_and_edges_are_sharpened(deviation, times):
    from scipy import ndimage

    plane, _ = noisy_edge(deviation)
    plane = ndimage.zoom(plane, times, order=3, mode="nearest", grid_mode=True)
    masked = sharpening_for(360, 360 / times, strength=1.0, noise=deviation)
    unmasked = sharpening_for(360, 360 / times, strength=1.0)
    one = np.ones(1, np.float32)
    after, free = (sharpened([plane], each, one)[..., 0] / 65535 for each in (masked, unmasked))
    flat = np.s_[40:-40, 40 : 150 * times]
    # a twentieth of what it would grow by, at the most
    growth = [each[flat].std() / plane[flat].std() - 1 for each in (after, free)]
    assert growth[1] > 0.4 and abs(growth[0]) < 0.05 * growth[1]

    def rise(values):
        across = values.mean(axis=0)
        return np.abs(np.diff(across[180 * times : 220 * times])).max()

    gain = [rise(each) / rise(plane) - 1 for each in (after, free)]
    assert gain[1] > 0.1 and gain[0] > 0.95 * gain[1]


def test_noise_is_found_as_it_was_made():
    random = np.random.default_rng(2)
    ramp = np.linspace(0.2, 0.8, 800)[:, None]
    for deviation in (0.001, 0.004, 0.012):
        grey = ramp + random.normal(0, deviation, (600, 800, 1)) + 0.1 * stripes()
        picture = as_picture(np.rint(np.clip(grey, 0, 1).repeat(3, 2) * 65535).astype(np.uint16))
        # slopes and straight edges count for nothing; the quietest tenth reads a little low
        assert noise_of(picture) == pytest.approx(deviation, rel=0.1)
    # detail all over is not taken for noise without end
    assert noise_of(as_picture(noise())) == 0.015
    eight = as_picture(np.full((100, 100, 3), 128, np.uint8))
    assert noise_of(eight) == pytest.approx(1 / 255 / 12**0.5)
    assert noise_of(as_picture(np.zeros((2, 2, 3), np.uint16))) == 0


def stripes():
    """Straight edges in every tile: (1, 800, 1)."""
    return (np.arange(800) // 50 % 2)[None, :, None]


@pytest.mark.parametrize("strength", [-0.1, 1.2, "much", float("nan"), [1]])
def test_a_strength_out_of_range_is_refused(strength):
    with pytest.raises(OutputError, match="from 0 to 1"):
        sharpening_for(360, strength=strength)


def test_no_sharpening_says_so():
    settings = sharpening_for(360, strength=None)
    assert settings.amount == 0 and "not sharpened" in settings.sentence()
