"""Writing PNG files row by row, 8 or 16 bits.

Pillow holds no 16-bit colour and other encoders want the whole picture at once; a print
of 100 megapixels should not be in memory twice.  Source: the PNG specification (W3C,
third edition): chunks in section 11, filters in section 9.
"""

from __future__ import annotations

import struct
import zlib

import numpy as np

from workbench.bands import in_order

_SIGNATURE = b"\x89PNG\r\n\x1a\n"
_COLOUR_TYPE = {1: 0, 3: 2}
_SUB, _UP, _PAETH = 1, 2, 4
# filtered well, a photograph gains little from trying harder
_LEVEL = 2
_PIECE_ROWS = 64
# the smallest possible end of a deflate stream: an empty last block (RFC 1951, 3.2.6)
_LAST_BLOCK = b"\x03\x00"


class PngWriter:
    """Writes bands of pixels as one PNG file.

    Parameters
    ----------
    stream : binary, at its beginning.
    width, height, channels : channels 1 or 3.
    bit_depth : 8 or 16.
    ppi : stored in whole pixels per metre.
    profile : ICC profile bytes.
    description : stored as international text under "Description".
    """

    def __init__(self, stream, width, height, channels, bit_depth, ppi, profile, description):
        self._stream = stream
        self._sample = bit_depth // 8
        self._pixel = self._sample * channels
        self._above = np.zeros((1, width * self._pixel), np.uint8)
        self._adler = 1
        stream.write(_SIGNATURE)
        header = struct.pack(">IIBBBBB", width, height, bit_depth, _COLOUR_TYPE[channels], 0, 0, 0)
        self._chunk(b"IHDR", header)
        self._chunk(b"iCCP", b"ICC profile\0\0" + zlib.compress(profile, 9))
        per_metre = round(ppi / 0.0254)
        self._chunk(b"pHYs", struct.pack(">IIB", per_metre, per_metre, 1))
        self._chunk(b"iTXt", b"Description\0\0\0\0\0" + description.encode())
        # the two bytes that open a zlib stream (RFC 1950)
        self._chunk(b"IDAT", b"\x78\x5e")

    def write(self, band: np.ndarray) -> None:
        """Add (rows, width, channels) uint8 or uint16 pixels."""
        pieces = []
        for first in range(0, len(band), _PIECE_ROWS):
            piece = band[first : first + _PIECE_ROWS]
            raw = np.ascontiguousarray(piece, piece.dtype.newbyteorder(">")).view(np.uint8)
            raw = raw.reshape(len(piece), -1)
            pieces.append((raw, self._above))
            self._above = raw[-1:]
        # pieces are packed apart, as parts of one stream, so that they can be at once
        for lines, packed in in_order(self._packed, pieces):
            self._adler = zlib.adler32(lines, self._adler)
            self._chunk(b"IDAT", packed)

    def _packed(self, piece) -> tuple[bytes, bytes]:
        lines = self._filtered(*piece).tobytes()
        deflate = zlib.compressobj(_LEVEL, zlib.DEFLATED, -15, 9, zlib.Z_FILTERED)
        return lines, deflate.compress(lines) + deflate.flush(zlib.Z_SYNC_FLUSH)

    def _filtered(self, raw: np.ndarray, row_above: np.ndarray) -> np.ndarray:
        """Rows as the format wants them: the filter's number, then the filtered bytes."""
        above = np.concatenate([row_above, raw[:-1]])
        left = np.zeros_like(raw)
        left[:, self._pixel :] = raw[:, : -self._pixel]
        corner = np.zeros_like(raw)
        corner[:, self._pixel :] = above[:, : -self._pixel]
        filters = {
            _SUB: raw - left,
            _UP: raw - above,
            _PAETH: raw - _paeth(left, above, corner),
        }
        # the usual rule: the filter whose results, taken as signed, are smallest in sum
        costs = [
            np.abs(rows.view(np.int8).astype(np.int16)).sum(axis=1, dtype=np.int64)
            for rows in filters.values()
        ]
        best = np.argmin(costs, axis=0)
        lines = np.empty((len(raw), raw.shape[1] + 1), np.uint8)
        lines[:, 0] = np.array(list(filters), np.uint8)[best]
        for number, rows in enumerate(filters.values()):
            lines[best == number, 1:] = rows[best == number]
        return lines

    def finish(self) -> None:
        """Write the end of the pixels and of the file."""
        self._chunk(b"IDAT", _LAST_BLOCK + struct.pack(">I", self._adler))
        self._chunk(b"IEND", b"")

    def _chunk(self, kind: bytes, data: bytes) -> None:
        self._stream.write(struct.pack(">I", len(data)) + kind)
        self._stream.write(data)
        self._stream.write(struct.pack(">I", zlib.crc32(data, zlib.crc32(kind))))


def _paeth(left, above, corner) -> np.ndarray:
    """Whichever of the three neighbours is nearest to left + above - corner."""
    a, b, c = (x.astype(np.int16) for x in (left, above, corner))
    to_left, to_above = np.abs(b - c), np.abs(a - c)
    to_corner = np.abs(a + b - 2 * c)
    return np.where(
        (to_left <= to_above) & (to_left <= to_corner),
        left,
        np.where(to_above <= to_corner, above, corner),
    )
