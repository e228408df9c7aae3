"""The start command without a browser: command line, notebook, server, test command."""

from __future__ import annotations

import ast
import asyncio
import json
import logging
import os
import re
import socket
import subprocess
import sys
from pathlib import Path
from types import SimpleNamespace

import nbformat
import pytest

from workbench.files import session
from workbench.files.session import Named
from workbench.launch import LaunchError, UsageError, folder, server, testing
from workbench.launch.command import COMMANDS, main, named_files, read_options
from workbench.launch.folder import DESK_CELL
from workbench.launch.presenting import as_notebook, require_app

ROOT = Path(__file__).parents[1]
EXTENSION = ROOT / "workbench" / "launch" / "labextension" / "print-planning-workbench"


@pytest.fixture(autouse=True)
def environment(monkeypatch):
    """What starting sets for kernels is put back after the test."""
    monkeypatch.setattr(os, "environ", os.environ.copy())


def python(*arguments, **options):
    """Run this Python without any installed package, as on a machine that has none."""
    return subprocess.run(
        [sys.executable, "-S", *arguments],
        cwd=ROOT,
        capture_output=True,
        text=True,
        timeout=60,
        **options,
    )


# --- the command line


def test_help_needs_nothing_installed():
    result = python("-m", "workbench", "--help")
    assert result.returncode == 0, result.stderr
    assert "--paper PROFILE" in result.stdout
    assert "python -m workbench test" in result.stdout
    assert "python -m workbench run PLAN --to FOLDER" in result.stdout
    result = python("-m", "workbench", "run", "--help")
    assert result.returncode == 0, result.stderr
    assert "--to FOLDER" in result.stdout and "--overwrite" in result.stdout


@pytest.mark.parametrize(
    "arguments, sentence",
    [
        (["nowhere.tif"], "There is no picture at"),
        (["--paper", "nowhere.icc"], "There is no paper profile at"),
        (["tests"], "is not a file"),
        (["--port", "0"], "from 1 to 65535"),
        (["--port", "many"], "invalid int value"),
        (["--nonsense"], "unrecognized arguments"),
        (["run"], "the following arguments are required: PLAN, --to"),
        (["run", "plan.toml"], "the following arguments are required: --to"),
        (["run", "nowhere.toml", "--to", "out"], "There is no plan at"),
        (["run", "tests", "--to", "out"], "is not a file"),
    ],
)
def test_wrong_command_line_is_told_before_anything_is_installed(arguments, sentence):
    result = python("-m", "workbench", *arguments)
    assert result.returncode == 2
    assert sentence in result.stderr
    assert "Traceback" not in result.stderr
    assert result.stdout == ""


def test_files_are_named_by_absolute_paths(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    for name in ("a picture.tif", "one.icc", "two.icc"):
        (tmp_path / name).write_bytes(b"any")
    asked = read_options(["a picture.tif", "--paper", "one.icc", "--paper", "two.icc"])
    assert named_files(asked) == Named(
        str(tmp_path / "a picture.tif"), (str(tmp_path / "one.icc"), str(tmp_path / "two.icc"))
    )
    assert named_files(read_options([])) == Named()


def test_names_of_any_kind_come_back_as_they_were(tmp_path):
    # quotes, code, a name that is not text on this computer (PEP 383)
    named = Named("/a/\"b'); import os #.tif", ("/p/\udcff.icc", "/p/ä\n.icc"))
    named.write(tmp_path)
    assert Named.read(tmp_path) == named
    assert list(tmp_path.iterdir()) == [tmp_path / session.NAME]


@pytest.mark.parametrize(
    "content",
    ["", "{", "[]", "3", '{"picture": 3, "papers": []}', '{"picture": null, "papers": [1]}',
     '{"picture": null}', "[" * 100_000],
)  # fmt: skip
def test_a_damaged_session_file_names_nothing(tmp_path, content):
    (tmp_path / session.NAME).write_text(content)
    assert Named.read(tmp_path) == Named()
    assert Named.read(tmp_path / "gone") == Named()


def test_outside_a_session_nothing_is_named():
    assert session.named_here() == Named()


def test_first_word_names_a_command(monkeypatch):
    seen = []
    monkeypatch.setitem(COMMANDS, "test", lambda rest: seen.append(rest) or 7)
    assert main(["test", "-k", "size"]) == 7
    assert seen == [["-k", "size"]]


def test_file_called_like_a_command_can_be_opened(tmp_path, monkeypatch):
    (tmp_path / "test").write_bytes(b"any")
    monkeypatch.chdir(tmp_path)
    assert named_files(read_options(["./test"])).picture == str(tmp_path / "test")


def test_run_is_handed_what_was_typed(tmp_path, monkeypatch, capsys):
    from types import SimpleNamespace

    from workbench import run as running
    from workbench.launch import bootstrap

    plan, seen, order = tmp_path / "plan.toml", {}, []
    plan.write_text("any")

    def run_plan(path, folder, *, progress, **options):
        order.append("run")
        seen.update(options, path=path, folder=folder)
        for share in (0.05, 0.1, 0.15, 0.3, 0.3, 0.95, 1.0):
            progress(share)
        return SimpleNamespace(sentences=("It is done.",), plan_path=tmp_path / "out" / "a.toml")

    monkeypatch.setattr(running, "run_plan", run_plan)
    monkeypatch.setattr(bootstrap, "ensure_packages", lambda: order.append("packages"))
    monkeypatch.chdir(tmp_path)
    assert main(["run", "plan.toml", "--to", "out", "--overwrite", "--name", "hall"]) == 0
    # on a fresh clone the packages come first
    assert order == ["packages", "run"]
    assert seen == {
        "path": str(plan), "folder": "out", "name": "hall", "overwrite": True,
        "accept_changes": False,
    }  # fmt: skip
    # plain lines, each tenth once
    lines = capsys.readouterr().out.splitlines()
    assert lines[:-1] == ["10 %", "30 %", "90 %", "100 %", "It is done."]
    assert lines[-1] == f"All is in {tmp_path / 'out'}."


@pytest.mark.parametrize(
    ("said", "option"),
    [
        ("Choose another name, or allow it to be replaced.", "--overwrite"),
        ("Put the former file back, or accept the change.", "--accept-changes"),
        ("The disk is full.", None),
    ],
)
def test_problem_of_a_run_is_one_line_with_the_option_that_helps(
    said, option, tmp_path, monkeypatch, capsys
):
    from workbench import run as running
    from workbench.errors import OutputError
    from workbench.launch import bootstrap

    def run_plan(*args, **options):
        raise OutputError(said)

    (tmp_path / "plan.toml").write_text("any")
    monkeypatch.setattr(running, "run_plan", run_plan)
    monkeypatch.setattr(bootstrap, "ensure_packages", lambda: None)
    assert main(["run", str(tmp_path / "plan.toml"), "--to", str(tmp_path)]) == 1
    told = capsys.readouterr().err
    assert told == f"{said} For that, add {option}.\n" if option else f"{said}\n"


def test_ctrl_c_while_starting_ends_without_a_traceback(monkeypatch, capsys):
    def interrupted(rest):
        raise KeyboardInterrupt

    monkeypatch.setitem(COMMANDS, "test", interrupted)
    assert main(["test"]) == 130
    assert "Stopped." in capsys.readouterr().err


# --- Pythons that are too old


def test_files_that_older_pythons_read_have_only_syntax_they_know():
    for name in ("__init__.py", "errors.py", "__main__.py"):
        # imported before the version is looked at; 3.8 is the oldest that ast can imitate well
        ast.parse((ROOT / "workbench" / name).read_text("utf-8"), feature_version=(3, 8))


def test_older_python_gets_a_sentence():
    code = (
        "import sys, runpy\n"
        "sys.version_info = (3, 10, 4, 'final', 0)\n"
        "runpy.run_module('workbench', run_name='__main__')\n"
    )
    result = python("-c", code)
    assert result.returncode == 1
    assert "needs Python 3.11 or newer; this is Python 3.10" in result.stderr
    assert "Traceback" not in result.stderr


# --- the person's own notebook


def test_tracked_notebook_is_the_one_that_is_written_elsewhere():
    tracked = ROOT / "notebooks" / folder.TEMPLATE_NAME
    assert json.loads(tracked.read_text("utf-8")) == folder.desk_notebook()


def test_desk_notebook_is_one_folded_cell():
    notebook = nbformat.reads(json.dumps(folder.desk_notebook()), as_version=4)
    nbformat.validate(notebook)
    (cell,) = notebook.cells
    assert cell.source == "import workbench as wb\n\nwb.desk()"
    assert cell.metadata.jupyter.source_hidden is True


def test_own_copy_is_made_once_and_ignored_by_git(tmp_path, monkeypatch):
    monkeypatch.setattr(folder, "default_folder", lambda root: tmp_path)
    path = folder.own_notebook()
    assert path == tmp_path / "my-desk.ipynb"
    nbformat.read(path, as_version=4)
    path.write_text(path.read_text().replace("wb.desk()", "wb.desk()  # mine"))
    assert folder.own_notebook() == path
    assert "# mine" in path.read_text()
    assert "notebooks/my-desk.ipynb" in (ROOT / ".gitignore").read_text().splitlines()


def test_without_a_clone_the_folder_is_at_home(tmp_path, monkeypatch):
    monkeypatch.setattr(Path, "home", lambda: tmp_path)
    monkeypatch.setattr(folder, "clone_root", lambda: None)
    path = folder.own_notebook()
    assert path == tmp_path / "print-planning" / "my-desk.ipynb"
    assert json.loads(path.read_text("utf-8")) == folder.desk_notebook()
    assert folder.default_folder(ROOT) == ROOT / "notebooks"


def test_only_widgets_of_an_earlier_session_are_dropped(tmp_path):
    notebook = folder.desk_notebook()
    text = {"output_type": "stream", "name": "stdout", "text": ["kept: 20 × 30 cm\n"]}
    widget = {
        "output_type": "display_data",
        "metadata": {},
        "data": {folder.WIDGET_OUTPUT: {"model_id": "gone"}, "text/plain": ["VBox()"]},
    }
    notebook["cells"][0]["outputs"] = [text, widget]
    path = tmp_path / "mine.ipynb"
    path.write_text(json.dumps(notebook), encoding="utf-8")
    folder.own_notebook(str(path))
    after = json.loads(path.read_text("utf-8"))
    assert after["cells"][0].pop("outputs") == [text]
    assert notebook["cells"][0].pop("outputs")
    assert after == notebook


@pytest.mark.parametrize(
    "content",
    [
        "",
        "not json",
        "[]",
        '{"cells": 3}',
        '{"cells": [1]}',
        pytest.param("[" * 100_000, id="deep"),
    ],
)
def test_file_that_is_no_notebook_is_left_alone(tmp_path, content):
    path = tmp_path / "mine.ipynb"
    path.write_text(content)
    assert folder.own_notebook(str(path)) == path
    assert path.read_text() == content


@pytest.mark.parametrize("name", ["picture.tif", "folder.ipynb", "picture.tif/mine.ipynb"])
def test_place_that_cannot_hold_a_notebook(tmp_path, name):
    (tmp_path / "picture.tif").write_bytes(b"any")
    (tmp_path / "folder.ipynb").mkdir()
    with pytest.raises(UsageError):
        folder.own_notebook(str(tmp_path / name))
    assert (tmp_path / "picture.tif").read_bytes() == b"any"


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="needs pipes")
def test_a_notebook_that_is_a_pipe_is_not_waited_for(tmp_path):
    os.mkfifo(tmp_path / "mine.ipynb")
    (tmp_path / "loop.ipynb").symlink_to(tmp_path / "loop.ipynb")
    for name in ("mine.ipynb", "loop.ipynb"):
        with pytest.raises(UsageError, match="--notebook FILE"):
            folder.own_notebook(str(tmp_path / name))


# --- the server


def options_of(**changes):
    arguments = {"token": "secret", "open_browser": False, "port": 9000} | changes
    lines = server.server_options(Path("/some where/my desk.ipynb"), **arguments)
    return dict(line.removeprefix("--").split("=", 1) for line in lines)


def test_server_is_bound_to_this_machine_and_keeps_a_token():
    options = options_of()
    assert options["ServerApp.ip"] == "127.0.0.1"
    assert options["IdentityProvider.token"] == "secret"
    assert options["ServerApp.root_dir"] == str(Path("/some where"))
    assert options["ServerApp.port"] == "9000"
    page = ast.literal_eval(options["ServerApp.tornado_settings"])["page_config_data"]
    assert page["workbenchDesk"] == "my desk.ipynb"
    assert page["workbenchCell"] == DESK_CELL


def test_modules_and_configuration_of_the_folder_at_hand_are_not_run(tmp_path):
    marks = tmp_path / "ran"
    for name in ("argparse.py", "json.py", "jupyter_lab_config.py", "workbench_helper.py"):
        (tmp_path / name).write_text(f"open({str(marks)!r}, 'a').write({name!r})\n")
    done = subprocess.run(
        [sys.executable, "-m", "workbench", "run", "no-such-plan.toml", "--to", "out"],
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
    )
    assert done.returncode != 0 and "no-such-plan.toml" in done.stderr
    assert not marks.exists()


def test_person_s_own_browser_setting_is_left_alone():
    assert "ServerApp.open_browser" not in options_of(open_browser=True)
    assert options_of()["ServerApp.open_browser"] == "False"
    assert "ServerApp.port" not in options_of(port=None)


def test_every_option_is_one_that_jupyter_knows():
    """An option that Jupyter renames would be dropped with no more than a warning."""
    from jupyter_server.auth.identity import IdentityProvider
    from jupyter_server.serverapp import ServerApp
    from jupyter_server.services.kernels.kernelmanager import MappingKernelManager
    from jupyterlab.labapp import LabApp

    classes = [IdentityProvider, ServerApp, MappingKernelManager, LabApp]
    known = {c.__name__: c.class_traits(config=True) for c in classes}
    later = {"MappingKernelManager.transport_encryption"}  # older Jupyters have no encryption
    for option in set(options_of()) - later:
        owner, trait = option.split(".")
        assert trait in known[owner], option


def test_address_is_whole():
    address = server.page_address(Path("/x/my desk.ipynb"), 8888, "secret")
    assert address == ("http://127.0.0.1:8888/lab/tree/my%20desk.ipynb?token=secret")
    for opens in (True, False):
        assert f"\n    {address}\n" in server.announcement(address, opens)


def test_taken_port_is_told():
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        port = other.getsockname()[1]
        with pytest.raises(LaunchError, match=f"Port {port} cannot be used"):
            server.require_free(port)
    server.require_free(port)


def test_kernels_find_this_package_first(monkeypatch):
    monkeypatch.setenv("PYTHONPATH", "/elsewhere")
    monkeypatch.setenv("JUPYTER_PREFER_ENV_PATH", "0")
    server.prepare_kernels()
    assert os.environ["PYTHONPATH"] == os.pathsep.join([str(ROOT), "/elsewhere"])
    assert os.environ["JUPYTER_PREFER_ENV_PATH"] == "1"


def test_websocket_sends_small_messages_at_once(monkeypatch):
    """On a real socket: Nagle's algorithm (RFC 896) is off once the kernel's websocket is open."""
    from tornado.httpserver import HTTPServer
    from tornado.netutil import bind_sockets
    from tornado.web import Application
    from tornado.websocket import WebSocketHandler, websocket_connect

    from workbench.launch.websocket import PromptWebsocketConnection

    assert options_of()["ServerApp.kernel_websocket_connection_class"] == (
        f"{PromptWebsocketConnection.__module__}.{PromptWebsocketConnection.__qualname__}"
    )
    connected, nodelay = [], []
    base = PromptWebsocketConnection.__mro__[1]
    monkeypatch.setattr(base, "connect", lambda self: connected.append(self))

    class Connection(PromptWebsocketConnection):
        websocket_handler = None  # takes any handler, not only one of a whole Jupyter server

    class Handler(WebSocketHandler):
        def open(self):
            connection = Connection()
            connection.websocket_handler = self
            connection.connect()
            wire = self.ws_connection.stream.socket
            nodelay.append(wire.getsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY))

    async def converse():
        (listener,) = bind_sockets(0, "127.0.0.1")
        web = HTTPServer(Application([("/", Handler)]))
        web.add_socket(listener)
        client = await websocket_connect(f"ws://127.0.0.1:{listener.getsockname()[1]}/")
        client.close()
        web.stop()

    asyncio.run(converse())
    assert len(connected) == 1  # Jupyter's own part is still done
    assert [bool(value) for value in nodelay] == [True]


def test_lab_extension_is_found_by_jupyter():
    from jupyterlab_server.config import get_federated_extensions

    path = options_of()["LabApp.extra_labextensions_path"]
    (found,) = get_federated_extensions([path]).values()
    build = found["jupyterlab"]["_build"]
    assert Path(found["ext_path"]) == EXTENSION
    script = (EXTENSION / build["load"]).read_text("utf-8")
    assert f"const NAME = '{found['name']}'" in script
    assert "static" not in build["load"].split("/")  # browsers keep that for ever


# --- the tests' own command


def test_tests_are_run_whole_with_coverage_or_as_asked(monkeypatch):
    ran = []
    monkeypatch.setattr(testing, "find_chromium", lambda: "/usr/bin/chromium")
    monkeypatch.setattr(
        testing.subprocess, "call", lambda command, **how: ran.append((command, how["cwd"])) or 3
    )
    assert testing.run_tests([]) == 3
    assert testing.run_tests(["--coverage"]) == 3
    assert testing.run_tests(["tests/colour", "-x"]) == 3
    pytest_command = [sys.executable, "-m", "pytest"]
    spread = ["--numprocesses=auto", "--maxprocesses=8", "--dist=loadfile"]
    coverage = ["--cov=workbench", "--cov-report=term"]
    assert ran == [
        ([*pytest_command, *spread, "-m", "not long"], ROOT),
        ([*pytest_command, *spread, "-m", "not long", *coverage], ROOT),
        ([*pytest_command, "tests/colour", "-x"], ROOT),
    ]


def test_browser_is_fetched_only_where_there_is_none(monkeypatch, capsys):
    ran = []
    monkeypatch.setattr(testing.subprocess, "call", lambda command, **_: ran.append(command) or 1)
    monkeypatch.setattr(testing, "find_chromium", lambda: "/usr/bin/chromium")
    testing.ensure_browser()
    assert ran == []
    monkeypatch.setattr(testing, "find_chromium", lambda: None)
    testing.ensure_browser()
    assert ran == [[sys.executable, "-m", "playwright", "install", "chromium"]]
    assert "once" in capsys.readouterr().out


def test_chromium_on_the_path_is_found(tmp_path, monkeypatch):
    name = "google-chrome" + (".exe" if os.name == "nt" else "")
    (tmp_path / name).touch()
    (tmp_path / name).chmod(0o755)
    monkeypatch.setenv("PATH", str(tmp_path))
    assert Path(testing.find_chromium()).name.lower() == name


def test_fetched_chromium_is_found_and_its_absence_too(tmp_path, monkeypatch):
    monkeypatch.setenv("PATH", str(tmp_path))
    monkeypatch.setattr(testing, "_ELSEWHERE", ())
    monkeypatch.setenv("PLAYWRIGHT_BROWSERS_PATH", str(tmp_path / "fetched"))
    assert testing.find_chromium() is None
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        place = Path(playwright.chromium.executable_path)
    assert place.is_relative_to(tmp_path)
    place.parent.mkdir(parents=True)
    place.touch()
    assert testing.find_chromium() == str(place)


def test_tests_need_a_clone(monkeypatch):
    monkeypatch.setattr(testing, "clone_root", lambda: None)
    with pytest.raises(LaunchError, match="clone"):
        testing.run_tests([])


# --- the kernel, started beforehand


def test_a_kernel_gets_ready_without_running_what_lies_in_its_folder(tmp_path):
    for name in ("numpy", "workbench", "ipywidgets"):
        (tmp_path / f"{name}.py").write_text("print('run:', __name__)\n")
    code = (
        f"import sys; sys.path.append({str(ROOT)!r}); sys.path.insert(0, ''); before = sys.path[:]\n"
        f"exec({server.WARM!r})\n"
        "from ipywidgets.widgets.widget import _instances\n"
        "assert sys.path == before, sys.path\n"
        "print('workbench.launch.warm' in sys.modules, len(_instances))\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=tmp_path, capture_output=True, text=True, timeout=120
    )
    # no widgets either: a page takes those for a desk that is there already
    assert done.stdout == "True 0\n", done.stdout + done.stderr


def begun(notebook):
    """The sessions that are made for a notebook, and what their kernels are told."""
    made, told = [], []

    async def create_session(**asked):
        made.append(asked)
        return {"kernel": {"id": "k"}}

    async def yes():
        return True

    client = SimpleNamespace(
        start_channels=lambda **which: None,
        execute=lambda code, **how: told.append((code, how)),
        shell_channel=SimpleNamespace(msg_ready=yes),
        stop_channels=lambda: None,
    )
    kernel = SimpleNamespace(client=lambda: client, is_alive=yes)
    fake = SimpleNamespace(
        session_manager=SimpleNamespace(create_session=create_session),
        kernel_manager=SimpleNamespace(get_kernel=lambda id: kernel),
        log=logging.getLogger("test"),
    )
    asyncio.run(server.begin_kernel(fake, notebook))
    return made, told


def test_the_notebooks_own_kernel_is_begun_for_its_path(tmp_path):
    notebook = folder.own_notebook(str(tmp_path / "mine.ipynb"))
    ((session,), ((code, how),)) = begun(notebook)
    assert (session["path"], session["kernel_name"]) == ("mine.ipynb", "python3")
    assert code == server.WARM and how["silent"]


# a process of its own: Jupyter's server changes how widgets talk in the one that it is loaded in
BEGIN_WHERE_A_PORT_IS_TAKEN = """
import asyncio, logging, socket, sys
from pathlib import Path
from types import SimpleNamespace
from jupyter_client.connect import LocalPortCache
from jupyter_server.services.contents.largefilemanager import AsyncLargeFileManager
from jupyter_server.services.kernels.kernelmanager import AsyncMappingKernelManager
from jupyter_server.services.sessions.sessionmanager import SessionManager
from workbench.launch import server

async def begin(notebook):
    here = {"root_dir": str(notebook.parent)}
    kernels = AsyncMappingKernelManager(connection_dir=str(notebook.parent), **here)
    sessions = SessionManager(kernel_manager=kernels, contents_manager=AsyncLargeFileManager(**here))
    log = logging.getLogger()
    await server.begin_kernel(
        SimpleNamespace(session_manager=sessions, kernel_manager=kernels, log=log), notebook)
    for each in await sessions.list_sessions():
        client = kernels.get_kernel(each["kernel"]["id"]).client()
        client.start_channels()
        await client.wait_for_ready(timeout=60)
        client.stop_channels()
        print("answers")
    await kernels.shutdown_all(now=True)

free = LocalPortCache.find_available_port
with socket.create_server((server.ADDRESS, 0)) as taken:
    ports = [taken.getsockname()[1]]
    LocalPortCache.find_available_port = lambda *of: ports.pop() if ports else free(*of)
    asyncio.run(begin(Path(sys.argv[1])))
print(len(ports), "left")
"""


def test_where_a_port_was_taken_meanwhile_another_kernel_is_begun(tmp_path):
    notebook = folder.own_notebook(str(tmp_path / "mine.ipynb"))
    done = subprocess.run(
        [sys.executable, "-c", BEGIN_WHERE_A_PORT_IS_TAKEN, str(notebook)],
        cwd=ROOT,
        # this environment's kernel, not one of the same name that somebody installed for all
        env={**os.environ, "JUPYTER_PREFER_ENV_PATH": "1", "JUPYTER_RUNTIME_DIR": str(tmp_path)},
        capture_output=True,
        text=True,
        timeout=120,
    )
    assert done.stdout == "answers\n0 left\n", done.stdout + done.stderr


def test_no_kernel_is_begun_for_another_language_or_a_broken_notebook(tmp_path):
    notebook = folder.own_notebook(str(tmp_path / "mine.ipynb"))
    notebook.write_text(notebook.read_text().replace("python3", "another"))
    assert begun(notebook) == ([], [])
    notebook.write_text("[" * 100_000)
    assert begun(notebook) == ([], [])


def test_what_is_presented_is_a_notebook_or_a_panel(tmp_path):
    notebook = tmp_path / "own.ipynb"
    notebook.write_text("{}")
    with as_notebook(str(notebook)) as path:
        assert path == notebook
    with as_notebook("gamut") as made:
        nbformat.validate(nbformat.read(made, as_version=4))
        assert "wb.gamut_panel(" in made.read_text("utf-8")
    assert not made.exists()
    with pytest.raises(UsageError, match="no notebook"), as_notebook(str(tmp_path / "x.ipynb")):
        pass


def test_presenting_asks_nobody_outside_and_keeps_the_token():
    options = server.server_options(
        Path("/x/my lecture.ipynb"), token="secret", open_browser=True, port=None, present=True
    )
    told = " ".join(options)
    assert "/voila/render/my%20lecture.ipynb" in told and "127.0.0.1" in told and "secret" in told
    (policy,) = re.findall(r"'Content-Security-Policy': \"([^\"]*)\"", told)
    assert "default-src 'self'" in policy and "http" not in policy


def test_without_the_app_presenting_says_what_to_install(monkeypatch):
    monkeypatch.setattr("workbench.launch.presenting.ensure_packages", lambda *extras: None)
    monkeypatch.setattr("workbench.launch.presenting.find_spec", lambda name: None)
    with pytest.raises(LaunchError, match=r"pip install '[\w-]+\[present\]'"):
        require_app()


def test_a_handout_is_made_by_the_command(tmp_path, monkeypatch, capsys):
    monkeypatch.setattr("workbench.launch.bootstrap.ensure_packages", lambda *extras: None)
    notebook = tmp_path / "why.ipynb"
    words = {"cell_type": "markdown", "source": "# Why?", "outputs": ["saved with its results"]}
    notebook.write_text(json.dumps({"cells": [words]}))
    for name in ("why.pdf", "why.html"):
        command = ["handout", str(notebook), "--to", str(tmp_path / name)]
        assert main(command) == 0
        assert (tmp_path / name).stat().st_size > 200
        assert main(command) != 0  # what is there stays
    assert "Traceback" not in capsys.readouterr().err
