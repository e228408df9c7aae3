"""CIE XYZ and L*a*b* on the profile connection space's white (D50, 2 degrees).

Plain numpy, because these run on every node of every live preview; checked in
the tests against colour-science.  XYZ is on the scale Y = 1 for the perfect
diffuser.  Source: CIE 15:2018, section 8.2.1; ICC.1:2022, section 6.3.4.
"""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

# the PCS illuminant, ICC.1:2022 section 7.2.16
D50_XYZ = np.array([0.9642, 1.0, 0.8249])

_EPSILON = (6 / 29) ** 3
_SLOPE = (29 / 6) ** 2 / 3


def triple(colour: Iterable) -> tuple[float, float, float]:
    """A colour's three values as plain numbers.

    >>> triple(D50_XYZ)
    (0.9642, 1.0, 0.8249)
    """
    one, two, three = (float(value) for value in colour)
    return one, two, three


def xyz_to_lab(xyz, white=D50_XYZ) -> np.ndarray:
    """L*a*b* of XYZ values.

    Parameters
    ----------
    xyz : (..., 3) array, Y = 1 for the perfect diffuser.
    white : (3,) array, the white that gets L* 100.

    Returns
    -------
    (..., 3) array, L* 0..100 for real surfaces.
    """
    t = np.asarray(xyz, dtype=float) / white
    f = np.where(t > _EPSILON, np.cbrt(t), _SLOPE * t + 4 / 29)
    return np.stack(
        [116 * f[..., 1] - 16, 500 * (f[..., 0] - f[..., 1]), 200 * (f[..., 1] - f[..., 2])],
        axis=-1,
    )


def lab_to_xyz(lab, white=D50_XYZ) -> np.ndarray:
    """XYZ (Y = 1 for the perfect diffuser) of L*a*b* values, shape (..., 3)."""
    lab = np.asarray(lab, dtype=float)
    fy = (lab[..., 0] + 16) / 116
    f = np.stack([fy + lab[..., 1] / 500, fy, fy - lab[..., 2] / 200], axis=-1)
    return np.where(f > 6 / 29, f**3, (f - 4 / 29) / _SLOPE) * white


# rows that stay in the processor's cache while a whole picture passes
_BLOCK = 16384


def scale_light(lab, gain, lift=(0.0, 0.0, 0.0)) -> np.ndarray:
    """L*a*b* after XYZ' = gain·XYZ + lift·(PCS white), never below zero; made for whole pictures.

    Parameters
    ----------
    lab : (..., 3) array.
    gain, lift : three numbers each, for X, Y and Z.

    Returns
    -------
    (..., 3) array; float32 for float32 ``lab``, otherwise float64.
    """
    lab = np.asarray(lab)
    kind = np.float32 if lab.dtype == np.float32 else np.float64
    flat = lab.reshape(-1, 3)
    result = np.empty(flat.shape, kind)
    for start in range(0, len(flat), _BLOCK):
        block = slice(start, start + _BLOCK)
        lightness, a, b = np.ascontiguousarray(flat[block].T, kind)
        y = (lightness + 16) / 116
        x, y, z = (
            _scaled(f, kind(g), kind(up))
            for f, g, up in zip((y + a / 500, y, y - b / 200), gain, lift, strict=True)
        )
        out = result[block]
        out[:, 0], out[:, 1], out[:, 2] = 116 * y - 16, 500 * (x - y), 200 * (y - z)
    return result.reshape(lab.shape)


def _scaled(f: np.ndarray, gain, lift) -> np.ndarray:
    """CIELAB's f of gain·t + lift, for the t that ``f`` belongs to."""
    # cube and line meet at 6/29, so the part above it and the part below add up
    above = np.maximum(f, 6 / 29)
    t = above * above * above + (np.minimum(f, 6 / 29) - 6 / 29) / _SLOPE
    t = np.maximum(gain * t + lift, 0)
    return np.cbrt(np.maximum(t, _EPSILON)) + _SLOPE * (np.minimum(t, _EPSILON) - _EPSILON)


def luminance_factor(lightness) -> np.ndarray:
    """Y (0..1) of L* (0..100)."""
    fy = (np.asarray(lightness, dtype=float) + 16) / 116
    return np.where(fy > 6 / 29, fy**3, (fy - 4 / 29) / _SLOPE)


def density(lightness) -> np.ndarray:
    """Absolute visual density -log10(Y) of L*, over the perfect diffuser.

    Source: the definition of density, ISO 5-1 and ISO 5-4, with the luminance
    factor as reflectance.  L* 0 has no density and gives inf.
    """
    with np.errstate(divide="ignore"):
        return -np.log10(luminance_factor(lightness))


def lightness_of_density(value) -> np.ndarray:
    """L* of an absolute visual density (0 and up); the inverse of `density`."""
    y = 10.0 ** -np.asarray(value, dtype=float)
    f = np.where(y > _EPSILON, np.cbrt(y), _SLOPE * y + 4 / 29)
    return 116 * f - 16


def chroma(lab) -> np.ndarray:
    """C*ab of (..., 3) Lab."""
    lab = np.asarray(lab)
    return np.hypot(lab[..., 1], lab[..., 2])


def hue_deg(lab) -> np.ndarray:
    """Hue angle h_ab in degrees, 0 up to 360, of (..., 3) Lab."""
    lab = np.asarray(lab)
    return np.degrees(np.arctan2(lab[..., 2], lab[..., 1])) % 360


def relative_to_absolute(lab, white_xyz) -> np.ndarray:
    """ICC-absolute Lab of media-relative Lab, for a medium whose white is ``white_xyz``.

    Source: ICC.1:2022 section 6.3.2 — XYZ is scaled channel by channel by the
    media white over the PCS white.
    """
    return xyz_to_lab(lab_to_xyz(lab) * (np.asarray(white_xyz) / D50_XYZ))


def absolute_to_relative(lab, white_xyz) -> np.ndarray:
    """Media-relative Lab of ICC-absolute Lab; the inverse of `relative_to_absolute`."""
    return xyz_to_lab(lab_to_xyz(lab) * (D50_XYZ / np.asarray(white_xyz)))
