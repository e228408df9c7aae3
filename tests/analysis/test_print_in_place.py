"""The screen stays where screens are proofed at, and the print is made for its place."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import workbench as wb
from workbench.analysis.place import JUDGED, Place, place_of
from workbench.analysis.place_tones import middle_lighter
from workbench.analysis.screen import screen_match
from workbench.analysis.targets import PROOFING_CD_M2
from workbench.rendering import Rendering

PRINT = ((95.0, 0.0, 0.0), (9.0, 0.0, 0.0))


@given(
    st.floats(5, 5000),
    st.sampled_from(["museum", "gallery", "living room", "daylight", "D50"]),
    st.sampled_from([None, "plain"]),
    st.one_of(st.none(), st.floats(20, 1000)),
)
@settings(max_examples=40, deadline=None)
def test_no_screen_is_set_outside_the_proofing_range(lux, light, glass, screen):
    match = screen_match(
        PRINT, illuminance_lux=lux, light=light, glass=glass, screen_luminance_cd_m2=screen
    )
    low, high = PROOFING_CD_M2
    assert low <= match.advised_cd_m2 <= high
    if match.screen_white_luminance_cd_m2 < low - 1:
        assert "set the screen" not in match.sentence
        if abs(match.stops_too_dark or 1) > 0.1:
            assert "make the print for its place" in match.sentence


def test_how_much_lighter_is_what_print_for_place_proposes():
    picture, paper = wb.demo_picture(), wb.demo_papers()[0]
    match = screen_match(paper, illuminance_lux=50, light="museum", glass="plain")
    proposed = wb.print_for_place(
        picture, paper, Place("museum", 50, glass="plain"), long_side_px=16
    )
    assert f"Middle greys {match.lighter_by:.1f} L* lighter" in proposed.proposal
    assert f"about {match.lighter_by:.0f} L* lighter" in match.sentence
    # a print is judged where it is judged
    assert middle_lighter(*PRINT, JUDGED) == pytest.approx(0, abs=1e-9)


@pytest.mark.parametrize(
    "there",
    [
        {"glass": "plain"},  # nobody has said what it mirrors
        {"glass": "plain", "room_share": 0.4, "wall_reflectance": 0.9},
        {"light": "gallery", "wall_reflectance": 0.9},
        {"glass": "acrylic", "wall_reflectance": 0.1},
        {"illuminance_lux": 200_000},  # the most that a plan takes
    ],
)
def test_screen_and_place_answer_alike_for_a_plan(there):
    """Also where a paper's finish was typed freely, and where nobody has said what is mirrored."""
    paper = wb.demo_papers()[0].with_details(finish="Gloss ")
    plan = wb.Plan(
        picture=wb.demo_picture(), paper=paper, **{"illuminance_lux": 60, "light": "3000 K"} | there
    )
    match, place = wb.print_in_place(paper, plan.rendering), place_of(plan)
    mirrored = match.hung.room_luminance_cd_m2 * math.pi / plan.illuminance_lux
    assert place.veil_share == pytest.approx(mirrored)
    found = wb.print_for_place(plan, place=place, long_side_px=16)
    assert match.lighter_by == pytest.approx(found.middle_lift, abs=1e-6)
    assert match.lighter_by > 0.5


def test_the_plans_light_is_said_in_one_sentence():
    paper = wb.demo_papers()[0]
    there = Rendering(illuminance_lux=100, light="living room", glass="plain")
    match = wb.print_in_place(paper, there)
    asked = screen_match(paper, illuminance_lux=100, light="living room", glass="plain")
    assert match.hung == asked.hung
    for part in ("100 lux", "plain glass", f"{match.hung_contrast_ratio:.1f}:1", "26 cd/m²"):
        assert part in match.place_sentence
    # as 0 cd/m² is not known
    assert wb.print_in_place(paper).screen_luminance_cd_m2 is None
