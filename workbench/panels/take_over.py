"""Letting the plan go on from another one: opened from a file, or kept with a print."""

from __future__ import annotations

from workbench.panels.at_hand import same_sheet
from workbench.plan import Plan
from workbench.plan_file.fields import NOT_SAVED

#: traits that hold a file, or what was made of one
FILES = ("picture", "paper", "other_paper", "reference")
# ink belongs to the printer: what another plan does not know stays as it is
_KEPT_IF_NONE = ("ink_ml_per_m2", "ink_price_per_ml")


def take_over(plan: Plan, other: Plan, files=FILES) -> None:
    """Let ``plan`` hold what ``other`` does; papers at hand stay, and are not doubled.

    Parameters
    ----------
    files : those of `FILES` to take; the rest stay as they are.
    """
    with plan.hold_trait_notifications():
        for name in other.trait_names():
            value = getattr(other, name)
            if name in NOT_SAVED or name in FILES or name == "papers":
                continue
            if value is not None or name not in _KEPT_IF_NONE:
                setattr(plan, name, value)
        # what came of the former print is none of this one's
        plan.written = plan.verdict = None
        plan.measurements = ""
        for paper in other.papers:
            _at_hand(plan, paper)
        for name in files:
            value = getattr(other, name)
            is_paper = name != "picture" and value is not None and not isinstance(value, str)
            setattr(plan, name, _at_hand(plan, value) if is_paper else value)


def _at_hand(plan: Plan, paper):
    """The paper among those at hand that is this sheet; itself, put there, if there is none."""
    for each in plan.papers:
        if each is paper or same_sheet(each, paper):
            return each
    plan.papers = (*plan.papers, paper)
    return paper
