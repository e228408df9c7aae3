"""Keeping, finding, changing and removing notes."""

from datetime import date
from types import SimpleNamespace

import pytest
from record.makers import NOTE, note

from workbench.demo import demo_papers
from workbench.errors import RecordError
from workbench.library.folders import user_record_file
from workbench.record import FILE_VARIABLE, Record, open_record
from workbench.record.find import folded


@pytest.fixture
def record(tmp_path):
    return open_record(tmp_path / "prints.sqlite")


def names(found) -> list[str]:
    return [each.picture_name for each in found]


def test_looking_makes_no_file(record):
    assert record.search() == () and record.count() == 0 and record.papers() == ()
    assert record.ink_ml_per_m2() is None and record.last_measurements("Invented Fen") is None
    assert record.next_edition_number("harbour.tif") == 1
    with pytest.raises(RecordError, match="no print 1"):
        record.get(1)
    assert not record.begun and not record.path.exists()


def test_where_the_record_lies(monkeypatch, tmp_path):
    monkeypatch.setenv(FILE_VARIABLE, str(tmp_path / "class" / "ours.sqlite"))
    record = open_record()
    record.add(NOTE)
    assert record.path == tmp_path / "class" / "ours.sqlite" and record.path.is_file()
    assert Record(tmp_path / "named.sqlite").path.name == "named.sqlite"
    monkeypatch.delenv(FILE_VARIABLE)
    assert Record().path == user_record_file()


# -- finding


def test_the_newest_print_comes_first_whatever_the_offset(record):
    # 12:30 UTC, 13:00 UTC, 12:45 UTC
    for name, made_on in (
        ("early", "2026-05-04T14:30:00+02:00"),
        ("late", "2026-05-04T09:00:00-04:00"),
        ("middle", "2026-05-04T12:45:00+00:00"),
    ):
        record.add(note(picture_name=name, made_on=made_on))
    assert names(record.search()) == ["late", "middle", "early"]
    assert names(record.search(limit=1, offset=1)) == ["middle"]
    assert names(record.search(since="2026-05-04T12:40:00+00:00")) == ["late", "middle"]
    assert names(record.search(until="2026-05-04T12:40:00+00:00")) == ["early"]
    assert record.search(since=date(2027, 1, 1)) == ()


def test_words_are_found_anywhere_without_case_and_accents(record):
    record.add(note(picture_name="Été à Grönland.tif", notes="STRASSE im Süden"))
    record.add(note(picture_name="quay.tif", change_next_time="warmer by 50 %_, please"))
    for text in ("ete", "ÉTÉ", "e\u0301te\u0301", "grOnland", "straße", "Straße suden"):
        assert names(record.search(text)) == ["Été à Grönland.tif"], text
    assert names(record.search("quay warmer")) == ["quay.tif"]
    assert names(record.search('"warmer by 50"')) == ["quay.tif"]
    assert record.search('"warmer 50"') == () and record.search("quay colder") == ()
    # no wildcards: letter for letter
    assert names(record.search("%_")) == ["quay.tif"]
    assert record.search("q%y") == () and record.search("q__y") == ()
    # the day, but not the minutes
    assert record.count("2026-05-04") == 2 and record.count("14:30") == 0
    assert record.count("") == record.count("  ") == 2


def test_folding_knows_letters_that_are_no_accents():
    # Unicode's case folding and decompositions; stroke and ligature letters are ours
    assert folded("ẞ Ŵ Ǻ ﬁ") == "ss w a fi"
    assert folded("Łódź, Đà Nẵng, Ærø, Œuvre") == "lodz, da nang, aero, oeuvre"
    assert folded("Ιωάννης") == folded("ΙΩΑΝΝΗΣ")


def test_papers_printers_pictures_and_verdicts(record):
    fen, moor = demo_papers()[:2]
    record.add(note(paper_name=fen.name, profile_sha256=fen.icc.checksum))
    # the same sheet under a former name
    record.add(note(paper_name="My old sheet", profile_sha256=fen.icc.checksum, passed=False))
    record.add(note(paper_name=moor.name.upper(), printer="Other", picture_sha256="ff" * 32))
    assert record.count(paper=fen) == 2 and record.count(paper="My OLD sheet") == 1
    assert record.count(paper=moor) == 1 and record.count(paper=moor, printer="other") == 1
    assert record.count(paper=fen, printer="Other") == 0
    assert record.count(passed=False) == 1 and record.count(passed=True) == 2
    assert record.papers() == tuple(sorted([fen.name, "My old sheet", moor.name.upper()],
                                           key=str.casefold))  # fmt: skip
    assert record.count(picture="HARBOUR.tif") == 3


def test_the_last_measurements_of_a_paper(record):
    record.add(note(made_on="2026-01-01", measurements="old"))
    record.add(note(made_on="2026-02-01", measurements="new"))
    record.add(note(made_on="2026-03-01", measurements=""))
    record.add(note(made_on="2026-04-01", measurements="else", paper_name="Invented Moor"))
    record.remove(record.add(note(made_on="2026-05-01", measurements="taken out")).id)
    assert record.last_measurements("Invented Fen").measurements == "new"
    assert record.last_measurements("Invented Fen", "Invented Heron 24").measurements == "new"
    assert record.last_measurements("Invented Fen", "Another printer") is None


# -- changing


def test_a_change_touches_only_its_fields_and_keeps_what_they_said(record):
    kept = record.add(NOTE)
    after = record.change(kept.id, notes="better", rating=5)
    assert (after.notes, after.rating) == ("better", 5)
    assert after.change_next_time == NOTE.change_next_time and record.get(kept.id) == after
    assert [(each.field, each.value) for each in record.former(kept.id)] == [
        ("notes", NOTE.notes),
        ("rating", 4),
    ]
    record.change(kept.id, made_on="2027-01-01T00:00:00+00:00")
    later = record.add(note(made_on="2026-12-31T00:00:00+00:00"))
    assert [each.id for each in record.search()] == [kept.id, later.id]
    with pytest.raises(RecordError, match="id"):
        record.change(kept.id, id=7)
    with pytest.raises(RecordError, match="weight"):
        record.change(kept.id, weight=7)
    for odd in ("1", 2**70, True, None):
        with pytest.raises(RecordError):
            record.get(odd)


def test_two_windows_change_one_print(record):
    shown = record.add(NOTE)
    record.change(shown.id, seen=shown, notes="from the other window")
    # another field: both stay
    assert record.change(shown.id, seen=shown, rating=1).notes == "from the other window"
    with pytest.raises(RecordError, match="notes of this print was changed in another window"):
        record.change(shown.id, seen=shown, notes="from this window")
    assert record.get(shown.id).notes == "from the other window"


def test_removed_notes_are_out_of_sight_and_can_come_back(record):
    kept = record.add(NOTE)
    removed = record.remove(kept.id)
    assert removed.removed_on and record.search() == () and record.count() == 0
    assert record.search(removed=True) == (removed,) == (record.remove(kept.id),)
    with pytest.raises(RecordError, match="bring it back"):
        record.change(kept.id, notes="x")
    assert record.restore(kept.id) == kept and record.search() == (kept,)
    # its number is not given again
    record.remove(kept.id)
    assert record.add(note()).id > kept.id


# -- editions


def test_edition_numbers_go_on_and_are_given_once(record):
    for number in (1, 2, 3):
        record.add(note(edition_number=number, edition_of=10))
    assert record.next_edition_number("harbour.tif", 10) == 4
    assert record.next_edition_number("harbour.tif") == 1
    assert record.next_edition_number("another.tif", 10) == 1
    retouched = SimpleNamespace(name="Harbour.tif", path=None)
    assert record.next_edition_number(retouched, 10) == 4
    with pytest.raises(RecordError, match="Number 3 of 10 of “harbour.tif” is noted already"):
        record.add(note(edition_number=3, edition_of=10))
    # another edition, another picture
    record.add(note(edition_number=3, edition_of=25))
    record.add(note(edition_number=3))
    third = record.add(note(edition_number=3, edition_of=10, picture_sha256="ee" * 32))
    with pytest.raises(RecordError, match="noted already"):
        record.add(note(edition_number=3))
    # a spoilt print gives its number back, and cannot come back while it is taken
    record.remove(third.id)
    record.add(note(edition_number=3, edition_of=10, picture_sha256="ee" * 32))
    with pytest.raises(RecordError, match="noted already"):
        record.restore(third.id)
    record.add(note(edition_number=10, edition_of=10))
    assert record.next_edition_number("harbour.tif", 10) is None


# -- ink


def test_ink_for_a_square_metre_is_the_median_of_the_noted_prints(record):
    # by hand: 0.12 m² took 1.2, 1.44 and 6 ml, which is 10, 12 and 50 ml/m²
    for ink_ml in (6, 1.2, 1.44, None, 0):
        record.add(note(ink_ml=ink_ml))
    record.add(note(ink_ml=3, paper_name="Invented Moor", inked_mm2=0.15e6))
    use = record.ink_ml_per_m2("Invented Fen")
    assert (use.median_ml_per_m2, use.count) == (pytest.approx(12), 3)
    assert (use.lowest_ml_per_m2, use.highest_ml_per_m2) == (pytest.approx(10), pytest.approx(50))
    assert use.sentence == (
        "About 12.0 ml of ink per square metre of an average picture: the median of 3 prints "
        "(10.0 to 50.0)."
    )
    # the median of 10, 12, 20 and 50
    assert record.ink_ml_per_m2().median_ml_per_m2 == pytest.approx(16)
    # with the bleed's ink: 3 ml on 0.15 m²
    moor = record.ink_ml_per_m2("invented moor", "Invented Heron 24")
    assert moor.median_ml_per_m2 == pytest.approx(20) and "one print only" in moor.sentence
    assert record.ink_ml_per_m2(printer="Another") is None
