"""How high a relief's own horizon stands, seen along the sheet towards a lamp.

A place lies in shadow where the horizon in the lamp's direction is higher than the lamp
(horizon mapping; N. L. Max, "Horizon mapping: shadows for bump-mapped surfaces", 1988).
"""

from __future__ import annotations

import math

import numpy as np

_MOST_STEPS = 200


def horizon_tangent(
    height_mm: np.ndarray, pitch_mm: float, azimuth_deg: float, least_tangent: float = 0.0
) -> np.ndarray:
    """Tangent of the horizon's elevation at each place of a relief whose edges fit.

    Parameters
    ----------
    height_mm : (rows, columns) heights, first row at the top.
    azimuth_deg : in which direction, as for `Lamp`.
    least_tangent : lower horizons than this need not be right, which saves looking far.

    Returns
    -------
    (rows, columns) float32, 0 where nothing stands higher.
    """
    height = np.asarray(height_mm, np.float32)
    right, up = math.cos(math.radians(azimuth_deg)), math.sin(math.radians(azimuth_deg))
    # one pixel at a time along the axis that is nearer, so that only the other is interpolated
    along = 1 if abs(right) >= abs(up) else 0
    longer = max(abs(right), abs(up))
    step_mm = pitch_mm / longer
    sign = (1 if right >= 0 else -1) if along else (-1 if up >= 0 else 1)
    slant = (-up if along else right) / longer
    reach = float(np.ptp(height)) / max(least_tangent, 1e-6) / step_mm
    steps = min(math.ceil(reach), _MOST_STEPS, height.shape[along] - 1)
    highest = np.zeros_like(height)
    for step in range(1, steps + 1):
        across = step * slant
        whole = math.floor(across)
        part = np.float32(across - whole)
        there = np.roll(height, -sign * step, along)
        near = np.roll(there, -whole, 1 - along)
        if part > 1e-6:
            near = near + part * (np.roll(there, -whole - 1, 1 - along) - near)
        near = (near - height) / np.float32(step * step_mm)
        np.maximum(highest, near, out=highest)
    return highest


def lit_share(lamp_tangent, horizon, half_angle: float):
    """Share of a lamp that stands above the horizon, 0 to 1.

    Parameters
    ----------
    lamp_tangent : of the elevation of its middle, an array or a number.
    horizon : tangents from `horizon_tangent`.
    half_angle : of the lamp, radians; as for a strip as high as the lamp.
    """
    # a width in tangents: the derivative of the tangent is 1 + tan²
    width = (1 + lamp_tangent * lamp_tangent) * np.float32(2 * max(half_angle, 1e-3))
    return np.clip((lamp_tangent - horizon) / width + np.float32(0.5), 0, 1)
