"""The person's own notebook: where it lies, and making it when it is not there."""

from __future__ import annotations

import importlib.metadata
import json
import os
from pathlib import Path

from workbench.errors import FileError, OutputError
from workbench.files import path_of, read_regular, write_whole
from workbench.language import tr
from workbench.launch import UsageError
from workbench.launch.requirements import PROJECT, clone_root

OWN_NAME = "my-desk.ipynb"  # in .gitignore, so that using a clone never changes a tracked file
TEMPLATE_NAME = "workbench.ipynb"
#: The only cell that runs by itself when the page opens.
DESK_CELL = "import workbench as wb\n\nwb.desk()"
FOLDER_NAME = "print-planning"
# with pictures in its outputs; larger ones no browser opens
MOST_BYTES = 512 * 2**20
WIDGET_OUTPUT = "application/vnd.jupyter.widget-view+json"


def own_notebook(asked_for: str | None = None) -> Path:
    """Absolute path of the notebook to open; it is made where it is not there yet.

    Raises UsageError when the name asked for cannot be a notebook.
    """
    root = clone_root()
    path = _asked_for(asked_for) if asked_for else default_folder(root) / OWN_NAME
    try:
        if root is None and not asked_for:
            bring_lectures(path.parent)
        if os.path.lexists(path):
            drop_widget_outputs(path)
        else:
            path.parent.mkdir(parents=True, exist_ok=True)
            write_notebook(path)
    except OSError as error:
        raise UsageError(
            tr(
                "The notebook {path} cannot be written ({reason}). Name another place with "
                "--notebook FILE.",
                path=path,
                reason=error.strerror,
            )
        ) from error
    except (FileError, OutputError) as error:
        raise UsageError(
            tr("{error} Name another place with --notebook FILE.", error=error)
        ) from error
    return path


def default_folder(root: Path | None) -> Path:
    """The clone's notebooks folder; without a clone that can be written to, one at home."""
    if root is not None and os.access(root / "notebooks", os.W_OK):
        return root / "notebooks"
    return Path.home() / FOLDER_NAME


def write_notebook(path: Path) -> None:
    """Write the one-cell desk notebook: the clone's, or the same one where there is no clone."""
    root = clone_root()
    template = root / "notebooks" / TEMPLATE_NAME if root else None
    if template and template.is_file():
        text = template.read_text(encoding="utf-8")
    else:
        text = json.dumps(desk_notebook(), indent=1) + "\n"
    write_whole(path, text.encode())


def bring_lectures(folder: Path) -> None:
    """Copy the lectures that came with the installed package to a folder, once each."""
    try:
        came_with = importlib.metadata.files(PROJECT) or []
    except importlib.metadata.PackageNotFoundError:
        return
    folder.mkdir(parents=True, exist_ok=True)
    for each in came_with:
        if each.suffix == ".ipynb" and each.name != TEMPLATE_NAME:
            copy = folder / each.name
            if not os.path.lexists(copy):  # what the person has made of it is theirs
                write_whole(copy, read_regular(Path(str(each.locate())), MOST_BYTES))


def drop_widget_outputs(path: Path) -> None:
    """Take the widgets of an earlier session out of a notebook; nothing else is touched.

    Widgets do not outlive their kernel: until the desk is there again, Lab
    would show an error message in the place of each.
    """
    try:
        notebook = json.loads(read_regular(path, MOST_BYTES))
        cells = [cell for cell in notebook["cells"] if cell.get("outputs")]
        kept = [[o for o in c["outputs"] if WIDGET_OUTPUT not in o.get("data", {})] for c in cells]
    except FileError:
        raise
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return  # not a notebook that can be read: Lab says so where the person sees it
    if any(len(outputs) < len(cell["outputs"]) for outputs, cell in zip(kept, cells, strict=True)):
        for outputs, cell in zip(kept, cells, strict=True):
            cell["outputs"] = outputs
        text = json.dumps(notebook, indent=1, ensure_ascii=False) + "\n"
        write_whole(path, text.encode(errors="surrogatepass"), overwrite=True)


def desk_notebook() -> dict:
    """The desk as a notebook (format 4.5) of one cell, whose source is folded away."""
    return {
        "cells": [
            {
                "cell_type": "code",
                "execution_count": None,
                "id": "desk",
                "metadata": {"jupyter": {"source_hidden": True}},
                "outputs": [],
                "source": DESK_CELL.splitlines(keepends=True),
            }
        ],
        "metadata": {
            "kernelspec": {"display_name": "Python 3", "language": "python", "name": "python3"},
            "language_info": {"name": "python"},
        },
        "nbformat": 4,
        "nbformat_minor": 5,
    }


def _asked_for(name: str) -> Path:
    path = path_of(name, UsageError).absolute()
    if path.suffix != ".ipynb" or path.is_dir():
        raise UsageError(tr("{path} is not a notebook: its name has to end in .ipynb.", path=path))
    return path
