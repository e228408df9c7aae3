"""What a plan file says of a plan: a key for each decision, and tables for the rest."""

from __future__ import annotations

from workbench.decisions import ADJUSTMENTS, DECISIONS, SECTIONS, Decision
from workbench.errors import OutputError, PlanError
from workbench.files.text import shown_value as shown
from workbench.language import tr
from workbench.output.adjust import as_adjustments
from workbench.plan import Plan

#: trait of the plan, which is also its key -> its declaration, in the order of writing
FIELDS: dict[str, Decision] = {name: each for name, each in DECISIONS.items() if each.saved}

#: traits with tables of their own -> where they stand
TABLES = {
    "picture": "[picture]",
    "paper": "the table of [[papers]] with print_on",
    "papers": "[[papers]]",
    "other_paper": "the table of [[papers]] with second_paper",
    "reference": "[seeing] reference, or the table of [[papers]] with reference",
    "display": "[seeing] display, or display_profile",
    "adjustments": "[adjustments]",
}

#: traits that are not saved -> why
NOT_SAVED = {"measured_paper": "readings have a file of their own, which is opened again"}


def adjustments_of(plan: Plan) -> dict[str, float]:
    """The plan's adjustments as they are written; empty where there are none."""
    try:
        adjustments = as_adjustments(plan.adjustments)
    except OutputError as problem:
        raise PlanError(tr("“adjustments” cannot be saved: {problem}", problem=problem)) from None
    return {key: getattr(adjustments, key) for key in ADJUSTMENTS} if adjustments else {}


__all__ = ["ADJUSTMENTS", "FIELDS", "NOT_SAVED", "SECTIONS", "TABLES", "adjustments_of", "shown"]
