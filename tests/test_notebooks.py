"""Every notebook that comes with the project runs from top to bottom."""

from __future__ import annotations

import json
import os
import re
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
LECTURES = [path for path in NOTEBOOKS if path.name != "workbench.ipynb"]
SECONDS = 300
# every lecture goes this way; further steps may lie between
ORDER = [
    "Your guess",
    "Turn the knob",
    "What you see",
    "Why",
    "Exercise",
    "On a projector",
    "Go on",
]


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


@pytest.mark.parametrize("path", LECTURES, ids=lambda path: path.stem)
def test_lectures_are_in_one_order(path):
    cells = nbformat.read(path, as_version=4).cells
    words = [cell.source for cell in cells if cell.cell_type == "markdown"]
    assert words[0].startswith("# ") and "?" in words[0]
    assert [w.splitlines()[0][3:] for w in words if w.startswith("## ")] == ORDER
    # a source is one click away
    assert any("<details><summary>Source</summary>" in w for w in words)
    code = [cell.source for cell in cells if cell.cell_type == "code"]
    # answers stand in the code of what asks, so that is folded away
    for cell in cells:
        if cell.cell_type == "code" and re.search(r"lecture\.(guess|exercise)\(", cell.source):
            assert cell.metadata.jupyter.source_hidden
    # own files take one changed cell: nothing else begins a lecture or names a file to open
    assert [at for at, source in enumerate(code) if "wb.lecture(" in source] == [0]
    assert not any(f"wb.{door}(" in source for source in code for door in OPENING)


OPENING = ("open_picture", "open_paper", "demo_picture", "demo_papers")


def assert_is_handed_out(notebook, folder):
    """The handout of a lecture that was run holds its question, and answers only when asked."""
    from pypdf import PdfReader

    from workbench.lectures.handout import write_handout

    written = {
        answers: write_handout(notebook, folder / f"{answers}.pdf", sheet=sheet, answers=answers)
        for answers, sheet in ((False, "A4"), (True, "Letter"))
    }
    pages = {answers: PdfReader(path).pages for answers, path in written.items()}
    told = {answers: " ".join(p.extract_text() for p in pages[answers]) for answers in pages}
    assert "Something went wrong" not in told[False], "a knob does not draw"
    assert "Your guess" in told[False] and "Exercise" in told[False]
    assert "Answers" in told[True] and "Answers" not in told[False]
    # ISO 216 and ASME Y14.1, in points of a 72nd of an inch
    assert [float(x) for x in pages[False][0].mediabox[2:]] == pytest.approx(
        [595.3, 841.9], abs=0.1
    )
    assert [float(x) for x in pages[True][0].mediabox[2:]] == pytest.approx([612, 792], abs=0.1)


def kernel_finds_this_package(monkeypatch):
    # the kernel starts in the notebook's folder, and must find this package all the same
    monkeypatch.setenv(
        "PYTHONPATH", str(FOLDER.parent) + os.pathsep + os.environ.get("PYTHONPATH", "")
    )
    # the kernel of this environment, not one of the same name that somebody installed for all
    monkeypatch.setenv("JUPYTER_PREFER_ENV_PATH", "1")


@pytest.fixture(scope="module")
def own_files(tmp_path_factory):
    """A small picture and a profile, as somebody may have them: nothing is known of the sheet."""
    import tifffile

    import workbench as wb

    folder = tmp_path_factory.mktemp("own")
    demo = wb.demo_picture()
    part = demo.pixels()[1200:1800, 800:1700]
    tifffile.imwrite(folder / "a.tif", part, photometric="rgb", iccprofile=demo.profile)
    (folder / "a.icc").write_bytes(wb.demo_papers()[3].profile)
    return folder


@pytest.mark.long
@pytest.mark.parametrize("path", LECTURES, ids=lambda path: path.stem)
def test_lecture_runs_on_own_files_twice_in_a_row(path, own_files, monkeypatch):
    kernel_finds_this_package(monkeypatch)
    notebook = nbformat.read(path, as_version=4)
    (begin,) = (cell for cell in notebook.cells if "wb.lecture()" in cell.source)
    files = f"wb.lecture({str(own_files / 'a.tif')!r}, [{str(own_files / 'a.icc')!r}])"
    begin.source = begin.source.replace("wb.lecture()", files)
    again = [nbformat.from_dict(cell) for cell in notebook.cells if cell.cell_type == "code"]
    for number, cell in enumerate(again):
        cell.id = f"again{number}"
    notebook.cells += again
    client = NotebookClient(notebook, timeout=SECONDS, kernel_name="python3")
    client.execute()
    told = json.dumps([cell.get("outputs", []) for cell in notebook.cells])
    assert "Something went wrong" not in told and "Your own files." in told


# all lectures run in browser/test_lectures.py; those that draw most are handed out each time
HANDED_OUT = {"four-intents", "pixels-and-paper-size"}


@pytest.mark.parametrize(
    "path",
    [
        pytest.param(
            path,
            id=path.stem,
            marks=[pytest.mark.long] if path in LECTURES and path.stem not in HANDED_OUT else [],
        )
        for path in NOTEBOOKS
    ],
)
def test_notebook_runs(path, monkeypatch, tmp_path):
    kernel_finds_this_package(monkeypatch)
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
    if path in LECTURES:
        assert_is_handed_out(notebook, tmp_path)
    outputs = code[-1].outputs
    assert outputs, "the last cell shows nothing"
    assert [output for output in outputs if output.output_type == "error"] == []
