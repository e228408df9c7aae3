"""The job sheet: what it says, against independent arithmetic, and the page it makes."""

from __future__ import annotations

import base64
import hashlib
import io
import re
from dataclasses import replace
from html.parser import HTMLParser

import numpy as np
import pytest
import tifffile
from helpers import pillow_convert
from output.makers import as_picture, matte_paper, scene
from PIL import Image

import workbench as wb
from workbench.analysis.chain import SAME_PROFILE
from workbench.analysis.printed_black import DARKEST, PICTURE_BLACK
from workbench.analysis.words import percent
from workbench.colour.spaces import standard_profile
from workbench.errors import OutputError, SizeError
from workbench.output.adjust import Adjustments
from workbench.output.ink import ink_load
from workbench.output.job_sheet import job_sheet
from workbench.output.print_file import write_print_file
from workbench.output.small_picture import png_of, small_picture
from workbench.panels.print_file.words import margins_rows
from workbench.plan import Plan


@pytest.fixture(scope="module")
def picture():
    return as_picture(scene(180, 120))


def plan_for(picture, **more) -> Plan:
    paper = replace(
        matte_paper(),
        printer="Invented printer",
        media_setting="Cotton, heavy",
        black_ink="matte black",
        surface_texture="smooth",
        base="cotton",
        weight_g_m2=247.0,
    )
    # 180 pixels at 90 ppi are 2 inches, 120 are 1 1/3
    return Plan(
        **{
            "picture": picture,
            "paper": paper,
            "ppi": 90.0,
            "printer_ppi": 180.0,
            "unit": "mm",
            **more,
        }
    )


# -- what it says


def test_sizes_are_the_plans_in_millimetres_and_inches(picture):
    sheet = job_sheet(plan_for(picture, border_mm=10.0))
    # 2 in and 4/3 in; 25.4 mm to the inch (international inch, 1959)
    assert sheet.value("Size") == "50.8 × 33.9 mm"
    assert sheet.value("Size in inches") == "2.00 × 1.33 in"
    assert sheet.value("Resolution") == "180 ppi"
    assert sheet.value("Its own pixels") == "90 ppi at this size"
    # 10 mm at 180 ppi are 70.87 pixels, so 71, which are 10.02 mm
    assert sheet.value("Borders") == "10 mm on every side"
    assert sheet.value("Pixels") == f"{360 + 142} × {240 + 142}, 16 bits"
    assert sheet.subtitle == "50.8 × 33.9 mm on Invented matte"


def test_lengths_are_in_the_unit_of_the_plan(picture):
    lengths = {"border_mm": 25.4, "mount_overlap_mm": 2.54}
    sheet = job_sheet(plan_for(picture, unit="in", **lengths))
    assert sheet.value("Size") == "2.00 × 1.33 in" and "Size in inches" not in dict(sheet.rows)
    assert sheet.value("Mount opening") == "1.80 × 1.13 in, covers 0.1 in"
    assert sheet.subtitle.startswith("2.00 × 1.33 in")
    sheet = job_sheet(plan_for(picture, unit="cm", **lengths))
    assert sheet.value("Size") == "5.08 × 3.39 cm"
    assert sheet.value("Size in inches") == "2.00 × 1.33 in"


def test_what_the_person_knows_of_the_paper_is_on_it(picture):
    sheet = job_sheet(plan_for(picture))
    said = {
        "Paper": "Invented matte",
        "Printer": "Invented printer",
        "Media setting": "Cotton, heavy",
        "Black ink": "matte black",
        "Surface texture": "smooth",
        "Finish": "matte",
        "Base": "cotton",
        "Weight": "247 g/m²",
    }
    assert {label: sheet.value(label) for label in said} == said
    unknown = job_sheet(plan_for(picture, paper=wb.open_paper(matte_paper().profile)))
    assert unknown.value("Media setting") == "not stated"
    assert unknown.value("Weight") == "not stated"


def test_expected_figures_are_those_of_the_panels(picture):
    plan = plan_for(picture, intent="perceptual", black_point_compensation=False)
    sheet = job_sheet(plan)
    how = {"intent": "perceptual", "black_point_compensation": False}
    for label, share in (
        ("Out of gamut", wb.gamut_report(picture, plan.paper).share_outside),
        ("Moved by the rendering", wb.colour_shift(picture, plan.paper, **how).share_moved),
    ):
        assert sheet.value(label) == f"{percent(share)} of the picture (every pixel)"
    white = sheet.value("White").removeprefix("absolute Lab")
    assert "-" not in white  # a minus is not a hyphen
    numbers = re.findall(r"−?[\d.]+", white)
    assert [float(n.replace("−", "-")) for n in numbers] == pytest.approx(
        plan.paper.white_lab, abs=0.051
    )
    black = wb.black_point(plan.paper, picture, **how)
    said = sheet.value(PICTURE_BLACK)
    density, lightness = map(float, re.findall(r"[\d.]+", said.replace("L*", "")))
    assert "absolute" in said and density == pytest.approx(black.black_density, abs=0.0051)
    assert sheet.value(DARKEST).startswith(f"density {plan.paper.black_density:.2f}")
    # ISO 5: density is -log10 of the luminance factor, which L* gives back (CIE 15)
    factor = ((lightness + 16) / 116) ** 3
    assert density == pytest.approx(-np.log10(factor), abs=0.02)


def test_written_file_brings_checksum_and_difference(picture, tmp_path):
    plan = plan_for(picture)
    written = write_print_file(plan, tmp_path / "print.tif")
    sheet = job_sheet(plan, written)
    checksum = hashlib.sha256((tmp_path / "print.tif").read_bytes()).hexdigest()
    assert sheet.value("SHA-256 of the print file") == checksum
    profile = hashlib.sha256(plan.paper.profile).hexdigest()
    assert sheet.value("SHA-256 of the profile") == profile
    assert sheet.value("Print file") == "print.tif"
    difference = f"{written.mean_difference:.2f} CIEDE2000 on average (relative)"
    assert sheet.value("File against proof") == difference
    before = job_sheet(plan)
    assert before.value("SHA-256 of the print file") == "not written yet"
    assert before.value("File against proof") is None


def test_one_of_the_two_converts_and_the_sheet_says_which(picture):
    done = job_sheet(plan_for(picture))
    driver = job_sheet(plan_for(picture, converts="driver"))
    assert done.value("Colour conversion") == "done in the file; driver off"
    assert driver.value("Colour conversion") == "by the printer driver"
    (step,) = [step for step in done.checklist if step.startswith("Colour:")]
    assert "own conversion off" in step
    # the way through drivers that let no file pass untouched, where the file is converted
    assert SAME_PROFILE in done.checklist and SAME_PROFILE not in driver.checklist
    assert "source" in SAME_PROFILE and "destination" in SAME_PROFILE
    (step,) = [step for step in driver.checklist if step.startswith("Colour:")]
    assert "conversion on" in step and "Invented matte" in step
    assert "relative colorimetric" in step and "compensation on" in step
    absolute = job_sheet(plan_for(picture, converts="driver", intent="absolute"))
    (step,) = [step for step in absolute.checklist if step.startswith("Colour:")]
    assert step.endswith("intent absolute colorimetric.")
    assert absolute.value("Black point compensation") == "none with this intent"


def test_checklist_goes_by_the_plan(picture):
    steps = " ".join(job_sheet(plan_for(picture, sheet="A5", copies=4)).checklist)
    for words in ("Cotton, heavy", "matte black", "A5", "100 %", "180 ppi", "4 copies", "dry"):
        assert words in steps
    assert "Borderless printing: off" in steps
    # 148 x 210 mm is A5 (ISO 216); a picture that fills it needs no border
    fills = plan_for(picture, sheet="A5", crop_ratio="sheet", size_from="sheet", printer_ppi=60.0,
                     feed_path="borderless")  # fmt: skip
    assert "Borderless printing: on" in " ".join(job_sheet(fills).checklist)
    unknown = job_sheet(Plan(picture=picture, converts="driver"))
    assert not any(step.startswith("Black ink") for step in unknown.checklist)
    assert "made with" in unknown.checklist[1]


def test_what_stands_in_the_way_is_told(picture):
    assert job_sheet(plan_for(picture)).cautions == ()
    (said,) = job_sheet(plan_for(picture, sheet="A5", ppi=10.0)).cautions
    assert "does not fit A5" in said
    (said,) = job_sheet(Plan(picture=picture, converts="driver")).cautions
    assert "No paper is chosen" in said


@pytest.mark.parametrize("bleed", ["white", "mirrored", "picture"])
@pytest.mark.parametrize("border_mm", [0.0, 10.0])
def test_borders_are_those_beyond_the_bleed_as_the_print_file_panel_says(picture, bleed, border_mm):
    solved = plan_for(picture, bleed_mm=5.08, bleed=bleed, border_mm=border_mm).solved()
    said = dict(margins_rows(solved.layout, "mm"))
    assert job_sheet(solved).value("Borders") == ("10 mm on every side" if border_mm else "none")
    assert ("Border" in said) == bool(border_mm)
    if border_mm:
        assert re.findall(r"[\d.]+", said["Border"]) == ["10.0"] * 4


def test_placement_bleed_crop_and_adjustments_have_their_rows(picture):
    sheet = job_sheet(
        plan_for(
            picture,
            border_mm=10.0,
            bottom_weight_mm=6.0,
            bar_depth_mm=4.0,
            bleed_mm=5.0,
            crop_ratio="1:1",
            adjustments=Adjustments(shadows=2.0, mid_tones=3.0, warmth=-1.5),
            sharpening=None,
        )
    )
    assert sheet.value("Canvas") == "4 mm round the bars, 5 mm folded, its edges mirrored"
    bled = job_sheet(plan_for(picture, bleed_mm=5.0))
    assert bled.value("Bleed") == "5 mm beyond each edge, its edges mirrored"
    # a square of 120 from 180 x 120 loses a third
    assert sheet.value("Part of the picture") == "120 × 120 of its pixels, 33 % cut away"
    assert sheet.value("Adjustments") == "shadows +2.0 L*, middle tones +3.0 L*, 1.5 b* cooler"
    plan = plan_for(picture, adjustments=Adjustments(mid_tones=-2.0))
    made = Adjustments(mid_tones=2.0, chroma_gain=1.12, made_for="the wall at 150 lux")
    told = job_sheet(plan_for(picture, adjustments=made))
    assert told.value("Made for") == "the wall at 150 lux"
    assert told.value("Adjustments") == "middle tones +2.0 L*, chroma × 1.12"
    # a minus is not a hyphen
    assert job_sheet(plan).value("Adjustments") == "middle tones −2.0 L*"
    assert job_sheet(plan_for(picture)).value("Adjustments") == "none"
    assert sheet.value("Sharpening") == "none"
    assert re.fullmatch(r"top 10, right 10, bottom (16|15.9), left 10 mm", sheet.value("Borders"))


def test_costs_are_arithmetic(picture):
    paper = replace(plan_for(picture).paper, price_per_sheet=(("A4", 2.5),), currency="EUR")
    # at 18 ppi it prints 254 x 169.3 mm
    ink = {"ink_ml_per_m2": 10.0, "ink_price_per_ml": 0.5}
    plan = plan_for(picture, paper=paper, sheet="A4", copies=3, ppi=18.0, **ink)
    sheet = job_sheet(plan)
    load = ink_load(plan.solved().job, plan.solved().layout)
    millilitres = 10 * 0.254 * 0.16933 * load
    ink = 0.5 * millilitres
    assert sheet.value("Paper for one print") == "2.50 EUR"
    assert sheet.value("Ink for one print") == f"about {millilitres:.2g} ml, {ink:.2f} EUR"
    assert sheet.value("Edition") == f"3 prints, {3 * (2.5 + ink):.2f} EUR"
    # 50.8 x 33.9 mm of an average picture take 0.0172 ml, which is not none
    small = job_sheet(plan_for(picture, paper=paper, ink_ml_per_m2=10.0))
    assert small.value("Ink for one print") == f"about {10 * 0.0508 * 0.033867 * load:.2g} ml"
    assert job_sheet(plan_for(picture)).value("Edition") is None


def test_paper_known_by_readings_only_is_enough_where_the_driver_converts(picture):
    measured = wb.measured_paper(
        "Rag", (96, 0, 2), (18, 0, 0), illuminant="D50", observer_deg=2, finish="matte"
    )
    sheet = job_sheet(plan_for(picture, paper=measured, converts="driver"))
    assert sheet.value("White") == "absolute Lab 96.0 0.0 2.0"
    # L* 18 is density 1.599 (CIE 15, ISO 5)
    assert sheet.value(DARKEST) == "density 1.60, L* 18.0 (absolute)"
    assert sheet.value(PICTURE_BLACK) is None
    assert sheet.value("SHA-256 of the profile") is None
    assert sheet.html(png_of(small_picture(plan_for(picture, paper=measured, converts="driver"))))


def test_plan_that_does_not_add_up_is_a_sentence(picture):
    with pytest.raises(OutputError, match="no picture"):
        job_sheet(Plan())
    with pytest.raises(SizeError):
        job_sheet(plan_for(picture, sheet="A99"))


# -- the small picture


def test_small_picture_shows_the_whole_file(picture):
    plan = plan_for(picture, border_mm=10.0, bottom_weight_mm=10.0)
    small = small_picture(plan, 502)
    # the file's own pixels at this size: 360 x 240 and 71 on each side, as many more below
    assert small.shape == (453, 502, 3) and small.dtype == np.uint8
    inked = np.argwhere((small < 250).any(axis=-1))
    assert inked.min(axis=0) == pytest.approx([71, 71], abs=1)
    assert inked.max(axis=0) == pytest.approx([71 + 239, 71 + 359], abs=1)
    proof = wb.soft_proof(
        picture, plan.paper, intent="relative", black_point_compensation=True, adaptation=1.0
    ).pixels
    ours = small[71 : 71 + 240, 71 : 71 + 360]
    assert ours.mean(axis=(0, 1)) == pytest.approx(proof.mean(axis=(0, 1)), abs=1.5)


def test_small_picture_shows_the_adjustments(picture, tmp_path):
    plan = plan_for(picture, sharpening=None)
    plain = small_picture(plan, 360)
    plan.adjustments = Adjustments(mid_tones=10.0, warmth=-6.0)
    changed = small_picture(plan, 360)
    # the written file, media-relative to sRGB by Pillow's Little CMS
    written = write_print_file(plan, tmp_path / "print.tif")
    pixels = (tifffile.imread(written.path) >> 8).astype(np.uint8)
    seen = pillow_convert(pixels, matte_paper().profile, standard_profile("sRGB"), 1)
    assert changed.mean(axis=(0, 1)) == pytest.approx(seen.mean(axis=(0, 1)), abs=2)
    assert (changed.mean(axis=(0, 1)) - plain.mean(axis=(0, 1)))[1] > 5
    # it comes out alike, whoever converts
    plan.converts = "driver"
    assert (small_picture(plan, 360) == changed).all()
    # what is counted without them is told so
    assert "before the adjustments" in job_sheet(plan).value("Out of gamut")


def test_small_picture_shows_the_crop_and_the_bleed(picture):
    square = small_picture(plan_for(picture, crop_ratio="1:1"), 200)
    assert abs(square.shape[0] - square.shape[1]) <= 1
    bleed = small_picture(plan_for(picture, bleed_mm=5.0), 200)
    # mirrored: the outermost column looks like the one as far within
    width = round(5 / 25.4 * 180 * 200 / (360 + 70))
    inner = bleed[:, 2 * width - 1].astype(int)
    assert np.abs(bleed[:, 0].astype(int) - inner).mean() < 3
    assert small_picture(Plan(picture=picture, converts="driver"), 100).shape == (67, 100, 3)


def test_small_picture_file_is_tagged(picture):
    data = png_of(small_picture(plan_for(picture), 120))
    with Image.open(io.BytesIO(data)) as image:
        assert image.size[0] == 120
        assert image.info["icc_profile"]


# -- the page


class Page(HTMLParser):
    """Tags in order, whether they close, attributes, and the words."""

    void = {"meta", "img", "input"}

    def __init__(self, text: str):
        super().__init__()
        self.open, self.tags, self.words, self.sources = [], [], [], []
        self.feed(text)

    def handle_starttag(self, tag, attributes):
        self.tags.append((tag, dict(attributes)))
        self.sources += [v for k, v in attributes if k in ("src", "href", "data", "action")]
        if tag not in self.void:
            self.open.append(tag)

    def handle_endtag(self, tag):
        assert self.open.pop() == tag

    def handle_data(self, data):
        if not self.open or self.open[-1] not in ("style", "script"):
            self.words.append(data.strip())

    def count(self, tag: str) -> int:
        return sum(each == tag for each, _ in self.tags)


def page_of(sheet, small=None) -> Page:
    page = Page(sheet.html(small))
    assert page.open == []
    return page


def test_page_holds_everything_and_needs_no_other_file(picture):
    plan = plan_for(picture, notes="Try a warmer one.\nThen the gloss.")
    sheet, small = job_sheet(plan), png_of(small_picture(plan, 120))
    page = page_of(sheet, small)
    words = " ".join(page.words)
    for label, value in sheet.rows:
        assert label in words and value in words
    assert all(step in words for step in sheet.checklist)
    assert "Try a warmer one. / Then the gloss." in words
    assert page.count("h1") == 1 and page.count("script") == 0
    boxes = [a for tag, a in page.tags if tag == "input"]
    assert len(boxes) == len(sheet.checklist) and all(b["type"] == "checkbox" for b in boxes)
    assert page.count("label") == len(boxes)
    (source,) = page.sources
    kind, data = source.split(",", 1)
    assert kind == "data:image/png;base64" and base64.b64decode(data) == small
    (image,) = [a for tag, a in page.tags if tag == "img"]
    assert "as it will look" in image["alt"]
    assert "@page" in sheet.html() and "url(" not in sheet.html()
    assert dict(page.tags[0][1]) == {"lang": "en"}
    # without a picture there is none
    assert page_of(sheet).count("img") == 0


def test_words_from_files_are_only_words_on_the_page(picture):
    evil = "<script>alert(1)</script>\"&'<img src=x onerror=y>"
    plan = plan_for(picture, notes=evil)
    plan.paper = replace(
        plan.paper, name=evil, printer=evil, media_setting=evil, black_ink=evil, base=evil
    )
    plan.picture = replace(picture, name=f"{evil}.tif", profile_name=evil)
    sheet = job_sheet(plan)
    page = page_of(sheet)
    assert page.count("script") == 0 and page.count("img") == 0
    assert "onerror=y" in " ".join(page.words)
    assert all("onerror" not in attributes for _, attributes in page.tags)


def test_long_names_are_cut_and_set_smaller(picture):
    plan = plan_for(picture)
    usual = job_sheet(plan).html()
    plan.paper = replace(
        plan.paper, **dict.fromkeys(("name", "printer", "media_setting", "base"), "word " * 100)
    )
    plan.notes = "note " * 2000
    full = job_sheet(plan).html()
    sizes = [float(re.search(r"font: ([\d.]+)pt", text)[1]) for text in (usual, full)]
    assert sizes[1] < sizes[0] <= 9.2
    assert max(map(len, page_of(job_sheet(plan)).words)) <= 401
    assert "…" in full and "…" not in usual


def test_same_plan_gives_the_same_page(picture):
    assert job_sheet(plan_for(picture)).html() == job_sheet(plan_for(picture)).html()


def test_it_says_how_sharp_as_the_plan_does(picture):
    plan = plan_for(picture, long_side_mm=80, size_from="size")
    seen, rows = plan.seen_detail(), dict(job_sheet(plan).rows)
    assert rows["Looks sharp"] == seen.from_text(plan.unit)
    assert rows["Fine detail seen"] == seen.shares
    plan.viewing_distance_mm = 20_000
    assert (
        dict(job_sheet(plan).rows)["Fine detail seen"] == plan.seen_detail().shares != seen.shares
    )
