"""Does a print fit a sheet or a roll inside its borders, which way round, and with what to spare."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from workbench.analysis.sheets import Sheet, check_unit, length_text, number_in_unit
from workbench.decisions import LARGEST_MM
from workbench.errors import SizeError

# A print solved to fill a sheet must be found to fit it: allow for rounding in the last digits.
_ROUNDING_MM = 1e-6


@dataclass(frozen=True, slots=True)
class Borders:
    """Paper kept white around the picture, in mm, seen with the picture upright."""

    top_mm: float = 0.0
    right_mm: float = 0.0
    bottom_mm: float = 0.0
    left_mm: float = 0.0

    @property
    def across_mm(self) -> float:
        return self.left_mm + self.right_mm

    @property
    def down_mm(self) -> float:
        return self.top_mm + self.bottom_mm

    def wider(self, by_mm: float) -> Borders:
        """Each side wider by as much."""
        sides = self.top_mm, self.right_mm, self.bottom_mm, self.left_mm
        return Borders(*(side + by_mm for side in sides)) if by_mm else self

    def text(self, unit: str = "mm") -> str:
        """In words: "10 mm borders", "borders of 10, 10, 20, 10 mm", or "no borders"."""
        sides = (self.top_mm, self.right_mm, self.bottom_mm, self.left_mm)
        if not any(sides):
            return "no borders"
        if all(a == b for a, b in pairwise(sides)):
            return f"{length_text(sides[0], unit)} borders"
        return f"borders of {', '.join(number_in_unit(side, unit) for side in sides)} {unit}"


def as_borders(borders_mm) -> Borders:
    """Borders from one number of mm or from (top, right, bottom, left); 0 is borderless.

    Raises SizeError for negative, endless or missing numbers.
    """
    if isinstance(borders_mm, Borders):
        return borders_mm
    is_row = isinstance(borders_mm, Sequence) or getattr(borders_mm, "ndim", 0) == 1
    sides = tuple(borders_mm) if is_row else (borders_mm,) * 4
    if isinstance(borders_mm, str) or len(sides) != 4:
        raise SizeError(
            f"Borders are one number of mm or (top, right, bottom, left), not {borders_mm!r}."
        )
    numbers = []
    for side, value in zip(("top", "right", "bottom", "left"), sides, strict=True):
        try:
            number = float(value)
        except (TypeError, ValueError):
            number = math.nan
        if not 0 <= number <= LARGEST_MM:
            raise SizeError(f"The {side} border must be 0 mm or more, not {value!r}.")
        numbers.append(number)
    return Borders(*numbers)


@dataclass(frozen=True, slots=True)
class SheetFit:
    """How a print lies on one sheet or roll; all lengths in mm, picture upright.

    ``width_mm`` × ``height_mm`` is the sheet as turned for this picture; for a
    roll one of them is the roll's width and the other ``length_used_mm``, picture
    and borders together.  ``orientation`` is "portrait" or "landscape" for a
    sheet; for a roll "across" when the picture's width lies across the roll, and
    "along" when it lies along it.  Spares are what the borders leave over,
    negative where the print is too large, and 0 along a roll, which is cut to
    length.
    """

    sheet: Sheet
    width_mm: float
    height_mm: float
    orientation: str
    printable_width_mm: float
    printable_height_mm: float
    spare_width_mm: float
    spare_height_mm: float
    fits: bool
    length_used_mm: float | None = None

    @property
    def name(self) -> str:
        return self.sheet.name

    @property
    def family(self) -> str:
        return self.sheet.family

    @property
    def paper_mm2(self) -> float:
        """Paper taken, in mm²."""
        return self.width_mm * self.height_mm

    @property
    def spare_mm(self) -> float:
        """The tighter of the two spares; for a roll the one across it."""
        if self.orientation == "across":
            return self.spare_width_mm
        if self.orientation == "along":
            return self.spare_height_mm
        return min(self.spare_width_mm, self.spare_height_mm)

    @property
    def within_tolerance(self) -> bool:
        """True when it fits, but ends nearer the edge than the standard lets a side be short."""
        to_edge_mm = min(
            self.width_mm - self.printable_width_mm + self.spare_width_mm,
            self.height_mm - self.printable_height_mm + self.spare_height_mm,
        )
        tolerance_mm = self.sheet.tolerance_mm
        return self.fits and tolerance_mm is not None and to_edge_mm < tolerance_mm

    def room_text(self, unit: str = "cm") -> str:
        """Only the room: "4 mm to spare", "17 mm too wide"."""
        if self.fits:
            return f"{_spare_text(self.spare_mm, unit)} to spare"
        over = [
            f"{_spare_text(-spare, unit, up=True)} too {word}"
            for spare, word in ((self.spare_width_mm, "wide"), (self.spare_height_mm, "tall"))
            if spare < -_ROUNDING_MM
        ]
        return " and ".join(over)

    def text(self, unit: str = "cm", borders: Borders | None = None) -> str:
        """What to say after "it": "fits A2 inside 10 mm borders with 4 mm to spare"."""
        where = self.sheet.phrase
        if borders is not None and borders.across_mm + borders.down_mm > 0:
            where += f" inside {borders.text('in' if unit == 'in' else 'mm')}"
        if not self.fits:
            return f"does not fit {where}: {self.room_text(unit)}"
        text = f"fits {where} with {self.room_text(unit)}"
        if self.length_used_mm is None:
            return text
        return f"{text}, using {length_text(self.length_used_mm, unit)} of its length"


def _spare_text(spare_mm: float, unit: str, *, up: bool = False) -> str:
    # Never promise more room than there is, nor call an overhang smaller than it is.
    whole = math.ceil if up else math.floor
    if check_unit(unit) == "in":
        hundredths = whole(spare_mm / 25.4 * 100 + (-1e-6 if up else 1e-6))
        if hundredths == 0:
            return "nothing" if spare_mm < 0.01 else "less than 0.01 in"
        places = 2 if hundredths < 1000 else 1
        scaled = whole(hundredths / 10 ** (2 - places)) / 10**places
        return f"{scaled:g} in"
    millimetres = whole(spare_mm + (-1e-4 if up else 1e-4))
    if millimetres == 0:
        return "nothing" if spare_mm < 0.01 else "less than 1 mm"
    if unit == "mm" or millimetres < 100:
        return f"{millimetres} mm"
    return f"{whole(millimetres / 10)} cm"


def _lay(sheet: Sheet, turned: bool, width_mm: float, height_mm: float, borders: Borders):
    """One way of laying a print on a sheet; ``turned`` has a sheet's long side,
    or a roll's length, along the picture's width."""
    length = None
    if sheet.height_mm is None:
        orientation = "along" if turned else "across"
        length = width_mm + borders.across_mm if turned else height_mm + borders.down_mm
        across, down = (length, sheet.width_mm) if turned else (sheet.width_mm, length)
    else:
        orientation = "landscape" if turned else "portrait"
        across, down = sheet.width_mm, sheet.height_mm
        if turned:
            across, down = down, across
    printable = (max(0.0, across - borders.across_mm), max(0.0, down - borders.down_mm))
    spare = [across - borders.across_mm - width_mm, down - borders.down_mm - height_mm]
    if length is not None:
        spare[0 if turned else 1] = 0.0  # exactly: it is cut there
    fits = min(spare) >= -_ROUNDING_MM
    return SheetFit(sheet, across, down, orientation, *printable, spare[0], spare[1], fits, length)


def fit_on(sheet: Sheet, width_mm: float, height_mm: float, borders_mm=0.0) -> SheetFit:
    """How a print of ``width_mm`` × ``height_mm`` lies best on a sheet or roll.

    A sheet is turned the way that leaves more room on the tighter side; a roll
    the way that fits using less length.
    """
    borders = as_borders(borders_mm)
    ways = [_lay(sheet, turned, width_mm, height_mm, borders) for turned in (False, True)]
    if sheet.is_roll:
        return min(ways, key=lambda way: (not way.fits, way.length_used_mm if way.fits
                                          else -way.spare_mm))  # fmt: skip
    return max(ways, key=lambda way: way.spare_mm)


def printable_ways(
    sheet: Sheet, borders: Borders, bleed_mm: float = 0.0
) -> list[tuple[float, float]]:
    """(width, height) in mm inside the borders and a bleed, sheet upright then turned, if any is left.

    A roll's free length counts as endless.
    """
    long = math.inf if sheet.height_mm is None else sheet.height_mm
    kept = borders.wider(bleed_mm)
    ways = [
        (w - kept.across_mm, h - kept.down_mm)
        for w, h in ((sheet.width_mm, long), (long, sheet.width_mm))
    ]
    left = [way for way in ways if min(way) > 0]
    if not left:
        bleed = f" and the bleed of {length_text(bleed_mm, 'mm')}" if bleed_mm else ""
        raise SizeError(
            f"The {borders.text()}{bleed} leave nothing of {sheet.phrase} "
            f"({sheet.size_text('mm')}). Make them narrower or take a larger sheet."
        )
    return left


def largest_on(
    sheet: Sheet, ratio: float, borders_mm=0.0, bleed_mm: float = 0.0
) -> tuple[float, float]:
    """(width_mm, height_mm) of the largest print of ``ratio`` (width / height) on a sheet.

    Borders and a bleed beyond each edge are not part of it; both must find room.  On a roll the picture's short side fills the width, as its length is free.
    Raises SizeError when the borders leave nothing.
    """
    best = (0.0, 0.0)
    for width_mm, height_mm in printable_ways(sheet, as_borders(borders_mm), bleed_mm):
        # comparing before dividing keeps the filled side exact
        size = (width_mm, width_mm / ratio) if width_mm < height_mm * ratio else (
            height_mm * ratio, height_mm)  # fmt: skip
        best = max(best, size, key=lambda s: s[0] * s[1])
    return best


def best_of(fits) -> SheetFit | None:
    """The smallest sheet that fits; failing that the narrowest roll; else None."""
    able = [fit for fit in fits if fit.fits]
    return min(
        able,
        key=lambda fit: (fit.sheet.is_roll, fit.sheet.width_mm if fit.sheet.is_roll
                         else fit.paper_mm2),
        default=None,
    )  # fmt: skip


def compared(fits, count: int = 5) -> tuple[SheetFit, ...]:
    """The ``count`` sheets worth seeing beside the answer, smallest first, then a roll.

    The two that the print misses by least, the smallest it fits, and the
    narrowest roll it fits; more that it misses where it fits few.
    """
    fits = tuple(fits)
    rolls = [fit for fit in fits if fit.sheet.is_roll and fit.fits][:1]  # narrowest first
    cut = [fit for fit in fits if not fit.sheet.is_roll]
    able = sorted((fit for fit in cut if fit.fits), key=lambda fit: fit.paper_mm2)
    missed = sorted((fit for fit in cut if not fit.fits), key=lambda fit: -fit.spare_mm)
    free = max(1, count - len(rolls))
    near = missed[: max(min(2, free - 1), free - len(able), 0)]
    chosen = [*near, *able[: free - len(near)]]
    return (*sorted(chosen, key=lambda fit: fit.paper_mm2), *rolls)
