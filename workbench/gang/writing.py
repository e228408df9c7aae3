"""Writing a test strip, or a sheet of several prints, as one file."""

from __future__ import annotations

import itertools
from collections.abc import Callable

import numpy as np

from workbench.analysis.sheets import MM_PER_INCH
from workbench.errors import OutputError
from workbench.gang.labels import cut_marks, text_mask, text_width
from workbench.gang.nest import Nest, Piece
from workbench.gang.page import Block, Mark, Page, line
from workbench.gang.rows import PrintRows, TurnedRows
from workbench.gang.sheet_file import WrittenSheet, checked_path, write_page
from workbench.gang.strip import Patch, Strip, as_planned
from workbench.language import tr
from workbench.output.bands import target_profile
from workbench.output.job import PrintJob

# of lines, mm; thin enough to be cut away
_LINE_MM = 0.1


class _PatchRows:
    """A patch's rows; made at the first and let go after the last."""

    def __init__(self, patch: Patch, make: Callable[[], np.ndarray]):
        self.width_px, self.height_px = patch.crop.width_px, patch.crop.height_px
        self._make = make
        self._pixels: np.ndarray | None = None

    def rows(self, y0: int, y1: int) -> np.ndarray:
        if self._pixels is None:
            self._pixels = self._make()
        return self._pixels[y0:y1]

    def close(self) -> None:
        self._pixels = None


def write_strip(
    strip: Strip,
    path,
    *,
    progress: Callable[[float], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
    overwrite: bool = False,
) -> WrittenSheet:
    """Write a test strip whole or not at all, and read it back.

    Parameters
    ----------
    strip : from `test_strip`.
    path : of the file; .tif (best) or .png.  Always 16 bits.
    progress : told the share done, 0..1.
    cancelled : asked between bands; true ends the work with `Cancelled`.
    overwrite : an existing file may be replaced; the picture itself never is.

    Returns
    -------
    A WrittenSheet.

    Raises
    ------
    OutputError
        if the file cannot be written, or is not as planned when read back; nothing is
        left of it.
    Cancelled

    Examples
    --------
    >>> strip = wb.test_strip(plan, crops=[(0.5, 0.5)], lightness_steps=(-3, 0, 3), sheet="A6")
    >>> wb.write_strip(strip, folder / "strip.tif").path.name
    'strip.tif'
    """
    job = strip.job
    target, kind = checked_path(path, _originals([job]), overwrite)
    planned = _Planned(strip, cancelled)
    page = _page(
        strip,
        job,
        [
            Block(patch.x_px, patch.y_px, _PatchRows(patch, planned.maker(patch)))
            for patch in strip.patches
        ],
        _strip_marks(strip),
    )
    return write_page(
        page, target, kind, strip.title, compression=job.compression, progress=progress,
        cancelled=cancelled, overwrite=overwrite,
    )  # fmt: skip


class _Planned:
    """The patches as planned, made together because several lie in one band of the print."""

    def __init__(self, strip: Strip, cancelled):
        self._strip, self._cancelled = strip, cancelled
        self._made: dict[str, np.ndarray] | None = None

    def maker(self, patch: Patch) -> Callable[[], np.ndarray]:
        if patch.step.as_planned:
            return lambda: self._of(patch)
        return lambda: self._strip.pixels(patch.crop, patch.step)

    def _of(self, patch: Patch) -> np.ndarray:
        strip = self._strip
        if self._made is None:
            parts = as_planned(strip.job, strip.layout, strip.crops, self._cancelled)
            self._made = dict(zip((crop.letter for crop in strip.crops), parts, strict=True))
        return self._made[patch.crop.letter]


def _strip_marks(strip: Strip):
    x, y, height = strip.title_px
    yield Mark(x, y, text_mask(strip.title, height, strip.width_px - 2 * x))
    labels, room = _labels(strip)
    for patch, label in zip(strip.patches, labels, strict=True):
        below = patch.y_px + patch.crop.height_px
        yield Mark(patch.x_px, below, text_mask(label, strip.label_px, room))


def _labels(strip: Strip) -> tuple[list[str], int]:
    """The patches' labels, as long as all have room for, and that room in pixels.

    What tells the steps apart must not be cut off, so small patches say it shorter.
    """
    stops = sorted({patch.x_px for patch in strip.patches})
    stops.append(strip.width_px - strip.title_px[0])
    pitch = min(after - before for before, after in itertools.pairwise(stops))
    room = max(1, pitch - strip.label_px // 4)
    for labels in zip(*(patch.labels for patch in strip.patches), strict=True):
        if all(text_width(label, strip.label_px) <= room for label in labels):
            break
    return list(labels), room


def write_nest(
    nest: Nest,
    path,
    *,
    marks: bool = True,
    progress: Callable[[float], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
    overwrite: bool = False,
) -> WrittenSheet:
    """Write a sheet of several prints whole or not at all, and read it back.

    Parameters
    ----------
    nest : from `nest`.
    marks : thin grey lines at the corners of each print, in the gap, say where to cut.

    Others, and what is raised, as `write_strip`.  Each print has the pixels of its own
    16-bit print file.  A turned one goes through a file without a name in the same folder,
    which vanishes by itself.

    Returns
    -------
    A WrittenSheet.

    Raises
    ------
    OutputError
        if the file cannot be written; nothing is left half done.

    Examples
    --------
    >>> wb.write_nest(wb.nest([plan], "A4"), folder / "nest.tif").path.name
    'nest.tif'
    """
    if not nest.pieces:
        raise OutputError(tr("None of the prints fits the sheet, so there is nothing to write."))
    jobs = [piece.job for piece in nest.pieces]
    target, kind = checked_path(path, _originals(jobs), overwrite)
    blocks = [
        Block(piece.x_px, piece.y_px, _rows_of(piece, target.parent, cancelled))
        for piece in nest.pieces
    ]
    page = _page(nest, jobs[0], blocks, _cut_lines(nest) if marks else ())
    turned_px = sum(p.width_px * p.height_px for p in nest.pieces if p.turned)
    names = ", ".join(dict.fromkeys(piece.name for piece in nest.pieces))
    return write_page(
        page, target, kind, f"{len(jobs)} prints on one sheet: {names}",
        spool_bytes=turned_px * page.channels * 2, compression=jobs[0].compression,
        progress=progress, cancelled=cancelled, overwrite=overwrite,
    )  # fmt: skip


def _rows_of(piece: Piece, folder, cancelled):
    rows = PrintRows(piece.job, piece.layout)
    return TurnedRows(rows, folder, cancelled) if piece.turned else rows


def _cut_lines(nest: Nest):
    thickness = max(1, round(_LINE_MM / MM_PER_INCH * nest.ppi))
    # at the sheet's edges there is the margin instead of a gap
    gap = round(min(nest.gap_mm, nest.margin_mm or nest.gap_mm) / MM_PER_INCH * nest.ppi)
    for piece in nest.pieces:
        for x, y, width, height in cut_marks(piece.width_px, piece.height_px, gap, thickness):
            x, y = piece.x_px + x, piece.y_px + y
            inside = x >= 0 and y >= 0
            if inside and x + width <= nest.width_px and y + height <= nest.height_px:
                yield line(x, y, width, height)


def _page(sheet, job: PrintJob, blocks, marks) -> Page:
    return Page(
        width_px=sheet.width_px,
        height_px=sheet.height_px,
        ppi=sheet.ppi,
        profile=target_profile(job),
        converted=job.converts == "workbench",
        blocks=tuple(blocks),
        marks=tuple(marks),
    )


def _originals(jobs) -> list:
    return [getattr(job.picture, "path", None) for job in jobs]
