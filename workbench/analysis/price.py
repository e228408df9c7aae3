"""What the paper for a print costs, from the prices of sheets and rolls."""

from __future__ import annotations

from dataclasses import dataclass

from workbench.analysis.sheets import Sheet, find_sheet, length_text, positive
from workbench.decisions import LARGEST_MM
from workbench.errors import SizeError
from workbench.language import tr
from workbench.paper_readings import AnyPaper

# a print solved to fill a sheet fits it, whatever the rounding of its sides
_ROUNDING_MM = 0.05
#: how a price that the person gave was come by
AS_GIVEN = tr("as given")


@dataclass(frozen=True)
class PrintPrice:
    """What a print costs in paper.

    ``amount`` in ``currency`` (None where none is named); ``how`` says how it comes
    about, such as "one A3 sheet" or "62.3 cm of a 24 in roll".
    """

    amount: float
    currency: str | None
    how: str

    @property
    def text(self) -> str:
        """Such as "4.20 EUR"."""
        return tr(
            "{amount:.2f} {currency}", amount=self.amount, currency=self.currency or ""
        ).strip()


def price_of_size(
    width_mm: float,
    height_mm: float,
    sheet: Sheet | str | tuple[float, float],
    price: float,
) -> float | None:
    """The price of a print of a size on one kind of sheet or roll.

    Parameters
    ----------
    width_mm, height_mm : of the print, borders included.
    sheet : a name such as "A3" or "24 in roll", (width, height) in mm, or a `Sheet`.
    price : of one sheet, or of one metre of the roll; 0 or more.

    Returns
    -------
    The price, or None where the print does not fit either way round.  On a roll the
    shorter length that fits is cut.

    Raises
    ------
    SizeError
        for sizes, sheets or prices that are none.
    """
    sides = _sides(width_mm, height_mm)
    sheet, price = find_sheet(sheet), _checked_price(price)
    if sheet.height_mm is None:
        cut_mm = _cut_mm(sides, sheet)
        return None if cut_mm is None else price * cut_mm / 1000
    across, along = sorted((sheet.width_mm, sheet.height_mm))
    return price if _fits(sides[0], across) and _fits(sides[1], along) else None


def _sides(width_mm, height_mm) -> tuple[float, float]:
    """Both sides in mm, the shorter one first."""
    width = positive(width_mm, tr("width"), unit="mm", at_most=LARGEST_MM)
    height = positive(height_mm, tr("height"), unit="mm", at_most=LARGEST_MM)
    return min(width, height), max(width, height)


def _cut_mm(sides: tuple[float, float], roll: Sheet) -> float | None:
    """The shortest length of a roll that takes a print; None where neither side fits across."""
    short, long = sides
    if _fits(long, roll.width_mm):
        return short
    return long if _fits(short, roll.width_mm) else None


def _fits(side_mm: float, room_mm: float) -> bool:
    return side_mm <= room_mm + _ROUNDING_MM


def _checked_price(price) -> float:
    try:
        number = float("nan") if isinstance(price, (str, bytes, bool)) else float(price)
    except (TypeError, ValueError, OverflowError):
        number = float("nan")
    if not 0 <= number < 1e9:
        raise SizeError(tr("A price is a number of 0 or more, not {price!r}.", price=price))
    return number


def price_on(
    paper: AnyPaper, width_mm: float, height_mm: float, *, sheet: Sheet | str | None = None
) -> PrintPrice | None:
    """The cheapest way to a print of a size on a paper, by the prices that the paper has.

    Parameters
    ----------
    paper : with ``price_per_sheet`` and ``price_per_metre`` as (size, price) pairs, ""
        for any size that ``sheets`` or ``rolls`` lists, and ``currency``.
    width_mm, height_mm : of the print, borders included.
    sheet : the one sheet or roll to print on; None takes the cheapest.

    Returns
    -------
    None where no price is known, or the print fits nothing that has one.  Sizes whose
    names mean nothing are passed over.

    Raises
    ------
    SizeError
        for a size, or a sheet, that is none.
    """
    sides = _sides(width_mm, height_mm)
    currency = getattr(paper, "currency", None)
    found = []
    if sheet is not None:
        sheet = find_sheet(sheet)
        price = _own_price(paper, sheet)
        amount = None if price is None else price_of_size(*sides, sheet, price)
        return None if amount is None else PrintPrice(amount, currency, _how(sides, sheet))
    for size, price in _by_size(paper, "sheets", "price_per_sheet"):
        known = _known(size, is_roll=False) if size else None
        if not size:
            found.append((price, tr("one sheet")))
        elif known and price_of_size(*sides, known, price) is not None:
            found.append((price, _how(sides, known)))
    for size, price in _by_size(paper, "rolls", "price_per_metre"):
        roll = _known(size, is_roll=True) if size else None
        if roll and (cut_mm := _cut_mm(sides, roll)) is not None:
            found.append((price * cut_mm / 1000, _how(sides, roll)))
    if not found:
        return None
    amount, how = min(found)
    return PrintPrice(amount, currency, how)


def _how(sides, sheet: Sheet) -> str:
    cut_mm = _cut_mm(sides, sheet)
    if cut_mm is None or not sheet.is_roll:
        return tr("one sheet of {name}", name=sheet.label)
    return tr("{length} of a {roll}", length=length_text(cut_mm), roll=sheet.label)


def _own_price(paper: AnyPaper, sheet: Sheet) -> float | None:
    """The paper's price for one sheet or roll, else that of any size."""
    pairs = getattr(paper, "price_per_metre" if sheet.is_roll else "price_per_sheet", None) or ()
    for size, price in pairs:
        known = _known(size, is_roll=sheet.is_roll) if size else None
        if known and (known.width_mm, known.height_mm) == (sheet.width_mm, sheet.height_mm):
            return price
    return dict(pairs).get("")


def _by_size(paper: AnyPaper, listed: str, prices: str) -> list[tuple[str, float]]:
    """(size, price) pairs; the price of any size spread over the sizes listed, if any are."""
    pairs = list(getattr(paper, prices, None) or ())
    named = {size for size, _ in pairs}
    others = [size for size in getattr(paper, listed, None) or () if size not in named]
    result = []
    for size, price in pairs:
        result += [(size, price)] if size or not others else [(each, price) for each in others]
    return result


def _known(size: str, *, is_roll: bool) -> Sheet | None:
    """The sheet or roll of a name; None for a name of the person's own that says no size."""
    try:
        sheet = find_sheet(size)
    except SizeError:
        return None
    return sheet if sheet.is_roll == is_roll else None


def given_price(value, name: str) -> PrintPrice:
    """A price that the person gave for this print; SizeError where it is none."""
    if isinstance(value, PrintPrice):
        return value
    try:
        return PrintPrice(_checked_price(value), None, AS_GIVEN)
    except SizeError as problem:
        raise SizeError(
            tr("{problem} Mend the price of “{name}”.", problem=problem, name=name)
        ) from None
