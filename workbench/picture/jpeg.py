"""Reading JPEG pictures: grey and RGB with 8 bits, decoded whole."""

from __future__ import annotations

import io
import struct
from bisect import bisect_right
from itertools import accumulate

import numpy as np

from workbench.errors import PictureError
from workbench.language import tr
from workbench.picture.cost import OpeningCost, cost_of
from workbench.picture.exif import Exif, pixels_per_inch, read_exif
from workbench.picture.files import PictureFile
from workbench.picture.jpegstream import BrokenStream, JpegStream, stream_head, walk_stream
from workbench.picture.limits import check_size
from workbench.picture.opened import Opened
from workbench.picture.room import Room, goes_to_disk, scratch
from workbench.picture.store import BAND_PIXELS, Store, even_bands
from workbench.picture.watch import Watch

_APP0, _APP1, _APP2 = 0xE0, 0xE1, 0xE2
_PROFILE = b"ICC_PROFILE\0"
# bytes that the decoder's library holds a pixel in
_HELD = {1: 1, 3: 4}
_BUFFER = 2**18


def jpeg_cost(file: PictureFile) -> OpeningCost:
    """What opening will cost, from what stands before the first scan."""
    with file.stream() as stream:
        marks = _marks(file, stream, stream_head)
    return _cost(marks, file)


def open_jpeg(file: PictureFile, watch: Watch) -> Opened:
    """Read a JPEG file; PictureError for what is damaged or of a kind we do not read."""
    with file.stream() as stream:
        marks = _marks(file, stream, walk_stream)
        if not marks.could_hold():
            raise PictureError(file.damaged(tr("it declares more pixels than its data can hold")))
        _cost(marks, file).check(file.label)
        facts = _Facts(file, stream, marks)
        profile, note = _profile(facts)
        exif = _exif(facts)
        return Opened(
            kind="JPEG",
            store=_decode(file, stream, marks, watch),
            bit_depth=8,
            orientation=exif.orientation,
            embedded=profile,
            hint=exif.hint,
            ppi=_density(facts) or exif.ppi,
            notes=(note,) if note else (),
        )


def _marks(file: PictureFile, stream, walk) -> JpegStream:
    def read(at: int, count: int) -> bytearray:
        return file.read(stream, at, max(0, min(count, file.size - at)))

    try:
        marks = walk(read, file.size)
    except BrokenStream as problem:
        raise PictureError(file.damaged(str(problem))) from None
    check_size(marks.width, marks.height, file.label)
    _check_kind(marks, file)
    return marks


def _cost(marks: JpegStream, file: PictureFile) -> OpeningCost:
    pixels = marks.width * marks.height
    kept = pixels * marks.components
    # where there is little, the decoder's own pixels are in memory as well
    working = 0 if goes_to_disk(kept) else pixels * _HELD[marks.components]
    if marks.progressive:
        # all coefficients, two bytes each, stay in memory until the last scan (ITU-T T.81, G.1):
        # as much as the picture at 4:2:0, twice as much at 4:4:4; no decoder at hand does with less
        area = [h * v for h, v in marks.sampling]
        most = max(h for h, _ in marks.sampling) * max(v for _, v in marks.sampling)
        working += int(2 * pixels * sum(area) / most)
    return cost_of(
        "progressive JPEG" if marks.progressive else "JPEG",
        marks.width,
        marks.height,
        decoded=pixels * marks.components,
        packed=file.size,
        kept=kept,
        working=working,
    )


def _check_kind(marks: JpegStream, file: PictureFile) -> None:
    if marks.components == 4:
        raise PictureError(
            tr(
                "{label} is in CMYK, already separated for one press. Go back to the RGB "
                "original, or convert it to RGB with its profile embedded, as a 16-bit TIFF.",
                label=file.label,
            )
        )
    if not marks.usable or marks.components not in (1, 3):
        raise PictureError(
            tr(
                "{label} is an unusual kind of JPEG (lossless, {precision} bits, or "
                "{components} components). Export it as a 16-bit TIFF.",
                label=file.label,
                precision=marks.precision,
                components=marks.components,
            )
        )


class _Pieces(io.RawIOBase):
    """The parts of a file that pixels come from, as if there were nothing else in it: less for
    native code to trip over.  Each reading tells the watch how far it has come."""

    def __init__(self, file: PictureFile, stream, pieces, watch: Watch):
        self._file, self._stream, self._watch = file, stream, watch
        self._starts = [start for start, _ in pieces]
        # where each piece begins here, and where the last one ends
        self._at = [0, *accumulate(stop - start for start, stop in pieces)]
        self._place = self._furthest = 0

    def seekable(self) -> bool:
        return True

    def readable(self) -> bool:
        return True

    def tell(self) -> int:
        return self._place

    def seek(self, offset: int, whence: int = io.SEEK_SET) -> int:
        self._place = offset + {io.SEEK_CUR: self._place, io.SEEK_END: self._at[-1]}.get(whence, 0)
        return self._place

    def readinto(self, target) -> int:
        # the head is read twice
        self._furthest = max(self._furthest, self._place)
        self._watch(self._furthest / self._at[-1])
        index = bisect_right(self._at, self._place) - 1
        if index == len(self._starts):
            return 0
        inside = self._place - self._at[index]
        count = min(len(target), self._at[index + 1] - self._place)
        self._file.read_into(self._stream, self._starts[index] + inside, target[:count])
        self._place += count
        return count


def _decode(file: PictureFile, stream, marks: JpegStream, watch: Watch) -> Store:
    from PIL import JpegImagePlugin

    pieces = io.BufferedReader(_Pieces(file, stream, marks.pieces, watch), _BUFFER)
    try:
        # not by `Image.open`, which has a limit of its own to the size
        image = JpegImagePlugin.JpegImageFile(pieces)
        expected = {1: "L", 3: "RGB"}[marks.components]
        if image.size != (marks.width, marks.height) or image.mode != expected:
            raise PictureError(file.damaged(tr("its size contradicts itself")))
        _make_room(image)
        image.load()
    except (OSError, SyntaxError, ValueError, TypeError) as problem:
        if isinstance(problem, PictureError):
            raise
        raise PictureError(file.damaged(tr("its pixels cannot be decoded"))) from problem
    room = Room(marks.height, marks.width, marks.components, np.uint8)
    for top, stop in even_bands(marks.height, marks.width, BAND_PIXELS):
        part = np.asarray(image.crop((0, top, marks.width, stop)))
        room.pixels[top:stop] = part.reshape(room.pixels[top:stop].shape)
    return room.store()


def _make_room(image) -> None:
    """Have the decoder write many pixels into a file instead of memory."""
    from PIL import Image

    size = image.width * image.height * _HELD[len(image.mode)]
    if not goes_to_disk(size):
        return
    try:
        _, view = scratch(size)
    except OSError:
        return
    # the library takes the pixels' place for given where there is one
    image.im = Image.core.map_buffer(view, image.size, "raw", 0, (image.mode, 0, 1))


class _Facts:
    """What the segments of a file say beside its pixels."""

    def __init__(self, file: PictureFile, stream, marks: JpegStream):
        self._file, self._stream, self._marks = file, stream, marks

    def payloads(self, marker: int, prefix: bytes):
        for found, start, stop in self._marks.segments:
            if found == marker:
                data = bytes(self._file.read(self._stream, start, stop - start))
                if data.startswith(prefix):
                    yield data[len(prefix) :]


def _profile(facts: _Facts) -> tuple[bytes | None, str | None]:
    """The embedded profile put together from its numbered pieces, or None and a note."""
    pieces: dict[int, bytes] = {}
    total = 0
    for payload in facts.payloads(_APP2, _PROFILE):
        if len(payload) < 2:
            continue
        number, total = payload[0], payload[1]
        pieces.setdefault(number, payload[2:])
    if not pieces:
        return None, None
    if sorted(pieces) != list(range(1, total + 1)):
        return None, (
            tr(
                "The embedded profile is not used, as if there were none: some of its pieces are "
                "missing."
            )
        )
    return b"".join(pieces[number] for number in sorted(pieces)), None


def _exif(facts: _Facts) -> Exif:
    for payload in facts.payloads(_APP1, b"Exif\0"):
        # the prefix is followed by one byte of padding
        return read_exif(payload[1:])
    return Exif()


def _density(facts: _Facts) -> float | None:
    for payload in facts.payloads(_APP0, b"JFIF\0"):
        if len(payload) >= 7:
            unit, x, y = struct.unpack_from(">BHH", payload, 2)
            # JFIF counts 1 for inch and 2 for cm, TIFF and EXIF 2 and 3
            return pixels_per_inch(x, y, unit + 1)
    return None
