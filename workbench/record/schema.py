"""The tables of the record's file, and how older files are brought up to date."""

from __future__ import annotations

import sqlite3
from pathlib import Path

from workbench.errors import RecordError

# "wbpr", in the file's header, so that no other program's file is taken for a record
APPLICATION_ID = 0x77627072

# Step n brings a file of version n to n + 1.  Steps are never changed once they have been
# used; a new version adds one.
STEPS: tuple[tuple[str, ...], ...] = (
    (
        """
        CREATE TABLE print (
            -- a number that was given is never given again
            id INTEGER PRIMARY KEY AUTOINCREMENT,
            made_on TEXT NOT NULL,
            -- the same moment in seconds since 1970: texts with several offsets do not sort
            made_at_s REAL NOT NULL,
            picture_name TEXT NOT NULL,
            picture_sha256 TEXT NOT NULL,
            paper_name TEXT NOT NULL,
            profile_sha256 TEXT NOT NULL,
            printer TEXT NOT NULL,
            media_setting TEXT NOT NULL,
            width_mm REAL,
            height_mm REAL,
            inked_mm2 REAL,
            ppi REAL,
            intent TEXT NOT NULL,
            black_point_compensation INTEGER,
            converts TEXT NOT NULL,
            file_name TEXT NOT NULL,
            file_sha256 TEXT NOT NULL,
            edition_number INTEGER,
            edition_of INTEGER,
            ink_ml REAL,
            verdict TEXT NOT NULL,
            passed INTEGER,
            mean_de00 REAL,
            rating INTEGER,
            change_next_time TEXT NOT NULL,
            notes TEXT NOT NULL,
            plan_text TEXT NOT NULL,
            measurements TEXT NOT NULL,
            removed_on TEXT NOT NULL DEFAULT ''
        )
        """,
        "CREATE INDEX print_newest ON print (made_at_s DESC, id DESC)",
        # two windows cannot both sign number 3 of 10
        """
        CREATE UNIQUE INDEX print_edition ON print (
            CASE picture_sha256 WHEN '' THEN picture_name ELSE picture_sha256 END,
            ifnull(edition_of, 0),
            edition_number
        ) WHERE edition_number IS NOT NULL AND removed_on = ''
        """,
        """
        CREATE TABLE former (
            id INTEGER PRIMARY KEY,
            print_id INTEGER NOT NULL REFERENCES print (id),
            field TEXT NOT NULL,
            value,
            changed_on TEXT NOT NULL
        )
        """,
        "CREATE INDEX former_print ON former (print_id)",
    ),
)


def version() -> int:
    """The version that this workbench reads and writes."""
    return len(STEPS)


def state_of(db: sqlite3.Connection, path: Path) -> int:
    """The version of a file: 0 for an empty one.

    Raises
    ------
    RecordError
        for a database of something else, and for a record of a newer workbench.
    """
    (mark,), (found,) = (
        db.execute("PRAGMA application_id").fetchone(),
        db.execute("PRAGMA user_version").fetchone(),
    )
    if mark != APPLICATION_ID:
        if not db.execute("SELECT 1 FROM sqlite_master LIMIT 1").fetchone():
            return 0
        raise RecordError(
            f"“{path.name}” is a database of another program and not a record of prints; it is "
            "left as it is. Name another file for the record."
        )
    if found > version():
        raise RecordError(
            f"The record “{path.name}” was written by a newer version of the workbench (its "
            f"version is {found}, and this one knows up to {version()}); update the workbench. "
            "The record is left as it is."
        )
    return found


def bring_up_to_date(db: sqlite3.Connection, path: Path) -> None:
    """Take the steps that a file lacks; the caller has begun a transaction for writing."""
    found = state_of(db, path)
    for step in STEPS[found:]:
        for statement in step:
            db.execute(statement)
    if found < version():
        db.execute(f"PRAGMA application_id = {APPLICATION_ID}")
        db.execute(f"PRAGMA user_version = {version()}")
