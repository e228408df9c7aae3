"""The census against numpy's own counting of distinct values."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from picture.makers import noise, tiff_bytes

import workbench as wb
from workbench.picture import census as census_module
from workbench.picture.opening import from_pixels

BITS = {1: 8, 3: 6}


def cells_of(pixels, bits):
    """Numbers of the cells of (n, channels) pixels, by plain division."""
    per_side = pixels.astype(int) * 2**bits // (np.iinfo(pixels.dtype).max + 1)
    return np.ravel_multi_index(tuple(per_side.T), (2**bits,) * pixels.shape[1])


@pytest.mark.parametrize("channels", [1, 3])
@pytest.mark.parametrize("dtype", [np.uint8, np.uint16])
@pytest.mark.parametrize("packing", [None, "lzw"])
def test_every_pixel_is_counted_into_its_cell(packing, dtype, channels, monkeypatch):
    monkeypatch.setattr(census_module, "over_bands", in_small_bands(census_module.over_bands))
    stored = noise(70, 60, channels=channels, dtype=dtype)
    census = wb.open_picture(tiff_bytes(stored, compression=packing, rowsperstrip=9)).census()
    pixels, top = stored.reshape(-1, channels), np.iinfo(dtype).max
    cells = cells_of(pixels, BITS[channels])
    unique, inverse, expected = np.unique(cells, return_inverse=True, return_counts=True)
    assert census.counts.dtype == np.int64 and census.colours.dtype == np.float64
    assert np.array_equal(census.cells, unique) and np.array_equal(census.counts, expected)
    for channel in range(channels):
        means = np.bincount(inverse, pixels[:, channel]) / expected / top
        assert np.allclose(census.colours[:, channel], means, atol=1e-12)
    eight = np.unique(pixels >> (8 * pixels.dtype.itemsize - 8), axis=0).astype(np.uint8)
    assert census.distinct.sum() == len(eight)
    owners = cells_of(eight, BITS[channels])
    assert np.array_equal(census.distinct, np.bincount(owners)[unique])


@settings(max_examples=40, deadline=None)
@given(
    st.integers(1, 400),
    st.sampled_from([np.uint8, np.uint16]),
    st.sampled_from([1, 3]),
    st.integers(0, 2**32 - 1),
)
def test_splitting_loses_no_pixel_and_keeps_means(size, dtype, channels, seed):
    rng = np.random.default_rng(seed)
    top = np.iinfo(dtype).max
    # colours that repeat, and some that lie close together
    palette = rng.integers(0, top, (rng.integers(1, 40), channels))
    pixels = palette[rng.integers(0, len(palette), size)] + rng.integers(0, 9, (size, channels))
    pixels = np.minimum(pixels, top).astype(dtype)
    census = from_pixels(pixels.reshape(size, 1, channels), SPACES[channels]).census()
    chosen = rng.random(len(census.cells)) < 0.5
    parts = census.split(chosen)
    inside = np.isin(cells_of(pixels, BITS[channels]), census.cells[chosen])
    assert parts.counts.sum() == inside.sum() == census.counts[chosen].sum()
    if inside.any():
        sums = parts.counts @ parts.colours * top
        assert sums == pytest.approx(pixels[inside].sum(axis=0, dtype=float))
        eight = pixels[inside] >> (8 * pixels.dtype.itemsize - 8)
        assert parts.distinct.sum() == pytest.approx(len(np.unique(eight, axis=0)))
        if dtype == np.uint8:
            found, counts = np.unique(pixels[inside], axis=0, return_counts=True)
            mine = np.round(parts.colours * top).astype(int)
            order = np.lexsort(mine.T[::-1])
            assert np.array_equal(mine[order], found)
            assert np.array_equal(parts.counts[order], counts)


SPACES = {1: "Grey, power 2.2", 3: "sRGB"}


@settings(max_examples=20, deadline=None)
@given(st.integers(2, 300), st.integers(0, 2**32 - 1))
def test_the_order_of_pixels_does_not_matter(size, seed):
    rng = np.random.default_rng(seed)
    pixels = rng.integers(0, 65536, (size, 1, 3)).astype(np.uint16)
    one, other = (from_pixels(p, "sRGB").census() for p in (pixels, rng.permutation(pixels)))
    for name in ("cells", "counts", "colours", "distinct"):
        assert np.array_equal(getattr(one, name), getattr(other, name))
    all_cells = np.ones(len(one.cells), bool)
    for name in ("colours", "counts", "distinct"):
        assert np.array_equal(
            getattr(one.split(all_cells), name), getattr(other.split(all_cells), name)
        )


def test_cells_of_few_pixels_are_split_coarsely_and_keep_their_distinct_colours():
    rng = np.random.default_rng(6)
    pixels = np.full((2000, 2000, 3), 120, np.uint8)
    pixels[::20, 7] = few = rng.integers(0, 4, (100, 3))  # all in the first cell
    census = from_pixels(pixels, "sRGB").census()
    light = census.cells == 0
    parts = census.split(light)
    assert parts.counts.sum() == census.counts[light].sum() == 100
    colours = len(np.unique(few, axis=0))
    assert parts.distinct.sum() == census.distinct[light].sum() == colours


def test_a_heavy_cell_is_split_more_finely():
    rng = np.random.default_rng(3)
    heavy = rng.integers(20_000, 20_400, (200_000, 1, 3))
    light = rng.integers(50_000, 50_400, (2000, 1, 3))
    picture = from_pixels(np.concatenate([heavy, light]).astype(np.uint16), "sRGB")
    census = picture.census()
    parts = census.split(np.ones(len(census.cells), bool))
    colours = parts.colours[:, 0] * 65535
    steps = [np.count_nonzero((colours > a) & (colours < b)) for a, b in ((0, 3e4), (4e4, 65535))]
    assert steps[0] > 5 * steps[1]


def in_small_bands(over_bands):
    def with_few_pixels(*args, **options):
        return over_bands(*args, max_pixels=500, **options)

    return with_few_pixels


def test_one_colour():
    stored = np.full((50, 40, 3), (65535, 0, 32768), np.uint16)
    census = wb.open_picture(tiff_bytes(stored)).census()
    assert census.counts.tolist() == [2000] and census.distinct.tolist() == [1]
    assert census.colours[0] == pytest.approx([1, 0, 32768 / 65535], abs=1e-12)


def test_it_is_kept_and_shared_by_pictures_with_the_same_pixels():
    picture = wb.open_picture(tiff_bytes(noise()))
    first = picture.census()
    assert picture.census() is first
    assert picture.assume("sRGB").census() is first
    with pytest.raises(ValueError, match="read-only"):
        first.counts[0] = 7


def test_cancelling_and_progress(monkeypatch):
    monkeypatch.setattr(census_module, "over_bands", in_small_bands(census_module.over_bands))
    picture = wb.open_picture(tiff_bytes(noise(100, 100)))
    told: list[float] = []
    asked = iter([False] * 10 + [True] * 1000)
    with pytest.raises(wb.Cancelled):
        picture.census(cancelled=lambda: next(asked), progress=told.append)
    assert 0 < len(told) < 20
    told.clear()
    census = picture.census(progress=told.append)
    assert census.counts.sum() == 10_000
    assert told == sorted(told) and told[-1] == 1.0


def test_waiting_for_another_thread_can_be_cancelled():
    picture = wb.open_picture(tiff_bytes(noise()))
    with picture._counted.lock, pytest.raises(wb.Cancelled):
        picture.census(cancelled=lambda: True)
    assert picture.census().counts.sum() == 37 * 53
