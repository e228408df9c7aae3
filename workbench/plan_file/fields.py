"""What a plan file may say of a plan: one rule for each key, for writing and for reading.

The same rule checks both ways, so that what is saved can be opened again.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from workbench.analysis.crop import HIGHEST_PPI
from workbench.analysis.eye import FARTHEST_MM
from workbench.analysis.sheets import LARGEST_MM
from workbench.colour.profile import clean_text
from workbench.errors import LibraryError, OutputError, PlanError
from workbench.library.fields import checked as checked_for_shelf
from workbench.output.adjust import (
    MAX_CONTRAST,
    MAX_LIGHTNESS,
    MAX_SHADOW_LIFT,
    MAX_WARMTH,
    as_adjustments,
)
from workbench.plan import Plan

NONE = "none"
_MOST = 1e9


@dataclass(frozen=True)
class Field:
    """One key.

    Attributes
    ----------
    section, key : where it stands.
    check : (value, key) -> the value as the plan holds it; raises PlanError.
    comment : what it is, for the file.
    plain : the plan's value -> the value as it is written, or None to leave the key out.
    """

    section: str
    key: str
    check: Callable
    comment: str
    plain: Callable = lambda value: value


def shown(value) -> str:
    """A value as sentences show it."""
    try:
        text = clean_text(str(value))
    except (ValueError, RecursionError):
        # a whole number of thousands of digits, or lists in lists without end
        text = "something endless"
    return f"“{text[:40]}…”" if len(text) > 41 else f"“{text}”"


def _number(low: float, high: float, *, above: bool = False) -> Callable:
    def check(value, key: str) -> float:
        if isinstance(value, bool) or not isinstance(value, (int, float)):
            raise PlanError(f"“{key}” takes a number, not {shown(value)}.")
        try:
            number = float(value)
        except OverflowError:
            number = math.inf
        inside = low < number <= high if above else low <= number <= high
        if not inside:
            least = f"above {low:g} and at most" if above else f"between {low:g} and"
            raise PlanError(f"“{key}” lies {least} {high:g}; {shown(value)} does not.")
        return number

    return check


def _whole(low: int, high: int) -> Callable:
    def check(value, key: str) -> int:
        if isinstance(value, bool) or not isinstance(value, int) or not low <= value <= high:
            raise PlanError(
                f"“{key}” takes a whole number from {low} to {high}, not {shown(value)}."
            )
        return value

    return check


def _flag(value, key: str) -> bool:
    if not isinstance(value, bool):
        raise PlanError(f"“{key}” is true or false, not {shown(value)}.")
    return value


def _text(value, key: str) -> str:
    if not isinstance(value, str):
        raise PlanError(f"“{key}” takes text in quotes, not {shown(value)}.")
    return clean_text(value)


def _notes(value, key: str) -> str:
    try:
        return checked_for_shelf("notes", value) or ""
    except LibraryError as problem:
        raise PlanError(str(problem)) from None


def _choice(trait: str) -> Callable:
    """One of the values of an Enum trait; None is written as "none"."""
    offered = tuple(Plan.class_traits()[trait].values)

    def check(value, key: str):
        for each in offered:
            # true is no 1, and 8.0 no 8
            if type(value) is type(each) and value == each:
                return each
        if value == NONE and None in offered:
            return None
        names = ", ".join(NONE if each is None else str(each) for each in offered)
        raise PlanError(f"“{key}” is one of {names}, not {shown(value)}.")

    return check


def _sharpening(value, key: str):
    if value == NONE or value is None:
        return None
    if value == "auto":
        return value
    if isinstance(value, str):
        raise PlanError(f'“{key}” is "auto", "none" or a number 0 to 1, not {shown(value)}.')
    return _number(0, 1)(value, key)


def _or_none(value):
    return NONE if value is None else value


def _f(section: str, key: str, check, comment: str, **more) -> Field:
    return Field(section, key, check, comment, **more)


_PPI = _number(0, HIGHEST_PPI, above=True)

#: trait of the plan -> its key, in the order of writing
FIELDS: dict[str, Field] = {
    "size_from": _f("size", "size_from", _choice("size_from"),
                    'what decides the size: "ppi", "size", "sheet" or "viewing distance"'),
    "ppi": _f("size", "ppi", _PPI, "picture pixels per inch of paper"),
    "long_side_mm": _f("size", "long_side_mm", _number(0, LARGEST_MM, above=True),
                       "long side of the printed picture"),
    "sheet": _f("size", "sheet", _text, 'such as "A3" or "24 in roll"; "" takes what fits'),
    "viewing_distance_mm": _f("size", "viewing_distance_mm", _number(0, FARTHEST_MM),
                              "0 takes the usual one for the size"),
    "printer_ppi": _f("size", "printer_ppi", _PPI, "the printer's own resolution"),
    "crop_ratio": _f("size", "crop_ratio", _text, 'such as "5:4"; "" keeps the whole picture'),
    "border_mm": _f("size", "border_mm", _number(0, LARGEST_MM), "white border on every side"),
    "unit": _f("size", "unit", _choice("unit"), 'in which sizes are shown: "cm", "mm" or "in"'),
    "converts": _f("colour", "converts", _choice("converts"),
                   'who brings the colours to the paper\'s: "workbench" or "driver"'),
    "intent": _f("colour", "intent", _choice("intent"),
                 '"relative", "perceptual", "saturation" or "absolute"'),
    "black_point_compensation": _f("colour", "black_point_compensation", _flag,
                                   "true or false"),
    "threshold": _f("colour", "threshold", _number(0, 100),
                    "CIEDE2000 above which a colour counts as beyond the paper"),
    "sharpening": _f("file", "sharpening", _sharpening, '"auto", "none" or 0 to 1',
                     plain=_or_none),
    "bit_depth": _f("file", "bit_depth", _choice("bit_depth"), "16 or 8"),
    "compression": _f("file", "compression", _choice("compression"),
                      'of a TIFF file: "none" or "deflate"', plain=_or_none),
    "on_sheet": _f("file", "on_sheet", _flag, "the file is as large as the sheet"),
    "optical_offset_mm": _f("file", "optical_offset_mm", _number(0, LARGEST_MM),
                            "how far above the middle the picture is placed"),
    "bleed_mm": _f("file", "bleed_mm", _number(0, LARGEST_MM),
                   "picture carried on beyond each edge, for a stretched canvas"),
    "bleed": _f("file", "bleed", _choice("bleed"), 'made of: "mirrored", "picture" or "white"'),
    "description": _f("file", "description", _text, 'embedded in the file; "" has one written'),
    "adaptation": _f("seeing", "adaptation", _number(0, 1),
                     "0 side by side with the reference white, 1 adapted to the paper"),
    "highlight_lightness": _f("seeing", "highlight_lightness", _number(0, 100),
                              "L* above which a pixel takes the paper's tint"),
    "tolerance": _f("seeing", "tolerance", _number(0, 100),
                    "CIEDE2000 below which two greys cannot be told apart"),
    "illuminance_lux": _f("light", "illuminance_lux", _number(0, 1e6), "on the print"),
    "light": _f("light", "light", _text, "an illuminant or a colour temperature in kelvin"),
    "glass": _f("light", "glass", _text, 'name of the glass before the print; "" for none'),
    "room_share": _f("light", "room_share", _number(0, 1000),
                     "what glass and gloss mirror, over a white sheet; left out, the usual"),
    "screen_luminance_cd_m2": _f("light", "screen_luminance_cd_m2", _number(0, 1e6),
                                 "of the screen's white; 0 where not known"),
    "screen_contrast_ratio": _f("light", "screen_contrast_ratio", _number(0, _MOST),
                                "of the screen; 0 where not known"),
    "copies": _f("edition", "copies", _whole(1, 1_000_000), "prints of the edition"),
    "ink_ml_per_m2": _f("edition", "ink_ml_per_m2", _number(0, _MOST),
                        "millilitres of ink to the square metre; left out, not known"),
    "ink_price_per_ml": _f("edition", "ink_price_per_ml", _number(0, _MOST),
                           "in the paper's currency; left out, not known"),
    "notes": _f("edition", "notes", _notes, "your own"),
}  # fmt: skip

#: traits with tables of their own -> where they stand
TABLES = {
    "picture": "[picture]",
    "paper": "the table of [[papers]] with print_on",
    "papers": "[[papers]]",
    "other_paper": "the table of [[papers]] with second_paper",
    "reference": "[seeing] reference, or the table of [[papers]] with reference",
    "display": "[seeing] display, or display_profile",
    "adjustments": "[adjustments]",
}

#: traits that are not saved -> why
NOT_SAVED = dict.fromkeys(
    ("written", "verdict", "measurements"),
    "it belongs to a print that was made, and stands in the record",
) | {"measured_paper": "readings have a file of their own, which is opened again"}

#: the sections in the order of writing, with what they are about
SECTIONS = {
    "size": "How large, and on which sheet",
    "colour": "How the colours come to the paper",
    "adjustments": "What was accepted for this paper; 0 is none",
    "file": "How the file is made",
    "seeing": "How the print is looked at on the desk",
    "light": "The light that it hangs in, and the screen beside it",
    "edition": "How many, what they cost, and your notes",
}

#: keys of [adjustments] -> (rule, comment)
ADJUSTMENTS = {
    "shadow_lift": (_number(0, MAX_SHADOW_LIFT), "L* by which a shadow of L* 12 is lifted"),
    "contrast": (_number(-MAX_CONTRAST, MAX_CONTRAST), "0.1 is ten per cent steeper"),
    "warmth": (_number(-MAX_WARMTH, MAX_WARMTH), "b* of a middle grey; above 0 is warmer"),
    "lightness": (
        _number(-MAX_LIGHTNESS, MAX_LIGHTNESS),
        "L* of a middle grey; above 0 is lighter",
    ),
}


def adjustments_of(plan) -> dict[str, float]:
    """The plan's adjustments as they are written; empty where there are none."""
    try:
        adjustments = as_adjustments(plan.adjustments)
    except OutputError as problem:
        raise PlanError(f"“adjustments” cannot be saved: {problem}") from None
    return {key: getattr(adjustments, key) for key in ADJUSTMENTS} if adjustments else {}
