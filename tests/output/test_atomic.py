"""Whole or not at all: kills, full disks, missing rights, and the original's safety."""

from __future__ import annotations

import errno
import hashlib
import os
import random
import shutil
import signal
import time

import pytest
from output.makers import job, scene

from workbench.errors import OutputError
from workbench.files import writing as atomic
from workbench.output.print_file import write_print_file


def leftovers(folder):
    return [p for p in folder.iterdir() if p.name.endswith(".unfinished")]


@pytest.mark.slow
@pytest.mark.parametrize(("suffix", "kills"), [("tif", 30), ("png", 20), ("jpg", 20)])
def test_killed_at_any_moment_it_never_leaves_a_half_file(tmp_path, suffix, kills):
    """Kill each writer, 200 times in all; the target is absent, the old file, or the new one."""
    target, old = tmp_path / f"print.{suffix}", b"the old file"
    work = job(scene(180, 120), width_mm=90, converts="driver", sharpening=0.5)
    write_print_file(work, target)
    new = hashlib.sha256(target.read_bytes()).digest()
    start = time.perf_counter()
    write_print_file(work, target, overwrite=True)
    took = time.perf_counter() - start
    moments = random.Random(11)
    seen = {"absent": 0, "old": 0, "new": 0}
    half = 0
    for round_number in range(kills):
        target.unlink(missing_ok=True)
        if round_number % 2:
            target.write_bytes(old)
        child = os.fork()
        if child == 0:
            try:
                write_print_file(work, target, overwrite=True)
            finally:
                os._exit(0)
        if round_number % 4 < 2:
            time.sleep(moments.uniform(0, min(1.5 * took, 0.3)))
        else:
            # half of the kills surely fall between the first byte and the last
            give_up = time.perf_counter() + 10
            while not (leftovers(tmp_path) or _ended(child)) and time.perf_counter() < give_up:
                time.sleep(0.0005)
            time.sleep(moments.uniform(0, min(0.6 * took, 0.1)))
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        half += len(leftovers(tmp_path)) > 0
        for path in leftovers(tmp_path):
            path.unlink()
        if not target.exists():
            seen["absent"] += 1
            assert round_number % 2 == 0
        elif target.read_bytes() == old:
            seen["old"] += 1
            assert round_number % 2 == 1
        else:
            seen["new"] += 1
            assert hashlib.sha256(target.read_bytes()).digest() == new
    # the kills did fall into the writing
    assert half >= kills // 8, (half, seen)
    assert seen["absent"] and seen["old"]


def _ended(child: int) -> bool:
    """Whether a child has ended, without taking its place in the table of processes."""
    return os.waitid(os.P_PID, child, os.WEXITED | os.WNOHANG | os.WNOWAIT) is not None


def test_what_a_killed_writer_left_is_removed_next_time(tmp_path):
    target = tmp_path / "print.tif"
    old = tmp_path / ".print.tif.0123456789ab.unfinished"
    young = tmp_path / ".print.tif.ba9876543210.unfinished"
    other = tmp_path / ".another.tif.0123456789ab.unfinished"
    held = tmp_path / ".print.tif.00000000000f.unfinished"
    for path in (old, young, other, held):
        path.write_bytes(b"half")
    for path in (old, other, held):
        os.utime(path, (time.time() - 3600,) * 2)
    import fcntl

    with open(held, "rb") as stream:
        # somebody still writes that one
        fcntl.flock(stream, fcntl.LOCK_EX)
        write_print_file(job(), target)
    assert target.exists() and not old.exists()
    assert young.exists() and other.exists() and held.exists()


def test_a_failing_writer_leaves_nothing(tmp_path):
    target = tmp_path / "a.bin"
    with pytest.raises(RuntimeError), atomic.written_whole(target) as unfinished:
        unfinished.stream.write(b"half")
        raise RuntimeError
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("number", "words"),
    [
        (errno.ENOSPC, "disk is full"),
        (errno.EDQUOT, "disk is full"),
        (errno.EACCES, "permission to write"),
        (errno.EROFS, "permission to write"),
        (errno.EFBIG, "too large"),
        (errno.EIO, "nothing was left half done"),
    ],
)
def test_trouble_of_the_disk_is_told_in_words(tmp_path, monkeypatch, number, words):
    target = tmp_path / "print.tif"
    target.write_bytes(b"old")

    def fail(_handle):
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr(os, "fsync", fail)
    with pytest.raises(OutputError, match=words):
        write_print_file(job(), target, overwrite=True)
    assert target.read_bytes() == b"old"
    assert list(tmp_path.iterdir()) == [target]


def test_a_disk_without_room_is_found_out_before_the_work(tmp_path, monkeypatch):
    usage = shutil._ntuple_diskusage(10**9, 10**9 - 1000, 1000)
    monkeypatch.setattr(shutil, "disk_usage", lambda _path: usage)
    asked = []
    with pytest.raises(OutputError, match="MB free; make room"):
        write_print_file(job(), tmp_path / "print.tif", progress=asked.append)
    assert asked == [] and list(tmp_path.iterdir()) == []


def test_the_file_system_s_own_limit_leaves_nothing(tmp_path):
    """A real refusal in the middle of writing: the process may write 200 kB a file."""
    child = os.fork()
    if child == 0:
        import resource

        code = 1
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (200_000, 200_000))
        try:
            write_print_file(job(scene(300, 200)), tmp_path / "print.tif")
        except OutputError as problem:
            code = 0 if "too large for this disk" in str(problem) else 2
        finally:
            os._exit(code)
    _, status = os.waitpid(child, 0)
    assert os.waitstatus_to_exitcode(status) == 0
    assert list(tmp_path.iterdir()) == []


def test_existing_files_are_kept_unless_allowed(tmp_path):
    target = tmp_path / "print.tif"
    target.write_bytes(b"old")
    with pytest.raises(OutputError, match="already"):
        write_print_file(job(), target)
    assert target.read_bytes() == b"old"
    written = write_print_file(job(), target, overwrite=True)
    assert target.stat().st_size == written.size_bytes > 1000


def test_a_name_taken_meanwhile_is_respected(tmp_path):
    target = tmp_path / "print.tif"

    def someone_else(done):
        if done and not target.exists():
            target.write_bytes(b"another program's")

    with pytest.raises(OutputError, match="appeared meanwhile"):
        write_print_file(job(), target, progress=someone_else)
    assert target.read_bytes() == b"another program's"
    assert leftovers(tmp_path) == []


@pytest.mark.parametrize("taken", [False, True])
def test_disks_without_links_will_do(tmp_path, monkeypatch, taken):
    target = tmp_path / "a.bin"

    def refuse(*_):
        raise OSError(errno.EPERM, "no links here")

    monkeypatch.setattr(os, "link", refuse)

    def write():
        with atomic.written_whole(target) as unfinished:
            unfinished.stream.write(b"whole")
            if taken:
                target.write_bytes(b"another's")

    if taken:
        with pytest.raises(OutputError, match="appeared meanwhile"):
            write()
    else:
        write()
    assert target.read_bytes() == (b"another's" if taken else b"whole")
    assert list(tmp_path.iterdir()) == [target]


@pytest.mark.parametrize("way", ["itself", "link", "hard link", "roundabout"])
def test_the_original_is_never_written_over(tmp_path, way):
    import tifffile

    import workbench as wb
    from workbench.colour.spaces import standard_profile

    original = tmp_path / "picture.tif"
    tifffile.imwrite(original, scene(), photometric="rgb", iccprofile=standard_profile("opRGB"))
    before = original.read_bytes()
    target = tmp_path / "other.tif"
    if way == "itself":
        target = original
    elif way == "link":
        target.symlink_to(original)
    elif way == "hard link":
        os.link(original, target)
    else:
        (tmp_path / "sub").mkdir()
        target = tmp_path / "sub" / ".." / "picture.tif"
    work = type(job())(wb.open_picture(original), ppi=100, converts="driver")
    with pytest.raises(OutputError, match="the picture itself"):
        write_print_file(work, target, overwrite=True)
    assert original.read_bytes() == before
    assert leftovers(tmp_path) == []


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("missing/print.tif", "no folder"),
        ("", "is a folder"),
        ("print.xyz", "not a kind of print file"),
        ("print", "not a kind of print file"),
        ("x" * 300 + ".tif", "too long"),
        ("nul\0l.tif", "not a path"),
    ],
)
def test_impossible_targets_are_refused_in_words(tmp_path, name, words):
    with pytest.raises(OutputError, match=words):
        write_print_file(job(), f"{tmp_path}/{name}")
    assert list(tmp_path.iterdir()) == []


def test_a_path_that_is_none_is_refused():
    with pytest.raises(OutputError, match="not a path"):
        write_print_file(job(), None)
