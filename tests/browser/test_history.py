"""Undo by keyboard, and a plan offered again after its kernel was killed."""

from __future__ import annotations

import psutil
from browser.lab import running_workbench, wait_for_desk
from playwright.sync_api import expect

from workbench.analysis.words import INTENT_NAMES


def kernels(parent: int) -> list[psutil.Process]:
    """Processes of kernels below a process."""
    below = psutil.Process(parent).children(recursive=True)
    return [each for each in below if "ipykernel" in " ".join(each.cmdline())]


def test_undo_reload_and_a_killed_kernel(open_page, tmp_path, meadow):
    own = tmp_path / "jupyter"
    arguments = ["--notebook", str(tmp_path / "own" / "desk.ipynb"), str(meadow)]
    with running_workbench(arguments, own) as workbench:
        page = open_page(workbench.address)
        wait_for_desk(page)
        intent = page.get_by_label("Rendering intent", exact=True).locator("visible=true").first
        before = intent.input_value()
        intent.select_option(label=INTENT_NAMES["perceptual"])
        undo = page.get_by_role("button", name="Undo", exact=True)
        expect(undo).to_be_enabled()
        intent.press("Control+z")
        expect(intent).to_have_value(before)
        intent.press("Control+Shift+Z")
        expect(intent).not_to_have_value(before)
        page.screenshot(path=tmp_path / "desk.png")
        # kept within a second or so
        kept = own / "data-home" / "print-planning-workbench" / "plans in progress"
        page.wait_for_timeout(3000)
        (plan,) = kept.glob("*/plan.toml")
        assert 'intent = "perceptual"' in plan.read_text()
        (kernel,) = kernels(workbench.process.pid)
        kernel.kill()
        fresh = open_page(workbench.address)
        wait_for_desk(fresh)
        fresh.get_by_text("A plan was left unfinished: meadow.tif").wait_for()
        fresh.screenshot(path=tmp_path / "offer.png")
        fresh.get_by_role("button", name="Go on with it").click()
        again = fresh.get_by_label("Rendering intent", exact=True).locator("visible=true").first
        expect(again).not_to_have_value(before)
