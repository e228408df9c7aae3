"""Every notebook that comes with the project runs from top to bottom."""

from __future__ import annotations

import os
from pathlib import Path

import nbformat
import pytest
from nbclient import NotebookClient

FOLDER = Path(__file__).parents[1] / "notebooks"
# what people make there themselves is theirs
OWN = {"my-desk.ipynb"}
NOTEBOOKS = sorted(
    path
    for path in FOLDER.rglob("*.ipynb")
    if path.name not in OWN and ".ipynb_checkpoints" not in path.parts
)
SECONDS = 300


def test_there_are_notebooks():
    assert FOLDER / "workbench.ipynb" in NOTEBOOKS


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)
def test_notebook_is_kept_without_outputs(path):
    notebook = nbformat.read(path, as_version=4)
    nbformat.validate(notebook)
    code = [cell for cell in notebook.cells if cell.cell_type == "code"]
    assert code, "a notebook without code shows nothing"
    assert all(not cell.outputs and cell.execution_count is None for cell in code)
    assert notebook.metadata.kernelspec.name == "python3"


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)
def test_notebook_runs(path, monkeypatch):
    # the kernel starts in the notebook's folder, and must find this package all the same
    monkeypatch.setenv(
        "PYTHONPATH", str(FOLDER.parent) + os.pathsep + os.environ.get("PYTHONPATH", "")
    )
    # the kernel of this environment, not one of the same name that somebody installed for all
    monkeypatch.setenv("JUPYTER_PREFER_ENV_PATH", "1")
    notebook = nbformat.read(path, as_version=4)
    client = NotebookClient(
        notebook,
        timeout=SECONDS,
        kernel_name="python3",
        resources={"metadata": {"path": str(path.parent)}},
    )
    client.execute()  # raises CellExecutionError with the traceback when a cell fails
    code = [cell for cell in notebook.cells if cell.cell_type == "code"]
    assert all(cell.execution_count for cell in code if cell.source.strip())
    outputs = code[-1].outputs
    assert outputs, "the last cell shows nothing"
    assert [output for output in outputs if output.output_type == "error"] == []
