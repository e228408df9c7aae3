"""A small picture placed quickly in a drawing, and the part of it that a crop keeps."""

from __future__ import annotations

import numpy as np
from matplotlib.artist import Artist
from PIL import Image

from workbench.errors import SizeError
from workbench.language import tr


class PlacedPicture(Artist):
    """An image fitted to a rectangle in its axes' data coordinates (y pointing down).

    Matplotlib's own image takes 10 ms to resample what Pillow does in one.  Coded
    values are averaged as they are: this is a sketch to place a picture by, not
    one to judge its tones by.
    """

    def __init__(self):
        super().__init__()
        self.pixels = None  # (h, w, 3) uint8
        self.box = (0.0, 0.0, 1.0, 1.0)  # x, y of the top left corner, width, height

    def draw(self, renderer):
        if not self.get_visible() or self.pixels is None or self.axes is None:
            return
        x, y, w, h = self.box
        corners = self.axes.transData.transform([(x, y + h), (x + w, y)])
        # every edge is rounded, so the image ends where a frame around it ends
        (left, bottom), (right, top) = np.rint(corners).astype(int)
        size = int(max(1, right - left)), int(max(1, top - bottom))
        fitted = Image.fromarray(self.pixels).resize(size, Image.Resampling.BILINEAR)
        gc = renderer.new_gc()
        # renderers count rows from below
        renderer.draw_image(gc, left, bottom, np.asarray(fitted.convert("RGBA"))[::-1])
        gc.restore()
        self.stale = False


def checked_thumbnail(thumbnail) -> np.ndarray:
    """``thumbnail`` as an array; raises SizeError unless it is (h, w, 3) uint8."""
    pixels = np.asarray(thumbnail)
    if pixels.dtype != np.uint8 or pixels.ndim != 3 or pixels.shape[2] != 3 or not pixels.size:
        raise SizeError(
            tr(
                "The thumbnail must be an (h, w, 3) array of 8-bit values, not {dtype} of "
                "shape {shape}.",
                dtype=pixels.dtype,
                shape=pixels.shape,
            )
        )
    return pixels


def cropped_thumbnail(thumbnail: np.ndarray, crop) -> np.ndarray:
    """The crop's share of the thumbnail of the whole picture, at least a pixel each way."""
    rows, columns = thumbnail.shape[:2]
    down = rows / (crop.top_px + crop.height_px + crop.bottom_px)
    across = columns / (crop.left_px + crop.width_px + crop.right_px)
    top = min(rows - 1, round(crop.top_px * down))
    left = min(columns - 1, round(crop.left_px * across))
    high = max(1, round(crop.height_px * down))
    wide = max(1, round(crop.width_px * across))
    return np.ascontiguousarray(thumbnail[top : top + high, left : left + wide])
