"""What a small sheet costs, in words."""

from __future__ import annotations

from workbench.analysis.cost import print_cost


def cost_words(plan, paper, sheet) -> str:
    """Paper and ink for a `Strip` or `Nest`; empty where neither price nor ink is known.

    Parameters
    ----------
    plan : knows the ink for a square metre, and its price.
    paper : that the sheet is printed on, or None.
    """
    return print_cost(
        paper,
        sheet.width_mm,
        sheet.height_mm,
        ink_ml_per_m2=plan.ink_ml_per_m2,
        ink_price_per_ml=plan.ink_price_per_ml,
        coverage_mm2=sheet.inked_mm2,
        called="together",
    ).sentence
