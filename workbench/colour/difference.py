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

import numpy as np

_BLOCK = 32768
_POW7_25 = 25.0**7


def delta_e_2000(lab1, lab2) -> np.ndarray:
    """CIEDE2000 between two sets of Lab colours (kL = kC = kH = 1).

    Parameters
    ----------
    lab1, lab2 : (..., 3) arrays of the same shape, or broadcastable to it.

    Returns
    -------
    (...) array; float32 if both inputs are float32, otherwise float64.
    """
    lightness, chroma, hue, rotation = delta_e_2000_terms(lab1, lab2)
    return np.sqrt(
        np.maximum(lightness**2 + chroma**2 + hue**2 + rotation * chroma * hue, 0)
    )


def delta_e_2000_terms(lab1, lab2) -> tuple[np.ndarray, ...]:
    """The weighted parts (dL'/SL, dC'/SC, dH'/SH, RT) of CIEDE2000, second minus first.

    Shapes as in `delta_e_2000`; dL' > 0 means that ``lab2`` is lighter, dC' > 0
    that it is more colourful.
    """
    lab1, lab2 = np.asarray(lab1), np.asarray(lab2)
    single = lab1.dtype == np.float32 and lab2.dtype == np.float32
    kind = np.float32 if single else np.float64
    lab1, lab2 = np.broadcast_arrays(lab1, lab2)
    shape = lab1.shape[:-1]
    flat1, flat2 = lab1.reshape(-1, 3), lab2.reshape(-1, 3)
    parts = tuple(np.empty(flat1.shape[0], kind) for _ in range(4))
    for start in range(0, flat1.shape[0], _BLOCK):
        block = slice(start, start + _BLOCK)
        for part, values in zip(
            parts, _terms(flat1[block].astype(kind), flat2[block].astype(kind)), strict=True
        ):
            part[block] = values
    return tuple(part.reshape(shape) for part in parts)


def _terms(lab1, lab2):
    l1, a1, b1 = lab1.T
    l2, a2, b2 = lab2.T
    mean7 = ((np.sqrt(a1 * a1 + b1 * b1) + np.sqrt(a2 * a2 + b2 * b2)) / 2) ** 7
    stretch = 1.5 - 0.5 * np.sqrt(mean7 / (mean7 + _POW7_25))
    a1, a2 = a1 * stretch, a2 * stretch
    c1, c2 = np.sqrt(a1 * a1 + b1 * b1), np.sqrt(a2 * a2 + b2 * b2)
    h1, h2 = np.arctan2(b1, a1), np.arctan2(b2, a2)
    turn = 2 * np.pi
    h1, h2 = np.where(h1 < 0, h1 + turn, h1), np.where(h2 < 0, h2 + turn, h2)
    coloured = (c1 * c2) != 0

    gap = h2 - h1
    step = np.where(gap > np.pi, gap - turn, np.where(gap < -np.pi, gap + turn, gap))
    step = np.where(coloured, step, 0)
    d_hue = 2 * np.sqrt(c1 * c2) * np.sin(step / 2)

    mean_l, mean_c = (l1 + l2) / 2, (c1 + c2) / 2
    total = h1 + h2
    far = np.abs(gap) > np.pi
    mean_h = np.where(
        coloured,
        np.where(far, np.where(total < turn, total + turn, total - turn), total) / 2,
        total,
    )
    # cosines of multiples of one angle, from one sine and one cosine
    c, s = np.cos(mean_h), np.sin(mean_h)
    cos2, sin2 = c * c - s * s, 2 * s * c
    cos3, sin3 = cos2 * c - sin2 * s, sin2 * c + cos2 * s
    cos4, sin4 = cos2 * cos2 - sin2 * sin2, 2 * sin2 * cos2
    rad = np.pi / 180
    weight = (
        1
        - 0.17 * (c * np.cos(30 * rad) + s * np.sin(30 * rad))
        + 0.24 * cos2
        + 0.32 * (cos3 * np.cos(6 * rad) - sin3 * np.sin(6 * rad))
        - 0.20 * (cos4 * np.cos(63 * rad) + sin4 * np.sin(63 * rad))
    )
    spread = np.exp(-(((mean_h / rad - 275) / 25) ** 2))
    c7 = mean_c**7
    rotation = -np.sin(60 * rad * spread) * 2 * np.sqrt(c7 / (c7 + _POW7_25))
    l50 = (mean_l - 50) ** 2
    return (
        (l2 - l1) / (1 + 0.015 * l50 / np.sqrt(20 + l50)),
        (c2 - c1) / (1 + 0.045 * mean_c),
        d_hue / (1 + 0.015 * mean_c * weight),
        rotation,
    )
