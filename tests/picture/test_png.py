"""PNG in all its variants against what Pillow and libpng wrote."""

from __future__ import annotations

import struct
import zlib

import imagecodecs
import numpy as np
import pytest
from picture.makers import noise, pillow_bytes, png_chunk, png_header, with_chunk
from PIL import Image

import workbench as wb


@pytest.mark.parametrize("dtype", [np.uint8, np.uint16])
@pytest.mark.parametrize("channels", [1, 3])
def test_8_and_16_bits(dtype, channels):
    stored = noise(channels=channels, dtype=dtype)
    picture = wb.open_picture(imagecodecs.png_encode(stored))
    assert np.array_equal(picture.pixels(), stored.reshape(37, 53, channels))
    assert picture.pixels().dtype == dtype
    assert (picture.bit_depth, picture.kind) == (8 * stored.itemsize, "PNG")
    assert (picture.width_px, picture.height_px, picture.channels) == (53, 37, channels)


@pytest.mark.parametrize("dtype", [np.uint8, np.uint16])
@pytest.mark.parametrize("channels", [1, 3])
def test_alpha_over_white_paper(dtype, channels):
    stored = noise(channels=channels + 1, dtype=dtype)
    picture = wb.open_picture(imagecodecs.png_encode(stored))
    top = np.iinfo(dtype).max
    colour, alpha = stored[..., :-1] / top, stored[..., -1:] / top
    assert np.abs(picture.pixels() - (colour * alpha + 1 - alpha) * top).max() <= 0.5001
    assert picture.channels == channels
    assert any("bare paper" in n for n in picture.notes)


def test_opaque_alpha_is_dropped_without_a_word():
    stored = noise(channels=4, dtype=np.uint8)
    stored[..., 3] = 255
    picture = wb.open_picture(imagecodecs.png_encode(stored))
    assert np.array_equal(picture.pixels(), stored[..., :3])
    assert picture.notes == ()


def test_palette_with_and_without_transparency():
    image = Image.fromarray(noise(dtype=np.uint8)).quantize(20)
    solid = wb.open_picture(pillow_bytes(image, "PNG"))
    assert np.array_equal(solid.pixels(), np.asarray(image.convert("RGB")))
    clear = wb.open_picture(pillow_bytes(image, "PNG", transparency=3))
    seen = np.where(np.asarray(image)[..., None] == 3, 255, np.asarray(image.convert("RGB")))
    assert np.array_equal(clear.pixels(), seen)


def test_one_transparent_colour():
    stored = noise(dtype=np.uint8)
    stored[5:9, 5:9] = (1, 2, 3)
    data = pillow_bytes(stored, "PNG", transparency=(1, 2, 3))
    seen = stored.copy()
    seen[5:9, 5:9] = 255
    assert np.array_equal(wb.open_picture(data).pixels(), seen)


def test_one_bit():
    stored = noise(channels=1, dtype=np.uint8) > 127
    picture = wb.open_picture(pillow_bytes(Image.fromarray(stored), "PNG"))
    assert np.array_equal(picture.pixels()[..., 0], stored * 255)
    assert picture.bit_depth == 8


@pytest.mark.parametrize("bits", [2, 4])
def test_few_bits_of_grey_fill_the_whole_range(bits):
    # written by hand: the libraries at hand do not write these
    width, height = 16, 4
    values = np.arange(width * height).reshape(height, width) % 2**bits
    per_byte = 8 // bits
    shifts = np.arange(per_byte)[::-1] * bits
    packed = (values.reshape(height, -1, per_byte) << shifts).sum(axis=-1).astype(np.uint8)
    rows = b"".join(b"\0" + row.tobytes() for row in packed)
    header = struct.pack(">IIBBBBB", width, height, bits, 0, 0, 0, 0)
    data = (
        b"\x89PNG\r\n\x1a\n"
        + png_chunk(b"IHDR", header)
        + png_chunk(b"IDAT", zlib.compress(rows))
        + png_chunk(b"IEND", b"")
    )
    picture = wb.open_picture(data)
    assert np.array_equal(picture.pixels()[..., 0], values * 255 // (2**bits - 1))


def test_interlaced():
    # Adam7: row and column each of the seven passes starts at, and its steps.  PNG spec., 8.1
    stored = noise(5, 9, dtype=np.uint8)
    passes = [(0, 0, 8, 8), (0, 4, 8, 8), (4, 0, 8, 4), (0, 2, 4, 4), (2, 0, 4, 2), (0, 1, 2, 2)]
    passes.append((1, 0, 2, 1))
    rows = b""
    for top, left, down, across in passes:
        for row in stored[top::down, left::across]:
            rows += b"\0" + row.tobytes()
    header = struct.pack(">IIBBBBB", 9, 5, 8, 2, 0, 0, 1)
    data = (
        b"\x89PNG\r\n\x1a\n"
        + png_chunk(b"IHDR", header)
        + png_chunk(b"IDAT", zlib.compress(rows))
        + png_chunk(b"IEND", b"")
    )
    assert np.array_equal(wb.open_picture(data).pixels(), stored)


def test_animation_shows_its_still_picture():
    stored = noise(dtype=np.uint8)
    data = with_chunk(pillow_bytes(stored, "PNG"), b"acTL", struct.pack(">II", 1, 0))
    picture = wb.open_picture(data)
    assert np.array_equal(picture.pixels(), stored)
    assert picture.notes == ("The file holds an animation; its still picture was opened.",)


@pytest.mark.parametrize("share", [0.01, 0.1, 0.5, 0.9, 0.999])
def test_cut_short(share):
    data = imagecodecs.png_encode(noise())
    with pytest.raises(wb.PictureError, match="cut short or damaged"):
        wb.open_picture(data[: int(len(data) * share)])


def test_zero_filled_rest():
    data = imagecodecs.png_encode(noise())
    half = len(data) // 2
    with pytest.raises(wb.PictureError, match="cut short or damaged"):
        wb.open_picture(data[:half] + bytes(len(data) - half))


def test_damaged_pixels():
    data = bytearray(imagecodecs.png_encode(noise()))
    data[len(data) // 2] ^= 0xFF
    with pytest.raises(wb.PictureError, match="cut short or damaged"):
        wb.open_picture(bytes(data))


@pytest.mark.parametrize("size", [(0, 10), (10, 0)])
def test_zero_size(size):
    with pytest.raises(wb.PictureError, match="has no pixels"):
        wb.open_picture(png_header(*size))


def test_absurd_sizes():
    with pytest.raises(wb.PictureError, match="more than the workbench opens"):
        wb.open_picture(png_header(2**31 - 1, 1))
    with pytest.raises(wb.PictureError, match="more than the workbench opens"):
        wb.open_picture(png_header(100_000, 100_000))
    # allowed as a size, but a hundred bytes cannot hold it
    with pytest.raises(wb.PictureError, match="more pixels than its data can hold"):
        wb.open_picture(png_header(30_000, 30_000))


def test_a_palette_picture_without_palette():
    with pytest.raises(wb.PictureError, match="palette is missing"):
        wb.open_picture(png_header(4, 4, 8, 3))
