"""Install what is missing, so that one command works on a fresh clone.

Inside a virtual or conda environment the clone is installed there.  Outside
one, the person's Python is left alone: a `.venv` is made in the clone and the
command runs again with that one's Python, which then finds itself inside.

Standard library only: this runs before anything is installed.
"""

from __future__ import annotations

import importlib.util
import os
import shutil
import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path

from workbench.language import tr
from workbench.launch import LaunchError
from workbench.launch.requirements import clone_root, missing, required

# set for the run after an installation, so that a failure cannot go round in circles
_INSTALLED = "WORKBENCH_JUST_INSTALLED"


def ensure_packages(*extras: str) -> None:
    """Return when every package is here; otherwise install them and start over.

    Raises LaunchError, with what to do, when that is not possible.
    """
    just_installed = os.environ.pop(_INSTALLED, None)
    root = clone_root()
    if root is None:
        return  # installed from a wheel: its installer has seen to the packages
    lacking = missing(required(root, *extras))
    if not lacking:
        return
    if just_installed:
        raise LaunchError(
            tr(
                "The packages were installed, yet these are still missing: {missing}\n"
                "Make the environment {environment} anew and run the command again.",
                missing=", ".join(lacking),
                environment=sys.prefix,
            )
        )
    if in_own_environment(sys.prefix, sys.base_prefix, os.environ):
        install(root, extras, lacking)
        os.environ[_INSTALLED] = "1"
        run_again(sys.executable)
    else:
        run_again(str(make_environment(root / ".venv")))


def in_own_environment(prefix: str, base_prefix: str, environ: Mapping[str, str]) -> bool:
    """Whether this Python belongs to an environment that may be installed into.

    A virtual environment may, and so may a conda environment that somebody
    made; conda's base environment and the system's Python are kept clean.
    """
    if prefix != base_prefix:
        return True
    conda = environ.get("CONDA_PREFIX")
    return (
        conda is not None
        and conda != ""
        and os.path.realpath(conda) == os.path.realpath(prefix)
        and environ.get("CONDA_DEFAULT_ENV") != "base"
    )


def make_environment(folder: Path) -> Path:
    """The Python of the virtual environment in `folder`, which is made where it is not there."""
    python = folder / ("Scripts/python.exe" if os.name == "nt" else "bin/python")
    if python.exists():
        return python
    if not (importlib.util.find_spec("venv") and importlib.util.find_spec("ensurepip")):
        raise LaunchError(
            tr(
                "This Python cannot make virtual environments: its modules venv and ensurepip are "
                "missing.\nOn Debian and Ubuntu install them with: sudo apt install python3-venv\n"
                "Then run the same command again."
            )
        )
    print(
        tr(
            "Making a virtual environment in {folder}, once; your own Python stays as it is.",
            folder=folder,
        )
    )
    result = subprocess.run(
        # --clear: what is there without a Python is the rest of an older one
        [sys.executable, "-m", "venv", "--clear", str(folder)],
        capture_output=True,
        text=True,
    )
    if result.returncode:
        shutil.rmtree(folder, ignore_errors=True)  # half of one would be taken for a whole one
        raise LaunchError(
            f"{result.stdout}{result.stderr}\n"
            + tr(
                "No virtual environment could be made in {folder} (the reason is above).\n"
                "Run the command again when that is mended, or make and activate an "
                "environment of your own first.",
                folder=folder,
            )
        )
    return python


def install(root: Path, extras: tuple[str, ...], lacking: list[str]) -> None:
    """Install the clone at `root` with its packages into this Python's environment."""
    print(tr("Missing here: {packages}", packages=", ".join(lacking)))
    print(
        tr(
            "Installing into {environment}, once; this takes a minute or so.",
            environment=sys.prefix,
        ),
        flush=True,
    )
    if not importlib.util.find_spec("pip"):
        _run([sys.executable, "-m", "ensurepip", "--default-pip"])
    target = str(root) + (f"[{','.join(extras)}]" if extras else "")
    pip = [sys.executable, "-m", "pip", "install", "--quiet", "--disable-pip-version-check"]
    if not sys.dont_write_bytecode:
        # what is used is compiled when it is first used, which is soon, and much never is
        pip.append("--no-compile")
    code = _run([*pip, "--editable", target])
    print(" " + (tr("done.") if code == 0 else tr("failed.")))
    if code:
        raise LaunchError(
            tr(
                "The packages could not be installed; pip's reason is above.\n"
                "Most often this computer cannot reach the package index: check the network and "
                "run the same command again."
            )
        )


def _run(command: list[str]) -> int:
    """Run to the end and return the exit code; a dot now and then shows that it is alive."""
    with subprocess.Popen(command, stdin=subprocess.DEVNULL) as process:
        while True:
            try:
                return process.wait(timeout=3)
            except subprocess.TimeoutExpired:
                print(".", end="", flush=True)


def run_again(python: str, arguments: list[str] | None = None) -> None:
    """Run this same command line (or ``arguments``) with a Python; does not return."""
    sys.stdout.flush()
    command = [python, "-m", "workbench", *(sys.argv[1:] if arguments is None else arguments)]
    if os.name != "nt":
        os.execv(python, command)
    # on Windows execv returns to the shell at once, so wait in its place
    process = subprocess.Popen(command)
    while True:
        try:
            sys.exit(process.wait())
        except KeyboardInterrupt:
            continue  # the other one got the Ctrl-C too, and ends by itself
