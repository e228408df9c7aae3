"""Run the tests: what `python -m workbench test` does once the packages are there."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

from workbench.launch import ONE_THREAD, LaunchError
from workbench.launch.requirements import clone_root

_ON_PATH = (
    "chromium",
    "chromium-browser",
    "google-chrome",
    "google-chrome-stable",
    "chrome",
    "microsoft-edge",
    "msedge",
)
# where installers put it on systems that do not use the PATH for this
_ELSEWHERE = (
    "/Applications/Chromium.app/Contents/MacOS/Chromium",
    "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome",
    "/Applications/Microsoft Edge.app/Contents/MacOS/Microsoft Edge",
    "%ProgramFiles%/Google/Chrome/Application/chrome.exe",
    "%ProgramFiles(x86)%/Google/Chrome/Application/chrome.exe",
    "%LocalAppData%/Google/Chrome/Application/chrome.exe",
    "%ProgramFiles(x86)%/Microsoft/Edge/Application/msedge.exe",
)

NO_BROWSER = (
    "The browser tests need Chromium, or a browser built on it, and none was found.\n"
    "On Debian: sudo apt install chromium\n"
    "Elsewhere: python -m playwright install chromium"
)


def run_tests(arguments: list[str]) -> int:
    """Run pytest on the clone and return its exit code; without arguments, all of it.

    ``--quick`` leaves out what drives a browser and what takes long: an answer in three
    minutes, for while one works.  ``--coverage`` tells what the tests reach, and takes longer;
    ``--long`` adds the few that take very long for what they add.

    Raises LaunchError where there is no clone, and so no tests.
    """
    root = clone_root()
    if root is None:
        raise LaunchError("The tests come with a clone of the project, and this is not one.")
    quick, measured = "--quick" in arguments, "--coverage" in arguments
    whole = [] if "--long" in arguments else ["-m", "not long"]
    arguments = [a for a in arguments if a not in ("--quick", "--coverage", "--long")]
    # each file of tests stays together, because its tests share what is slow to make
    together = ["--numprocesses=auto", "--maxprocesses=8", "--dist=loadfile"]
    if quick:
        arguments = [*together, "-m", "not browser and not slow and not long", *arguments]
    elif not arguments:
        ensure_browser()
        arguments = [*together, *whole]
    if measured:
        arguments = [*arguments, "--cov=workbench", "--cov-report=term"]
    # a process of its own, so that coverage sees the package being imported
    return subprocess.call(
        [sys.executable, "-m", "pytest", *arguments], cwd=root, env={**ONE_THREAD, **os.environ}
    )


def ensure_browser() -> None:
    """Fetch a Chromium for the tests alone where this machine has none.

    Without one the tests still run, and the browser tests say what is missing.
    """
    if find_chromium() is None:
        print("No Chromium found: fetching one for the tests, once.", flush=True)
        subprocess.call([sys.executable, "-m", "playwright", "install", "chromium"])


def find_chromium() -> str | None:
    """Path of a Chromium, or of a browser built on it; None where there is none."""
    for name in _ON_PATH:
        if found := shutil.which(name):
            return found
    for place in _ELSEWHERE:
        if Path(os.path.expandvars(place)).is_file():
            return os.path.expandvars(place)
    return _fetched_chromium()


def _fetched_chromium() -> str | None:
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        path = playwright.chromium.executable_path
    return path if Path(path).is_file() else None
