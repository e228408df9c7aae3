"""Cropping to a ratio, with what is lost, and what resampling to the printer's resolution means."""

from __future__ import annotations

import re
from dataclasses import dataclass

from workbench.analysis.sheets import MM_PER_INCH, positive
from workbench.analysis.words import listed
from workbench.decisions import HIGHEST_PPI
from workbench.errors import SizeError
from workbench.language import decimal, numeral, tr

_SLIMMEST = 100.0  # a ratio beyond 100:1 is taken for a slip
#: The two usual classes of photo inkjets and their doubles (common practice, no source).
PRINTER_CLASSES_PPI = (300.0, 360.0, 600.0, 720.0)


@dataclass(frozen=True, slots=True)
class Crop:
    """The part of a picture that is printed, in whole pixels of the upright picture.

    ``kept`` and ``lost`` are shares of its pixels and add up to 1; ``left_px``,
    ``right_px``, ``top_px`` and ``bottom_px`` are cut from each side.
    """

    x_px: int
    y_px: int
    width_px: int
    height_px: int
    kept: float
    lost: float
    left_px: int
    right_px: int
    top_px: int
    bottom_px: int

    @property
    def box_px(self) -> tuple[int, int, int, int]:
        """(x, y, width, height)."""
        return self.x_px, self.y_px, self.width_px, self.height_px

    def text(self) -> str:
        """One sentence on what the crop takes away."""
        if not self.left_px + self.right_px + self.top_px + self.bottom_px:
            return tr("The whole picture is printed.")
        cuts = (
            (self.left_px, tr("{count:,} px left", count=self.left_px)),
            (self.right_px, tr("{count:,} px right", count=self.right_px)),
            (self.top_px, tr("{count:,} px top", count=self.top_px)),
            (self.bottom_px, tr("{count:,} px bottom", count=self.bottom_px)),
        )
        lost = tr("{lost:.1f} %", lost=100 * self.lost)
        return tr(
            "The crop cuts {sides}: {lost} of the picture is lost.",
            sides=listed(said for count, said in cuts if count),
            lost=lost if self.lost >= 0.0005 else tr("under 0.1 %"),
        )


def parse_ratio(ratio) -> float:
    """Width over height, from 1.5, "3:2", "3/2", "3x2", "square" or (3, 2).

    Raises SizeError for anything else, and for ratios slimmer than 100:1.
    """
    value = ratio
    if isinstance(ratio, str):
        text = ratio.strip().lower().replace("×", "x")
        parts = re.split(r"\s*[:/x]\s*", "1:1" if text == "square" else text)
        try:
            value = tuple(decimal(part) for part in parts)
        except ValueError:
            raise SizeError(
                tr("{ratio!r} is not a ratio: write 3:2, 5:4 or 1.5.", ratio=ratio)
            ) from None
        value = value if len(value) > 1 else value[0]
    if isinstance(value, (tuple, list)):
        if len(value) != 2:
            raise SizeError(
                tr("A ratio has two numbers, such as 3:2; {ratio!r} does not.", ratio=ratio)
            )
        width, height = (positive(part, tr("crop ratio")) for part in value)
        value = width / height
    number = positive(value, tr("crop ratio"))
    if not 1 / _SLIMMEST <= number <= _SLIMMEST:
        raise SizeError(
            tr("A crop to {ratio!r} is slimmer than 100:1; write a ratio such as 3:2.", ratio=ratio)
        )
    return number


def turned_ratio(ratio: float, width_px: int, height_px: int, orientation=None) -> float:
    """``ratio`` turned upright or lengthwise.

    As in the trade, where 5:4 and 4:5 name one format, a ratio follows the
    picture's own orientation, unless ``orientation`` is "portrait", "landscape"
    or "as given".  A square picture takes the ratio as given.
    """
    if orientation not in (None, "portrait", "landscape", "as given"):
        raise SizeError(
            tr(
                "The crop orientation is 'portrait', 'landscape', 'as given' or None to follow "
                "the picture, not {orientation!r}.",
                orientation=orientation,
            )
        )
    if orientation == "as given" or (orientation is None and width_px == height_px):
        return ratio
    landscape = width_px > height_px if orientation is None else orientation == "landscape"
    return max(ratio, 1 / ratio) if landscape else min(ratio, 1 / ratio)


def crop_to_ratio(width_px: int, height_px: int, ratio: float | None,
                  position: tuple[float, float] = (0.5, 0.5)) -> Crop:  # fmt: skip
    """The largest part of a picture with width / height = ``ratio``, to the whole pixel.

    ``position`` places it: 0 is left or top, 1 right or bottom, 0.5 the middle.
    With ``ratio`` None the whole picture is kept.  Raises SizeError for a
    position outside 0 to 1.
    """
    try:
        across, down = (float(p) for p in position)
    except (TypeError, ValueError):
        across = down = -1.0
    if not (0 <= across <= 1 and 0 <= down <= 1):
        raise SizeError(
            tr("The crop position is two numbers from 0 to 1, not {position!r}.", position=position)
        )
    width, height = width_px, height_px
    if ratio is not None:
        if width_px > height_px * ratio:
            width = min(width_px, max(1, round(height_px * ratio)))
        else:
            height = min(height_px, max(1, round(width_px / ratio)))
    x, y = round((width_px - width) * across), round((height_px - height) * down)
    kept = (width * height) / (width_px * height_px)
    return Crop(x, y, width, height, kept, 1.0 - kept, x, width_px - width - x, y,
                height_px - height - y)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Resampling:
    """From the picture's own pixels to the printer's: ``factor`` is printer ppi / picture ppi.

    ``kind`` is "enlarge" (pixels are invented), "reduce" (pixels are averaged) or
    "none"; ``sentence`` says in plain words what that means for the print.
    """

    printer_ppi: float
    factor: float
    kind: str
    target_width_px: int
    target_height_px: int
    sentence: str


def ppi_text(ppi: float) -> str:
    """A resolution as a short number: whole from 100 up, one decimal below."""
    whole = ppi >= 99.95 or ppi == round(ppi)
    return numeral(ppi, ".0f" if whole else ".1f")


def resampling_for(
    width_px: int,
    height_px: int,
    ppi: float,
    printer_ppi: float,
    size_mm: tuple[float, float] | None = None,
) -> Resampling:
    """What printing ``width_px`` × ``height_px`` at ``ppi`` on a printer of ``printer_ppi`` takes.

    ``size_mm`` is the print's size where it is known better than by whole picture pixels: a
    crop to a ratio is off by up to half of one, which enlarging makes several print pixels.

    Raises SizeError for a printer resolution that is not above 0 and at most 10 000.
    """
    printer_ppi = positive(printer_ppi, tr("printer's resolution"), unit="ppi", at_most=HIGHEST_PPI)
    factor = printer_ppi / ppi
    wanted = (
        (width_px * factor, height_px * factor)
        if size_mm is None
        else (side / MM_PER_INCH * printer_ppi for side in size_mm)
    )
    across, down = target = tuple(max(1, round(side)) for side in wanted)
    printer, own = ppi_text(printer_ppi), ppi_text(ppi)
    size = tr("{across:,} × {down:,} pixels", across=across, down=down)
    if target == (width_px, height_px):
        kind = "none"
        text = tr(
            "Every pixel meets one of the printer's {printer} ppi: nothing is resampled.",
            printer=printer,
        )
    elif factor > 1:
        kind = "enlarge"
        text = tr(
            "From {own} to the printer's {printer} ppi the picture is enlarged "
            "{factor:.3g} times to {size}: the pixels between are invented, so edges get "
            "smoother but no new detail appears.",
            own=own,
            printer=printer,
            factor=factor,
            size=size,
        )
    else:
        kind = "reduce"
        text = tr(
            "From {own} to the printer's {printer} ppi the picture is reduced to "
            "{factor:.3g} of its pixels each way, {size}: detail finer than the printer "
            "shows is averaged away, and sharpening belongs after it.",
            own=own,
            printer=printer,
            factor=factor,
            size=size,
        )
    return Resampling(printer_ppi, factor, kind, across, down, text)


def resampling_choices(size, classes_ppi=PRINTER_CLASSES_PPI) -> tuple[Resampling, ...]:
    """What each printer class would mean for a PrintSize."""
    beyond = 2 * size.own_bleed_mm
    inked = size.width_mm + beyond, size.height_mm + beyond
    return tuple(
        resampling_for(size.width_px, size.height_px, size.ppi, printer, inked)
        for printer in classes_ppi
    )
