"""What an untagged picture would look like under each usual assumption."""

from __future__ import annotations

import numpy as np

from workbench.colour.spaces import standard_profile
from workbench.picture.picture import Picture
from workbench.picture.tagging import usual_spaces


def assumption_previews(picture: Picture, long_side_px: int = 240) -> list[tuple[str, np.ndarray]]:
    """Small previews, one for each usual assumption about a picture without a profile.

    Parameters
    ----------
    picture : any picture; an embedded profile plays no part here.
    long_side_px : of the previews; smaller pictures keep their size.

    Returns
    -------
    (space name, (h, w, 3) uint8 sRGB pixels) for the RGB spaces, or the grey ones.

    Notes
    -----
    All are made from one reduced picture, so that the pixels are read only once; what
    differs is what their numbers are taken to mean.
    """
    from workbench.colour.engine import transform

    small = picture.preview(long_side_px)
    screen = standard_profile("sRGB")
    return [
        (name, transform(small, standard_profile(name), screen, dtype=np.uint8))
        for name in usual_spaces(picture.channels)
    ]
