"""Lengths and sheets in the plan's unit: sliders that show it, and sheets to choose from."""

from __future__ import annotations

from workbench.analysis.sheets import FAMILY_NAMES, IN_MM, SHEETS, families_of, fine_unit
from workbench.decisions import LARGEST_MM
from workbench.panels import parts


def bound_length(
    panel, trait: str, label: str, ends_mm: tuple[float, float], help: str, held=None, **more
):
    """A slider for a length of the plan, tied to it both ways and shown in the plan's unit.

    Parameters
    ----------
    ends_mm : of the slider; more may be typed, and less where it does not begin at 0.
    held : what has the trait where it is not the plan.
    more : for the slider.
    """
    low, high = ends_mm
    plan = panel.plan
    held = held or plan
    control = parts.slider(
        panel.front, label, value=low, min=low, max=high, step=0.1, typed=(_least(low), LARGEST_MM),
        help=help, **more,
    )  # fmt: skip

    def moved(value) -> None:
        setattr(held, trait, value * IN_MM[plan.unit])

    def follow(change) -> None:
        control.value = change["new"] / IN_MM[plan.unit]

    def unit_changed(change=None) -> None:
        per = IN_MM[plan.unit]
        control.rename(label, plan.unit)
        control.set(
            getattr(held, trait) / per, (low / per, high / per),
            typed=(_least(low) / per, LARGEST_MM / per),
        )  # fmt: skip

    unit_changed()
    control.on_change(panel.safely(moved))
    held.observe(follow, names=[trait])
    plan.observe(unit_changed, names=["unit"])
    return control


def _least(low_mm: float) -> float:
    """What may be typed at the least beside a slider that begins there."""
    return -LARGEST_MM if low_mm < 0 else min(low_mm, 1)


def sheet_options(unit: str, region: str = "") -> list[tuple[str, str]]:
    """(label, name) of every sheet and roll, the region's first; sizes in mm or inches."""
    offered = []
    for family in families_of(region):
        kind = "" if family == "roll" else f"{FAMILY_NAMES[family]}, "
        offered += [
            (f"{sheet.label} ({kind}{sheet.size_text(fine_unit(unit))})", sheet.name)
            for sheet in SHEETS
            if sheet.family == family
        ]
    return offered
