"""The record panel, driven without a browser, on records in temporary files."""

import csv
import io
import os
from contextlib import suppress
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from types import SimpleNamespace

import numpy as np
import pytest
import traitlets
from library.makers import paper_profile
from panel_helpers import pick, rows, settle
from picture.makers import tiff_bytes
from record.makers import NOTE, note

from workbench.analysis.cost import print_cost
from workbench.demo import demo_papers, demo_picture
from workbench.errors import RecordError
from workbench.output.ink import ink_load
from workbench.panels import parts
from workbench.panels.outcome import Outcome
from workbench.panels.record.panel import RecordPanel
from workbench.panels.record.reading import PAGE
from workbench.panels.record.words import ASKED, drift_sentence, typed_value
from workbench.paper import open_paper
from workbench.picture import open_picture
from workbench.plan import Plan
from workbench.plan_file import plan_text, read_plan
from workbench.plan_file.again import plan_again
from workbench.record import FILE_VARIABLE, Record, open_record


@pytest.fixture
def file(tmp_path):
    return tmp_path / "prints.sqlite"


@pytest.fixture
def make(file, open_panel):
    def make(plan=None, record=file, **more):
        return open_panel(RecordPanel, plan or plan_of(), file=record, **more)

    return make


@pytest.fixture
def picture_file(tmp_path):
    path = tmp_path / "pictures" / "quay.tif"
    path.parent.mkdir()
    rng = np.random.default_rng(2)
    path.write_bytes(tiff_bytes(rng.integers(0, 255, (200, 300, 3), np.uint8)))
    return path


def plan_of(**more):
    papers = demo_papers()
    return Plan(**{"picture": demo_picture(), "papers": papers, "paper": papers[1], **more})


def press(panel, button):
    assert not button.disabled
    button.click()
    settle(panel)


def type_in(form, **texts):
    for key, text in texts.items():
        form.controls[key].field.value = text


# -- what it shows


def test_without_a_picture_and_a_record_it_says_so_and_writes_nothing(make, file):
    panel = make(Plan())
    view = panel.view
    assert view.count.text == "No prints noted yet."
    assert "Nothing is written on your disk" in view.count.widget.value
    assert view.cost.text == "Open a picture to see what its print costs."
    assert rows(panel) == [] and view.chosen.layout.display == "none"
    press(panel, view.note_it)
    assert view.new_said.kind == "problem" and "Open the picture" in view.new_said.text
    assert panel.status.text == "" and not file.exists()


def test_the_record_of_the_environment_is_taken(monkeypatch, make, tmp_path):
    monkeypatch.setenv(FILE_VARIABLE, str(tmp_path / "class.sqlite"))
    panel = make(record=None)
    assert panel.record.path == tmp_path / "class.sqlite"
    assert str(tmp_path / "class.sqlite") in panel.view.place.value


def test_every_control_is_named_and_explained(make):
    panel = make()
    view = panel.view
    controls = [*view.new.controls.values(), *view.form.controls.values(), view.copies, view.ink,
                view.ink_price, view.search, view.paper, view.which, view.saving.folder]  # fmt: skip
    for control in controls:
        marks = panel.front.attributes(control.field)
        chosen = ", of the chosen print" if control in view.form.controls.values() else ""
        assert marks["aria-label"] == control.name + chosen and len(marks["title"]) > 15
    assert set(view.form.controls) == {words.key for words in ASKED}
    for button in (view.note_it, view.save, view.undo, view.start, view.remove, view.back,
                   view.again, view.older, view.newer, view.take_ink, view.saving.buttons["csv"]):  # fmt: skip
        assert len(button.tooltip) > 15


def test_names_from_files_are_words_and_not_html(make, file):
    evil = "<img src=x onerror=alert(1)>"
    open_record(file).add(note(picture_name=evil, paper_name=evil, verdict=evil, printer=evil))
    panel = make()
    pick(panel, 0)
    view = panel.view
    for widget in (view.facts, view.title, view.count.widget, view.learnt, view.place):
        assert "<img" not in widget.value
    assert "&lt;img" in view.facts.value and "&lt;img" in view.title.value


# -- the price


def test_the_price_follows_the_plan(make, file):
    paper = replace(demo_papers()[1], currency="EUR",
                    price_per_sheet=(("A4", 2.4), ("A3", 4.2)))  # fmt: skip
    plan = plan_of(papers=(paper,), paper=paper, size_from="size", long_side_mm=380, border_mm=10)
    panel = make(plan)
    # 380 mm × 253.3 mm with borders of 10 mm lies on A3
    assert panel.view.cost.text == "Paper 4.20 EUR (one sheet of A3)."
    panel.view.copies.field.value = 10
    panel.view.ink.field.value = 12.0
    panel.view.ink_price.field.value = 0.625
    assert (plan.copies, plan.ink_ml_per_m2, plan.ink_price_per_ml) == (10, 12, 0.625)
    size, solved = plan.print_size(), plan.solved()
    load = ink_load(solved.job, solved.layout)
    wanted = print_cost(
        paper, size.width_mm + 20, size.height_mm + 20, copies=10, ink_ml_per_m2=12,
        ink_price_per_ml=0.625, coverage_mm2=size.width_mm * size.height_mm, ink_load=load,
    )  # fmt: skip
    assert panel.view.cost.text == wanted.sentence
    # by hand: 0.38 m × 0.2533 m × 12 ml/m² × 0.625 and the sheet, ten times
    assert wanted.total == pytest.approx(
        10 * (4.2 + 0.38 * 0.38 / 1.5 * 12 * load * 0.625), rel=1e-4
    )
    # a stretched canvas takes more of both
    plan.bleed_mm = 20
    # in whole pixels at 360 ppi: 380 mm are 5386, two thirds of it 3591, 20 mm 283
    inked_m2 = (5386 + 2 * 283) * (3591 + 2 * 283) * (0.0254 / 360) ** 2
    assert plan.cost().ink_ml == pytest.approx(12 * load * inked_m2, rel=1e-6)
    panel.view.ink.field.value = 0.0
    assert plan.ink_ml_per_m2 is None and "not known" in panel.view.cost.widget.value
    plan.ppi, plan.size_from = 0.01, "ppi"
    assert panel.view.cost.text == "No price without a size."


def test_ink_is_learnt_from_the_prints_on_this_paper(make, file):
    plan = plan_of()
    record = open_record(file)
    panel = make(plan)
    assert panel.view.learnt.layout.display == "none"
    # 1.44, 1.2 and 2.4 ml on 0.12 m² are 12, 10 and 20 ml/m²
    for ink_ml in (1.44, 1.2, 2.4):
        record.add(note(ink_ml=ink_ml, paper_name=plan.paper.name, printer="Another"))
    record.add(note(ink_ml=9, paper_name="Invented Moor"))
    press(panel, panel.view.again)
    said = panel.view.learnt.value
    assert f"Your prints on {plan.paper.name}: about 12.0 ml" in said and "3 prints" in said
    press(panel, panel.view.take_ink)
    assert plan.ink_ml_per_m2 == 12 and panel.view.ink.value == 12
    # on a paper without prints, all of them; the median of 10, 12, 20 and 75
    plan.paper = demo_papers()[3]
    settle(panel)
    assert "on all papers together: about 16.0 ml" in panel.view.learnt.value


# -- noting


def test_a_print_is_noted_with_its_plan(make, file, picture_file):
    plan = plan_of(picture=open_picture(picture_file, "sRGB"), intent="perceptual", copies=10)
    panel = make(plan)
    new = panel.view.new
    # the next of the edition is suggested
    assert new.controls["edition_number"].value == "1"
    assert new.controls["edition_number"].name == "Number in the edition (of 10)"
    type_in(new, ink_ml="2,5 ml", passed="no", rating="2", notes="dull", change_next_time="lift",
            made_on="2026-05-04")  # fmt: skip
    press(panel, panel.view.note_it)
    assert panel.view.new_said.text == "“quay.tif” of 4 May 2026, number 1 of 10, is in the record."
    (kept,) = open_record(file).search()
    assert (kept.picture_name, kept.paper_name, kept.intent) == (
        "quay.tif", plan.paper.name, "perceptual",
    )  # fmt: skip
    assert (kept.ink_ml, kept.passed, kept.rating) == (2.5, False, 2)
    assert (kept.notes, kept.change_next_time, kept.edition) == ("dull", "lift", "1 of 10")
    assert kept.made_on.startswith("2026-05-04T00:00:00")
    # the plan that is kept with it makes the same print again
    again = read_plan(kept.plan_text, picture_file.parent)
    assert again.intent == "perceptual" and again.picture.path == picture_file
    assert again.print_size() == plan.print_size()
    # the next one is suggested, the fields are empty, and the print is shown
    values = {key: control.value for key, control in new.controls.items()}
    assert values.pop("edition_number") == "2" and not any(values.values())
    assert len(rows(panel)) == 1 and "quay.tif" in rows(panel)[0]
    assert panel.view.form.controls["notes"].value == "dull"


def test_two_quick_clicks_note_one_print(make, file):
    panel = make()
    panel.view.note_it.click()
    with suppress(AssertionError):
        press(panel, panel.view.note_it)
    settle(panel)
    assert open_record(file).count() == 1 and not panel.view.note_it.disabled


def test_what_cannot_be_noted_stays_in_its_fields(make, file):
    panel = make(plan_of(copies=3))
    new = panel.view.new
    type_in(new, ink_ml="a lot", notes="long thoughts")
    press(panel, panel.view.note_it)
    assert "Ink used: “a lot” is not a number" in panel.view.new_said.text
    assert panel.front.attributes(new.controls["ink_ml"].field)["aria-invalid"] == "true"
    type_in(new, ink_ml="3", edition_number="4")
    assert panel.front.attributes(new.controls["ink_ml"].field)["aria-invalid"] is None
    press(panel, panel.view.note_it)
    assert "no number 4 in an edition of 3" in panel.view.new_said.text
    assert new.controls["notes"].value == "long thoughts" and not panel.view.note_it.disabled
    assert not file.exists()
    # a number of one's own is not replaced by the suggested one
    press(panel, panel.view.again)
    assert new.controls["edition_number"].value == "4"
    type_in(new, edition_number="3")
    press(panel, panel.view.note_it)
    assert open_record(file).search()[0].edition == "3 of 3"
    assert new.controls["edition_number"].value == ""
    assert new.controls["edition_number"].field.placeholder == "all 3 are noted"


def test_an_edition_number_taken_by_another_window_is_said(make, file):
    plan = plan_of(copies=10)
    one, other = make(plan), make(plan_of(copies=10))
    press(one, one.view.note_it)
    # the other window suggested 1 as well
    assert other.view.new.controls["edition_number"].value == "1"
    press(other, other.view.note_it)
    assert "Number 1 of 10" in other.view.new_said.text and "already" in other.view.new_said.text
    press(other, other.view.again)
    assert other.view.new.controls["edition_number"].value == "2"
    press(other, other.view.note_it)
    assert [each.edition for each in open_record(file).search()] == ["2 of 10", "1 of 10"]


def test_the_written_file_and_the_verdict_are_noted_once(make, file, tmp_path):
    panel = make(plan_of())
    written = SimpleNamespace(path=tmp_path / "out.tif", checksum="ab" * 32, ppi=720.0)
    verdict = SimpleNamespace(sentence="A little off.", passed=False, mean=2.5)
    plan = panel.plan
    Outcome.of(plan).written, Outcome.of(plan).verdict, Outcome.of(plan).measurements = (
        written,
        verdict,
        "CGATS.17\n",
    )
    assert "“out.tif”; the verdict “A little off.”; its measurements" in panel.view.going_with.value
    press(panel, panel.view.note_it)
    (kept,) = open_record(file).search()
    assert (kept.file_name, kept.file_sha256, kept.ppi) == ("out.tif", "ab" * 32, 720)
    assert (kept.verdict, kept.passed, kept.mean_de00) == ("A little off.", False, 2.5)
    assert kept.measurements == "CGATS.17\n"
    assert panel.view.handed.layout.display == "none"
    # another paper, another file
    Outcome.of(plan).written = written
    panel.plan.paper = demo_papers()[0]
    assert panel.view.handed.layout.display == "none"
    Outcome.of(plan).written = written
    # what the person says comes before the verdict
    Outcome.of(plan).verdict = verdict
    type_in(panel.view.new, passed="yes")
    press(panel, panel.view.note_it)
    assert open_record(file).search()[0].passed is True


def test_a_plan_that_hands_over_is_listened_to(make):
    plan = Plan(picture=demo_picture())
    panel = make(plan)
    Outcome.of(plan).written = SimpleNamespace(path="a/b.tif", checksum="", ppi=360.0)
    assert "“b.tif”" in panel.view.going_with.value
    press(panel, panel.view.note_it)
    assert open_record(panel.record.path).search()[0].file_name == "b.tif"


# -- browsing


def test_words_papers_and_removed_prints(make, file):
    record = open_record(file)
    for name, paper in (("Été.tif", "Invented Fen"), ("quay.tif", "Invented Fen"),
                        ("quay 2.tif", "Invented Moor")):  # fmt: skip
        record.add(note(picture_name=name, paper_name=paper))
    panel = make()
    view = panel.view
    assert len(rows(panel)) == 3 and "3 prints, the newest first." in view.listed.value
    view.search.field.value = "ETE"
    settle(panel)
    assert [row.split()[1] for row in rows(panel)] == ["Été.tif"]
    view.search.field.value = "nowhere"
    settle(panel)
    assert rows(panel) == [] and "No print answers that." in view.listed.value
    view.search.field.value = ""
    assert [label for label, _ in view.paper.field.options] == [
        "all papers", "Invented Fen", "Invented Moor",
    ]  # fmt: skip
    view.paper.field.value = "Invented Moor"
    settle(panel)
    assert len(rows(panel)) == 1 and "quay 2.tif" in rows(panel)[0]
    view.paper.field.value = ""
    record.remove(1)
    view.which.field.value = True
    settle(panel)
    assert len(rows(panel)) == 1
    pick(panel, 0)
    assert view.form.widget.layout.display == "none" and view.save.layout.display == "none"
    press(panel, view.back)
    assert record.count() == 3 and rows(panel) == []
    assert "back among the prints made" in view.said.text


def test_a_long_record_is_turned_page_by_page(make, file):
    record = open_record(file)
    start = datetime(2026, 1, 1, tzinfo=UTC)
    for number in range(PAGE + 30):
        record.add(note(picture_name=f"p{number}", made_on=start + timedelta(days=number)))
    panel = make()
    view = panel.view
    assert len(rows(panel)) == PAGE and f" p{PAGE + 29} " in rows(panel)[0]
    assert f"Prints 1 to {PAGE} of {PAGE + 30}, the newest first." in view.listed.value
    assert view.newer.disabled
    press(panel, view.older)
    assert len(rows(panel)) == 30 and " p29 " in rows(panel)[0] and view.older.disabled
    # prints that were removed elsewhere meanwhile leave no empty page
    for each in record.search()[:-10]:
        record.remove(each.id)
    press(panel, view.again)
    assert len(rows(panel)) == 10 and view.newer.layout.display == "none"


def test_another_window_is_seen_when_the_record_is_read_again(make, file):
    one, other = make(), make()
    press(other, other.view.note_it)
    assert rows(one) == []
    press(one, one.view.again)
    assert len(rows(one)) == 1 and one.view.count.text.startswith("1 print noted")


def test_hidden_it_does_nothing_and_shown_it_reads_again(make, file):
    front = parts.Front()
    panel = make(front=front)
    assert panel.held is None
    panel.show(True)
    settle(panel)
    assert panel.held.total == 0
    panel.show(False)
    open_record(file).add(NOTE)
    panel.show(True)
    settle(panel)
    assert panel.held.total == 1


# -- the chosen print


def test_changes_are_saved_and_typing_is_kept_while_looking_around(make, file):
    record = open_record(file)
    first = record.add(note(picture_name="first", made_on="2026-01-02"))
    record.add(note(picture_name="second", made_on="2026-01-01"))
    panel = make()
    view = panel.view
    pick(panel, 0)
    assert "first" in view.title.value and view.undo.disabled
    for said in ("Invented Fen, on Invented Heron 24, set to Matte, heavy",
                 "relative colorimetric, with black point compensation", "1.25 CIEDE2000",
                 "kept with this print", "1.44 ml, 12 ml per square metre of an average picture"):  # fmt: skip
        assert said in view.facts.value
    type_in(view.form, notes="typed", rating="1")
    assert "Not saved yet: How content, Notes." in view.unsaved.value
    pick(panel, 1)
    assert view.form.controls["notes"].value == NOTE.notes
    assert rows(panel)[0].split()[1] == "✎"
    pick(panel, 0)
    assert view.form.controls["notes"].value == "typed"
    press(panel, view.save)
    assert view.said.text == "The print is saved."
    assert record.get(first.id).notes == "typed" and record.get(first.id).rating == 1
    # nothing else was touched
    kept = replace(first, notes="typed", rating=1)
    assert record.get(first.id) == kept
    type_in(view.form, ink_ml="", passed="")
    press(panel, view.save)
    assert record.get(first.id) == replace(kept, ink_ml=None, passed=None)
    type_in(view.form, notes="once more")
    press(panel, view.undo)
    assert view.form.controls["notes"].value == "typed" and view.undo.disabled
    press(panel, view.save)
    assert view.said.text == "Nothing was changed."


def test_a_field_changed_in_another_window_is_not_written_over(make, file):
    record = open_record(file)
    kept = record.add(note())
    panel = make()
    pick(panel, 0)
    type_in(panel.view.form, notes="mine")
    record.change(kept.id, notes="theirs", rating=1)
    press(panel, panel.view.save)
    assert "changed in another window" in panel.view.said.text
    assert record.get(kept.id).notes == "theirs"
    press(panel, panel.view.again)
    # what was typed is still there, and can be saved now
    assert panel.view.form.controls["notes"].value == "mine"
    press(panel, panel.view.save)
    assert (record.get(kept.id).notes, record.get(kept.id).rating) == ("mine", 1)


def test_removing_can_be_undone(make, file):
    record = open_record(file)
    kept = record.add(NOTE)
    panel = make()
    pick(panel, 0)
    assert panel.view.undo_removing.layout.display == "none"
    press(panel, panel.view.remove)
    assert rows(panel) == [] and record.count() == 0
    assert panel.view.chosen.layout.display == "none"
    press(panel, panel.view.undo_removing)
    assert record.search() == (kept,) and len(rows(panel)) == 1
    assert "harbour.tif" in panel.view.title.value
    assert panel.view.undo_removing.layout.display == "none"
    press(panel, panel.view.undo_removing)
    assert "Nothing was removed" in panel.view.said.text


# -- a new plan from an old one


def noted(file, plan):
    return open_record(file).add(note(plan_text=plan_text(plan)))


def test_the_plan_of_a_print_is_taken_over(make, file, picture_file):
    own = open_picture(picture_file, "sRGB")
    # as from the shelf: known by its profile, which lies in no file that the plan can name
    shelf_paper = replace(demo_papers()[0], name="My sheet", invented=False)
    old = plan_of(picture=own, paper=shelf_paper, papers=(shelf_paper,), copies=5, sharpening=0.4,
                  size_from="size", long_side_mm=210.0, intent="absolute")  # fmt: skip
    noted(file, old)
    plan = plan_of(papers=(*demo_papers(), shelf_paper), ink_price_per_ml=0.7)
    panel = make(plan)
    seen = []
    plan.observe(lambda change: seen.append(change["name"]), names=traitlets.All)
    pick(panel, 0)
    press(panel, panel.view.start)
    assert panel.view.said.text == "The plan is as it was for “harbour.tif” of 4 May 2026."
    assert plan.picture.path == picture_file and plan.paper is shelf_paper
    assert (plan.copies, plan.sharpening, plan.intent) == (5, 0.4, "absolute")
    assert plan.print_size() == old.print_size()
    assert len(plan.papers) == len(demo_papers()) + 1
    # not known then, and so left as it is
    assert plan.ink_price_per_ml == 0.7
    assert len(seen) == len(set(seen))


def test_a_missing_picture_and_paper_are_said_and_the_rest_is_taken(make, file, picture_file):
    lost = open_paper(paper_profile(), name="Lost sheet")
    old = plan_of(picture=open_picture(picture_file, "sRGB"), paper=lost,
                  papers=(*demo_papers(), lost), intent="absolute", copies=7,
                  other_paper=demo_papers()[2])  # fmt: skip
    noted(file, old)
    picture_file.unlink()
    plan = plan_of()
    panel = make(plan)
    pick(panel, 0)
    before = (plan.picture, plan.paper)
    press(panel, panel.view.start)
    said = panel.view.said.text
    assert "What is missing stays as it was before." in said
    assert "The picture “quay.tif” was not taken over" in said
    assert "The paper “Lost sheet” was not taken over" in said
    assert "Line " not in said
    assert (plan.picture, plan.paper) == before
    assert (plan.intent, plan.copies) == ("absolute", 7)
    assert plan.other_paper is demo_papers()[2]


def test_a_picture_that_has_changed_since_is_taken_and_told(make, file, picture_file):
    noted(file, plan_of(picture=open_picture(picture_file, "sRGB")))
    picture_file.write_bytes(tiff_bytes(np.full((100, 300, 3), 90, np.uint8)))
    panel = make()
    pick(panel, 0)
    press(panel, panel.view.start)
    assert panel.plan.picture.height_px == 100
    assert "quay.tif" in panel.view.said.text and "changed" in panel.view.said.text


def test_odd_plan_texts_are_refused_in_words_and_write_nothing(make, file, tmp_path):
    plan = plan_of()
    good = plan_text(plan_of(paper=replace(demo_papers()[0], name="../../evil", invented=False)))
    for text, said in (
        ("", "No plan was kept"),
        ("= broken", "is damaged"),
        ("a = 1\n", "not a print plan"),
        ("workbench_plan = 99\n", "newer workbench"),
    ):
        with pytest.raises(RecordError, match=said):
            plan_again(text, plan.papers)
    # a profile is only ever laid out under a plain name in a folder of its own
    mark = demo_papers()[0].icc.checksum
    bad = good.replace('profile = "', f'profile = "{tmp_path}/written here ')
    assert mark in bad
    again = plan_again(bad, plan.papers)
    assert again.left_out and not list(tmp_path.glob("written*"))
    # a section that makes no sense does not take the others along
    again = plan_again('workbench_plan = 1\n[size]\nppi = -3\n[colour]\nintent = "absolute"\n')
    assert again.plan.intent == "absolute" and "The part “size”" in again.left_out[0]
    # without a plan there is no button to press
    open_record(file).add(note(plan_text=""))
    panel = make()
    pick(panel, 0)
    assert panel.view.start.disabled


def test_a_paper_at_hand_by_its_file_is_recognised(tmp_path):
    paper = open_paper(demo_papers()[2].profile, name="From a file")
    plan = plan_of(paper=paper, papers=(paper,))
    again = plan_again(plan_text(plan), (paper,))
    assert again.plan.paper.profile == paper.profile and not again.left_out


# -- taking away, and what goes wrong


def test_the_table_is_saved_beside_the_picture(make, file, picture_file):
    record = open_record(file)
    record.add(note(picture_name="quay.tif"))
    record.add(note(picture_name="reeds.tif"))
    panel = make(plan_of(picture=open_picture(picture_file, "sRGB")))
    panel.view.search.field.value = "quay"
    settle(panel)
    press(panel, panel.view.saving.buttons["csv"])
    saved = picture_file.parent / "prints made.csv"
    assert panel.view.saving.said.text == f"Saved as {saved}"
    text = saved.read_text(encoding="utf-8-sig")
    assert [row["Picture"] for row in csv.DictReader(io.StringIO(text))] == ["quay.tif"]
    # with what the field says, which a click may overtake
    name = panel.front._class_of(panel.view.saving.buttons["csv"])
    panel.front._listeners[(name, "press")]({"text": str(file.parent / "nowhere")})
    settle(panel)
    assert panel.view.saving.said.kind == "problem"
    assert "does not exist" in panel.view.saving.said.text


def test_a_damaged_record_is_said_and_read_again_once_it_is_mended(make, file):
    open_record(file).add(NOTE)
    whole = file.read_bytes()
    damaged = b"A letter to a friend.\n" * 300
    file.write_bytes(damaged)
    panel = make()
    assert panel.status.kind == "problem" and "is damaged" in panel.status.text
    assert panel.view.count.text == "It could not be read."
    press(panel, panel.view.note_it)
    assert "is damaged" in panel.view.new_said.text and file.read_bytes() == damaged
    file.write_bytes(whole)
    press(panel, panel.view.again)
    assert panel.status.kind == "" and panel.view.count.text.startswith("1 print noted")


def test_a_record_that_cannot_be_written_keeps_what_was_typed(make, tmp_path):
    (tmp_path / "file").write_text("x")
    panel = make(record=tmp_path / "file" / "prints.sqlite")
    type_in(panel.view.new, notes="long thoughts")
    press(panel, panel.view.note_it)
    assert panel.view.new_said.kind == "problem"
    assert panel.view.new.controls["notes"].value == "long thoughts"
    assert os.listdir(tmp_path) == ["file"]


def test_the_figure_shows_the_listed_prints(make, file):
    record = open_record(file)
    for day, mean in (("2026-01-01", 1.0), ("2026-02-01", 1.4), ("2026-03-01", 3.2)):
        record.add(note(made_on=day, mean_de00=mean))
    panel = make()
    # drawn once it is in view, and again with every reading
    assert panel.view.figure.image.value == b""
    panel.view.over_time.button.click()
    assert panel.view.figure.alt.startswith("Mean CIEDE2000 of 3 measured prints")
    first = bytes(panel.view.figure.image.value)
    assert first.startswith(b"\x89PNG")
    record.add(note(made_on="2026-02-20", mean_de00=None))
    press(panel, panel.view.again)
    assert bytes(panel.view.figure.image.value) != first
    # the median of 1.0 and 1.4
    assert (
        "3.2 CIEDE2000 (absolute) off on average; the median of the 2 prints before it was 1.2."
        in (panel.view.drift.value)
    )
    assert drift_sentence([]) == ""


@pytest.mark.parametrize(
    "key, typed, value",
    [
        ("ink_ml", " 1,25 ml", 1.25),
        ("ink_ml", "", None),
        ("edition_number", "3", 3),
        ("edition_number", "3.0", 3),
        ("passed", "", None),
        ("passed", "yes", True),
        ("notes", "\na\n\nb\n", "a\n\nb"),
    ],
)
def test_typed_words(key, typed, value):
    assert typed_value(key, typed) == value


@pytest.mark.parametrize(
    "key, typed", [("edition_number", "3.5"), ("ink_ml", "nan"), ("made_on", "soon")]
)
def test_typed_words_that_mean_nothing(key, typed):
    label = next(words.label for words in ASKED if words.key == key)
    with pytest.raises(RecordError, match=label):
        typed_value(key, typed)


def test_the_panel_and_a_script_see_one_record(make, file):
    panel = make()
    press(panel, panel.view.note_it)
    assert Record(file).search()[0].picture_name == demo_picture().name


def test_a_plan_begun_anew_keeps_what_belongs_to_no_print(make, file):
    plan = plan_of()
    panel = make(plan)
    press(panel, panel.view.note_it)
    plan.measured_paper = readings = object()
    Outcome.of(plan).written, Outcome.of(plan).measurements = (
        SimpleNamespace(path="a.tif"),
        "CGATS.17\n",
    )
    plan.ink_ml_per_m2, plan.border_mm = 9.0, 77.0
    panel.choose(0)
    press(panel, panel.view.start)
    assert plan.border_mm == 0.0
    # readings opened and the printer's ink are no part of a print; its file and figures are
    assert plan.measured_paper is readings and plan.ink_ml_per_m2 == 9.0
    assert Outcome.of(plan).written is None and Outcome.of(plan).measurements == ""
