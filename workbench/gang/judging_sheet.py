"""A small sheet to judge a printer by eye: the chain patch, and a step wedge below it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np

from workbench.analysis.chain import LINE_MM, ChainPatch, chain_patch
from workbench.analysis.eye import distance_text
from workbench.analysis.sheets import MM_PER_INCH, positive
from workbench.analysis.wedge import READ, ROW_NAMES, WedgeRow, step_wedge
from workbench.analysis.words import signed
from workbench.errors import SizeError
from workbench.gang.labels import text_mask, text_width
from workbench.gang.page import Block, Mark, Page, line
from workbench.gang.sheet_file import WrittenSheet, checked_path, write_page
from workbench.language import tr
from workbench.paper import Paper

#: of the whole sheet, which fits A5 and the like
SHEET_MM = (140.0, 124.0)
_MARGIN, _TEXT, _GAP = 7.0, 3.2, 2.0
_PATCH = (64.0, 32.0)
_BAR, _FIELD = 15.0, 9.0
_LEAST_PPI, _MOST_PPI = 100.0, 1440.0


class _Pixels:
    """A block that is there already."""

    def __init__(self, pixels: np.ndarray):
        self._pixels = pixels
        self.height_px, self.width_px = pixels.shape[:2]

    def rows(self, y0: int, y1: int) -> np.ndarray:
        return self._pixels[y0:y1]

    def close(self) -> None:
        pass


@dataclass(frozen=True, eq=False)
class JudgingSheet:
    """What is printed to judge a printer by eye.

    Attributes
    ----------
    patch : the chain patch, see `chain_patch`.
    wedge : its rows, see `step_wedge`.
    page : the sheet, ready to be written.
    """

    patch: ChainPatch
    wedge: tuple[WedgeRow, ...]
    page: Page = field(repr=False)

    @property
    def pixels(self) -> np.ndarray:
        """The whole sheet as in the file, (rows, cols, 3) uint16."""
        return self.page.rows(0, self.page.height_px)


def judging_sheet(
    paper: Paper,
    *,
    source=None,
    others: tuple[Paper, ...] = (),
    intent: str = "relative",
    black_point_compensation: bool = True,
    ppi: float = 360.0,
) -> JudgingSheet:
    """Lay out the chain patch and the step wedge for a paper on a sheet of 140 × 124 mm.

    Parameters
    ----------
    paper, source, others, intent, black_point_compensation : as for `chain_patch`.
    ppi : of the printer, 100 to 1440.

    Returns
    -------
    A JudgingSheet.

    Raises
    ------
    PaperError, ProfileError, SizeError
        for what cannot be laid out; the message says why.

    Examples
    --------
    >>> sheet = wb.judging_sheet(papers[0], ppi=100)
    >>> sheet.pixels.shape[2]
    3
    """
    ppi = positive(ppi, tr("printer's resolution"), unit="ppi")
    if not _LEAST_PPI <= ppi <= _MOST_PPI:
        raise SizeError(
            tr(
                "A sheet to judge by is drawn at {least:g} to {most:g} ppi, not at {ppi:g}.",
                least=_LEAST_PPI,
                most=_MOST_PPI,
                ppi=ppi,
            )
        )
    how = {"source": source, "intent": intent, "black_point_compensation": black_point_compensation}
    patch = chain_patch(paper, others=others, **how)
    wedge = step_wedge(paper, **how)

    def px(mm: float) -> int:
        return round(mm / MM_PER_INCH * ppi)

    blocks, marks = [], []

    def write(x: float, y: float, text: str, size: float = _TEXT, room: float = 0.0) -> None:
        room = room or SHEET_MM[0] - _MARGIN - x
        marks.append(Mark(px(x), px(y), text_mask(text, px(size), px(room))))

    y = _MARGIN
    who = tr("colours converted in the file") if source is None else tr("for the driver to convert")
    write(_MARGIN, y, tr("Judging sheet: {paper} · {who}", paper=paper.name, who=who), 4.0)
    y += 4.0 + _GAP
    blocks.append(Block(px(_MARGIN), px(y), _Pixels(patch.pixels(ppi, _PATCH))))
    beside = _MARGIN + _PATCH[0] + 3
    told = tr(
        "Chain patch\nLook from {distance} or further:\nboth halves look alike\n"
        "when the chain is right.\nPlainly unlike: converted twice,\n"
        "not converted, or made for\nanother paper.",
        distance=distance_text(patch.distance_mm),
    )
    for n, text in enumerate(told.splitlines()):
        write(beside, y + n * (_TEXT + 1.2), text)
    y += _PATCH[1] + 2 * _GAP
    for row in wedge:
        text = tr("{name}: {read} (L* as printed)", name=ROW_NAMES[row.name], read=READ[row.name])
        size, most = _TEXT, px(_width())
        if (long := text_width(text, px(_TEXT))) > most:  # some languages need more room for it
            size *= 0.97 * most / long
        write(_MARGIN, y, text, size)
        y += _TEXT + 0.8
        blocks.append(Block(px(_MARGIN), px(y), _Pixels(_bar(row, px, px(LINE_MM)))))
        if row.name == "white":
            marks += _frame(px(_MARGIN), px(y), px(_width()), px(_BAR), max(1, px(0.1)))
        step = _width() / len(row.fields)
        for n in range(len(row.fields)):
            write(
                _MARGIN + (n + 0.14) * step,
                y + _BAR + 0.4,
                f"{n + 1}: {signed(row.steps[n])}",
                2.6,
                step,
            )
        y += _BAR + 2.6 + _GAP
    page = Page(px(SHEET_MM[0]), px(SHEET_MM[1]), ppi, patch.profile, source is None,
                tuple(blocks), tuple(marks))  # fmt: skip
    return JudgingSheet(patch, wedge, page)


def _width() -> float:
    return SHEET_MM[0] - 2 * _MARGIN


def _bar(row: WedgeRow, px, line_px: int) -> np.ndarray:
    """A bar with its fields, (rows, cols, 3) uint16."""
    around = np.rint(np.array(row.around) * 65535).astype(np.uint16)
    height, width = px(_BAR), px(_width())
    out = np.empty((height, width, 3), np.uint16)
    out[:] = around[np.arange(height) // max(1, line_px) % len(around)][:, None]
    top, side = (height - px(_FIELD)) // 2, px(_FIELD)
    for n, numbers in enumerate(row.fields):
        left = round((n + 0.5) * width / len(row.fields)) - side // 2
        out[top : top + side, left : left + side] = np.rint(np.array(numbers) * 65535)
    return out


def _frame(x: int, y: int, width: int, height: int, thick: int) -> list[Mark]:
    """A hairline round a bar of bare paper."""
    return [
        line(x, y - thick, width, thick), line(x, y + height, width, thick),
        line(x - thick, y, thick, height), line(x + width, y, thick, height),
    ]  # fmt: skip


def write_judging_sheet(
    sheet: JudgingSheet,
    path,
    *,
    progress: Callable[[float], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
    overwrite: bool = False,
) -> WrittenSheet:
    """Write the sheet as a 16-bit file whole or not at all, and read it back.

    Parameters
    ----------
    sheet : from `judging_sheet`.
    path : of the file; .tif (best) or .png.
    progress, cancelled, overwrite : as for `write_strip`.

    Returns
    -------
    A WrittenSheet.

    Raises
    ------
    OutputError
        if the file cannot be written; nothing is left of it.
    Cancelled

    Examples
    --------
    >>> sheet = wb.judging_sheet(papers[0], ppi=100)
    >>> wb.write_judging_sheet(sheet, folder / "judging.tif").path.name
    'judging.tif'
    """
    target, kind = checked_path(path, (), overwrite)
    return write_page(
        sheet.page, target, kind, f"Judging sheet for {sheet.patch.paper_name}",
        compression="deflate" if kind == "TIFF" else None, progress=progress,
        cancelled=cancelled, overwrite=overwrite,
    )  # fmt: skip
