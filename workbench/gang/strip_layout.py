"""Laying out a test strip: which parts, which steps, and how large they come out."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass

from workbench.analysis.crop import ppi_text
from workbench.analysis.sheets import (
    MM_PER_INCH,
    Sheet,
    area_text,
    find_sheet,
    length_text,
    positive,
)
from workbench.analysis.words import SHORT_INTENT_NAMES, TONE_NAMES, begin_large
from workbench.errors import OutputError, SizeError
from workbench.gang.apart import (
    LEAST_APART,
    PLACE_ROW,
    ROWS,
    Solved,
    place_row,
    row_name,
    solved_steps,
)
from workbench.gang.steps import strip_steps
from workbench.gang.strip import Patch, Strip, StripCrop, StripRow
from workbench.gang.strip_grid import LABEL_MM, LONGEST, Grid, best_grid
from workbench.gang.telling import Telling, at, colours_in, telling_crops, telling_tones
from workbench.language import tr
from workbench.output.adjust import Adjustments
from workbench.output.job import PrintJob
from workbench.output.job_facts import profile_of
from workbench.output.layout import Layout
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


@dataclass(frozen=True)
class _Room:
    """What patches have to share; lengths in mm.

    ``largest_mm`` is the largest part there is, or with ``fixed`` the size asked for.
    """

    sheet: Sheet
    margin_mm: float
    gap_mm: float
    largest_mm: tuple[float, float]
    fixed: bool


def test_strip(
    plan: Planned,
    crops=None,
    lightness_steps=None,
    warmth_steps=None,
    sheet="A4",
    *,
    rows=tuple(ROWS),
    offered: Adjustments | None = None,
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
    offered : adjustments made for a place, such as `print_for_place` proposes, or the plan's own:
        a row has the plain print and the one made for the place side by side.
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
    gap_mm = positive(gap_mm, tr("gap"), unit="mm", at_most=100)
    margin_mm = 0.0 if margin_mm == 0 else positive(margin_mm, tr("margin"), unit="mm", at_most=500)
    margin_mm = max(margin_mm, job.feed.bare_mm())
    largest = layout.across.n_out, layout.down.n_out
    largest_mm = largest[0] / job.ppi * MM_PER_INCH, largest[1] / job.ppi * MM_PER_INCH
    if crop_mm is not None:
        largest_mm = _given_mm(crop_mm, largest_mm)
    room = _Room(sheet, margin_mm, gap_mm, largest_mm, fixed=crop_mm is not None)
    if lightness_steps is None and warmth_steps is None:
        own = () if crops is None else crops
        found, short = _solved_rows(job, layout, rows, own, apart, offered)
        lines = [line for *_, solved in found for line in solved.lines]
        grid = _grid(len(lines), max(map(len, lines)), room)
        return _laid(job, layout, sheet, found, short, grid)
    steps = strip_steps(job, lightness_steps or (0,), warmth_steps or (0,))
    if crops is None:
        chosen, grid = _suggested(job, layout, len(steps), room)
    else:
        chosen = _chosen(crops)
        grid = _grid(len(chosen), len(steps), room)
    given = Solved((steps,), None, "")
    return _laid(job, layout, sheet, [(each, "", tr("steps"), given) for each in chosen], (), grid)


# its name looks like a test's to pytest; mypy knows no attributes of functions
test_strip.__test__ = False  # type: ignore[attr-defined]


def _cut_sheet(sheet) -> Sheet:
    sheet = find_sheet(sheet)
    if sheet.is_roll:
        raise SizeError(
            tr("A test strip is laid on a sheet, and {name} is a roll; choose A4.", name=sheet.name)
        )
    return sheet


def _given_mm(crop_mm, largest_mm) -> tuple[float, float]:
    try:
        width, height = crop_mm
    except (TypeError, ValueError):
        raise SizeError(
            tr("A crop's size is (width, height) in mm, not {crop_mm!r}.", crop_mm=crop_mm)
        ) from None
    sides = (
        positive(width, tr("crop's width"), unit="mm"),
        positive(height, tr("crop's height"), unit="mm"),
    )
    return min(sides[0], largest_mm[0]), min(sides[1], largest_mm[1])


def _chosen(crops) -> tuple[Telling, ...]:
    chosen = []
    for crop in crops:
        if not isinstance(crop, Telling):
            try:
                x, y = crop
            except (TypeError, ValueError):
                raise OutputError(
                    tr("A crop is given by its middle (x, y), not {crop!r}.", crop=crop)
                ) from None
            crop = at(x, y)
        chosen.append(crop)
    if not 1 <= len(chosen) <= MOST_CROPS:
        raise OutputError(
            tr(
                "Choose from 1 to {most} parts of the picture for the strip.",
                most=MOST_CROPS,
            )
        )
    return tuple(chosen)


def _solved_rows(job: PrintJob, layout: Layout, rows, crops, apart: float, offered):
    """[(telling, kind, name, solved)] of each decision, and what could not be tried, in sentences."""
    if unknown := [row for row in rows if row not in ROWS]:
        raise OutputError(
            tr(
                "A strip's rows are {listed}, not {unknown!r}.",
                listed=", ".join(ROWS),
                unknown=unknown[0],
            )
        )
    apart = positive(apart, tr("least difference between steps"), unit="CIEDE2000", at_most=20)
    size_mm = SUGGEST_MM, SUGGEST_MM
    tellings = telling_tones(job, layout, size_mm) if rows else {}
    wanted = [(kind, tellings.get(kind)) for kind in rows]
    wanted += [("around", telling) for telling in (_chosen(crops) if crops else ())]
    found, short = [], []
    for kind, telling in wanted:
        name = row_name(kind, job)
        if telling is None:
            short.append(
                tr(
                    "{name}: the picture has no {tones} to try it in.",
                    name=begin_large(name),
                    tones=TONE_NAMES[TONES_OF[kind]],
                )
            )
            continue
        colours = colours_in(job, layout, telling, size_mm, kind)
        solved = solved_steps(kind, job, colours, apart)
        if solved.short:
            short.append(solved.short)
        if len(solved.steps) > 1:
            found.append((telling, kind, name, solved))
    if offered is not None:
        if offered.made_for:
            tried = [
                (
                    each,
                    "place",
                    PLACE_ROW,
                    place_row(job, colours_in(job, layout, each, size_mm, "place"), offered),
                )
                for each in telling_crops(job, layout, size_mm)
            ]
            # where it shows most
            found.append(max(tried, key=lambda row: max(row[-1].gaps[0])))
        else:
            short.append(tr("Nothing needs to be changed for the place."))
    if not found:
        raise OutputError(
            " ".join(short) or tr("A strip tries at least one decision; choose a row, or a place.")
        )
    return found, tuple(short)


def _grid(count: int, steps: int, room: _Room) -> Grid:
    sheet, largest_mm = room.sheet, room.largest_mm
    longest = math.inf if room.fixed else LONGEST
    grid = best_grid(sheet, count, steps, room.margin_mm, room.gap_mm, largest_mm, longest)
    if room.fixed and min(g - m for g, m in zip(grid.patch_mm, largest_mm, strict=True)) < -0.01:
        raise SizeError(
            tr(
                "{count} patches of {size} do not fit {sheet}; at most {largest} each do. Take "
                "fewer parts or steps, or a larger sheet.",
                count=count * steps,
                size=area_text(*largest_mm, "mm"),
                sheet=sheet.phrase,
                largest=area_text(*grid.patch_mm, "mm"),
            )
        )
    if min(grid.patch_mm) < min(8.0, *largest_mm):
        raise SizeError(
            tr(
                "{count} patches on {sheet} would be only {width} wide; take fewer parts or "
                "steps, or a larger sheet.",
                count=count * steps,
                sheet=sheet.phrase,
                width=length_text(max(0.0, min(grid.patch_mm)), "mm"),
            )
        )
    return grid


def _suggested(job: PrintJob, layout: Layout, steps: int, room: _Room):
    """Telling parts, as many as leave patches large enough to judge."""
    for count in (5, 4, 3, 2, 1):
        try:
            grid = _grid(count, steps, room)
        except SizeError:
            if count == 1:
                raise
            continue
        if count > 1 and min(grid.patch_mm) < min(SMALLEST_MM, *room.largest_mm):
            continue
        found = telling_crops(job, layout, grid.patch_mm, count)
        # with fewer, each has more room, and the same are found again
        if len(found) < count:
            grid = _grid(len(found), steps, room)
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
    at_line, printed = itertools.count(), profile_of(job.paper) is not None
    for letter, (telling, kind, name, solved) in zip(LETTERS, found, strict=False):
        corner = [
            min(max(round(middle * most - side / 2), 0), most - side)
            for middle, most, side in zip((telling.x, telling.y), total, size, strict=True)
        ]
        crop = StripCrop(letter, telling, *corner, *size)
        rows.append(StripRow(crop, name, solved.lines, solved.apart, solved.gaps, kind, printed))
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
    size = tr("{area} at {ppi} ppi", area=area_text(*layout.front_mm), ppi=ppi_text(job.ppi))
    parts = [tr("Test strip: {picture}", picture=job.picture_name), size]
    if job.converted_for is not None:
        parts.append(job.converted_for.name)
        how = SHORT_INTENT_NAMES[job.intent]
        if job.black_point_compensation and job.intent != "absolute":
            how = tr("{intent}, black point compensation", intent=how)
        parts.append(how)
    else:
        parts.append(tr("colours for the driver to convert"))
    return " · ".join(parts)
