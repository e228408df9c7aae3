"""Between a picture's own values and linear light, with the adjustments folded in.

Resampling belongs in linear light: light adds up, encoded values do not.  Matrix and
grey profiles are read exactly, from their tone curves.  For profiles that consist of
tables, gamma 2.2 stands in: it only serves the averaging of neighbours, and the same
curve leads back.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np

from workbench.colour.lab import luminance_factor
from workbench.colour.spaces import tone_curves

_STAND_IN_GAMMA = 2.2
# the way back is looked up along the root of light, which usual curves follow closely
_STEPS = 2**18


def lightness_of_light(light) -> np.ndarray:
    """CIE L* over 100 (0..1) of linear light 0..1; the inverse of `light_of_lightness`."""
    light = np.asarray(light, float)
    return np.where(light > 216 / 24389, 1.16 * np.cbrt(light) - 0.16, light * 24389 / 2700)


def light_of_lightness(lightness) -> np.ndarray:
    """Linear light 0..1 of CIE L* over 100 (0..1)."""
    return luminance_factor(100 * np.asarray(lightness, float))


@lru_cache(maxsize=16)
def _curves(profile: bytes, channels: int) -> np.ndarray:
    """(channels, 65536) light of each 16-bit value; read only."""
    x = np.linspace(0, 1, 65536)
    functions = tone_curves(profile)
    curves = np.tile(x**_STAND_IN_GAMMA, (channels, 1))
    if functions is not None and len(functions) == channels:
        own = np.stack([np.asarray(f(x), float) for f in functions])
        # a curve that falls, or has hardly any range, has no way back
        if (
            np.isfinite(own).all()
            and (np.diff(own) >= 0).all()
            and (own[:, -1] - own[:, 0] > 0.5).all()
        ):
            curves = np.clip(own, 0, 1)
    curves.flags.writeable = False
    return curves


@dataclass(frozen=True, eq=False)
class Light:
    """A picture's tone curves both ways; see `light_of`.

    Attributes
    ----------
    channels : 1 or 3, of what is encoded.
    weights : (channels,) share of each channel in lightness; they add up to 1.
    shares : of each channel in the one light of a black-and-white print, or None.
    """

    channels: int
    weights: np.ndarray
    _decode: np.ndarray = field(repr=False)
    _encode: np.ndarray = field(repr=False)
    shares: np.ndarray | None = None

    def lights(self, pixels: np.ndarray) -> list[np.ndarray]:
        """(rows, cols, channels) -> linear light of each channel, or the one they are mixed to."""
        return self.mixed([self.decode(pixels[..., c], c) for c in range(pixels.shape[-1])])

    def mixed(self, lights: list[np.ndarray]) -> list[np.ndarray]:
        """Linear light of each channel, mixed to one in black and white."""
        if self.shares is None:
            return lights
        mixed = np.zeros(lights[0].shape, np.float32)
        for share, light in zip(self.shares, lights, strict=True):
            mixed += np.float32(share) * light
        return [mixed]

    def light_for(self, lights: list[np.ndarray], channel: int) -> np.ndarray:
        """Of `lights`, the one that a channel is encoded from."""
        return lights[0] if self.shares is not None else lights[channel]

    def decode(self, pixels: np.ndarray, channel: int) -> np.ndarray:
        """(rows, cols) uint8 or uint16 of one channel -> float32 linear light 0..1."""
        table = self._decode[channel]
        if pixels.dtype == np.uint8:
            table = table[::257]
        return table.take(pixels, mode="clip")

    def encode(self, light: np.ndarray, channel: int, out=None) -> np.ndarray:
        """(rows, cols) float32 linear light -> float32 encoded values 0..1, adjusted.

        What lies outside 0..1 is cut off.
        """
        index = np.clip(light, 0, 1)
        np.sqrt(index, out=index)
        index *= _STEPS - 1
        index += 0.5
        return self._encode[channel].take(index.astype(np.int32), out=out, mode="clip")


def black_and_white_light(profile: bytes, channels: int, adjustments, out: bytes) -> Light:
    """Light that is mixed to one and encoded as the toned or neutral greys of a space.

    Parameters
    ----------
    profile, channels : of the picture.
    adjustments : `workbench.output.adjust.Adjustments` in black and white.
    out : profile of the RGB space that the print pixels are in.
    """
    from workbench.colour.engine import transform

    plain = _plain(profile, channels)
    # finer towards black, where the encoding is steepest
    lightness = 100 * np.linspace(0, 1, 4097) ** 2
    device = np.clip(transform(adjustments.toning(lightness), "lab", out), 0, 1)
    adjusted = 100 * adjustments.tone(lightness_of_light(np.linspace(0, 1, _STEPS) ** 2))
    encode = [np.interp(adjusted, lightness, device[:, c]) for c in range(device.shape[-1])]
    return Light(
        channels=len(encode),
        weights=_lightness_weights(out, len(encode)),
        _decode=plain._decode,
        _encode=np.stack(encode).astype(np.float32),
        shares=adjustments.shares(plain.weights),
    )


def light_of(profile: bytes, channels: int, adjust=None) -> Light:
    """The tone curves of a picture's profile.

    Parameters
    ----------
    profile : of the picture's own space.
    channels : 1 or 3.
    adjust : (channel, lightness 0..1) -> lightness 0..1, rising from 0 to 1; folded
        into the way back.  None leaves the picture as it is.
    """
    return _plain(profile, channels) if adjust is None else _light(profile, channels, adjust)


@lru_cache(maxsize=8)
def _plain(profile: bytes, channels: int) -> Light:
    return _light(profile, channels, None)


def _light(profile: bytes, channels: int, adjust) -> Light:
    curves = _curves(profile, channels)
    root = np.linspace(0, 1, _STEPS)
    codes = np.linspace(0, 1, 65536)
    encode = []
    for channel in range(channels):
        light = root**2
        if adjust is not None:
            light = light_of_lightness(adjust(channel, lightness_of_light(light)))
        encode.append(np.interp(light, curves[channel], codes))
    return Light(
        channels=channels,
        weights=_lightness_weights(profile, channels),
        _decode=curves.astype(np.float32),
        _encode=np.stack(encode).astype(np.float32),
    )


def _lightness_weights(profile: bytes, channels: int) -> np.ndarray:
    """Shares of luminance (Y) of the channels, from the profile's matrix if it has one."""
    from workbench.colour.profile import read_profile

    if channels == 1:
        return np.ones(1, np.float32)
    primaries = read_profile(profile).primaries()
    # without a matrix: those of Rec. ITU-R BT.709
    y = np.array([0.2126, 0.7152, 0.0722]) if primaries is None else primaries[:, 1]
    y = np.maximum(y, 0)
    return (y / y.sum()).astype(np.float32)
