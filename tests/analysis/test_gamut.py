"""Gamut: hand-made pictures with known answers, and the figures against direct computations."""

from __future__ import annotations

import io
from functools import cache

import numpy as np
import pytest
import tifffile
from helpers import coated_profile
from hypothesis import given, settings
from hypothesis import strategies as st

from workbench.analysis import colours as colours_module
from workbench.analysis.colours import Colours, distance_map, gathered, quick_colours
from workbench.analysis.gamut import (
    REASONS,
    STEP,
    gamut_report,
    gamut_tally,
    known_tally,
    why,
)
from workbench.analysis.words import HUE_CENTRES_DEG, HUE_NAMES, hue_index, lightness_index
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
    assert report.reasons == {"too dark": 0, "too light": 0, "too saturated": 0.5}
    assert report.hues["blues"] == 0.5 and report.lightnesses["deep"] == 0.5
    assert "50 % of the picture is beyond this paper, mostly deep blues" in report.sentence
    assert report.why_sentence == "50 % of the picture is too saturated."


@pytest.mark.parametrize("exact", [True, False])
def test_black_on_matte_is_too_dark_unless_compensated(exact):
    half_black = halves(GREY, BLACK)
    off = gamut_report(half_black, paper("matte"), exact=exact)
    assert off.share_outside == 0.5
    assert off.reasons["too dark"] == 0.5
    assert "shadows that are too dark for this black" in off.sentence
    on = gamut_report(half_black, paper("matte"), black_point_compensation=True, exact=exact)
    assert on.share_outside == 0
    # black itself still moves from picture to print, to the paper's black, and greys follow
    assert on.share_moved == 1.0
    assert on.shift_percentiles[100] == pytest.approx(off.shift_percentiles[100], abs=1.0)


def test_white_is_printed_as_bare_paper():
    report = gamut_report(halves(WHITE, WHITE), paper("gloss"))
    assert report.share_outside == 0 and report.shift_percentiles[100] < 1


def test_absolute_white_is_too_light_for_a_dark_paper():
    # a sheet of L* 85 cannot print the white of the perfect diffuser
    dark = open_paper(model_profile((85, 1, 5), 1.1, finish="matte", grid=9), name="dark")
    report = gamut_report(halves(WHITE, GREY), dark, intent="absolute")
    assert report.share_outside == 0.5
    assert report.reasons["too light"] == 0.5
    assert report.lightnesses["light"] == 0.5


def test_grey_pictures_are_counted_too():
    ramp = np.tile(np.arange(256, dtype=np.uint8), (8, 1))
    report = gamut_report(picture(ramp, "Grey, power 2.2"), paper("matte"))
    # only levels darker than the paper's black are out, and nothing is colourful
    assert 0 < report.share_outside < 0.3
    assert report.reasons["too dark"] == pytest.approx(report.share_outside)
    assert report.hues["greys"] == pytest.approx(report.share_outside)


# -- figures against direct computations


@pytest.mark.parametrize("kind", PAPERS)
@pytest.mark.parametrize("compensate", [True, False])
def test_quick_and_exact_agree_to_a_hundredth(kind, compensate):
    for saturation in (0.5, 1.0):
        how = {"black_point_compensation": compensate}
        quick = gamut_report(scene(saturation), paper(kind), exact=False, **how)
        exact = gamut_report(scene(saturation), paper(kind), exact=True, **how)
        assert quick.pixels == exact.pixels == 120 * 160
        assert (quick.exact, exact.exact) == (False, True)
        assert abs(quick.share_outside - exact.share_outside) < 0.01
        assert abs(quick.share_moved - exact.share_moved) < 0.015
        assert abs(quick.mean_shift - exact.mean_shift) < 0.1


@pytest.mark.parametrize("intent", ["relative", "perceptual", "absolute"])
def test_shares_and_percentiles_are_those_of_the_pixels(intent):
    made = scene(1.0)
    journey = trip(
        made.pixels().reshape(-1, 3), made.profile, paper("matte").profile, intent, False
    )
    tally = gamut_tally(made, paper("matte"), intent=intent)
    for threshold in (1.0, 2.0, 5.0, 12.0):
        assert threshold > paper("matte").noise_floor
        report = tally.report(threshold)
        assert report.share_outside == pytest.approx(np.mean(journey.beyond > threshold), abs=2e-4)
        assert report.share_moved == pytest.approx(np.mean(journey.moved > threshold), abs=2e-4)
    for percent, value in report.shift_percentiles.items():
        direct = np.percentile(journey.moved, percent, method="inverted_cdf")
        assert direct - 1e-3 <= value <= direct + STEP + 1e-3
    for percent, value in report.beyond_percentiles.items():
        direct = np.percentile(journey.beyond, percent, method="inverted_cdf")
        assert direct - 1e-3 <= value <= direct + STEP + 1e-3
    assert report.mean_shift == pytest.approx(journey.moved.mean(), abs=STEP)
    assert report.distribution.sum() == pytest.approx(1)
    assert report.shift_distribution.sum() == pytest.approx(1)


def test_parts_add_up_to_the_share():
    tally = gamut_tally(scene(1.0), paper("matte"))
    for threshold in (0.5, 2.0, 7.3):
        report = tally.report(threshold)
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
@given(st.floats(0.1, 50), st.floats(0.1, 50))
def test_a_higher_threshold_never_counts_more(one, two):
    tally = gamut_tally(scene(1.0), paper("coated press"), exact=False)
    low, high = tally.report(min(one, two)), tally.report(max(one, two))
    assert low.share_outside >= high.share_outside
    assert low.share_moved >= high.share_moved
    assert low.limit == max(min(one, two), low.noise_floor)


def test_below_the_noise_floor_nothing_is_counted():
    noisy = paper("coated press")
    assert noisy.noise_floor > 0.3
    tally = gamut_tally(scene(1.0), noisy)
    report = tally.report(0.1)
    assert report.limit == noisy.noise_floor and report.threshold == 0.1
    journey = trip(scene(1.0).pixels().reshape(-1, 3), scene(1.0).profile, noisy.profile)
    above = np.mean(journey.beyond > noisy.noise_floor + STEP)
    assert above - 1e-9 <= report.share_outside <= np.mean(journey.beyond > noisy.noise_floor)
    # above the floor, the threshold decides
    assert tally.report(5.0).limit == 5.0
    assert tally.report(5.0).share_outside < report.share_outside


@pytest.mark.parametrize("threshold", [0, 0.05, 51, -1, "much", None])
def test_senseless_thresholds_are_refused(threshold):
    with pytest.raises(WorkbenchError, match="threshold|CIEDE2000"):
        gamut_tally(halves(GREY, BLUE), paper("matte")).report(threshold)


# -- intents


@pytest.mark.parametrize("intent", ["perceptual", "saturation"])
def test_perceptual_tells_moved_from_beyond(intent):
    made, sheet = scene(0.5), paper("matte")
    plain = gamut_report(made, sheet, intent="relative")
    moving = gamut_report(made, sheet, intent=intent)
    # what the paper does not have does not depend on the intent; what moves does
    assert moving.share_outside == pytest.approx(plain.share_outside)
    assert moving.share_moved > plain.share_moved + 0.2
    assert plain.share_moved == pytest.approx(plain.share_outside)


def test_an_unknown_intent_is_refused():
    with pytest.raises(ProfileError, match="rendering intent"):
        gamut_tally(halves(GREY, BLUE), paper("matte"), intent="vivid")


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


# -- work: cancelling, progress, what is kept


def test_cancelling_ends_the_count():
    with pytest.raises(Cancelled):
        gamut_tally(scene(0.9), paper("gloss"), cancelled=lambda: True)
    asked = iter([False, False, True, True, True, True])
    with pytest.raises(Cancelled):
        gamut_tally(scene(0.8), paper("gloss"), cancelled=lambda: next(asked))
    # and what was given up is not kept
    assert known_tally(scene(0.9), paper("gloss")) is None


def test_strips_add_up_and_progress_grows(monkeypatch):
    made, seen = scene(0.95), []
    whole = gamut_tally(made, paper("gloss"))
    monkeypatch.setattr(colours_module, "_STRIP_PIXELS", 1000)
    again = picture(made.pixels(), "ROMM RGB")
    strips = gamut_tally(again, paper("gloss"), progress=seen.append)
    assert len(seen) >= 19 and seen == sorted(seen) and seen[-1] == pytest.approx(1)
    assert np.array_equal(whole.beyond, strips.beyond)
    assert np.array_equal(whole.moved, strips.moved)


def test_a_tally_is_known_once_made():
    made = halves(GREY, (10, 200, 30))
    assert known_tally(made, paper("matte")) is None
    gamut_tally(made, paper("matte"), exact=False)
    assert known_tally(made, paper("matte")) is None
    tally = gamut_tally(made, paper("matte"))
    assert known_tally(made, paper("matte")) is tally
    assert gamut_tally(made, paper("matte")) is tally
    assert known_tally(made, paper("matte"), black_point_compensation=True) is None
    assert known_tally(made, paper("gloss")) is None


@pytest.mark.parametrize("exact", [True, False])
def test_a_picture_without_a_profile_is_not_guessed_at(exact):
    untagged = picture(np.full((8, 8, 3), 90, np.uint8), None)
    with pytest.raises(UntaggedPictureError):
        gamut_tally(untagged, paper("matte"), exact=exact)
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


@pytest.mark.parametrize("of", ["beyond", "moved"])
def test_quick_and_exact_maps_agree(of):
    how = {"black_point_compensation": True, "long_side_px": 160, "of": of}
    exact = distance_map(scene(1.0), paper("matte"), **how)
    quick = distance_map(scene(1.0), paper("matte"), exact=False, **how)
    assert exact.shape == quick.shape == (120, 160)
    assert np.percentile(np.abs(exact - quick), 95) < 0.5
    assert abs(np.mean(exact > 2) - np.mean(quick > 2)) < 0.02


def test_maps_of_beyond_and_moved_differ_where_the_intent_moves():
    how = {"intent": "perceptual", "long_side_px": 80}
    moved = distance_map(scene(0.3), paper("matte"), of="moved", **how)
    beyond = distance_map(scene(0.3), paper("matte"), of="beyond", **how)
    assert np.mean(moved > 2) > np.mean(beyond > 2) + 0.3
    with pytest.raises(WorkbenchError, match="“beyond” or “moved”"):
        distance_map(scene(0.3), paper("matte"), of="lost")


# -- colours gathered for drawing


def some_colours(lab, counts):
    lab = np.asarray(lab, np.float32).reshape(-1, 3)
    held = lab + np.float32([3, 0, 0])
    return Colours(Trip(lab, held, lab, held), np.asarray(counts))


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


def test_quick_colours_stand_for_every_pixel():
    found = quick_colours(scene(1.0), paper("matte"), "relative", True)
    assert found.counts.sum() == 120 * 160
    assert len(found.counts) < 120 * 160
    assert quick_colours(scene(1.0), paper("matte"), "relative", True) is found


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
