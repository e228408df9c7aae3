"""Where a print hangs, and how its colours appear there.

A print is judged in D50, 500 lux, a grey surround, without glass (ISO 3664's P2); what another
light, wall and glass make of it CIECAM16 tells.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from workbench.analysis.appearance import (
    Appearance,
    Conditions,
    appearance,
    conditions_at,
    in_light,
    xyz_appearing,
)
from workbench.analysis.glass import (
    PICTURE_REFLECTANCE,
    Glass,
    behind_words,
    find_glass,
    light_path,
)
from workbench.analysis.light import Light, find_light, usual_room_share
from workbench.colour.lab import D50_XYZ, lab_to_xyz, xyz_to_lab
from workbench.decisions import BRIGHTEST_LUX
from workbench.errors import WorkbenchError
from workbench.files.text import clean_text
from workbench.language import tr
from workbench.numbers import number


@dataclass(frozen=True)
class Place:
    """Where a print hangs.

    Attributes
    ----------
    light : its colour, see `find_light`.
    illuminance_lux : on the print, in front of its glass; 1 to 200,000.
    wall_reflectance : luminance factor of the wall, 0.01 to 0.95.
    mount_reflectance : of the mount around the picture; None for none.
    wall_light : the wall's illuminance over the print's: 1 where the room lights both.
    glass : a name of `workbench.analysis.glass.GLASSES`, a `Glass`, or None.
    veil_share : luminance of what glass or gloss mirrors towards the eye, over that of a
        perfect white in the print's light; 0 to 10; by default `usual_room_share`.
    distance_mm : from the eye.

    Raises
    ------
    WorkbenchError
        for values out of range and lights and glasses that are not known.

    Examples
    --------
    >>> wb.Place("3000 K", 150, glass="plain").surround_ratio
    0.5
    """

    light: Light | str | float = "gallery"
    illuminance_lux: float | None = None
    wall_reflectance: float = 0.5
    mount_reflectance: float | None = None
    wall_light: float = 1.0
    glass: Glass | str | None = None
    veil_share: float | None = None
    distance_mm: float = 1000.0

    def __post_init__(self):
        light = find_light(self.light)
        lux = light.illuminance_lux if self.illuminance_lux is None else self.illuminance_lux
        if lux is None:
            raise WorkbenchError(tr("The place's illuminance is not known; measure it or type it."))
        number(lux, tr("illuminance"), low=1, high=BRIGHTEST_LUX, unit="lux")
        veil = self.veil_share
        if veil is None:
            veil = usual_room_share(light, find_glass(self.glass))
        number(veil, tr("veiling light"), low=0, high=10)
        number(self.wall_reflectance, tr("wall's reflectance"), low=0.01, high=0.95)
        if self.mount_reflectance is not None:
            number(self.mount_reflectance, tr("mount's reflectance"), low=0.01, high=0.95)
        number(self.wall_light, tr("wall's share of the light"), low=0, high=2)
        number(self.distance_mm, tr("viewing distance"), low=50, high=1e5, unit="mm")
        find_glass(self.glass)
        for name, value in (("light", light), ("illuminance_lux", lux), ("veil_share", veil)):
            object.__setattr__(self, name, value)

    @property
    def words(self) -> str:
        """Which place it is, such as "the wall at 60 lux (2700 K, behind plain glass)"."""
        assert isinstance(self.light, Light) and self.illuminance_lux is not None
        glass = find_glass(self.glass)
        light = self.light.label if glass is None else f"{self.light.label}, {behind_words(glass)}"
        return clean_text(
            tr("the wall at {lux:.4g} lux ({light})", lux=self.illuminance_lux, light=light)
        )

    @property
    def surround_ratio(self) -> float:
        """Luminance of the wall over that of a perfect white in the print's light."""
        return self.wall_reflectance * self.wall_light

    @property
    def conditions(self) -> Conditions:
        """For the appearance model.  What lies behind a detail is half the picture and half
        what frames it, mount or wall (our choice: the model asks for one number)."""
        frame = self.surround_ratio if self.mount_reflectance is None else self.mount_reflectance
        assert isinstance(self.light, Light) and self.illuminance_lux is not None
        return conditions_at(
            self.light.white_xyz,
            self.illuminance_lux,
            (PICTURE_REFLECTANCE + frame) / 2,
            self.surround_ratio,
        )


#: What a plan decides of a place.
PLACE_TRAITS = ("illuminance_lux", "light", "glass", "room_share", "wall_reflectance")


def place_of(plan: Any) -> Place:
    """Where a plan's print hangs.

    Parameters
    ----------
    plan : a Plan, or anything with attributes named like its decisions about light.

    Raises
    ------
    WorkbenchError
        for what cannot be, and where the illuminance is not known.

    Examples
    --------
    >>> place_of(plan).illuminance_lux
    500.0
    """
    return Place(
        plan.light,
        plan.illuminance_lux,
        wall_reflectance=plan.wall_reflectance,
        glass=plan.glass or None,
        veil_share=plan.room_share,
    )


#: How a print is judged: ISO 3664's P2 before a grey wall of 20 % (by secondary sources).
JUDGED = Place("ISO 3664 P2", 500.0, wall_reflectance=0.2, wall_light=1.05, veil_share=0.0)


@dataclass(frozen=True, eq=False)
class Hanging:
    """One paper's print in one place: from printed colours to how they appear."""

    place: Place
    paper_xyz: np.ndarray
    surface_mirror: float = 0.0

    @cached_property
    def _path(self) -> tuple[float, float]:
        return light_path(find_glass(self.place.glass), surface_mirror=self.surface_mirror)

    def appearance(self, lab_relative) -> Appearance:
        """How (..., 3) media-relative Lab of the print appear."""
        xyz = lab_to_xyz(lab_relative) * (self.paper_xyz / D50_XYZ)
        signal, mirror = self._path
        xyz = signal * xyz + mirror * (self.place.veil_share or 0.0) * D50_XYZ
        assert isinstance(self.place.light, Light)
        return appearance(in_light(xyz, self._light), self.place.conditions)

    @property
    def _light(self) -> np.ndarray:
        assert isinstance(self.place.light, Light)
        white = self.place.light.white_xyz
        # D50 is rounded differently in standards; no print sees the difference
        return D50_XYZ if np.abs(white - D50_XYZ).max() < 1e-3 else white

    def brought_here(self, seen: Appearance) -> np.ndarray:
        """(..., 3) media-relative Lab that appear here as those do elsewhere."""
        xyz = xyz_appearing(seen.J, seen.M, seen.h, self.place.conditions)
        return xyz_to_lab(np.maximum(xyz, 0) / (self.paper_xyz / D50_XYZ))
