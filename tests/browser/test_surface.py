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


LIT = ".wb-stage .wb-live canvas:visible"


def frames(page):
    return page.locator(LIT).evaluate_all("all => all.map(each => each.dataset.frame)")


def wait_for_frames(page, count, before=()):
    """Until so many lit sheets are drawn, each since those frames."""
    page.wait_for_function(
        """([count, before]) => {
            const all = [...document.querySelectorAll('.wb-stage .wb-live canvas')].filter(
                each => each.offsetParent !== null);
            return all.length === count && all.every(
                each => each.dataset.frame && !before.includes(each.dataset.frame));
        }""",
        arg=[count, list(before)],
    )


def test_the_wall_and_the_lamp(desk_page, tmp_path):
    page = desk_page(viewport=(1440, 1400))
    go_to(page, "place")
    wait_for_pictures(page, 3)
    before = shown(page)
    set_number(page, "Light on the print (lux)", 40)
    wait_for_pictures(page, 2, before)
    page.locator(".wb-stage .wb-sentence-box:visible", has_text="Proposal").first.wait_for()
    page.screenshot(path=tmp_path / "place.png")
    go_to(page, "surface")
    wait_for_frames(page, 4)
    before = frames(page)
    set_number(page, "Lamp's height (°)", 9)
    wait_for_frames(page, 4, before)
    page.get_by_text("9° above the sheet").first.wait_for()
    # a hand on one sheet moves the knob, and with it what is said and all other sheets
    sheet = page.locator(LIT).first.bounding_box()
    place = sheet["x"] + sheet["width"] / 2 - 10, sheet["y"] + sheet["height"] / 2
    before = frames(page)
    page.mouse.move(*place)
    page.mouse.down()
    page.mouse.move(place[0] - 20, place[1])
    page.mouse.up()
    wait_for_frames(page, 4, before)
    page.get_by_text("Lamp from the left").first.wait_for()
    knob = page.locator('.wb-stage input[type=number][aria-label="Lamp\'s side (°)"]:visible')
    assert knob.input_value() == "180"
    page.screenshot(path=tmp_path / "surface.png")
    # from here on, nothing reaches Python
    page.evaluate("WebSocket.prototype.send = () => {}")
    before = frames(page)
    page.locator(".wb-stage .wb-live-lamp:visible").nth(1).press("ArrowLeft")
    wait_for_frames(page, 4, before)
    assert lab_errors(page) == []
