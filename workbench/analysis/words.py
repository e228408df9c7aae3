"""Names for colours, in a photographer's words, so that every sentence uses the same.

Hue limits are our own reading of CIELAB hue angles; common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from workbench.decisions import DECISIONS
from workbench.language import tr

INTENT_NAMES = dict(DECISIONS["intent"].choices)

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
    (255, tr("sky blues")),
    (312, "blues"),
    (332, "violets"),
    (352, "magentas"),
    (360, "pinks"),
)
_LIMITS = np.array([limit for limit, _ in _SECTORS])

# index 0 is kept for near-greys
HUE_NAMES = ("greys", *(name for _, name in _SECTORS[:-1]))

# limits are whole degrees, so a colour's degree, rounded down, says its sector; the last
# sector closes the circle
_OF_DEGREE = np.searchsorted(_LIMITS, np.arange(360), side="right") % (len(_LIMITS) - 1) + 1

# the middle of each in degrees; greys have none
HUE_CENTRES_DEG = (
    None,
    *(
        (low + high) / 2 % 360
        for low, high in zip([_LIMITS[-2] - 360, *_LIMITS[:-2]], _LIMITS[:-1], strict=True)
    ),
)

LIGHTNESS_NAMES = ("deep", "", "light")
_LIGHTNESS_LIMITS = (38.0, 72.0)


def hue_index(lab) -> np.ndarray:
    """Index into `HUE_NAMES` of (..., 3) Lab colours."""
    lab = np.asarray(lab)
    a, b = lab[..., 1], lab[..., 2]
    degree = np.floor(np.degrees(np.arctan2(b, a))).astype(np.intp)
    # degrees below 0 count from the table's end
    return _OF_DEGREE[degree] * (a * a + b * b >= NEUTRAL_CHROMA**2)


def lightness_index(lab) -> np.ndarray:
    """Index into `LIGHTNESS_NAMES` of (..., 3) Lab colours."""
    lightness = np.asarray(lab)[..., 0]
    return np.asarray(sum((lightness >= limit).astype(np.intp) for limit in _LIGHTNESS_LIMITS))


def colour_name(lightness: int, hue: int) -> str:
    """Such as “deep blues”; near-greys by lightness are shadows, mid greys and highlights."""
    if hue == 0:
        return ("shadows", "mid greys", "highlights")[lightness]
    return f"{LIGHTNESS_NAMES[lightness]} {HUE_NAMES[hue]}".strip()


def tint_words(lab, *, small: float = 1.0) -> str:
    """The tint of a white in words, such as “slightly warm” or “clearly cool”; “neutral” below ``small`` chroma.

    Warm and cool are yellow-to-red and blue; the steps at 5 and 11 are our own.
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
    degree = "slightly" if chroma < 5 else "clearly" if chroma < 11 else "strongly"
    return f"{degree} {direction}"


def apart_words(lab, beside_lab) -> str:
    """How a white differs from the one beside it; empty where no figure differs by 1.

    Parameters
    ----------
    lab, beside_lab : absolute Lab of the white and of what lies beside it.

    >>> apart_words((96, 0.2, -6), (97.5, 0, 1))
    'bluer by 7 b* and darker by 2 L*'
    """
    said = []
    for n, less, more in ((2, "bluer", "yellower"), (1, "greener", "pinker"),
                          (0, "darker", "lighter")):  # fmt: skip
        apart = float(lab[n]) - float(beside_lab[n])
        if abs(apart) >= 1:
            said.append(
                tr(
                    "{part} by {apart:.0f} {part_2}*",
                    part=more if apart > 0 else less,
                    apart=abs(apart),
                    part_2="Lab"[n],
                )
            )
    return listed(said)


def listed(words: Iterable[str]) -> str:
    """Words as a sentence lists them; empty for none.

    >>> listed(["reds", "oranges", "violets"])
    'reds, oranges and violets'
    """
    words = list(words)
    return " and ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)


def signed(value: float) -> str:
    """A number with its sign and one decimal, as +1.2, −0.3 or 0.0."""
    text = f"{value:+.1f}"
    return "0.0" if text in ("+0.0", "-0.0") else text.replace("-", "−")


def percent(share: float) -> str:
    """A share 0..1 as text with as many digits as it deserves."""
    value = 100 * share
    if value == 0:
        return "0 %"
    if value < 0.1:
        return tr("under 0.1 %")
    if value > 99.9 and value < 100:
        return tr("over 99.9 %")
    # one more digit near the end too, so that "100 %" means all
    return (
        tr("{value:.1f} %", value=value)
        if value < 10 or 99.5 <= value < 100
        else tr("{value:.0f} %", value=value)
    )
