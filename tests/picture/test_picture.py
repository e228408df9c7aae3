"""The picture object itself: facts, strips, crops, and use from several threads."""

from __future__ import annotations

import dataclasses
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor

import numpy as np
import pytest
from picture.makers import noise, pillow_bytes, tiff_bytes

import workbench as wb
from workbench.colour.spaces import standard_profile
from workbench.picture import from_pixels


@pytest.fixture
def picture(tmp_path):
    path = tmp_path / "harbour.tif"
    path.write_bytes(tiff_bytes(noise(), resolution=(360, 360)))
    return wb.open_picture(path)


def test_facts(picture, tmp_path):
    assert (picture.width_px, picture.height_px) == (53, 37)
    assert picture.megapixels == pytest.approx(53 * 37 / 1e6)
    assert picture.ppi_tag == pytest.approx(360)
    assert picture.path == tmp_path / "harbour.tif" and picture.name == "harbour.tif"
    assert picture.notes == ()
    assert "harbour.tif" in repr(picture) and len(repr(picture)) < 500


def test_pictures_from_bytes_have_a_name_if_one_is_given():
    data = tiff_bytes(noise())
    for source in (data, bytearray(data), memoryview(data)):
        picture = wb.open_picture(source, name="upload.tif")
        assert picture.name == "upload.tif" and picture.path is None
    assert wb.open_picture(data).name == ""


def test_names_carry_no_control_characters(tmp_path):
    path = tmp_path / "evil\x1b[31m\nname\x07.tif"
    path.write_bytes(tiff_bytes(noise()))
    picture = wb.open_picture(path)
    assert picture.name == "evil [31m name .tif"
    assert picture.path == path
    with pytest.raises(wb.PictureError) as caught:
        wb.open_picture(b"", name="a\nb\x00c")
    assert str(caught.value).startswith("“a b c” is empty")


@pytest.mark.parametrize("max_pixels", [1, 53, 54, 200, 10**6])
def test_strips_give_all_pixels_once(picture, max_pixels):
    strips = list(picture.strips(max_pixels))
    assert np.array_equal(np.concatenate(strips), noise())
    for strip in strips:
        assert strip.shape[0] * strip.shape[1] <= max(max_pixels, 53)
        assert strip.dtype == np.uint16 and strip.flags.c_contiguous
    with pytest.raises(wb.PictureError, match="at least one pixel"):
        picture.strips(0)


def test_crops(picture):
    part = picture.crop(10, 20, 30, 15)
    assert np.array_equal(part, noise()[20:35, 10:40])
    part[:] = 0
    assert np.array_equal(picture.crop(10, 20, 30, 15), noise()[20:35, 10:40])
    held = wb.open_picture(pillow_bytes(noise(dtype=np.uint8), "PNG"))
    held.crop(0, 0, 53, 37)[:] = 0
    assert np.array_equal(held.pixels(), noise(dtype=np.uint8))


@pytest.mark.parametrize(
    "box", [(-1, 0, 5, 5), (0, 0, 54, 5), (50, 0, 5, 5), (0, 36, 5, 2), (0, 0, 0, 5), (0, 0, 5, -1)]
)
def test_crops_that_reach_outside(picture, box):
    with pytest.raises(wb.PictureError, match="does not lie in a picture of 53 × 37"):
        picture.crop(*box)


def test_it_cannot_be_changed_and_is_hashed_by_identity(picture):
    with pytest.raises(dataclasses.FrozenInstanceError):
        picture.name = "other"
    with pytest.raises(ValueError, match="read-only"):
        picture.pixels()[0, 0] = 0
    other = wb.open_picture(picture.path)
    assert picture != other and len({picture, other, picture}) == 2


@pytest.mark.parametrize("packing", [None, "zlib"])
def test_several_threads_at_once(packing):
    stored = noise(400, 300)
    picture = wb.open_picture(tiff_bytes(stored, compression=packing, rowsperstrip=20))

    def work(number: int) -> int:
        for turn in range(10):
            y = (number * 37 + turn * 11) % 350
            assert np.array_equal(picture.crop(5, y, 200, 50), stored[y : y + 50, 5:205])
        assert np.array_equal(np.concatenate(list(picture.strips(5000))), stored)
        assert picture.preview(20 + number).shape[1] == round(0.75 * (20 + number))
        return int(picture.census().counts.sum())

    with ThreadPoolExecutor(6) as pool:
        assert list(pool.map(work, range(6))) == [120_000] * 6


def test_pictures_from_pixels():
    stored, profile = noise(), standard_profile("ROMM RGB")
    picture = from_pixels(stored, profile, name="drawn\n", ppi_tag=300)
    stored[:] = 0
    assert np.array_equal(picture.pixels(), noise())
    assert (picture.bit_depth, picture.channels, picture.name) == (16, 3, "drawn")
    assert (picture.profile, picture.profile_name) == (profile, "ROMM RGB")
    assert (picture.ppi_tag, picture.kind, picture.path) == (300, "pixels", None)
    for wrong in (stored[..., 0], stored[..., :2], stored.astype(float), stored[:0]):
        with pytest.raises(wb.PictureError):
            from_pixels(wrong, profile)
    with pytest.raises(wb.PictureError, match="it is for RGB and the picture is grey"):
        from_pixels(stored[..., :1], profile)


def test_importing_the_package_leaves_the_codecs_for_later():
    code = (
        "import sys, workbench.picture; "
        "print([m for m in ('tifffile', 'imagecodecs', 'PIL', 'scipy') if m in sys.modules])"
    )
    result = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True
    )
    assert result.stdout.strip() == "[]"
