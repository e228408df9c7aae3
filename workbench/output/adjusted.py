"""A picture's pixels with the accepted adjustments, at whatever size they come."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from workbench.colour.engine import transform
from workbench.colour.spaces import standard_profile
from workbench.output.adjust import Adjustments
from workbench.output.light import (
    Light,
    black_and_white_light,
    light_of,
    light_of_lightness,
    lightness_of_light,
)

# holds the toned greys of grey pictures
_TONED_SPACE = "opRGB"


def adjusted_profile(profile: bytes, channels: int, adjustments: Adjustments | None) -> bytes:
    """The profile that adjusted pixels are in: the picture's, or an RGB one for toned greys."""
    if channels == 1 and adjustments and adjustments.is_toned:
        return standard_profile(_TONED_SPACE)
    return profile


@lru_cache(maxsize=4)
def adjusting_light(profile: bytes, channels: int, adjustments: Adjustments | None) -> Light:
    """A picture's tone curves with the adjustments folded into the way back."""
    if adjustments and adjustments.is_black_and_white and (channels == 3 or adjustments.is_toned):
        space = adjusted_profile(profile, channels, adjustments)
        return black_and_white_light(profile, channels, adjustments, space)
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
    (rows, cols, channels) uint16 where something is adjusted, in the space of
    `adjusted_profile`.
    """
    if not adjustments:
        return pixels
    light = adjusting_light(profile, pixels.shape[-1], adjustments)
    lights = light.lights(pixels)
    out = np.empty((*pixels.shape[:-1], light.channels), np.uint16)
    for channel in range(light.channels):
        plane = light.encode(light.light_for(lights, channel), channel)
        out[..., channel] = np.rint(plane * 65535)
    return out


@lru_cache(maxsize=4)
def adjusted_codes(
    profile: bytes, channels: int, adjustments: Adjustments | None
) -> np.ndarray | None:
    """(65536, channels) uint16: what the adjustments make of every code; None for none, read only."""
    if not adjustments:
        return None
    codes = np.arange(65536, dtype=np.uint16).reshape(-1, 1).repeat(channels, axis=1)
    made = adjusted(codes[None], profile, adjustments)[0]
    made.flags.writeable = False
    return made


def adjusted_colours(
    colours: np.ndarray, profile: bytes, adjustments: Adjustments | None
) -> np.ndarray:
    """The same for a few colours, without the tables that only whole pictures are worth.

    Parameters
    ----------
    colours : (n, channels) uint8 or uint16 in the picture's own space.
    profile, adjustments : as for `adjusted`.

    Returns
    -------
    (n, channels) floats 0..1 in the space of `adjusted_profile`.

    Examples
    --------
    >>> import numpy as np
    >>> white = np.full((1, 3), 65535, np.uint16)
    >>> adjusted_colours(white, picture.profile, None).tolist()
    [[1.0, 1.0, 1.0]]
    """
    if not adjustments:
        return colours / float(np.iinfo(colours.dtype).max)
    channels = colours.shape[-1]
    light = light_of(profile, channels)
    lights = np.stack([light.decode(colours[:, c], c) for c in range(channels)], axis=-1)
    if adjustments.is_black_and_white and (channels == 3 or adjustments.is_toned):
        grey = lightness_of_light(lights @ adjustments.shares(light.weights))
        lab = adjustments.toning(100 * adjustments.tone(grey))
        space = adjusted_profile(profile, channels, adjustments)
        return np.clip(transform(lab, "lab", space), 0, 1)
    curve = adjustments.curve(profile, channels)
    moved = [
        light.encode(light_of_lightness(curve(c, lightness_of_light(lights[:, c]))), c)
        for c in range(channels)
    ]
    return np.stack(moved, axis=-1)
