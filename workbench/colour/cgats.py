"""Measurements in text files: CGATS.17 and ISO 28178, as measuring instruments write them.

Such a file is a line that names its kind, keywords with their values, a list of fields
(BEGIN_DATA_FORMAT), and the numbers (BEGIN_DATA).  What the numbers mean is told by the
fields' names; under which light and for which observer, by keywords, if at all.
Files differ in small ways, so the reader is lenient in form and strict in number.
"""

from __future__ import annotations

import math
import os
import re
from collections import defaultdict
from dataclasses import dataclass, field

import numpy as np

from workbench.errors import PaperError
from workbench.files.reading import read_regular
from workbench.files.text import clean_text
from workbench.language import tr

_MOST_BYTES = 50_000_000
_MOST_FIELDS = 2000
# a token in quotes, or one without blanks
_TOKEN = re.compile(r'"((?:[^"]|"")*)"|(\S+)')
_NUMBER = re.compile(r"[+-]?(?:\d+[.,]?\d*|[.,]\d+)(?:[eE][+-]?\d+)?")
# one column a wavelength: any name that ends in three digits of nanometres
_BAND = re.compile(r"(.*\D)?([3-9]\d\d)(?:\.0*)?(?:_?NM)?")
_CONDITION = re.compile(r"\b(M[0-3])\b")
_TO_PAPER = re.compile(
    r"\bwhite\s*\w*\s*[=:]\s*(pap|rel)|\brelative\W+to\W+(the\W+)?(bare\W+)?paper", re.I
)


@dataclass(frozen=True, eq=False)
class CgatsTable:
    """One table of a measurement file.

    Attributes
    ----------
    identifier : the file's first line, such as "CGATS.17".
    keywords : (name, value) pairs in the file's order, names in capitals; some names
        occur more than once.
    fields : names of the columns, in capitals; may hold one name several times.
    rows : text of the values, one tuple a sample.
    """

    identifier: str
    keywords: tuple[tuple[str, str], ...]
    fields: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...] = field(repr=False)

    def values(self, keyword: str) -> tuple[str, ...]:
        """All values of a keyword; empty where the file does not have it."""
        return tuple(value for name, value in self.keywords if name == keyword)

    def has(self, *fields: str) -> bool:
        """Whether every one of these columns is there."""
        return set(map(_plain, fields)) <= set(map(_plain, self.fields))

    def text(self, name: str) -> tuple[str, ...]:
        """A column as text; PaperError where there is none of that name."""
        place = self._place(name)
        return tuple(row[place] for row in self.rows)

    def numbers(self, *fields: str) -> np.ndarray:
        """(samples, fields) float64 of columns.

        Raises
        ------
        PaperError
            if a column is missing or a value in it is not a finite number.
        """
        return self._numbers_at([self._place(name) for name in fields])

    def _place(self, name: str) -> int:
        names = [_plain(field) for field in self.fields]
        if _plain(name) not in names:
            raise PaperError(
                tr(
                    "The measurement file has no column “{name}”; it has {columns}.",
                    name=name,
                    columns=_listed(self.fields),
                )
            )
        return names.index(_plain(name))

    def _numbers_at(self, places) -> np.ndarray:
        result = np.empty((len(self.rows), len(places)))
        for r, row in enumerate(self.rows):
            for c, place in enumerate(places):
                result[r, c] = self._number(row[place], r, place)
        return result

    def _number(self, text: str, row: int, place: int) -> float:
        # some write a decimal comma, after their country
        is_number = len(text) < 40 and _NUMBER.fullmatch(text)
        number = float(text.replace(",", ".")) if is_number else math.nan
        if not math.isfinite(number):
            raise PaperError(
                tr(
                    "In the measurement file, sample {row} has “{value}” as {field}, which "
                    "is not a number; mend the file or export it again.",
                    row=row + 1,
                    value=clean_text(text)[:20],
                    field=self.fields[place],
                )
            )
        return number

    @property
    def illuminant(self) -> str | None:
        """The illuminant that Lab and XYZ are for, as the keywords state it; else None."""
        return _stated(self, "light")

    @property
    def observer_deg(self) -> int | None:
        """The observer that Lab and XYZ are for, 2 or 10 degrees; None where not stated."""
        found = _stated(self, "angle")
        return None if found is None else int(found)

    @property
    def condition(self) -> str | None:
        """Measurement condition of ISO 13655, "M0" to "M3", where the file names one."""
        measuring = [value for name, value in self.keywords if name.startswith("MEASUREMENT")]
        every = (value for _, value in self.keywords)
        return _only(_CONDITION, measuring) or _only(_CONDITION, every)

    @property
    def relative_to_paper(self) -> bool:
        """Whether the file says that its values are relative to the bare paper."""
        return any(_TO_PAPER.search(value) for _, value in self.keywords)

    def spectra(self) -> tuple[np.ndarray, np.ndarray] | None:
        """Wavelengths in nm, and (samples, wavelengths) reflectances, 1 for the perfect diffuser.

        None where the file has no spectra.  Values are percent where the fields or a keyword
        about spectra say so, or where any is above 2, which no paper's share of light is.

        Raises
        ------
        PaperError
            if the wavelengths are not even steps of 5 to 20 nm from 400 or less to 700 or more.
        """
        pairs = [i for i, name in enumerate(self.fields) if name == "SPECTRAL_NM"]
        if pairs and self.rows:
            columns = [i + 1 for i in pairs]
            kinds = {self.fields[i] for i in columns if i < len(self.fields)}
            if not kinds <= {"SPECTRAL_PCT", "SPECTRAL_DEC"} or len(kinds) != 1:
                raise PaperError(
                    tr(
                        "In the measurement file each SPECTRAL_NM must be followed by its "
                        "SPECTRAL_PCT, or each by its SPECTRAL_DEC; export it again."
                    )
                )
            every = self._numbers_at(pairs)
            if (every != every[0]).any():
                raise PaperError(tr("The measurement file's samples have different wavelengths."))
            wavelengths = every[0]
            full: float | None = 100.0 if "SPECTRAL_PCT" in kinds else 1.0
        else:
            alike: dict[str, list[tuple[float, int]]] = defaultdict(list)
            for i, name in enumerate(self.fields):
                if match := _BAND.fullmatch(name):
                    alike[match[1]].append((float(match[2]), i))
            if not alike:
                return None
            longest = max(alike.values(), key=len)
            bands = sorted(longest)
            wavelengths, columns = np.array([b for b, _ in bands]), [i for _, i in bands]
            full = self._stated_full_scale()
        values = self._numbers_at(columns)
        order = np.argsort(wavelengths)
        wavelengths, values = wavelengths[order], values[:, order]
        check_bands(wavelengths, tr("The measurement file's spectra"))
        if full is None:
            full = 100.0 if values.size and values.max() > 2 else 1.0
        return wavelengths, values / full

    def _stated_full_scale(self) -> float | None:
        for name, value in self.keywords:
            if name.startswith("SPECTRAL") and re.fullmatch(r"1(00)?(\.0*)?", value):
                return float(value)
        return None


def _plain(name: str) -> str:
    """A column's name as it is compared: some write SampleID for SAMPLE_ID."""
    return name.upper().replace("_", "")


def check_bands(wavelengths: np.ndarray, whose: str) -> None:
    """PaperError unless these (k,) wavelengths in nm cover the visible in even steps."""
    steps = np.diff(wavelengths)
    even = len(steps) > 0 and np.ptp(steps) < 1e-6 and 5 <= steps[0] <= 20
    if not even or wavelengths[0] > 400 or wavelengths[-1] < 700:
        raise PaperError(
            tr(
                "{whose} must go from 400 nm or less to 700 nm or more in even steps of 5 to "
                "20 nm.",
                whose=whose,
            )
        )


_LIGHT, _ANGLE = r"([AC]|[Dd]\d\d|[Ff]\d\d?)", r"(2|10)"
# "ILLUMINANT, D50", "ObserverAngle=2": a word that says so, and what it says
_NAMED = {
    "light": re.compile(rf"(?i:\w*ILLUM\w*)\W+{_LIGHT}\b"),
    "angle": re.compile(rf"(?i:\w*OBSERV\w*(?:\W+angle)?)\W+{_ANGLE}(?![\w.])"),
}
# "D50, 2 degree, geometry 45/0 …", as characterisation data say it
_BOTH = re.compile(rf"\b{_LIGHT}[\s,.;/]+{_ANGLE}\s*(?i:deg|°)")
# by themselves: only what can hardly mean anything else
_ALONE = {
    "light": re.compile(r"\b(D(?:50|55|65|75))\b"),
    "angle": re.compile(rf"(?<![\w.]){_ANGLE}[\s-]*(?i:deg|°)(?!\s*C)"),
}
# these name the instrument's lamp and filter, which may be other than what numbers are for
_INSTRUMENT = ("MEASUREMENT_SOURCE", "FILTER")


def _stated(table: CgatsTable, what: str) -> str | None:
    """The "light" or "angle" that the keywords say colours are for: the surest word of theirs."""
    # CGATS.17: the weighting function says what numbers are for, whatever else is named
    ordered = sorted(table.keywords, key=lambda pair: pair[0] != "WEIGHTING_FUNCTION")
    for name, value in ordered:
        if match := _NAMED[what].search(f"{name} {value}"):
            return match[1].upper()
    for _, value in ordered:
        if match := _BOTH.search(value):
            return match[1 if what == "light" else 2].upper()
    return _only(_ALONE[what], (v for name, v in ordered if name not in _INSTRUMENT))


def _only(pattern: re.Pattern, values) -> str | None:
    """What a pattern finds in any of the values, if it is one thing."""
    found = {match[1] for value in values for match in pattern.finditer(value)}
    return found.pop() if len(found) == 1 else None


def read_cgats(source: bytes | str | os.PathLike) -> tuple[CgatsTable, ...]:
    """The tables of a measurement file.

    Parameters
    ----------
    source : its path, or its bytes; UTF-8, UTF-16 with a byte order mark, or Windows-1252.

    Returns
    -------
    At least one table with at least one sample.

    Raises
    ------
    PaperError
        if the file cannot be read, is not such a file, or is cut short.
    """
    text = _decoded(_bytes_of(source))
    lines = [_without_comment(line) for line in re.split(r"\r\n|\r|\n", text)]
    tables: list[CgatsTable] = []
    keywords: list[tuple[str, str]] = []
    fields: tuple[str, ...] = ()
    held: list[tuple[int, str]] = []
    identifier = block = promised = None
    first = 0
    for number, line in enumerate(lines, 1):
        tokens = [] if block else _tokens(line)
        word = line.strip().upper()
        if block:
            if word != f"END_{block}":
                held.append((number, line))
            elif block == "DATA_FORMAT":
                fields, block = _fields([t for _, h in held for t in _tokens(h)]), None
            else:
                rows = _rows(held, fields, promised, first)
                tables.append(CgatsTable(identifier or "", tuple(keywords), fields, rows))
                keywords, promised, block = [], None, None
        elif word in ("BEGIN_DATA_FORMAT", "BEGIN_DATA"):
            block, held, first = word[6:], [], number
            if block == "DATA" and not fields:
                raise PaperError(
                    tr(
                        "The measurement file has data, but does not say what they are "
                        "(BEGIN_DATA_FORMAT is missing); export it again."
                    )
                )
        elif tokens and identifier is None and len(tokens) == 1:
            identifier = clean_text(tokens[0])
        elif tokens:
            name, value = tokens[0].upper(), clean_text(" ".join(tokens[1:]))
            if name == "NUMBER_OF_SETS":
                promised = int(value) if value.isdecimal() and len(value) < 10 else None
            elif name != "KEYWORD":
                keywords.append((clean_text(name), value))
    if block:
        raise PaperError(
            tr(
                "The measurement file ends before its END_{block}; it is cut short, so export "
                "it again.",
                block=block,
            )
        )
    tables = [table for table in tables if table.rows]
    if not tables:
        raise PaperError(
            tr(
                "This is not a measurement file: it has no table between BEGIN_DATA and END_DATA. "
                "Choose a text file as CGATS.17 or ISO 28178 describe it."
            )
        )
    return tuple(tables)


def _bytes_of(source) -> bytes:
    if isinstance(source, (bytes, bytearray, memoryview)):
        data = bytes(source)
    else:
        data = read_regular(source, _MOST_BYTES, PaperError)
    if len(data) > _MOST_BYTES:
        raise PaperError(
            tr("The file is over 50 MB, too large for a measurement file; choose another.")
        )
    return data


def _decoded(data: bytes) -> str:
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return data.decode("utf-16", errors="replace")
    if b"\0" in data:
        raise PaperError(
            tr("This is not a text file; choose a measurement file (CGATS.17, ISO 28178).")
        )
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("cp1252", errors="replace")


def _without_comment(line: str) -> str:
    if "#" not in line:
        return line
    quoted = False
    for place, character in enumerate(line):
        if character == '"':
            quoted = not quoted
        # “Patch#3” is a name, “# patch” a comment
        elif character == "#" and not quoted and (place == 0 or line[place - 1].isspace()):
            return line[:place]
    return line


def _tokens(line: str) -> list[str]:
    return [
        match[2] if match[2] is not None else match[1].replace('""', '"')
        for match in _TOKEN.finditer(line)
    ]


def _fields(names: list[str]) -> tuple[str, ...]:
    if not 1 <= len(names) <= _MOST_FIELDS:
        raise PaperError(
            tr(
                "The measurement file lists {count} fields; between 1 and {most_fields} make "
                "sense.",
                count=len(names),
                most_fields=_MOST_FIELDS,
            )
        )
    return tuple(clean_text(name).upper() for name in names)


def _rows(held, fields, promised: int | None, first: int) -> tuple[tuple[str, ...], ...]:
    width, rows, loose, odd = len(fields), [], [], None
    for number, line in held:
        tokens = _tokens(line)
        if not tokens:
            continue
        if len(tokens) != width and "\t" in line:
            # names with blanks, not in quotes, between tabulators
            cells = [cell.strip().strip('"') for cell in line.strip("\r\n").split("\t")]
            tokens = cells if len(cells) == width else tokens
        if len(tokens) != width and odd is None:
            odd = number, len(tokens)
        rows.append(tuple(tokens))
        loose.extend(tokens)
    if odd is not None:
        # rows may run over several lines
        if len(loose) % width or (promised and len(loose) // width != promised):
            raise PaperError(
                tr(
                    "Line {line} of the measurement file has {count} values where {width} fields "
                    "are listed; mend the file or export it again.",
                    line=odd[0],
                    count=odd[1],
                    width=width,
                )
            )
        rows = [tuple(loose[i : i + width]) for i in range(0, len(loose), width)]
    if promised is not None and promised != len(rows):
        raise PaperError(
            tr(
                "The measurement file promises {promised} samples and holds {count} (from line "
                "{first}); it is cut short or was changed, so export it again.",
                promised=promised,
                count=len(rows),
                first=first,
            )
        )
    return tuple(rows)


def _listed(names) -> str:
    names = list(dict.fromkeys(names))
    return ", ".join(names[:12]) + (" …" if len(names) > 12 else "")
