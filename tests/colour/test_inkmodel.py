"""The paper model: its limits, its published special cases, and the profiles it writes."""

from __future__ import annotations

import hashlib
import io

import numpy as np
import pytest
from PIL import Image, ImageCms

from workbench.colour.difference import delta_e_2000
from workbench.colour.engine import transform
from workbench.colour.inkmodel import FINISHES, PRIMARIES, InkModel, model_profile
from workbench.colour.lab import D50_XYZ, density, lab_to_xyz
from workbench.colour.shell import gamut_shell
from workbench.colour.spaces import standard_profile
from workbench.errors import PaperError

WHITE = (96.0, 0.5, -3.0)
SMALL = {"grid": 17}
# device RGB of the solid inks; ink is what RGB lacks
SOLIDS = {
    "cyan": (0, 1, 1),
    "magenta": (1, 0, 1),
    "yellow": (1, 1, 0),
    "red": (1, 0, 0),
    "green": (0, 1, 0),
    "blue": (0, 0, 1),
}


@pytest.fixture(scope="module")
def profile():
    return model_profile(WHITE, 2.1, finish="gloss", name="Invented test paper")


def absolute_lab(profile, device):
    return transform(np.array([device], float), profile, "lab", intent="absolute")[0]


def model(yule_nielsen: float, finish: str = "gloss") -> InkModel:
    return InkModel(WHITE, (8.0, 0.0, 0.0), FINISHES[finish].inks, yule_nielsen)


def light(lab):
    """XYZ over the white's."""
    return lab_to_xyz(lab) / D50_XYZ


# what no paper has


@pytest.mark.parametrize(
    ("change", "word"),
    [
        ({"white_lab": (50, 0, 0)}, "white"),
        ({"white_lab": (101, 0, 0)}, "white"),
        ({"white_lab": (95, 0, 60)}, "white"),
        ({"white_lab": (95, 0)}, "white"),
        ({"white_lab": (np.nan, 0, 0)}, "white"),
        ({"white_lab": "white"}, "white"),
        ({"black": 0.2}, "density"),
        ({"black": 3.5}, "density"),
        ({"black": np.nan}, "black"),
        ({"black": (90, 0, 0)}, "black"),
        ({"black": (10, np.nan, 0)}, "black"),
        ({"black": (10, 50, 0)}, "black"),
        ({"black": None}, "black"),
        ({"finish": "velvet"}, "finish"),
        ({"saturation": 0.1}, "saturation"),
        ({"saturation": 2}, "saturation"),
        ({"saturation": np.nan}, "saturation"),
        ({"primaries": {"violet": (30, 40, -60)}}, "violet"),
        ({"primaries": {"cyan": (120, 0, 0)}}, "cyan"),
        ({"primaries": {"cyan": (60, -40)}}, "cyan"),
        ({"primaries": {"cyan": None}}, "cyan"),
        ({"grid": 4}, "nodes"),
        ({"grid": 65}, "nodes"),
        ({"grid": 17.5}, "nodes"),
    ],
)
def test_bad_values_are_refused_in_a_sentence(change, word):
    given = {"white_lab": WHITE, "black": 2.0, **change}
    with pytest.raises(PaperError) as refusal:
        model_profile(**given)
    message = str(refusal.value)
    assert word in message
    assert message.endswith(".") and len(message.split()) > 6


# the forward model


@pytest.mark.parametrize("finish", FINISHES)
def test_no_ink_is_white_and_all_inks_are_black(finish):
    mix = model(FINISHES[finish].yule_nielsen, finish)
    np.testing.assert_allclose(mix.lab([1, 1, 1]), [100, 0, 0], atol=1e-6)
    np.testing.assert_allclose(mix.lab([0, 0, 0]), mix.black, atol=1e-6)


@pytest.mark.parametrize("finish", FINISHES)
def test_solid_inks_print_their_own_colours(finish):
    mix = model(FINISHES[finish].yule_nielsen, finish)
    assert set(SOLIDS) == set(PRIMARIES)
    for name, device in SOLIDS.items():
        wanted = np.array(FINISHES[finish].inks[name], float)
        np.testing.assert_allclose(mix.lab(device), wanted, atol=0.5)


def areas(mix, device, factor):
    """Dot areas of single inks, by Murray–Davies on the n-th roots of their luminances."""
    found = []
    for i, name in enumerate(("cyan", "magenta", "yellow")):
        alone = np.ones(3)
        alone[i] = device[i]
        solid = light(mix.lab(SOLIDS[name]))[1] ** (1 / factor)
        found.append((1 - light(mix.lab(alone))[1] ** (1 / factor)) / (1 - solid))
    return found


def mixed_by_hand(mix, device, factor):
    """Neugebauer's sum with Demichel's weights, and Yule and Nielsen's exponent, spelled out."""
    total = np.zeros(3)
    for corner in np.ndindex(2, 2, 2):
        share = 1.0
        for area, inked in zip(areas(mix, device, factor), corner, strict=True):
            share *= area if inked else 1 - area
        total += share * light(mix.lab(1 - np.array(corner))) ** (1 / factor)
    return total**factor


COLOURS = np.random.default_rng(6).uniform(0.05, 0.95, (25, 3))


def test_without_spread_of_light_it_is_neugebauers_linear_mixing():
    # Yule–Nielsen with n = 1 is Murray–Davies for one ink and Neugebauer's equations for three:
    # A. Murray, J. Franklin Inst. 221, 1936; H. E. J. Neugebauer, Z. wiss. Photogr. 36, 1937
    mix = model(1.0)
    for device in COLOURS:
        np.testing.assert_allclose(
            light(mix.lab(device)), mixed_by_hand(mix, device, 1.0), atol=1e-9
        )
    # one ink: all three of X, Y, Z on the straight line from white to solid
    half = light(mix.lab([0.4, 1, 1]))
    (area, _, _) = areas(mix, (0.4, 1, 1), 1.0)
    np.testing.assert_allclose(half, 1 + area * (light(mix.lab(SOLIDS["cyan"])) - 1), atol=1e-9)


@pytest.mark.parametrize("factor", [1.7, 2.3])
def test_with_spread_of_light_the_roots_mix(factor):
    # J. A. C. Yule and W. J. Nielsen, TAGA Proceedings 1951
    mix = model(factor)
    for device in COLOURS:
        np.testing.assert_allclose(
            light(mix.lab(device)), mixed_by_hand(mix, device, factor), atol=1e-9
        )
    # and the linear sum, which must not fit here, does not
    worst = max(
        np.abs(light(mix.lab(device)) - mixed_by_hand(mix, device, 1.0)).max() for device in COLOURS
    )
    assert worst > 0.005


@pytest.mark.parametrize("finish", FINISHES)
def test_equal_rgb_prints_evenly_spaced_neutrals(finish):
    mix = model(FINISHES[finish].yule_nielsen, finish)
    steps = np.linspace(0, 1, 41)
    lab = mix.lab(np.repeat(steps[:, None], 3, axis=1))
    wanted = mix.black + steps[:, None] * (np.array([100, 0, 0]) - mix.black)
    np.testing.assert_allclose(lab, wanted, atol=0.05)


# and back


def test_printable_colours_find_their_device_values():
    mix = model(1.7)
    device = np.random.default_rng(7).random((5000, 3))
    found = mix.rgb(mix.lab(device))
    assert np.abs(found - device).max() * 65535 < 4
    assert np.linalg.norm(mix.lab(found) - mix.lab(device), axis=1).max() < 0.005


def test_unprintable_colours_find_nothing_nearer_on_a_grid():
    mix = model(2.3, "matte")
    rng = np.random.default_rng(8)
    lab = rng.uniform([0, -120, -120], [100, 120, 120], (200, 3))
    steps = np.linspace(0, 1, 25)
    grid = np.stack(np.meshgrid(steps, steps, steps, indexing="ij"), -1).reshape(-1, 3)
    printed, nearest = mix.lab(grid), mix.lab(mix.rgb(lab))
    for goal, here in zip(lab, nearest, strict=True):
        # differences weighted as in CIE94 (CIE 116-1995), at the goal
        c = np.hypot(*goal[1:])
        unit = goal[1:] / c

        def weighted(others, goal=goal, c=c, unit=unit):
            gap = others - goal
            along, across = gap[..., 1:] @ unit, gap[..., 1:] @ np.array([-unit[1], unit[0]])
            return np.sqrt(
                gap[..., 0] ** 2 + (along / (1 + 0.045 * c)) ** 2 + (across / (1 + 0.015 * c)) ** 2
            )

        assert weighted(here) <= weighted(printed).min() + 0.05


def test_answers_do_not_depend_on_their_company():
    mix = model(1.7)
    lab = np.random.default_rng(9).uniform([5, -60, -60], [95, 60, 60], (40, 3))
    together = mix.rgb(lab)
    alone = np.concatenate([mix.rgb(one[None]) for one in lab])
    np.testing.assert_allclose(together, alone, atol=1e-12)


# profiles


@pytest.mark.parametrize("finish", FINISHES)
@pytest.mark.parametrize(
    ("white", "black"),
    [((96.0, 0.5, -6.0), 2.2), ((93.0, 1.0, 4.0), 1.6), ((90.0, 0.0, 0.0), (15.0, 1.5, -2.0))],
)
def test_white_and_black_are_as_asked(white, black, finish):
    profile = model_profile(white, black, finish=finish, **SMALL)
    np.testing.assert_allclose(absolute_lab(profile, (1, 1, 1)), white, atol=0.1)
    darkest = absolute_lab(profile, (0, 0, 0))
    if np.ndim(black):
        np.testing.assert_allclose(darkest, black, atol=0.1)
    else:
        np.testing.assert_allclose(darkest[1:], 0, atol=0.1)
        # D = -log10 Y, ISO 5-1
        assert density(darkest[0]) == pytest.approx(black, abs=0.015)


def test_same_inputs_same_bytes(profile):
    assert model_profile(WHITE, 2.1, finish="gloss", name="Invented test paper") == profile
    assert model_profile(WHITE, 2.1, finish="gloss", name="Invented other paper") != profile


def test_saturation_and_finish_change_the_volume():
    def volume(**details):
        return gamut_shell(model_profile(WHITE, 2.1, **details, **SMALL), absolute=True).volume

    volumes = [volume(saturation=s) for s in (0.6, 0.8, 1.0, 1.2)]
    assert np.all(np.diff(volumes) > 50e3)
    assert volume(finish="matte") < volumes[2] - 50e3


def test_a_lighter_black_shrinks_the_volume():
    shallow, deep = (
        gamut_shell(model_profile(WHITE, d, **SMALL), absolute=True).volume for d in (1.5, 2.3)
    )
    assert shallow < deep - 20e3


def test_an_ink_of_ones_own_is_used():
    own = {"yellow": (90.0, 0.0, 80.0)}
    profile = model_profile(WHITE, 2.1, own, **SMALL)
    lab = transform(np.array([[1.0, 1, 0]]), profile, "lab")[0]
    np.testing.assert_allclose(lab, own["yellow"], atol=0.1)


def test_profile_id(profile):
    # ICC.1:2022 section 7.2.18: MD5 of the profile with flags (44..47), intent (64..67)
    # and ID (84..99) set to zero
    zeroed = bytearray(profile)
    zeroed[44:48] = zeroed[64:68] = bytes(4)
    zeroed[84:100] = bytes(16)
    assert profile[84:100] == hashlib.md5(zeroed, usedforsecurity=False).digest()
    assert profile[84:100] != bytes(16)


def test_table_prints_what_the_model_says(profile):
    mix = InkModel(WHITE, absolute_lab(profile, (0, 0, 0)), FINISHES["gloss"].inks, 1.7)
    device = np.random.default_rng(10).random((2000, 3))
    gap = delta_e_2000(transform(device, profile, "lab"), mix.lab(device))
    assert np.percentile(gap, 95) < 0.5


@pytest.mark.parametrize("number", range(3), ids=("perceptual", "relative", "saturation"))
def test_little_cms_in_pillow_agrees(profile, number):
    ours_name = ("perceptual", "relative", "saturation")[number]
    colours = np.random.default_rng(11).integers(0, 256, (30, 40, 3), dtype=np.uint8)
    paper = ImageCms.ImageCmsProfile(io.BytesIO(profile))
    screen = ImageCms.ImageCmsProfile(io.BytesIO(standard_profile("sRGB")))
    for source, target, ends in (
        (screen, paper, (standard_profile("sRGB"), profile)),
        (paper, screen, (profile, standard_profile("sRGB"))),
    ):
        theirs = ImageCms.profileToProfile(
            Image.fromarray(colours), source, target, renderingIntent=number, outputMode="RGB"
        )
        ours = transform(colours, *ends, intent=ours_name)
        assert np.abs(ours.astype(int) - np.asarray(theirs).astype(int)).max() <= 1


def test_saturation_intent_is_more_colourful_than_perceptual(profile):
    colours = np.array([[60.0, 30, 20], [50, -30, 20], [45, 10, -35], [75, 5, 45]])
    printed = {
        intent: transform(transform(colours, "lab", profile, intent=intent), profile, "lab")
        for intent in ("perceptual", "saturation")
    }
    gain = np.hypot(*printed["saturation"].T[1:]) / np.hypot(*printed["perceptual"].T[1:])
    assert np.all(gain > 1.02)
