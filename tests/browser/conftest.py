"""Fixtures of the browser tests: Chromium once a file; a desk for a test, or one for all of a file."""

from __future__ import annotations

import os
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest
import tifffile
from browser.lab import lab_errors, run_by_hand, running_workbench, wait_for_desk, watch

from workbench.colour.spaces import standard_profile
from workbench.launch.testing import NO_BROWSER, find_chromium

_PATIENCE_MS = 60_000  # a busy machine is slow, not broken


def pytest_collection_modifyitems(items):
    for item in items:
        if "browser" in item.path.parent.parts:
            item.add_marker(pytest.mark.browser)


# not for the whole session: while playwright runs, its event loop is the main thread's, and
# tests elsewhere could not run one of their own
@pytest.fixture(scope="module")
def chromium():
    """A headless Chromium; a test that needs it fails where there is none."""
    executable = find_chromium()
    if executable is None:
        pytest.fail(NO_BROWSER)
    from playwright.sync_api import expect, sync_playwright

    expect.set_options(timeout=_PATIENCE_MS)
    arguments = ["--disable-gpu", "--disable-dev-shm-usage", "--force-color-profile=srgb"]
    if getattr(os, "geteuid", lambda: 1)() == 0:
        arguments.append("--no-sandbox")  # Chromium refuses its sandbox to root
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=executable, args=arguments)
        yield browser
        browser.close()


# as browsers have it whose graphics are switched off
_WITHOUT_WEBGL = """
const given = HTMLCanvasElement.prototype.getContext;
HTMLCanvasElement.prototype.getContext = function (kind, ...more) {
  return kind.startsWith("webgl") ? null : given.call(this, kind, ...more);
};
"""


@contextmanager
def _pages(chromium):
    with ExitStack() as stack:

        def open_page(address, viewport=(1440, 900), webgl=True):
            width, height = viewport
            context = chromium.new_context(viewport={"width": width, "height": height})
            context.set_default_timeout(_PATIENCE_MS)
            stack.callback(context.close)
            page = context.new_page()
            if not webgl:
                page.add_init_script(_WITHOUT_WEBGL)
            watch(page)
            page.goto(address)
            return page

        yield open_page


@pytest.fixture
def open_page(chromium):
    """`open_page(address, viewport=(1440, 900), webgl=True)`: a page of its own, its errors watched."""
    with _pages(chromium) as open_page:
        yield open_page


@pytest.fixture(scope="session")
def meadow(tmp_path_factory):
    """A small 16-bit ROMM RGB picture file with light, shadow, colour and fine detail."""
    across, down = np.meshgrid(np.linspace(0, 1, 900), np.linspace(0, 1, 600))
    ripple = 0.5 + 0.4 * np.sin(40 * across * down)
    pixels = np.round(np.stack([across, ripple * across, down * across], -1) * 65535)
    path = tmp_path_factory.mktemp("pictures") / "meadow.tif"
    profile = standard_profile("ROMM RGB")
    tifffile.imwrite(path, pixels.astype(np.uint16), photometric="rgb", iccprofile=profile)
    return path


@contextmanager
def _desks(open_page, folder, meadow):
    with ExitStack() as stack:

        def desk_page(
            image=None, papers=(), viewport=(1440, 900), notebook=None, invented=False, webgl=True
        ):
            if image is None and notebook is None and not invented:
                image = meadow
            arguments = ["--notebook", str(notebook or folder / "own" / "my-desk.ipynb")]
            for paper in papers:
                arguments += ["--paper", str(paper)]
            if image is not None:
                arguments.append(str(image))
            workbench = stack.enter_context(running_workbench(arguments, folder / "jupyter"))
            page = open_page(workbench.address, viewport, webgl)
            try:
                if notebook is not None:
                    run_by_hand(page)
                wait_for_desk(page)
            except Exception as error:
                page.screenshot(path=folder / "page.png")
                shown = "\n".join(lab_errors(page)) or "no error is shown"
                raise AssertionError(
                    f"no desk on the page: {shown}\n{workbench.text()}\n{folder / 'page.png'}"
                ) from error
            return page

        yield desk_page


@pytest.fixture
def desk_page(open_page, tmp_path, meadow):
    """`desk_page(image=meadow, papers=(), viewport=(1440, 900))`: a page with the desk on it.

    Starts the workbench by its own command and opens the address it prints;
    nothing is clicked.  `notebook` opens another notebook in the desk's place, whose first
    cell is run by hand, since nothing but our own cell ever runs unasked.  Without an
    image it is a small picture's desk, which is there sooner than that of the `invented` one.
    """
    with _desks(open_page, tmp_path, meadow) as desk_page:
        yield desk_page


@dataclass(frozen=True)
class SharedDesk:
    """A page with the small picture's desk, and the folder that its shelf and settings are in."""

    page: object
    folder: Path


@pytest.fixture(scope="module")
def shared_desk(chromium, tmp_path_factory, meadow):
    """One desk for all tests of a file: each goes where it wants, and minds what others did there.

    A start costs as much as a dozen of such tests.
    """
    folder = tmp_path_factory.mktemp("desk")
    with _pages(chromium) as open_page, _desks(open_page, folder, meadow) as desk_page:
        yield SharedDesk(desk_page(), folder / "jupyter")
