"""The record as a table for spreadsheets."""

from __future__ import annotations

from workbench.language import tr
from workbench.output.csv_text import csv_text

# field, title with its unit; plan and measurements are too long for a cell
COLUMNS = (
    ("id", tr("Number in the record")),
    ("made_on", tr("Made on")),
    ("picture_name", tr("Picture")),
    ("paper_name", tr("Paper")),
    ("printer", tr("Printer")),
    ("media_setting", tr("Media setting")),
    ("width_mm", tr("Width (mm)")),
    ("height_mm", tr("Height (mm)")),
    ("ppi", tr("Resolution (ppi)")),
    ("intent", tr("Rendering intent")),
    ("black_point_compensation", tr("Black point compensation")),
    ("converts", tr("Colours converted by")),
    ("edition_number", tr("Edition number")),
    ("edition_of", tr("Edition of")),
    ("ink_ml", tr("Ink (ml)")),
    ("ink_ml_per_m2", tr("Ink on an average picture (ml/m²)")),
    ("verdict", tr("Verdict")),
    ("passed", tr("As planned")),
    ("mean_de00", tr("Mean difference (CIEDE2000)")),
    ("rating", tr("How content (1 to 5)")),
    ("change_next_time", tr("To change next time")),
    ("notes", tr("Notes")),
    ("file_name", tr("Print file")),
    ("file_sha256", tr("Print file, SHA-256")),
    ("picture_sha256", tr("Picture, SHA-256")),
    ("profile_sha256", tr("Profile, SHA-256")),
    ("removed_on", tr("Removed on")),
    ("damage", tr("Damage")),
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
        return tr("yes") if value else tr("no")
    # what is finer comes from arithmetic, not from anything known
    return round(value, 6) if isinstance(value, float) else value
