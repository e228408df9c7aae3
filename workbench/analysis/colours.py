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
from itertools import chain

import numpy as np

from workbench.colour.trip import Trip, trip
from workbench.errors import Cancelled

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
    source, done = picture.require_profile(), 0
    total = picture.width_px * picture.height_px

    def work(flat):
        return digest(trip(flat, source, paper.profile, intent, black_point_compensation))

    with ThreadPoolExecutor(2) as pool:
        waiting = deque()
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
