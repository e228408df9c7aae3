"""Light to see prints in: illuminants, colour temperatures, viewing conditions, places."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from workbench.analysis.cct import (
    COOLEST_K,
    ILLUMINANTS,
    WARMEST_K,
    cct_mccamy_k,
    cct_to_xy,
    duv,
)
from workbench.analysis.targets import TARGETS, Target
from workbench.analysis.words import COMMON_PRACTICE
from workbench.errors import WorkbenchError
from workbench.language import DECIMAL, tr, with_points
from workbench.numbers import number

__all__ = ["COOLEST_K", "ILLUMINANTS", "MUSEUM_LUX", "PLACES", "ROOM_SHARE", "TARGETS",
           "VIEWING_CONDITIONS", "WARMEST_K", "Light", "Target", "find_light", "light_caution",
           "light_names", "usual_room_share"]  # fmt: skip

# What glass mirrors where nothing is known of the room: a quarter of what a white sheet in the
# print's place would send out (common practice, no source).
ROOM_SHARE = 0.25
# beyond this distance from the Planckian locus a colour temperature means nothing (CIE 15:2018)
_FARTHEST_DUV = 0.05
# fading: what museums keep light-sensitive works to (common practice; CIE 157:2004 from memory)
MUSEUM_LUX = (50.0, 200.0)


@dataclass(frozen=True)
class Light:
    """A light that prints are seen in.

    Attributes
    ----------
    name : as a person would say it.
    white_xy : chromaticity, CIE 1931, 2 degrees.
    illuminance_lux : what is usual there, or None where the name says only the colour.
    illuminance_range_lux : from and to, or None.
    room_share : luminance of what a glossy surface mirrors towards the viewer, as a share
        of the luminance a perfectly white sheet would have in the print's place; None where
        nothing is known of the room.
    purpose, source : what it is for, and where its numbers come from.
    """

    name: str
    white_xy: tuple[float, float]
    illuminance_lux: float | None = None
    illuminance_range_lux: tuple[float, float] | None = None
    room_share: float | None = None
    purpose: str = ""
    source: str = ""

    @property
    def label(self) -> str:
        """Its name as it is read."""
        return _LABELS.get(self.name) or self.name.replace(".", DECIMAL)

    @property
    def words(self) -> str:
        """Its name in a sentence, such as “gallery light”."""
        if self.name.startswith("x ") or self.name.endswith("light"):
            return self.label
        return _WORDS.get(self.name) or tr("{name} light", name=self.label)

    @property
    def cct_k(self) -> float:
        """Correlated colour temperature in kelvin."""
        return cct_mccamy_k(self.white_xy)

    @property
    def white_xyz(self) -> np.ndarray:
        """XYZ of the light on a perfect diffuser, Y = 1."""
        x, y = self.white_xy
        return np.array([x / y, 1.0, (1 - x - y) / y])


_SECONDARY = tr("by secondary sources (the edition of 2025 was not seen)")

VIEWING_CONDITIONS: dict[str, Light] = {
    light.name: light
    for light in (
        Light(
            "ISO 3664 P1",
            ILLUMINANTS["D50"],
            2000.0,
            (1500.0, 2500.0),
            0.0,
            tr("comparing prints critically with each other or with an original"),
            tr(
                "ISO 3664:2009, {secondary}; its geometry keeps mirrored light away",
                secondary=_SECONDARY,
            ),
        ),
        Light(
            "ISO 3664 P2",
            ILLUMINANTS["D50"],
            500.0,
            (375.0, 625.0),
            0.0,
            tr("judging a print's tones as in practical use"),
            tr(
                "ISO 3664:2009, {secondary}; its geometry keeps mirrored light away",
                secondary=_SECONDARY,
            ),
        ),
    )
}


def _place(name, kelvin, lux, lux_range, share, purpose, source) -> Light:
    return Light(name, cct_to_xy(kelvin), lux, lux_range, share, purpose, source)


PLACES: dict[str, Light] = {
    light.name: light
    for light in (
        _place(
            "museum",
            3000,
            50.0,
            (50.0, 50.0),
            0.15,
            tr("works on paper that fade; spotlights in a dim room"),
            tr(
                "50 lux: common practice of museums (CIE 157:2004, from memory); the rest common "
                "practice, no source"
            ),
        ),
        _place(
            "gallery",
            3000,
            200.0,
            (100.0, 300.0),
            0.15,
            tr("spotlights on the wall of a dim room"),
            COMMON_PRACTICE,
        ),
        _place(
            "living room",
            2700,
            100.0,
            (50.0, 200.0),
            0.4,
            tr("lamps in the evening; by day a window gives more"),
            COMMON_PRACTICE,
        ),
        _place(
            "office",
            4000,
            500.0,
            (300.0, 500.0),
            0.5,
            tr("ceiling lights over desks; walls are often dimmer"),
            tr(
                "500 lux at the desk: EN 12464-1, by secondary sources; the rest common practice, no "
                "source"
            ),
        ),
        _place(
            "daylight",
            6500,
            1000.0,
            (500.0, 3000.0),
            0.4,
            tr("near a window, out of the sun; a window mirrored in the glass is far worse"),
            COMMON_PRACTICE,
        ),
    )
}

_LABELS = {
    "museum": tr("museum"),
    "gallery": tr("gallery"),
    "living room": tr("living room"),
    "office": tr("office"),
    "daylight": tr("daylight"),
}
_WORDS = {
    "museum": tr("museum light"),
    "gallery": tr("gallery light"),
    "living room": tr("living room light"),
    "office": tr("office light"),
}

_BY_NAME = {name.casefold(): name for name in (*ILLUMINANTS, *VIEWING_CONDITIONS, *PLACES)}


def light_names() -> tuple[str, ...]:
    """Every name that `find_light` knows: places, viewing conditions, illuminants."""
    return (*PLACES, *VIEWING_CONDITIONS, *ILLUMINANTS)


def find_light(light) -> Light:
    """A light from what a person says of it.

    Parameters
    ----------
    light : a name (see `light_names`; capitals do not matter), a colour temperature in
        kelvin (2000 to 10000, a number or a text such as "3000 K"), a measured
        chromaticity (x, y), or a Light.

    Raises
    ------
    WorkbenchError
        for anything else, with the names to choose from.
    """
    if isinstance(light, Light):
        return light
    if isinstance(light, (tuple, list, np.ndarray)):
        return _measured_light(light)
    if isinstance(light, str):
        text = light.strip()
        name = _BY_NAME.get(text.casefold())
        if name in ILLUMINANTS:
            return Light(name, ILLUMINANTS[name], source=tr("CIE 15:2018"))
        if name is not None:
            return VIEWING_CONDITIONS.get(name) or PLACES[name]
        bare = with_points(text.removesuffix("K").removesuffix("k").strip())
        if not bare.replace(".", "", 1).isdigit():
            raise WorkbenchError(
                tr(
                    "“{text}” is not a light known here; give a colour temperature such as 3000, "
                    "or one of: {listed}.",
                    text=text,
                    listed=", ".join(light_names()),
                )
            )
        light = bare
    xy = cct_to_xy(light)
    return Light(
        f"{float(light):g} K",
        xy,
        source=tr("black body up to 4000 K, daylight from 5000 K, mixed between (IES TM-30-18)"),
    )


def _measured_light(xy) -> Light:
    if len(xy) != 2:
        raise WorkbenchError(tr("A measured light is given as two numbers, x and y."))
    x = number(xy[0], tr("light's x"), low=0.2, high=0.6)
    y = number(xy[1], tr("light's y"), low=0.2, high=0.6)
    if abs(duv((x, y))) > _FARTHEST_DUV:
        raise WorkbenchError(
            tr(
                "Light of x {x:.3f}, y {y:.3f} is coloured, not white; prints cannot be judged "
                "in it. Check the two numbers.",
                x=x,
                y=y,
            )
        )
    return Light(f"x {x:.4f}, y {y:.4f}", (x, y), source=tr("measured"))


def usual_room_share(light, glass) -> float:
    """What glass and gloss mirror where nobody has said it, over a white sheet in the print's place.

    Parameters
    ----------
    light : as for `find_light`; a place or a viewing condition has a share of its own.
    glass : before the print; None or "" for none.

    Returns
    -------
    The light's own share; else a quarter behind glass, and nothing without glass.

    Raises
    ------
    WorkbenchError
        for a light that is not known.

    Examples
    --------
    >>> usual_room_share("3000 K", "plain"), usual_room_share("3000 K", ""), usual_room_share("gallery", "")
    (0.25, 0.0, 0.15)
    """
    own = find_light(light).room_share
    if own is not None:
        return own
    return ROOM_SHARE if glass else 0.0


def light_caution(illuminance_lux: float) -> str | None:
    """A word on fading where the light is brighter than museums allow; otherwise None.

    50 to 200 lux for light-sensitive works is common practice of museums (CIE 157:2004,
    from memory); what a given print bears depends on its inks, paper and hours of light.
    """
    if illuminance_lux <= MUSEUM_LUX[1]:
        return None
    return tr(
        "Prints fade in light, and faster in {illuminance_lux:,.0f} lux than in the "
        "{low:.0f} to {high:.0f} lux that museums keep light-sensitive "
        "works to; ultraviolet adds to it. For a valuable print that hangs for long, "
        "ask a conservator.",
        illuminance_lux=illuminance_lux,
        low=MUSEUM_LUX[0],
        high=MUSEUM_LUX[1],
    )
