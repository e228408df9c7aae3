"""Greys on a paper: how neutral they print, and how much toning the paper holds."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import Any

import numpy as np

from workbench.analysis.words import signed
from workbench.colour.difference import delta_e_2000
from workbench.colour.trip import printed_lab, relative_lab
from workbench.language import tr
from workbench.output.adjust import Adjustments, as_adjustments
from workbench.paper import Paper
from workbench.rendering import DEFAULTS

# CIEDE2000 by which a toned grey may miss its colour more than a neutral one does
_HELD = 1.0
# a*, b* together from which a grey looks tinted beside another (common practice, no source)
_SEEN = 1.0
_STEPS = np.linspace(0, 1, 21)


@dataclass(frozen=True, eq=False)
class Neutrality:
    """A ramp of greys as printed, media-relative.

    Attributes
    ----------
    lab : (n, 3) Lab of the print, from black to bare paper.
    asked : (n, 2) a* and b* that were asked for: 0 without toning.
    worst : index of the tone furthest from what was asked.
    """

    lab: np.ndarray = field(repr=False)
    asked: np.ndarray = field(repr=False)
    worst: int

    @property
    def off(self) -> np.ndarray:
        """(n,) distance from what was asked, in a* and b*."""
        return np.hypot(*(self.lab[:, 1:] - self.asked).T)

    @property
    def sentence(self) -> str:
        """Where the ramp leaves its colour most, in plain words."""
        lightness, a, b = self.lab[self.worst]
        off = self.off[self.worst]
        toned = bool(np.abs(self.asked).max() > 0)
        where = {"lightness": lightness, "a": signed(a), "b": signed(b)}
        if off < _SEEN:
            return (
                tr(
                    "The toning is kept within {off:.1f}; furthest at printed L* {lightness:.0f} "
                    "(a* {a}, b* {b}) (relative).",
                    off=max(off, 0.1),
                    **where,
                )
                if toned
                else tr(
                    "Greys print neutral within {off:.1f}; furthest at printed L* "
                    "{lightness:.0f} (a* {a}, b* {b}) (relative).",
                    off=max(off, 0.1),
                    **where,
                )
            )
        return (
            tr(
                "Greys stray from the toning asked for most at printed L* {lightness:.0f} "
                "(a* {a}, b* {b}), by {off:.1f} (relative).",
                off=off,
                **where,
            )
            if toned
            else tr(
                "Greys are tinted most at printed L* {lightness:.0f} (a* {a}, b* {b}), by "
                "{off:.1f} (relative).",
                off=off,
                **where,
            )
        )


def neutrality(
    paper: Paper,
    adjustments=None,
    *,
    intent: str = DEFAULTS.intent,
    black_point_compensation: bool = DEFAULTS.black_point_compensation,
) -> Neutrality:
    """How a ramp of greys prints on a paper: a* and b* over L*.

    Parameters
    ----------
    paper : a Paper.
    adjustments : `Adjustments`, whose toning counts in black and white, a dict of their
        fields, or None.
    intent, black_point_compensation : of the print.

    Returns
    -------
    A `Neutrality`.

    Raises
    ------
    OutputError, ProfileError

    Examples
    --------
    >>> neutrality(papers[0]).lab.shape
    (101, 3)
    """
    adjustments = as_adjustments(adjustments)
    ramp = _ramp(adjustments, np.linspace(0, 100, 101))
    printed = printed_lab(ramp, "lab", paper.profile, intent, black_point_compensation)
    lab = relative_lab(printed, paper.profile, intent)
    off = np.hypot(*(lab[:, 1:] - ramp[:, 1:]).T)
    return Neutrality(lab, ramp[:, 1:], int(np.argmax(off)))


def _ramp(adjustments: Adjustments, lightness) -> np.ndarray:
    lab = adjustments.toning(lightness)
    return lab if adjustments.is_toned else lab * [1, 0, 0]


def inside_gamut(
    adjustments: Adjustments, paper: Paper, intent: str, black_point_compensation: bool
) -> Adjustments:
    """The same with the toning's chroma lowered to what the paper can print.

    Shadows and highlights are lowered each as far as their half of the scale asks for; hues
    stay.

    Parameters
    ----------
    adjustments : `Adjustments`.
    paper : a Paper.
    intent, black_point_compensation : of the print.

    Returns
    -------
    `Adjustments`; the very same where nothing has to be lowered.

    Raises
    ------
    ProfileError

    Examples
    --------
    >>> from workbench.output.adjust import Adjustments
    >>> much = Adjustments(black_and_white="lightness", shadow_chroma=40, shadow_hue=100)
    >>> inside_gamut(much, papers[5], "relative", True).shadow_chroma < 40
    True
    """
    if not adjustments.is_toned:
        return adjustments
    return _inside(adjustments, paper.profile, intent, black_point_compensation)


@lru_cache(maxsize=32)
def _inside(adjustments: Adjustments, paper: bytes, intent: str, compensation: bool) -> Adjustments:
    lightness = np.linspace(10, 92, 24)
    neutral = np.stack([lightness, 0 * lightness, 0 * lightness], axis=-1)
    printed = relative_lab(printed_lab(neutral, "lab", paper, intent, compensation), paper, intent)
    held: dict[str, Any] = {}
    # each end with the other as it is asked for, in its own half of the scale
    for name, half in (("shadow_chroma", lightness <= 50), ("highlight_chroma", lightness >= 50)):
        asked = getattr(adjustments, name)
        tried = []
        for share in _STEPS:
            colours = _ramp(replace(adjustments, **{name: share * asked}), lightness)
            colours[:, 0] = printed[:, 0]
            tried.append(colours[half])
        tried.append(printed[half] * [1, 0, 0])
        found = printed_lab(np.stack(tried), "lab", paper, "relative", False)
        missed = delta_e_2000(np.stack(tried), found)
        fits = (missed[:-1] <= missed[-1] + _HELD).all(axis=1)
        # the largest share below which all fit; the other end may fit nowhere
        most = int(np.argmin(fits)) - 1 if not fits.all() else len(_STEPS) - 1
        held[name] = round(float(_STEPS[max(most, 0)] * asked), 3)
    return replace(adjustments, **held)
