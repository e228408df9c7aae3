"""Standard spaces against published definitions, volumes and Little CMS."""

import colour
import imagecodecs
import numpy as np
import pytest

from workbench.colour.engine import transform
from workbench.colour.profile import read_profile
from workbench.colour.shell import gamut_shell
from workbench.colour.spaces import (
    GREY_SPACES,
    RGB_SPACES,
    bradford,
    space_hint,
    space_label,
    standard_profile,
    tone_curves,
)
from workbench.errors import ProfileError


# B. Lindbloom, RGB working space information: volumes in Lab, D50, Bradford
@pytest.mark.parametrize(
    "name, volume",
    [
        ("sRGB", 832870),
        ("opRGB", 1208631),
        ("eciRGB v2", 1331362),
        ("ROMM RGB", 2879568),
    ],
)
def test_gamut_volume_of_standard_spaces(name, volume):
    assert gamut_shell(standard_profile(name)).volume == pytest.approx(volume, rel=0.004)


def test_srgb_is_little_cms_own_srgb():
    pixels = np.random.default_rng(5).random((1000, 3))
    ours = transform(pixels, standard_profile("sRGB"), "lab")
    theirs = transform(pixels, imagecodecs.cms_profile("srgb"), "lab")
    assert np.abs(ours - theirs).max() < 0.01


@pytest.mark.parametrize(
    "name, theirs",
    [
        ("Display P3", "Display P3"),
        ("opRGB", "Adobe RGB (1998)"),
        ("ROMM RGB", "ROMM RGB"),
        ("eciRGB v2", "ECI RGB v2"),
    ],
)
def test_spaces_agree_with_colour_science(name, theirs):
    pixels = np.random.default_rng(6).random((200, 3))
    space = colour.RGB_COLOURSPACES[theirs]
    xyz = colour.RGB_to_XYZ(pixels, space, apply_cctf_decoding=True)
    white = colour.xy_to_XYZ(space.whitepoint)
    d50 = np.array([0.9642, 1, 0.8249])
    adapted = colour.adaptation.chromatic_adaptation_VonKries(xyz, white, d50, transform="Bradford")
    lab = colour.XYZ_to_Lab(adapted, d50[:2] / d50.sum())
    ours = transform(pixels, standard_profile(name), "lab")
    # some tables of primaries round differently
    assert np.percentile(np.abs(ours - lab).max(axis=1), 95) < 0.3


def test_romm_has_the_toe_of_its_standard_and_oprgb_has_none():
    # ISO 22028-2, by the International Color Consortium's registry and colour-science
    codes = np.array([0.0, 0.01, 0.02, 1 / 32, 0.05, 0.5, 1.0])
    romm = tone_curves(standard_profile("ROMM RGB"))[0](codes)
    assert np.allclose(romm, colour.models.cctf_decoding_ROMMRGB(codes), rtol=2e-5)
    assert np.allclose(romm[1:3], [0.01 / 16, 0.02 / 16], rtol=1e-6)
    # IEC 61966-2-5, by the documentation of Linux's video interface (opRGB): 2.19921875
    assert np.allclose(tone_curves(standard_profile("opRGB"))[0](codes), codes**2.19921875)


@pytest.mark.parametrize("name", RGB_SPACES + GREY_SPACES)
def test_every_space_has_a_label_and_a_hint(name):
    assert space_label(name).startswith(name) and len(space_hint(name).split()) >= 3


def test_bradford_d65_to_d50_matrix():
    # B. Lindbloom, chromatic adaptation; the same in colour-science
    published = [
        [1.0478112, 0.0228866, -0.0501270],
        [0.0295424, 0.9904844, -0.0170491],
        [-0.0092345, 0.0150436, 0.7521316],
    ]
    d65 = np.array([0.95047, 1.0, 1.08883])
    assert np.allclose(bradford(d65, [0.96422, 1, 0.82521]), published, atol=2e-5)


@pytest.mark.parametrize("name", RGB_SPACES + GREY_SPACES)
def test_white_is_white_and_black_is_black(name):
    profile = standard_profile(name)
    channels = 3 if name in RGB_SPACES else 1
    assert read_profile(profile).description == name
    lab = transform(np.array([[1.0] * channels, [0.0] * channels]), profile, "lab")
    assert np.abs(lab - [[100, 0, 0], [0, 0, 0]]).max() < 0.01


@pytest.mark.parametrize("name", RGB_SPACES + GREY_SPACES)
def test_tone_curves_say_what_little_cms_does(name):
    profile = standard_profile(name)
    channels = 3 if name in RGB_SPACES else 1
    steps = np.linspace(0, 1, 101)
    lightness = transform(np.repeat(steps[:, None], channels, axis=1), profile, "lab")[:, 0]
    y = tone_curves(profile)[0](steps)
    from workbench.colour.lab import luminance_factor

    assert np.allclose(luminance_factor(lightness), y, atol=2e-5)


def test_unknown_space_lists_the_known_ones():
    with pytest.raises(ProfileError, match="sRGB.*ROMM"):
        standard_profile("my space")
