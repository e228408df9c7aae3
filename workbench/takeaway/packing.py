"""Arrays as text inside a page, small enough to be sent by mail."""

from __future__ import annotations

import base64
import zlib

import numpy as np

# steps for one unit: of Lab, and of CIEDE2000 beyond the paper.  0.01 of Lab is a fiftieth
# of what an 8-bit screen tells apart
LAB_STEPS, BEYOND_STEPS = 100, 200


def packed(values: np.ndarray) -> dict:
    """Integers of 8 or 16 bits as the page takes them: deflated, then base64.

    Parameters
    ----------
    values : (..., channels) array of uint8, uint16 or int16.

    Returns
    -------
    A dict with "data", "kind" ("uint8", "uint16" or "int16") and "channels".

    Examples
    --------
    >>> packed(np.zeros((4, 3), np.int16))["kind"]
    'int16'
    """
    kind = values.dtype.name
    # differences from one texel to the next pack better, and wrap around without loss
    flat = values.reshape(-1, values.shape[-1])
    steps = np.diff(flat, axis=0, prepend=np.zeros((1, flat.shape[1]), flat.dtype))
    little = steps.astype(steps.dtype.newbyteorder("<"), copy=False)
    # low and high bytes apart: the high ones hardly change
    planes = little.view(np.uint8).reshape(-1, little.dtype.itemsize).T
    data = base64.b64encode(zlib.compress(np.ascontiguousarray(planes).tobytes(), 9)).decode()
    return {"data": data, "kind": kind, "channels": int(values.shape[-1])}


def unpacked(part: dict) -> np.ndarray:
    """(n, channels) array of what `packed` was given, as the page does it.

    Examples
    --------
    >>> values = np.arange(12, dtype=np.uint16).reshape(4, 3)
    >>> bool((unpacked(packed(values)) == values).all())
    True
    """
    kind = np.dtype(part["kind"])
    planes = np.frombuffer(zlib.decompress(base64.b64decode(part["data"])), np.uint8)
    little = np.ascontiguousarray(planes.reshape(kind.itemsize, -1).T)
    steps = little.view(kind.newbyteorder("<")).reshape(-1, part["channels"])
    return np.cumsum(steps, axis=0, dtype=kind)


def lab_steps(table: np.ndarray) -> np.ndarray:
    """Lab as int16, `LAB_STEPS` to one."""
    return np.clip(np.rint(table * LAB_STEPS), -32768, 32767).astype(np.int16)


def beyond_steps(table: np.ndarray) -> np.ndarray:
    """CIEDE2000 as uint16, `BEYOND_STEPS` to one."""
    return np.clip(np.rint(table * BEYOND_STEPS), 0, 65535).astype(np.uint16)
