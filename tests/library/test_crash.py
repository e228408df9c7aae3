"""A process that dies while it writes, and two processes that write at once."""

import os
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest
from library.makers import VERSION_LINE, entry, put_profile, put_shelf

from workbench.library import edit_entry, open_shelf, remove_entry
from workbench.library.edits import FORMER_NAME, REMOVED_NAME

ROOT = Path(__file__).parents[2]
HAND_MADE = "# mine\n" + VERSION_LINE + entry("First", "# a\n") + entry("Second", "# b\n")

# the system's call at which the process is killed, without a chance to tidy up
KILLED = """
import os, signal, sys
from workbench.library import edit_entry, open_shelf, remove_entry
folder, call, count, act = sys.argv[1:]
left, real = [int(count)], getattr(os, call)
def deadly(*args, **more):
    left[0] -= 1
    if left[0] < 0:
        os.kill(os.getpid(), signal.SIGKILL)
    return real(*args, **more)
shelf = open_shelf(folder)
setattr(os, call, deadly)
if act == "edit":
    edit_entry(shelf, "First", base="cotton", notes="x" * 5000)
else:
    remove_entry(shelf, "First")
print("done")
"""


def run(code, *args):
    return subprocess.Popen(
        [sys.executable, "-c", code, *map(str, args)],
        cwd=ROOT,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )


@pytest.mark.parametrize(
    "act, call, count",
    [
        ("edit", "fsync", 0),
        ("edit", "replace", 0),
        ("edit", "replace", 1),
        ("edit", "fsync", 2),
        ("remove", "replace", 0),
        ("remove", "replace", 2),
    ],
)
def test_killed_between_write_and_rename(tmp_path, act, call, count):
    put_profile(tmp_path)
    put_shelf(tmp_path, HAND_MADE)
    process = run(KILLED, tmp_path, call, count, act)
    out, error = process.communicate(timeout=60)
    assert process.returncode == -9 and out == "", error
    # the file is the old one, whole
    assert (tmp_path / "shelf.toml").read_text() == HAND_MADE
    former = tmp_path / FORMER_NAME
    assert not former.exists() or former.read_text() == HAND_MADE
    shelf = open_shelf(tmp_path)
    assert [each.name for each in shelf.papers()] == ["First", "Second"] and not shelf.problems
    if act == "remove" and count == 2:
        # the removed entry was put by first
        assert tomllib.loads((tmp_path / REMOVED_NAME).read_text())["paper"][0]["name"] == "First"
    (left,) = tmp_path.glob(".*.unfinished")
    # as after a minute: a younger one may be at work
    os.utime(left, (0, 0))
    # the next change goes through at once, the dead writer's lock and leftovers are gone
    if act == "edit":
        assert edit_entry(shelf, "First", base="canvas").entry("First").base == "canvas"
    else:
        assert [each.name for each in remove_entry(shelf, "First").entries] == ["Second"]
    assert not list(tmp_path.glob(".*.unfinished"))


def test_killed_after_the_rename_is_the_new_file(tmp_path):
    put_profile(tmp_path)
    put_shelf(tmp_path, HAND_MADE)
    # file, folder, file, then the folder of the file that has its name already
    process = run(KILLED, tmp_path, "fsync", 3, "edit")
    process.communicate(timeout=60)
    assert process.returncode == -9
    assert open_shelf(tmp_path).entry("First").base == "cotton"
    assert (tmp_path / FORMER_NAME).read_text() == HAND_MADE


WRITER = """
import sys
from workbench.library import add_entry, edit_entry, open_shelf
folder, who = sys.argv[1:]
shelf = open_shelf(folder)
for number in range(20):
    shelf = add_entry(shelf, folder + "/paper.icc", f"{who} {number}")
    shelf = edit_entry(shelf, f"{who} {number}", notes="mine")
"""


def test_two_processes_lose_nothing_of_each_other(tmp_path):
    put_profile(tmp_path)
    put_shelf(tmp_path, "# mine\n" + VERSION_LINE)
    both = [run(WRITER, tmp_path, who) for who in ("left", "right")]
    for process in both:
        _, error = process.communicate(timeout=120)
        assert process.returncode == 0, error
    shelf = open_shelf(tmp_path)
    assert sorted(each.name for each in shelf.entries) == sorted(
        f"{who} {number}" for who in ("left", "right") for number in range(20)
    )
    assert {each.notes for each in shelf.entries} == {"mine"} and shelf.problems == ()
    assert (tmp_path / "shelf.toml").read_text().startswith("# mine\n")
