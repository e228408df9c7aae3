"""Readings of step wedges, kept as a table beside the record of prints."""

from __future__ import annotations

import csv
import io
from datetime import date
from pathlib import Path

from workbench.analysis.wedge import ROWS, WedgeReading
from workbench.errors import LibraryError, RecordError
from workbench.files import clean_text, read_regular, sole_writer, write_whole
from workbench.language import tr
from workbench.output.csv_text import csv_text, spreadsheet_bytes

_HEAD = ("read_on", "paper_name", *ROWS)
_MOST_BYTES = 10_000_000
_FIELDS = range(11)


def wedge_file(record_path) -> Path:
    """The file of the readings, beside a record's own: ``prints.sqlite`` has ``prints-wedge.csv``."""
    path = Path(record_path)
    return path.with_name(f"{path.stem}-wedge.csv")


def wedge_readings(record_path, paper_name: str | None = None) -> tuple[WedgeReading, ...]:
    """The readings kept beside a record, the oldest first.

    Parameters
    ----------
    paper_name : only those of this paper; None for all.

    Raises
    ------
    RecordError
        if the file cannot be read, or is not such a table.
    """
    path = wedge_file(record_path)
    data = read_regular(path, _MOST_BYTES, RecordError, missing_ok=True)
    if data is None:
        return ()
    wrong = tr(
        "“{name}” is not a table of readings, and is left as it is; move it elsewhere.",
        name=path.name,
    )
    try:
        rows = [row for row in csv.reader(io.StringIO(data.decode("utf-8-sig"))) if row]
    except (UnicodeDecodeError, csv.Error):
        raise RecordError(wrong) from None
    if not rows or tuple(rows[0]) != _HEAD:
        raise RecordError(wrong)
    found = [_reading(row, path.name, n) for n, row in enumerate(rows[1:], 2)]
    found.sort(key=lambda each: each.read_on)
    return tuple(each for each in found if paper_name in (None, each.paper_name))


def keep_wedge_reading(
    record_path, paper_name: str, black: int, middle: int, white: int, read_on: str = ""
) -> WedgeReading:
    """Keep a reading beside a record; the file is written whole or not at all.

    Parameters
    ----------
    black, middle, white : number of the field read, 1..10; 0 where none could be told.
    read_on : ISO date; today by default.

    Raises
    ------
    RecordError
        for a number that is none of the fields, or a file that cannot be written.
    """
    day = read_on or date.today().isoformat()
    reading = _reading([day, paper_name, *map(str, (black, middle, white))])
    path = wedge_file(record_path)
    try:
        with sole_writer(path.parent):
            kept = (*wedge_readings(record_path), reading)
            table = csv_text(_HEAD, ([getattr(each, name) for name in _HEAD] for each in kept))
            write_whole(path, spreadsheet_bytes(table), overwrite=True, error=RecordError)
    except LibraryError as problem:
        raise RecordError(str(problem)) from None
    return reading


def _reading(row, file: str = "", line: int = 0) -> WedgeReading:
    if len(row) != len(_HEAD):
        raise _wrong(tr("a reading has a date, a paper and three numbers."), file, line)
    try:
        date.fromisoformat(row[0])
        numbers = [int(text) for text in row[2:]]
    except ValueError:
        raise _wrong(
            tr("a reading has a date such as 2026-05-04 and three whole numbers."), file, line
        ) from None
    if any(number not in _FIELDS for number in numbers):
        raise _wrong(tr("a field's number is 1 to 10, or 0 where none could be told."), file, line)
    return WedgeReading(row[0], clean_text(row[1].removeprefix("'")), *numbers)


def _wrong(why: str, file: str, line: int) -> RecordError:
    if not file:
        return RecordError(why)
    return RecordError(tr("Line {line} of “{file}”: {why}", line=line, file=file, why=why))
