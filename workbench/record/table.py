"""The record as a table for spreadsheets."""

from __future__ import annotations

from workbench.output.csv_text import csv_text

# field, title with its unit; plan and measurements are too long for a cell
COLUMNS = (
    ("id", "Number in the record"),
    ("made_on", "Made on"),
    ("picture_name", "Picture"),
    ("paper_name", "Paper"),
    ("printer", "Printer"),
    ("media_setting", "Media setting"),
    ("width_mm", "Width (mm)"),
    ("height_mm", "Height (mm)"),
    ("ppi", "Resolution (ppi)"),
    ("intent", "Rendering intent"),
    ("black_point_compensation", "Black point compensation"),
    ("converts", "Colours converted by"),
    ("edition_number", "Edition number"),
    ("edition_of", "Edition of"),
    ("ink_ml", "Ink (ml)"),
    ("ink_ml_per_m2", "Ink (ml/m²)"),
    ("verdict", "Verdict"),
    ("passed", "As planned"),
    ("mean_de00", "Mean difference (CIEDE2000)"),
    ("rating", "How content (1 to 5)"),
    ("change_next_time", "To change next time"),
    ("notes", "Notes"),
    ("file_name", "Print file"),
    ("file_sha256", "Print file, SHA-256"),
    ("picture_sha256", "Picture, SHA-256"),
    ("profile_sha256", "Profile, SHA-256"),
    ("removed_on", "Removed on"),
    ("damage", "Damage"),
)


def table_csv(notes) -> str:
    """Notes as CSV: a row for each print, in the order given, figures to six decimals.

    The first line holds the titles with their units.  Words that a spreadsheet would take
    for a formula get an apostrophe in front.
    """
    rows = ([_plain(getattr(note, name)) for name, _ in COLUMNS] for note in notes)
    return csv_text((title for _, title in COLUMNS), rows)


def _plain(value):
    if isinstance(value, bool):
        return "yes" if value else "no"
    # what is finer comes from arithmetic, not from anything known
    return round(value, 6) if isinstance(value, float) else value
