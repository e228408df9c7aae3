"""Names for colours, in a photographer's words, so that every sentence uses the same.

Hue limits are our own reading of CIELAB hue angles; common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from workbench.decisions import DECISIONS
from workbench.language import LANGUAGE, numeral, tr

INTENT_NAMES = dict(DECISIONS["intent"].choices)
#: the same in a word
SHORT_INTENT_NAMES = {
    "relative": tr("relative"),
    "perceptual": tr("perceptual"),
    "saturation": tr("saturation"),
    "absolute": tr("absolute"),
}

#: zones of grey by the names that no language changes, and as they are read
TONE_NAMES = {
    "shadows": tr("shadows"),
    "middle tones": tr("middle tones"),
    "highlights": tr("highlights"),
}

#: of what people in the trade do or hold to be true
COMMON_PRACTICE = tr("common practice, no source")

NEUTRAL_CHROMA = 8.0

#: hues by the names that no language changes, and as they are read; index 0 is kept for near-greys
HUE_WORDS = {
    "greys": tr("greys"),
    "pinks": tr("pinks"),
    "reds": tr("reds"),
    "oranges": tr("oranges"),
    "yellows": tr("yellows"),
    "yellow-greens": tr("yellow-greens"),
    "greens": tr("greens"),
    "turquoises": tr("turquoises"),
    "sky blues": tr("sky blues"),
    "blues": tr("blues"),
    "violets": tr("violets"),
    "magentas": tr("magentas"),
}
HUE_NAMES = tuple(HUE_WORDS)
# their upper hue angles in degrees; pinks go on to the circle's end
_LIMITS = np.array((15, 48, 78, 105, 130, 170, 215, 255, 312, 332, 352, 360))

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

LIGHTNESS_NAMES = ("deep", "middle", "light")
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
        return (TONE_NAMES["shadows"], tr("mid greys"), TONE_NAMES["highlights"])[lightness]
    name = HUE_WORDS[HUE_NAMES[hue]]
    return (tr("deep {hue}", hue=name), name, tr("light {hue}", hue=name))[lightness]


_TINTS = {
    ("slightly", "warm"): tr("slightly warm"),
    ("clearly", "warm"): tr("clearly warm"),
    ("strongly", "warm"): tr("strongly warm"),
    ("slightly", "greenish"): tr("slightly greenish"),
    ("clearly", "greenish"): tr("clearly greenish"),
    ("strongly", "greenish"): tr("strongly greenish"),
    ("slightly", "cool"): tr("slightly cool"),
    ("clearly", "cool"): tr("clearly cool"),
    ("strongly", "cool"): tr("strongly cool"),
    ("slightly", "pinkish"): tr("slightly pinkish"),
    ("clearly", "pinkish"): tr("clearly pinkish"),
    ("strongly", "pinkish"): tr("strongly pinkish"),
}


def tint_words(lab, *, small: float = 1.0) -> str:
    """The tint of a white in words, such as “slightly warm” or “clearly cool”; “neutral” below ``small`` chroma.

    Warm and cool are yellow-to-red and blue; the steps at 5 and 11 are our own.
    """
    if float(np.hypot(lab[1], lab[2])) < small:
        return tr("neutral")
    return _TINTS[tint_parts(lab)]


def tint_parts(lab) -> tuple[str, str]:
    """How far and which way a white leans, by names that no language changes.

    >>> tint_parts((96, 0, 4))
    ('slightly', 'warm')
    """
    a, b = float(lab[1]), float(lab[2])
    chroma = float(np.hypot(a, b))
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
    return degree, direction


#: the ways of `tint_parts` from one white to another: what a white is by itself has other
#: words, so that no paper is warm here and cooler there
TURNED = {
    "warm": tr("yellower"),
    "greenish": tr("greener"),
    "cool": tr("bluer"),
    "pinkish": tr("pinker"),
}


def apart_words(lab, beside_lab) -> str:
    """How a white differs from the one beside it; empty where no figure differs by 1.

    Parameters
    ----------
    lab, beside_lab : absolute Lab of the white and of what lies beside it.

    >>> apart_words((96, 0.2, -6), (97.5, 0, 1))
    'bluer by 7 b* and darker by 2 L*'
    """
    said = []
    for n, less, more in (
        (2, TURNED["cool"], TURNED["warm"]),
        (1, TURNED["greenish"], TURNED["pinkish"]),
        (0, tr("darker"), tr("lighter")),
    ):
        apart = float(lab[n]) - float(beside_lab[n])
        if abs(apart) >= 1:
            said.append(
                tr(
                    "{how} by {apart:.0f} {axis}*",
                    how=more if apart > 0 else less,
                    apart=abs(apart),
                    axis="Lab"[n],
                )
            )
    return listed(said)


def listed(words: Iterable[str]) -> str:
    """Words as a sentence lists them; empty for none.

    >>> listed(["reds", "oranges", "violets"])
    'reds, oranges and violets'
    """
    words = list(words)
    if len(words) < 2:
        return "".join(words)
    return tr("{first} and {last}", first=", ".join(words[:-1]), last=words[-1])


def either(words: Iterable[str]) -> str:
    """Words of which one may be taken; empty for none.

    >>> either(["A4", "A3"])
    'A4 or A3'
    """
    said, *more = list(words) or [""]
    for each in more:
        said = tr("{first} or {last}", first=said, last=each)
    return said


def in_sentence(title: str) -> str:
    """A title inside a sentence, where English has small letters and other languages their own."""
    return title.lower() if LANGUAGE == "en" else title


def begin_small(clause: str) -> str:
    """A sentence's beginning as it stands inside another."""
    return clause[:1].lower() + clause[1:]


def begin_large(clause: str) -> str:
    """A clause as it begins a sentence."""
    return clause[:1].upper() + clause[1:]


def on_or_off(on: bool) -> str:
    """How something that is switched stands."""
    return tr("on") if on else tr("off")


def signed(value: float) -> str:
    """A number with its sign and one decimal, as +1.2, −0.3 or 0.0."""
    value = 0.0 if f"{value:+.1f}" in ("+0.0", "-0.0") else value
    return numeral(value, "+.1f" if value else ".1f").replace("-", "−")


def lab_text(lab) -> str:
    """Such as “L* 95.0, a* +0.1, b* −2.0”."""
    a, b = signed(lab[1]), signed(lab[2])
    return tr("L* {lightness:.1f}, a* {a}, b* {b}", lightness=lab[0], a=a, b=b)


def volume_words(volume: float) -> str:
    """A volume in thousands with thin spaces, rounded as it deserves."""
    return f"{round(volume, -3):,.0f}".replace(",", "\u2009")


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
