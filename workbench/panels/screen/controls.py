"""The screen panel's choices: places, glass and lights."""

from __future__ import annotations

from workbench.analysis.glass import GLASS_WORDS, GLASSES
from workbench.analysis.light import (
    ILLUMINANTS,
    PLACES,
    VIEWING_CONDITIONS,
    find_light,
    usual_room_share,
)
from workbench.analysis.words import begin_large
from workbench.language import tr
from workbench.panels import parts
from workbench.panels.knobs import tied, told
from workbench.panels.parts.choice_or_typed import ChoiceOrTyped

#: no place known here has the plan's light, level and room
OWN = "\0own"
_KELVIN = (2700, 3000, 3500, 4000, 5000, 6500)
# in one: "Place" alone is that in an order elsewhere
PLACE, _AS_SET = tr("Place; as set below").split("; ")
_KNOWN_AS = {
    "A": tr("lamp with a filament"),
    "D50": tr("daylight for prints"),
    "D65": tr("cool daylight"),
}


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


def room_percent(plan) -> float:
    """What the knob of the mirrored room shows: what is counted with, also where nobody has set it."""
    share = plan.room_share
    return 100 * (usual_room_share(plan.light, plan.glass) if share is None else share)


def place_options() -> list[tuple[str, str]]:
    """(label, name) of places to choose from."""
    presets = [
        (
            tr(
                "{place} ({lux:,.0f} lux)",
                place=begin_large(find_light(name).label),
                lux=traits["illuminance_lux"],
            ),
            name,
        )
        for name, traits in places().items()
    ]
    return [(_AS_SET, OWN), *presets]


def glass_knob(owner):
    """The choice of the glass before the print."""
    label, help = told("glass")
    return tied(
        owner, parts.choice(owner.front, label, options=glass_options(), help=help), "glass"
    )


def light_knob(owner) -> ChoiceOrTyped:
    """The choice of the light on the print; other temperatures may be typed."""
    made = ChoiceOrTyped(
        owner.front, *told("light"), options=light_options(), own=tr("another temperature …"),
        placeholder=tr("such as 3200 K"),
    )  # fmt: skip
    return tied(owner, made, "light", to_plan=checked_light)


def glass_options() -> list[tuple[str, str]]:
    """(label, name) of what may stand before a print."""
    return [(tr("no glass"), ""), *((begin_large(GLASS_WORDS[name]), name) for name in GLASSES)]


def light_options() -> list[tuple[str, str]]:
    """(label, value) of lights to choose from; any other temperature may be typed."""
    named = []
    for name in ILLUMINANTS:
        kelvin = round(find_light(name).cct_k, -1)
        if known := _KNOWN_AS.get(name):
            label = tr("{name} ({known}, {kelvin:.0f} K)", name=name, known=known, kelvin=kelvin)
        else:
            label = tr("{name} ({kelvin:.0f} K)", name=name, kelvin=kelvin)
        named.append((label, name))
    named.sort(key=lambda option: option[1] not in _KNOWN_AS)
    return [*((f"{kelvin} K", f"{kelvin} K") for kelvin in _KELVIN), *named]


def checked_light(text: str) -> str:
    """The text if it names a light, else a WorkbenchError."""
    find_light(text)
    return text
