"""What a class's server is set to."""

from __future__ import annotations

import os
import sys
from pathlib import Path

from workbench.errors import FileError
from workbench.files import path_of
from workbench.language import VARIABLE as LANGUAGE_VARIABLE
from workbench.language import tr
from workbench.launch import ONE_THREAD
from workbench.launch.server import ADDRESS

#: seconds without anything done, after which a student's kernel and then server end
IDLE_VARIABLE = "WORKBENCH_IDLE_S"
SHELF_VARIABLE = "WORKBENCH_SHARED_SHELF"
# the C library gives memory back at once instead of keeping it for later; others ignore it
# (mallopt(3), Linux man-pages)
_GIVE_BACK = {
    "MALLOC_ARENA_MAX": "2",
    "MALLOC_MMAP_THRESHOLD_": str(2**20),
    "MALLOC_TRIM_THRESHOLD_": str(2**20),
}


def class_environment(shelf=None, idle_s: int = 3600) -> dict[str, str]:
    """Environment variables of each student's server and kernels.

    Parameters
    ----------
    shelf : folder of the shelf that all share and nobody writes to; None for none.
    idle_s : seconds, 1 or more.

    Returns
    -------
    Names and values.

    Raises
    ------
    FileError
        for a shelf that is not a folder.

    Examples
    --------
    >>> from workbench.serving import class_environment
    >>> class_environment(idle_s=600)["WORKBENCH_IDLE_S"]
    '600'
    """
    told = {**_GIVE_BACK, **ONE_THREAD, IDLE_VARIABLE: str(max(1, int(idle_s)))}
    # the class reads the language that its server was started in
    if language := os.environ.get(LANGUAGE_VARIABLE):
        told[LANGUAGE_VARIABLE] = language
    if shelf is not None:
        folder = path_of(shelf, FileError).absolute()
        if not folder.is_dir():
            raise FileError(
                tr("The shared shelf “{folder}” is not a folder; make it first.", folder=folder)
            )
        told[SHELF_VARIABLE] = str(folder)
    return told


def serve_class(config, *, shelf=None, idle_s: int = 3600, port: int = 8000) -> None:
    """Set JupyterHub up for a class.

    Parameters
    ----------
    config : what a ``jupyterhub_config.py`` knows as ``c``.
    shelf, idle_s : as for `class_environment`.
    port : on this computer alone; a web server with a certificate stands before it.

    Raises
    ------
    FileError
        for a shelf that is not a folder.

    Examples
    --------
    >>> from traitlets.config import Config
    >>> from workbench.serving import serve_class
    >>> config = Config()
    >>> serve_class(config, port=8123)
    >>> config.JupyterHub.bind_url
    'http://127.0.0.1:8123'

    Notes
    -----
    Who may come in is not set; JupyterHub lets nobody in until it is.  With the spawner that
    JupyterHub brings, each student has an account of the computer, and what keeps them apart
    is the computer's own permissions.
    """
    config.JupyterHub.bind_url = f"http://{ADDRESS}:{port}"
    config.JupyterHub.hub_ip = ADDRESS
    config.Spawner.ip = ADDRESS
    config.Spawner.cmd = [sys.executable, "-m", "workbench.serving.student"]
    config.Spawner.environment = {
        **class_environment(shelf, idle_s),
        # this very package, where it runs from a clone
        "PYTHONPATH": os.pathsep.join(
            filter(None, [str(Path(__file__).resolve().parents[2]), os.environ.get("PYTHONPATH")])
        ),
    }
    # a kernel's first start compiles what later ones find
    config.Spawner.start_timeout = 60
