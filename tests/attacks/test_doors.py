"""What is not an ordinary file is refused at every door alike, in a sentence and at once."""

import ast
import os
import re
import signal
import socket
import threading
from contextlib import contextmanager
from pathlib import Path

import pytest

import workbench
from workbench.analysis.viewing import find_display
from workbench.demo import demo_picture
from workbench.errors import FileError, WorkbenchError
from workbench.files import open_regular, read_regular
from workbench.library import add_entry, install_profile, open_shelf, scan_profiles
from workbench.paper import open_paper
from workbench.paper_readings import open_measured_paper
from workbench.picture import open_picture
from workbench.picture.opening import from_pixels
from workbench.plan_file import open_plan, read_plan
from workbench.readings.patches import read_patches
from workbench.record import open_record
from workbench.target.measured import read_measured
from workbench.target.scan import read_scanned_target

pytestmark = pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="needs pipes and devices")
PACKAGE = Path(workbench.__file__).parent
SECONDS = 5


def pipe(folder):
    os.mkfifo(folder / "pipe.icc")
    return folder / "pipe.icc"


def sparse(folder):
    with (folder / "sparse.icc").open("wb") as file:
        file.truncate(2**40)
    return folder / "sparse.icc"


def loop(folder):
    (folder / "loop.icc").symlink_to(folder / "loop.icc")
    return folder / "loop.icc"


def listener(folder):
    here = os.open(folder, os.O_RDONLY)
    with socket.socket(socket.AF_UNIX) as each:
        # such names are limited in length
        each.bind(f"/proc/self/fd/{here}/s.icc")
    os.close(here)
    return folder / "s.icc"


def link_to(target):
    def made(folder):
        (folder / "link.icc").symlink_to(target)
        return folder / "link.icc"

    return made


TARGETS = {
    "pipe": pipe,
    "sparse": sparse,
    "loop": loop,
    "socket": listener,
    "folder": lambda folder: folder,
    "nothing": lambda folder: folder / "nothing.icc",
    "half a letter": lambda folder: f"{folder}/\ud800.icc",
    "zero byte": lambda folder: f"{folder}/a\0b.icc",
    "too long": lambda folder: f"{folder}/{'x' * 5000}.icc",
    **{f"link to {name}": link_to(name) for name in ("/dev/zero", "/proc/kmsg", "/proc/self/mem")},
    **{
        name: lambda folder, name=name: name
        for name in ("/dev/zero", "/dev/random", "/dev/null", "/proc/kmsg", "/proc/self/environ", "/proc/self/mem", "/proc/kcore", "/proc/meminfo", "/sys/kernel/mm/transparent_hugepage/enabled",)
        # not every system has all of them
        if os.path.exists(name)
    },
}  # fmt: skip


def toml(path) -> str:
    text = str(path).replace("\\", "\\\\").replace("\0", "\\u0000")
    return '"' + text.encode(errors="surrogatepass").decode(errors="replace") + '"'


def in_plan(lines):
    def act(path, folder):
        read_plan("workbench_plan = 1\n" + lines.format(toml(path), sha="0" * 64), folder)

    return act


def on_shelf(path, folder):
    (folder / "shelf").mkdir()
    text = f'[[paper]]\nname = "A"\nprofile = {toml(path)}\n'
    (folder / "shelf" / "shelf.toml").write_text(text)
    shelf = open_shelf(folder / "shelf")
    assert not shelf.entries[0].usable and len(shelf.problems) == 1
    raise WorkbenchError(shelf.problems[0].sentence)


def as_shelf(path, folder):
    (folder / "shelf").mkdir()
    os.symlink(path, folder / "shelf" / "shelf.toml")
    open_shelf(folder / "shelf")


def scanned(path, folder):
    report = scan_profiles([path], cache=folder / "cache")
    assert not report.found
    raise WorkbenchError(" ".join(report.problems))


DOORS = {
    "paper": lambda path, folder: open_paper(path),
    "display": lambda path, folder: find_display(Path(path)),
    "readings": lambda path, folder: read_patches(path),
    "measured paper": lambda path, folder: open_measured_paper(path, "A"),
    "record": lambda path, folder: open_record(path).search(),
    "assumed profile": lambda path, folder: PICTURE.assume(path),
    "profile of pixels": lambda path, folder: from_pixels(PICTURE.preview(20), path),
    "picture": lambda path, folder: open_picture(path),
    "scan of a target": lambda path, folder: read_scanned_target(path, None),
    "measured target": lambda path, folder: read_measured(path, None),
    "plan": lambda path, folder: open_plan(path),
    "picture in a plan": in_plan("[picture]\nfile = {}\n"),
    "known picture in a plan": in_plan('[picture]\nfile = {}\nsha256 = "{sha}"\n'),
    "display in a plan": in_plan("[seeing]\ndisplay_profile = {}\n"),
    "paper in a plan": in_plan('[[papers]]\nname = "A"\nprint_on = true\nprofile = {}\n'),
    "known paper in a plan": in_plan(
        '[[papers]]\nname = "A"\nprint_on = true\nprofile = {}\nprofile_sha256 = "{sha}"\n'
    ),
    "profile on a shelf": on_shelf,
    "shelf": as_shelf,
    "profile to install": lambda path, folder: install_profile(path, folder / "installed"),
    "paper for the shelf": lambda path, folder: add_entry(open_shelf(folder / "new"), path),
    "folder to scan": scanned,
}
PICTURE = demo_picture()


@contextmanager
def at_once():
    """A main thread that waits is woken with an error instead of hanging the tests."""

    def woken(number, frame):
        raise AssertionError(f"waited for more than {SECONDS} s")

    assert threading.current_thread() is threading.main_thread()
    former = signal.signal(signal.SIGALRM, woken)
    signal.setitimer(signal.ITIMER_REAL, SECONDS)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0)
        signal.signal(signal.SIGALRM, former)


# a scan looks through folders, links and names a shelf's file cannot have are tried elsewhere
PASSES = {
    ("record", "nothing"), ("folder to scan", "folder"), ("shelf", "half a letter"),
    ("shelf", "zero byte"), ("shelf", "too long"),
}  # fmt: skip


@pytest.mark.parametrize("target", TARGETS)
@pytest.mark.parametrize("door", DOORS)
def test_it_is_refused_in_words(door, target, tmp_path):
    if (door, target) in PASSES:
        return
    path = TARGETS[target](tmp_path)
    with at_once(), pytest.raises(WorkbenchError) as caught:
        DOORS[door](path, tmp_path)
    said = str(caught.value)
    assert said.rstrip().endswith(".") and len(said) < 1500
    assert not re.search(r"Errno|Traceback|surrogate|codec", said)


def test_a_file_that_turns_into_a_pipe_is_not_waited_for(tmp_path, monkeypatch):
    path = tmp_path / "file"
    path.write_bytes(b"good")
    real = os.stat(path)
    path.unlink()
    os.mkfifo(path)
    monkeypatch.setattr(os, "stat", lambda *args, **options: real)
    with at_once(), pytest.raises(FileError, match="device or a pipe"):
        open_regular(path, 100)


def test_a_file_that_grows_gives_no_more_than_it_held(tmp_path, monkeypatch):
    path = tmp_path / "file"
    path.write_bytes(b"good")
    real = os.fstat

    def grown(handle):
        status = real(handle)
        with path.open("ab") as file:
            file.write(bytes(1000))
        return status

    monkeypatch.setattr(os, "fstat", grown)
    assert len(read_regular(path, 10_000)) <= 1004


# where something is opened that no person and no plan named, or that was looked at before
OURS = {
    ("library/cache.py", "read_bytes"): "our own source, for its checksum",
    ("picture/limits.py", "read_text"): "the system's word on free memory",
    ("panels/parts/help_front.py", "read_text"): "our own script and style",
    ("gang/rows.py", "memmap"): "a file of our own without a name",
    ("output/check.py", "TiffFile"): "the print file that was written just now",
    ("picture/tiff.py", "TiffFile"): "a stream that was opened through the door",
    ("record/store.py", "connect"): "SQLite opens by itself, once the path has been looked at",
    ("launch/requirements.py", "open"): "what is installed with the workbench",
    ("launch/folder.py", "read_text"): "what is installed with the workbench",
    ("demo/kept.py", "read_bytes"): "our own source, for its checksum",
    ("language.py", "open"): "our own catalogue",
    ("live/module.py", "read_text"): "our own script",
    ("live/worded.py", "read_text"): "our own script",
    ("panels/finding.py", "read_text"): "our own source, for the words of its controls",
    ("panels/parts/live_view.py", "read_text"): "our own script",
    ("panels/parts/plot_image.py", "read_text"): "our own script",
    ("panels/parts/tab_row.py", "read_text"): "our own script",
    ("takeaway/page.py", "read_text"): "our own script",
    ("lectures/widgets.py", "read_text"): "our own script and style",
    ("lectures/handout.py", "open"): "a picture inside a notebook that came through the door",
    ("surface/raw.py", "imread"): "bytes that came through the door",
    ("demo/kept.py", "load"): "bytes that came through the door",
    ("plan_file/in_progress.py", "open"): "the lock of a folder that this kernel made",
}
OPENING = {
    "read_bytes", "read_text", "fdopen", "FileIO", "fromfile", "imread", "loadtxt", "memmap",
    "TiffFile", "connect", "open", "load", "genfromtxt", "open_code",
}  # fmt: skip
# the same words for other things than files
OTHERS = {"connect": "sqlite3", "load": "np"}


def opens(path: Path):
    """(line, what) of every call that opens a file for reading."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if not isinstance(node, ast.Call):
            continue
        called = node.func
        attribute = isinstance(called, ast.Attribute)
        name = called.attr if attribute else getattr(called, "id", "")
        of = getattr(getattr(called, "value", None), "id", "")
        text = [a.value for a in node.args if isinstance(a, ast.Constant)]
        creates = any(re.fullmatch(r"[xw]\+?b?", str(each)) for each in text)
        known = name in OPENING if attribute else name in ("open", "memmap", "FileIO", "TiffFile")
        if (
            known
            and not creates
            and of in (OTHERS.get(name, of),)
            and of not in ("self", "webbrowser")
        ):
            yield node.lineno, name


def test_no_other_code_opens_a_persons_file():
    found = []
    for path in sorted(PACKAGE.rglob("*.py")):
        if path.parent != PACKAGE / "files":
            place = path.relative_to(PACKAGE).as_posix()
            found += [f"{place}:{n} {what}" for n, what in opens(path) if (place, what) not in OURS]
    assert found == []


def test_the_search_for_openings_finds_them(tmp_path):
    path = tmp_path / "a.py"
    path.write_text("open(p)\nPath(p).read_bytes()\nos.open(p, 0)\nio.FileIO(p)\nopen(p, 'xb')\n")
    assert [line for line, _ in opens(path)] == [1, 2, 3, 4]
