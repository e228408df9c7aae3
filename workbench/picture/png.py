"""Reading PNG pictures: 1 to 16 bits, grey, RGB, palette and alpha, decoded whole.

Source: Portable Network Graphics (PNG) Specification, third edition (W3C).
"""

from __future__ import annotations

import struct
import zlib

import numpy as np

from workbench.errors import PictureError
from workbench.picture.exif import Exif, pixels_per_inch, read_exif
from workbench.picture.files import PictureFile
from workbench.picture.limits import check_memory, check_size
from workbench.picture.opened import Opened
from workbench.picture.samples import Finish, Tally
from workbench.picture.store import HeldStore, even_bands

_SIGNATURE = b"\x89PNG\r\n\x1a\n"
# colour type -> samples, and allowed bit depths
_TYPES = {
    0: (1, (1, 2, 4, 8, 16)),
    2: (3, (8, 16)),
    3: (1, (1, 2, 4, 8)),
    4: (2, (8, 16)),
    6: (4, (8, 16)),
}
_PIXELS = (b"IHDR", b"PLTE", b"tRNS", b"IDAT", b"IEND")
_FACTS = (b"iCCP", b"sRGB", b"gAMA", b"cHRM", b"cICP", b"pHYs", b"eXIf", b"acTL")
_MAX_FACT = 16 * 2**20
_MAX_PROFILE = 64 * 2**20
# deflate packs at most 1032 bytes into one (zlib technical details)
_MAX_DEFLATE = 1032
# primaries and white of sRGB, transfer curve about 1/2.2; PNG specification, sRGB chunk
_SRGB_CHRM = (31270, 32900, 64000, 33000, 30000, 60000, 15000, 6000)
_SRGB_GAMA = 45455


def open_png(file: PictureFile) -> Opened:
    """Read a PNG file; PictureError for what is damaged."""
    with file.stream() as stream:
        places, facts = _chunks(file, stream)
        width, height, bits, colour_type = _header(file, stream, places)
        samples = _TYPES[colour_type][0]
        coded = sum(length for kind, _, length in places if kind == b"IDAT")
        row_bytes = -(-width * samples * bits // 8) + 1
        if coded * _MAX_DEFLATE + 1024 < row_bytes * height:
            raise PictureError(file.damaged("it declares more pixels than its data can hold"))
        # a tRNS part makes transparent colours an alpha channel
        wide = (3 if colour_type == 3 else samples) + any(k == b"tRNS" for k, _, _ in places)
        check_memory(width * height * wide * (2 if bits == 16 else 1) + file.size, file.label)
        data = _without_facts(file, stream, places)
    pixels, notes = _decode(file, data, (height, width), bits)
    del data
    exif = read_exif(facts[b"eXIf"]) if b"eXIf" in facts else Exif()
    embedded, profile_note = _profile(facts)
    if profile_note:
        notes.append(profile_note)
    if b"acTL" in facts:
        notes.append("The file holds an animation; its still picture was opened.")
    return Opened(
        kind="PNG",
        store=HeldStore(pixels),
        bit_depth=16 if bits == 16 else 8,
        orientation=exif.orientation,
        embedded=embedded,
        declared=_declared(facts),
        hint=_hint(facts) or exif.hint,
        ppi=_density(facts) or exif.ppi,
        notes=tuple(notes),
    )


def _chunks(file: PictureFile, stream):
    """Places of the chunks pixels come from, and the contents of those that tell facts."""
    places, facts = [], {}
    at = len(_SIGNATURE)
    while True:
        length, kind = struct.unpack(">I4s", file.read(stream, at, 8))
        if length > 2**31 - 1 or at + 12 + length > file.size:
            raise PictureError(file.damaged("the file ends too early"))
        if kind in _PIXELS:
            places.append((kind, at, length))
        elif kind in _FACTS and kind not in facts and length <= _MAX_FACT:
            body = bytes(file.read(stream, at + 8, length + 4))
            # a damaged fact counts as absent
            if zlib.crc32(kind + body[:length]) == int.from_bytes(body[length:], "big"):
                facts[kind] = body[:length]
        elif not kind[0] & 0x20:
            raise PictureError(file.damaged("it holds a necessary part of unknown kind"))
        if kind == b"IEND":
            return places, facts
        at += 12 + length


def _header(file: PictureFile, stream, places):
    kinds = [kind for kind, _, _ in places]
    if places[0][0] != b"IHDR" or places[0][2] != 13 or kinds.count(b"IHDR") != 1:
        raise PictureError(file.damaged("it does not begin with its size"))
    raw = file.read(stream, places[0][1] + 8, 13)
    width, height, bits, colour_type, method, filters, interlaced = struct.unpack(">IIBBBBB", raw)
    check_size(width, height, file.label)
    if colour_type not in _TYPES or bits not in _TYPES[colour_type][1]:
        raise PictureError(file.damaged("it declares an impossible kind of pixels"))
    if method or filters or interlaced > 1:
        raise PictureError(file.damaged("it is packed in an unknown way"))
    if b"IDAT" not in kinds:
        raise PictureError(file.damaged("it holds no pixels"))
    if colour_type == 3 and b"PLTE" not in kinds:
        raise PictureError(file.damaged("its palette is missing"))
    return width, height, bits, colour_type


def _without_facts(file: PictureFile, stream, places) -> bytearray:
    """The file with nothing in it but what the pixels need: less for native code to trip over."""
    data = bytearray(len(_SIGNATURE) + sum(12 + length for _, _, length in places))
    data[: len(_SIGNATURE)] = _SIGNATURE
    view = memoryview(data)
    to = len(_SIGNATURE)
    for _, at, length in places:
        file.read_into(stream, at, view[to : to + 12 + length])
        to += 12 + length
    return data


def _decode(file: PictureFile, data, size: tuple[int, int], bits: int):
    """Finished pixels, and notes about what was done to them."""
    import imagecodecs

    height, width = size
    try:
        raw = imagecodecs.png_decode(data)
    except (RuntimeError, ValueError, TypeError) as problem:
        raise PictureError(file.damaged("its pixels cannot be decoded")) from problem
    samples, left_over = divmod(raw.size, height * width)
    if raw.itemsize != (2 if bits == 16 else 1) or left_over or not 1 <= samples <= 4:
        raise PictureError(file.damaged("its size contradicts itself"))
    raw = raw.reshape(height, width, samples)
    if samples in (1, 3):
        return raw, []
    channels = samples - 1
    finish = Finish(channels=channels, bits=8 * raw.itemsize, alpha=channels)
    tally = Tally(file.label)
    pixels = np.empty((height, width, channels), raw.dtype)
    for y0, y1 in even_bands(height, width, 1_000_000):
        pixels[y0:y1] = finish(raw[y0:y1], tally)
    return pixels, alpha_notes(tally)


def alpha_notes(tally: Tally) -> list[str]:
    """What to tell about a picture with an alpha channel."""
    if tally.opaque:
        return []
    return ["Transparent parts of the picture were laid over bare paper (white)."]


def _profile(facts: dict) -> tuple[bytes | None, str | None]:
    """The embedded profile unpacked, or None and a note where that fails."""
    body = facts.get(b"iCCP")
    if body is None:
        return None, None
    packed = body.partition(b"\0")[2]
    unpacker = zlib.decompressobj()
    try:
        # the first byte names the packing, always deflate
        data = unpacker.decompress(packed[1:], _MAX_PROFILE)
    except zlib.error:
        data = b""
    if not unpacker.eof:
        return None, (
            "The embedded profile is not used, as if there were none: it cannot be unpacked."
        )
    return data, None


def _declared(facts: dict) -> str | None:
    """The standard space that the file declares without a profile."""
    code = facts.get(b"cICP")
    # code points of ITU-T H.273: primaries and transfer; RGB, full range
    if code in (b"\x01\x0d\x00\x01", b"\x0c\x0d\x00\x01"):
        return "sRGB" if code[0] == 1 else "Display P3"
    return "sRGB" if len(facts.get(b"sRGB", b"")) == 1 else None


def _hint(facts: dict) -> str | None:
    if facts.get(b"gAMA") != struct.pack(">I", _SRGB_GAMA):
        return None
    primaries = facts.get(b"cHRM")
    return "sRGB" if primaries in (None, struct.pack(">8I", *_SRGB_CHRM)) else None


def _density(facts: dict) -> float | None:
    body = facts.get(b"pHYs", b"")
    if len(body) != 9 or body[8] != 1:
        return None
    x, y = struct.unpack(">II", body[:8])
    # pixels per metre; the usual 2835 and the like are rounded, so round back to 0.01
    ppi = pixels_per_inch(x / 100, y / 100, 3)
    return None if ppi is None else round(ppi, 2)
