"""The markers of a JPEG stream: read and checked before native code sees the data.

Source: ITU-T T.81 annex B (markers); JFIF 1.02; ICC.1:2022 annex B.4 (profile in JPEG).
"""

from __future__ import annotations

import struct
from dataclasses import dataclass

import numpy as np

_SOI, _EOI, _SOS, _DNL = 0xD8, 0xD9, 0xDA, 0xDC
# start of frame: baseline, extended and progressive, with Huffman or arithmetic coding
_FRAMES = {0xC0, 0xC1, 0xC2, 0xC9, 0xCA}
_OTHER_FRAMES = {0xC3, 0xC5, 0xC6, 0xC7, 0xCB, 0xCD, 0xCE, 0xCF}


class BrokenStream(ValueError):
    """A JPEG stream that ends too early or contradicts itself; the text is a detail."""


@dataclass(frozen=True)
class JpegStream:
    """What the markers say.

    Attributes
    ----------
    width, height, components, precision : of the frame.
    frame : its marker, 0xC0 and so on.
    segments : (marker, start, stop) of each segment's payload before the first scan.
    sampling : (horizontal, vertical) factors of each component.
    coded_bytes : entropy-coded bytes in all scans.
    """

    width: int
    height: int
    components: int
    precision: int
    frame: int
    segments: tuple[tuple[int, int, int], ...]
    sampling: tuple[tuple[int, int], ...]
    coded_bytes: int

    @property
    def usable(self) -> bool:
        """True for the kinds of JPEG with 8 bits that decoders commonly read."""
        return self.frame in _FRAMES and self.precision == 8

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
    if len(view) < 4 or view[0] != 0xFF or view[1] != _SOI:
        raise BrokenStream("it does not begin like a JPEG stream")
    markers = _marker_positions(view)
    segments: list[tuple[int, int, int]] = []
    frame = None
    coded = 0
    at = 2
    while True:
        at, marker = _marker_at(view, at, markers)
        if marker == _EOI:
            break
        if marker == _SOI or 0xD0 <= marker <= 0xD7 or marker == 0x01:
            # stand alone, without a length
            continue
        start, stop = _payload(view, at)
        if marker in _FRAMES or marker in _OTHER_FRAMES:
            if frame is not None:
                raise BrokenStream("it has two frames")
            frame = _frame(marker, view[start:stop])
        elif marker == _SOS:
            if frame is None:
                raise BrokenStream("its pixels come before its size")
            index = int(np.searchsorted(markers, stop))
            if index == len(markers):
                raise BrokenStream("the file ends too early")
            coded += int(markers[index]) - stop
            stop = int(markers[index])
        elif marker == _DNL:
            raise BrokenStream("it gives its height only after its pixels")
        elif coded == 0:
            segments.append((marker, start, stop))
        at = stop
    if frame is None or coded == 0:
        raise BrokenStream("it holds no pixels")
    return JpegStream(**frame, segments=tuple(segments), coded_bytes=coded)


def _marker_positions(view: memoryview) -> np.ndarray:
    """Where 0xFF is followed by a marker that ends entropy-coded data."""
    array = np.frombuffer(view, np.uint8)
    at = np.flatnonzero(array[:-1] == 0xFF)
    following = array[at + 1]
    # 00 is a stuffed byte, FF filling, D0..D7 are restarts within the data
    ends = (following != 0) & (following != 0xFF) & ((following & 0xF8) != 0xD0)
    return at[ends]


def _marker_at(view: memoryview, at: int, markers: np.ndarray) -> tuple[int, int]:
    """Position after the first marker from ``at`` on, and the marker."""
    if at < len(view) and view[at] != 0xFF:
        # stray bytes between segments are passed over, as decoders do
        index = int(np.searchsorted(markers, at))
        at = int(markers[index]) if index < len(markers) else len(view)
    while at < len(view) and view[at] == 0xFF:
        at += 1
    if at >= len(view):
        raise BrokenStream("the file ends too early")
    return at + 1, view[at]


def _payload(view: memoryview, at: int) -> tuple[int, int]:
    if at + 2 > len(view):
        raise BrokenStream("the file ends too early")
    (length,) = struct.unpack_from(">H", view, at)
    if length < 2:
        raise BrokenStream("one of its parts has an impossible length")
    if at + length > len(view):
        raise BrokenStream("the file ends too early")
    return at + 2, at + length


def _frame(marker: int, body: memoryview) -> dict:
    if len(body) < 6:
        raise BrokenStream("its frame is too short")
    precision, height, width, components = struct.unpack_from(">BHHB", body)
    if len(body) < 6 + 3 * components:
        raise BrokenStream("its frame is too short")
    sampling = tuple(
        (body[6 + 3 * i + 1] >> 4, body[6 + 3 * i + 1] & 15) for i in range(components)
    )
    if any(not (1 <= h <= 4 and 1 <= v <= 4) for h, v in sampling):
        raise BrokenStream("its frame has impossible sampling factors")
    return {
        "width": width,
        "height": height,
        "components": components,
        "precision": precision,
        "frame": marker,
        "sampling": sampling,
    }
