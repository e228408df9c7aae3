"""The record's file: damaged, foreign, newer, older, read-only, busy, on a full disk."""

import os
import shutil
import sqlite3
import tempfile
from contextlib import closing
from pathlib import Path

import pytest
from record.makers import NOTE, note

from workbench.errors import RecordError
from workbench.record import Record, open_record, schema, store


@pytest.fixture
def record(tmp_path):
    record = open_record(tmp_path / "prints.sqlite")
    for number in range(40):
        record.add(note(picture_name=f"picture {number}", plan_text="x" * 3000))
    return record


def plain(path):
    """SQLite without anything of ours."""
    return closing(sqlite3.connect(path, isolation_level=None))


def refuses(record, said):
    """Neither reads nor writes, and leaves the file as it is."""
    before = record.path.read_bytes()
    for act in (
        lambda: open_record(record.path),
        lambda: record.search(),
        lambda: record.add(NOTE),
    ):
        with pytest.raises(RecordError, match=said):
            act()
    assert record.path.read_bytes() == before


def test_one_file_with_a_version_and_our_mark(record):
    assert sorted(os.listdir(record.path.parent)) == ["prints.sqlite"]
    with plain(record.path) as db:
        assert db.execute("PRAGMA user_version").fetchone() == (2,)
        assert db.execute("PRAGMA application_id").fetchone() == (0x77627072,)
        # one file, as a person who copies it expects, and fit for network drives
        assert db.execute("PRAGMA journal_mode").fetchone() == ("delete",)
        for wrong in ("rating = 'many'", "ink_ml = 'x'", "notes = x'ff'", "made_on = NULL"):
            with pytest.raises(sqlite3.IntegrityError):
                db.execute(f"UPDATE print SET {wrong}")


def test_a_damaged_file_is_never_written_over(record):
    whole = record.path.read_bytes()
    for damaged in (
        b"not a database at all, but long enough to be taken for one" * 100,
        whole[:100] + bytes(len(whole) - 100),
        whole[: len(whole) // 2],
        b"\xff" * 4096 + whole[4096:],
    ):
        record.path.write_bytes(damaged)
        with pytest.raises(RecordError, match="is damaged and is left as it is"):
            open_record(record.path)
        assert record.path.read_bytes() == damaged
    record.path.write_bytes(whole)
    assert open_record(record.path).count() == 40


def test_a_note_is_not_added_to_a_file_that_is_no_database(record):
    record.path.write_bytes(b"A letter to a friend.\n" * 300)
    refuses(record, "is damaged")


def test_another_programs_database_is_left_alone(tmp_path):
    path = tmp_path / "prints.sqlite"
    with plain(path) as db:
        db.execute("CREATE TABLE bookmarks (address)")
    refuses(Record(path), "another program")


def test_a_newer_record_is_left_alone(record):
    with plain(record.path) as db:
        db.execute("PRAGMA user_version = 9")
    refuses(record, "written by a newer version .* its version is 9|newer version of the workbench")


def test_a_file_without_any_tables_becomes_a_record(tmp_path):
    # what a writer leaves that died before its first note
    (tmp_path / "prints.sqlite").touch()
    record = open_record(tmp_path / "prints.sqlite")
    assert record.search() == ()
    assert record.get(record.add(NOTE).id).notes == NOTE.notes


def test_an_older_record_is_brought_up_to_date_with_all_its_notes(record, monkeypatch):
    before = record.search()
    more = ("ALTER TABLE print ADD COLUMN frame TEXT NOT NULL DEFAULT 'none'",)
    monkeypatch.setattr(schema, "STEPS", (*schema.STEPS, more))
    assert record.search() == before
    added = record.add(NOTE)
    with plain(record.path) as db:
        assert db.execute("PRAGMA user_version").fetchone() == (3,)
        assert {row[0] for row in db.execute("SELECT frame FROM print")} == {"none"}
    assert set(record.search()) == {*before, added}


def test_a_step_that_fails_leaves_the_older_record_as_it_was(record, monkeypatch):
    step = ("ALTER TABLE print ADD COLUMN frame TEXT", "CREATE TABLE print (again)")
    monkeypatch.setattr(schema, "STEPS", (*schema.STEPS, step))
    with pytest.raises(RecordError, match="could not be used"):
        record.add(NOTE)
    monkeypatch.undo()
    assert record.count() == 40
    with plain(record.path) as db:
        assert "frame" not in [row[1] for row in db.execute("PRAGMA table_info(print)")]


def test_a_full_disk_keeps_what_there_was(record, monkeypatch):
    real = store._connected

    def small_disk(path, mode):
        db = real(path, mode)
        (pages,) = db.execute("PRAGMA page_count").fetchone()
        db.execute(f"PRAGMA max_page_count = {pages}")
        return db

    monkeypatch.setattr(store, "_connected", small_disk)
    with pytest.raises(RecordError, match="disk is full: nothing was written"):
        record.add(note(notes="y" * 100_000))
    monkeypatch.undo()
    assert record.count() == 40
    record.check()


@pytest.mark.skipif(not hasattr(os, "geteuid"), reason="rights as POSIX systems have them")
def test_a_record_that_may_only_be_read():
    # not in tmp_path, which other users cannot reach
    folder = Path(tempfile.mkdtemp())
    try:
        record = open_record(folder / "prints.sqlite")
        record.add(NOTE)
        folder.chmod(0o555)
        record.path.chmod(0o444)
        root = os.geteuid() == 0
        if root:  # whom no rights stop
            os.seteuid(65534)
        try:
            assert open_record(record.path).count() == 1
            with pytest.raises(RecordError, match="permission to write"):
                record.add(note())
            with pytest.raises(RecordError, match="cannot be (opened|reached)"):
                Record(folder / "new.sqlite").add(note())
            with pytest.raises(RecordError, match="cannot be (reached|read)"):
                Record(folder / "new" / "new.sqlite").add(note())
        finally:
            if root:
                os.seteuid(0)
        assert record.count() == 1
    finally:
        folder.chmod(0o755)
        shutil.rmtree(folder)


def test_what_is_no_file_is_said(tmp_path):
    with pytest.raises(RecordError, match="is a folder"):
        open_record(tmp_path)
    with pytest.raises(RecordError, match="is not a path"):
        open_record("a\0b")
    with pytest.raises(RecordError, match="is not a path"):
        open_record(7)
    (tmp_path / "file").write_text("x")
    with pytest.raises(RecordError, match="cannot be (reached|read)"):
        Record(tmp_path / "file" / "prints.sqlite").add(NOTE)
    if hasattr(os, "mkfifo"):
        os.mkfifo(tmp_path / "pipe")
        with pytest.raises(RecordError, match="device or a pipe"):
            Record(tmp_path / "pipe").search()


def test_odd_names_of_folders_and_files_work(tmp_path):
    for name in ("ask?mode=memory.sqlite", "100 %25 #1 é.sqlite", "a&b=c.sqlite"):
        record = open_record(tmp_path / "of all, sorts?" / name)
        record.add(note())
        assert record.path.is_file() and open_record(record.path).count() == 1


def test_a_busy_record_is_said_and_nothing_is_changed(record, monkeypatch):
    monkeypatch.setattr(store, "WAIT_S", 0.05)
    with plain(record.path) as other:
        other.execute("BEGIN IMMEDIATE")
        # readers are not held up by a writer that has not finished
        assert record.count() == 40
        with pytest.raises(RecordError, match="written by another window.*Try again"):
            record.add(NOTE)
        other.execute("ROLLBACK")
    record.add(NOTE)
    assert record.count() == 41


def test_five_seconds_at_the_most(record):
    assert store.WAIT_S <= 5
