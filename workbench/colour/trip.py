"""The trip of colours from a picture through a paper's tables and back to Lab.

The one place that says what a paper makes of colours; every analysis starts here.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cached_property, lru_cache

import numpy as np

from workbench.colour.difference import delta_e_2000
from workbench.colour.engine import check_intent, quick_lab, transform
from workbench.colour.lab import D50_XYZ, scale_light
from workbench.colour.profile import CHANNELS, read_profile


@dataclass(frozen=True, eq=False)
class Trip:
    """Where colours start, where the print has them, and the nearest the paper comes to them.

    Attributes
    ----------
    source : (..., 3) Lab of the picture's colours, media-relative.
    printed : (..., 3) Lab of the print, media-relative; absolute for the intent "absolute".
    """

    source: np.ndarray = field(repr=False)
    printed: np.ndarray = field(repr=False)
    _held: Callable[[], np.ndarray] = field(repr=False)

    @cached_property
    def held(self) -> np.ndarray:
        """(..., 3) media-relative Lab that the paper's colorimetric table comes to.

        A fact of colours and paper, whatever the intent and black point compensation.
        """
        return self._held()

    @cached_property
    def moved(self) -> np.ndarray:
        """CIEDE2000 from the picture to the print."""
        return delta_e_2000(self.source, self.printed)

    @cached_property
    def beyond(self) -> np.ndarray:
        """CIEDE2000 from the picture to what the paper holds: large where it cannot."""
        return delta_e_2000(self.source, self.held)


def white_xyz(paper: bytes) -> np.ndarray:
    """The paper's white as its profile states it; the PCS white if it states none."""
    stated = read_profile(paper).xyz("wtpt")
    return np.array(stated) if stated else D50_XYZ


def printed_lab(
    pixels, source: bytes | str, paper: bytes, intent: str, black_point_compensation: bool
) -> np.ndarray:
    """Media-relative Lab of the print of ``pixels`` (float: exact; integer: fast tables).

    ``source`` is the profile of their space, or "lab".
    """
    forward = "relative" if intent == "absolute" else intent
    fast = np.asarray(pixels).dtype.kind == "u"
    if intent == "absolute":
        device = transform(pixels, source, paper, intent="absolute")
    else:
        device = transform(
            pixels,
            source,
            paper,
            intent=forward,
            black_point_compensation=black_point_compensation,
        )
    return _to_lab(device, paper, fast)


def _to_lab(device, profile: bytes, fast: bool) -> np.ndarray:
    if fast:
        return quick_lab(device, profile)
    return transform(device, profile, "lab")


def trip(pixels, source: bytes, paper: bytes, intent: str, black_point_compensation: bool) -> Trip:
    """Send picture colours to a paper and look at what arrives.

    Parameters
    ----------
    pixels : (..., channels) picture colours; floats 0..1 are evaluated exactly, uint16
        and uint8 through the engine's fast tables (median error below 0.05 CIEDE2000).
    source, paper : profile bytes of the picture's space and of the paper.
    intent : "perceptual", "relative", "saturation" or "absolute".
    """
    check_intent(intent)
    pixels = np.asarray(pixels)
    fast = pixels.dtype.kind == "u"
    start = _to_lab(pixels, source, fast)
    printed = printed_lab(pixels, source, paper, intent, black_point_compensation)
    if intent == "relative" and not black_point_compensation:
        return Trip(start, printed, lambda: printed)
    if intent == "absolute":
        printed = scale_light(printed, white_xyz(paper) / D50_XYZ)
    return Trip(start, printed, lambda: printed_lab(pixels, source, paper, "relative", False))


def relative_print(journey: Trip, paper: bytes, intent: str) -> np.ndarray:
    """Media-relative Lab of a trip's print; the prints of one intent are absolute."""
    return relative_lab(journey.printed, paper, intent)


def relative_lab(printed: np.ndarray, paper: bytes, intent: str) -> np.ndarray:
    """Lab of a print as `printed_lab` gives it, media-relative for every intent."""
    if intent != "absolute":
        return printed
    return scale_light(printed, D50_XYZ / white_xyz(paper))


@lru_cache(maxsize=128)
def noise_floor(paper: bytes) -> float:
    """The 95th percentile CIEDE2000 of a second trip through a paper's own tables.

    The colours are ones the paper has already printed once, so that a perfect pair of
    tables would move them by nothing; what moves is the tables' own error.
    """
    space = read_profile(paper).space
    device = np.random.default_rng(20).random((4000, CHANNELS[space]))
    first = transform(device, paper, "lab")
    once = transform(transform(first, "lab", paper), paper, "lab")
    twice = transform(transform(once, "lab", paper), paper, "lab")
    return float(np.percentile(delta_e_2000(once, twice), 95))
