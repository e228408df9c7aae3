"""Screen and light in a real browser: move the light, see picture, plot and words change."""

from __future__ import annotations

import pytest
from browser.lab import go_to, lab_errors, pictures, wait_for_new_picture

LIGHT = "Light on the print (lux)"
SCREEN = "Your screen's white (cd/m², 0 if not known)"
# only what lies in the panel, not the picture that is always in view
IN_PANEL = ".wb-stage"


@pytest.fixture
def page(shared_desk):
    page = shared_desk.page
    go_to(page, "screen")
    page.get_by_text("The print in its place beside").wait_for()
    for kind in ("wb-picture", "wb-plot"):
        wait_for_new_picture(page, [], IN_PANEL, kind=kind)
    return page


def field_of(page, label):
    return page.locator(f'.wb-stage input[type=number][aria-label="{label}"]:visible')


def answer(page):
    box = page.locator(".wb-stage .wb-sentence-box:visible", has_text="Screen and print")
    return box.inner_text()


def brightness(page):
    """Mean of the left and the right half of the panel's first picture, 0 to 255."""
    return page.evaluate(
        """css => {
            const image = [...document.querySelectorAll(css)].find(i => i.offsetParent !== null);
            const canvas = document.createElement('canvas');
            canvas.width = image.naturalWidth; canvas.height = image.naturalHeight;
            const context = canvas.getContext('2d');
            context.drawImage(image, 0, 0);
            const half = Math.floor(canvas.width / 2);
            return [0, canvas.width - half].map(x => {
                const data = context.getImageData(x, 0, half, canvas.height).data;
                let sum = 0;
                for (let i = 0; i < data.length; i += 4) sum += data[i] + data[i + 1] + data[i + 2];
                return sum / (data.length / 4 * 3);
            });
        }""",
        f"{IN_PANEL} .wb-picture",
    )


def test_moving_the_light_changes_picture_plot_and_figures(page):
    # nobody has said yet how bright the screen is, and the panel asks
    asked = page.locator(".wb-stage .wb-sentence-box", has_text="not known yet")
    asked.wait_for()
    before = pictures(page, IN_PANEL)
    field_of(page, SCREEN).fill("120")
    field_of(page, SCREEN).press("Enter")
    asked.wait_for(state="hidden")
    wait_for_new_picture(page, before, IN_PANEL)
    first, light = answer(page), brightness(page)
    handle = page.locator(f'.wb-desk [role=slider][aria-label="{LIGHT}"]:visible')
    handle.focus()
    for _ in range(3):
        before, plots = pictures(page, IN_PANEL), pictures(page, IN_PANEL, "wb-plot")
        page.keyboard.press("PageDown")
        wait_for_new_picture(page, before, IN_PANEL)
        wait_for_new_picture(page, plots, IN_PANEL, kind="wb-plot")
    assert answer(page) != first
    dimmer = brightness(page)
    assert dimmer[0] < light[0] - 5  # the print
    field_of(page, LIGHT).fill("60")
    field_of(page, LIGHT).press("Enter")
    page.get_by_text("In 60 lux of D50 light the print looks").first.wait_for()
    assert lab_errors(page) == []


def test_a_place_and_glass_set_the_knobs_and_the_contrast(page):
    page.get_by_label("Place", exact=True).select_option("Gallery (200 lux)")
    page.get_by_text("In 200 lux of 3000 K light").first.wait_for()
    plots = pictures(page, IN_PANEL, "wb-plot")
    page.get_by_label("Glass before the print", exact=True).select_option("Plain glass")
    page.get_by_text("as hung behind plain glass").first.wait_for()
    wait_for_new_picture(page, plots, IN_PANEL, kind="wb-plot")
    assert lab_errors(page) == []


def test_the_check_sheet_is_shown_and_written(page, open_page, tmp_path):
    page.get_by_label("Show the check sheet here").check()
    page.locator('.wb-stage img[alt^="Check sheet: grey ramps"]:visible').wait_for()
    folder = page.get_by_label("Folder for the check sheet", exact=True)
    folder.fill(str(tmp_path))
    page.get_by_role("button", name="Write the check sheet").click()
    page.get_by_text("Open it in a browser and press F11").wait_for()
    written = list(tmp_path.glob("screen-check-*.html"))
    assert len(written) == 1
    sheet = open_page(written[0].as_uri(), (1200, 700))
    black = sheet.locator(".near").first
    assert black.evaluate("e => getComputedStyle(e).backgroundColor") == "rgb(0, 0, 0)"
    assert sheet.locator("main").bounding_box()["height"] == 700
    assert sheet.evaluate("document.documentElement.scrollWidth") <= 1200
    assert lab_errors(page) == []
