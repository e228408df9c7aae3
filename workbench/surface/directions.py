"""From where a lamp shone, told by a ball or the shadow of a pin in the photographs.

Directions are unit vectors: to the right, upwards, off the sheet.  The camera looks straight
down from so far that its lines of sight are taken as parallel.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from workbench.errors import WorkbenchError
from workbench.language import tr


@dataclass(frozen=True)
class Ball:
    """A ball that lies on the sheet: its middle and radius in pixels of the photographs.

    ``shiny`` mirrors the lamp as one bright spot; a matte one is shaded by the cosine.
    """

    x_px: float
    y_px: float
    radius_px: float
    shiny: bool = True


@dataclass(frozen=True)
class Pin:
    """An upright pin: its foot in pixels, its height, and the tip of its shadow in each photograph."""

    x_px: float
    y_px: float
    height_mm: float
    tips_px: tuple[tuple[float, float], ...]


def given_directions(directions) -> np.ndarray:
    """(n, 3) unit vectors from such vectors, or from (azimuth, elevation) in degrees."""
    try:
        given = np.asarray(directions, float)
    except (TypeError, ValueError):
        given = np.empty(0)
    if given.ndim != 2 or given.shape[1] not in (2, 3) or not np.isfinite(given).all():
        raise WorkbenchError(
            tr(
                "Lamp directions are a list with an azimuth and an elevation in degrees, or three "
                "components, for each photograph."
            )
        )
    if given.shape[1] == 2:
        azimuth, elevation = np.radians(given).T
        given = np.stack(
            [np.cos(elevation) * np.cos(azimuth), np.cos(elevation) * np.sin(azimuth), np.sin(elevation)],
            axis=1,
        )  # fmt: skip
    length = np.linalg.norm(given, axis=1, keepdims=True)
    if (length < 1e-9).any() or (given[:, 2:] / length < 0.02).any():
        raise WorkbenchError(
            tr("A lamp stands above the sheet: its elevation is more than 1 degree.")
        )
    return given / length


def directions_by_pin(pin: Pin, mm_per_px: float) -> np.ndarray:
    """(n, 3) unit vectors: the lamp stands opposite the shadow, as high as pin over shadow."""
    found = []
    for x, y in pin.tips_px:
        right, up = (pin.x_px - x) * mm_per_px, (y - pin.y_px) * mm_per_px
        found.append((right, up, pin.height_mm))
    return given_directions(found)


def direction_by_ball(light: np.ndarray, ball: Ball) -> np.ndarray:
    """(3,) unit vector from one photograph's linear light.

    Parameters
    ----------
    light : (rows, columns) of the whole photograph.

    Raises
    ------
    WorkbenchError
        for a ball that is not in the picture, or one without a bright side.
    """
    rows, columns = light.shape
    r = ball.radius_px
    inside = r <= ball.x_px <= columns - r and r <= ball.y_px <= rows - r
    if r < 4 or not inside:
        raise WorkbenchError(
            tr(
                "The ball must lie wholly in the photographs, with a radius of at least 4 pixels; "
                "mark its middle and its edge again."
            )
        )
    y0, x0 = math.floor(ball.y_px - r), math.floor(ball.x_px - r)
    piece = light[y0 : y0 + math.ceil(2 * r) + 1, x0 : x0 + math.ceil(2 * r) + 1]
    y, x = np.mgrid[y0 : y0 + piece.shape[0], x0 : x0 + piece.shape[1]]
    right, up = (x + 0.5 - ball.x_px) / r, (ball.y_px - y - 0.5) / r
    off = np.sqrt(np.maximum(1 - right**2 - up**2, 0))
    on = right**2 + up**2 < 0.96
    top = float(piece[on].max())
    if top <= 0:
        raise WorkbenchError(tr("The ball is black in a photograph; light it, or mark it again."))
    if ball.shiny:
        spot = on & (piece > 0.8 * top)
        n = np.array([right[spot].mean(), up[spot].mean(), 0.0])
        n[2] = math.sqrt(max(1 - n[0] ** 2 - n[1] ** 2, 0))
        found = 2 * n[2] * n - np.array([0, 0, 1.0])
    else:
        lit = on & (piece > 0.15 * top)
        normals = np.stack([right[lit], up[lit], off[lit]], axis=1)
        found = np.linalg.lstsq(normals, piece[lit], rcond=None)[0]
    return given_directions(found[None])[0]
