"""How much of the sharpening is seen: differences whose answer is known, and a real patch."""

from __future__ import annotations

import numpy as np
import pytest
from output.makers import as_picture

import workbench as wb
from workbench.analysis.eye import contrast_sensitivity, cycles_per_degree, eye_blur_mm
from workbench.output.patch import Patch, patch_of
from workbench.output.seen_patch import as_seen, seen_words, sharpening_seen
from workbench.output.sharpen import sharpening_for

PPI = 300


def of_light(light, rows=256):
    """(rows, cols, 3) uint16 sRGB pixels of a row of linear light."""
    light = np.asarray(light)
    code = np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055)
    return np.rint(np.tile(code[None, :, None], (rows, 1, 3)) * 65535).astype(np.uint16)


def planned(pixels, **details):
    picture = as_picture(pixels, "sRGB")
    return wb.Plan(picture=picture, ppi=PPI, printer_ppi=PPI, converts="driver", **details)


@pytest.mark.parametrize("fineness", [0.1, 0.25])
def test_a_difference_has_the_threshold_that_barten_gives(fineness):
    # before: even light; after: a sine wave of 1 % on it
    wave = np.sin(2 * np.pi * fineness * np.arange(256))
    before, after = of_light(np.full(256, 0.3)), of_light(0.3 * (1 + 0.01 * wave))
    patch = Patch((0, 0, 256, 256), before, after, sharpening_for(PPI), 0)
    found = sharpening_seen(planned(before, viewing_distance_mm=900), patch)
    contrast = 0.01 * 0.98 * 0.3 / (0.02 + 0.98 * 0.3)  # the print's black added
    for each in found:
        angular = cycles_per_degree(fineness * PPI / 25.4, each.distance_mm)
        expected = contrast * float(contrast_sensitivity(angular))
        if expected < 0.7:
            assert each.times_threshold < 1 and each.share_seen < 0.05
        else:
            # a bin is an eighth of an octave wide on either side, on a steep slope
            assert each.times_threshold == pytest.approx(expected, rel=0.4)
            assert each.share_seen > 0.5 or each.times_threshold < 1.2


def test_a_patch_is_seen_less_from_farther_away():
    plan = wb.Plan(picture=wb.demo_picture(), paper=wb.demo_papers()[0], sharpening=1.0)
    patch = patch_of(plan, size_px=(256, 256))
    hand, arm, room = sharpening_seen(plan, patch)
    assert 1 >= hand.share_seen > arm.share_seen > room.share_seen
    assert hand.times_threshold > 1 > sharpening_seen(
        plan.copy(viewing_distance_mm=50_000), patch
    )[2].times_threshold  # fmt: skip
    assert "in the hand (30 cm)" in seen_words((hand, arm, room))


def test_without_sharpening_there_is_nothing_to_see():
    plan = wb.Plan(picture=wb.demo_picture(), paper=wb.demo_papers()[0], sharpening=None)
    found = sharpening_seen(plan, patch_of(plan, size_px=(100, 80)))
    assert [each.times_threshold for each in found] == [0, 0, 0] and seen_words(found) == ""
    assert sharpening_seen(plan, patch_of(plan, size_px=(5, 5)))[0].share_seen == 0


@pytest.mark.parametrize("distance_mm", [300, 600, 2000])
def test_an_eye_s_blur_keeps_of_a_wave_what_optics_keep(distance_mm):
    fineness = 0.05
    wave = np.sin(2 * np.pi * fineness * np.arange(256))
    pixels = of_light(0.3 * (1 + 0.4 * wave))
    seen = as_seen(planned(pixels), pixels, distance_mm)
    spread_px = eye_blur_mm(distance_mm) / 25.4 * PPI
    # a Gaussian of deviation s passes exp(-2 (pi s f)^2), in linear light
    kept = np.exp(-2 * (np.pi * spread_px * fineness) ** 2)
    code = seen[128, 64:-64, 1] / 65535
    light = ((code + 0.055) / 1.055) ** 2.4
    turns = np.exp(-2j * np.pi * fineness * np.arange(64, 192))[:120]  # six whole cycles
    modulation = 2 * abs((light[:120] - light[:120].mean()) @ turns) / 120 / 0.3
    assert modulation == pytest.approx(0.4 * kept, abs=0.004)
    # from an even field it takes nothing
    even = of_light(np.full(64, 0.3), 64)
    assert np.abs(as_seen(planned(even), even, distance_mm).astype(int) - even).max() <= 2


def test_the_eye_s_blur_by_hand():
    # Barten: 0.5′ of the eye, 0.08′ for each mm of a pupil of 3.1 mm: 0.56′, at 600 mm 0.0975 mm
    minutes = np.hypot(0.5, 0.08 * 3.107)
    assert eye_blur_mm(600) == pytest.approx(600 * np.radians(minutes / 60), rel=1e-3)
