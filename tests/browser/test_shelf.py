"""The shelf and the what-if paper on the desk in a real browser, with all files in a temporary folder."""

from __future__ import annotations

import tomllib

import pytest
from browser.lab import go_to, lab_errors, pictures, wait_for_new_picture
from helpers import DATA

from workbench.demo import demo_papers

PROFILE = DATA / "FOGRA39L_coated.icc"


@pytest.fixture
def shelf_folder(shared_desk):
    """The folder in which the desk keeps its shelf."""
    return shared_desk.folder / "shelf"


@pytest.fixture
def page(shared_desk):
    go_to(shared_desk.page, "shelf")
    return shared_desk.page


def unfold(page, title):
    page.get_by_role("button", name=title).click()


def chosen_row(field) -> str:
    """The chosen line of a list, with plain spaces."""
    return field.evaluate("list => list.selectedOptions[0].text").replace("\u00a0", " ")


def entries(folder) -> dict:
    """What the shelf's file says, by name."""
    papers = tomllib.loads((folder / "shelf.toml").read_text(encoding="utf-8"))["paper"]
    return {paper["name"]: paper for paper in papers}


def test_arrow_keys_choose_the_paper(page, shelf_folder):
    page.get_by_text(f"{len(demo_papers())} papers").wait_for()
    page.get_by_label("Papers on the shelf:").focus()
    page.keyboard.press("Home")
    page.get_by_text(f"What the shelf says about {demo_papers()[0].name}").wait_for()
    page.keyboard.press("ArrowDown")
    page.get_by_text(f"What the shelf says about {demo_papers()[1].name}").wait_for()
    page.get_by_text(f"on {demo_papers()[1].name}").first.wait_for()
    assert not shelf_folder.exists()
    assert lab_errors(page) == []


def test_the_picture_follows_the_knobs_of_the_what_if_paper(page):
    go_to(page, "what_if")
    paper = page.get_by_label("Paper", exact=True)
    before = chosen_row(paper)
    page.get_by_label("Use the what-if paper").check()
    page.get_by_text("on What-if paper (a model)").first.wait_for()
    assert "What-if paper (a model)" in chosen_row(paper)
    handle = page.locator('[role=slider][aria-label="White: blue to yellow (b*, absolute)"]')
    handle.focus()
    for _ in range(3):
        shown = pictures(page, ".wb-desk-picture")
        page.keyboard.press("PageUp")
        wait_for_new_picture(page, shown, ".wb-desk-picture")
    page.get_by_text("One property alone differs from").wait_for()
    page.get_by_label("Use the what-if paper").uncheck()
    page.wait_for_function(
        """before => [...document.querySelectorAll('select[aria-label="Paper"]')].some(
            list => list.selectedOptions[0]?.text.replaceAll('\u00a0', ' ') === before)""",
        arg=before,
    )
    assert "What-if" not in paper.inner_text()
    assert lab_errors(page) == []


def test_profiles_are_found_and_used(page, tmp_path):
    own = tmp_path / "profiles of mine"
    own.mkdir()
    (own / "coated.icc").write_bytes(PROFILE.read_bytes())
    unfold(page, "Find profiles on this computer")
    field = page.get_by_label("Also look in these folders", exact=True)
    field.fill(str(own))
    field.press("Enter")
    # measured, which follows the list
    page.wait_for_function(
        """() => [...document.querySelectorAll('select[aria-label^="Profiles found"] option')].some(
            line => /FOGRA39L.Coated.*95\\.0/.test(line.text))"""
    )
    page.get_by_label("Show only those with", exact=True).fill("FOGRA39L")
    page.keyboard.press("Tab")
    page.get_by_label("Profiles found:").focus()
    page.keyboard.press("ArrowDown")
    page.get_by_role("button", name="Use as paper").click()
    page.get_by_text("“FOGRA39L Coated” is chosen as the paper.").wait_for()
    page.get_by_text("“FOGRA39L Coated” is chosen, and not on the shelf.").wait_for()
    page.get_by_text("on FOGRA39L Coated").first.wait_for()
    assert lab_errors(page) == []


def test_a_paper_from_a_file_is_put_on_the_shelf_and_edited(page, shelf_folder):
    page.get_by_text(f"{len(demo_papers())} papers, invented ones to begin with.").wait_for()
    assert not shelf_folder.exists()

    unfold(page, "Add a paper from its profile")
    field = page.get_by_label("Profile of the paper to add (ICC output profile)", exact=True)
    field.fill(str(PROFILE))
    field.press("Enter")
    page.get_by_text("“FOGRA39L Coated” is on the shelf and chosen").wait_for()
    page.get_by_text(f"{len(demo_papers()) + 1} papers.").wait_for()
    page.get_by_text("on FOGRA39L Coated").first.wait_for()
    added = entries(shelf_folder)["FOGRA39L Coated"]
    assert (shelf_folder / added["profile"]).read_bytes() == PROFILE.read_bytes()
    assert chosen_row(page.get_by_label("Papers on the shelf:")).startswith("FOGRA39L Coated")

    field = page.locator(".wb-stage select[aria-label='Finish']:visible")
    field.select_option("gloss")
    page.locator(".wb-stage input[aria-label='Weight (g/m²)']:visible").fill("115")
    page.locator(".wb-stage input[aria-label='Price per sheet']:visible").fill("A4 0,10; A3 0.18")
    page.get_by_text("Not saved yet: Weight, Finish.").wait_for()
    # what was typed last is told by the click itself, as the field is left
    page.get_by_role("button", name="Save changes").click()
    page.get_by_text("“FOGRA39L Coated” is saved.").wait_for()
    saved = entries(shelf_folder)["FOGRA39L Coated"]
    assert (saved["weight_g_m2"], saved["finish"]) == (115, "gloss")
    assert saved["price_per_sheet"] == {"A4": 0.1, "A3": 0.18}

    # edited by hand meanwhile
    path = shelf_folder / "shelf.toml"
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace("weight_g_m2 = 115", "weight_g_m2 = 120 # weighed"), "utf-8")
    unfold(page, "Where the shelf is kept")
    page.get_by_role("button", name="Read the shelf again").click()
    page.wait_for_function(
        """() => [...document.querySelectorAll('.wb-stage input[aria-label="Weight (g/m²)"]')]
            .some(field => field.value === '120')"""
    )

    page.get_by_role("button", name="Take off the shelf").click()
    page.get_by_role("button", name="Yes, take it off").click()
    page.get_by_text("“FOGRA39L Coated” is off the shelf.").wait_for()
    assert "FOGRA39L Coated" not in entries(shelf_folder) and len(entries(shelf_folder)) == len(
        demo_papers()
    )
    removed = (shelf_folder / "shelf-removed.toml").read_text(encoding="utf-8")
    assert "weight_g_m2 = 120 # weighed" in removed
    assert lab_errors(page) == []
