"""Which of the packages that pyproject.toml asks for are missing.

Standard library only: this is asked before anything is installed.
"""

from __future__ import annotations

import importlib.metadata
import re
from pathlib import Path

PROJECT = "print-planning-workbench"


def clone_root(package: Path | None = None) -> Path | None:
    """The folder of the clone this package runs from; None when installed from a wheel."""
    root = (package or Path(__file__).parents[1]).resolve().parent
    pyproject = root / "pyproject.toml"
    if pyproject.is_file() and _read(pyproject).get("name") == PROJECT:
        return root
    return None


def required(root: Path, *extras: str) -> list[str]:
    """Requirement lines of the clone at `root`, with those of the extras named.

    Raises KeyError for an extra that pyproject.toml does not have.
    """
    project = _read(root / "pyproject.toml")
    lines = list(project.get("dependencies", []))
    for extra in extras:
        lines += project["optional-dependencies"][extra]
    return lines


def missing(lines: list[str]) -> list[str]:
    """Those of the requirement lines that are absent here or have another version.

    Versions are compared only where the `packaging` library is there.  Where
    it is not, something is missing anyway: JupyterLab brings it.
    """
    return [line for line in lines if not _is_met(line)]


def _is_met(line: str) -> bool:
    name = re.split(r"[^A-Za-z0-9._-]", line, maxsplit=1)[0]
    try:
        version = importlib.metadata.version(name)
    except importlib.metadata.PackageNotFoundError:
        return False
    try:
        from packaging.requirements import Requirement
    except ImportError:
        return True
    return Requirement(line).specifier.contains(version, prereleases=True)


def _read(pyproject: Path) -> dict:
    import tomllib  # not at the top: older Pythons must get as far as their sentence

    with pyproject.open("rb") as file:
        return tomllib.load(file).get("project", {})
