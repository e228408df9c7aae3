"""Everything a person decides about a print: one declaration each.

Limits, units, defaults and labels stand here and nowhere else.  The plan's traits, the
rules of plan files, the panels' knobs and the defaults of the analyses are made from
them, so that what one accepts no other refuses.
"""

from __future__ import annotations

from typing import Any

from workbench.decisions import colour, edition, file, light, printer, seeing, size
from workbench.decisions.adjustments import ADJUSTMENTS
from workbench.decisions.decision import (
    BRIGHTEST_LUX,
    FARTHEST_MM,
    HIGHEST_PPI,
    LARGEST_MM,
    LONGEST_NOTE,
    NONE,
    Decision,
    as_number,
)
from workbench.language import tr

__all__ = [
    "ADJUSTMENTS",
    "BRIGHTEST_LUX",
    "DECISIONS",
    "FARTHEST_MM",
    "HIGHEST_PPI",
    "LARGEST_MM",
    "LONGEST_NOTE",
    "NONE",
    "SECTIONS",
    "Decision",
    "as_number",
    "default_of",
]

#: name -> its declaration, in the order of plan files
DECISIONS: dict[str, Decision] = {
    each.name: each
    for section in (size, colour, file, seeing, light, printer, edition)
    for each in section.DECLARED
}


def default_of(name: str) -> Any:
    """What a decision, or an adjustment for one paper, is until the person decides it."""
    return (ADJUSTMENTS.get(name) or DECISIONS[name]).default


#: The sections of plan files in the order of writing, with what they are about.
SECTIONS = {
    "size": tr("How large, and on which sheet"),
    "colour": tr("How the colours come to the paper"),
    "adjustments": tr("What was accepted for this paper; 0 is none, for chroma_gain 1"),
    "file": tr("How the file is made"),
    "seeing": tr("How the print is looked at on the desk"),
    "light": tr("The light that it hangs in, and the screen beside it"),
    "printer": tr("Your printer: what it takes, and what it cannot print on"),
    "edition": tr("How many, what they cost, and your notes"),
}
