"""A note: what it keeps of a plan, and that it comes back letter for letter."""

import hashlib
from dataclasses import replace
from datetime import UTC, date, datetime
from types import SimpleNamespace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from record.makers import NOTE, note

from workbench.demo import demo_papers, demo_picture
from workbench.errors import RecordError, SizeError
from workbench.output.ink import ink_load
from workbench.picture import open_picture
from workbench.plan import Plan
from workbench.record import PrintNote, Record, note_of

# halves of surrogate pairs included, which no text file can hold
ODD = st.text(st.characters(exclude_categories=()), max_size=60)


@pytest.fixture(scope="module")
def record(tmp_path_factory):
    return Record(tmp_path_factory.mktemp("record") / "prints.sqlite")


def test_every_field_comes_back(record):
    kept = record.add(NOTE)
    assert kept == replace(NOTE, id=kept.id) and kept.id is not None
    assert record.get(kept.id) == kept
    assert kept.edition == "3 of 10" and kept.when.utcoffset().total_seconds() == 7200
    # 400 mm × 300 mm is 0.12 m², and 1.44 ml on it 12 ml/m²
    assert kept.area_m2 == pytest.approx(0.12) and kept.ink_ml_per_m2 == pytest.approx(12)


@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
@given(notes=ODD, change=ODD, plan=ODD, verdict=ODD, paper=ODD)
def test_odd_text_comes_back_letter_for_letter(record, notes, change, plan, verdict, paper):
    given_texts = {"notes": notes, "change_next_time": change, "plan_text": plan}
    kept = record.add(note(**given_texts, verdict=verdict, paper_name=paper))
    found = record.get(kept.id)
    assert found == kept
    for name, text in {**given_texts, "verdict": verdict}.items():
        expected = text.replace("\0", "")
        if not any("\ud800" <= letter <= "\udfff" for letter in text):
            assert getattr(found, name) == expected
        else:
            getattr(found, name).encode("utf-8")
    assert "\n" not in found.paper_name
    # found again by what it says, whatever that is
    if notes.strip() and '"' not in notes and "“" not in notes and "\0" not in notes:
        assert kept.id in {each.id for each in record.search(found.notes)}


def test_a_note_of_a_plan_says_what_was_printed(tmp_path):
    path = tmp_path / "quay.tif"
    from picture.makers import tiff_bytes

    pixels = (demo_picture().preview(60)[..., :3] / 257).astype("uint8")
    path.write_bytes(tiff_bytes(pixels))
    picture = open_picture(path, "sRGB")
    paper = demo_papers()[0].with_details(printer="Invented Heron 24", media_setting="Matte")
    plan = Plan(
        picture=picture, paper=paper, size_from="size", long_side_mm=300, intent="perceptual",
        black_point_compensation=False, bleed_mm=20, converts="driver",
    )  # fmt: skip
    made = note_of(plan, plan_text="version = 1\n", ink_ml=2)
    assert made.picture_name == "quay.tif"
    # as sha256sum prints it
    assert made.picture_sha256 == hashlib.sha256(path.read_bytes()).hexdigest()
    assert made.profile_sha256 == hashlib.sha256(paper.profile).hexdigest()
    assert (made.paper_name, made.printer, made.media_setting) == (
        paper.name, "Invented Heron 24", "Matte",
    )  # fmt: skip
    assert max(made.width_mm, made.height_mm) == pytest.approx(300)
    # 20 mm of bleed all round take ink as well, by the picture's own colours
    solved = plan.solved()
    load = ink_load(solved.job, solved.layout)
    assert made.inked_mm2 == pytest.approx((made.width_mm + 40) * (made.height_mm + 40) * load)
    # 2 ml on this picture, told of an average one, as the plan's ink is and the price takes it
    plan.ink_ml_per_m2 = made.ink_ml_per_m2
    assert plan.cost().ink_ml == pytest.approx(2, rel=0.01)
    assert (made.intent, made.black_point_compensation, made.converts) == (
        "perceptual", False, "driver",
    )  # fmt: skip
    assert made.plan_text == "version = 1\n" and made.ink_ml == 2 and made.passed is None
    now = datetime.now(UTC)
    assert abs((now - made.when).total_seconds()) < 60


def test_the_written_file_and_the_verdict_are_noted_with_it(tmp_path):
    written = SimpleNamespace(path=tmp_path / "out.tif", checksum="d4" * 32, ppi=720.0)
    verdict = SimpleNamespace(sentence="A little too warm.", passed=False, mean=3.5)
    made = note_of(Plan(picture=demo_picture(), paper=demo_papers()[1]), written, verdict)
    assert (made.file_name, made.file_sha256, made.ppi) == ("out.tif", "d4" * 32, 720)
    assert (made.verdict, made.passed, made.mean_de00) == ("A little too warm.", False, 3.5)


def test_a_note_can_be_made_of_anything_with_the_same_names():
    made = note_of(SimpleNamespace(picture=SimpleNamespace(name="", path=None), width_mm=100))
    assert made.picture_name == "Untitled picture" and made.width_mm == 100
    assert made.paper_name == "" and made.ink_ml_per_m2 is None


@pytest.mark.parametrize(
    "changes, said",
    [
        ({"picture_name": " \t"}, "say which picture"),
        ({"made_on": "last Tuesday"}, "2026-05-04"),
        ({"made_on": date(1, 1, 1)}, "year 1"),
        ({"ink_ml": -1}, "ink is a number from 0"),
        ({"ink_ml": float("nan")}, "ink is a number"),
        ({"width_mm": float("inf")}, "width is a number"),
        ({"rating": 6}, "from 1 to 5"),
        ({"rating": 2.5}, "whole number"),
        ({"edition_number": 11, "edition_of": 10}, "no number 11 in an edition of 10"),
        ({"notes": 7}, "must be text"),
        ({"notes": "x" * 4_000_001}, "4,000,000"),
        ({"passed": "perhaps"}, "yes, no or not known"),
    ],
)
def test_what_cannot_be_is_refused_in_words(record, changes, said):
    before = record.count()
    with pytest.raises(RecordError, match=said):
        record.add(note(**changes))
    assert record.count() == before


def test_unknown_fields_and_sizes_that_do_not_add_up_are_refused():
    plan = Plan(picture=demo_picture())
    with pytest.raises(RecordError, match="colour_of_frame"):
        note_of(plan, colour_of_frame="red")
    with pytest.raises(RecordError, match="id"):
        note_of(plan, id=3)
    plan.ppi = 0.001
    with pytest.raises(SizeError):
        note_of(plan)


def test_a_time_without_an_offset_is_local_time(record):
    kept = record.add(note(made_on="2026-05-04 14:30"))
    assert kept.when == datetime(2026, 5, 4, 14, 30).astimezone()
    assert record.add(note(made_on=date(2026, 5, 4))).when.hour == 0
    assert PrintNote().edition == "" and note(edition_number=2).edition == "2"


def test_a_scans_verdict_does_not_stand_among_measurements():
    scanned = SimpleNamespace(sentence="Fine.", passed=True, mean=0.2, caveat="Only a scan.")
    made = note_of(Plan(picture=demo_picture(), paper=demo_papers()[1]), None, scanned)
    assert (made.verdict, made.passed, made.mean_de00) == ("Fine. Only a scan.", None, None)
