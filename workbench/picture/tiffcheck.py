"""Checking where a TIFF page says its pixels are, before anything is decoded."""

from __future__ import annotations

import copy
from collections.abc import Callable
from dataclasses import replace

import numpy as np

from workbench.errors import PictureError
from workbench.language import tr
from workbench.picture.files import PictureFile
from workbench.picture.jpegstream import read_stream
from workbench.picture.limits import MAX_PIXELS, check_size
from workbench.picture.tiffkind import COMPRESSIONS, JPEG
from workbench.picture.tiffpixels import ROWS_BYTES, Layout
from workbench.picture.tiffstream import STREAMED

_MAX_SAMPLES = 64


def check_layout(page, file: PictureFile) -> Layout:
    """The page's layout.

    Raises
    ------
    PictureError
        if sizes are absurd, segments are missing or lie outside the file, or there are
        fewer bytes than so many pixels can come from.
    """
    width, height = int(page.imagewidth), int(page.imagelength)
    check_size(width, height, file.label)
    samples = int(page.samplesperpixel)
    if not 1 <= samples <= _MAX_SAMPLES or page.dtype is None:
        raise PictureError(file.damaged(tr("it declares an impossible kind of pixels")))
    planes = samples if int(page.planarconfig) == 2 else 1
    if page.is_tiled:
        segment_width, segment_height = int(page.tilewidth), int(page.tilelength)
    else:
        segment_width, segment_height = width, min(int(page.rowsperstrip), height)
    if segment_width < 1 or segment_height < 1:
        raise PictureError(file.damaged(tr("its parts have no size")))
    if segment_width * segment_height > MAX_PIXELS:
        raise PictureError(file.damaged(tr("its parts are too large to be true")))
    compression, bits = int(page.compression), page.bitspersample
    raw = (
        compression == 1
        and not page.is_tiled
        and bits in (8, 16, 32, 64)
        and int(page.fillorder) == 1
    )
    dtype = np.dtype(page.dtype)
    layout = Layout(
        width=width,
        height=height,
        samples=samples,
        planes=planes,
        segment_width=segment_width,
        segment_height=segment_height,
        dtype=dtype.newbyteorder(page.parent.byteorder) if raw else dtype,
        offsets=np.asarray(list(page.dataoffsets), np.int64),
        counts=np.asarray(list(page.databytecounts), np.int64),
        packed=compression != 1,
        raw=raw,
        decode=None if raw else _decoder(page, compression, segment_width, segment_height),
        compression=compression,
    )
    if (
        compression in STREAMED
        and layout.offsets.size == 1
        and not page.is_tiled
        and int(page.fillorder) == 1
        and isinstance(bits, int)
        and layout.segment_bytes > ROWS_BYTES
    ):
        layout = replace(layout, **_by_rows(page, layout))
    return _placed(layout, page.is_tiled, bits, compression, file)


def _placed(layout: Layout, tiled: bool, bits, compression: int, file: PictureFile) -> Layout:
    """The layout with one offset and count a segment, all of them inside the file."""
    segments = layout.planes * layout.down * layout.across
    offsets, counts = layout.offsets[:segments], layout.counts[:segments]
    if len(offsets) < segments or len(counts) < segments:
        raise PictureError(file.damaged(tr("it does not say where all of its pixels are")))
    rows = np.full(layout.down, layout.segment_height)
    if not tiled:
        rows[-1] = layout.height - (layout.down - 1) * layout.segment_height
    in_row = layout.segment_width * layout.samples_in_plane
    # bytes as they would be without compression
    plain = rows * -(-in_row * (bits if isinstance(bits, int) else 8) // 8)
    plain = np.tile(np.repeat(plain, layout.across), layout.planes)
    if layout.raw:
        # counts are not needed here, and some programs write wrong ones
        counts = plain
    if (offsets <= 0).any() or (counts <= 0).any():
        raise PictureError(file.damaged(tr("part of its pixels is missing")))
    if (offsets > file.size).any() or (counts > file.size - offsets).any():
        raise PictureError(file.damaged(tr("the file ends too early")))
    if (counts < plain / COMPRESSIONS[compression] - 64).any():
        raise PictureError(file.damaged(tr("it declares more pixels than its data can hold")))
    return replace(layout, offsets=offsets, counts=counts)


def _by_rows(page, layout: Layout) -> dict:
    """Rows that are unpacked together, and what makes samples of them: the library, told that
    the strip is unpacked and so high."""
    rows = max(1, ROWS_BYTES * layout.height // layout.segment_bytes)
    like = copy.copy(page)
    for worked_out in ("decode", "hash"):
        like.__dict__.pop(worked_out, None)
    like.compression, like.rowsperstrip = 1, rows
    decode = like.decode
    bits = layout.width * layout.samples * page.bitspersample
    return {
        "rows_at_once": rows,
        "packed_row_bytes": -(-bits // 8),
        "decode_rows": lambda data, index: decode(data, index)[0],
    }


def _decoder(page, compression: int, width: int, height: int) -> Callable:
    decode, tables = page.decode, page.jpegtables

    def plain(data, index):
        return decode(data, index)[0]

    def jpeg(data, index):
        # the native decoder goes by what the stream says, not by what the tags promised
        marks = read_stream(data)
        if not marks.usable or marks.width > width or marks.height > height:
            raise ValueError("the stream does not fit its tile")
        return decode(bytes(data), index, jpegtables=tables)[0]

    return jpeg if compression == JPEG else plain
