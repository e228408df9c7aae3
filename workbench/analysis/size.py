"""Print size: pixels, ppi and size on paper, each solved from the others."""

from __future__ import annotations

import math
from functools import lru_cache
from operator import index
from typing import Any

from workbench.analysis.crop import (
    HIGHEST_PPI,
    Crop,
    crop_to_ratio,
    parse_ratio,
    ppi_text,
    resampling_for,
    turned_ratio,
)
from workbench.analysis.eye import eye_limit_ppi
from workbench.analysis.fit import (
    SheetFit,
    as_borders,
    best_of,
    fit_on,
    largest_on,
    printable_ways,
)
from workbench.analysis.sheets import (
    LARGEST_MM,
    MM_PER_INCH,
    Sheet,
    area_text,
    find_sheet,
    in_to_mm,
    mm_to_in,
    positive,
    sheets_of,
)
from workbench.analysis.size_answer import PrintSize
from workbench.errors import SizeError
from workbench.language import tr
from workbench.picture.picture import Picture
from workbench.printer import TYPICAL

__all__ = ["fit_to_sheet", "in_to_mm", "mm_to_in", "pixels_needed", "print_size"]

# Sizes typed as rounded numbers ("59 cm at 360 ppi") agree within this share.
_AGREEMENT = 0.005


def pixels_needed(width_mm: float, height_mm: float, ppi: float) -> tuple[int, int]:
    """Whole pixels (width, height), rounded up, that a size takes at ``ppi``.  Raises SizeError."""
    ppi = positive(ppi, tr("resolution"), unit="ppi", at_most=HIGHEST_PPI)
    sides = (
        positive(width_mm, tr("width"), unit="mm", at_most=LARGEST_MM),
        positive(height_mm, tr("height"), unit="mm", at_most=LARGEST_MM),
    )
    # a hair under, so that 10 in at 300 ppi is 3000 and not 3001 by rounding in the last digit
    across, down = (max(1, math.ceil(side / MM_PER_INCH * ppi - 1e-6)) for side in sides)
    return across, down


def _pixels(picture: Any) -> tuple[int, int]:
    pair = (
        (picture.width_px, picture.height_px)
        if hasattr(picture, "width_px") and hasattr(picture, "height_px")
        else picture
    )
    try:
        width_px, height_px = (index(side) for side in pair)
    except (TypeError, ValueError):
        raise SizeError(
            tr(
                "A print size needs a picture, or its (width, height) in whole pixels, not "
                "{picture!r}.",
                picture=picture,
            )
        ) from None
    if min(width_px, height_px) < 1:
        raise SizeError(
            tr(
                "A picture has at least 1 × 1 pixel, not {width_px} × {height_px}.",
                width_px=width_px,
                height_px=height_px,
            )
        )
    return width_px, height_px


def _ratio_wanted(pixels: tuple[int, int], width_mm, height_mm, crop_ratio, orientation, sheet, borders,
                  bleed_mm, feed):  # fmt: skip
    """Width / height to crop to, or None for the whole picture."""
    typed = None
    if crop_ratio == "sheet":
        if sheet is None or sheet.is_roll:
            raise SizeError(
                tr("To crop to the sheet, choose a sheet; a roll has no ratio of its own.")
            )
        ways = [w / h for w, h in printable_ways(sheet, borders, bleed_mm, feed)]
        typed = max(ways, key=lambda ratio: crop_to_ratio(*pixels, ratio).kept)
    elif crop_ratio is not None:
        typed = turned_ratio(parse_ratio(crop_ratio), *pixels, orientation)
    if width_mm is None or height_mm is None:
        return typed
    asked = width_mm / height_mm
    if typed is not None and abs(asked / typed - 1) > _AGREEMENT:
        raise SizeError(
            tr(
                "{size} has the ratio {asked:.3g}, the crop asked for has {typed:.3g}. "
                "Leave out the ratio, or one of the two sides.",
                size=area_text(width_mm, height_mm, "mm"),
                asked=asked,
                typed=typed,
            )
        )
    return asked


def _size_from_ppi(crop: Crop, ppi: float) -> tuple[float, float, float]:
    return ppi, crop.width_px / ppi * MM_PER_INCH, crop.height_px / ppi * MM_PER_INCH


def _size_from_sides(crop: Crop, width_mm, height_mm) -> tuple[float, float, float]:
    if width_mm is None:
        ppi = crop.height_px / height_mm * MM_PER_INCH
        return ppi, crop.width_px / ppi * MM_PER_INCH, height_mm
    # With both sides given the crop is right to half a pixel.  The uncut side, whose
    # pixels are exact, tells the ppi, and the paper gets exactly the size asked for.
    if height_mm is not None and crop.left_px + crop.right_px:
        return crop.height_px / height_mm * MM_PER_INCH, width_mm, height_mm
    ppi = crop.width_px / width_mm * MM_PER_INCH
    return ppi, width_mm, crop.height_px / ppi * MM_PER_INCH if height_mm is None else height_mm


def print_size(picture: Picture | tuple[int, int], *, ppi=None, width_mm=None, height_mm=None, long_side_mm=None,
               viewing_distance_mm=None, printer_ppi=360.0, crop_ratio=None,
               crop_orientation=None, crop_position=(0.5, 0.5), borders_mm=0.0, bleed_mm=0.0, bleed="mirrored",
               overlap_mm=0.0, sheet=None, moved_mm=(0.0, 0.0),
               feed=TYPICAL, sheets=None, held=()) -> PrintSize:  # fmt: skip
    """Solve a print's size, resolution and place on paper from whatever is given.

    What is given decides, in this order: a size (one side, the long side, or both
    sides, which crop to their ratio) gives the ppi; ``ppi`` gives the size; a
    ``sheet`` alone is filled inside its borders; a ``viewing_distance_mm`` alone
    gives the largest print whose pixels hold all that the eye resolves from there; nothing at all
    prints at ``printer_ppi``.  Size and ppi together must agree within 0.5 %.

    Parameters
    ----------
    picture : anything with ``width_px`` and ``height_px``, or a pair of them.
    ppi : picture pixels per inch of paper.
    width_mm, height_mm, long_side_mm : of the print, without borders.
    viewing_distance_mm : from the eye to the print; see `eye_limit_ppi` for its source.
    printer_ppi : the printer's own resolution.
    crop_ratio : 1.5, "3:2", (3, 2), or "sheet" for the sheet inside its borders; it follows
        the picture's orientation unless ``crop_orientation`` says "portrait", "landscape"
        or "as given".
    crop_position : places the crop, from (0, 0) top left to (1, 1).
    borders_mm : one number or (top, right, bottom, left) around the upright picture.
    bleed_mm : beyond each edge, for which a sheet must have room too.
    bleed : what that is made of: "mirrored", "stretched" or "white", or "picture": its own
        outer part, so that the pixels are spread over the print and its bleed.
    overlap_mm : what a mount covers of the print on each side.
    sheet : a name, "300 x 400 mm", a pair of mm or a Sheet.
    moved_mm : how far (right, down) of the sheet's middle the print is wanted.
    feed : a `workbench.printer.Feed`: the edges that the printer leaves bare, and what it
        takes; by default typical ones.
    sheets : those compared, see `workbench.analysis.sheets.sheets_for`; None for the usual.
    held : those of them that the paper is there in, which come before all others.

    Returns
    -------
    A PrintSize; what was not given follows from the pixels.

    Raises
    ------
    SizeError
        that says what to change, for numbers that are not above 0, over 10 000 ppi or
        50 m, and for wishes that contradict each other.

    Examples
    --------
    >>> size = wb.print_size(picture, ppi=300)
    >>> round(size.width_mm, 1), round(size.height_mm, 1)
    (50.8, 33.9)
    >>> round(wb.print_size(picture, long_side_mm=100).ppi, 1)
    152.4
    """
    pixels = _pixels(picture)
    printer_ppi = positive(printer_ppi, tr("printer's resolution"), unit="ppi", at_most=HIGHEST_PPI)
    borders = as_borders(borders_mm)
    bleed_mm = positive(bleed_mm, tr("bleed"), unit="mm", at_most=LARGEST_MM) if bleed_mm else 0.0
    sheet = None if sheet is None else find_sheet(sheet)
    if ppi is not None:
        ppi = positive(ppi, tr("resolution"), unit="ppi", at_most=HIGHEST_PPI)
    viewed = None if viewing_distance_mm is None else eye_limit_ppi(viewing_distance_mm)
    sides = {tr("width"): width_mm, tr("height"): height_mm, tr("long side"): long_side_mm}
    width_mm, height_mm, long_side_mm = (
        None if side is None else positive(side, name, unit="mm", at_most=LARGEST_MM)
        for name, side in sides.items()
    )
    if long_side_mm is not None and (width_mm is not None or height_mm is not None):
        raise SizeError(tr("Give the long side, or width and height, not both."))

    overlap_mm = (
        positive(overlap_mm, tr("overlap"), unit="mm", at_most=LARGEST_MM) if overlap_mm else 0.0
    )
    own = bleed_mm if bleed == "picture" else 0.0
    ratio = _ratio_wanted(pixels, width_mm, height_mm, crop_ratio, crop_orientation, sheet,
                          borders, bleed_mm, feed)  # fmt: skip
    if long_side_mm is not None:
        across, down = pixels if ratio is None else (ratio, 1)
        width_mm, height_mm = (long_side_mm, None) if across >= down else (None, long_side_mm)
    asked = width_mm is not None or height_mm is not None
    if own:
        # its own outer part included, the print is solved as any other
        if ratio is not None and asked:
            width_mm, height_mm = width_mm or height_mm * ratio, height_mm or width_mm / ratio
        elif ratio is not None:
            if ppi is None and sheet is not None:
                front = largest_on(sheet, ratio, borders, bleed_mm, feed)
            else:
                front = _front(pixels, ppi or viewed or printer_ppi, ratio, own)
            ratio = (front[0] + 2 * own) / (front[1] + 2 * own)
        width_mm = None if width_mm is None else width_mm + 2 * own
        height_mm = None if height_mm is None else height_mm + 2 * own
        if width_mm is not None and height_mm is not None:
            ratio = width_mm / height_mm
    crop = crop_to_ratio(*pixels, ratio, crop_position)

    if asked:
        decided_by, solved = "size", _size_from_sides(crop, width_mm, height_mm)
        if ppi is not None and abs(solved[0] / ppi - 1) > _AGREEMENT:
            raise SizeError(_disagreement(crop, ppi, *solved))
    elif ppi is not None:
        decided_by, solved = "ppi", _size_from_ppi(crop, ppi)
    elif sheet is not None:
        beyond = bleed_mm - own
        filled = largest_on(sheet, ratio or crop.width_px / crop.height_px, borders, beyond, feed)
        decided_by, solved = "sheet", _size_from_sides(crop, *filled)
    elif viewed is not None:
        decided_by, solved = "viewing distance", _size_from_ppi(crop, viewed)
    else:
        decided_by, solved = "printer", _size_from_ppi(crop, printer_ppi)
    _check_solved(crop, *solved)
    ppi, width_mm, height_mm = solved[0], solved[1] - 2 * own, solved[2] - 2 * own
    if min(width_mm, height_mm) <= 0:
        raise SizeError(_NO_FRONT)
    return _describe(crop, ppi, width_mm, height_mm, decided_by, printer_ppi,
                     borders, bleed_mm, bleed, overlap_mm,
                     sheet, feed, sheets_of() if sheets is None else sheets,
                     held, tuple(moved_mm))  # fmt: skip


_NO_FRONT = tr(
    "The bleed of the picture's own outer part leaves nothing at the front; make it narrower, or "
    "the print larger."
)


def _front(pixels, ppi: float, ratio: float, own_mm: float) -> tuple[float, float]:
    """The largest front of a ratio whose outer part is there too, in mm."""
    width, height = (side / ppi * MM_PER_INCH - 2 * own_mm for side in pixels)
    if min(width, height) <= 0:
        raise SizeError(_NO_FRONT)
    return (height * ratio, height) if width > height * ratio else (width, width / ratio)


def _disagreement(crop: Crop, asked_ppi: float, ppi: float, width_mm: float, height_mm: float):
    by_ppi = area_text(*_size_from_ppi(crop, asked_ppi)[1:], "mm")
    return tr(
        "{width_px:,} × {height_px:,} pixels at {ppi} ppi print {by_ppi}, not {size}. Leave out "
        "the ppi (it becomes {becomes}) or the size; to resample to {ppi} ppi, give it as the "
        "printer's resolution.",
        width_px=crop.width_px,
        height_px=crop.height_px,
        ppi=ppi_text(asked_ppi),
        by_ppi=by_ppi,
        size=area_text(width_mm, height_mm, "mm"),
        becomes=ppi_text(ppi),
    )


def _check_solved(crop: Crop, ppi: float, width_mm: float, height_mm: float) -> None:
    size = tr(
        "{width_px:,} × {height_px:,} pixels at {ppi} ppi",
        width_px=crop.width_px,
        height_px=crop.height_px,
        ppi=ppi_text(ppi),
    )
    if ppi > HIGHEST_PPI:
        raise SizeError(
            tr(
                "{size} print {area}: no printer comes near that. Choose a larger size, "
                "or check the unit.",
                size=size,
                area=area_text(width_mm, height_mm, "mm"),
            )
        )
    if max(width_mm, height_mm) > LARGEST_MM:
        raise SizeError(
            tr("{size} print more than 50 m. Choose a higher ppi, or check the unit.", size=size)
        )


# the same while a crop is moved, and on all papers that go through the printer alike
@lru_cache(maxsize=4)
def _fits_on(sheets: tuple, *print_and_how) -> tuple[SheetFit, ...]:
    return tuple(fit_on(each, *print_and_how) for each in sheets)


def _describe(crop, ppi, width_mm, height_mm, decided_by, printer_ppi,
              borders, bleed_mm, bleed, overlap_mm, sheet, feed, sheets, held, moved) -> PrintSize:  # fmt: skip
    outer = width_mm + 2 * bleed_mm, height_mm + 2 * bleed_mm
    inked = outer if bleed == "picture" else (width_mm, height_mm)
    fits = _fits_on(tuple(sheets), *outer, borders, feed, moved)
    return PrintSize(
        width_px=crop.width_px,
        height_px=crop.height_px,
        ppi=ppi,
        width_mm=width_mm,
        height_mm=height_mm,
        decided_by=decided_by,
        printer_ppi=printer_ppi,
        resampling=resampling_for(crop.width_px, crop.height_px, ppi, printer_ppi, inked),
        crop=crop,
        borders=borders,
        fits=fits,
        best_fit=best_of(fits, held),
        chosen=None if sheet is None else fit_on(sheet, *outer, borders, feed, moved),
        bleed_mm=bleed_mm,
        bleed=bleed,
        overlap_mm=overlap_mm,
        feed=feed,
    )


def fit_to_sheet(
    picture: Picture | tuple[int, int],
    sheet: str | Sheet,
    *,
    borders_mm=0.0,
    fill: bool = False,
    **options,
):
    """The largest print of ``picture`` on ``sheet`` inside ``borders_mm``, as a PrintSize.

    ``fill`` crops the picture to the sheet's own ratio so that nothing but the
    borders stays white.  Other options are those of print_size.  Raises SizeError.
    """
    if fill:
        options["crop_ratio"] = "sheet"
    return print_size(picture, sheet=sheet, borders_mm=borders_mm, **options)
