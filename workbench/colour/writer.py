"""Write ICC version 4 profiles.

Source: ICC.1:2022 — header (section 7.2), tag types (section 10).
"""

from __future__ import annotations

import hashlib
import struct

import numpy as np

from workbench.colour.lab import D50_XYZ

_CLASS = {"output": b"prtr", "display": b"mntr", "input": b"scnr", "space": b"spac"}
_SPACE = {"RGB": b"RGB ", "GRAY": b"GRAY", "CMYK": b"CMYK", "LAB": b"Lab ", "XYZ": b"XYZ "}
# a fixed creation date keeps the bytes, and so the checksum, the same each time
_DATE = struct.pack(">6H", 2026, 1, 1, 0, 0, 0)


def fixed(values) -> bytes:
    """s15Fixed16 numbers."""
    return np.round(np.asarray(values, float) * 65536).astype(">i4").tobytes()


def text(value: str) -> bytes:
    """A multiLocalizedUnicode tag in English."""
    coded = value.encode("utf-16-be")
    return b"mluc" + struct.pack(">4xII4sII", 1, 12, b"enGB", len(coded), 28) + coded


def xyz(value) -> bytes:
    """An XYZ tag (Y = 1 for the perfect diffuser)."""
    return b"XYZ " + bytes(4) + fixed(value)


def power_curve(gamma: float) -> bytes:
    """A parametric curve y = x**gamma."""
    return b"para" + struct.pack(">4xHH", 0, 0) + fixed([gamma])


def parametric_curve(g: float, a: float, b: float, c: float, d: float) -> bytes:
    """A parametric curve y = (a x + b)**g from d upwards, c x below."""
    return b"para" + struct.pack(">4xHH", 3, 0) + fixed([g, a, b, c, d])


def sampled_curve(values) -> bytes:
    """A curve of equally spaced samples 0..1; no samples mean the identity."""
    table = np.round(np.clip(values, 0, 1) * 65535).astype(">u2")
    return b"curv" + struct.pack(">4xI", len(table)) + table.tobytes()


def _pad(raw: bytes) -> bytes:
    return raw + bytes(-len(raw) % 4)


def table(
    kind: str, nodes: np.ndarray, pcs_curves: list[bytes], device_curves: list[bytes]
) -> bytes:
    """A lutAToB (``kind="mAB "``) or lutBToA (``"mBA "``) tag with a 16-bit table.

    Parameters
    ----------
    nodes : (grid, ..., grid, channels out) array, 0..1, first input channel slowest.
    pcs_curves, device_curves : one curve tag per channel of that side.
    """
    n_out = nodes.shape[-1]
    n_in = nodes.ndim - 1
    clut = (
        bytes(nodes.shape[:-1]).ljust(16, b"\0")
        + b"\x02\0\0\0"
        + np.round(np.clip(nodes, 0, 1) * 65535).astype(">u2").tobytes()
    )
    b = b"".join(_pad(c) for c in pcs_curves)
    a = b"".join(_pad(c) for c in device_curves)
    b_at = 32
    clut_at = b_at + len(b)
    a_at = clut_at + len(_pad(clut))
    head = struct.pack(">4s4xBBHIIIII", kind.encode(), n_in, n_out, 0, b_at, 0, 0, clut_at, a_at)
    return head + b + _pad(clut) + a


def encode_lab(lab) -> np.ndarray:
    """Lab as table values 0..1 (ICC.1:2022, table 12)."""
    return (np.asarray(lab, float) + [0, 128, 128]) / [100, 255, 255]


def decode_lab(values) -> np.ndarray:
    """Lab of table values 0..1; the inverse of `encode_lab`."""
    return np.asarray(values, float) * [100, 255, 255] - [0, 128, 128]


def assemble(
    device_class: str, space: str, pcs: str, description: str, tags: dict[str, bytes]
) -> bytes:
    """A whole profile from its tags; equal tags are stored once."""
    tags = {"desc": text(description), "cprt": text("No rights reserved; free to use."), **tags}
    body = bytearray()
    first = 132 + 12 * len(tags)
    entries, places = [], {}
    for signature, raw in tags.items():
        if raw not in places:
            places[raw] = first + len(body)
            body += _pad(raw)
        entries.append(struct.pack(">4sII", signature.encode(), places[raw], len(raw)))
    size = first + len(body)
    header = struct.pack(
        ">I4sI4s4s4s12s4s4sI4s4sQI12s4s44x",
        size,
        b"\0\0\0\0",
        0x04400000,
        _CLASS[device_class],
        _SPACE[space],
        _SPACE[pcs],
        _DATE,
        b"acsp",
        b"\0\0\0\0",
        0,
        b"\0\0\0\0",
        b"\0\0\0\0",
        0,
        0,
        fixed(D50_XYZ),
        b"\0\0\0\0",
    )
    whole = bytearray(header + struct.pack(">I", len(tags)) + b"".join(entries) + body)
    # the profile ID is the MD5 of the profile with flags, intent and ID zeroed: as they are now
    whole[84:100] = hashlib.md5(whole, usedforsecurity=False).digest()
    return bytes(whole)
