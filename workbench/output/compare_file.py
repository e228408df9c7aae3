"""A comparison to take away: its table as CSV, and files that never replace another."""

from __future__ import annotations

import csv
import io
import itertools
import os
import re
from pathlib import Path

from workbench.analysis.columns import COLUMNS
from workbench.colour.profile import clean_text
from workbench.errors import OutputError
from workbench.output.atomic import check_target, written_whole

MOST_NAMES = 1000
_NAME_LETTERS = 80
# a spreadsheet takes a cell that begins so for a formula and would run it
_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")


def comparison_csv(comparison) -> str:
    """The table of a `Comparison` as CSV: a row for each paper, in order.

    The first line holds the titles with their units, as of
    `workbench.analysis.columns.COLUMNS`; figures come unrounded, and nothing stands where
    a figure is not known.  Words that a spreadsheet would take for a formula get an
    apostrophe in front.
    """
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(f"{c.title} ({c.unit})" if c.unit else c.title for c in COLUMNS)
    for row in comparison.table():
        writer.writerow(_cell(row[column.key]) for column in COLUMNS)
    return out.getvalue()


def _cell(value):
    if value is None:
        return ""
    if isinstance(value, str) and value.startswith(_FORMULA):
        return f"'{value}"
    return value


def csv_bytes(comparison) -> bytes:
    """`comparison_csv` in UTF-8, with the mark by which spreadsheets know it."""
    return comparison_csv(comparison).encode("utf-8-sig")


def file_stem(name: str) -> str:
    """A file name without its ending, made from any words."""
    stem = re.sub(r'[\\/:*?"<>|\s]+', " ", clean_text(name)).strip(" .")
    return stem[:_NAME_LETTERS].strip(" .") or "comparison"


def save_new(folder, stem: str, suffix: str, data: bytes) -> Path:
    """Write a file whole or not at all, under a name that is not taken yet.

    Parameters
    ----------
    folder : to write to; it must exist.
    stem, suffix : of the name wanted, such as "view" and ".png".  Where there is such a
        file already, "view-2.png", "view-3.png" … are tried.

    Returns
    -------
    Where it went.

    Raises
    ------
    OutputError
        if there is no such folder, no right to write there or no room.
    """
    folder = Path(os.path.abspath(os.path.expanduser(os.fspath(folder))))
    if not folder.is_dir():
        shown = clean_text(str(folder))
        what = "is a file, not a folder" if folder.exists() else "does not exist"
        raise OutputError(f"“{shown}” {what}; make the folder or choose another.")
    stem = file_stem(stem)
    for number in itertools.islice(itertools.count(1), MOST_NAMES):
        name = f"{stem}{suffix}" if number == 1 else f"{stem}-{number}{suffix}"
        target = folder / name
        if os.path.lexists(target):
            continue
        check_target(target)
        try:
            with written_whole(target) as unfinished:
                unfinished.stream.write(data)
        except OutputError:
            if os.path.lexists(target):  # another program took the name meanwhile
                continue
            raise
        return target
    raise OutputError(
        f"There are {MOST_NAMES} files named “{stem}” already; choose another folder."
    )
