"""A test strip: parts of the print at final scale, each in steps of one decision.

Every part is made as the whole print would be: same resampling, sharpening, adjustments
and conversion.  The step “as planned” has the pixels of the print file, to the last bit;
the other steps differ from it by their adjustment alone.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable
from dataclasses import dataclass, field, replace

import numpy as np

from workbench.analysis.crop import ppi_text
from workbench.analysis.sheets import (
    MM_PER_INCH,
    Sheet,
    area_text,
    find_sheet,
    length_text,
    positive,
)
from workbench.bands import in_order, row_bands
from workbench.errors import OutputError, SizeError
from workbench.gang.apart import LEAST_APART, ROWS, Solved, solved_steps
from workbench.gang.rows import BITS
from workbench.gang.steps import Step, strip_steps
from workbench.gang.strip_grid import LABEL_MM, LONGEST, Grid, best_grid
from workbench.gang.telling import Telling, at, colours_in, telling_crops, telling_tones
from workbench.output.adjust import Adjustments
from workbench.output.bands import BandMaker, band_rows, in_file_colours
from workbench.output.job import PrintJob
from workbench.output.layout import Layout, WholePixels
from workbench.output.render import Renderer
from workbench.output.solved import solve
from workbench.planned import Planned

MARGIN_MM = 10.0
GAP_MM = 4.0
# smaller patches are hard to judge (our own choice)
SMALLEST_MM = 25.0
# of parts to look for where the arrangement is not known yet
SUGGEST_MM = 35.0
MOST_CROPS = 12
LETTERS = "ABCDEFGHIJKLMNO"
# row of decisions -> the part of the picture that it is tried in
TONES_OF = {"shadows": "shadows", "highlights": "highlights", "around": "middle tones"}
# sheet, margin, gap, steps, the largest part there is and whether that size was asked for; mm
_Room = tuple[Sheet, float, float, int, tuple[float, float], bool]


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
        return (f"{self.label} ({self.gap:.1f})", f"{brief} ({self.gap:.1f})", *plain)


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
    """

    crop: StripCrop
    name: str
    lines: tuple[tuple[Step, ...], ...]
    apart: float | None = None
    gaps: tuple[tuple[float, ...], ...] = ()

    @property
    def sentence(self) -> str:
        """What the row tests, where, and how far its steps lie apart."""
        said = f"{self.crop.letter}, {self.name}, at the {self.crop.telling.name}: "
        if self.apart is not None:
            said += (
                f"each step is at least {self.apart:.1f} CIEDE2000 from its neighbours as printed. "
            )
        return said + self.crop.telling.reason


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
            tones = step.shadows or step.highlights
            pair = None if tones else (step.lightness, step.warmth)
            if wanted in (step, step.label, pair) or (wanted, 0.0) == pair:
                return step
        labels = ", ".join(f"“{step.label}”" for step in self.steps)
        raise OutputError(f"There is no step {wanted!r} on this strip; its steps are {labels}.")

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
        count, patch = len(self.crops), area_text(*self.patch_mm, unit)
        parts = f"{count} part{'s' if count > 1 else ''} of the print"
        first = (
            f"{parts} at final scale, {patch} each, in {len(self.steps)} steps on "
            f"{self.sheet.phrase} ({area_text(self.width_mm, self.height_mm, unit)})."
        )
        return (first, *(row.sentence for row in self.rows), *self.short)


def test_strip(
    plan: Planned,
    crops=None,
    lightness_steps=None,
    warmth_steps=None,
    sheet="A4",
    *,
    rows=tuple(ROWS),
    apart: float = LEAST_APART,
    crop_mm=None,
    gap_mm: float = GAP_MM,
    margin_mm: float = MARGIN_MM,
) -> Strip:
    """Lay out a test strip.

    Without steps of its own it has a row for each decision, in the part of the picture that
    it concerns most: shadow lift in the darkest telling part, highlight roll-off in the
    lightest, lightness by warmth around what is planned in a middle tone.  Their steps are
    solved for, so that neighbours can be told apart on this paper.

    Parameters
    ----------
    plan : a Plan, a `PrintJob`, or anything with attributes named like a PrintJob's.
    crops : `Telling` parts, or (x, y) middles in shares 0..1 of the printed picture; at
        most 12.  Each has a row of lightness by warmth, or the steps that are given; with
        steps given, None chooses telling ones, as many as come out large enough.
    lightness_steps : L* at mid-grey, beyond the plan's own lightness.
    warmth_steps : b* at mid-grey, each of -8..8, the lightness as planned; grey pictures
        have none.  “As planned” is always among the steps; at most 15 in all.
    rows : of `workbench.gang.apart.ROWS`, the decisions to be tried where no steps are given.
    apart : CIEDE2000 that neighbouring steps are apart at least where they are solved for.
    sheet : a name, (width, height) in mm or a Sheet; no roll.
    crop_mm : (width, height) of each part; None makes them as large as they fit.
    gap_mm, margin_mm : between patches; of the sheet's edge, at least what the printer leaves
        bare.

    Returns
    -------
    A `Strip`.

    Raises
    ------
    OutputError, SizeError, ProfileError, UntaggedPictureError
        for what cannot be printed or does not fit; the message says what to change.

    Examples
    --------
    >>> strip = wb.test_strip(plan, crops=[(0.5, 0.5)], lightness_steps=(-3, 0, 3), sheet="A5")
    >>> len(strip.patches)
    3
    """
    solved = solve(plan)
    job, layout = solved.job, solved.layout
    sheet = _cut_sheet(sheet)
    gap_mm = positive(gap_mm, "gap", unit="mm", at_most=100)
    margin_mm = 0.0 if margin_mm == 0 else positive(margin_mm, "margin", unit="mm", at_most=500)
    margin_mm = max(margin_mm, job.feed.bare_mm())
    largest = layout.across.n_out, layout.down.n_out
    largest_mm = largest[0] / job.ppi * MM_PER_INCH, largest[1] / job.ppi * MM_PER_INCH
    if crop_mm is not None:
        largest_mm = _given_mm(crop_mm, largest_mm)
    fixed = crop_mm is not None
    if lightness_steps is None and warmth_steps is None:
        found, short = _solved_rows(job, layout, rows, () if crops is None else crops, apart)
        lines = [line for _, _, solved in found for line in solved.lines]
        room = sheet, margin_mm, gap_mm, max(map(len, lines)), largest_mm, fixed
        return _laid(job, layout, sheet, found, short, _grid(len(lines), room))
    steps = strip_steps(job, lightness_steps or (0,), warmth_steps or (0,))
    room = sheet, margin_mm, gap_mm, len(steps), largest_mm, fixed
    if crops is None:
        chosen, grid = _suggested(job, layout, room)
    else:
        chosen = _chosen(crops)
        grid = _grid(len(chosen), room)
    given = Solved((steps,), None, "")
    return _laid(job, layout, sheet, [(each, "steps", given) for each in chosen], (), grid)


# its name looks like a test's to pytest; mypy knows no attributes of functions
test_strip.__test__ = False  # type: ignore[attr-defined]


def _cut_sheet(sheet) -> Sheet:
    sheet = find_sheet(sheet)
    if sheet.is_roll:
        raise SizeError(f"A test strip is laid on a sheet, and {sheet.name} is a roll; choose A4.")
    return sheet


def _given_mm(crop_mm, largest_mm) -> tuple[float, float]:
    try:
        width, height = crop_mm
    except (TypeError, ValueError):
        raise SizeError(f"A crop's size is (width, height) in mm, not {crop_mm!r}.") from None
    sides = positive(width, "crop's width", unit="mm"), positive(height, "crop's height", unit="mm")
    return min(sides[0], largest_mm[0]), min(sides[1], largest_mm[1])


def _chosen(crops) -> tuple[Telling, ...]:
    chosen = []
    for crop in crops:
        if not isinstance(crop, Telling):
            try:
                x, y = crop
            except (TypeError, ValueError):
                raise OutputError(f"A crop is given by its middle (x, y), not {crop!r}.") from None
            crop = at(x, y)
        chosen.append(crop)
    if not 1 <= len(chosen) <= MOST_CROPS:
        raise OutputError(f"Choose from 1 to {MOST_CROPS} parts of the picture for the strip.")
    return tuple(chosen)


def _solved_rows(job: PrintJob, layout: Layout, rows, crops, apart: float):
    """[(telling, name, solved)] of each decision, and what could not be tried, in sentences."""
    if unknown := [row for row in rows if row not in ROWS]:
        raise OutputError(f"A strip's rows are {', '.join(ROWS)}, not {unknown[0]!r}.")
    apart = positive(apart, "least difference between steps", unit="CIEDE2000", at_most=20)
    size_mm = SUGGEST_MM, SUGGEST_MM
    tellings = telling_tones(job, layout, size_mm) if rows else {}
    wanted = [(kind, tellings.get(TONES_OF[kind])) for kind in rows]
    wanted += [("around", telling) for telling in (_chosen(crops) if crops else ())]
    found, short = [], []
    for kind, telling in wanted:
        name = ROWS[kind][0]
        if telling is None:
            short.append(f"{name.capitalize()}: the picture has no {TONES_OF[kind]} to try it in.")
            continue
        colours = colours_in(job, layout, telling, size_mm, kind)
        solved = solved_steps(kind, job, colours, apart)
        if solved.short:
            short.append(solved.short)
        if len(solved.steps) > 1:
            found.append((telling, name, solved))
    if not found:
        raise OutputError(
            " ".join(short) or "A strip tries at least one decision; choose a row, or a place."
        )
    return found, tuple(short)


def _grid(count: int, room: _Room) -> Grid:
    sheet, margin_mm, gap_mm, steps, largest_mm, fixed = room
    longest = math.inf if fixed else LONGEST
    grid = best_grid(sheet, count, steps, margin_mm, gap_mm, largest_mm, longest)
    if fixed and min(g - m for g, m in zip(grid.patch_mm, largest_mm, strict=True)) < -0.01:
        raise SizeError(
            f"{count * steps} patches of {area_text(*largest_mm, 'mm')} do not fit "
            f"{sheet.phrase}; at most {area_text(*grid.patch_mm, 'mm')} each do. Take fewer "
            "parts or steps, or a larger sheet."
        )
    if min(grid.patch_mm) < min(8.0, *largest_mm):
        raise SizeError(
            f"{count * steps} patches on {sheet.phrase} would be only "
            f"{length_text(max(0.0, min(grid.patch_mm)), 'mm')} wide; take fewer parts or steps, "
            "or a larger sheet."
        )
    return grid


def suggest_crops(
    plan: Planned, size_mm=(SUGGEST_MM, SUGGEST_MM), most: int = 5
) -> tuple[Telling, ...]:
    """Up to five telling parts of the print that a plan describes; see `telling_crops`."""
    solved = solve(plan)
    return telling_crops(solved.job, solved.layout, size_mm, most)


def _suggested(job: PrintJob, layout: Layout, room: _Room):
    """Telling parts, as many as leave patches large enough to judge."""
    for count in (5, 4, 3, 2, 1):
        try:
            grid = _grid(count, room)
        except SizeError:
            if count == 1:
                raise
            continue
        if count > 1 and min(grid.patch_mm) < min(SMALLEST_MM, *room[4]):
            continue
        found = telling_crops(job, layout, grid.patch_mm, count)
        # with fewer, each has more room, and the same are found again
        if len(found) < count:
            grid = _grid(len(found), room)
        return found, grid
    raise AssertionError("one part always has a grid or an error")


def _laid(job, layout, sheet, found, short, grid: Grid) -> Strip:
    ppi = job.ppi

    def pixels(mm: float) -> int:
        return round(mm / MM_PER_INCH * ppi)

    total = layout.across.n_out, layout.down.n_out
    size = [
        max(1, min(math.floor(side / MM_PER_INCH * ppi + 1e-6), most))
        for side, most in zip(grid.patch_mm, total, strict=True)
    ]
    rows: list[StripRow] = []
    patches: list[Patch] = []
    at_line = itertools.count()
    for letter, (telling, name, solved) in zip(LETTERS, found, strict=False):
        corner = [
            min(max(round(middle * most - side / 2), 0), most - side)
            for middle, most, side in zip((telling.x, telling.y), total, size, strict=True)
        ]
        crop = StripCrop(letter, telling, *corner, *size)
        rows.append(StripRow(crop, name, solved.lines, solved.apart, solved.gaps))
        for line, gaps in itertools.zip_longest(solved.lines, solved.gaps, fillvalue=()):
            row = next(at_line)
            for column, (step, gap) in enumerate(itertools.zip_longest(line, gaps)):
                x_mm, y_mm = grid.place(row, column)
                patches.append(Patch(crop, step, pixels(x_mm), pixels(y_mm), gap))
    return Strip(
        job=job,
        layout=layout,
        sheet=sheet,
        width_px=pixels(grid.width_mm),
        height_px=pixels(grid.height_mm),
        ppi=ppi,
        rows=tuple(rows),
        patches=tuple(patches),
        short=short,
        title=_title(job, layout),
        title_px=(pixels(grid.margin_mm), pixels(grid.margin_mm), pixels(LABEL_MM)),
        label_px=pixels(LABEL_MM),
    )


def _title(job: PrintJob, layout: Layout) -> str:
    size = f"{area_text(*layout.front_mm)} at {ppi_text(job.ppi)} ppi"
    parts = [f"Test strip: {job.picture.name or 'untitled picture'}", size]
    if job.converted_for is not None:
        parts.append(job.converted_for.name)
        how = job.intent
        if job.black_point_compensation and job.intent != "absolute":
            how += ", black point compensation"
        parts.append(how)
    else:
        parts.append("colours for the driver to convert")
    return " · ".join(parts)


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
