"""What an eye resolves, against Barten's published formulas."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from workbench.analysis.eye import (
    contrast_sensitivity,
    cycles_per_degree,
    distance_text,
    eye_limit_cycles_per_degree,
    eye_limit_ppi,
    sharp_from_mm,
)
from workbench.errors import SizeError

FINENESS = np.geomspace(1, 50, 40)


def by_hand(u, luminance, field=60.0):
    """Barten's full formula, written out anew.

    P. G. J. Barten, Contrast Sensitivity of the Human Eye, SPIE 1999, equations 3.25 to 3.27
    with the constants of its table 3.1 (from memory).
    """
    pupil = 5 - 3 * math.tanh(0.4 * math.log10(luminance * field**2 / 40**2))
    blur = math.hypot(0.5 / 60, 0.08 / 60 * pupil)  # degrees
    trolands = math.pi / 4 * pupil**2 * luminance
    trolands *= 1 - (pupil / 9.7) ** 2 + (pupil / 12.4) ** 4
    optics = np.exp(-2 * (np.pi * blur * u) ** 2)
    area = 1 / field**2 + 1 / 12**2 + u**2 / 15**2
    photons = 1 / (0.03 * 1.2274e6 * trolands)
    neural = 3e-8 / (1 - np.exp(-((u / 7) ** 2)))
    return optics / 3 / np.sqrt(2 / 0.1 * area * (photons + neural))


@pytest.mark.parametrize("luminance", [3, 32, 300])
def test_the_sensitivity_is_bartens(luminance):
    ours = contrast_sensitivity(FINENESS, luminance)
    assert ours == pytest.approx(by_hand(FINENESS, luminance), rel=1e-6)


@pytest.mark.parametrize("luminance", [10, 32, 100])
def test_it_agrees_with_bartens_short_formula(luminance):
    # P. G. J. Barten, Formula for the contrast sensitivity of the human eye, Proc. SPIE 5294
    # (2004), the equation for common use; a fit, good to a tenth or two where the eye still
    # sees something (from memory)
    u, field = FINENESS[FINENESS < 40], 60
    short = 5200 * np.exp(-0.0016 * u**2 * (1 + 100 / luminance) ** 0.08)
    short /= np.sqrt(
        (1 + 144 / field**2 + 0.64 * u**2) * (63 / luminance**0.83 + 1 / (1 - np.exp(-0.02 * u**2)))
    )
    assert contrast_sensitivity(u, luminance) == pytest.approx(short, rel=0.2)


def test_peak_and_limit_lie_where_the_literature_has_them():
    # the peak between 1 and 10 cycles per degree (Barten 1999); the finest lines of full
    # contrast at 40 to 60, which is 20/15 to 20/10 (common knowledge of acuity charts)
    fine = np.geomspace(0.2, 60, 500)
    curve = contrast_sensitivity(fine)
    assert 1 < fine[curve.argmax()] < 10 and 200 < curve.max() < 1000
    assert 40 < eye_limit_cycles_per_degree(1.0) < 60
    # fainter detail has to be coarser, and so has detail in less light
    limits = [eye_limit_cycles_per_degree(c) for c in (1.0, 0.2, 0.05, 0.01)]
    assert limits == sorted(limits, reverse=True)
    assert eye_limit_cycles_per_degree(0.2, 3.0) < eye_limit_cycles_per_degree(0.2, 300.0)
    assert eye_limit_cycles_per_degree(1e-4) == 0


@pytest.mark.parametrize("contrast", [1.0, 0.2, 0.03])
def test_at_the_limit_the_threshold_is_the_contrast(contrast):
    limit = eye_limit_cycles_per_degree(contrast)
    assert contrast_sensitivity(limit) == pytest.approx(1 / contrast, rel=1e-3)


def test_a_distance_by_hand():
    # at 573 mm a degree is 10 mm: 39.5 cycles on 10 mm are 7.9 pixels to the mm, 200.7 to the inch
    distance = 10 / (2 * math.tan(math.radians(0.5)))
    assert cycles_per_degree(3.95, distance) == pytest.approx(39.5)
    assert eye_limit_ppi(distance) == pytest.approx(7.9 * 25.4, rel=2e-3)


@given(st.floats(50, 50_000), st.floats(0.05, 1))
def test_distance_and_ppi_are_inverse(distance_mm, contrast):
    ppi = eye_limit_ppi(distance_mm, contrast)
    assert sharp_from_mm(ppi, contrast) == pytest.approx(distance_mm)
    assert eye_limit_ppi(2 * distance_mm, contrast) == pytest.approx(ppi / 2)


@pytest.mark.parametrize("wrong", [0, -1, float("nan"), "far", 1e9])
def test_senseless_numbers_are_refused(wrong):
    for function in (eye_limit_ppi, sharp_from_mm):
        with pytest.raises(SizeError):
            function(wrong)
    with pytest.raises(SizeError, match="contrast"):
        eye_limit_ppi(300, wrong)


def test_distances_in_words_are_never_too_near():
    assert [distance_text(mm) for mm in (300, 301, 1000, 1640)] == [
        "30 cm",
        "31 cm",
        "1 m",
        "1.7 m",
    ]
    assert distance_text(600, "in") == "24 in" and distance_text(1234, "mm") == "1,240 mm"
