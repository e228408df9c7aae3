"""The target's page and its file: exact patches, true size, nothing left half done."""

import errno
import io
from dataclasses import replace

import imagecodecs
import numpy as np
import pytest
import tifffile
from PIL import Image, ImageCms
from target.makers import coated_paper, matte_paper, matte_target

from workbench.colour.spaces import standard_profile
from workbench.errors import Cancelled, OutputError, SizeError, TargetError
from workbench.files import writing as atomic
from workbench.target.draw import (
    DETAIL_PX,
    mark_shape,
    reference_path,
    target_picture,
    write_target,
)
from workbench.target.geometry import MARK_HOLES, geometry_of
from workbench.target.patches import SPACE, WHITE


def test_patches_are_flat_and_exact_and_do_not_touch():
    target = matte_target()
    page = target_picture(target, ppi=360, patch_mm=9)
    pixels = page.picture.pixels()
    assert pixels.dtype == np.uint16 and page.picture.profile_name == SPACE
    wanted = np.rint(target.rgb * 65535).astype(np.uint16)
    seen = np.zeros(pixels.shape[:2], int)
    for (x0, y0, x1, y1), rgb in zip(page.boxes_px, wanted, strict=True):
        assert (pixels[y0:y1, x0:x1] == rgb).all()
        assert (x1 - x0) == (y1 - y0) == pytest.approx(9 / 25.4 * 360, abs=2)
        seen[y0 - 2 : y1 + 2, x0 - 2 : x1 + 2] += 1
    assert seen.max() == 1


def test_the_page_fits_a_small_sheet():
    page = target_picture(matte_target(), ppi=360, patch_mm=9)
    # the smaller sides of A4 and of a US letter sheet, with 12 mm for the printer's margins
    longest = max(page.picture.width_px, page.picture.height_px)
    assert longest / page.ppi * 25.4 < 210 - 24


def test_a_paper_s_name_is_written_in_letters_that_the_font_has():
    target = matte_target()
    odd, plain = (
        target_picture(replace(target, paper_name=name), ppi=150).picture.pixels()
        for name in ("Bütten – weiß", "Butten - weiss")
    )
    assert np.array_equal(odd, plain)


@pytest.mark.parametrize("paper", [coated_paper, matte_paper])
def test_patches_in_the_file_are_a_plain_conversion(paper, tmp_path):
    paper = paper()
    written = write_target(paper, tmp_path / "target.tif", ppi=200)
    target = written.target
    with tifffile.TiffFile(written.print_file.path) as tiff:
        page = tiff.pages[0]
        pixels = page.asarray()
        assert page.bitspersample == 16 and page.iccprofile == paper.profile
        ppi = [top / bottom for top, bottom in (page.tags[282].value, page.tags[283].value)]
    drawn = target_picture(target, ppi=200)
    assert ppi == [200, 200]
    assert pixels.shape[:2] == (drawn.picture.height_px, drawn.picture.width_px)
    plain = imagecodecs.cms_transform(
        np.rint(target.rgb[None] * 65535).astype(np.uint16), standard_profile(SPACE),
        paper.profile, colorspace="rgb", outcolorspace=paper.icc.space.lower(), intent=1,
        flags=int(imagecodecs.CMS.FLAGS.BLACKPOINTCOMPENSATION),
    )[0]  # fmt: skip
    for (x0, y0, x1, y1), ink in zip(drawn.boxes_px, plain, strict=True):
        assert (pixels[y0:y1, x0:x1] == ink).all()


def test_patches_in_the_file_agree_with_pillow(tmp_path):
    written = write_target(matte_paper(), tmp_path / "target.tif", ppi=150)
    pixels = tifffile.imread(written.print_file.path)
    drawn = target_picture(written.target, ppi=150)
    rgb8 = np.rint(written.target.rgb * 255).astype(np.uint8)
    change = ImageCms.buildTransform(
        io.BytesIO(standard_profile(SPACE)), io.BytesIO(matte_paper().profile), "RGB", "RGB", 1,
        ImageCms.Flags.BLACKPOINTCOMPENSATION,
    )  # fmt: skip
    theirs = np.asarray(ImageCms.applyTransform(Image.fromarray(rgb8[None]), change))[0]
    ours = np.array([pixels[y0, x0] for x0, y0, _, _ in drawn.boxes_px]) / 257
    # 8-bit rounding on both sides of steep tables
    assert np.abs(ours - theirs).max() < 3 and np.abs(ours - theirs).mean() < 0.5


def test_reference_lies_beside_the_file(tmp_path):
    written = write_target(matte_paper(), tmp_path / "rag.tif", ppi=120)
    assert (
        written.reference == reference_path(tmp_path / "rag.tif") == tmp_path / "rag-reference.txt"
    )
    assert written.reference.read_text().startswith("CGATS.17\n")
    assert any("own colour conversion off" in said for said in written.sentences)
    assert sorted(p.name for p in tmp_path.iterdir()) == ["rag-reference.txt", "rag.tif"]


def test_on_a_sheet_the_file_is_as_large_as_the_sheet(tmp_path):
    written = write_target(matte_paper(), tmp_path / "a4.tif", ppi=120, sheet="A4")
    sides = sorted((written.print_file.width_mm, written.print_file.height_mm))
    # ISO 216
    assert sides == pytest.approx([210, 297], abs=0.3)
    with pytest.raises(SizeError):
        write_target(matte_paper(), tmp_path / "large.tif", ppi=120, sheet="A6")
    assert not (tmp_path / "large-reference.txt").exists()


def test_nothing_is_written_over_and_nothing_is_left(tmp_path):
    path = tmp_path / "target.tif"
    reference_path(path).write_text("mine")
    with pytest.raises(OutputError, match="already"):
        write_target(matte_paper(), path, ppi=120)
    assert not path.exists() and reference_path(path).read_text() == "mine"
    reference_path(path).unlink()
    with pytest.raises(Cancelled):
        write_target(matte_paper(), path, ppi=120, cancelled=lambda: True)
    assert list(tmp_path.iterdir()) == []
    with pytest.raises(TargetError, match="JPEG"):
        write_target(matte_paper(), tmp_path / "target.jpg")
    for ppi, patch in ((20, 9), (360, 2), (360, 100)):
        with pytest.raises(TargetError):
            target_picture(matte_target(), ppi=ppi, patch_mm=patch)


def test_a_former_target_and_its_reference_stay_a_pair(tmp_path, monkeypatch):
    path = tmp_path / "target.tif"
    reference = reference_path(path)
    path.write_bytes(b"former")
    reference.write_text("former")
    with pytest.raises(Cancelled):
        write_target(
            matte_paper(), path, intent="absolute", ppi=120, cancelled=lambda: True, overwrite=True
        )
    assert path.read_bytes() == b"former" and reference.read_text() == "former"
    path.unlink()
    reference.unlink()
    real = atomic._publish

    def full(unfinished, target, overwrite):
        if target == reference:
            raise OSError(errno.ENOSPC, "no space")
        real(unfinished, target, overwrite)

    monkeypatch.setattr(atomic, "_publish", full)
    with pytest.raises(OutputError, match="disk is full"):
        write_target(matte_paper(), path, ppi=120)
    assert list(tmp_path.iterdir()) == []


def test_corner_marks_differ_by_the_number_of_their_holes():
    from scipy.ndimage import label

    for holes in MARK_HOLES:
        dark = mark_shape(holes, 60) > 0.5
        count = label(~np.pad(dark, 2))[1] - 1  # what lies outside is one more
        assert count == holes
        assert label(dark)[1] == 1


def test_marks_and_bare_paper_do_not_meet_the_patches():
    target = matte_target()
    page, drawn = geometry_of(target), target_picture(target, ppi=254)
    pixels = drawn.picture.pixels()
    pitch = drawn.picture.width_px / page.width
    for x, y in page.bare():
        near = pixels[
            int(y * pitch) - 3 : int(y * pitch) + 4, int(x * pitch) - 3 : int(x * pitch) + 4
        ]
        assert (near == 65535).all()
    middle = page.centres(len(target)) * pitch
    for (x, y), (x0, y0, x1, y1) in zip(middle, drawn.boxes_px, strict=True):
        assert abs(x - (x0 + x1) / 2) < 2 and abs(y - (y0 + y1) / 2) < 2


def test_fine_detail_is_exact_to_the_print_pixel():
    page, drawn = geometry_of(matte_target()), target_picture(matte_target(), ppi=360)
    pixels = drawn.picture.pixels()[..., 0]
    pitch = drawn.picture.width_px / page.width
    x, y, width, height = page.detail
    row = pixels[int((y + height - 0.2) * pitch)]
    step = width / (3 * len(DETAIL_PX))
    for field, px in enumerate(DETAIL_PX):  # the upright lines
        left = int((x + field * step + 0.1) * pitch)
        part = row[left : left + 60]
        edges = np.flatnonzero(np.diff(part.astype(int)))
        assert set(np.diff(edges)) == {px} and set(part) == {0, 65535}


def test_white_patches_are_framed_so_that_they_can_be_found():
    target = matte_target()
    drawn = target_picture(target, ppi=360)
    x0, y0, x1, y1 = drawn.boxes_px[target.index(WHITE)]
    around = drawn.picture.pixels()[y0 - 8 : y1 + 8, x0 - 8 : x1 + 8, 0]
    assert (around < 65535).any()
