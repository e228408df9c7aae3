"""A picture at a size on paper, in figures and in words: the answer of `print_size`."""

from __future__ import annotations

from dataclasses import dataclass, replace

from workbench.analysis.crop import Crop, Resampling, ppi_text
from workbench.analysis.fit import Borders, SheetFit
from workbench.analysis.mount import opening_for
from workbench.analysis.sheets import MM_PER_INCH, area_text, fine_unit, length_text
from workbench.language import tr
from workbench.printer import TYPICAL, Feed
from workbench.results import Result


@dataclass(frozen=True, slots=True)
class PrintSize(Result):
    """A picture at a size on paper: the answer of ``print_size``.

    ``width_px`` and ``height_px`` are the pixels left after the crop; ``ppi`` the
    picture's own pixels per inch at this size, before any resampling.
    ``decided_by`` names what fixed the size: "size", "ppi", "sheet", "viewing
    distance" or "printer".  How sharp it looks
    `workbench.analysis.seen` tells.
    ``fits`` lists sheets, smallest first, then rolls; on these
    the print lies with its borders and with ``bleed_mm`` beyond each edge, which is made as
    ``bleed`` says; where that is "picture", ``width_px`` and ``height_px`` reach into it.
    ``overlap_mm`` is what a mount covers on each side, ``feed`` how paper goes in.
    """

    width_px: int
    height_px: int
    ppi: float
    width_mm: float
    height_mm: float
    decided_by: str
    printer_ppi: float
    resampling: Resampling
    crop: Crop
    borders: Borders
    fits: tuple[SheetFit, ...]
    best_fit: SheetFit | None
    chosen: SheetFit | None
    bleed_mm: float = 0.0
    bleed: str = "mirrored"
    overlap_mm: float = 0.0
    feed: Feed = TYPICAL

    @property
    def own_bleed_mm(self) -> float:
        """What lies beyond each edge of the picture's own; 0 where it is made otherwise."""
        return self.bleed_mm if self.bleed == "picture" else 0.0

    @property
    def front(self) -> Crop:
        """What of the picture lies at the front: its crop without a bleed of its own outer part."""
        crop, own = self.crop, self.own_bleed_mm
        if not own:
            return crop
        x, y = (
            round(px * own / (mm + 2 * own))
            for px, mm in ((crop.width_px, self.width_mm), (crop.height_px, self.height_mm))
        )
        return replace(
            crop,
            x_px=crop.x_px + x,
            y_px=crop.y_px + y,
            width_px=crop.width_px - 2 * x,
            height_px=crop.height_px - 2 * y,
            left_px=crop.left_px + x,
            right_px=crop.right_px + x,
            top_px=crop.top_px + y,
            bottom_px=crop.bottom_px + y,
        )

    @property
    def opening_mm(self) -> tuple[float, float]:
        """(width, height) of the opening of a mount that covers ``overlap_mm`` on each side."""
        return opening_for(self.width_mm, self.height_mm, self.overlap_mm)

    @property
    def width_in(self) -> float:
        return self.width_mm / MM_PER_INCH

    @property
    def height_in(self) -> float:
        return self.height_mm / MM_PER_INCH

    def sentence(self, unit: str = "cm") -> str:
        """The answer: "At 360 ppi this prints 59 × 39 cm; it fits A2 with 4 mm to spare."

        ``unit`` is "cm", "mm" or "in".  Speaks of the chosen sheet if there is one.
        """
        size = area_text(self.width_mm, self.height_mm, unit)
        if self.bleed_mm:
            bleed = length_text(self.bleed_mm, fine_unit(unit))
            size = tr("{size}, and {bleed} of bleed beyond each edge", size=size, bleed=bleed)
        fit = self.chosen or self.best_fit
        where = fit.text(unit) if fit else tr("fits none of the sheets and rolls compared")
        return tr(
            "At {ppi} ppi this prints {size}; it {where}.",
            ppi=ppi_text(self.ppi),
            size=size,
            where=where,
        )

    def sentences(self, unit: str = "cm") -> tuple[str, ...]:
        """Everything worth saying: size and sheet, tolerance, crop, resampling."""
        fit = self.chosen or self.best_fit
        notes = [self.sentence(unit)]
        if fit and fit.within_tolerance and fit.sheet.tolerance_mm is not None:
            limit = length_text(fit.sheet.tolerance_mm, fine_unit(unit))
            notes.append(
                tr(
                    "Sheets of {name} may by their standard be out by {limit}: measure yours.",
                    name=fit.sheet.label,
                    limit=limit,
                )
            )
        if self.feed.thick and fit and not fit.sheet.is_roll:
            bare = max(self.feed.leading_mm, self.feed.trailing_mm)
            notes.append(
                tr(
                    "Sheets go in at the rear or front here, as thick papers must; that leaves "
                    "{bare} bare at one edge.",
                    bare=length_text(bare, fine_unit(unit)),
                )
            )
        if self.overlap_mm:
            notes.append(
                tr(
                    "A mount that covers {overlap} on each side has an opening of {size}.",
                    overlap=length_text(self.overlap_mm, fine_unit(unit)),
                    size=area_text(*self.opening_mm, unit),
                )
            )
        notes += [self.crop.text(), self.resampling.sentence]
        return tuple(notes)
