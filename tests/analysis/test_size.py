"""Print sizes: worked values, and laws that hold for every picture and sheet."""

from functools import partial
from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st

from workbench.analysis import fit as fitting
from workbench.analysis import size as sizes
from workbench.analysis.crop import (
    PRINTER_CLASSES_PPI,
    crop_to_ratio,
    parse_ratio,
    resampling_choices,
    turned_ratio,
)
from workbench.analysis.eye import eye_limit_ppi, sharp_from_mm
from workbench.analysis.fit import as_borders, best_of, compared
from workbench.analysis.sheets import FAMILIES, SHEETS, custom_sheet, find_sheet, sheets_of
from workbench.analysis.size import (
    pixels_needed,
)
from workbench.errors import SizeError
from workbench.printer import BORDERLESS, Printer

# the laws of sheets and borders alone; what a printer leaves bare is in test_printer.py
print_size = partial(sizes.print_size, feed=BORDERLESS)
fit_to_sheet = partial(sizes.fit_to_sheet, feed=BORDERLESS)
fit_on = partial(fitting.fit_on, feed=BORDERLESS)
largest_on = partial(fitting.largest_on, feed=BORDERLESS)

side_px = st.integers(200, 40_000)
any_px = st.integers(1, 40_000)
pictures = st.tuples(side_px, side_px)
resolutions = st.floats(40, 2400)
lengths_mm = st.floats(20, 3000)
border = st.floats(0, 60)
borders = st.tuples(border, border, border, border)
ratios = st.floats(0.1, 10)
sheets = st.sampled_from(SHEETS)
cut_sheets = st.sampled_from([sheet for sheet in SHEETS if not sheet.is_roll])

PICTURE = (6000, 4000)


def _close(value, rel=1e-9):
    return pytest.approx(value, rel=rel)


# Worked values ------------------------------------------------------------------


def test_the_example_everyone_knows():
    # A2 is 594 × 420 mm (ISO 216): 590 mm leave 2 mm on each side
    size = print_size((8362, 5528), ppi=360)
    assert size.sentence() == (
        "At 360 ppi this prints 59 × 39 cm; it fits A2 with 2 mm to spare on each side."
    )
    assert size.best_fit.name == "A2"
    assert size.best_fit.orientation == "landscape"


def test_a_print_is_pixels_over_ppi():
    # 3000 × 2400 px at 300 ppi is 10 × 8 in, whatever else is asked
    size = print_size((3000, 2400), ppi=300)
    assert (size.width_in, size.height_in) == _close((10, 8))
    assert (size.width_mm, size.height_mm) == _close((254, 203.2))
    assert size.best_fit.name == "8×10 in"
    assert "8×10 in paper with nothing to spare" in size.sentence("in")


@pytest.mark.parametrize(
    ("given_", "decided_by", "width_mm", "ppi"),
    [
        ({}, "printer", 6000 / 360 * 25.4, 360),
        ({"printer_ppi": 300}, "printer", 508, 300),
        ({"ppi": 300}, "ppi", 508, 300),
        ({"width_mm": 508}, "size", 508, 300),
        ({"height_mm": 4000 / 300 * 25.4}, "size", 508, 300),
        ({"long_side_mm": 508}, "size", 508, 300),
        ({"width_mm": 600, "height_mm": 400}, "size", 600, 254),
        (
            {"viewing_distance_mm": 250},
            "viewing distance",
            6000 / eye_limit_ppi(250) * 25.4,
            eye_limit_ppi(250),
        ),
        ({"sheet": "A2"}, "sheet", 594, 6000 / 594 * 25.4),
        ({"sheet": "A2", "ppi": 300}, "ppi", 508, 300),
        ({"sheet": "A2", "viewing_distance_mm": 900}, "sheet", 594, 6000 / 594 * 25.4),
        ({"ppi": 300, "viewing_distance_mm": 900}, "ppi", 508, 300),
        ({"ppi": 300, "width_mm": 508}, "size", 508, 300),
    ],
)
def test_what_is_given_decides(given_, decided_by, width_mm, ppi):
    size = print_size(PICTURE, **given_)
    assert size.decided_by == decided_by
    assert size.width_mm == pytest.approx(width_mm, rel=1e-5)
    assert size.ppi == pytest.approx(ppi, rel=1e-5)


def test_long_side_of_an_upright_picture_is_its_height():
    assert print_size((4000, 6000), long_side_mm=600).height_mm == 600
    assert print_size((4000, 6000), long_side_mm=600, crop_ratio=1).width_mm == _close(600)


def test_any_picture_will_do():
    like = SimpleNamespace(width_px=np.int64(6000), height_px=np.uint32(4000))
    assert print_size(like, ppi=300) == print_size(PICTURE, ppi=300)
    assert print_size(like, ppi=np.float32(300)) == print_size(PICTURE, ppi=300)


# Resampling ------------------------------------------------------------------------


def test_resampling_kinds():
    none = print_size(PICTURE, ppi=360).resampling
    assert (none.kind, none.factor, none.target_width_px) == ("none", 1.0, 6000)
    enlarge = print_size(PICTURE, ppi=180).resampling
    assert (enlarge.kind, enlarge.target_width_px, enlarge.target_height_px) == (
        "enlarge", 12000, 8000)  # fmt: skip
    assert "12,000 × 8,000 pixels" in enlarge.sentence
    reduce = print_size(PICTURE, ppi=720).resampling
    assert (reduce.kind, reduce.factor, reduce.target_height_px) == ("reduce", 0.5, 2000)


def test_resampling_choices_cover_the_printer_classes():
    choices = resampling_choices(print_size(PICTURE, ppi=360))
    assert [choice.printer_ppi for choice in choices] == list(PRINTER_CLASSES_PPI)
    assert [choice.kind for choice in choices] == ["reduce", "none", "enlarge", "enlarge"]


@pytest.mark.parametrize("picture", [(300, 200), (3000, 2000), (8256, 5504)])
@pytest.mark.parametrize("sheet, mm", [("A4", (297, 210)), ("A2", (594, 420))])
def test_print_pixels_fill_the_sheet_however_coarse_the_crop(picture, sheet, mm):
    # mm of ISO 216; a crop in whole pixels is off by up to half of one
    size = print_size(picture, sheet=sheet, crop_ratio=f"{mm[0]}:{mm[1]}", printer_ppi=360)
    wanted = tuple(round(side / 25.4 * 360) for side in mm)
    assert (size.resampling.target_width_px, size.resampling.target_height_px) == wanted
    (same,) = [each for each in resampling_choices(size) if each.printer_ppi == 360]
    assert (same.target_width_px, same.target_height_px) == wanted


@given(pictures, resolutions, resolutions)
def test_resampling_keeps_the_size_on_paper(pixels, ppi, printer_ppi):
    size = print_size(pixels, ppi=ppi, printer_ppi=printer_ppi)
    target = size.resampling
    assert abs(target.target_width_px - size.width_in * printer_ppi) <= 0.5 + 1e-6
    assert abs(target.target_height_px - size.height_in * printer_ppi) <= 0.5 + 1e-6
    if target.kind == "enlarge":
        assert target.target_width_px >= pixels[0]
    elif target.kind == "reduce":
        assert target.target_width_px <= pixels[0]
    else:
        assert (target.target_width_px, target.target_height_px) == pixels


# Laws of size --------------------------------------------------------------------


@given(pictures, resolutions)
def test_size_and_ppi_solve_each_other(pixels, ppi):
    size = print_size(pixels, ppi=ppi)
    assert size.width_in * ppi == _close(pixels[0])
    assert size.height_in * ppi == _close(pixels[1])
    for back in (
        print_size(pixels, width_mm=size.width_mm),
        print_size(pixels, height_mm=size.height_mm),
        print_size(pixels, long_side_mm=max(size.width_mm, size.height_mm)),
        print_size(pixels, width_mm=size.width_mm, height_mm=size.height_mm),
        print_size(pixels, width_mm=size.width_mm, ppi=ppi),
    ):
        assert back.ppi == _close(ppi)
        assert (back.width_mm, back.height_mm) == _close((size.width_mm, size.height_mm))
        assert back.crop.lost == 0


@given(pictures, resolutions, st.floats(0.25, 4))
def test_scaling_laws(pixels, ppi, factor):
    assume(10 < ppi * factor < 5000 and max(pixels) / (ppi * min(1, factor)) < 1900)
    one, other = print_size(pixels, ppi=ppi), print_size(pixels, ppi=ppi * factor)
    # so many times the ppi, so many times smaller, and seen sharp from so many times nearer
    assert other.width_mm == _close(one.width_mm / factor)
    assert other.resampling.factor == _close(one.resampling.factor / factor)
    assert sharp_from_mm(other.ppi) == _close(sharp_from_mm(one.ppi) / factor)


@given(pictures, resolutions, st.integers(2, 5))
def test_more_pixels_print_larger(pixels, ppi, times):
    assume(max(pixels) * times / ppi < 1900)
    more = print_size((pixels[0] * times, pixels[1] * times), ppi=ppi)
    assert more.width_mm == _close(times * print_size(pixels, ppi=ppi).width_mm)


@given(pictures, resolutions)
def test_turning_the_picture_turns_the_print(pixels, ppi):
    size, turned = print_size(pixels, ppi=ppi), print_size(pixels[::-1], ppi=ppi)
    assert (turned.width_mm, turned.height_mm) == (size.height_mm, size.width_mm)
    assert [fit.fits for fit in turned.fits] == [fit.fits for fit in size.fits]
    if size.best_fit is not None:
        assert turned.best_fit.name == size.best_fit.name
        assert turned.best_fit.paper_mm2 == _close(size.best_fit.paper_mm2)


@given(lengths_mm, lengths_mm, resolutions)
@example(254.0, 203.2, 300.0)
def test_pixels_needed_are_enough_and_not_more(width_mm, height_mm, ppi):
    width_px, height_px = pixels_needed(width_mm, height_mm, ppi)
    for count, length in ((width_px, width_mm), (height_px, height_mm)):
        assert count >= length / 25.4 * ppi - 1e-5
        assert count - 1 < length / 25.4 * ppi


def test_pixels_needed_at_round_numbers():
    assert pixels_needed(254, 203.2, 300) == (3000, 2400)


# Crop ------------------------------------------------------------------------------


@given(any_px, any_px, ratios, st.tuples(st.floats(0, 1), st.floats(0, 1)))
def test_a_crop_never_enlarges_and_adds_up(width_px, height_px, ratio, position):
    crop = crop_to_ratio(width_px, height_px, ratio, position)
    assert 1 <= crop.width_px <= width_px
    assert 1 <= crop.height_px <= height_px
    assert crop.kept + crop.lost == _close(1)
    assert 0 <= crop.lost < 1
    assert crop.kept == _close(crop.width_px * crop.height_px / (width_px * height_px))
    assert crop.left_px + crop.width_px + crop.right_px == width_px
    assert crop.top_px + crop.height_px + crop.bottom_px == height_px
    assert min(crop.left_px, crop.right_px, crop.top_px, crop.bottom_px) >= 0
    # only one direction is cut, so it is the largest such part
    assert crop.width_px == width_px or crop.height_px == height_px


@given(pictures, ratios)
def test_a_crop_has_the_ratio_to_half_a_pixel(pixels, ratio):
    crop = crop_to_ratio(*pixels, ratio)
    assert (abs(crop.width_px - crop.height_px * ratio) <= 0.5 + 1e-6
            or abs(crop.height_px - crop.width_px / ratio) <= 0.5 + 1e-6)  # fmt: skip


@given(pictures)
def test_cropping_to_its_own_ratio_loses_nothing(pixels):
    assert crop_to_ratio(*pixels, pixels[0] / pixels[1]).lost == 0
    assert crop_to_ratio(*pixels, None).kept == 1


@given(pictures, ratios)
def test_cropping_twice_is_cropping_once(pixels, ratio):
    once = crop_to_ratio(*pixels, ratio)
    twice = crop_to_ratio(once.width_px, once.height_px, ratio)
    # but for the half pixel the first was rounded by, which the other side may follow
    assert abs(twice.width_px - once.width_px) <= 0.5 * ratio + 1
    assert abs(twice.height_px - once.height_px) <= 0.5 / ratio + 1


def test_crop_worked_by_hand():
    # 3:2 to 5:4: 4000 px of height carry 5000 px of width, so 500 px go on each side, 1/6 lost
    size = print_size(PICTURE, crop_ratio="5:4", ppi=300)
    assert size.crop.box_px == (500, 0, 5000, 4000)
    assert size.crop.lost == _close(1 / 6)
    assert "500 px left and 500 px right: 16.7 %" in size.crop.text()
    assert (size.width_px, size.height_px) == (5000, 4000)
    assert (size.width_in, size.height_in) == _close((5000 / 300, 4000 / 300))
    assert print_size(PICTURE).crop.text() == "The whole picture is printed."
    left = print_size(PICTURE, crop_ratio=1.25, crop_position=(0, 0))
    assert (left.crop.left_px, left.crop.right_px) == (0, 1000)


def test_ratios_follow_the_picture_unless_told():
    # in the trade 5:4 and 4:5 are one format (common practice, no source)
    upright = (4000, 6000)
    for ratio in ("5:4", "4:5", "5/4", "5x4", 1.25, 0.8, (5, 4)):
        assert print_size(upright, crop_ratio=ratio).crop.box_px == (0, 500, 4000, 5000)
        assert print_size(PICTURE, crop_ratio=ratio).crop.box_px == (500, 0, 5000, 4000)
    turned = print_size(PICTURE, crop_ratio="5:4", crop_orientation="portrait")
    assert turned.crop.box_px == (1400, 0, 3200, 4000)
    assert turned_ratio(0.8, 6000, 4000, "as given") == 0.8
    assert turned_ratio(0.8, 4000, 4000) == 0.8
    assert parse_ratio("square") == 1


@given(pictures, lengths_mm, lengths_mm)
def test_both_sides_print_exactly_as_asked(pixels, width_mm, height_mm):
    assume(0.1 < width_mm / height_mm < 10)
    try:
        size = print_size(pixels, width_mm=width_mm, height_mm=height_mm)
    except SizeError as refused:
        # only a tiny print of many pixels may be refused
        assert "no printer" in str(refused)
        return
    assert (size.width_mm, size.height_mm) == (width_mm, height_mm)
    # square pixels to within the half pixel that the crop is rounded by
    assert abs(size.width_in * size.ppi - size.width_px) <= 0.5 + 1e-6
    assert abs(size.height_in * size.ppi - size.height_px) <= 0.5 + 1e-6


# Sheets ------------------------------------------------------------------------------


@given(lengths_mm, lengths_mm, borders, sheets)
def test_fit_says_what_the_lengths_say(width_mm, height_mm, edges, sheet):
    fit = fit_on(sheet, width_mm, height_mm, edges)
    top, right, bottom, left = edges
    assert fit.fits == (min(fit.spare_width_mm, fit.spare_height_mm) >= -1e-6)
    if sheet.is_roll:
        rolled = {"across": (sheet.width_mm, height_mm + top + bottom),
                  "along": (width_mm + left + right, sheet.width_mm)}[fit.orientation]  # fmt: skip
        assert (fit.width_mm, fit.height_mm) == _close(rolled)
        assert fit.length_used_mm in (fit.width_mm, fit.height_mm)
        assert 0.0 in (fit.spare_width_mm, fit.spare_height_mm)
        return
    assert sorted((fit.width_mm, fit.height_mm)) == [sheet.width_mm, sheet.height_mm]
    assert (fit.orientation == "landscape") == (fit.width_mm > fit.height_mm)
    assert fit.spare_width_mm == pytest.approx(
        (fit.width_mm - left - right - width_mm) / 2, abs=1e-9
    )
    assert fit.spare_height_mm == pytest.approx(
        (fit.height_mm - top - bottom - height_mm) / 2, abs=1e-9
    )
    # neither way round was better
    other = min(fit.height_mm - left - right - width_mm, fit.width_mm - top - bottom - height_mm)
    assert fit.spare_mm >= other / 2 - 1e-9


@given(lengths_mm, lengths_mm, borders, sheets, st.floats(0.05, 1))
def test_what_fits_still_fits_when_smaller(width_mm, height_mm, edges, sheet, factor):
    fit = fit_on(sheet, width_mm, height_mm, edges)
    smaller = fit_on(sheet, width_mm * factor, height_mm * factor, edges)
    if fit.fits:
        assert smaller.fits
        if sheet.is_roll:
            assert smaller.length_used_mm <= fit.length_used_mm + 1e-9
    if not sheet.is_roll:
        assert smaller.spare_mm >= fit.spare_mm - 1e-9


@given(lengths_mm, lengths_mm, borders, sheets, st.floats(0.1, 50))
def test_borders_only_take_away(width_mm, height_mm, edges, sheet, more):
    fit = fit_on(sheet, width_mm, height_mm, edges)
    wider = fit_on(sheet, width_mm, height_mm, tuple(edge + more for edge in edges))
    assert not wider.fits or fit.fits
    if not sheet.is_roll:
        assert wider.spare_mm == pytest.approx(fit.spare_mm - more, abs=1e-9)
    elif fit.fits and wider.fits:
        assert wider.length_used_mm > fit.length_used_mm


@given(lengths_mm, lengths_mm, borders)
def test_the_best_fit_is_the_smallest_sheet_that_fits(width_mm, height_mm, edges):
    fits = [fit_on(sheet, width_mm, height_mm, edges) for sheet in sheets_of(FAMILIES)]
    best = best_of(fits)
    able = [fit for fit in fits if fit.fits]
    if best is None:
        assert not able
    elif best.sheet.is_roll:
        assert all(fit.sheet.width_mm >= best.sheet.width_mm for fit in able)
        assert all(fit.sheet.is_roll for fit in able)
    else:
        assert all(fit.paper_mm2 >= best.paper_mm2 for fit in able if not fit.sheet.is_roll)


@given(lengths_mm, lengths_mm, st.integers(2, 6))
def test_compared_sheets_hold_the_answer(width_mm, height_mm, count):
    fits = [fit_on(sheet, width_mm, height_mm) for sheet in sheets_of()]
    shown = compared(fits, count)
    assert 1 <= len(shown) <= count
    assert len({fit.name for fit in shown}) == len(shown)
    assert best_of(fits) is None or best_of(fits) in shown
    assert set(shown) <= set(fits)


@given(pictures, sheets, borders)
def test_filling_a_sheet(pixels, sheet, edges):
    try:
        size = fit_to_sheet(pixels, sheet, borders_mm=edges)
    except SizeError as refused:
        # only where the borders or the pixels leave no sensible print
        assert any(words in str(refused) for words in ("leave nothing", "no printer", "50 m"))
        return
    assert size.chosen.fits
    assert size.chosen.spare_mm == pytest.approx(0, abs=1e-6)
    assert size.width_mm / size.height_mm == _close(pixels[0] / pixels[1])
    # nothing larger goes on it
    assert not fit_on(sheet, size.width_mm * 1.001, size.height_mm * 1.001, edges).fits


@given(pictures, cut_sheets, st.floats(0, 20))
def test_filling_a_sheet_to_its_borders(pixels, sheet, edge):
    size = fit_to_sheet(pixels, sheet, borders_mm=edge, fill=True, printer_ppi=360)
    assert size.chosen.fits
    assert abs(size.chosen.spare_width_mm) < 1e-6
    assert abs(size.chosen.spare_height_mm) < 1e-6
    # the way round that loses less of the picture
    landscape = pixels[0] > pixels[1]
    assert pixels[0] == pixels[1] or landscape == (size.width_mm > size.height_mm)


def test_filling_a_roll_spans_its_width():
    size = print_size(PICTURE, sheet="24 in roll", borders_mm=20)
    assert size.height_mm == _close(24 * 25.4 - 40)
    assert size.chosen.orientation == "along"
    assert size.chosen.length_used_mm == _close(1.5 * (24 * 25.4 - 40) + 40)
    assert largest_on(find_sheet("24 in roll"), 2 / 3, 0) == _close((609.6, 914.4))


def test_a_roll_takes_the_way_that_uses_less():
    fit = fit_on(find_sheet("24 in roll"), 600, 400)
    assert (fit.orientation, fit.length_used_mm) == ("across", 400)
    assert (fit.name, fit.family) == ("24 in roll", "roll")
    fit = fit_on(find_sheet("17 in roll"), 600, 400)
    assert (fit.orientation, fit.length_used_mm) == ("along", 600)


def test_borders_turn_with_the_picture_not_the_sheet():
    # a wide foot under the picture stays a foot whichever way the sheet is turned
    edges = (10, 10, 60, 10)
    tall = fit_on(find_sheet("A4"), 180, 220, edges)
    assert (tall.orientation, tall.printable_height_mm) == ("portrait", 297 - 70)
    wide = fit_on(find_sheet("A4"), 270, 130, edges)
    assert (wide.orientation, wide.printable_height_mm) == ("landscape", 210 - 70)
    assert wide.fits


def test_borderless_fits_exactly():
    fit = fit_on(find_sheet("A4"), 297, 210, 0)
    assert fit.fits
    assert fit.within_tolerance  # ISO 216 lets the sheet be 2 mm short
    assert fit.spare_mm == 0
    assert not fit_on(find_sheet("A4"), 297, 210, 0.01).fits
    assert not fit_on(find_sheet("A4"), 277, 190, 10).within_tolerance


def test_sentences_in_each_unit_and_state():
    chosen = print_size((6000, 4000), ppi=240, sheet="A3", borders_mm=10)
    assert chosen.sentence("mm") == (
        "At 240 ppi this prints 635 × 423 mm; it does not fit A3 inside 10 mm borders: "
        "235 mm too wide and 147 mm too tall."
    )
    roll = print_size((20000, 5000), width_mm=2000, borders_mm=5)
    assert roll.sentence() == (
        "At 254 ppi this prints 200 × 50 cm; it fits a 24 in roll inside 5 mm borders "
        "with 49 mm to spare on each side, using 201 cm of its length."
    )
    assert "fits none of the sheets" in print_size((20000, 20000), ppi=150).sentence()
    assert "inside borders of 0, 0, 20, 0 mm" in print_size(
        PICTURE, ppi=360, borders_mm=(0, 0, 20, 0)).sentence()  # fmt: skip
    notes = print_size(PICTURE, sheet="A4", crop_ratio="sheet").sentences("in")
    assert any("may by their standard be out" in note for note in notes)
    assert notes[0].endswith("it fits A4 with nothing to spare.")
    with pytest.raises(SizeError, match="cm, mm or in"):
        chosen.sentence("ell")


def test_a_thick_paper_s_own_way_is_told_where_it_takes_room():
    told = "at the rear or front here, as thick papers must; that leaves 25 mm bare at one edge."

    def notes(thickness_mm, path="auto", **how):
        feed = Printer(thick_trailing_mm=25).feed(path, thickness_mm)
        return " ".join(print_size(PICTURE, ppi=360, feed=feed, **how).sentences())

    assert told in notes(0.6) and told in notes(None, "thick")
    assert told not in notes(0.2) + notes(0.6, "usual") + notes(0.6, "borderless")
    assert told not in notes(0.6, sheet="24 in roll")


@settings(max_examples=300)
@given(st.floats(-300, 300), st.sampled_from(["cm", "mm", "in"]))
@example(5e-7, "mm")
@example(0.5, "in")
def test_room_in_words_never_promises_more_than_there_is(spare_mm, unit):
    sheet = custom_sheet(1000, 1000)
    # half of it on each side; an overhang is told whole
    fit = fit_on(sheet, 1000 - (2 * spare_mm if spare_mm > 0 else spare_mm), 100)
    words = fit.room_text(unit).split()
    if words[0] in ("nothing", "less"):
        assert abs(spare_mm) < 1
        return
    shown = float(words[0]) * {"mm": 1, "cm": 10, "in": 25.4}[words[1]]
    if fit.fits:
        assert shown <= spare_mm + 1e-3
    else:
        assert shown >= -spare_mm - 1e-3
    assert shown == pytest.approx(abs(spare_mm), abs=10.1)


# Wishes that cannot be met ------------------------------------------------------------


@pytest.mark.parametrize("name", ["ppi", "width_mm", "height_mm", "long_side_mm",
                                  "viewing_distance_mm", "printer_ppi"])  # fmt: skip
@pytest.mark.parametrize("value", [0, -1, float("nan"), float("inf"), -float("inf"), "wide", True,
                                   [1, 2], 1e9])  # fmt: skip
def test_senseless_numbers_are_refused(name, value):
    with pytest.raises(SizeError):
        print_size(PICTURE, **{name: value})


@pytest.mark.parametrize(
    ("given_", "said"),
    [
        ({"ppi": 10_001}, "at most 10000 ppi"),
        ({"width_mm": 50_001}, "Is the unit right"),
        ({"width_mm": 1}, "no printer comes near"),
        ({"ppi": 2}, "more than 50 m"),
        ({"ppi": 300, "width_mm": 600}, "it becomes 254"),
        ({"ppi": 300, "width_mm": 600}, "printer's resolution"),
        ({"long_side_mm": 600, "width_mm": 600}, "not both"),
        ({"width_mm": 600, "height_mm": 400, "crop_ratio": 1}, "Leave out the ratio"),
        ({"crop_ratio": "sheet"}, "choose a sheet"),
        ({"crop_ratio": "sheet", "sheet": "24 in roll"}, "roll has no ratio"),
        ({"crop_ratio": "wide"}, "not a ratio"),
        ({"crop_ratio": "3:2:1"}, "two numbers"),
        ({"crop_ratio": 0}, "greater than 0"),
        ({"crop_ratio": 1000}, "slimmer than 100:1"),
        ({"crop_ratio": 1, "crop_orientation": "sideways"}, "crop orientation"),
        ({"crop_position": (0.5, 2)}, "from 0 to 1"),
        ({"crop_position": 0.5}, "from 0 to 1"),
        ({"borders_mm": -1}, "border must be 0 mm or more"),
        ({"borders_mm": (1, 2)}, "top, right, bottom, left"),
        ({"borders_mm": (1, 2, 3, float("nan"))}, "left border"),
        ({"borders_mm": "10"}, "one number of mm"),
        ({"borders_mm": None}, "border must be 0 mm or more"),
        ({"borders_mm": 200, "sheet": "A4"}, "leave nothing of A4"),
        ({"sheet": "A44"}, "no sheet called"),
    ],
)
def test_wishes_that_cannot_be_met_are_explained(given_, said):
    with pytest.raises(SizeError, match=said):
        print_size(PICTURE, **given_)


@pytest.mark.parametrize("picture", [None, (0, 10), (10.5, 10), (1, 2, 3), "tall", (10, -1), 5])
def test_what_is_no_picture_is_refused(picture):
    with pytest.raises(SizeError):
        print_size(picture)


@given(pictures, resolutions, st.floats(0.5, 2) | st.floats(0.98, 1.02))
@example((6000, 4000), 300.0, 1.0049)
@example((6000, 4000), 300.0, 1.0051)
@example((6000, 4000), 300.0, 0.9952)
@example((6000, 4000), 300.0, 0.9949)
def test_size_and_ppi_agree_or_are_refused(pixels, ppi, factor):
    size = print_size(pixels, ppi=ppi)
    wanted = size.width_mm * factor
    assume(wanted < 50_000 and size.height_mm * factor < 50_000)
    apart = abs(1 / factor - 1)
    assume(abs(apart - 0.005) > 1e-6)
    if apart < 0.005:  # rounded numbers agree; the size stands
        both = print_size(pixels, ppi=ppi, width_mm=wanted)
        assert both.width_mm == wanted
        assert both.ppi == _close(ppi / factor)
    else:
        with pytest.raises(SizeError, match="Leave out the ppi"):
            print_size(pixels, ppi=ppi, width_mm=wanted)


def test_borders_of_many_kinds():
    assert as_borders(5) == as_borders([5, 5, 5, 5]) == as_borders(np.full(4, 5.0))
    assert as_borders(as_borders(3)) == as_borders(3)
    assert as_borders(0).text() == "no borders"
    assert as_borders((1, 2, 3, 4)).across_mm == 6
    assert as_borders((1, 2, 3, 4)).down_mm == 4
