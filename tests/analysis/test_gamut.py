"""Gamut: hand-made pictures with known answers, and the figures against direct computations."""

from __future__ import annotations

import ast
import io
import subprocess
import sys
from functools import cache
from types import SimpleNamespace

import numpy as np
import pytest
import tifffile
from helpers import coated_profile
from hypothesis import given, settings
from hypothesis import strategies as st

from workbench.analysis.colours import distance_map, gathered
from workbench.analysis.counts import REASONS, STEP, count_gamut, count_shift, why
from workbench.analysis.gamut import colour_shift, gamut_report
from workbench.analysis.words import HUE_CENTRES_DEG, HUE_NAMES, hue_index, lightness_index, percent
from workbench.colour.difference import delta_e_2000
from workbench.colour.inkmodel import model_profile
from workbench.colour.lab import D50_XYZ, lab_to_xyz, scale_light, xyz_to_lab
from workbench.colour.spaces import standard_profile
from workbench.colour.trip import Trip, trip
from workbench.errors import Cancelled, ProfileError, UntaggedPictureError, WorkbenchError
from workbench.paper import open_paper
from workbench.picture import open_picture

GREY, BLACK, WHITE, BLUE = (118, 118, 118), (0, 0, 0), (255, 255, 255), (0, 0, 255)
# paper white, black density and finish as in a shop's shelf of photo papers (common practice)
PAPERS = {
    "gloss": lambda: model_profile((96, 0, -4), 2.3, finish="gloss", grid=17),
    "matte": lambda: model_profile((96, 0, 1), 1.6, finish="matte", grid=17),
    "coated press": coated_profile,
}


@cache
def paper(kind: str):
    return open_paper(PAPERS[kind](), name=kind)


def picture(pixels, space="sRGB"):
    """A picture from an array, by way of a TIFF file of tifffile's making."""
    pixels = np.asarray(pixels)
    stream = io.BytesIO()
    tifffile.imwrite(
        stream,
        pixels,
        photometric="rgb" if pixels.ndim == 3 else "minisblack",
        iccprofile=standard_profile(space) if space else None,
    )
    return open_picture(stream.getvalue(), name="made by hand")


def halves(left, right, size=32):
    """Left half and right half of one colour each, 8-bit sRGB."""
    pixels = np.empty((size, size, 3), np.uint8)
    pixels[:, : size // 2], pixels[:, size // 2 :] = left, right
    return picture(pixels)


@cache
def scene(saturation: float, space="ROMM RGB", height=120, width=160):
    """A smooth random scene; ``saturation`` pulls its channels from their mean (1: as drawn)."""
    rng = np.random.default_rng(5)
    small = rng.random((9, 12, 3))
    at = [np.linspace(0, n - 1.001, m) for n, m in ((9, height), (12, width))]
    (y, fy), (x, fx) = [(a.astype(int), (a % 1)[..., None]) for a in at]
    rows = small[y] * (1 - fy[:, None]) + small[y + 1] * fy[:, None]
    full = rows[:, x] * (1 - fx) + rows[:, x + 1] * fx
    full = full.mean(axis=2, keepdims=True) * (1 - saturation) + full * saturation
    return picture((np.clip(full, 0, 1) * 65535).astype(np.uint16), space)


# -- pictures with known answers


@pytest.mark.parametrize("exact", [True, False])
@pytest.mark.parametrize("kind", PAPERS)
def test_every_paper_holds_a_middle_grey(kind, exact):
    report = gamut_report(halves(GREY, GREY), paper(kind), exact=exact)
    assert report.share_outside == 0
    assert "practically all" in report.sentence
    assert report.why_sentence == "There is nothing to give reasons for."


@pytest.mark.parametrize("exact", [True, False])
@pytest.mark.parametrize("kind", PAPERS)
def test_half_a_picture_of_pure_blue_is_too_saturated(kind, exact):
    # sRGB blue has chroma 131 at L* 30 (D50); published paper gamuts end near 70 there
    report = gamut_report(halves(GREY, BLUE), paper(kind), exact=exact)
    assert report.share_outside == 0.5
    assert report.reasons == {"too saturated": 0.5, "too dark": 0, "too light": 0}
    assert report.colours_outside == report.colours_too_saturated == 0.5
    assert report.hues["blues"] == 0.5 and report.lightnesses["deep"] == 0.5
    assert (
        "50 % of the picture is out of this paper's gamut, above all deep blues" in report.sentence
    )
    assert report.why_sentence == "50 % of the picture is too saturated."


@pytest.mark.parametrize("exact", [True, False])
def test_black_on_matte_is_too_dark_however_it_is_printed(exact):
    half_black = halves(GREY, BLACK)
    report = gamut_report(half_black, paper("matte"), exact=exact)
    assert report.share_outside == report.share_too_dark == 0.5
    assert report.colours_outside == report.colours_too_dark == 0.5
    assert "shadows that are too dark for this black" in report.sentence
    off = shift(half_black, "matte", exact=exact, black_point_compensation=False)
    on = shift(half_black, "matte", exact=exact)
    # black moves to the paper's black either way; with compensation the greys follow
    assert (off.share_moved, on.share_moved) == (0.5, 1.0)
    assert on.percentiles[100] == pytest.approx(off.percentiles[100], abs=1.0)


def shift(made, kind, **how):
    return colour_shift(made, paper(kind), **how)


def test_white_is_printed_as_bare_paper():
    report = gamut_report(halves(WHITE, WHITE), paper("gloss"))
    assert report.share_outside == 0
    assert shift(halves(WHITE, WHITE), "gloss").percentiles[100] < 1


def test_absolute_white_moves_on_a_dark_paper_that_holds_it_relatively():
    # a sheet of L* 85 cannot print the white of the perfect diffuser, but has a white of its own
    dark = open_paper(model_profile((85, 1, 5), 1.1, finish="matte", grid=9), name="dark")
    made = halves(WHITE, GREY)
    assert gamut_report(made, dark).share_outside == 0
    assert colour_shift(made, dark, intent="absolute").share_moved >= 0.5


def test_grey_pictures_are_counted_too():
    ramp = np.tile(np.arange(256, dtype=np.uint8), (8, 1))
    report = gamut_report(picture(ramp, "Grey, power 2.2"), paper("matte"))
    # only levels darker than the paper's black are out, and nothing is colourful
    assert 0 < report.share_outside < 0.3
    assert report.reasons["too dark"] == pytest.approx(report.share_outside)
    assert report.hues["greys"] == pytest.approx(report.share_outside)


# -- figures against direct computations


@cache
def kinds(kind: str):
    """Pictures as unlike as photographs are, 16-bit with noise; 8-bit and grey ones too."""
    rng = np.random.default_rng(11)
    if kind == "grey":
        ramp = np.linspace(0, 1, 40_000).reshape(200, 200) ** 1.5
        return picture((ramp * 65535).astype(np.uint16), "Grey, power 2.2")
    base = np.array(scene(1.0).pixels(), float) / 65535
    saturation, gamma, lift, noise = {
        "night": (1.2, 3.5, 0.0, 0.004),
        "pastel": (0.4, 0.6, 0.45, 0.002),
        "saturated": (2.0, 1.0, 0.0, 0.004),
        "near grey": (0.04, 1.6, 0.0, 0.001),
        "8 bit": (1.3, 1.5, 0.0, 0.004),
        "flat": (1.5, 1.2, 0.0, 0.0),
    }[kind]
    grey = base.mean(axis=2, keepdims=True)
    made = np.clip(grey + (base - grey) * saturation, 0, 1) ** gamma * (1 - lift) + lift
    if kind == "flat":
        made = np.round(made * 5) / 5 * 0.97 + 0.013
    made = np.clip(made + rng.normal(0, noise, made.shape), 0, 1)
    if kind == "8 bit":
        return picture((made * 255).astype(np.uint8))
    return picture((made * 65535).astype(np.uint16), "ROMM RGB" if kind == "night" else "sRGB")


KINDS = ["night", "pastel", "saturated", "near grey", "8 bit", "flat", "grey"]


@cache
def directly(kind: str, sheet: str, intent: str, compensate: bool):
    """Every pixel's own trip in floating point."""
    made = kinds(kind)
    pixels = made.pixels().reshape(-1, made.channels)
    exact = (pixels / np.iinfo(pixels.dtype).max).astype(np.float32)
    return trip(exact, made.profile, paper(sheet).profile, intent, compensate)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("sheet", PAPERS)
def test_shares_are_those_of_every_pixel_in_floating_point(kind, sheet):
    journey = directly(kind, sheet, "relative", False)
    reasons = why(journey.source, journey.held)
    floor = paper(sheet).noise_floor
    for threshold in (1.0, 2.0, 3.3, 6.0, 11.0):
        report = gamut_report(kinds(kind), paper(sheet), threshold=threshold)
        over = journey.beyond > max(threshold, floor)
        assert report.exact and report.share_outside == pytest.approx(np.mean(over), abs=2e-4)
        found = report.share_too_saturated, report.share_too_dark, report.share_too_light
        assert report.share_outside == sum(found)
        for reason, share in enumerate(found):
            assert share == pytest.approx(np.mean(over & (reasons == reason)), abs=3e-4)
        quick = gamut_report(kinds(kind), paper(sheet), threshold=threshold, exact=False)
        assert not quick.exact
        assert quick.share_outside == pytest.approx(np.mean(over), abs=QUICK)


# a small picture has few pixels to a cell; photographs come within 0.002, see the benchmark
QUICK = 0.005


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("way", [("relative", True), ("perceptual", True), ("absolute", False)])
def test_shifts_are_those_of_every_pixel_in_floating_point(kind, way):
    journey = directly(kind, "matte", *way)
    how = dict(zip(("intent", "black_point_compensation"), way, strict=True))
    for threshold in (1.0, 2.0, 5.0):
        found = shift(kinds(kind), "matte", threshold=threshold, **how)
        direct = np.mean(journey.moved > threshold)
        assert found.exact and found.share_moved == pytest.approx(direct, abs=2e-4)
    assert found.mean == pytest.approx(journey.moved.mean(), abs=0.03)
    for at, value in found.percentiles.items():
        if at < 100:
            direct = np.percentile(journey.moved, at, method="inverted_cdf")
            assert value == pytest.approx(direct, abs=STEP + 0.15)
    assert found.distribution.sum() == pytest.approx(1)


def test_distinct_colours_are_counted_by_their_8_bits():
    made = kinds("8 bit")
    colours, counts = np.unique(made.pixels().reshape(-1, 3), axis=0, return_counts=True)
    journey = trip(
        (colours / 255).astype(np.float32), made.profile, paper("matte").profile, "relative", False
    )
    report = gamut_report(made, paper("matte"))
    over = journey.beyond > 2
    assert report.colours_outside == pytest.approx(np.mean(over), abs=1e-4)
    dark = over & (why(journey.source, journey.held) == 1)
    assert report.colours_too_dark == pytest.approx(np.mean(dark), abs=1e-4)
    parts = report.colours_too_saturated, report.colours_too_dark, report.colours_too_light
    assert report.colours_outside == sum(parts)
    assert report.share_outside == pytest.approx(np.average(over, weights=counts), abs=1e-4)


def test_parts_add_up_to_the_share():
    for threshold in (0.5, 2.0, 7.3):
        report = gamut_report(scene(1.0), paper("matte"), threshold=threshold)
        assert report.share_outside > 0.05
        for part in (report.reasons, report.hues, report.lightnesses):
            assert sum(part.values()) == pytest.approx(report.share_outside)


def test_less_saturated_scenes_and_better_papers_lose_less():
    """Order as measured on real photographs: a muted scene loses less than a colourful one,
    and every scene more on a paper with less gamut (computed for press conditions)."""
    shares = {
        (kind, saturation): gamut_report(scene(saturation), paper(kind), exact=False).share_outside
        for kind in ("gloss", "matte")
        for saturation in (0.4, 0.7, 1.0)
    }
    for kind in ("gloss", "matte"):
        assert shares[kind, 0.4] < shares[kind, 0.7] < shares[kind, 1.0]
    for saturation in (0.4, 0.7, 1.0):
        assert shares["gloss", saturation] < shares["matte", saturation]
    assert paper("gloss").gamut_volume > paper("matte").gamut_volume


@settings(max_examples=60, deadline=None)
@given(st.floats(0.1, 50), st.floats(0.1, 50), st.booleans())
def test_a_higher_threshold_never_counts_more(one, two, exact):
    made, sheet = scene(1.0), paper("coated press")
    low, high = (gamut_report(made, sheet, threshold=t, exact=exact) for t in sorted((one, two)))
    assert low.share_outside >= high.share_outside - 2e-5
    assert low.limit == max(min(one, two), low.noise_floor)


def test_below_the_noise_floor_nothing_is_counted():
    noisy = paper("coated press")
    assert noisy.noise_floor > 0.3
    report = gamut_report(scene(1.0), noisy, threshold=0.1)
    assert report.limit == noisy.noise_floor and report.threshold == 0.1
    assert report.share_outside == gamut_report(scene(1.0), noisy, threshold=0.2).share_outside
    # above the floor, the threshold decides
    above = gamut_report(scene(1.0), noisy, threshold=5.0)
    assert above.limit == 5.0 and above.share_outside < report.share_outside


@pytest.mark.parametrize("threshold", [0, 0.05, 51, -1, "much", None])
def test_senseless_thresholds_are_refused(threshold):
    for answer in (gamut_report, colour_shift):
        with pytest.raises(WorkbenchError, match="threshold|CIEDE2000"):
            answer(halves(GREY, BLUE), paper("matte"), threshold=threshold)


# -- what is asked, and what was asked before


def test_a_rendering_is_no_part_of_the_gamut_question():
    with pytest.raises(TypeError, match="intent"):
        gamut_report(halves(GREY, BLUE), paper("matte"), intent="perceptual")
    # without compensation relative moves what is outside, and nothing else
    made, sheet = scene(0.5), paper("matte")
    plain = colour_shift(made, sheet, black_point_compensation=False)
    assert plain.share_moved == pytest.approx(gamut_report(made, sheet).share_outside)
    assert colour_shift(made, sheet, intent="perceptual").share_moved > plain.share_moved + 0.2


def test_an_unknown_intent_is_refused():
    with pytest.raises(ProfileError, match="rendering intent"):
        colour_shift(halves(GREY, BLUE), paper("matte"), intent="vivid")


ORDERS = """
import numpy as np, sys
import workbench as wb
from workbench.picture.opening import from_pixels
pixels = np.random.default_rng(4).integers(0, 65536, (60, 80, 3)).astype(np.uint16)
picture, paper = from_pixels(pixels, "ROMM RGB"), wb.demo_papers()[0]
asked = {
    "gamut": lambda: wb.gamut_report(picture, paper).share_outside,
    "finer": lambda: wb.gamut_report(picture, paper, threshold=1.3).share_outside,
    "quick": lambda: wb.gamut_report(picture, paper, exact=False).share_outside,
    "shift": lambda: wb.colour_shift(picture, paper).share_moved,
    "black": lambda: wb.black_point(paper, picture).share_merged,
    "compare": lambda: wb.compare(picture, paper).rows[0].share_outside,
}
answers = {name: asked[name]() for name in sys.argv[1:]}
print(sorted((name, float(answer).hex()) for name, answer in answers.items()))
"""


def test_no_answer_depends_on_what_was_asked_before():
    names = ["gamut", "finer", "quick", "shift", "black", "compare"]
    said = set()
    for order in (names, names[::-1]):
        command = [sys.executable, "-c", ORDERS, *order]
        done = subprocess.run(command, capture_output=True, text=True, check=True)
        said.add(done.stdout)
    assert len(said) == 1
    answers = dict(ast.literal_eval(said.pop()))
    assert answers["gamut"] == answers["compare"] != answers["finer"]


def test_counts_are_passed_on_and_checked():
    made, sheet = scene(1.0), paper("matte")
    counts, moves = count_gamut(made, sheet), count_shift(made, sheet, intent="perceptual")
    report = gamut_report(made, sheet, counts=counts)
    assert report.counts is counts and counts.counts.sum() == 120 * 160
    assert report.share_outside == gamut_report(made, sheet).share_outside
    found = colour_shift(made, sheet, intent="perceptual", counts=moves)
    assert found.counts is moves
    for wrong in (
        lambda: gamut_report(made, sheet, counts=moves),
        lambda: gamut_report(made, paper("gloss"), counts=counts),
        lambda: gamut_report(scene(0.5), sheet, counts=counts),
        lambda: colour_shift(made, sheet, counts=moves),
    ):
        with pytest.raises(WorkbenchError, match="another picture, paper or rendering"):
            wrong()


def test_why_names_the_side_on_which_the_paper_falls_short():
    wished = np.array([[4, 0, 0], [99, 0, 2], [50, 80, 10], [60, 0, 60], [30, 20, -80]], float)
    held = np.array([[20, 0, 1], [92, 0, 1], [51, 58, 8], [60, 15, 57], [33, 14, -52]], float)
    assert [REASONS[i] for i in why(wished, held)] == [
        "too dark",
        "too light",
        "too saturated",
        "too saturated",  # a hue that turns is as much a colour the paper does not have
        "too saturated",
    ]
    # a colour that becomes more colourful on its way up is still one that was too dark
    assert REASONS[int(why([5, 2, -2.0], [20, 6, -6.0]))] == "too dark"


# -- work: cancelling, progress


def test_cancelling_ends_the_count():
    pixels = scene(0.9).pixels()
    with pytest.raises(Cancelled):
        gamut_report(picture(pixels), paper("gloss"), cancelled=lambda: True)
    # in the second pass too, and what was given up is not kept
    again = picture(pixels)
    again.census()
    with pytest.raises(Cancelled):
        gamut_report(again, paper("gloss"), cancelled=lambda: True)
    assert gamut_report(again, paper("gloss")).exact


def test_progress_reaches_its_end():
    seen = []
    gamut_report(picture(scene(0.95).pixels()), paper("gloss"), progress=seen.append)
    assert seen and seen[-1] == pytest.approx(1)


@pytest.mark.parametrize("exact", [True, False])
def test_a_picture_without_a_profile_is_not_guessed_at(exact):
    untagged = picture(np.full((8, 8, 3), 90, np.uint8), None)
    with pytest.raises(UntaggedPictureError):
        gamut_report(untagged, paper("matte"), exact=exact)
    with pytest.raises(UntaggedPictureError):
        distance_map(untagged, paper("matte"), exact=exact)
    report = gamut_report(untagged.assume("sRGB"), paper("matte"), exact=exact)
    assert report.share_outside == 0


# -- where


def test_the_mask_shows_where():
    made = halves(GREY, BLUE)
    report = gamut_report(made, paper("matte"))
    assert report.mask.shape == (32, 32)
    assert report.mask[:, 16:].all() and not report.mask[:, :16].any()


@pytest.mark.parametrize("how", [{}, {"intent": "relative", "black_point_compensation": True}])
def test_quick_and_exact_maps_agree(how):
    how = {"long_side_px": 160, **how}
    exact = distance_map(scene(1.0), paper("matte"), **how)
    quick = distance_map(scene(1.0), paper("matte"), exact=False, **how)
    assert exact.shape == quick.shape == (120, 160)
    assert np.percentile(np.abs(exact - quick), 95) < 0.5
    assert abs(np.mean(exact > 2) - np.mean(quick > 2)) < 0.02


def test_maps_of_beyond_and_moved_differ_where_the_intent_moves():
    moved = distance_map(scene(0.3), paper("matte"), intent="perceptual", long_side_px=80)
    beyond = distance_map(scene(0.3), paper("matte"), long_side_px=80)
    assert np.mean(moved > 2) > np.mean(beyond > 2) + 0.3


# -- colours gathered for drawing


def some_colours(lab, counts):
    lab = np.asarray(lab, np.float32).reshape(-1, 3)
    journey = Trip(lab, lab, lambda: lab + np.float32([3, 0, 0]))
    return SimpleNamespace(trip=journey, counts=np.asarray(counts), distance=journey.beyond)


@settings(max_examples=50, deadline=None)
@given(
    st.lists(
        st.tuples(
            st.floats(0, 100), st.floats(-120, 120), st.floats(-120, 120), st.integers(1, 10**6)
        ),
        min_size=1,
        max_size=60,
    ),
    st.sampled_from([2.5, 6.0, 10.0]),
)
def test_gathering_loses_no_pixel_and_moves_no_colour_far(rows, cell):
    lab, counts = np.array([r[:3] for r in rows]), np.array([r[3] for r in rows])
    found = gathered(some_colours(lab, counts), cell=cell)
    assert found.shares.sum() == pytest.approx(1)
    assert np.all(np.diff(found.shares) >= 0)
    # each colour has its group's mean within its cell, and the mean of all stays
    nearest = np.abs(lab[:, None] - found.lab[None]).max(axis=2).min(axis=1)
    assert np.all(nearest <= cell + 1e-3)
    assert found.shares @ found.lab == pytest.approx(counts @ lab / counts.sum(), abs=2e-3)


def test_a_slice_keeps_only_what_is_near_its_lightness():
    lab = [[50, 10, 10], [52, 11, 11], [53, 10, 10], [20, 10, 10]]
    found = gathered(some_colours(lab, [10, 30, 40, 20]), cell=5, lightness=50)
    assert len(found.lab) == 1
    assert found.shares == pytest.approx([0.4])  # of all pixels, not of the slice's
    assert found.lab[0] == pytest.approx([51.5, 10.75, 10.75])
    wished, held = np.array(lab[:2], float), np.array(lab[:2], float) + [3, 0, 0]
    assert found.beyond[0] == pytest.approx(delta_e_2000(wished, held) @ [0.25, 0.75], rel=1e-4)
    assert len(gathered(some_colours(lab, [1, 1, 1, 1]), lightness=80).lab) == 0


# -- the short cut in XYZ that whole pictures take


@pytest.mark.parametrize("kind, tolerance", [(np.float64, 1e-9), (np.float32, 1e-3)])
def test_scaling_light_is_the_long_way_through_xyz(kind, tolerance):
    lab = np.random.default_rng(3).random((40000, 3)) * [100, 160, 160] - [0, 80, 80]
    gain, lift = np.array([0.9, 0.95, 1.1]), np.array([0.004, 0.005, 0.006])
    long_way = xyz_to_lab(np.maximum(lab_to_xyz(lab) * gain + lift * D50_XYZ, 0))
    short = scale_light(lab.astype(kind).reshape(200, 200, 3), gain, lift)
    assert short.dtype == kind and short.shape == (200, 200, 3)
    assert np.abs(short.reshape(-1, 3) - long_way).max() < tolerance


# -- words


def test_hues_and_lightness_have_the_names_of_their_sectors():
    for name, centre in zip(HUE_NAMES[1:], HUE_CENTRES_DEG[1:], strict=True):
        angle = np.radians(centre)
        lab = [50, 40 * np.cos(angle), 40 * np.sin(angle)]
        assert HUE_NAMES[int(hue_index(lab))] == name
    # CSS Color 4 gives the D50 Lab hues of sRGB red, yellow, green and blue as
    # 40.9, 99.6, 134.4 and 301.4 degrees (from memory)
    for degrees, name in ((40.9, "reds"), (99.6, "yellows"), (134.4, "greens"), (301.4, "blues")):
        angle = np.radians(degrees)
        assert HUE_NAMES[int(hue_index([50, 90 * np.cos(angle), 90 * np.sin(angle)]))] == name
    assert HUE_NAMES[int(hue_index([50, 3, -3]))] == "greys"
    assert lightness_index([[0, 0, 0], [37.9, 0, 0], [38, 0, 0], [72, 0, 0]]).tolist() == [
        0,
        0,
        1,
        2,
    ]


@pytest.mark.parametrize(
    "share, text",
    [(0, "0 %"), (0.0004, "under 0.1 %"), (0.043, "4.3 %"), (0.28, "28 %"), (0.994, "99 %"),
     (0.9972, "99.7 %"), (0.99973, "over 99.9 %"), (1, "100 %")],
)  # fmt: skip
def test_only_all_reads_as_a_hundred_percent(share, text):
    assert percent(share) == text
    assert ("100" in percent(share)) == (share == 1)
