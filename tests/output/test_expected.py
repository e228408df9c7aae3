"""What a print file is said to become, held against the file that is then written."""

from __future__ import annotations

import pytest
from output.makers import job, scene

from workbench.errors import OutputError
from workbench.output.expected import expected_file
from workbench.output.layout import layout_of
from workbench.output.print_file import write_print_file


def both(tmp_path, suffix, kind, **details):
    work = job(scene(600, 400), **details).checked()
    expected = expected_file(work, layout_of(work), kind)
    return expected, write_print_file(work, tmp_path / f"print.{suffix}")


@pytest.mark.parametrize(
    ("suffix", "kind", "details"),
    [
        ("tif", "TIFF", {}),
        ("tif", "TIFF", {"bit_depth": 8, "borders_mm": 12, "bleed_mm": 4}),
        ("tif", "TIFF", {"converts": "driver", "width_mm": 210}),
        ("tif", "TIFF", {"compression": "deflate"}),
        ("png", "PNG", {}),
        ("jpg", "JPEG", {}),
    ],
)
def test_the_file_becomes_what_was_expected(tmp_path, suffix, kind, details):
    expected, written = both(tmp_path, suffix, kind, **details)
    for name in ("width_px", "height_px", "width_mm", "height_mm", "ppi", "bit_depth"):
        assert getattr(written, name) == getattr(expected, name), name
    assert expected.size_is_exact == (kind == "TIFF" and "compression" not in details)
    if expected.size_is_exact:
        assert written.size_bytes == pytest.approx(expected.size_bytes, abs=2500)
    else:
        assert written.size_bytes < expected.size_bytes


def test_memory_is_bounded_for_tiff_and_grows_for_the_others():
    work = job(scene(300, 200), width_mm=5000, ppi=300).checked()
    layout = layout_of(work)
    pixels = layout.width_px * layout.height_px
    assert pixels > 2e9
    assert expected_file(work, layout, "TIFF").memory_bytes == 600e6
    assert expected_file(work, layout, "PNG").memory_bytes >= 12 * pixels
    assert expected_file(work, layout, "JPEG").memory_bytes >= 7 * pixels


@pytest.mark.parametrize(("kind", "measured_mb"), [("TIFF", 534), ("JPEG", 608), ("PNG", 916)])
def test_memory_is_no_less_than_was_measured(kind, measured_mb):
    # the largest private memory while 54 megapixels of noisy 16-bit colour were written
    # from a 13-megapixel TIFF file, less that before
    work = job(scene(300, 200), width_mm=635, ppi=360).checked()
    expected = expected_file(work, layout_of(work), kind)
    assert expected.width_px * expected.height_px == pytest.approx(54e6, rel=0.01)
    assert 0.95 * measured_mb < expected.memory_bytes / 1e6 < 1.3 * measured_mb


def test_a_kind_that_cannot_hold_the_print_is_refused():
    work = job(scene(300, 200), width_mm=6000, ppi=300).checked()
    with pytest.raises(OutputError, match="at most 65,500 pixels"):
        expected_file(work, layout_of(work), "JPEG")
