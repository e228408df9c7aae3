"""The desk in a real browser: what is always in view, the keyboard, finding, the way to a file;
what is moved and what it changes are in view together, and nothing is cut off when narrow."""

from __future__ import annotations

import json
from contextlib import suppress
from itertools import product

from browser.lab import IN_PANEL, broken_rules, go_to, lab_errors, wait_for_desk
from playwright.sync_api import TimeoutError

from workbench.panels.registry import PANELS, STAGES

IN_WINDOW = """css => [...document.querySelectorAll(css)].filter(e => e.offsetParent !== null).map(e => {
    const box = e.getBoundingClientRect();
    return box.top >= 0 && box.left >= 0 && box.right <= innerWidth && box.bottom <= innerHeight;
})"""
BEYOND_THE_DESK = """() => {
    const page = document.querySelector('.jp-WindowedPanel-outer');
    return page.scrollHeight - page.clientHeight;
}"""


def test_picture_and_answers_are_in_view_on_every_stage(shared_desk):
    page = shared_desk.page
    for viewport in ((1440, 900), (1280, 720), (1024, 768)):
        page.set_viewport_size(dict(zip(("width", "height"), viewport, strict=True)))
        for name in ("file", "gamut", "print_file"):
            go_to(page, name)
            page.locator(f"{IN_PANEL} :is(button, input, select) >> visible=true").first.wait_for()
            for css, count in (
                (".wb-desk-picture :is(img, canvas)", 1),
                (".wb-answer-line", 5),
                (".wb-tab-row-stages [role=tab]", len(STAGES)),
            ):
                # the page takes a moment to lay itself out anew
                page.wait_for_function(
                    f"([css, count]) => {{ const seen = ({IN_WINDOW})(css);"
                    " return seen.length >= count && seen.every(Boolean); }",
                    arg=[css, count],
                )
        # each answer is one line, and the page ends with the desk
        lines = page.locator(".wb-answer-line")
        assert max(lines.evaluate_all("all => all.map(e => e.offsetHeight)")) < 30
        if viewport == (1440, 900):
            assert page.evaluate(BEYOND_THE_DESK) < 60
    assert lab_errors(page) == []


def test_the_keyboard_goes_all_the_way(shared_desk):
    page = shared_desk.page
    page.set_viewport_size({"width": 1440, "height": 900})
    go_to(page, "file")
    page.locator(".wb-tab-row-stages [aria-selected=true]").focus()
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowRight")
    page.locator("[data-name=print][aria-selected=true]").wait_for()
    page.locator("[data-name=print_file][aria-selected=true]").wait_for()
    page.keyboard.press("End")
    page.locator("[data-name=keep][aria-selected=true]").wait_for()
    page.keyboard.press("Home")
    page.locator("[data-name=picture][aria-selected=true]").wait_for()
    # one stop for the tab key
    assert page.locator(".wb-tab-row-stages [tabindex='0']").count() == 1

    line = page.locator(".wb-answer-line").nth(1)
    short = line.bounding_box()["height"]
    line.focus()
    page.keyboard.press("Enter")
    why = page.get_by_role("button", name="Show: Gamut")
    why.wait_for()
    page.locator(".wb-answer-line[aria-expanded=true]").wait_for()
    assert line.bounding_box()["height"] >= short
    why.focus()
    page.keyboard.press("Enter")
    page.locator("[data-name=gamut][aria-selected=true]").wait_for()
    assert lab_errors(page) == []


def test_a_control_is_found_by_its_words_and_has_the_keyboard(shared_desk):
    page = shared_desk.page
    field = page.get_by_label("Find a control")
    field.fill("ink price")
    page.get_by_role("button", name="Price of ink").wait_for()
    field.press("Enter")
    page.wait_for_function(
        """() => (document.activeElement.getAttribute('aria-label') ?? '').startsWith('Price of ink')
            && document.activeElement.offsetParent !== null"""
    )
    assert page.locator("[data-name=record][aria-selected=true]").count() == 1
    assert field.input_value() == ""
    # one that is folded away
    field.fill("black neutral")
    page.get_by_role("button", name="A black that is not neutral").first.click()
    page.wait_for_function(
        "() => document.activeElement.innerText.includes('A black that is not neutral')"
    )
    assert lab_errors(page) == []


# boxes of all that is seen in the panel and is not within something that scrolls by itself
OVER_THE_EDGE = """css => {
    const panel = [...document.querySelectorAll(css)].find(e => e.offsetParent !== null);
    const right = panel.getBoundingClientRect().right + 0.5;
    return [...panel.querySelectorAll('img, canvas, select, input, button, table, .wb-sentence')]
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
        arg=IN_PANEL,
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
        arg=f"{IN_PANEL} .wb-picture",
    )


def box(page, css, which=0):
    return page.locator(f"{IN_PANEL} {css}:visible").nth(which).bounding_box()


def test_sliders_stand_beside_what_they_move(shared_desk):
    page = shared_desk.page
    go_and_wait(page, "gamut")
    wait_for_fit(page, f"{IN_PANEL} .wb-picture", 1)
    panel, picture = page.locator(IN_PANEL).bounding_box(), box(page, ".wb-picture")
    threshold = page.get_by_label("Out-of-gamut threshold").first.bounding_box()
    assert threshold["x"] > picture["x"] + picture["width"]
    assert picture["y"] - 20 < threshold["y"] < picture["y"] + picture["height"]
    assert picture["y"] + picture["height"] < panel["y"] + panel["height"]  # without scrolling
    # its answer is the first line: an empty status line takes no room
    assert box(page, ".wb-sentence-box")["y"] - panel["y"] < 24
    plots = page.locator(f"{IN_PANEL} .wb-plot:visible")
    for label, plot in (("Lightness of the slice", 2), ("Turn", 3)):
        slider = page.get_by_label(label).first.bounding_box()
        drawn = plots.nth(plot).bounding_box()
        assert slider["x"] > drawn["x"] + drawn["width"]
        assert drawn["y"] - 20 < slider["y"] < drawn["y"] + drawn["height"]

    # the answers stay in view while a panel scrolls
    page.locator(IN_PANEL).evaluate("e => e.scrollTo(0, e.scrollHeight)")
    for said in page.locator(".wb-desk-answers .wb-answer").all():
        box_of = said.bounding_box()
        assert 0 < box_of["y"] and box_of["y"] + box_of["height"] <= 900
    page.locator(IN_PANEL).evaluate("e => e.scrollTo(0, 0)")

    # work under way is told in the margin and moves nothing
    answer = page.locator(f"{IN_PANEL} .wb-sentence-box:visible").first
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
    wait_for_fit(page, f"{IN_PANEL} .wb-picture", 2)
    side_by_side(page)
    # what is above them may still be growing
    page.wait_for_function(
        """css => {
            const top = which => [...document.querySelectorAll(`${css} ${which}`)].find(
                e => e.offsetParent !== null).getBoundingClientRect().top;
            const apart = top('.wb-picture')
                - top('[aria-label^="Brighten on screen, to look only"]');
            return apart > 0 && apart < 80;
        }""",
        arg=IN_PANEL,
    )
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
    "strip": ".wb-plot[aria-label*='as planned']",
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
        page.locator(f"{IN_PANEL} {css} >> visible=true").first.wait_for()
        assert nothing_sticks_out(page), title
        if width == 1440 and (rules := broken_rules(page)):
            broken[title] = rules
        if title in ("gamut", "black"):
            wait_for_fit(page, f"{IN_PANEL} .wb-picture", 1 if title == "gamut" else 2)
            assert page.evaluate(OVER_THE_EDGE, IN_PANEL) == [], title
        if title == "black":
            side_by_side(page)
        if title == "proof":
            for view in range(3):
                page.locator(f'{IN_PANEL} select[aria-label="Show"]:visible').select_option(
                    index=view
                )
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


def test_a_print_file_is_two_clicks_away_from_a_start_without_files(desk_page, tmp_path):
    folder = tmp_path / "out"
    folder.mkdir()
    page = desk_page(invented=True)
    page.get_by_role("button", name="4 Print").wait_for()
    clicks = 0
    page.locator(".wb-tab-row-stages [data-name=print]").click()
    clicks += 1
    page.get_by_label("Folder", exact=True).fill(str(folder))
    page.get_by_role("button", name="Write file, job sheet and plan").click()
    clicks += 1
    page.get_by_text("File, job sheet and plan are in").wait_for(timeout=180_000)
    assert clicks == 2 and len(list(folder.glob("*.tif"))) == 1
    page.locator(".wb-tab-row-stages [data-name=print]", has_text="written").wait_for()
    assert "not written" not in page.locator("[data-name=print] .wb-tab-said").inner_text()
    assert lab_errors(page) == []


def test_the_dark_theme_keeps_the_rules_of_access(shared_desk):
    # all pages of the light one: above; the dark one has colours of its own, no more
    themes = shared_desk.folder / "settings/@jupyterlab/apputils-extension"
    themes.mkdir(parents=True)
    (themes / "themes.jupyterlab-settings").write_text(json.dumps({"theme": "JupyterLab Dark"}))
    page = shared_desk.page
    page.set_viewport_size({"width": 1440, "height": 900})
    page.reload()
    page.locator("body[data-jp-theme-light=false]").wait_for(state="attached")
    wait_for_desk(page)
    go_to(page, "gamut")
    page.locator(f"{IN_PANEL} :is(button, input, select) >> visible=true").first.wait_for()
    assert broken_rules(page) == {}
