"""Two tabs on one kernel show one plan, and neither undoes what the other does."""

from __future__ import annotations

from browser.lab import lab_errors, running_workbench, wait_for_desk
from playwright.sync_api import expect

from workbench.analysis.words import INTENT_NAMES


def intent(page):
    return page.get_by_label("Rendering intent", exact=True).locator("visible=true").first


def test_two_tabs_are_one_desk(open_page, tmp_path, meadow):
    arguments = ["--notebook", str(tmp_path / "own" / "desk.ipynb"), str(meadow)]
    with running_workbench(arguments, tmp_path / "jupyter") as workbench:
        one = open_page(workbench.address)
        wait_for_desk(one)
        other = open_page(workbench.address)
        wait_for_desk(other)
        for page, name in ((other, "perceptual"), (one, "saturation"), (other, "relative")):
            intent(page).select_option(label=INTENT_NAMES[name])
            for each in (one, other):
                expect(intent(each).locator("option:checked")).to_have_text(INTENT_NAMES[name])
        # both at once: they end on the same, whichever came last
        intent(one).select_option(label=INTENT_NAMES["perceptual"])
        intent(other).select_option(label=INTENT_NAMES["absolute"])
        expect(intent(one).locator("option:checked")).to_have_text(
            intent(other).locator("option:checked").inner_text()
        )
        one.close()  # the other goes on
        intent(other).select_option(label=INTENT_NAMES["perceptual"])
        expect(intent(other).locator("option:checked")).to_have_text(INTENT_NAMES["perceptual"])
        assert lab_errors(other) == []


def test_a_page_loaded_again_before_its_desk_was_saved_shows_one(open_page, tmp_path, meadow):
    arguments = ["--notebook", str(tmp_path / "own" / "desk.ipynb"), str(meadow)]
    with running_workbench(arguments, tmp_path / "jupyter") as workbench:
        page = open_page("about:blank")
        page.route("**/api/contents/**", keep_from_saving)
        page.goto(workbench.address)
        wait_for_desk(page)
        page.wait_for_timeout(1000)
        page.unroute("**/api/contents/**")
        page.reload()
        wait_for_desk(page)
        assert page.locator(".wb-desk").count() == 1


def keep_from_saving(route):
    if route.request.method == "PUT":
        route.abort()
    else:
        route.fallback()
