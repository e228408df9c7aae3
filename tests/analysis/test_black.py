"""A paper's black, its tone curve and merging shadows: press data, Little CMS, hand-made pictures."""

import io
import math
from dataclasses import replace

import numpy as np
import pytest
from helpers import model_paper, solids
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image, ImageCms

from workbench.analysis.black import (
    USUAL_BLACK_DENSITIES,
    black_point,
    is_matte,
    tone_curve,
    tone_curves,
)
from workbench.analysis.shadows import shadow_tally
from workbench.colour.engine import transform
from workbench.colour.spaces import standard_profile
from workbench.errors import Cancelled, UntaggedPictureError, WorkbenchError
from workbench.picture.opening import from_pixels, open_picture

GREYS = np.arange(256, dtype=np.uint8)


@pytest.fixture(scope="module")
def matte():
    return model_paper("matte", (96, 0, 1), 1.65, "matte")


@pytest.fixture(scope="module")
def gloss():
    return model_paper("gloss", (96, 0, -3), 2.3, "gloss")


@pytest.fixture(scope="module")
def papers(matte, gloss, coated):
    return matte, gloss, coated


def ramp(space="sRGB", repeat=2):
    """Each of the 256 grey levels on equally many pixels, few enough for a preview to hold all."""
    row = np.repeat(GREYS, repeat)
    channels = 1 if space.startswith("Grey") else 3
    return from_pixels(np.broadcast_to(row[None, :, None], (8, row.size, channels)), space)


# the black itself --------------------------------------------------------------


def test_black_ink_alone_has_the_published_density_and_contrast(coated):
    # Fogra's characterisation data of the coated condition: K alone is L* 16, so density
    # 1.68, and 42:1 against the white of L* 95
    data = solids("FOGRA39L")
    ink, white = transform(
        np.array([[0.0, 0, 0, 1], [0, 0, 0, 0]]), coated.profile, "lab", intent="absolute"
    )
    assert ink[0] == pytest.approx(data[0, 0, 0, 100]["L"], abs=0.1)
    assert white[0] == pytest.approx(data[0, 0, 0, 0]["L"], abs=0.1)
    y_ink, y_white = (data[0, 0, 0, k]["Y"] / 100 for k in (100, 0))
    assert -math.log10(y_ink) == pytest.approx(1.68, abs=0.01)
    assert y_white / y_ink == pytest.approx(42, abs=1)


def test_press_black_lies_between_ink_alone_and_the_deepest_measured_patch(coated):
    # the same data: K alone 42:1, the darkest patch of at most 300 % ink 101:1
    black = black_point(coated)
    assert 80 < black.contrast_ratio < 101
    assert 1.9 < black.black_density < -math.log10(10**-1.68 * 42 / 101)
    assert black.white_lab[0] == pytest.approx(95, abs=0.1)


@pytest.mark.parametrize("intent", ["relative", "perceptual", "saturation", "absolute"])
def test_density_contrast_and_stops_are_what_they_are_defined_as(papers, intent):
    # density: ISO 5-1 and ISO 5-4, -log10 of the reflectance; Y of L* by CIE 15
    for paper in papers:
        black = black_point(paper, intent=intent)
        y_black, y_white = (_luminance(lab[0]) for lab in (black.black_lab, paper.white_lab))
        assert black.black_density == pytest.approx(-math.log10(y_black), abs=1e-9)
        assert black.contrast_ratio == pytest.approx(y_white / y_black)
        assert 2**black.stops == pytest.approx(black.contrast_ratio)


def _luminance(lightness):
    return ((lightness + 16) / 116) ** 3 if lightness > 8 else lightness / (29 / 3) ** 3


def test_perceptual_reference_medium_has_its_published_contrast():
    # ICC.1 v4 and color.org's page on it: white 89 %, black 0.30911 %, 288:1
    white = 116 * 0.89 ** (1 / 3) - 16
    density = -math.log10(0.0030911)
    paper = model_paper("reference medium", (white, 0, 0), density, "gloss")
    black = black_point(paper, black_point_compensation=False)
    assert black.contrast_ratio == pytest.approx(288, rel=0.02)
    assert black.stops == pytest.approx(math.log2(288), abs=0.03)
    assert black.black_density == pytest.approx(2.51, abs=0.01)


def test_usual_densities_are_the_published_ones():
    # M. McNamee 2010, a published paper test
    assert [(low, high) for _, low, high in USUAL_BLACK_DENSITIES] == [
        (1.4, 1.5), (1.6, 1.7), (2.0, 2.2),
    ]  # fmt: skip


def test_kind_of_paper_by_its_finish_or_else_by_its_black(matte, gloss, coated):
    assert is_matte(matte) and not is_matte(gloss)
    # no finish is stated for the press condition; its black is deep, though on a press
    assert coated.finish is None and not is_matte(coated)
    assert is_matte(matte.with_details(finish=None))
    assert is_matte(gloss.with_details(finish="Matt")) and not is_matte(
        matte.with_details(finish="satin")
    )


# the tone curve -----------------------------------------------------------------


def test_tone_curves_run_from_the_papers_black_to_its_white(papers):
    for paper in papers:
        for curve in tone_curves(paper):
            assert curve.source_lightness[[0, 255]] == pytest.approx([0, 100], abs=0.01)
            black = black_point(
                paper,
                intent=curve.intent,
                black_point_compensation=curve.black_point_compensation,
            )
            assert curve.print_lightness[0] == pytest.approx(black.black_lab[0], abs=1e-6)
            # an absolute white beyond the paper comes as near as the paper can
            near = 0.1 if curve.intent != "absolute" else 3.0
            assert curve.print_lightness[255] == pytest.approx(paper.white_lab[0], abs=near)


def test_tone_curves_never_fall(papers):
    # but for the noise of the tables
    for paper in papers:
        for curve in tone_curves(paper):
            assert np.diff(curve.print_lightness).min() > -0.06, (paper.name, curve.intent)


def test_every_way_to_print_has_its_curve_once(matte):
    ways = {(c.intent, c.black_point_compensation) for c in tone_curves(matte)}
    assert len(tone_curves(matte)) == len(ways) == 7
    assert ("absolute", False) in ways and ("absolute", True) not in ways


@pytest.mark.parametrize("space", ["sRGB", "opRGB"])
@pytest.mark.parametrize("compensation", [False, True])
@pytest.mark.parametrize(
    ("intent", "number"), [("perceptual", 0), ("relative", 1), ("saturation", 2)]
)
def test_tone_curve_is_little_cms_own(papers, space, compensation, intent, number):
    """The greys there and back through Pillow's binding of Little CMS, in 8 bits, within 1 L*."""
    picture = ramp(space)
    flags = 0x2000 if compensation else 0  # cmsFLAGS_BLACKPOINTCOMPENSATION, lcms2.h
    for paper in papers:
        curve = tone_curve(paper, picture, intent=intent, black_point_compensation=compensation)
        greys = Image.fromarray(np.repeat(GREYS[None, :, None], 3, axis=2))
        ours = io.BytesIO(paper.profile)
        mode = "CMYK" if paper.icc.space == "CMYK" else "RGB"
        there = ImageCms.buildTransform(
            io.BytesIO(standard_profile(space)), ours, "RGB", mode, number, flags
        )
        back = ImageCms.buildTransform(
            io.BytesIO(paper.profile), ImageCms.createProfile("LAB"), mode, "LAB", 1
        )
        lab = ImageCms.applyTransform(ImageCms.applyTransform(greys, there), back)
        relative = np.asarray(lab)[0, :, 0] * (100 / 255)
        # media-relative to absolute is a scaling of luminance by that of the white
        y = np.array([_luminance(each) for each in relative]) * _luminance(paper.white_lab[0])
        theirs = np.where(y > 216 / 24389, 116 * np.cbrt(y) - 16, y * 24389 / 27)
        assert np.abs(curve.print_lightness - theirs).max() < 1.0, paper.name


def test_curve_starts_from_the_pictures_own_space(matte):
    # ROMM RGB's gamma 1.8 puts the same number at a lighter grey than sRGB does
    wide = tone_curve(matte, ramp("ROMM RGB")).source_lightness
    assert wide[128] > tone_curve(matte).source_lightness[128] + 5
    grey = tone_curve(matte, ramp("Grey, sRGB curve"), black_point_compensation=True)
    colour = tone_curve(matte, black_point_compensation=True)
    assert np.allclose(grey.print_lightness, colour.print_lightness, atol=0.1)


# merging ------------------------------------------------------------------------


@pytest.mark.parametrize("tolerance", [0.5, 1.0, 2.0])
def test_merged_levels_by_colour_science(papers, tolerance):
    import colour

    for paper in papers:
        black = black_point(paper, tolerance=tolerance, black_point_compensation=True)
        printed = black.curve.print_lab
        apart = colour.delta_E(printed, np.broadcast_to(printed[0], printed.shape), "CIE 2000")
        count = black.merged_levels
        assert (apart[1 : count + 1] < tolerance).all() and apart[count + 1] >= tolerance
        assert black.merged_lightness == black.curve.source_lightness[count]


def test_compensation_keeps_shadow_levels_apart(matte):
    without = black_point(matte, black_point_compensation=False)
    with_it = black_point(matte)
    assert with_it.merged_levels < without.merged_levels - 5


def test_matte_merges_more_than_gloss(matte, gloss):
    # common practice, no source
    for compensation in (False, True):
        deep, shallow = (
            black_point(paper, black_point_compensation=compensation).merged_levels
            for paper in (gloss, matte)
        )
        assert deep < shallow


@given(st.floats(0.1, 5), st.floats(0.1, 5))
@settings(max_examples=30, deadline=None)
def test_a_wider_tolerance_never_merges_fewer(matte, one, two):
    low, high = (black_point(matte, tolerance=t).merged_levels for t in sorted((one, two)))
    assert low <= high


def test_levels_that_merge_in_the_picture_itself_are_told_apart_from_the_papers(gloss):
    # sRGB 1/255 is L* 0.27: below any tolerance but the smallest, whatever the paper
    black = black_point(gloss, ramp(), tolerance=1.0, black_point_compensation=True)
    assert 1 <= black.merged_levels_in_picture <= black.merged_levels


def test_sentences(gloss):
    black = black_point(gloss, ramp(), black_point_compensation=False)
    count = black.merged_levels
    share = f"{100 * (count + 1) / 256:.1f}"
    before = f"{100 * (black.merged_levels_in_picture + 1) / 256:.1f}"
    assert black.sentence == (
        f"The shadows' last {count} levels merge; {share} % of the picture lies there, and "
        f"{before} % merges even before printing."
    )
    none_before = replace(black, share_merged_in_picture=0.0)
    assert none_before.sentence.endswith(f"{share} % of the picture lies there.")
    bare = black_point(gloss, black_point_compensation=False)
    assert bare.sentence == f"The shadows' last {bare.merged_levels} levels merge."
    one = replace(bare, merged_levels=1, merged_levels_in_picture=0)
    assert one.sentence == "The shadows' last level merges with black."
    for none in (
        replace(bare, merged_levels=3, merged_levels_in_picture=3),
        replace(bare, merged_levels=0, merged_levels_in_picture=0),
    ):
        assert none.sentence.startswith("The shadows keep every level")


# the share of the picture ---------------------------------------------------------


@pytest.mark.parametrize("space", ["sRGB", "ROMM RGB", "Grey, power 2.2"])
def test_a_ramp_has_as_large_a_share_merged_as_levels(papers, space):
    picture = ramp(space)
    for exact in (False, True):
        shadows = shadow_tally(picture, exact=exact)
        for paper in papers:
            black = black_point(paper, picture, shadows=shadows)
            assert black.share_exact is exact
            assert black.share_merged == pytest.approx((black.merged_levels + 1) / 256)
            assert black.share_merged_in_picture == pytest.approx(
                (black.merged_levels_in_picture + 1) / 256
            )


@pytest.mark.parametrize("kind", [np.uint8, np.uint16])
def test_a_quarter_black_picture(matte, kind):
    pixels = np.full((40, 60, 3), np.iinfo(kind).max // 2, kind)
    pixels[:20, :30] = 0
    picture = from_pixels(pixels, "Display P3")
    assert black_point(matte, picture).share_merged == 0.25
    assert black_point(matte).share_merged is None


def test_coloured_shadows_count_by_their_lightness(matte):
    # a pure dark blue is darker than a grey of the same number
    pixels = np.zeros((10, 10, 3), np.uint8)
    pixels[:, :5, 2] = 60
    pixels[:, 5:] = 60
    tally = shadow_tally(from_pixels(pixels, "sRGB"))
    blue, grey = transform(np.array([[0, 0, 60], [60, 60, 60]]) / 255, standard_profile("sRGB"),
                           "lab")[:, 0]  # fmt: skip
    assert blue < grey - 10
    assert tally.share_below(blue - 0.1) == 0
    assert tally.share_below((blue + grey) / 2) == 0.5
    assert tally.share_below(grey) == 1


def test_every_pixel_counts_not_the_averages_of_a_preview(matte):
    pixels = np.zeros((1000, 1800, 3), np.uint8)
    pixels[::2, ::2] = pixels[1::2, 1::2] = 255
    picture = from_pixels(pixels, "sRGB")
    quick = black_point(matte, picture, shadows=shadow_tally(picture, exact=False))
    assert not quick.share_exact and quick.share_merged < 0.01
    tally = shadow_tally(picture)
    assert shadow_tally(picture) is tally and tally.counts.sum() == 1_800_000
    for exact in (black_point(matte, picture, shadows=tally), black_point(matte, picture)):
        assert exact.share_exact and exact.share_merged == 0.5


@pytest.mark.parametrize("space", ["sRGB", "opRGB", "ROMM RGB", "eciRGB v2"])
def test_lightness_is_the_engines_exact_one(space):
    pixels = np.random.default_rng(5).integers(0, 20000, (100, 200, 3), dtype=np.uint16)
    tally = shadow_tally(from_pixels(pixels, space))
    lightness = transform(pixels / 65535, standard_profile(space), "lab")[..., 0].ravel()
    for limit in (1.0, 3.0, 10.0, 25.0):
        assert tally.share_below(limit) <= np.mean(lightness <= limit + 0.02)
        assert tally.share_below(limit) >= np.mean(lightness <= limit)


def test_a_picture_whose_profile_has_tables(matte):
    # such as one converted for a printer, and saved
    picture = from_pixels(np.repeat(GREYS[None, :, None], 3, axis=2), matte.profile)
    tally = shadow_tally(picture)
    lightness = transform(np.repeat(GREYS[:, None] / 255, 3, axis=1), matte.profile, "lab")[:, 0]
    assert tally.share_below(30) == pytest.approx(np.mean(lightness <= 30.015), abs=1e-9)


def test_counting_tells_how_far_it_is_and_can_be_cancelled():
    pixels = np.zeros((2500, 2000, 3), np.uint8)
    picture, told = from_pixels(pixels, "sRGB"), []
    with pytest.raises(Cancelled):
        shadow_tally(picture, cancelled=lambda: True)
    shadow_tally(picture, progress=told.append)
    assert len(told) > 2 and told == sorted(told) and told[-1] == pytest.approx(1)


# mistakes -------------------------------------------------------------------------


@pytest.mark.parametrize("tolerance", [0, 0.05, 6, -1, math.nan, "much", None])
def test_a_tolerance_that_is_none(matte, tolerance):
    with pytest.raises(WorkbenchError, match=r"between 0\.1 and 5"):
        black_point(matte, tolerance=tolerance)


def test_an_unknown_intent(matte):
    with pytest.raises(WorkbenchError, match="not a rendering intent"):
        black_point(matte, intent="vivid")
    with pytest.raises(WorkbenchError, match="not a rendering intent"):
        tone_curve(matte, intent="vivid")


def test_a_picture_without_a_profile(matte):
    data = io.BytesIO()
    Image.new("RGB", (20, 10)).save(data, "PNG")
    picture = open_picture(data.getvalue(), name="bare.png")
    for ask in (lambda: black_point(matte, picture), lambda: shadow_tally(picture)):
        with pytest.raises(UntaggedPictureError, match=r"bare\.png"):
            ask()
