"""A picture's pixels with the accepted adjustments, at whatever size they come."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from workbench.output.adjust import Adjustments
from workbench.output.light import Light, light_of


@lru_cache(maxsize=4)
def adjusting_light(profile: bytes, channels: int, adjustments: Adjustments | None) -> Light:
    """A picture's tone curves with the adjustments folded into the way back."""
    adjust = adjustments and adjustments.curve(profile, channels)
    return light_of(profile, channels, adjust or None)


def adjusted(pixels: np.ndarray, profile: bytes, adjustments: Adjustments | None) -> np.ndarray:
    """Pixels as they are printed with the adjustments, without resampling.

    Parameters
    ----------
    pixels : (rows, cols, channels) uint8 or uint16 in the picture's own space.
    profile : of that space.
    adjustments : None, or none set, gives the pixels back as they are.

    Returns
    -------
    (rows, cols, channels) uint16 where something is adjusted.
    """
    if not adjustments:
        return pixels
    channels = pixels.shape[-1]
    light = adjusting_light(profile, channels, adjustments)
    out = np.empty(pixels.shape, np.uint16)
    for channel in range(channels):
        plane = light.encode(light.decode(pixels[..., channel], channel), channel)
        out[..., channel] = np.rint(plane * 65535)
    return out
