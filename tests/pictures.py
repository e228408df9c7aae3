"""Small pictures made in memory for tests."""

from __future__ import annotations

import io

import numpy as np

from workbench.colour.spaces import standard_profile
from workbench.picture import Picture, open_picture


def picture_of(pixels, space: str = "sRGB") -> Picture:
    """A Picture of (h, w[, 3]) pixels; floats 0..1 become 16 bits."""
    import tifffile

    pixels = np.asarray(pixels)
    if pixels.dtype.kind == "f":
        pixels = np.round(pixels * 65535).astype(np.uint16)
    file = io.BytesIO()
    kind = "rgb" if pixels.ndim == 3 else "minisblack"
    tifffile.imwrite(file, pixels, photometric=kind, iccprofile=standard_profile(space))
    return open_picture(file.getvalue(), name="test.tif")


def patches(*colours, side: int = 8, space: str = "sRGB") -> Picture:
    """Equal patches of device colours (0..1) side by side."""
    row = np.repeat(np.array(colours, float), side, axis=0)
    return picture_of(np.repeat(row[None], side, axis=0), space)


def colourful(height: int = 60, width: int = 90, seed: int = 15, space: str = "opRGB"):
    """Smooth random colours over the whole space."""
    from scipy.ndimage import zoom

    random = np.random.default_rng(seed)
    field = np.stack(
        [zoom(random.random((5, 7)), (height / 5, width / 7), order=1) for _ in range(3)], axis=-1
    )
    return picture_of(np.clip(field[:height, :width], 0, 1), space)
