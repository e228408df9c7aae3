"""Editing TOML as text, held against the standard library's reader."""

import math
import tomllib

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from workbench.files.toml_text import NotToml, layout, literal, remove_key, set_value
from workbench.library.pieces import same

values = st.recursive(
    st.text(max_size=30)
    | st.text(alphabet="\"\\\n\r\t[]#'= a\x00\x7f\x85\u2028é", max_size=30)
    | st.integers(-(2**60), 2**60)
    | st.floats(allow_nan=False, allow_infinity=False)
    | st.booleans(),
    lambda inner: (
        st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=6), inner, max_size=4)
    ),
    max_leaves=8,
)


@settings(max_examples=400, deadline=None)
@given(values)
def test_what_is_written_reads_back_by_the_standard_reader(value):
    text = f"key = {literal(value)}\nother = 1\n"
    read = tomllib.loads(text)
    assert same(read, {"key": value, "other": 1})
    # and the places of things are found in it
    first, second = layout(text).assignments
    assert text[first.value_start : first.value_end] == literal(value)
    assert (first.key, second.key) == (("key",), ("other",))


@pytest.mark.parametrize("value", [math.nan, math.inf, None, object(), "\ud800"])
def test_what_toml_cannot_hold_is_refused(value):
    with pytest.raises(ValueError):
        literal(value)


ENTRY = '''[[paper]]  # the good one
# above the name
name = "Old"   # its name
  finish='matte'
sheets = [ "A4",  # in the drawer
  "A3", # on the shelf
]
mine."deep key" = { x = [1, {y = "]#"}] } # kept
notes = """
[[paper]]
name = "not me" # no comment
\\""" and ""\\" more"""
price_per_sheet.A4 = 1.5 # spring offer
price_per_sheet.A3 = 3

[paper.price_per_metre]
# by the roll
"24 in" = 7.5

[[paper.batches]] # two of them
number = 1
[[paper.batches]]
number = 2
'''


def comments(text):
    return sorted(
        word
        for word in (
            "the good one",
            "above the name",
            "its name",
            "in the drawer",
            "on the shelf",
            "kept",
            "spring offer",
            "by the roll",
            "two of them",
        )
        if word in text
    )


@pytest.mark.parametrize("line_end", ["\n", "\r\n"])
@pytest.mark.parametrize(
    "key", ["name", "finish", "sheets", "notes", "price_per_sheet", "price_per_metre", "base"]
)
@pytest.mark.parametrize("value", ["new", ["x", "y"], 3.5, "two\nlines", {"A4": 2, "A 3": 1.5}])
def test_one_value_changes_and_no_comment_goes(key, value, line_end):
    text = ENTRY.replace("\n", line_end)
    before = tomllib.loads(text)["paper"][0]
    changed = set_value(text, "paper", key, literal(value), ("name", "base", "finish"))
    assert tomllib.loads(changed)["paper"] == [{**before, key: value}]
    assert comments(changed) == comments(ENTRY)
    assert len(comments(ENTRY)) == 9
    assert changed.count("\r\n") == (changed.count("\n") if line_end == "\r\n" else 0)


@pytest.mark.parametrize(
    "key",
    [
        "name",
        "finish",
        "sheets",
        "notes",
        "price_per_sheet",
        "price_per_metre",
        "mine",
        "batches",
        "not there",
    ],
)
def test_one_key_goes_and_no_comment_does(key):
    before = tomllib.loads(ENTRY)["paper"][0]
    changed = remove_key(ENTRY, "paper", key)
    assert tomllib.loads(changed)["paper"] == [{k: v for k, v in before.items() if k != key}]
    assert comments(changed) == comments(ENTRY)


def test_a_change_touches_its_own_line_only():
    changed = set_value(ENTRY, "paper", "name", '"New"')
    assert changed == ENTRY.replace('"Old"', '"New"')


def test_a_new_key_goes_where_it_belongs():
    changed = set_value(ENTRY, "paper", "base", '"cotton"', ("name", "base", "finish"))
    assert changed == ENTRY.replace("# its name\n", '# its name\nbase = "cotton"\n')


def test_a_text_without_a_last_line_end():
    text = '[[paper]]\nname = "x"'
    assert set_value(text, "paper", "base", '"y"', ("name", "base")) == text + '\nbase = "y"\n'
    assert remove_key(text, "paper", "name") == "[[paper]]\n"


@settings(max_examples=300, deadline=None)
@given(st.text(alphabet="[]{}\"'#=.\\\n\r \tapx1é", max_size=60))
def test_rubbish_is_told_apart_and_never_hangs(text):
    try:
        valid = tomllib.loads(text) is not None
    except ValueError:
        valid = False
    try:
        place = layout(text)
    except NotToml:
        assert not valid
    else:
        # what is found covers distinct stretches, in order
        ends = [0]
        for each in place.assignments:
            assert ends[-1] <= each.start < each.value_end <= each.end <= len(text)
            ends.append(each.end)
