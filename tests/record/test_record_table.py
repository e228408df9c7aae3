"""The record as CSV, read back by the standard library as a spreadsheet would."""

import csv
import io

from record.makers import NOTE, note

from workbench.record import open_record
from workbench.record.table import COLUMNS


def rows_of(text):
    return list(csv.DictReader(io.StringIO(text, newline="")))


def test_every_field_but_the_long_texts_is_in_the_table(tmp_path):
    record = open_record(tmp_path / "prints.sqlite")
    record.add(NOTE)
    record.add(note(picture_name="later, “quoted” \"and\" so on", notes="two\nlines",
                    made_on="2026-06-01T10:00:00+02:00", passed=None))  # fmt: skip
    later, first = rows_of(record.csv())
    assert list(first) == [title for _, title in COLUMNS]
    left_out = {"plan_text", "measurements", "inked_mm2"}
    assert {name for name, _ in COLUMNS} - {"ink_ml_per_m2"} == (
        set(NOTE.__dataclass_fields__) - left_out
    )
    assert first["Picture"] == "harbour.tif" and first["Width (mm)"] == "400.0"
    assert first["Edition number"] == "3" and first["As planned"] == "yes"
    assert float(first["Ink on an average picture (ml/m²)"]) == 12
    assert later["Notes"] == "two\nlines" and later["As planned"] == ""
    assert later["Picture"] == 'later, “quoted” "and" so on' and later["Edition of"] == ""
    assert len(rows_of(record.csv("later"))) == 1 and rows_of(record.csv("nowhere")) == []


def test_words_that_a_spreadsheet_would_run_are_disarmed(tmp_path):
    record = open_record(tmp_path / "prints.sqlite")
    evil = '=HYPERLINK("http://example.invalid")'
    for text in (evil, "+1", "-1", "@SUM(1)", "\t=1", "  =1", "\n=1", "＝1", "＋1", "－1", "＠a"):
        record.add(note(notes=text))
    cells = {row["Notes"] for row in rows_of(record.csv())}
    assert all(cell.startswith("'") for cell in cells) and f"'{evil}" in cells


def test_a_csv_file_is_saved_under_a_name_that_is_free(tmp_path):
    record = open_record(tmp_path / "prints.sqlite")
    record.add(note(picture_name="Grönland"))
    first, second = record.save_csv(tmp_path), record.save_csv(tmp_path)
    assert (first.name, second.name) == ("prints made.csv", "prints made-2.csv")
    data = first.read_bytes()
    # the mark by which spreadsheets know UTF-8
    assert data.startswith(b"\xef\xbb\xbf") and "Grönland".encode() in data
    assert data == second.read_bytes()
