"""Numbers that a person gives, held to what can be."""

from __future__ import annotations

from workbench.errors import WorkbenchError
from workbench.language import decimal, tr


def number(value, what: str, *, low: float, high: float, unit: str = "") -> float:
    """``value`` as a float between ``low`` and ``high`` (both allowed), else a WorkbenchError."""
    try:
        result = decimal(value) if isinstance(value, str) else float(value)
    except (TypeError, ValueError):
        raise WorkbenchError(
            tr("The {what} must be a number, not “{value}”.", what=what, value=value)
        ) from None
    if not low <= result <= high:
        unit = f" {unit}" if unit else ""
        raise WorkbenchError(
            tr(
                "The {what} of {result:g}{unit} cannot be right; give one between {low:g} and "
                "{high:g}{unit}.",
                what=what,
                result=result,
                unit=unit,
                low=low,
                high=high,
            )
        )
    return result
