"""A print in its light beside the same picture on a screen, both as one pair of eyes sees them."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from workbench.analysis.crops import srgb_light
from workbench.analysis.screen_answer import ScreenMatch
from workbench.colour.lab import lab_to_xyz, luminance_factor


@dataclass(frozen=True, eq=False)
class Beside:
    """Print and screen, to be shown next to one another.

    ``print_table`` and ``screen_table`` are (256,) uint8: sRGB values of a soft proof, or of
    the picture, to those to show.  ``paper`` and ``screen`` are the (3,) 0..1 sRGB whites.
    ``dim`` is what all light was divided by, so that the lighter of the two whites fits.
    """

    print_table: np.ndarray
    screen_table: np.ndarray
    paper: np.ndarray
    screen: np.ndarray
    dim: float


def beside(match: ScreenMatch) -> Beside:
    """How print and screen look beside each other.

    The white of the page stands for the screen's white at its luminance (where that is not
    known, for a screen set as advised).  The print's light is scaled by the ratio of the two
    luminances after the glass has taken its share and laid its veil over it.  Colours stay
    those of D50 on both sides: the white points are taken to be matched.
    """
    hung = match.hung
    screen = match.screen_luminance_cd_m2 or match.advised_cd_m2
    gain = match.illuminance_lux / math.pi / screen
    paper = gain * np.ravel(srgb_light(lab_to_xyz(hung.white_lab)))
    dim = max(1.0, float(paper.max()))
    light = srgb_to_light(np.arange(256) / 255)
    # XYZ to linear sRGB is one matrix, and D50 becomes (1, 1, 1), so the veil adds alike to all
    printed = gain * (hung.signal * light + hung.veil)
    black = 0.0 if match.screen_contrast_ratio is None else 1 / match.screen_contrast_ratio
    shown = black + (1 - black) * light
    return Beside(
        print_table=_codes(printed / dim),
        screen_table=_codes(shown / dim),
        paper=light_to_srgb(np.clip(paper / dim, 0, 1)),
        screen=light_to_srgb(np.full(3, 1 / dim)),
        dim=dim,
    )


def _codes(light: np.ndarray) -> np.ndarray:
    return np.round(255 * light_to_srgb(np.clip(light, 0, 1))).astype(np.uint8)


def srgb_to_light(values) -> np.ndarray:
    """Linear light 0..1 of sRGB values 0..1 (IEC 61966-2-1)."""
    v = np.asarray(values, float)
    return np.where(v <= 0.04045, v / 12.92, ((v + 0.055) / 1.055) ** 2.4)


def light_to_srgb(light) -> np.ndarray:
    """sRGB values 0..1 of linear light 0..1 (IEC 61966-2-1)."""
    v = np.asarray(light, float)
    return np.where(v <= 0.0031308, 12.92 * v, 1.055 * np.maximum(v, 0) ** (1 / 2.4) - 0.055)


@lru_cache(maxsize=512)
def grey_of_lightness(lightness: float) -> float:
    """sRGB value 0..1 of a neutral of this L*, 0 to 100 (CIE 15:2018)."""
    return float(light_to_srgb(np.clip(luminance_factor(lightness), 0, 1)))
