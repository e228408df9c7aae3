"""The list whose last entry opens a field, driven without a browser."""

from __future__ import annotations

import pytest
from panel_helpers import choose

from workbench.panels import parts
from workbench.panels.parts.choice_or_typed import ChoiceOrTyped

OWN = "typed below"


@pytest.fixture
def heard():
    return []


@pytest.fixture
def control(heard):
    made = ChoiceOrTyped(
        parts.Front(),
        "Crop to",
        options=[("the whole picture", ""), ("square", "1:1"), ("3:2", "3:2")],
        help="Width to height",
        placeholder="7:5",
    )
    made.on_change(heard.append)
    return made


def type_in(control, text):
    control.typed.field.set_state({"value": text})


def test_a_usual_value_is_chosen_and_no_field_is_shown(control, heard):
    choose(control, "square")
    assert heard == ["1:1"]
    assert control.value == "1:1"
    assert not control.typed.visible


def test_the_last_entry_opens_a_field_and_says_nothing_yet(control, heard):
    choose(control, OWN)
    assert control.typed.visible
    assert heard == []
    type_in(control, "  7:5 ")
    assert heard == ["7:5"]
    assert control.value == "7:5"


def test_what_was_typed_is_there_again_after_another_choice(control, heard):
    choose(control, OWN)
    type_in(control, "7:5")
    choose(control, "3:2")
    assert not control.typed.visible
    choose(control, OWN)
    assert heard == ["7:5", "3:2", "7:5"]


def test_an_emptied_field_is_told_as_empty(control, heard):
    choose(control, OWN)
    type_in(control, "7:5")
    type_in(control, " ")
    assert heard[-1] == ""


@pytest.mark.parametrize(("value", "shown"), [("3:2", False), ("", False), ("8:3", True)])
def test_values_from_code_are_shown_and_not_told(control, heard, value, shown):
    control.value = value
    assert heard == []
    assert control.value == value
    assert control.typed.visible is shown


def test_a_value_that_cannot_be_chosen_by_accident_stands_for_typing(control, heard):
    # typing the label of the last entry is an ordinary text
    control.value = OWN
    assert control.value == OWN
    assert control.typed.visible


def test_other_names_for_the_same_values_keep_what_is_chosen(control, heard):
    renamed = [("everything", ""), ("1 to 1", "1:1"), ("3 to 2", "3:2")]
    choose(control, "square")
    control.replace(renamed)
    assert control.value == "1:1"
    assert control.choice.field.label == "1 to 1"
    choose(control, OWN)
    type_in(control, "7:5")
    control.replace(renamed)
    assert control.value == "7:5"
    assert control.typed.visible
    assert heard == ["1:1", "7:5"]


def test_both_have_a_name_and_help(control):
    assert control.choice.name == "Crop to"
    assert control.typed.name == "Crop to, typed"
    assert control.choice.field.tooltip == control.typed.field.tooltip == "Width to height"
    assert control.typed.field.placeholder == "7:5"
