"""What a person moves and what it changes are in view together; nothing is cut off when narrow."""

from __future__ import annotations

from contextlib import suppress
from itertools import product

from browser.lab import IN_PANEL as PANEL
from browser.lab import broken_rules, go_to, lab_errors
from playwright.sync_api import TimeoutError

from workbench.panels.registry import PANELS

# boxes of all that is seen in the panel and is not within something that scrolls by itself
OVER_THE_EDGE = """css => {
    const panel = [...document.querySelectorAll(css)].find(e => e.offsetParent !== null);
    const right = panel.getBoundingClientRect().right + 0.5;
    return [...panel.querySelectorAll('img, select, input, button, table, .wb-sentence')]
        .filter(e => e.offsetParent !== null && e.getBoundingClientRect().right > right)
        .map(e => e.outerHTML.slice(0, 120));
}"""


def go_and_wait(page, name):
    go_to(page, name)
    page.wait_for_function(
        """css => {
            const seen = [...document.querySelectorAll(`${css} .wb-picture, ${css} .wb-plot`)]
                .filter(i => i.offsetParent !== null);
            return seen.length > 1 && seen.every(i => (i.naturalWidth ?? i.width) > 0);
        }""",
        arg=PANEL,
    )


def wait_for_fit(page, css, count):
    """Until so many pictures have been made for the room there is, one below the other or not."""
    page.wait_for_function(
        """([css, count]) => {
            const seen = [...document.querySelectorAll(css)].filter(i => i.offsetParent !== null);
            return seen.length === count && seen.every(
                i => Math.abs(i.getBoundingClientRect().width - (i.naturalWidth ?? i.width)) < 1);
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


def test_sliders_stand_beside_what_they_move(shared_desk):
    page = shared_desk.page
    go_and_wait(page, "gamut")
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
    for said in page.locator(".wb-desk-answers .wb-answer").all():
        box_of = said.bounding_box()
        assert 0 < box_of["y"] and box_of["y"] + box_of["height"] <= 900
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

    go_and_wait(page, "black")
    wait_for_fit(page, f"{PANEL} .wb-picture", 2)
    side_by_side(page)
    left = box(page, ".wb-picture", 0)
    lift = page.get_by_label("Brighten on screen, to look only").first.bounding_box()
    assert 0 < left["y"] - lift["y"] < 80
    assert not lab_errors(page)


# pages of the desk, with what has arrived when all has
ARRIVED = {
    "size": ".wb-plot",
    "gamut": ".wb-plot",
    "white": ".wb-plot",
    "black": ".wb-plot",
    "proof": ".wb-intents",
    "compare": ".wb-compare-scroll table",
    "shelf": ".wb-files-list",
    "what_if": "table",
    "screen": ".wb-plot",
    "strip": "img.wb-plot[alt*='as planned']",
    "print_file": ".wb-plot",
    "target": ".wb-picture",
    "record": ".wb-files-list",
    "file": ".wb-facts",
}
# these scroll by themselves, so that what lies in them may be wider
SCROLL = ".wb-intents, .wb-compare-scroll table"
WIDER = """([desk, scroll]) => [...document.querySelectorAll(desk + ' *')].filter(
    e => e.offsetParent !== null && !e.closest(scroll)
        && e.getBoundingClientRect().right > innerWidth + 1).map(e => e.outerHTML.slice(0, 120))"""


# pictures that the page draws itself, and that lose their sides
CUT = """() => [...document.querySelectorAll('.wb-live-stage')].filter(e => e.offsetParent !== null
    && e.getBoundingClientRect().width > e.closest('.wb-surround').clientWidth + 1).length"""


def nothing_sticks_out(page):
    """What is over the window's edge, once the page has settled to the room there is."""
    desk = [".wb-desk", SCROLL]
    with suppress(TimeoutError):
        page.wait_for_function(f"desk => ({WIDER})(desk).length === 0", arg=desk, timeout=10_000)
    return page.evaluate(WIDER, desk) == [] and page.evaluate(CUT) == 0


def test_nothing_is_wider_than_the_window_and_all_keeps_the_rules_of_access(shared_desk):
    # one desk for both widths: what takes long is its panels
    page = shared_desk.page
    broken = {}
    for width, title in product((1440, 700), ("file", *PANELS)):
        page.set_viewport_size({"width": width, "height": 900})
        css = ARRIVED.get(title, "button, input, select")
        go_to(page, title)
        page.locator(f"{PANEL} {css} >> visible=true").first.wait_for()
        assert nothing_sticks_out(page), title
        if width == 1440 and (rules := broken_rules(page)):
            broken[title] = rules
        if title in ("gamut", "black"):
            wait_for_fit(page, f"{PANEL} .wb-picture", 1 if title == "gamut" else 2)
            assert page.evaluate(OVER_THE_EDGE, PANEL) == [], title
        if title == "black":
            side_by_side(page)
        if title == "proof":
            for view in range(3):
                page.locator(f'{PANEL} select[aria-label="Show"]:visible').select_option(index=view)
                assert nothing_sticks_out(page), (title, view)
        if title == "compare":
            table = page.locator(".wb-compare-scroll").evaluate(
                "e => e.scrollWidth - e.clientWidth"
            )
            assert table > 500  # all figures can be reached
        if title == "screen":
            if width == 1440:
                page.get_by_role("button", name="Standards: what each is for").click()
            page.get_by_text("a whole soft proofing system").wait_for()
            assert nothing_sticks_out(page), title
    assert broken == {}
    assert not lab_errors(page)
