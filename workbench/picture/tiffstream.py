"""Unpacking one large strip of a TIFF file bit by bit, instead of packed and unpacked at once.

Decoders take a strip as a whole.  Deflate can be fed in pieces; the other two are cut where
what follows does not depend on what went before, and each piece is decoded by itself.

Sources: TIFF 6.0, section 9 (PackBits) and section 13 (LZW); RFC 1950 (Deflate).
"""

from __future__ import annotations

import zlib
from collections.abc import Callable, Iterator

import numpy as np

_LZW, _PACKBITS = 5, 32773
_PIECE = 2**18
# a run of codes from one clearing to the next unpacks to 7 MB at most
_RUNS = 8
_CLEAR, _END = 256, 257
# bits of the codes behind a clearing, whose number alone decides: each adds an entry to 258, and
# one code before entry 511, 1023 and 2047 they grow ("early change")
_WIDTHS = np.repeat([9, 10, 11, 12], [254, 512, 1024, 4096 - 1790])
_AT = np.cumsum(_WIDTHS) - _WIDTHS
# packed bits of the longest run, and of a code to end it
_LONGEST = int(_WIDTHS.sum()) + 12

Read = Callable[[int, int], "bytes | bytearray"]


def unpacked(compression: int, read: Read, size: int) -> Iterator[bytes | bytearray]:
    """All bytes of a strip, a few megabytes at a time.

    Parameters
    ----------
    compression : one of `STREAMED`.
    read : (offset, count) -> bytes of the packed strip.
    size : of the packed strip.

    Raises
    ------
    ValueError
        for damaged data; zlib and decoders have errors of their own.
    """
    return STREAMED[compression](read, size)


def _inflated(read: Read, size: int) -> Iterator[bytes | bytearray]:
    inflate = zlib.decompressobj()
    for at in range(0, size, _PIECE):
        rest = bytes(read(at, min(_PIECE, size - at)))
        while rest:
            # a little can unpack to much
            yield inflate.decompress(rest, 8 * _PIECE)
            rest = inflate.unconsumed_tail
        if inflate.eof:
            return
    raise ValueError("it does not come to its end")


def _from_packbits(read: Read, size: int) -> Iterator[bytes | bytearray]:
    import imagecodecs

    start = 0
    while start < size:
        data = read(start, min(_PIECE, size - start))
        end = at = 0
        while at < len(data):
            end, lead = at, data[at]
            at += 2 + lead if lead < 128 else 2 if lead > 128 else 1
        # the last one may go on behind this piece
        stop = at if at == len(data) else end
        if stop == 0:
            raise ValueError("the last run is cut short")
        yield imagecodecs.packbits_decode(bytes(data[:stop]))
        start += stop


def _from_lzw(read: Read, size: int) -> Iterator[bytes | bytearray]:
    import imagecodecs

    start, ended = 0, False  # in bits; `start` is where a run's codes begin
    if _code(read(0, 2), 0, 9) != _CLEAR:
        raise ValueError("it does not begin with a cleared table")
    start = 9
    while not ended:
        first = start // 8
        count = min(_RUNS * _LONGEST // 8 + 8, size - first)
        data = np.frombuffer(read(first, count), np.uint8)
        data = np.append(data, np.zeros(4, np.uint8))
        at = begin = start - 8 * first
        for _ in range(_RUNS):
            at, ended = _run_end(data, at, 8 * count)
            if ended:
                break
        # as a strip of its own: cleared before, ended behind
        bits = [_bits(_CLEAR), np.unpackbits(data)[begin:at], _bits(_END)]
        yield imagecodecs.lzw_decode(np.packbits(np.concatenate(bits[: 3 - ended])).tobytes())
        start = 8 * first + at


def _bits(code: int) -> np.ndarray:
    return np.array([code >> n & 1 for n in range(8, -1, -1)], np.uint8)


def _code(data, at: int, width: int) -> int:
    value = int.from_bytes(bytes(data[at // 8 : at // 8 + 3]).ljust(3, b"\0"), "big")
    return value >> (24 - width - at % 8) & (1 << width) - 1


def _run_end(data: np.ndarray, at: int, end: int) -> tuple[int, bool]:
    """Where a run ends, with the code that ends it, and whether it is the last."""
    count = int(np.searchsorted(_AT + _WIDTHS, end - at, side="right"))
    places, widths = at + _AT[:count], _WIDTHS[:count]
    byte = places >> 3
    three = (
        data[byte].astype(np.uint32) << 16 | data[byte + 1].astype(np.uint32) << 8 | data[byte + 2]
    )
    codes = three >> (24 - widths - (places & 7)) & (1 << widths) - 1
    marks = np.flatnonzero((codes == _CLEAR) | (codes == _END))
    if not len(marks):
        if count == len(_WIDTHS):
            raise ValueError("its table is never cleared")
        # the code for the end may be missing
        return at + int(widths.sum()), True
    mark = int(marks[0])
    return int(places[mark] + widths[mark]), bool(codes[mark] == _END)


STREAMED = {
    _LZW: _from_lzw,
    _PACKBITS: _from_packbits,
    8: _inflated,
    32946: _inflated,
}
