"""Installing what is missing: what is looked at, where it goes, and what is said when it fails."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from workbench.launch import LaunchError, bootstrap
from workbench.launch.requirements import clone_root, missing, required

ROOT = Path(__file__).parents[1]


@pytest.fixture(autouse=True)
def fresh_start(monkeypatch):
    """The mark of an installation just made is put back as it was after the test."""
    monkeypatch.setenv("WORKBENCH_JUST_INSTALLED", "")
    monkeypatch.delenv("WORKBENCH_JUST_INSTALLED")


def test_requirements_come_from_pyproject():
    root = clone_root()
    assert root == ROOT
    plain, with_tests = required(root), required(root, "test")
    assert any(line.startswith("jupyterlab") for line in plain)
    assert set(plain) < set(with_tests)
    assert any(line.startswith("playwright") for line in with_tests)
    with pytest.raises(KeyError):
        required(root, "no such extra")


def test_folder_of_another_project_is_no_clone(tmp_path):
    package = tmp_path / "workbench"
    package.mkdir()
    assert clone_root(package) is None
    (tmp_path / "pyproject.toml").write_text('[project]\nname = "another"\n')
    assert clone_root(package) is None


def test_missing_looks_at_names_and_versions():
    assert missing(["pytest>=8", "PyTest", "pytest-cov>=1,<1000"]) == []
    assert missing(["pytest>=9999", "no-such-package-of-ours>=1"]) == [
        "pytest>=9999",
        "no-such-package-of-ours>=1",
    ]


def test_without_packaging_presence_decides():
    code = "from workbench.launch.requirements import missing; print(missing(['jupyterlab>=4']))"
    # -S: as on a machine where no package is installed
    command = [sys.executable, "-S", "-c", code]
    result = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, timeout=60)
    assert result.stdout.strip() == "['jupyterlab>=4']", result.stderr


# --- where it is installed


@pytest.mark.parametrize(
    "prefix, base, environ, own",
    [
        ("/v", "/usr", {}, True),  # a virtual environment
        ("/usr", "/usr", {}, False),  # the system's Python
        ("/c/envs/p", "/c/envs/p", {"CONDA_PREFIX": "/c/envs/p", "CONDA_DEFAULT_ENV": "p"}, True),
        ("/c", "/c", {"CONDA_PREFIX": "/c", "CONDA_DEFAULT_ENV": "base"}, False),
        ("/usr", "/usr", {"CONDA_PREFIX": "/c/envs/p", "CONDA_DEFAULT_ENV": "p"}, False),
    ],
)
def test_only_environments_are_installed_into(prefix, base, environ, own):
    assert bootstrap.in_own_environment(prefix, base, environ) is own


class Again(Exception):
    """Stands for the process being replaced."""


@pytest.fixture
def commands(monkeypatch):
    """The commands that a bootstrap with everything missing runs, in order."""
    ran = []

    def run_again(python):
        ran.append(["again", python])
        raise Again

    monkeypatch.setattr(bootstrap, "missing", lambda lines: ["jupyterlab>=4.4"])
    monkeypatch.setattr(bootstrap, "_run", lambda command: ran.append(command) or 0)
    monkeypatch.setattr(bootstrap, "run_again", run_again)
    return ran


def test_inside_an_environment_the_clone_is_installed_into_it(commands, monkeypatch, capsys):
    monkeypatch.setattr(bootstrap, "in_own_environment", lambda *_: True)
    with pytest.raises(Again):
        bootstrap.ensure_packages("test")
    pip, again = commands
    assert pip[:4] == [sys.executable, "-m", "pip", "install"]
    assert pip[-2:] == ["--editable", f"{ROOT}[test]"]
    assert again == ["again", sys.executable]
    said = capsys.readouterr().out
    assert "once" in said and "jupyterlab" in said


def test_still_missing_after_an_installation_ends_it(commands, monkeypatch):
    monkeypatch.setenv("WORKBENCH_JUST_INSTALLED", "1")
    with pytest.raises(LaunchError, match="still missing: jupyterlab"):
        bootstrap.ensure_packages()
    assert commands == []
    assert "WORKBENCH_JUST_INSTALLED" not in os.environ


def test_outside_one_the_python_of_dot_venv_goes_on(commands, monkeypatch):
    made = []
    monkeypatch.setattr(bootstrap, "in_own_environment", lambda *_: False)
    monkeypatch.setattr(
        bootstrap, "make_environment", lambda path: made.append(path) or path / "py"
    )
    with pytest.raises(Again):
        bootstrap.ensure_packages()
    assert made == [ROOT / ".venv"]
    assert commands == [["again", str(ROOT / ".venv" / "py")]]


def test_nothing_missing_runs_nothing(commands, monkeypatch):
    monkeypatch.setattr(bootstrap, "missing", lambda lines: [])
    bootstrap.ensure_packages()
    assert commands == []


def test_failed_installation_says_what_to_do(commands, monkeypatch):
    monkeypatch.setattr(bootstrap, "in_own_environment", lambda *_: True)
    monkeypatch.setattr(bootstrap, "_run", lambda command: 1)
    with pytest.raises(LaunchError, match="check the network"):
        bootstrap.ensure_packages()
    assert commands == []


def test_existing_environment_is_used(tmp_path):
    name = "Scripts/python.exe" if os.name == "nt" else "bin/python"
    (tmp_path / name).parent.mkdir()
    (tmp_path / name).touch()
    assert bootstrap.make_environment(tmp_path) == tmp_path / name


def test_python_without_venv_names_the_package_to_install(tmp_path, monkeypatch):
    monkeypatch.setattr(bootstrap.importlib.util, "find_spec", lambda name: None)
    with pytest.raises(LaunchError, match="sudo apt install python3-venv"):
        bootstrap.make_environment(tmp_path / ".venv")


def test_failed_environment_leaves_nothing_behind(tmp_path, monkeypatch):
    (tmp_path / "broken").mkdir()
    monkeypatch.setattr(bootstrap.sys, "executable", _python_that_fails(tmp_path))
    with pytest.raises(LaunchError, match="no room"):
        bootstrap.make_environment(tmp_path / "broken")
    assert not (tmp_path / "broken").exists()


def _python_that_fails(folder):
    script = folder / ("fails.bat" if os.name == "nt" else "fails")
    head = "@echo off\n" if os.name == "nt" else "#!/bin/sh\n"
    script.write_text(head + "echo no room\nexit 1\n")
    script.chmod(0o755)
    return str(script)


def test_whole_way_on_a_fresh_clone_without_network(tmp_path):
    """For real, from a Python outside any environment to pip, which finds no package index."""
    clone = tmp_path / "a clone"
    for name in ("launch", "files"):
        shutil.copytree(ROOT / "workbench" / name, clone / "workbench" / name)
    (clone / "workbench" / "panels").mkdir()
    needed = (
        "__init__.py",
        "__main__.py",
        "errors.py",
        "language.py",
        "panels/__init__.py",
        "panels/registry.py",
    )
    for name in needed:
        shutil.copy(ROOT / "workbench" / name, clone / "workbench" / name)
    (clone / "pyproject.toml").write_text(
        '[project]\nname = "print-planning-workbench"\nversion = "0"\n'
        'dependencies = ["no-such-package-of-ours"]\n'
    )
    cut_off = {"PIP_NO_INDEX": "1", "PIP_CONFIG_FILE": os.devnull}
    kept = {k: v for k, v in os.environ.items() if not k.startswith(("CONDA", "PIP", "PYTHON"))}
    result = subprocess.run(
        [sys._base_executable, "-m", "workbench"],
        cwd=clone,
        env=kept | cut_off,
        capture_output=True,
        text=True,
        timeout=120,
    )
    assert result.returncode == 1
    # in this order: said by the first Python, then by the one of the environment made
    said = result.stdout
    assert said.index(f"virtual environment in {clone / '.venv'}, once") < said.index(
        "Missing here: no-such-package-of-ours"
    )
    assert "check the network" in result.stderr
    assert "Traceback" not in result.stderr
    assert bootstrap.make_environment(clone / ".venv").exists()  # and is used the next time
