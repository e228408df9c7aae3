"""Normals from a sheet's light under several lamps, and heights from slopes.

Photometric stereo: R. J. Woodham, "Photometric method for determining surface orientation from
multiple images", Optical Engineering 19(1), 1980.  At every pixel the darkest photographs (shadow)
and the lightest (glint) are doubted by rank, and left out where the others do not bear them out.
Slopes become heights by R. T. Frankot and R. Chellappa, "A method for enforcing integrability in
shape from shading algorithms", IEEE PAMI 10(4), 1988.
"""

from __future__ import annotations

import math

import numpy as np

# a photograph is trusted within so many spreads of the others' prediction, and this at least
_TRUSTED, _LEAST_SPREAD = 4.0, 0.004
_PAIRS = ((0, 0), (0, 1), (0, 2), (1, 1), (1, 2), (2, 2))


def left_out(count: int) -> tuple[int, int]:
    """How many of the darkest and of the lightest photographs are doubted at each pixel."""
    if count < 5:
        return 0, 0
    return max(1, count // 4), max(0 if count < 6 else 1, count // 8)


def solve(light: np.ndarray, lamps: np.ndarray):
    """Reflectance times normal by least squares, shadow and glint left out by rank.

    A first fit goes without the darkest and the lightest photographs at each pixel; those
    that it predicts as well as the others come back for the second, since choosing by rank
    alone would flatten the relief by what noise does to the order.

    Parameters
    ----------
    light : (n, pixels) float32, the cosine law's light.
    lamps : (n, 3) unit vectors.

    Returns
    -------
    (g, left, used): (3, pixels) float32; (pixels,) sum of squares that the fit leaves over;
    (pixels,) photographs used.
    """
    count = len(lamps)
    low, high = left_out(count)
    lamp = np.ascontiguousarray(lamps, np.float32)
    every = np.ones_like(light)
    if not (low or high):
        g = _fitted(light, every, lamp)
        return g, np.square(light - lamp @ g).sum(axis=0), every.sum(axis=0)
    # ranked by what a level piece would have shown
    seen = light / lamp[:, 2:]
    weight = (seen > _rank(seen, low, np.minimum, np.maximum)).astype(np.float32)
    if high:
        weight *= seen < _rank(seen, high, np.maximum, np.minimum)
    g = _fitted(light, weight, lamp)
    off = np.abs(light - lamp @ g)
    inside = off[weight > 0]
    # the median of a normal distribution's size is 0.6745 of its spread
    spread_ = float(np.median(inside)) / 0.6745 if inside.size else 0.0
    spread_ *= math.sqrt((count - low - high) / max(count - low - high - 3, 1))
    good = (off < max(_TRUSTED * spread_, _LEAST_SPREAD)).astype(np.float32)
    good[:, good.sum(axis=0) < 4] = 1
    good = np.where(good.sum(axis=0) < count, good, every)
    g = _fitted(light, good, lamp)
    return g, (np.square(light - lamp @ g) * good).sum(axis=0), good.sum(axis=0)


def _rank(seen: np.ndarray, number: int, lesser, greater) -> np.ndarray:
    """(pixels,) the ``number``-th least (or greatest) of each pixel's values."""
    best = [seen[0]]
    for each in seen[1:]:
        for place, held in enumerate(best):
            best[place], each = lesser(held, each), greater(held, each)
        if len(best) < number:
            best.append(each)
    return best[number - 1]


def _fitted(light: np.ndarray, weight: np.ndarray, lamp: np.ndarray) -> np.ndarray:
    """(3, pixels) the least squares of ``weight · (lamp · g − light)``."""
    pairs = np.stack([lamp[:, i] * lamp[:, j] for i, j in _PAIRS])
    xx, xy, xz, yy, yz, zz = pairs @ weight
    bx, by, bz = lamp.T @ (weight * light)
    # the inverse of a symmetric 3 × 3 matrix by its cofactors
    a, b, c = yy * zz - yz * yz, xz * yz - xy * zz, xy * yz - xz * yy
    d, e, f = xx * zz - xz * xz, xy * xz - xx * yz, xx * yy - xy * xy
    whole = xx * a + xy * b + xz * c
    whole = 1 / np.where(np.abs(whole) > 1e-6, whole, np.float32(1e-6))
    return np.stack(
        [
            (a * bx + b * by + c * bz) * whole,
            (b * bx + d * by + e * bz) * whole,
            (c * bx + e * by + f * bz) * whole,
        ]
    )


def heights(right: np.ndarray, up: np.ndarray, pitch_mm: float) -> np.ndarray:
    """(rows, columns) float32 heights in mm whose slopes come nearest to those given.

    Frankot and Chellappa 1988: the projection onto integrable slopes, by Fourier transform;
    the piece is taken as one of a repeating pattern.
    """
    from scipy import fft

    rows, columns = right.shape
    fx = fft.rfftfreq(columns, pitch_mm).astype(np.float32)[None, :]
    fy = fft.fftfreq(rows, pitch_mm).astype(np.float32)[:, None]
    # rows run downwards
    spectrum = fft.rfft2(right, workers=2) * fx
    spectrum -= fft.rfft2(up, workers=2) * fy
    square = fx * fx + fy * fy
    square[0, 0] = 1
    spectrum *= -1j / (2 * np.pi) / square
    spectrum[0, 0] = 0
    return fft.irfft2(spectrum, s=(rows, columns), workers=2).astype(np.float32)
