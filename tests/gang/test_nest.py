"""Several prints on one sheet: what fits, what is saved, and who may share a sheet."""

from __future__ import annotations

from dataclasses import replace

import pytest
from output.makers import as_picture, job, matte_paper, scene

import workbench as wb
from workbench.analysis.sheets import custom_roll
from workbench.colour.inkmodel import model_profile
from workbench.errors import OutputError, SizeError
from workbench.gang.cost import sheet_cost
from workbench.gang.nest import nest
from workbench.output.layout import layout_of
from workbench.output.solved import Prices

PIXELS = scene()


def print_of(width_mm, **details):
    """As high as two thirds of its width."""
    return job(PIXELS, **{"width_mm": width_mm, "ppi": 100, **details})


def overlap(a, b, gap_px=0.0):
    return (
        a.x_px < b.x_px + b.width_px + gap_px
        and b.x_px < a.x_px + a.width_px + gap_px
        and a.y_px < b.y_px + b.height_px + gap_px
        and b.y_px < a.y_px + a.height_px + gap_px
    )


def test_prints_keep_their_size_gap_and_margin():
    prints = [print_of(w) for w in (180, 120, 120, 90, 60)]
    found = nest(prints, "A3", gap_mm=6, margin_mm=8)
    assert not found.left_out and len(found.pieces) == 5
    per_mm = found.ppi / 25.4
    for piece, work in zip(found.pieces, prints, strict=True):
        layout = layout_of(work.checked())
        size = (layout.width_px, layout.height_px)
        assert (piece.width_px, piece.height_px) == (size[::-1] if piece.turned else size)
        assert min(piece.x_px, piece.y_px) >= 8 * per_mm - 1e-6
        assert piece.x_px + piece.width_px <= found.width_px - 8 * per_mm + 1e-6
        assert piece.y_px + piece.height_px <= found.height_px - 8 * per_mm + 1e-6
    for i, a in enumerate(found.pieces):
        for b in found.pieces[:i]:
            assert not overlap(a, b, 6 * per_mm - 1e-6)
    area = sum(p.width_px * p.height_px for p in found.pieces)
    assert found.share_used == pytest.approx(area / (found.width_px * found.height_px))
    # A3 is 297 × 420 mm by ISO 216
    assert sorted((found.width_mm, found.height_mm)) == pytest.approx([297, 420], abs=0.2)


def test_paper_saved_on_a_sheet_is_the_sheets_not_taken():
    found = nest([print_of(120)] * 4, "A4")
    assert len(found.pieces) == 4
    assert found.saved_mm2 == pytest.approx(3 * 210 * 297, rel=2e-3)
    assert found.sentences()[0] == "4 prints on one sheet of A4 instead of 4 sheets."
    assert "0.19 m² is saved" in found.sentences()[1]


def test_paper_saved_on_a_roll_is_length():
    # two of 150 × 100 mm lie side by side on a roll of 320 mm
    found = nest([print_of(150)] * 2, custom_roll(320), gap_mm=5, margin_mm=5, turn=False)
    assert found.height_mm == pytest.approx(100 + 2 * 5, abs=0.6)
    alone = found.alone_mm2 / 320
    # alone, one of them lies along or across, whichever is shorter: 100 and two margins
    assert alone == pytest.approx(2 * (100 + 2 * 5), abs=0.6)
    assert found.saved_mm2 == pytest.approx(110 * 320, rel=0.01)
    assert "2 prints take 11 cm of a 320 mm roll, 22 cm one after another." in found.sentences()


def test_turning_saves_a_roll():
    upright = nest([print_of(200)], custom_roll(215), turn=False)
    works = [print_of(200, crop=(0, 0, 60, 120))]  # 200 wide, 400 high
    assert upright.height_px < 600
    turned, not_turned = (nest(works, custom_roll(420), turn=turn) for turn in (True, False))
    assert turned.pieces[0].turned and turned.height_px < not_turned.height_px


def test_what_does_not_fit_is_named():
    found = nest([print_of(150), print_of(400)], "A4")
    assert [piece.layout.width_px for piece in found.pieces] == [591]
    ((name, width, height),) = found.left_out
    assert (name, round(width), round(height)) == ("scene.tif", 400, 267)
    assert found.sentences()[-1].startswith("There is no room for scene.tif (40 ×")
    none = nest([print_of(400)], "A4")
    assert none.pieces == () and none.share_used == 0 and "None of" in none.sentences()[0]
    twice = nest([print_of(400)] * 2, "A4").sentences()
    assert len(twice) == 2 and twice[1].startswith("There is no room for 2 × scene.tif")


def test_a_sheet_of_its_own_is_not_used():
    work = print_of(100, on_sheet=True, sheet="A3", borders_mm=10)
    (piece,) = nest([work], "A4").pieces
    assert piece.width_px == pytest.approx(120 / 25.4 * 100, abs=2)


def test_borders_take_no_ink():
    bordered = nest([print_of(120, borders_mm=10, bleed_mm=3)] * 2, "A3")
    # 120 × 80 mm with 3 mm of picture around, twice; the borders are bare paper
    assert bordered.inked_mm2 == pytest.approx(2 * 126 * 86, rel=0.01)
    assert bordered.share_used * bordered.paper_mm2 > 2 * 140 * 100


def other_paper():
    profile = model_profile((95, 0, -3), 2.1, finish="gloss", name="Other")
    return wb.open_paper(profile, name="Other", finish="gloss")


@pytest.mark.parametrize(
    ("details", "said"),
    [
        ({"ppi": 200}, "100 and 200 ppi, and a file has one resolution"),
        ({"converts": "driver"}, "the printer driver those of the other"),
        ({"paper": "other"}, "different papers, and a file has one profile"),
        ({"intent": "perceptual"}, "another rendering intent"),
        ({"black_point_compensation": False}, "black point compensation; choose the same"),
    ],
)
def test_who_cannot_share_a_sheet(details, said):
    if details.get("paper"):
        details = {"paper": other_paper()}
    with pytest.raises(OutputError, match=said):
        nest([print_of(100), print_of(100, **details)], "A3")


def test_the_driver_s_sheet_has_one_space():
    first = print_of(100, converts="driver", paper=None)
    other = replace(first, picture=as_picture(PIXELS, "sRGB"))
    with pytest.raises(OutputError, match="different colour spaces"):
        nest([first, other], "A3")
    assert len(nest([first, replace(first, paper=matte_paper())], "A3").pieces) == 2


def test_nothing_and_nonsense_in_words():
    with pytest.raises(OutputError, match="nothing to lay on the sheet"):
        nest([], "A4")
    with pytest.raises(SizeError, match="margins leave nothing"):
        nest([print_of(50)], "A4", margin_mm=105)
    with pytest.raises(SizeError, match="gap between prints"):
        nest([print_of(50)], "A4", gap_mm=-1)
    with pytest.raises(SizeError, match="no sheet called"):
        nest([print_of(50)], "A77")


def test_iso_halving_holds_in_print_pixels():
    # ISO 216: A5 is half of A4, so two prints of 148 × 210 mm lie on A4 without gap or margin
    a5 = print_of(148, height_mm=210)
    assert not nest([a5, a5], "A4", gap_mm=0, margin_mm=0).left_out
    # so do four quarters of 148.5 × 105 mm, though each has a part of a pixel too much
    for ppi in (100, 300, 360):
        quarter = print_of(148.5, height_mm=105, ppi=ppi)
        found = nest([quarter] * 4, "A4", gap_mm=0, margin_mm=0)
        assert not found.left_out
        assert sorted((found.width_mm, found.height_mm)) == pytest.approx([210, 297], abs=0.5)
        for piece in found.pieces:
            assert piece.x_px + piece.width_px <= found.width_px
            assert piece.y_px + piece.height_px <= found.height_px
    assert len(nest([a5, a5], "A4", gap_mm=5, margin_mm=0).left_out) == 1


def test_paper_is_priced_for_the_sheet_or_roll_that_the_prints_lie_on():
    paper = replace(
        matte_paper(), currency="EUR",
        price_per_sheet=(("A3", 4.0), ("A2", 1.0)), price_per_metre=(("24 in", 10.0),),
    )  # fmt: skip
    prints = [print_of(120, paper=paper)] * 3

    def cost(sheet):
        found = nest(prints, sheet)
        return found, sheet_cost(found, paper, Prices()).paper

    assert (cost("A3")[1].amount, cost("A3")[1].how) == (4.0, "one sheet of A3")
    found, price = cost("24 in roll")
    assert price.amount == pytest.approx(10 * found.height_mm / 1000)
    # without a price of its own, A4 is cut from the cheapest that it fits
    assert cost("A4")[1].how == "one sheet of A2"
