"""What an entry of the shelf may say: one rule for each key, for reading and for writing."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping

from workbench.decisions import LONGEST_NOTE
from workbench.errors import LibraryError
from workbench.files.text import clean_lines, clean_text

_MOST_SIZES = 100


def _text(key: str, value):
    if not isinstance(value, str):
        raise LibraryError(f"“{key}” takes text in quotes, not {_shown(value)}.")
    return clean_text(value) or None


def _notes(key: str, value):
    if not isinstance(value, str):
        raise LibraryError(f"“{key}” takes text in quotes, not {_shown(value)}.")
    if len(value) > LONGEST_NOTE:
        raise LibraryError(
            f"“{key}” is {len(value)} characters long; {LONGEST_NOTE} is the most it takes."
        )
    return clean_lines(value) or None


def _path(key: str, value):
    if not isinstance(value, str) or not value.strip() or "\0" in value or len(value) > 4000:
        raise LibraryError(f"“{key}” takes the path of a profile in quotes, not {_shown(value)}.")
    return value


def _checksum(key: str, value):
    if not isinstance(value, str) or not re.fullmatch(r"[0-9a-fA-F]{64}", value):
        raise LibraryError(
            f"“{key}” takes the 64 hexadecimal digits of a SHA-256 checksum, not {_shown(value)}."
        )
    return value.lower()


def _flag(key: str, value):
    if not isinstance(value, bool):
        raise LibraryError(f"“{key}” is true or false, not {_shown(value)}.")
    return value or None


def _number(key: str, value, unit: str, low: float, high: float):
    if isinstance(value, bool) or not isinstance(value, (int, float)) or not math.isfinite(value):
        raise LibraryError(f"“{key}” takes a number ({unit}), not {_shown(value)}.")
    if not low <= value <= high:
        raise LibraryError(
            f"“{key}” cannot be {value:g}; it lies between {low:g} and {high:g} {unit}."
        )
    return float(value)


def _weight(key: str, value):
    return _number(key, value, "g/m²", 20, 2000)


def _thickness(key: str, value):
    return _number(key, value, "mm", 0.02, 20)


def _sizes(key: str, value):
    given = [value] if isinstance(value, str) else value
    if not isinstance(given, (list, tuple)) or not all(isinstance(v, str) for v in given):
        raise LibraryError(
            f'“{key}” takes a list of sizes in quotes, such as ["A4", "A3"], not {_shown(value)}.'
        )
    if len(given) > _MOST_SIZES:
        raise LibraryError(f"“{key}” lists {len(given)} sizes; {_MOST_SIZES} is the most it takes.")
    return tuple(dict.fromkeys(size for size in map(clean_text, given) if size)) or None


def _prices(key: str, value):
    """((size, price), ...); a single number is the price of any size, written as ""."""
    if isinstance(value, tuple):
        value = _pairs(key, value)
    if not isinstance(value, Mapping):
        value = {"": value}
    if len(value) > _MOST_SIZES:
        raise LibraryError(f"“{key}” lists {len(value)} prices; {_MOST_SIZES} is the most.")
    sizes: dict[str, float] = {}
    for size, price in value.items():
        name = clean_text(str(size))
        sizes[name] = _number(f"{key} {name}".strip(), price, "in your currency", 0, 1e6)
    return tuple(sizes.items()) or None


def _pairs(key: str, value: tuple) -> dict:
    try:
        return dict(value)
    except (TypeError, ValueError):
        raise LibraryError(
            f"“{key}” takes a number, or a table of sizes and numbers, not {_shown(value)}."
        ) from None


def _shown(value) -> str:
    text = clean_text(str(value))
    return f"“{text[:40]}…”" if len(text) > 41 else f"“{text}”"


# key -> (rule, what the file's own documentation says of it), in the order of writing
FIELDS = {
    "name": (_text, "what you call the paper; each entry its own"),
    "profile": (_path, "its ICC profile: a path, seen from this folder, or a whole one"),
    "profile_sha256": (_checksum, "the profile file's SHA-256 when you put it on the shelf"),
    "surface_texture": (_text, '"smooth", "light texture", "heavy texture", or your own word'),
    "finish": (_text, '"gloss", "satin", "matte", or your own word'),
    "base": (_text, '"resin-coated", "baryta", "cotton", "cellulose", "canvas", or your own'),
    "black_ink": (_text, '"photo black" or "matte black"'),
    "weight_g_m2": (_weight, "grams per square metre, 20 to 2000"),
    "thickness_mm": (_thickness, "millimetres, 0.02 to 20"),
    "sheets": (_sizes, 'sheet sizes you hold, e.g. ["A4", "A3"]'),
    "rolls": (_sizes, 'roll widths you hold, e.g. ["24 in"]'),
    "price_per_sheet": (_prices, "a number, or one for each size: { A4 = 0.9, A3 = 1.8 }"),
    "price_per_metre": (_prices, 'a number, or one for each roll: { "24 in" = 7.5 }'),
    "currency": (_text, 'of the prices, e.g. "EUR"'),
    "printer": (_text, "the printer the profile was made for"),
    "media_setting": (_text, "the media type to choose in the printer's settings"),
    "notes": (_notes, "anything; three double quotes begin and end text of several lines"),
    "invented": (_flag, "true for model papers that do not exist"),
}

# set together by the workbench, never singly
OWN_FIELDS = ("profile", "profile_sha256")


def checked(key: str, value):
    """A field's value as entries hold it; None for "says nothing".

    Raises
    ------
    LibraryError
        for an unknown field, or a value that makes no sense in it.
    """
    if key not in FIELDS:
        raise LibraryError(f"The shelf has no “{key}”; an entry takes {', '.join(FIELDS)}.")
    return None if value is None else FIELDS[key][0](key, value)


def plain(key: str, value):
    """A checked value as it is written: lists, tables, numbers, text."""
    if key in ("price_per_sheet", "price_per_metre"):
        return value[0][1] if [size for size, _ in value] == [""] else dict(value)
    return list(value) if isinstance(value, tuple) else value
