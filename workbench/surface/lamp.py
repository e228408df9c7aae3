"""A lamp over a sheet, and from where the sheet is looked at."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from workbench.language import tr
from workbench.numbers import number


@dataclass(frozen=True)
class Lamp:
    """One round lamp and the room's even light.

    Attributes
    ----------
    azimuth_deg : from where its light comes, seen from above: 0 from the right, 90 from the
        upper edge, 180 from the left.
    elevation_deg : its height above the sheet at the sheet's middle, 1 to 90.
    distance_mm : from the sheet's middle, 100 and up; None for one so far that its light is
        parallel.
    size_mm : its diameter; with parallel light that of a lamp at 1 m.
    ambient : share of the light at the sheet's middle that comes from everywhere, 0 to 1.

    Raises
    ------
    WorkbenchError
        for values out of range.

    Examples
    --------
    >>> [round(each, 3) for each in wb.Lamp(azimuth_deg=90, elevation_deg=60).direction]
    [0.0, 0.5, 0.866]
    """

    azimuth_deg: float = 135.0
    elevation_deg: float = 45.0
    distance_mm: float | None = None
    size_mm: float = 20.0
    ambient: float = 0.0

    def __post_init__(self):
        number(self.azimuth_deg, tr("lamp's azimuth"), low=-360, high=360, unit=tr("degrees"))
        number(self.elevation_deg, tr("lamp's height"), low=1, high=90, unit=tr("degrees"))
        if self.distance_mm is not None:
            number(self.distance_mm, tr("lamp's distance"), low=100, high=1e5, unit="mm")
        number(self.size_mm, tr("lamp's size"), low=0, high=2000, unit="mm")
        number(self.ambient, tr("share of even light"), low=0, high=1)

    @property
    def direction(self) -> tuple[float, float, float]:
        """Unit vector from the sheet's middle to the lamp: to the right, upwards, off the sheet."""
        a, e = math.radians(self.azimuth_deg), math.radians(self.elevation_deg)
        return math.cos(e) * math.cos(a), math.cos(e) * math.sin(a), math.sin(e)

    @property
    def half_angle(self) -> float:
        """Half the angle in radians under which the sheet's middle sees it."""
        return math.atan(self.size_mm / 2 / (self.distance_mm or 1000.0))

    def seen_from(self, x, y) -> tuple:
        """Direction to the lamp and strength of its light at places on the sheet.

        Parameters
        ----------
        x, y : mm to the right of the middle and above it, arrays that broadcast.

        Returns
        -------
        (three components, strength): arrays like ``x`` and ``y`` together, or numbers for
        parallel light.  The strength is the illuminance on a plane facing the lamp, over
        that at the middle.
        """
        if self.distance_mm is None:
            return self.direction, 1.0
        far = np.float32(self.distance_mm)
        dx, dy, dz = (far * np.float32(each) for each in self.direction)
        right, up = dx - x, dy - y
        inverse = 1 / np.sqrt(right * right + up * up + dz * dz)
        strength = np.square(far * inverse)
        return (right * inverse, up * inverse, dz * inverse), strength


def eye_from(distance_mm: float | None, x, y) -> tuple:
    """Direction from places on the sheet to an eye above its middle; straight up for None."""
    if distance_mm is None:
        return 0.0, 0.0, 1.0
    inverse = 1 / np.sqrt(x * x + y * y + np.float32(distance_mm) ** 2)
    return -x * inverse, -y * inverse, np.float32(distance_mm) * inverse
