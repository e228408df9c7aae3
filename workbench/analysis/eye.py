"""What an eye can resolve of a print, from Barten's contrast sensitivity function.

Source: P. G. J. Barten, Contrast Sensitivity of the Human Eye and Its Effects on Image
Quality, SPIE Press 1999, as colour-science has it, for an observer of 20 to 30 years with
good vision, both eyes, a field of 60° (Report ITU-R BT.2246) and half of the looks
successful.  The eye is adapted to 32 cd/m²: a grey of 20 % under 500 lux.
"""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np

from workbench.analysis.sheets import MM_PER_INCH, check_unit, positive
from workbench.decisions import FARTHEST_MM, HIGHEST_PPI
from workbench.language import tr

#: In the hand, and at arm's length (common practice, no source).
HAND_MM, ARM_MM = 300.0, 600.0
LUMINANCE_CD_M2 = 32.0
#: Contrast of fine detail for which the eye's limit is stated (our choice: strong for a
#: photograph, whose finest detail lens and sensor have softened).
FINE_CONTRAST = 0.2
_FIELD_DEG = 60.0
# of the eye, and added by each mm of pupil, in degrees: the book's values for good vision
_BLUR = 0.5 / 60, 0.08 / 60
# no eye sees finer, in cycles per degree: cones stand some 120 to the degree (from memory)
_FINEST = 120.0
_MM_PER_DEGREE_AT_1_MM = 2 * math.tan(math.radians(0.5))


def contrast_sensitivity(cycles_per_degree, luminance_cd_m2: float = LUMINANCE_CD_M2):
    """How much contrast the eye can do without: 1 over the least modulation it sees.

    Parameters
    ----------
    cycles_per_degree : above 0; a number or an array.
    luminance_cd_m2 : that the eye is adapted to.

    Returns
    -------
    An array of the same shape, above 0.

    Raises
    ------
    SizeError
        for a luminance that is not above 0.

    Examples
    --------
    >>> from workbench.analysis.eye import contrast_sensitivity
    >>> contrast_sensitivity([4, 40]).round().tolist()
    [538.0, 5.0]
    """
    from colour.contrast import (
        contrast_sensitivity_function_Barten1999,
        pupil_diameter_Barten1999,
        retinal_illuminance_Barten1999,
        sigma_Barten1999,
    )

    luminance = positive(luminance_cd_m2, tr("luminance"), unit="cd/m²", at_most=1e6)
    pupil_mm = pupil_diameter_Barten1999(luminance, _FIELD_DEG, _FIELD_DEG)
    return np.asarray(
        contrast_sensitivity_function_Barten1999(
            np.asarray(cycles_per_degree, float),
            sigma=sigma_Barten1999(*_BLUR, pupil_mm),
            E=retinal_illuminance_Barten1999(luminance, pupil_mm, True),
            X_0=_FIELD_DEG,
        )
    )


@lru_cache(maxsize=64)
def eye_limit_cycles_per_degree(
    contrast: float = FINE_CONTRAST, luminance_cd_m2: float = LUMINANCE_CD_M2
) -> float:
    """The finest pattern of a contrast (modulation, above 0 to 1) that the eye still sees.

    It is where the sensitivity has fallen to 1 over the contrast; 0 for a contrast that is
    too faint at any fineness.  Raises SizeError.

    >>> from workbench.analysis.eye import eye_limit_cycles_per_degree
    >>> round(eye_limit_cycles_per_degree(), 1), round(eye_limit_cycles_per_degree(1.0), 1)
    (39.5, 48.8)
    """
    contrast = positive(contrast, tr("contrast"), unit="", at_most=1)
    fineness = np.geomspace(0.5, _FINEST, 2000)
    # both axes as logarithms, along which the curve is smooth
    above = np.log(contrast_sensitivity(fineness, luminance_cd_m2) * contrast)
    if not (above > 0).any():
        return 0.0
    last = int(np.flatnonzero(above > 0)[-1])
    x, y = np.log(fineness[last : last + 2]), above[last : last + 2]
    return float(np.exp(x[0] + (x[1] - x[0]) * y[0] / (y[0] - y[1])))


def cycles_per_degree(cycles_per_mm, distance_mm: float):
    """Fineness on paper as an eye at a distance has it; a number or an array."""
    return cycles_per_mm * (_MM_PER_DEGREE_AT_1_MM * distance_mm)


def eye_limit_ppi(distance_mm: float, contrast: float = FINE_CONTRAST) -> float:
    """Pixels per inch that hold all that the eye resolves: two for each of the finest cycles.

    Parameters
    ----------
    distance_mm : from the eye to the print.
    contrast : of the detail, above 0 to 1.

    Raises
    ------
    SizeError
        for numbers outside their range.

    Examples
    --------
    >>> from workbench.analysis.eye import eye_limit_ppi
    >>> [round(eye_limit_ppi(distance)) for distance in (300, 600, 2000)]
    [383, 192, 57]
    """
    distance = positive(distance_mm, tr("viewing distance"), unit="mm", at_most=FARTHEST_MM)
    return _ppi_times_mm(contrast) / distance


def sharp_from_mm(ppi: float, contrast: float = FINE_CONTRAST) -> float:
    """The closest distance from which the eye resolves no more than ``ppi`` holds.

    The inverse of `eye_limit_ppi`.  Raises SizeError.
    """
    return _ppi_times_mm(contrast) / positive(
        ppi, tr("resolution"), unit="ppi", at_most=HIGHEST_PPI
    )


def _ppi_times_mm(contrast: float) -> float:
    return 2 * MM_PER_INCH * eye_limit_cycles_per_degree(contrast) / _MM_PER_DEGREE_AT_1_MM


def eye_blur_mm(distance_mm: float, luminance_cd_m2: float = LUMINANCE_CD_M2) -> float:
    """How far an eye spreads light over a print seen from a distance: standard deviation, in mm.

    It is Barten's line spread of optics and retina (1999, equation 3.3, from memory).  Raises
    SizeError.

    >>> from workbench.analysis.eye import eye_blur_mm
    >>> round(eye_blur_mm(600), 3)
    0.097
    """
    from colour.contrast import pupil_diameter_Barten1999, sigma_Barten1999

    distance = positive(distance_mm, tr("viewing distance"), unit="mm", at_most=FARTHEST_MM)
    pupil_mm = pupil_diameter_Barten1999(luminance_cd_m2, _FIELD_DEG, _FIELD_DEG)
    return float(sigma_Barten1999(*_BLUR, pupil_mm)) * _MM_PER_DEGREE_AT_1_MM * distance


def distance_text(distance_mm: float, unit: str = "cm") -> str:
    """A viewing distance in words, rounded up: whole cm, 0.1 m from 1 m on, mm or inches."""
    if check_unit(unit) == "in":
        return tr("{length:,} in", length=math.ceil(distance_mm / MM_PER_INCH - 0.05))
    centimetres = math.ceil(distance_mm / 10 - 0.05)
    if unit == "mm":
        return tr("{length:,} mm", length=centimetres * 10)
    return (
        tr("{length:,g} m", length=math.ceil(centimetres / 10) / 10)
        if centimetres >= 100
        else tr("{length} cm", length=centimetres)
    )
