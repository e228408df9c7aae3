"""The proof panel in a real browser: adaptation moves picture and figures; the other views."""

from __future__ import annotations

import pytest
from browser import lab
from browser.lab import go_to, lab_errors

ADAPTATION = "Adaptation to paper white (%)"
IN_PANEL = ".wb-desk .wb-stage"


@pytest.fixture
def page(shared_desk):
    page = shared_desk.page
    go_to(page, "proof")
    # the slowest of all has arrived: the table, and the magnifier's pixels
    page.locator(f"{IN_PANEL} .wb-intents:visible").wait_for()
    page.get_by_text("every pixel worked out").wait_for()
    return page


def pictures(page):
    return lab.pictures(page, IN_PANEL)


def wait_for_new_picture(page, index, before):
    lab.wait_for_new_picture(page, before, IN_PANEL, index)


def said(page, label):
    return page.locator(f"{IN_PANEL} .wb-sentence-box:visible", has_text=label).inner_text()


def test_adaptation_changes_picture_figures_and_magnifier(page):
    alone = pictures(page)
    page.locator(IN_PANEL).get_by_label("Seen beside", exact=True).select_option("perfect diffuser")
    wait_for_new_picture(page, 1, alone)
    page.get_by_text("seen beside the perfect diffuser).").wait_for()
    before, shares = pictures(page), said(page, "Out of gamut: paper and display")
    assert len(before) == 5  # picture and print, and four tiles
    page.locator(f'{IN_PANEL} [role=slider][aria-label="{ADAPTATION}"]:visible').focus()
    page.keyboard.press("End")
    for index in (0, 1):
        wait_for_new_picture(page, index, before)
    page.get_by_text("eye fully adapted to the paper).").wait_for()
    page.wait_for_function(
        """([css, before]) => ![...document.querySelectorAll(css + ' .wb-sentence-box')].some(
            e => e.innerText === before)""",
        arg=[IN_PANEL, shares],
    )
    assert lab_errors(page) == []


def test_views_display_and_magnifier(page, tmp_path):
    before = pictures(page)
    page.get_by_label("Show", exact=True).select_option(
        label="how far the print is from the picture"
    )
    wait_for_new_picture(page, 0, before)
    page.locator(
        f'{IN_PANEL} .wb-plot[aria-label^="Share of the picture by its CIEDE2000"]'
    ).wait_for()
    page.get_by_label("Show", exact=True).select_option(label="what paper or display cannot hold")
    page.get_by_text("Stripes mark what").wait_for()
    page.get_by_label("Display", exact=True).select_option("Display P3")
    # in the caption at once, in the count of the whole picture a moment later
    page.get_by_text("and Display P3 cannot show").wait_for()
    page.get_by_text("of the picture; Display P3 cannot show").wait_for()

    before = pictures(page)
    page.get_by_role("button", name="Most moved").click()
    wait_for_new_picture(page, 1, before)
    before = pictures(page)
    page.get_by_label("As large as", exact=True).select_option(label="on the paper: true size")
    wait_for_new_picture(page, 2, before)
    # 96 CSS pixels to the inch until the person says otherwise
    page.wait_for_function(
        """wanted => [...document.querySelectorAll('.wb-ruler')].some(
            e => Math.abs(e.getBoundingClientRect().width - wanted) <= 3)""",
        arg=100 / 25.4 * 96,
    )

    # a screen profile that is missing gets a sentence
    page.get_by_label("Display", exact=True).select_option(label="a profile of yours …")
    field = page.get_by_label("Your screen's profile (file)", exact=True)
    field.fill(str(tmp_path / "not there.icc"))
    field.press("Enter")
    page.locator(f"{IN_PANEL} .wb-problem:visible").wait_for()
    # as before the slip: the pictures stay
    page.get_by_text("Display P3 cannot show").first.wait_for()
    shown = pictures(page)
    assert len(shown) == 5 and all(shown)
    assert lab_errors(page) == []
