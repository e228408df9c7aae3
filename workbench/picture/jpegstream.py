"""The markers of a JPEG stream: read and checked before native code sees the data.

Source: ITU-T T.81 annex B (markers); JFIF 1.02; ICC.1:2022 annex B.4 (profile in JPEG).
"""

from __future__ import annotations

import struct
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from workbench.language import tr

_SOI, _EOI, _SOS, _DNL, _COMMENT = 0xD8, 0xD9, 0xDA, 0xDC, 0xFE
# start of frame: baseline, extended and progressive, with Huffman or arithmetic coding
_FRAMES = {0xC0, 0xC1, 0xC2, 0xC9, 0xCA}
_OTHER_FRAMES = {0xC3, 0xC5, 0xC6, 0xC7, 0xCB, 0xCD, 0xCE, 0xCF}
PROGRESSIVE = {0xC2, 0xCA}
# far more than cameras and programs write: profiles have up to 255 pieces, other descriptions
# some hundreds, progressive pictures about ten scans
_MOST_PARTS, _MOST_SCANS = 10_000, 500
# searched for the next marker at a time
_FIRST_PIECE, _PIECE = 2**12, 2**20


class BrokenStream(ValueError):
    """A JPEG stream that ends too early or contradicts itself; the text is a detail."""


@dataclass(frozen=True)
class JpegStream:
    """What the markers say.

    Attributes
    ----------
    width, height, components, precision : of the frame.
    frame : its marker, 0xC0 and so on.
    segments : (marker, start, stop) of each segment's payload before the first scan, but
        for comments.
    sampling : (horizontal, vertical) factors of each component.
    coded_bytes : entropy-coded bytes in all scans.
    pieces : (start, stop) of all that pixels are decoded from, from the first marker to
        the last, in order.
    """

    width: int
    height: int
    components: int
    precision: int
    frame: int
    segments: tuple[tuple[int, int, int], ...]
    sampling: tuple[tuple[int, int], ...]
    coded_bytes: int
    pieces: tuple[tuple[int, int], ...]

    @property
    def usable(self) -> bool:
        """True for the kinds of JPEG with 8 bits that decoders commonly read."""
        return self.frame in _FRAMES and self.precision == 8

    @property
    def progressive(self) -> bool:
        """Whether pixels come in several passes, between which all coefficients are kept."""
        return self.frame in PROGRESSIVE

    def could_hold(self) -> bool:
        """False where there is less data than so many pixels can come from.

        With Huffman coding each 8×8 block takes at least one bit.
        """
        if self.frame in (0xC9, 0xCA):
            return True
        h = max((a for a, _ in self.sampling), default=1)
        v = max((b for _, b in self.sampling), default=1)
        units = -(-self.width // (8 * h)) * -(-self.height // (8 * v))
        return self.coded_bytes * 8 >= units


def read_stream(data) -> JpegStream:
    """Walk through all markers to the end of the image.

    Parameters
    ----------
    data : bytes-like, beginning with the start of the image.

    Raises
    ------
    BrokenStream
        if the stream ends before its end marker, or has no frame or no scan.
    """
    view = memoryview(data).cast("B")
    return walk_stream(lambda at, count: bytes(view[at : at + count]), len(view))


def walk_stream(read: Callable[[int, int], bytes | bytearray], size: int) -> JpegStream:
    """The same for a stream that is read where it is needed.

    Parameters
    ----------
    read : (offset, count) -> bytes-like of that length, fewer only at the end.
    size : of the stream, in bytes.
    """
    return _Walk(read, size).to_the_end()


class _Walk:
    def __init__(self, read, size: int):
        self._read, self._size = read, size

    def to_the_end(self, head_only: bool = False) -> JpegStream:
        if self._read(0, 2) != bytes((0xFF, _SOI)):
            raise BrokenStream(tr("it does not begin like a JPEG stream"))
        segments: list[tuple[int, int, int]] = []
        pieces: list[tuple[int, int]] = [(0, 2)]
        frame = None
        coded = parts = scans = 0
        at = 2
        while True:
            begin = self._next_marker(at)
            at, marker = self._marker_at(begin)
            if marker == _EOI:
                pieces.append((at - 2, at))
                break
            if marker == _SOI or 0xD0 <= marker <= 0xD7 or marker == 0x01:
                # stand alone, without a length
                continue
            start, stop = self._payload(at)
            parts += 1
            scans += marker == _SOS
            if parts > _MOST_PARTS or scans > _MOST_SCANS:
                raise BrokenStream(tr("it is in more parts than any picture"))
            if marker in _FRAMES or marker in _OTHER_FRAMES:
                if frame is not None:
                    raise BrokenStream(tr("it has two frames"))
                frame = _frame(marker, self._read(start, stop - start))
            elif marker == _SOS:
                if frame is None:
                    raise BrokenStream(tr("its pixels come before its size"))
                if head_only:
                    break
                coded_to = self._coded_end(stop)
                coded += coded_to - stop
                stop = coded_to
            elif marker == _DNL:
                raise BrokenStream(tr("it gives its height only after its pixels"))
            elif coded == 0 and marker != _COMMENT:
                segments.append((marker, start, stop))
            if not _tells_nothing_of_pixels(marker):
                pieces.append((at - 2, stop))
            at = stop
        if frame is None or (coded == 0 and not head_only):
            raise BrokenStream(tr("it holds no pixels"))
        return JpegStream(
            **frame, segments=tuple(segments), coded_bytes=coded, pieces=tuple(pieces)
        )

    def _next_marker(self, at: int) -> int:
        """Where the next marker begins; stray bytes are passed over, as decoders do."""
        if self._read(at, 1) in (b"\xff", b""):
            return at
        return self._coded_end(at)

    def _marker_at(self, at: int) -> tuple[int, int]:
        """Position after the marker that begins at ``at``, filling passed over, and the marker."""
        while at < self._size:
            piece = bytes(self._read(at, _FIRST_PIECE))
            filling = len(piece) - len(piece.lstrip(b"\xff"))
            at += filling
            if filling < len(piece):
                return at + 1, piece[filling]
        raise BrokenStream(tr("the file ends too early"))

    def _coded_end(self, at: int) -> int:
        """Where the next marker stands that ends entropy-coded data."""
        length = _FIRST_PIECE
        while at + 1 < self._size:
            array = np.frombuffer(self._read(at, length), np.uint8)
            found = np.flatnonzero(array[:-1] == 0xFF)
            following = array[found + 1]
            # 00 is a stuffed byte, FF filling, D0..D7 are restarts within the data
            ends = (following != 0) & (following != 0xFF) & ((following & 0xF8) != 0xD0)
            if ends.any():
                return at + int(found[ends.argmax()])
            at += max(1, len(array) - 1)
            length = min(2 * length, _PIECE)
        raise BrokenStream(tr("the file ends too early"))

    def _payload(self, at: int) -> tuple[int, int]:
        length = self._read(at, 2)
        if len(length) < 2:
            raise BrokenStream(tr("the file ends too early"))
        (length,) = struct.unpack(">H", length)
        if length < 2:
            raise BrokenStream(tr("one of its parts has an impossible length"))
        if at + length > self._size:
            raise BrokenStream(tr("the file ends too early"))
        return at + 2, at + length


def stream_head(read: Callable[[int, int], bytes | bytearray], size: int) -> JpegStream:
    """What stands before the first scan; ``coded_bytes`` is 0."""
    return _Walk(read, size).to_the_end(head_only=True)


def _tells_nothing_of_pixels(marker: int) -> bool:
    """Comments and descriptions, but for the two by which decoders tell RGB from YCbCr."""
    return marker == _COMMENT or 0xE1 <= marker <= 0xED or marker == 0xEF


def _frame(marker: int, body) -> dict:
    if len(body) < 6:
        raise BrokenStream(tr("its frame is too short"))
    precision, height, width, components = struct.unpack_from(">BHHB", body)
    if len(body) < 6 + 3 * components:
        raise BrokenStream(tr("its frame is too short"))
    sampling = tuple(
        (body[6 + 3 * i + 1] >> 4, body[6 + 3 * i + 1] & 15) for i in range(components)
    )
    if any(not (1 <= h <= 4 and 1 <= v <= 4) for h, v in sampling):
        raise BrokenStream(tr("its frame has impossible sampling factors"))
    return {
        "width": width,
        "height": height,
        "components": components,
        "precision": precision,
        "frame": marker,
        "sampling": sampling,
    }
