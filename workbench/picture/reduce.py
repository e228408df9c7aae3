"""Scaling down by area: every pixel counts with the share of it that a target pixel covers."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import lru_cache

import numpy as np

# source rows worked on at once: they fit into the cache as floats
_ROWS = 32


def fitted_size(width: int, height: int, long_side_px: int) -> tuple[int, int]:
    """(width, height) with the given long side and the same proportions; never larger."""
    long_side = max(width, height)
    if long_side_px >= long_side:
        return width, height
    scale = long_side_px / long_side
    return max(1, round(width * scale)), max(1, round(height * scale))


@lru_cache(maxsize=16)
def cover(n_in: int, n_out: int) -> tuple[np.ndarray, np.ndarray]:
    """Which of ``n_in`` pixels in a row make up each of ``n_out`` larger ones.

    Returns
    -------
    indices, weights : (most pixels in one, n_out); the float32 weights of an output
        pixel add up to 1, and those beyond its border are 0.
    """
    # in units of 1/(n_in·n_out) all borders are whole numbers
    out = np.arange(n_out, dtype=np.int64)
    begin = out * n_in // n_out
    most = int((-(-(out + 1) * n_in // n_out) - begin).max())
    indices = begin + np.arange(most)[:, None]
    upper = np.minimum((out + 1) * n_in, (indices + 1) * n_out)
    lower = np.maximum(out * n_in, indices * n_out)
    weights = (np.maximum(upper - lower, 0) / n_in).astype(np.float32)
    return indices, weights


def _mix(rows: np.ndarray, indices: np.ndarray, weights: np.ndarray) -> np.ndarray:
    """Weighted sums of rows.

    Plain sums rather than a matrix product: the products are too small to gain from the
    several threads that a linear algebra library starts, and those get in each other's way.
    """
    total = rows.take(indices[0], axis=0, mode="clip")
    total *= weights[0][:, None]
    for index, weight in zip(indices[1:], weights[1:], strict=True):
        part = rows.take(index, axis=0, mode="clip")
        part *= weight[:, None]
        total += part
    return total


def _columns(tall: np.ndarray, width: int, channels: int, new_width: int) -> np.ndarray:
    """(rows, width·channels) -> (rows, new width, channels)."""
    # turned on its side, so that the sums run along memory
    side = np.ascontiguousarray(tall.T).reshape(width, channels * len(tall))
    mixed = _mix(side, *cover(width, new_width))
    return mixed.reshape(new_width, channels, len(tall)).transpose(2, 0, 1)


def reduce_band(
    y0: int,
    band: np.ndarray,
    to_light: Callable[[np.ndarray], np.ndarray],
    size_in: tuple[int, int],
    size_out: tuple[int, int],
) -> tuple[int, np.ndarray]:
    """What rows y0.. of a picture add to its reduced version.

    Parameters
    ----------
    band : (rows, width, channels), any values ``to_light`` takes.
    to_light : gives float32 of the same shape.
    size_in, size_out : (width, height).

    Returns
    -------
    The first target row reached, and (target rows, target width, channels) float32.
    """
    rows, width, channels = band.shape
    height, new_height = size_in[1], size_out[1]
    begin, stop = y0 * new_height // height, -(-(y0 + rows) * new_height // height)
    indices, weights = cover(height, new_height)
    tall = np.zeros((stop - begin, width * channels), np.float32)
    for first in range(0, rows, _ROWS):
        light = to_light(band[first : first + _ROWS]).reshape(-1, width * channels)
        top = y0 + first
        i0, i1 = top * new_height // height, -(-(top + len(light)) * new_height // height)
        index = indices[:, i0:i1] - top
        weight = np.where((index >= 0) & (index < len(light)), weights[:, i0:i1], np.float32(0))
        tall[i0 - begin : i1 - begin] += _mix(light, index, weight)
    return begin, _columns(tall, width, channels, size_out[0])


def gather(
    parts: Iterable[tuple[int, np.ndarray]], size_out: tuple[int, int], channels: int
) -> np.ndarray:
    """Add up what `reduce_band` gave: (height, width, channels) float32."""
    total = np.zeros((size_out[1], size_out[0], channels), np.float32)
    for begin, rows in parts:
        total[begin : begin + len(rows)] += rows
    return total
