"""Reading JPEG pictures: grey and RGB with 8 bits, decoded whole."""

from __future__ import annotations

import struct

import numpy as np

from workbench.errors import PictureError
from workbench.picture.exif import Exif, pixels_per_inch, read_exif
from workbench.picture.files import PictureFile
from workbench.picture.jpegstream import BrokenStream, JpegStream, read_stream
from workbench.picture.limits import check_memory, check_size
from workbench.picture.opened import Opened
from workbench.picture.store import HeldStore

_APP0, _APP1, _APP2 = 0xE0, 0xE1, 0xE2
_PROFILE = b"ICC_PROFILE\0"


def open_jpeg(file: PictureFile) -> Opened:
    """Read a JPEG file; PictureError for what is damaged or of a kind we do not read."""
    with file.stream() as stream:
        data = file.read(stream, 0, file.size)
    try:
        marks = read_stream(data)
    except BrokenStream as problem:
        raise PictureError(file.damaged(str(problem))) from None
    check_size(marks.width, marks.height, file.label)
    _check_kind(marks, file)
    if not marks.could_hold():
        raise PictureError(file.damaged("it declares more pixels than its data can hold"))
    # decoders keep all coefficients, 2 bytes each, of a picture stored in several scans
    times = 3 if marks.frame in (0xC2, 0xCA) else 1
    check_memory(marks.width * marks.height * marks.components * times, file.label)
    profile, note = _profile(data, marks)
    exif = _exif(data, marks)
    return Opened(
        kind="JPEG",
        store=HeldStore(decode(data, marks, file)),
        bit_depth=8,
        orientation=exif.orientation,
        embedded=profile,
        hint=exif.hint,
        ppi=_density(data, marks) or exif.ppi,
        notes=(note,) if note else (),
    )


def _check_kind(marks: JpegStream, file: PictureFile) -> None:
    if marks.components == 4:
        raise PictureError(
            f"{file.label} is in CMYK, already separated for one press. Go back to the RGB "
            "original, or convert it to RGB with its profile embedded, as a 16-bit TIFF."
        )
    if not marks.usable or marks.components not in (1, 3):
        raise PictureError(
            f"{file.label} is an unusual kind of JPEG (lossless, {marks.precision} bits, or "
            f"{marks.components} components). Export it as a 16-bit TIFF."
        )


def decode(data, marks: JpegStream, file: PictureFile) -> np.ndarray:
    """(height, width, components) uint8."""
    import imagecodecs

    try:
        pixels = imagecodecs.jpeg8_decode(data)
    except (RuntimeError, ValueError, TypeError) as problem:
        raise PictureError(file.damaged("its pixels cannot be decoded")) from problem
    expected = (marks.height, marks.width, marks.components)
    if pixels.dtype != np.uint8 or pixels.size != np.prod(expected, dtype=np.int64):
        raise PictureError(file.damaged("its size contradicts itself"))
    return pixels.reshape(expected)


def _payloads(data, marks: JpegStream, marker: int, prefix: bytes):
    for found, start, stop in marks.segments:
        if found == marker and data[start : start + len(prefix)] == prefix:
            yield bytes(data[start + len(prefix) : stop])


def _profile(data, marks: JpegStream) -> tuple[bytes | None, str | None]:
    """The embedded profile put together from its numbered pieces, or None and a note."""
    pieces: dict[int, bytes] = {}
    total = 0
    for payload in _payloads(data, marks, _APP2, _PROFILE):
        if len(payload) < 2:
            continue
        number, total = payload[0], payload[1]
        pieces.setdefault(number, payload[2:])
    if not pieces:
        return None, None
    if sorted(pieces) != list(range(1, total + 1)):
        return None, (
            "The embedded profile is not used, as if there were none: some of its pieces are "
            "missing."
        )
    return b"".join(pieces[number] for number in sorted(pieces)), None


def _exif(data, marks: JpegStream) -> Exif:
    for payload in _payloads(data, marks, _APP1, b"Exif\0"):
        # the prefix is followed by one byte of padding
        return read_exif(payload[1:])
    return Exif()


def _density(data, marks: JpegStream) -> float | None:
    for payload in _payloads(data, marks, _APP0, b"JFIF\0"):
        if len(payload) >= 7:
            unit, x, y = struct.unpack_from(">BHH", payload, 2)
            # JFIF counts 1 for inch and 2 for cm, TIFF and EXIF 2 and 3
            return pixels_per_inch(x, y, unit + 1)
    return None
