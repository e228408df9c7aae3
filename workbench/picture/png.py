"""Reading PNG pictures: the parts of the file, and what they say beside the pixels.

Source: Portable Network Graphics (PNG) Specification, third edition (W3C).
"""

from __future__ import annotations

import struct
import zlib

from workbench.errors import PictureError
from workbench.language import tr
from workbench.picture.cost import OpeningCost, cost_of
from workbench.picture.exif import Exif, pixels_per_inch, read_exif
from workbench.picture.files import PictureFile
from workbench.picture.limits import check_size
from workbench.picture.opened import Opened
from workbench.picture.pngpixels import SAMPLES, WORKING_BYTES, Header, part, read_pixels
from workbench.picture.samples import Tally
from workbench.picture.watch import Watch

_SIGNATURE = b"\x89PNG\r\n\x1a\n"
_PIXELS = (b"IHDR", b"PLTE", b"tRNS", b"IDAT", b"IEND")
_FACTS = (b"iCCP", b"sRGB", b"gAMA", b"cHRM", b"cICP", b"pHYs", b"eXIf", b"acTL")
_MAX_FACT = 16 * 2**20
_MAX_PROFILE = 64 * 2**20
# deflate packs at most 1032 bytes into one (zlib technical details)
_MAX_DEFLATE = 1032
# primaries and white of sRGB, transfer curve about 1/2.2; PNG specification, sRGB chunk
_SRGB_CHRM = (31270, 32900, 64000, 33000, 30000, 60000, 15000, 6000)
_SRGB_GAMA = 45455


def png_cost(file: PictureFile) -> OpeningCost:
    """What opening will cost, from the sizes that the parts state."""
    with file.stream() as stream:
        return _cost(file, _header(file, stream, _chunks(file, stream)[0]))


def open_png(file: PictureFile, watch: Watch) -> Opened:
    """Read a PNG file; PictureError for what is damaged."""
    with file.stream() as stream:
        places, facts = _chunks(file, stream)
        header = _header(file, stream, places)
        coded = sum(length for kind, _, length in places if kind == b"IDAT")
        if coded * _MAX_DEFLATE + 1024 < header.packed_bytes:
            raise PictureError(file.damaged(tr("it declares more pixels than its data can hold")))
        _cost(file, header).check(file.label)
        store, tally = read_pixels(file, stream, places, header, watch)
    exif = read_exif(facts[b"eXIf"]) if b"eXIf" in facts else Exif()
    embedded, profile_note = _profile(facts)
    notes = alpha_notes(tally)
    if profile_note:
        notes.append(profile_note)
    if b"acTL" in facts:
        notes.append(tr("The file holds an animation; its still picture was opened."))
    return Opened(
        kind="PNG",
        store=store,
        bit_depth=16 if header.bits == 16 else 8,
        orientation=exif.orientation,
        embedded=embedded,
        declared=_declared(facts),
        hint=_hint(facts) or exif.hint,
        ppi=_density(facts) or exif.ppi,
        notes=tuple(notes),
    )


def _cost(file: PictureFile, header: Header) -> OpeningCost:
    kept = header.width * header.height * header.channels * (2 if header.bits == 16 else 1)
    return cost_of(
        "PNG",
        header.width,
        header.height,
        decoded=header.packed_bytes,
        packed=file.size,
        kept=kept,
        working=min(WORKING_BYTES, 12 * header.packed_bytes),
    )


def _chunks(file: PictureFile, stream):
    """Places of the chunks pixels come from, and the contents of those that tell facts."""
    places, facts = [], {}
    at = len(_SIGNATURE)
    while True:
        length, kind = struct.unpack(">I4s", file.read(stream, at, 8))
        if length > 2**31 - 1 or at + 12 + length > file.size:
            raise PictureError(file.damaged(tr("the file ends too early")))
        if kind in _PIXELS:
            places.append((kind, at, length))
        elif kind in _FACTS and kind not in facts and length <= _MAX_FACT:
            body = bytes(file.read(stream, at + 8, length + 4))
            # a damaged fact counts as absent
            if zlib.crc32(kind + body[:length]) == int.from_bytes(body[length:], "big"):
                facts[kind] = body[:length]
        elif not kind[0] & 0x20:
            raise PictureError(file.damaged(tr("it holds a necessary part of unknown kind")))
        if kind == b"IEND":
            return places, facts
        at += 12 + length


def _header(file: PictureFile, stream, places) -> Header:
    kinds = [kind for kind, _, _ in places]
    if places[0][0] != b"IHDR" or places[0][2] != 13 or kinds.count(b"IHDR") != 1:
        raise PictureError(file.damaged(tr("it does not begin with its size")))
    raw = part(file, stream, places[0])
    width, height, bits, colour_type, method, filters, interlaced = struct.unpack(">IIBBBBB", raw)
    check_size(width, height, file.label)
    if colour_type not in SAMPLES or bits not in SAMPLES[colour_type][1]:
        raise PictureError(file.damaged(tr("it declares an impossible kind of pixels")))
    if method or filters or interlaced > 1:
        raise PictureError(file.damaged(tr("it is packed in an unknown way")))
    if b"IDAT" not in kinds:
        raise PictureError(file.damaged(tr("it holds no pixels")))
    if colour_type == 3 and b"PLTE" not in kinds:
        raise PictureError(file.damaged(tr("its palette is missing")))
    return Header(width, height, bits, colour_type, bool(interlaced))


def alpha_notes(tally: Tally) -> list[str]:
    """What to tell about a picture with an alpha channel."""
    if tally.opaque:
        return []
    return [tr("Transparent parts of the picture were laid over bare paper (white).")]


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
            tr("The embedded profile is not used, as if there were none: it cannot be unpacked.")
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
