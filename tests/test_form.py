"""The code's form: ruff's rules and layout, and types, as `pyproject.toml` sets them."""

import ast
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent


@pytest.mark.parametrize(
    "tool", [("ruff", "check"), ("ruff", "format", "--check"), ("mypy",)], ids=" ".join
)
def test_form(tool):
    command = [sys.executable, "-m", *tool]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True)
    assert done.returncode == 0, done.stdout + done.stderr


def test_pictures_papers_and_plans_are_annotated():
    bare = []
    below = (path for path in (ROOT / "workbench").rglob("*.py") if "panels" not in path.parts)
    for path in sorted(below):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
                given = [*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs]
                bare += [
                    f"{path.relative_to(ROOT)}:{each.lineno} {node.name}({each.arg})"
                    for each in given
                    if each.arg in ("picture", "paper", "plan") and each.annotation is None
                ]
    assert bare == []
