"""Opening the record's file for one act at a time: short transactions, plain sentences.

Every act opens the file, reads or writes in one transaction, and closes it again (well
under a millisecond on a local disk).  Nothing is held in between, so that any number of
windows, threads and computers may take turns, and a drive that went away is noticed.

SQLite's rollback journal is used, not its write-ahead log: the log needs memory that all
programs share, which a network drive has not, and leaves three files where a person who
copies the record takes one (https://www.sqlite.org/wal.html, "Disadvantages").  Notes are
rare and small, so that the log's speed is not missed.

The file must never be opened by other means while it is in use: POSIX systems drop all of
a process's locks on a file when any one handle to it is closed
(https://www.sqlite.org/howtocorrupt.html, 2.2).
"""

from __future__ import annotations

import os
import random
import sqlite3
import time
from contextlib import closing, contextmanager
from pathlib import Path
from urllib.parse import quote

from workbench.errors import RecordError
from workbench.files import shown, status_of
from workbench.files.text import clean_text
from workbench.language import tr
from workbench.record import schema

# how long another window's writing is waited for
WAIT_S = 5.0
# a million notes with their plans take a tenth of it
_MOST_BYTES = 64 * 2**30


@contextmanager
def reading(path: Path):
    """A connection that sees the file at one moment; None where there is no record yet.

    Raises RecordError.
    """
    with _told(path):
        if not _is_there(path):
            yield None
            return
        with closing(_connected(path, "rw")) as db:
            with _transaction(db, "DEFERRED"):
                # nothing in it: made by a writer that died before its first note
                yield db if schema.state_of(db, path) else None


@contextmanager
def writing(path: Path):
    """A connection in a transaction that is kept whole or not at all; makes the file.

    When the block has been left without an exception, what it wrote is on the disk.
    Raises RecordError.
    """
    with _told(path):
        if not _is_there(path):
            path.parent.mkdir(parents=True, exist_ok=True)
        with closing(_connected(path, "rwc")) as db, _transaction(db, "IMMEDIATE"):
            schema.bring_up_to_date(db, path)
            yield db


def check_whole(path: Path, *, quick: bool = False) -> None:
    """Have SQLite look through the whole file; RecordError if it is damaged.

    ``quick`` leaves out whether indexes and tables agree.
    """
    check = "quick_check" if quick else "integrity_check"
    with reading(path) as db:
        if db is not None and [row[0] for row in db.execute(f"PRAGMA {check}(3)")] != ["ok"]:
            raise RecordError(_damaged(path))


@contextmanager
def _transaction(db: sqlite3.Connection, kind: str):
    _persistently(db, f"BEGIN {kind}")
    try:
        if kind == "DEFERRED":
            # what is read first sets the moment, and keeps writers from ending until it is over
            _persistently(db, "SELECT 1 FROM sqlite_master LIMIT 1")
        yield
        _persistently(db, "COMMIT")
    except BaseException:
        if db.in_transaction:
            db.execute("ROLLBACK")
        raise


def _persistently(db: sqlite3.Connection, statement: str) -> None:
    """Try again and again, for up to ``WAIT_S``, while another writer has the file.

    SQLite's own waiting sleeps for a tenth of a second at a time; beside a writer that
    hardly pauses, on a slow disk, it would seldom find the moment in between.
    """
    until = time.monotonic() + WAIT_S
    while True:
        try:
            db.execute(statement).fetchall()
            return
        except sqlite3.OperationalError as problem:
            busy = problem.sqlite_errorcode & 0xFF == sqlite3.SQLITE_BUSY
            if not busy or time.monotonic() > until:
                raise
        # at random, so that two who wait do not keep in step
        time.sleep(random.uniform(0.0005, 0.004))


def _is_there(path: Path) -> bool:
    """Whether there is a file; refuses what SQLite must not open, as it does the opening itself."""
    return status_of(path, _MOST_BYTES, RecordError, missing_ok=True) is not None


def _connected(path: Path, mode: str) -> sqlite3.Connection:
    # the waiting for other writers is our own, see `_persistently`
    db = sqlite3.connect(f"{_address(path)}?mode={mode}", uri=True, timeout=0, isolation_level=None)
    try:
        db.row_factory = sqlite3.Row
        db.text_factory = _text
        _persistently(db, "PRAGMA foreign_keys = ON")
        # the record may come from anywhere: no functions hidden in its tables
        _persistently(db, "PRAGMA trusted_schema = OFF")
        # also after a power cut a note that was kept stays
        _persistently(db, "PRAGMA synchronous = EXTRA")
    except BaseException:
        db.close()
        raise
    return db


def _text(data: bytes) -> str | bytes:
    """Text of the file; bytes that are none stay what they are, and are told as damaged."""
    try:
        return data.decode()
    except UnicodeDecodeError:
        return data


def _address(path: Path) -> str:
    """The file's URI; a network path keeps its two slashes behind the usual three."""
    plain = os.path.abspath(path).replace(os.sep, "/")
    plain = plain if plain.startswith("/") else f"/{plain}"
    return f"file://{quote(os.fsencode(plain))}"


@contextmanager
def _told(path: Path):
    """Turn what SQLite and the system say into sentences."""
    try:
        yield
    except UnicodeError as problem:
        # SQLite's own complaint quotes what is damaged
        raise RecordError(_damaged(path)) from problem
    except (sqlite3.Error, MemoryError) as problem:
        raise RecordError(_sentence(path, problem)) from problem
    except OSError as problem:
        reason = clean_text(problem.strerror or type(problem).__name__)
        raise RecordError(
            tr(
                "The record “{path}” cannot be reached ({reason}); check its folder, or name "
                "another file for the record.",
                path=shown(path),
                reason=reason,
            )
        ) from problem


def _sentence(path: Path, problem: Exception) -> str:
    name = getattr(problem, "sqlite_errorname", "") or ""
    place = shown(path)
    if name.startswith(("SQLITE_BUSY", "SQLITE_LOCKED")):
        return tr(
            "The record is being written by another window, which did not finish within "
            "{seconds:.0f} seconds; nothing was changed. Try again.",
            seconds=WAIT_S,
        )
    if name.startswith(("SQLITE_CORRUPT", "SQLITE_NOTADB")):
        return _damaged(path)
    if name == "SQLITE_FULL":
        return tr("The disk is full: nothing was written to the record. Make room and try again.")
    if name.startswith(("SQLITE_READONLY", "SQLITE_PERM", "SQLITE_AUTH")):
        return tr(
            "The record “{place}” cannot be written: you do not have permission to write "
            "the file, or in its folder. It can still be read; nothing was changed.",
            place=place,
        )
    if name.startswith("SQLITE_CANTOPEN"):
        return tr(
            "The record “{place}” cannot be opened; check that its folder is there and "
            "that you may write in it, or name another file for the record.",
            place=place,
        )
    if name.startswith("SQLITE_IOERR"):
        return tr(
            "The disk or network drive of the record “{place}” failed; nothing was "
            "changed. Check the drive and try again.",
            place=place,
        )
    if name.startswith("SQLITE_TOOBIG"):
        return tr("That is too much text for one note; keep it as a file of its own.")
    return tr(
        "The record “{place}” could not be used ({reason}).",
        place=place,
        reason=clean_text(str(problem)),
    )


def _damaged(path: Path) -> str:
    return tr(
        "The record “{path}” is damaged and is left as it is. Move it elsewhere and "
        "put a copy in its place; without one, a new record begins with the next print "
        "you note.",
        path=shown(path),
    )
