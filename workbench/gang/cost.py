"""What a sheet of several small prints costs."""

from __future__ import annotations

from workbench.analysis.cost import PrintCost, print_cost
from workbench.analysis.price import price_on
from workbench.language import tr
from workbench.output.ink import ink_load
from workbench.output.solved import Prices
from workbench.paper_readings import AnyPaper


def sheet_cost(sheet, paper: AnyPaper | None, prices: Prices) -> PrintCost:
    """Paper and ink for one `Strip` or `Nest`, each print on it together, by its own colours.

    Where the paper has no price for the very sheet or roll, the cheapest is taken that it can be
    cut from.

    Parameters
    ----------
    sheet : the Strip or Nest.
    paper : that it is printed on, or None.
    prices : of ink; the edition's copies have no part in it.
    """
    inked = sheet.inked_mm2
    if prices.ink_ml_per_m2 is not None:
        inked = sum(area * ink_load(job, layout) for job, layout, area in sheet.inked)
    laid = sheet.sheet
    # not in whole pixels, which may be a hair more than the sheet has
    sides = laid.width_mm, laid.height_mm or sheet.height_mm
    priced = paper is not None and price_on(paper, *sides, sheet=laid) is not None
    return print_cost(
        paper,
        *sides,
        sheet=laid if priced else None,
        ink_ml_per_m2=prices.ink_ml_per_m2,
        ink_price_per_ml=prices.ink_price_per_ml,
        coverage_mm2=inked,
        called=tr("together"),
    )
