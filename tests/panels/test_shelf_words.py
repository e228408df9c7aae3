"""What may be typed into the shelf's fields, how its list gives way, and who stays at hand."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from library.makers import paper_profile

from workbench.errors import LibraryError
from workbench.panels.parts.text_table import Column, fitting
from workbench.panels.shelf.words import shown_value, typed_value
from workbench.paper import open_paper
from workbench.plan import Plan

# -- what may be typed


@pytest.mark.parametrize(
    ("key", "text", "value"),
    [
        ("weight_g_m2", " 247 gsm", 247),
        ("weight_g_m2", "247,5", 247.5),
        ("thickness_mm", "0,48 mm", 0.48),
        ("sheets", "A4, A3+; 32,9 x 48,3 cm", ["A4", "A3+", "32,9 x 48,3 cm"]),
        ("sheets", '["A4", "A3"]', ["A4", "A3"]),
        ("rolls", '24"', ['24"']),
        ("price_per_sheet", "0.9", 0.9),
        ("price_per_sheet", "€ 0,90", 0.9),
        ("price_per_sheet", "A4 0,90, A3 1,80 EUR", {"A4": 0.9, "A3": 1.8}),
        ("price_per_sheet", "A4 0.9,A3 1.8", {"A4": 0.9, "A3": 1.8}),
        ("price_per_sheet", '{ A4 = 0.9, "30 x 40 cm" = 2 }', {"A4": 0.9, "30 x 40 cm": 2}),
        ("price_per_metre", "24 in: 7.5; 44 in: 14", {"24 in": 7.5, "44 in": 14}),
        ("price_per_metre", "5; 24 in 7.5", {"": 5, "24 in": 7.5}),
        ("printer", "  ", None),
        ("notes", "\nas it is  ", "as it is  "),
    ],
)
def test_plain_words_are_understood(key, text, value):
    assert typed_value(key, text) == value


@pytest.mark.parametrize("text", ["A4", "10 x 15", "A4 cheap", "A4 1; A4 2", "A4 1.2.3"])
def test_prices_that_are_none_are_refused(text):
    with pytest.raises(LibraryError, match="Price per sheet: "):
        typed_value("price_per_sheet", text)


_SIZE = st.from_regex(r"[A-Z][a-z]{0,5}( [a-z]{1,4})?", fullmatch=True)
_PRICE = st.integers(1, 10**6).map(lambda cents: cents / 100)


@given(st.dictionaries(_SIZE, _PRICE, min_size=1, max_size=5), st.lists(_SIZE, max_size=5))
@settings(max_examples=60)
def test_what_is_shown_can_be_typed_again(prices, sizes):
    shown = shown_value("price_per_sheet", tuple(prices.items()))
    assert typed_value("price_per_sheet", shown) == prices
    assert (typed_value("sheets", shown_value("sheets", tuple(sizes))) or []) == sizes


# -- columns, and papers at hand


def test_columns_give_way_by_rank_and_take_what_is_left():
    columns = (Column("a", 10, least=6), Column("b", 5, rank=1), Column("c", 5, rank=2))
    assert fitting(columns, 30) == ((0, 18), (1, 5), (2, 5))
    assert fitting(columns, 18) == ((0, 6), (1, 5), (2, 5))
    assert fitting(columns, 17) == ((0, 11), (1, 5))
    assert fitting(columns, 3) == ((0, 6),)


def test_a_paper_that_leaves_frees_its_roles():
    one, two = (open_paper(paper_profile(n), f"Paper {n}") for n in (1, 2))
    plan = Plan(papers=(one, two), paper=one, other_paper=one, reference=one)
    plan.take_away(one, two)
    assert plan.papers == (two,) and plan.paper is two
    assert plan.other_paper is None and plan.reference is None
    # of two alike, the one at hand already is kept
    twin = open_paper(paper_profile(2), "Paper 2")
    assert plan.bring_in([], [twin]) == [two] and plan.papers == (two,)
