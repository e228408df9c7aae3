"""A control for one thing that a person knows of a paper."""

from __future__ import annotations

from workbench.characteristics import CHARACTERISTICS, word_of
from workbench.language import tr
from workbench.panels import parts
from workbench.panels.parts.choice_or_typed import ChoiceOrTyped

_NOT_KNOWN = (tr("not known"), "")


def characteristic_control(front, key: str):
    """A list of the usual words with room for another, or a field to type in."""
    asked = CHARACTERISTICS[key]
    if asked.offered:
        options = [_NOT_KNOWN, *((word_of(each), each) for each in asked.offered)]
        return ChoiceOrTyped(
            front, asked.label, options=options, own=tr("another, typed below"), help=asked.hint
        )
    return parts.text(
        front, asked.label, unit=asked.unit, help=asked.hint, placeholder=asked.placeholder
    )
