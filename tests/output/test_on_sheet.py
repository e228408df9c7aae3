"""Files as large as a sheet: every usual sheet, border and resolution adds up."""

from __future__ import annotations

from dataclasses import replace

import pytest
from output.makers import as_picture, job, matte_paper, scene

from workbench.errors import SizeError
from workbench.output.job import PrintJob
from workbench.output.job_sheet import job_sheet
from workbench.output.layout import layout_of
from workbench.plan import Plan

# ISO 216 and ANSI/ASME Y14.1, landscape
SHEETS = {"A4": (297, 210), "A3": (420, 297), "A2": (594, 420), "Letter": (279.4, 215.9)}
BORDERS = (0, 3, 5, 10, 12.7, 15, 17.5, 20, 25)


@pytest.fixture(scope="module")
def picture():
    return as_picture(scene(300, 200))


def plan_for(picture, **more) -> Plan:
    more = {"feed_path": "borderless"} | more
    return Plan(picture=picture, paper=matte_paper(), size_from="sheet", **more)


@pytest.mark.parametrize("ppi", [240, 300, 360, 720])
@pytest.mark.parametrize("ratio", ["", "297:210", "1:1"])
@pytest.mark.parametrize("sheet", SHEETS)
def test_a_print_made_to_fill_a_sheet_lies_on_it(picture, sheet, ratio, ppi):
    size = tuple(round(side / 25.4 * ppi) for side in SHEETS[sheet])
    for border in BORDERS:
        plan = plan_for(
            picture, sheet=sheet, border_mm=border, crop_ratio=ratio, printer_ppi=ppi, on_sheet=True
        )
        layout = layout_of(PrintJob.from_plan(plan))
        file = layout.width_px, layout.height_px
        # a print upright on the sheet turns it
        assert file in (size, size[::-1])
        for start, length, whole in zip(
            (layout.x_px, layout.y_px), layout.printed_px, file, strict=True
        ):
            sides = start, whole - start - length
            # borders are as wide as asked for, but for the rounding of single lengths
            assert min(sides) >= max(0, border / 25.4 * ppi - 2)
            assert abs(sides[0] - sides[1]) <= 1


@pytest.mark.parametrize("sheet", [*SHEETS, "A3+", "24 in roll"])
@pytest.mark.parametrize("border", BORDERS)
def test_no_job_sheet_says_that_what_fills_a_sheet_is_too_large(picture, sheet, border):
    for on_sheet in (False, True):
        plan = plan_for(picture, sheet=sheet, border_mm=border, on_sheet=on_sheet)
        assert job_sheet(plan).cautions == ()


@pytest.mark.parametrize("ppi", [72, 100, 360])
@pytest.mark.parametrize("on_sheet", [False, True])
def test_a_full_sheet_has_its_price_whatever_the_pixels(picture, ppi, on_sheet):
    # 329 and 483 mm are 932.6 and 1369.1 pixels at 72 ppi: a tenth of a millimetre over
    paper = replace(matte_paper(), price_per_sheet=(("A3+", 4.0),), currency="EUR")
    plan = Plan(picture=picture, paper=paper, size_from="sheet", sheet="A3+", printer_ppi=ppi,
                crop_ratio="483:329", on_sheet=on_sheet)  # fmt: skip
    assert job_sheet(plan).value("Paper for one print") == "4.00 EUR"


def test_a_roll_takes_a_print_with_borders(picture):
    plan = Plan(picture=picture, paper=matte_paper(), size_from="size", long_side_mm=200.0,
                sheet="24 in roll", border_mm=10.0, on_sheet=True)  # fmt: skip
    # 24 inches at 360 ppi
    assert layout_of(PrintJob.from_plan(plan)).width_px == 24 * 360


def test_lengths_rounded_one_by_one_may_be_over_by_a_pixel_or_two():
    # 3.1 mm at 72 ppi are 8.79 pixels, so 9; 93.8 are 265.9, so 266; 100 are 283.46, so 283
    layout = layout_of(
        job(
            ppi=72, width_mm=93.8, height_mm=93.8, bleed_mm=3.1, sheet=(100, 100), on_sheet=True
        ).checked()
    )
    assert layout.printed_px == (284, 284) == (layout.width_px, layout.height_px)
    assert (layout.x_px, layout.y_px) == (0, 0)


def test_more_than_that_is_too_large():
    with pytest.raises(SizeError, match="does not fit"):
        layout_of(
            job(ppi=72, width_mm=101, height_mm=90, sheet=(100, 100), on_sheet=True).checked()
        )


@pytest.mark.parametrize(
    "ratio, border, said",
    [
        ("297:210", 0.0, "on, as the picture fills the sheet"),
        # 3:2 on A4 leaves paper on two sides only
        ("", 0.0, "on, as the picture reaches two of the sheet's edges"),
        ("", 5.0, "off"),
    ],
)
def test_borderless_where_a_picture_reaches_an_edge(picture, ratio, border, said):
    sheet = job_sheet(plan_for(picture, sheet="A4", crop_ratio=ratio, border_mm=border))
    (step,) = [each for each in sheet.checklist if each.startswith("Borderless")]
    assert step.startswith(f"Borderless printing: {said}")


def test_a_print_lies_where_it_was_moved_inside_the_margins(picture):
    # 300 × 200 pixels at 72 ppi are 105.8 × 70.6 mm; an inch is 25.4 mm
    plan = Plan(picture=picture, paper=matte_paper(), sheet="A4", ppi=72.0, printer_ppi=360.0,
                border_mm=12.0, on_sheet=True)  # fmt: skip
    middle = plan.solved()
    assert "Moved on the sheet" not in str(job_sheet(plan).groups)
    plan.moved_right_mm, plan.moved_down_mm = 25.4, -12.7
    moved = plan.solved()
    assert moved.layout.x_px - middle.layout.x_px == 360
    assert middle.layout.y_px - moved.layout.y_px == 180
    assert (moved.layout.width_px, moved.layout.printed_px) == (
        middle.layout.width_px, middle.layout.printed_px,
    )  # fmt: skip
    assert plan.print_size().chosen.left_mm == pytest.approx(moved.fit.left_mm, abs=0.1)
    assert job_sheet(plan).value("Moved on the sheet") == "25.4 mm to the right, 12.7 mm up"
    plan.moved_right_mm, plan.moved_down_mm = -900.0, 900.0
    layout, kept = plan.solved().layout, middle.fit.kept
    assert layout.x_px == pytest.approx(kept.left_mm / 25.4 * 360, abs=1)
    below = layout.height_px - layout.y_px - layout.printed_px[1]
    assert below == pytest.approx(kept.bottom_mm / 25.4 * 360, abs=1)
