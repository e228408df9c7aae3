"""Several prints on one sheet or one length of a roll, to save paper."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass, field, replace

from workbench.analysis.fit import fit_on
from workbench.analysis.sheets import (
    MM_PER_INCH,
    Sheet,
    area_text,
    find_sheet,
    length_text,
    positive,
)
from workbench.analysis.words import percent
from workbench.errors import OutputError, SizeError
from workbench.gang.packing import Packing, pack
from workbench.language import tr
from workbench.output.bands import target_profile
from workbench.output.job import PrintJob
from workbench.output.layout import MAX_PIXELS, ROUNDED_PX, Layout, WholePixels, layout_of
from workbench.printer import BORDERLESS

# printers seldom reach a sheet's edge (common practice, no source)
MARGIN_MM = 5.0
GAP_MM = 5.0


@dataclass(frozen=True, eq=False)
class Piece:
    """A print on the sheet, in print pixels from the sheet's upper left.

    ``width_px`` and ``height_px`` are as it lies; ``turned`` by a quarter to the left.
    """

    name: str
    job: PrintJob
    layout: Layout = field(repr=False)
    x_px: int
    y_px: int
    width_px: int
    height_px: int
    turned: bool


@dataclass(frozen=True, eq=False)
class Nest(WholePixels):
    """Prints laid on a sheet.

    Attributes
    ----------
    sheet : or roll.
    width_px, height_px, ppi : of the sheet as turned, or of the length used of a roll.
    pieces : those that fit, in the order given.
    left_out : (name, width_mm, height_mm) of those that do not.
    gap_mm : as asked for.
    margin_mm : as asked for, or as the printer needs.
    share_used : of the sheet that carries prints, white borders included, 0..1.
    paper_mm2 : area of the sheet, or of the length used.
    alone_mm2 : area of the paper that the same pieces take when each is printed alone on
        such a sheet or roll.
    """

    sheet: Sheet
    width_px: int
    height_px: int
    ppi: float
    pieces: tuple[Piece, ...]
    left_out: tuple[tuple[str, float, float], ...]
    gap_mm: float
    margin_mm: float
    share_used: float
    paper_mm2: float
    alone_mm2: float

    @property
    def inked_mm2(self) -> float:
        """Area of all prints without their white borders, which takes ink."""
        return sum(area for _, _, area in self.inked)

    @property
    def inked(self) -> list[tuple]:
        """(job, layout, mm²) of each print that takes ink."""
        pixel_mm2 = (MM_PER_INCH / self.ppi) ** 2
        return [(piece.job, piece.layout, math.prod(piece.layout.printed_px) * pixel_mm2)
                for piece in self.pieces]  # fmt: skip

    @property
    def saved_mm2(self) -> float:
        """Paper saved against printing each piece alone."""
        return self.alone_mm2 - self.paper_mm2

    def _first(self, unit: str) -> str:
        """How many prints lie on how much paper."""
        count, sheet = len(self.pieces), self.sheet
        if not count:
            return tr("None of these prints fits {sheet}.", sheet=sheet.phrase)
        if not sheet.is_roll:
            if count == 1:
                return tr("1 print on one sheet of {sheet}.", sheet=sheet.name)
            return tr(
                "{count} prints on one sheet of {sheet} instead of {count} sheets.",
                count=count,
                sheet=sheet.name,
            )
        used = length_text(self.height_mm, unit)
        if count == 1:
            return tr("1 print takes {used} of {roll}.", used=used, roll=sheet.phrase)
        return tr(
            "{count} prints take {used} of {roll}, {alone} one after another.",
            count=count,
            used=used,
            roll=sheet.phrase,
            alone=length_text(self.alone_mm2 / sheet.width_mm, unit),
        )

    def sentences(self, unit: str = "cm") -> tuple[str, ...]:
        """What lies where, what is saved and what is left out, in plain words."""
        count = len(self.pieces)
        said = [self._first(unit)]
        if count:
            share = percent(self.share_used)
            # square metres, as paper is sold; less than would show is none
            if count > 1 and self.saved_mm2 >= 0.005e6:
                said.append(
                    tr(
                        "{share} of the paper carries prints; {saved:.2f} m² is saved.",
                        share=share,
                        saved=self.saved_mm2 / 1e6,
                    )
                )
            else:
                said.append(tr("{share} of the paper carries prints.", share=share))
        turned = sum(piece.turned for piece in self.pieces)
        if turned == 1:
            said.append(tr("1 of them lies turned by a quarter."))
        elif turned:
            said.append(tr("{turned} of them lie turned by a quarter.", turned=turned))
        for (name, width, height), copies in Counter(self.left_out).items():
            many = f"{copies} × " if copies > 1 else ""
            said.append(
                tr(
                    "There is no room for {prints} ({area}).",
                    prints=f"{many}{name}",
                    area=area_text(width, height, unit),
                )
            )
        return tuple(said)


def nest(
    items,
    sheet,
    gap_mm: float = GAP_MM,
    margin_mm: float = MARGIN_MM,
    turn: bool = True,
) -> Nest:
    """Lay several prints on one sheet, or on the shortest length of a roll.

    Parameters
    ----------
    items : Plans, `PrintJob`s or the like; one that is wanted twice is given twice.  Each
        brings its own size, crop, borders and bleed; a sheet of its own is not used.
    sheet : a name, (width, height) in mm or a Sheet; a roll such as "24 in roll".
    gap_mm : between two prints; 0 for none.
    margin_mm : kept free at the sheet's edges, and at both ends of the length of a roll; at
        least what the printer leaves bare.
    turn : prints may be turned by a quarter.

    Returns
    -------
    A `Nest`; what does not fit is left out, and it says so.

    Raises
    ------
    OutputError
        for prints that cannot share a sheet: other papers, resolutions, intents, or
        another one who converts the colours.
    SizeError, ProfileError, UntaggedPictureError
        for sizes that are none, and prints that do not add up.

    Examples
    --------
    >>> both = wb.nest([plan, plan], "A3")
    >>> len(both.pieces)
    2
    """
    jobs = [_alone(PrintJob.from_plan(item)) for item in items]
    if not jobs:
        raise OutputError(tr("There is nothing to lay on the sheet yet; add a print first."))
    check_together(jobs)
    sheet = find_sheet(sheet)
    gap_mm = _length(gap_mm, tr("gap between prints"))
    bare = max(job.feed.bare_mm(roll=sheet.is_roll) for job in jobs)
    margin_mm = max(_length(margin_mm, tr("margin")), bare)
    ppi = jobs[0].ppi
    layouts = [layout_of(job) for job in jobs]
    gap, margin = (math.ceil(mm / MM_PER_INCH * ppi - 1e-6) for mm in (gap_mm, margin_mm))
    found, size = _best(layouts, sheet, ppi, gap, margin, turn)
    if size[0] * size[1] > MAX_PIXELS:
        raise SizeError(
            tr(
                "The sheet would have {width:,} × {height:,} pixels; lay fewer prints on it.",
                width=size[0],
                height=size[1],
            )
        )
    pieces = tuple(
        Piece(
            name=jobs[place.index].picture_name,
            job=jobs[place.index],
            layout=layouts[place.index],
            x_px=margin + place.x,
            y_px=margin + place.y,
            width_px=place.width,
            height_px=place.height,
            turned=place.turned,
        )
        for place in found.places
    )
    area_px = sum(piece.width_px * piece.height_px for piece in pieces)
    return Nest(
        sheet=sheet,
        width_px=size[0],
        height_px=size[1],
        ppi=ppi,
        pieces=pieces,
        left_out=tuple(
            (jobs[i].picture_name, layouts[i].width_mm, layouts[i].height_mm)
            for i in found.left_out
        ),
        gap_mm=gap_mm,
        margin_mm=margin_mm,
        share_used=area_px / (size[0] * size[1]),
        paper_mm2=size[0] * size[1] * (MM_PER_INCH / ppi) ** 2,
        alone_mm2=sum(_alone_mm2(piece, sheet, margin_mm) for piece in pieces),
    )


def check_together(jobs) -> None:
    """Raise OutputError, saying what differs, unless checked jobs can share a file."""
    first = jobs[0]
    for other in jobs[1:]:
        pair = tr("“{first}” and “{other}”", first=first.picture_name, other=other.picture_name)
        if other.ppi != first.ppi:
            raise OutputError(
                tr(
                    "{pair} are made for {first:g} and {other:g} ppi, and a file has one "
                    "resolution; choose the same for both.",
                    pair=pair,
                    first=first.ppi,
                    other=other.ppi,
                )
            )
        if other.converts != first.converts:
            raise OutputError(
                tr(
                    "The workbench converts the colours of one of {pair}, the printer driver those "
                    "of the other; let the same convert both.",
                    pair=pair,
                )
            )
        if target_profile(other) != target_profile(first):
            raise OutputError(
                tr(
                    "{pair} are for different papers, and a file has one profile; lay them on "
                    "sheets of their own.",
                    pair=pair,
                )
                if first.converts == "workbench"
                else tr(
                    "{pair} are for different colour spaces, and a file has one profile; lay "
                    "them on sheets of their own.",
                    pair=pair,
                )
            )
        if (other.intent, other.black_point_compensation) != (
            first.intent,
            first.black_point_compensation,
        ):
            raise OutputError(
                tr(
                    "{pair} have another rendering intent or black point compensation; choose the "
                    "same for both, so that the sheet is printed in one way.",
                    pair=pair,
                )
            )


def _alone(job: PrintJob) -> PrintJob:
    """Without a sheet of its own: the pieces lie on ours."""
    return replace(job, on_sheet=False) if job.on_sheet else job


def _length(value, name: str) -> float:
    return 0.0 if value == 0 else positive(value, name, unit="mm", at_most=500)


def _best(layouts, sheet: Sheet, ppi: float, gap: int, margin: int, turn: bool):
    """The better packing of both ways to turn the sheet, and the sheet's size in pixels."""
    sizes = [(layout.width_px, layout.height_px) for layout in layouts]
    across = round(sheet.width_mm / MM_PER_INCH * ppi)
    if sheet.height_mm is None:
        _check_room(across - 2 * margin, sheet)
        found = pack(sizes, (across - 2 * margin + ROUNDED_PX, None), gap, turn)
        return found, (max(across, margin + found.width), found.height + 2 * margin)
    along = round(sheet.height_mm / MM_PER_INCH * ppi)
    _check_room(min(across, along) - 2 * margin, sheet)
    answers = []
    for width, height in ((across, along), (along, across)):
        # each print is rounded to whole pixels by itself, so that a full sheet may be over by
        # one or two; these are taken from the margin, or the file becomes as much larger
        room = width - 2 * margin + ROUNDED_PX, height - 2 * margin + ROUNDED_PX
        found = pack(sizes, room, gap, turn)
        size = max(width, margin + found.width), max(height, margin + found.height)
        answers.append((found, size))
    return max(answers, key=lambda answer: _rank(*answer))


def _rank(found: Packing, size) -> tuple:
    """More pictures, fewer turned, a larger rest in one piece."""
    return found.area, -found.turned, -found.height / size[1]


def _check_room(room_px: int, sheet: Sheet) -> None:
    if room_px < 1:
        raise SizeError(
            tr(
                "The margins leave nothing of {sheet}; make them narrower or take a larger sheet.",
                sheet=sheet.phrase,
            )
        )


def _alone_mm2(piece: Piece, sheet: Sheet, margin_mm: float) -> float:
    """Paper that a piece takes by itself."""
    if not sheet.is_roll:
        return sheet.area_mm2
    size = piece.layout.width_mm, piece.layout.height_mm
    return fit_on(sheet, *size, margin_mm, BORDERLESS).paper_mm2
