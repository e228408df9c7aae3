"""The chain patch: every road simulated by Little CMS alone, differences by colour-science."""

from __future__ import annotations

import imagecodecs
import numpy as np
import pytest
from colour.difference import delta_E_CIE2000

import workbench as wb
from workbench.analysis.chain import TOLD_APART
from workbench.analysis.eye import contrast_sensitivity
from workbench.colour.spaces import standard_profile
from workbench.errors import PaperError

SRGB, OPRGB = standard_profile("sRGB"), standard_profile("opRGB")
INTENT = {"perceptual": 0, "relative": 1}
BLACK_POINT = int(imagecodecs.CMS.FLAGS.BLACKPOINTCOMPENSATION)


def turned(numbers, start, end, intent="relative", black=True):
    flags = (BLACK_POINT if black else 0) | int(imagecodecs.CMS.FLAGS.NOWHITEONWHITEFIXUP)
    done = imagecodecs.cms_transform(
        np.ascontiguousarray(numbers, np.float64)[None], start, end, colorspace="rgb",
        outcolorspace="rgb", intent=INTENT[intent], flags=flags,
    )  # fmt: skip
    return np.clip(done[0], 0, 1)


def xyz(numbers, paper):
    """Media-relative XYZ of the print, by Little CMS and the definition of CIELAB."""
    lab = imagecodecs.cms_transform(
        np.ascontiguousarray(numbers, np.float64)[None], paper, imagecodecs.cms_profile("lab4"),
        colorspace="rgb", outcolorspace="lab", intent=1,
    )[0]  # fmt: skip
    fy = (lab[:, 0] + 16) / 116
    f = np.stack([fy + lab[:, 1] / 500, fy, fy - lab[:, 2] / 200], 1)
    return np.where(f > 6 / 29, f**3, 3 * (6 / 29) ** 2 * (f - 4 / 29))


def lab_of(xyz):
    f = np.where(xyz > (6 / 29) ** 3, np.cbrt(xyz), xyz / (3 * (6 / 29) ** 2) + 4 / 29)
    return np.stack([116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])])


def apart(numbers, paper):
    """CIEDE2000 between solid and mixed lines, of (solid, line, line) as printed."""
    solid, one, two = xyz(numbers, paper)
    return delta_E_CIE2000(lab_of(solid), lab_of((one + two) / 2))


def roads(patch, paper, source, others):
    """The difference on every road, in the order of the patch's cases."""
    numbers, p = np.array([patch.solid, *patch.lines]), paper.profile
    ways = [
        (s, how, how == "relative") for s in (SRGB, OPRGB) for how in ("relative", "perceptual")
    ]
    if source is None:
        yield numbers, p
        yield turned(numbers, p, p, "relative", False), p
        for space, how, black in ways:
            yield turned(numbers, space, p, how, black), p
        yield turned(numbers, p, SRGB), p
        for other in others:
            yield numbers, other.profile  # it lies in the printer
        return
    yield turned(numbers, source, p), p
    for space, how, black in ways:
        yield turned(turned(numbers, source, p), space, p, how, black), p
    yield numbers, p
    for other in others:
        yield turned(numbers, source, other.profile), p  # chosen in the driver's list


@pytest.mark.parametrize("source", [None, OPRGB], ids=["in the file", "by the driver"])
@pytest.mark.parametrize("at", range(7))
def test_halves_agree_on_the_right_road_alone(at, source):
    papers = wb.demo_papers()
    paper, others = papers[at], papers[:at] + papers[at + 1 :]
    patch = wb.chain_patch(paper, source=source, others=papers)
    said = [each.difference for each in patch.cases]
    found = [apart(n, p) for n, p in roads(patch, paper, source, others)]
    assert np.allclose(said, found, atol=0.15)
    assert found[0] < 0.3
    wrong = [
        f for f, c in zip(found, patch.cases, strict=True) if c.kind in ("twice", "not at all")
    ]
    assert len(wrong) == 5 and min(wrong) >= TOLD_APART + patch.spread
    for case, difference in zip(patch.cases, found, strict=True):
        if case.kind == "same profile":  # the way through drivers that always convert
            assert difference < TOLD_APART / 2


def test_gloss_and_matte_papers_are_told_apart():
    papers = wb.demo_papers()
    patch = wb.chain_patch(papers[2], others=papers)
    told = {case.name: case.told for case in patch.cases if case.kind == "another paper"}
    for other in papers[:2]:  # the two that are not matte
        assert told[f"The profile of “{other.name}” instead"]


def test_lines_and_solid_stand_in_the_pixels():
    patch = wb.chain_patch(wb.demo_papers()[0])
    pixels = patch.pixels(254, (20, 10))
    assert pixels.shape == (100, 200, 3)
    assert (pixels[:, 100:] == np.rint(np.array(patch.solid) * 65535)).all()
    # half a millimetre at 254 ppi is five pixels
    rows = [0] * 5 + [1] * 5
    lines = np.rint(np.array(patch.lines)[rows * 10] * 65535)
    assert (pixels[:, :100] == lines[:, None]).all()


def test_lines_are_too_fine_to_be_seen_from_where_they_are_looked_at():
    patch = wb.chain_patch(wb.demo_papers()[0])
    # two lines, a millimetre, are a cycle, which at full contrast has a sensitivity of 1 there
    cycles = 2 * patch.distance_mm * np.tan(np.radians(0.5)) / 1.0
    assert contrast_sensitivity(cycles) == pytest.approx(1, rel=1e-2)


def test_printers_that_take_inks_are_refused(coated):
    with pytest.raises(PaperError, match="CMYK"):
        wb.chain_patch(coated)
    with pytest.raises(PaperError, match="RGB"):
        wb.step_wedge(coated)
