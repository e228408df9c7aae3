"""Papers in order for one picture: published press papers, figures traced, weights, reasons."""

import csv
import io
import itertools
import math
from dataclasses import replace

import numpy as np
import pytest
from helpers import coated_profile, solids
from hypothesis import given
from hypothesis import strategies as st
from pictures import colourful, patches

import workbench as wb
from workbench.analysis.columns import COLUMNS
from workbench.analysis.compare import compare
from workbench.analysis.order import (
    CRITERIA,
    blacks_mark,
    checked_weights,
    colour_mark,
    in_order,
    places,
    price_mark,
    score,
    whites_mark,
)
from workbench.analysis.white import highlights
from workbench.colour.shell import face_grids, shell_of_faces
from workbench.errors import Cancelled, PaperError, UntaggedPictureError, WorkbenchError
from workbench.paper_readings import measured_paper

PRESS = ("FOGRA39L", "FOGRA47L", "IFRA26S")
BLACK_ONLY, ALL_INKS = (0, 0, 0, 100), (100, 100, 100, 100)


def press_paper(name: str, black=BLACK_ONLY):
    data = solids(name)
    white, black = ([data[ink][k] for k in "Lab"] for ink in ((0, 0, 0, 0), black))
    return measured_paper(name, white, black, illuminant="D50", observer_deg=2)


@pytest.fixture(scope="module")
def picture():
    return colourful()


@pytest.fixture(scope="module")
def coated():
    return wb.open_paper(coated_profile(), name="Press sheet")


@pytest.fixture(scope="module")
def comparison(picture):
    return compare(picture, wb.demo_papers())


def row_of(comparison, name):
    return next(row for row in comparison.rows if row.name == name)


# -- published press papers: coated, uncoated, newsprint


def test_press_papers_come_out_in_the_published_order(picture):
    """Fogra and WAN-IFRA characterisation data; whites, solid blacks and all four inks."""
    shuffled = [press_paper(name) for name in ("IFRA26S", "FOGRA39L", "FOGRA47L")]
    by_blacks = compare(picture, shuffled, weights={"blacks": 1})
    assert [row.rank for row in by_blacks.rows] == [1, 2, 3]
    assert [row.name for row in by_blacks.rows] == list(PRESS)
    found = [row["darkest_density"] for row in by_blacks.table()]
    assert found == pytest.approx([1.68, 1.18, 1.03], abs=0.01)
    found = [row["contrast_ratio"] for row in by_blacks.table()]
    assert found == pytest.approx([42, 13.2, 7.1], rel=0.01)
    # published L* of 400 % ink: 8.7, 23.46, 31.9
    all_inks = compare(picture, [press_paper(n, ALL_INKS) for n in PRESS], weights={"blacks": 1})
    assert [row.name for row in all_inks.rows] == list(PRESS)
    lightness = [row.paper.black_lab[0] for row in all_inks.rows]
    assert lightness == pytest.approx([8.7, 23.46, 31.9], abs=0.02)


def test_press_whites_come_out_in_the_published_order(picture):
    by_whites = compare(
        picture, [press_paper(n) for n in reversed(PRESS)], weights={"whites": 1},
        white_wish="neutral",
    )  # fmt: skip
    assert by_whites.rows[-1].name == "IFRA26S"
    # the same white shares a place, and a warm one is first only where it is wished for
    assert [row.rank for row in by_whites.rows] == [1, 1, 3]
    warm = by_whites.order({"whites": 1}, white_wish="warm")
    assert warm.rows[0].name == "IFRA26S" and [row.rank for row in warm.rows] == [1, 2, 2]
    table = {row["paper"]: row for row in by_whites.table()}
    # coated and uncoated are printed on the same white: 95, 0, -2; newsprint 85, 1, 5
    for name, white, tint in (
        ("FOGRA39L", (95, 0, -2), "slightly cool"),
        ("FOGRA47L", (95, 0, -2), "slightly cool"),
        ("IFRA26S", (85, 1, 5), "clearly warm"),
    ):
        row = table[name]
        assert [row[f"white_{k}"] for k in "Lab"] == pytest.approx(white, abs=0.5)
        assert row["tint"] == tint
    assert table["FOGRA39L"]["mark_whites"] == table["FOGRA47L"]["mark_whites"]
    assert table["IFRA26S"]["mark_whites"] < table["FOGRA39L"]["mark_whites"] - 0.1


@pytest.mark.parametrize("name", PRESS)
def test_whiteness_of_press_whites_agrees_with_colour_science(name, picture):
    import colour

    row = compare(picture, press_paper(name)).table()[0]
    d50, d65 = np.array([0.9642, 1, 0.8249]), colour.xy_to_XYZ([0.3127, 0.3290])
    white = [solids(name)[0, 0, 0, 0][k] for k in "Lab"]
    xyz = colour.Lab_to_XYZ(np.array(white), colour.XYZ_to_xy(d50))
    xyz = colour.chromatic_adaptation(xyz, d50, d65, transform="Bradford")
    whiteness, tint = colour.colorimetry.whiteness_CIE2004(
        colour.XYZ_to_xy(xyz), 100 * xyz[1], [0.3127, 0.3290]
    )
    y = 100 * xyz[1]
    if 40 < whiteness < 5 * y - 280 and -4 < tint < 2:
        assert row["whiteness"] == pytest.approx(whiteness, abs=0.05)
        assert row["whiteness_tint"] == pytest.approx(tint, abs=0.05)
    else:
        assert (row["whiteness"], row["whiteness_tint"]) == (None, None)


def corner(name: str, cyan, magenta, yellow) -> np.ndarray:
    black = 100 if cyan and magenta and yellow else 0
    ink = solids(name)[100 * cyan, 100 * magenta, 100 * yellow, black]
    return np.array([ink[k] for k in "Lab"])


def polyhedron_volume(name: str) -> float:
    """Of the eight solids, by the divergence theorem over the triangles of a cube's faces.

    A face is cut along either diagonal, and the mean is taken: that of a bilinear face.
    """
    volume = 0.0
    for axis, side in itertools.product(range(3), (0, 1)):
        # the face's corners, by the steps along its two sides
        at = {
            steps: corner(name, *np.insert(steps, axis, side))
            for steps in itertools.product((0, 1), repeat=2)
        }
        outward = (1 if side else -1) * (-1 if axis == 1 else 1)
        for triangle in (
            ((0, 0), (1, 0), (1, 1)),
            ((0, 0), (1, 1), (0, 1)),
            ((0, 0), (1, 0), (0, 1)),
            ((1, 0), (1, 1), (0, 1)),
        ):
            volume += outward * np.linalg.det([at[steps] for steps in triangle]) / 12
    return abs(volume)


def test_press_gamuts_come_out_in_the_published_order():
    """Volumes computed on voxels from the data: about 401,500 coated, 172,100 uncoated."""
    volumes = [polyhedron_volume(name) for name in PRESS]
    assert volumes == sorted(volumes, reverse=True)
    # eight solids alone, without what lies between them, tell the volume to a tenth
    assert volumes[0] == pytest.approx(401_500, rel=0.10)
    assert volumes[1] == pytest.approx(172_100, rel=0.10)
    assert volumes[2] < 0.6 * volumes[1]
    # and the workbench's own measure of a shell finds the same volumes
    for name, volume in zip(PRESS, volumes, strict=True):
        faces = face_grids(3, 17)
        lab = np.zeros((*faces.shape[:-1], 3))
        for place in itertools.product((0, 1), repeat=3):
            weight = np.prod(np.where(np.array(place), faces, 1 - faces), axis=-1)
            lab += weight[..., None] * corner(name, *place)
        shell = shell_of_faces(lab, corner(name, 1, 1, 1), corner(name, 0, 0, 0))
        assert shell.volume == pytest.approx(volume, rel=0.004)


def test_the_coated_press_profile(picture, coated):
    """FOGRA39: white 95 0 -2, gamut about 401,500, darkest mixtures near 100 : 1."""
    row = compare(picture, [coated]).table()[0]
    assert [row[f"white_{k}"] for k in "Lab"] == pytest.approx((95, 0, -2), abs=0.1)
    assert row["gamut_volume"] == pytest.approx(401_500, rel=0.02)
    assert 80 < row["contrast_ratio"] < 110
    assert row["stops"] == pytest.approx(np.log2(row["contrast_ratio"]))


# -- each figure is that of its function


@pytest.mark.parametrize(
    ("intent", "compensate"), [("relative", True), ("perceptual", False), ("absolute", True)]
)
def test_each_figure_is_that_of_its_function(picture, coated, intent, compensate):
    how = {"intent": intent, "black_point_compensation": compensate}
    limits = {"threshold": 3.0, "tolerance": 2.5, "highlight_lightness": 70.0}
    row = compare(picture, [coated], **limits, **how).table()[0]
    gamut = wb.gamut_report(picture, coated, threshold=3.0)
    shift = wb.colour_shift(picture, coated, threshold=3.0, **how)
    black = wb.black_point(coated, picture, tolerance=2.5, **how)
    white = wb.paper_white(coated, reference="perfect diffuser", adaptation=0)
    expected = {
        "share_outside": gamut.share_outside,
        "mean_shift": shift.mean,
        "shift_95": shift.percentiles[95],
        "black_density": black.black_density,
        "darkest_density": coated.black_density,
        "contrast_ratio": black.contrast_ratio,
        "stops": black.stops,
        "merged_levels": black.merged_levels,
        "share_merged": black.share_merged,
        "share_highlights": highlights(picture, coated, lightness=70.0, **how).share,
        "gamut_volume": coated.gamut_volume,
        "tint": white.tint,
        "whiteness": white.whiteness.whiteness,
    }
    assert {key: row[key] for key in expected} == expected


def test_the_census_agrees_with_every_pixel(picture, coated):
    quick = compare(picture, [coated], exact=False).table()[0]
    whole = compare(picture, [coated])
    exact = whole.table()[0]
    assert whole.exact
    assert quick["share_outside"] == pytest.approx(exact["share_outside"], abs=0.005)
    assert quick["mean_shift"] == pytest.approx(exact["mean_shift"], abs=0.1)


def test_light_colours_turn_as_the_white_does(coated):
    """Against colour-science: absolute Lab of a relative one, by scaling XYZ to the white."""
    import colour

    sky = patches((0.6, 0.75, 0.95), (0.3, 0.3, 0.3))
    row = compare(sky, [coated], reference="perfect diffuser").rows[0]
    light = np.array(wb.compare(sky, [coated]).character.light_lab)
    d50 = np.array([0.9642, 1, 0.8249])
    xy = colour.XYZ_to_xy(d50)
    scaled = colour.Lab_to_XYZ(light, xy) * colour.Lab_to_XYZ(np.array(coated.white_lab), xy) / d50
    difference = colour.XYZ_to_Lab(scaled, xy) - light
    assert row.light_shift[1] == pytest.approx(difference, abs=0.01)
    assert row.light_shift[0] == pytest.approx(np.hypot(*difference[1:]), abs=0.01)


def test_every_column_says_where_it_comes_from(comparison):
    row = comparison.table()[0]
    assert list(row) == [column.key for column in COLUMNS]
    assert len({column.key for column in COLUMNS}) == len(COLUMNS)
    for column in COLUMNS:
        assert column.title and column.source


def test_the_table_can_be_written_as_csv(comparison):
    comparison = comparison.order({"blacks": 1})
    file = io.StringIO()
    writer = csv.DictWriter(file, [column.key for column in COLUMNS])
    writer.writeheader()
    writer.writerows(comparison.table())
    back = list(csv.DictReader(io.StringIO(file.getvalue())))
    assert len(back) == len(wb.demo_papers())
    assert float(back[0]["black_density"]) == comparison.rows[0].black_density
    assert back[0]["reason"] == comparison.rows[0].reason


# -- marks, weights, order


def test_marks_by_hand():
    assert colour_mark(0.2, 3.0) == pytest.approx(1 - (0.2 + 0.3) / 2)
    assert colour_mark(0, 0) == 1
    assert colour_mark(1, 40) == 0
    assert blacks_mark(10**2.4, 0.5) == 1
    assert blacks_mark(10**1.7, 0.5) == pytest.approx(1 - 0.5 * 0.75)
    assert blacks_mark(2.0, 1.0) == 0
    assert whites_mark((96, 3, 4), "neutral", 0.2) == pytest.approx(1 - 0.5 * 0.6)
    assert whites_mark((96, 3, 4), "cool", 0.2) == pytest.approx(1 - 0.7 * 0.6)
    assert whites_mark((96, 3, 4), "warm", 0.2) == pytest.approx(1 - 0.3 * 0.6)
    assert whites_mark((96, 3, 4), "any", 0.2) is None
    with pytest.raises(WorkbenchError, match="A white is wished for as"):
        whites_mark((96, 3, 4), "pink", 0.2)
    assert price_mark(3.0, 1.5) == 0.5
    assert price_mark(0.0, 0.0) == price_mark(1.5, 1.5) == 1


@given(
    st.floats(0, 1), st.floats(0, 1), st.floats(0, 30), st.floats(0, 30), st.floats(1, 900),
    st.floats(1, 900),
)  # fmt: skip
def test_better_figures_never_lower_a_mark(one, two, near, far, shallow, deep):
    less, more = sorted((one, two))
    near, far = sorted((near, far))
    shallow, deep = sorted((shallow, deep))
    assert colour_mark(less, near) >= colour_mark(more, far)
    assert blacks_mark(deep, one) >= blacks_mark(shallow, one)
    white, tinted = (96, 0, near), (96, 0, far)
    for wish in ("neutral", "cool"):
        assert whites_mark(white, wish, two) >= whites_mark(tinted, wish, two)
    assert whites_mark(white, "warm", two) <= whites_mark(tinted, "warm", two)
    marks = colour_mark(more, far), blacks_mark(shallow, one), whites_mark(tinted, "cool", two)
    for mark in marks:
        assert 0 <= mark <= 1


def test_no_score_is_hidden(comparison):
    """Score = sum of weight times mark, all of which stand in the table, from its figures."""
    shadows = comparison.character.share_shadows
    lights = comparison.character.share_highlights
    assert all(row["score"] is row["rank"] is None for row in comparison.table())
    comparison = comparison.order(
        dict.fromkeys(("colour", "blacks", "whites"), 1), white_wish="cool"
    )
    for row in comparison.table():
        assert row["mark_colour"] == colour_mark(row["share_outside"], row["mean_shift"])
        assert row["mark_blacks"] == blacks_mark(row["contrast_seen"], shadows)
        white = [row[f"white_{k}"] for k in "Lab"]
        assert row["mark_whites"] == whites_mark(white, "cool", lights)
        by_hand = sum(row[f"weight_{n}"] * row[f"mark_{n}"] for n in CRITERIA if row[f"weight_{n}"])
        assert row["score"] == pytest.approx(by_hand, abs=1e-12)
    scores = [row["score"] for row in comparison.table()]
    assert scores == sorted(scores, reverse=True)
    for row, after in itertools.pairwise(comparison.rows):
        apart = row.score.total - after.score.total
        unsure = row.score.uncertainty + after.score.uncertainty
        assert after.rank >= row.rank and (after.rank > row.rank or apart <= unsure)


def test_weights_are_brought_to_one_and_shown(comparison):
    assert checked_weights({"colour": 3, "price": 1}) == {
        "colour": 0.75, "blacks": 0, "whites": 0, "price": 0.25,
    }  # fmt: skip
    assert comparison.weights is None and checked_weights({"price": 0}) is None
    other = comparison.order({"blacks": 3, "whites": 1}, white_wish="neutral")
    assert other.weights_sentence == "What matters: blacks 75 %, whites 25 %."
    assert other.rows[0].score.weights == other.weights


def test_the_order_follows_the_weights(comparison, picture):
    by_blacks = comparison.order({"blacks": 1})
    contrasts = [row.contrast_seen for row in by_blacks.rows]
    assert contrasts == sorted(contrasts, reverse=True)
    by_whites = comparison.order({"whites": 1}, white_wish="neutral")
    chromas = [np.hypot(*row.paper.white_lab[1:]) for row in by_whites.rows]
    assert chromas == sorted(chromas)
    assert [r.name for r in by_blacks.rows] != [r.name for r in by_whites.rows]
    again = compare(picture, wb.demo_papers(), weights={"blacks": 1})
    assert [row.name for row in again.rows] == [row.name for row in by_blacks.rows]
    assert again.rows[0].reason == by_blacks.rows[0].reason


def test_a_colourful_picture_suits_glossy_papers_better(comparison):
    # common practice, no source: glossy papers hold more colour than matte ones
    by_colour = comparison.order({"colour": 1})
    assert {row.paper.finish for row in by_colour.rows[:2]} == {"gloss", "satin"}


def test_order_of_equal_and_of_missing_scores():
    weights = checked_weights({"colour": 1, "blacks": 1})
    full = {"colour": 0.2, "blacks": 0.2, "whites": None, "price": None}
    part = {**full, "colour": None, "blacks": 0.9}
    less = {**part, "blacks": 0.5}
    none = {**part, "blacks": None}
    scores = [score(m, weights) for m in (less, full, none, part, full)]
    # what cannot be judged on all that matters comes after what can, and equals share a place
    assert places([scores[n] for n in in_order(scores)]) == [1, 1, 3, 4, 5]
    assert in_order(scores) == [1, 4, 3, 0, 2]
    assert scores[3].total is None and scores[3].missing == ("colour",)
    assert scores[1].total == pytest.approx(0.2)


@pytest.mark.parametrize(
    ("weights", "sentence"),
    [
        ({"speed": 1}, "no weight for “speed”; what can matter is colour, blacks, whites, price"),
        ({"colour": -1}, "weight of colour must be a number of 0 or more, not -1"),
        ({"colour": float("nan")}, "weight of colour must be a number"),
        ({"colour": "much"}, "weight of colour must be a number"),
        ([1, 1, 1, 1], "a number for each of"),
    ],
)
def test_weights_that_are_none(comparison, weights, sentence):
    with pytest.raises(WorkbenchError, match=sentence):
        comparison.order(weights)


# -- papers without a profile


def test_measured_papers_say_what_they_need(picture, coated):
    measured = press_paper("FOGRA47L")
    both = compare(picture, [measured, coated], weights={"colour": 1, "blacks": 1})
    assert [row.name for row in both.rows] == ["Press sheet", "FOGRA47L"]
    row = both.table()[1]
    needs = ("gamut_volume", "share_outside", "mean_shift", "shift_95", "merged_levels",
             "share_merged", "share_highlights", "mark_colour", "score")  # fmt: skip
    assert all(row[key] is None for key in needs)
    assert row["black_density"] is None
    assert row["darkest_density"] == pytest.approx(1.18, abs=0.01)
    assert row["tint"] == "slightly cool"
    assert row["reason"].endswith(
        "It needs a profile to tell how many of this picture's colours it holds."
    )
    assert both.rows[1].needs_profile and not both.rows[0].needs_profile
    # where colour does not matter, it has its place like any other
    assert both.order({"blacks": 1, "price": 0}).rows[1].score.total is not None


def test_without_a_reading_of_its_black(picture):
    white_only = measured_paper("White only", (95, 0, -2), illuminant="D50", observer_deg=2)
    result = compare(picture, [white_only])
    row = result.table()[0]
    assert (row["darkest_density"], row["contrast_ratio"], row["stops"]) == (None, None, None)
    assert "Its black was not read" in row["reason"]
    wished = result.order({"whites": 1}, white_wish="warm")
    assert wished.rows[0].score.total is not None
    both = [white_only, press_paper("IFRA26S")]
    assert compare(picture, both, weights={"colour": 1, "blacks": 1}).sentence.startswith(
        "By what is known, "
    )


def test_a_profile_that_states_no_white(picture):
    from workbench.colour.profile import read_profile
    from workbench.colour.writer import xyz

    data = bytearray(coated_profile())
    at, _ = read_profile(bytes(data)).tags["wtpt"]
    data[at : at + 20] = xyz([0.9642, 1, 0.8249])
    row = compare(
        picture, [wb.open_paper(bytes(data))], weights={"whites": 1}, white_wish="warm"
    ).table()[0]
    unknown = ("white_L", "tint", "whiteness", "white_distance", "light_shift", "mark_whites")
    assert all(row[key] is None for key in unknown)
    assert "nothing about a real sheet" in row["reason"]


def test_what_no_real_sheet_has_is_not_the_best_of_anything(picture, coated):
    """A black of density 5, as some converted profiles claim (invented)."""
    claimed = measured_paper("Claimed", (95, 0, 0), (0.009, 0, 0), illuminant="D50", observer_deg=2)
    result = compare(picture, [claimed, coated], weights={"blacks": 1})
    assert [row.name for row in result.rows] == ["Press sheet", "Claimed"]
    assert "nothing about a real sheet" in result.rows[1].reason and not result.rows[1].best


# -- reasons


def test_reasons_are_what_a_photographer_would_say(coated):
    """A sky on a satin paper and on a warm one (invented papers)."""
    from workbench.colour.inkmodel import model_profile

    sky = patches((0.62, 0.75, 0.9), (0.75, 0.83, 0.93), (0.35, 0.4, 0.3))
    warm = wb.open_paper(
        model_profile((95.0, 0.3, 5.5), 2.2, finish="satin", name="Warm"), name="Warm"
    )
    plain = wb.open_paper(
        model_profile((96.5, 0.0, -0.3), 2.2, finish="satin", name="Plain"), name="Plain"
    )
    result = compare(
        sky, [warm, plain], weights={"colour": 1, "whites": 2}, reference="perfect diffuser",
        white_wish="neutral",
    )  # fmt: skip
    assert [row.name for row in result.rows] == ["Plain", "Warm"]
    assert result.rows[1].reason.startswith("Holds ")
    assert " of this picture's colours, but its white turns the light " in result.rows[1].reason
    assert result.rows[1].reason.endswith("units yellower.")
    assert "units yellower" not in result.rows[0].reason
    assert result.sentence == f"Plain comes first: {result.rows[0].reason}"
    # a tint is not a fault unless the person says so
    for row in result.order({"colour": 1, "whites": 2}, white_wish="any").rows:
        assert ", but its white" not in row.reason and row.score.weights["whites"] == 0


def test_reasons_for_blacks(picture):
    reasons = {
        row.name: row.reason
        for row in compare(picture, [press_paper(n) for n in PRESS], weights={"blacks": 1}).rows
    }
    for name, word, density in zip(
        PRESS, ("the deepest", "shallow", "shallow"), (1.68, 1.18, 1.03), strict=True
    ):
        assert f"Its darkest printable colour is {word} (" in reasons[name]
        assert f"density {density})" in reasons[name]


@pytest.mark.parametrize(
    "weights", [None, {"colour": 1}, {"whites": 1}, {"price": 1}, {"blacks": 2, "price": 1}]
)
def test_reasons_are_whole_sentences(comparison, coated, weights):
    mixed = compare(colourful(), [*wb.demo_papers(), press_paper("IFRA26S")], weights=weights,
                    prices={"IFRA26S": 1, wb.demo_papers()[0]: 2})  # fmt: skip
    for row in (*comparison.order(weights).rows, *mixed.rows):
        assert row.reason[0].isupper() and row.reason.endswith(".")
        assert "None" not in row.reason and "nan" not in row.reason and ".." not in row.reason


def test_advice_is_no_part_of_the_score(picture):
    smooth, rough = (
        replace(press_paper("FOGRA39L"), surface_texture=texture)
        for texture in ("smooth", "heavy texture")
    )
    result = compare(picture, [smooth, rough], weights={"blacks": 1})
    assert result.rows[0].score == result.rows[1].score
    said = {advice.rule for row in result.rows for advice in row.advice}
    assert "broad tones" in said or "small detail" in said


# -- prices


def test_prices_as_given(picture, coated):
    other = replace(coated, name="Other")
    result = compare(picture, [coated, other], weights={"price": 1}, prices={"Other": 2, coated: 3})
    assert [row.name for row in result.rows] == ["Other", "Press sheet"]
    assert [row["mark_price"] for row in result.table()] == [1, pytest.approx(2 / 3)]
    assert result.rows[0].reason == "Costs 2.00 at this size, the least of all."
    assert result.rows[1].reason == "Costs 3.00 at this size, 1.5 times the least."


def test_prices_of_a_size_from_the_papers_own(picture, coated):
    sheets = replace(
        coated, name="Sheets", currency="EUR", price_per_sheet=(("A4", 1.0), ("A3", 2.2))
    )
    roll = replace(coated, name="Roll", currency="EUR", price_per_metre=(("24 in", 8.0),))
    unknown = replace(coated, name="Unknown")
    result = compare(picture, [unknown, roll, sheets], weights={"price": 1}, size=(400, 280))
    assert [row.name for row in result.rows] == ["Sheets", "Roll", "Unknown"]
    table = result.table()
    assert [row["price"] for row in table] == [2.2, pytest.approx(8 * 0.28), None]
    assert table[0]["price_how"] == "one sheet of A3"
    assert table[1]["price_how"] == "28 cm of a 24 in roll"
    assert table[2]["reason"] == "Its price at this size is not known."
    assert "(one sheet of A3)" in table[0]["reason"]
    # or on the sheet that is asked for
    asked = compare(picture, [roll, sheets], size=(200, 280), sheet="A3").table()
    assert [(row["price"], row["price_how"]) for row in asked] == [
        (None, None), (2.2, "one sheet of A3"),
    ]  # fmt: skip
    # a print size counts with its borders: 400 and 2 × 20 mm do not fit A3
    size = wb.print_size(picture, width_mm=400, borders_mm=20)
    assert row_of(compare(picture, [sheets], size=size), "Sheets").price is None


def test_prices_in_different_currencies_are_not_compared(picture, coated):
    papers = [
        replace(coated, name=c, currency=c, price_per_sheet=(("A4", 1.0),)) for c in ("EUR", "USD")
    ]
    table = compare(picture, papers, weights={"price": 1}, size=(200, 200)).table()
    assert [row["mark_price"] for row in table] == [None, None]


@pytest.mark.parametrize(
    ("options", "sentence"),
    [
        ({"prices": {"Another": 1}}, "a price for “Another”, which is not among the papers"),
        ({"prices": {"Press sheet": -1}}, "A price is a number of 0 or more, not -1"),
        ({"prices": [1]}, "Prices are given for each paper"),
        ({"size": 300}, "a width and a height in mm"),
        ({"size": (300, -1)}, "height must be greater than 0"),
        ({"threshold": 0}, "threshold.* lies between"),
        ({"intent": "vivid"}, "not a rendering intent"),
        ({"reference": "the sun"}, "not a white to compare with"),
    ],
)
def test_what_cannot_be_compared(picture, coated, options, sentence):
    with pytest.raises(WorkbenchError, match=sentence):
        compare(picture, [coated], **options)


def test_no_papers_and_no_paper(picture):
    with pytest.raises(WorkbenchError, match="no paper to compare"):
        compare(picture, [])
    for thing in (7, ["a.icc"]):
        with pytest.raises(WorkbenchError, match="is not a paper; open one with open_paper"):
            compare(picture, thing)
    with pytest.raises(PaperError, match="describes a screen"):
        from workbench.colour.spaces import standard_profile

        compare(picture, [wb.open_paper(standard_profile("sRGB"))])


def test_an_untagged_picture(coated):
    import tifffile

    file = io.BytesIO()
    tifffile.imwrite(file, np.zeros((8, 8, 3), np.uint8), photometric="rgb")
    with pytest.raises(UntaggedPictureError):
        compare(wb.open_picture(file.getvalue(), name="x.tif"), [coated])


def test_it_can_be_cancelled_and_tells_its_progress(picture, coated):
    done = []
    compare(picture, [coated, replace(coated, name="Other")], progress=done.append)
    assert done == sorted(done) and done[0] == 0 and done[-1] == 1
    with pytest.raises(Cancelled):
        compare(picture, [coated], cancelled=lambda: True)


# -- what is alike is not put in order


def by_hand(white, density, surface_mirror):
    """Contrast behind plain glass, n = 1.52, in a room 0.4 as bright: Fresnel, spelled out."""
    face = ((1.52 - 1) / (1.52 + 1)) ** 2
    reflected, crossed = 2 * face / (1 + face), (1 - face) / (1 + face)
    # evenly scattered light that the sheet throws back: some 0.15 for this index
    signal = crossed**2 / (1 - 0.18 * 0.15)
    veil = 0.4 * (reflected + signal * surface_mirror)
    y = ((white + 16) / 116) ** 3
    return (signal * y + veil) / (signal * 10**-density + veil)


def test_gloss_and_cotton_look_alike_behind_plain_glass_in_a_living_room(picture):
    gloss, cotton = wb.demo_papers()[0], wb.demo_papers()[2]
    bare = compare(picture, [gloss, cotton], weights={"blacks": 1})
    assert [row.rank for row in bare.rows] == [1, 2]
    assert bare.rows[0].contrast_seen > 4 * bare.rows[1].contrast_seen
    place = {"light": "living room", "illuminance_lux": 100, "glass": "plain"}
    there = compare(picture, [gloss, cotton], weights={"blacks": 1}, **place)
    assert [row.rank for row in there.rows] == [1, 1]
    assert "share the first place" in there.sentence
    seen = [row_of(there, paper.name).contrast_seen for paper in (gloss, cotton)]
    wanted = [by_hand(96.2, 2.36, 0.04), by_hand(96.4, 1.66, 0.0)]
    assert seen == pytest.approx(wanted, rel=0.01)
    assert seen == pytest.approx([16.5, 15.9], abs=0.15)
    # the same light of paper and veil, as density: blacks of 2.36 and 1.66 become much alike
    face = ((1.52 - 1) / (1.52 + 1)) ** 2
    reflected, signal = 2 * face / (1 + face), ((1 - face) / (1 + face)) ** 2 / (1 - 0.18 * 0.15)
    hung = [
        -math.log10(signal * 10**-density + 0.4 * (reflected + signal * mirror))
        for density, mirror in ((2.36, 0.04), (1.66, 0.0))
    ]
    told = {row["paper"]: row for row in there.table()}
    assert [told[paper.name]["black_hung"] for paper in (gloss, cotton)] == pytest.approx(
        hung, abs=0.01
    )
    surfaces = [wb.surface_of(paper) for paper in (gloss, cotton)]
    for paper, surface in zip((gloss, cotton), surfaces, strict=True):
        row = told[paper.name]
        assert row["relief"].startswith(surface.kind) and "invented" in row["relief"]
        assert row["relief_slope"] == surface.rms_slope and row["gloss_60"] == surface.gloss_60
        assert row["relief_height"] == pytest.approx(1000 * surface.height_mm.std(), rel=1e-4)
    assert all("contrast_seen" in row.best for row in there.rows)


def test_without_weights_there_is_no_winner(comparison):
    assert {row.rank for row in comparison.rows} == {0}
    assert all(row.score is None for row in comparison.rows)
    assert [row.name for row in comparison.rows] == [paper.name for paper in wb.demo_papers()]
    assert "first" not in comparison.sentence
    for key, better in (("share_outside", min), ("contrast_seen", max), ("gamut_volume", max)):
        values = {row["paper"]: row[key] for row in comparison.table()}
        marked = {row.name for row in comparison.rows if key in row.best}
        best = better(values, key=values.get)
        assert best in marked
        for row in comparison.rows:
            unsure = row.doubts[key] + row_of(comparison, best).doubts[key]
            assert (row.name in marked) == (abs(values[row.name] - values[best]) <= unsure)


def test_two_of_the_same_paper_share_every_place(picture, coated):
    twin = replace(coated, name="Twin")
    result = compare(picture, [coated, twin], weights={"colour": 2, "blacks": 1})
    assert [row.rank for row in result.rows] == [1, 1]
    assert result.order().sentence.count("all alike") == 2
