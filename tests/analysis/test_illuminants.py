"""A white under other lights: tables of the CIE, ASTM E308, another road, and what is refused."""

import colour
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from spectra import BANDS_NM, bright_file, invented_white, with_readings

import workbench.analysis.illuminants as illuminants
from workbench.analysis.illuminants import (
    DAYLIGHT,
    LED,
    LIGHTS,
    TUBE,
    USUAL_LIGHTS,
    brightener_caveat,
    tint_under_lights,
)
from workbench.analysis.words import tint_words
from workbench.colour.inkmodel import model_profile
from workbench.colour.lab import D50_XYZ
from workbench.errors import PaperError
from workbench.paper import Paper
from workbench.paper_readings import (
    measured_paper,
    measuring_condition,
    open_measured_paper,
    spectral_white,
)
from workbench.readings import reading, spectra_to_xyz, spectral_reading

OBSERVERS = {
    2: "CIE 1931 2 Degree Standard Observer",
    10: "CIE 1964 10 Degree Standard Observer",
}


@pytest.fixture(scope="module")
def bright():
    """An invented paper with a brightener, from a file of spectra."""
    return open_measured_paper(bright_file(), "Invented Bright", invented=True)


# -- against the outside


@pytest.mark.parametrize("observer", [2, 10])
@pytest.mark.parametrize("step", [5, 10, 20])
def test_the_perfect_diffuser_is_white_in_every_light(step, observer):
    bands = np.arange(380, 741, step)
    found = tint_under_lights(spectral_reading(bands, np.ones(len(bands))), LIGHTS, observer)
    assert len(found.tints) == len(LIGHTS) == 24
    for tint in found.tints:
        assert tint.lab == pytest.approx((100, 0, 0), abs=1e-4), tint.name
        assert tint.tint == "neutral" and tint.shift_ciede2000 < 1e-3
        assert tint.xyz == pytest.approx(tint.light_xyz, abs=1e-6)


@pytest.mark.parametrize("observer", [2, 10])
def test_lights_have_the_chromaticities_of_the_cie_tables(bright, observer):
    # CIE 15:2018 by colour-science's own table of chromaticities; those of LED and tubes were
    # worked out there from 5 nm by plain sums
    table = colour.CCS_ILLUMINANTS[OBSERVERS[observer]]
    for tint in tint_under_lights(bright, LIGHTS, observer).tints:
        light = np.array(tint.light_xyz)
        assert light[:2] / light.sum() == pytest.approx(table[tint.name], abs=4e-4), tint.name


def test_colour_temperatures_of_the_cie_tables(bright):
    # CIE 15:2018, tables of LED and FL illuminants, from memory
    for name, kelvin in {
        "LED-B1": 2733, "LED-B2": 2998, "LED-B3": 4103, "LED-B4": 5109, "LED-B5": 6598,
        "LED-BH1": 2851, "LED-RGB1": 2840, "LED-V1": 2724, "LED-V2": 4070,
        "FL2": 4230, "FL7": 6500, "FL11": 4000, "A": 2856, "D65": 6504,
    }.items():  # fmt: skip
        assert tint_under_lights(bright, name).under(name).cct_k == pytest.approx(kelvin, abs=15)


# 400 to 700 nm in steps of 5
SAMPLE = """
.0641 .0650 .0654 .0652 .0645 .0629 .0605 .0581 .0562 .0551 .0543 .0539 .0537 .0538 .0541 .0547
.0559 .0578 .0603 .0629 .0651 .0667 .0680 .0691 .0705 .0720 .0736 .0753 .0772 .0791 .0809 .0833
.0870 .0924 .0990 .1061 .1128 .1190 .1251 .1308 .1360 .1403 .1439 .1473 .1511 .1550 .1590 .1634
.1688 .1753 .1828 .1909 .1996 .2088 .2187 .2291 .2397 .2505 .2618 .2733 .2852
"""


def test_astm_e308_as_worked_elsewhere():
    """The sample and its XYZ are those of colour-science's own tests of ASTM E308."""
    shares = [float(share) for share in SAMPLE.split()]
    found = tint_under_lights(spectral_reading(np.arange(400, 701, 5), shares), "A")
    expected = (14.54025742, 10.88576251, 2.04950226)
    assert 100 * np.array(found.under("A").xyz) == pytest.approx(expected, abs=2e-4)


@pytest.mark.parametrize(("step", "within"), [(5, 0.12), (10, 0.03), (20, 0.25)])
@pytest.mark.parametrize("observer", [2, 10])
def test_another_road_gives_the_same_tints(step, within, observer):
    """Every nanometre of the curve itself summed up by colour-science, without E308's weights."""
    bands, fine = np.arange(380, 741, step), np.arange(360, 781)
    found = tint_under_lights(spectral_reading(bands, invented_white(bands)), LIGHTS, observer)
    for tint in found.tints:
        paper, white = (
            colour.sd_to_XYZ(
                colour.SpectralDistribution(shares, fine),
                colour.MSDS_CMFS[OBSERVERS[observer]],
                colour.SDS_ILLUMINANTS[tint.name],
                method="Integration",
            )
            for shares in (invented_white(fine), np.ones(len(fine)))
        )
        lab = colour.XYZ_to_Lab(paper / 100, colour.XYZ_to_xy(white))
        assert tint.lab == pytest.approx(lab, abs=within), tint.name


def test_d50_is_the_reading_itself(bright):
    found = tint_under_lights(bright)
    assert found.d50.lab == pytest.approx(bright.white_lab, abs=1e-5)
    assert found.under("D50") is found.d50 and found.d50.shift_ciede2000 == 0
    assert found.d50.light_xyz == pytest.approx(D50_XYZ, abs=1e-6)


def test_the_shift_agrees_with_colour_science(bright):
    for observer in OBSERVERS:
        found = tint_under_lights(bright, LIGHTS, observer)
        for tint in found.tints:
            adapted = colour.chromatic_adaptation(
                np.array(tint.xyz), np.array(tint.light_xyz), D50_XYZ, transform="Bradford"
            )
            lab = colour.XYZ_to_Lab(adapted, colour.XYZ_to_xy(D50_XYZ))
            assert tint.adapted_lab == pytest.approx(lab, abs=2e-2)
            shift = colour.delta_E(np.array(found.d50.adapted_lab), lab, method="CIE 2000")
            assert tint.shift_ciede2000 == pytest.approx(shift, abs=0.02)


def test_two_papers_alike_in_one_light_part_in_another():
    """Metamerism: a spectrum that D50 does not see is added to a paper's (CIE 15, section 9)."""
    weights = np.stack([spectra_to_xyz(BANDS_NM, [row])[0] for row in np.eye(len(BANDS_NM))])
    wave = np.sin((BANDS_NM - 380) / 350 * 6 * np.pi)
    unseen = wave - weights @ np.linalg.lstsq(weights, wave, rcond=None)[0]
    one = spectral_reading(BANDS_NM, invented_white(brightener=0))
    other = spectral_reading(BANDS_NM, invented_white(brightener=0) + 0.06 * unseen)
    assert one.lab == pytest.approx(other.lab, abs=1e-4)
    apart = {
        name: np.linalg.norm(
            np.subtract(
                tint_under_lights(one, name).tints[0].lab,
                tint_under_lights(other, name).tints[0].lab,
            )
        )
        for name in LIGHTS
    }
    assert apart["D50"] < 1e-4
    assert min(apart[name] for name in ("A", "FL11", "LED-RGB1", "LED-V1")) > 0.3
    assert apart["LED-RGB1"] > 1


# -- words and order


@settings(deadline=None, max_examples=25)
@given(
    st.floats(0, 0.25), st.floats(0.3, 1), st.sampled_from(sorted(LIGHTS)), st.sampled_from([2, 10])
)
def test_words_are_those_of_every_white(brightener, level, light, observer):
    white = spectral_reading(BANDS_NM, level * invented_white(brightener=brightener))
    found = tint_under_lights(white, light, observer).tints[0]
    assert found.tint == tint_words(found.lab)
    assert found.chroma == pytest.approx(np.hypot(*found.lab[1:]), abs=1e-5)
    if found.chroma > 0.01:  # a grey has no hue
        hue = np.degrees(np.arctan2(found.lab[2], found.lab[1]))
        assert abs((found.hue_deg - hue + 180) % 360 - 180) < 0.1
    bluer = spectral_reading(BANDS_NM, level * invented_white(brightener=brightener + 0.1))
    assert tint_under_lights(bluer, light, observer).tints[0].lab[2] < found.lab[2]


def test_the_usual_lights_and_those_asked_for(bright):
    assert [tint.name for tint in tint_under_lights(bright).tints] == list(USUAL_LIGHTS)
    assert {"A", "D50", "D65", "FL2", "FL7", "FL11", "LED-B1", "LED-V2"} <= set(USUAL_LIGHTS)
    assert len([name for name in USUAL_LIGHTS if LIGHTS[name][0] == LED]) == 9
    found = tint_under_lights(bright, [" led-b3", "a"], 10)
    assert [tint.name for tint in found.tints] == ["LED-B3", "A"]
    assert found.observer_deg == 10 and found.d50.name == "D50"
    assert {kind for kind, _ in LIGHTS.values()} >= {DAYLIGHT, LED, TUBE}
    with pytest.raises(PaperError, match="was not asked for"):
        found.under("D65")


def test_the_sentence_names_the_light_that_changes_most(bright):
    found = tint_under_lights(bright)
    most = max(found.tints, key=lambda tint: tint.shift_ciede2000)
    assert most.name == "LED-V1"  # violet, where the invented paper falls off
    assert found.sentence == (
        f"Under D50 this white is slightly cool. It changes most under LED-V1 (violet LED with "
        f"phosphors, warm white): neutral there, {most.shift_ciede2000:.1f} CIEDE2000 away, to an "
        "eye adapted to the light."
    )
    grey = spectral_reading(BANDS_NM, np.full(len(BANDS_NM), 0.9))
    assert "stays so under all of these" in tint_under_lights(grey).sentence


@pytest.mark.parametrize(
    ("condition", "words"),
    [
        ("M0", "a lamp with a filament"),
        ("M1", "as much ultraviolet as D50"),
        ("M2", "without ultraviolet (M2)"),
        ("M3", "without ultraviolet (M3)"),
        (None, "does not state"),
    ],
)
def test_what_a_reading_cannot_tell_of_a_brightener(condition, words):
    white = spectral_reading(BANDS_NM, invented_white(), condition=condition)
    found = tint_under_lights(white)
    assert found.caveat == brightener_caveat(condition) and words in found.caveat
    assert "brightener" in found.caveat and found.condition == condition


# -- where spectra come from


def test_spectra_stay_with_the_reading(bright):
    spectrum = bright.white.spectrum
    assert spectrum.wavelengths_nm == tuple(BANDS_NM)
    assert spectrum.reflectances == pytest.approx(invented_white(), abs=1e-6)  # of two patches
    assert spectrum.condition == "M1"
    assert bright.black.spectrum.reflectances == pytest.approx([0.01] * len(BANDS_NM))
    assert spectral_white(bright) is bright.white is spectral_white(bright.white)
    assert reading(lab=(95, 0, 0), illuminant="D50", observer_deg=2).spectrum is None


def test_a_profile_that_holds_its_readings(bright):
    plain = model_profile((96, 0, -4), 2.0, grid=9)
    assert spectral_white(Paper("Plain", plain)) is None
    assert measuring_condition(Paper("Plain", plain)) is None
    paper = Paper("Kept", with_readings(plain, bright_file()))
    assert paper.white_lab == pytest.approx(Paper("Plain", plain).white_lab)  # a sound profile
    assert measuring_condition(paper) == measuring_condition(bright) == "M1"
    found = tint_under_lights(paper)
    assert found.name == "Kept" and found.under("A") == tint_under_lights(bright).under("A")


@pytest.mark.parametrize(
    "text",
    [
        b"FOGRA39L",  # the name of a registered set, as the tag may hold
        b"CGATS.17\nBEGIN_DATA_FORMAT\nLAB_L LAB_A LAB_B\nEND_DATA_FORMAT\n"
        b"BEGIN_DATA\n95 0 0\nEND_DATA\n",
        bright_file()[:900],
        bytes(range(256)),
    ],
)
def test_a_profile_that_holds_no_spectra(text):
    paper = Paper("Kept", with_readings(model_profile((96, 0, -4), 2.0, grid=9), text))
    assert spectral_white(paper) is None
    with pytest.raises(PaperError, match="no spectrum of “Kept”"):
        tint_under_lights(paper)


# -- what is refused


@pytest.mark.parametrize(
    ("ask", "words"),
    [
        (lambda b: tint_under_lights(b, observer=5), "2 or of 10 degrees, not 5"),
        (
            lambda b: tint_under_lights(b, "candle"),
            "“candle” is not a light .* choose from D50, D65",
        ),
        (lambda b: tint_under_lights(b, ["D50", "LED-B9"]), "“LED-B9” is not a light"),
        (lambda b: tint_under_lights(b, []), "“nothing” is not a light"),
        (
            lambda b: tint_under_lights(
                measured_paper("Typed", (95, 0, -2), illuminant="D50", observer_deg=2)
            ),
            "no spectrum of “Typed”.*read the bare paper",
        ),
        (
            lambda b: tint_under_lights(reading(lab=(95, 0, 0), illuminant="D50", observer_deg=2)),
            "no spectrum of this reading",
        ),
        (lambda b: tint_under_lights(None), "no spectrum of this reading"),
    ],
)
def test_what_has_no_answer_is_told(ask, words, bright):
    with pytest.raises(PaperError, match=words):
        ask(bright)


@pytest.mark.parametrize(
    ("bands", "shares", "words"),
    [
        (np.arange(420, 731, 10), 0.9, "from 400 nm or less to 700 nm or more"),
        (np.arange(380, 691, 10), 0.9, "from 400 nm or less"),
        (np.arange(380, 731, 7), 0.9, "steps of 7 nm"),
        ([380, 390, 410, 730], 0.9, "even steps"),
        (BANDS_NM[::-1], 0.9, "even steps"),
        (BANDS_NM, 90.0, "At 380 nm the spectrum has 90"),
        (BANDS_NM, float("nan"), "At 380 nm the spectrum has nan"),
        (BANDS_NM, -0.5, "which is not a paper's share of light"),
        ([float("nan")] * 36, 0.9, "not all numbers"),
    ],
)
def test_spectra_that_are_none(bands, shares, words):
    with pytest.raises(PaperError, match=words):
        spectral_reading(bands, np.full(len(bands), shares))


def test_spectra_of_another_length_or_kind():
    for shares in (np.ones(35), np.ones((2, 2, 36)), "white", None):
        with pytest.raises(PaperError, match="one share of light for each wavelength"):
            spectral_reading(BANDS_NM, shares)
    with pytest.raises(PaperError, match="“M7” is not a measurement condition"):
        spectral_reading(BANDS_NM, np.ones(36), condition="M7")


def test_a_light_is_worked_out_once(bright, monkeypatch):
    tint_under_lights(bright)
    monkeypatch.setattr(illuminants, "_integrated", None)  # would fail if called
    assert tint_under_lights(bright).tints
