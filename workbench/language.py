"""What is said in the person's language, with numbers as that language writes them.

Sentences, labels and messages go through `tr`, whose English text is the key of a gettext
catalog in the folder ``catalogs``.  The language is that of the process: it is read once, so
what is worded while a module is loaded has it, too.  English needs no catalog.
"""

from __future__ import annotations

import gettext
import io
import os
import re
import string
from datetime import date
from numbers import Number
from pathlib import Path

CATALOGS = Path(__file__).parent / "catalogs"
VARIABLE = "WORKBENCH_LANGUAGE"
# those that are whole; tests say whether they are
LANGUAGES = {"en": "English", "de": "Deutsch"}


def chosen_language() -> str:
    """The code of the language in use, such as ``"en"``.

    That of the environment's ``WORKBENCH_LANGUAGE``; else the system's, as gettext finds it;
    English where there is no catalog for it.

    Examples
    --------
    >>> chosen_language() in LANGUAGES
    True
    """
    wanted = os.environ.get(VARIABLE)
    if not wanted:
        named = (os.environ.get(each) for each in ("LANGUAGE", "LC_ALL", "LC_MESSAGES", "LANG"))
        wanted = next(filter(None, named), "en").split(":")[0]
    code = wanted.replace("-", "_").split("_")[0].split(".")[0].lower()
    return code if code in LANGUAGES else "en"


def catalog(code: str) -> gettext.NullTranslations:
    """The messages of a language; English has none, as its texts are the keys.

    The catalog is read from its text, which translators edit and people can compare.
    """
    if code == "en":
        return gettext.NullTranslations()
    try:
        from babel.messages import mofile, pofile
    except ImportError:  # the launcher speaks before it has installed anything
        return gettext.NullTranslations()

    with open(CATALOGS / f"{code}.po", "rb") as file:
        read = pofile.read_po(file, locale=code)
    held = io.BytesIO()
    mofile.write_mo(held, read)
    held.seek(0)
    return gettext.GNUTranslations(held)


LANGUAGE = chosen_language()
_MESSAGES = catalog(LANGUAGE)


class _Locally(string.Formatter):
    """Formats numbers with the language's own decimal and grouping marks."""

    def __init__(self, marks: dict[int, str]):
        self.marks = marks

    def format_field(self, value, format_spec):
        text = format(value, format_spec)
        return text.translate(self.marks) if isinstance(value, Number) else text


def _marks(code: str) -> dict[int, str]:
    if code == "en":
        return {}
    try:
        from babel import Locale
    except ImportError:
        return {}

    symbols = Locale.parse(code).number_symbols["latn"]
    return str.maketrans({".": symbols["decimal"], ",": symbols["group"]})


_FORMATTER = _Locally(_marks(LANGUAGE))
DECIMAL = _FORMATTER.marks.get(ord("."), ".")
#: what parts numbers in a row: no comma where that is the decimal mark
LIST_MARK = "; " if DECIMAL == "," else ", "


def tr(text: str, /, **values) -> str:
    """``text`` in the language in use, with ``values`` in the places that it names.

    Parameters
    ----------
    text : the English text, whole, as a literal: catalogs are made by reading the code.
    **values : what stands for ``{name}`` in it, with format specifications as `format` has
        them; numbers get the language's decimal mark.  Without values, braces are braces.

    Returns
    -------
    str

    Examples
    --------
    >>> tr("{width:.1f} × {height:.1f} cm", width=38.1, height=25.4) if LANGUAGE == "en" else ""
    '38.1 × 25.4 cm'
    """
    if text and LANGUAGE != "en":
        text = _MESSAGES.gettext(text)
    if not values:
        return text
    return text.format(**values) if LANGUAGE == "en" else _FORMATTER.vformat(text, (), values)


def decimal(text: str) -> float:
    """The number that a person typed, with the language's decimal mark or a point.

    Raises
    ------
    ValueError : it is not a number.

    Examples
    --------
    >>> decimal("29.7")
    29.7
    """
    typed = str(text).strip()
    if "," in typed and (DECIMAL != "," or "." in typed or typed.count(",") > 1):
        raise ValueError(typed)
    return float(typed.replace(",", "."))


def with_points(text: str) -> str:
    """What a person typed, with a point in each number: files and names of sizes have points.

    Examples
    --------
    >>> with_points("30.5 x 40 cm")
    '30.5 x 40 cm'
    """
    return re.sub(r"(?<=\d),(?=\d)", ".", text) if DECIMAL == "," else text


def typed_list(text: str) -> list[str]:
    """The pieces of a list that a person typed, with points in their numbers, without empty ones.

    Commas part them.  Where the comma is the decimal mark, one between two digits belongs to
    a number, and semicolons part pieces too.

    Examples
    --------
    >>> typed_list("17.5 in, 61 cm")
    ['17.5 in', '61 cm']
    """
    between = r";|,(?!\d)|(?<!\d)," if DECIMAL == "," else ","
    pieces = (with_points(each).strip() for each in re.split(between, text))
    return [each for each in pieces if each]


def numeral(value: float, spec: str = "g") -> str:
    """A number alone, formatted as by `format`, with the language's marks.

    Examples
    --------
    >>> numeral(1.5, ".2f") if LANGUAGE == "en" else "1.50"
    '1.50'
    """
    return _FORMATTER.format_field(value, spec)


def day(moment: date, english: str = "%Y-%m-%d", parts: str = "yMMMd") -> str:
    """A date as the language writes it.

    Parameters
    ----------
    moment : a date, or a date with its time.
    english : how English has it, as for `strftime`.
    parts : what other languages show of it, as a skeleton of CLDR's.

    Examples
    --------
    >>> day(date(2026, 2, 1)) if LANGUAGE == "en" else "2026-02-01"
    '2026-02-01'
    """
    if LANGUAGE == "en":
        return format(moment, english)
    from babel.dates import format_skeleton

    return format_skeleton(parts, moment, locale=LANGUAGE)


def month(number: int) -> str:
    """The short name of a month, 1 to 12, where it stands alone.

    Examples
    --------
    >>> month(2) if LANGUAGE == "en" else "Feb"
    'Feb'
    """
    if LANGUAGE == "en":
        return f"{date(2000, number, 1):%b}"
    from babel.dates import get_month_names

    return get_month_names("abbreviated", "stand-alone", LANGUAGE)[number]
