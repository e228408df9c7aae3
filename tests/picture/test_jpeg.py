"""JPEG against Pillow, which decodes with its own build of the library."""

from __future__ import annotations

import io
import struct

import numpy as np
import pytest
from picture.makers import exif_block, noise, pillow_bytes
from PIL import Image

import workbench as wb
from workbench.picture.jpegstream import BrokenStream, read_stream


def by_pillow(data: bytes) -> np.ndarray:
    pixels = np.asarray(Image.open(io.BytesIO(data)))
    return pixels.reshape(*pixels.shape[:2], -1)


@pytest.mark.parametrize("progressive", [False, True])
@pytest.mark.parametrize("subsampling", ["4:4:4", "4:2:2", "4:2:0"])
def test_colour(subsampling, progressive):
    data = pillow_bytes(
        noise(dtype=np.uint8), "JPEG", quality=92, subsampling=subsampling, progressive=progressive
    )
    picture = wb.open_picture(data)
    assert np.abs(picture.pixels().astype(int) - by_pillow(data)).max() <= 1
    assert picture.pixels().dtype == np.uint8
    assert (picture.bit_depth, picture.channels, picture.kind) == (8, 3, "JPEG")


@pytest.mark.parametrize(
    "options", [{"keep_rgb": True}, {"restart_marker_rows": 1}, {"optimize": True}]
)
def test_other_ways_of_writing(options):
    data = pillow_bytes(noise(dtype=np.uint8), "JPEG", **options)
    picture = wb.open_picture(data)
    assert np.abs(picture.pixels().astype(int) - by_pillow(data)).max() <= 1


def test_grey():
    data = pillow_bytes(noise(channels=1, dtype=np.uint8), "JPEG")
    picture = wb.open_picture(data)
    assert np.abs(picture.pixels().astype(int) - by_pillow(data)).max() <= 1
    assert picture.channels == 1


def test_a_second_picture_behind_the_first_is_not_looked_at():
    data = pillow_bytes(noise(dtype=np.uint8), "JPEG")
    behind = pillow_bytes(noise(9, 9, dtype=np.uint8), "JPEG")
    assert np.array_equal(wb.open_picture(data + behind).pixels(), wb.open_picture(data).pixels())


def test_cmyk():
    data = pillow_bytes(Image.fromarray(noise(channels=4, dtype=np.uint8), "CMYK"), "JPEG")
    with pytest.raises(wb.PictureError, match="is in CMYK.*RGB"):
        wb.open_picture(data)


@pytest.mark.parametrize("progressive", [False, True])
@pytest.mark.parametrize("cut", [1, 2, 10, 0.95, 0.5, 0.2, 0.02])
def test_cut_short_is_an_error_not_a_grey_band(cut, progressive):
    data = pillow_bytes(noise(dtype=np.uint8), "JPEG", progressive=progressive)
    stop = len(data) - cut if isinstance(cut, int) else int(len(data) * cut)
    with pytest.raises(wb.PictureError, match="cut short or damaged"):
        wb.open_picture(data[:stop])


SOI, EOI = b"\xff\xd8", b"\xff\xd9"
FRAME = b"\xff\xc0\0\x0b\x08\0\x08\0\x08\x01\x01\x11\0"
SCAN = b"\xff\xda\0\x08\x01\x01\0\0\x3f\0" + b"\x12\xff\0\x34"


@pytest.mark.parametrize(
    "stream,detail",
    [
        (b"\xff\xd9" * 4, "does not begin like"),
        (SOI + FRAME + FRAME + SCAN + EOI, "two frames"),
        (SOI + SCAN + EOI, "pixels come before its size"),
        (SOI + FRAME + EOI, "holds no pixels"),
        (SOI + FRAME + SCAN, "ends too early"),
        (SOI + FRAME + SCAN + b"\xff", "ends too early"),
        (SOI + FRAME + b"rubbish", "ends too early"),
        (SOI + FRAME + b"\xff\xe1\0\x01" + SCAN + EOI, "impossible length"),
        (SOI + FRAME + b"\xff\xe1\xff\xff" + SCAN + EOI, "ends too early"),
        (SOI + FRAME + b"\xff\xe1", "ends too early"),
        (SOI + FRAME + SCAN + b"\xff\xdc\0\x04\0\x08" + EOI, "height only after"),
        (SOI + FRAME[:3] + b"\x05\x08\0\x08" + SCAN + EOI, "frame is too short"),
        (SOI + FRAME.replace(b"\x11", b"\x51") + SCAN + EOI, "impossible sampling"),
        (SOI + FRAME[:9] + b"\x09\x01\x11\0" + SCAN + EOI, "frame is too short"),
    ],
)
def test_streams_that_contradict_themselves(stream, detail):
    with pytest.raises(BrokenStream, match=detail):
        read_stream(stream)


def test_streams_with_stray_and_filling_bytes():
    stream = read_stream(SOI + b"\xff\xff" + FRAME[1:] + b"\0\0" + SCAN + b"\xff\xff" + EOI)
    assert (stream.width, stream.height, stream.components) == (8, 8, 1)
    # filling behind a scan counts as part of it
    assert stream.coded_bytes == 6 and stream.usable and stream.could_hold()


def test_cut_short_inside_with_a_thumbnail_in_front():
    # the thumbnail has an end marker of its own
    thumbnail = pillow_bytes(noise(9, 9, dtype=np.uint8), "JPEG")
    data = pillow_bytes(noise(dtype=np.uint8), "JPEG", comment=thumbnail)
    wb.open_picture(data)
    with pytest.raises(wb.PictureError, match="the file ends too early"):
        wb.open_picture(data[:-20])


def test_zero_filled_rest():
    data = pillow_bytes(noise(dtype=np.uint8), "JPEG")
    half = len(data) // 2
    with pytest.raises(wb.PictureError, match="cut short or damaged"):
        wb.open_picture(data[:half] + bytes(len(data) - half))


def with_size(data: bytes, width: int, height: int) -> bytes:
    at = data.index(b"\xff\xc0")
    return data[: at + 5] + struct.pack(">HH", height, width) + data[at + 9 :]


def test_zero_and_absurd_sizes():
    data = pillow_bytes(noise(dtype=np.uint8), "JPEG")
    with pytest.raises(wb.PictureError, match="has no pixels"):
        wb.open_picture(with_size(data, 0, 10))
    with pytest.raises(wb.PictureError, match="has no pixels"):
        wb.open_picture(with_size(data, 10, 0))
    with pytest.raises(wb.PictureError, match="more than the workbench opens"):
        wb.open_picture(with_size(data, 65_000, 65_000))
    with pytest.raises(wb.PictureError, match="more pixels than its data can hold"):
        wb.open_picture(with_size(data, 30_000, 30_000))


def test_lossless_and_12_bit_kinds_are_refused():
    data = pillow_bytes(noise(dtype=np.uint8), "JPEG")
    at = data.index(b"\xff\xc0")
    for changed in (
        data[: at + 1] + b"\xc3" + data[at + 2 :],
        data[: at + 4] + b"\x0c" + data[at + 5 :],
    ):
        with pytest.raises(wb.PictureError, match="unusual kind of JPEG"):
            wb.open_picture(changed)


@pytest.mark.parametrize("unit,x,ppi", [(1, 300, 300.0), (2, 100, 254.0), (0, 72, None)])
def test_jfif_density(unit, x, ppi):
    data = pillow_bytes(noise(dtype=np.uint8), "JPEG")
    at = data.index(b"JFIF\0")
    data = data[: at + 7] + struct.pack(">BHH", unit, x, x) + data[at + 12 :]
    assert wb.open_picture(data).ppi_tag == (None if ppi is None else pytest.approx(ppi))


def test_exif_density_where_jfif_has_none():
    data = pillow_bytes(noise(dtype=np.uint8), "JPEG", exif=exif_block(ppi=240))
    assert wb.open_picture(data).ppi_tag == pytest.approx(240)
