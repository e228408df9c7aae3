"""A part of the print, held against the written file pixel by pixel."""

from __future__ import annotations

import numpy as np
import pytest
import tifffile
from output.makers import as_picture, job, matte_paper, scene
from output.test_resample import stars

from workbench.errors import WorkbenchError
from workbench.output.bands import in_file_colours
from workbench.output.layout import layout_of
from workbench.output.patch import patch_of
from workbench.output.print_file import write_print_file


def in_the_file(path, layout, box):
    """The same part of the printed picture, read by tifffile."""
    x0, y0, x1, y1 = box
    x, y = layout.x_px + layout.bleed_px, layout.y_px + layout.bleed_px
    return tifffile.imread(path)[y + y0 : y + y1, x + x0 : x + x1]


@pytest.mark.parametrize("converts", ["workbench", "driver"])
@pytest.mark.parametrize("details", [{}, {"bleed_mm": 5, "borders_mm": (9, 4, 3, 7)}])
def test_it_is_the_file_s_own_pixels(tmp_path, converts, details):
    work = job(
        sharpening=0.6, converts=converts, adjustments={"shadows": 3, "warmth": 2}, **details
    ).checked()
    layout = layout_of(work)
    write_print_file(work, tmp_path / "print.tif")
    changed = []
    for centre in ((0.5, 0.5), (0, 0), (1, 1), (0.3, 0.9)):
        patch = patch_of(work, centre, (70, 50))
        assert patch.after.shape == (50, 70, 3)
        written = in_the_file(tmp_path / "print.tif", layout, patch.box)
        assert np.array_equal(in_file_colours(work, patch.after), written)
        changed.append(not np.array_equal(in_file_colours(work, patch.before), written))
    # in two corners is nothing but noise
    assert changed == [True, False, False, True]


@pytest.mark.parametrize("width_mm", [23, 90])
def test_resampled_it_is_the_file_s_within_what_no_one_could_see(tmp_path, width_mm):
    work = job(width_mm=width_mm, sharpening=0.6).checked()
    layout = layout_of(work)
    write_print_file(work, tmp_path / "print.tif")
    patch = patch_of(work, (0.6, 0.4), (60, 40))
    ours = in_file_colours(work, patch.after).astype(int)
    # Pillow holds a window's place as a 32-bit float; one step of 8 bits is 257
    assert np.abs(ours - in_the_file(tmp_path / "print.tif", layout, patch.box)).max() <= 4


def test_unsharpened_it_is_the_file_without_sharpening(tmp_path):
    patch = patch_of(job(sharpening=0.9), (0.4, 0.4), (50, 50))
    plain = job(sharpening=None, converts="driver").checked()
    write_print_file(plain, tmp_path / "plain.tif")
    assert np.array_equal(
        patch.before, in_the_file(tmp_path / "plain.tif", layout_of(plain), patch.box)
    )
    contrast = [np.abs(np.diff(p[..., 1].astype(float), axis=1)).mean()
                for p in (patch.before, patch.after)]  # fmt: skip
    assert contrast[1] > 1.1 * contrast[0]
    assert patch.sharpening.finish == "matte" and matte_paper().finish == "matte"


@pytest.mark.parametrize("make", [scene, stars])
@pytest.mark.parametrize("strength", ["auto", 1.0])
def test_nothing_clips_and_it_says_so(make, strength):
    patch = patch_of(job(make(), width_mm=70, sharpening=strength), (0.5, 0.5), (200, 200))
    ends = [np.isin(pixels, (0, 65535)).sum() for pixels in (patch.before, patch.after)]
    assert ends[1] <= ends[0]
    assert patch.newly_clipped == 0
    assert f"none of {patch.after.size:,} values" in patch.sentence()


def test_clipping_would_be_counted(monkeypatch):
    from workbench.output import sharpen

    # the check above can fail: without the limit, bright rims are cut off
    monkeypatch.setattr(sharpen, "_limit", lambda change, planes, halo: None)
    monkeypatch.setattr(
        sharpen, "_rounded",
        lambda plane, out: out.__setitem__(..., np.rint(np.clip(plane, 0, 1) * 65535)),
    )  # fmt: skip
    bright = np.random.default_rng(7).integers(52000, 65500, (120, 180, 3), dtype=np.uint16)
    patch = patch_of(job(bright, sharpening=1.0), (0.5, 0.5), (180, 120))
    assert 0.01 < patch.newly_clipped / patch.after.size < 0.5
    assert f"{patch.newly_clipped:,} of {patch.after.size:,} values" in patch.sentence()


def test_without_sharpening_it_says_that_there_is_none():
    patch = patch_of(job(sharpening=None))
    assert patch.before is patch.after
    assert "not sharpened" in patch.sentence()


def test_a_turned_picture_s_part_is_the_same(tmp_path):
    upright = scene()
    stored = np.ascontiguousarray(np.rot90(upright, 1))
    picture = as_picture(stored, extratags=[(274, "H", 1, 6, True)])
    work = job(upright, sharpening=0.5)
    turned = type(work)(picture, paper=work.paper, ppi=100, sharpening=0.5)
    here, there = (patch_of(each, (0.3, 0.6), (40, 30)) for each in (work, turned))
    assert np.array_equal(here.after, there.after)


def test_a_place_outside_is_refused():
    with pytest.raises(WorkbenchError, match="centre between 0 and 1"):
        patch_of(job(), (1.2, 0))
