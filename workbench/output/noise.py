"""How noisy a picture is from pixel to pixel, so that its noise is not sharpened."""

from __future__ import annotations

import math

import numpy as np

from workbench.analysis.detail import tile_places
from workbench.output.light import light_of
from workbench.picture.kept import kept_while_open
from workbench.picture.picture import Picture

_TILES, _SIDE = 96, 64
# of the tiles, the quietest show noise rather than detail; what is clipped shows none
_QUIETEST = 0.1
_UNCLIPPED = 0.02, 0.98
# pictures that are detail all over look noisier than cameras are (our choice)
_LARGEST = 0.015
# rounding to 8 bits is noise too
_ROUNDING = 1 / 255 / math.sqrt(12)


@kept_while_open(maxsize=8)
def noise_of(picture: Picture) -> float:
    """Standard deviation of a picture's noise, in encoded lightness of a full scale of 1.

    It is what the quietest tenth of 96 tiles of 64 × 64 pixels have.  Source: J. Immerkaer,
    Fast noise variance estimation, Computer Vision and Image Understanding 64 (1996), whose
    mask is blind to slopes and straight edges.

    Parameters
    ----------
    picture : a Picture with a profile.

    Returns
    -------
    0 to 0.015.

    Raises
    ------
    UntaggedPictureError, PictureError
        for a picture without a profile, or one that cannot be read.

    Examples
    --------
    >>> from workbench.output.noise import noise_of
    >>> bool(0 <= noise_of(picture) <= 0.015)
    True
    """
    weights = light_of(picture.require_profile(), picture.channels).weights
    side = min(_SIDE, picture.width_px, picture.height_px)
    least = _ROUNDING if picture.dtype == np.uint8 else 0.0
    if side < 3:
        return least
    columns, rows = tile_places(picture, side, _TILES)
    found = []
    for y in rows:
        for x in columns:
            tile = picture.crop(x, y, side, side)
            lightness = tile @ (weights / np.iinfo(tile.dtype).max)
            if _UNCLIPPED[0] < lightness.mean() < _UNCLIPPED[1]:
                found.append(_deviation(lightness))
    if not found:
        return least
    return float(min(max(np.quantile(found, _QUIETEST), least), _LARGEST))


def _deviation(plane: np.ndarray) -> float:
    """Immerkaer's estimate for one tile."""
    down = plane[:-2] - 2 * plane[1:-1] + plane[2:]
    both = down[:, :-2] - 2 * down[:, 1:-1] + down[:, 2:]
    return math.sqrt(math.pi / 2) / 6 * float(np.abs(both).mean())
