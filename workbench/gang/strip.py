"""A test strip: parts of the print at final scale, each in steps of one decision.

Every part is made as the whole print would be: same resampling, sharpening, adjustments
and conversion.  The step “as planned” has the pixels of the print file, to the last bit;
the other steps differ from it by their adjustment alone.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace

import numpy as np

from workbench.analysis.sheets import MM_PER_INCH, Sheet, area_text
from workbench.bands import in_order, row_bands
from workbench.errors import OutputError
from workbench.gang.rows import BITS
from workbench.gang.steps import Step
from workbench.gang.telling import Telling
from workbench.language import numeral, tr
from workbench.output.adjust import Adjustments
from workbench.output.bands import BandMaker, band_rows, in_file_colours
from workbench.output.job import PrintJob
from workbench.output.layout import Layout, WholePixels
from workbench.output.render import Renderer


@dataclass(frozen=True)
class StripCrop:
    """A part of the print.

    Attributes
    ----------
    letter : by which it is known on the strip.
    telling : its middle, name and reason.
    x_px, y_px, width_px, height_px : in print pixels of the printed picture.
    """

    letter: str
    telling: Telling
    x_px: int
    y_px: int
    width_px: int
    height_px: int


@dataclass(frozen=True)
class Patch:
    """A part of the print in one step, and where it lies on the sheet, in print pixels."""

    crop: StripCrop
    step: Step
    x_px: int
    y_px: int
    gap: float | None = None

    @property
    def label(self) -> str:
        return f"{self.crop.letter}  {self.step.label}"

    @property
    def labels(self) -> tuple[str, ...]:
        """The same, longest first: with how far it is from its neighbour, where that is known."""
        brief = f"{self.crop.letter} {self.step.short}"
        plain = self.label, brief, self.step.short, self.step.numbers
        if not self.gap:
            return (plain[0], plain[0], *plain)
        gap = numeral(self.gap, ".1f")
        return (f"{self.label} ({gap})", f"{brief} ({gap})", *plain)


@dataclass(frozen=True)
class StripRow:
    """A part of the print in the steps of one decision.

    Attributes
    ----------
    crop : the part.
    name : of the decision, such as "shadow lift".
    lines : of its steps, as they lie.
    apart : smallest CIEDE2000 between neighbours as printed; None where it was not solved for.
    gaps : (line by line) CIEDE2000 of each step from its neighbour towards what is planned.
    kind : of `workbench.gang.apart.ROWS`, or "place"; empty for steps that were given.
    printed : whether these are distances in print; without the paper's profile they are those
        of the picture's colours.
    """

    crop: StripCrop
    name: str
    lines: tuple[tuple[Step, ...], ...]
    apart: float | None = None
    gaps: tuple[tuple[float, ...], ...] = ()
    kind: str = ""
    printed: bool = True

    @property
    def sentence(self) -> str:
        """What the row tests, where, and how far its steps lie apart."""
        telling = self.crop.telling
        if self.apart is None:
            return tr(
                "{letter}, {row}, at the {part}: {reason}",
                letter=self.crop.letter,
                row=self.name,
                part=telling.name,
                reason=telling.reason,
            )
        how = {
            "letter": self.crop.letter,
            "row": self.name,
            "part": telling.name,
            "apart": self.apart,
            "reason": telling.reason,
        }
        if not self.printed:
            return tr(
                "{letter}, {row}, at the {part}: each step is at least {apart:.1f} CIEDE2000 from "
                "its neighbours in the picture's colours; how far in print, only the paper's "
                "profile tells. {reason}",
                **how,
            )
        return tr(
            "{letter}, {row}, at the {part}: each step is at least {apart:.1f} CIEDE2000 from its "
            "neighbours as printed. {reason}",
            **how,
        )


@dataclass(frozen=True, eq=False)
class Strip(WholePixels):
    """A test strip, ready to be drawn and written.

    Attributes
    ----------
    job : of the whole print.
    sheet : that it is laid on.
    width_px, height_px, ppi : of the sheet as turned.
    rows : `StripRow`, what is tried.
    patches : each row's crop in each of its steps, in their places.
    short : sentences on what could not be tried.
    title : of the sheet.
    title_px : (x, y, height) of the title's line.
    label_px : height of a label's line, which lies right below its patch.
    """

    job: PrintJob
    layout: Layout = field(repr=False)
    sheet: Sheet
    width_px: int
    height_px: int
    ppi: float
    rows: tuple[StripRow, ...]
    patches: tuple[Patch, ...] = field(repr=False)
    short: tuple[str, ...]
    title: str
    title_px: tuple[int, int, int]
    label_px: int

    @property
    def crops(self) -> tuple[StripCrop, ...]:
        """The parts, in order."""
        return tuple(row.crop for row in self.rows)

    @property
    def steps(self) -> tuple[Step, ...]:
        """All steps of all rows, each once."""
        return tuple(dict.fromkeys(patch.step for patch in self.patches))

    @property
    def patch_mm(self) -> tuple[float, float]:
        """(width, height) of a patch."""
        first = self.crops[0]
        width, height = (s / self.ppi * MM_PER_INCH for s in (first.width_px, first.height_px))
        return width, height

    @property
    def inked_mm2(self) -> float:
        """Area of all patches, which takes ink."""
        width, height = self.patch_mm
        return width * height * len(self.patches)

    @property
    def inked(self) -> list[tuple]:
        """(job, layout, mm²) of what takes ink."""
        return [(self.job, self.layout, self.inked_mm2)]

    def step(self, wanted) -> Step:
        """The step meant by itself, its label, its lightness, or (lightness, warmth).

        Raises
        ------
        OutputError
            for a step that is not on the strip.
        """
        for step in self.steps:
            tones = step.shadows or step.highlights or step.named
            pair = None if tones else (step.lightness, step.warmth)
            if wanted in (step, step.label, pair) or (wanted, 0.0) == pair:
                return step
        labels = ", ".join(tr("“{name}”", name=step.label) for step in self.steps)
        raise OutputError(
            tr(
                "There is no step {wanted!r} on this strip; its steps are {labels}.",
                wanted=wanted,
                labels=labels,
            )
        )

    def adjustments_for(self, step) -> Adjustments:
        """What to print the whole picture with, to have it as in this step; see `step`."""
        return self.step(step).adjustments

    def pixels(self, crop: StripCrop, step: Step) -> np.ndarray:
        """A patch as printed: (rows, cols, channels) uint16 in the file's colours."""
        if step.as_planned:
            return as_planned(self.job, self.layout, [crop])[0]
        return _stepped(self.job, self.layout, crop, step)

    def sentences(self, unit: str = "cm") -> tuple[str, ...]:
        """What is on the sheet, in plain words."""
        said = {
            "patch": area_text(*self.patch_mm, unit),
            "steps": len(self.steps),
            "sheet": self.sheet.phrase,
            "area": area_text(self.width_mm, self.height_mm, unit),
        }
        if (count := len(self.crops)) > 1:
            first = tr(
                "{count} parts of the print at final scale, {patch} each, in {steps} steps on "
                "{sheet} ({area}).",
                count=count,
                **said,
            )
        else:
            first = tr(
                "1 part of the print at final scale, {patch} each, in {steps} steps on {sheet} "
                "({area}).",
                **said,
            )
        return (first, *(row.sentence for row in self.rows), *self.short)


def as_planned(
    job: PrintJob,
    layout: Layout,
    crops,
    cancelled: Callable[[], bool] | None = None,
) -> list[np.ndarray]:
    """Parts of the print file, from the same bands as the whole: exactly its pixels."""
    maker = BandMaker(job, layout, BITS)
    # from a part of the printed picture to the file
    x, y = layout.x_px + layout.bleed_px, layout.y_px + layout.bleed_px
    out = [np.empty((c.height_px, c.width_px, maker.channels), np.uint16) for c in crops]

    def inside(band: tuple[int, int]) -> list:
        top, bottom = band
        return [
            (crop, part)
            for crop, part in zip(crops, out, strict=True)
            if top < y + crop.y_px + crop.height_px and bottom > y + crop.y_px
        ]

    def make(rows: tuple[int, int]) -> None:
        top, bottom = rows
        band = maker.rows(top, bottom)
        for crop, part in inside(rows):
            first = max(top, y + crop.y_px)
            stop = min(bottom, y + crop.y_px + crop.height_px)
            start, left = first - y - crop.y_px, x + crop.x_px
            part[start : start + stop - first] = band[
                first - top : stop - top, left : left + crop.width_px
            ]

    bands = filter(inside, row_bands(layout.height_px, band_rows(layout)))
    for _ in in_order(make, bands, cancelled=cancelled):
        pass
    return out


def _stepped(job: PrintJob, layout: Layout, crop: StripCrop, step: Step) -> np.ndarray:
    job = replace(job, adjustments=step.adjustments)
    renderer = Renderer(job, layout, whole=False)
    box = crop.x_px, crop.y_px, crop.x_px + crop.width_px, crop.y_px + crop.height_px
    return in_file_colours(job, renderer.pixels(*box))
