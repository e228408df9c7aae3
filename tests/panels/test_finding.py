"""Finding controls by their words: the index against the panels as they are made."""

from __future__ import annotations

import ipywidgets as widgets
import pytest

from workbench.panels.desk import Desk
from workbench.panels.find_box import locate
from workbench.panels.finding import ALWAYS, controls, find_controls
from workbench.panels.registry import PANELS


@pytest.fixture(scope="module")
def desk(papers):
    made = Desk(papers=papers)
    yield made
    made.front.scheduler.close()


def named_below(root, front) -> set[str]:
    """Names of all controls below a widget, without units."""
    stack, found = [root], set()
    while stack:
        widget = stack.pop()
        stack += getattr(widget, "children", ())
        if isinstance(widget, widgets.Checkbox):
            found.add(widget.description)
        elif isinstance(widget, (widgets.Dropdown, widgets.FloatSlider, widgets.IntSlider)):
            name = front.attributes(widget).get("aria-label")
            if name and not name.startswith("Recent folders"):
                found.add(name.split(" (")[0])
    return found - {""}


@pytest.mark.slow
def test_nearly_every_control_of_every_panel_can_be_found(desk):
    """Those whose names are made up as they go, such as the papers' own, cannot."""
    known = {(each.page, each.label.split(" (")[0]) for each in controls()}
    always = {label for page, label in known if page == ALWAYS}
    missing, total = [], 0
    for page in PANELS:
        desk.go_to(page)
        for name in named_below(desk.places[page], desk.front):
            total += 1
            if (page, name) not in known and name not in always:
                missing.append((page, name))
    assert total > 90
    assert len(missing) < 0.15 * total, missing


@pytest.mark.slow
def test_what_is_found_is_there_and_is_led_to(desk):
    lost = []
    for each in controls():
        if each.page != ALWAYS:
            desk.panels[each.page] if each.page in PANELS else None
        root = desk.always if each.page == ALWAYS else desk.places[each.page]
        if locate(root, each.label, desk.front) is None:
            lost.append((each.page, each.label))
    # what is shown only at times
    assert len(lost) < 0.3 * len(controls()), lost


@pytest.mark.parametrize(
    ("words", "page", "label"),
    [
        ("intent", ALWAYS, "Rendering intent"),
        ("threshold", "gamut", "Out-of-gamut threshold"),
        ("lux", "screen", "Light on the print"),
        ("place usual", "screen", "Place"),
        ("replace", "print_file", "Replace a file of this name"),
        ("PRICE ink", "record", "Price of ink"),
        ("border", "size", "White border"),
    ],
)
def test_words_in_any_order_and_case_find_a_control(words, page, label):
    assert (page, label) in [(each.page, each.label) for each in find_controls(words)]


def test_all_words_must_be_there_and_no_words_find_nothing():
    assert find_controls("threshold zebra") == () == find_controls("  ")
    assert len(find_controls("the", most=3)) == 3


def test_a_control_in_a_fold_is_shown_and_focused(desk, monkeypatch):
    focused = []
    monkeypatch.setattr(desk.front, "focus", focused.append)
    desk.find.field.set_state({"value": "black neutral"})
    assert desk.find.found[0].label == "A black that is not neutral"
    desk.find.rows[0].click()
    assert desk.page == "what_if" and focused and focused[0].description.endswith("not neutral")
    assert desk.find.field.value == ""
