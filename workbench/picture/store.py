"""Where a picture's pixels live, and going through all of them.

A store gives finished pixels in file order: (rows, cols, channels), uint8 or
uint16, C-contiguous, native byte order.  Orientation does not matter here.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from typing import Protocol

import numpy as np

from workbench.bands import in_order, row_bands

# enough for arrays to outweigh the interpreter, little enough for the caches
BAND_PIXELS = 1_000_000
WORKERS = max(1, min(4, os.cpu_count() or 1))


class Store(Protocol):
    """What `Picture` asks of the pixels behind it."""

    height: int
    width: int
    channels: int
    dtype: np.dtype

    def bands(self, max_pixels: int) -> list[tuple[int, int]]:
        """Rows (first, stop) that together cover the picture and are cheap to read each.

        Bands follow the pieces the file is stored in; where those are larger than
        ``max_pixels``, so are the bands.
        """

    def read(self, y0: int, y1: int, x0: int, x1: int) -> np.ndarray:
        """Rows y0..y1 and columns x0..x1; safe to call from several threads."""


def even_bands(height: int, width: int, max_pixels: int, step: int = 1) -> list[tuple[int, int]]:
    """Bands whose borders lie on multiples of ``step`` rows."""
    rows = max(1, max_pixels // max(width, 1) // step) * step
    return row_bands(height, rows)


class HeldStore:
    """Finished pixels in memory."""

    def __init__(self, pixels: np.ndarray):
        pixels.flags.writeable = False
        self._pixels = pixels
        self.height, self.width, self.channels = pixels.shape
        self.dtype = pixels.dtype

    def bands(self, max_pixels: int) -> list[tuple[int, int]]:
        return even_bands(self.height, self.width, max_pixels)

    def read(self, y0: int, y1: int, x0: int, x1: int) -> np.ndarray:
        return np.ascontiguousarray(self._pixels[y0:y1, x0:x1])


def strips(store: Store, max_pixels: int) -> Iterator[np.ndarray]:
    """All pixels once, from the top, in strips of at most ``max_pixels`` (or one row)."""
    rows = max(1, max_pixels // store.width)
    for y0, y1 in store.bands(max_pixels):
        band = store.read(y0, y1, 0, store.width)
        for first in range(0, y1 - y0, rows):
            yield band[first : first + rows]


def over_bands(
    store: Store,
    work: Callable[[int, np.ndarray], object],
    *,
    cancelled: Callable[[], bool] | None = None,
    progress: Callable[[float], None] | None = None,
    max_pixels: int = BAND_PIXELS,
    workers: int = WORKERS,
) -> Iterator:
    """Yield ``work(y0, band)`` for every band, in order, a few bands read and worked at once.

    Raises
    ------
    Cancelled
        as soon as ``cancelled()`` is true; it is asked before each band.
    PictureError
        at the latest behind the last band, if the file has changed meanwhile.
    """

    def one(band: tuple[int, int]):
        y0, y1 = band
        return work(y0, store.read(y0, y1, 0, store.width))

    bands = store.bands(max_pixels)
    yield from in_order(one, bands, workers=workers, cancelled=cancelled, progress=progress)
    # reading looks whether the file is still the same one: what was put in its place while
    # the last bands were at work is not passed over
    store.read(0, 1, 0, 1)
