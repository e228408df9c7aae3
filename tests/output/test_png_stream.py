"""PNG files written row by row, read by libpng (through imagecodecs) and by Pillow."""

from __future__ import annotations

import io

import imagecodecs
import numpy as np
import pytest
from PIL import Image

from workbench.colour.spaces import standard_profile
from workbench.output.png_stream import PngWriter


def written(bands, bit_depth, profile=None):
    width = bands[0].shape[1]
    height = sum(len(b) for b in bands)
    channels = bands[0].shape[2]
    file = io.BytesIO()
    profile = profile or standard_profile("sRGB")
    writer = PngWriter(file, width, height, channels, bit_depth, 300, profile, "Über Töne")
    for band in bands:
        writer.write(band)
    writer.finish()
    return file.getvalue()


def smooth(shape, dtype):
    y, x, c = np.indices(shape)
    top = np.iinfo(dtype).max
    wave = 0.5 + 0.3 * np.sin(x / 9 + c) + 0.2 * np.cos(y / 14)
    return np.rint(np.clip(wave, 0, 1) * top).astype(dtype)


@pytest.mark.parametrize("dtype", [np.uint8, np.uint16])
@pytest.mark.parametrize("channels", [1, 3])
@pytest.mark.parametrize("kind", ["noise", "smooth", "flat"])
def test_every_reader_finds_the_pixels(dtype, channels, kind):
    shape = (150, 97, channels)
    top = np.iinfo(dtype).max
    pixels = {
        "noise": np.random.default_rng(1).integers(0, top, shape, dtype, endpoint=True),
        "smooth": smooth(shape, dtype),
        "flat": np.full(shape, top, dtype),
    }[kind]
    data = written([pixels[:70], pixels[70:71], pixels[71:]], 8 * dtype().itemsize)
    assert np.array_equal(imagecodecs.png_decode(data).reshape(shape), pixels)
    with Image.open(io.BytesIO(data)) as image:
        image.load()
        assert image.size == (97, 150)
        assert image.info["icc_profile"] == standard_profile("sRGB")
        assert image.info["dpi"] == pytest.approx((300, 300), abs=0.01)
        assert image.text["Description"] == "Über Töne"
        if dtype == np.uint8:
            assert np.array_equal(np.asarray(image).reshape(shape), pixels)


def test_filtering_pays():
    pixels = smooth((200, 300, 3), np.uint16)
    assert len(written([pixels], 16)) < 0.7 * pixels.nbytes


def test_a_damaged_chunk_is_noticed_by_readers():
    data = bytearray(written([smooth((40, 50, 3), np.uint8)], 8))
    data[-40] ^= 1
    with pytest.raises(imagecodecs.PngError):
        imagecodecs.png_decode(bytes(data))
