"""A comparison's table as CSV."""

import csv
import io

import numpy as np
import pytest

from workbench.analysis.columns import COLUMNS
from workbench.analysis.compare import compare
from workbench.analysis.printed_black import DARKEST
from workbench.colour.inkmodel import model_profile
from workbench.output.compare_file import comparison_csv, csv_bytes
from workbench.paper import Paper
from workbench.paper_readings import MeasuredPaper
from workbench.picture.opening import from_pixels
from workbench.readings import reading


@pytest.fixture(scope="module")
def comparison():
    pixels = np.random.default_rng(1).integers(0, 256, (60, 80, 3), dtype=np.uint8)
    gloss = Paper(
        "Gloss, “bright”", model_profile((96, 0, -3), 2.3, finish="gloss", grid=17), finish="gloss",
        price_per_sheet=(("", 1.25),), currency="EUR",
    )  # fmt: skip
    read = MeasuredPaper("=1+1", reading(lab=(95, 0, 3), illuminant="D50", observer_deg=2))
    return compare(from_pixels(pixels, "sRGB"), [gloss, read], size=(200, 150))


def rows(text):
    return list(csv.reader(io.StringIO(text)))


def test_every_figure_comes_back_from_the_file(comparison):
    head, *body = rows(comparison_csv(comparison))
    assert len(head) == len(set(head)) == len(COLUMNS)
    for line, row in zip(body, comparison.table(), strict=True):
        for column, text in zip(COLUMNS, line, strict=True):
            value = row[column.key]
            if value is None:
                assert text == ""
            elif isinstance(value, str):
                assert text.removeprefix("'") == value
            else:
                assert float(text) == value  # unrounded


def test_units_stand_in_the_titles(comparison):
    head, *_ = rows(comparison_csv(comparison))
    assert {f"{DARKEST} (density, absolute)", "Mean shift (CIEDE2000)", "Weight (g/m²)"} <= set(
        head
    )


def test_words_are_no_formulas_for_a_spreadsheet(comparison):
    text = comparison_csv(comparison)
    names = [line[1] for line in rows(text)[1:]]
    assert "'=1+1" in names and "Gloss, “bright”" in names
    # a mark that RFC 3629 allows, by which spreadsheets know UTF-8
    assert csv_bytes(comparison) == b"\xef\xbb\xbf" + text.encode()
