"""The tables of the record's file, and how older files are brought up to date."""

from __future__ import annotations

import re
import sqlite3
from pathlib import Path

from workbench.errors import RecordError
from workbench.language import tr

# "wbpr", in the file's header, so that no other program's file is taken for a record
APPLICATION_ID = 0x77627072

_COLUMNS = """
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
"""
# two windows cannot both sign number 3 of 10
_INDEXES = (
    "CREATE INDEX print_newest ON print (made_at_s DESC, id DESC)",
    """
    CREATE UNIQUE INDEX print_edition ON print (
        CASE picture_sha256 WHEN '' THEN picture_name ELSE picture_sha256 END,
        ifnull(edition_of, 0),
        edition_number
    ) WHERE edition_number IS NOT NULL AND removed_on = ''
    """,
)
_TYPES = dict(re.findall(r"^ +(\w+) (TEXT|REAL|INTEGER)", _COLUMNS, re.MULTILINE))
_NAMES = ", ".join(_TYPES)
# texts must be there, and numbers may be unknown
_STORED = {
    "TEXT": "('text')",
    "REAL": "('real', 'integer', 'null')",
    "INTEGER": "('integer', 'null')",
}
_FITS = " AND ".join(f"typeof({name}) IN {_STORED[kind]}" for name, kind in _TYPES.items())
_FITS += " AND made_at_s IS NOT NULL"
# SQLite 3.37, https://www.sqlite.org/stricttables.html
_STRICT = "STRICT" if sqlite3.sqlite_version_info >= (3, 37) else ""

# Step n brings a file of version n to n + 1.  Steps are never changed once they have been
# used; a new version adds one.
STEPS: tuple[tuple[str, ...], ...] = (
    (
        f"CREATE TABLE print ({_COLUMNS})",
        *_INDEXES,
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
    # tables that refuse what a column cannot hold; rows that do not fit are kept as they are
    (
        "ALTER TABLE former RENAME TO former_1",
        "ALTER TABLE print RENAME TO print_1",
        "DROP INDEX print_newest",
        "DROP INDEX print_edition",
        "DROP INDEX former_print",
        f"CREATE TABLE print ({_COLUMNS}) {_STRICT}",
        f"CREATE TABLE unfit (id INTEGER PRIMARY KEY, {_NAMES.removeprefix('id, ')})",
        *_INDEXES,
        "CREATE TABLE former (id INTEGER PRIMARY KEY, print_id, field, value, changed_on)",
        "CREATE INDEX former_print ON former (print_id)",
        f"INSERT INTO print ({_NAMES}) SELECT {_NAMES} FROM print_1 WHERE {_FITS}",
        f"INSERT INTO unfit ({_NAMES}) SELECT {_NAMES} FROM print_1 WHERE NOT ({_FITS})",
        "INSERT INTO former SELECT id, print_id, field, value, changed_on FROM former_1",
        # a number that was given is never given again
        "DELETE FROM sqlite_sequence WHERE name = 'print'",
        "UPDATE sqlite_sequence SET name = 'print' WHERE name = 'print_1'",
        "DROP TABLE former_1",
        "DROP TABLE print_1",
    ),
)
# where notes are: those that fit, and damaged ones of a file that was brought up to date
TABLES = ("print", "unfit")


def version() -> int:
    """The version that this workbench reads and writes."""
    return len(STEPS)


def prints(db: sqlite3.Connection) -> str:
    """What notes are read from, as SQL: all tables that hold any."""
    there = "SELECT 1 FROM sqlite_master WHERE type = 'table' AND name = 'unfit'"
    if db.execute(there).fetchone() and db.execute("SELECT 1 FROM unfit LIMIT 1").fetchone():
        return "(SELECT * FROM print UNION ALL SELECT * FROM unfit)"
    return "print"


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
            tr(
                "“{name}” is a database of another program and not a record of prints; it is left "
                "as it is. Name another file for the record.",
                name=path.name,
            )
        )
    if found < 1:
        raise RecordError(
            tr(
                "The record “{name}” is damaged: it does not say which version it is. It is left "
                "as it is; put a copy in its place.",
                name=path.name,
            )
        )
    # they could do anything while a note is read or written
    acting = "type IN ('view', 'trigger') OR sql LIKE 'CREATE VIRTUAL%'"
    if db.execute(f"SELECT 1 FROM sqlite_master WHERE {acting}").fetchone():
        raise RecordError(
            tr(
                "“{name}” is not a record as the workbench writes it (it holds views, triggers or "
                "tables of another kind), and is left as it is. Name another file for the record.",
                name=path.name,
            )
        )
    if found > version():
        raise RecordError(
            tr(
                "The record “{name}” was written by a newer version of the workbench (its version "
                "is {found}, and this one knows up to {known}); update the workbench. The record "
                "is left as it is.",
                name=path.name,
                found=found,
                known=version(),
            )
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
