"""Tables as CSV, read back by the standard library as a spreadsheet would."""

import csv
import io

import pytest

from workbench.output.csv_text import csv_text, spreadsheet_bytes


def cell(value) -> str:
    _, (found,) = csv.reader(io.StringIO(csv_text(["title"], [[value]]), newline=""))
    return found


@pytest.mark.parametrize(
    "text",
    ["=1+1", "+1", "-1", "@S(1)", "\t1", "\r1", "\n1", "  =1", "\xa0=1", "＝1", "＋1", "－1", "＠"],
)
def test_words_that_a_spreadsheet_would_run_get_an_apostrophe(text):
    assert cell(text) == f"'{text}".replace("\r", "\n")


def test_what_would_turn_other_words_or_fill_other_cells_is_left_out():
    assert cell("a\u202eb\x1b\x00c\ud800") == "abc"
    assert len(cell("x" * 100_000)) < 32_767 and cell("=" * 100_000).startswith("'=")


@pytest.mark.parametrize("text", ["", "a=b", "'=1", 'two\nlines, “quoted” "and" so on', "1 − 2"])
def test_other_words_come_back_as_they_are(text):
    assert cell(text) == text


def test_figures_come_unrounded_and_nothing_for_none():
    assert float(cell(0.1 + 0.2)) == 0.1 + 0.2 and cell(-3) == "-3" and cell(None) == ""


def test_lines_end_as_rfc_4180_says_and_the_mark_is_that_of_utf_8():
    # RFC 4180, 2.1; the mark: RFC 3629, 6
    assert csv_text("ab", [(1, 2)]) == "a,b\r\n1,2\r\n"
    assert spreadsheet_bytes("é") == b"\xef\xbb\xbf\xc3\xa9"
