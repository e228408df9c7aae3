"""A picture's colours on a paper, counted once, and what share of them lies beyond a limit.

All pixels are counted into cells of the device cube (`Picture.census`).  A cell whose
corners and mean colour all lie on one side of the limit is decided as a whole; the pixels
of the others are counted again, finely, and each part is decided by its mean colour,
evaluated in floating point.  So shares are those of every pixel, at the price of two
passes of counting; see tests/benchmarks/bench_counts.py.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from itertools import product

import numpy as np

from workbench.analysis.colours import Kept, trip_key
from workbench.analysis.furthest import Furthest, furthest_first
from workbench.analysis.words import HUE_NAMES, LIGHTNESS_NAMES, hue_index, lightness_index
from workbench.bands import WORKERS, in_order
from workbench.colour.difference import delta_e_2000_terms
from workbench.colour.engine import check_intent
from workbench.colour.trip import Trip, trip
from workbench.language import tr
from workbench.paper import Paper
from workbench.picture.census import Census
from workbench.picture.picture import Picture
from workbench.rendering import DEFAULTS

#: reasons by the names that no language changes, and as they are read
REASON_WORDS = {
    "too saturated": tr("too saturated"),
    "too dark": tr("too dark"),
    "too light": tr("too light"),
}
REASONS = tuple(REASON_WORDS)
# of shares: reasons, hues, lightnesses
SHAPE = (len(REASONS), len(HUE_NAMES), len(LIGHTNESS_NAMES))

_PLACES = int(np.prod(SHAPE))

# differences are counted in steps of a tenth up to 60; the last bin holds the rest
STEP = 0.1
_BINS = 601

# pixels by which the mean is mended for what is bent inside cells
_OF_SAMPLE = 8192
# CIEDE2000 by which a cell may reach beyond its corners and its mean
_MARGIN = 0.15


def why(source, held) -> np.ndarray:
    """Index into `REASONS` for each colour, (..., 3) Lab as in `Trip`.

    The largest CIEDE2000 part of the way from the picture to what the paper holds decides:
    chroma lost or hue turned means too saturated; otherwise lighter or darker tells the side.
    """
    lightness, chroma, hue, _ = delta_e_2000_terms(source, held)
    colourful = np.hypot(np.minimum(chroma, 0), hue) >= np.abs(lightness)
    return np.where(colourful, 0, np.where(lightness > 0, 1, 2))


@dataclass(frozen=True, eq=False)
class Share:
    """What lies beyond a limit, as shares 0..1.

    Attributes
    ----------
    pixels : of the picture's pixels, by reason, hue and lightness; for shifts the reason is
        always the first.
    colours : of the picture's distinct colours, by reason.
    exact : every pixel decided, or some estimated.
    """

    pixels: np.ndarray = field(repr=False)
    colours: np.ndarray = field(repr=False)
    exact: bool


@dataclass(frozen=True, eq=False)
class Counts:
    """A picture's colours in cells, and what a paper makes of them; from `count_gamut`, `count_shift`.

    Attributes
    ----------
    census : of the picture.
    intent, black_point_compensation : of the shift; None for what the paper cannot hold.
    """

    picture: Picture = field(repr=False)
    paper: Paper = field(repr=False)
    intent: str | None
    black_point_compensation: bool | None
    census: Census = field(repr=False)
    _shares: dict = field(default_factory=dict, repr=False)

    @property
    def counts(self) -> np.ndarray:
        """(n,) pixels of each cell."""
        return self.census.counts

    @cached_property
    def trip(self) -> Trip:
        """That of the mean colour of each cell."""
        return self._send(self.census.colours)

    @cached_property
    def distance(self) -> np.ndarray:
        """(n,) CIEDE2000 by which each cell's mean lies beyond the paper, or is moved."""
        return self._judged[0]

    @cached_property
    def distribution(self) -> np.ndarray:
        """Share of the pixels for each `STEP` of distance, the last step open."""
        # a hair's breadth, so that a whole number of steps does not count as more
        step = np.clip(np.ceil(self.distance / STEP - 1e-4) - 1, 0, _BINS - 1).astype(np.intp)
        shares = np.bincount(step, self.counts, minlength=_BINS) / self.counts.sum()
        shares.setflags(write=False)  # every threshold's report has the same
        return shares

    @cached_property
    def percentiles(self) -> dict[int, float]:
        """{percent of the pixels: the distance that so many lie within}."""
        below = np.cumsum(self.distribution)
        return {
            p: float((np.searchsorted(below, p / 100 - 1e-12) + 1) * STEP)
            for p in (50, 75, 90, 95, 99, 100)
        }

    @cached_property
    def mean_distance(self) -> float:
        """Mean of all pixels: that of the cells, and what some pixels differ from their cell's."""
        some = slice(None, None, max(1, len(self.census.sample) // _OF_SAMPLE))
        pixels = self._distance(self._send(self.census.sample[some]))
        bent = float(np.mean(pixels - self.distance[self.census.sample_cells[some]]))
        return float(np.average(self.distance, weights=self.counts)) + bent

    def share(self, limit: float, *, exact: bool = True, cancelled=None, progress=None) -> Share:
        """What lies beyond a limit in CIEDE2000.

        Parameters
        ----------
        exact : decide every pixel (one more pass over the picture), or estimate at once
            what lies in cells across the limit by a sample, within 0.002.
        cancelled : asked between strips; a true answer raises Cancelled.
        progress : told the share done, 0..1.
        """
        key = float(limit), bool(exact)
        if key not in self._shares:
            make = self._decided if exact else self._estimated
            self._shares[key] = make(limit, cancelled, progress)
        return self._shares[key]

    # what is asked of colours: `intent` tells shifts from what the paper cannot hold

    def _distance(self, journey: Trip) -> np.ndarray:
        return journey.beyond if self.intent is None else journey.moved

    def _kinds(self, journey: Trip) -> np.ndarray:
        if self.intent is None:
            return why(journey.source, journey.held)
        return np.zeros(len(journey.source), np.intp)

    def _judge(self, colours: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """Distance, place in `SHAPE` and reason of each colour, on two threads."""

        def judge(some):
            journey = self._send(some)
            kinds = self._kinds(journey)
            return self._distance(journey), _place(kinds, journey.source), kinds

        found = in_order(judge, np.array_split(colours, WORKERS))
        distance, place, kinds = (np.concatenate(each) for each in zip(*found, strict=True))
        return distance, place, kinds

    @cached_property
    def _judged(self) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        return self._judge(self.census.colours)

    def _send(self, colours: np.ndarray) -> Trip:
        """The trip of device colours 0..1, in floating point."""
        source, paper = self.picture.require_profile(), self.paper.profile
        how = self.intent or "relative", bool(self.black_point_compensation)
        return trip(np.ascontiguousarray(colours, np.float32), source, paper, *how)

    def _reach(self) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """Least and largest distance at each cell's corners and mean, and whether reasons differ."""
        side, channels = 2**self.census.bits + 1, self.census.colours.shape[1]
        place = np.stack(np.unravel_index(self.census.cells, (side - 1,) * channels), axis=1)
        corners = np.stack(
            [
                np.ravel_multi_index(tuple((place + step).T), (side,) * channels)
                for step in product((0, 1), repeat=channels)
            ]
        )
        needed = np.zeros(side**channels, bool)
        needed[corners] = True
        nodes = np.flatnonzero(needed)
        rank = np.zeros(side**channels, np.intp)
        rank[nodes] = np.arange(len(nodes))
        colours = np.stack(np.unravel_index(nodes, (side,) * channels), axis=1) / (side - 1)
        distance, _, kind = self._judge(colours)
        at = rank[corners]
        all_distances = np.concatenate([distance[at], self.distance[None]])
        mixed = (kind[at] != self._judged[2]).any(axis=0)
        return all_distances.min(axis=0), all_distances.max(axis=0), mixed

    @cached_property
    def _furthest(self) -> Furthest:
        distance, place, kind = self._judged
        if self.census.can_split:
            low, high, mixed = self._reach()
            low, high = np.where(mixed, -np.inf, low - _MARGIN), high + _MARGIN
        else:  # every cell is one colour
            low, high = np.full(len(distance), np.inf), distance
        sampled = self._judge(self.census.sample)[:2]
        return furthest_first(self.census, low, high, distance, place, kind, *sampled)

    def _decided(self, limit: float, cancelled, progress) -> Share:
        near = self._furthest.beyond(limit)
        is_open = near.low <= limit
        if not is_open.any():
            return self._total(limit, near, ~is_open, 0, 0)
        chosen = np.zeros(len(self.counts), bool)
        chosen[near.cells[is_open]] = True
        parts = self.census.split(chosen, cancelled=cancelled, progress=progress)
        distance, place, kind = self._judge(parts.colours)
        out = distance > limit
        return self._total(
            limit,
            near,
            ~is_open,
            np.bincount(place[out], parts.counts[out], minlength=_PLACES),
            np.bincount(kind[out], parts.distinct[out], minlength=len(REASONS)),
        )

    def _estimated(self, limit: float, cancelled, progress) -> Share:
        """Open cells by the pixels that the sample has in them, if it has any."""
        near = self._furthest.beyond(limit)
        is_open = near.low <= limit
        inside = is_open[near.sample_cells]
        if not inside.any():
            return self._total(limit, near, np.ones_like(is_open), 0, 0, exact=False)
        out = inside & (near.sample_distance > limit)
        weight = near.counts[is_open].sum() / np.count_nonzero(inside)
        over = is_open & (near.distance > limit)
        return self._total(
            limit,
            near,
            ~is_open,
            weight * np.bincount(near.sample_place[out], minlength=_PLACES),
            np.bincount(near.kind[over], near.distinct[over], minlength=len(REASONS)),
            exact=False,
        )

    def _total(self, limit: float, near, whole, pixels, colours, exact: bool = True) -> Share:
        """Cells decided as a whole, and what was found in the others."""
        over = np.flatnonzero(whole & (near.distance > limit))
        pixels = pixels + np.bincount(near.place[over], near.counts[over], minlength=_PLACES)
        colours = colours + np.bincount(
            near.kind[over], near.distinct[over], minlength=len(REASONS)
        )
        all_pixels, all_colours = self._sums
        return Share(pixels.reshape(SHAPE) / all_pixels, colours / all_colours, exact)

    @cached_property
    def _sums(self) -> tuple[int, int]:
        return int(self.counts.sum()), int(self.census.distinct.sum())


def _place(kinds, lab) -> np.ndarray:
    return np.ravel_multi_index((kinds, hue_index(lab), lightness_index(lab)), SHAPE)


_kept = Kept(24)


def _count(picture: Picture, paper: Paper, intent, compensate, cancelled, progress) -> Counts:
    picture.require_profile()
    census = picture.census(cancelled=cancelled, progress=progress)
    return _kept.get(
        trip_key(picture, paper, intent, compensate),
        lambda: Counts(picture, paper, intent, compensate, census),
    )


def count_gamut(picture: Picture, paper: Paper, *, cancelled=None, progress=None) -> Counts:
    """The picture's colours and how far each lies beyond the paper, whatever the rendering.

    Parameters
    ----------
    picture, paper : from `open_picture` and `open_paper`.
    cancelled : asked between bands; true ends the count with `Cancelled`.
    progress : told the share done, 0..1.

    Returns
    -------
    Counts, to be passed on to `gamut_report` and others.

    Raises
    ------
    UntaggedPictureError
        for a picture without a profile.

    Examples
    --------
    >>> counts = wb.count_gamut(picture, papers[0])
    >>> shares = [
    ...     wb.gamut_report(picture, papers[0], threshold=3, **given).share_outside
    ...     for given in ({"counts": counts}, {})
    ... ]
    >>> shares[0] == shares[1]
    True
    """
    return _count(picture, paper, None, None, cancelled, progress)


def count_shift(
    picture: Picture,
    paper: Paper,
    *,
    intent: str = DEFAULTS.intent,
    black_point_compensation: bool = DEFAULTS.black_point_compensation,
    cancelled=None,
    progress=None,
) -> Counts:
    """The picture's colours and how far a rendering moves each from picture to print.

    Parameters
    ----------
    picture, paper : from `open_picture` and `open_paper`.
    intent, black_point_compensation : of the print.
    cancelled : asked between bands; true ends the count with `Cancelled`.
    progress : told the share done, 0..1.

    Returns
    -------
    Counts, to be passed on to `colour_shift` and others.

    Raises
    ------
    UntaggedPictureError
        for a picture without a profile.

    Examples
    --------
    >>> counts = wb.count_shift(picture, papers[0], intent="perceptual")
    >>> shift = wb.colour_shift(picture, papers[0], intent="perceptual", counts=counts)
    >>> 0 <= shift.share_moved <= 1
    True
    """
    compensate = bool(black_point_compensation)
    return _count(picture, paper, check_intent(intent), compensate, cancelled, progress)
