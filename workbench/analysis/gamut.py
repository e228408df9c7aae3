"""Which of a picture's colours a paper cannot hold: how many, why, where; and how far a print moves them.

What a paper cannot hold is a fact of picture and paper: a colour is out of gamut when it
and the nearest that the paper's colorimetric table comes to, both media-relative and
without black point compensation, differ by more than the person's threshold and by more
than the profile's own noise.  How far a rendering moves the colours is another question.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import numpy as np

from workbench.analysis.colours import distance_map
from workbench.analysis.counts import REASONS, STEP, Counts, Share, count_gamut, count_shift
from workbench.analysis.words import HUE_NAMES, LIGHTNESS_NAMES, colour_name, percent
from workbench.decisions import DECISIONS
from workbench.errors import WorkbenchError
from workbench.language import tr
from workbench.paper import Paper
from workbench.picture.picture import Picture
from workbench.rendering import DEFAULTS
from workbench.results import Result

_CLAUSES = {
    "too saturated": tr("too saturated"),
    "too dark": tr("too dark for this black"),
    "too light": tr("too light for this white"),
}


def counted_words(threshold: float) -> str:
    """From what CIEDE2000 beyond the paper on a share out of gamut is counted, in a sentence.

    >>> counted_words(2)
    'Counted is what lies further out than 2 CIEDE2000.'
    """
    return tr("Counted is what lies further out than {threshold:g} CIEDE2000.", threshold=threshold)


def checked_threshold(threshold) -> float:
    """A threshold in CIEDE2000, 0.1..50, as a number; otherwise a WorkbenchError."""
    return DECISIONS["threshold"].check(threshold)


@dataclass(frozen=True, eq=False)
class GamutReport(Result):
    """What a paper cannot hold of a picture; shares are of the picture's pixels, 0..1.

    Attributes
    ----------
    share_outside : out of gamut by more than ``limit``: the sum of the next three.
    share_too_saturated, share_too_dark, share_too_light : by reason.
    colours_outside, colours_too_saturated, colours_too_dark, colours_too_light : the same
        of the picture's distinct colours, however many pixels have each; distinct are those
        told apart at 8 bits per channel.
    limit : the larger of ``threshold`` and ``noise_floor``, CIEDE2000.
    percentiles : {50, 75, 90, 95, 99, 100: CIEDE2000} of the distance beyond the paper.
    distribution : share of pixels for each 0.1 step of that distance, the last step open.
    hues, lightnesses : {name: share} of the pixels outside.
    worst_colours, worst_reason : hue and lightness of the largest share of them, which may be
        less than half, and the reason for most of that.
    exact : every pixel decided, or some estimated by a sample (within 0.002); percentiles
        and distribution are always by the cells of the census.
    counts : from which another threshold is read.
    """

    _drawn_by = "workbench.figures.gamut:ReasonsFigure"

    share_outside: float
    share_too_saturated: float
    share_too_dark: float
    share_too_light: float
    colours_outside: float
    colours_too_saturated: float
    colours_too_dark: float
    colours_too_light: float
    threshold: float
    noise_floor: float
    limit: float
    percentiles: dict[int, float]
    distribution: np.ndarray = field(repr=False)
    hues: dict[str, float]
    lightnesses: dict[str, float]
    worst_colours: str
    worst_reason: str
    exact: bool
    pixels: int
    counts: Counts = field(repr=False)

    @property
    def reasons(self) -> dict[str, float]:
        """{reason: share}, in the order of `REASONS`."""
        shares = self.share_too_saturated, self.share_too_dark, self.share_too_light
        return dict(zip(REASONS, shares, strict=True))

    @property
    def sentence(self) -> str:
        """The answer in one sentence."""
        if self.share_outside < 0.0005:
            return tr("This paper holds practically all of the picture's colours.")
        return tr(
            "{percent} of the picture is out of this paper's gamut, above all {worst_colours} "
            "that are {worst_reason}.",
            percent=percent(self.share_outside),
            worst_colours=self.worst_colours,
            worst_reason=self.worst_reason,
        )

    @property
    def why_sentence(self) -> str:
        """The reasons with their shares of the picture, the largest first, in one sentence."""
        found = sorted(self.reasons.items(), key=lambda item: -item[1])
        parts = [(percent(share), _CLAUSES[reason]) for reason, share in found if share >= 0.0005]
        if not parts:
            return tr("There is nothing to give reasons for.")
        (share, clause), *more = parts
        said = [tr("{share} of the picture is {reason}", share=share, reason=clause)]
        said += [tr("{share} is {reason}", share=share, reason=clause) for share, clause in more]
        return f"{', '.join(said)}."

    @property
    def mask(self) -> np.ndarray:
        """(h, w) bool on a preview of at most 1200 pixels: True where out of gamut."""
        return self.distance_map() > self.limit

    def distance_map(self, long_side_px: int = 1200) -> np.ndarray:
        """(h, w) CIEDE2000 by which each preview pixel lies beyond the paper."""
        return distance_map(self.counts.picture, self.counts.paper, long_side_px=long_side_px)


def _about(picture: Picture, paper: Paper, counts: Counts | None, *rendering) -> Counts | None:
    """The counts, if they are there; a WorkbenchError if they are of something else."""
    if counts is None:
        return None
    of = counts.picture, counts.paper, counts.intent, counts.black_point_compensation
    if of[0] is not picture or of[1].icc.checksum != paper.icc.checksum or of[2:] != rendering:
        raise WorkbenchError(
            tr("These counts are of another picture, paper or rendering; leave them out.")
        )
    return counts


def gamut_report(
    picture: Picture,
    paper: Paper,
    *,
    threshold: float = DEFAULTS.threshold,
    counts: Counts | None = None,
    exact: bool = True,
    cancelled=None,
    progress=None,
) -> GamutReport:
    """What share of the picture the paper cannot hold, and why; whatever the rendering.

    Parameters
    ----------
    picture, paper : from `open_picture` and `open_paper`.
    threshold : CIEDE2000 above which a colour counts as beyond the paper, 0.1..50.
    counts : from `count_gamut`, if they are there already.
    exact : decide every pixel, or estimate at once.
    cancelled : called between strips; a true answer raises Cancelled.
    progress : called with the fraction done, 0..1.

    Returns
    -------
    A GamutReport.

    Raises
    ------
    UntaggedPictureError
        if the picture has no colour profile yet.
    WorkbenchError
        for another threshold, or counts of something else.

    Examples
    --------
    >>> import workbench as wb
    >>> report = wb.gamut_report(wb.demo_picture(), wb.demo_papers()[0])
    >>> reasons = report.share_too_saturated, report.share_too_dark, report.share_too_light
    >>> report.share_outside == sum(reasons)
    True
    """
    threshold = checked_threshold(threshold)
    work: dict[str, Any] = {"cancelled": cancelled, "progress": progress}
    counts = _about(picture, paper, counts, None, None) or count_gamut(picture, paper, **work)
    limit = max(threshold, paper.noise_floor)
    share = counts.share(limit, exact=exact, **work)
    saturated, dark, light = (float(each) for each in share.pixels.sum(axis=(1, 2)))
    by_colour = share.pixels.sum(axis=0)
    hue, lightness = np.unravel_index(np.argmax(by_colour), by_colour.shape)
    colours = [float(each) for each in share.colours]
    return GamutReport(
        share_outside=saturated + dark + light,
        share_too_saturated=saturated,
        share_too_dark=dark,
        share_too_light=light,
        colours_outside=sum(colours),
        colours_too_saturated=colours[0],
        colours_too_dark=colours[1],
        colours_too_light=colours[2],
        threshold=threshold,
        noise_floor=paper.noise_floor,
        limit=limit,
        percentiles=dict(counts.percentiles),
        distribution=counts.distribution,
        hues=_named(HUE_NAMES, by_colour.sum(axis=1)),
        lightnesses=_named(LIGHTNESS_NAMES, by_colour.sum(axis=0)),
        worst_colours=colour_name(int(lightness), int(hue)),
        worst_reason=_CLAUSES[REASONS[int(np.argmax(share.pixels[:, hue, lightness]))]],
        exact=share.exact,
        pixels=int(counts.counts.sum()),
        counts=counts,
    )


def _named(names, shares) -> dict[str, float]:
    return dict(zip(names, map(float, shares), strict=True))


@dataclass(frozen=True, eq=False)
class ColourShift(Result):
    """How far a rendering moves a picture's colours, on purpose or not.

    With the intent "absolute" against the paper's measured white, otherwise media-relative.

    Attributes
    ----------
    share_moved : share of the pixels, 0..1, moved by more than ``limit``.
    limit : the larger of ``threshold`` and the paper's noise floor, CIEDE2000.
    mean : mean CIEDE2000 from picture to print.
    percentiles : {50, 75, 90, 95, 99, 100: CIEDE2000}.
    distribution : share of pixels for each 0.1 step, the last step open.
    exact : every pixel decided, or some estimated by a sample; mean, percentiles and
        distribution are always by the cells of the census.
    counts : from which another threshold is read.
    """

    share_moved: float
    threshold: float
    limit: float
    mean: float
    percentiles: dict[int, float]
    distribution: np.ndarray = field(repr=False)
    intent: str
    black_point_compensation: bool
    exact: bool
    counts: Counts = field(repr=False)

    @property
    def sentence(self) -> str:
        """How far the colours move from picture to print, in one sentence."""
        if self.percentiles[95] <= STEP:
            return tr("Practically every pixel prints as it is.")
        return tr(
            "95 % of the pixels move by less than {distance:.1f} CIEDE2000.",
            distance=self.percentiles[95],
        )


def colour_shift(
    picture: Picture,
    paper: Paper,
    *,
    intent: str = DEFAULTS.intent,
    black_point_compensation: bool = DEFAULTS.black_point_compensation,
    threshold: float = DEFAULTS.threshold,
    counts: Counts | None = None,
    exact: bool = True,
    cancelled=None,
    progress=None,
) -> ColourShift:
    """How far the chosen rendering moves the picture's colours from picture to print.

    Parameters
    ----------
    intent : "perceptual", "relative" (media-relative colorimetric), "saturation" or
        "absolute" (ICC-absolute colorimetric).
    counts : from `count_shift`, if they are there already.
    threshold, exact, cancelled, progress : as for `gamut_report`.

    Returns
    -------
    A ColourShift.

    Raises
    ------
    UntaggedPictureError, ProfileError, WorkbenchError

    Examples
    --------
    >>> import workbench as wb
    >>> shift = wb.colour_shift(wb.demo_picture(), wb.demo_papers()[0])
    >>> 0 < shift.mean <= shift.percentiles[100]
    True
    """
    threshold = checked_threshold(threshold)
    compensate = bool(black_point_compensation)
    work: dict[str, Any] = {"cancelled": cancelled, "progress": progress}
    counts = _about(picture, paper, counts, intent, compensate) or count_shift(
        picture, paper, intent=intent, black_point_compensation=compensate, **work
    )
    limit = max(threshold, paper.noise_floor)
    share: Share = counts.share(limit, exact=exact, **work)
    return ColourShift(
        share_moved=float(share.pixels.sum()),
        threshold=threshold,
        limit=limit,
        mean=counts.mean_distance,
        percentiles=dict(counts.percentiles),
        distribution=counts.distribution,
        intent=intent,
        black_point_compensation=compensate,
        exact=share.exact,
        counts=counts,
    )
