"""Scanning for profiles: what is listed, what is remembered, what is copied."""

import datetime as dt
import hashlib
import json
import os
import shutil
import threading
from pathlib import Path

import pytest
from helpers import DATA, coated_profile
from library.makers import paper_profile, put_profile

from workbench import files
from workbench.colour.spaces import standard_profile
from workbench.colour.writer import assemble, xyz
from workbench.errors import Cancelled, LibraryError, PaperError, ProfileError
from workbench.files import checksums
from workbench.library import (
    add_entry,
    folders,
    install_profile,
    measure_found,
    open_shelf,
    scan_profiles,
    system_profile_folders,
    user_profile_folder,
)
from workbench.library import cache as cache_module
from workbench.library import examine as examine_module
from workbench.library import scan as scan_module
from workbench.paper import measure_profile


@pytest.fixture
def place(tmp_path):
    (tmp_path / "profiles").mkdir()
    return tmp_path / "profiles"


@pytest.fixture
def scan(tmp_path):
    def run(*named, **options):
        return scan_profiles(named, cache=tmp_path / "cache", **options)

    return run


@pytest.fixture
def settled(monkeypatch):
    """Files count as unchanged at once, not only after two seconds."""
    monkeypatch.setattr(checksums, "SETTLED_NS", -(10**9))


@pytest.fixture
def read(monkeypatch):
    """The files that a scan read in full."""
    names, real = [], files.read_regular

    def noted(path, most, *more, first=None, **options):
        if first is None and Path(path).suffix.lower() in (".icc", ".icm"):
            names.append(Path(path).name)
        return real(path, most, *more, first=first, **options)

    monkeypatch.setattr(files, "read_regular", noted)
    return names


@pytest.fixture
def examined(monkeypatch):
    """How often a process of its own was asked, with or without measuring."""
    asked, real = [], examine_module.Examiner.examine

    def noted(self, data, measure):
        asked.append(measure)
        return real(self, data, measure)

    monkeypatch.setattr(examine_module.Examiner, "examine", noted)
    return asked


def grey_printer() -> bytes:
    profile = bytearray(paper_profile())
    profile[16:20] = b"GRAY"
    return bytes(profile)


def test_what_is_listed(place, scan):
    shutil.copy(DATA / "FOGRA39L_coated.icc", place / "coated.ICC")
    put_profile(place / "deeper" / "still", "b.icm", 1)
    put_profile(place, "notes.txt")
    (place / "screen.icc").write_bytes(standard_profile("sRGB"))
    (place / "grey.icc").write_bytes(grey_printer())
    report = scan(place)
    assert [(each.path.name, each.description) for each in report.found] == [
        ("coated.ICC", "FOGRA39L Coated"),
        ("b.icm", "Invented test paper"),
        ("grey.icc", "Invented test paper"),
    ]
    assert (report.problems, report.others, report.gone) == ((), 1, ())
    assert report.complete and report.first and report.folders == (place,)
    coated, invented, grey = report.found
    assert coated.checksum == hashlib.sha256(coated_profile()).hexdigest()
    assert (coated.space, coated.version, coated.device_class) == ("CMYK", (2, 2), "output")
    assert coated.size_bytes == len(coated_profile())
    assert coated.facts == measure_profile(coated_profile())
    # white of FOGRA39L's published characterisation data: 95, 0, -2
    assert coated.facts.white_lab == pytest.approx((95, 0, -2), abs=0.1)
    assert invented.created == dt.datetime(2020, 1, 1, 0, 0, 1, tzinfo=dt.UTC)
    written = dt.datetime.fromtimestamp((place / "coated.ICC").stat().st_mtime, dt.UTC)
    assert coated.modified == written
    assert grey.facts is None and "GRAY printer" in grey.note
    assert {each.status for each in report.found} == {"new"}


def test_the_header_s_date_as_another_library_reads_it(place, scan):
    from io import BytesIO

    from PIL import ImageCms

    shutil.copy(DATA / "FOGRA39L_coated.icc", place)
    theirs = ImageCms.ImageCmsProfile(BytesIO(coated_profile())).profile
    (coated,) = scan(place).found
    assert coated.created.replace(tzinfo=None) == theirs.creation_date
    assert coated.description == theirs.profile_description


def test_new_changed_known_gone(place, scan):
    for number, name in enumerate(("a.icc", "b.icc", "c.icc")):
        put_profile(place, name, number)
    scan(place)
    put_profile(place, "b.icc", 8)
    (place / "c.icc").unlink()
    put_profile(place, "d.icc", 9)
    report = scan(place)
    assert {each.path.name: each.status for each in report.found} == {
        "a.icc": "known",
        "b.icc": "changed",
        "d.icc": "new",
    }
    assert report.gone == (place / "c.icc",) and not report.first
    again = scan(place)
    assert {each.status for each in again.found} == {"known"} and again.gone == ()
    # another folder's scan forgets nothing of this one's
    scan(put_profile(place.parent / "other").parent)
    assert {each.status for each in scan(place).found} == {"known"}


def test_duplicates_are_marked(place, scan):
    put_profile(place, "z.icc")
    put_profile(place, "a.icc")
    put_profile(place / "sub", "m.icc")
    put_profile(place, "other.icc", 1)
    (place / "link.icc").symlink_to(place / "other.icc")
    report = scan(place)
    assert {
        each.path.name: each.duplicate_of and each.duplicate_of.name for each in report.found
    } == {
        "a.icc": None,
        "z.icc": "a.icc",
        "m.icc": "a.icc",
        "link.icc": None,
        "other.icc": "link.icc",
    }


def test_a_second_scan_reads_nothing(place, scan, settled, read, examined):
    for number in range(3):
        put_profile(place, f"{number}.icc", number)
    first = scan(place)
    assert sorted(read) == ["0.icc", "1.icc", "2.icc"] and examined == [True] * 3
    read.clear(), examined.clear()
    second = scan(place)
    assert read == [] and examined == []
    assert [each.facts for each in second.found] == [each.facts for each in first.found]
    assert all(each.facts for each in second.found)
    # copied elsewhere it is read, and known by its checksum
    put_profile(place / "sub", "copy.icc", 2)
    scan(place)
    assert read == ["copy.icc"] and examined == []


def test_a_change_that_keeps_size_and_date_is_seen(place, scan, settled):
    path = put_profile(place, "a.icc", 1)
    before = path.stat()
    scan(place)
    path.write_bytes(paper_profile(2))
    os.utime(path, ns=(before.st_atime_ns, before.st_mtime_ns))
    assert [each.status for each in scan(place).found] == ["changed"]


def test_a_file_written_just_now_is_not_trusted(place, scan, read):
    put_profile(place)
    scan(place)
    scan(place)
    assert read == ["paper.icc", "paper.icc"]


def test_listing_first_and_measuring_afterwards(place, scan, tmp_path, examined):
    put_profile(place, "a.icc", 1)
    (place / "grey.icc").write_bytes(grey_printer())
    (place / "late.icc").write_bytes(paper_profile(3))
    listed = scan(place, measure=False)
    assert examined == [False] * 3
    assert [(each.facts, each.note, each.status) for each in listed.found] == [
        (None, None, "new")
    ] * 3
    put_profile(place, "late.icc", 4)
    told = []
    full = measure_found(listed, cache=tmp_path / "cache", progress=told.append)
    by_name = {each.path.name: each for each in full.found}
    assert by_name["a.icc"].facts == measure_profile(paper_profile(1))
    assert "GRAY" in by_name["grey.icc"].note and "scan again" in by_name["late.icc"].note
    assert {each.status for each in full.found} == {"new"} and told[-1] == 1
    assert full.seconds > listed.seconds
    examined.clear()
    assert all(each.facts or each.note for each in scan(place).found)
    assert examined == []


@pytest.mark.parametrize(
    "damage",
    [
        b"",
        b"{",
        b"\xff\xfe",
        b"[1, 2]",
        b'{"version": 7}',
        b"[" * 100_000,
        b'{"version": 1, "profiles": 3, "known": [], "seen": null}',
        b'{"version": 1, "profiles": {"a": 1}, "known": {"a": [1]}, "seen": {"a": 2}}',
    ],
)
def test_a_damaged_memory_is_begun_anew(place, scan, tmp_path, damage):
    put_profile(place)
    scan(place)
    (tmp_path / "cache" / "profiles.json").write_bytes(damage)
    report = scan(place)
    assert [each.facts for each in report.found] == [measure_profile(paper_profile())]
    assert len(report.problems) == (0 if damage.startswith(b'{"version": 1,') else 1)
    assert report.first
    again = scan(place)
    assert again.problems == () and again.found[0].status == "known"


def test_every_part_of_the_memory_may_be_wrong(place, scan, tmp_path, settled):
    put_profile(place)
    good = scan(place).found[0].facts
    path = tmp_path / "cache" / "profiles.json"
    stored = json.loads(path.read_text())
    (checksum,) = stored["profiles"]
    record = stored["profiles"][checksum]
    wrong = [None, 3, "x", [], {}, [[]], float("nan"), -1, True]
    spoilt = [{**record, key: value} for key in record for value in wrong]
    spoilt += [
        {**record, "facts": {**record["facts"], key: value}}
        for key in record["facts"]
        for value in wrong
    ]
    survived = 0
    for each in spoilt:
        path.write_text(json.dumps({**stored, "profiles": {checksum: each}}))
        memory = cache_module.load_cache(tmp_path / "cache")
        if checksum in memory.profiles:
            survived += 1
            facts = examine_module.facts_from(memory.profiles[checksum]["facts"])
            assert facts is None or set(vars(facts)) == set(vars(good))
    # most of it is found out; the rest is a plausible value of the right kind
    assert survived < len(spoilt) / 3
    path.write_text(json.dumps({**stored, "profiles": {checksum: {**record, "facts": {}}}}))
    assert scan(place).found[0].facts == good


def test_figures_of_older_code_are_measured_anew(place, scan, monkeypatch, settled, examined):
    put_profile(place)
    scan(place)
    monkeypatch.setattr(cache_module, "measuring_mark", lambda: "other code")
    assert scan(place).found[0].facts is not None
    assert examined == [True, True]


def test_a_memory_that_cannot_be_written_is_reported(place, tmp_path):
    put_profile(place)
    (tmp_path / "cache").write_text("a file where the folder should be")
    report = scan_profiles([place], cache=tmp_path / "cache")
    assert len(report.found) == 1 and "The next scan starts from nothing" in report.problems[-1]


def test_cancelling_keeps_what_was_measured(place, scan, tmp_path):
    for number in range(12):
        put_profile(place, f"{number}.icc", number)
    told = []
    with pytest.raises(Cancelled):
        scan(place, progress=told.append, cancelled=lambda: len(told) >= 4)
    assert told == sorted(told) and len(told) == 4
    memory = cache_module.load_cache(tmp_path / "cache")
    assert len(memory.profiles) >= 4 and memory.seen == {}
    assert {thread.name for thread in threading.enumerate() if "run" in thread.name} == set()
    # never shown, so still new
    assert {each.status for each in scan(place).found} == {"new"}
    with pytest.raises(Cancelled):
        scan(*[place] * 3, cancelled=lambda: True)


def test_a_folder_as_text_and_the_same_folder_twice(place, tmp_path):
    put_profile(place)
    assert len(scan_profiles(str(place), cache=tmp_path / "c").found) == 1
    twice = scan_profiles([place, place / "..", place], cache=tmp_path / "c")
    assert [each.duplicate_of for each in twice.found] == [None]


def test_the_systems_folders(monkeypatch, tmp_path):
    monkeypatch.setattr(Path, "home", lambda: tmp_path)
    monkeypatch.setattr(folders.sys, "platform", "linux")
    for name in ("XDG_DATA_HOME", "XDG_DATA_DIRS"):
        monkeypatch.delenv(name, raising=False)
    # OpenICC directory proposal 0.2; the folder "icc" is what desktops use besides
    assert system_profile_folders() == (
        tmp_path / ".local/share/icc",
        tmp_path / ".local/share/color/icc",
        tmp_path / ".color/icc",
        Path("/usr/local/share/color/icc"),
        Path("/usr/share/color/icc"),
        Path("/var/lib/color/icc"),
    )
    monkeypatch.setenv("XDG_DATA_HOME", "/data")
    monkeypatch.setenv("XDG_DATA_DIRS", "/one:relative:/two")
    named = system_profile_folders()
    assert named[0] == user_profile_folder() == Path("/data/icc")
    assert Path("/one/color/icc") in named and Path("/two/color/icc") in named
    assert not any("relative" in str(each) for each in named)
    # Apple Technical Note TN2035
    monkeypatch.setattr(folders.sys, "platform", "darwin")
    assert user_profile_folder() == tmp_path / "Library/ColorSync/Profiles"
    assert Path("/Library/ColorSync/Profiles") in system_profile_folders()
    # common practice, no source
    monkeypatch.setattr(folders.sys, "platform", "win32")
    monkeypatch.setenv("SYSTEMROOT", "/Win")
    assert system_profile_folders() == (Path("/Win/System32/spool/drivers/color"),)


def test_scanning_the_system_finds_what_was_installed(monkeypatch, tmp_path):
    monkeypatch.setattr(Path, "home", lambda: tmp_path)
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    monkeypatch.setenv("XDG_DATA_DIRS", str(tmp_path / "none"))
    monkeypatch.setattr("platformdirs.user_cache_path", lambda *a, **k: tmp_path / "cache")
    monkeypatch.setattr(folders.sys, "platform", "linux")
    monkeypatch.setattr(scan_module, "system_profile_folders", lambda: system_profile_folders()[:4])
    source = put_profile(tmp_path, "My paper.icc")
    before = scan_profiles()
    assert (before.found, before.problems) == ((), ())
    copy = install_profile(source)
    assert copy == tmp_path / "data" / "icc" / "My paper.icc"
    (found,) = scan_profiles().found
    assert found.path == copy and found.status == "new"
    assert (tmp_path / "cache" / "profiles.json").is_file()
    # from the list straight onto the shelf
    shelf = add_entry(open_shelf(tmp_path / "shelf"), found.path, "From the scan")
    assert shelf.entry("From the scan").profile_sha256 == found.checksum


def test_installing_checks_first_and_writes_over_nothing(tmp_path):
    target = tmp_path / "target"
    one = put_profile(tmp_path / "one", "same.icc", 1)
    two = put_profile(tmp_path / "two", "same.icc", 2)
    assert install_profile(one, target) == target / "same.icc"
    assert install_profile(one, target) == target / "same.icc"
    assert install_profile(two, target) == target / "same-2.icc"
    assert (target / "same.icc").read_bytes() == paper_profile(1)
    assert install_profile(paper_profile(3), target).name == "Invented test paper.icc"
    (tmp_path / "junk.icc").write_bytes(b"junk")
    (tmp_path / "screen.icc").write_bytes(standard_profile("sRGB"))
    for source, kind in (
        (tmp_path / "junk.icc", ProfileError),
        (tmp_path / "screen.icc", PaperError),
        (tmp_path / "gone.icc", LibraryError),
        (tmp_path, LibraryError),
    ):
        with pytest.raises(kind):
            install_profile(source, target)
    with pytest.raises(LibraryError, match="cannot be written"):
        install_profile(one, tmp_path / "junk.icc")
    assert len(list(target.iterdir())) == 3


@pytest.mark.parametrize(
    "wanted, name",
    [
        ("a/b\\c:d*.icc", "a b c d.icc"),
        ("CON.icc", "profile CON.icc"),
        ("..", "profile.icc"),
        ("paper", "paper.icc"),
        ("v1.2", "v1.2.icc"),
        ("P.ICM", "P.icm"),
        ("a\u202eb\n.icc", "a b.icc"),
        ("é" * 300, "é" * 80 + ".icc"),
    ],
)
def test_names_that_every_file_system_takes(wanted, name):
    assert files.file_name(wanted) == name


def test_a_printer_profile_without_tables_has_a_note(place, scan):
    data = assemble("output", "RGB", "LAB", "Bare", {"wtpt": xyz([0.9, 0.95, 0.8])})
    (place / "bare.icc").write_bytes(data)
    (bare,) = scan(place).found
    assert bare.description == "Bare" and "no tables in both directions" in bare.note
