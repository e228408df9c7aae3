"""What a picture is like, against pictures whose tones, colours and detail are known."""

import numpy as np
import pytest
from pictures import colourful, patches, picture_of

from workbench.analysis.character import describe
from workbench.analysis.detail import contrast_without_slope, detail_sample, smooth_area
from workbench.errors import UntaggedPictureError, WorkbenchError
from workbench.picture import open_picture


def linear_grey(lightness) -> np.ndarray:
    """sRGB device grey (0..1) of L*, by colour-science."""
    import colour

    y = colour.colorimetry.luminance_CIE1976(np.asarray(lightness, float)) / 100
    return colour.models.eotf_inverse_sRGB(y)


def grey_picture(lightness):
    """A picture of (h, w) L*."""
    return picture_of(np.repeat(linear_grey(lightness)[..., None], 3, axis=-1))


# -- tones and colours


def test_shares_of_tones():
    character = describe(grey_picture(np.repeat([[5.0, 15.0, 50.0, 60.0, 95.0]], 40, axis=0)))
    assert character.share_shadows == pytest.approx(0.4)
    assert character.share_highlights == pytest.approx(0.2)
    assert character.median_lightness == pytest.approx(50, abs=0.1)
    assert character.share_grey == 1
    assert character.is_monochrome
    assert character.share_saturated == 0
    assert character.is_dark and character.is_light
    assert character.light_colour == "highlights"
    assert character.light_lab[0] == pytest.approx(95, abs=0.1)


def test_saturated_colours_by_hue_agree_with_colour_science():
    import colour

    picture = colourful(space="sRGB")
    whites = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]
    xyz = colour.sRGB_to_XYZ(picture.pixels() / 65535)
    d50 = np.array([0.9642, 1, 0.8249])
    adapted = colour.chromatic_adaptation(
        xyz, colour.xy_to_XYZ(whites["D65"]), d50, transform="Bradford"
    )
    lch = colour.Lab_to_LCHab(colour.XYZ_to_Lab(adapted, colour.XYZ_to_xy(d50)))
    saturated = lch[..., 1] >= 40
    character = describe(picture)
    # the census gathers colours into cells, so shares are near but not exact
    assert character.share_saturated == pytest.approx(saturated.mean(), abs=0.01)
    greens = saturated & (lch[..., 2] >= 130) & (lch[..., 2] < 170)
    blues = saturated & (lch[..., 2] >= 255) & (lch[..., 2] < 312)
    assert greens.any() and blues.any()
    assert character.saturated_hues["greens"] == pytest.approx(greens.mean(), abs=0.01)
    assert character.saturated_hues["blues"] == pytest.approx(blues.mean(), abs=0.01)
    assert sum(character.saturated_hues.values()) == pytest.approx(character.share_saturated)
    assert character.share_highlights == pytest.approx(
        (colour.XYZ_to_Lab(adapted, colour.XYZ_to_xy(d50))[..., 0] > 90).mean(), abs=0.01
    )


def test_the_light_colour_is_named():
    # a light blue sky over dark ground
    sky = describe(patches((0.6, 0.75, 0.95), (0.2, 0.15, 0.1)))
    assert sky.light_colour in ("light blues", "light sky blues")
    assert sky.light_lab[2] < -15
    dark = describe(patches((0.2, 0.15, 0.1), (0.1, 0.1, 0.1)))
    assert (dark.light_colour, dark.light_lab) == ("", None)


def test_small_saturated_areas_are_not_averaged_away():
    """The census sees a thousandth of the picture that a preview cannot."""
    pixels = np.full((1500, 1500, 3), 0.5)
    pixels[::32, ::32] = (0.9, 0, 0)
    picture = picture_of(pixels)
    share = (47 / 1500) ** 2
    assert describe(picture).share_saturated == pytest.approx(share, rel=0.01)
    quick = describe(picture, exact=False)
    assert quick.share_saturated < share / 2
    assert (quick.exact, describe(picture).exact) == (False, True)


def test_quick_and_exact_agree_on_smooth_pictures():
    picture = colourful()
    quick, exact = describe(picture, exact=False), describe(picture)
    assert quick.share_saturated == pytest.approx(exact.share_saturated, abs=0.02)
    assert quick.median_lightness == pytest.approx(exact.median_lightness, abs=0.5)


# -- detail


def test_contrast_of_known_windows():
    random = np.random.default_rng(3).normal(0, 2, (500, 8, 8))
    slope = np.arange(8) * 3.0 + np.arange(8)[:, None] * -2.0
    # a plane is taken out, and with it 3 of 64 degrees of freedom
    expected = 2 * np.sqrt(61 / 64)
    assert contrast_without_slope(random).mean() == pytest.approx(expected, rel=0.02)
    assert contrast_without_slope(random + slope) == pytest.approx(contrast_without_slope(random))
    assert contrast_without_slope(slope[None]) == pytest.approx(0, abs=1e-9)
    checker = 50 + 5.0 * (-1) ** np.add.outer(np.arange(8), np.arange(8))
    assert contrast_without_slope(checker[None])[0] == pytest.approx(5, abs=0.02)


def detailed(spot_px: int, side: int = 600, amplitude: float = 8.0):
    """Spots of random lightness, ``spot_px`` wide."""
    n = side // spot_px
    random = np.random.default_rng(1).normal(0, amplitude, (n, n))
    return grey_picture(np.clip(55 + np.repeat(np.repeat(random, spot_px, 0), spot_px, 1), 1, 99))


def test_fine_texture_is_detail_and_a_slope_is_none():
    assert detail_sample(detailed(2)).share_detail > 0.99
    ramp = grey_picture(np.repeat(np.linspace(10, 95, 800)[None], 600, axis=0))
    sample = detail_sample(ramp)
    assert sample.share_detail == 0
    assert sample.share_smooth > 0.99


def test_noise_from_pixel_to_pixel_counts_for_little():
    """Four pixels to a spot halve it: 4 L* of noise are 2, which is not yet detail."""
    assert detail_sample(detailed(1, amplitude=4.0)).share_detail < 0.05
    assert detail_sample(detailed(4, amplitude=4.0)).share_detail > 0.8


def test_detail_is_judged_at_the_size_of_the_print():
    """What is detail at 300 ppi is too fine to see at 1200, where eight pixels are a spot."""
    picture = detailed(2, amplitude=8.0)
    assert detail_sample(picture, 300).spot_px == 2
    fine = detail_sample(picture, 1200)
    assert fine.spot_px == 8
    assert fine.share_detail < 0.2


def test_half_a_picture_of_detail_and_its_error():
    half = np.concatenate([detailed(2, 800).pixels(), np.full((800, 800, 3), 30000, np.uint16)], 1)
    sample = detail_sample(picture_of(half))
    assert sample.share_detail == pytest.approx(0.5, abs=3 * sample.error)
    assert 0 < sample.error < 0.06
    assert sample.windows >= 1000


def test_the_tiles_see_what_a_reduced_preview_hides():
    """A fine weave: each pixel of the preview averages two by two of its fields exactly."""
    field = np.add.outer(np.arange(600) // 3, np.arange(4800) // 3) % 2
    picture = grey_picture(50.0 + 16 * field)
    preview = picture.preview(800)
    assert preview.shape == (100, 800, 3)
    assert np.ptp(preview[..., 0].astype(int)) < 100
    character = describe(picture)
    assert character.share_detail > 0.95
    assert character.smooth_area.share == 0
    assert character.is_detailed and not character.has_smooth_area


def test_a_sky_is_one_smooth_area():
    sky = np.empty((600, 900, 3))
    sky[:] = np.linspace([0.35, 0.5, 0.75], [0.6, 0.7, 0.85], 600)[:, None]
    random = np.random.default_rng(2).random((150, 225, 3))
    sky[300:] = np.repeat(np.repeat(random, 4, 0), 4, 1)[300:]
    picture = picture_of(sky)
    area = smooth_area(picture, detail_sample(picture))
    assert area.share == pytest.approx(0.5, abs=0.06)
    assert "blues" in area.colour
    character = describe(picture)
    assert character.has_smooth_area
    assert character.smooth_area.share == area.share
    assert "one smooth area of " + area.colour in character.sentences[2]


# -- the rest


@pytest.mark.parametrize("shape", [(1, 1, 3), (3, 700, 3), (17, 5, 3), (40, 30)])
def test_small_and_odd_pictures(shape):
    picture = picture_of(np.full(shape, 0.4), "sRGB" if len(shape) == 3 else "Grey, power 2.2")
    character = describe(picture)
    assert character.share_detail == 0
    assert character.share_smooth == 1
    assert 0 <= character.smooth_area.share <= 1


def test_sentences_and_words():
    character = describe(colourful())
    assert "colourful" in character.words
    assert len(character.sentences) == 3
    assert all(s.endswith(".") and "nan" not in s for s in character.sentences)
    grey = describe(grey_picture(np.full((20, 20), 40.0)))
    assert grey.sentences[1] == "It is without colour."
    assert grey.words == ("colourless", "smooth")


def test_a_second_answer_is_the_first():
    picture = colourful()
    assert describe(picture) is describe(picture)
    assert describe(picture, ppi=600) is not describe(picture)


@pytest.mark.parametrize("ppi", [0, -1, float("nan"), "many", None, 1e9])
def test_ppi_that_is_none(ppi):
    with pytest.raises(WorkbenchError, match="between 20 and 5000 ppi"):
        describe(colourful(), ppi=ppi)


def test_an_untagged_picture_is_not_described():
    import io

    import tifffile

    file = io.BytesIO()
    tifffile.imwrite(file, np.zeros((8, 8, 3), np.uint8), photometric="rgb")
    with pytest.raises(UntaggedPictureError):
        describe(open_picture(file.getvalue(), name="x.tif"))
