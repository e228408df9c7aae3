"""Rules of decisions that are more than a number, a word or a tick."""

from __future__ import annotations

import re

from workbench.decisions.decision import LONGEST_NOTE, NONE, Decision, as_number
from workbench.errors import PlanError
from workbench.files.text import clean_lines
from workbench.files.text import shown_value as shown
from workbench.language import tr, typed_list


def sharpening(decision: Decision, value):
    if value == NONE or value is None:
        return None
    if isinstance(value, str):
        if value == "auto":
            return value
        raise PlanError(
            tr(
                "“sharpening” is “auto”, “none” or a number 0 to 1, not {shown}.",
                shown=shown(value),
            )
        )
    return decision._number(value)


def distance(decision: Decision, value):
    # plans of before had 0 for the usual distance
    return decision._number(decision.default if as_number(value) == 0 else value)


def anything(decision: Decision, value):
    return value


def notes(decision: Decision, value) -> str:
    if not isinstance(value, str):
        raise PlanError(tr("“notes” takes text in quotes, not {shown}.", shown=shown(value)))
    if len(value) > LONGEST_NOTE:
        raise PlanError(
            tr(
                "“notes” is {count:,} characters long; {longest_note:,} is the most it takes.",
                count=len(value),
                longest_note=LONGEST_NOTE,
            )
        )
    return clean_lines(value)


_ROLL = re.compile(r"\d+(\.\d+)? ?(mm|cm|in)( roll)?")


def rolls(decision: Decision, value) -> str:
    rolls = typed_list(decision._text(value))
    for roll in rolls:
        if not _ROLL.fullmatch(roll):
            raise PlanError(
                tr(
                    "“{name}” takes widths with their unit and commas between them, such as 17 in, "
                    "61 cm; {shown} is not one.",
                    name=decision.name,
                    shown=shown(roll),
                )
            )
    return ", ".join(rolls)
