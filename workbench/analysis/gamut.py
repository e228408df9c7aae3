"""Which of a picture's colours a paper cannot hold: how many, how far, where, why.

A colour is beyond the paper when what the intent wished for and what the paper
comes to differ by more than the person's threshold and by more than the
profile's own noise.  With the perceptual and saturation intents everything moves
on purpose; there, "beyond" is judged by the colorimetric table, and "moved" says
what the intent does.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from workbench.analysis.colours import (
    Kept,
    distance_map,
    every_pixel,
    quick_colours,
    trip_key,
)
from workbench.analysis.words import (
    HUE_NAMES,
    LIGHTNESS_NAMES,
    colour_name,
    hue_index,
    lightness_index,
    percent,
)
from workbench.colour.difference import delta_e_2000_terms
from workbench.colour.engine import check_intent
from workbench.errors import WorkbenchError

REASONS = ("too dark", "too light", "too saturated")
_REASON_CLAUSES = (
    "too dark for this black",
    "too light for this white",
    "too saturated",
)

# differences are counted in steps of a tenth up to 60; the last bin holds the rest
STEP = 0.1
_BINS = 601
_SHAPE = (_BINS, len(REASONS), len(HUE_NAMES), len(LIGHTNESS_NAMES))
_CLASSES = int(np.prod(_SHAPE[1:]))


def _bins(difference: np.ndarray) -> np.ndarray:
    # a hair's breadth, so that a difference of exactly the threshold does not count as over
    return np.clip(np.ceil(difference / STEP - 1e-4) - 1, 0, _BINS - 1).astype(np.int64)


def why(wished, held) -> np.ndarray:
    """Index into `REASONS` for each colour, (..., 3) Lab as in `Trip`.

    The largest CIEDE2000 part of the way from the wish to what the paper holds decides:
    chroma lost means too saturated; otherwise lighter or darker tells the side.
    """
    lightness, chroma, hue, _ = delta_e_2000_terms(wished, held)
    colourful = np.hypot(np.minimum(chroma, 0), hue) >= np.abs(lightness)
    return np.where(colourful, 2, np.where(lightness > 0, 0, 1))


@dataclass(frozen=True, eq=False)
class GamutTally:
    """Counts from which a report at any threshold is read off at once.

    Attributes
    ----------
    beyond : counts by (difference step, reason, hue, lightness).
    moved : counts by difference step, picture to print.
    exact : whether every pixel was sent, or one colour for each cell of the census.
    """

    beyond: np.ndarray = field(repr=False)
    moved: np.ndarray = field(repr=False)
    picture: object = field(repr=False)
    paper: object = field(repr=False)
    intent: str
    black_point_compensation: bool
    exact: bool

    def report(self, threshold: float = 2.0) -> GamutReport:
        """The report at a threshold in CIEDE2000 (0.1..50)."""
        return _report(self, threshold)


@dataclass(frozen=True, eq=False)
class GamutReport:
    """What a paper cannot hold of a picture; shares are of the picture's pixels, 0..1.

    Attributes
    ----------
    share_outside : beyond the paper by more than ``limit``.
    limit : the larger of ``threshold`` and ``noise_floor``, CIEDE2000.
    share_moved : moved by more than ``limit`` from picture to print, on purpose or not.
    mean_shift : mean CIEDE2000 from picture to print.
    shift_percentiles : {50, 75, 90, 95, 99, 100: CIEDE2000} from picture to print.
    beyond_percentiles : the same for the distance from the wish to what the paper holds.
    distribution : share of pixels for each 0.1 step of that distance, the last step open.
    shift_distribution : the same from picture to print.
    reasons : {reason: share}.
    hues, lightnesses : {name: share} of the pixels outside.
    exact : True when every pixel was sent; False when counted by cells of the census.
    """

    share_outside: float
    threshold: float
    noise_floor: float
    limit: float
    share_moved: float
    mean_shift: float
    shift_percentiles: dict[int, float]
    beyond_percentiles: dict[int, float]
    distribution: np.ndarray = field(repr=False)
    shift_distribution: np.ndarray = field(repr=False)
    reasons: dict[str, float]
    hues: dict[str, float]
    lightnesses: dict[str, float]
    worst_colours: str
    worst_reason: str
    intent: str
    black_point_compensation: bool
    exact: bool
    pixels: int
    picture: object = field(repr=False)
    paper: object = field(repr=False)

    @property
    def sentence(self) -> str:
        """The answer in one sentence."""
        if self.share_outside < 0.0005:
            return "This paper holds practically all of the picture's colours."
        return (
            f"{percent(self.share_outside)} of the picture is beyond this paper, mostly "
            f"{self.worst_colours} that are {self.worst_reason}."
        )

    @property
    def far_sentence(self) -> str:
        """How far the colours move from picture to print, in one sentence."""
        if self.shift_percentiles[95] <= STEP:
            return "Practically every pixel prints as it is."
        return f"95 % of the pixels move by less than {self.shift_percentiles[95]:.1f} CIEDE2000."

    @property
    def why_sentence(self) -> str:
        """The reasons with their shares of the picture, the largest first, in one sentence."""
        clauses = dict(zip(REASONS, _REASON_CLAUSES, strict=True))
        found = sorted(self.reasons.items(), key=lambda item: -item[1])
        parts = [f"{percent(share)} is {clauses[r]}" for r, share in found if share >= 0.0005]
        if not parts:
            return "There is nothing to give reasons for."
        return f"{', '.join(parts).replace(' is', ' of the picture is', 1)}."

    @property
    def mask(self) -> np.ndarray:
        """(h, w) bool on a preview of at most 1200 pixels: True where beyond the paper."""
        return self.distance_map() > self.limit

    def distance_map(self, long_side_px: int = 1200) -> np.ndarray:
        """(h, w) CIEDE2000 by which each preview pixel lies beyond the paper."""
        return distance_map(
            self.picture,
            self.paper,
            intent=self.intent,
            black_point_compensation=self.black_point_compensation,
            long_side_px=long_side_px,
        )


def gamut_tally(
    picture,
    paper,
    *,
    intent: str = "relative",
    black_point_compensation: bool = False,
    exact: bool = True,
    cancelled=None,
    progress=None,
) -> GamutTally:
    """Count how far the paper moves the picture's colours.

    Parameters
    ----------
    exact : send every pixel, strip by strip on two threads (seconds for large pictures),
        or one colour for each occupied cell of the picture's census (tens of
        milliseconds).
    cancelled : called between strips; a true answer raises Cancelled.
    progress : called with the fraction done, 0..1.
    """
    check_intent(intent)

    def every():
        return _count_all(picture, paper, intent, black_point_compensation, cancelled, progress)

    def cells():
        colours = quick_colours(picture, paper, intent, black_point_compensation)
        return _count(colours.trip, paper.noise_floor, colours.counts)

    def make():
        beyond, moved = every() if exact else cells()
        return GamutTally(
            beyond=beyond.reshape(_SHAPE),
            moved=moved,
            picture=picture,
            paper=paper,
            intent=intent,
            black_point_compensation=bool(black_point_compensation),
            exact=exact,
        )

    key = trip_key(picture, paper, intent, black_point_compensation)
    return _tallies.get((*key, exact), make)


def known_tally(
    picture, paper, *, intent: str = "relative", black_point_compensation: bool = False
) -> GamutTally | None:
    """The exact tally where every pixel has been counted already, else None."""
    key = trip_key(picture, paper, intent, black_point_compensation)
    return _tallies.known((*key, True))


_tallies = Kept(16)


def _count(journey, noise_floor: float, weights=None):
    step = _bins(journey.beyond).ravel()
    cell = step * _CLASSES
    # below the noise nobody asks why, and most pixels lie there
    far = np.flatnonzero(journey.beyond.ravel() > noise_floor)
    source = journey.source.reshape(-1, 3)[far]
    kind = why(journey.wished.reshape(-1, 3)[far], journey.held.reshape(-1, 3)[far])
    kind = (kind * len(HUE_NAMES) + hue_index(source)) * len(LIGHTNESS_NAMES)
    cell[far] += kind + lightness_index(source)
    beyond = np.bincount(cell, weights, minlength=_BINS * _CLASSES)
    moved = _bins(journey.moved).ravel() if journey.moved is not journey.beyond else step
    return beyond, np.bincount(moved, weights, minlength=_BINS)


def _count_all(picture, paper, intent, black_point_compensation, cancelled, progress):
    beyond, moved = np.zeros(_BINS * _CLASSES), np.zeros(_BINS)
    floor = paper.noise_floor
    for part in every_pixel(
        picture,
        paper,
        intent,
        black_point_compensation,
        lambda journey: _count(journey, floor),
        cancelled=cancelled,
        progress=progress,
    ):
        beyond += part[0]
        moved += part[1]
    return beyond, moved


def _percentiles(counts: np.ndarray) -> dict[int, float]:
    total = np.cumsum(counts) / max(counts.sum(), 1)
    return {
        p: float((np.searchsorted(total, p / 100 - 1e-12) + 1) * STEP)
        for p in (50, 75, 90, 95, 99, 100)
    }


def _report(tally: GamutTally, threshold: float) -> GamutReport:
    try:
        threshold = float(threshold)
    except (TypeError, ValueError):
        raise WorkbenchError(f"“{threshold}” is no threshold; give a CIEDE2000 number.") from None
    if not 0.1 <= threshold <= 50:
        raise WorkbenchError("The threshold must lie between 0.1 and 50 CIEDE2000.")
    noise_floor = tally.paper.noise_floor
    limit = max(threshold, noise_floor)
    first = round(limit / STEP + 0.4999)
    beyond, total = tally.beyond, tally.beyond.sum()
    outside = beyond[first:].sum(axis=0)
    share = outside.sum() / total
    reasons = outside.sum(axis=(1, 2)) / total
    by_colour = outside.sum(axis=0)
    hue, lightness = np.unravel_index(np.argmax(by_colour), by_colour.shape)
    reason = int(np.argmax(outside[:, hue, lightness]))
    distribution = beyond.sum(axis=(1, 2, 3)) / total
    return GamutReport(
        share_outside=float(share),
        threshold=threshold,
        noise_floor=noise_floor,
        limit=limit,
        share_moved=float(tally.moved[first:].sum() / total),
        mean_shift=float(tally.moved @ ((np.arange(_BINS) + 0.5) * STEP) / total),
        shift_percentiles=_percentiles(tally.moved),
        beyond_percentiles=_percentiles(distribution),
        distribution=distribution,
        shift_distribution=tally.moved / total,
        reasons=dict(zip(REASONS, map(float, reasons), strict=True)),
        hues=dict(zip(HUE_NAMES, map(float, by_colour.sum(axis=1) / total), strict=True)),
        lightnesses=dict(
            zip(
                ("deep", "middle", "light"),
                map(float, by_colour.sum(axis=0) / total),
                strict=True,
            )
        ),
        worst_colours=colour_name(int(lightness), int(hue)),
        worst_reason=_REASON_CLAUSES[reason],
        intent=tally.intent,
        black_point_compensation=tally.black_point_compensation,
        exact=tally.exact,
        pixels=int(total),
        picture=tally.picture,
        paper=tally.paper,
    )


def gamut_report(
    picture,
    paper,
    *,
    intent: str = "relative",
    black_point_compensation: bool = False,
    threshold: float = 2.0,
    exact: bool = True,
    cancelled=None,
    progress=None,
) -> GamutReport:
    """What share of the picture the paper cannot hold, and why.

    Parameters
    ----------
    picture, paper : from `open_picture` and `open_paper`.
    intent : "perceptual", "relative" (media-relative colorimetric), "saturation" or
        "absolute" (ICC-absolute colorimetric).
    threshold : CIEDE2000 above which a colour counts as beyond the paper.
    exact, cancelled, progress : as for `gamut_tally`.

    Raises
    ------
    UntaggedPictureError
        if the picture has no colour profile yet.
    """
    tally = gamut_tally(
        picture,
        paper,
        intent=intent,
        black_point_compensation=black_point_compensation,
        exact=exact,
        cancelled=cancelled,
        progress=progress,
    )
    return tally.report(threshold)
