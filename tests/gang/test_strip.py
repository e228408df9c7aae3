"""The test strip: its steps, its places, and the same pixels as the whole print."""

from __future__ import annotations

import imagecodecs
import numpy as np
import pytest
import tifffile
from gang.makers import make_strip
from helpers import coated_profile
from output.makers import SPACE, as_picture, job, matte_paper, scene

import workbench as wb
from workbench.colour.lab import lab_to_xyz
from workbench.colour.spaces import standard_profile
from workbench.errors import OutputError, SizeError
from workbench.gang import strip as strip_module
from workbench.gang.telling import at
from workbench.output.adjust import Adjustments, former_tones
from workbench.output.job import PrintJob
from workbench.output.print_file import write_print_file
from workbench.plan import Plan

BPC = int(imagecodecs.CMS.FLAGS.BLACKPOINTCOMPENSATION)
MIDDLES = [(0.2, 0.3), (0.6, 0.55), (1.0, 1.0)]


def big_job(**details):
    """A print of 300 × 200 mm at 150 ppi."""
    return job(**{"width_mm": 300, "ppi": 150, "sharpening": 0.6, **details})


def full_print(work, tmp_path) -> np.ndarray:
    write_print_file(work, tmp_path / "whole.tif", overwrite=True)
    return tifffile.imread(tmp_path / "whole.tif")


def region(whole, crop, layout) -> np.ndarray:
    x, y = layout.x_px + layout.bleed_px + crop.x_px, layout.y_px + layout.bleed_px + crop.y_px
    return whole[y : y + crop.height_px, x : x + crop.width_px]


# the same pixels ----------------------------------------------------------------------


@pytest.mark.parametrize(
    "details",
    [
        {},
        {"converts": "driver"},
        {"adjustments": Adjustments(shadows=3, mid_tones=4, warmth=2, chroma_gain=1.3)},
        {"borders_mm": (10, 20, 30, 5), "bleed_mm": 6},
        {"intent": "absolute", "sharpening": None},
        {"width_mm": None, "ppi": 30, "sharpening": None},  # pixel for pixel
        {"crop": (20, 10, 120, 90)},
    ],
    ids=str,
)
def test_as_planned_has_the_print_file_s_pixels_exactly(tmp_path, details, monkeypatch):
    # several bands, with the crops across their borders
    monkeypatch.setattr("workbench.output.bands.BAND_PIXELS", 200_000)
    work = big_job(**details)
    strip = make_strip(work, MIDDLES, crop_mm=(40, 30))
    whole = full_print(work, tmp_path)
    for crop in strip.crops:
        found = strip.pixels(crop, strip.step("as planned"))
        assert found.dtype == np.uint16
        assert np.array_equal(found, region(whole, crop, strip.layout))


def test_as_planned_equals_a_plain_conversion(tmp_path):
    """Little CMS and nothing else, on the print's pixels before conversion."""
    for compensate in (True, False):
        work = big_job(black_point_compensation=compensate)
        left = full_print(big_job(converts="driver"), tmp_path)
        plain = imagecodecs.cms_transform(
            left, standard_profile(SPACE), matte_paper().profile, colorspace="rgb",
            outcolorspace="rgb", intent=1, flags=BPC if compensate else 0,
        )  # fmt: skip
        strip = make_strip(work, MIDDLES)
        for crop in strip.crops:
            found = strip.pixels(crop, strip.step("as planned"))
            assert np.array_equal(found, region(plain, crop, strip.layout))


def test_a_cmyk_paper():
    paper = wb.open_paper(coated_profile(), name="Coated")
    strip = make_strip(big_job(paper=paper), [(0.5, 0.5)])
    assert strip.pixels(strip.crops[0], strip.steps[-1]).shape[2] == 4


@pytest.mark.parametrize("label", ["−6 darker", "+3 lighter", "+2 warmer"])
def test_a_step_accepted_prints_as_on_the_strip(tmp_path, label):
    work = big_job(adjustments=Adjustments(shadows=1))
    strip = make_strip(work, MIDDLES, warmth_steps=(2,))
    accepted = strip.adjustments_for(label)
    assert accepted.shadows != 0
    whole = full_print(big_job(adjustments=accepted), tmp_path)
    planned = full_print(work, tmp_path)
    for crop in strip.crops:
        found = strip.pixels(crop, strip.step(label)).astype(int)
        # the same but for the last digits of where windows begin: 0.00005 of full light
        assert np.abs(found - region(whole, crop, strip.layout)).max() <= 40
        assert np.abs(found - region(planned, crop, strip.layout)).mean() > 300


@pytest.mark.parametrize("step", [-6, -3, 3, 6])
@pytest.mark.parametrize("space", ["sRGB", "ROMM RGB"])
def test_a_step_is_measured_at_mid_grey(step, space):
    """L* of the patch by Little CMS against CIE 15's L* of the grey it began with."""
    y = float(lab_to_xyz([50, 0, 0])[1])
    code = {"sRGB": 1.055 * y ** (1 / 2.4) - 0.055, "ROMM RGB": y ** (1 / 1.8)}[space]
    grey = as_picture(np.full((60, 90, 3), round(code * 65535), np.uint16), space)
    work = PrintJob(grey, ppi=60, width_mm=100, converts="driver")
    strip = make_strip(work, [(0.5, 0.5)], warmth_steps=(3,))
    how = {"colorspace": "rgb", "outcolorspace": "lab", "intent": 1}

    def lab(pair):
        patch = strip.pixels(strip.crops[0], strip.step(pair))[5:6, 5:6] / 65535
        profile = imagecodecs.cms_profile("lab4")
        return imagecodecs.cms_transform(patch, standard_profile(space), profile, **how)[0, 0]

    assert lab((step, 0)) - lab((0, 0)) == pytest.approx([step, 0, 0], abs=0.05)
    assert lab((0, 3)) - lab((0, 0)) == pytest.approx([0, 0, 3], abs=0.05)


# steps --------------------------------------------------------------------------------


def test_steps_in_order_with_their_labels():
    strip = make_strip(big_job(), MIDDLES, (3, -3, 1.5, 3), (2, 0, -2))
    assert [step.label for step in strip.steps] == [
        "−3 darker", "as planned", "+1.5 lighter", "+3 lighter", "−2 cooler", "+2 warmer",
    ]  # fmt: skip
    assert [step.short for step in strip.steps][:2] == ["−3 L*", "0"]
    assert [patch.label for patch in strip.patches][:2] == ["A  −3 darker", "A  as planned"]
    assert [crop.letter for crop in strip.crops] == ["A", "B", "C"]
    assert len(strip.patches) == 18


def test_adjustments_for_a_step():
    own = Adjustments(shadows=2, warmth=1)
    strip = make_strip(big_job(adjustments=own), MIDDLES, warmth_steps=(-2,))
    assert strip.adjustments_for("as planned") == own
    assert strip.adjustments_for(3) == own.moved(former_tones(lightness=3).values())
    assert strip.adjustments_for((0, -2)) == Adjustments(shadows=2, warmth=-1)
    assert strip.adjustments_for(strip.steps[0]) == own.moved(former_tones(lightness=-6).values())
    with pytest.raises(OutputError, match="no step 4 .*“as planned”"):
        strip.adjustments_for(4)


@pytest.mark.parametrize(
    ("details", "given", "said"),
    [
        (
            {"adjustments": {"warmth": 7}},
            {"warmth_steps": (2,)},
            "warmth.* between -8 and 8.*9.* step",
        ),
        ({}, {"lightness_steps": ("much",)}, "Steps of lightness are numbers"),
        ({}, {"warmth_steps": 3}, "Steps of warmth are numbers"),
        ({}, {"lightness_steps": range(-8, 9)}, "at most 15 steps, not 17"),
        ({}, {"crops": [0.5]}, "given by its middle"),
        ({}, {"crops": [(0.5, 1.2)]}, "from 0 to 1"),
        ({}, {"crops": []}, "from 1 to 12 parts"),
        ({}, {"crop_mm": (90, 60)}, "do not fit A4; at most"),
        ({}, {"sheet": "24 in roll"}, "is a roll; choose A4"),
        ({}, {"sheet": (40, 40)}, "take fewer parts or steps"),
        ({}, {"gap_mm": -1}, "gap must be greater than 0"),
    ],
)
def test_what_cannot_be_is_said_in_words(details, given, said):
    given = {"crops": MIDDLES, **given}
    with pytest.raises((OutputError, SizeError), match=said):
        make_strip(big_job(**details), **given)


def test_a_grey_picture_has_no_warmth():
    work = PrintJob(as_picture(scene()[..., 1]), matte_paper(), width_mm=200, ppi=100)
    with pytest.raises(OutputError, match="no warmth"):
        make_strip(work, MIDDLES, warmth_steps=(2,))
    strip = make_strip(work, MIDDLES)
    assert strip.pixels(strip.crops[0], strip.steps[0]).shape[2] == 3


# places -------------------------------------------------------------------------------


@pytest.mark.parametrize("sheet", ["A4", "A5", "A6", "4×6 in", (400, 120)])
@pytest.mark.parametrize("count", [1, 2, 3])
@pytest.mark.parametrize("steps", [(0,), (-3, 0, 3), (-6, -3, 0, 3, 6)])
def test_patches_lie_inside_the_margins_and_apart(sheet, count, steps):
    strip = make_strip(big_job(), MIDDLES[:count], steps, sheet=sheet)
    margin, gap = (mm / 25.4 * strip.ppi for mm in (10, 4))
    boxes = []
    for patch in strip.patches:
        right = patch.x_px + patch.crop.width_px
        # its label belongs to it
        bottom = patch.y_px + patch.crop.height_px + strip.label_px
        boxes.append((patch.x_px, patch.y_px, right, bottom))
        assert patch.x_px >= margin - 1 and right <= strip.width_px - margin + 1.5
        assert patch.y_px >= margin + strip.label_px and bottom <= strip.height_px - margin + 1.5
    for i, a in enumerate(boxes):
        for b in boxes[:i]:
            across = max(a[0], b[0]) - min(a[2], b[2])
            down = max(a[1], b[1]) - min(a[3], b[3])
            assert max(across, down) >= gap - 2
    assert min(strip.patch_mm) >= 8


def test_crops_are_where_they_were_asked_for_and_inside():
    strip = make_strip(big_job(), MIDDLES, crop_mm=(30, 20))
    total = strip.layout.across.n_out, strip.layout.down.n_out
    first, _, last = strip.crops
    assert (first.width_px, first.height_px) == (177, 118)  # 30 and 20 mm at 150 ppi
    assert first.x_px + first.width_px / 2 == pytest.approx(0.2 * total[0], abs=1)
    assert first.y_px + first.height_px / 2 == pytest.approx(0.3 * total[1], abs=1)
    assert (last.x_px + last.width_px, last.y_px + last.height_px) == total


def test_a_small_print_is_tried_whole():
    strip = make_strip(job(width_mm=30, ppi=150), None, (-3, 0, 3))
    (crop,) = strip.crops
    assert (crop.width_px, crop.height_px) == (strip.layout.across.n_out, strip.layout.down.n_out)
    assert "whole print" in crop.telling.name


def test_without_crops_telling_ones_are_chosen():
    strip = make_strip(big_job())
    assert 1 <= len(strip.crops) <= 5 and min(strip.patch_mm) >= 25
    assert all(crop.telling.reason for crop in strip.crops)
    assert strip.sentences("in")[0].count(" in") >= 2


def test_from_a_plan_with_the_plan_s_size():
    plan = Plan(
        picture=as_picture(scene()), paper=matte_paper(), size_from="size", long_side_mm=300,
        printer_ppi=150,
    )  # fmt: skip
    strip = make_strip(plan, [at(0.5, 0.5)])
    assert strip.ppi == 150 and strip.layout.front_mm[0] == pytest.approx(300, abs=0.2)
    assert (strip.width_mm, strip.height_mm) == pytest.approx((297, 210), abs=0.2)


def test_bands_are_made_once_for_several_crops(monkeypatch):
    made = []
    real = strip_module.BandMaker.rows
    monkeypatch.setattr(
        strip_module.BandMaker, "rows", lambda self, a, b: made.append((a, b)) or real(self, a, b)
    )
    strip = make_strip(big_job(), MIDDLES)
    strip_module.as_planned(strip.job, strip.layout, strip.crops)
    assert len(made) == len(set(made)) >= 1
