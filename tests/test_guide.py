"""The guide: its examples run, its tables are filled in, all is reachable, and it builds."""

from __future__ import annotations

import doctest
import importlib.util
import re
import subprocess
import sys
from pathlib import Path

import pytest

import workbench as wb
from workbench.decisions import DECISIONS
from workbench.panels.registry import PANELS

GUIDE = Path(__file__).parents[1] / "notebooks" / "guide"
PAGES = sorted(GUIDE.glob("*.md"))


@pytest.fixture(scope="module")
def tables():
    spec = importlib.util.spec_from_file_location("guide_tables", GUIDE / "tables.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_the_examples_of_the_pages_run():
    tried = 0
    for page in PAGES:
        # a fence ends an example as an empty line does
        text = page.read_text("utf-8").replace("```", "")
        if ">>>" in text:
            parser = doctest.DocTestParser().get_doctest(text, {"wb": wb}, page.name, str(page), 0)
            said: list[str] = []
            runner = doctest.DocTestRunner()
            runner.run(parser, out=said.append)
            assert runner.failures == 0, "".join(said)
            tried += runner.tries
    assert tried > 5


def test_every_page_is_in_the_contents_and_every_link_leads_somewhere():
    contents = (GUIDE / "index.md").read_text("utf-8")
    for page in PAGES:
        listed = re.search(rf"^{page.stem}$", contents, re.MULTILINE)
        assert page.stem == "index" or listed, page.name
        for link in re.findall(r"\]\(([^)#:]+)\)", page.read_text("utf-8")):
            assert (GUIDE / link).exists(), f"{page.name}: {link}"


def test_tables_follow_from_the_code(tables):
    whole = "".join(tables.filled_in(page.read_text("utf-8")) for page in PAGES)
    assert not re.search(r"^%%", whole, re.MULTILINE)
    assert all(f"`wb.{entry.door}`" in whole for entry in PANELS.values())
    assert all(f"| `{each.name}` |" in whole for each in DECISIONS.values() if each.saved)
    lectures = {p.stem for p in GUIDE.parent.glob("*.ipynb")} - {"workbench", "my-desk"}
    assert {name for name in lectures if f"`{name}`" not in whole} == set()


@pytest.mark.slow
def test_the_guide_builds(tmp_path):
    pytest.importorskip("sphinx")
    done = subprocess.run(
        [sys.executable, "-m", "sphinx", "-q", "-b", "html", str(GUIDE), str(tmp_path)],
        capture_output=True,
        text=True,
        timeout=200,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    functions = (tmp_path / "api.html").read_text("utf-8")
    missing = [name for name in ("gamut_report", "write_handout", "Plan") if name not in functions]
    assert not missing
    assert "black_point_compensation" in (tmp_path / "files.html").read_text("utf-8")
