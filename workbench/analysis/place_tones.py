"""The tone curve and the gain of chroma that make up for the place where a print hangs.

They bring lightness differences and colourfulness back as far as the paper goes in that light.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from workbench.analysis.appearance import Appearance
from workbench.analysis.place import JUDGED, Hanging, Place
from workbench.colour.engine import transform
from workbench.colour.lab import absolute_to_relative, lab_to_xyz
from workbench.colour.trip import printed_lab

_STEPS = 201
# a gain beyond this makes a poster of a photograph (our choice)
_MOST_GAIN = 2.0

#: media-relative L* of the greys that curves are told for
GREYS = np.linspace(0, 100, _STEPS)
GREYS.flags.writeable = False


@dataclass(frozen=True)
class Tones:
    out: np.ndarray
    brightness: float
    range: float
    middle: float

    @property
    def moved(self) -> bool:
        return bool(np.abs(self.out - GREYS).max() > 1e-6)


def tones_for(before: Hanging, after: Hanging, black_lightness: float) -> Tones:
    """The curve of greys that shares out what is left of the lightness as it was before.

    Each grey gets the lightness that lies between the place's black and white where it lay
    between those as judged: differences shrink by one factor, no more than they must.
    """
    greys = np.stack([GREYS, 0 * GREYS, 0 * GREYS], axis=1)
    judged, here = before.appearance(greys), after.appearance(greys)
    black = float(absolute_to_relative(np.array([black_lightness, 0, 0]), before.paper_xyz)[0])
    black = min(max(black, 0.0), 60.0)
    low, low_here = (float(np.interp(black, GREYS, each.J)) for each in (judged, here))
    share = (float(here.J[-1]) - low_here) / (float(judged.J[-1]) - low)
    wanted = low_here + (judged.J - low) * share
    # J rises with every grey, so that it can be read backwards
    out = np.interp(wanted, here.J, GREYS)
    inked = GREYS >= black
    out = np.where(inked, np.maximum(out, black), GREYS)
    out[-1] = 100.0
    out = np.maximum.accumulate(out)
    if np.abs(out - GREYS).max() < 1e-6:
        out = GREYS
    middle = float(np.interp(50, GREYS, here.J) - np.interp(50, GREYS, judged.J))
    return Tones(out, float(here.Q[-1] / judged.Q[-1]), share, middle)


def in_picture(tones: Tones, how: tuple, channels: int) -> np.ndarray:
    """The curve of printed greys as one of the picture's own L*."""
    if not tones.moved:
        return GREYS
    ramp = np.repeat(np.linspace(0, 1, 256, dtype=np.float32)[:, None], channels, axis=1)
    own = np.maximum.accumulate(transform(ramp, how[0], "lab")[:, 0])
    printed = np.maximum.accumulate(printed_lab(ramp, *how)[:, 0])
    # the smallest rise, so that it can be read backwards where greys merge
    printed = printed + np.linspace(0, 1e-3, len(printed))
    wanted = np.interp(np.interp(GREYS, own, printed), GREYS, tones.out)
    return np.clip(np.interp(wanted, printed, own), 0, 100)


def chroma_gain(judged: Appearance, after: Hanging, printed: np.ndarray) -> float:
    """The gain with which the colours are as colourful, on average, as they were judged."""
    wanted = float(judged.M.mean())
    if wanted < 1.0:
        return 1.0  # a grey picture

    def missing(gain: float) -> float:
        scaled = printed * np.array([1, gain, gain])
        return wanted - float(after.appearance(scaled).M.mean())

    if abs(missing(1.0)) < 1e-6 * wanted:
        return 1.0
    low, high = 1 / _MOST_GAIN, _MOST_GAIN
    for _ in range(24):
        middle = math.sqrt(low * high)
        low, high = (middle, high) if missing(middle) > 0 else (low, middle)
    return math.sqrt(low * high)


def middle_lighter(white_lab, black_lab, place: Place, *, surface_mirror: float = 0.0) -> float:
    """L* by which the curve of `print_for_place` makes a middle grey lighter in a place.

    Parameters
    ----------
    white_lab, black_lab : absolute Lab of paper and black.
    surface_mirror : of the print's own surface, see `SURFACE_MIRROR`.

    Examples
    --------
    >>> middle_lighter((96, 0, 0), (10, 0, 0), JUDGED)
    0.0
    """
    before, after = (
        Hanging(each, lab_to_xyz(white_lab), surface_mirror) for each in (JUDGED, place)
    )
    return float(np.interp(50, GREYS, tones_for(before, after, black_lab[0]).out)) - 50
