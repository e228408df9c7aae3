"""What a person moves and what it changes are in view together; nothing is cut off when narrow."""

from __future__ import annotations

from contextlib import suppress

import pytest
from browser.lab import lab_errors
from playwright.sync_api import TimeoutError

PANEL = ".wb-tabs .widget-tab-contents"
# boxes of all that is seen in the panel and is not within something that scrolls by itself
OVER_THE_EDGE = """css => {
    const panel = [...document.querySelectorAll(css)].find(e => e.offsetParent !== null);
    const right = panel.getBoundingClientRect().right + 0.5;
    return [...panel.querySelectorAll('img, select, input, button, table, .wb-sentence')]
        .filter(e => e.offsetParent !== null && e.getBoundingClientRect().right > right)
        .map(e => e.outerHTML.slice(0, 120));
}"""


def turn_to(page, name):
    page.locator(".wb-tabs [role=tab]", has_text=name).click()
    page.wait_for_function(
        """css => {
            const seen = [...document.querySelectorAll(`${css} .wb-picture, ${css} .wb-plot`)]
                .filter(i => i.offsetParent !== null);
            return seen.length > 1 && seen.every(i => i.naturalWidth > 0);
        }""",
        arg=PANEL,
    )


def wait_for_fit(page, css, count):
    """Until so many pictures have been made for the room there is, one below the other or not."""
    page.wait_for_function(
        """([css, count]) => {
            const seen = [...document.querySelectorAll(css)].filter(i => i.offsetParent !== null);
            return seen.length === count && seen.every(
                i => Math.abs(i.getBoundingClientRect().width - i.naturalWidth) < 1);
        }""",
        arg=[css, count],
    )


def side_by_side(page):
    """Wait until the panel's two pictures stand beside one another."""
    page.wait_for_function(
        """css => {
            const [left, right] = [...document.querySelectorAll(css)].filter(
                i => i.offsetParent !== null).map(i => i.getBoundingClientRect());
            return left.top === right.top && right.left > left.right;
        }""",
        arg=f"{PANEL} .wb-picture",
    )


def box(page, css, which=0):
    return page.locator(f"{PANEL} {css}:visible").nth(which).bounding_box()


def test_sliders_stand_beside_what_they_move(desk_page):
    page = desk_page()
    turn_to(page, "Gamut")
    wait_for_fit(page, f"{PANEL} .wb-picture", 1)
    panel, picture = page.locator(PANEL).bounding_box(), box(page, ".wb-picture")
    threshold = page.get_by_label("Out-of-gamut threshold").first.bounding_box()
    assert threshold["x"] > picture["x"] + picture["width"]
    assert picture["y"] - 20 < threshold["y"] < picture["y"] + picture["height"]
    assert picture["y"] + picture["height"] < panel["y"] + panel["height"]  # without scrolling
    # its answer is the first line: an empty status line takes no room
    assert box(page, ".wb-sentence-box")["y"] - panel["y"] < 24
    plots = page.locator(f"{PANEL} .wb-plot:visible")
    for label, plot in (("Lightness of the slice", 2), ("Turn", 3)):
        slider = page.get_by_label(label).first.bounding_box()
        drawn = plots.nth(plot).bounding_box()
        assert slider["x"] > drawn["x"] + drawn["width"]
        assert drawn["y"] - 20 < slider["y"] < drawn["y"] + drawn["height"]

    # the answers stay in view while a panel scrolls
    page.locator(PANEL).evaluate("e => e.scrollTo(0, e.scrollHeight)")
    for label in ("Size", "Gamut", "Paper white", "Black point"):
        said = page.locator(".wb-desk-answers .wb-sentence-box", has_text=label).bounding_box()
        assert 0 < said["y"] and said["y"] + said["height"] <= 900
    page.locator(PANEL).evaluate("e => e.scrollTo(0, 0)")

    # work under way is told in the margin and moves nothing
    answer = page.locator(f"{PANEL} .wb-sentence-box:visible").first
    line = answer.locator("xpath=../*[contains(@class, 'wb-status')]").first
    before = box(page, ".wb-sentence-box")
    line.evaluate(
        """e => {
            e.classList.replace('wb-status-empty', 'wb-status-work');
            e.firstElementChild.innerHTML = '<span class="wb-muted">Counting every pixel</span>';
        }"""
    )
    told = line.bounding_box()
    assert box(page, ".wb-sentence-box") == before
    assert told["height"] > 10 and told["y"] >= panel["y"]
    assert told["y"] + told["height"] <= before["y"] + 2

    turn_to(page, "Black point")
    wait_for_fit(page, f"{PANEL} .wb-picture", 2)
    side_by_side(page)
    left = box(page, ".wb-picture", 0)
    lift = page.get_by_label("Brighten on screen, to look only").first.bounding_box()
    assert 0 < left["y"] - lift["y"] < 80
    assert not lab_errors(page)


# titles of the panels, with what has arrived when all has
ARRIVED = {
    "Size": ".wb-plot",
    "Gamut": ".wb-plot",
    "Paper white": ".wb-plot",
    "Black point": ".wb-plot",
    "Proof": ".wb-intents",
    "Side by side": ".wb-compare-scroll table",
    "Papers": ".wb-files-list",
    "What if": "table",
    "Screen and light": ".wb-plot",
    "Test strip": "img.wb-plot[alt*='as planned']",
    "Print file": ".wb-plot",
    "Target": ".wb-picture",
    "Record": ".wb-files-list",
    "Picture and paper": ".wb-facts",
}
# these scroll by themselves, so that what lies in them may be wider
SCROLL = ".wb-intents, .wb-compare-scroll table"
WIDER = """([desk, scroll]) => [...document.querySelectorAll(desk + ' *')].filter(
    e => e.offsetParent !== null && !e.closest(scroll)
        && e.getBoundingClientRect().right > innerWidth + 1).map(e => e.outerHTML.slice(0, 120))"""


def nothing_sticks_out(page):
    """What is over the window's edge, once the page has settled to the room there is."""
    desk = [".wb-desk", SCROLL]
    with suppress(TimeoutError):
        page.wait_for_function(f"desk => ({WIDER})(desk).length === 0", arg=desk, timeout=10_000)
    return page.evaluate(WIDER, desk) == []


@pytest.mark.parametrize("width", [1440, 700])
def test_nothing_is_wider_than_the_window_or_its_panel(desk_page, width):
    page = desk_page(viewport=(width, 900))
    titles = page.locator(".wb-tabs [role=tab]").all_inner_texts()
    assert titles == list(ARRIVED)
    for title, css in ARRIVED.items():
        page.locator(".wb-tabs").get_by_role("tab", name=title, exact=True).click()
        page.locator(f"{PANEL} {css} >> visible=true").first.wait_for()
        assert nothing_sticks_out(page), title
        if title in ("Gamut", "Black point"):
            wait_for_fit(page, f"{PANEL} .wb-picture", 1 if title == "Gamut" else 2)
            assert page.evaluate(OVER_THE_EDGE, PANEL) == [], title
        if title == "Black point":
            side_by_side(page)
        if title == "Proof":
            for view in range(3):
                page.get_by_label("Show", exact=True).select_option(index=view)
                assert nothing_sticks_out(page), (title, view)
        if title == "Side by side":
            table = page.locator(".wb-compare-scroll").evaluate(
                "e => e.scrollWidth - e.clientWidth"
            )
            assert table > 500  # all figures can be reached
        if title == "Screen and light":
            page.get_by_role("button", name="Standards: what each is for").click()
            page.get_by_text("a whole soft proofing system").wait_for()
            assert nothing_sticks_out(page), title
    assert not lab_errors(page)
