"""Sharpening: as strong as it says, in lightness alone, and never into black or white."""

from __future__ import annotations

import numpy as np
import pytest
from output.makers import scene
from output.test_resample import black_and_white, noise, stars

from workbench.errors import OutputError
from workbench.output.sharpen import kernel, sharpen, sharpening_for

WEIGHTS = np.array([0.25, 0.65, 0.10], np.float32)


def sharpened(planes, settings, weights=WEIGHTS):
    planes = [np.asarray(p, np.float32) for p in planes]
    out = np.empty((*planes[0].shape, len(planes)), np.uint16)
    sharpen(planes, weights, settings, (0, 0, 0, 0), out)
    return out


@pytest.mark.parametrize("frequency", [0.05, 0.1, 0.2])
def test_contrast_rises_by_the_textbook_amount(frequency):
    settings = sharpening_for(360, 600, "satin", strength=0.5)
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
    settings = sharpening_for(360, 1200, "gloss", strength=0.2)
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
    out = sharpened(planes, sharpening_for(360, 900, "matte", strength=strength))
    between = (pixels > 400) & (pixels < 65000)
    assert between.any() == bool((out != pixels)[between].any())
    for end in (0, 65535):
        assert ((out == end) <= (pixels == end)).all()


def test_halos_stay_below_their_limit():
    edge = np.tile(np.where(np.arange(200) < 100, 0.2, 0.8).astype(np.float32), (40, 1))
    settings = sharpening_for(360, 900, "matte", strength=1.0)
    out = sharpened([edge] * 3, settings) / 65535
    assert out.max() - 0.8 == pytest.approx(settings.halo_limit, rel=0.25)
    assert out.max() - 0.8 < settings.halo_limit
    assert 0.2 - out.min() < settings.halo_limit


def test_colour_differences_stay():
    rng = np.random.default_rng(6)
    # a sharp edge in lightness and colours that vary softly
    base = np.where(np.arange(120) < 60, 0.35, 0.6) + rng.normal(0, 0.02, (80, 120))
    planes = [base + 0.08, base, base - 0.1]
    out = sharpened(planes, sharpening_for(360, 600, "matte", strength=0.8)).astype(float) / 65535
    assert np.abs((out[..., 0] - out[..., 1]) - 0.08).max() < 2e-5
    assert np.abs((out[..., 1] - out[..., 2]) - 0.1).max() < 2e-5


def test_flat_areas_and_averages_stay():
    flat = [np.full((50, 60), v, np.float32) for v in (0.3, 0.5, 0.9)]
    out = sharpened(flat, sharpening_for(360, 600, "matte", strength=1.0))
    assert np.abs(out / 65535 - [0.3, 0.5, 0.9]).max() < 1e-5


def test_it_matches_paper_distance_and_resolution():
    def of(ppi=360, distance=600, finish="satin", base=None):
        return sharpening_for(ppi, distance, finish, base)

    # more where the paper soaks up more; order: common practice, no source
    amounts = [of(finish=f).amount for f in ("gloss", "satin", "matte")] + [
        of(base="canvas").amount
    ]
    assert amounts == sorted(amounts) and len(set(amounts)) == 4
    # wider from farther away, and in finer pixels
    assert of(distance=300).radius_px < of(distance=600).radius_px < of(distance=1200).radius_px
    assert of(ppi=180).radius_px < of(ppi=360).radius_px < of(ppi=720).radius_px
    # 12 inches away the eye resolves 286.5 ppi (1 arc-minute), so half of that is 0.628 pixels
    eye = sharpening_for(360, 304.8, "gloss").radius_px ** 2 - (0.020 / 25.4 * 360) ** 2
    assert eye**0.5 == pytest.approx(0.5 * 360 / 286.5, rel=1e-3)
    # never wider than 0.15 mm
    assert of(distance=9000).radius_px == pytest.approx(0.15 / 25.4 * 360)
    # a paper of unknown finish is taken for the one between
    assert of(finish=None) == of(finish="satin")


@pytest.mark.parametrize("strength", [-0.1, 1.2, "much", float("nan"), [1]])
def test_a_strength_out_of_range_is_refused(strength):
    with pytest.raises(OutputError, match="from 0 to 1"):
        sharpening_for(360, 600, strength=strength)


def test_no_sharpening_says_so():
    settings = sharpening_for(360, 600, strength=None)
    assert settings.amount == 0 and "not sharpened" in settings.sentence()
