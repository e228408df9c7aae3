"""A plan solved once: job, layout, place on the sheet and price, for all who speak of the print."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

from workbench.analysis.cost import PrintCost, print_cost
from workbench.analysis.fit import SheetFit, fit_on
from workbench.analysis.price import PrintPrice
from workbench.analysis.seen import SeenDetail, seen_detail
from workbench.analysis.sheets import MM_PER_INCH, find_sheet
from workbench.output.ink import ink_load
from workbench.output.job import PrintJob
from workbench.output.layout import ROUNDED_PX, Layout, layout_of
from workbench.paper_readings import AnyPaper
from workbench.planned import Planned
from workbench.printer import Printer
from workbench.rendering import DEFAULTS


@dataclass(frozen=True)
class Prices:
    """What the price of a print follows from, beside the paper's own prices.

    ``copies`` of the edition, ``ink_ml_per_m2`` of an average picture and ``ink_price_per_ml``,
    None where not known; ``test_strips`` before it, and the ``reject_share`` of all prints.
    """

    copies: int = 1
    ink_ml_per_m2: float | None = None
    ink_price_per_ml: float | None = None
    test_strips: int = 0
    reject_share: float = 0.0

    @classmethod
    def of(cls, plan: Planned) -> Prices:
        """A plan's; the defaults for what has none, such as a `PrintJob`."""
        return cls(**{name: getattr(plan, name, default) for name, default in vars(cls()).items()})


@dataclass(frozen=True)
class Solved:
    """What a plan comes to.

    Attributes
    ----------
    job : checked.
    layout : of its pixels.
    fit : how the print, bleed included, lies on its sheet: the one that is chosen, else the
        one that the size answer found; None where no sheet takes it.
    prices : of ink, and how many copies.
    threshold : of colours out of gamut, in CIEDE2000.
    viewing_distance_mm : from which it is seen across the room.
    notes : the person's own.
    overlap_mm : what a mount covers of the print on each side.
    printer : with what is known of it; None where the plan has none.
    feed_path : the way through it, as in `workbench.decisions`.
    glass : name of the glass before the print; "" for none.
    unit : in which sizes are told: "cm", "mm" or "in".
    """

    job: PrintJob
    layout: Layout
    fit: SheetFit | None
    prices: Prices = Prices()
    threshold: float = DEFAULTS.threshold
    viewing_distance_mm: float | None = None
    notes: str = ""
    overlap_mm: float = 0.0
    printer: Printer | None = None
    feed_path: str = "auto"
    glass: str = ""
    unit: str = "mm"

    def seen_detail(self) -> SeenDetail:
        """What of the picture's detail is seen in the print.  Raises as `seen_detail`."""
        layout = self.layout
        return seen_detail(
            self.job.picture,
            ppi=layout.ppi / layout.factor,
            viewing_distance_mm=self.viewing_distance_mm,
            printer_ppi=layout.ppi,
        )

    @cached_property
    def cost(self) -> PrintCost:
        """What the print costs; SizeError for prices that are none."""
        return cost_of(self.job, self.layout, self.prices)


def solve(plan: Planned | Solved) -> Solved:
    """Solve a Plan, a `PrintJob`, or anything with attributes named like a PrintJob's.

    What is solved already is returned as it is.

    Raises
    ------
    OutputError, SizeError, ProfileError, PaperError, UntaggedPictureError
        for a plan that does not add up; the message says what to change.
    """
    if isinstance(plan, Solved):
        return plan
    job = PrintJob.from_plan(plan)
    layout = layout_of(job)
    return Solved(
        job=job,
        layout=layout,
        fit=sheet_fit(job, layout),
        prices=Prices.of(plan),
        threshold=getattr(plan, "threshold", DEFAULTS.threshold),
        viewing_distance_mm=getattr(plan, "viewing_distance_mm", None),
        notes=(getattr(plan, "notes", "") or "").strip(),
        overlap_mm=getattr(plan, "mount_overlap_mm", 0.0),
        printer=getattr(plan, "printer", None),
        feed_path=getattr(plan, "feed_path", "auto"),
        glass=getattr(plan, "glass", ""),
        unit=getattr(plan, "unit", "mm"),
    )


def solved_cost(plan: Planned | Solved) -> PrintCost:
    """What a plan's print costs, even where its colours cannot be printed yet.

    Raises
    ------
    OutputError, SizeError
        where it has no size.
    """
    if isinstance(plan, Solved):
        return plan.cost
    job = PrintJob.from_plan(plan, colours=False)
    return cost_of(job, layout_of(job), Prices.of(plan))


def paper_prices(plan: Planned, papers) -> tuple[PrintPrice | None, ...]:
    """What a plan's print costs in paper on each of several papers; None where not known.

    Raises
    ------
    OutputError, SizeError
        where it has no size.
    """
    job, prices = PrintJob.from_plan(plan, colours=False), Prices.of(plan)
    layout = layout_of(job)

    def on(paper: AnyPaper) -> PrintJob:
        sheet = job.sheet
        if not getattr(plan, "sheet", None) and hasattr(plan, "print_size"):
            # each paper is there in other sheets
            fit = plan.print_size(paper).best_fit
            sheet = None if fit is None else fit.sheet
        return replace(job, paper=paper, sheet=sheet)

    return tuple(cost_of(on(paper), layout, prices).paper for paper in papers)


def cost_of(job: PrintJob, layout: Layout, prices: Prices) -> PrintCost:
    """What a laid out job costs: on its sheet, or on the cheapest that takes it.

    Paper is taken whole: the sheet, or all the length of the roll that is cut off; ink for
    what is inked, by the picture's own colours (`workbench.output.ink`).  See
    `workbench.analysis.cost.print_cost`.

    Raises
    ------
    SizeError
        for counts and prices that are none.
    """
    fit = sheet_fit(job, layout)
    sides, kept = (layout.width_mm, layout.height_mm), None
    if fit is not None and (fit.fits or job.on_sheet):
        sides = fit.width_mm, fit.height_mm
        if not job.on_sheet:
            kept = layout.width_mm * layout.height_mm
    elif fit is None:
        width, height = (max(side - pixel_mm(layout) / 2, side / 2) for side in sides)
        sides = width, height
    width, height = printed_mm(layout)
    return print_cost(
        job.paper,
        *sides,
        **vars(prices),
        coverage_mm2=width * height,
        kept_mm2=kept,
        ink_load=1.0 if prices.ink_ml_per_m2 is None else ink_load(job, layout),
        sheet=job.sheet,
    )


def sheet_fit(job: PrintJob, layout: Layout) -> SheetFit | None:
    """How the print, bleed included, lies on its sheet; None where there is none."""
    if job.sheet is None:
        return None
    # a print made to fill a sheet may be over by a pixel or two, and fits all the same
    pixel = pixel_mm(layout)
    outer = (side + 2 * layout.beyond_px for side in layout.front_box_px[2:])
    width, height = (max(side - ROUNDED_PX, 0.1) * pixel for side in outer)
    return fit_on(find_sheet(job.sheet), width, height, job.borders_mm, job.feed, job.moved_mm)


def pixel_mm(layout: Layout) -> float:
    """A print pixel's side."""
    return MM_PER_INCH / layout.ppi


def printed_mm(layout: Layout) -> tuple[float, float]:
    """Width and height of what is inked, a bleed of picture included."""
    width, height = (side * pixel_mm(layout) for side in layout.printed_px)
    return width, height
