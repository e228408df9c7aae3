"""The pixels of a TIFF file, read where they are needed and never written.

Two ways: rows of uncompressed strips are read straight from the file; everything
else is decoded segment by segment (strip or tile).
"""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable
from contextlib import contextmanager
from dataclasses import dataclass, replace

import numpy as np

from workbench.errors import PictureError
from workbench.language import tr
from workbench.picture.files import PictureFile
from workbench.picture.room import Room
from workbench.picture.samples import Finish, Tally
from workbench.picture.store import WORKERS, Store, even_bands, over_bands
from workbench.picture.tiffstream import unpacked
from workbench.picture.watch import Watch

# decoded segments kept: enlargements are read again and again from the same place
_KEPT_BYTES = 64 * 2**20
# parts, one below the other, of which two at a time weigh
_FEW_PARTS = 16
# of a picture in one part, unpacked at a time
ROWS_BYTES = 8 * 2**20


@dataclass(frozen=True, eq=False)
class Layout:
    """How a TIFF page stores its samples; everything in it has been checked.

    Attributes
    ----------
    width, height, samples : of the page.
    planes : 1 if samples are interleaved, otherwise as many as samples.
    segment_width, segment_height : of a strip or tile, in pixels.
    dtype : of decoded samples; in the file's byte order for raw strips.
    offsets, counts : of the segments in the file, plane by plane, rows first.
    packed : compressed.
    raw : strips can be read without decoding.
    decode : (data, segment index) -> (1, rows, cols, samples of a plane) array; None if raw.
    compression : the tag's number.
    decode_rows : as ``decode``, given the unpacked bytes of every so many ``rows_at_once``, each
        row of ``packed_row_bytes``; None where the pixels are not in one large packed strip.
    """

    width: int
    height: int
    samples: int
    planes: int
    segment_width: int
    segment_height: int
    dtype: np.dtype
    offsets: np.ndarray
    counts: np.ndarray
    packed: bool
    raw: bool
    decode: Callable[[bytearray, int], np.ndarray] | None
    compression: int = 1
    decode_rows: Callable[[bytes, int], np.ndarray] | None = None
    rows_at_once: int = 0
    packed_row_bytes: int = 0

    @property
    def across(self) -> int:
        return -(-self.width // self.segment_width)

    @property
    def down(self) -> int:
        return -(-self.height // self.segment_height)

    @property
    def samples_in_plane(self) -> int:
        return self.samples // self.planes

    @property
    def row_bytes(self) -> int:
        """Of one row of one plane, where strips are raw."""
        return self.width * self.samples_in_plane * self.dtype.itemsize

    @property
    def segment_bytes(self) -> int:
        """Of one decoded segment."""
        pixels = self.segment_width * self.segment_height
        return pixels * self.samples_in_plane * self.dtype.itemsize


class TiffStore:
    """Finished pixels of a TIFF page, from the file at each reading."""

    def __init__(
        self, file: PictureFile, layout: Layout, finish: Finish, kept_bytes: int = _KEPT_BYTES
    ):
        self._kept_bytes = kept_bytes
        self._file = file
        self._layout = layout
        self._finish = finish
        self.height, self.width = layout.height, layout.width
        self.channels, self.dtype = finish.channels, finish.dtype
        self._kept: OrderedDict[int, np.ndarray] = OrderedDict()
        self._kept_lock = threading.Lock()

    def bands(self, max_pixels: int) -> list[tuple[int, int]]:
        step = 1 if self._layout.raw else self._layout.segment_height
        return even_bands(self.height, self.width, max_pixels, step)

    def read(self, y0: int, y1: int, x0: int, x1: int) -> np.ndarray:
        return self._finish(self._stored(y0, y1, x0, x1))

    def without_alpha(self) -> TiffStore:
        """The same for a picture whose alpha turned out to be opaque everywhere."""
        return TiffStore(self._file, self._layout, replace(self._finish, alpha=None))

    def examine(self, tally: Tally, keep: bool, watch: Watch) -> Store | None:
        """Go through all pixels once for a tally, and keep them decoded if asked to."""
        # each part is read once: none need be remembered
        stored: Store = _Stored(TiffStore(self._file, self._layout, self._finish, kept_bytes=0))
        room = Room(self.height, self.width, self.channels, self.dtype) if keep else None

        def work(y0, block):
            finished = self._finish(block, tally)
            if room is not None:
                room.pixels[y0 : y0 + len(finished)] = finished

        if room is not None and self._layout.decode_rows is not None:
            for y0, block in self._by_rows():
                watch(y0 / self.height)
                work(y0, block)
            return room.store()
        # several large parts at once would be as much as the picture itself
        few = not self._layout.raw and self._layout.down <= _FEW_PARTS
        for _ in over_bands(
            stored,
            work,
            cancelled=watch.cancelled,
            progress=watch.progress,
            workers=1 if few else WORKERS,
        ):
            pass
        return None if room is None else room.store()

    def _by_rows(self):
        """(first row, samples as stored) of all of a picture in one part, bit by bit."""
        layout, (offset,), (count,) = self._layout, self._layout.offsets, self._layout.counts
        decode_rows = layout.decode_rows
        assert decode_rows is not None, "asked only where there is a way"
        with self._file.stream() as stream:

            def read(at: int, size: int) -> bytearray:
                return self._file.read(stream, int(offset) + at, size)

            pieces = unpacked(layout.compression, read, int(count))
            got = bytearray()
            for index, y0 in enumerate(range(0, self.height, layout.rows_at_once)):
                rows = min(layout.rows_at_once, self.height - y0)
                size = rows * layout.packed_row_bytes
                with self._decoding(0):
                    while len(got) < size:
                        got += next(pieces)
                    block = decode_rows(bytes(got[:size]), index)
                del got[:size]
                self._require(block, rows, self.width, 0)
                yield y0, block[0]
            # to the end, where the sum of all is checked; not on and on
            rest = 0
            with self._decoding(0):
                while rest < ROWS_BYTES and (piece := next(pieces, None)) is not None:
                    rest += len(piece)

    def _stored(self, y0: int, y1: int, x0: int, x1: int) -> np.ndarray:
        """(rows, cols, samples) as stored, native byte order."""
        layout = self._layout
        with self._file.stream() as stream:
            if layout.raw:
                block = self._raw_rows(stream, y0, y1)[:, :, x0:x1]
            else:
                block = self._decoded(stream, y0, y1, x0, x1)
        if layout.planes == 1:
            block = block[0]
        else:
            block = np.moveaxis(block[..., 0], 0, -1)
        return block.astype(layout.dtype.newbyteorder("="), copy=False)

    def _raw_rows(self, stream, y0: int, y1: int) -> np.ndarray:
        """(planes, rows, width, samples of a plane) in file byte order."""
        layout = self._layout
        shape = (layout.planes, y1 - y0, layout.width, layout.samples_in_plane)
        block = np.empty(shape, layout.dtype)
        for plane in range(layout.planes):
            target = memoryview(block[plane]).cast("B")
            for offset, first, length in self._pieces(plane, y0, y1):
                self._file.read_into(stream, offset, target[first : first + length])
        return block

    def _pieces(self, plane: int, y0: int, y1: int):
        """(file offset, offset in the rows, bytes), neighbours in the file joined."""
        layout = self._layout
        joined: list[list[int]] = []
        y = y0
        while y < y1:
            segment, row = divmod(y, layout.segment_height)
            rows = min(layout.segment_height - row, y1 - y)
            offset = int(layout.offsets[plane * layout.down + segment]) + row * layout.row_bytes
            length = rows * layout.row_bytes
            if joined and joined[-1][0] + joined[-1][2] == offset:
                joined[-1][2] += length
            else:
                joined.append([offset, (y - y0) * layout.row_bytes, length])
            y += rows
        return joined

    def _decoded(self, stream, y0: int, y1: int, x0: int, x1: int) -> np.ndarray:
        """(planes, rows, cols, samples of a plane) put together from the segments touched."""
        layout = self._layout
        tall, wide = layout.segment_height, layout.segment_width
        shape = (layout.planes, y1 - y0, x1 - x0, layout.samples_in_plane)
        block = np.empty(0, layout.dtype)
        for plane in range(layout.planes):
            for down in range(y0 // tall, -(-y1 // tall)):
                for across in range(x0 // wide, -(-x1 // wide)):
                    index = (plane * layout.down + down) * layout.across + across
                    top, left = down * tall, across * wide
                    rows = slice(max(top, y0), min(top + tall, y1, layout.height))
                    cols = slice(max(left, x0), min(left + wide, x1, layout.width))
                    segment = self._segment(stream, index, top, left)
                    part = segment[
                        rows.start - top : rows.stop - top, cols.start - left : cols.stop - left
                    ]
                    if part.shape == shape[1:] and layout.planes == 1:
                        return part[None]
                    if not block.size:
                        block = np.empty(shape, layout.dtype)
                    block[
                        plane, rows.start - y0 : rows.stop - y0, cols.start - x0 : cols.stop - x0
                    ] = part
        return block

    def _segment(self, stream, index: int, top: int, left: int) -> np.ndarray:
        """One decoded segment, at least as large as the part of it inside the picture."""
        with self._kept_lock:
            if index in self._kept:
                self._kept.move_to_end(index)
                return self._kept[index]
        segment = self._decode_segment(stream, index, top, left)
        segment.flags.writeable = False
        room = self._kept_bytes // max(segment.nbytes, 1)
        with self._kept_lock:
            if room:
                self._kept[index] = segment
            while len(self._kept) > room:
                self._kept.popitem(last=False)
        return segment

    def _decode_segment(self, stream, index: int, top: int, left: int) -> np.ndarray:
        layout = self._layout
        assert layout.decode is not None, "raw strips are read as they stand"
        data = self._file.read(stream, int(layout.offsets[index]), int(layout.counts[index]))
        with self._decoding(index):
            segment = layout.decode(data, index)
        self._require(
            segment,
            min(layout.segment_height, layout.height - top),
            min(layout.segment_width, layout.width - left),
            index,
        )
        return segment[0]

    @contextmanager
    def _decoding(self, index: int):
        try:
            yield
        except (MemoryError, PictureError):
            raise
        # the decoders of several libraries have exceptions of their own
        except Exception as problem:
            raise PictureError(
                self._file.damaged(
                    tr("part {index} of its pixels cannot be decoded", index=index + 1)
                )
            ) from problem

    def _require(self, segment: np.ndarray, rows: int, cols: int, index: int) -> None:
        """PictureError for a part that does not hold so many rows and columns."""
        if (
            segment.ndim != 4
            or segment.shape[0] != 1
            or segment.shape[1] < rows
            or segment.shape[2] < cols
            or segment.shape[3] != self._layout.samples_in_plane
            or segment.dtype != self._layout.dtype
        ):
            raise PictureError(
                self._file.damaged(
                    tr("part {index} of its pixels has an unexpected size", index=index + 1)
                )
            )


class _Stored:
    """A store's pixels before they are finished, to go through band by band."""

    def __init__(self, store: TiffStore):
        self._store = store
        self.height, self.width, self.channels = store.height, store.width, store.channels
        self.dtype = store.dtype
        self.bands = store.bands

    def read(self, y0: int, y1: int, x0: int, x1: int) -> np.ndarray:
        return self._store._stored(y0, y1, x0, x1)
