"""The screen panel's knobs, labelled and explained."""

from __future__ import annotations

from workbench.analysis.glass import GLASSES
from workbench.analysis.light import ILLUMINANTS, PLACES, VIEWING_CONDITIONS, find_light
from workbench.panels import parts
from workbench.panels.parts.choice_or_typed import ChoiceOrTyped
from workbench.panels.parts.log_slider import LogNumber

#: no place known here has the plan's light, level and room
OWN = "\0own"
_KELVIN = (2700, 3000, 3500, 4000, 5000, 6500)
_KNOWN_AS = {"A": "lamp with a filament", "D50": "daylight for prints", "D65": "cool daylight"}


def places() -> dict[str, dict]:
    """Presets by name, each with the plan's traits that it sets."""
    return {
        name: {
            "illuminance_lux": light.illuminance_lux,
            "light": "D50" if name in VIEWING_CONDITIONS else f"{_nearest_k(light)} K",
            "room_share": light.room_share,
        }
        for name, light in {**PLACES, **VIEWING_CONDITIONS}.items()
    }


def _nearest_k(light) -> int:
    return min((*_KELVIN, 5000), key=lambda k: abs(k - light.cct_k))


def place_of(plan) -> str:
    """The preset whose light, level and room the plan has, or `OWN`."""
    for name, traits in places().items():
        if all(getattr(plan, trait) == value for trait, value in traits.items()):
            return name
    return OWN


def light_options() -> list[tuple[str, str]]:
    """(label, value) of lights to choose from; any other temperature may be typed."""
    named = []
    for name in ILLUMINANTS:
        known = f"{_KNOWN_AS[name]}, " if name in _KNOWN_AS else ""
        named.append((f"{name} ({known}{find_light(name).cct_k:.0f} K)", name))
    named.sort(key=lambda option: option[1] not in _KNOWN_AS)
    return [*((f"{kelvin} K", f"{kelvin} K") for kelvin in _KELVIN), *named]


class ScreenControls:
    """What they do is the panel's business."""

    def __init__(self, front):
        presets = [
            (f"{name[0].upper()}{name[1:]} ({traits['illuminance_lux']:,.0f} lux)", name)
            for name, traits in places().items()
        ]
        self.place = parts.choice(
            front, "Place", options=[("as set below", OWN), *presets],
            help="Sets light level, colour of light and mirrored room to what is usual there; "
            "common practice and standards, to be replaced by your own measurements",
        )  # fmt: skip
        self.glass = parts.choice(
            front, "Glass before the print",
            options=[("no glass", ""), *((_glass_label(name), name) for name in GLASSES)],
            help="Takes some light, and mirrors the room over the print",
        )  # fmt: skip
        self.lux = LogNumber(
            front, "Light on the print", value=500, min=20, max=5000, typed=(1, 200_000),
            unit="lux",
            help="Measured where the print hangs, in front of its glass, facing the room",
        )  # fmt: skip
        self.light = ChoiceOrTyped(
            front, "Colour of the light", options=light_options(), own="another temperature …",
            placeholder="such as 3200 K",
            help="A colour temperature from 2000 to 10000 K, or a CIE illuminant",
        )  # fmt: skip
        self.room = parts.slider(
            front, "Mirrored room", value=0, min=0, max=100,
            unit="% of a white sheet", typed=(0, 500),
            help="How bright the wall and windows opposite are that you see in glass and gloss: "
            "100 % is as bright as a white sheet held before the print",
        )  # fmt: skip
        self.screen = LogNumber(
            front, "Your screen's white", value=0, min=30, max=1000, typed=(0, 10_000),
            unit="cd/m², 0 if not known",
            help="As measured, or as set when the screen was calibrated",
        )  # fmt: skip
        self.contrast = parts.number(
            front, "Your screen's contrast", value=1000, min=0, max=10_000_000, step=50,
            unit=":1, 0 if not known",
            help="White over black; 1000 is usual for screens with a backlight (common practice, "
            "no source)",
        )  # fmt: skip
        self.sheet = parts.tick(
            front, "Show the check sheet here",
            help="Steps near black and near white, a ramp, and this paper's white",
        )  # fmt: skip
        self.folder = parts.text(
            front, "Folder for the check sheet", placeholder="a folder on this computer",
            help="The sheet is written there as one page for the browser, to fill the screen with",
        )  # fmt: skip


def _glass_label(name: str) -> str:
    label = name if name.endswith("acrylic") else f"{name} glass"
    return label[0].upper() + label[1:]
