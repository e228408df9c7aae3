"""Standard sheets and rolls, each with the source of its size; lengths in words.

Sizes are stored as the source states them: ISO sheets in whole millimetres,
North American and photo sheets in inches at exactly 25.4 mm.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from difflib import get_close_matches

from workbench.analysis.words import COMMON_PRACTICE, either
from workbench.decisions import LARGEST_MM
from workbench.errors import SizeError
from workbench.language import DECIMAL, tr, with_points
from workbench.paper_readings import AnyPaper
from workbench.printer import TYPICAL, Feed

MM_PER_INCH = 25.4  # exact by definition (international inch, 1959)
UNITS = ("cm", "mm", "in")
# A print solved to fill a sheet must be found to fit it: allow for rounding in the last digits.
ROUNDING_MM = 1e-6

_PWG = tr("PWG 5101.1, Media Standardized Names")


def mm_to_in(length_mm: float) -> float:
    """Inches of a length in millimetres."""
    return length_mm / MM_PER_INCH


def in_to_mm(length_in: float) -> float:
    """Millimetres of a length in inches."""
    return length_in * MM_PER_INCH


def positive(value, name: str, *, unit: str = "", at_most: float = math.inf) -> float:
    """``value`` as a float if it is a finite number above 0 and not above ``at_most``.

    Raises SizeError with ``name`` and ``unit`` in the sentence otherwise.
    """
    try:
        number = float("nan") if isinstance(value, (str, bytes, bool)) else float(value)
    except (TypeError, ValueError, OverflowError):
        number = float("nan")
    unit = f" {unit}" if unit else ""
    if math.isnan(number):
        raise SizeError(
            tr(
                "The {name} must be a number in {unit}, not {value!r}.",
                name=name,
                unit=unit.strip(),
                value=value,
            )
            if unit
            else tr("The {name} must be a number, not {value!r}.", name=name, value=value)
        )
    if number <= 0:
        raise SizeError(
            tr(
                "The {name} must be greater than 0{unit}, and {value!r} is not.",
                name=name,
                unit=unit,
                value=value,
            )
        )
    if number > at_most or math.isinf(number):
        limit = (
            tr("a finite number")
            if math.isinf(at_most)
            else tr("at most {at_most:g}{unit}", at_most=at_most, unit=unit)
        )
        raise SizeError(
            tr(
                "The {name} must be {limit}, not {number:g}{unit}. Is the unit right?",
                name=name,
                limit=limit,
                number=number,
                unit=unit,
            )
        )
    return number


def check_unit(unit: str) -> str:
    """``unit`` itself if it is "cm", "mm" or "in"; raises SizeError otherwise."""
    if unit not in UNITS:
        raise SizeError(tr("Lengths can be shown in cm, mm or in, not in {unit!r}.", unit=unit))
    return unit


def fine_unit(unit: str) -> str:
    """That of borders and margins beside sizes in ``unit``: "mm", or "in" with inches."""
    return "in" if check_unit(unit) == "in" else "mm"


def _plain_number(length_mm: float, unit: str) -> str:
    if check_unit(unit) == "in":
        value = length_mm / MM_PER_INCH
        places = 1 if abs(value) >= 9.95 else 2
    else:
        value = length_mm / 10 if unit == "cm" else length_mm
        places = 0 if unit == "mm" and abs(value) >= 99.5 else 1
    text = f"{value:.{places}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text in ("-0", "") else text


def number_in_unit(length_mm: float, unit: str = "cm") -> str:
    """A length as a short number without its unit: at most 0.1 cm, 0.1 mm or 0.01 in fine."""
    return _plain_number(length_mm, unit).replace(".", DECIMAL)


def length_text(length_mm: float, unit: str = "cm") -> str:
    """A length in words, such as "59.4 cm"; ``unit`` is "cm", "mm" or "in"."""
    return f"{number_in_unit(length_mm, unit)} {unit}"


def area_text(width_mm: float, height_mm: float, unit: str = "cm") -> str:
    """Width by height in words, such as "59 × 39 cm"."""
    return f"{number_in_unit(width_mm, unit)} × {number_in_unit(height_mm, unit)} {unit}"


@dataclass(frozen=True, slots=True)
class Sheet:
    """A sheet of paper, or a roll when ``height_mm`` is None.

    ``width_mm`` is the short side of a sheet, or the width of a roll;
    ``height_mm`` the long side.  ``source`` says where the size comes from.
    ``tolerance_mm`` is how far a side may be out by the sheet's own standard
    (the larger of its two sides' tolerances), None where none is stated.
    """

    name: str
    family: str
    width_mm: float
    height_mm: float | None
    source: str
    also: tuple[str, ...] = ()
    tolerance_mm: float | None = None

    @property
    def is_roll(self) -> bool:
        return self.height_mm is None

    @property
    def label(self) -> str:
        """Its name as it is read; the name itself is what plans keep."""
        if self.is_roll and self.name.endswith(" roll"):
            return tr("{width} roll", width=_read(self.name.removesuffix(" roll")))
        return _read(self.name)

    @property
    def area_mm2(self) -> float:
        """Area in mm²; infinite for a roll, whose length is free."""
        return math.inf if self.height_mm is None else self.width_mm * self.height_mm

    @property
    def phrase(self) -> str:
        """The sheet as it stands in a sentence: "A2", "16×20 in paper", "a 24 in roll"."""
        if self.is_roll:
            return tr("a {roll}", roll=self.label)
        return tr("{name} paper", name=self.label) if self.name[0].isdigit() else self.label

    def size_text(self, unit: str = "cm") -> str:
        """Its size in words, such as "42 × 59.4 cm", or "61 cm wide" for a roll."""
        if self.height_mm is None:
            return tr("{length} wide", length=length_text(self.width_mm, unit))
        return area_text(self.width_mm, self.height_mm, unit)


def _read(name: str) -> str:
    """A name with its numbers as the language writes them."""
    return re.sub(r"(?<=\d)\.(?=\d)", DECIMAL, name)


def iso_tolerance_mm(side_mm: float) -> float:
    """How far a side of an ISO 216 sheet may be out: ±1.5 mm to 150, ±2 to 600, ±3 above."""
    return 1.5 if side_mm <= 150 else 2.0 if side_mm <= 600 else 3.0


def _iso(series: str, sizes: dict[int, tuple[int, int]]) -> tuple[Sheet, ...]:
    return tuple(
        Sheet(f"{series}{n}", f"ISO {series}", float(w), float(h), "ISO 216:2007",
              tolerance_mm=iso_tolerance_mm(h))
        for n, (w, h) in sizes.items()
    )  # fmt: skip


def _inches(name: str, family: str, width_in: float, height_in: float | None, source: str,
            *also: str) -> Sheet:  # fmt: skip
    height_mm = None if height_in is None else in_to_mm(height_in)
    return Sheet(name, family, in_to_mm(width_in), height_mm, source, also)


_ISO_A = _iso("A", {0: (841, 1189), 1: (594, 841), 2: (420, 594), 3: (297, 420),
                    4: (210, 297), 5: (148, 210), 6: (105, 148)})  # fmt: skip
_ISO_B = _iso("B", {0: (1000, 1414), 1: (707, 1000), 2: (500, 707), 3: (353, 500),
                    4: (250, 353), 5: (176, 250), 6: (125, 176)})  # fmt: skip

# The standard calls them A to E.  Photo paper is sold by trade name or by inches,
# so those come first and the letters are other names.
_NORTH_AMERICAN = tuple(
    _inches(name, "North American", w, h, "ASME Y14.1", *also)
    for name, w, h, *also in (
        ("Letter", 8.5, 11, "ASME A", "ANSI A", "8.5×11 in"),
        ("Tabloid", 11, 17, "ASME B", "ANSI B", "Ledger", "11×17 in"),
        ("17×22 in", 17, 22, "ASME C", "ANSI C"),
        ("22×34 in", 22, 34, "ASME D", "ANSI D"),
        ("34×44 in", 34, 44, "ASME E", "ANSI E"),
    )
)

_ARCHITECTS = tuple(
    _inches(f"{w}×{h} in", "architects'", w, h, _PWG, f"Arch {letter}")
    for letter, w, h in (("A", 9, 12), ("B", 12, 18), ("C", 18, 24), ("E1", 30, 42), ("E", 36, 48))
)

_PHOTO = (
    Sheet("A3+", "photo", 329.0, 483.0, COMMON_PRACTICE),
    *(
        _inches(f"{w}×{h} in", "photo", w, h, _PWG, *also)
        for w, h, *also in (
            (4, 6), (5, 7), (8, 10), (8, 12), (10, 12), (11, 14), (13, 19, "Super B"),
            (16, 20), (20, 24), (20, 30), (24, 30), (24, 36, "Arch D"), (30, 40),
        )
    ),
)  # fmt: skip

_PHOTO_CM = tuple(
    Sheet(f"{w}×{h} cm", "photo cm", w * 10.0, h * 10.0, source)
    for w, h, source in (
        (10, 15, _PWG), (13, 18, _PWG), (20, 30, _PWG), (30, 40, _PWG), (30, 45, _PWG),
        (40, 50, COMMON_PRACTICE), (40, 60, _PWG), (50, 70, COMMON_PRACTICE), (60, 80, COMMON_PRACTICE),
        (60, 90, _PWG), (70, 100, COMMON_PRACTICE),
    )
)  # fmt: skip

ROLLS = tuple(
    _inches(f"{w} in roll", "roll", w, None, COMMON_PRACTICE, f"{w} in", f"roll {w} in")
    for w in (8, 13, 16, 17, 24, 36, 42, 44, 60, 64)
)

#: Every sheet, smallest first, then every roll, narrowest first.
SHEETS: tuple[Sheet, ...] = (
    *sorted((*_ISO_A, *_ISO_B, *_NORTH_AMERICAN, *_ARCHITECTS, *_PHOTO, *_PHOTO_CM),
            key=lambda s: s.area_mm2),
    *ROLLS,
)  # fmt: skip
#: the families, and as they are read
FAMILY_NAMES = {
    "ISO A": "ISO A",
    "photo cm": tr("photo cm"),
    "photo": tr("photo"),
    "North American": tr("North American"),
    "roll": tr("roll"),
    "architects'": tr("architects'"),
    "ISO B": "ISO B",
}
FAMILIES = tuple(FAMILY_NAMES)
#: Inkjet papers are seldom cut to the B series or architects' sizes, and the cm formats are
#: not sold everywhere, so these are left out unless asked for (common practice, no source).
USUAL_FAMILIES = ("ISO A", "North American", "photo", "roll")
#: region, as in `workbench.decisions` -> the families that are sold there, those first that a
#: shop has most of (common practice, no source)
REGIONS = {
    "": USUAL_FAMILIES,
    "centimetres": ("ISO A", "photo cm", "roll"),
    "inches": ("photo", "North American", "roll"),
    "everything": FAMILIES,
}
# sold in centimetres where the A sizes are, though it belongs to the photo sheets
_BOTH = ("A3+",)


def sheets_of(families=USUAL_FAMILIES) -> tuple[Sheet, ...]:
    """The sheets and rolls of ``families``, smallest first.

    ``families`` holds names from FAMILIES, or is one name; None means the usual ones.
    Raises SizeError for a family there is not.
    """
    wanted = USUAL_FAMILIES if families is None else families
    wanted = (wanted,) if isinstance(wanted, str) else tuple(wanted)
    for family in wanted:
        if family not in FAMILIES:
            raise SizeError(
                tr(
                    "There is no sheet family {family!r}; there are {listed}.",
                    family=family,
                    listed=", ".join(FAMILIES),
                )
            )
    return tuple(
        sheet
        for sheet in SHEETS
        if sheet.family in wanted or ("ISO A" in wanted and sheet.name in _BOTH)
    )


def families_of(region: str = "") -> tuple[str, ...]:
    """Every family, those first that are sold where the person is.

    >>> families_of("inches")[:2]
    ('photo', 'North American')
    """
    return tuple(dict.fromkeys((*REGIONS[region], *FAMILIES)))


def sheets_for(region: str = "", feed: Feed = TYPICAL, *, held=(), rolls: str = "") -> tuple:
    """The sheets and rolls to look through for a print, smallest first.

    Parameters
    ----------
    region : "", "centimetres", "inches" or "everything", see `REGIONS`.
    feed : a `workbench.printer.Feed`; what is wider than it takes is left out.
    held : sheets and rolls that the paper is there in, see `held_sheets`.
    rolls : widths that the printer takes, such as "17 in, 24 in"; "" for all.

    Returns
    -------
    `Sheet` objects, cut sheets first.

    Raises
    ------
    SizeError
        for a roll that is none.

    Examples
    --------
    >>> [sheet.name for sheet in sheets_for("centimetres", Feed(widest_mm=211))][-4:]
    ['A5', '20×30 cm', 'A4', '8 in roll']
    """
    own = tuple(find_sheet(width.strip()) for width in rolls.split(",") if width.strip())
    listed = (sheet for sheet in sheets_of(REGIONS[region]) if not (own and sheet.is_roll))
    # the same size under two names is one sheet
    found = {(each.width_mm, each.height_mm): each for each in (*held, *own, *listed)}
    able = [sheet for sheet in found.values() if sheet.width_mm <= feed.widest_mm + ROUNDING_MM]
    return tuple(sorted(able, key=lambda each: (each.is_roll, each.area_mm2, each.width_mm)))


def held_sheets(paper: AnyPaper | None) -> tuple[Sheet, ...]:
    """The sheets and rolls that a paper is there in, by its shelf and its prices.

    Names of the person's own that say no size are passed over; none without a paper.
    """
    found = {}
    for sizes, prices, is_roll in (
        ("sheets", "price_per_sheet", False), ("rolls", "price_per_metre", True),
    ):  # fmt: skip
        names = [*(getattr(paper, sizes, None) or ())]
        names += [size for size, _ in getattr(paper, prices, None) or () if size]
        for name in names:
            try:
                sheet = find_sheet(name)
            except SizeError:
                continue
            if sheet.is_roll == is_roll:
                found[sheet.width_mm, sheet.height_mm] = sheet
    return tuple(found.values())


def custom_sheet(width_mm: float, height_mm: float, name: str | None = None) -> Sheet:
    """A sheet of any size, in mm and in either order.  Raises SizeError for absurd sizes."""
    short, long = sorted(positive(side, tr("side of the sheet"), unit="mm", at_most=LARGEST_MM)
                         for side in (width_mm, height_mm))  # fmt: skip
    name = name or f"{_plain_number(short, 'mm')} × {_plain_number(long, 'mm')} mm"
    return Sheet(name, "custom", short, long, tr("typed"))


def custom_roll(width_mm: float, name: str | None = None) -> Sheet:
    """A roll of any width in mm.  Raises SizeError for absurd widths."""
    width = positive(width_mm, tr("width of the roll"), unit="mm", at_most=LARGEST_MM)
    name = name or f"{_plain_number(width, 'mm')} mm roll"
    return Sheet(name, "custom", width, None, tr("typed"))


def _key(name: str) -> str:
    text = name.lower().replace("×", "x").replace('"', "in").replace("inches", "in")
    text = with_points(text).replace(tr("roll").lower(), "roll")
    return re.sub(r"\s+", "", text.replace("inch", "in"))


_BY_NAME = {_key(name): sheet for sheet in SHEETS for name in (sheet.name, *sheet.also)}
_NUMBER = r"(\d+(?:\.\d+)?)"
_TYPED_SHEET = re.compile(rf"{_NUMBER}x{_NUMBER}(mm|cm|in)")
_TYPED_ROLL = re.compile(rf"(?:roll)?{_NUMBER}(mm|cm|in)(?:roll)?")
#: a unit of length -> mm
IN_MM = {"mm": 1.0, "cm": 10.0, "in": MM_PER_INCH}


def find_sheet(sheet) -> Sheet:
    """The sheet meant by a name, a typed size, a pair of mm, or a Sheet.

    >>> find_sheet("a2").height_mm, find_sheet("8x10 in").name, find_sheet("30 x 30 cm").width_mm
    (594.0, '8×10 in', 300.0)
    >>> find_sheet("roll 24 in").is_roll, find_sheet((300, 200)).height_mm
    (True, 300.0)

    Raises SizeError, naming sheets that come close, when nothing is meant.
    """
    if isinstance(sheet, Sheet):
        return sheet
    if not isinstance(sheet, str):
        try:
            width_mm, height_mm = sheet
        except (TypeError, ValueError):
            raise SizeError(
                tr(
                    "{sheet!r} is not a sheet: give a name such as 'A2', or (width, height) in mm.",
                    sheet=sheet,
                )
            ) from None
        return custom_sheet(width_mm, height_mm)
    key = _key(sheet)
    # "16x20" without a unit is only taken when the trade sells such a sheet in inches
    if found := _BY_NAME.get(key) or _BY_NAME.get(f"{key}in"):
        return found
    if typed := _TYPED_SHEET.fullmatch(key):
        per_unit = IN_MM[typed[3]]
        return custom_sheet(float(typed[1]) * per_unit, float(typed[2]) * per_unit)
    if typed := _TYPED_ROLL.fullmatch(key):
        return custom_roll(float(typed[1]) * IN_MM[typed[2]])
    near = [_BY_NAME[k].label for k in get_close_matches(key, _BY_NAME, n=3, cutoff=0.5)]
    hint = (
        tr("Did you mean {names}?", names=either(dict.fromkeys(near)))
        if near
        else tr("Give a name such as A2.")
    )
    raise SizeError(
        tr(
            "There is no sheet called {sheet!r}. {hint} '300 x 400 mm' works too.",
            sheet=sheet,
            hint=hint,
        )
    )
