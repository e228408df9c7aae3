"""What is presented: a notebook as it is, or a panel in a notebook made for it."""

from __future__ import annotations

import json
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from importlib.util import find_spec
from pathlib import Path

from workbench.files import write_whole
from workbench.language import tr
from workbench.launch import LaunchError, UsageError
from workbench.launch.bootstrap import ensure_packages
from workbench.launch.folder import desk_notebook
from workbench.panels.registry import PANELS, Entry

EXTRA = "present"


@contextmanager
def as_notebook(name: str) -> Iterator[Path]:
    """The notebook to present; one made for a panel is gone afterwards.

    Raises UsageError for a name that is neither a notebook's nor a panel's.
    """
    path = Path(name).absolute()
    if path.suffix == ".ipynb" and path.is_file():
        yield path
    elif name in PANELS:
        with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as folder:
            made = Path(folder) / f"{name}.ipynb"
            write_whole(made, (json.dumps(panel_notebook(PANELS[name])) + "\n").encode())
            yield made
    else:
        raise UsageError(
            tr(
                "There is no notebook at {path}, and no panel of that name. Give a file that "
                "ends in .ipynb, or one of {panels}.",
                path=path,
                panels=", ".join(PANELS),
            )
        )


def panel_notebook(entry: Entry) -> dict:
    """A notebook of one panel on the files that the command line names."""
    notebook = desk_notebook()
    words = {
        "cell_type": "markdown", "id": "words", "metadata": {},
        "source": [f"# {entry.question}\n"],
    }  # fmt: skip
    (cell,) = notebook["cells"]
    begin = {**cell, "id": "begin", "source": ["import workbench as wb\n", "\n",
             "lecture = wb.lecture()\n", "lecture"]}  # fmt: skip
    head = {**words, "id": "head", "source": [f"## {entry.title}\n"]}
    panel = {**cell, "id": "panel", "source": [f"wb.{entry.door}(plan=lecture.plan)"]}
    return {**notebook, "cells": [words, begin, head, panel]}


def require_app() -> None:
    """Install what presenting needs into a clone's environment, or say what to install.

    Raises LaunchError.
    """
    ensure_packages(EXTRA)
    if find_spec("voila") is None:
        raise LaunchError(
            tr(
                "To present, the package voila is needed, which is not installed. Run\n"
                "    python -m pip install 'print-planning-workbench[present]'\n"
                "or open the notebook in JupyterLab, run it and press its button “Present”."
            )
        )
