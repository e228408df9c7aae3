"""The judging sheet: its steps as printed, its file, and the readings kept beside the record."""

from __future__ import annotations

import imagecodecs
import numpy as np
import pytest
import tifffile

import workbench as wb
from workbench.analysis.wedge import WedgeReading, compare_readings, has_moved
from workbench.colour.spaces import standard_profile
from workbench.errors import OutputError, RecordError
from workbench.record.wedge_store import keep_wedge_reading, wedge_file, wedge_readings


def lightness(numbers, profile, source=None):
    """L* by Little CMS alone."""
    numbers = np.ascontiguousarray(numbers, np.float64)[None]
    if source is not None:
        flags = int(imagecodecs.CMS.FLAGS.BLACKPOINTCOMPENSATION)
        numbers = imagecodecs.cms_transform(
            numbers, source, profile, colorspace="rgb", outcolorspace="rgb", intent=1, flags=flags
        )
    return imagecodecs.cms_transform(
        numbers, profile, imagecodecs.cms_profile("lab4"), colorspace="rgb", outcolorspace="lab",
        intent=1,
    )[0, :, 0]  # fmt: skip


@pytest.mark.parametrize("source", [None, standard_profile("sRGB")], ids=["file", "driver"])
def test_steps_print_as_they_say(papers, source):
    for paper in papers:
        for row in wb.step_wedge(paper, source=source):
            around = lightness(row.around, paper.profile, source)
            y = np.mean(((around + 16) / 116) ** 3)  # all lie above L* 8, where Y is a cube
            base = 116 * np.cbrt(y) - 16 if len(around) > 1 else around[0]
            found = lightness(row.fields, paper.profile, source) - base
            assert np.allclose(found, row.steps, atol=0.15)
            assert (np.diff(np.abs(row.steps) if row.name != "middle" else row.steps) > 0).all()


def test_the_file_holds_what_the_sheet_shows(papers, tmp_path):
    sheet = wb.judging_sheet(papers[0], ppi=120)
    written = wb.write_judging_sheet(sheet, tmp_path / "judging.tif")
    assert (tifffile.imread(written.path) == sheet.pixels).all()
    assert written.converted
    with pytest.raises(OutputError):
        wb.write_judging_sheet(sheet, written.path)


def test_readings_are_kept_beside_the_record_and_compared(tmp_path):
    record = tmp_path / "mine" / "prints.sqlite"
    assert wedge_readings(record) == ()
    keep_wedge_reading(record, "=Rag", 3, 5, 2, "2026-03-01")
    keep_wedge_reading(record, "=Rag", 3, 8, 2, "2026-05-01")
    keep_wedge_reading(record, "Gloss", 1, 5, 1, "2026-04-01")
    kept = wedge_readings(record, "=Rag")
    assert kept == (WedgeReading("2026-03-01", "=Rag", 3, 5, 2),
                    WedgeReading("2026-05-01", "=Rag", 3, 8, 2))  # fmt: skip
    said = compare_readings(kept)
    assert said[0].startswith("Middle") and "3 fields" in said[0]
    assert "held" in compare_readings(kept[:1] * 2)[0]
    with pytest.raises(RecordError, match="1 to 10"):
        keep_wedge_reading(record, "Rag", 11, 5, 2)
    wedge_file(record).write_bytes(b"\x89PNG")
    with pytest.raises(RecordError, match="left as it is"):
        keep_wedge_reading(record, "Rag", 1, 5, 2)
    assert wedge_file(record).read_bytes() == b"\x89PNG"


@pytest.mark.parametrize(
    ("row", "was", "now", "says"),
    [
        ("black", 3, 0, "by at least 8 fields since 2026-01-01: more of the deepest tones merge"),
        ("black", 0, 9, "by at least 2 fields since 2026-01-01: deep tones can be told apart"),
        ("black", 9, 6, "by 3 fields since 2026-01-01: deep tones can be told apart"),
        ("white", 2, 0, "by at least 9 fields since 2026-01-01: more of the lightest tones"),
    ],
)
def test_a_row_in_which_no_field_is_told_from_its_bar_reads_beyond_the_last(row, was, now, says):
    steady = {"black": 3, "middle": 5, "white": 2}
    pair = [
        WedgeReading(f"2026-0{month}-01", "Mine", **(steady | {row: number}))
        for month, number in ((1, was), (3, now))
    ]
    assert has_moved(pair)
    assert says in compare_readings(pair)[0]


def test_a_middle_in_which_nothing_vanished_is_said_and_held_against_nothing():
    pair = [WedgeReading(f"2026-0{m}-01", "Mine", 3, middle, 2) for m, middle in ((1, 5), (3, 0))]
    held, unread = compare_readings(pair)
    assert "held" in held and "2026-03-01" in unread
    assert not has_moved(pair)
