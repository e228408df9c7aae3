"""Steps that can be told apart, measured on the strip's own pixels by other hands."""

from __future__ import annotations

import itertools

import colour
import imagecodecs
import numpy as np
import pytest
from gang.test_telling import SPACE, corners
from output.makers import as_picture, matte_paper, scene

import workbench as wb
from workbench.colour.inkmodel import model_profile
from workbench.colour.spaces import standard_profile
from workbench.errors import OutputError
from workbench.gang.strip_layout import test_strip as make_strip
from workbench.gang.telling import _HIGHLIGHTS, _MIDDLE, _SHADOWS
from workbench.output.adjust import Adjustments
from workbench.output.adjusted import adjusted, adjusted_colours
from workbench.output.job import PrintJob
from workbench.paper import open_paper

# L* from which and up to which a row's tones count at least half, see `telling`
TONES = {
    name: ((limits[0] + limits[1]) / 2, (limits[2] + limits[3]) / 2)
    for name, limits in (
        ("shadow lift", _SHADOWS), ("highlight roll-off", _HIGHLIGHTS),
        ("lightness and warmth", _MIDDLE),
    )
}  # fmt: skip


def lab_of(pixels, profile):
    lab4 = imagecodecs.cms_profile("lab4")
    return imagecodecs.cms_transform(
        pixels / 65535, profile, lab4, colorspace="rgb", outcolorspace="lab", intent=1
    )


def measured(strip, row, step):
    """(n, 3) Lab of a patch as printed, in the row's tones, by Little CMS."""
    plain = make_strip(
        PrintJob(strip.job.picture, ppi=strip.ppi, width_mm=strip.job.width_mm, converts="driver",
                 sharpening=None),
        [(row.crop.telling.x, row.crop.telling.y)], (0,), crop_mm=strip.patch_mm,
    )  # fmt: skip
    own = plain.pixels(plain.crops[0], plain.steps[0])
    lightness = lab_of(own, strip.job.picture.profile)[..., 0]
    low, high = TONES[row.name]
    patch = lab_of(strip.pixels(row.crop, step), strip.job.paper.profile)
    assert patch.shape[:2] == lightness.shape
    inside = (lightness >= low) & (lightness <= high)
    assert inside.mean() > 0.05
    return patch[inside]


@pytest.mark.slow
@pytest.mark.parametrize(
    ("own", "number"), [(None, 0), (None, 6), (Adjustments(deep_shadows=4, shadows=5), 3)]
)
def test_every_step_is_told_apart_from_its_neighbours_as_printed(own, number):
    picture, paper = as_picture(corners(), SPACE), wb.demo_papers()[number]
    work = PrintJob(picture, paper, width_mm=250, ppi=100, adjustments=own, sharpening=None)
    strip = make_strip(work)
    assert [row.name for row in strip.rows][:2] == ["shadow lift", "highlight roll-off"]
    for row in strip.rows:
        assert row.apart >= 1.5
        lab = {step: measured(strip, row, step) for line in row.lines for step in line}
        pairs = [pair for line in row.lines for pair in itertools.pairwise(line)]
        for column in zip(*row.lines, strict=True):
            pairs += itertools.pairwise(column)
        apart = [
            float(np.median(colour.delta_E(lab[a], lab[b], method="CIE 2000"))) for a, b in pairs
        ]
        assert min(apart) >= 1.5
        # no larger than they have to be
        assert min(apart) < 2.2
        assert f"at least {row.apart:.1f} CIEDE2000" in row.sentence


def test_each_row_moves_its_own_tones_most():
    strip = make_strip(PrintJob(as_picture(corners(), SPACE), matte_paper(), width_mm=250, ppi=100))
    moved = {"shadow lift": "shadows", "highlight roll-off": "highlights"}
    for row in strip.rows:
        for step in (step for line in row.lines for step in line if not step.as_planned):
            tones = dict(zip(("deep_shadows", "shadows", "dark", "mid", "light", "highlights"),
                             np.abs(step.adjustments.tones), strict=True))  # fmt: skip
            if row.name in moved:
                assert max(tones, key=tones.get) == moved[row.name] and tones["mid"] < 0.1 * max(
                    tones.values()
                )
            elif step.lightness:
                assert max(tones, key=tones.get) == "mid"
    around = strip.rows[-1]
    assert [len(line) for line in around.lines] == [3, 3, 3] and around.lines[1][1].as_planned
    assert len(strip.patches) == sum(len(line) for row in strip.rows for line in row.lines)


def test_in_a_small_print_the_parts_of_the_rows_may_overlap():
    small = PrintJob(as_picture(corners(), SPACE), matte_paper(), width_mm=55, ppi=100)
    strip = make_strip(small)
    assert [row.name for row in strip.rows] == list(TONES) and strip.short == ()
    assert [row.crop.telling.name for row in strip.rows] == [
        "shadows",
        "highlights",
        "middle tones",
    ]


def test_what_the_paper_cannot_give_is_said():
    # its blacks are hardly darker than mid-grey
    weak = open_paper(model_profile((95.0, 0, 0), 0.5, finish="matte", name="Invented weak"))
    work = PrintJob(as_picture(corners(), SPACE), weak, width_mm=250, ppi=100)
    strip = make_strip(work, apart=4)
    assert any("cannot give" in sentence and "4 CIEDE2000" in sentence for sentence in strip.short)
    assert strip.short[0] in strip.sentences()
    with pytest.raises(OutputError, match="cannot give"):
        make_strip(work, rows=("shadows",), apart=20)


def test_tones_that_are_not_there_are_not_tried():
    grey = as_picture(np.full((300, 400), 30000, np.uint16))
    strip = make_strip(PrintJob(grey, matte_paper(), width_mm=250, ppi=100))
    (row,) = strip.rows
    # a grey picture has no warmth: five steps of lightness
    assert [len(line) for line in row.lines] == [5]
    assert not any(step.warmth for step in strip.steps)
    assert any("no highlights" in said for said in strip.short)
    with pytest.raises(OutputError, match="rows are shadows, highlights, around"):
        make_strip(strip.job, rows=("skin",))


@pytest.mark.parametrize(
    "made",
    [
        Adjustments(shadows=4, warmth=-3),
        Adjustments(black_and_white="mix", mid_tones=3),
        Adjustments(black_and_white="lightness", shadow_chroma=10, shadow_hue=250),
    ],
    ids=["curve", "mix", "toned"],
)
@pytest.mark.parametrize("channels", [1, 3])
def test_a_few_colours_come_out_as_whole_pictures_do(made, channels):
    pixels = scene()[::20, ::20, :channels]
    profile = standard_profile("Grey, power 2.2" if channels == 1 else "sRGB")
    found = adjusted_colours(pixels.reshape(-1, channels), profile, made)
    whole = adjusted(pixels, profile, made)
    assert found == pytest.approx(whole.reshape(len(found), -1) / 65535, abs=1e-4)


def test_without_the_papers_profile_no_distance_in_print_is_claimed():
    said = []
    for paper in (None, matte_paper()):
        work = PrintJob(as_picture(scene()), paper, ppi=100, width_mm=150, converts="driver")
        said += [row.sentence for row in make_strip(work, rows=("around",)).rows]
    assert ["as printed" in each for each in said] == [False, True]
    assert "in the picture's colours" in said[0]
