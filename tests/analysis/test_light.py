"""Lights, colour temperatures and targets, against colour-science and published tables."""

import math
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from workbench.analysis.cct import (
    ILLUMINANTS,
    cct_mccamy_k,
    cct_to_xy,
    daylight_xy,
    duv,
    number,
    planckian_uv,
)
from workbench.analysis.light import (
    PLACES,
    VIEWING_CONDITIONS,
    Light,
    find_light,
    light_caution,
    light_names,
)
from workbench.analysis.targets import TARGETS
from workbench.errors import WorkbenchError


@pytest.fixture(scope="module")
def colour():
    import colour

    return colour


def _uv(xy):
    x, y = xy
    d = -2 * x + 12 * y + 3
    return [4 * x / d, 6 * y / d]


@pytest.mark.parametrize("name", ILLUMINANTS)
def test_illuminants_agree_with_colour_science(name, colour):
    # CIE 15:2018 as tabulated by colour-science
    table = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]
    assert ILLUMINANTS[name] == pytest.approx(tuple(table[name]), abs=1e-5)


# McCamy 1992; the temperatures as in colour-science's own tests and tables
@pytest.mark.parametrize(
    ("xy", "kelvin"),
    [
        ((0.44757, 0.40745), 2857.3),
        ((0.34567, 0.35850), 5002.1),
        ((0.31271, 0.32902), 6504.4),
    ],
)
def test_mccamy_against_published_temperatures(xy, kelvin):
    assert cct_mccamy_k(xy) == pytest.approx(kelvin, abs=0.1)


@pytest.mark.parametrize("name", ["A", "D50", "D55", "D65", "D75", "FL2", "FL11", "LED-B3"])
def test_colour_temperature_against_ohno(name, colour):
    # Ohno 2013 searches the locus itself; McCamy's cubic stays within 10 K of it here
    kelvin, away = colour.temperature.uv_to_CCT_Ohno2013(_uv(ILLUMINANTS[name]))
    assert cct_mccamy_k(ILLUMINANTS[name]) == pytest.approx(kelvin, abs=10)
    assert duv(ILLUMINANTS[name]) == pytest.approx(away, abs=2e-4)


def test_duv_of_ohnos_example():
    # Ohno 2013 by colour-science: u, v = 0.1978, 0.3122 -> 6507.47 K, Duv 0.00322
    u, v = 0.1978, 0.3122
    scale = 2 * u - 8 * v + 4
    xy = (3 * u / scale, 2 * v / scale)
    assert duv(xy) == pytest.approx(0.00322, abs=1e-4)
    assert cct_mccamy_k(xy) == pytest.approx(6507.47, abs=5)


@pytest.mark.parametrize("kelvin", [1500, 2700, 4000, 6500, 12000])
def test_planckian_locus_against_colour_science(kelvin, colour):
    assert planckian_uv(kelvin) == pytest.approx(
        tuple(colour.temperature.CCT_to_uv_Krystek1985(kelvin)), abs=1e-9
    )
    assert planckian_uv(kelvin) == pytest.approx(
        tuple(colour.temperature.CCT_to_uv_Ohno2013([kelvin, 0.0])), abs=1.5e-4
    )


@pytest.mark.parametrize("kelvin", [4000, 5000, 6500, 7000, 7001, 10000])
def test_daylight_against_colour_science(kelvin, colour):
    assert daylight_xy(kelvin) == pytest.approx(
        tuple(colour.temperature.CCT_to_xy_CIE_D(kelvin)), abs=1e-9
    )


@pytest.mark.parametrize("kelvin", [2000, 2700, 3000, 4000, 4300, 4700, 5000, 6500, 10000])
def test_a_light_of_a_temperature_has_it(kelvin, colour):
    back, _ = colour.temperature.uv_to_CCT_Ohno2013(_uv(cct_to_xy(kelvin)))
    assert back == pytest.approx(kelvin, rel=1e-3)


def test_between_black_body_and_daylight_both_add_equal_luminance(colour):
    # IES TM-30-18: halfway at 4500 K, equal amounts of light; XYZ adds, so sum it there
    u, v = planckian_uv(4500)
    scale = 2 * u - 8 * v + 4
    warm = colour.xyY_to_XYZ([3 * u / scale, 2 * v / scale, 1.0])
    cool = colour.xyY_to_XYZ([*daylight_xy(4500), 1.0])
    assert cct_to_xy(4500) == pytest.approx(tuple(colour.XYZ_to_xy(warm + cool)), abs=1e-9)


@pytest.mark.parametrize("border", [4000, 5000])
def test_no_jump_where_black_body_and_daylight_meet(border):
    before, after = cct_to_xy(border - 0.01), cct_to_xy(border + 0.01)
    assert before == pytest.approx(after, abs=1e-5)


@given(st.floats(2000, 9900), st.floats(1, 100))
def test_warmer_light_is_redder(kelvin, step):
    assert cct_to_xy(kelvin)[0] > cct_to_xy(kelvin + step)[0]


def test_every_name_is_found_whatever_its_capitals():
    for name in light_names():
        assert find_light(name).name == name
        assert find_light(f" {name.upper()} ").name == name


@pytest.mark.parametrize("light", [3000, 3000.0, "3000", "3000 K", "3000k"])
def test_a_colour_temperature_in_any_writing(light):
    assert find_light(light).white_xy == pytest.approx(cct_to_xy(3000))
    assert find_light(light).name == "3000 K"


def test_a_measured_light_and_a_light_itself():
    measured = find_light((0.44758, 0.40745))
    assert measured.cct_k == pytest.approx(2857, abs=1)
    mine = Light("mine", (0.35, 0.36), illuminance_lux=70)
    assert find_light(mine) is mine


def test_white_xyz_has_luminance_one_and_the_lights_chromaticity():
    x, y = ILLUMINANTS["D65"]
    xyz = find_light("D65").white_xyz
    assert xyz[1] == 1
    assert xyz[0] / xyz.sum() == pytest.approx(x)
    assert xyz[1] / xyz.sum() == pytest.approx(y)


@pytest.mark.parametrize(
    "light", ["moonlight", "", "-3000", 900, 20000, (0.3, 0.59), (0.3,), (9, 9), ("a", "b"), None]
)
def test_lights_that_are_none(light):
    with pytest.raises(WorkbenchError):
        find_light(light)


def test_the_error_names_the_choices():
    with pytest.raises(WorkbenchError, match="living room"):
        find_light("moonlight")


@pytest.mark.parametrize("value", [float("nan"), float("inf"), -1, "much", None])
def test_numbers_out_of_range(value):
    with pytest.raises(WorkbenchError, match="illuminance"):
        number(value, "illuminance", low=0, high=100, unit="lux")


def test_viewing_conditions_of_iso_3664():
    # ISO 3664:2009, by secondary sources: D50, P1 2000 ± 500 lx, P2 500 ± 125 lx
    p1, p2 = VIEWING_CONDITIONS["ISO 3664 P1"], VIEWING_CONDITIONS["ISO 3664 P2"]
    assert (p1.illuminance_lux, p1.illuminance_range_lux) == (2000, (1500, 2500))
    assert (p2.illuminance_lux, p2.illuminance_range_lux) == (500, (375, 625))
    assert p1.white_xy == p2.white_xy == ILLUMINANTS["D50"]


def test_places_bring_their_lux_and_say_where_from():
    assert {"gallery", "living room", "office", "daylight", "museum"} <= set(PLACES)
    for place in PLACES.values():
        low, high = place.illuminance_range_lux
        assert low <= place.illuminance_lux <= high
        assert 0 < place.room_share < 1
        assert place.source and place.purpose
    # museums' practice for light-sensitive works; EN 12464-1 for desks
    assert PLACES["museum"].illuminance_lux == 50
    assert PLACES["office"].illuminance_lux == 500


def test_targets_disagree_and_each_says_what_for():
    by_name = {target.name: target for target in TARGETS}
    assert len(by_name) == len(TARGETS)
    for target in TARGETS:
        # only what is published, with its edition; practice differs from person to person
        assert target.purpose and re.search(r"(ISO|IEC) [\d-]+:\d{4}", target.source)
        assert target.applies_to in ("screen", "screen beside a print", "print")
        # its fourth edition came out in July 2025 (catalogues of national standards bodies)
        assert "ISO 3664" not in target.name or "edition of 2025" in target.source
    for standard in ("ISO 3664", "ISO 12646", "ISO 14861"):
        assert any(name.startswith(standard) for name in by_name)
    # P. Green, Color Management, 2010, p. 197
    assert by_name["ISO 3664, screen by itself"].luminance_cd_m2 == (80, None)
    assert by_name["ISO 3664, screen beside a P2 print"].luminance_cd_m2 == (160, None)
    # the International Color Consortium's registry: ROMM RGB
    reference = by_name["ISO 22028-2 reference print"]
    assert reference.luminance_cd_m2 == (142, 142)
    assert reference.illuminance_lux == (503, 503)
    assert 503 / math.pi == pytest.approx(160, abs=0.2)  # its adapted white


def test_caution_begins_where_museums_stop():
    assert light_caution(50) is None
    assert light_caution(200) is None
    assert "conservator" in light_caution(201)
    assert "1,000 lux" in light_caution(1000)
