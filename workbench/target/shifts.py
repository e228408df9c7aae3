"""Which way colours have gone from where they should be, by zones, in words."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from workbench.analysis.words import TONE_NAMES, listed, tint_parts
from workbench.colour.lab import chroma, density
from workbench.language import tr
from workbench.target.patches import BLACK, Target

# picture lightness that parts the greys (our own)
_SHADOWS_TO, _MIDDLE_TO = 30, 70
ZONES = tuple(TONE_NAMES)
# differences that are not worth a word (our own)
SMALL_LIGHTNESS, SMALL_TINT, SMALL_CHROMA = 0.7, 0.7, 1.0
_MOST_DENSITY = 5.0


@dataclass(frozen=True)
class Shift:
    """How some patches lie to their reference, on average.

    Attributes
    ----------
    zone : one of `ZONES`.
    lightness, a, b : measured minus expected, in absolute L*, a*, b*.
    """

    zone: str
    lightness: float
    a: float
    b: float

    @property
    def tint(self) -> float:
        """Size of the colour cast, ΔCh: the distance in the a*b* plane."""
        return float(np.hypot(self.a, self.b))

    def words(self, since: bool = False) -> str:
        """Such as “1.8 L* too light and slightly too warm”; empty where it is small.

        With ``since``, of a change: “1.8 L* lighter and slightly warmer”.
        """
        said = []
        if abs(self.lightness) >= SMALL_LIGHTNESS:
            by, up = abs(self.lightness), self.lightness > 0
            if since:
                said.append(
                    tr("{by:.1f} L* lighter", by=by) if up else tr("{by:.1f} L* darker", by=by)
                )
            else:
                said.append(
                    tr("{by:.1f} L* too light", by=by) if up else tr("{by:.1f} L* too dark", by=by)
                )
        if self.tint >= SMALL_TINT:
            said.append((_MORE if since else _TOO)[tint_parts((0, self.a, self.b))])
        return listed(said)


_TOO = {
    ("slightly", "warm"): tr("slightly too warm"),
    ("clearly", "warm"): tr("clearly too warm"),
    ("strongly", "warm"): tr("strongly too warm"),
    ("slightly", "cool"): tr("slightly too cool"),
    ("clearly", "cool"): tr("clearly too cool"),
    ("strongly", "cool"): tr("strongly too cool"),
    ("slightly", "greenish"): tr("slightly too greenish"),
    ("clearly", "greenish"): tr("clearly too greenish"),
    ("strongly", "greenish"): tr("strongly too greenish"),
    ("slightly", "pinkish"): tr("slightly too pinkish"),
    ("clearly", "pinkish"): tr("clearly too pinkish"),
    ("strongly", "pinkish"): tr("strongly too pinkish"),
}
_MORE = {
    ("slightly", "warm"): tr("slightly warmer"),
    ("clearly", "warm"): tr("clearly warmer"),
    ("strongly", "warm"): tr("strongly warmer"),
    ("slightly", "cool"): tr("slightly cooler"),
    ("clearly", "cool"): tr("clearly cooler"),
    ("strongly", "cool"): tr("strongly cooler"),
    ("slightly", "greenish"): tr("slightly greener"),
    ("clearly", "greenish"): tr("clearly greener"),
    ("strongly", "greenish"): tr("strongly greener"),
    ("slightly", "pinkish"): tr("slightly pinker"),
    ("clearly", "pinkish"): tr("clearly pinker"),
    ("strongly", "pinkish"): tr("strongly pinker"),
}


def zone_of(target: Target) -> np.ndarray:
    """(n,) names of zones for grey patches, "" for all others; black and white are not a zone."""
    lightness = 100 * target.rgb[:, 0]
    zones = np.full(len(target), "", dtype=f"U{max(map(len, ZONES))}")
    greys = target.neutrals
    zones[greys] = ZONES[1]
    zones[greys & (lightness < _SHADOWS_TO)] = ZONES[0]
    zones[greys & (lightness > _MIDDLE_TO)] = ZONES[2]
    return zones


def zone_shifts(target: Target, lab, other_lab) -> tuple[Shift, ...]:
    """Mean of ``lab`` minus ``other_lab``, (n, 3) each, of the greys in each zone."""
    away, zones = np.asarray(lab) - np.asarray(other_lab), zone_of(target)
    return tuple(Shift(zone, *map(float, away[zones == zone].mean(axis=0))) for zone in ZONES)


def chroma_shift(target: Target, lab, other_lab) -> float:
    """Mean change of C*ab of the coloured patches; above 0 they are more colourful."""
    coloured = target.group("full colours", "half colours", "dark colours", "memory colours")
    return float((chroma(lab) - chroma(other_lab))[coloured].mean())


def zone_sentences(shifts, since: bool = False) -> list[str]:
    """A sentence for each zone that has gone somewhere; zones that agree share one.

    With ``since`` they tell of a change, otherwise of where the greys are.
    """
    said: dict[str, list[str]] = {}
    for shift in shifts:
        if words := shift.words(since):
            said.setdefault(words, []).append(shift.zone)
    found = []
    for words, zones in said.items():
        which = listed(TONE_NAMES[zone] for zone in zones)
        found.append(
            tr("The {zones} have become {words}.", zones=which, words=words)
            if since
            else tr("The {zones} are {words}.", zones=which, words=words)
        )
    return found


def black_density(target: Target, lab) -> float:
    """Absolute visual density of the black patch, at most 5; ``lab`` (n, 3) is absolute."""
    lightness = max(float(lab[target.index(BLACK), 0]), 0.0)
    return min(float(density(lightness)), _MOST_DENSITY)
