"""A comparison to take away: its table as CSV."""

from __future__ import annotations

from workbench.analysis.columns import COLUMNS
from workbench.output.csv_text import csv_text, spreadsheet_bytes


def comparison_csv(comparison) -> str:
    """The table of a `Comparison` as CSV: a row for each paper, in order.

    The first line holds the titles with their units, as of
    `workbench.analysis.columns.COLUMNS`; figures come unrounded, and nothing stands where
    a figure is not known.  Words that a spreadsheet would take for a formula get an
    apostrophe in front.
    """
    titles = (f"{c.title} ({c.unit})" if c.unit else c.title for c in COLUMNS)
    return csv_text(titles, ([row[c.key] for c in COLUMNS] for row in comparison.table()))


def csv_bytes(comparison) -> bytes:
    """`comparison_csv` in UTF-8, with the mark by which spreadsheets know it."""
    return spreadsheet_bytes(comparison_csv(comparison))
