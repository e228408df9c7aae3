"""Sheets against the rules and names of the standards that define them."""

import math
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from workbench.analysis.sheets import (
    FAMILIES,
    REGIONS,
    ROLLS,
    SHEETS,
    USUAL_FAMILIES,
    area_text,
    custom_roll,
    custom_sheet,
    families_of,
    find_sheet,
    in_to_mm,
    iso_tolerance_mm,
    length_text,
    mm_to_in,
    sheets_of,
)
from workbench.errors import SizeError


def _halved(width_mm, height_mm, times):
    """ISO 216's own rule: cut in half across the long side, fractions of a mm dropped."""
    for _ in range(times):
        width_mm, height_mm = height_mm // 2, width_mm
    return width_mm, height_mm


# ISO 216: sides are 1 : √2, A0 is 1 m², B0 has a short side of 1 m, whole millimetres
_A0 = (round(1000 / 2**0.25), round(1000 * 2**0.25))
_B0 = (1000, math.floor(1000 * 2**0.5))


@pytest.mark.parametrize("n", range(7))
@pytest.mark.parametrize(("series", "largest"), [("A", _A0), ("B", _B0)])
def test_iso_sheets_follow_the_halving_rule(series, largest, n):
    sheet = find_sheet(f"{series}{n}")
    assert (sheet.width_mm, sheet.height_mm) == _halved(*largest, n)
    assert sheet.height_mm / sheet.width_mm == pytest.approx(math.sqrt(2), rel=0.01)
    assert sheet.source.startswith("ISO 216")
    assert sheet.family == f"ISO {series}"


def test_a0_is_a_square_metre():
    assert find_sheet("A0").area_mm2 == pytest.approx(1e6, rel=1e-3)


@pytest.mark.parametrize("n", range(1, 7))
def test_b_is_the_geometric_mean_of_two_a_sheets(n):
    # ISO 216: B_n lies between A_n and A_(n-1); whole millimetres leave up to 1 mm
    a, larger, b = find_sheet(f"A{n}"), find_sheet(f"A{n - 1}"), find_sheet(f"B{n}")
    assert b.width_mm == pytest.approx(math.sqrt(a.width_mm * larger.width_mm), abs=1)
    assert b.height_mm == pytest.approx(math.sqrt(a.height_mm * larger.height_mm), abs=1)


@pytest.mark.parametrize(
    ("side_mm", "tolerance_mm"), [(105, 1.5), (150, 1.5), (151, 2), (600, 2), (601, 3), (1189, 3)]
)
def test_iso_tolerances(side_mm, tolerance_mm):
    # ISO 216: ±1.5 mm to 150 mm, ±2 mm to 600 mm, ±3 mm above
    assert iso_tolerance_mm(side_mm) == tolerance_mm


def test_tolerance_is_that_of_the_long_side():
    assert find_sheet("A6").tolerance_mm == 1.5
    assert find_sheet("A4").tolerance_mm == 2.0
    assert find_sheet("A0").tolerance_mm == 3.0
    assert find_sheet("8x10 in").tolerance_mm is None


def test_north_american_sheets_double_from_letter():
    # ASME Y14.1: A is 8.5 × 11 in, and each next letter is two of the one before
    width, height = 8.5, 11.0
    for letter in "ABCDE":
        sheet = find_sheet(f"ASME {letter}")
        assert (mm_to_in(sheet.width_mm), mm_to_in(sheet.height_mm)) == pytest.approx(
            (width, height)
        )
        assert sheet.family == "North American"
        width, height = height, 2 * width


# Self-describing names of PWG 5101.1 (Media Standardized Names), which carry their sizes
_PWG = (
    "iso_a6_105x148mm", "iso_a5_148x210mm", "iso_a4_210x297mm", "iso_a3_297x420mm",
    "iso_a2_420x594mm", "iso_a1_594x841mm", "iso_a0_841x1189mm", "iso_b6_125x176mm",
    "iso_b5_176x250mm", "iso_b4_250x353mm", "iso_b3_353x500mm", "iso_b2_500x707mm",
    "iso_b1_707x1000mm", "iso_b0_1000x1414mm", "na_letter_8.5x11in", "na_ledger_11x17in",
    "na_c_17x22in", "na_d_22x34in", "na_e_34x44in", "na_index-4x6_4x6in", "na_5x7_5x7in",
    "na_govt-letter_8x10in", "oe_photo-s8r_8x12in", "oe_photo-10r_10x12in", "na_edp_11x14in",
    "na_super-b_13x19in", "oe_photo-16r_16x20in", "oe_photo-20r_20x24in",
    "oe_photo-20x30_20x30in", "oe_photo-24x30_24x30in", "na_arch-d_24x36in",
    "oe_photo-30r_30x40in", "om_small-photo_100x150mm", "om_medium-photo_130x180mm",
    "om_large-photo_200x300mm", "om_photo-30x40_300x400mm", "om_photo-40x60_400x600mm",
    "om_photo-60x90_600x900mm", "om_photo-30x45_300x450mm", "na_arch-a_9x12in",
    "na_arch-b_12x18in", "na_arch-c_18x24in", "na_arch-e_36x48in", "na_wide-format_30x42in",
)  # fmt: skip


def _pwg_size_mm(name):
    width, height, unit = re.fullmatch(r".*_([\d.]+)x([\d.]+)(mm|in)", name).groups()
    factor = 25.4 if unit == "in" else 1.0
    return round(float(width) * factor, 3), round(float(height) * factor, 3)


def test_cut_sheets_are_those_of_the_media_names_standard():
    standard = {_pwg_size_mm(name) for name in _PWG}
    ours = {(round(s.width_mm, 3), round(s.height_mm, 3)) for s in SHEETS if not s.is_roll}
    # A3+ and sizes of frames, as the trade sells them (common practice, no source)
    trade = {(329, 483), (400, 500), (500, 700), (600, 800), (700, 1000)}
    assert ours - standard == trade
    for sheet in SHEETS:
        assert sheet.is_roll or (sheet.source == "common practice, no source") == (
            (sheet.width_mm, sheet.height_mm) in trade
        )
    assert standard - ours == set()


def test_rolls_have_a_width_and_no_length():
    # the usual widths in inches (common practice, no source)
    assert [round(mm_to_in(roll.width_mm)) for roll in ROLLS] == [
        8,
        13,
        16,
        17,
        24,
        36,
        42,
        44,
        60,
        64,
    ]
    assert all(roll.is_roll and roll.area_mm2 == math.inf for roll in ROLLS)


def test_every_sheet_has_a_source_a_family_and_its_short_side_first():
    assert len({sheet.name for sheet in SHEETS}) == len(SHEETS)
    for sheet in SHEETS:
        assert sheet.source
        assert sheet.family in FAMILIES
        assert sheet.is_roll or sheet.width_mm <= sheet.height_mm
    areas = [sheet.area_mm2 for sheet in SHEETS]
    assert areas == sorted(areas)


@pytest.mark.parametrize("sheet", SHEETS, ids=lambda sheet: sheet.name)
def test_each_sheet_is_found_by_each_of_its_names(sheet):
    for name in (sheet.name, *sheet.also):
        assert find_sheet(name) is sheet
        assert find_sheet(f" {name.upper().replace('×', ' x ')} ") is sheet
    assert find_sheet(sheet) is sheet


@pytest.mark.parametrize(
    ("typed", "width_mm", "height_mm"),
    [
        ("300 x 400 mm", 300, 400),
        ("40×30 cm", 300, 400),
        ("12x12 in", 304.8, 304.8),
        ('16x20"', 406.4, 508),
        ("16x20", 406.4, 508),
        ((500, 250), 250, 500),
        ("roll 50 cm", 500, None),
        ("610mm roll", 610, None),
        ("24 inch roll", 609.6, None),
    ],
)
def test_typed_sizes(typed, width_mm, height_mm):
    sheet = find_sheet(typed)
    assert sheet.width_mm == pytest.approx(width_mm)
    assert sheet.height_mm == (None if height_mm is None else pytest.approx(height_mm))


@pytest.mark.parametrize(
    ("wrong", "said"),
    [("A33", "Did you mean A3"), ("lettr", "Letter"), ("", "no sheet"), ("0x10 in", "greater"),
     (7, "not a sheet"), ((1, 2, 3), "not a sheet"), ((0, 10), "greater"), (None, "not a sheet"),
     ((1, 1e9), "Is the unit right")],
)  # fmt: skip
def test_unknown_sheets_are_refused_with_a_hint(wrong, said):
    with pytest.raises(SizeError, match=re.escape(said)):
        find_sheet(wrong)


def test_families_choose_sheets():
    assert {sheet.family for sheet in sheets_of()} == set(USUAL_FAMILIES)
    assert find_sheet("A3+") in sheets_of(REGIONS["centimetres"])
    for region in REGIONS:
        # the person's own first, and none left out
        assert families_of(region)[: len(REGIONS[region])] == REGIONS[region]
        assert sorted(families_of(region)) == sorted(FAMILIES)
    assert {sheet.name for sheet in sheets_of("ISO B")} == {f"B{n}" for n in range(7)}
    assert sheets_of(None) == sheets_of(USUAL_FAMILIES)
    assert sheets_of(FAMILIES) == SHEETS
    with pytest.raises(SizeError, match="ISO A"):
        sheets_of(("ISO A", "ISO Z"))


def test_custom_sheets():
    assert custom_sheet(400, 300).name == "300 × 400 mm"
    assert custom_sheet(400, 300, "My paper").phrase == "My paper"
    assert custom_roll(500).phrase == "a 500 mm roll"
    with pytest.raises(SizeError, match="roll"):
        custom_roll(float("nan"))


def test_lengths_in_words():
    assert length_text(594.0, "cm") == "59.4 cm"
    assert length_text(590.0, "cm") == "59 cm"
    assert length_text(594.04, "mm") == "594 mm"
    assert length_text(4.04, "mm") == "4 mm"
    assert length_text(8.5 * 25.4, "in") == "8.5 in"
    assert length_text(0.0, "in") == "0 in"
    assert area_text(508, 406.4, "in") == "20 × 16 in"
    with pytest.raises(SizeError, match="cm, mm or in"):
        length_text(1.0, "m")


@given(st.floats(0.01, 50_000), st.sampled_from(["cm", "mm", "in"]))
def test_lengths_in_words_are_right_to_the_last_place_shown(length_mm, unit):
    factor = {"cm": 10.0, "mm": 1.0, "in": 25.4}[unit]
    shown = float(length_text(length_mm, unit).split()[0]) * factor
    assert abs(shown - length_mm) <= {"cm": 0.5, "mm": 0.5, "in": 1.27}[unit] + 1e-9


@given(st.floats(1e-6, 1e6))
def test_inches_and_millimetres_are_inverse(length):
    assert in_to_mm(mm_to_in(length)) == pytest.approx(length, rel=1e-12)
    assert mm_to_in(25.4 * length) == pytest.approx(length, rel=1e-12)
