"""Small pictures and files for the tests, made with other libraries than the code under test."""

from __future__ import annotations

import io
import struct
import zlib

import numpy as np
import tifffile
from PIL import Image


def noise(height=37, width=53, channels=3, dtype=np.uint16, seed=0) -> np.ndarray:
    """Random pixels; floats within 0..1.  Grey comes without a channel axis."""
    rng = np.random.default_rng(seed)
    shape = (height, width) if channels == 1 else (height, width, channels)
    if np.dtype(dtype).kind == "f":
        return rng.random(shape).astype(dtype)
    return rng.integers(0, np.iinfo(dtype).max, shape, dtype, endpoint=True)


def tiff_bytes(pixels, **options) -> bytes:
    """A TIFF file by tifffile; RGB unless said otherwise."""
    if "photometric" not in options:
        options["photometric"] = "rgb" if pixels.ndim == 3 else "minisblack"
    stream = io.BytesIO()
    tifffile.imwrite(stream, pixels, **options)
    return stream.getvalue()


def pillow_bytes(image, kind: str, **options) -> bytes:
    """A file by Pillow, from an image or an array it takes."""
    image = image if isinstance(image, Image.Image) else Image.fromarray(image)
    stream = io.BytesIO()
    image.save(stream, kind, **options)
    return stream.getvalue()


def exif_block(**tags) -> Image.Exif:
    """EXIF with orientation, colour_space or interoperability."""
    exif = Image.Exif()
    if "orientation" in tags:
        exif[0x0112] = tags["orientation"]
    if "colour_space" in tags:
        exif.get_ifd(0x8769)[0xA001] = tags["colour_space"]
    if "interoperability" in tags:
        exif.get_ifd(0x8769)[0xA005] = {1: tags["interoperability"]}
    if "ppi" in tags:
        exif[0x011A] = exif[0x011B] = float(tags["ppi"])
        exif[0x0128] = 2
    return exif


def png_chunk(kind: bytes, body: bytes) -> bytes:
    return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))


def with_chunk(png: bytes, kind: bytes, body: bytes) -> bytes:
    """A PNG file with one more chunk right after its header."""
    at = 8 + 12 + 13
    return png[:at] + png_chunk(kind, body) + png[at:]


def png_header(width, height, bits=8, colour_type=2) -> bytes:
    """A PNG file that promises a size and holds hardly any data."""
    header = struct.pack(">IIBBBBB", width, height, bits, colour_type, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n"
        + png_chunk(b"IHDR", header)
        + png_chunk(b"IDAT", zlib.compress(bytes(100)))
        + png_chunk(b"IEND", b"")
    )


def set_tag(tiff: bytes, code: int, value: int) -> bytes:
    """A little-endian classic TIFF file with the inline value of one tag changed."""
    data = bytearray(tiff)
    (at,) = struct.unpack_from("<I", data, 4)
    (count,) = struct.unpack_from("<H", data, at)
    for entry in range(at + 2, at + 2 + 12 * count, 12):
        tag, kind, _ = struct.unpack_from("<HHI", data, entry)
        if tag == code:
            struct.pack_into({3: "<H", 4: "<I"}[kind], data, entry + 8, value)
            return bytes(data)
    raise KeyError(code)
