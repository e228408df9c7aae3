"""Start the workbench as a person does, and look at its page.

Nothing here waits for a fixed time: the waits are for the address on the
terminal, for a class on the page, for a picture that has pixels.
"""

from __future__ import annotations

import base64
import os
import re
import shutil
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from weakref import WeakKeyDictionary

import numpy as np

from workbench.panels.registry import PANELS

ROOT = Path(__file__).parents[2]
# the command of the README, with the Python that runs the tests
START_COMMAND = (sys.executable, "-m", "workbench")
START_SECONDS = 90
DESK_SECONDS = 90

# what holds the panel that is in view
IN_PANEL = ".wb-stage-within"

_console_errors: WeakKeyDictionary = WeakKeyDictionary()

# what Lab shows in the place of a widget or below a cell that failed; the
# class and the texts are those of ipywidgets 8 and JupyterLab 4
_FAILED_CELL = (
    ".jupyter-widgets-error-widget",
    '.jp-RenderedText[data-mime-type="application/vnd.jupyter.stderr"]',
    '.jp-RenderedText[data-mime-type="application/vnd.jupyter.error"]',
)
_ERRORS_SHOWN = (
    *_FAILED_CELL,
    ".jp-OutputArea-output:has-text('Error displaying widget')",
    ".jp-OutputArea-output:has-text('Error creating widget')",
    ".jp-Dialog",
)


@dataclass(frozen=True)
class Running:
    """A started workbench: its process, the address it printed and its terminal."""

    process: subprocess.Popen
    address: str
    terminal: Path

    def text(self) -> str:
        return self.terminal.read_text(encoding="utf-8", errors="replace")


@contextmanager
def running_workbench(arguments: Sequence[str], folder: Path, cwd: Path = ROOT):
    """`python -m workbench --no-browser ARGUMENTS` as Running, ended with Ctrl-C.

    All that Jupyter remembers between sessions is kept in `folder`, so that
    neither the person's settings nor another test's change what is seen.
    """
    folder.mkdir(parents=True, exist_ok=True)
    terminal = folder / "terminal.txt"
    command = [*START_COMMAND, "--no-browser", "--port", str(free_port()), *arguments]
    with terminal.open("w") as output:
        process = subprocess.Popen(
            command,
            cwd=cwd,
            env=own_environment(folder),
            stdin=subprocess.DEVNULL,
            stdout=output,
            stderr=subprocess.STDOUT,
            **_own_group(),
        )
    try:
        yield Running(process, _printed_address(process, terminal), terminal)
    finally:
        end(process)


def own_environment(folder: Path) -> dict[str, str]:
    """The environment variables of a person who has never used Jupyter.

    What is worked out once for all, as the invented papers are, is kept for the whole run.
    """
    own = {
        "JUPYTER_CONFIG_DIR": "config",
        "JUPYTER_DATA_DIR": "data",
        "JUPYTER_RUNTIME_DIR": "runtime",
        "JUPYTERLAB_SETTINGS_DIR": "settings",
        "JUPYTERLAB_WORKSPACES_DIR": "workspaces",
        "IPYTHONDIR": "ipython",
        "WORKBENCH_SHELF": "shelf",
        "WORKBENCH_RECORD": "prints.sqlite",
        "XDG_DATA_HOME": "data-home",
        "HOME": "home",
    }
    environment = {
        name: value
        for name, value in os.environ.items()
        if not name.startswith(("JUPYTER", "WORKBENCH_", "COV_", "XDG_"))
        or name == "XDG_CACHE_HOME"
    }
    return environment | {name: str(folder / value) for name, value in own.items()}


def interrupt(process: subprocess.Popen) -> None:
    """Press Ctrl-C in the workbench's terminal."""
    if os.name == "nt":
        process.send_signal(signal.CTRL_BREAK_EVENT)
    else:
        os.killpg(process.pid, signal.SIGINT)


def end(process: subprocess.Popen) -> None:
    """End the workbench and all that it started, whatever state it is in."""
    if process.poll() is None:
        interrupt(process)
        try:
            process.wait(timeout=15)
        except subprocess.TimeoutExpired:
            process.kill()
    if os.name != "nt":
        with suppress(ProcessLookupError):  # nothing of the group may be left
            os.killpg(process.pid, signal.SIGKILL)
    process.wait(timeout=15)


def free_port() -> int:
    """A port that nothing listens on at the moment."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


def fresh_clone(folder: Path) -> Path:
    """What a person has after cloning, without the tests and the history."""
    clone = folder / "clone"
    for name in ("workbench", "notebooks"):
        shutil.copytree(
            ROOT / name,
            clone / name,
            ignore=shutil.ignore_patterns("__pycache__", "my-desk.ipynb", ".ipynb_checkpoints"),
        )
    for name in ("pyproject.toml", "README.md"):
        if (ROOT / name).is_file():
            shutil.copy(ROOT / name, clone)
    return clone


def watch(page) -> None:
    """Note the errors of the page's console from now on, for `lab_errors`."""
    errors = _console_errors.setdefault(page, [])
    page.on("pageerror", lambda error: errors.append(f"page: {error}"))
    page.on("console", lambda m: errors.append(f"console: {m.text}") if m.type == "error" else None)


_CODED = """() => {
    window.coded = data => {
        let text = "";
        for (let i = 0; i < data.length; i += 8192)
            text += String.fromCharCode(...data.subarray(i, i + 8192));
        return btoa(text);
    };
}"""


@contextmanager
def bare_page(chromium, script: str, source: str, background: str = "#fff"):
    """A page without Jupyter that has run a script on our own source.

    ``errors`` keeps its errors; its function ``coded`` makes text of bytes, for `pixels_of`.
    """
    context = chromium.new_context(viewport={"width": 900, "height": 700})
    page = context.new_page()
    page.errors = []
    page.on("pageerror", lambda error: page.errors.append(str(error)))
    page.set_content(f"<body style='margin:0;background:{background}'></body>")
    page.evaluate(_CODED)
    page.evaluate(script, source)
    yield page
    context.close()


def pixels_of(got: dict) -> np.ndarray:
    """(h, w, 4) uint8 of a bare page's ``{ data, width, height }``."""
    data = np.frombuffer(base64.b64decode(got["data"]), np.uint8)
    return data.reshape(got["height"], got["width"], 4)


# a mark for each picture in view, another one whenever it is drawn anew; empty before it is
_PICTURES = """css => [...document.querySelectorAll(css)]
    .filter(each => each.matches('img, canvas') && each.offsetParent !== null)
    .map(each => each.dataset.frame ?? (each.naturalWidth > 0 ? each.src : ''))"""


def wait_for_desk(page) -> None:
    """Return once the desk is on the page and a picture on it has pixels.

    Raises AssertionError as soon as Lab shows an error in its place.
    """
    found = page.wait_for_function(
        f"""errors => {{
            if (({_PICTURES})('.wb-desk :is(img, canvas)').some(Boolean)) return 'desk';
            return document.querySelector(errors) === null ? null : 'error';
        }}""",
        arg=", ".join(_FAILED_CELL),
        timeout=1000 * DESK_SECONDS,
    )
    if found.json_value() == "error":
        raise AssertionError("no desk on the page: " + "\n".join(lab_errors(page)))


def pictures(page, within=".wb-desk", kind="wb-picture") -> list[str]:
    """A mark for each picture in view, another one whenever it is drawn anew.

    A live view's canvas or an image: which of them is in view depends on the browser.  The
    other kind of pictures are plots: "wb-plot".
    """
    return page.evaluate(_PICTURES, f"{within} .{kind}")


def wait_for_new_picture(page, before, within=".wb-desk", index=None, kind="wb-picture") -> None:
    """Return once a picture in view, or the one at a place, is none of those before."""
    page.wait_for_function(
        f"""([css, before, index]) => ({_PICTURES})(css).some((each, i) =>
            each && !before.includes(each) && (index === null || i === index))""",
        arg=[f"{within} .{kind}", before, index],
    )


def wait_for_kernel(page) -> None:
    """Return once the kernel has done what it was asked."""
    page.get_by_text("Python 3 (ipykernel) | Idle").wait_for()


def go_to(page, name: str) -> None:
    """Bring a page of the desk into view: a panel by its name in the registry, or "file"."""
    stage = PANELS[name].stage if name in PANELS else "picture"
    for row, tab in ((".wb-tab-row-stages", stage), (".wb-tab-row-pages", name)):
        page.locator(f'{row} [role=tab][data-name="{tab}"]').click()
    page.wait_for_function(
        """css => {
            const tab = document.querySelector(css);
            const panel = document.getElementById(tab?.getAttribute('aria-controls'));
            const seen = [...document.querySelectorAll('.wb-page')].filter(
                each => each.offsetParent !== null);
            return panel !== null && seen.length === 1 && seen[0] === panel;
        }""",
        arg=f'{row} [data-name="{name}"][aria-selected=true]',
    )


def broken_rules(page) -> dict:
    """Rules of access that the desk breaks seriously, by axe-core, with the places.

    The rules are those of WCAG 2.2, levels A and AA, and the library's own good practice.
    """
    from axe_playwright_python.sync_playwright import Axe

    # hidden pages break none, but are gone through all the same
    seen = {"include": [[".wb-desk"]], "exclude": [['.wb-page[style*="display: none"]']]}
    return {
        rule["id"]: [node["html"][:120] for node in rule["nodes"]]
        for rule in Axe().run(page, context=seen).response["violations"]
        if rule["impact"] in ("serious", "critical") or rule["id"] == "empty-table-header"
    }


def run_by_hand(page) -> None:
    """Run the first cell of a notebook that is not our own desk's, as a person would."""
    wait_for_kernel(page)
    page.locator(".jp-Cell .jp-InputArea").first.click()
    page.keyboard.press("Control+Enter")


def lab_errors(page) -> list[str]:
    """Texts of all that went wrong on the page; an empty list when nothing did.

    Widgets that could not be shown, tracebacks and other output on stderr,
    dialogs that Lab opened, and errors in the browser's console.
    """
    shown = page.locator(", ".join(_ERRORS_SHOWN))
    return [*shown.all_inner_texts(), *_console_errors.get(page, [])]


def _own_group() -> dict:
    if os.name == "nt":
        return {"creationflags": subprocess.CREATE_NEW_PROCESS_GROUP}
    return {"start_new_session": True}


def _printed_address(process: subprocess.Popen, terminal: Path) -> str:
    deadline = time.monotonic() + START_SECONDS
    while time.monotonic() < deadline:
        text = terminal.read_text(encoding="utf-8", errors="replace")
        if found := re.search(r"http://\S+token=\w+(?=\s)", text):
            return found.group()
        if process.poll() is not None:
            raise AssertionError(f"the workbench ended with {process.returncode}:\n{text}")
        time.sleep(0.05)
    raise AssertionError(f"no address within {START_SECONDS} s:\n{text}")
