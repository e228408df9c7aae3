"""Between a picture's own values and linear light.

Matrix and grey profiles are read exactly, from their tone curves.  For pictures
without a profile and for table profiles, gamma 2.2 stands in: it is used for
averaging only, where the difference is small.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from workbench.colour.spaces import tone_curves

_STAND_IN_GAMMA = 2.2
# the way back is looked up by light^(1/2.2), along which usual curves are nearly straight
_ENCODE_STEPS = 2**18
_ROWS = 64


@lru_cache(maxsize=16)
def _curves(profile: bytes | None) -> np.ndarray:
    """(1 or channels, 65536) float64 light for each 16-bit value; one row if all are alike."""
    x = np.linspace(0, 1, 65536)
    stand_in = x[None] ** _STAND_IN_GAMMA
    functions = None if profile is None else tone_curves(profile)
    if functions is None:
        return stand_in
    curves = np.stack([np.asarray(f(x), np.float64) for f in functions])
    if (curves == curves[0]).all():
        curves = curves[:1]
    # a curve that falls or stands still has no way back
    rising = np.isfinite(curves).all() and (np.diff(curves) >= 0).all()
    if not rising or (curves[:, -1] - curves[:, 0] < 0.5).any():
        return stand_in
    return curves


@lru_cache(maxsize=32)
def _decode_table(profile: bytes | None, dtype: np.dtype) -> np.ndarray:
    curves = _curves(profile)
    if dtype == np.uint8:
        curves = curves[:, ::257]
    return curves.astype(np.float32)


@lru_cache(maxsize=8)
def _encode_table(profile: bytes | None) -> np.ndarray:
    light = np.linspace(0, 1, _ENCODE_STEPS) ** _STAND_IN_GAMMA
    codes = np.arange(65536.0)
    tables = [np.interp(light, curve, codes) for curve in _curves(profile)]
    return np.rint(np.stack(tables)).astype(np.uint16)


def to_light(pixels: np.ndarray, profile: bytes | None) -> np.ndarray:
    """(..., channels) uint8 or uint16 -> float32 linear light, 0..1."""
    return _look_up(_decode_table(profile, pixels.dtype), pixels)


def from_light(light: np.ndarray, profile: bytes | None) -> np.ndarray:
    """(rows, ..., channels) float32 linear light -> uint16 in the picture's own space."""
    tables = _encode_table(profile)
    result = np.empty(light.shape, np.uint16)
    # a few rows at a time: the steps between would take several times the memory
    for first in range(0, len(light), _ROWS):
        index = np.clip(light[first : first + _ROWS], 0, 1)
        np.power(index, np.float32(1 / _STAND_IN_GAMMA), out=index)
        index *= _ENCODE_STEPS - 1
        index += 0.5
        result[first : first + _ROWS] = _look_up(tables, index.astype(np.int32))
    return result


def _look_up(tables: np.ndarray, index: np.ndarray) -> np.ndarray:
    # "clip" skips a bounds check that cannot fail
    if len(tables) == 1:
        return tables[0].take(index, mode="clip")
    result = np.empty(index.shape, tables.dtype)
    for channel, table in enumerate(tables):
        result[..., channel] = table.take(index[..., channel], mode="clip")
    return result
