"""A comparison's table as CSV, and files that never take another's name."""

import csv
import io

import numpy as np
import pytest

from workbench.analysis.columns import COLUMNS
from workbench.analysis.compare import compare
from workbench.colour.inkmodel import model_profile
from workbench.errors import OutputError
from workbench.output.compare_file import comparison_csv, csv_bytes, file_stem, save_new
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
    assert {"Black density (absolute)", "Mean shift (CIEDE2000)", "Weight (g/m²)"} <= set(head)


def test_words_are_no_formulas_for_a_spreadsheet(comparison):
    text = comparison_csv(comparison)
    names = [line[1] for line in rows(text)[1:]]
    assert "'=1+1" in names and "Gloss, “bright”" in names
    # a mark that RFC 3629 allows, by which spreadsheets know UTF-8
    assert csv_bytes(comparison) == b"\xef\xbb\xbf" + text.encode()


def test_a_name_that_is_taken_is_left_alone(tmp_path):
    first = save_new(tmp_path, "view", ".png", b"one")
    second = save_new(tmp_path, "view", ".png", b"two")
    third = save_new(str(tmp_path), "view", ".png", b"three")
    assert [p.name for p in (first, second, third)] == ["view.png", "view-2.png", "view-3.png"]
    assert [p.read_bytes() for p in (first, second, third)] == [b"one", b"two", b"three"]
    assert len(list(tmp_path.iterdir())) == 3  # nothing half done is left


def test_a_dangling_link_counts_as_taken(tmp_path):
    (tmp_path / "view.png").symlink_to(tmp_path / "gone.png")
    assert save_new(tmp_path, "view", ".png", b"one").name == "view-2.png"
    assert not (tmp_path / "gone.png").exists()


def test_a_name_taken_meanwhile_is_passed_over(tmp_path, monkeypatch):
    from workbench.output import compare_file

    check = compare_file.check_target

    def taken_after(target):
        result = check(target)
        if target.name == "view.png":
            target.write_bytes(b"theirs")
        return result

    monkeypatch.setattr(compare_file, "check_target", taken_after)
    assert save_new(tmp_path, "view", ".png", b"ours").name == "view-2.png"
    assert (tmp_path / "view.png").read_bytes() == b"theirs"


def test_a_folder_that_is_none_gets_a_sentence(tmp_path):
    with pytest.raises(OutputError, match="does not exist; make the folder or choose another"):
        save_new(tmp_path / "nowhere", "view", ".png", b"")
    (tmp_path / "file").write_text("")
    with pytest.raises(OutputError, match="is a file, not a folder"):
        save_new(tmp_path / "file", "view", ".png", b"")


@pytest.mark.parametrize(
    "name, stem",
    [
        ("harbour", "harbour"),
        ("a/b\\c:d*?", "a b c d"),
        ("..", "comparison"),
        ("", "comparison"),
        ("x" * 500, "x" * 80),
        ("two\nlines", "two lines"),
    ],
)
def test_file_names_hold_nothing_that_a_system_refuses(name, stem):
    assert file_stem(name) == stem
