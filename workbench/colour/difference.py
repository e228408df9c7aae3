"""The colour difference CIEDE2000.

Source: CIE 142-2001; G. Sharma, W. Wu, E. N. Dalal, "The CIEDE2000
color-difference formula: implementation notes, supplementary test data, and
mathematical observations", Color Res. Appl. 30(1), 2005.

Written here rather than taken from colour-science because it runs on every
pixel of whole pictures: single precision, in blocks that stay in the
processor's cache.  The tests hold it against the published pairs and against
colour-science.
"""

from __future__ import annotations

import math

import numpy as np

_BLOCK = 16384
_POW7_25 = 25.0**7
_TURN = 2 * np.pi
# plain floats: numpy's own would turn single precision into double
_COS30, _SIN30 = math.cos(math.pi / 6), math.sin(math.pi / 6)
_COS6, _SIN6 = math.cos(math.pi / 30), math.sin(math.pi / 30)
_COS63, _SIN63 = math.cos(math.pi * 0.35), math.sin(math.pi * 0.35)


def delta_e_2000(lab1, lab2) -> np.ndarray:
    """CIEDE2000 between two sets of Lab colours (kL = kC = kH = 1).

    Parameters
    ----------
    lab1, lab2 : (..., 3) arrays of the same shape, or broadcastable to it.

    Returns
    -------
    (...) array; float32 if both inputs are float32, otherwise float64.
    """
    (difference,) = _by_blocks(lab1, lab2, _difference, 1)
    return difference


def delta_e_2000_terms(lab1, lab2) -> tuple[np.ndarray, ...]:
    """The weighted parts (dL'/SL, dC'/SC, dH'/SH, RT) of CIEDE2000, second minus first.

    Shapes as in `delta_e_2000`; dL' > 0 means that ``lab2`` is lighter, dC' > 0
    that it is more colourful.
    """
    return _by_blocks(lab1, lab2, _terms, 4)


def _by_blocks(lab1, lab2, function, count: int) -> tuple[np.ndarray, ...]:
    lab1, lab2 = np.asarray(lab1), np.asarray(lab2)
    single = lab1.dtype == np.float32 and lab2.dtype == np.float32
    kind = np.float32 if single else np.float64
    lab1, lab2 = np.broadcast_arrays(lab1, lab2)
    shape = lab1.shape[:-1]
    flat1, flat2 = lab1.reshape(-1, 3), lab2.reshape(-1, 3)
    parts = tuple(np.empty(flat1.shape[0], kind) for _ in range(count))
    for start in range(0, flat1.shape[0], _BLOCK):
        block = slice(start, start + _BLOCK)
        one, two = (np.ascontiguousarray(flat[block].T, kind) for flat in (flat1, flat2))
        for part, values in zip(parts, function(one, two), strict=True):
            part[block] = values
    return tuple(part.reshape(shape) for part in parts)


def _difference(lab1, lab2):
    lightness, chroma, hue, rotation = _terms(lab1, lab2)
    square = lightness * lightness + chroma * chroma + hue * hue + rotation * chroma * hue
    return (np.sqrt(np.maximum(square, 0)),)


def _hue(a, b):
    """Hue angle 0..2 pi, 0 for greys; numpy's arctan2 takes ten times as long as arctan."""
    kind = a.dtype.type
    upright = a + (a == 0) * kind(1e-30)
    # the arctangent of the slope is right for a > 0, b >= 0; half a turn or a whole mends it
    halves = (a < 0) * kind(1) + ((a >= 0) & (b < 0)) * kind(2)
    with np.errstate(over="ignore"):  # an endless slope is a quarter turn, as it should be
        return np.arctan(b / upright) + halves * kind(np.pi)


def _saturation(chroma):
    square = chroma * chroma
    power7 = square * square * square * chroma
    return np.sqrt(power7 / (power7 + _POW7_25))


def _terms(lab1, lab2):
    l1, a1, b1 = lab1
    l2, a2, b2 = lab2
    mean_c = (np.sqrt(a1 * a1 + b1 * b1) + np.sqrt(a2 * a2 + b2 * b2)) / 2
    stretch = 1.5 - 0.5 * _saturation(mean_c)
    a1, a2 = a1 * stretch, a2 * stretch
    c1, c2 = np.sqrt(a1 * a1 + b1 * b1), np.sqrt(a2 * a2 + b2 * b2)
    h1, h2 = _hue(a1, b1), _hue(a2, b2)

    # the shorter way round, and the hue half-way along it; a hair less than half a turn
    # is counted, so that rounding does not choose the way between opposite hues
    step = h2 - h1
    step = step - _TURN * np.rint(step * ((1 - 4 * np.finfo(step.dtype).eps) / _TURN))
    d_hue = 2 * np.sqrt(c1 * c2) * np.sin(step / 2)
    # a grey has no hue: then the other's counts
    mean_h = h1 + np.where((c1 * c2) != 0, step / 2, h2)
    mean_h = mean_h - _TURN * np.floor(mean_h / _TURN)

    mean_l, mean_c = (l1 + l2) / 2, (c1 + c2) / 2
    # cosines of multiples of one angle, from one sine and one cosine
    c, s = np.cos(mean_h), np.sin(mean_h)
    cos2, sin2 = c * c - s * s, 2 * s * c
    cos3, sin3 = cos2 * c - sin2 * s, sin2 * c + cos2 * s
    cos4, sin4 = cos2 * cos2 - sin2 * sin2, 2 * sin2 * cos2
    rad = np.pi / 180
    weight = (
        1
        - 0.17 * (c * _COS30 + s * _SIN30)
        + 0.24 * cos2
        + 0.32 * (cos3 * _COS6 - sin3 * _SIN6)
        - 0.20 * (cos4 * _COS63 + sin4 * _SIN63)
    )
    off_blue = (mean_h - 275 * rad) / (25 * rad)
    # gone at 25 (1e-11), where smaller numbers, denormal when cubed, would cost ten times as much
    spread = np.exp(-np.minimum(off_blue * off_blue, 25))
    rotation = -np.sin(60 * rad * spread) * 2 * _saturation(mean_c)
    off_middle = mean_l - 50
    l50 = off_middle * off_middle
    return (
        (l2 - l1) / (1 + 0.015 * l50 / np.sqrt(20 + l50)),
        (c2 - c1) / (1 + 0.045 * mean_c),
        d_hue / (1 + 0.015 * mean_c * weight),
        rotation,
    )
