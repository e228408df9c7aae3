"""A knob for a decision: its label, unit, limits and help come from `workbench.decisions`."""

from __future__ import annotations

from workbench.analysis.sheets import find_sheet
from workbench.decisions import DECISIONS, NONE, Decision
from workbench.language import tr
from workbench.panels import parts
from workbench.panels.parts.choice_or_typed import ChoiceOrTyped
from workbench.panels.parts.lengths import bound_length, sheet_options
from workbench.panels.parts.log_slider import LogNumber


def knob(owner, name: str, *, first=None, **other):
    """A control for a decision, tied to the plan both ways.

    Parameters
    ----------
    owner : a panel or the desk: it has ``plan``, ``front`` and ``safely``.
    name : of the decision, such as "threshold".
    first : called with a new value before the plan is set.
    other : what differs here from the declaration: ``label``, ``help``, ``decimals`` …

    Returns
    -------
    A control of `parts`: a list for choices, a tick, a slider, a field.  Shares (0..1
    without a unit) are shown in per cent; lengths in the person's unit.
    """
    decision = DECISIONS[name]
    label, help = other.pop("label", decision.label), other.pop("help", decision.help)
    if decision.unit == "mm":
        return bound_length(owner, name, label, decision.slider[:2], help, **other)
    if decision.choices:
        options = [(words, NONE if value is None else value) for value, words in decision.choices]
        made = parts.choice(owner.front, label, options=options, help=help, **other)
        if first is not None:
            made.on_change(owner.safely(first))
        return tied(
            owner, made, name,
            to_plan=lambda value: None if value == NONE else value,
            from_plan=lambda value: NONE if value is None else value,
        )  # fmt: skip
    if isinstance(decision.default, bool):
        return tied(owner, parts.tick(owner.front, label, help=help, **other), name)
    if isinstance(decision.default, str):
        return tied(owner, parts.text(owner.front, label, help=help, **other), name)
    if decision.slider is None:
        return _field(owner, decision, label, help, other)
    return _slider(owner, decision, label, help, other)


def sheet_knob(owner) -> ChoiceOrTyped:
    """The choice of a sheet or roll, in the person's unit; others may be typed.

    Where none is chosen it is the one that the size answer finds.
    """

    def options() -> list[tuple[str, str]]:
        return [
            (tr("the smallest that fits"), ""),
            *sheet_options(owner.plan.unit, owner.plan.region),
        ]

    made = ChoiceOrTyped(
        owner.front, *told("sheet"), options=options(), placeholder=tr("40 x 60 cm, roll 50 cm")
    )
    owner.plan.observe(lambda change: made.replace(options()), names=["unit", "region"])
    return tied(owner, made, "sheet", to_plan=lambda name: find_sheet(name).name if name else "")


def _slider(owner, decision: Decision, label: str, help: str, other: dict):
    low, high, step = decision.slider
    if decision.by_ratio:
        made = LogNumber(
            owner.front, label, value=decision.default, min=low, max=high,
            typed=(decision.low, decision.high), unit=other.pop("unit", decision.unit), help=help,
        )  # fmt: skip
        return tied(owner, made, decision.name)
    per = 100 if not decision.unit and decision.high <= 10 else 1
    made = parts.slider(
        owner.front, label, value=low * per, min=low * per, max=high * per, step=step * per,
        unit=other.pop("unit", "%" if per == 100 else decision.unit), help=help,
        typed=(_least(decision) * per, decision.high * per), **other,
    )  # fmt: skip
    owner.front.knows(decision.name, made.slider, per)
    return tied(
        owner, made, decision.name,
        to_plan=lambda value: value / per,
        from_plan=lambda value: low * per if value is None else value * per,
    )  # fmt: skip


def _field(owner, decision: Decision, label: str, help: str, other: dict):
    made = parts.number(
        owner.front, label, value=decision.default or 0, min=_least(decision), max=decision.high,
        step=other.pop("step", 1), unit=other.pop("unit", decision.unit), help=help, **other,
    )  # fmt: skip
    return tied(
        owner, made, decision.name,
        to_plan=lambda value: None if decision.optional and not value else value,
        from_plan=lambda value: value or 0,
    )  # fmt: skip


def _least(decision: Decision) -> float:
    return max(decision.low, 1) if decision.above else decision.low


def told(name: str) -> tuple[str, str]:
    """Label and help of a decision, for controls of other kinds."""
    return DECISIONS[name].label, DECISIONS[name].help


def tied(owner, control, trait: str, *, to_plan=lambda v: v, from_plan=lambda v: v):
    """A control tied to a trait of the owner's plan, both ways; the owner is a panel or a desk."""

    def moved(value):
        setattr(owner.plan, trait, to_plan(value))

    control.value = from_plan(getattr(owner.plan, trait))
    control.on_change(owner.safely(moved))
    owner.plan.observe(
        lambda change: setattr(control, "value", from_plan(change["new"])), names=[trait]
    )
    return control
