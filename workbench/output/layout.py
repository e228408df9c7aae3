"""Where everything lies in a print file, in whole pixels."""

from __future__ import annotations

from dataclasses import dataclass

from workbench.analysis.crop import crop_to_ratio
from workbench.analysis.fit import SheetFit, fit_on
from workbench.analysis.sheets import MM_PER_INCH, area_text, find_sheet, length_text
from workbench.errors import SizeError
from workbench.language import tr
from workbench.output.job import PrintJob
from workbench.output.resample import Axis

# sides that were typed as rounded numbers agree within this share
_AGREEMENT = 0.005
# by how much a sum of lengths may be over, each rounded to whole pixels by itself
ROUNDED_PX = 2
# the largest a picture may be, to catch a slip of the unit before memory is set aside
MAX_PIXELS = 4_000_000_000


class WholePixels:
    """What has ``width_px``, ``height_px`` and ``ppi``, in millimetres."""

    width_px: int
    height_px: int
    ppi: float

    @property
    def width_mm(self) -> float:
        """Of the file, in whole pixels."""
        return self.width_px / self.ppi * MM_PER_INCH

    @property
    def height_mm(self) -> float:
        """Of the file, in whole pixels."""
        return self.height_px / self.ppi * MM_PER_INCH


@dataclass(frozen=True)
class Layout(WholePixels):
    """A print file's pixels.

    Attributes
    ----------
    width_px, height_px : of the file.
    across, down : how the picture is resampled, each way (`Axis`); ``n_out`` is the
        printed picture, without a bleed made of its edges.
    bleed_px : mirrored or drawn out on each side.
    x_px, y_px : upper left of the printed picture, bleed included, in the file.
    front_box_px : (x, y, width, height) of what is seen at the front, in the file.
    beyond_px : of bleed around it on each side, whatever that is made of.
    front_mm : (width, height) seen at the front, in whole pixels.
    ppi : of the file.
    notes : sentences on what had to be decided.
    bar_px : of the bleed, what lies on the sides of a frame's bars.
    """

    width_px: int
    height_px: int
    across: Axis
    down: Axis
    bleed_px: int
    x_px: int
    y_px: int
    front_box_px: tuple[int, int, int, int]
    beyond_px: int
    front_mm: tuple[float, float]
    ppi: float
    notes: tuple[str, ...]
    bar_px: int = 0

    @property
    def printed_px(self) -> tuple[int, int]:
        """Width and height of the printed picture, bleed included."""
        return self.across.n_out + 2 * self.bleed_px, self.down.n_out + 2 * self.bleed_px

    @property
    def factor(self) -> float:
        """Print pixels for each picture pixel."""
        return max(self.across.factor, self.down.factor)


def layout_of(job: PrintJob) -> Layout:
    """Lay out a checked job.

    Every length becomes the nearest whole number of pixels.  Raises SizeError where
    sizes contradict each other or do not fit.
    """
    notes: list[str] = []
    x, y, width, height = job.crop
    box = (float(x), float(y), float(width), float(height))
    front = _front_px(job, box)
    bleed = _pixels(job.bleed_mm, job.ppi)
    made = bleed if job.bleed in ("mirrored", "stretched") else 0
    printed = front
    if bleed and job.bleed == "picture":
        printed = front[0] + 2 * bleed, front[1] + 2 * bleed
    if _ratio_given(job) or printed != front:
        box = _to_ratio(box, printed[0] / printed[1], notes)
    if job.bleed == "mirrored" and made > min(printed):
        raise SizeError(
            tr(
                "A mirrored bleed of {length} is wider than the picture; make it narrower.",
                length=length_text(job.bleed_mm, "mm"),
            )
        )
    across = Axis(box[0], box[2], printed[0], x, x + width)
    down = Axis(box[1], box[3], printed[1], y, y + height)
    white = bleed if job.bleed == "white" else 0
    outer = printed[0] + 2 * (made + white), printed[1] + 2 * (made + white)
    size, place = _place(job, outer)
    if size[0] * size[1] > MAX_PIXELS:
        raise SizeError(
            tr(
                "The print file would have {width:,} × {height:,} pixels; choose a smaller size "
                "or a lower ppi, or check the unit.",
                width=size[0],
                height=size[1],
            )
        )
    return Layout(
        width_px=size[0],
        height_px=size[1],
        across=across,
        down=down,
        bleed_px=made,
        x_px=place[0] + white,
        y_px=place[1] + white,
        front_box_px=(place[0] + bleed, place[1] + bleed, *front),
        beyond_px=bleed,
        bar_px=min(_pixels(job.bar_depth_mm, job.ppi), bleed),
        front_mm=(front[0] / job.ppi * MM_PER_INCH, front[1] / job.ppi * MM_PER_INCH),
        ppi=job.ppi,
        notes=tuple(notes),
    )


def _pixels(length_mm: float, ppi: float) -> int:
    return round(length_mm / MM_PER_INCH * ppi)


def _ratio_given(job: PrintJob) -> bool:
    return job.size_px is not None or None not in (job.width_mm, job.height_mm)


def _front_px(job: PrintJob, box) -> tuple[int, int]:
    _, _, width, height = box
    if job.size_px is not None:
        return job.size_px
    if job.width_mm is None and job.height_mm is None:
        return int(width), int(height)
    across = None if job.width_mm is None else max(1, _pixels(job.width_mm, job.ppi))
    down = None if job.height_mm is None else max(1, _pixels(job.height_mm, job.ppi))
    if across is None:
        across = max(1, round(down * width / height))
    if down is None:
        down = max(1, round(across * height / width))
    return across, down


def _to_ratio(box, ratio: float, notes: list[str]):
    """The middle of a box in the ratio wanted; to the fraction where it is a trifle."""
    x, y, width, height = box
    off = width / height / ratio
    if abs(off - 1) > _AGREEMENT:
        crop = crop_to_ratio(int(width), int(height), ratio)
        notes.append(crop.text())
    # whole pixels more or less would stretch the picture by a hair
    kept_width, kept_height = min(width, height * ratio), min(height, width / ratio)
    if kept_width > width - 0.5 and kept_height > height - 0.5:
        return box
    return x + (width - kept_width) / 2, y + (height - kept_height) / 2, kept_width, kept_height


def _place(job: PrintJob, outer: tuple[int, int]):
    """Size of the file and place of the picture in it."""
    ppi = job.ppi
    top, right, bottom, left = (_pixels(side, ppi) for side in job.borders_mm.sides)
    if job.on_sheet:
        fit = _fit(job, outer)
        size = _pixels(fit.width_mm, ppi), _pixels(fit.height_mm, ppi)
        bare = [_pixels(side, ppi) for side in fit.kept.sides]
        room = size[0] - bare[1] - bare[3], size[1] - bare[0] - bare[2]
        # lengths are rounded one by one, so that a full sheet may be over by a pixel or two;
        # these are taken from the borders, or the file becomes as much larger
        if min(room[0] - outer[0], room[1] - outer[1]) < -ROUNDED_PX:
            raise SizeError(_too_large(job, outer))
        size = max(size[0], outer[0]), max(size[1], outer[1])
        across = _within(_pixels(fit.left_mm, ppi), outer[0], bare[3], bare[1], size[0])
        down = _within(_pixels(fit.top_mm, ppi), outer[1], bare[0], bare[2], size[1])
    else:
        size = outer[0] + left + right, outer[1] + top + bottom
        across, down = left, top
    return size, (across, down)


def _within(start: int, length: int, before: int, after: int, whole: int) -> int:
    """A start moved inside what stays bare, and failing that inside the file."""
    start = max(min(start, whole - after - length), before)
    return max(min(start, whole - length), 0)


def _fit(job: PrintJob, outer: tuple[int, int]) -> SheetFit:
    width, height = (side / job.ppi * MM_PER_INCH for side in outer)
    return fit_on(find_sheet(job.sheet), width, height, job.borders_mm, job.feed, job.moved_mm)


def _too_large(job: PrintJob, outer: tuple[int, int]) -> str:
    width, height = (side / job.ppi * MM_PER_INCH for side in outer)
    return tr(
        "The print of {area} {fits}. Make it smaller, the borders narrower, or take a larger "
        "sheet.",
        area=area_text(width, height, "mm"),
        fits=_fit(job, outer).text("mm"),
    )
