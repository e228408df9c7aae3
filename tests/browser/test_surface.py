"""The surface and the place in a real browser: move lamp and wall, see pictures and words change."""

from __future__ import annotations

from browser.lab import go_to, lab_errors


def shown(page):
    return page.locator(".wb-stage img.wb-picture:visible").evaluate_all(
        "all => all.map(i => i.src)"
    )


def wait_for_pictures(page, count, before=()):
    page.wait_for_function(
        """([count, before]) => [...document.querySelectorAll('.wb-stage img.wb-picture')].filter(
            i => i.offsetParent !== null && i.naturalWidth > 0 && !before.includes(i.src)
        ).length >= count""",
        arg=[count, list(before)],
    )


def set_number(page, label, value):
    field = page.locator(f'.wb-stage input[type=number][aria-label="{label}"]:visible')
    field.fill(str(value))
    field.press("Enter")


def test_the_lamp_and_the_wall(desk_page, tmp_path):
    page = desk_page(viewport=(1440, 1400))
    go_to(page, "surface")
    wait_for_pictures(page, 4)
    before = shown(page)
    set_number(page, "Lamp's height (°)", 9)
    wait_for_pictures(page, 4, before)
    page.get_by_text("9° above the sheet").first.wait_for()
    page.screenshot(path=tmp_path / "surface.png")
    go_to(page, "place")
    wait_for_pictures(page, 3)
    before = shown(page)
    set_number(page, "Light on the print (lux)", 40)
    wait_for_pictures(page, 2, before)
    page.locator(".wb-stage .wb-sentence-box:visible", has_text="Proposal").first.wait_for()
    page.screenshot(path=tmp_path / "place.png")
    assert lab_errors(page) == []
