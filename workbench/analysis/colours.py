"""What a paper makes of a picture: previews, maps, and going through every pixel."""

from __future__ import annotations

import threading
import weakref
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any

import numpy as np

from workbench.bands import in_order
from workbench.colour.grid import ColourGrid, grid_colours
from workbench.colour.profile import CHANNELS, read_profile
from workbench.colour.trip import Trip, trip
from workbench.paper import Paper
from workbench.picture.picture import Picture
from workbench.rendering import DEFAULTS

# of which results are kept: they hold on to the pixels, gigabytes in the worst case
_MOST_PICTURES = 2


class Kept:
    """The few latest results by key, whose first part is the picture; of two pictures at most.

    The picture itself is not held: its results go with the next one asked for.
    """

    def __init__(self, size: int):
        self._size, self._lock = size, threading.Lock()
        self._items: dict[Any, Any] = {}

    def get(self, key, make: Callable):
        picture, *rest = key
        own = weakref.ref(picture), *rest
        with self._lock:
            if own in self._items:
                self._items[own] = self._items.pop(own)
                return self._items[own]
        value = make()
        with self._lock:
            self._items[own] = value
            pictures = list(dict.fromkeys(id(each[0]()) for each in reversed(self._items)))
            for each in list(self._items):
                left = each[0]() is None or id(each[0]()) in pictures[_MOST_PICTURES:]
                if left or len(self._items) > self._size:
                    del self._items[each]
        return value


_previews = Kept(12)


def trip_key(picture: Picture, paper: Paper, intent, black_point_compensation) -> tuple:
    """What a trip's results depend on."""
    return picture, paper.icc.checksum, intent, bool(black_point_compensation)


def preview_trip(
    picture: Picture, paper: Paper, intent: str, black_point_compensation: bool, long_side_px: int
) -> Trip:
    """The trip of every pixel of a preview, (h, w, 3)."""

    def make():
        return trip(
            picture.preview(long_side_px),
            picture.require_profile(),
            paper.profile,
            intent,
            black_point_compensation,
        )

    key = (*trip_key(picture, paper, intent, black_point_compensation), long_side_px)
    return _previews.get(key, make)


# large enough that setting up a transform does not count, small enough to stay in memory
_STRIP_PIXELS = 2**20


def in_strips(picture: Picture, work: Callable, *, cancelled=None, progress=None):
    """Yield ``work(pixels)`` of (n, channels) strips that together hold every pixel once.

    Two strips are at work at a time: the engine and numpy leave the interpreter lock.

    Parameters
    ----------
    cancelled : called between strips; a true answer raises Cancelled.
    progress : called with the fraction done, 0..1.
    """
    total, done = picture.width_px * picture.height_px, 0

    def one(strip: np.ndarray):
        flat = strip.reshape(-1, picture.channels)
        return work(flat), len(flat)

    strips = picture.strips(max_pixels=_STRIP_PIXELS)
    for result, size in in_order(one, strips, cancelled=cancelled):
        yield result
        done += size
        if progress:
            progress(done / total)


def distance_map(
    picture: Picture,
    paper: Paper,
    *,
    intent: str | None = None,
    black_point_compensation: bool = DEFAULTS.black_point_compensation,
    long_side_px: int = 1200,
    exact: bool = True,
) -> np.ndarray:
    """(h, w) CIEDE2000 by which each pixel of a preview lies beyond the paper, or is moved.

    Parameters
    ----------
    intent : of the print that moves the colours; None for what the paper cannot hold.
    exact : send every preview pixel on the trip (tenths of a second for a million), or
        interpolate between 33 steps a channel (a tenth of that).
    """
    how = ("relative", False) if intent is None else (intent, bool(black_point_compensation))
    of = "beyond" if intent is None else "moved"
    if exact:
        return getattr(preview_trip(picture, paper, *how, long_side_px), of)
    grid = _distance_grid(picture.require_profile(), paper.profile, *how, of)
    values = grid.apply(picture.preview(long_side_px), np.uint16)[..., 0]
    return values.astype(np.float32) * (_GRID_SPAN / 65535)


# the grid holds differences up to this; more is shown as this much
_GRID_SPAN = 64.0


@lru_cache(maxsize=24)
def _distance_grid(source: bytes, paper: bytes, intent: str, compensate: bool, of: str):
    channels = CHANNELS[read_profile(source).space]
    distance = getattr(trip(grid_colours(channels), source, paper, intent, compensate), of)
    values = np.repeat(distance[:, None], 3, axis=1)
    return ColourGrid(values / _GRID_SPAN, channels)


@dataclass(frozen=True, eq=False)
class Gathered:
    """A picture's colours gathered into cells of Lab, few enough to draw; most pixels last.

    Attributes
    ----------
    lab : (n, 3) mean colour of each cell.
    shares : (n,) of the picture's pixels, 0..1.
    beyond : (n,) mean CIEDE2000 by which its colours lie beyond the paper.
    """

    lab: np.ndarray = field(repr=False)
    shares: np.ndarray = field(repr=False)
    beyond: np.ndarray = field(repr=False)


def gathered(
    counts, *, cell: float = 6.0, lightness: float | None = None, depth: float = 2.5
) -> Gathered:
    """The picture's colours, media-relative, gathered for a drawing beside the paper's gamut.

    Parameters
    ----------
    counts : from `count_gamut`.
    cell : edge of a cell in Lab units.
    lightness : keep only colours within ``depth`` L* of this, and gather them by a* and b*.
    """
    lab, counts, beyond = counts.trip.source, counts.counts, counts.distance
    total = max(counts.sum(), 1)
    if lightness is not None:
        near = np.flatnonzero(np.abs(lab[:, 0] - lightness) <= depth)
        lab, counts, beyond = lab[near], counts[near], beyond[near]
    place = np.floor(lab / cell).astype(np.int64) + 128
    key = place[:, 1] * 256 + place[:, 2]
    if lightness is None:
        key += place[:, 0] * 65536
        _, owner = np.unique(key, return_inverse=True)
    else:  # so few keys that counting them is quicker than sorting
        taken = np.bincount(key, minlength=1) > 0
        owner = (np.cumsum(taken) - 1)[key]
    shares = np.bincount(owner, counts)
    means = [np.bincount(owner, counts * v) / shares for v in (*lab.T, beyond)]
    order = np.argsort(shares)
    return Gathered(
        lab=np.stack(means[:3], axis=1)[order],
        shares=shares[order] / total,
        beyond=means[3][order],
    )
