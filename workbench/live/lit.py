"""What a live view needs for a lamp over its sheet: the relief at a scale, and what it shines on.

The arithmetic is that of `workbench.analysis.relit`, which the page's is held against.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from functools import lru_cache

import numpy as np

from workbench.analysis.glass import Glass, find_glass
from workbench.analysis.relit import Window, glass_through, gloss_share
from workbench.colour.lab import luminance_factor
from workbench.live.tables import LiveScene
from workbench.paper import Paper
from workbench.picture.kept import kept_while_open
from workbench.surface.lamp import Lamp
from workbench.surface.relief import Surface
from workbench.surface.resampled import tile_at
from workbench.surface.sheet import surface_of

_STEPS = 65535


@dataclass(frozen=True, eq=False)
class LitRelief:
    """A relief as a page takes it.

    Attributes
    ----------
    codes : (rows, columns, 3) uint16: height, slope to the right and slope upwards, each as
        steps of ``step`` from ``low`` (three numbers each; mm, and mm to a mm).
    pitch_mm : of its texels, the shown picture's pixel on the sheet.
    alpha : its roughness with the slopes that are finer.
    steepest : its steepest slope.
    """

    codes: np.ndarray = field(repr=False)
    low: tuple[float, float, float]
    step: tuple[float, float, float]
    pitch_mm: float
    alpha: float
    steepest: float

    def facts(self) -> dict:
        """All but the texels, as `LiveEngine.setRelief` of the page names them."""
        return {
            "low": list(self.low),
            "step": list(self.step),
            "pitch": self.pitch_mm,
            "alpha": self.alpha,
            "steepest": self.steepest,
            "rise": self.step[0] * _STEPS if self.codes[..., 0].any() else 0.0,
        }


@kept_while_open(maxsize=12)
def lit_relief(surface: Surface, pixel_mm: float) -> LitRelief:
    """A surface's relief at the pitch of a shown picture's pixels; the same object each time.

    Parameters
    ----------
    surface : from `surface_of`.
    pixel_mm : a shown pixel on the sheet, mm.

    Examples
    --------
    >>> relief = lit_relief(wb.surface_of_kind("canvas"), 0.25)
    >>> relief.codes.shape, relief.codes.dtype.name
    ((164, 164, 3), 'uint16')
    """
    tile = tile_at(surface, round(pixel_mm, 6))
    values = np.stack([tile.height_mm, tile.right, tile.up], axis=-1).astype(np.float64)
    low = values.min(axis=(0, 1))
    step = np.maximum(np.ptp(values, axis=(0, 1)), 1e-12) / _STEPS
    codes = np.rint((values - low) / step).astype(np.uint16)
    codes.flags.writeable = False
    return LitRelief(
        codes,
        tuple(low.tolist()),
        tuple(step.tolist()),
        tile.pitch_mm,
        tile.alpha,
        float(np.hypot(tile.right, tile.up).max()),
    )


def lit_scene(
    scene: LiveScene,
    paper: Paper,
    lamp: Lamp | None = None,
    *,
    width_mm: float,
    surface: Surface | None = None,
    eye_mm: float | None = None,
    ink_alpha: float | None = None,
    glass=None,
    window: Window | None = None,
    eye_blur_mm: float = 0.0,
) -> LiveScene:
    """A live view's scene with a lamp over it, which the page then moves by itself.

    Parameters
    ----------
    scene : from `live_scene`, of the same paper.
    lamp .. window : as for `relit_proof`.
    width_mm : of the shown picture on the sheet.
    eye_blur_mm : as for `relight`.

    Returns
    -------
    A LiveScene, its ``relief`` a function that gives the relief at any scale that is not finer
    than its own.

    Raises
    ------
    WorkbenchError
        for a glass that is not known.

    Examples
    --------
    >>> from workbench.live.tables import live_scene
    >>> flat = live_scene(picture.require_profile(), picture.preview(60), papers[4])
    >>> lit = lit_scene(flat, papers[4], wb.Lamp(180, 12), width_mm=120)
    >>> lit.uniforms["lamp_elevation_deg"], lit.relief(2.0).pitch_mm
    (12, 2.0)
    """
    surface = surface or surface_of(paper)
    found = find_glass(glass)
    uniforms = {
        "lamp": True,
        **lamp_uniforms(lamp or Lamp()),
        "glossShare": gloss_share(paper, surface),
        "inkAlpha": ink_alpha or 0.0,
        "paperY": float(luminance_factor(paper.white_lab[0])),
        "glass": found and _behind(found),
        "window": window
        and [window.left, window.top, window.right, window.bottom, window.brightness],
        "eyeMm": eye_mm or 0.0,
        "eyeBlurMm": eye_blur_mm,
        "widthMm": width_mm,
    }
    return replace(
        scene,
        uniforms=scene.uniforms | uniforms,
        # finer than it is known there is nothing to see; the page draws between its texels
        relief=lambda pixel_mm: lit_relief(surface, max(pixel_mm, surface.pitch_mm)),
    )


@lru_cache(maxsize=8)
def _behind(glass: Glass) -> dict:
    return {
        # what crosses it from a lamp at each degree above the sheet
        "into": [glass.sheet(90 - degrees)[1] for degrees in range(91)],
        "out": glass_through(glass),
        "mirror": glass.reflectance,
    }


def lamp_uniforms(lamp: Lamp) -> dict:
    """A lamp as the page's uniforms have it; they are named as the decisions are."""
    return {
        "lamp_azimuth_deg": lamp.azimuth_deg,
        "lamp_elevation_deg": lamp.elevation_deg,
        "lamp_size_cm": lamp.size_mm / 10,
        "lamp_distance_m": (lamp.distance_mm or 0.0) / 1000,
        "even_light": lamp.ambient,
    }
