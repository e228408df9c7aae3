"""The code's form: ruff's rules and layout, and types, as `pyproject.toml` sets them."""

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
