"""Middle tones in their place, against DICOM's greyscale function and hand-worked cases."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

import workbench as wb
from workbench.analysis.glass import hang
from workbench.analysis.screen import screen_match
from workbench.analysis.targets import PROOFING_CD_M2
from workbench.analysis.tones_in_place import MOST_LIGHTER, lighter_by, noticeable_steps
from workbench.colour.lab import luminance_factor
from workbench.rendering import Rendering

PRINT = ((95.0, 0.0, 0.0), (9.0, 0.0, 0.0))


def luminance_of_step(step):
    """DICOM PS3.14 equation 1, the function that the module's is the inverse of; from memory."""
    x = math.log(step)
    up = (-1.3011877, 8.0242636e-2, 1.3646699e-1, -2.5468404e-2, 1.3635334e-3)
    down = (1, -2.5840191e-2, -1.0320229e-1, 2.8745620e-2, -3.1978977e-3, 1.2992634e-4)
    return 10 ** (
        sum(c * x**n for n, c in enumerate(up)) / sum(c * x**n for n, c in enumerate(down))
    )


@pytest.mark.parametrize("step", [1, 30, 100, 300, 600, 900, 1023])
def test_noticeable_steps_invert_the_published_function(step):
    assert noticeable_steps(luminance_of_step(step)) == pytest.approx(step, abs=0.15)
    # the ends of PS3.14's table
    assert luminance_of_step(1) == pytest.approx(0.05, rel=1e-3)
    assert luminance_of_step(1023) == pytest.approx(3993.404, rel=1e-3)


def test_where_prints_are_judged_nothing_is_to_be_made_lighter():
    assert lighter_by(hang(*PRINT, illuminance_lux=500)) == pytest.approx(0, abs=1e-3)
    assert lighter_by(hang(*PRINT, illuminance_lux=2000)) == pytest.approx(0, abs=1e-3)
    assert lighter_by(hang(*PRINT, illuminance_lux=1)) == pytest.approx(MOST_LIGHTER, abs=1e-3)


def test_a_museum_by_hand():
    # 50 lux, no veil: white factor 0.8762 (L* 95).  Where judged: white 139.4 and middle grey
    # (18.42 % of it) 25.69 cd/m², shares by the published function; solved for the same share
    lighter = lighter_by(hang(*PRINT, illuminance_lux=50))
    white = float(luminance_factor(95.0))
    shares = []
    for lux, grey in ((500, 50.0), (50, 50.0 + lighter)):
        steps = [noticeable_steps(lux / math.pi * white * f) for f in (luminance_factor(grey), 1)]
        shares.append(steps[0] / steps[1])
    assert shares[0] == pytest.approx(shares[1], abs=1e-4)
    assert 9 < lighter < 12


@given(st.floats(5, 400), st.floats(1.05, 4))
def test_less_light_asks_for_a_lighter_print(lux, times):
    dim, bright = (lighter_by(hang(*PRINT, illuminance_lux=x)) for x in (lux, lux * times))
    assert dim >= bright - 1e-4


@given(
    st.floats(5, 5000),
    st.sampled_from(["museum", "gallery", "living room", "daylight", "D50"]),
    st.sampled_from([None, "plain"]),
    st.one_of(st.none(), st.floats(20, 1000)),
)
def test_no_screen_is_set_outside_the_proofing_range(lux, light, glass, screen):
    match = screen_match(
        PRINT, illuminance_lux=lux, light=light, glass=glass, screen_luminance_cd_m2=screen
    )
    low, high = PROOFING_CD_M2
    assert low <= match.advised_cd_m2 <= high
    if match.screen_white_luminance_cd_m2 < low - 1:
        assert "set the screen" not in match.sentence
        if abs(match.stops_too_dark or 1) > 0.1:
            assert "make the print for its place" in match.sentence or round(match.lighter_by) == 0


def test_the_plans_light_is_said_in_one_sentence():
    paper = wb.demo_papers()[0]
    there = Rendering(illuminance_lux=100, light="living room", glass="plain")
    match = wb.print_in_place(paper, there)
    assert (
        match.hung
        == screen_match(paper, illuminance_lux=100, light="living room", glass="plain").hung
    )
    said = match.place_sentence
    for part in ("100 lux", "plain glass", f"{match.hung_contrast_ratio:.1f}:1", "26 cd/m²"):
        assert part in said
    assert f"{match.lighter_by:.0f} L* lighter" in said
    # as 0 cd/m² is not known
    assert wb.print_in_place(paper).screen_luminance_cd_m2 is None
