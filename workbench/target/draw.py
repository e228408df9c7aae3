"""The target as a page of exact print pixels, and its file for the printer."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from workbench.analysis.sheets import MM_PER_INCH, positive
from workbench.characteristics import drying_text
from workbench.errors import TargetError
from workbench.files import check_target, free_path, written_whole
from workbench.files.text import clean_text
from workbench.language import tr
from workbench.output.formats import kind_for
from workbench.output.job import PrintJob
from workbench.output.letters import letters
from workbench.output.print_file import WrittenFile, write_print_file
from workbench.paper import Paper
from workbench.picture.opening import from_pixels
from workbench.picture.picture import Picture
from workbench.target.cgats_file import plain_text, reference_text
from workbench.target.geometry import MARK, MARK_HOLES, PATCH, Geometry, geometry_of
from workbench.target.patches import COLUMNS, SPACE, Target, target_for

PATCH_MM = 9.0
_SMALLEST_MM, _LARGEST_MM = 5.0, 40.0
_LEAST_PPI, _MOST_PPI = 100.0, 1440.0
_WHITE, _HAIRLINE = 65535, 40000
# of a mark's radius, by the number of its holes: their own, and how far out they lie
_HOLES = {1: (0.5, 0.0), 2: (0.32, 0.42), 3: (0.27, 0.5), 4: (0.24, 0.52)}
#: widths in print pixels of the lines and squares of the fine-detail field
DETAIL_PX = (1, 2, 3, 4)


@dataclass(frozen=True, eq=False)
class Page:
    """A drawn target.

    Attributes
    ----------
    picture : a Picture in the target's RGB space, 16 bits; one pixel is one print pixel.
    boxes_px : for each patch (x0, y0, x1, y1), inside which every pixel is the patch's own.
    ppi : at which it has to be printed.
    """

    picture: Picture
    boxes_px: tuple[tuple[int, int, int, int], ...]
    ppi: float


def target_picture(target: Target, ppi: float = 360.0, patch_mm: float = PATCH_MM) -> Page:
    """Draw a target.

    Parameters
    ----------
    target : see `target_for`.
    ppi : of the printer, 100 to 1440.
    patch_mm : side of a patch, 5 to 40; what an instrument's opening asks for.

    Raises
    ------
    TargetError
        for a resolution or a size outside these limits.
    """
    ppi = positive(ppi, tr("printer's resolution"), unit="ppi")
    patch_mm = positive(patch_mm, tr("side of a patch"), unit="mm")
    if not _LEAST_PPI <= ppi <= _MOST_PPI:
        raise TargetError(
            tr(
                "A target is drawn at {least_ppi:g} to {most_ppi:g} ppi, not at {ppi:g}.",
                least_ppi=_LEAST_PPI,
                most_ppi=_MOST_PPI,
                ppi=ppi,
            )
        )
    if not _SMALLEST_MM <= patch_mm <= _LARGEST_MM:
        raise TargetError(
            tr(
                "Patches are {smallest_mm:g} to {largest_mm:g} mm wide, not {patch_mm:g}.",
                smallest_mm=_SMALLEST_MM,
                largest_mm=_LARGEST_MM,
                patch_mm=patch_mm,
            )
        )
    page = geometry_of(target)
    # one number of pixels a step, so that every patch is as large as every other
    pitch = round(patch_mm / PATCH / MM_PER_INCH * ppi)
    size = round(page.height * pitch), round(page.width * pitch)
    pixels = np.full((*size, 3), _WHITE, np.uint16)
    _draw_words(pixels, target, page, pitch)
    _draw_marks(pixels, page, pitch)
    _draw_detail(pixels, page, pitch)
    boxes = []
    for index, rgb in enumerate(np.rint(target.rgb * 65535).astype(np.uint16)):
        x, y, width, height = page.patch(index)
        x0, y0 = round(x * pitch), round(y * pitch)
        box = x0, y0, x0 + round(width * pitch), y0 + round(height * pitch)
        pixels[box[1] : box[3], box[0] : box[2]] = rgb
        if target.rgb[index].min() == 1:
            _frame(pixels, box, round(0.04 * pitch))
        boxes.append(box)
    picture = from_pixels(pixels, SPACE, name=tr("Target"), ppi_tag=ppi)
    return Page(picture, tuple(boxes), ppi)


def _frame(pixels: np.ndarray, box, away_px: int) -> None:
    """A hairline outside a patch that could not be told from the paper otherwise."""
    x0, y0, x1, y1 = box
    x0, y0, x1, y1 = x0 - away_px, y0 - away_px, x1 + away_px - 1, y1 + away_px - 1
    for part in (np.s_[y0, x0:x1], np.s_[y1, x0:x1], np.s_[y0:y1, x0], np.s_[y0 : y1 + 1, x1]):
        pixels[part] = _HAIRLINE


def mark_shape(holes: int, side_px: int) -> np.ndarray:
    """Ink coverage 0..1 of a corner mark: a disc with so many round holes."""
    fine = 4
    at = (np.arange(side_px * fine) + 0.5) / (side_px * fine) * 2 - 1
    x, y = np.meshgrid(at, at)
    ink = np.hypot(x, y) <= 1
    radius, out = _HOLES[holes]
    for turn in 2 * np.pi * np.arange(holes) / holes:
        ink &= np.hypot(x - out * np.cos(turn), y - out * np.sin(turn)) > radius
    return ink.reshape(side_px, fine, side_px, fine).mean(axis=(1, 3))


def _draw_marks(pixels: np.ndarray, page: Geometry, pitch: int) -> None:
    side = round(MARK * pitch)
    for (x, y), holes in zip(page.marks, MARK_HOLES, strict=True):
        _lay(
            pixels,
            mark_shape(holes, side),
            round(x * pitch - side / 2),
            round(y * pitch - side / 2),
        )


def _lay(pixels: np.ndarray, ink: np.ndarray, x: int, y: int) -> None:
    """Black where ``ink`` is 1; what falls outside the page is left away."""
    y0, x0 = max(0, y), max(0, x)
    y1 = min(pixels.shape[0], y + ink.shape[0])
    x1 = min(pixels.shape[1], x + ink.shape[1])
    part = ink[y0 - y : y1 - y, x0 - x : x1 - x, None]
    under = pixels[y0:y1, x0:x1]
    under[:] = np.rint(under * (1 - part)).astype(np.uint16)


def _draw_words(pixels: np.ndarray, target: Target, page: Geometry, pitch: int) -> None:
    x0, y0 = page.grid
    for column in range(page.columns):
        _write(pixels, str(column + 1), (x0 + column + PATCH / 2) * pitch, (y0 - 0.32) * pitch,
               0.36 * pitch, "mm")  # fmt: skip
    for row in range(page.rows):
        _write(pixels, target.ids[row * COLUMNS][0], (x0 - 0.35) * pitch,
               (y0 + row + PATCH / 2) * pitch, 0.36 * pitch, "mm")  # fmt: skip
    x, y = page.title
    size, room = 0.32 * pitch, (page.width - 2 * x) * pitch
    tail = f"  {target.conversion}"
    # the font has hardly any other letters
    name = plain_text(target.paper_name)
    while len(name) > 4 and _width(f"{name}{tail}", size) > room:
        name = name[:-2].rstrip() + "…"
    _write(pixels, f"{name}{tail}", x * pitch, y * pitch, size, "lm")


def _font(size_px: float):
    return letters(max(6, round(size_px)))


def _width(text: str, size_px: float) -> float:
    return _font(size_px).getlength(text)


def _write(pixels: np.ndarray, text: str, x: float, y: float, size_px: float, anchor: str) -> None:
    from PIL import Image, ImageDraw

    font = _font(size_px)
    left, top, right, bottom = font.getbbox(text, anchor=anchor)
    edge = 2
    image = Image.new("L", (int(right - left) + 2 * edge, int(bottom - top) + 2 * edge))
    ImageDraw.Draw(image).text((edge - left, edge - top), text, fill=255, font=font, anchor=anchor)
    _lay(pixels, np.asarray(image) / 255, round(x + left) - edge, round(y + top) - edge)


def _draw_detail(pixels: np.ndarray, page: Geometry, pitch: int) -> None:
    """Upright lines, level lines and squares of each width, in a row of fields."""
    x, y, width, height = page.detail
    kinds = ("upright", "level", "squares")
    words = 0.45
    step = width / (len(kinds) * len(DETAIL_PX))
    for field in range(len(kinds) * len(DETAIL_PX)):
        kind, px = kinds[field // len(DETAIL_PX)], DETAIL_PX[field % len(DETAIL_PX)]
        left = round((x + field * step) * pitch)
        top = round((y + words) * pitch)
        across, down = round(PATCH * step * pitch), round((height - words) * pitch)
        row, column = np.indices((down, across)) // px % 2
        black = {"upright": column, "level": row, "squares": row ^ column}[kind] == 1
        pixels[top : top + down, left : left + across][black] = 0
        _write(
            pixels,
            f"{px} px",
            left + across / 2,
            (y + words / 2) * pitch,
            0.3 * pitch,
            "mm",
        )


@dataclass(frozen=True, eq=False)
class WrittenTarget:
    """A target that has been written.

    Attributes
    ----------
    print_file : what went to the disk for the printer, see `WrittenFile`.
    reference : path of the text file with what each patch should measure.
    target : the `Target`.
    drying_hours : of the paper, None where not known.
    """

    print_file: WrittenFile
    reference: Path
    target: Target
    drying_hours: float | None = None

    @property
    def sentences(self) -> tuple[str, ...]:
        """What was written and what to do with it."""
        file = self.print_file
        return (
            tr(
                "“{file}”: {count} patches on {width_mm:.0f} × {height_mm:.0f} mm, in "
                "the colours of “{paper}”.",
                file=clean_text(file.path.name),
                count=len(self.target),
                width_mm=file.width_mm,
                height_mm=file.height_mm,
                paper=clean_text(self.target.paper_name),
            ),
            tr(
                "Print it at 100 %, with the printer driver's own colour conversion off and the "
                "settings that you use for pictures on this paper."
            ),
            tr("Let it dry for {time} before you measure it.", time=drying_text(self))
            if self.drying_hours
            else tr("Let it dry for a day before you measure it (common practice, no source)."),
            tr(
                "What each patch should measure stands in “{file}”.",
                file=clean_text(self.reference.name),
            ),
        )


def reference_path(path) -> Path:
    """Where the reference values of a target's print file go: beside it."""
    path = Path(path)
    return path.with_name(f"{path.stem}-reference.txt")


def target_path(folder, paper_name: str) -> Path:
    """A path for a paper's target in a folder, free together with its reference's.

    Raises
    ------
    OutputError
        for a missing folder, or one that holds too many targets.
    """
    return free_path(folder, f"target {paper_name}", ".tif", beside=reference_path)


def write_target(
    paper: Paper,
    path,
    *,
    intent: str = "relative",
    black_point_compensation: bool = True,
    ppi: float = 360.0,
    patch_mm: float = PATCH_MM,
    sheet=None,
    progress: Callable[[float], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
    overwrite: bool = False,
) -> WrittenTarget:
    """Write the target for a paper: a 16-bit file in its colours, and the reference values.

    Parameters
    ----------
    paper : a Paper.
    path : of the print file, ending in .tif (or .png for RGB papers).  The reference goes
        beside it, see `reference_path`.
    intent, black_point_compensation : of the conversion.
    ppi, patch_mm : see `target_picture`.
    sheet : name of a sheet such as "A4" to centre it on; None writes the page alone.
    progress, cancelled, overwrite : as for `write_print_file`.

    Returns
    -------
    What was written: the page, and its reference.

    Raises
    ------
    TargetError, SizeError, OutputError, ProfileError, Cancelled
        nothing new is left of either file then.

    Examples
    --------
    >>> files = wb.write_target(papers[0], folder / "target.tif", ppi=100)
    >>> (folder / "target.tif").is_file()
    True
    """
    target = target_for(paper, intent, black_point_compensation)
    path = check_target(path, overwrite=overwrite)
    kind, new = kind_for(path), not path.exists()
    if kind == "JPEG":
        raise TargetError(
            tr("A JPEG file does not keep colours exactly; end the target's name in .tif.")
        )
    reference = check_target(reference_path(path), overwrite=overwrite)
    page = target_picture(target, ppi, patch_mm)
    job = PrintJob(
        picture=page.picture,
        paper=paper,
        ppi=page.ppi,
        sheet=sheet,
        on_sheet=sheet is not None,
        intent=intent,
        black_point_compensation=black_point_compensation,
        sharpening=None,
        compression="deflate" if kind == "TIFF" else None,
        description=f"Target for {paper.name}, {len(target)} patches; {target.conversion}",
    )
    written = None
    try:
        # the reference takes its name last, so that a former pair stays one if this fails
        with written_whole(reference, overwrite=overwrite) as unfinished:
            unfinished.stream.write(reference_text(target).encode("ascii"))
            unfinished.stream.flush()
            written = write_print_file(
                job, path, progress=progress, cancelled=cancelled, overwrite=overwrite
            )
    except BaseException:
        if written is not None and new:
            written.path.unlink(missing_ok=True)
        raise
    return WrittenTarget(written, reference, target, paper.drying_hours)
