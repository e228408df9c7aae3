"""How sure the figures of a comparison are, and which of them are the best within that."""

from __future__ import annotations

import math

from workbench.analysis.counts import STEP
from workbench.analysis.printed_black import MISSED_DENSITY
from workbench.colour.lab import luminance_factor

# L*, or units of a*b*: what two instruments, or two sheets of a batch, differ by, and what is
# typed is rounded to (common practice, no source)
READ = 0.5
# share of a picture by which an estimate from groups of colours may miss every pixel's count
QUICK_SHARE = 0.005
# what a price is rounded by
CENT = 0.005


def share_doubt(report) -> float:
    """Of the share out of gamut: how it moves with the limit by the profile's noise floor.

    Half of what lies within the noise floor of the limit on either side, and the count's error.
    """
    low = max(report.limit - report.noise_floor, 0.0)
    first, last = (round(at / STEP) for at in (low, report.limit + report.noise_floor))
    near = float(report.distribution[first:last].sum()) / 2
    return min(near, report.share_outside) + (0.0 if report.exact else QUICK_SHARE)


def volume_doubt(volume: float) -> float:
    """Of a gamut volume whose surface lies `READ` further out or in, taken for a ball."""
    radius = (3 * volume / (4 * math.pi)) ** (1 / 3)
    return 4 * math.pi * radius**2 * READ


def contrast_doubt(hung, black_lab) -> float:
    """Of the contrast in its place, where the black lies `READ` lower or higher in L*.

    And half of what an eye needs to tell two blacks side by side, `MISSED_DENSITY`, so that two
    contrasts count as alike where their blacks look alike.
    """
    at, up = (float(luminance_factor(black_lab[0] + change)) for change in (0.0, READ))
    seen = hung.black_luminance_cd_m2 * math.pi / hung.illuminance_lux
    told = 10 ** (MISSED_DENSITY / 2) - 1
    return hung.contrast_ratio * (hung.signal * (up - at) / seen + told)


def mark_doubt(mark, value: float, doubt: float) -> float:
    """The most that a mark moves where its figure is moved by its doubt either way."""
    return max(abs(mark(value + way * doubt) - mark(value)) for way in (-1, 1))


def best_of(values, doubts, better: int) -> frozenset[int]:
    """The numbers of the best values, with all that cannot be told from the best.

    Parameters
    ----------
    values : figures, None where unknown.
    doubts : of each; two are the same where they differ by no more than theirs together.
    better : 1 where more is better, −1 where less is.

    Returns
    -------
    Empty where fewer than two are known.

    >>> sorted(best_of([16.4, 15.9, 9.0], [0.4, 0.4, 0.4], 1))
    [0, 1]
    """
    known = [n for n, value in enumerate(values) if value is not None]
    if len(known) < 2:
        return frozenset()
    first = max(known, key=lambda n: better * values[n])
    return frozenset(
        n for n in known if abs(values[first] - values[n]) <= doubts[first] + doubts[n] + 1e-12
    )
