"""The parts of panels, driven without a browser.

``widget.set_state`` is what Jupyter calls when the page sends a new value, and
``_handle_custom_msg`` when it sends a message, so they stand for the person.
"""

from __future__ import annotations

import gc
import io
import logging
import os
import threading
import time

import ipywidgets as widgets
import numpy as np
import pytest
from panel_helpers import choose, page_says, send_file
from PIL import Image

from workbench.errors import Cancelled, SizeError, WorkbenchError
from workbench.figures import style
from workbench.figures.live import LiveFigure
from workbench.language import LANGUAGE
from workbench.panels import parts
from workbench.panels.parts import folders, picture_view
from workbench.panels.parts.guard import UNEXPECTED


@pytest.fixture
def worker():
    made = parts.Scheduler(rest_s=0.02)
    yield made
    made.close()


# -- the scheduler


def test_only_the_newest_of_a_burst_is_worked_on(worker):
    started, done = [], []
    for n in range(10):
        worker.submit("k", lambda c, p, n=n: started.append(n) or n, done.append)
    assert worker.wait_until_idle(5)
    assert started == [9]
    assert done == [9]


def test_work_starts_after_the_debounce():
    worker = parts.Scheduler(rest_s=0.15)
    begun = threading.Event()
    asked = time.monotonic()
    worker.submit("k", lambda c, p: begun.set(), lambda _: None)
    assert begun.wait(5)
    assert time.monotonic() - asked >= 0.15
    # whoever waits for it does not go on, and need not wait for the rest as well
    worker.rest_s = 60
    worker.submit("k", lambda c, p: None, lambda _: None)
    assert worker.wait_until_idle(5)
    worker.close()


def test_cancelled_work_is_told_and_never_publishes(worker):
    running, told, done = threading.Event(), [], []

    def slow(cancelled, progress):
        running.set()
        deadline = time.monotonic() + 5
        while not cancelled() and time.monotonic() < deadline:
            time.sleep(0.001)
        told.append(cancelled())
        return "old"  # finishes all the same

    worker.submit("k", slow, done.append)
    assert running.wait(5)
    worker.submit("k", lambda c, p: "new", done.append)
    assert worker.wait_until_idle(5)
    assert told == [True]
    assert done == ["new"]


def test_no_older_result_is_published_once_submit_has_returned(worker):
    showing, shown = threading.Event(), []

    def show(result):
        showing.set()
        time.sleep(0.05)  # long enough for a submit that does not wait
        shown.append(result)

    worker.submit("k", lambda c, p: "old", show)
    assert showing.wait(5)
    worker.submit("k", lambda c, p: "new", shown.append)
    assert shown == ["old"]  # it was shown before submit returned, and so before any preview
    assert worker.wait_until_idle(5)
    assert shown == ["old", "new"]


def test_results_never_go_backwards(worker):
    worker.rest_s = 0
    newest, stale, published = -1, [], []

    def show(n):
        if n < newest:
            stale.append((n, newest))
        published.append(n)

    for n in range(300):
        worker.submit("k", lambda c, p, n=n: n, show)
        newest = n
        if n % 3 == 0:
            time.sleep(0.001)
    assert worker.wait_until_idle(5)
    assert published[-1] == 299
    assert len(published) > 1
    assert stale == []


def test_different_keys_do_not_cancel_one_another(worker):
    done = []
    for key in "abc":
        worker.submit(key, lambda c, p, key=key: key, done.append)
    assert worker.wait_until_idle(5)
    assert sorted(done) == ["a", "b", "c"]


def test_cancel_gives_up_one_key_only(worker):
    done = []
    worker.submit("a", lambda c, p: "a", done.append)
    worker.submit("b", lambda c, p: "b", done.append)
    assert worker.is_busy("a")
    worker.cancel("a")
    assert not worker.is_busy("a")
    assert worker.is_busy("b")
    assert worker.wait_until_idle(5)
    assert done == ["b"]


def test_progress_is_limited_to_ten_a_second(worker):
    seen = []

    def work(cancelled, progress):
        end = time.monotonic() + 0.35
        while time.monotonic() < end:
            progress(2.0, "strip")  # beyond 1 is taken for 1
            time.sleep(0.001)

    worker.submit("k", work, lambda _: None, lambda fraction, text: seen.append((fraction, text)))
    assert worker.wait_until_idle(5)
    assert 2 <= len(seen) <= 4
    assert set(seen) == {(1.0, "strip")}


def test_submitting_from_a_result_works(worker):
    done = []

    def first(result):
        done.append(result)
        worker.submit("k", lambda c, p: "second", done.append)

    worker.submit("k", lambda c, p: "first", first)
    assert worker.wait_until_idle(5)
    assert done == ["first", "second"]


def test_a_count_does_not_hold_up_what_makes_a_picture_finer(worker):
    gate, done = threading.Barrier(3), []
    worker.submit("count", lambda c, p: gate.wait(5), lambda _: done.append("count"))
    worker.submit(
        "finer", lambda c, p: gate.wait(5), lambda _: done.append("finer"), lane=parts.FINER
    )
    worker.submit(
        "file", lambda c, p: gate.wait(5), lambda _: done.append("file"), lane=parts.FILES
    )
    assert worker.wait_until_idle(10)
    assert sorted(done) == ["count", "file", "finer"]  # none of them waited for another


def test_results_are_shown_one_at_a_time_and_only_with_the_turn(worker):
    together, most = [], []

    def show(_):
        together.append(1)
        time.sleep(0.01)
        most.append(len(together))
        together.pop()

    for lane in (parts.FINER, parts.WHOLE, parts.FILES):
        worker.submit(lane, lambda c, p: 1, show, lane=lane)
    with worker.turn:
        time.sleep(0.1)
        assert not most
    assert worker.wait_until_idle(5)
    assert most == [1, 1, 1]


def test_doors_to_one_lane_have_keys_of_their_own(worker):
    done = []
    doors = [worker.on(parts.FILES, 0), worker.on(parts.FILES, 0)]
    for n, door in enumerate(doors):
        door.submit("write", lambda c, p, n=n: n, done.append)
    assert worker.wait_until_idle(5)
    assert done == [0, 1]


def test_errors_become_sentences_and_go_with_the_next_success(worker, status):
    def fails(cancelled, progress):
        raise SizeError("The border is wider than the paper; make it narrower.")

    worker.submit("k", fails, lambda _: None, status=status)
    assert worker.wait_until_idle(5)
    assert (status.kind, status.text) == (
        "problem",
        "The border is wider than the paper; make it narrower.",
    )
    worker.submit("k", lambda c, p: 1, lambda _: None, status=status)
    assert worker.wait_until_idle(5)
    assert status.kind == ""


def test_a_result_that_cannot_be_shown_is_told(worker, status, caplog):
    with caplog.at_level(logging.ERROR, logger="workbench"):
        worker.submit("k", lambda c, p: 1, lambda _: 1 / 0, status=status)
        assert worker.wait_until_idle(5)
    assert status.text == UNEXPECTED
    assert "ZeroDivisionError" in caplog.text


def test_progress_shows_in_the_status_and_goes_when_done(worker, status):
    seen = []

    def work(cancelled, progress):
        progress(0.25, "Reading the picture")
        seen.append((status.kind, status.text, status._bar.value))

    worker.submit("k", work, lambda _: None, status=status)
    assert worker.wait_until_idle(5)
    ((kind, text, bar),) = seen
    assert (kind, text) == ("work", "Reading the picture")
    assert 'aria-valuenow="25"' in bar
    assert status.kind == ""


def test_cancelled_is_nothing_to_tell(worker, status):
    def gives_up(cancelled, progress):
        raise Cancelled

    done = []
    worker.submit("k", gives_up, done.append, status=status)
    assert worker.wait_until_idle(5)
    assert done == []
    assert status.kind == ""


def test_waiting_for_idle_can_run_out(worker):
    gate = threading.Event()
    worker.submit("k", lambda c, p: gate.wait(5), lambda _: None)
    assert not worker.wait_until_idle(0.1)
    gate.set()
    assert worker.wait_until_idle(5)


def test_close_ends_the_thread_and_later_requests_are_ignored():
    worker, done = parts.Scheduler(rest_s=0), []
    worker.submit("k", lambda c, p: 1, done.append)
    assert worker.wait_until_idle(5)
    thread = worker._lanes[parts.WHOLE].thread
    worker.close()
    assert not thread.is_alive()
    worker.submit("k", lambda c, p: 2, done.append)
    assert worker.wait_until_idle(1)
    assert done == [1]


def test_an_idle_thread_ends_and_a_new_one_starts():
    worker, done = parts.Scheduler(rest_s=0, linger_s=0.05), []
    worker.submit("k", lambda c, p: 1, done.append)
    thread = worker._lanes[parts.WHOLE].thread
    thread.join(5)
    assert not thread.is_alive()
    worker.submit("k", lambda c, p: 2, done.append)
    assert worker.wait_until_idle(5)
    assert done == [1, 2]
    worker.close()


# -- guard and status


def test_an_empty_line_takes_no_room_and_work_moves_nothing(status):
    def kinds():
        return {name for name in status.widget._dom_classes if name.startswith("wb-status-")}

    assert kinds() == {"wb-status-empty"}
    status.say("Written.")
    assert kinds() == set()
    status.working("Counting", 0.2)
    status.working("Counting", 0.4)
    assert kinds() == {"wb-status-work"}
    status.problem("No such file.", source="a")
    assert kinds() == set()
    status.solved("a")
    assert kinds() == {"wb-status-empty"}
    assert status.widget.layout.display != "none"  # or it would not be read aloud


def test_our_own_errors_are_shown_as_they_are(status):
    @parts.guarded(status)
    def callback():
        raise WorkbenchError("This is not a picture; choose another file.")

    assert callback() is None
    assert (status.kind, status.text) == ("problem", "This is not a picture; choose another file.")


def test_other_errors_are_logged_and_told_plainly(status, caplog):
    @parts.guarded(status)
    def callback():
        raise RuntimeError("secret <detail>")

    with caplog.at_level(logging.ERROR, logger="workbench"):
        assert callback() is None
    assert status.text == UNEXPECTED
    assert "settings are kept" in status.text
    assert "secret" not in status._line.value
    assert "Traceback" not in status._line.value
    assert "secret <detail>" in caplog.text
    assert "Traceback" in caplog.text


def test_cancelled_callbacks_leave_the_line_alone(status):
    status.say("All is well")

    @parts.guarded(status)
    def callback():
        raise Cancelled

    callback()
    assert (status.kind, status.text) == ("remark", "All is well")


def test_success_takes_its_own_problem_away_and_no_other(status):
    wrong = True

    @parts.guarded(status)
    def callback():
        if wrong:
            raise WorkbenchError("Too wide.")
        return 7

    callback()
    parts.guarded(status)(lambda: None)()
    assert status.text == "Too wide."
    wrong = False
    assert callback() == 7
    assert status.kind == ""
    status.problem("Said by someone else")
    callback()
    assert status.text == "Said by someone else"


def test_guard_survives_a_broken_status_line(caplog):
    class Broken:
        def problem(self, *args, **kwargs):
            raise OSError("page closed")

        solved = problem

    with caplog.at_level(logging.ERROR, logger="workbench"):
        assert parts.guarded(Broken())(lambda: 1)() is None
        assert parts.guarded(Broken())(lambda: 1 / 0)() is None
    assert "ZeroDivisionError" in caplog.text


def test_guard_takes_a_status_line_made_later(front):
    class Panel:
        status = None

        def callback(self):
            raise WorkbenchError("Later.")

    panel = Panel()
    callback = parts.guarded(lambda: panel.status)(panel.callback)
    panel.status = parts.StatusLine(front)
    callback()
    assert panel.status.text == "Later."


@pytest.mark.parametrize("say", ["say", "problem", "working"])
def test_status_escapes(status, say):
    getattr(status, say)('<img src=x onerror="alert(1)">')
    assert "<img" not in status._line.value
    assert "&lt;img" in status._line.value


def test_status_is_announced_but_its_bar_is_not(front, status):
    assert front.attributes(status._line)["role"] == "status"
    status.working("Reading", 0.5)
    announced = status._line.value
    status.working("Reading", 0.9)
    assert status._line.value == announced
    assert 'aria-valuenow="90"' in status._bar.value
    assert status._bar.layout.display == ""
    status.say("Done")
    assert status._bar.layout.display == "none"


def test_sentences_and_headings_escape():
    sentence = parts.Sentence("Paper <b>")
    sentence.say("<script>", mark="preview", detail="<i>")
    for widget in (sentence.widget, parts.heading("<script>"), parts.html("<i>")):
        assert not any(tag in widget.value for tag in ("<script>", "<b>", "<i>"))
    assert "preview" in sentence.widget.value
    with pytest.raises(ValueError, match="level 2, 3 or 4"):
        parts.heading("x", level=1)


# -- controls


def make_slider(front, **options):
    options = {"value": 300, "min": 72, "max": 720, "unit": "ppi", "help": "Fineness"} | options
    return parts.slider(front, "Resolution", **options)


def test_the_person_is_heard_and_code_is_not(front):
    heard = []
    control = make_slider(front)
    control.on_change(heard.append)
    control.value = 360
    assert heard == []
    assert (control.field.value, control.slider.value) == (360, 360)
    control.slider.set_state({"value": 240})
    control.field.set_state({"value": 180})
    assert heard == [240, 180]
    assert (control.value, control.field.value, control.slider.value) == (180, 180, 180)


def test_more_may_be_typed_than_slid(front):
    heard = []
    control = make_slider(front, typed=(10, 2880))
    control.on_change(heard.append)
    control.field.set_state({"value": 1440})
    assert (control.value, control.slider.value) == (1440, 720)
    assert heard == [1440]
    control.field.set_state({"value": 99999})
    assert control.value == 2880


def test_what_the_person_moves_is_not_written_back(front):
    # a value sent back to the moving slider would undo the moves made meanwhile
    control = make_slider(front, value=1.4, min=0.5, max=3, step=0.01)
    sent = []
    control.slider.observe(lambda change: sent.append(change["new"]), "value")
    control.slider.set_state({"value": 1.4100000000000001})
    control.value = control.value  # a plan that follows and is followed
    assert sent == [1.4100000000000001]
    assert control.value == 1.41
    assert control.field.value == 1.41


def test_exact_values_from_code_are_kept(front):
    heard = []
    control = parts.number(front, "Width", unit="mm", value=1, min=1, max=5000, step=0.1)
    control.on_change(heard.append)
    control.value = 203.2187
    assert control.value == 203.2187
    assert control.field.value == 203.2
    assert heard == []


def test_a_slider_that_is_given_a_value_is_told_not_to_answer(front, monkeypatch):
    # Jupyter's slider sends back the nearest step of every value that it is given, as long
    # as it reports continuously; both must arrive in one message
    control = make_slider(front, value=1.4, min=0.5, max=3, step=0.01)
    sent = []

    def send_state(key=None):
        keys = [key] if isinstance(key, str) else key
        sent.append({name: getattr(control.slider, name) for name in keys})

    monkeypatch.setattr(control.slider, "send_state", send_state)
    control.value = 2.3456
    assert sent == [{"continuous_update": False, "value": 2.35}, {"continuous_update": True}]
    sent.clear()
    control.set(25.0, (10, 50))
    assert sent == [
        {"continuous_update": False, "max": 50.0, "min": 10.0, "value": 25.0},
        {"continuous_update": True},
    ]
    assert (control.field.value, control.field.min, control.field.max) == (25, 10, 50)


def test_the_nearest_step_that_a_new_slider_reports_is_not_taken_for_a_move(front):
    heard = []
    control = make_slider(front, value=123.4, decimals=1)  # from 72 on in whole steps
    control.on_change(heard.append)
    control.slider.set_state({"value": 123.0})
    assert heard == [] and control.value == 123.4
    control.value = 200.5  # a half goes up on the page
    control.slider.set_state({"value": 201.0})
    assert heard == [] and control.value == 200.5
    control.slider.set_state({"value": 202.0})
    assert heard == [202.0]


def test_a_typed_number_stays_as_typed(front):
    control = parts.number(front, "Width", unit="mm", value=1, min=1, max=5000, step=0.1)
    control.field.set_state({"value": 203.25})
    assert (control.value, control.field.value) == (203.25, 203.25)


def test_limits_may_move_past_one_another(front):
    control = make_slider(front)
    control.limits(1000, 2000)
    assert (control.value, control.slider.min, control.slider.max) == (1000, 1000, 2000)
    control.limits(10, 20)
    assert (control.value, control.field.value, control.slider.value) == (20, 20, 20)


def test_whole_and_broken_numbers(front):
    assert isinstance(make_slider(front).slider, widgets.IntSlider)
    assert isinstance(make_slider(front, step=0.5).slider, widgets.FloatSlider)
    assert parts.number(front, "x", value=1, min=0, max=2, step=0.25).decimals == 2


def test_sliders_follow_the_finger(front):
    control = make_slider(front)
    assert control.slider.continuous_update
    assert not control.field.continuous_update  # a half-typed number is not a number


def test_every_control_has_a_name_with_its_unit_and_help(front):
    made = [
        make_slider(front),
        parts.number(front, "Resolution", unit="ppi", value=1, min=0, max=2, help="Fineness"),
        parts.choice(front, "Resolution", unit="ppi", options=[1, 2], help="Fineness"),
        parts.text(front, "Resolution", unit="ppi", help="Fineness"),
    ]
    for control in made:
        for widget in control._named():
            said = front.attributes(widget)
            assert said["aria-label"] == "Resolution (ppi)"
            assert said["title"] == "Fineness"
        assert "Resolution (ppi)" in control._label.value
    ticked = parts.tick(front, "Show as adapted", help="As the eye sees it")
    assert ticked.field.description == "Show as adapted"
    assert front.attributes(ticked.field)["title"] == "As the eye sees it"


def test_renaming_reaches_the_label_and_the_name(front):
    control = make_slider(front)
    control.rename("Resolution", "dots per cm")
    assert front.attributes(control.slider)["aria-label"] == "Resolution (dots per cm)"
    assert "dots per cm" in control._label.value


def test_disabling_reaches_both_widgets(front):
    control = make_slider(front)
    control.disabled = True
    assert control.slider.disabled
    assert control.field.disabled
    assert control.disabled


def test_choices(front):
    heard = []
    control = parts.choice(
        front, "Paper", options=[("Invented matte", "m"), ("Invented gloss", "g")]
    )
    control.on_change(heard.append)
    assert control.value == "m"
    control.field.set_state({"index": 1})
    assert heard == ["g"]
    control.replace([("Other", "o"), ("Another", "a")], "a")
    assert control.value == "a"
    assert heard == ["g"]


def test_ticks_texts_and_buttons(front):
    heard = []
    ticked, typed = parts.tick(front, "On"), parts.text(front, "Name")
    ticked.on_change(heard.append)
    typed.on_change(heard.append)
    ticked.field.set_state({"value": True})
    typed.field.set_state({"value": "Harbour"})
    parts.button(front, "Go", lambda: heard.append("clicked")).click()
    assert heard == [True, "Harbour", "clicked"]


def test_two_threads_leave_a_control_in_one_piece(front):
    control = make_slider(front)

    def drive(widget, values):
        for value in values:
            widget.set_state({"value": value})

    rng = np.random.default_rng(5)
    threads = [
        threading.Thread(target=drive, args=(widget, rng.integers(72, 721, 200).tolist()))
        for widget in (control.slider, control.field)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert 72 <= control.value <= 720
    control.slider.set_state({"value": 100})
    control.slider.set_state({"value": 101})
    assert (control.value, control.field.value) == (101, 101)


# -- the front


def test_tags_are_kept_and_may_be_taken_back(front):
    widget = widgets.HTML()
    name = front.tag(widget, alt="A harbour", aria_label="x")
    assert name in widget._dom_classes
    assert front.marks[name] == {"alt": "A harbour", "aria-label": "x"}
    assert front.tag(widget, aria_label=None) == name
    assert front.marks[name] == {"alt": "A harbour", "aria-label": None}
    assert front.tag(widgets.HTML(), alt="other") != name


def test_alternative_texts_wait_until_the_slider_rests(front):
    widget = widgets.Image()
    name = front.tag(widget, alt="one")
    front.set_state({"ready": True})
    sent = []
    front.observe(lambda change: sent.append(change["new"][name]["alt"]), "marks")
    for text in ("two", "three", "four"):
        front.tag(widget, alt=text)
    assert sent == []
    assert front.attributes(widget)["alt"] == "four"
    deadline = time.monotonic() + 5
    while not sent and time.monotonic() < deadline:
        time.sleep(0.01)
    assert sent == ["four"]


def test_the_page_is_heard_and_nonsense_is_not(front, caplog):
    heard, widget = [], widgets.Select()
    front.listen(widget, "open", heard.append)
    page_says(front, widget, "open", index=3)
    page_says(front, widget, "close", index=4)
    front._handle_custom_msg("nonsense", [])
    assert [content["index"] for content in heard] == [3]
    front.listen(widget, "open", lambda content: 1 / 0)
    page_says(front, widget, "open")
    assert "ZeroDivisionError" in caplog.text


def test_root_holds_the_front_and_wraps_rows(front, status):
    made = parts.root(front, parts.row(status, parts.html("x")))
    assert front in made.children
    assert "wb-root" in made._dom_classes
    assert "wb-row" in made.children[0]._dom_classes
    assert status.widget in made.children[0].children


def test_folds_open_and_close(front):
    inside = parts.html("x")
    made = parts.fold("More", inside, front=front)
    assert not made.opened
    assert front.attributes(made.button)["aria-expanded"] == "false"
    made.button.click()
    assert made.opened
    assert made.inside.layout.display == ""
    assert front.attributes(made.button)["aria-expanded"] == "true"
    assert made.button.description.endswith("More")


# -- pictures

PICTURE = np.random.default_rng(1).integers(0, 256, (40, 60, 3), np.uint8)


def decoded(view):
    return Image.open(io.BytesIO(view.image.value))


def test_quick_while_moving_lossless_at_rest(front):
    view = parts.PictureView(front, alt="Noise")
    view.show(PICTURE)
    assert (view.image.format, view.settled) == ("jpeg", False)
    quick = decoded(view)
    assert quick.format == "JPEG"
    assert {layer[1:3] for layer in quick.layer} == {(1, 1)}  # 4:4:4: no channel is thinned
    assert view.wait_until_settled()
    assert view.image.format == "png"
    assert np.array_equal(np.asarray(decoded(view)), PICTURE)


def test_lossless_at_once_when_asked(front):
    view = parts.PictureView(front)
    view.show(PICTURE)
    view.show(PICTURE[::-1], settled=True)
    assert view.settled
    assert np.array_equal(np.asarray(decoded(view)), PICTURE[::-1])


def test_the_next_move_cancels_the_lossless_one(front):
    view = parts.PictureView(front)
    formats = []
    view.image.observe(lambda change: formats.append(view.image.format), "value")
    for shade in range(5):
        view.show(np.full((8, 8, 3), 40 * shade, np.uint8))
    assert view.wait_until_settled()
    assert formats == ["jpeg"] * 5 + ["png"]
    assert np.asarray(decoded(view))[0, 0].tolist() == [160, 160, 160]


def test_from_several_threads_the_latest_picture_stays(front):
    view = parts.PictureView(front)

    def drive(start):
        for shade in range(start, 200, 2):
            view.show(np.full((8, 8, 3), shade, np.uint8))

    threads = [threading.Thread(target=drive, args=(start,)) for start in (0, 1)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    view.show(np.full((8, 8, 3), 222, np.uint8))
    assert view.wait_until_settled()
    assert np.asarray(decoded(view))[0, 0].tolist() == [222, 222, 222]


def test_an_older_picture_that_was_slow_is_not_shown(front, monkeypatch):
    view = parts.PictureView(front)
    encode, begun, gate = picture_view.jpeg, threading.Event(), threading.Event()

    def slow_for_black(array, profile):
        if not array.any():
            begun.set()
            gate.wait(5)
        return encode(array, profile)

    monkeypatch.setattr(picture_view, "jpeg", slow_for_black)
    older = threading.Thread(target=view.show, args=(np.zeros((8, 8, 3), np.uint8),))
    older.start()
    assert begun.wait(5)
    view.show(np.full((8, 8, 3), 255, np.uint8))
    gate.set()
    older.join()
    assert np.asarray(decoded(view)).min() == 255


@pytest.mark.parametrize("length", [500, 65519, 65520, 200_000])
@pytest.mark.parametrize("settled", [False, True])
def test_profiles_are_embedded(front, settled, length):
    profile = np.random.default_rng(2).bytes(length)  # Pillow hands it back unread
    view = parts.PictureView(front, profile=profile)
    view.show(PICTURE, settled=settled)
    picture = decoded(view)
    picture.load()
    assert picture.info["icc_profile"] == profile
    plain = parts.PictureView(front)
    plain.show(PICTURE, settled=settled)
    assert np.array_equal(np.asarray(picture), np.asarray(decoded(plain)))


def test_one_picture_pixel_is_one_device_pixel(front):
    view = parts.PictureView(front)
    view.show(PICTURE)
    assert (view.image.width, view.image.height) == ("60", "40")
    front.set_state({"pixel_ratio": 2.0})
    assert (view.image.width, view.image.height) == ("30", "20")


def test_the_picture_has_an_alternative_text_and_a_neutral_surround(front):
    view = parts.PictureView(front, alt="Boats", caption="As <it> looks")
    assert front.attributes(view.image)["alt"] == "Boats"
    view.show(PICTURE, alt="Other boats")
    assert front.attributes(view.image)["alt"] == "Other boats"
    assert "wb-surround" in view.surround._dom_classes
    assert "<it>" not in view._caption.value


@pytest.mark.parametrize(
    "array",
    [PICTURE / 255, PICTURE[..., 0], PICTURE[..., :2], np.zeros((0, 4, 3), np.uint8)],
    ids=["float", "grey", "two channels", "empty"],
)
def test_other_arrays_are_refused(front, array):
    with pytest.raises(ValueError, match="uint8 is needed"):
        parts.PictureView(front).show(array)


# -- plots


class Level(LiveFigure):
    def __init__(self):
        super().__init__(500, 200)
        axes = style.add_axes(self.figure, xlim=(0, 1), ylim=(0, 1))
        self.bar = self.moving(style.line(axes, [0, 1], [0, 0]))

    def update(self, level):
        self.bar.set_ydata([level, level])


def test_plots_show_a_result_with_its_words(front):
    view = parts.PlotView(front, Level(), alt="Level")
    view.show(0.25, alt="Level at 25 %")
    first = view.image.value
    view.show(0.75, alt="Level at 75 %")
    assert view.image.value != first
    assert front.attributes(view.image)["alt"] == "Level at 75 %"
    assert decoded(view).size == (500, 200)


def test_plots_grow_finer_on_fine_screens(front):
    view = parts.PlotView(front, Level(), alt="Level")
    view.show(0.25)
    front.set_state({"pixel_ratio": 2.0})
    assert decoded(view).size == (1000, 400)
    assert view.image.size_px == (500, 200)


def test_plots_are_drawn_narrower_not_shrunk(front):
    view = parts.PlotView(front, Level(), alt="Level")
    view.show(0.25)
    for room, width in ((410, 410), (40, 300), (4000, 500), (0, 500)):
        page_says(front, view.widget, "width", width=room)
        assert decoded(view).size == (width, 200)


def test_plots_follow_the_theme(front):
    view = parts.PlotView(front, Level(), alt="Level")
    view.show(0.25)
    light = np.asarray(decoded(view)).mean()
    front.set_state({"dark_theme": True})
    assert np.asarray(decoded(view)).mean() < 60 < light


# -- files


@pytest.fixture
def folder(tmp_path):
    for name in ("b10.tif", "b2.TIF", "notes.txt", ".hidden.tif", "<i>a.tif"):
        (tmp_path / name).write_bytes(b"x")
    (tmp_path / "inner folder").mkdir()
    (tmp_path / "inner folder" / "deep.tif").write_bytes(b"x")
    return tmp_path


@pytest.fixture
def chooser(front, folder):
    opened = []
    made = parts.FileChooser(
        front, "Picture file", opened.append, extensions=(".tif",), folder=str(folder)
    )
    made.opened = opened
    return made


def test_typed_paths_are_cleaned(folder, monkeypatch):
    monkeypatch.setenv("HOME", str(folder))
    monkeypatch.setenv("USERPROFILE", str(folder))
    target = str(folder / "inner folder" / "deep.tif")
    forms = [
        target + "  \n",
        f'"{target}"',
        f"' {target} '",
        f"“{target}”",
        "~/inner folder/deep.tif",
        (folder / "inner folder" / "deep.tif").as_uri(),
        f"\u200e{target}",
        str(folder / "inner folder" / ".." / "inner folder" / "deep.tif"),
    ]
    if os.name != "nt":
        forms.append(target.replace(" ", "\\ "))
    for form in forms:
        assert folders.clean_path(form) == target
    assert folders.clean_path("  ") == ""
    assert folders.clean_path('""') == ""


def test_folders_first_then_matching_files_in_peoples_order(folder):
    listing = folders.list_folder(str(folder), (".tif",))
    assert [entry.name for entry in listing.entries] == [
        "inner folder", "<i>a.tif", "b2.TIF", "b10.tif",
    ]  # fmt: skip
    assert listing.parent == str(folder.parent)
    assert len(folders.list_folder(str(folder)).entries) == 5


def test_long_folders_say_how_much_is_left_out(folder, monkeypatch):
    monkeypatch.setattr(folders, "MOST_ENTRIES", 3)
    listing = folders.list_folder(str(folder))
    assert (len(listing.entries), listing.left_out) == (3, 2)


def test_the_top_has_no_folder_above():
    assert folders.list_folder(os.path.abspath(os.sep)).parent is None


def test_walking_by_click_and_enter(front, chooser, folder):
    chooser.browse_button.click()
    assert chooser.wait_until_listed()
    assert chooser.browser.layout.display == ""
    assert chooser.path.value == ""  # looking is not choosing
    chooser.list.set_state({"index": 2})
    assert chooser.path.value == str(folder / "b2.TIF")
    page_says(front, chooser.list, "open", index=0)
    assert chooser.wait_until_listed()
    assert chooser.listing.folder == str(folder / "inner folder")
    assert chooser.path.value == str(folder / "b2.TIF")  # nothing new was chosen
    page_says(front, chooser.list, "open", index=0)
    assert chooser.opened == [str(folder / "inner folder" / "deep.tif")]
    chooser.up_button.click()
    assert chooser.wait_until_listed()
    assert chooser.listing.folder == str(folder)
    page_says(front, chooser.list, "open", index=99)
    assert len(chooser.opened) == 1


def test_typing_and_open_or_enter(front, chooser, folder):
    chooser.path.field.set_state({"value": f' "{folder}/b10.tif" '})
    assert chooser.opened == []  # leaving the field opens nothing
    chooser.open_button.click()
    page_says(front, chooser.path.field, "enter", text=str(folder / "notes.txt"))
    page_says(front, chooser.open_button, "press", text=str(folder / "b2.TIF"))
    assert chooser.opened == [str(folder / n) for n in ("b10.tif", "notes.txt", "b2.TIF")]
    field = front.attributes(chooser.open_button)["on-press"]["field"]
    assert field in chooser.path.field._dom_classes
    chooser.path.value = str(folder / "inner folder")
    chooser.open_button.click()
    assert chooser.wait_until_listed()
    assert chooser.listing.folder == str(folder / "inner folder")


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("", "No file is named yet"),
        ("no such picture.tif", "There is no file “no such picture.tif”"),
        (os.path.join("no such folder", "a.tif"), "There is no folder"),
        ("nul\0l.tif", "null character"),
    ],
)
def test_paths_that_lead_nowhere_are_told(chooser, folder, monkeypatch, typed, said):
    monkeypatch.chdir(folder)
    chooser.path.value = typed
    chooser.open_button.click()
    assert chooser.status.kind == "problem"
    assert said in chooser.status.text
    assert chooser.opened == []


@pytest.mark.parametrize(
    ("error", "said"),
    [
        (PermissionError(13, "Permission denied"), "may not be read"),
        (FileNotFoundError(2, "No such file"), "There is no folder"),
        (NotADirectoryError(20, "Not a directory"), "is a file"),
        (OSError(5, "Input/output error"), "Input/output error"),
    ],
)
def test_folders_that_cannot_be_read_are_told(chooser, folder, monkeypatch, error, said):
    def refuse(path):
        raise error

    monkeypatch.setattr(folders.os, "scandir", refuse)
    chooser.browse()
    assert chooser.wait_until_listed()
    assert chooser.status.kind == "problem"
    assert said in chooser.status.text
    assert str(folder) in chooser.status.text
    monkeypatch.undo()
    chooser.browse()
    assert chooser.wait_until_listed()
    assert chooser.status.kind == ""


def test_what_opening_finds_wrong_is_told_beside_the_field(front, folder):
    def refuse(source):
        raise WorkbenchError("This is not a picture; choose another file.")

    chooser = parts.FileChooser(front, "Picture file", refuse, folder=str(folder))
    chooser.path.value = f"{folder}/notes.txt"
    chooser.open_button.click()
    assert chooser.status.text == "This is not a picture; choose another file."


def test_a_listing_does_not_block(chooser, monkeypatch):
    gate = threading.Event()
    real = os.scandir

    def slow(path):
        gate.wait(5)
        return real(path)

    monkeypatch.setattr(folders.os, "scandir", slow)
    begun = time.monotonic()
    chooser.browse()
    assert time.monotonic() - begun < 1
    assert chooser.listing is None
    gate.set()
    assert chooser.wait_until_listed()
    assert chooser.listing is not None


# -- uploads


@pytest.fixture
def answers(front, monkeypatch):
    """What the page is answered while it sends."""
    told = []
    monkeypatch.setattr(front, "send", lambda content: told.append(content))
    return told


def test_a_file_arrives_in_pieces_that_are_acknowledged(front, chooser, answers):
    send_file(front, chooser.upload.button, "ink.tif", b"AAAABBBBCC")
    assert chooser.opened == [("ink.tif", b"AAAABBBBCC")]
    assert [told.get("got") for told in answers] == [0, 4, 8, None] and answers[-1]["stop"]
    assert chooser.upload.cancel.layout.display == "none" and chooser.status.kind == ""


def test_a_file_is_taken_whole_or_not_at_all(front, chooser, answers):
    send, told = chooser.upload.button, {"name": "a.tif", "size": 8, "upload": "u1"}
    page_says(front, send, "files", **told)
    kept = chooser.upload._file
    page_says(front, send, "files", b"AAAA", offset=0, **told)
    assert os.stat(kept).st_size == 4 and os.stat(kept).st_mode & 0o777 == 0o600
    page_says(front, send, "files", b"BBBB", offset=6, **told)  # a piece is missing
    assert chooser.status.kind == "problem" and chooser.opened == []
    page_says(front, send, "files", b"BBBB", offset=4, **told)  # too late
    assert chooser.opened == [] and answers[-1] == {"upload": "u1", "stop": True}
    path = os.fspath(kept)
    del kept
    gc.collect()
    assert not os.path.exists(path)
    # more than it said it would have
    send_file(front, send, "b.tif", b"AAAABBBB", upload="u2", size=6)
    assert chooser.opened == []


def test_sending_can_be_cancelled_and_begun_anew(front, chooser, answers):
    send = chooser.upload.button
    page_says(front, send, "files", name="a.tif", size=8, upload="u1")
    assert chooser.upload.cancel.layout.display == "" and chooser.status.kind == "work"
    chooser.upload.cancel.click()
    assert (
        answers[-1] == {"upload": "u1", "stop": True} and "nothing was taken" in chooser.status.text
    )
    page_says(front, send, "files", name="a.tif", size=8, upload="u2")
    send_file(front, send, "b.tif", b"new", upload="u3")  # gives up the one before
    assert {"upload": "u2", "stop": True} in answers
    assert chooser.opened == [("b.tif", b"new")]


def test_what_cannot_be_taken_is_refused_before_it_is_sent(front, chooser, answers, monkeypatch):
    send = chooser.upload.button
    assert front.attributes(send)["on-files"]["accept"] == ".tif"
    page_says(front, send, "files", name="<b>.exe", size=3, upload="u1")
    assert "TIF" in chooser.status.text and "<b>" not in chooser.status._line.value
    page_says(front, send, "files", name="a.tif", size=0, upload="u2")
    assert "empty" in chooser.status.text
    page_says(front, send, "files", name="a.tif", size=10**18, upload="u3")
    assert chooser.status.kind == "problem" and "MB" in chooser.status.text
    assert all(told.get("stop") for told in answers) and chooser.opened == []
    page_says(front, send, "files", name="gone.tif", size=3, upload="u4", unreadable=True)
    assert "could not be read by the browser" in chooser.status.text


def test_large_files_stay_on_the_disk(front, answers, monkeypatch):
    taken = []
    chooser = parts.FileChooser(front, "Picture file", taken.append, large=True)
    size = 3 * 2**20
    send_file(front, chooser.upload.button, "big.tif", bytes(size), piece=2**20)
    ((name, file),) = taken
    assert name == "big.tif" and os.stat(file).st_size == size


def test_recent_folders_are_remembered_between_sessions(front, folder, tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    first = parts.FileChooser(front, "Picture file", lambda source: None)
    first.open(f"{folder}/notes.txt")
    second = parts.FileChooser(front, "Picture file", lambda source: None)
    second.browse(str(tmp_path))
    assert second.wait_until_listed() and second.recent.visible
    choose(second.recent, str(folder))
    assert second.wait_until_listed() and second.listing.folder == str(folder)


def test_the_root_says_in_which_language_it_is(front):
    root = parts.root(front, parts.html("words"))
    assert front.attributes(root)["lang"] == LANGUAGE
