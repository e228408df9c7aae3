"""What prints cost: arithmetic done by hand (common practice, no source)."""

from types import SimpleNamespace

import pytest

from workbench.analysis.cost import ml_text, number_word, print_cost
from workbench.analysis.price import price_on
from workbench.errors import SizeError


def sheet(**more):
    """A paper as the shelf fills it in."""
    return SimpleNamespace(**{
        "name": "Invented Fen", "currency": "EUR", "sheets": (), "rolls": (),
        "price_per_sheet": (), "price_per_metre": (), **more,
    })  # fmt: skip


A3 = sheet(price_per_sheet=(("A4", 2.4), ("A3", 4.2)))
ROLL = sheet(price_per_metre=(("24 in", 15.0),), currency=None)


def test_an_edition_on_sheets_by_hand():
    # 400 mm × 280 mm is 0.112 m²; 18.75 ml/m² on it are 2.1 ml; at 13/21 EUR/ml that is
    # 1.30 EUR; with the A3 sheet 5.50 EUR, and ten of these 55.00 EUR
    cost = print_cost(
        A3, 420, 297, copies=10, ink_ml_per_m2=18.75, ink_price_per_ml=13 / 21,
        coverage_mm2=400 * 280,
    )  # fmt: skip
    assert cost.paper_amount == 4.2 and cost.ink_ml == pytest.approx(2.1)
    assert cost.ink_amount == pytest.approx(1.3) and cost.per_copy == pytest.approx(5.5)
    assert cost.total == pytest.approx(55) and cost.edition_ink_ml == pytest.approx(21)
    assert cost.sentence == (
        "Paper 4.20 EUR (one sheet of A3), ink about 2.1 ml = 1.30 EUR: 5.50 EUR a print, "
        "ten prints 55.00 EUR."
    )
    assert cost.unknown == () and cost.sentences() == (cost.sentence,)


def test_one_print_from_a_roll_by_hand():
    # 400 mm lie across the 609.6 mm of the roll; 300 mm are cut, at 15 a metre 4.50; 0.12 m²
    # at 12 ml/m² take 1.44 ml, at 0.5 a ml 0.72
    cost = print_cost(ROLL, 400, 300, ink_ml_per_m2=12, ink_price_per_ml=0.5)
    assert cost.total == cost.per_copy == pytest.approx(5.22)
    assert cost.sentence == (
        "Paper 4.50 (30 cm of a 24 in roll), ink about 1.4 ml = 0.72: 5.22 a print."
    )


def test_the_sentence_calls_one_what_it_is():
    how = {"ink_ml_per_m2": 12, "ink_price_per_ml": 0.5}
    cost = print_cost(ROLL, 400, 300, called="together", **how)
    assert cost.called == "together" and print_cost(ROLL, 400, 300).called == "a print"
    assert cost.sentence == (
        "Paper 4.50 (30 cm of a 24 in roll), ink about 1.4 ml = 0.72: 5.22 together."
    )


def test_what_is_not_known_is_said_and_never_guessed():
    nothing = print_cost(sheet(), 400, 300, copies=3)
    assert nothing.sentence == "" and nothing.total is None and len(nothing.unknown) == 3
    assert "note its price on your shelf" in nothing.unknown[0]
    paper = print_cost(A3, 400, 280, copies=3)
    assert paper.per_copy is None and paper.total is None
    # three sheets at 4.20
    assert paper.sentence == (
        "Paper 4.20 EUR (one sheet of A3); the paper for three prints 12.60 EUR."
    )
    assert "square metre" in paper.unknown[0] and "price of ink" in paper.unknown[1]
    ink = print_cost(None, 500, 400, copies=20, ink_ml_per_m2=10)
    assert ink.sentence == "Ink about 2.0 ml; for 20 prints about 40.0 ml."
    assert ink.unknown[0] == "The price of the paper is not known: choose a paper."
    priced = print_cost(None, 500, 400, copies=2, ink_ml_per_m2=10, ink_price_per_ml=1)
    assert priced.sentence == "Ink about 2.0 ml = 2.00; the ink for two prints 4.00."
    assert print_cost(A3, 1000, 800).unknown[0].startswith("The print does not fit any size")


def test_the_chosen_sheet_decides():
    assert print_cost(A3, 200, 150).paper.how == "one sheet of A4"
    assert print_cost(A3, 200, 150, sheet="A3").paper_amount == 4.2
    assert print_cost(A3, 200, 150, sheet="A2").paper is None
    both = sheet(price_per_sheet=(("", 3.0),), price_per_metre=(("610 mm", 9.0), ("", 10.0)))
    assert price_on(both, 200, 150, sheet="A2").amount == 3
    assert price_on(both, 200, 150, sheet="A6") is None
    # 200 mm lie across, 150 mm are cut
    assert price_on(both, 200, 150, sheet="24 in roll").amount == pytest.approx(1.5)
    assert price_on(both, 200, 150, sheet="61 cm roll").amount == pytest.approx(1.35)
    assert price_on(both, 2000, 1500, sheet="24 in roll") is None
    assert "does not fit A2" in print_cost(A3, 200, 150, sheet="A2").unknown[0]


def test_no_ink_and_no_price_are_numbers_too():
    cost = print_cost(A3, 200, 150, ink_ml_per_m2=0, ink_price_per_ml=0)
    assert cost.per_copy == 2.4 and cost.unknown == ()


@pytest.mark.parametrize(
    "size, more, said",
    [
        ((0, 300), {}, "width must be greater than 0"),
        ((400, 300), {"copies": 0}, "1 to 1,000,000 prints"),
        ((400, 300), {"copies": 2.5}, "1 to 1,000,000 prints"),
        ((400, 300), {"ink_ml_per_m2": -1}, "ink per square metre is a number of 0 ml"),
        ((400, 300), {"ink_price_per_ml": "dear"}, "price of ink is a number"),
        ((400, 300), {"coverage_mm2": float("nan")}, "area that takes ink"),
        ((400, 300), {"sheet": "a tablecloth"}, "no sheet called"),
    ],
)
def test_what_makes_no_sense_is_refused(size, more, said):
    with pytest.raises(SizeError, match=said):
        print_cost(A3, *size, **more)


def test_millilitres_keep_two_digits_where_they_are_few():
    said = [ml_text(value) for value in (0, 0.021, 0.93, 1.04, 2.14, 99.4, 99.5, 1234.5)]
    expected = ["0", "0.021", "0.93", "1.0", "2.1", "99.4", "100", "1234"]
    assert said == [f"{number} ml" for number in expected]


def test_numbers_in_words():
    assert [number_word(n) for n in (1, 12, 13, 1200)] == ["one", "twelve", "13", "1,200"]
