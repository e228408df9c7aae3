"""The one widget that saves to a folder: where, what is told, cancelling."""

import doctest
import threading

from workbench.errors import OutputError
from workbench.files import save_new
from workbench.panels.parts import saving
from workbench.panels.parts.saving import Act, SaveTo


def note(data=b"1"):
    def begin(folder):
        return lambda cancelled, progress: save_new(folder, "note", ".txt", data)

    return Act("Save the note", "As text", begin)


def press(front, made, typed, name="note"):
    made.folder.field.value = str(typed)
    made.buttons[name].click()
    assert front.scheduler.wait_until_idle(20)


def test_its_example_runs():
    found = doctest.testmod(saving)
    assert found.attempted > 0 and found.failed == 0


def test_it_saves_under_free_names_and_says_where(front, tmp_path):
    made = SaveTo(front, {"note": note()})
    press(front, made, tmp_path)
    assert made.said.kind == "remark" and str(tmp_path / "note.txt") in made.said.text
    press(front, made, f"'{tmp_path}'")
    assert {path.name for path in tmp_path.iterdir()} == {"note.txt", "note-2.txt"}


def test_without_a_folder_the_originals_is_taken_or_one_is_asked_for(front, tmp_path):
    beside = SaveTo(front, {"note": note()}, original=lambda: tmp_path / "picture.tif")
    press(front, beside, "  ")
    assert (tmp_path / "note.txt").exists()
    asks = SaveTo(front, {"note": note()})
    press(front, asks, "  ")
    assert asks.said.kind == "problem" and "Type the folder" in asks.said.text


def test_the_text_that_comes_with_a_press_counts(front, tmp_path):
    made = SaveTo(front, {"note": note()})
    class_name = front.tag(made.buttons["note"])
    front._listeners[(class_name, "press")]({"text": str(tmp_path)})
    assert front.scheduler.wait_until_idle(20)
    assert (tmp_path / "note.txt").exists()


def test_what_is_wrong_is_told_and_goes_with_the_next_success(front, tmp_path):
    made = SaveTo(front, {"note": note()})
    press(front, made, tmp_path / "nowhere")
    assert made.said.kind == "problem" and "does not exist" in made.said.text

    def nothing(folder):
        raise OutputError("There is nothing to save.")

    other = SaveTo(front, {"note": Act("Save", "", nothing)})
    press(front, other, tmp_path)
    assert other.said.text == "There is nothing to save."
    press(front, made, tmp_path)
    assert made.said.kind == "remark"


def test_notes_of_the_last_file_do_not_stand_below_the_next_ones_trouble(front, tmp_path):
    act = Act("Save", "", note().begin, notes=lambda written: f"<p>{written.name}</p>")
    made = SaveTo(front, {"note": act})
    press(front, made, tmp_path)
    assert "note.txt" in made.notes.value
    press(front, made, tmp_path / "nowhere")
    assert made.notes.value == ""


def test_cancelling_stops_the_work_and_is_told(front, tmp_path):
    begun, told = threading.Event(), []

    def begin(folder):
        def work(cancelled, progress):
            progress(0.25, "Writing")
            begun.set()
            while not cancelled():
                threading.Event().wait(0.005)
            told.append(True)

        return work

    made = SaveTo(front, {"slow": Act("Write", "", begin)}, long=True)
    assert made.cancel.disabled
    made.folder.field.value = str(tmp_path)
    made.buttons["slow"].click()
    assert begun.wait(20) and not made.cancel.disabled
    made.cancel.click()
    assert front.scheduler.wait_until_idle(20)
    assert told == [True] and made.cancel.disabled
    assert made.said.kind == "remark" and "Cancelled" in made.said.text
