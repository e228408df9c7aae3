"""One student's server: started by JupyterHub, under the student's account.

Without JupyterHub, ``python -m workbench.serving.student PORT`` serves one student under the
token in ``JUPYTER_TOKEN``, to try things out.
"""

from __future__ import annotations

import os
import sys
import tempfile
from pathlib import Path

from workbench.launch.folder import FOLDER_NAME, OWN_NAME, bring_lectures, own_notebook
from workbench.launch.server import ADDRESS, begin_kernel, desk_options, page_path, prepare_kernels
from workbench.serving.settings import IDLE_VARIABLE

_LOOK_EVERY_S = 60


def options(notebook: Path, workspaces: str, idle_s: int) -> list[str]:
    """Command-line options of a student's server; they win over configuration files.

    Parameters
    ----------
    workspaces : an empty folder, so that the desk opens and nothing else.
    idle_s : seconds without anything done after which kernels end, and then the server; the
        plan is kept as one works, and offered at the next start.
    """
    return [
        *desk_options(notebook, _NAME),
        f"--LabApp.workspaces_dir={workspaces}",
        f"--MappingKernelManager.cull_idle_timeout={idle_s}",
        f"--MappingKernelManager.cull_interval={min(idle_s, _LOOK_EVERY_S)}",
        # the page stays open over lunch
        "--MappingKernelManager.cull_connected=True",
        f"--ServerApp.shutdown_no_activity_timeout={idle_s}",
        "--ServerApp.terminals_enabled=False",
        # under JupyterHub, Lab is one extension among others
        f"--ServerApp.default_url={page_path(notebook)}",
    ]


_NAME = "workbench.serving.student"


def _jupyter_server_extension_points() -> list[dict]:
    return [{"module": _NAME}]


def _load_jupyter_server_extension(server) -> None:
    """Let the desk's kernel start and load its libraries while the page does."""
    server.io_loop.add_callback(begin_kernel, server, Path(server.root_dir) / OWN_NAME)


def main(argv: list[str]) -> None:
    """Make the student's folder where it is not there yet, and serve."""
    # what a student writes is for that student alone
    os.umask(0o077)
    idle_s = int(os.environ.get(IDLE_VARIABLE, "3600"))
    folder = Path.home() / FOLDER_NAME
    folder.mkdir(mode=0o700, exist_ok=True)
    bring_lectures(folder)
    notebook = own_notebook(str(folder / OWN_NAME))
    prepare_kernels()
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as own:
        # Jupyter runs configuration that it finds in the folder it is started in
        os.chdir(own)
        told = options(notebook, own, idle_s)
        if "JUPYTERHUB_API_TOKEN" in os.environ:
            from jupyterhub.singleuser import main as serve

            serve([*told, *argv])
        else:
            from jupyterlab.labapp import LabApp

            alone = ["--ServerApp.open_browser=False", f"--ServerApp.ip={ADDRESS}"]
            alone += [f"--ServerApp.port={argv[0]}", "--ServerApp.port_retries=0"]
            LabApp.launch_instance([*told, *alone])


if __name__ == "__main__":
    main(sys.argv[1:])
