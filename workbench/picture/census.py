"""Counting a picture's colours: every pixel of it, into an evenly divided device cube."""

from __future__ import annotations

import numpy as np

from workbench.errors import PictureError
from workbench.picture.store import Store, over_bands

_GREY_BITS = 12
_MAX_BITS = 7


def take_census(
    store: Store, bits: int = 6, *, cancelled=None, progress=None
) -> tuple[np.ndarray, np.ndarray]:
    """Count every pixel of a store; see `Picture.census`."""
    if not isinstance(bits, (int, np.integer)) or not 1 <= bits <= _MAX_BITS:
        raise PictureError(f"A census takes 1 to {_MAX_BITS} bits a channel, not {bits!r}.")
    depth = 8 * store.dtype.itemsize
    per_channel = _GREY_BITS if store.channels == 1 else int(bits)
    cells = 2 ** (per_channel * store.channels)

    def work(_y0, band):
        return _count(band, depth, per_channel, cells)

    counts = np.zeros(cells, np.int64)
    sums = np.zeros((store.channels, cells))
    for band_counts, band_sums in over_bands(store, work, cancelled=cancelled, progress=progress):
        counts += band_counts
        sums += band_sums
    occupied = np.flatnonzero(counts)
    counts = counts[occupied]
    colours = (sums[:, occupied] / counts).T / (2**depth - 1)
    return np.ascontiguousarray(colours), counts


def _count(band: np.ndarray, depth: int, per_channel: int, cells: int):
    """Pixels in each cell, and the sum of each channel over them."""
    channels = band.shape[-1]
    if channels == 1:
        # grey has so few values that each is counted by itself
        exact = np.bincount(band.ravel(), minlength=2**depth)
        values = np.arange(2**depth)
        cell = values * cells >> depth
        counts = np.bincount(cell, weights=exact, minlength=cells).astype(np.int64)
        return counts, np.bincount(cell, weights=exact * values, minlength=cells)[None]
    coarse = band >> (depth - per_channel)
    cell = coarse[..., 0].astype(np.intp)
    for channel in range(1, channels):
        cell <<= per_channel
        cell |= coarse[..., channel]
    cell = cell.ravel()
    sums = [
        np.bincount(cell, weights=band[..., channel].ravel(), minlength=cells)
        for channel in range(channels)
    ]
    return np.bincount(cell, minlength=cells), np.stack(sums)
