"""A relief at the pitch of a picture's pixels."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from workbench.picture.kept import kept_while_open
from workbench.surface.relief import Surface, tileable

_MOST_PERIOD = 2048


@dataclass(frozen=True, eq=False)
class Tile:
    """One period of a relief, ready to be lit.

    Attributes
    ----------
    height_mm, right, up : (rows, columns) float32 heights and slopes.
    pitch_mm : of its samples, a picture's pixel.
    alpha : the surface's roughness with the slopes that are finer than the pitch.
    """

    height_mm: np.ndarray = field(repr=False)
    right: np.ndarray = field(repr=False)
    up: np.ndarray = field(repr=False)
    pitch_mm: float
    alpha: float

    @property
    def flat(self) -> bool:
        return not self.height_mm.any()


@kept_while_open(maxsize=12)
def tile_at(surface: Surface, pixel_mm: float) -> Tile:
    """A surface at a picture's pixels.

    The relief's spectrum is cut where the pixels end, each frequency damped as a pixel's own
    square does; the slopes that are lost so are kept as roughness, α² growing by their mean
    square along both axes together.  The period is rounded to whole pixels.
    """
    surface = tileable(surface)
    height = surface.height_mm
    if not height.any():
        empty = np.zeros((8, 8), np.float32)
        return Tile(empty, empty, empty, pixel_mm, surface.alpha)
    rows, columns = (
        min(max(8, round(n * surface.pitch_mm / pixel_mm)), _MOST_PERIOD) for n in height.shape
    )
    spectrum = np.fft.rfft2(height)
    fy, fx = np.fft.fftfreq(rows), np.fft.rfftfreq(columns)
    wide = np.zeros((rows, len(fx)), spectrum.dtype)
    kept_y, kept_x = min(rows, height.shape[0]) // 2, min(columns, height.shape[1]) // 2
    wide[:kept_y, :kept_x] = spectrum[:kept_y, :kept_x]
    wide[rows - kept_y + 1 :, :kept_x] = spectrum[height.shape[0] - kept_y + 1 :, :kept_x]
    wide *= np.sinc(fy)[:, None] * np.sinc(fx)[None, :] * (rows * columns / height.size)
    down_slope = np.fft.irfft2(wide * (-2j * np.pi * fy[:, None]), s=(rows, columns)) / pixel_mm
    right_slope = np.fft.irfft2(wide * (2j * np.pi * fx[None, :]), s=(rows, columns)) / pixel_mm
    # seen by the whole relief's own spectral slopes, so that nothing lost is exactly nothing
    gy = np.fft.fftfreq(height.shape[0], surface.pitch_mm)
    gx = np.fft.rfftfreq(height.shape[1], surface.pitch_mm)
    power = np.abs(spectrum) ** 2 * (2 * np.pi) ** 2 * (gy[:, None] ** 2 + gx[None, :] ** 2)
    weight = np.full(len(gx), 2.0)
    weight[0] = 1
    if height.shape[1] % 2 == 0:
        weight[-1] = 1
    all_slopes = float((power * weight).sum()) / height.size**2
    held = float(np.mean(np.square(right_slope) + np.square(down_slope)))
    lost = max(all_slopes - held, 0.0)
    return Tile(
        np.fft.irfft2(wide, s=(rows, columns)).astype(np.float32),
        right_slope.astype(np.float32),
        down_slope.astype(np.float32),
        pixel_mm,
        min(float(np.sqrt(surface.alpha**2 + lost)), 1.0),
    )
