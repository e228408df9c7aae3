"""Pictures as bytes for the page: quick while moving, lossless at rest."""

from __future__ import annotations

import struct
import zlib

import numpy as np

from workbench.figures.live import png_bytes

JPEG_QUALITY = 92


def jpeg(array: np.ndarray, profile: bytes | None = None) -> bytes:
    """JPEG 4:4:4, quality 92, of an (h, w, 3) uint8 array; 4 ms for 1200x800."""
    import imagecodecs

    data = bytes(
        imagecodecs.jpeg8_encode(np.ascontiguousarray(array), level=JPEG_QUALITY, subsampling="444")
    )
    return data if profile is None else _jpeg_with_profile(data, profile)


def png(array: np.ndarray, profile: bytes | None = None) -> bytes:
    """Lossless PNG of an (h, w, 3) uint8 array; 20 ms for a 1200x800 photograph."""
    data = png_bytes(array)
    return data if profile is None else _png_with_profile(data, profile)


def _jpeg_with_profile(data: bytes, profile: bytes) -> bytes:
    """Put the profile in APP2 segments (ICC.1:2022 annex B.4) after the start marker."""
    room = 65535 - 2 - 14  # a segment's length field counts itself and the 14-byte head
    pieces = [profile[at : at + room] for at in range(0, len(profile), room)]
    segments = b"".join(
        b"\xff\xe2"
        + struct.pack(">H", 2 + 14 + len(piece))
        + b"ICC_PROFILE\0"
        + bytes((number, len(pieces)))
        + piece
        for number, piece in enumerate(pieces, 1)
    )
    at = 2
    if data[2:4] == b"\xff\xe0":  # keep the JFIF segment first, as its standard wants
        at += 2 + struct.unpack(">H", data[4:6])[0]
    return data[:at] + segments + data[at:]


def _png_with_profile(data: bytes, profile: bytes) -> bytes:
    """Put the profile in an iCCP chunk (PNG, 11.3.2.3) right after the header."""
    body = b"iCCP" + b"screen\0\0" + zlib.compress(profile, 1)
    chunk = struct.pack(">I", len(body) - 4) + body + struct.pack(">I", zlib.crc32(body))
    header_end = 8 + 25  # signature and the fixed-length IHDR chunk
    return data[:header_end] + chunk + data[header_end:]
