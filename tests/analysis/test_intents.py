"""The table of intents: its figures by other ways, and its advice by its rules."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from helpers import demo_paper
from pictures import colourful, picture_of

import workbench as wb
from workbench.analysis.intent_advice import advise
from workbench.analysis.intents import (
    RENDERINGS,
    IntentRow,
    compare_intents,
    detail_kept,
    local_deviation,
)
from workbench.colour.engine import transform
from workbench.errors import Cancelled, UntaggedPictureError, WorkbenchError


@pytest.fixture(scope="module")
def matte():
    return demo_paper("matte", "smooth")


def scene(low: float, high: float, tint=(0.0, 0.0, 0.0)):
    """A fine texture between two device values, 120 × 160."""
    rng = np.random.default_rng(6)
    plane = low + (high - low) * rng.random((120, 160, 1))
    return picture_of(np.clip(plane + np.array(tint), 0, 1), "sRGB")


@pytest.fixture(scope="module")
def table(matte):
    return compare_intents(colourful(120, 180), matte)


def test_every_intent_has_its_rows(table):
    found = [(row.intent, row.black_point_compensation) for row in table.rows]
    assert tuple(found) == RENDERINGS and len(set(found)) == 7
    assert table.row("absolute", True) is table.row("absolute")
    assert len(table.table()) == 7 and table.table()[3]["intent"] == "relative"
    with pytest.raises(WorkbenchError, match="not a rendering intent"):
        table.row("vivid")


def test_shifts_are_those_of_colour_shift(table, matte):
    for row in table.rows:
        report = wb.colour_shift(
            table.picture,
            matte,
            intent=row.intent,
            black_point_compensation=row.black_point_compensation,
        )
        assert row.share_moved == report.share_moved
        assert row.mean_shift == report.mean
        assert row.shift_95 == report.percentiles[95]
        assert table.limit == report.limit


def test_quick_shares_are_near_those_of_every_pixel(table, matte):
    quick = wb.compare_intents(table.picture, matte, exact=False)
    assert table.gamut.exact and not quick.gamut.exact
    # within 0.2 points, as `Counts.share` promises
    for one, other in zip(quick.rows, table.rows, strict=True):
        assert one.share_moved == pytest.approx(other.share_moved, abs=0.002)


def test_local_deviation_is_the_standard_deviation_of_a_window():
    plane = np.random.default_rng(1).normal(50, 10, (12, 14)).astype(np.float32)
    deviation = local_deviation(plane, 5)
    assert deviation.shape == plane.shape
    for y, x in ((2, 2), (5, 9), (9, 11)):
        window = plane[y - 2 : y + 3, x - 2 : x + 3].astype(float)
        assert abs(deviation[y, x] - window.std()) < 1e-6
    assert local_deviation(np.full((9, 9), 93.7)).max() < 1e-6


def test_detail_kept_is_a_mean_of_shares():
    before = np.full((40, 50), 2.0)
    after = np.where(np.arange(50) < 25, 0.0, 1.0) * np.ones((40, 1))
    everywhere = np.ones_like(before, bool)
    # half of it lost, half of it halved
    assert detail_kept(before, after, everywhere) == 0.25
    # what grows counts as kept, not as more
    assert detail_kept(before, 5 * before, everywhere) == 1
    # flat to begin with, or nearly nothing of a kind: nothing to keep
    assert detail_kept(0 * before, after, everywhere) is None
    one = np.zeros_like(everywhere)
    one[0, 0] = True
    assert detail_kept(before, after, one) is None


def kept_by_hand(picture, paper, wanted, intent, compensate) -> float:
    """Mean of local contrast of media-relative L* after over before, window by window."""
    how = {"intent": intent, "black_point_compensation": compensate}
    pixels = picture.pixels() / 65535
    source = transform(pixels, picture.profile, "lab")[..., 0]
    device = transform(pixels, picture.profile, paper.profile, **how)
    printed = transform(device, paper.profile, "lab")[..., 0]
    ratios = [
        min(1, printed[y : y + 5, x : x + 5].std() / source[y : y + 5, x : x + 5].std())
        for y in range(116)
        for x in range(156)
        if wanted(source[y + 2, x + 2])
    ]
    return float(np.mean(ratios))


def test_shadows_of_a_matte_print(matte):
    dark = compare_intents(scene(0.0, 0.2), matte)
    off, on = dark.row("relative", False), dark.row("relative", True)
    # without compensation everything under the paper's black is one black
    assert off.shadow_detail < on.shadow_detail - 0.1
    assert off.highlight_detail is None and 0 < on.shadow_detail <= 1
    assert dark.advised.black_point_compensation
    by_hand = kept_by_hand(dark.picture, matte, lambda lightness: lightness < 25, "relative", True)
    assert abs(on.shadow_detail - by_hand) < 0.01


def test_highlights_of_an_absolute_print_on_a_tinted_paper():
    warm = demo_paper("matte", "plant fibre")
    light = compare_intents(scene(0.85, 1.0), warm)
    # whites beyond the paper's own are all bare paper; media-relative they fit
    assert light.row("absolute").highlight_detail < 0.8
    assert light.row("relative", False).highlight_detail > 0.9
    assert light.row("absolute").shadow_detail is None
    by_hand = kept_by_hand(light.picture, warm, lambda value: value > 85, "absolute", False)
    assert abs(light.row("absolute").highlight_detail - by_hand) < 0.005


def test_neutral_drift_of_absolute_is_the_papers_tint(coated):
    greys = picture_of(np.linspace(0.2, 0.8, 200)[None].repeat(40, 0), "Grey, power 2.2")
    table = compare_intents(greys, coated)
    assert table.greys == "picture"
    # greys printed neutral on a bluish paper look tinted to an eye used to the paper, by
    # about its own chroma, less where they are darker
    tint = np.hypot(*coated.white_lab[1:])
    drift = table.row("absolute").neutral_drift
    assert 0.4 * tint < drift < 1.2 * tint
    assert table.row("relative", True).neutral_drift < 0.5


def test_without_greys_the_drift_is_of_a_grey_scale(matte):
    red = compare_intents(scene(0.0, 0.1, (0.7, 0.1, 0.1)), matte)
    assert red.greys == "grey scale"
    grey = np.zeros((20, 3))
    grey[:, 0] = np.linspace(5, 100, 20)
    printed = transform(transform(grey, "lab", matte.profile), matte.profile, "lab")
    by_hand = np.hypot(printed[:, 1], printed[:, 2]).mean()
    assert abs(red.row("relative", False).neutral_drift - by_hand) < 1e-6


def test_a_picture_within_the_paper_is_printed_as_it_is(matte):
    muted = compare_intents(scene(0.4, 0.7), matte)
    assert muted.advised.intent == "relative" and "as they are" in muted.reason
    assert muted.row("relative", False).share_moved < 0.01
    assert muted.advice.startswith("Print it relative, with")
    assert muted.advice.endswith(".") and "hardly any" in muted.advice


def test_a_profile_without_a_perceptual_table(coated):
    table = compare_intents(colourful(120, 180), coated)
    assert [row.own_table for row in table.rows] == [False, False, True, True, False, False, True]
    assert table.advised.intent == "relative" and "no perceptual table" in table.reason
    assert any("perceptual or saturation" in note for note in table.notes)


def test_version_four_compensates_unasked(table, coated):
    assert any("version 4" in note for note in table.notes)
    for intent in ("perceptual", "saturation"):
        off, on = table.row(intent, False), table.row(intent, True)
        assert replace(off, black_point_compensation=True) == on
    assert not any("version 4" in n for n in compare_intents(colourful(), coated).notes)


def made_up(**changes) -> tuple[IntentRow, ...]:
    """Rows of a picture, all with the same figures but ``changes``."""
    row = IntentRow("", False, 0.1, 2.0, 6.0, 0.7, 0.9, 0.6, 0.3, True)
    rows = []
    for intent, compensate in RENDERINGS:
        own = {**changes.get(intent, {}), **changes.get(f"{intent}_{compensate}", {})}
        rows.append(replace(row, intent=intent, black_point_compensation=compensate, **own))
    return tuple(rows)


@pytest.mark.parametrize(
    "changes, intent, compensate, words",
    [
        ({"perceptual": {"colour_detail": 0.75}}, "perceptual", True, "75 % of the detail"),
        ({"perceptual": {"shadow_detail": 0.8}}, "perceptual", True, "in the shadows"),
        ({"perceptual": {"highlight_detail": 0.99}}, "perceptual", True, "in the highlights"),
        # it wins some and loses more elsewhere
        (
            {"perceptual": {"colour_detail": 0.7, "shadow_detail": 0.4}},
            "relative",
            True,
            "hardly more detail",
        ),
        ({}, "relative", True, "hardly more detail"),
        ({"outside": 0.01}, "relative", True, "hardly any"),
        ({"relative_True": {"shadow_detail": 0.5}}, "relative", False, "leaving the black"),
        ({"relative_False": {"shadow_detail": 0.5}}, "relative", True, "compensation keeps 70 %"),
        # no shadows to save: then what moves less
        (
            {"relative": {"shadow_detail": None}, "relative_True": {"mean_shift": 4.0}},
            "relative",
            False,
            "hardly more",
        ),
        # imitation and charts are never advised for a photograph
        (
            {"absolute": {"mean_shift": 0.0, "colour_detail": 1.0}},
            "relative",
            True,
            "too saturated",
        ),
        ({"saturation": {"colour_detail": 1.0}}, "relative", True, "too saturated"),
    ],
)
def test_the_rules(changes, intent, compensate, words):
    # 10 % too saturated, and as much too dark, which compensation looks after
    outside = changes.get("outside", 0.1)
    gamut = SimpleNamespace(share_outside=outside + 0.1, share_too_dark=0.1)
    row, reason = advise(made_up(**changes), gamut)
    assert (row.intent, row.black_point_compensation) == (intent, compensate)
    assert words in reason


def test_greys_and_wrong_input(matte):
    grey = picture_of(np.linspace(0, 1, 300)[None].repeat(60, 0), "Grey, power 2.2")
    table = compare_intents(grey, matte)
    assert table.row("relative", True).neutral_drift < 1
    with pytest.raises(WorkbenchError, match="threshold"):
        compare_intents(grey, matte, threshold=99)
    with pytest.raises(Cancelled):
        compare_intents(grey, matte, cancelled=lambda: True)
    told = []
    compare_intents(grey, matte, progress=told.append)
    assert told[0] == 0 and told == sorted(told) and told[-1] < 1
    with pytest.raises(UntaggedPictureError):
        compare_intents(untagged(), matte)


def untagged():
    import io

    import tifffile

    file = io.BytesIO()
    tifffile.imwrite(file, np.zeros((4, 4, 3), np.uint8), photometric="rgb")
    return wb.open_picture(file.getvalue(), name="old.tif")


def test_the_pictures_own_space_counts(coated):
    # the same pixels mean other colours in another space, so the table must change
    pixels = colourful(60, 90).pixels()
    narrow = compare_intents(picture_of(pixels, "sRGB"), coated)
    wide = compare_intents(picture_of(pixels, "ROMM RGB"), coated)
    assert wide.gamut.share_outside > narrow.gamut.share_outside
