"""The drawing of a sheet with several pieces: to scale, labelled, nothing cut off."""

import numpy as np
import pytest
from figure_helpers import shown_words
from gang.makers import make_strip
from output.makers import job

from workbench.analysis.sheets import custom_roll
from workbench.errors import SizeError
from workbench.figures.gang import (
    DrawnPiece,
    GangFigure,
    SheetDrawing,
    alt_text,
    nest_drawing,
    strip_drawing,
)
from workbench.figures.placed import PlacedPicture
from workbench.figures.style import SURROUND, colour
from workbench.gang.nest import nest

RED = (200, 30, 30)


@pytest.fixture(scope="module")
def strip():
    return make_strip(job(width_mm=300, ppi=150), [(0.2, 0.3), (0.6, 0.5)])


@pytest.fixture(scope="module")
def prints():
    return nest([job(width_mm=w, ppi=100) for w in (180, 120)], "13 in roll")


def plain(width_mm, height_mm, *pieces, roll=False) -> SheetDrawing:
    return SheetDrawing("test", width_mm, height_mm, roll, pieces)


@pytest.mark.parametrize("size_px", [(740, 640), (420, 640)])
@pytest.mark.parametrize("chosen", [False, True])
def test_labels_of_a_strip_stay_off_the_next_patch(strip, size_px, chosen):
    steps = {"chosen": strip.steps[0]} if chosen else {}
    drawing = strip_drawing(strip, **steps)
    figure = GangFigure(drawing, width_px=size_px[0], height_px=size_px[1])
    found = dict(shown_words(figure))
    scale = min((size_px[0] - 80) / strip.width_mm, (size_px[1] - 80) / strip.height_mm)
    top_mm = (size_px[1] - strip.height_mm * scale) / 2 + 6
    for piece in drawing.pieces:
        (box,) = {label: found[label] for label in piece.labels if label in found}.values()
        y = top_mm + (piece.y_mm + piece.height_mm) * scale
        below = y + piece.below_mm * scale
        assert size_px[1] - box.y1 >= y - 0.5 and size_px[1] - box.y0 <= below + 0.5


@pytest.mark.parametrize("sheet", [(210, 297), (297, 210), (1000, 100), (60, 900)])
@pytest.mark.parametrize("size_px", [(740, 640), (300, 640)])
def test_pieces_are_drawn_to_scale(sheet, size_px):
    width, height = sheet
    piece = DrawnPiece(0.1 * width, 0.2 * height, 0.5 * width, 0.25 * height,
                       thumbnail=np.full((40, 60, 3), RED, np.uint8))  # fmt: skip
    pixels = GangFigure(plain(*sheet, piece), width_px=size_px[0], height_px=size_px[1]).pixels()
    assert pixels.shape[:2] == size_px[::-1]
    rows, columns = np.nonzero((pixels == RED).all(axis=2))
    of_sheet = (pixels == 255).all(axis=2) | (pixels == RED).all(axis=2)
    white_rows, white_columns = np.nonzero(of_sheet)
    across = (columns.max() + 1 - columns.min()) / (white_columns.max() + 1 - white_columns.min())
    down = (rows.max() + 1 - rows.min()) / (white_rows.max() + 1 - white_rows.min())
    # a pixel more or less of the sheet's shorter side
    scale = (white_columns.max() + 1 - white_columns.min()) / width
    assert across == pytest.approx(0.5, abs=2 / (scale * width))
    assert down == pytest.approx(0.25, abs=2 / (scale * height))
    surround = tuple(int(SURROUND[i : i + 2], 16) for i in (1, 3, 5))
    assert tuple(pixels[0, 0]) == tuple(pixels[-1, -1]) == surround


def test_sizes_stand_in_the_unit_and_inside(prints):
    for unit, wanted in (("cm", "33 cm"), ("mm", "330 mm"), ("in", "13 in")):
        figure = GangFigure(nest_drawing(prints, unit=unit), unit=unit)
        found = dict(shown_words(figure))
        assert wanted in found
        for extent in found.values():
            assert extent.x0 >= 0 and extent.y0 >= 0
            assert extent.x1 <= 700 and extent.y1 <= 560


def test_the_longest_label_that_fits_is_shown(strip):
    wide = dict(shown_words(GangFigure(strip_drawing(strip), width_px=1400, height_px=1000)))
    assert "A  +3 lighter" in wide and "B  as planned" in wide
    narrow = dict(shown_words(GangFigure(strip_drawing(strip), width_px=420, height_px=420)))
    assert "A  +3 lighter" not in narrow
    assert {"A +3 L*", "B 0"} <= set(narrow) or {"A", "B"} <= set(narrow)


def test_labels_of_neighbours_do_not_meet(strip):
    found = dict(shown_words(GangFigure(strip_drawing(strip), width_px=740, height_px=640)))
    labels = [extent for words, extent in found.items() if words[0] in "AB"]
    assert len(labels) == 10
    for i, a in enumerate(labels):
        for b in labels[:i]:
            assert not a.overlaps(b)


def test_the_chosen_step_is_framed(strip):
    frame = tuple(int(colour("chosen")[i : i + 2], 16) for i in (1, 3, 5))
    without = GangFigure(strip_drawing(strip)).pixels()
    framed = GangFigure(strip_drawing(strip, chosen=strip.step(3))).pixels()
    assert not (without == frame).all(axis=2).any()
    assert (framed == frame).all(axis=2).sum() > 300


def test_patches_show_their_proofs(strip):
    proofs = {("A", strip.step(3)): np.full((30, 40, 3), RED, np.uint8)}
    figure = GangFigure(strip_drawing(strip, proofs))
    assert (figure.pixels() == RED).all(axis=2).sum() > 400
    assert len(figure.figure.findobj(PlacedPicture)) == 1


def test_a_turned_print_is_drawn_turned():
    found = nest([job(width_mm=180, ppi=100)], custom_roll(135))
    assert found.pieces[0].turned
    half = np.zeros((60, 90, 3), np.uint8)
    half[:, 45:] = RED
    (piece,) = nest_drawing(found, [half]).pieces
    # turned to the left, its right half is on top
    assert (piece.thumbnail[:45] == RED).all() and not (piece.thumbnail[45:] == RED).any()


def test_updating_leaves_nothing_of_the_sheet_before(strip, prints):
    figure = GangFigure(strip_drawing(strip))
    figure.update(nest_drawing(prints))
    fresh = GangFigure(nest_drawing(prints))
    assert np.array_equal(figure.pixels(), fresh.pixels())
    figure.set_size(400)
    assert figure.pixels().shape == (560, 400, 3)


def test_words_for_those_who_do_not_see_it(strip, prints):
    assert "A  +3 lighter" in alt_text(strip_drawing(strip))
    words = alt_text(nest_drawing(prints, unit="in"), "in")
    assert words.startswith("Drawing to scale of 13 in roll, 13 ×") and "2 pieces" in words


def test_bad_sizes():
    with pytest.raises(SizeError, match="at least 200"):
        GangFigure(width_px=150)
    with pytest.raises(SizeError, match="cm, mm or in"):
        GangFigure(unit="pt")
    bad = DrawnPiece(0, 0, 10, 10, thumbnail=np.zeros((4, 4)))
    with pytest.raises(SizeError, match="8-bit"):
        GangFigure(plain(100, 100, bad))
