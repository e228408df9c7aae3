"""Every writer on a full disk, in a folder that is gone, and without the right: a sentence, nothing half."""

import errno
import os
import random
import shutil
import subprocess
import sys
import time
from pathlib import Path

import pytest

import workbench
from workbench.analysis.compare import compare
from workbench.demo import demo_papers, demo_picture
from workbench.errors import OutputError, WorkbenchError
from workbench.files import place, save_new, write_whole
from workbench.library import add_entry, open_shelf
from workbench.output.compare_file import comparison_csv
from workbench.output.print_file import write_print_file
from workbench.output.proof_file import write_proof
from workbench.panels.screen.sheet import write_check_sheet
from workbench.plan import Plan
from workbench.plan_file import save_plan
from workbench.record import PrintNote, Record
from workbench.run import run_plan, write_job_sheet


@pytest.fixture(scope="module")
def plan():
    paper = demo_papers()[0]
    return Plan(picture=demo_picture(), paper=paper, papers=(paper,), long_side_mm=40.0,
                size_from="size", printer_ppi=72.0)  # fmt: skip


def new_record(folder) -> Record:
    return Record(folder / "prints.sqlite")


WRITERS = {
    "print file": lambda plan, at: write_print_file(plan, at / "print.tif"),
    "proof": lambda plan, at: write_proof(plan.picture, plan.paper, at / "proof.png"),
    "plan": lambda plan, at: save_plan(plan, at / "plan.toml"),
    "job sheet": lambda plan, at: write_job_sheet(plan, at),
    "run": lambda plan, at: run_plan(plan, at),
    "table": lambda plan, at: save_new(
        at, "table", ".csv", comparison_csv(compare(plan.picture, plan.papers)).encode()
    ),
    "profile": lambda plan, at: place(plan.paper.profile, at, "profile.icc"),
    "shelf": lambda plan, at: add_entry(open_shelf(at), plan.paper),
    "check sheet": lambda plan, at: write_check_sheet(at, (95, 0, 0)),
    "record": lambda plan, at: new_record(at).add(PrintNote(picture_name="a")),
    "record's table": lambda plan, at: new_record(at).save_csv(at),
}
# a folder that is not there is made by these
MAKERS = {"run", "shelf", "profile", "record"}


def left_in(folder: Path) -> set[str]:
    """What lies in a folder, but for locks and folders made."""
    return {
        each.relative_to(folder).as_posix()
        for each in folder.rglob("*")
        if each.is_file() and each.name != ".workbench.lock"
    }


@pytest.mark.parametrize("code", [errno.ENOSPC, errno.EIO, errno.EROFS, errno.EDQUOT])
@pytest.mark.parametrize("writer", [each for each in WRITERS if each != "record"])
def test_a_disk_that_refuses_leaves_nothing_half_done(writer, code, plan, tmp_path, monkeypatch):
    (tmp_path / "keep.txt").write_text("keep")

    def refuses(handle):
        raise OSError(code, os.strerror(code))

    monkeypatch.setattr(os, "fsync", refuses)
    with pytest.raises(WorkbenchError) as caught:
        WRITERS[writer](plan, tmp_path)
    said = str(caught.value)
    assert said.rstrip().endswith(".") and "Errno" not in said
    assert left_in(tmp_path) == {"keep.txt"}


@pytest.mark.parametrize("writer", [each for each in WRITERS if each not in MAKERS])
def test_a_folder_that_is_gone_is_told(writer, plan, tmp_path):
    with pytest.raises(WorkbenchError) as caught:
        WRITERS[writer](plan, tmp_path / "gone")
    assert str(caught.value).rstrip().endswith(".")
    assert not (tmp_path / "gone").exists()


@pytest.mark.parametrize("writer", WRITERS)
def test_a_file_in_the_folders_place_is_told(writer, plan, tmp_path):
    (tmp_path / "file").write_text("keep")
    with pytest.raises(WorkbenchError) as caught:
        WRITERS[writer](plan, tmp_path / "file")
    assert str(caught.value).rstrip().endswith(".")
    assert (tmp_path / "file").read_text() == "keep" and left_in(tmp_path) == {"file"}


def test_a_folder_that_vanishes_while_it_is_written_in(tmp_path, monkeypatch):
    folder = tmp_path / "folder"
    folder.mkdir()
    real = os.fsync

    def vanishing(handle):
        shutil.rmtree(folder, ignore_errors=True)
        real(handle)

    monkeypatch.setattr(os, "fsync", vanishing)
    with pytest.raises(OutputError):
        write_whole(folder / "a.txt", b"data")
    assert not folder.exists()


def test_a_file_of_ones_own_keeps_its_rights_and_a_read_only_one_is_refused(tmp_path, monkeypatch):
    path = tmp_path / "a.txt"
    path.write_bytes(b"old")
    path.chmod(0o640)
    write_whole(path, b"new", overwrite=True)
    assert path.read_bytes() == b"new" and path.stat().st_mode & 0o777 == 0o640
    # whoever runs the tests may be allowed to write everything
    monkeypatch.setattr(os, "access", lambda path, mode: False)
    with pytest.raises(OutputError, match="permission to write"):
        write_whole(path, b"newer", overwrite=True)
    assert path.read_bytes() == b"new" and left_in(tmp_path) == {"a.txt"}


WRITING = """
import sys
from pathlib import Path
from workbench.files import write_whole
path, size = Path(sys.argv[1]), int(sys.argv[2])
print("ready", flush=True)
for letter in "ab" * 100_000:
    write_whole(path, letter.encode() * size, overwrite=True)
"""


def test_killed_at_any_moment_the_file_is_one_of_the_two(tmp_path):
    size, path = 300_000, tmp_path / "file"
    for number in range(6):
        process = subprocess.Popen(
            [sys.executable, "-c", WRITING, str(path), str(size)],
            stdout=subprocess.PIPE,
            env={**os.environ, "PYTHONPATH": str(Path(workbench.__file__).parent.parent)},
        )
        process.stdout.readline()
        time.sleep(0.05 + 0.013 * number)
        process.kill()
        process.communicate()
        data = path.read_bytes()
        assert len(data) == size and set(data) in ({97}, {98})


RUNNING = """
import sys
from workbench.run import run_plan
print("ready", flush=True)
run_plan(sys.argv[1], sys.argv[2])
print("done", flush=True)
"""
KILLS = max(1, int(os.environ.get("WORKBENCH_ATTACKS", "60")) // 60)


def test_killed_while_it_writes_a_run_leaves_whole_files_only(plan, tmp_path):
    """As when a kernel is ended: what has its name is whole, and the next run goes through."""
    own = tmp_path / "own"
    own.mkdir()
    save_plan(plan, own / "plan.toml")
    before = {path.name: path.read_bytes() for path in own.iterdir()}
    command = [sys.executable, "-c", RUNNING, str(own / "plan.toml")]
    environment = {**os.environ, "PYTHONPATH": str(Path(workbench.__file__).parent.parent)}

    def start(folder):
        folder.mkdir(exist_ok=True)
        process = subprocess.Popen(
            [*command, str(folder)], stdout=subprocess.PIPE, text=True, env=environment
        )
        assert process.stdout.readline() == "ready\n"
        return process, time.monotonic()

    whole = tmp_path / "whole"
    process, begin = start(whole)
    assert process.communicate()[0] == "done\n"
    took = time.monotonic() - begin
    expected = {path.name: path.stat().st_size for path in whole.iterdir()}
    assert any(name.endswith(".tif") for name in expected)
    chance = random.Random("killed")
    for number in range(KILLS):
        folder = tmp_path / f"killed {number}"
        process, _ = start(folder)
        # most of the files are written towards the end
        time.sleep(took * chance.uniform(0.4, 1.0))
        process.kill()
        process.communicate()
        for path in folder.iterdir():
            if path.name in expected:
                if path.suffix == ".tif":
                    assert path.read_bytes() == (whole / path.name).read_bytes()
                assert path.stat().st_size > 0.9 * expected[path.name]
            else:
                assert path.name.startswith(".")
    assert {path.name: path.read_bytes() for path in own.iterdir()} == before
    run_plan(own / "plan.toml", folder, overwrite=True)
    assert {path.name for path in folder.iterdir() if path.name[0] != "."} == set(expected)
