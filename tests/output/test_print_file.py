"""Print files: read back by independent readers and held against plain conversions."""

from __future__ import annotations

import hashlib
from types import SimpleNamespace

import imagecodecs
import numpy as np
import pytest
import tifffile
from helpers import coated_profile
from output.makers import SPACE, as_picture, facts, job, matte_paper, pillow_open, scene
from PIL import Image

import workbench as wb
from workbench.colour.spaces import standard_profile
from workbench.errors import (
    Cancelled,
    OutputError,
    ProfileError,
    SizeError,
    UntaggedPictureError,
)
from workbench.output import finished, print_file
from workbench.output.job import PrintJob
from workbench.output.print_file import write_print_file

BPC = int(imagecodecs.CMS.FLAGS.BLACKPOINTCOMPENSATION)
INTENT = {"perceptual": 0, "relative": 1, "saturation": 2, "absolute": 3}


def plain_conversion(pixels, source, target, intent="relative", compensate=True, space="rgb"):
    """Little CMS and nothing else."""
    return imagecodecs.cms_transform(
        np.ascontiguousarray(pixels),
        source,
        target,
        colorspace="gray" if pixels.ndim == 2 else "rgb",
        outcolorspace=space,
        intent=INTENT[intent],
        flags=BPC if compensate else 0,
    )


# --- exact pixels, and what is embedded --------------------------------------------


@pytest.mark.parametrize("suffix", ["tif", "png", "jpg"])
@pytest.mark.parametrize(
    ("width_mm", "ppi", "width_px"),
    [
        (254.0, 72, 720),
        (50.8, 360, 720),
        (100.0, 300, 1181),  # 1181.10
        (61.0, 240, 576),  # 576.38
        (33.0, 299.5, 389),  # 389.11
    ],
)
def test_pixels_are_size_times_ppi(tmp_path, suffix, width_mm, ppi, width_px):
    path = tmp_path / f"print.{suffix}"
    written = wb.write_print_file(job(width_mm=width_mm, ppi=ppi), path)
    height_px = round(width_px * 120 / 180)
    found = facts(path)
    assert found["size"] == (width_px, height_px) == (written.width_px, written.height_px)
    # JPEG's density is whole in its oldest field, PNG counts pixels per metre
    assert found["ppi"] == pytest.approx(ppi, abs={"tif": 1e-6, "png": 0.013, "jpg": 0.5}[suffix])
    assert written.width_mm == pytest.approx(width_mm, abs=0.5 * 25.4 / ppi)
    assert written.width_mm == pytest.approx(width_px / ppi * 25.4)
    assert all(check.passed for check in written.checks)
    assert [check.name for check in written.checks] == ["pixels", "size", "profile", "proof"]


def test_jpeg_holds_the_exact_ppi_in_exif(tmp_path):
    write_print_file(job(ppi=299.5), tmp_path / "print.jpg")
    with Image.open(tmp_path / "print.jpg") as image:
        assert float(image.getexif()[282]) == float(image.getexif()[283]) == 299.5


@pytest.mark.parametrize("suffix", ["tif", "png", "jpg"])
@pytest.mark.parametrize("converts", ["workbench", "driver"])
def test_profile_and_description_are_embedded(tmp_path, suffix, converts):
    path = tmp_path / f"print.{suffix}"
    work = job(converts=converts, description="Low tide, § 3 – “proof”")
    written = write_print_file(work, path)
    wanted = matte_paper().profile if converts == "workbench" else standard_profile(SPACE)
    data = path.read_bytes()
    if suffix == "tif":
        with tifffile.TiffFile(path) as tiff:
            page = tiff.pages[0]
            assert page.iccprofile == wanted
            assert page.tags[270].value == work.description
    elif suffix == "png":
        with pillow_open(path) as image:
            assert image.info["icc_profile"] == wanted
            assert image.text["Description"] == work.description
    else:
        with Image.open(path) as image:
            assert image.info["icc_profile"] == wanted
            assert image.info["comment"].decode() == work.description
            # no colour is stored at less than full resolution
            assert image.layer[0][1:3] == image.layer[1][1:3]
    assert written.checksum == hashlib.sha256(data).hexdigest()
    assert written.size_bytes == len(data)
    assert written.converted is (converts == "workbench")
    assert written.profile_name == ("Invented matte" if converts == "workbench" else SPACE)


def test_a_description_is_written_where_none_is_given(tmp_path):
    write_print_file(job(width_mm=100), tmp_path / "print.tif")
    with tifffile.TiffFile(tmp_path / "print.tif") as tiff:
        text = tiff.pages[0].tags[270].value
    assert "scene.tif, 100.1 x 66.8 mm at 100 ppi, for Invented matte" in text
    assert text.endswith("converted, relative with black point compensation")


# --- colours -----------------------------------------------------------------------


@pytest.mark.parametrize("intent", list(INTENT))
@pytest.mark.parametrize("compensate", [True, False])
def test_converted_pixels_are_those_of_a_plain_conversion(tmp_path, intent, compensate):
    details = {"width_mm": 80, "sharpening": 0.5, "intent": intent}
    details["black_point_compensation"] = compensate
    for converts in ("driver", "workbench"):
        write_print_file(job(converts=converts, **details), tmp_path / f"{converts}.tif")
    left = tifffile.imread(tmp_path / "driver.tif")
    expected = plain_conversion(
        left, standard_profile(SPACE), matte_paper().profile, intent,
        compensate and intent != "absolute",
    )  # fmt: skip
    assert np.array_equal(tifffile.imread(tmp_path / "workbench.tif"), expected)
    assert not np.array_equal(left, expected)


def test_unresized_pixels_are_the_picture_s_own(tmp_path):
    pixels = scene()
    write_print_file(job(pixels, converts="driver"), tmp_path / "left.tif")
    assert np.array_equal(tifffile.imread(tmp_path / "left.tif"), pixels)
    write_print_file(job(pixels), tmp_path / "made.tif")
    expected = plain_conversion(pixels, standard_profile(SPACE), matte_paper().profile)
    assert np.array_equal(tifffile.imread(tmp_path / "made.tif"), expected)


def test_bands_do_not_show(tmp_path, monkeypatch):
    work = job(width_mm=60, sharpening=0.8, bleed_mm=7, borders_mm=(3, 3, 7, 3))
    write_print_file(work, tmp_path / "one.tif")
    monkeypatch.setattr("workbench.output.bands.BAND_PIXELS", 5000)
    write_print_file(work, tmp_path / "many.tif")
    one, many = (tifffile.imread(tmp_path / f"{n}.tif").astype(int) for n in ("one", "many"))
    assert np.abs(one - many).max() <= 8


@pytest.mark.parametrize("width_mm", [2, 45, 400, 3000])
def test_bands_stay_small_whatever_the_size(width_mm):
    from workbench.output.bands import BAND_PIXELS, band_rows
    from workbench.output.layout import layout_of

    layout = layout_of(job(scene(3000, 2000), width_mm=width_mm, ppi=360).checked())
    rows = band_rows(layout)
    assert rows % 16 == 0
    if rows > 16:
        assert rows * layout.width_px <= BAND_PIXELS
        assert rows / layout.down.factor * 3000 <= BAND_PIXELS


def test_cmyk_papers(tmp_path):
    paper = wb.open_paper(coated_profile(), name="Coated")
    work = job(width_mm=60, paper=paper, borders_mm=5, black_point_compensation=False)
    write_print_file(work, tmp_path / "print.tif")
    with tifffile.TiffFile(tmp_path / "print.tif") as tiff:
        page = tiff.pages[0]
        assert page.photometric.name == "SEPARATED" and page.samplesperpixel == 4
        assert page.iccprofile == coated_profile()
        pixels = page.asarray()
    # no ink on the border: 5 mm are 20 pixels
    assert (pixels[:20] == 0).all() and (pixels[:, :20] == 0).all()
    left = type(work)(work.picture, width_mm=60, ppi=100, converts="driver")
    write_print_file(left, tmp_path / "left.tif")
    source = tifffile.imread(tmp_path / "left.tif")
    expected = plain_conversion(
        source, standard_profile(SPACE), coated_profile(), "relative", False, "cmyk"
    )
    assert np.array_equal(pixels[20:-20, 20:-20], expected)
    for suffix in ("png", "jpg"):
        with pytest.raises(OutputError, match="end the name in .tif"):
            write_print_file(work, tmp_path / f"print.{suffix}")


@pytest.mark.parametrize("suffix", ["tif", "png", "jpg"])
def test_grey_pictures(tmp_path, suffix):
    picture = as_picture(scene()[..., 1])
    work = PrintJob(picture, matte_paper(), ppi=100, converts="driver", borders_mm=2.54)
    written = write_print_file(work, tmp_path / f"left.{suffix}")
    assert written.profile_name == "Grey, power 2.2"
    made = PrintJob(picture, matte_paper(), ppi=100)
    write_print_file(made, tmp_path / f"made.{suffix}")
    if suffix == "tif":
        left = tifffile.imread(tmp_path / "left.tif")
        assert left.shape == (140, 200) and (left[:10] == 65535).all()
        expected = plain_conversion(
            left[10:-10, 10:-10], standard_profile("Grey, power 2.2"), matte_paper().profile
        )
        assert np.array_equal(tifffile.imread(tmp_path / "made.tif"), expected)


def test_the_file_differs_little_from_the_proof_and_much_from_a_wrong_one(tmp_path, monkeypatch):
    written = write_print_file(job(width_mm=120, sharpening="auto"), tmp_path / "right.tif")
    assert 0 <= written.mean_difference < 0.3
    # converted with another intent than the plan's, the check must notice
    from workbench.output import bands

    honest = bands.transform

    def wrong(pixels, source, target, **settings):
        return honest(pixels // 2, source, target, **settings)

    monkeypatch.setattr(bands, "transform", wrong)
    written = write_print_file(job(width_mm=120), tmp_path / "wrong.tif")
    proof = written.checks[-1]
    assert proof.name == "proof" and not proof.passed and written.mean_difference > 5
    assert proof.sentence in written.sentences


def test_a_shifted_picture_is_noticed_too(tmp_path, monkeypatch):
    from workbench.output.bands import BandMaker

    honest = BandMaker._printed
    monkeypatch.setattr(
        BandMaker, "_printed", lambda self, a, b: np.roll(honest(self, a, b), 30, axis=1)
    )
    assert write_print_file(job(), tmp_path / "shifted.tif").mean_difference > 2


# --- bit depth ---------------------------------------------------------------------


@pytest.mark.parametrize("suffix", ["tif", "png"])
def test_both_bit_depths(tmp_path, suffix):
    read = {"tif": tifffile.imread, "png": lambda p: imagecodecs.png_decode(p.read_bytes())}[suffix]
    pixels = {}
    for depth in (16, 8):
        path = tmp_path / f"{depth}.{suffix}"
        written = write_print_file(job(width_mm=70, bit_depth=depth), path)
        assert written.bit_depth == depth
        pixels[depth] = read(path)
        assert pixels[depth].dtype.itemsize * 8 == depth
    error = pixels[8] - pixels[16] / 257
    assert np.abs(error).max() < 1
    assert abs(error.mean()) < 4.5 * np.sqrt(1 / 6 / error.size)


def test_eight_bit_pictures_become_smooth_when_enlarged(tmp_path):
    ramp = np.repeat(np.linspace(100, 110, 60).astype(np.uint8)[None], 40, axis=0)
    picture = as_picture(np.repeat(ramp[..., None], 3, axis=2))
    work = PrintJob(picture, ppi=100, width_mm=101.6, converts="driver")
    write_print_file(work, tmp_path / "print.tif")
    values = tifffile.imread(tmp_path / "print.tif")
    assert values.dtype == np.uint16 and len(np.unique(values)) > 50


def test_jpeg_is_close_to_what_was_made(tmp_path):
    write_print_file(job(width_mm=120), tmp_path / "print.tif")
    write_print_file(job(width_mm=120), tmp_path / "print.jpg")
    made = tifffile.imread(tmp_path / "print.tif") / 257
    with Image.open(tmp_path / "print.jpg") as image:
        assert np.abs(np.asarray(image) - made).mean() < 1.5


def test_the_same_plan_gives_the_same_file(tmp_path):
    for name in ("a", "b"):
        write_print_file(job(width_mm=70, bit_depth=8, sharpening=0.4), tmp_path / f"{name}.tif")
    assert (tmp_path / "a.tif").read_bytes() == (tmp_path / "b.tif").read_bytes()


@pytest.mark.parametrize("bit_depth", [8, 16])
def test_compressed_tiff_holds_the_same_pixels(tmp_path, bit_depth, monkeypatch):
    monkeypatch.setattr("workbench.output.formats._STRIP_BYTES", 20_000)
    work = job(width_mm=90, bit_depth=bit_depth)
    write_print_file(work, tmp_path / "plain.tif")
    packed = type(work)(
        work.picture, work.paper, width_mm=90, ppi=100, bit_depth=bit_depth, compression="deflate"
    )
    write_print_file(packed, tmp_path / "packed.tif")
    plain, small = (tifffile.imread(tmp_path / f"{n}.tif") for n in ("plain", "packed"))
    assert np.array_equal(plain, small)
    sizes = [(tmp_path / f"{n}.tif").stat().st_size for n in ("plain", "packed")]
    assert sizes[1] - len(work.paper.profile) < 0.95 * (sizes[0] - len(work.paper.profile))


# --- borders, sheets, bleed, crop --------------------------------------------------


def driver_pixels(tmp_path, **details):
    write_print_file(job(converts="driver", **details), tmp_path / "print.tif", overwrite=True)
    return tifffile.imread(tmp_path / "print.tif")


def test_borders_are_bare_paper(tmp_path):
    bare = driver_pixels(tmp_path, width_mm=50.8)
    # 10, 5, 20 and 2 mm at 100 ppi
    top, right, bottom, left = 39, 20, 79, 8
    framed = driver_pixels(tmp_path, width_mm=50.8, borders_mm=(10, 5, 20, 2))
    assert framed.shape == (bare.shape[0] + top + bottom, bare.shape[1] + left + right, 3)
    assert np.array_equal(framed[top:-bottom, left:-right], bare)
    around = np.ones(framed.shape[:2], bool)
    around[top:-bottom, left:-right] = False
    assert (framed[around] == 65535).all()


def test_a_picture_is_centred_on_its_sheet(tmp_path):
    bare = driver_pixels(tmp_path, width_mm=127)
    sheet = driver_pixels(
        tmp_path, width_mm=127, sheet="A4", on_sheet=True, borders_mm=(10, 10, 15.08, 10)
    )
    # A4 turned: 297 × 210 mm at 100 ppi
    assert sheet.shape == (827, 1169, 3)
    inked = np.argwhere((sheet != 65535).any(axis=-1))
    (y, x), (below, right) = inked.min(0), inked.max(0) + 1
    assert (below - y, right - x) == bare.shape[:2]
    assert abs(x - (1169 - right)) <= 1
    assert (827 - below) - y in (19, 20, 21)  # 5.08 mm wider below
    with pytest.raises(SizeError, match="does not fit A4"):
        driver_pixels(tmp_path, width_mm=290, sheet="A4", on_sheet=True, borders_mm=10)
    with pytest.raises(OutputError, match="No sheet"):
        driver_pixels(tmp_path, width_mm=50, on_sheet=True)


def test_a_mirrored_bleed_goes_on_from_each_edge(tmp_path):
    bare = driver_pixels(tmp_path, width_mm=50.8)
    wide = driver_pixels(tmp_path, width_mm=50.8, bleed_mm=10.16)
    expected = np.pad(bare, ((40, 40), (40, 40), (0, 0)), mode="symmetric")
    assert wide.shape == expected.shape
    # each part is resampled from a window of its own
    assert np.abs(wide.astype(int) - expected).max() <= 2
    with pytest.raises(SizeError, match="wider than the picture"):
        driver_pixels(tmp_path, width_mm=50.8, bleed_mm=100)


def test_a_stretched_bleed_draws_the_outermost_pixels_out(tmp_path):
    bare = driver_pixels(tmp_path, width_mm=50.8)
    wide = driver_pixels(tmp_path, width_mm=50.8, bleed_mm=10.16, bar_depth_mm=5, bleed="stretched")
    expected = np.pad(bare, ((40, 40), (40, 40), (0, 0)), mode="edge")
    assert wide.shape == expected.shape
    # each part is resampled from a window of its own
    assert np.abs(wide.astype(int) - expected).max() <= 2
    # every pixel is the picture's where nothing is resampled, even wider than the picture
    pixels = scene()
    exact = driver_pixels(tmp_path, bleed_mm=60, bleed="stretched")
    assert np.array_equal(exact, np.pad(pixels, ((236, 236), (236, 236), (0, 0)), mode="edge"))
    mirrored = driver_pixels(tmp_path, bleed_mm=20)
    assert np.array_equal(mirrored, np.pad(pixels, ((79, 79), (79, 79), (0, 0)), mode="symmetric"))


def test_a_wrap_is_made_in_bands(tmp_path, monkeypatch):
    work = job(width_mm=60, bleed_mm=17, bleed="stretched", borders_mm=3)
    write_print_file(work, tmp_path / "one.tif")
    monkeypatch.setattr("workbench.output.bands.BAND_PIXELS", 5000)
    write_print_file(work, tmp_path / "many.tif")
    one, many = (tifffile.imread(tmp_path / f"{n}.tif").astype(int) for n in ("one", "many"))
    assert np.abs(one - many).max() <= 8


def test_a_bleed_of_the_picture_s_own(tmp_path):
    wide = driver_pixels(tmp_path, width_mm=50.8, bleed_mm=5.08, bleed="picture")
    assert wide.shape == (133 + 40, 200 + 40, 3)
    # the whole file shows the picture, a little cropped to the new ratio
    grey = [p.astype(float).mean() for p in (wide, scene())]
    assert grey[0] == pytest.approx(grey[1], rel=0.01)
    white = driver_pixels(tmp_path, width_mm=50.8, bleed_mm=5.08, bleed="white")
    assert white.shape == wide.shape and (white[:20] == 65535).all()


def test_a_crop_of_whole_pixels_is_exact(tmp_path):
    out = driver_pixels(tmp_path, crop=(20, 30, 100, 60))
    assert np.array_equal(out, scene()[30:90, 20:120])


def test_a_size_of_another_ratio_is_cropped_and_said(tmp_path):
    written = write_print_file(job(width_mm=76.2, height_mm=76.2), tmp_path / "square.tif")
    assert (written.width_px, written.height_px) == (300, 300)
    assert any("The crop cuts" in sentence for sentence in written.sentences)
    written = write_print_file(job(width_mm=76.2, height_mm=50.8), tmp_path / "same.tif")
    assert not any("The crop cuts" in sentence for sentence in written.sentences)


# --- plans -------------------------------------------------------------------------


def test_anything_with_the_right_attributes_is_a_plan(tmp_path):
    plan = SimpleNamespace(
        picture=as_picture(scene()), paper=matte_paper(), width_mm=50.8, ppi=100, crop=None
    )
    written = write_print_file(plan, str(tmp_path / "print.tif"))
    assert (written.width_px, written.height_px) == (200, 133)


def test_a_plan_that_solves_its_own_size(tmp_path):
    from workbench.plan import Plan

    plan = Plan(
        picture=as_picture(scene(211, 140)),
        paper=matte_paper(),
        size_from="size",
        long_side_mm=93,
        printer_ppi=120,
        crop_ratio="5:4",
        border_mm=4,
    )
    size = plan.print_size()
    written = write_print_file(plan, tmp_path / "print.tif")
    border = round(4 / 25.4 * 120)
    assert facts(tmp_path / "print.tif")["size"] == (
        size.resampling.target_width_px + 2 * border,
        size.resampling.target_height_px + 2 * border,
    )
    assert written.ppi == 120
    assert written.width_mm == pytest.approx(size.width_mm + 8, abs=0.5)


@pytest.mark.parametrize(
    ("details", "error", "words"),
    [
        ({"picture": None}, OutputError, "no picture|not a picture"),
        ({"paper": None}, OutputError, "without a paper"),
        ({"converts": "both"}, OutputError, "driver"),
        ({"bit_depth": 12}, OutputError, "8 or 16"),
        ({"intent": "vivid"}, ProfileError, "not a rendering intent"),
        ({"width_mm": -3}, SizeError, "width"),
        ({"width_mm": float("nan")}, SizeError, "width"),
        ({"ppi": 0}, SizeError, "resolution"),
        ({"ppi": 9000, "width_mm": 40_000}, SizeError, "pixels; choose a smaller"),
        ({"crop": (0, 0, 500, 500)}, SizeError, "does not lie"),
        ({"crop": (0, 0, 1.5, 2)}, SizeError, "whole numbers"),
        ({"crop": "all"}, SizeError, "whole numbers"),
        ({"borders_mm": -1}, SizeError, "border"),
        ({"bleed": "sideways"}, OutputError, "mirrored"),
        ({"bleed_mm": -2}, SizeError, "bleed"),
        ({"compression": "zip"}, OutputError, "deflate"),
        ({"sharpening": 3}, OutputError, "from 0 to 1"),
        ({"adjustments": {"shadows": 99}}, OutputError, "shadows"),
        ({"size_px": (0, 3)}, SizeError, "whole numbers"),
    ],
)
def test_plans_that_do_not_add_up_are_refused_in_words(tmp_path, details, error, words):
    plan = SimpleNamespace(
        **{"picture": as_picture(scene()), "paper": matte_paper(), "ppi": 100, **details}
    )
    with pytest.raises(error, match=words):
        write_print_file(plan, tmp_path / "print.tif")
    assert list(tmp_path.iterdir()) == []


def test_an_untagged_picture_is_not_guessed_at(tmp_path):
    import io

    file = io.BytesIO()
    tifffile.imwrite(file, scene(), photometric="rgb")
    work = PrintJob(wb.open_picture(file.getvalue()), matte_paper())
    with pytest.raises(UntaggedPictureError):
        write_print_file(work, tmp_path / "print.tif")


# --- progress, cancelling, reading back --------------------------------------------


def test_progress_rises_to_the_end(tmp_path, monkeypatch):
    monkeypatch.setattr("workbench.output.bands.BAND_PIXELS", 5000)
    told = []
    write_print_file(job(width_mm=80), tmp_path / "print.tif", progress=told.append)
    assert len(told) > 5 and told == sorted(told) and told[-1] == 1 and told[0] > 0


@pytest.mark.parametrize("suffix", ["tif", "png", "jpg"])
@pytest.mark.parametrize("after", [0, 3, 7])
def test_cancelling_leaves_nothing(tmp_path, monkeypatch, suffix, after):
    monkeypatch.setattr("workbench.output.bands.BAND_PIXELS", 5000)
    asked = []

    def cancelled():
        asked.append(1)
        return len(asked) > after

    with pytest.raises(Cancelled):
        write_print_file(job(width_mm=80), tmp_path / f"print.{suffix}", cancelled=cancelled)
    assert len(asked) == after + 1
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("suffix", ["tif", "png"])
def test_a_file_that_does_not_read_back_is_not_kept(tmp_path, monkeypatch, suffix):
    honest = print_file.write_bands

    def disturbed(stream, bands, spec):
        mark = honest(stream, bands, spec)
        return mark ^ 1

    monkeypatch.setattr(print_file, "write_bands", disturbed)
    with pytest.raises(OutputError, match="not those that were made"):
        write_print_file(job(), tmp_path / f"print.{suffix}")
    assert list(tmp_path.iterdir()) == []


def test_a_byte_that_the_disk_got_wrong_is_noticed(tmp_path, monkeypatch):
    honest = finished.read_back

    def after_damage(path, *rest):
        with open(path, "r+b") as stream:
            stream.seek(-1000, 2)
            old = stream.read(1)
            stream.seek(-1, 1)
            stream.write(bytes([old[0] ^ 4]))
        return honest(path, *rest)

    monkeypatch.setattr(finished, "read_back", after_damage)
    with pytest.raises(OutputError, match="is not kept"):
        write_print_file(job(), tmp_path / "print.tif")
    assert list(tmp_path.iterdir()) == []


def test_want_of_memory_is_told_in_words(tmp_path, monkeypatch):
    def hungry(*_):
        raise MemoryError

    monkeypatch.setattr(print_file, "write_bands", hungry)
    with pytest.raises(OutputError, match="not enough memory"):
        write_print_file(job(), tmp_path / "print.tif")
    assert list(tmp_path.iterdir()) == []


def test_a_damaged_picture_leaves_nothing(tmp_path):
    source = tmp_path / "picture.tif"
    tifffile.imwrite(source, scene(), photometric="rgb", iccprofile=standard_profile(SPACE))
    picture = wb.open_picture(source)
    source.write_bytes(source.read_bytes()[:-3000])
    with pytest.raises(wb.PictureError):
        write_print_file(PrintJob(picture, matte_paper(), ppi=100), tmp_path / "print.tif")
    assert list(tmp_path.iterdir()) == [source]


def test_the_sentences_say_who_converts(tmp_path):
    made = write_print_file(job(adjustments={"shadows": 2}), tmp_path / "made.tif")
    assert any("conversion off" in s for s in made.sentences)
    assert any("shadows +2.0 L*" in s for s in made.sentences)
    left = write_print_file(job(converts="driver"), tmp_path / "left.tif")
    assert any("let the printer driver convert" in s for s in left.sentences)
