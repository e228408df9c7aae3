"""Folders that hold anything at all: every scan ends with a report."""

import os
import random
import subprocess
import sys
import tempfile
import time
from contextlib import contextmanager
from pathlib import Path

import pytest
from library.makers import paper_profile, put_profile

from workbench import files
from workbench.errors import FileError
from workbench.library import examine as examine_module
from workbench.library import scan_profiles, walk


@pytest.fixture
def place(tmp_path):
    put_profile(tmp_path / "profiles", "good.icc")
    return tmp_path / "profiles"


@pytest.fixture
def scan(tmp_path, place):
    def run(*named, **options):
        return scan_profiles(named or [place], cache=tmp_path / "cache", **options)

    return run


def good(report):
    return [each.path.name for each in report.found if each.facts] == ["good.icc"]


@contextmanager
def someone_without_rights():
    """Root may read everything; for a while, be someone who may not."""
    if os.geteuid() != 0:
        yield
        return
    os.seteuid(65534)
    try:
        yield
    finally:
        os.seteuid(0)


def test_links_in_a_circle(place, scan):
    (place / "a" / "b").mkdir(parents=True)
    (place / "a" / "b" / "up").symlink_to(place)
    (place / "self").symlink_to(place / "self")
    (place / "one.icc").symlink_to(place / "two.icc")
    (place / "two.icc").symlink_to(place / "one.icc")
    (place / "lost.icc").symlink_to(place / "nowhere")
    report = scan()
    assert good(report) and report.complete
    assert len(report.problems) == 3
    assert sum("links lead in a circle" in each for each in report.problems) == 2
    assert sum("There is no file" in each for each in report.problems) == 1


def test_folders_that_lead_to_one_another(place, scan):
    for name in "abc":
        (place / name).mkdir()
        for other in "abc":
            (place / name / f"to {other}").symlink_to(place / other)
    report = scan()
    assert good(report) and report.problems == () and report.looked_at < 20


def test_what_may_not_be_read():
    with tempfile.TemporaryDirectory() as folder:
        # where others may enter, so that the test can become someone else
        Path(folder).chmod(0o755)
        report = look_without_rights(Path(folder))
    assert good(report)
    assert len(report.problems) == 3 and all(
        "permission to read it" in each for each in report.problems
    )
    for name in ("closed.icc", "cellar", "listed only"):
        assert any(name in each for each in report.problems)


def look_without_rights(folder: Path):
    place, cache = folder / "profiles", folder / "cache"
    put_profile(place, "good.icc")
    # known from now on, as someone else may not even be able to start Python
    scan_profiles([place], cache=cache)
    closed = put_profile(place, "closed.icc", 1)
    put_profile(place / "cellar", "inside.icc", 2)
    put_profile(place / "listed only", "inside.icc", 3)
    closed.chmod(0)
    (place / "cellar").chmod(0)
    (place / "listed only").chmod(0o444)
    for path in (cache, *cache.iterdir()):
        path.chmod(0o777)
    try:
        with someone_without_rights():
            return scan_profiles([place], cache=cache)
    finally:
        for path in (closed, place / "cellar", place / "listed only"):
            path.chmod(0o755)


def test_pipes_devices_and_sockets_are_never_opened(place, scan, tmp_path):
    os.mkfifo(place / "pipe.icc")
    (place / "zero.icc").symlink_to("/dev/zero")
    import socket

    with socket.socket(socket.AF_UNIX) as listener:
        # such names are limited in length
        here = os.open(place, os.O_RDONLY)
        listener.bind(f"/proc/self/fd/{here}/s.icc")
        os.close(here)
        begin = time.monotonic()
        report = scan()
    assert good(report) and len(report.problems) == 3
    assert all("not an ordinary file" in each for each in report.problems)
    # opening a pipe would wait for a writer for ever
    assert time.monotonic() - begin < 20


def test_a_file_that_turns_into_a_pipe_meanwhile(place, tmp_path, monkeypatch):
    pipe = tmp_path / "pipe.icc"
    os.mkfifo(pipe)
    real = os.stat
    monkeypatch.setattr(os, "stat", lambda path, **k: real(place / "good.icc"))
    with pytest.raises(FileError, match="not an ordinary file"):
        files.read_regular(pipe, 1000_000)


def test_huge_files_are_not_read(place, scan):
    for name, size in (("tera.icc", 2**40), ("just.icc", 64 * 2**20 + 1)):
        with (place / name).open("wb") as file:
            file.write(paper_profile())
            file.truncate(size)
    report = scan()
    assert good(report) and len(report.problems) == 2
    assert all("larger than 64 MB" in each for each in report.problems)


def test_broken_profiles_of_every_kind(place, scan):
    whole = paper_profile(5)
    random_ = random.Random(3)
    for number in range(60):
        data = bytearray(whole)
        for _ in range(random_.choice((1, 5, 200))):
            data[random_.randrange(132, len(data) if number % 2 else 400)] = random_.randrange(256)
        (place / f"spoilt {number:02}.icc").write_bytes(data)
    for number, data in enumerate(
        (
            b"",
            b"x",
            whole[:131],
            whole[:140],
            whole[:5000],
            b"\0" * 9999,
            b"GIF89a" + b"x" * 500,
            whole[:4] * 50,
        )
    ):
        (place / f"cut {number}.icc").write_bytes(data)
    (place / "a\udcff.icc").write_bytes(whole[:5000])
    report = scan()
    listed = {each.path.name: each for each in report.found}
    assert listed["good.icc"].facts is not None
    # each is listed with facts, listed with a reason, or reported
    assert all(each.facts or each.note for each in report.found)
    cut = [each for each in report.problems if "/cut " in each]
    assert len(cut) == 8 and sum("not an ICC profile" in each for each in cut) == 6
    assert len(report.found) + len(report.problems) == 1 + 60 + 8 + 1
    for sentence in report.problems:
        sentence.encode()
    # the same again, from memory
    again = scan()
    assert (again.problems, len(again.found)) == (report.problems, len(report.found))


def test_a_profile_that_takes_its_process_down(place, scan, monkeypatch):
    put_profile(place, "deadly.icc", 1)
    put_profile(place, "endless.icc", 2)
    deadly, endless = (files.checksum(paper_profile(n)) for n in (1, 2))
    code = (
        "import os, time\n"
        "from workbench import files\n"
        "from workbench.library import examine\n"
        "real = examine.examine\n"
        "def examined(data, measure):\n"
        f"    if files.checksum(data) == {deadly!r}: os.abort()\n"
        f"    if files.checksum(data) == {endless!r}: time.sleep(600)\n"
        "    return real(data, measure)\n"
        "examine.examine = examined\n"
        "examine.serve()\n"
    )
    real = subprocess.Popen

    def start(command, **options):
        assert command[:2] == [sys.executable, "-P"]
        return real([*command[:3], code], **options)

    monkeypatch.setattr(examine_module.subprocess, "Popen", start)
    monkeypatch.setattr(examine_module, "_LONGEST_S", 3.0)
    report = scan()
    assert good(report) and len(report.problems) == 2
    assert all("gave up on this profile" in each for each in report.problems)


def test_a_system_that_starts_no_process(place, scan, monkeypatch):
    def refuse(*args, **options):
        raise OSError(11, "Resource temporarily unavailable")

    monkeypatch.setattr(examine_module.subprocess, "Popen", refuse)
    report = scan()
    assert report.found == () and "the system starts none" in report.problems[0]


def test_a_working_folder_full_of_traps(place, scan, monkeypatch, tmp_path):
    # a module of that name in the working folder must not get into the process apart
    trap = tmp_path / "trap"
    trap.mkdir()
    (trap / "numpy.py").write_text("raise SystemExit")
    monkeypatch.chdir(trap)
    assert good(scan())


def test_folders_that_are_none(place, scan, tmp_path):
    (tmp_path / "file.icc").write_bytes(paper_profile())
    report = scan(place, tmp_path / "gone", tmp_path / "file.icc", "a\0b", 7)
    assert good(report) and len(report.problems) == 4
    assert all(
        each.endswith(("name a folder.", "check the path.", "check it."))
        for each in report.problems
    )


def test_a_folder_that_is_too_full(place, scan):
    full = place / "z full"
    full.mkdir()
    for number in range(3000):
        (full / f"{number}.icc").touch()
    report = scan(most_entries=2000)
    assert not report.complete and report.looked_at == 2001
    assert any("more than 2,000 files" in each for each in report.problems)
    whole = scan()
    assert whole.complete and good(whole)
    # no one reads three thousand sentences
    assert len(whole.problems) == 101 and whole.problems[-1] == "And 2900 more like these."


def test_very_deep_folders(place, scan):
    deep = place
    for _ in range(60):
        deep = deep / "d"
    put_profile(deep, "deep.icc", 1)
    report = scan()
    assert good(report) and any("too deep" in each for each in report.problems)


def test_a_folder_that_vanishes_while_it_is_looked_at(place, scan, monkeypatch):
    put_profile(place, "a vanishing.icc", 1)
    put_profile(place / "b", "x.icc", 2)
    real = walk.os.scandir

    def scandir(path):
        if str(path).endswith("b"):
            raise FileNotFoundError(2, "No such file or directory")
        return real(path)

    monkeypatch.setattr(walk.os, "scandir", scandir)
    read = files.read_regular

    def vanished(path, most, **options):
        if "vanishing" in str(path):
            raise FileError("There is no file.")
        return read(path, most, **options)

    monkeypatch.setattr(files, "read_regular", vanished)
    report = scan()
    assert good(report) and len(report.problems) == 2


def test_names_that_would_upset_a_page(place, scan):
    put_profile(place, "<script>alert(1)</script>.icc".replace("/", ""), 1)
    (place / "\u202ecci.exe.icc").write_bytes(b"junk")
    (place / "new\nline.icc").write_bytes(b"junk")
    report = scan()
    # control and direction marks are gone; escaping for HTML is the panels' business
    assert all("\n" not in each and "\u202e" not in each for each in report.problems)
    assert len(report.problems) == 2 and len(report.found) == 2
