"""The tone curve that suits one picture on one paper, and what any curve gains and loses.

A suggestion only: it counts once the person has accepted it.  A paper's white is a choice
and not a fault, so nothing is suggested against its tint.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np

from workbench.analysis.detail import neighbour_steps
from workbench.analysis.words import signed
from workbench.colour.engine import check_intent, quick_lab, transform
from workbench.colour.trip import printed_lab, relative_lab
from workbench.decisions import ADJUSTMENTS
from workbench.errors import OutputError
from workbench.language import tr
from workbench.output.adjust import KNOTS, TONES, Adjustments, as_adjustments
from workbench.paper import Paper
from workbench.picture.kept import kept_while_open
from workbench.picture.picture import Picture
from workbench.rendering import DEFAULTS

_PREVIEW_PX = 400
# a step between neighbours counts as detail from here, and no more from there on, L*
_NOISE, _FULL_DETAIL = 0.3, 5.0
# of all detail: shadows hold some from here on; the ends of the tone scale that are looked at
_LEAST_DETAIL, _DECILE, _END = 0.005, 0.1, 0.005
# tones further from black, or from white, that print as near to it are clipped, L*
_APART, _MERGED = 1.0, 0.3
_SHADOW = 25.0
# how the goals weigh (our own choice, careful on purpose)
_SHADOWS_COUNT, _MIDDLE_COUNTS, _EVENLY = 3.0, 0.02, 0.02
# of the printed steps between tones at least so much stays: below, and above mid-grey
_KEPT_BELOW, _KEPT_ABOVE, _KEPT_HIGHLIGHTS = 0.8, 0.92, 0.98
# where nothing is left, neighbours stay apart by so much at least, L* to the L*
_LEAST_SLOPE = 0.1
# L* of separation that is worth a curve
_WORTHWHILE = 0.3


@dataclass(frozen=True, eq=False)
class ToneChange:
    """What adjustments do to the tones of one picture on one paper.

    All L* are media-relative: 0 is the picture's black, 100 bare paper.

    Attributes
    ----------
    lightness : (n,) L* of the picture's neutrals, 0..100.
    before, after : (n,) L* that they print with, without and with the adjustments.
    shadows, highlights : (low, high) L* of the deepest and the lightest tenth of the
        picture's detail; None where it has none.
    shadow_separation, highlight_separation : L* between the ends of each in print, before
        and after.
    mid_tone : L* that mid-grey (L* 50) prints with, before and after.
    clipped : share of the preview that merges with the print's black or with bare paper
        although the picture tells it apart, before and after.
    """

    lightness: np.ndarray = field(repr=False)
    before: np.ndarray = field(repr=False)
    after: np.ndarray = field(repr=False)
    shadows: tuple[float, float] | None
    highlights: tuple[float, float] | None
    shadow_separation: tuple[float, float]
    highlight_separation: tuple[float, float]
    mid_tone: tuple[float, float]
    clipped: tuple[float, float]

    @property
    def sentence(self) -> str:
        """What is gained and lost, in plain words."""
        said = []
        if self.shadows is not None:
            low, high = self.shadows
            was, now = self.shadow_separation
            said.append(
                tr(
                    "The deepest tenth of the detail (L* {low:.0f} to {high:.0f}, {apart:.1f} L* "
                    "in the file) prints {now:.1f} L* apart instead of {was:.1f}",
                    low=low,
                    high=high,
                    apart=high - low,
                    now=now,
                    was=was,
                )
            )
        if self.highlights is not None:
            was, now = self.highlight_separation
            said.append(tr("the lightest tenth {now:.1f} instead of {was:.1f}", now=now, was=was))
        said.append(
            tr(
                "middle grey moves by {by} L*",
                by=signed(self.mid_tone[1] - self.mid_tone[0]),
            )
        )
        was, now = (100 * share for share in self.clipped)
        if max(was, now) >= 0.05:
            said.append(
                tr(
                    "{now:.1f} % of the preview merges with black or white instead of {was:.1f} %",
                    now=now,
                    was=was,
                )
            )
        return tr("{listed} (relative).", listed="; ".join(said))


@dataclass(frozen=True, eq=False)
class Suggestion:
    """A tone curve to be accepted or not.

    Attributes
    ----------
    adjustments : with the curve's handles alone; empty where no curve is worth it.
    change : what it would gain and lose.
    sentence : the same in words, or why there is none.
    """

    adjustments: Adjustments
    change: ToneChange
    sentence: str

    def __bool__(self) -> bool:
        return bool(self.adjustments)


def suggest_adjustments(
    picture: Picture,
    paper: Paper,
    *,
    intent: str = DEFAULTS.intent,
    black_point_compensation: bool = DEFAULTS.black_point_compensation,
) -> Suggestion:
    """The one tone curve that suits a picture on a paper.

    The printed lightness of the curve's handles is solved for at once: a least-squares
    problem with linear limits (Lawson and Hanson 1974, chapter 23).  Its goals: between
    tones where the picture has detail the print differs as the picture does, in shadows
    above all; mid-grey prints as it would have.  Its limits: highlights keep at least
    98 % of their separation, other tones above mid-grey 92 %, and those below it 80 %.

    Parameters
    ----------
    picture : a Picture with a profile.
    paper : a Paper.
    intent, black_point_compensation : of the print.

    Returns
    -------
    A `Suggestion`; false where the proof asks for no curve.

    Raises
    ------
    UntaggedPictureError, ProfileError, PictureError

    Examples
    --------
    >>> found = wb.suggest_adjustments(picture, papers[5])
    >>> found.change.shadow_separation[1] >= found.change.shadow_separation[0]
    True
    """
    tones = _Tones(picture, paper, intent, black_point_compensation)
    none = tones.change(Adjustments())
    nothing = Suggestion(
        Adjustments(), none,
        tr("For this picture on this paper no curve would give its shadows more separation."),
    )  # fmt: skip
    if float(tones.weight[tones.lightness < _SHADOW].sum()) < _LEAST_DETAIL:
        return Suggestion(Adjustments(), none, tr("The picture has no shadows that hold detail."))
    try:
        found = Adjustments().moved(_solved(tones))
    except (ValueError, OutputError):  # a paper that prints next to no tones
        return nothing
    change = tones.change(found)
    was, now = change.shadow_separation
    if now < was + _WORTHWHILE:
        return nothing
    return Suggestion(found, change, change.sentence)


def tone_change(
    picture: Picture,
    paper: Paper,
    adjustments,
    *,
    intent: str = DEFAULTS.intent,
    black_point_compensation: bool = DEFAULTS.black_point_compensation,
) -> ToneChange:
    """What adjustments gain and lose in the tones of a picture on a paper.

    Parameters
    ----------
    picture : a Picture with a profile.
    paper : a Paper.
    adjustments : `Adjustments`, a dict of their fields, or None; their tone curve counts.
    intent, black_point_compensation : of the print.

    Returns
    -------
    A `ToneChange`.

    Raises
    ------
    OutputError, UntaggedPictureError, ProfileError, PictureError

    Examples
    --------
    >>> tone_change(picture, papers[0], {"mid_tones": 2}).mid_tone[1] > 50
    True
    """
    tones = _Tones(picture, paper, intent, black_point_compensation)
    return tones.change(as_adjustments(adjustments))


class _Tones:
    """A picture's tones with what detail they hold, and what a paper makes of them."""

    def __init__(self, picture: Picture, paper: Paper, intent: str, compensation: bool):
        check_intent(intent)
        self.lightness, self.weight = _detail(picture)
        profile = picture.require_profile()
        self.scale, self.printed = _response(profile, paper.profile, intent, compensation)
        self.shadows = self._end(_END, _DECILE)
        self.highlights = self._end(1 - _DECILE, 1 - _END)

    def _end(self, low: float, high: float) -> tuple[float, float] | None:
        below = np.cumsum(self.weight)
        if not below[-1]:
            return None
        at = np.minimum(np.searchsorted(below, (low, high)), len(below) - 1)
        first, last = (float(self.lightness[each]) for each in at)
        return (first, last) if last > first else None

    def print_of(self, lightness, adjustments: Adjustments) -> np.ndarray:
        """Printed L* of the picture's L*."""
        moved = 100 * adjustments.tone(np.asarray(lightness) / 100)
        return np.interp(moved, self.scale, self.printed)

    def change(self, adjustments: Adjustments) -> ToneChange:
        """What the adjustments' tone curve gains and loses."""
        both = Adjustments(), adjustments

        def apart(end) -> tuple[float, float]:
            if end is None:
                return 0.0, 0.0
            was, now = (float(np.diff(self.print_of(end, each))[0]) for each in both)
            return was, now

        clipped = []
        for each in both:
            printed = self.print_of(self.lightness, each)
            black, white = self.print_of([0, 100], each)
            merged = (printed < black + _MERGED) & (self.lightness > _APART)
            merged |= (printed > white - _MERGED) & (self.lightness < 100 - _APART)
            clipped.append(float(merged.mean()))
        before, after = (self.print_of(self.scale, each) for each in both)
        mid_tone = (
            float(np.interp(50, self.scale, before)),
            float(np.interp(50, self.scale, after)),
        )
        return ToneChange(
            self.scale, before, after, self.shadows, self.highlights, apart(self.shadows),
            apart(self.highlights), mid_tone, (clipped[0], clipped[1]),
        )  # fmt: skip


@kept_while_open(maxsize=4)
def _detail(picture: Picture) -> tuple[np.ndarray, np.ndarray]:
    """L* of the preview's pixels, rising, and the share of all detail that each holds."""
    small = picture.preview(_PREVIEW_PX)
    lightness = quick_lab(small, picture.require_profile())[..., 0]
    weight = np.clip(neighbour_steps(lightness) - _NOISE, 0, _FULL_DETAIL)
    order = np.argsort(lightness, axis=None)
    return lightness.ravel()[order], (weight / (weight.sum() or 1)).ravel()[order]


@lru_cache(maxsize=16)
def _response(profile: bytes, paper: bytes, intent: str, compensation: bool):
    """L* of a picture space's neutrals, and what they print with, media-relative."""
    scale = np.linspace(0, 100, 401)
    neutral = np.stack([scale, 0 * scale, 0 * scale], axis=-1)
    device = np.clip(transform(neutral, "lab", profile), 0, 1)
    printed = printed_lab(device, profile, paper, intent, compensation)
    lightness = relative_lab(printed, paper, intent)[:, 0]
    return scale, np.maximum.accumulate(lightness)


def _solved(tones: _Tones) -> np.ndarray:
    """L* by which each handle of the curve moves."""
    at = 100 * KNOTS
    width = np.diff(at)
    plain = np.interp(at, tones.scale, tones.printed)
    slopes = np.diff(plain) / width
    held, _ = np.histogram(tones.lightness, at, weights=tones.weight)
    counts = held + _EVENLY * width / 100
    counts[at[1:] <= _SHADOW] *= _SHADOWS_COUNT
    # unknown: the printed L* of the six handles; both ends stay as they are
    rise = (np.eye(7, 6) - np.eye(7, 6, -1)) / width[:, None]
    ends = np.zeros(7)
    ends[0], ends[-1] = -plain[0] / width[0], plain[-1] / width[-1]
    middle = np.zeros((1, 6))
    middle[0, list(TONES).index("mid_tones")] = np.sqrt(_MIDDLE_COUNTS)
    goals = np.vstack([np.sqrt(counts)[:, None] * rise, middle])
    wanted = np.append(np.sqrt(counts) * (1 - ends), middle @ plain[1:-1])
    kept = np.select([at[1:] <= 50, at[1:] <= 75], [_KEPT_BELOW, _KEPT_ABOVE], _KEPT_HIGHLIGHTS)
    least = np.maximum(kept * slopes, _LEAST_SLOPE)
    printed = least_squares_within(goals, wanted, rise, least - ends)
    moved = np.interp(printed, *_rising(tones.printed, tones.scale)) - at[1:-1]
    limit = ADJUSTMENTS["shadows"].high
    return np.clip(np.round(moved, 1), -limit, limit)


def _rising(printed, scale):
    """A response without its flat parts, so that it has one way back."""
    keep = np.append(np.diff(printed) > 1e-6, True)
    return printed[keep], scale[keep]


def least_squares_within(goals, wanted, limits, least) -> np.ndarray:
    """x with the smallest \\|goals x - wanted\\| among those with limits x >= least.

    By way of least-distance programming and non-negative least squares (Lawson and Hanson,
    Solving Least Squares Problems, 1974, chapter 23).

    Parameters
    ----------
    goals : (m, n) of rank n.
    wanted : (m,).
    limits : (k, n).
    least : (k,).

    Returns
    -------
    (n,) x.

    Raises
    ------
    ValueError
        where no x keeps within the limits.

    Examples
    --------
    >>> least_squares_within(np.eye(2), [0, 0], [[1, 1]], [2]).round(6).tolist()
    [1.0, 1.0]
    """
    from scipy.optimize import nnls

    q, r = np.linalg.qr(np.asarray(goals, float))
    start = np.linalg.solve(r, q.T @ np.asarray(wanted, float))
    narrowed = np.asarray(limits, float) @ np.linalg.inv(r)
    short = np.asarray(least, float) - np.asarray(limits, float) @ start
    system = np.vstack([narrowed.T, short])
    target = np.append(np.zeros(len(r)), 1.0)
    dual, left = nnls(system, target)
    if left < 1e-9:
        raise ValueError("No answer keeps within these limits.")
    residual = system @ dual - target
    return start + np.linalg.solve(r, -residual[:-1] / residual[-1])
