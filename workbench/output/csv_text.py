"""Tables as CSV for spreadsheets."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable

from workbench.files.text import clean_lines

# a spreadsheet takes a cell that begins so for a formula and would run it, also where
# white space stands before; in East Asian settings the wide forms too (OWASP, "CSV
# Injection", from memory)
_FORMULA = ("=", "+", "-", "@", "＝", "＋", "－", "＠")
# what a spreadsheet's cell holds (common practice, no source); more would spill into others
_MOST_LETTERS = 32_767
_FIRST = ("\t", "\r", "\n")


def csv_text(titles: Iterable[str], rows: Iterable[Iterable]) -> str:
    """A table as CSV, a line of titles first.

    Figures come unrounded, and nothing stands for None.  Words that a spreadsheet would take
    for a formula get an apostrophe in front, and are cut to what a cell holds.
    """
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(titles)
    for row in rows:
        writer.writerow(map(_cell, row))
    return out.getvalue()


def spreadsheet_bytes(text: str) -> bytes:
    """CSV in UTF-8, with the mark by which spreadsheets know it."""
    return text.encode("utf-8-sig")


def _cell(value):
    if value is None:
        return ""
    if isinstance(value, str):
        value = clean_lines(value)
        # with the apostrophe
        value = value if len(value) < _MOST_LETTERS else f"{value[: _MOST_LETTERS - 2]}…"
    if isinstance(value, str) and (value.startswith(_FIRST) or value.lstrip().startswith(_FORMULA)):
        return f"'{value}"
    return value
