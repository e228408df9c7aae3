"""Does a print fit a sheet or a roll inside its borders, which way round, and with what to spare."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from workbench.analysis.sheets import (
    ROUNDING_MM,
    Sheet,
    check_unit,
    fine_unit,
    length_text,
    number_in_unit,
)
from workbench.analysis.words import listed
from workbench.decisions import LARGEST_MM
from workbench.errors import SizeError
from workbench.language import LIST_MARK, tr
from workbench.printer import TYPICAL, Feed


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
        return Borders(*(side + by_mm for side in self.sides)) if by_mm else self

    def at_least(self, other: Borders) -> Borders:
        """Each side as wide as the wider of the two."""
        return Borders(*(max(pair) for pair in zip(self.sides, other.sides, strict=True)))

    @property
    def sides(self) -> tuple[float, float, float, float]:
        """(top, right, bottom, left)."""
        return self.top_mm, self.right_mm, self.bottom_mm, self.left_mm

    def text(self, unit: str = "mm") -> str:
        """In words: "10 mm borders", "borders of 10, 10, 20, 10 mm", or "no borders"."""
        sides = (self.top_mm, self.right_mm, self.bottom_mm, self.left_mm)
        if not any(sides):
            return tr("no borders")
        if all(a == b for a, b in pairwise(sides)):
            return tr("{length} borders", length=length_text(sides[0], unit))
        return tr(
            "borders of {lengths} {unit}",
            lengths=LIST_MARK.join(number_in_unit(side, unit) for side in sides),
            unit=unit,
        )


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
            tr(
                "Borders are one number of mm or (top, right, bottom, left), not {borders_mm!r}.",
                borders_mm=borders_mm,
            )
        )
    numbers = []
    names = tr("top"), tr("right"), tr("bottom"), tr("left")
    for side, value in zip(names, sides, strict=True):
        try:
            number = float(value)
        except (TypeError, ValueError):
            number = math.nan
        if not 0 <= number <= LARGEST_MM:
            raise SizeError(
                tr("The {side} border must be 0 mm or more, not {value!r}.", side=side, value=value)
            )
        numbers.append(number)
    return Borders(*numbers)


# of a print on its sheet, below which it is not moved
_MOVED_MM = 0.05


@dataclass(frozen=True, slots=True)
class SheetFit:
    """How a print lies on one sheet or roll; all lengths in mm, picture upright.

    ``width_mm`` × ``height_mm`` is the sheet as turned for this picture; for a
    roll one of them is the roll's width and the other ``length_used_mm``, picture
    and what is kept bare together.  ``orientation`` is "portrait" or "landscape" for a
    sheet; for a roll "across" when the picture's width lies across the roll, and
    "along" when it lies along it.  ``borders`` were asked for; ``kept`` stays bare on
    each side: the wider of border and printer's margin.  Spares are what that leaves
    on each side, negative where the print is too large, and 0 along a roll, which is
    cut to length.  ``left_mm``, ``top_mm`` is where the print lies: in the middle of
    what the borders leave, moved only as far as the printer's margins demand.
    ``refused`` is "wide" or "long" where the printer does not take the sheet at all, else "".
    ``moved_mm`` is how far right and down of that it lies, because a person wants it so;
    ``reach_mm`` the least and the most of each that there is room for.
    """

    sheet: Sheet
    width_mm: float
    height_mm: float
    orientation: str
    borders: Borders
    kept: Borders
    printable_width_mm: float
    printable_height_mm: float
    spare_width_mm: float
    spare_height_mm: float
    left_mm: float
    top_mm: float
    fits: bool
    length_used_mm: float | None = None
    refused: str = ""
    moved_mm: tuple[float, float] = (0.0, 0.0)
    reach_mm: tuple[tuple[float, float], tuple[float, float]] = ((0.0, 0.0), (0.0, 0.0))

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

    def moved_text(self, unit: str = "mm") -> str:
        """How far from the middle it was moved, such as "12 mm to the right, 3 mm up"; or ""."""
        across, down = self.moved_mm
        said = []
        if abs(across) >= _MOVED_MM:
            length = length_text(abs(across), fine_unit(unit))
            right = across > 0
            said.append(
                tr("{length} to the right", length=length)
                if right
                else tr("{length} to the left", length=length)
            )
        if abs(down) >= _MOVED_MM:
            length = length_text(abs(down), fine_unit(unit))
            said.append(
                tr("{length} down", length=length) if down > 0 else tr("{length} up", length=length)
            )
        return ", ".join(said)

    @property
    def within_tolerance(self) -> bool:
        """True when it fits, but ends nearer the edge than the standard lets a side be short."""
        bare_mm = min(
            self.width_mm - self.printable_width_mm + 2 * self.spare_width_mm,
            self.height_mm - self.printable_height_mm + 2 * self.spare_height_mm,
        )
        tolerance_mm = self.sheet.tolerance_mm
        return self.fits and tolerance_mm is not None and bare_mm < tolerance_mm

    def room_text(self, unit: str = "cm", *, short: bool = False) -> str:
        """Only the room: "4 mm to spare on each side", "17 mm too wide".

        ``short``, for narrow places: "4 mm each side", and the worse side only.
        """
        if self.refused:
            return _REFUSED[self.refused][short]
        if self.fits:
            spare = _spare_text(self.spare_mm, unit, short=short)
            if spare == _NOTHING:
                return tr("nothing to spare")
            if short:
                return tr("{length} each side", length=spare)
            return tr("{length} to spare on each side", length=spare)
        over = []
        if self.spare_width_mm < -ROUNDING_MM:
            length = _spare_text(-2 * self.spare_width_mm, unit, up=True, short=short)
            over.append(tr("{length} too wide", length=length))
        if self.spare_height_mm < -ROUNDING_MM:
            length = _spare_text(-2 * self.spare_height_mm, unit, up=True, short=short)
            over.append(tr("{length} too tall", length=length))
        if short:
            return over[0 if self.spare_mm == self.spare_width_mm else -1]
        return listed(over)

    def text(self, unit: str = "cm") -> str:
        """What to say after "it": "fits A2 inside 10 mm borders with 4 mm to spare on each side"."""
        inside = []
        if any(self.borders.sides):
            inside.append(self.borders.text(fine_unit(unit)))
        if self.kept != self.borders:
            inside.append(tr("the printer's margins"))
        where = self.sheet.phrase
        if inside:
            where = tr("{sheet} inside {borders}", sheet=where, borders=listed(inside))
        room = self.room_text(unit)
        if not self.fits:
            return tr("does not fit {where}: {room}", where=where, room=room)
        text = tr("fits {where} with {room}", where=where, room=room)
        if self.length_used_mm is None:
            return text
        return tr(
            "{fits}, using {length} of its length",
            fits=text,
            length=length_text(self.length_used_mm, unit),
        )


_NOTHING = tr("nothing")
# why the printer does not take a sheet, in full and in fewer words
_REFUSED = {
    "wide": (tr("wider than the printer takes"), tr("wider than it takes")),
    "long": (tr("longer than the printer takes"), tr("longer than it takes")),
}


def _spare_text(spare_mm: float, unit: str, *, up: bool = False, short: bool = False) -> str:
    # Never promise more room than there is, nor call an overhang smaller than it is.
    whole = math.ceil if up else math.floor
    if check_unit(unit) == "in":
        hundredths = whole(spare_mm / 25.4 * 100 + (-1e-6 if up else 1e-6))
        if hundredths == 0:
            if spare_mm < 0.01:
                return _NOTHING
            return tr("< 0.01 in") if short else tr("less than 0.01 in")
        places = 2 if hundredths < 1000 else 1
        scaled = whole(hundredths / 10 ** (2 - places)) / 10**places
        return tr("{length:g} in", length=scaled)
    millimetres = whole(spare_mm + (-1e-4 if up else 1e-4))
    if millimetres == 0:
        if spare_mm < 0.01:
            return _NOTHING
        return tr("< 1 mm") if short else tr("less than 1 mm")
    if unit == "mm" or millimetres < 100:
        return tr("{length} mm", length=millimetres)
    return tr("{length} cm", length=whole(millimetres / 10))


def _bare(sheet: Sheet, feed: Feed, turned: bool, back_first: bool) -> Borders:
    """What the printer leaves bare, seen with the picture upright.

    A sheet goes in short side first; turned a quarter clockwise, the picture's left edge
    goes in first, and its top lies on the right.
    """
    leading, trailing = feed.roll_ends_mm if sheet.is_roll else (feed.leading_mm, feed.trailing_mm)
    left, right = feed.left_mm, feed.right_mm
    if back_first:
        leading, trailing, left, right = trailing, leading, right, left
    if turned:
        return Borders(right, trailing, left, leading)
    return Borders(leading, right, trailing, left)


def _lay(sheet, turned, back_first, width_mm, height_mm, borders, feed, moved) -> SheetFit:
    """One way of laying a print on a sheet; ``turned`` has a sheet's long side,
    or a roll's length, along the picture's width."""
    kept = borders.at_least(_bare(sheet, feed, turned, back_first))
    length, refused = None, ""
    if sheet.height_mm is None:
        orientation = "along" if turned else "across"
        length = width_mm + kept.across_mm if turned else height_mm + kept.down_mm
        across, down = (length, sheet.width_mm) if turned else (sheet.width_mm, length)
    else:
        orientation = "landscape" if turned else "portrait"
        across, down = sheet.width_mm, sheet.height_mm
        if turned:
            across, down = down, across
    if sheet.width_mm > feed.widest_mm + ROUNDING_MM:
        refused = "wide"
    elif (length or sheet.height_mm or 0.0) > feed.longest_mm + ROUNDING_MM:
        refused = "long"
    printable = (max(0.0, across - kept.across_mm), max(0.0, down - kept.down_mm))
    spare = [(across - kept.across_mm - width_mm) / 2, (down - kept.down_mm - height_mm) / 2]
    if length is not None:
        spare[0 if turned else 1] = 0.0  # exactly: it is cut there
    left, left_reach = _placed(
        across, width_mm, borders.left_mm, borders.right_mm, kept.left_mm, kept.right_mm
    )
    top, top_reach = _placed(
        down, height_mm, borders.top_mm, borders.bottom_mm, kept.top_mm, kept.bottom_mm
    )
    right_by, down_by = (
        min(max(by, low), high)
        for by, (low, high) in zip(moved, (left_reach, top_reach), strict=True)
    )
    fits = min(spare) >= -ROUNDING_MM and not refused
    return SheetFit(
        sheet, across, down, orientation, borders, kept, *printable,
        spare_width_mm=spare[0], spare_height_mm=spare[1],
        left_mm=left + right_by, top_mm=top + down_by, fits=fits, length_used_mm=length,
        refused=refused, moved_mm=(right_by, down_by), reach_mm=(left_reach, top_reach),
    )  # fmt: skip


def _placed(room, size, before, after, kept_before, kept_after):
    """Where a print begins, and how far it can be moved from there.

    In the middle of what the borders leave, inside what stays bare.
    """
    middle, last = (before + room - after - size) / 2, room - kept_after - size
    if last < kept_before:  # what is too large stays in the middle
        return middle, (0.0, 0.0)
    start = min(max(middle, kept_before), last)
    return start, (kept_before - start, last - start)


def fit_on(
    sheet: Sheet, width_mm: float, height_mm: float, borders_mm=0.0, feed: Feed = TYPICAL,
    moved_mm=(0.0, 0.0),
) -> SheetFit:  # fmt: skip
    """How a print of ``width_mm`` × ``height_mm`` lies best on a sheet or roll.

    A sheet is turned the way that leaves more room on the tighter side, and goes in with
    the end first that does; a roll the way that fits using less length.

    Parameters
    ----------
    sheet : a Sheet.
    width_mm, height_mm : of the print, bleed included.
    borders_mm : one number or (top, right, bottom, left) around the upright picture.
    feed : a `workbench.printer.Feed`: the edges that the printer leaves bare, and what it takes.
    moved_mm : how far (right, down) of the middle it is wanted; it goes as far as there is room.

    Returns
    -------
    A SheetFit.

    Raises
    ------
    SizeError
        for borders that are none.

    Examples
    --------
    >>> from workbench.analysis.sheets import find_sheet
    >>> fit_on(find_sheet("A4"), 200, 280).text()
    "fits A4 inside the printer's margins with 2 mm to spare on each side"
    """
    borders = as_borders(borders_mm)
    ways = [_lay(sheet, turned, back_first, width_mm, height_mm, borders, feed, moved_mm)
            for turned in (False, True) for back_first in (False, True)]  # fmt: skip
    if sheet.is_roll:
        return min(ways, key=lambda way: (not way.fits, way.length_used_mm if way.fits
                                          else -way.spare_mm))  # fmt: skip
    return max(ways, key=lambda way: way.spare_mm)


def printable_ways(
    sheet: Sheet, borders: Borders, bleed_mm: float = 0.0, feed: Feed = TYPICAL
) -> list[tuple[float, float]]:
    """(width, height) in mm inside borders, margins and a bleed, sheet upright then turned, if any is left.

    A roll's free length counts as endless, unless the printer has its own limit.
    """
    left = []
    for turned in (False, True):
        for back_first in (False, True):
            kept = borders.at_least(_bare(sheet, feed, turned, back_first)).wider(bleed_mm)
            long = feed.longest_mm if sheet.height_mm is None else sheet.height_mm
            across, down = (long, sheet.width_mm) if turned else (sheet.width_mm, long)
            way = across - kept.across_mm, down - kept.down_mm
            if min(way) > 0 and way not in left:
                left.append(way)
    if not left:
        what = tr("The margins")
        if bleed_mm:
            what = tr(
                "The {borders} and the bleed of {length}",
                borders=borders.text(),
                length=length_text(bleed_mm, "mm"),
            )
        elif any(borders.sides):
            what = tr("The {borders}", borders=borders.text())
        raise SizeError(
            tr(
                "{what} leave nothing of {sheet} ({size}). Make them narrower or take a larger "
                "sheet.",
                what=what,
                sheet=sheet.phrase,
                size=sheet.size_text("mm"),
            )
        )
    return left


def largest_on(
    sheet: Sheet, ratio: float, borders_mm=0.0, bleed_mm: float = 0.0, feed: Feed = TYPICAL
) -> tuple[float, float]:
    """(width_mm, height_mm) of the largest print of ``ratio`` (width / height) on a sheet.

    Borders, the printer's margins and a bleed beyond each edge are not part of it; all must
    find room.  On a roll the picture's short side fills the width, as its length is free.
    Raises SizeError when they leave nothing.
    """
    best = (0.0, 0.0)
    for width_mm, height_mm in printable_ways(sheet, as_borders(borders_mm), bleed_mm, feed):
        # comparing before dividing keeps the filled side exact
        size = (width_mm, width_mm / ratio) if width_mm < height_mm * ratio else (
            height_mm * ratio, height_mm)  # fmt: skip
        best = max(best, size, key=lambda s: s[0] * s[1])
    return best


def best_of(fits, held=()) -> SheetFit | None:
    """The smallest sheet that fits; failing that the narrowest roll; else None.

    Of the sheets and rolls that the paper is ``held`` in, if the print fits any.
    """
    able = [fit for fit in fits if fit.fits]
    return min(
        [fit for fit in able if fit.sheet in held] or able,
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
