"""A function of colour sampled on a grid, and applied to whole previews at speed.

The grid becomes a table profile of its own, so that Little CMS interpolates it:
some 40 million pixels a second and core, against a few million for numpy.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from workbench.colour import writer
from workbench.colour.engine import transform
from workbench.colour.lab import D50_XYZ

NODES = 33
GREY_NODES = 1024


@lru_cache(maxsize=4)
def grid_colours(channels: int) -> np.ndarray:
    """(nodes, channels) device colours at which a grid must be evaluated, 0..1, first channel slowest."""
    if channels == 1:
        return np.linspace(0, 1, GREY_NODES, dtype=np.float32)[:, None]
    steps = np.linspace(0, 1, NODES, dtype=np.float32)
    return np.stack(np.meshgrid(steps, steps, steps, indexing="ij"), axis=-1).reshape(-1, 3)


class ColourGrid:
    """Three values between 0 and 1 for every picture colour.

    Parameters
    ----------
    values : (nodes, 3) array of 0..1 at `grid_colours`; others are clipped.
    channels : of the picture, 1 or 3.
    """

    def __init__(self, values: np.ndarray, channels: int):
        self._channels = channels
        values = np.clip(values, 0, 1)
        if channels == 1:
            levels = np.linspace(0, 1, 65536)
            nodes = np.linspace(0, 1, GREY_NODES)
            self._table = np.stack([np.interp(levels, nodes, v) for v in values.T], axis=1)
        else:
            curve = [writer.sampled_curve([])] * 3
            cube = values.reshape(NODES, NODES, NODES, 3)
            self._profile = writer.assemble(
                "input",
                "RGB",
                "LAB",
                "colour grid",
                {"wtpt": writer.xyz(D50_XYZ), "A2B0": writer.table("mAB ", cube, curve, curve)},
            )

    def apply(self, pixels: np.ndarray, dtype=np.uint8) -> np.ndarray:
        """Values at uint8 or uint16 pixels (..., channels), scaled to the full range of ``dtype``.

        Returns (..., 3).
        """
        dtype = np.dtype(dtype)
        if self._channels == 1:
            index = pixels[..., 0].astype(np.int64)
            if pixels.dtype == np.uint8:
                index *= 257
            top = np.iinfo(dtype).max
            return np.round(self._table * top).astype(dtype)[index]
        # the Lab coding of the engine maps 0..1 onto the full range of integers
        return transform(pixels, self._profile, "lab", dtype=dtype, mend_white=False)
