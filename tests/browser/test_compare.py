"""Papers side by side in a real browser: a profile from disk, three papers, a weight, an export."""

from __future__ import annotations

import io

import pytest
from browser.lab import go_to, lab_errors
from helpers import DATA, demo_paper
from PIL import Image

from workbench.demo import demo_papers
from workbench.figures.compare import MOST_PAPERS

OWN = "FOGRA39L Coated"
DEEPEST, TEXTURED = demo_paper("gloss").name, demo_paper("matte", "heavy texture").name
ALL = len(demo_papers()) + 1


def ticks(page):
    return page.locator(".wb-compare-ticks input[type=checkbox]")


def wait_for_order(page, condition):
    page.wait_for_function(
        f"""() => {{
            const names = [...document.querySelectorAll('.wb-compare-order b')]
                .map(e => e.innerText);
            return {condition};
        }}"""
    )


def weigh(page, name, value):
    field = page.locator(f'.wb-desk input[aria-label="{name} (0 to 10)"]')
    field.fill(str(value))
    field.press("Enter")


@pytest.mark.long
def test_three_papers_one_from_disk_in_another_order_and_exported(desk_page, tmp_path):
    page = desk_page(invented=True)
    go_to(page, "shelf")
    field = page.get_by_label("Paper profile (ICC output profile)", exact=True)
    field.fill(str(DATA / "FOGRA39L_coated.icc"))
    field.press("Enter")
    page.get_by_text(f"on {OWN}").first.wait_for()

    go_to(page, "compare")
    wait_for_order(page, f"names.length === {MOST_PAPERS}")
    # three stay: gloss, textured matte and the paper from disk
    for wanted in (False, True):
        for place in range(ALL):
            label = ticks(page).nth(place).evaluate("e => e.closest('.wb-tick').innerText")
            if any(word in label for word in (DEEPEST, TEXTURED, OWN)) is wanted:
                ticks(page).nth(place).set_checked(wanted)
    # on the way there were three once before
    wait_for_order(page, f"names.length === 3 && names.some(n => n.includes('{OWN}'))")
    page.locator(".wb-compare-scroll tbody th", has_text=OWN).first.wait_for()

    page.get_by_text("the papers are not put in order").wait_for()
    weigh(page, "Blacks", 10)
    wait_for_order(page, f"names[0].includes('{DEEPEST}')")  # the deepest black
    weigh(page, "Blacks", 0)
    page.get_by_text("the papers are not put in order").wait_for()
    page.get_by_label("White that you prefer", exact=True).select_option("warm")
    weigh(page, "Whites", 10)
    # of these the textured cotton is the warmest
    wait_for_order(page, f"names[0].includes('{TEXTURED}')")
    page.get_by_text("What matters: whites 100 %").wait_for()

    page.get_by_role("button", name="Shadows", exact=True).click()
    page.get_by_text("100 %: one eye sees all papers").wait_for()
    folder = tmp_path / "taken away"
    folder.mkdir()
    page.get_by_label("Folder to save in", exact=True).fill(str(folder))
    page.get_by_role("button", name="Save the view as PNG", exact=True).click()
    page.get_by_text("Saved as").wait_for()
    (saved,) = folder.iterdir()
    assert saved.suffix == ".png"
    assert saved.name in page.get_by_text("Saved as").inner_text()
    image = Image.open(io.BytesIO(saved.read_bytes()))
    image.load()
    assert image.width > 900 and image.info["icc_profile"]
    assert lab_errors(page) == []
