"""A paper's white: as the eye sees it, as CIE whiteness says it, and in a picture's highlights."""

from types import SimpleNamespace

import numpy as np
import pytest
from helpers import coated_profile
from hypothesis import given
from hypothesis import strategies as st
from picture.makers import tiff_bytes

from workbench.analysis.adaptation import (
    BRIGHTENED_CARD,
    PERFECT_DIFFUSER,
    REFERENCE_WHITES,
    UNTINTED_COTTON,
    eye_beside,
)
from workbench.analysis.crops import dimming, lightness_tally, printed_crop, srgb_light
from workbench.analysis.proof import soft_proof
from workbench.analysis.white import (
    HIGHLIGHT_STEPS,
    cie_whiteness,
    highlights,
    neutral_steps,
    paper_white,
    whiteness_of,
    whites_seen,
)
from workbench.analysis.words import apart_words, tint_words
from workbench.colour.engine import transform
from workbench.colour.inkmodel import model_profile
from workbench.colour.lab import D50_XYZ, lab_to_xyz, xyz_to_lab
from workbench.colour.spaces import standard_profile
from workbench.errors import UntaggedPictureError, WorkbenchError
from workbench.paper import open_paper
from workbench.picture import open_picture

# Absolute Lab of published press conditions' whites: Fogra characterisation data;
# IDEAlliance "2013 Common Datasets", Fig. 1; WAN-IFRA "ISO 12647-3:2013", Table 1
COATED = (95.0, 0.0, -2.0)
NEWSPRINT = (85.0, 1.0, 5.0)
CRPC4, CRPC5, CRPC7 = (89.0, 0.0, 3.0), (92.0, 0.0, 0.0), (97.0, 1.0, -4.0)


def white(lab, name="paper", known=True):
    """All that `paper_white` asks of a paper."""
    return SimpleNamespace(name=name, white_lab=lab, white_is_known=known)


@pytest.fixture(scope="module")
def coated():
    return open_paper(coated_profile(), name="Coated press sheet")


@pytest.fixture(scope="module")
def warm():
    return open_paper(model_profile((93.0, 0.5, 6.0), 1.7, name="Warm model"), name="Warm model")


def picture_of(pixels, **options):
    return open_picture(tiff_bytes(np.ascontiguousarray(pixels), **options), "sRGB")


def srgb_grey(lightness) -> int:
    """8-bit sRGB code nearest to an L*."""
    return round(255 * float(transform([lightness, 0, 0], "lab", standard_profile("sRGB"))[0]))


# -- what is seen


def test_beside_the_perfect_diffuser_it_is_the_absolute_white(coated):
    seen = paper_white(coated, reference=PERFECT_DIFFUSER, adaptation=0)
    assert seen.seen_lab == pytest.approx(coated.white_lab, abs=0.01)
    # Fogra characterisation data: FOGRA39 is printed on 95, 0, -2
    assert seen.seen_lab == pytest.approx(COATED, abs=0.5)
    assert seen.seen_chroma == pytest.approx(np.hypot(*seen.seen_lab[1:]))


def test_fully_adapted_it_is_purely_white(coated):
    for reference in (PERFECT_DIFFUSER, BRIGHTENED_CARD, white(NEWSPRINT)):
        seen = paper_white(coated, reference=reference, adaptation=1)
        assert seen.seen_lab == pytest.approx((100, 0, 0), abs=1e-9)


def test_prints_between_the_end_points(coated):
    """At 0 the engine's own absolute Lab of printed colours, at 1 its media-relative one."""
    device = np.random.default_rng(4).random((40, 4)) * 0.4
    relative = transform(device, coated.profile, "lab", intent="relative")
    absolute = transform(device, coated.profile, "lab", intent="absolute")
    paper = lab_to_xyz(coated.white_tag_lab)
    beside, adapted = (eye_beside(PERFECT_DIFFUSER, share) for share in (0, 1))
    assert np.abs(beside.seen(relative, paper) - absolute).max() < 0.01
    assert np.abs(adapted.seen(relative, paper) - relative).max() < 1e-9


@given(
    a=st.floats(-4, 4),
    b=st.floats(-10, 10),
    lightness=st.floats(85, 98),
    steps=st.lists(st.floats(0, 1), min_size=2, max_size=2).map(sorted),
)
def test_the_more_adapted_the_nearer_to_white(a, b, lightness, steps):
    """Each of X, Y and Z of the seen white goes straight towards 1, and never past it."""
    less, more = (
        lab_to_xyz(
            paper_white(
                white((lightness, a, b)), reference=BRIGHTENED_CARD, adaptation=step
            ).seen_lab
        )
        / D50_XYZ
        for step in steps
    )
    assert (np.abs(more - 1) <= np.abs(less - 1) + 1e-12).all()
    assert ((more - 1) * (less - 1) >= -1e-12).all()


def test_a_paper_beside_itself_is_purely_white(coated):
    seen = paper_white(coated, reference=coated)
    assert seen.seen_lab == pytest.approx((100, 0, 0), abs=1e-9)
    assert seen.reference == "Coated press sheet"


def test_alone_the_eye_takes_the_paper_for_white_and_words_lean_on_cotton():
    # a sheet without brightener or dye is close to neutral, a little yellow (common practice,
    # no source)
    assert 0 < REFERENCE_WHITES[UNTINTED_COTTON][2] < 4
    seen = paper_white(white((96.0, 0.2, -5.0)))
    assert seen.adaptation == 1 and seen.seen_lab == pytest.approx((100, 0, 0), abs=1e-9)
    assert seen.sentence == (
        "A clearly cool white: beside an untinted cotton sheet, bluer by 7 b*. "
        "Seen alone, the eye takes it for white."
    )


@pytest.mark.parametrize("lab", [(96.0, 0.2, -6.0), COATED, NEWSPRINT, CRPC5, (94.5, 2.0, -9.6)])
def test_a_sheet_keeps_its_name_whatever_lies_beside_it(lab):
    told = set()
    for reference in (None, *REFERENCE_WHITES, white((95.0, 0.0, 9.0), name="Old rag")):
        for adaptation in (0.0, 0.5, 1.0):
            found = paper_white(white(lab), reference=reference, adaptation=adaptation)
            told.add(found.sentence.split(":")[0].split(".")[0])
            assert not {"warmer", "cooler"} & set(found.sentence.split())
    assert told == {f"A {tint_words(lab)} white"}


@pytest.mark.parametrize(
    ("lab", "beside", "said"),
    [
        ((93.0, 0.0, 4.0), (95.0, 1.5, -6.0), "yellower by 10 b*, greener by 2 a* and darker by 2 L*"),
        ((96.0, 0.2, -6.0), (96.0, 0.0, 1.0), "bluer by 7 b*"),
        ((97.4, 2.0, 0.0), (95.0, 0.0, 0.9), "pinker by 2 a* and lighter by 2 L*"),
        ((95.9, 0.0, 0.0), (95.0, 0.9, -0.9), ""),
    ],
)  # fmt: skip
def test_how_two_whites_differ(lab, beside, said):
    assert apart_words(lab, beside) == said


def test_a_white_like_the_one_beside_it_and_the_sheet_beside_itself():
    alike = paper_white(white((96.0, 0.0, 2.5)), reference=UNTINTED_COTTON, adaptation=0)
    assert alike.sentence.endswith("white: beside an untinted cotton sheet, much the same.")
    paper = white((96.0, 0.0, 2.5))
    assert paper_white(paper, reference=paper, adaptation=0).sentence == "A slightly warm white."


def test_a_sheet_that_cannot_be_is_said_to_tell_nothing():
    for lab in ((42.0, 0.0, 0.0), (90.0, 20.0, 30.0)):
        sentence = paper_white(white(lab)).sentence
        assert "tell nothing about a real sheet" in sentence and "warm" not in sentence


def test_a_profile_that_states_no_white_gets_no_tint():
    sentence = paper_white(white((100.0, 0.0, 0.0), known=False)).sentence
    assert sentence == ("This profile does not state its paper's white, so the tint is unknown.")


@pytest.mark.parametrize("reference", ["a cloud", 3, ["brightened card"]])
def test_an_unknown_reference_ends_in_a_sentence(reference, coated):
    with pytest.raises(WorkbenchError, match="not a white to compare with; choose untinted"):
        paper_white(coated, reference=reference)


@pytest.mark.parametrize("adaptation", [-0.1, 1.01, float("nan"), "much", None])
def test_an_adaptation_that_is_none_ends_in_a_sentence(adaptation, coated):
    with pytest.raises(WorkbenchError, match="between 0 .side by side. and 1"):
        paper_white(coated, reference=BRIGHTENED_CARD, adaptation=adaptation)


# -- words


def test_tint_words_of_published_whites():
    assert tint_words(COATED) == "slightly cool"
    assert tint_words(NEWSPRINT) == "clearly warm"
    assert tint_words(CRPC4) == "slightly warm"
    assert tint_words(CRPC5) == "neutral"
    assert tint_words(CRPC7) == "slightly cool"


@given(
    hue=st.floats(0, 360), chromas=st.lists(st.floats(0, 25), min_size=2, max_size=2).map(sorted)
)
def test_more_chroma_never_takes_a_weaker_word(hue, chromas):
    order = ["neutral", "slightly", "clearly", "strongly"]
    less, more = (
        tint_words((95, c * np.cos(np.radians(hue)), c * np.sin(np.radians(hue)))).split()[0]
        for c in chromas
    )
    assert order.index(less) <= order.index(more)


@given(b=st.floats(1.01, 20), a=st.floats(-0.3, 0.3))
def test_yellow_is_warm_and_blue_is_cool(a, b):
    assert tint_words((95, a, b)).endswith("warm")
    assert tint_words((95, a, -b)).endswith("cool")


# -- CIE whiteness


def test_whiteness_of_a_published_example():
    """The documented example of colour-science's whiteness_CIE2004: 93.85 and -1.305.

    That tint takes the factor 1000 of the 2 degree observer; by the formula, the 900 of
    the 10 degree one gives -1.025.
    """
    colour_xyy, white_xy = (0.3167, 0.3334, 100), (0.3139, 0.3311)
    result = whiteness_of(colour_xyy, white_xy=white_xy, observer_deg=2)
    assert result.whiteness == pytest.approx(93.85, abs=1e-9)
    assert result.tint == pytest.approx(-1.305, abs=1e-9)
    assert result.valid
    wider = whiteness_of(colour_xyy, white_xy=white_xy, observer_deg=10)
    assert wider.whiteness == pytest.approx(93.85, abs=1e-9)
    assert wider.tint == pytest.approx(-1.025, abs=1e-9)


def test_the_perfect_diffuser_has_whiteness_100_and_no_tint():
    result = cie_whiteness((100.0, 0.0, 0.0))
    assert result.whiteness == pytest.approx(100, abs=1e-9)
    assert result.tint == pytest.approx(0, abs=1e-9)
    assert result.valid
    for observer_deg, xy in ((2, (0.3127, 0.3290)), (10, (0.3138, 0.3310))):
        result = whiteness_of((*xy, 100), observer_deg=observer_deg)
        assert (result.whiteness, result.tint) == (100, 0)


@pytest.mark.parametrize("lab", [COATED, NEWSPRINT, CRPC4, CRPC7, (94.5, 2.0, -10.0)])
def test_whiteness_agrees_with_colour_science(lab):
    import colour

    d50 = colour.XYZ_to_xy(D50_XYZ)
    d65 = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]["D65"]
    xyz = colour.Lab_to_XYZ(np.array(lab), d50)
    adapted = colour.chromatic_adaptation(
        xyz, colour.xy_to_XYZ(d50), colour.xy_to_XYZ(d65), transform="Bradford"
    )
    xy = colour.XYZ_to_xy(adapted)
    whiteness, tint = colour.colorimetry.whiteness_CIE2004(
        xy, adapted[1] * 100, d65, "CIE 1931 2 Degree Standard Observer"
    )
    ours = cie_whiteness(lab)
    assert ours.whiteness == pytest.approx(whiteness, abs=0.05)
    assert ours.tint == pytest.approx(tint, abs=0.05)
    y = adapted[1] * 100
    assert ours.valid == (40 < whiteness < 5 * y - 280 and -4 < tint < 2)


@given(x=st.floats(0.28, 0.36), y=st.floats(0.29, 0.37), luminance=st.floats(50, 100))
def test_both_observers_agree_with_colour_science(x, y, luminance):
    from colour.colorimetry import whiteness_CIE2004

    for observer_deg, name, white_xy in (
        (2, "CIE 1931 2 Degree Standard Observer", (0.3127, 0.3290)),
        (10, "CIE 1964 10 Degree Standard Observer", (0.3138, 0.3310)),
    ):
        theirs = whiteness_CIE2004(np.array([x, y]), luminance, np.array(white_xy), name)
        ours = whiteness_of((x, y, luminance), observer_deg=observer_deg)
        assert (ours.whiteness, ours.tint) == pytest.approx(tuple(theirs), abs=1e-6)


def test_whiteness_says_where_it_does_not_hold():
    assert not cie_whiteness((60.0, 0.0, 0.0)).valid  # a grey: 5Y - 280 is below 40
    assert not cie_whiteness((95.0, 0.0, 20.0)).valid  # a yellow
    assert not cie_whiteness((94.0, 8.0, -2.0)).valid  # a pink
    assert cie_whiteness(COATED).valid


def test_a_bluer_white_of_equal_lightness_has_more_whiteness():
    values = [cie_whiteness((95.0, 0.0, b)).whiteness for b in (6, 3, 0, -3, -6)]
    assert values == sorted(values)


def test_another_observer_ends_in_a_sentence():
    with pytest.raises(WorkbenchError, match="the 2 or the 10 degree observer, not 4"):
        whiteness_of((0.31, 0.33, 90), observer_deg=4)


# -- several whites at once


def test_all_whites_are_seen_by_one_eye():
    papers = [white(COATED, "A"), white(NEWSPRINT, "B"), white(CRPC4, "C")]
    beside = whites_seen(papers[0], papers, reference=PERFECT_DIFFUSER, adaptation=0)
    assert beside.reference_lab == pytest.approx((100, 0, 0), abs=1e-9)
    assert beside.chosen.seen_lab == pytest.approx(COATED, abs=1e-6)
    assert [name for name, _ in beside.others] == ["B", "C"]
    assert beside.others[0][1] == pytest.approx(NEWSPRINT, abs=1e-6)
    adapted = whites_seen(papers[0], papers, reference=PERFECT_DIFFUSER, adaptation=1)
    assert adapted.chosen.seen_lab == pytest.approx((100, 0, 0), abs=1e-9)
    # the perfect diffuser over a cool white looks warm, newsprint warmer still
    assert adapted.reference_lab[2] > 1.9
    assert adapted.others[0][1][2] > NEWSPRINT[2] + 1.5
    assert adapted.reach >= max(np.hypot(*lab[1:]) for _, lab in adapted.others)
    assert adapted.reach == beside.reach


def test_the_path_leads_from_side_by_side_to_adapted():
    paper = white(NEWSPRINT)
    path = whites_seen(paper, reference=BRIGHTENED_CARD, adaptation=0).path_lab
    for index, adaptation in ((0, 0.0), (10, 0.5), (20, 1.0)):
        expected = paper_white(paper, reference=BRIGHTENED_CARD, adaptation=adaptation).seen_lab
        assert path[index] == pytest.approx(expected, abs=1e-9)


def test_papers_of_unknown_white_and_the_reference_itself_are_no_others():
    a, b, c = white(COATED, "A"), white(NEWSPRINT, "B"), white((100, 0, 0), "C", known=False)
    assert whites_seen(a, (a, b, c), reference=b).others == ()


# -- highlights


def test_shares_of_a_picture_with_known_answers(coated):
    """A quarter white, a quarter L* 95, a quarter L* 87, a quarter middle grey."""
    quarters = [255, srgb_grey(95), srgb_grey(87), 118]
    pixels = np.repeat(np.array(quarters, np.uint8), 50)[None, :, None].repeat(40, 0).repeat(3, 2)
    picture = picture_of(pixels)
    for lightness, share in ((60, 0.75), (84, 0.75), (90, 0.5), (93, 0.5), (97, 0.25)):
        found = highlights(picture, coated, lightness=lightness)
        assert found.share == pytest.approx(share, abs=1e-9)
        assert found.share_bare == pytest.approx(0.25, abs=1e-9)
    assert highlights(picture, coated).sentence == (
        "50 % of the picture lies within reach of the paper's white; 25 % is bare paper."
    )


def test_every_pixel_counts_the_same_where_cells_hold_one_colour_each(coated):
    rng = np.random.default_rng(6)
    levels = np.array([255, 250, 240, 228, 200, 90], np.uint8)
    picture = picture_of(levels[rng.integers(0, 6, (60, 70))][..., None].repeat(3, 2))
    quick = lightness_tally(picture, coated, exact=False)
    every = lightness_tally(picture, coated, exact=True)
    assert (quick.exact, every.exact) == (False, True)
    assert every.counts.sum() == quick.counts.sum() == 60 * 70
    for lightness in (60, 80, 90, 95, 99):
        assert every.share_above(lightness) == pytest.approx(quick.share_above(lightness), abs=1e-9)
    assert every.bare == pytest.approx(quick.bare, abs=1e-9)


def test_every_pixel_agrees_with_a_proof_of_every_pixel(coated):
    """The counted shares against the lightness of the printed pixels themselves."""
    rng = np.random.default_rng(8)
    picture = picture_of(rng.integers(150, 256, (64, 64, 3), np.uint8))
    printed = printed_crop(picture, coated, (0, 0, 64, 64))
    lightness = xyz_to_lab(printed.xyz)[..., 0]
    tally = lightness_tally(picture, coated, exact=True)
    for limit in (70, 80, 90):
        assert tally.share_above(limit) == pytest.approx((lightness > limit).mean(), abs=0.01)


def test_shares_fall_as_the_limit_rises(coated):
    ramp = np.arange(256, dtype=np.uint8)[None, :, None].repeat(3, 2).repeat(2, 0)
    picture = picture_of(ramp)
    shares = [highlights(picture, coated, lightness=limit).share for limit in range(50, 100)]
    assert shares == sorted(shares, reverse=True)
    assert shares[0] > 0.4
    assert shares[-1] < 0.05


def test_an_absolute_print_of_a_lighter_picture_ends_in_bare_paper():
    """Nothing is lighter than the paper: absolutely, L* 97 is beyond a white of L* 90."""
    grey = open_paper(model_profile((90.0, 0.0, 0.5), 1.7, name="Grey model"))
    picture = picture_of(np.full((20, 20, 3), srgb_grey(97), np.uint8))
    relative = highlights(picture, grey, lightness=98)
    absolute = highlights(picture, grey, intent="absolute", lightness=98)
    assert (relative.share, relative.share_bare) == (0, 0)
    assert (absolute.share, absolute.share_bare) == (1, 1)


def test_steps_are_neutral_before_and_take_the_papers_tint_after(warm):
    beside = neutral_steps(warm, reference=PERFECT_DIFFUSER, adaptation=0)
    assert beside.steps == HIGHLIGHT_STEPS
    assert beside.before_lab[:, 0].tolist() == list(HIGHLIGHT_STEPS)
    assert (beside.before_lab[:, 1:] == 0).all()
    assert beside.after_lab[0] == pytest.approx((93, 0.5, 6), abs=0.05)
    assert (np.diff(beside.after_lab[:, 0]) < 0).all()
    # a neutral of half the light is a little less yellow, and never more so
    assert (np.diff(beside.after_lab[:, 2]) < 0).all()
    adapted = neutral_steps(
        warm, reference=PERFECT_DIFFUSER, adaptation=1, black_point_compensation=False
    )
    assert np.abs(adapted.after_lab - adapted.before_lab).max() < 0.3  # the tables' own error
    assert adapted.reference_lab[2] < -5  # to this eye the perfect diffuser is bluish


def test_absolute_steps_keep_their_lightness_below_the_papers_white(warm):
    found = neutral_steps(warm, intent="absolute", reference=PERFECT_DIFFUSER, adaptation=0)
    steps = np.array(HIGHLIGHT_STEPS)
    within = steps <= 85
    assert np.abs(found.after_lab[within, 0] - steps[within]).max() < 1
    assert np.abs(found.after_lab[within, 1:]).max() < 1  # the tint is inked away
    assert found.after_lab[0, 0] < 94  # and white cannot be


@pytest.mark.parametrize("lightness", [49.9, 99.5, float("nan")])
def test_a_limit_outside_the_highlights_ends_in_a_sentence(lightness, coated):
    picture = picture_of(np.full((8, 8, 3), 255, np.uint8))
    with pytest.raises(WorkbenchError, match="between L. 50 and 99"):
        highlights(picture, coated, lightness=lightness)


def test_a_picture_without_a_profile_is_asked_about(coated):
    picture = open_picture(tiff_bytes(np.full((8, 8, 3), 255, np.uint8)))
    with pytest.raises(UntaggedPictureError, match="no colour profile"):
        highlights(picture, coated)


# -- printed crops on the screen


def test_linear_light_agrees_with_colour_science():
    import colour

    xyz = lab_to_xyz([[100.0, 0, 0], [60, 30, -20], [95, -3, 12]])
    srgb = colour.RGB_COLOURSPACES["sRGB"]
    theirs = colour.XYZ_to_RGB(
        xyz, srgb, illuminant=colour.XYZ_to_xy(D50_XYZ), chromatic_adaptation_transform="Bradford"
    )
    assert np.abs(srgb_light(xyz) - theirs).max() < 2e-3


@pytest.mark.parametrize("adaptation", [0.0, 0.4, 1.0])
@pytest.mark.parametrize("intent", ["relative", "perceptual", "absolute"])
def test_a_printed_crop_looks_like_the_exact_proof(coated, intent, adaptation):
    rng = np.random.default_rng(9)
    picture = picture_of(rng.integers(0, 65536, (40, 50, 3), np.uint16))
    crop = printed_crop(picture, coated, (5, 7, 30, 20), intent=intent)
    mine = crop.seen(eye_beside(PERFECT_DIFFUSER, adaptation).white(crop.paper_xyz))
    proof = soft_proof(
        picture,
        coated,
        intent=intent,
        reference=PERFECT_DIFFUSER,
        adaptation=adaptation,
        long_side_px=None,
    ).pixels[7:27, 5:35]
    assert mine.shape == (20, 30, 3)
    assert np.abs(mine.astype(int) - proof).max() <= 1


def test_dimming_keeps_the_whitest_white_within_the_screen():
    seen = [(100.0, 0.0, 0.0), (102.0, -2.0, 10.0)]
    dim = dimming(seen)
    light = srgb_light(lab_to_xyz(seen) / dim)
    assert light.max() == pytest.approx(1)
    assert dim > 1.05
    assert dimming([(95.0, 0.0, -2.0), (100.0, 0.0, 0.0)]) == pytest.approx(1, abs=1e-4)


def test_a_warm_white_beside_the_brightened_card_keeps_its_tint_on_the_screen(warm):
    picture = picture_of(np.full((10, 10, 3), 255, np.uint8))
    crop = printed_crop(picture, warm, (0, 0, 10, 10))
    office = lab_to_xyz(REFERENCE_WHITES[BRIGHTENED_CARD])
    seen = whites_seen(warm, reference=BRIGHTENED_CARD, adaptation=0)
    dim = dimming([seen.chosen.seen_lab, seen.reference_lab])
    shown = transform(crop.seen(office, dim)[0, 0] / 255, standard_profile("sRGB"), "lab")
    expected = xyz_to_lab(lab_to_xyz(seen.chosen.seen_lab) / dim)
    assert shown == pytest.approx(expected, abs=0.5)
