"""Adjustments that the proof suggests for one picture on one paper.

Suggestions only: each comes with its curve and a sentence, and counts once the person
has accepted it.  How far they go is our own choice, careful on purpose (common practice,
no source).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from workbench.analysis.words import signed
from workbench.colour.engine import check_intent, decode_lab16, transform
from workbench.colour.trip import printed_lab
from workbench.output.adjust import AdjustmentCurve, Adjustments
from workbench.paper import Paper
from workbench.picture.picture import Picture
from workbench.rendering import DEFAULTS

# deep shadows whose difference is looked at, L*
_DEEP, _SHADOW = 2.0, 12.0
_SHADOW_SHARE = 0.01
# differences that come out at least this large, of what they were, need no help
_KEPT_SHADOW, _KEPT_CONTRAST = 0.8, 0.95
# L* that a lift must win back to be worth it
_WORTHWHILE = 0.5
_MOST_LIFT, _MOST_CONTRAST, _MOST_WARMTH = 4.0, 0.2, 4.0
# of a tint of the paper itself the eye takes most for white
_TINT_SHARE, _TINT_SEEN, _CAST_SEEN = 0.25, 3.0, 1.0
_PREVIEW_PX = 400
# those that a proof can tell; how light a print should be is seen on a test strip
_SUGGESTED = ("shadow lift", "contrast", "warmth")


@dataclass(frozen=True)
class Suggestion:
    """One adjustment, to be accepted or not.

    Attributes
    ----------
    kind : "shadow lift", "contrast" or "warmth".
    adjustments : with this one alone set.
    curve : to be shown.
    sentence : why, and how much.
    """

    kind: str
    adjustments: Adjustments
    curve: AdjustmentCurve
    sentence: str

    @property
    def amount(self) -> float:
        """In the unit of `Adjustments`."""
        return self.curve.amount


def suggest_adjustments(
    picture: Picture,
    paper: Paper,
    *,
    intent: str = DEFAULTS.intent,
    black_point_compensation: bool = DEFAULTS.black_point_compensation,
) -> tuple[Suggestion, ...]:
    """What the proof of a picture on a paper suggests; often nothing.

    Parameters
    ----------
    picture : a Picture with a profile.
    paper : a Paper.
    intent, black_point_compensation : of the print.

    Returns
    -------
    A Suggestion for each kind of adjustment that the proof asks for.

    Raises
    ------
    UntaggedPictureError, ProfileError, PictureError

    Examples
    --------
    >>> for each in wb.suggest_adjustments(picture, papers[5]):
    ...     assert each.sentence
    """
    check_intent(intent)
    profile = picture.require_profile()
    small = picture.preview(_PREVIEW_PX)
    lightness = decode_lab16(transform(small, profile, "lab", dtype=np.uint16))[..., 0].ravel()
    answer = _Response(profile, paper.profile, intent, black_point_compensation)
    found = [
        _suggest_lift(lightness, answer),
        _suggest_contrast(lightness, answer),
        _suggest_warmth(paper, picture.channels),
    ]
    suggestions = []
    for kind, (adjustments, sentence) in zip(_SUGGESTED, found, strict=True):
        if adjustments:
            (curve,) = adjustments.curves(profile, picture.channels)
            suggestions.append(Suggestion(kind, adjustments, curve, sentence))
    return tuple(suggestions)


def accepted(*suggestions: Suggestion) -> Adjustments:
    """The adjustments of those suggestions that a person has accepted."""
    merged = {}
    for suggestion in suggestions:
        for name in Adjustments.__dataclass_fields__:
            value = getattr(suggestion.adjustments, name)
            if value:
                merged[name] = value
    return Adjustments(**merged)


class _Response:
    """Printed L* of a neutral of the picture, media-relative."""

    def __init__(self, profile: bytes, paper: bytes, intent, black_point_compensation):
        self._profile = profile
        self._before = np.linspace(0, 100, 201)
        neutral = np.stack([self._before, 0 * self._before, 0 * self._before], axis=-1)
        device = np.clip(transform(neutral, "lab", profile), 0, 1)
        self._after = printed_lab(device, profile, paper, intent, black_point_compensation)[:, 0]

    def difference(self, low: float, high: float, adjustments: Adjustments) -> float:
        """Printed difference of two lightnesses after adjustments."""
        curve = adjustments.curve(self._profile, 1)
        x = 100 * curve(0, np.array([low, high]) / 100)
        return float(np.diff(np.interp(x, self._before, self._after))[0])


def _suggest_lift(lightness, answer: _Response):
    none = Adjustments()
    share = float(np.mean(lightness < 20))
    wanted = _KEPT_SHADOW * (_SHADOW - _DEEP)
    kept = answer.difference(_DEEP, _SHADOW, none)
    if share < _SHADOW_SHARE or kept >= wanted:
        return none, ""
    for lift in np.arange(0.5, _MOST_LIFT + 0.01, 0.5):
        lifted = Adjustments(shadow_lift=lift)
        if answer.difference(_DEEP, _SHADOW, lifted) >= wanted:
            break
    gained = answer.difference(_DEEP, _SHADOW, lifted)
    if gained < kept + _WORTHWHILE:
        # all of it is lost: compensation or another intent helps, a curve does not
        return none, ""
    return lifted, (
        f"{share:.0%} of the picture's preview is deep shadow, and of {_SHADOW - _DEEP:g} L* "
        f"between its darkest tones the paper keeps {kept:.1f}; lifting shadows by "
        f"{lifted.shadow_lift:g} L* keeps {gained:.1f} (relative)."
    ).replace("%", " %")


def _suggest_contrast(lightness, answer: _Response):
    none = Adjustments()
    low, high = (float(v) for v in np.percentile(lightness, (10, 90)))
    wanted = _KEPT_CONTRAST * (high - low)
    kept = answer.difference(low, high, none)
    # flat pictures are meant to be flat
    if high - low < 10 or kept >= wanted:
        return none, ""
    steeper = none
    for contrast in np.arange(0.02, _MOST_CONTRAST + 0.001, 0.02):
        tried = Adjustments(contrast=round(float(contrast), 2))
        # an S makes differences outside its middle smaller
        if answer.difference(low, high, tried) <= answer.difference(low, high, steeper):
            break
        steeper = tried
        if answer.difference(low, high, steeper) >= wanted:
            break
    gained = answer.difference(low, high, steeper)
    if gained < kept + _WORTHWHILE:
        return none, ""
    return steeper, (
        f"The paper prints the picture's range of {high - low:.1f} L* as {kept:.1f}; "
        f"{steeper.contrast:.0%} more contrast makes it {gained:.1f} (relative)."
    ).replace("%", " %")


def _suggest_warmth(paper: Paper, channels: int):
    none = Adjustments()
    if channels == 1:
        return none, ""
    cast = paper.neutral_cast_lab[2]
    tint = paper.white_lab[2] if paper.white_is_known else 0.0
    if abs(cast) >= _CAST_SEEN:
        wanted = -cast
        reason = f"The paper prints greys {_warm_or_cool(cast)} (relative b* {signed(cast)})"
    elif abs(tint) >= _TINT_SEEN:
        wanted = -_TINT_SHARE * tint
        reason = f"The paper itself is {_warm_or_cool(tint)} (absolute b* {signed(tint)})"
    else:
        return none, ""
    shift = float(np.clip(round(2 * wanted) / 2, -_MOST_WARMTH, _MOST_WARMTH))
    if not shift:
        return none, ""
    word = "warmer" if shift > 0 else "cooler"
    return Adjustments(warmth=shift), f"{reason}; {abs(shift):g} b* {word} goes against it."


def _warm_or_cool(b: float) -> str:
    return "warm" if b > 0 else "cool"
