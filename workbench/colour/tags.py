"""Checks on single ICC tags: that each table is as large as it says it is.

Source: ICC.1:2022 section 10 (tag types), and ICC.1:2001-04 for version 2.
"""

from __future__ import annotations

import math
import struct

import numpy as np

from workbench.errors import ProfileError
from workbench.language import tr

LUT_TAGS = ("A2B0", "A2B1", "A2B2", "B2A0", "B2A1", "B2A2", "gamt", "pre0", "pre1", "pre2")
CURVE_TAGS = ("rTRC", "gTRC", "bTRC", "kTRC")
# parameters of parametricCurveType by function type
_PARAMETERS = (1, 3, 4, 5, 7)
_MAX_NODES = 64 * 2**20


def s15_fixed(raw: bytes) -> np.ndarray:
    """s15Fixed16 numbers as floats."""
    return np.frombuffer(raw, ">i4").astype(float) / 65536


def check_tag(signature: str, raw: bytes) -> None:
    """Raise ProfileError where a table or curve does not fit into its own tag."""
    try:
        if signature in LUT_TAGS:
            _check_lut(raw)
        elif signature in CURVE_TAGS:
            _curve_length(raw, 0)
    except (struct.error, IndexError, ValueError) as problem:
        if isinstance(problem, ProfileError):
            detail = str(problem)
        else:
            detail = tr("it ends too early")
        raise ProfileError(
            tr(
                "The profile is damaged in its tag “{signature}” ({detail}); fetch the file again.",
                signature=signature,
                detail=detail,
            )
        ) from None


def _need(condition: bool, detail: str) -> None:
    if not condition:
        raise ProfileError(detail)


def _check_lut(raw: bytes) -> None:
    kind = raw[:4]
    if kind in (b"mft1", b"mft2"):
        n_in, n_out, grid = raw[8], raw[9], raw[10]
        _need(1 <= n_in <= 15 and 1 <= n_out <= 15, tr("impossible channel counts"))
        _need(grid >= 2, tr("a table of fewer than two points"))
        nodes = grid**n_in * n_out
        _need(nodes <= _MAX_NODES, tr("a table too large to be true"))
        if kind == b"mft1":
            size = 48 + 256 * n_in + nodes + 256 * n_out
        else:
            before, after = struct.unpack_from(">HH", raw, 48)
            _need(2 <= before <= 4096 and 2 <= after <= 4096, tr("impossible curve lengths"))
            size = 52 + 2 * (before * n_in + nodes + after * n_out)
        _need(size <= len(raw), tr("its table is larger than the tag"))
    elif kind in (b"mAB ", b"mBA "):
        n_in, n_out = raw[8], raw[9]
        _need(1 <= n_in <= 15 and 1 <= n_out <= 15, tr("impossible channel counts"))
        b, matrix, m, table, a = struct.unpack_from(">5I", raw, 12)
        pcs_side, device_side = (n_out, n_in) if kind == b"mAB " else (n_in, n_out)
        _need(b != 0, tr("a set of curves is missing"))
        _check_curves(raw, b, pcs_side)
        if matrix:
            _need(32 <= matrix and matrix + 48 <= len(raw), tr("its matrix lies outside the tag"))
        if m:
            _check_curves(raw, m, 3)
        if table:
            _check_clut(raw, table, n_in, n_out)
        if a:
            _check_curves(raw, a, device_side)
    else:
        raise ProfileError(tr("a table of unknown type {kind!r}", kind=kind))


def _check_clut(raw: bytes, at: int, n_in: int, n_out: int) -> None:
    _need(32 <= at and at + 20 <= len(raw), tr("its table lies outside the tag"))
    points = raw[at : at + n_in]
    width = raw[at + 16]
    _need(all(p >= 2 for p in points), tr("a table of fewer than two points"))
    _need(width in (1, 2), tr("a table of unknown precision"))
    nodes = math.prod(points) * n_out
    _need(nodes <= _MAX_NODES, tr("a table too large to be true"))
    _need(at + 20 + nodes * width <= len(raw), tr("its table is larger than the tag"))


def _check_curves(raw: bytes, at: int, count: int) -> None:
    _need(32 <= at < len(raw), tr("its curves lie outside the tag"))
    for _ in range(count):
        length = _curve_length(raw, at)
        at += (length + 3) // 4 * 4


def _curve_length(raw: bytes, at: int) -> int:
    kind = raw[at : at + 4]
    if kind == b"curv":
        (count,) = struct.unpack_from(">I", raw, at + 8)
        length = 12 + 2 * count
        _need(count <= 65536, tr("an impossible curve length"))
    elif kind == b"para":
        (function,) = struct.unpack_from(">H", raw, at + 8)
        _need(function < len(_PARAMETERS), tr("an unknown kind of curve"))
        length = 12 + 4 * _PARAMETERS[function]
    else:
        raise ProfileError(tr("a curve of unknown type"))
    _need(at + length <= len(raw), tr("a curve longer than the tag"))
    return length


def curve_values(raw: bytes, x: np.ndarray) -> np.ndarray:
    """Evaluate a checked 'curv' or 'para' tag at device values ``x`` in 0..1."""
    if raw[:4] == b"curv":
        (count,) = struct.unpack_from(">I", raw, 8)
        if count == 0:
            return np.asarray(x, float)
        table = np.frombuffer(raw, ">u2", count, 12).astype(float)
        if count == 1:
            return np.asarray(x, float) ** (table[0] / 256)
        return np.interp(x, np.linspace(0, 1, count), table / 65535)
    (function,) = struct.unpack_from(">H", raw, 8)
    p = s15_fixed(raw[12 : 12 + 4 * _PARAMETERS[function]])
    x = np.asarray(x, float)
    g = p[0]
    a, b = (1.0, 0.0) if function == 0 else (p[1], p[2])
    power = np.maximum(a * x + b, 0) ** g
    if function == 0:
        return power
    if function in (1, 2):
        c = p[3] if function == 2 else 0.0
        start = -b / a if a else 0.0
        return np.where(x >= start, power + c, c)
    c, d = p[3], p[4]
    e, f = (p[5], p[6]) if function == 4 else (0.0, 0.0)
    return np.where(x >= d, power + e, c * x + f)
