"""Installed from a wheel, far from any clone: the commands, the lectures, the version."""

from __future__ import annotations

import hashlib
import json
import os
import re
import subprocess
import sys
import sysconfig
from pathlib import Path

import pytest

import workbench

ROOT = Path(__file__).parents[1]


def run(*command, cwd, **more):
    environment = {k: v for k, v in os.environ.items() if not k.startswith(("PYTHON", "COV"))}
    environment |= more
    return subprocess.run(
        [*map(str, command)], cwd=cwd, env=environment, capture_output=True, text=True, timeout=300
    )


@pytest.fixture(scope="module")
def built(tmp_path_factory):
    """Two wheels, built one after the other from copies of what belongs to the project."""
    wheels = []
    for number in (1, 2):
        folder = tmp_path_factory.mktemp("build")
        source = folder / "source"
        source.mkdir()
        for name in ("README.md", "pyproject.toml", "workbench", "notebooks"):
            done = run("cp", "-r", ROOT / name, source / name, cwd=folder)
            assert done.returncode == 0, done.stderr
        for cache in source.rglob("__pycache__"):
            run("rm", "-r", cache, cwd=folder)
        done = run(
            sys.executable, "-m", "pip", "wheel", "-q", "--no-deps", "-w", folder, source,
            cwd=folder, SOURCE_DATE_EPOCH="1700000000",
        )  # fmt: skip
        assert done.returncode == 0, done.stdout + done.stderr
        wheels += folder.glob("*.whl")
        assert len(wheels) == number
    return wheels


@pytest.fixture(scope="module")
def installed(built, tmp_path_factory):
    """Python of an environment that has the wheel, and the packages of this one beside it."""
    folder = tmp_path_factory.mktemp("installed")
    assert run(sys.executable, "-m", "venv", "--without-pip", "env", cwd=folder).returncode == 0
    python = folder / "env" / "bin" / "python"
    done = run(
        sys.executable, "-m", "pip", "--python", python, "install", "-q", "--no-deps", built[0],
        cwd=folder,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    (site,) = (folder / "env" / "lib").glob("python*/site-packages")
    (site / "others.pth").write_text(sysconfig.get_path("purelib") + "\n")
    return python


def test_the_same_source_is_the_same_wheel(built):
    one, other = (hashlib.sha256(wheel.read_bytes()).hexdigest() for wheel in built)
    assert one == other


def test_both_commands_work_in_an_empty_folder(installed, tmp_path):
    where = run(installed, "-c", "import workbench; print(workbench.__file__)", cwd=tmp_path)
    assert Path(where.stdout.strip()).is_relative_to(installed.parents[1]), where.stderr
    for command in (
        (installed, "-m", "workbench"),
        (installed.with_name("print-planning"),),
    ):
        done = run(*command, "--help", cwd=tmp_path)
        assert done.returncode == 0 and "python -m workbench run PLAN" in done.stdout, done.stderr
        done = run(*command, "nothing.tif", cwd=tmp_path)
        assert done.returncode == 2 and "There is no picture at" in done.stderr
    assert list(tmp_path.iterdir()) == []


def test_it_computes(installed, tmp_path):
    code = (
        "import workbench as wb; paper = wb.demo_papers()[0]; "
        "print(wb.gamut_report(wb.demo_picture(), paper, exact=False).sentence)"
    )
    done = run(installed, "-c", code, cwd=tmp_path)
    assert re.match(r"[\d.]+ % of the picture is out", done.stdout), done.stderr


def test_lectures_come_along_and_open_as_copies(installed, tmp_path):
    code = "from workbench.launch.folder import own_notebook; print(own_notebook())"
    done = run(installed, "-c", code, cwd=tmp_path, HOME=str(tmp_path))
    own = Path(done.stdout.strip())
    assert own.parent == tmp_path / "print-planning", done.stderr
    lectures = {path.name for path in (ROOT / "notebooks").glob("*.ipynb")}
    lectures -= {"workbench.ipynb", "my-desk.ipynb"}
    assert {path.name for path in own.parent.glob("*.ipynb")} == lectures | {own.name}
    mine = own.parent / sorted(lectures)[0]
    assert mine.read_bytes() == (ROOT / "notebooks" / mine.name).read_bytes()
    mine.write_text("mine")
    run(installed, "-c", code, cwd=tmp_path, HOME=str(tmp_path))
    assert mine.read_text() == "mine"


def test_the_version_is_in_one_place(built):
    assert built[0].name.split("-")[1] == workbench.__version__
    package = ROOT / "workbench/launch/labextension/print-planning-workbench/package.json"
    assert json.loads(package.read_text())["version"] == workbench.__version__
    assert workbench.__version__ not in (ROOT / "pyproject.toml").read_text()
