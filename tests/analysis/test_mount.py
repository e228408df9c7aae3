"""Mounts, weighted borders, canvas and bleed: worked by hand, and laws."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from output.makers import as_picture, matte_paper, scene

from workbench.analysis.mount import mount_in, opening_for, print_for_opening
from workbench.analysis.size import print_size
from workbench.errors import SizeError
from workbench.panels.size.panel import SizePanel
from workbench.plan import Plan
from workbench.printer import BORDERLESS

lengths = st.floats(30, 2000)


@pytest.fixture(scope="module")
def picture():
    return as_picture(scene(600, 400))


def plan_of(picture, **more) -> Plan:
    return Plan(picture=picture, paper=matte_paper(), **more)


# worked by hand -------------------------------------------------------------------


def test_a_mount_and_its_print():
    # 30 × 40 cm covered by 3 mm on each side shows 294 × 394 mm, and back
    assert opening_for(400, 300, 3) == (394, 294)
    assert print_for_opening("294 x 394 mm", 3, landscape=True) == (400, 300)
    # in a frame of 50 × 40 cm: (500 − 394) / 2 = 53; (400 − 294 ∓ 10) / 2 = 48 and 58
    mount = mount_in((500, 400), (394, 294), bottom_weight_mm=10)
    assert (mount.left_mm, mount.right_mm, mount.top_mm, mount.bottom_mm) == (53, 53, 48, 58)
    for wrong in (
        lambda: opening_for(20, 30, 10),
        lambda: mount_in((300, 300), (394, 294)),
        lambda: mount_in((500, 300), (394, 294), bottom_weight_mm=10),
        lambda: print_for_opening("24 in roll", 3, landscape=True),
    ):
        with pytest.raises(SizeError):
            wrong()


def test_an_opening_decides_the_size(picture):
    plan = plan_of(picture, size_from="opening", mount_opening="20 x 20 cm", mount_overlap_mm=4)
    size = plan.print_size()
    # 208 mm square, so that a third of 3 : 2 is cut; the opening is what was asked for
    assert (size.width_mm, size.height_mm) == pytest.approx((208, 208))
    assert size.crop.lost == pytest.approx(1 / 3)
    assert size.opening_mm == pytest.approx((200, 200))
    assert plan.solved().layout.front_mm == pytest.approx((208, 208), abs=0.05)


def test_a_weighted_border_lifts_the_picture_on_its_sheet(picture):
    plan = plan_of(picture, size_from="sheet", sheet="A3", border_mm=30, bottom_weight_mm=20,
                   on_sheet=True)  # fmt: skip
    # 3 : 2 lies on A3, 420 × 297 mm: 217 mm high inside 30 + 50 mm, so 325.5 mm wide
    size = plan.print_size()
    assert (size.width_mm, size.height_mm) == pytest.approx((325.5, 217))
    layout = plan.solved().layout
    mm = 25.4 / layout.ppi
    below = layout.height_px - layout.y_px - layout.printed_px[1]
    assert layout.y_px * mm == pytest.approx(30, abs=0.1)
    assert below * mm == pytest.approx(50, abs=0.1)


@pytest.mark.parametrize("edge", ["mirrored", "stretched"])
def test_a_canvas_on_a_roll(picture, edge):
    # front 600 × 400 mm, bars of 20 mm, 25 mm folded: 690 × 490 mm on the canvas
    plan = plan_of(picture, size_from="size", long_side_mm=600, bar_depth_mm=20, bleed_mm=25,
                   bleed=edge, sheet="24 in roll", printer_ppi=100)  # fmt: skip
    solved = plan.solved()
    assert solved.layout.front_mm == pytest.approx((600, 400), abs=0.3)
    assert (solved.layout.width_mm, solved.layout.height_mm) == pytest.approx((690, 490), abs=0.3)
    # 690 mm do not go across 609.6: along it, cut 3 mm away from each end
    assert solved.fit.fits and solved.fit.orientation == "along"
    # but for the two pixels that a full sheet may be over
    assert solved.fit.length_used_mm == pytest.approx(696, abs=0.8)
    plan.bar_depth_mm = 90
    assert not plan.solved().fit.fits  # 630 mm do not go across


def test_a_bleed_of_the_pictures_own_counts_in_the_size():
    # 6000 × 4000 px at 300 ppi are 508 × 338.7 mm; 20 mm of it go round each edge
    size = print_size((6000, 4000), ppi=300, bleed_mm=20, bleed="picture")
    assert (size.width_mm, size.height_mm) == pytest.approx((468, 6000 / 300 * 25.4 / 1.5 - 40))
    # a front of 400 mm takes its pixels from 440
    size = print_size((6000, 4000), long_side_mm=400, bleed_mm=20, bleed="picture")
    assert size.ppi == pytest.approx(6000 / 440 * 25.4)
    assert size.height_mm == pytest.approx(440 / 1.5 - 40)
    mirrored = print_size((6000, 4000), long_side_mm=400, bleed_mm=20)
    assert mirrored.ppi == pytest.approx(6000 / 400 * 25.4)
    # a square front of 300 mm is a square of 340 of the picture
    square = print_size((6000, 4000), width_mm=300, crop_ratio=1, bleed_mm=20, bleed="picture")
    assert (square.width_mm, square.height_mm, square.width_px) == pytest.approx((300, 300, 4000))
    assert square.ppi == pytest.approx(4000 / 340 * 25.4)
    with pytest.raises(SizeError, match="nothing at the front"):
        print_size((600, 400), ppi=300, bleed_mm=20, bleed="picture")


# laws -----------------------------------------------------------------------------


@given(lengths, lengths, st.floats(0, 14))
def test_opening_and_print_are_inverse(width, height, overlap):
    opening = opening_for(width, height, overlap)
    back = print_for_opening(opening, overlap, landscape=width >= height)
    assert back == pytest.approx((width, height))


@given(
    st.sampled_from([(6000, 4000), (4000, 6000), (5000, 5000)]),
    st.sampled_from([None, "1:1", "5:4"]),
    st.floats(0, 40),
    st.sampled_from([{"ppi": 240.0}, {"long_side_mm": 500.0}, {"sheet": "A2"}, {"width_mm": 333.0}]),
)  # fmt: skip
def test_a_bleed_of_its_own_has_the_pixels_it_says(pixels, ratio, bleed, decides):
    size = print_size(pixels, crop_ratio=ratio, bleed_mm=bleed, bleed="picture", feed=BORDERLESS,
                      **decides)  # fmt: skip
    for px, mm in ((size.width_px, size.width_mm), (size.height_px, size.height_mm)):
        assert (mm + 2 * bleed) / 25.4 * size.ppi == pytest.approx(px, abs=1)
    if ratio is not None:
        wanted = {"1:1": 1, "5:4": 1.25}[ratio]
        # the crop is right to half a pixel
        assert max(size.width_mm, size.height_mm) / min(
            size.width_mm, size.height_mm
        ) == pytest.approx(wanted, rel=2e-3)
    if "sheet" in decides:
        assert size.chosen.fits and size.chosen.spare_mm == pytest.approx(0, abs=0.05)


# the panel ------------------------------------------------------------------------


def test_the_panel_asks_for_the_opening(plan, open_panel):
    panel = open_panel(SizePanel, plan)
    assert not panel.opening.visible
    field = panel.decides.field
    labels = [each[0] for each in field.options]
    field.set_state({"index": labels.index("the opening of a mount that you have")})
    assert panel.opening.visible and plan.mount_overlap_mm == 3
    assert "opening of your mount" in panel.status.text
    panel.opening.field.set_state({"value": "20 x 28 cm"})
    assert panel.front.scheduler.wait_until_idle(30)
    assert "this prints 28.6 × 20.6 cm" in panel.notes.value
