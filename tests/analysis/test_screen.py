"""Screen and print beside each other, against Lambert's law and published reference prints."""

import math
from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

import workbench as wb
from workbench.analysis.glass import GLASSES
from workbench.analysis.light import ILLUMINANTS, PLACES
from workbench.analysis.screen import (
    illuminance_lux_for,
    paper_luminance_cd_m2,
    screen_match,
    white_point_xy,
)
from workbench.colour.lab import lab_to_xyz, lightness_of_density, luminance_factor

PAIR = ((95.0, 0.0, -2.0), (9.0, 0.0, 0.0))


def grey(factor):
    """Neutral Lab of a luminance factor."""
    return (float(lightness_of_density(-math.log10(factor))), 0.0, 0.0)


# L = E·ρ/π; the sums as in ISO 22028-2's reference print and ISO 3664's illuminances
@pytest.mark.parametrize(
    ("lux", "factor", "luminance"),
    [(500, 1.0, 159.15), (500, 0.89, 141.65), (2000, 0.89, 566.6), (285.6, 0.88, 80.0)],
)
def test_luminance_of_paper(lux, factor, luminance):
    assert paper_luminance_cd_m2(lux, factor) == pytest.approx(luminance, abs=0.05)
    assert illuminance_lux_for(luminance, factor) == pytest.approx(lux, rel=5e-4)
    match = screen_match((grey(factor), grey(0.01)), illuminance_lux=lux)
    assert match.paper_luminance_cd_m2 == pytest.approx(luminance, abs=0.05)
    assert match.screen_white_luminance_cd_m2 == pytest.approx(luminance, abs=0.05)


def test_reference_print_of_iso_22028_2():
    # the registry's ROMM RGB: 503 lux, white 142, black 0.5 cd/m²; reference medium 89 %,
    # 0.30911 %, 288:1 (ICC.1, perceptual reference medium)
    match = screen_match((grey(0.89), grey(0.0030911)), illuminance_lux=503)
    assert match.screen_white_luminance_cd_m2 == pytest.approx(142, abs=1)
    assert match.screen_black_luminance_cd_m2 == pytest.approx(0.5, abs=0.01)
    assert match.print_contrast_ratio == pytest.approx(288, abs=0.5)
    assert match.matching_screen_contrast == pytest.approx(288, abs=0.5)
    beside = {b.target.name: b for b in match.targets}
    assert abs(beside["ISO 22028-2 reference print"].stops) < 0.01


def test_the_other_way_round():
    match = screen_match((grey(0.88), grey(0.01)), screen_luminance_cd_m2=80)
    assert match.matching_illuminance_lux == pytest.approx(285.6, abs=0.1)
    assert match.illuminance_lux == match.matching_illuminance_lux
    assert not match.illuminance_given
    assert match.stops_too_dark is None
    assert "80 cd/m² in 286 lux of D50 light" in match.sentence


@given(
    st.floats(10, 5000),
    st.sampled_from([None, *GLASSES]),
    st.sampled_from([*PLACES, "D50", 3000, "ISO 3664 P2"]),
    st.sampled_from(["gloss", "satin", "matte"]),
)
def test_round_trip(lux, glass, light, finish):
    around = {"glass": glass, "light": light, "finish": finish}
    there = screen_match(PAIR, illuminance_lux=lux, **around)
    screen = there.screen_white_luminance_cd_m2
    back = screen_match(PAIR, screen_luminance_cd_m2=screen, **around)
    assert back.matching_illuminance_lux == pytest.approx(lux)
    both = screen_match(PAIR, illuminance_lux=lux, screen_luminance_cd_m2=screen, **around)
    assert both.stops_too_dark == pytest.approx(0, abs=1e-9)
    assert "as bright as" in both.sentence


@given(st.floats(10, 1000), st.floats(0, 100))
def test_round_trip_with_a_measured_room(lux, room):
    around = {"glass": "plain", "finish": "gloss", "room_luminance_cd_m2": room}
    there = screen_match(PAIR, illuminance_lux=lux, **around)
    back = screen_match(PAIR, screen_luminance_cd_m2=there.screen_white_luminance_cd_m2, **around)
    assert back.illuminance_lux == pytest.approx(lux, rel=1e-6)
    assert back.hung_contrast_ratio == pytest.approx(there.hung_contrast_ratio, rel=1e-6)


@given(st.floats(1, 5000), st.floats(1.01, 10), st.sampled_from([None, *GLASSES]))
def test_more_light_is_brighter(lux, times, glass):
    dim = screen_match(PAIR, illuminance_lux=lux, glass=glass)
    bright = screen_match(PAIR, illuminance_lux=lux * times, glass=glass)
    assert bright.screen_white_luminance_cd_m2 == pytest.approx(
        times * dim.screen_white_luminance_cd_m2
    )
    assert bright.hung_contrast_ratio == pytest.approx(dim.hung_contrast_ratio)


@given(
    st.floats(40, 100),
    st.floats(1, 35),
    st.sampled_from([*PLACES, "D65", "ISO 3664 P1"]),
    st.sampled_from([None, *GLASSES]),
    st.sampled_from(["gloss", "satin", "matte"]),
)
def test_hung_contrast_is_never_above_the_measured(white, black, light, glass, finish):
    match = screen_match(
        ((white, 0, 0), (black, 0, 0)),
        illuminance_lux=300,
        light=light,
        glass=glass,
        finish=finish,
    )
    assert 1 < match.hung_contrast_ratio <= match.print_contrast_ratio * (1 + 1e-9)
    bare = screen_match(
        ((white, 0, 0), (black, 0, 0)), illuminance_lux=300, light=light, finish=finish
    )
    assert match.hung_contrast_ratio <= bare.hung_contrast_ratio * (1 + 1e-9)


def test_half_the_light_is_one_stop_too_dark():
    matching = screen_match(PAIR, screen_luminance_cd_m2=120).matching_illuminance_lux
    dim = screen_match(PAIR, screen_luminance_cd_m2=120, illuminance_lux=matching / 2)
    bright = screen_match(PAIR, screen_luminance_cd_m2=120, illuminance_lux=matching * 4)
    assert dim.stops_too_dark == pytest.approx(1)
    assert "1.0 stop darker than the screen at 120 cd/m²" in dim.sentence
    assert bright.stops_too_dark == pytest.approx(-2)
    assert "2.0 stops brighter" in bright.sentence
    assert dim.matching_illuminance_lux == pytest.approx(matching)


def test_white_point_of_a_perfect_sheet_is_the_lights():
    for name in ("A", "D50", "D65", "FL11", "LED-B3"):
        xy = white_point_xy((100, 0, 0), name)
        assert xy == pytest.approx(ILLUMINANTS[name], abs=5e-5)


@pytest.mark.parametrize("light", ["A", "D65", "LED-B2"])
@pytest.mark.parametrize("white", [(95, 0.5, -6), (94, 1, 4)])
def test_white_point_against_colour_science(light, white):
    import colour

    xyz = colour.adaptation.chromatic_adaptation_VonKries(
        lab_to_xyz(white),
        np.array([0.9642, 1.0, 0.8249]),
        colour.xy_to_XYZ(ILLUMINANTS[light]),
        transform="Bradford",
    )
    assert white_point_xy(white, light) == pytest.approx(tuple(colour.XYZ_to_xy(xyz)), abs=1e-6)


def test_white_point_leans_with_the_paper():
    cool = screen_match(((95, 0, -8), PAIR[1]), illuminance_lux=500)
    plain = screen_match(((95, 0, 0), PAIR[1]), illuminance_lux=500)
    warm = screen_match(((95, 0, 5), PAIR[1]), illuminance_lux=500)
    assert cool.white_cct_k > plain.white_cct_k > warm.white_cct_k
    # McCamy for D50
    assert plain.white_cct_k == pytest.approx(5002, abs=2)
    assert "an estimate" in plain.white_sentence
    tinted = screen_match(((95, -8, 4), PAIR[1]), illuminance_lux=500)
    assert "greener than daylight" in tinted.white_sentence


def test_a_place_brings_its_own_lux_and_room():
    match = screen_match(PAIR, light="living room", glass="plain", screen_luminance_cd_m2=120)
    place = PLACES["living room"]
    assert match.illuminance_lux == place.illuminance_lux
    assert match.illuminance_given
    assert match.stops_too_dark > 1
    assert match.hung.room_luminance_cd_m2 == pytest.approx(
        place.room_share * place.illuminance_lux / math.pi
    )
    own = screen_match(PAIR, light="living room", illuminance_lux=70, room_share=0.1)
    assert own.illuminance_lux == 70
    assert own.hung.room_luminance_cd_m2 == pytest.approx(7 / math.pi)


def test_behind_glass_an_unknown_room_is_assumed_and_said():
    match = screen_match(PAIR, illuminance_lux=300, glass="plain")
    assert match.hung_contrast_ratio < match.print_contrast_ratio / 2
    assert any("25%" in note for note in match.notes)
    booth = screen_match(PAIR, light="ISO 3664 P2", glass="plain")
    assert booth.hung_contrast_ratio == pytest.approx(booth.print_contrast_ratio)
    assert booth.screen_white_luminance_cd_m2 < booth.paper_luminance_cd_m2


def test_contrast_beside_the_screens():
    def said(contrast):
        return screen_match(
            PAIR, illuminance_lux=500, screen_contrast_ratio=contrast
        ).contrast_sentence

    measured = float(luminance_factor(95.0) / luminance_factor(9.0))
    assert f"{4:.1f} stops deeper" in said(measured * 16)
    assert "cannot show" in said(20)
    assert "matches it" in said(measured)
    framed = screen_match(PAIR, light="gallery", glass="plain").contrast_sentence
    assert "behind plain glass" in framed and "stops less" in framed


def test_targets_beside_are_all_there_and_measured_in_stops():
    match = screen_match((grey(0.89), grey(0.01)), illuminance_lux=500)
    beside = {b.target.name: b for b in match.targets}
    assert beside["ISO 3664 P2"].luminance_cd_m2 == pytest.approx((106.2, 177.1), abs=0.1)
    assert beside["ISO 3664 P2"].stops == 0
    assert beside["ISO 3664, screen beside a P2 print"].stops == pytest.approx(
        math.log2(141.65 / 160), abs=1e-3
    )
    assert beside["sRGB reference screen"].stops == pytest.approx(math.log2(141.65 / 80), abs=1e-3)
    assert beside["ISO 14861"].stops is None
    assert "at least 160 cd/m²" in beside["ISO 3664, screen beside a P2 print"].sentence
    for b in match.targets:
        assert b.target.purpose in b.sentence


def test_brightened_paper_behind_uv_filtering_glass():
    bluish = ((96.0, 1.0, -7.0), PAIR[1])
    around = {"illuminance_lux": 200, "glass": "UV-filtering"}
    assert any("brightener" in note for note in screen_match(bluish, **around).notes)
    assert not any("brightener" in note for note in screen_match(PAIR, **around).notes)
    assert not any(
        "brightener" in note
        for note in screen_match(bluish, illuminance_lux=200, glass="plain").notes
    )
    measured = screen_match(bluish, white_lab_uv_cut=(95.0, 0.5, 1.0), **around)
    assert measured.white_cct_k < screen_match(bluish, **around).white_cct_k
    assert any("ΔE2000" in note for note in measured.notes)


def test_caution_in_bright_light_only():
    assert screen_match(PAIR, light="museum").caution is None
    bright = screen_match(PAIR, light="daylight")
    assert "conservator" in bright.caution
    assert bright.caution == bright.sentences[-1]


def test_warm_light_says_when_the_white_point_matters():
    assert any("side by side" in note for note in screen_match(PAIR, light="gallery").notes)
    assert not any("side by side" in n for n in screen_match(PAIR, light="ISO 3664 P2").notes)


def test_a_paper_object_brings_white_black_and_finish():
    paper = SimpleNamespace(
        white_lab=PAIR[0], black_lab=PAIR[1], finish="gloss", white_is_known=True
    )
    match = screen_match(paper, light="gallery")
    as_pair = screen_match(PAIR, light="gallery", finish="gloss")
    assert match.hung == as_pair.hung
    assert match.hung_contrast_ratio < match.print_contrast_ratio
    odd = screen_match(SimpleNamespace(**{**vars(paper), "finish": "pearl"}), light="gallery")
    assert any("finish is not known" in note for note in odd.notes)
    untold = SimpleNamespace(**{**vars(paper), "white_is_known": False})
    assert any("perfect white" in note for note in screen_match(untold, light="gallery").notes)


def test_public_name_and_a_real_profile():
    paper = wb.open_paper(
        wb.model_profile((95.0, 0.0, -2.0), 2.0, finish="gloss"), name="Invented", finish="gloss"
    )
    match = wb.screen_match(paper, illuminance_lux=500)
    factor = float(luminance_factor(paper.white_lab[0]))
    assert match.screen_white_luminance_cd_m2 == pytest.approx(500 * factor / math.pi)
    assert match.print_contrast_ratio == pytest.approx(paper.contrast_ratio, rel=1e-6)


def test_a_room_brighter_than_the_screen():
    around = {"glass": "plain", "room_luminance_cd_m2": 2000}
    with pytest.raises(wb.WorkbenchError, match="Dim the room"):
        screen_match(PAIR, screen_luminance_cd_m2=100, **around)
    both = screen_match(PAIR, screen_luminance_cd_m2=100, illuminance_lux=100, **around)
    assert both.matching_illuminance_lux is None
    assert "brighter" in both.sentence and "view the print" not in both.sentence


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({}, "Give the illuminance"),
        ({"illuminance_lux": -500}, "illuminance"),
        ({"illuminance_lux": 0}, "illuminance"),
        ({"illuminance_lux": float("nan")}, "illuminance"),
        ({"illuminance_lux": "bright"}, "must be a number"),
        ({"screen_luminance_cd_m2": -80}, "screen luminance"),
        ({"screen_luminance_cd_m2": 1e5}, "screen luminance"),
        ({"illuminance_lux": 500, "light": "moon"}, "moon"),
        ({"illuminance_lux": 500, "light": 100}, "colour temperature"),
        ({"illuminance_lux": 500, "glass": "ice"}, "ice"),
        ({"illuminance_lux": 500, "finish": "velvet"}, "velvet"),
        ({"illuminance_lux": 500, "screen_contrast_ratio": 0.5}, "contrast ratio"),
        ({"illuminance_lux": 500, "room_share": -1}, "share"),
        ({"illuminance_lux": 500, "room_luminance_cd_m2": -1}, "room"),
        ({"illuminance_lux": 500, "room_share": 0.1, "room_luminance_cd_m2": 1}, "not both"),
        ({"illuminance_lux": 500, "picture_reflectance": 2}, "reflectance"),
    ],
)
def test_impossible_values_end_in_a_sentence(wrong, said):
    with pytest.raises(wb.WorkbenchError, match=said) as caught:
        screen_match(PAIR, **wrong)
    assert not isinstance(caught.value, wb.SizeError)


@pytest.mark.parametrize(
    "paper", [None, 5, (PAIR[0],), ((9, 0, 0), (95, 0, 0)), ("white", "black")]
)
def test_things_that_are_no_paper(paper):
    with pytest.raises(wb.WorkbenchError):
        screen_match(paper, illuminance_lux=500)


@given(st.floats(20, 100), st.floats(0, 99), st.floats(1, 1e4))
def test_a_screen_alone_always_answers_or_says_why(white, black, screen):
    assume(black < white - 1)
    try:
        match = screen_match(((white, 0, 0), (black, 0, 0)), screen_luminance_cd_m2=screen)
    except wb.WorkbenchError as problem:
        assert "lux" in str(problem)
        return
    assert match.screen_white_luminance_cd_m2 == pytest.approx(screen)
    assert all(sentence.endswith(".") for sentence in match.sentences)
