"""The census against numpy's own counting of distinct values."""

from __future__ import annotations

import numpy as np
import pytest
from picture.makers import noise, tiff_bytes

import workbench as wb
from workbench.picture import census as census_module


@pytest.mark.parametrize("bits", [1, 3, 6, 7])
@pytest.mark.parametrize("dtype", [np.uint8, np.uint16])
@pytest.mark.parametrize("packing", [None, "lzw"])
def test_every_pixel_is_counted_into_its_cell(packing, dtype, bits, monkeypatch):
    monkeypatch.setattr(census_module, "over_bands", in_small_bands(census_module.over_bands))
    stored = noise(70, 60, dtype=dtype)
    picture = wb.open_picture(tiff_bytes(stored, compression=packing, rowsperstrip=9))
    colours, counts = picture.census(bits)
    top = np.iinfo(dtype).max
    pixels = stored.reshape(-1, 3)
    cells = (pixels.astype(int) * 2**bits) // (top + 1)
    unique, inverse, expected = np.unique(cells, axis=0, return_inverse=True, return_counts=True)
    assert counts.dtype == np.int64 and colours.dtype == np.float64
    assert np.array_equal(counts, expected)
    centroids = np.stack(
        [np.bincount(inverse.ravel(), pixels[:, c]) / expected / top for c in range(3)], axis=-1
    )
    assert np.allclose(colours, centroids, atol=1e-12)
    assert np.array_equal((colours * top * 2**bits // (top + 1)).astype(int), unique)


@pytest.mark.parametrize("dtype", [np.uint8, np.uint16])
def test_grey_is_counted_in_4096_steps(dtype):
    stored = noise(70, 60, channels=1, dtype=dtype)
    colours, counts = wb.open_picture(tiff_bytes(stored)).census()
    top = np.iinfo(dtype).max
    cells = stored.ravel().astype(int) * 4096 // (top + 1)
    unique, expected = np.unique(cells, return_counts=True)
    assert np.array_equal(counts, expected) and colours.shape == (len(unique), 1)
    means = np.bincount(cells, stored.ravel())[unique] / expected / top
    assert np.allclose(colours[:, 0], means, atol=1e-12)


def in_small_bands(over_bands):
    def with_few_pixels(*args, **options):
        return over_bands(*args, max_pixels=500, **options)

    return with_few_pixels


def test_one_colour():
    stored = np.full((50, 40, 3), (65535, 0, 32768), np.uint16)
    colours, counts = wb.open_picture(tiff_bytes(stored)).census()
    assert counts.tolist() == [2000]
    assert colours[0] == pytest.approx([1, 0, 32768 / 65535], abs=1e-12)


def test_it_is_kept_and_shared_by_pictures_with_the_same_pixels():
    picture = wb.open_picture(tiff_bytes(noise()))
    first = picture.census()
    assert picture.census()[0] is first[0]
    assert picture.assume("sRGB").census()[1] is first[1]
    assert picture.census(4)[0] is not first[0]
    with pytest.raises(ValueError, match="read-only"):
        first[1][0] = 7


@pytest.mark.parametrize("bits", [0, 8, 2.5, "6", None])
def test_other_bits_are_refused(bits):
    with pytest.raises(wb.PictureError, match="1 to 7 bits"):
        wb.open_picture(tiff_bytes(noise())).census(bits)


def test_cancelling_and_progress(monkeypatch):
    monkeypatch.setattr(census_module, "over_bands", in_small_bands(census_module.over_bands))
    picture = wb.open_picture(tiff_bytes(noise(100, 100)))
    told: list[float] = []
    asked = iter([False] * 10 + [True] * 1000)
    with pytest.raises(wb.Cancelled):
        picture.census(cancelled=lambda: next(asked), progress=told.append)
    assert 0 < len(told) < 20
    told.clear()
    counts = picture.census(progress=told.append)[1]
    assert counts.sum() == 10_000
    assert told == sorted(told) and told[-1] == 1.0


def test_waiting_for_another_thread_can_be_cancelled():
    picture = wb.open_picture(tiff_bytes(noise()))
    with picture._counted.lock, pytest.raises(wb.Cancelled):
        picture.census(cancelled=lambda: True)
    assert picture.census()[1].sum() == 37 * 53
