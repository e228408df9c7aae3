"""Numbers that a person gives, held to what can be."""

from __future__ import annotations

from workbench.errors import WorkbenchError


def number(value, what: str, *, low: float, high: float, unit: str = "") -> float:
    """``value`` as a float between ``low`` and ``high`` (both allowed), else a WorkbenchError."""
    try:
        result = float(value)
    except (TypeError, ValueError):
        raise WorkbenchError(f"The {what} must be a number, not “{value}”.") from None
    if not low <= result <= high:
        unit = f" {unit}" if unit else ""
        raise WorkbenchError(
            f"The {what} of {result:g}{unit} cannot be right; give one between {low:g} and "
            f"{high:g}{unit}."
        )
    return result
