"""The fast grid against the exact function it stands for."""

import numpy as np
import pytest

from workbench.colour.grid import ColourGrid, grid_colours


@pytest.mark.parametrize("dtype", [np.uint8, np.uint16])
@pytest.mark.parametrize("channels", [1, 3])
def test_the_identity_stays_the_identity(dtype, channels):
    nodes = np.repeat(grid_colours(channels), 3 // channels, axis=1)
    grid = ColourGrid(nodes, channels)
    pixels = np.random.default_rng(12).integers(0, 65536, (50, 60, channels), dtype=np.uint16)
    expected = pixels / 65535 * np.iinfo(dtype).max
    result = grid.apply(pixels, dtype)
    assert result.dtype == dtype and result.shape == (50, 60, 3)
    assert np.abs(result - expected).max() <= 1


def test_8_and_16_bit_pixels_mean_the_same():
    grid = ColourGrid(grid_colours(3) ** 2, 3)
    pixels = np.random.default_rng(13).integers(0, 256, (40, 40, 3), dtype=np.uint8)
    assert (
        np.abs(grid.apply(pixels).astype(int) - grid.apply(pixels.astype(np.uint16) * 257)).max()
        <= 1
    )


def test_a_curved_function_is_followed_closely():
    grid = ColourGrid(grid_colours(3) ** 2.2, 3)
    pixels = np.random.default_rng(14).integers(0, 65536, (100, 100, 3), dtype=np.uint16)
    exact = (pixels / 65535) ** 2.2
    assert np.abs(grid.apply(pixels, np.uint16) / 65535 - exact).max() < 1e-3


def test_white_may_be_any_colour():
    # a profile's white would be mended to pure white; a grid's must not be
    values = np.full_like(grid_colours(3), 0.25)
    white = np.full((1, 1, 3), 65535, np.uint16)
    assert np.all(np.abs(ColourGrid(values, 3).apply(white).astype(int) - 64) <= 1)
