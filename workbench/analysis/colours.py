"""A picture's colours and what a paper makes of them, counted once and kept.

The quick way counts the whole picture into cells of its device cube and sends
one colour a cell on the trip, so that small saturated areas are not averaged
away; the exact way sends every pixel.
"""

from __future__ import annotations

import threading
from collections import deque
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from functools import lru_cache
from itertools import chain

import numpy as np

from workbench.colour.grid import ColourGrid, grid_colours
from workbench.colour.profile import CHANNELS, read_profile
from workbench.colour.trip import Trip, trip
from workbench.errors import Cancelled, WorkbenchError

QUICK_BITS = 6


@dataclass(frozen=True, eq=False)
class Colours:
    """Colours with their counts, and their trip to a paper."""

    trip: Trip = field(repr=False)
    counts: np.ndarray = field(repr=False)


class Kept:
    """The few latest results by key; one lock, so a result is made once."""

    def __init__(self, size: int):
        self._size, self._items, self._lock = size, {}, threading.Lock()

    def known(self, key):
        """The result of a key if it is kept, else None."""
        with self._lock:
            return self._items.get(key)

    def get(self, key, make: Callable):
        with self._lock:
            if key in self._items:
                self._items[key] = self._items.pop(key)
                return self._items[key]
        value = make()
        with self._lock:
            self._items[key] = value
            while len(self._items) > self._size:
                self._items.pop(next(iter(self._items)))
        return value


_quick = Kept(24)
_previews = Kept(12)


def trip_key(picture, paper, intent, black_point_compensation) -> tuple:
    """What a trip's results depend on."""
    # the picture itself is part of the key, so that it lives as long as its entry
    return picture, paper.icc.checksum, intent, bool(black_point_compensation)


def quick_colours(picture, paper, intent: str, black_point_compensation: bool) -> Colours:
    """The whole picture in some ten thousand colours, with their trip."""

    def make():
        colours, counts = picture.census(QUICK_BITS)
        return Colours(
            trip(
                np.ascontiguousarray(colours, np.float32),
                picture.require_profile(),
                paper.profile,
                intent,
                black_point_compensation,
            ),
            counts,
        )

    return _quick.get(trip_key(picture, paper, intent, black_point_compensation), make)


def preview_trip(
    picture, paper, intent: str, black_point_compensation: bool, long_side_px: int
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


def every_pixel(
    picture,
    paper,
    intent: str,
    black_point_compensation: bool,
    digest: Callable[[Trip], object],
    *,
    cancelled=None,
    progress=None,
):
    """Yield ``digest(trip)`` of strips that together hold every pixel of the picture once.

    Two strips are at work at a time: the engine and numpy leave the interpreter lock.

    Parameters
    ----------
    cancelled : called between strips; a true answer raises Cancelled.
    progress : called with the fraction done, 0..1.
    """
    source = picture.require_profile()

    def work(flat):
        return digest(trip(flat, source, paper.profile, intent, black_point_compensation))

    yield from in_strips(picture, work, cancelled=cancelled, progress=progress)


def in_strips(picture, work: Callable, *, cancelled=None, progress=None):
    """Yield ``work(pixels)`` of (n, channels) strips that together hold every pixel once.

    Two strips are at work at a time; ``cancelled`` and ``progress`` as for `every_pixel`.
    """
    total, done = picture.width_px * picture.height_px, 0
    with ThreadPoolExecutor(2) as pool:
        waiting: deque = deque()
        try:
            for strip in chain(picture.strips(max_pixels=_STRIP_PIXELS), (None, None)):
                if cancelled and cancelled():
                    raise Cancelled
                if strip is not None:
                    flat = strip.reshape(-1, picture.channels)
                    waiting.append((pool.submit(work, flat), len(flat)))
                if waiting and (strip is None or len(waiting) > 2):
                    task, size = waiting.popleft()
                    yield task.result()
                    done += size
                    if progress:
                        progress(done / total)
        finally:
            for task, _ in waiting:
                task.cancel()


def distance_map(
    picture,
    paper,
    *,
    intent: str = "relative",
    black_point_compensation: bool = False,
    long_side_px: int = 1200,
    exact: bool = True,
    of: str = "beyond",
) -> np.ndarray:
    """(h, w) CIEDE2000 by which each pixel of a preview lies beyond the paper, or is moved.

    Parameters
    ----------
    exact : send every preview pixel on the trip (tenths of a second for a million), or
        interpolate between 33 steps a channel (a tenth of that).
    of : "beyond" or "moved", as in `Trip`.
    """
    if of not in ("beyond", "moved"):
        raise WorkbenchError(f"A map shows what is “beyond” or “moved”, not “{of}”.")
    if exact:
        return getattr(
            preview_trip(picture, paper, intent, black_point_compensation, long_side_px), of
        )
    grid = _distance_grid(
        picture.require_profile(), paper.profile, intent, bool(black_point_compensation)
    )
    values = grid.apply(picture.preview(long_side_px), np.uint16)[..., int(of == "moved")]
    return values.astype(np.float32) * (_GRID_SPAN / 65535)


# the grid holds differences up to this; more is shown as this much
_GRID_SPAN = 64.0


@lru_cache(maxsize=24)
def _distance_grid(source: bytes, paper: bytes, intent: str, compensate: bool) -> ColourGrid:
    channels = CHANNELS[read_profile(source).space]
    journey = trip(grid_colours(channels), source, paper, intent, compensate)
    values = np.stack([journey.beyond, journey.moved, 0 * journey.beyond], axis=1)
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
    colours: Colours, *, cell: float = 6.0, lightness: float | None = None, depth: float = 2.5
) -> Gathered:
    """What the intent wished to print, gathered for a drawing beside the paper's gamut.

    Parameters
    ----------
    colours : from `quick_colours`; their ``trip.wished`` is drawn.
    cell : edge of a cell in Lab units.
    lightness : keep only colours within ``depth`` L* of this, and gather them by a* and b*.
    """
    lab, counts, beyond = colours.trip.wished, colours.counts, colours.trip.beyond
    total = max(counts.sum(), 1)
    if lightness is not None:
        near = np.flatnonzero(np.abs(lab[:, 0] - lightness) <= depth)
        lab, counts, beyond = lab[near], counts[near], beyond[near]
    place = np.floor(lab / cell).astype(np.int64) + 128
    key = place[:, 1] * 256 + place[:, 2]
    if lightness is None:
        key += place[:, 0] * 65536
    _, owner = np.unique(key, return_inverse=True)
    shares = np.bincount(owner, counts)
    means = [np.bincount(owner, counts * v) / shares for v in (*lab.T, beyond)]
    order = np.argsort(shares)
    return Gathered(
        lab=np.stack(means[:3], axis=1)[order],
        shares=shares[order] / total,
        beyond=means[3][order],
    )
