"""Marks over a picture where it lies beyond a paper."""

from __future__ import annotations

import numpy as np

from workbench.figures import style

COLOURS = (
    ("yellow", style.YELLOW),
    ("orange", style.ORANGE),
    ("vermilion", style.VERMILION),
    ("sky blue", style.SKY),
    ("blue", style.BLUE),
    ("pink", style.PURPLE),
    ("black", style.BLACK),
    ("white", "#ffffff"),
)
_STRIPE_PX = 3


def marked(pixels: np.ndarray, distance: np.ndarray, limit: float, colour: str) -> np.ndarray:
    """A picture with stripes over what lies further than the limit, the stronger the further.

    Parameters
    ----------
    pixels : (h, w, 3) uint8.
    distance : (h, w) CIEDE2000.
    limit : CIEDE2000; a stripe covers 60 % just past it and everything 10 further.
    colour : hex.
    """
    # stripes cannot be taken for something in the picture, and let it be seen between them
    rgb = np.array([int(colour[i : i + 2], 16) for i in (1, 3, 5)], np.float32)
    far = np.flatnonzero(distance > limit)
    row, column = np.divmod(far, distance.shape[1])
    stripe = (row + column) // _STRIPE_PX % 2 == 0
    cover = 0.6 + 0.04 * np.minimum(distance.ravel()[far] - limit, 10)
    cover = (cover * np.where(stripe, 1, 0.4))[:, None].astype(np.float32)
    result = pixels.copy()
    flat = result.reshape(-1, 3)
    flat[far] = np.rint(flat[far] * (1 - cover) + rgb * cover)
    return result
