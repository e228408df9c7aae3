"""Start JupyterLab on the person's notebook, for this machine only."""

from __future__ import annotations

import asyncio
import json
import os
import secrets
import signal
import socket
import sys
import tempfile
from pathlib import Path
from urllib.parse import quote

from workbench.errors import FileError
from workbench.files import read_regular
from workbench.files.session import Named
from workbench.language import tr
from workbench.launch import LaunchError
from workbench.launch.folder import DESK_CELL, MOST_BYTES
from workbench.launch.requirements import clone_root

ADDRESS = "127.0.0.1"
KERNEL = "python3"
LAB_EXTENSIONS = Path(__file__).parent / "labextension"
# what other packages hang into every server, and the desk has no use for
SERVER_EXTENSIONS = {
    "jupyterlab": True,
    "jupyter_lsp": False,
    "jupyter_server_terminals": False,
    "notebook_shim": False,
}
# the presented page names icons and formulas that lie elsewhere; nobody is asked for them
_FROM_HERE = (
    "default-src 'self' 'unsafe-inline' 'unsafe-eval' data: blob:; "
    f"connect-src 'self' ws://{ADDRESS}:* data: blob:; frame-ancestors 'self'"
)


def serve(
    notebook: Path,
    named: Named,
    *,
    open_browser: bool = True,
    port: int | None = None,
    present: bool = False,
) -> int:
    """Serve until Ctrl-C, then return the exit code.

    ``named`` are the files that `workbench.desk` and `workbench.lecture` open in this session;
    ``present`` runs the notebook and shows it without code, one idea at a time.

    Raises LaunchError when the port asked for is taken.
    """
    if port is not None:
        require_free(port)
    prepare_kernels()
    # an optional check of one kind of web address: it reads a grammar at its import, for longer
    # than all of Lab takes
    sys.modules.setdefault("rfc3987_syntax", None)  # type: ignore[arg-type]
    from jupyterlab.labapp import LabApp

    token = os.environ.get("JUPYTER_TOKEN") or secrets.token_hex(24)
    options = server_options(
        notebook, token=token, open_browser=open_browser, port=port, present=present
    )
    # Lab's memory of what was open where: with an empty one it opens the desk and nothing else,
    # and the layouts that the person made in their own Lab are not touched
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as own:
        # Jupyter runs configuration that it finds in the folder it is started in, and that
        # may be anybody's
        os.chdir(own)
        # kernels find what was named on the command line beside their connection files
        session = Path(own) / "session"
        session.mkdir(mode=0o700)
        named.write(session)
        options.append(f"--LabApp.workspaces_dir={own}")
        server = LabApp.initialize_server(argv=options, runtime_dir=str(session))

        def announce():
            address = page_address(notebook, server.port, token, present)
            print(announcement(address, open_browser), flush=True)

        # behind the callback that binds the port: the address works once it is printed
        server.io_loop.add_callback(announce)
        if not present:
            server.io_loop.add_callback(begin_kernel, server, notebook)
        end_on_interrupt(server)
        server.start()
    print(tr("The workbench has ended."))
    return 0


# the folder that the kernel works in is left out meanwhile: what lies there is not run
WARM = (
    "exec('import sys; path = sys.path[:]; sys.path[:] = filter(None, path)\\n"
    "try: import workbench.launch.warm\\nfinally: sys.path[:] = path', {})"
)


async def begin_kernel(server, notebook: Path) -> None:
    """Start the notebook's kernel, and let it load the libraries while the page does.

    The page finds it by the notebook's path, as it does after it is loaded again.  Where that
    fails, the page starts one as it always could.
    """
    try:
        if kernel_name(notebook) != KERNEL:
            return
        for _ in range(_TRIES):
            session = await server.session_manager.create_session(
                path=notebook.name, name=notebook.name, type="notebook", kernel_name=KERNEL
            )
            if await _warmed(server.kernel_manager.get_kernel(session["kernel"]["id"])):
                return
            # a kernel's ports are chosen before it takes them, and somebody else may be quicker,
            # as where a class starts at once; Jupyter would go on trying the same
            await server.session_manager.delete_session(session["id"])
    except Exception as problem:
        server.log.warning("The kernel was not started beforehand: %s", problem)


_TRIES = 3
_LOOK_EVERY_S = 0.2
# one that lives and says nothing so long was restarted by somebody, or is that slow
_LONGEST_S = 60


async def _warmed(kernel) -> bool:
    """Let a kernel load the libraries; whether it has not died before it answers."""
    client = kernel.client()
    client.start_channels(shell=True, iopub=False, stdin=False, hb=False, control=False)
    try:
        client.execute(WARM, silent=True, store_history=False, allow_stdin=False)
        for _ in range(round(_LONGEST_S / _LOOK_EVERY_S)):
            if not await kernel.is_alive():
                return False
            if await client.shell_channel.msg_ready():
                return True
            await asyncio.sleep(_LOOK_EVERY_S)
        return True
    finally:
        client.stop_channels()


def kernel_name(notebook: Path) -> str | None:
    """The kernel that a notebook asks for; None where it does not say, or cannot be read."""
    try:
        return json.loads(read_regular(notebook, MOST_BYTES))["metadata"]["kernelspec"]["name"]
    except (FileError, ValueError, KeyError, TypeError, RecursionError):
        return None


def end_on_interrupt(server) -> None:
    """Let Ctrl-C end the server and its kernels at once; a second one breaks off even that.

    Jupyter's own handling asks first in a terminal, and elsewhere leaves the
    kernels to find out by themselves.
    """

    def end(number, frame):
        signal.signal(signal.SIGINT, signal.default_int_handler)
        server.stop(from_signal=True)

    signal.signal(signal.SIGINT, end)


def server_options(
    notebook: Path, *, token: str, open_browser: bool, port: int | None, present: bool = False
) -> list[str]:
    """Command-line options for JupyterLab.

    They are options because those win over the person's configuration files.
    They are handed over inside this process, so the token is in no process list.
    """
    options = [
        f"--ServerApp.ip={ADDRESS}",
        f"--IdentityProvider.token={token}",
        *desk_options(notebook, "voila.server_extension" if present else "", present),
    ]
    if not open_browser:
        options.append("--ServerApp.open_browser=False")
    if port is not None:
        options += [f"--ServerApp.port={port}", "--ServerApp.port_retries=0"]
    return options


def desk_options(notebook: Path, extension: str = "", present: bool = False) -> list[str]:
    """Those that make a server of Jupyter's the workbench, whoever starts it; with one more
    server extension, by its module."""
    settings: dict = {
        "page_config_data": {
            "workbenchDesk": notebook.name,
            "workbenchCell": DESK_CELL,
            # nobody builds Lab anew from here, so the page need not ask whether it should be
            "buildAvailable": False,
            "buildCheck": False,
        }
    }
    if present:
        settings["headers"] = {"Content-Security-Policy": _FROM_HERE}
    options = [
        f"--ServerApp.root_dir={notebook.parent}",
        f"--LabApp.default_url={page_path(notebook, present)}",
        "--ServerApp.log_level=ERROR",
        "--LabApp.log_level=ERROR",
        "--ServerApp.kernel_websocket_connection_class="
        "workbench.launch.websocket.PromptWebsocketConnection",
        # known to this server only; nothing is installed into the person's Jupyter
        f"--LabApp.extra_labextensions_path={LAB_EXTENSIONS}",
        # given twice, it would not be understood
        f"--ServerApp.jpserver_extensions={SERVER_EXTENSIONS | ({extension: True} if extension else {})}",
        f"--ServerApp.tornado_settings={settings}",
        # others with an account on this machine could listen to kernels otherwise
        "--MappingKernelManager.transport_encryption=auto",
        # ask nobody outside this machine for anything
        "--LabApp.news_url=None",
        "--LabApp.check_for_updates_class=jupyterlab.NeverCheckForUpdate",
        "--LabApp.extension_manager=readonly",
    ]
    if getattr(os, "geteuid", lambda: 1)() == 0:
        # in a container everybody is root, and whoever started this as root meant it
        options.append("--ServerApp.allow_root=True")
    return options


def page_path(notebook: Path, present: bool = False) -> str:
    """The page of the desk, or of what is presented, as the part of the address behind the port."""
    return f"{'/voila/render' if present else '/lab/tree'}/{quote(notebook.name)}"


def page_address(notebook: Path, port: int, token: str, present: bool = False) -> str:
    """The whole address, token included: one click opens the page."""
    return f"http://{ADDRESS}:{port}{page_path(notebook, present)}?token={token}"


def announcement(address: str, open_browser: bool) -> str:
    """What the person reads in the terminal."""
    if open_browser:
        return tr(
            "The workbench is ready.  It opens in your browser; if not, open this address:\n\n"
            "    {address}\n\nIt answers on this machine only.  Ctrl-C here ends it.",
            address=address,
        )
    return tr(
        "The workbench is ready.  Open this address:\n\n"
        "    {address}\n\nIt answers on this machine only.  Ctrl-C here ends it.",
        address=address,
    )


def prepare_kernels() -> None:
    """Make kernels run this Python and this very package, whatever else is installed."""
    # a kernel of the same name that the person once installed for themselves would come first
    os.environ["JUPYTER_PREFER_ENV_PATH"] = "1"
    root = clone_root()
    if root is not None:
        before = os.environ.get("PYTHONPATH")
        os.environ["PYTHONPATH"] = os.pathsep.join([str(root), *([before] if before else [])])


def require_free(port: int) -> None:
    """Raise LaunchError when another program listens on the port."""
    with socket.socket() as probe:
        if os.name != "nt":  # there it would let two programs share the port
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((ADDRESS, port))
        except OSError as error:
            raise LaunchError(
                tr(
                    "Port {port} cannot be used ({reason}). Leave --port out to get a free one.",
                    port=port,
                    reason=error.strerror,
                )
            ) from error
