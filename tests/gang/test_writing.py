"""Sheets as files: read back by others, the pixels of their prints, whole or not at all."""

from __future__ import annotations

import hashlib
import io
import subprocess
import sys
import tracemalloc
from dataclasses import replace

import imagecodecs
import numpy as np
import pytest
import tifffile
from gang.makers import make_strip
from helpers import coated_profile
from output.makers import SPACE, as_picture, facts, job, matte_paper, scene

import workbench as wb
from workbench.analysis.sheets import custom_roll
from workbench.colour.spaces import standard_profile
from workbench.errors import Cancelled, OutputError
from workbench.gang import sheet_file
from workbench.gang.nest import nest
from workbench.gang.writing import write_nest, write_strip
from workbench.output import check as check_module
from workbench.output import finished
from workbench.output.print_file import write_print_file

MIDDLES = [(0.2, 0.3), (0.6, 0.55)]


def big_job(**details):
    return job(**{"width_mm": 300, "ppi": 150, "sharpening": 0.6, **details})


def small(width_mm, **details):
    return job(**{"width_mm": width_mm, "ppi": 100, **details})


def printed(work, tmp_path) -> np.ndarray:
    write_print_file(work, tmp_path / "alone.tif", overwrite=True)
    return tifffile.imread(tmp_path / "alone.tif")


def lab(pixels, profile, space="rgb"):
    """Media-relative Lab of device values by Little CMS alone."""
    scale = 100 if space == "cmyk" else 1
    return imagecodecs.cms_transform(
        np.ascontiguousarray(pixels, np.float64) / 65535 * scale,
        profile, imagecodecs.cms_profile("lab4"), colorspace=space, outcolorspace="lab", intent=1,
    )  # fmt: skip


# the strip ----------------------------------------------------------------------------


@pytest.mark.parametrize("suffix", ["tif", "png"])
@pytest.mark.parametrize(("sheet", "mm"), [("A4", (210, 297)), ("A5", (148, 210))])
def test_a_strip_prints_as_large_as_its_sheet(tmp_path, suffix, sheet, mm):
    """Sizes of ISO 216, read by exiftool where there is one, otherwise by tifffile or Pillow."""
    strip = make_strip(big_job(), MIDDLES, sheet=sheet)
    path = tmp_path / f"strip.{suffix}"
    written = write_strip(strip, path)
    found = facts(path)
    size_mm = sorted(side / found["ppi"] * 25.4 for side in found["size"])
    assert size_mm == pytest.approx(mm, abs=0.1)
    assert found["size"] == (written.width_px, written.height_px)
    assert written.checksum == hashlib.sha256(path.read_bytes()).hexdigest()
    assert written.size_bytes == path.stat().st_size and written.converted
    assert [check.name for check in written.checks] == ["pixels", "size", "profile"]
    assert all(check.passed for check in written.checks)
    assert "own colour conversion off" in written.sentences[1]
    if suffix == "tif":
        with tifffile.TiffFile(path) as tiff:
            page = tiff.pages[0]
            assert page.iccprofile == matte_paper().profile and page.bitspersample == 16
            assert page.tags[270].value.startswith("Test strip: scene.tif · 30 ×")


def test_every_patch_stands_in_its_place(tmp_path, monkeypatch):
    # several bands for each patch
    monkeypatch.setattr(sheet_file, "BAND_PIXELS", 300_000)
    strip = make_strip(big_job(), MIDDLES, warmth_steps=(2,))
    write_strip(strip, tmp_path / "strip.tif")
    sheet = tifffile.imread(tmp_path / "strip.tif")
    covered = np.zeros(sheet.shape[:2], bool)
    for patch in strip.patches:
        here = (
            slice(patch.y_px, patch.y_px + patch.crop.height_px),
            slice(patch.x_px, patch.x_px + patch.crop.width_px),
        )
        assert np.array_equal(sheet[here], strip.pixels(patch.crop, patch.step))
        covered[here] = True
        # its label stands right below it, in the paper's black on bare white
        below = sheet[here[0].stop : here[0].stop + strip.label_px, here[1]]
        assert below.min() < 20000 and (below == 65535).all(axis=2).mean() > 0.6
        covered[here[0].stop : here[0].stop + strip.label_px, here[1]] = True
    x, y, height = strip.title_px
    assert sheet[y : y + height, x:].min() < 20000
    covered[y : y + height] = True
    assert (sheet[~covered] == 65535).all()


@pytest.mark.parametrize("width_mm", [4, 6, 8, 20, 90])
def test_labels_of_small_patches_tell_the_steps_apart(tmp_path, width_mm):
    strip = make_strip(small(width_mm), [(0.5, 0.5)], (-6, -3, 0, 3, 6), (-2, 2), sheet="A5")
    write_strip(strip, tmp_path / "strip.tif")
    sheet = tifffile.imread(tmp_path / "strip.tif").min(axis=2)
    columns = sorted({patch.x_px for patch in strip.patches})
    pitch = min(np.diff([*columns, strip.width_px - strip.title_px[0]]))
    seen = set()
    for patch in strip.patches:
        top = patch.y_px + patch.crop.height_px
        label = sheet[top : top + strip.label_px, patch.x_px : patch.x_px + pitch]
        assert label.min() < 20000 and (label[:, -1] == 65535).all()
        seen.add(label.tobytes())
    assert len(seen) == 7


@pytest.mark.parametrize("space", ["rgb", "cmyk"])
def test_labels_are_the_paper_s_black_on_bare_white(tmp_path, space):
    paper = matte_paper()
    if space == "cmyk":
        paper = wb.open_paper(coated_profile(), name="Coated")
    strip = make_strip(big_job(paper=paper), [(0.5, 0.5)], (0, 3))
    write_strip(strip, tmp_path / "strip.tif")
    sheet = tifffile.imread(tmp_path / "strip.tif")
    x, y, height = strip.title_px
    line = sheet[y : y + height, x : x + 300].reshape(-1, sheet.shape[2])
    dark = line[np.argmax(np.abs(line - line[0].astype(float)).sum(axis=1))]
    lightness = lab(dark[None, None], paper.profile, space)[0, 0, 0]
    ramp = np.zeros((1, 1, 3))
    black = imagecodecs.cms_transform(
        ramp, standard_profile("sRGB"), paper.profile, colorspace="rgb", outcolorspace=space,
        intent=1, flags=int(imagecodecs.CMS.FLAGS.BLACKPOINTCOMPENSATION),
    )  # fmt: skip
    darkest = lab(black / (100 if space == "cmyk" else 1) * 65535, paper.profile, space)[0, 0, 0]
    assert lightness == pytest.approx(darkest, abs=1.5)
    bare = np.full(sheet.shape[2], 0 if space == "cmyk" else 65535)
    assert np.array_equal(sheet[0, 0], bare) and np.array_equal(sheet[-1, -1], bare)


def test_a_strip_for_the_driver_keeps_the_picture_s_space(tmp_path):
    strip = make_strip(big_job(converts="driver", paper=None), MIDDLES)
    written = write_strip(strip, tmp_path / "strip.tif")
    with tifffile.TiffFile(tmp_path / "strip.tif") as tiff:
        assert tiff.pages[0].iccprofile == standard_profile(SPACE)
    assert not written.converted and "let the printer driver convert" in written.sentences[1]


# the nest -----------------------------------------------------------------------------


@pytest.mark.parametrize("converts", ["workbench", "driver"])
def test_each_print_has_the_pixels_of_its_own_file(tmp_path, converts, monkeypatch):
    monkeypatch.setattr("workbench.output.bands.BAND_PIXELS", 60_000)
    monkeypatch.setattr(sheet_file, "BAND_PIXELS", 100_000)
    works = [
        small(120, converts=converts, borders_mm=4, sharpening=0.5),
        small(180, converts=converts, bleed_mm=3, adjustments={"lightness": 3}),
        small(60, converts=converts, crop=(30, 20, 60, 100)),
    ]
    # too narrow for the second but turned
    found = nest(works, custom_roll(140))
    assert len(found.pieces) == 3 and any(piece.turned for piece in found.pieces)
    write_nest(found, tmp_path / "nest.tif")
    sheet = tifffile.imread(tmp_path / "nest.tif")
    for piece, work in zip(found.pieces, works, strict=True):
        here = sheet[
            piece.y_px : piece.y_px + piece.height_px, piece.x_px : piece.x_px + piece.width_px
        ]
        alone = printed(work, tmp_path)
        assert np.array_equal(here, np.rot90(alone) if piece.turned else alone)
    assert sorted(path.name for path in tmp_path.iterdir()) == ["alone.tif", "nest.tif"]


@pytest.mark.parametrize("marks", [True, False])
def test_cut_marks_lie_on_bare_paper_only(tmp_path, marks):
    found = nest([small(100), small(80)], "A4", gap_mm=8, margin_mm=8)
    write_nest(found, tmp_path / "nest.tif", marks=marks)
    sheet = tifffile.imread(tmp_path / "nest.tif")
    outside = np.ones(sheet.shape[:2], bool)
    for piece in found.pieces:
        y, x = piece.y_px, piece.x_px
        outside[y : y + piece.height_px, x : x + piece.width_px] = False
    inked = (sheet != 65535).any(axis=2) & outside
    assert inked.any() == marks
    if marks:
        # a thin grey
        grey = lab(sheet[inked][None, :50], matte_paper().profile)[0]
        assert grey[:, 0] == pytest.approx(60, abs=3) and np.abs(grey[:, 1:]).max() < 2
        # each corner has two, each about half the gap long and a pixel thick
        assert inked.sum() <= 16 * 16 + 16
        # in line with the print's edge
        piece = found.pieces[0]
        assert inked[: piece.y_px, piece.x_px].any() and inked[piece.y_px, : piece.x_px].any()


def test_a_roll_s_file_is_as_long_as_what_is_used(tmp_path):
    found = nest([small(150)] * 2, "13 in roll", margin_mm=6)
    write_nest(found, tmp_path / "nest.tif")
    size = facts(tmp_path / "nest.tif")
    assert size["size"][0] / size["ppi"] == pytest.approx(13, abs=0.01)
    assert size["size"][1] / size["ppi"] * 25.4 == pytest.approx(found.height_mm, abs=0.01)


def test_memory_does_not_grow_with_the_sheet(tmp_path, monkeypatch):
    monkeypatch.setattr("workbench.output.bands.BAND_PIXELS", 200_000)
    monkeypatch.setattr(sheet_file, "BAND_PIXELS", 200_000)
    peaks, sizes = [], []
    for ppi in (60, 100, 400):
        found = nest([small(140, ppi=ppi), small(180, ppi=ppi)], (160, 320), gap_mm=2, margin_mm=2)
        assert [piece.turned for piece in found.pieces] == [False, True]
        tracemalloc.start()
        write_nest(found, tmp_path / "nest.tif", overwrite=True)
        peaks.append(tracemalloc.get_traced_memory()[1])
        tracemalloc.stop()
        sizes.append((tmp_path / "nest.tif").stat().st_size)
    # the first warms up what is kept from one time to the next; the last has 16 times the
    # pixels of the second, 76 MB of them
    assert sizes[2] > 70e6 and sizes[2] > 10 * sizes[1]
    assert peaks[2] < 40e6


# whole or not at all ------------------------------------------------------------------


def writers():
    strip = make_strip(big_job(), MIDDLES)
    # narrow enough for one of them to be turned, which goes through a file of its own
    found = nest([small(180), small(60, height_mm=170)], (192, 197))
    assert any(piece.turned for piece in found.pieces)
    return [(write_strip, strip), (write_nest, found)]


@pytest.mark.parametrize("which", [0, 1])
def test_giving_up_leaves_nothing(tmp_path, which):
    write, sheet = writers()[which]
    for after in (0, 1, 3):
        asked = []
        with pytest.raises(Cancelled):
            write(
                sheet, tmp_path / "a.tif",
                cancelled=lambda asked=asked, after=after: asked.append(1) or len(asked) > after,
            )  # fmt: skip
        assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("which", [0, 1])
def test_progress_rises_to_one(tmp_path, which):
    write, sheet = writers()[which]
    told = []
    write(sheet, tmp_path / "a.tif", progress=told.append)
    assert told == sorted(told) and told[-1] == 1.0 and min(told) >= 0


@pytest.mark.parametrize("which", [0, 1])
def test_what_is_there_is_not_written_over(tmp_path, which):
    write, sheet = writers()[which]
    path = tmp_path / "a.tif"
    path.write_bytes(b"mine")
    with pytest.raises(OutputError, match="already"):
        write(sheet, path)
    assert path.read_bytes() == b"mine"
    write(sheet, path, overwrite=True)
    assert path.stat().st_size > 1000


@pytest.mark.parametrize("kind", ["strip", "nest"])
def test_an_original_is_never_written_over(tmp_path, kind):
    path = tmp_path / "scene.tif"
    tifffile.imwrite(path, scene(), photometric="rgb", iccprofile=standard_profile(SPACE))
    before = path.read_bytes()
    work = replace(big_job(), picture=wb.open_picture(path))
    with pytest.raises(OutputError, match="originals are never written over"):
        if kind == "strip":
            write_strip(make_strip(work, MIDDLES), path, overwrite=True)
        else:
            write_nest(nest([small(50, ppi=150), work], "A2"), path, overwrite=True)
    assert path.read_bytes() == before


@pytest.mark.parametrize("which", [0, 1])
def test_a_file_that_reads_back_wrong_is_not_kept(tmp_path, which, monkeypatch):
    write, sheet = writers()[which]
    real = check_module.read_back

    def spoilt(*args):
        found = real(*args)
        return replace(found, fingerprint=found.fingerprint + 1)

    monkeypatch.setattr(finished, "read_back", spoilt)
    with pytest.raises(OutputError, match="not as planned"):
        write(sheet, tmp_path / "a.tif")
    assert list(tmp_path.iterdir()) == []


def test_kinds_that_hold_no_sheet(tmp_path):
    write, sheet = writers()[0]
    with pytest.raises(OutputError, match="8 bits only"):
        write(sheet, tmp_path / "a.jpg")
    with pytest.raises(OutputError, match="not a kind of print file"):
        write(sheet, tmp_path / "a.pdf")
    with pytest.raises(OutputError, match="no folder"):
        write(sheet, tmp_path / "none" / "a.tif")
    none = nest([small(400)], "A4")
    with pytest.raises(OutputError, match="nothing to write"):
        write_nest(none, tmp_path / "a.tif")


def test_a_killed_process_leaves_no_half_sheet(tmp_path):
    code = """
import os, sys
sys.path[:0] = sys.argv[2:]
from output.makers import job
from workbench.gang.nest import nest
from workbench.gang.writing import write_nest
found = nest([job(width_mm=180, ppi=200), job(width_mm=120, ppi=200)], (190, 200))
write_nest(found, sys.argv[1], progress=lambda share: os._exit(9))
"""
    target = tmp_path / "nest.tif"
    done = subprocess.run([sys.executable, "-c", code, str(target), *sys.path])
    assert done.returncode == 9
    assert not target.exists()
    # the piece that went through a file is gone; the unfinished file is hidden and swept later
    left = [path.name for path in tmp_path.iterdir()]
    assert len(left) == 1 and left[0].startswith(".nest.tif.")


def test_a_picture_on_its_side(tmp_path):
    """Orientation tag 6 of TIFF: the file's rows are the picture's columns."""
    file = io.BytesIO()
    tifffile.imwrite(
        file, scene(), photometric="rgb", iccprofile=standard_profile(SPACE),
        extratags=[(274, "H", 1, 6, True)],
    )  # fmt: skip
    picture = wb.open_picture(file.getvalue(), name="side.tif")
    assert picture.height_px > picture.width_px
    work = small(60)
    side = replace(work, picture=picture)
    found = nest([work, side], "A5")
    write_nest(found, tmp_path / "nest.tif")
    sheet = tifffile.imread(tmp_path / "nest.tif")
    for piece, each in zip(found.pieces, (work, side), strict=True):
        here = sheet[
            piece.y_px : piece.y_px + piece.height_px, piece.x_px : piece.x_px + piece.width_px
        ]
        alone = printed(each, tmp_path)
        assert np.array_equal(here, np.rot90(alone) if piece.turned else alone)


def test_grey_pictures_on_the_driver_s_sheet(tmp_path):
    grey = as_picture(scene()[..., 1])
    found = nest([replace(small(80), picture=grey, converts="driver", paper=None)], "A6")
    write_nest(found, tmp_path / "nest.tif")
    assert tifffile.imread(tmp_path / "nest.tif").ndim == 2
