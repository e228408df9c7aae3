"""The examples in docstrings run, and every public function has all that a reader needs.

Examples of public functions find what they speak of at hand: ``wb``, a small ``picture``,
the invented ``papers``, a ``plan`` with the two, and a ``folder`` to write to.
"""

from __future__ import annotations

import doctest
import importlib
import inspect
from pathlib import Path

import pytest
import tifffile

import workbench as wb

ROOT = Path(wb.__file__).parent
MODULES = sorted(
    ".".join(("workbench", *path.relative_to(ROOT).with_suffix("").parts)).removesuffix(".__init__")
    for path in ROOT.rglob("*.py")
    if ">>>" in path.read_text("utf-8")
)
FUNCTIONS = [name for name in wb._PUBLIC if not name.endswith("_panel")]
_FLAGS = doctest.ELLIPSIS | doctest.NORMALIZE_WHITESPACE | doctest.IGNORE_EXCEPTION_DETAIL


@pytest.fixture(scope="module")
def at_hand(tmp_path_factory):
    folder = tmp_path_factory.mktemp("examples")
    demo = wb.demo_picture()
    part = demo.pixels()[1200:1600, 800:1400]
    tifffile.imwrite(folder / "harbour.tif", part, photometric="rgb", iccprofile=demo.profile)
    picture = wb.open_picture(folder / "harbour.tif")
    papers = wb.demo_papers()
    return {"wb": wb, "picture": picture, "papers": papers, "folder": folder}


@pytest.mark.parametrize("module", MODULES)
def test_examples_run(module, at_hand, monkeypatch):
    monkeypatch.chdir(at_hand["folder"])
    monkeypatch.setenv("WORKBENCH_RECORD", str(at_hand["folder"] / "prints.sqlite"))
    loaded = importlib.import_module(module)
    given = {**vars(loaded), **at_hand}
    given["plan"] = wb.Plan(picture=at_hand["picture"], paper=at_hand["papers"][0], ppi=100)
    said: list[str] = []
    runner = doctest.DocTestRunner(optionflags=_FLAGS)
    for example in doctest.DocTestFinder(exclude_empty=True).find(loaded, globs=given):
        runner.run(example, out=said.append)
    assert runner.summarize(verbose=False).failed == 0, "".join(said)
    assert runner.tries


@pytest.mark.parametrize("name", FUNCTIONS)
def test_a_public_function_is_told_whole(name):
    told = inspect.getdoc(getattr(wb, name)) or ""
    assert ">>>" in told, "no example"
    assert "Raises" in told, "no errors"
    if inspect.isfunction(getattr(wb, name)):
        assert "Returns" in told, "no result"
        if inspect.signature(getattr(wb, name)).parameters:
            assert "Parameters" in told, "no parameters"
