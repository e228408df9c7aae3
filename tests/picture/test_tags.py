"""Orientation and resolution tags of all kinds of files."""

from __future__ import annotations

import io
import struct

import imagecodecs
import numpy as np
import pytest
from picture.makers import exif_block, noise, pillow_bytes, tiff_bytes, with_chunk
from PIL import Image, ImageOps

import workbench as wb
from workbench.picture.exif import Exif, read_exif

STORED = noise(12, 20, dtype=np.uint8)


def oriented_file(kind: str, orientation: int) -> bytes:
    exif = exif_block(orientation=orientation)
    if kind == "TIFF":
        return tiff_bytes(STORED, extratags=[(274, 3, 1, orientation, True)])
    if kind == "TIFF, compressed":
        options = {"compression": "lzw", "rowsperstrip": 5}
        return tiff_bytes(STORED, extratags=[(274, 3, 1, orientation, True)], **options)
    if kind == "PNG":
        return pillow_bytes(STORED, "PNG", exif=exif)
    return pillow_bytes(STORED, "JPEG", exif=exif, quality=95)


@pytest.mark.parametrize("orientation", range(1, 9))
@pytest.mark.parametrize("kind", ["TIFF", "TIFF, compressed", "PNG", "JPEG"])
def test_orientation(kind, orientation):
    """Reference: Pillow's own turning by the same tag."""
    data = oriented_file(kind, orientation)
    picture = wb.open_picture(data)
    # Pillow turns TIFF files on loading or not, depending on its version: ask it with a PNG
    plain = Image.open(io.BytesIO(oriented_file("PNG", orientation)))
    seen = np.asarray(ImageOps.exif_transpose(plain))
    if kind == "JPEG":
        seen = np.asarray(ImageOps.exif_transpose(Image.open(io.BytesIO(data))))
    assert (picture.width_px, picture.height_px) == (seen.shape[1], seen.shape[0])
    assert picture.orientation == orientation
    tolerance = 1 if kind == "JPEG" else 0
    assert np.abs(picture.pixels().astype(int) - seen).max() <= tolerance
    part = picture.crop(2, 3, 7, 5)
    assert np.array_equal(part, picture.pixels()[3:8, 2:9])
    assert part.flags.c_contiguous and part.flags.writeable
    assert np.array_equal(picture.preview(100), picture.pixels() * np.uint16(257))
    # strips stay in file order
    assert sum(len(s) for s in picture.strips(50)) == 12


@pytest.mark.parametrize("orientation", [0, 9, 255])
def test_a_nonsense_orientation_counts_as_upright(orientation):
    data = tiff_bytes(STORED, extratags=[(274, 3, 1, orientation, True)])
    assert np.array_equal(wb.open_picture(data).pixels(), STORED)


@pytest.mark.parametrize(
    "resolution,unit,ppi",
    [
        ((300, 300), "inch", 300.0),
        ((360.5, 360.5), "inch", 360.5),
        ((118.11, 118.11), "centimeter", 300.0),
        ((300, 300), "none", None),
        ((0, 0), "inch", None),
        ((300, 150), "inch", None),
    ],
)
def test_tiff_resolution(resolution, unit, ppi):
    data = tiff_bytes(STORED, resolution=resolution, resolutionunit=unit)
    got = wb.open_picture(data).ppi_tag
    assert got == (None if ppi is None else pytest.approx(ppi, abs=0.01))


def test_tiff_without_resolution_or_with_a_division_by_nought():
    assert wb.open_picture(pillow_bytes(STORED, "TIFF")).ppi_tag is None
    for fraction in ((300, 0), (0, 0)):
        tags = [(282, 5, 1, fraction, True), (283, 5, 1, fraction, True), (296, 3, 1, 2, True)]
        data = tiff_bytes(STORED, metadata=None, resolution=None, extratags=tags)
        assert wb.open_picture(data).ppi_tag is None


@pytest.mark.parametrize(
    "x,y,unit,ppi",
    [(11811, 11811, 1, 300.0), (2835, 2835, 1, 72.01), (11811, 11811, 0, None), (0, 0, 1, None)],
)
def test_png_resolution(x, y, unit, ppi):
    data = with_chunk(pillow_bytes(STORED, "PNG"), b"pHYs", struct.pack(">IIB", x, y, unit))
    assert wb.open_picture(data).ppi_tag == (None if ppi is None else pytest.approx(ppi, abs=0.005))


def test_png_with_the_resolution_in_exif():
    exif = exif_block(ppi=360).tobytes().removeprefix(b"Exif\0\0")
    data = with_chunk(imagecodecs.png_encode(STORED), b"eXIf", exif)
    assert wb.open_picture(data).ppi_tag == pytest.approx(360)


@pytest.mark.parametrize("size", range(0, 60, 3))
def test_exif_cut_short_keeps_what_came_before(size):
    block = exif_block(orientation=6, ppi=300, colour_space=1).tobytes().removeprefix(b"Exif\0\0")
    whole = read_exif(block)
    assert whole == Exif(orientation=6, ppi=300.0, hint="sRGB")
    part = read_exif(block[:size])
    assert part.orientation in (1, 6) and part.ppi in (None, 300.0)


def test_exif_that_points_to_itself():
    # a directory whose sub-directory is the directory itself
    entry = struct.pack("<HHII", 0x8769, 4, 1, 8)
    block = b"II*\0" + struct.pack("<I", 8) + struct.pack("<H", 1) + entry + bytes(4)
    assert read_exif(block) == Exif()
