"""Names for colours, in a photographer's words, so that every sentence uses the same.

Hue limits are our own reading of CIELAB hue angles; common practice, no source.
"""

from __future__ import annotations

import numpy as np

NEUTRAL_CHROMA = 8.0

# upper hue angle in degrees -> the colours below it
_SECTORS = (
    (15, "pinks"),
    (48, "reds"),
    (78, "oranges"),
    (105, "yellows"),
    (130, "yellow-greens"),
    (170, "greens"),
    (215, "turquoises"),
    (255, "sky blues"),
    (312, "blues"),
    (332, "violets"),
    (352, "magentas"),
    (360, "pinks"),
)
_LIMITS = np.array([limit for limit, _ in _SECTORS], float)

# index 0 is kept for near-greys
HUE_NAMES = ("greys", *(name for _, name in _SECTORS[:-1]))

LIGHTNESS_NAMES = ("deep", "", "light")
_LIGHTNESS_LIMITS = (38.0, 72.0)


def hue_index(lab) -> np.ndarray:
    """Index into `HUE_NAMES` of (..., 3) Lab colours."""
    lab = np.asarray(lab)
    hue = np.degrees(np.arctan2(lab[..., 2], lab[..., 1])) % 360
    sector = np.searchsorted(_LIMITS, hue, side="right")
    # the last sector closes the circle
    sector = np.where(sector >= len(_LIMITS) - 1, 0, sector) + 1
    return np.where(np.hypot(lab[..., 1], lab[..., 2]) < NEUTRAL_CHROMA, 0, sector)


def lightness_index(lab) -> np.ndarray:
    """Index into `LIGHTNESS_NAMES` of (..., 3) Lab colours."""
    return np.searchsorted(_LIGHTNESS_LIMITS, np.asarray(lab)[..., 0], side="right")


def colour_name(lightness: int, hue: int) -> str:
    """Such as “deep blues”; near-greys by lightness are shadows, mid greys and highlights."""
    if hue == 0:
        return ("shadows", "mid greys", "highlights")[lightness]
    return f"{LIGHTNESS_NAMES[lightness]} {HUE_NAMES[hue]}".strip()


def tint_words(lab, *, small: float = 1.0) -> str:
    """The tint of a white in words, such as “slightly warm” or “clearly cool”; “neutral” below ``small`` chroma.

    Warm and cool are yellow-to-red and blue; the steps at 4 and 9 are our own.
    """
    a, b = float(lab[1]), float(lab[2])
    chroma = float(np.hypot(a, b))
    if chroma < small:
        return "neutral"
    hue = float(np.degrees(np.arctan2(b, a)) % 360)
    if 25 <= hue < 115:
        direction = "warm"
    elif 115 <= hue < 200:
        direction = "greenish"
    elif 200 <= hue < 305:
        direction = "cool"
    else:
        direction = "pinkish"
    degree = "slightly" if chroma < 4 else "clearly" if chroma < 9 else "strongly"
    return f"{degree} {direction}"


def percent(share: float) -> str:
    """A share 0..1 as text with as many digits as it deserves."""
    value = 100 * share
    if value == 0:
        return "0 %"
    if value < 0.1:
        return "under 0.1 %"
    if value > 99.9 and value < 100:
        return "over 99.9 %"
    return f"{value:.1f} %" if value < 10 else f"{value:.0f} %"
