"""The pixels of a PNG file, unpacked a few megabytes at a time.

A library undoes the filters of each block of rows, which it is handed as a small picture
of its own; at no time is more in memory than the picture and a few such blocks.

Source: Portable Network Graphics (PNG) Specification, third edition (W3C), sections 7 to 10.
"""

from __future__ import annotations

import struct
import zlib
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from workbench.bands import in_order
from workbench.errors import PictureError
from workbench.language import tr
from workbench.picture.files import PictureFile
from workbench.picture.room import Room
from workbench.picture.samples import Finish, Tally
from workbench.picture.watch import Watch

_SIGNATURE = b"\x89PNG\r\n\x1a\n"
_GREY, _RGB, _PALETTE, _GREY_ALPHA, _RGB_ALPHA = 0, 2, 3, 4, 6
# colour type -> samples, and allowed bit depths
SAMPLES = {
    _GREY: (1, (1, 2, 4, 8, 16)),
    _RGB: (3, (8, 16)),
    _PALETTE: (1, (1, 2, 4, 8)),
    _GREY_ALPHA: (2, (8, 16)),
    _RGB_ALPHA: (4, (8, 16)),
}
# x and y of the first pixel, steps across and down, of each pass of an interlaced picture
_PASSES = (
    (0, 0, 8, 8),
    (4, 0, 8, 8),
    (0, 4, 4, 8),
    (2, 0, 4, 4),
    (0, 2, 2, 4),
    (1, 0, 2, 2),
    (0, 1, 1, 2),
)
# how filters see pixels of so many bytes: bits, colour type
_AS_BYTES = {
    1: (8, _GREY),
    2: (8, _GREY_ALPHA),
    3: (8, _RGB),
    4: (8, _RGB_ALPHA),
    6: (16, _RGB),
    8: (16, _RGB_ALPHA),
}
_BLOCK_BYTES = 2 * 2**20
_PIECE = 2**18
# of memory beside the picture itself: blocks packed, unpacked and finished
WORKING_BYTES = 24 * _BLOCK_BYTES


@dataclass(frozen=True)
class Header:
    """What the file says of its pixels; checked."""

    width: int
    height: int
    bits: int
    colour_type: int
    interlaced: bool

    @property
    def channels(self) -> int:
        """Of colour: 1 or 3."""
        return 1 if self.colour_type in (_GREY, _GREY_ALPHA) else 3

    @property
    def bits_a_pixel(self) -> int:
        return SAMPLES[self.colour_type][0] * self.bits

    @property
    def packed_bytes(self) -> int:
        """Of all rows, once inflated."""
        return sum(h * (1 + self.row_bytes(w)) for *_, w, h in self.passes())

    def row_bytes(self, width: int) -> int:
        return -(-width * self.bits_a_pixel // 8)

    def passes(self) -> Iterator[tuple[int, int, int, int, int, int]]:
        """First column and row, steps, width and height, of each pass that has pixels."""
        for x, y, across, down in _PASSES if self.interlaced else [(0, 0, 1, 1)]:
            width, height = -(-(self.width - x) // across), -(-(self.height - y) // down)
            if width > 0 and height > 0:
                yield x, y, across, down, width, height


def part(file: PictureFile, stream, place) -> bytes:
    """The contents of a part; PictureError where they are damaged."""
    kind, at, length = place
    body = file.read(stream, at + 8, length + 4)
    if zlib.crc32(body[:length], zlib.crc32(kind)) != int.from_bytes(body[length:], "big"):
        raise PictureError(file.damaged(tr("one of its parts is not what it was")))
    return bytes(body[:length])


def read_pixels(file: PictureFile, stream, places, header: Header, watch: Watch):
    """A store of uint8 or uint16 pixels, and what was met on the way.

    Raises
    ------
    PictureError
        for damaged data.
    Cancelled
    """
    unpack = _unpacking(file, stream, places, header)
    tally = Tally(file.label)
    dtype = np.uint16 if header.bits == 16 else np.uint8
    room = Room(header.height, header.width, header.channels, dtype)
    rows = _Rows(file, stream, [each for each in places if each[0] == b"IDAT"])
    done = 0
    for x, y, across, down, width, height in header.passes():
        target = room.pixels[y::down, x::across]
        for y0, block in _unfiltered(file, rows, header, width, height):
            target[y0 : y0 + len(block)] = unpack(block, width, tally)
            done += len(block) * (1 + header.row_bytes(width))
            watch(done / header.packed_bytes)
    rows.finish()
    return room.store(), tally


class _Rows:
    """Inflates the data of the pixels bit by bit."""

    def __init__(self, file: PictureFile, stream, places):
        self._file = file
        self._pieces = self._checked(stream, places)
        self._inflate = zlib.decompressobj()

    def _checked(self, stream, places) -> Iterator[bytes]:
        """All that is packed, in pieces; each part's checksum is compared at its end."""
        for kind, at, length in places:
            check, done = zlib.crc32(kind), 0
            while done < length:
                piece = self._file.read(stream, at + 8 + done, min(_PIECE, length - done))
                check, done = zlib.crc32(piece, check), done + len(piece)
                if done == length:
                    stated = self._file.read(stream, at + 8 + length, 4)
                    if check != int.from_bytes(stated, "big"):
                        raise self._damaged()
                yield bytes(piece)

    def take(self, count: int) -> bytearray:
        """The next ``count`` bytes."""
        taken = bytearray()
        try:
            while len(taken) < count:
                packed = self._inflate.unconsumed_tail or next(self._pieces, None)
                got = self._inflate.decompress(packed or b"", count - len(taken))
                if (packed is None and not got) or (self._inflate.eof and not got):
                    raise self._damaged()
                taken += got
        except zlib.error:
            raise self._damaged() from None
        return taken

    def finish(self) -> None:
        """Check what is left; what stands behind the last row is passed over, as decoders do."""
        try:
            self._inflate.decompress(self._inflate.unconsumed_tail, 1)
            for piece in self._pieces:
                if not self._inflate.eof:
                    self._inflate.decompress(piece, 1)
        except zlib.error:
            raise self._damaged() from None

    def _damaged(self) -> PictureError:
        return PictureError(self._file.damaged(tr("its pixels cannot be decoded")))


def _unfiltered(file: PictureFile, rows: _Rows, header: Header, width: int, height: int):
    """Yield the first row's number and (rows, bytes) uint8 of each block of a pass."""
    import imagecodecs

    row_bytes = header.row_bytes(width)
    pixel_bytes = max(1, header.bits_a_pixel // 8)
    bits, colour_type = _AS_BYTES[pixel_bytes]
    across = row_bytes // pixel_bytes
    step = max(1, _BLOCK_BYTES // row_bytes)
    starts = range(0, height, step)
    before = bytes(row_bytes)

    def take(y0: int) -> bytearray:
        return rows.take(min(step, height - y0) * (1 + row_bytes))

    # the next block is inflated while this one is worked on
    for y0, filtered in zip(starts, in_order(take, starts, workers=1), strict=True):
        count = len(filtered) // (1 + row_bytes)
        # filters look at the row above: here it stands in front, without a filter
        size = struct.pack(">IIBBBBB", across, count + 1, bits, colour_type, 0, 0, 0)
        packed = zlib.compress(b"".join((b"\0", before, filtered)), 0)
        small = (_SIGNATURE, _part(b"IHDR", size), _part(b"IDAT", packed), _part(b"IEND", b""))
        try:
            decoded = imagecodecs.png_decode(b"".join(small))
        except (RuntimeError, ValueError, TypeError) as problem:
            raise PictureError(file.damaged(tr("its pixels cannot be decoded"))) from problem
        if bits == 16:
            decoded = decoded.astype(">u2")
        block = np.ascontiguousarray(decoded).view(np.uint8).reshape(count + 1, row_bytes)
        before = block[-1].tobytes()
        yield y0, block[1:]


def _part(kind: bytes, body: bytes) -> bytes:
    check = zlib.crc32(body, zlib.crc32(kind))
    return b"".join((struct.pack(">I", len(body)), kind, body, struct.pack(">I", check)))


def _unpacking(file: PictureFile, stream, places, header: Header):
    """(rows, bytes), width, tally -> finished (rows, width, channels)."""
    known = {kind: (kind, at, length) for kind, at, length in reversed(places)}
    samples, bits = SAMPLES[header.colour_type][0], header.bits
    palette = clear = None
    if header.colour_type == _PALETTE:
        palette = np.frombuffer(part(file, stream, known[b"PLTE"]), np.uint8)
        if palette.size == 0 or palette.size % 3 or palette.size > 768:
            raise PictureError(file.damaged(tr("its palette is missing")))
        palette = palette.reshape(-1, 3)
    # a tRNS part makes some colours transparent
    if b"tRNS" in known and header.colour_type in (_GREY, _RGB, _PALETTE):
        clear = part(file, stream, known[b"tRNS"])
        if palette is not None:
            opacity = np.full(256, 255, np.uint8)
            opacity[: min(len(clear), 256)] = np.frombuffer(clear, np.uint8)[:256]
        elif len(clear) == 2 * samples:
            clear = np.frombuffer(clear, ">u2") & (2**bits - 1)
        else:
            clear = None
    channels = header.channels
    with_alpha = clear is not None or header.colour_type in (_GREY_ALPHA, _RGB_ALPHA)
    finish = Finish(channels, max(8, bits), alpha=channels if with_alpha else None)

    def unpack(block: np.ndarray, width: int, tally: Tally) -> np.ndarray:
        values: np.ndarray
        if bits == 16:
            values = block.view(">u2").astype(np.uint16)
        elif bits < 8:
            shifts = np.arange(8 - bits, -1, -bits, dtype=np.uint8)
            values = (block[..., None] >> shifts) & (2**bits - 1)
            values = values.reshape(len(block), -1)[:, :width]
        else:
            values = block
        values = values.reshape(len(block), width, samples)
        alpha = None
        if palette is not None:
            index = values[..., 0]
            alpha = None if clear is None else opacity.take(index)
            # an index beyond the table is the file's fault, not a reason to fail
            values = palette.take(index, axis=0, mode="clip")
        else:
            if clear is not None:
                alpha = np.where((values == clear).all(axis=-1), 0, 2 ** max(8, bits) - 1)
            if bits < 8:
                values = values * np.uint8(255 // (2**bits - 1))
        if alpha is not None:
            values = np.concatenate([values, alpha[..., None].astype(values.dtype)], axis=-1)
        return finish(values, tally)

    return unpack
