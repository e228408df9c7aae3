"""Every lecture as a class sees it: presented as an app, gone through by keyboard, its knob turned."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest
from browser.lab import lab_errors, running_workbench

NOTEBOOKS = Path(__file__).parents[2] / "notebooks"
LECTURES = sorted(each.stem for each in NOTEBOOKS.glob("*.ipynb") if each.stem != "workbench")
# of the step that is on screen; all others are there as well, but not seen
SHOWN = ".wb-stage .jp-Cell:not(.wb-off)"
PICTURES = f"""() => [...document.querySelectorAll('{SHOWN} :is(img, canvas)')].filter(
    each => each.offsetParent !== null).map(each => each.dataset.frame ?? each.src)"""


@pytest.fixture(scope="module")
def presented(tmp_path_factory):
    """One server for all lectures, as `python -m workbench --present LECTURE` starts it."""
    folder = tmp_path_factory.mktemp("lectures")
    for name in LECTURES:
        shutil.copy(NOTEBOOKS / f"{name}.ipynb", folder)
    with running_workbench(
        ["--present", str(folder / f"{LECTURES[0]}.ipynb")], folder / "jupyter"
    ) as workbench:
        yield workbench


@pytest.mark.parametrize("name", LECTURES)
def test_a_lecture_is_presented(open_page, presented, name):
    page = open_page(presented.address.replace(LECTURES[0], name), (1280, 720))
    foot = page.locator(".wb-stage-foot")
    foot.filter(has_text=re.compile(r"^1 / \d+")).wait_for()
    many = int(re.match(r"1 / (\d+)", foot.inner_text())[1])
    turned = 0
    for step in range(1, many + 1):
        foot.filter(has_text=re.compile(rf"^{step} / ")).wait_for()
        slider = page.locator(f"{SHOWN} [role=slider]:visible").first
        if slider.count() and not turned:
            before = page.evaluate(PICTURES)
            slider.press("ArrowRight")
            page.wait_for_function(f"before => String(({PICTURES})()) !== before", arg=str(before))
            turned = step
        # no code, and what is shown has come to be shown
        assert page.locator(f"{SHOWN} .jp-InputArea-editor:visible").count() == 0
        assert "Something went wrong" not in " ".join(page.locator(SHOWN).all_inner_texts())
        page.locator("body").press("PageDown")
    assert turned
    # the app asks for type of another server, which we do not let it: it does without
    assert [e for e in lab_errors(page) if "Content Security Policy" not in e] == []
