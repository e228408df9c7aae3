"""A record that was damaged or made by a stranger: no foreign exception, and nothing is lost.

``WORKBENCH_ATTACKS=3000`` makes the run by hand longer; it is seeded either way.
"""

import os
import random
import sqlite3
from contextlib import closing

import pytest
from record.makers import note

from workbench.errors import RecordError
from workbench.record import Record, open_record, schema

ROUNDS = int(os.environ.get("WORKBENCH_ATTACKS", "120"))
HOSTILE = (
    None, b"\xff\xfe", b"", "", "x", "2026-13-45", "0000-00-00", "9999-12-31T23:59:59+23:59", -1, 0,
    7, 2**62, -(2**63), 1e308, -1e308, "\u202egnp.exe", "=1+1", "a\nb", "<script>", "y" * 1_000_000,
)  # fmt: skip


def old_record(path) -> None:
    """A file of the first version, whose tables take anything."""
    with closing(sqlite3.connect(path)) as db:
        for statement in schema.STEPS[0]:
            db.execute(statement)
        db.execute(f"PRAGMA application_id = {schema.APPLICATION_ID}")
        db.execute("PRAGMA user_version = 1")
        for number in range(1, 9):
            each = note(id=number, notes=f"note {number}", edition_number=number, edition_of=9)
            values = {name: getattr(each, name) for name in schema._TYPES if name != "made_at_s"}
            values["made_at_s"] = 1.7e9 + number
            marks = ", ".join("?" * len(values))
            db.execute(
                f"INSERT INTO print ({', '.join(values)}) VALUES ({marks})", [*values.values()]
            )
        db.execute("INSERT INTO former VALUES (1, 3, 'notes', 'before', '2026-05-04')")
        db.commit()


def use(record: Record) -> None:
    """Everything a person does with a record; only sentences may come of it."""
    acts = [
        lambda: open_record(record.path),
        record.check,
        record.search,
        lambda: record.search(
            "fen moor", paper="Invented Fen", picture="harbour.tif", since="2026-01-01"
        ),
        lambda: record.count("heron"),
        record.papers,
        record.csv,
        lambda: record.search(removed=True),
        lambda: record.next_edition_number("harbour.tif", 9),
        lambda: record.last_measurements("Invented Fen"),
        record.ink_ml_per_m2,
        *(lambda n=n: record.get(n) for n in (1, 3)),
        lambda: record.former(3),
        lambda: record.change(2, notes="changed"),
        lambda: record.remove(3),
        lambda: record.restore(3),
        lambda: record.add(note()),
        lambda: [each.when for each in record.search()],
    ]
    for act in acts:
        try:
            act()
        except RecordError:
            pass


def test_bytes_changed_at_random_end_in_sentences(tmp_path):
    chance = random.Random(15)
    path = tmp_path / "good.sqlite"
    old_record(path)
    good = path.read_bytes()
    record = Record(tmp_path / "prints.sqlite")
    for _ in range(ROUNDS):
        data = bytearray(good)
        for _ in range(chance.choice((1, 1, 2, 8, 64))):
            data[chance.randrange(len(data))] = chance.randrange(256)
        if chance.random() < 0.1:
            del data[chance.randrange(len(data)) :]
        record.path.write_bytes(data)
        use(record)


@pytest.mark.parametrize("version", [1, 2])
def test_values_of_a_stranger_end_in_sentences_and_the_rest_serves(tmp_path, version):
    chance = random.Random(version)
    record = Record(tmp_path / "prints.sqlite")
    columns = [*schema._TYPES][1:]
    for _ in range(ROUNDS // 10):
        record.path.unlink(missing_ok=True)
        old_record(record.path)
        if version == 2:
            record.add(note())
        with closing(sqlite3.connect(record.path)) as db:
            for _ in range(chance.choice((1, 3))):
                column = chance.choice(columns)
                try:
                    db.execute(
                        f"UPDATE print SET {column} = ? WHERE id = 3", (chance.choice(HOSTILE),)
                    )
                    if chance.random() < 0.3:
                        text = f"UPDATE print SET {column} = CAST(x'c3ff41' AS TEXT) WHERE id = 3"
                        db.execute(text)
                except sqlite3.IntegrityError:
                    # refused where it should be
                    pass
            db.commit()
        everyone = {each.id for each in (*record.search(), *record.search(removed=True))}
        assert everyone >= set(range(1, 9))
        assert "note 5" in record.csv()
        use(record)
        assert record.get(5).notes == "note 5"


def damaged_record(path, **values) -> Record:
    old_record(path)
    with closing(sqlite3.connect(path)) as db:
        for column, value in values.items():
            db.execute(f"UPDATE print SET {column} = ? WHERE id = 3", (value,))
        db.commit()
    return Record(path)


def test_a_damaged_note_is_shown_kept_and_moved_with_the_rest(tmp_path):
    path = tmp_path / "prints.sqlite"
    record = damaged_record(
        path, made_on="2026-13-45", rating=b"\xff", picture_name="harbour\0.tif"
    )
    shown = record.get(3)
    assert "damaged: its made on and rating cannot be read" in shown.damage
    assert shown.rating is None and shown.notes == "note 3" and shown.picture_name == "harbour .tif"
    assert sum(bool(each.damage) for each in record.search()) == 1 and record.count() == 8
    with pytest.raises(RecordError, match="damaged.*note the print anew"):
        record.change(3, notes="mended")
    # the next note brings the file up to date, and the damaged row comes along as it was
    added = record.add(note())
    assert added.id == 9 and record.count() == 9
    assert record.get(3) == shown and record.former(3)[0].value == "before"
    with closing(sqlite3.connect(path)) as db:
        row = db.execute("SELECT made_on, rating FROM unfit WHERE id = 3").fetchone()
        assert row == ("2026-13-45", b"\xff")
    assert record.remove(3).removed_on and record.count() == 8
    assert [each.id for each in record.search(removed=True)] == [3]
    assert not record.restore(3).removed_on and record.count() == 9


def test_a_number_of_the_old_file_is_never_given_again(tmp_path):
    record = damaged_record(tmp_path / "prints.sqlite")
    with closing(sqlite3.connect(record.path)) as db:
        db.execute("DELETE FROM print WHERE id = 8")
        db.commit()
    assert record.add(note()).id == 9


def test_an_old_record_without_the_right_to_write_is_read(tmp_path):
    record = damaged_record(tmp_path / "prints.sqlite", rating="many")
    before = record.path.read_bytes()
    assert record.count() == len(record.search()) == 8
    assert record.path.read_bytes() == before


@pytest.mark.parametrize(
    "kind",
    [
        "VIEW v AS SELECT 1",
        "TRIGGER t AFTER INSERT ON print BEGIN DELETE FROM print; END",
        "VIRTUAL TABLE unfit USING rtree(id, low, high)",
    ],
)
def test_what_would_act_by_itself_is_refused(tmp_path, kind):
    record = damaged_record(tmp_path / "prints.sqlite")
    with closing(sqlite3.connect(record.path)) as db:
        db.execute(f"CREATE {kind}")
        db.commit()
    for act in (record.search, lambda: record.add(note())):
        with pytest.raises(RecordError, match="views, triggers or"):
            act()
