"""The desk's stages in a real browser: what is always in view, the keyboard, finding, the way to a file."""

from __future__ import annotations

import json

from browser.lab import IN_PANEL, broken_rules, go_to, lab_errors

from workbench.panels.registry import STAGES

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


def test_the_dark_theme_keeps_the_rules_of_access(desk_page, tmp_path):
    # all pages of the light one: test_layout.py; the dark one has colours of its own, no more
    themes = tmp_path / "jupyter/settings/@jupyterlab/apputils-extension"
    themes.mkdir(parents=True)
    (themes / "themes.jupyterlab-settings").write_text(json.dumps({"theme": "JupyterLab Dark"}))
    page = desk_page()
    go_to(page, "gamut")
    page.locator(f"{IN_PANEL} :is(button, input, select) >> visible=true").first.wait_for()
    assert broken_rules(page) == {}
