"""Keeping, finding and changing the notes of prints that were made."""

from __future__ import annotations

import os
import sqlite3
from dataclasses import dataclass, replace
from pathlib import Path

from workbench.errors import RecordError
from workbench.files import clean_text, path_of, save_new
from workbench.language import tr
from workbench.library.folders import user_record_file
from workbench.output.csv_text import spreadsheet_bytes
from workbench.paper_readings import AnyPaper
from workbench.picture.picture import Picture
from workbench.record import schema, store
from workbench.record.find import KEPT, Condition, seconds
from workbench.record.learn import InkUse, ink_use
from workbench.record.note import NAMES, OWN, PrintNote, called, checked, salvaged, time_text
from workbench.record.table import table_csv

FILE_VARIABLE = "WORKBENCH_RECORD"

_KEPT = tuple(name for name in NAMES if name != "id")
_LONG = ("plan_text", "measurements")


@dataclass(frozen=True)
class Former:
    """What a field of a note said before it was changed."""

    field: str
    value: object
    changed_on: str


def open_record(path=None) -> Record:
    """The record of prints made, in a file of the person's own.

    Parameters
    ----------
    path : of the file; by default the one named by the environment variable
        ``WORKBENCH_RECORD`` (for classrooms and trials), else ``prints.sqlite`` in the
        user data folder.  There need not be one yet: it is made with the first note.

    Returns
    -------
    A Record.

    Raises
    ------
    RecordError
        if the file is damaged, no record, written by a newer workbench, or cannot be
        reached.  It is left as it is in every such case.

    Examples
    --------
    >>> record = wb.open_record(folder / "mine.sqlite")
    >>> note = record.add(wb.note_of(plan, notes="warm evening light"))
    >>> len(record.search("evening"))
    1
    """
    record = Record(path)
    store.check_whole(record.path, quick=True)
    return record


class Record:
    """The notes in one file.

    Any number of windows, threads and computers may use the same file at once: every
    note is on the disk when its method returns, and a process that dies loses nothing
    that had been kept.  Methods wait at most five seconds for another writer.  All raise
    `RecordError` with what to do.

    Attributes
    ----------
    path : of the file, absolute.
    """

    def __init__(self, path=None):
        named = path if path is not None else os.environ.get(FILE_VARIABLE) or user_record_file()
        self.path = Path(os.path.abspath(path_of(named, RecordError)))

    def __repr__(self) -> str:
        return f"Record({str(self.path)!r})"

    @property
    def begun(self) -> bool:
        """Whether there is a file yet."""
        return self.path.exists()

    def check(self) -> None:
        """Look through the whole file; RecordError if anything in it is amiss."""
        store.check_whole(self.path)

    # keeping ------------------------------------------------------------------

    def add(self, note: PrintNote) -> PrintNote:
        """Keep a note; returns it with its number, once it is on the disk.

        Raises RecordError also where this number of the picture's edition is taken.
        """
        note = replace(checked(note), removed_on="", damage="")
        names = ", ".join((*_KEPT, "made_at_s"))
        marks = ", ".join("?" * (len(_KEPT) + 1))
        with store.writing(self.path) as db:
            with _numbered(note):
                done = db.execute(f"INSERT INTO print ({names}) VALUES ({marks})", _values(note))
            return replace(note, id=done.lastrowid)

    def change(self, id: int, /, *, seen: PrintNote | None = None, **fields) -> PrintNote:
        """Change fields of a note; returns it as it is now.

        What the fields said before is kept, see `former`.  With ``seen``, the note as it
        was shown to the person, a field that another window has changed since is not
        overwritten but reported.
        """
        unknown = sorted((set(fields) - set(NAMES)) | (set(fields) & set(OWN)))
        if unknown:
            raise RecordError(
                tr("A note of a print has no “{names}” to change.", names=", ".join(unknown))
            )
        with store.writing(self.path) as db:
            now = _note(db, id)
            if now.removed_on:
                raise RecordError(
                    tr("This print was removed from the record; bring it back first.")
                )
            if now.damage:
                raise RecordError(
                    tr("{damage} To correct it, note the print anew.", damage=now.damage)
                )
            after = checked(replace(now, **fields))
            changed = [name for name in NAMES if getattr(after, name) != getattr(now, name)]
            for name in changed:
                if seen is not None and getattr(seen, name) != getattr(now, name):
                    raise RecordError(
                        tr(
                            "The {name} of this print was changed in another window meanwhile; yours is "
                            "not saved. Read the record again, and change it once more if you still want "
                            "to.",
                            name=called(name),
                        )
                    )
            _update(db, now, after, changed)
            return after

    def remove(self, id: int) -> PrintNote:
        """Take a note out of sight; it is kept, and `restore` brings it back."""
        with store.writing(self.path) as db:
            now = _note(db, id)
            if now.removed_on:
                return now
            after = replace(now, removed_on=time_text(""))
            _update(db, now, after, ["removed_on"])
            return after

    def restore(self, id: int) -> PrintNote:
        """Bring a removed note back."""
        with store.writing(self.path) as db:
            now = _note(db, id)
            after = replace(now, removed_on="")
            _update(db, now, after, ["removed_on"] if now.removed_on else [])
            return after

    # finding ------------------------------------------------------------------

    def get(self, id: int) -> PrintNote:
        """The note of a number, removed or not."""
        with store.reading(self.path) as db:
            if db is None:
                raise _no_such(id)
            return _note(db, id)

    def search(
        self,
        text: str = "",
        *,
        paper: AnyPaper | str | None = None,
        printer: str | None = None,
        picture: Picture | str | None = None,
        since=None,
        until=None,
        passed: bool | None = None,
        removed: bool = False,
        limit: int | None = None,
        offset: int = 0,
    ) -> tuple[PrintNote, ...]:
        """Notes that answer all that is asked, the newest print first.

        Parameters
        ----------
        text : words that must all be found somewhere, in any case, with or without
            accents; "in quotation marks" one after the other.
        paper : a Paper (of its name, or with its profile), or a name.
        printer : its name.
        picture : a Picture (its file, or one of its name), or a name.
        since, until : ISO text, date or datetime; from then on, and before then.
        passed : as planned, or not.
        removed : those taken out instead of those kept.
        limit, offset : at most so many, after leaving out the first ones.
        """
        where = _asked(text, paper, printer, picture, since, until, passed, removed)
        return self._found(where, limit, offset)

    def count(
        self, text: str = "", *, paper: AnyPaper | str | None = None, printer=None, picture: Picture | str | None = None, since=None, until=None,
        passed=None, removed: bool = False,
    ) -> int:  # fmt: skip
        """How many notes `search` would find."""
        where = _asked(text, paper, printer, picture, since, until, passed, removed)
        with store.reading(self.path) as db:
            if db is None:
                return 0
            where.prepare(db)
            sql = f"SELECT count(*) FROM {schema.prints(db)} WHERE {where.sql}"
            return db.execute(sql, where.values).fetchone()[0]

    def papers(self) -> tuple[str, ...]:
        """Names of the papers that prints were noted on, in order of their names."""
        with store.reading(self.path) as db:
            if db is None:
                return ()
            rows = db.execute(
                f"SELECT DISTINCT paper_name FROM {schema.prints(db)} WHERE {KEPT} "
                "AND typeof(paper_name) = 'text' AND paper_name <> ''"
            )
            names = {clean_text(row[0]) for row in rows if isinstance(row[0], str)}
            return tuple(sorted(filter(None, names), key=str.casefold))

    def former(self, id: int) -> tuple[Former, ...]:
        """What was changed in a note, the latest change first."""
        with store.reading(self.path) as db:
            if db is None:
                raise _no_such(id)
            _note(db, id)
            rows = db.execute(
                "SELECT field, value, changed_on FROM former WHERE print_id = ? ORDER BY id DESC",
                (id,),
            )
            return tuple(_former(row) for row in rows)

    # learning -----------------------------------------------------------------

    def next_edition_number(
        self, picture: Picture | str, edition_of: int | None = None
    ) -> int | None:
        """The number after the highest one noted of a picture's edition; None when all are made.

        Parameters
        ----------
        picture : a Picture or a name, as for `search`.
        edition_of : how many there will be; None for an edition without an end.
        """
        where = Condition()
        where.add(f"{KEPT} AND ifnull(edition_of, 0) = ?", edition_of or 0)
        where.add("typeof(edition_number) = 'integer'")
        where.picture(picture)
        with store.reading(self.path) as db:
            highest = None
            if db is not None:
                where.prepare(db)
                sql = f"SELECT max(edition_number) FROM {schema.prints(db)} WHERE {where.sql}"
                highest = db.execute(sql, where.values).fetchone()[0]
        following = (highest or 0) + 1
        return None if edition_of and following > edition_of else following

    def last_measurements(
        self, paper: AnyPaper | str, printer: str | None = None
    ) -> PrintNote | None:
        """The newest print on a paper that was measured (its ``measurements``), or None."""
        where = _asked(paper=paper, printer=printer)
        where.add("measurements <> ''")
        found = self._found(where, 1)
        return found[0] if found else None

    def ink_ml_per_m2(
        self, paper: AnyPaper | str | None = None, printer: str | None = None
    ) -> InkUse | None:
        """Ink for a square metre from the prints noted with theirs; None where none was."""
        where = _asked(paper=paper, printer=printer)
        where.add("ink_ml > 0")
        return ink_use(self._found(where, brief=True))

    # taking away --------------------------------------------------------------

    def csv(self, text: str = "", **asked) -> str:
        """The prints that `search` finds as CSV, with its filters; see `workbench.record.table`."""
        return table_csv(self._found(_asked(text, **asked), brief=True))

    def save_csv(self, folder, text: str = "", *, stem: str = "prints made", **asked) -> Path:
        """Save them as a CSV file under a name that is not taken; returns where it went.

        Raises OutputError if it cannot be written.
        """
        return save_new(folder, stem, ".csv", spreadsheet_bytes(self.csv(text, **asked)))

    def _found(
        self, where: Condition, limit=None, offset: int = 0, *, brief: bool = False
    ) -> tuple[PrintNote, ...]:
        """The notes that meet a condition; ``brief`` leaves out the long texts."""
        names = [f"'' AS {name}" if brief and name in _LONG else name for name in NAMES]
        with store.reading(self.path) as db:
            if db is None:
                return ()
            where.prepare(db)
            rows = db.execute(
                f"SELECT {', '.join(names)} FROM {schema.prints(db)} WHERE {where.sql} "
                "ORDER BY made_at_s DESC, id DESC LIMIT ? OFFSET ?",
                (*where.values, -1 if limit is None else max(0, limit), max(0, offset)),
            )
            return tuple(map(salvaged, rows))


def _asked(
    text="", paper: AnyPaper | str | None = None, printer=None, picture: Picture | str | None = None, since=None, until=None, passed=None,
    removed=False,
) -> Condition:  # fmt: skip
    where = Condition()
    where.add(f"NOT {KEPT}" if removed else KEPT)
    where.words(text)
    if paper is not None:
        where.paper(paper)
    if printer is not None:
        where.like("printer", printer)
    if picture is not None:
        where.picture(picture)
    if since is not None:
        where.since(since)
    if until is not None:
        where.since(until, until=True)
    if passed is not None:
        where.add("passed = ?", int(passed))
    return where


def _values(note: PrintNote) -> list:
    return [*(getattr(note, name) for name in _KEPT), seconds(note.made_on)]


def _former(row: sqlite3.Row) -> Former:
    texts = ("damaged" if isinstance(each, bytes) else each for each in row)
    field, value, changed_on = texts
    return Former(clean_text(str(field)), value, clean_text(str(changed_on)))


def _note(db: sqlite3.Connection, id: int) -> PrintNote:
    if isinstance(id, bool) or not isinstance(id, int) or abs(id) >= 2**63:
        raise RecordError(tr("A print is named by its number in the record, not by {id!r}.", id=id))
    sql = f"SELECT {', '.join(NAMES)} FROM {schema.prints(db)} WHERE id = ?"
    row = db.execute(sql, (id,)).fetchone()
    if row is None:
        raise _no_such(id)
    return salvaged(row)


def _no_such(id) -> RecordError:
    return RecordError(tr("There is no print {id} in this record.", id=id))


def _update(db: sqlite3.Connection, now: PrintNote, after: PrintNote, changed) -> None:
    if not changed:
        return
    at = time_text("")
    db.executemany(
        "INSERT INTO former (print_id, field, value, changed_on) VALUES (?, ?, ?, ?)",
        [(now.id, name, getattr(now, name), at) for name in changed],
    )
    values = {name: getattr(after, name) for name in changed}
    if "made_on" in changed:
        values["made_at_s"] = seconds(after.made_on)
    settings = ", ".join(f"{name} = ?" for name in values)
    with _numbered(after):
        # it is in one of them
        for table in schema.TABLES:
            db.execute(f"UPDATE {table} SET {settings} WHERE id = ?", (*values.values(), now.id))


class _numbered:
    """Say it in words where a number of an edition is taken."""

    def __init__(self, note: PrintNote):
        self._note = note

    def __enter__(self):
        return self

    def __exit__(self, kind, problem, trace) -> None:
        if isinstance(problem, sqlite3.IntegrityError) and "print_edition" in str(problem):
            raise RecordError(
                tr(
                    "Number {edition} of “{picture}” is noted already; take another number, "
                    "or take it out of that print's note first.",
                    edition=self._note.edition,
                    picture=self._note.picture_name,
                )
            ) from None
