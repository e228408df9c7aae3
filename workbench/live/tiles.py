"""Finer pixels of a part of a picture, for a view that has come nearer."""

from __future__ import annotations

import numpy as np

from workbench.errors import PictureError
from workbench.picture import tone
from workbench.picture.picture import Picture
from workbench.picture.reduce import gather, reduce_band
from workbench.picture.samples import as_uint16

# above this many of the picture's own pixels, a preview of the whole serves as well
_MOST_PIXELS = 24_000_000
MOST_SIDE_PX = 4096
_NEARLY = 0.85


def picture_part(
    picture: Picture, box, size_px
) -> tuple[np.ndarray, tuple[float, float, float, float]]:
    """A part of a picture, reduced by area in linear light, or its own pixels.

    Parameters
    ----------
    picture : with a profile or without.
    box : (left, top, right, bottom) as shares 0..1 of the picture.
    size_px : (width, height) wanted; never more than the part has.

    Returns
    -------
    pixels : (h, w, channels) uint16 in the picture's own space.
    box : what they show, moved outwards to whole pixels of the picture.

    Raises
    ------
    PictureError
        for a box that holds nothing, or a file that has changed.

    Examples
    --------
    >>> pixels, box = picture_part(picture, (0.25, 0.25, 0.5, 0.5), (60, 40))
    >>> pixels.shape, box
    ((40, 60, 3), (0.25, 0.25, 0.5, 0.5))
    """
    left, top, right, bottom = (min(max(float(each), 0.0), 1.0) for each in box)
    if not (left < right and top < bottom):
        raise PictureError("This part of the picture holds nothing; choose a larger one.")
    whole = picture.width_px, picture.height_px
    x0, y0 = int(left * whole[0] + 1e-6), int(top * whole[1] + 1e-6)
    x1, y1 = (
        min(total, max(start + 1, int(np.ceil(edge * total - 1e-6))))
        for edge, total, start in ((right, whole[0], x0), (bottom, whole[1], y0))
    )
    across, down = x1 - x0, y1 - y0
    width = min(across, MOST_SIDE_PX, max(1, round(size_px[0])))
    height = min(down, MOST_SIDE_PX, max(1, round(size_px[1])))
    # nearly all of its pixels are better as they are than averaged anew
    if width > _NEARLY * across and height > _NEARLY * down:
        width, height = min(across, MOST_SIDE_PX), min(down, MOST_SIDE_PX)
    taken = x0 / whole[0], y0 / whole[1], x1 / whole[0], y1 / whole[1]
    if across * down > _MOST_PIXELS:
        return _of_preview(picture, taken, width * whole[0] / across)
    pixels = as_uint16(picture.crop(x0, y0, across, down))
    if (width, height) != (across, down):
        light = reduce_band(
            0, pixels, lambda p: tone.to_light(p, picture.profile), (across, down), (width, height)
        )
        pixels = tone.from_light(
            gather([light], (width, height), picture.channels), picture.profile
        )
    return pixels, taken


def _of_preview(picture: Picture, box, width_px: float):
    """From a preview of the whole that is as fine."""
    scale = max(1.0, picture.height_px / picture.width_px)
    preview = picture.preview(min(MOST_SIDE_PX, int(np.ceil(width_px * scale))))
    height, width = preview.shape[:2]
    x0, y0 = int(box[0] * width), int(box[1] * height)
    x1, y1 = int(np.ceil(box[2] * width)), int(np.ceil(box[3] * height))
    part = np.ascontiguousarray(preview[y0:y1, x0:x1])
    return part, (x0 / width, y0 / height, x1 / width, y1 / height)
