"""A sheet under a lamp: how much diffuse and glossy light every pixel sends to the eye.

`Scene` says what is lit and from where; `factors` gives the numbers for a band of rows.
What it leaves out: light that the relief scatters onto itself, light that the lamp's shadowed
side sends around, the colour that shadows take from the room, and light spread in the paper.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from workbench.surface.horizon import horizon_tangent, lit_share
from workbench.surface.lamp import Lamp, eye_from
from workbench.surface.relief import Surface
from workbench.surface.resampled import Tile, tile_at
from workbench.surface.shade import (
    facet_angle,
    ggx,
    measured_factors,
    oren_nayar,
    through_surface,
)

# a mirror's image of a lamp without size is a point that no pixel holds
_LEAST_ALPHA = 0.02
# azimuths between which shadows are interpolated where a near lamp stands all round
_STEP_DEG = 15.0


@dataclass(frozen=True, eq=False)
class Scene:
    """A sheet under a lamp.

    Attributes
    ----------
    surface, lamp : see there.
    pixel_mm : a picture's pixel on the sheet.
    width_px, height_px : of the picture, whose middle is the sheet's.
    eye_mm : the eye's distance above the middle; None for looking straight down everywhere.
    gloss : share of the glossy part that is counted, 0 to 1, see `workbench.analysis.relit`.
    """

    surface: Surface
    lamp: Lamp
    pixel_mm: float
    width_px: int
    height_px: int
    eye_mm: float | None = None
    gloss: float = 1.0

    @cached_property
    def tile(self) -> Tile:
        return tile_at(self.surface, round(self.pixel_mm, 6))

    @cached_property
    def lamp_alpha(self) -> float:
        """What the lamp's size adds to the roughness: a disc's light varies by its half angle
        squared over four along an axis, and the half-way vector by a quarter of that."""
        return math.tan(self.lamp.half_angle) / math.sqrt(8)

    @cached_property
    def measured(self) -> tuple[float, float]:
        """Diffuse and glossy factor of the flat sheet as its profile was measured."""
        diffuse, _ = measured_factors(self.tile.alpha)
        _, glossy = measured_factors(
            max(float(np.hypot(self.tile.alpha, self.lamp_alpha)), _LEAST_ALPHA)
        )
        return diffuse, glossy * self.gloss

    @cached_property
    def _azimuths(self) -> np.ndarray:
        """Lamp's azimuths at which horizons are worked out, rising, in degrees."""
        middle = self.lamp.azimuth_deg
        if self.lamp.distance_mm is None:
            return np.array([middle])
        x, y = (self.width_px * self.pixel_mm / 2, self.height_px * self.pixel_mm / 2)
        right, up, _ = (each * self.lamp.distance_mm for each in self.lamp.direction)
        if abs(right) <= x and abs(up) <= y:
            return np.arange(0, 361, 2 * _STEP_DEG)
        corners = [
            math.degrees(math.atan2(up - sy * y, right - sx * x))
            for sx in (-1, 1)
            for sy in (-1, 1)
        ]
        turned = [(each - middle + 180) % 360 - 180 for each in corners]
        low, high = min(turned), max(turned)
        steps = max(2, math.ceil((high - low) / _STEP_DEG) + 1)
        return middle + np.linspace(low, high, steps)

    @cached_property
    def horizons(self) -> tuple[np.ndarray, ...]:
        """Horizons of the tile at those azimuths; none where the lamp stands above any slope."""
        least = self.lowest_tangent / (1 + 2 * self.lamp.half_angle)
        steepest = float(np.hypot(self.tile.right, self.tile.up).max())
        if self.tile.flat or steepest < least:
            return ()
        return tuple(
            horizon_tangent(self.tile.height_mm, self.pixel_mm, azimuth, 0.5 * least)
            for azimuth in self._azimuths
        )

    @cached_property
    def lowest_tangent(self) -> float:
        """Tangent of the lamp's lowest elevation, seen from the sheet."""
        right, up, off = self.lamp.direction
        if self.lamp.distance_mm is None:
            return off / max(math.hypot(right, up), 1e-9)
        x, y = (self.width_px * self.pixel_mm / 2, self.height_px * self.pixel_mm / 2)
        far = self.lamp.distance_mm
        return min(
            far * off / max(math.hypot(far * right - sx * x, far * up - sy * y), 1e-9)
            for sx in (-1, 1)
            for sy in (-1, 1)
        )

    def places(self, y0: int, y1: int) -> tuple[np.ndarray, np.ndarray]:
        """mm to the right of the middle (1, columns) and above it (rows, 1), float32."""
        x = (np.arange(self.width_px, dtype=np.float32) + 0.5 - self.width_px / 2) * self.pixel_mm
        y = (self.height_px / 2 - np.arange(y0, y1, dtype=np.float32) - 0.5) * self.pixel_mm
        return x[None, :].astype(np.float32), y[:, None].astype(np.float32)

    def _wrapped(self, tile: np.ndarray, y0: int, y1: int) -> np.ndarray:
        """The tile's copies under rows y0 to y1."""
        rows = np.arange(y0, y1) % tile.shape[0]
        columns = np.arange(self.width_px) % tile.shape[1]
        return tile.take(rows, axis=0).take(columns, axis=1)

    def _lit(self, light, x, y, y0: int, y1: int):
        """Share of the lamp that each pixel sees past the relief."""
        if not self.horizons:
            return None
        right, up, off = light
        tangent = off / np.maximum(np.hypot(right, up), 1e-6)
        half = self.lamp.half_angle
        if len(self.horizons) == 1:
            return lit_share(tangent, self._wrapped(self.horizons[0], y0, y1), half)
        turn = np.degrees(np.arctan2(up, right)).astype(np.float32)
        first, last = self._azimuths[0], self._azimuths[-1]
        turn = (turn - np.float32(first)) % 360 if last - first < 359 else turn % 360
        place = turn * np.float32((len(self._azimuths) - 1) / (last - first))
        # just outside by rounding
        place = np.where(place > len(self._azimuths), 0, np.minimum(place, len(self._azimuths) - 1))
        lit: np.ndarray | float = 0.0
        for number, horizon in enumerate(self.horizons):
            weight = np.maximum(1 - np.abs(place - np.float32(number)), 0)
            if weight.any():
                lit = lit + weight * lit_share(tangent, self._wrapped(horizon, y0, y1), half)
        return lit

    def factors(self, y0: int, y1: int, alpha=None) -> tuple[np.ndarray, np.ndarray]:
        """Diffuse and glossy factor of rows y0 to y1.

        Parameters
        ----------
        alpha : (rows, columns) roughness of each pixel's gloss; by default the surface's.

        Returns
        -------
        (diffuse, glossy), (rows, columns) float32 each.  A colour that the profile says sends
        back the share R is seen at (R − measured glossy) · diffuse + glossy.  Both are over
        the illuminance on the flat sheet's middle.
        """
        tile, lamp = self.tile, self.lamp
        x, y = self.places(y0, y1)
        light, strength = lamp.seen_from(x, y)
        eye = eye_from(self.eye_mm, x, y)
        p, q = (self._wrapped(each, y0, y1) for each in (tile.right, tile.up))
        inverse = 1 / np.sqrt(1 + p * p + q * q)
        n_l = (light[2] - p * light[0] - q * light[1]) * inverse
        n_v = (eye[2] - p * eye[0] - q * eye[1]) * inverse
        l_v = light[0] * eye[0] + light[1] * eye[1] + light[2] * eye[2]
        # the half-way vector's length is √(2 + 2 l·v)
        longer = np.sqrt(np.maximum(2 + 2 * l_v, 1e-6))
        n_h = (n_l + n_v) / longer
        l_h = longer / 2
        at_middle = lamp.direction[2]
        gain = strength * ((1 - lamp.ambient) / at_middle)
        lit = self._lit(light, x, y, y0, y1)
        if lit is not None:
            gain = gain * lit
        measured = self.measured[0]
        diffuse = oren_nayar(n_l, n_v, l_v, facet_angle(tile.alpha))
        diffuse = diffuse * through_surface(n_l, n_v) * (gain / measured)
        if lamp.ambient:
            # an even sky over a tilted piece, the rest being the sheet itself, dark
            diffuse = diffuse + lamp.ambient * (1 + inverse) / 2
        rough = tile.alpha if alpha is None else alpha
        rough = np.maximum(np.sqrt(rough * rough + self.lamp_alpha**2), _LEAST_ALPHA)
        glossy = ggx(n_l, n_v, n_h, l_h, rough) * (gain * self.gloss)
        if lamp.ambient:
            glossy = glossy + lamp.ambient * self.measured[1]
        shape = (y1 - y0, self.width_px)
        return (
            np.broadcast_to(np.asarray(diffuse, np.float32), shape),
            np.broadcast_to(np.asarray(glossy, np.float32), shape),
        )
