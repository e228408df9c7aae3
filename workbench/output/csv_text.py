"""Tables as CSV for spreadsheets."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable

# a spreadsheet takes a cell that begins so for a formula and would run it, also where
# white space stands before; in East Asian settings the wide forms too (OWASP, "CSV
# Injection", from memory)
_FORMULA = ("=", "+", "-", "@", "＝", "＋", "－", "＠")
_FIRST = ("\t", "\r", "\n")


def csv_text(titles: Iterable[str], rows: Iterable[Iterable]) -> str:
    """A table as CSV, a line of titles first.

    Figures come unrounded, and nothing stands for None.  Words that a spreadsheet would take
    for a formula get an apostrophe in front.
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
    if isinstance(value, str) and (value.startswith(_FIRST) or value.lstrip().startswith(_FORMULA)):
        return f"'{value}"
    return value
