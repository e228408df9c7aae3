"""What an eye can resolve of a print, and from where people look at one."""

from __future__ import annotations

import math

from workbench.analysis.sheets import MM_PER_INCH, check_unit, positive
from workbench.decisions import FARTHEST_MM, HIGHEST_PPI

# What a person views a print from, in diagonals (common practice, no source).
_DIAGONALS = (1.5, 2.0)


def _ppi_times_mm(acuity_arcmin: float) -> float:
    acuity = positive(acuity_arcmin, "eye's acuity", unit="arc-minutes", at_most=60)
    return MM_PER_INCH / (2 * math.tan(math.radians(acuity / 60) / 2))


def resolvable_ppi(distance_mm: float, acuity_arcmin: float = 1.0) -> float:
    """Finest ppi an eye resolves from ``distance_mm``: 1 / (2 d tan(a / 2)), d in inches.

    ``acuity_arcmin`` is the angle one pixel spans at that limit, 1 arc-minute for
    normal sight (20/20).  At 12 in this is 286.5 ppi.  Raises SizeError.
    """
    distance = positive(distance_mm, "viewing distance", unit="mm", at_most=FARTHEST_MM)
    return _ppi_times_mm(acuity_arcmin) / distance


def viewing_distance_mm_for(ppi: float, acuity_arcmin: float = 1.0) -> float:
    """Closest distance in mm from which ``ppi`` looks continuous; the inverse of resolvable_ppi."""
    ppi = positive(ppi, "resolution", unit="ppi", at_most=HIGHEST_PPI)
    return _ppi_times_mm(acuity_arcmin) / ppi


def viewing_range_mm(width_mm: float, height_mm: float) -> tuple[float, float]:
    """Usual viewing distances in mm: 1.5 to 2 times the diagonal (common practice, no source)."""
    diagonal = math.hypot(width_mm, height_mm)
    return _DIAGONALS[0] * diagonal, _DIAGONALS[1] * diagonal


def distance_text(distance_mm: float, unit: str = "cm") -> str:
    """A viewing distance in words, rounded up to whole cm or inches ("cm", "mm" or "in")."""
    if check_unit(unit) == "in":
        return f"{math.ceil(distance_mm / MM_PER_INCH - 0.05):,} in"
    centimetres = math.ceil(distance_mm / 10 - 0.05)
    return f"{centimetres * 10:,} mm" if unit == "mm" else f"{centimetres:,} cm"
