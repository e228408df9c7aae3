"""One count for all on a desk: quick at once, exact for everybody at the same moment."""

from __future__ import annotations

import threading
from dataclasses import dataclass

from workbench.errors import Cancelled, WorkbenchError


@dataclass(frozen=True, eq=False)
class Counted:
    of: tuple
    exact: bool


class Counter:
    """Counts what it is asked; the exact counts wait at a gate."""

    def __init__(self):
        self.gate, self.begun, self.asked = threading.Event(), threading.Event(), []

    def __call__(self, *given, exact=True, cancelled=None, progress=None, **named):
        of = (*given, *named.items())
        self.asked.append((of, exact))
        if exact:
            self.begun.set()
            while not self.gate.wait(0.01):
                if cancelled():
                    raise Cancelled
        return Counted(of, exact)


def rest(front):
    assert front.scheduler.wait_until_idle(20)


def test_everybody_is_told_of_the_exact_count_once_it_is_there(front):
    counter, told = Counter(), []
    front.counting.listen(lambda change: told.append(front.counting.of(counter, "p", t=2).exact))
    front.counting.listen(lambda change: told.append("too"))
    quick = front.counting.of(counter, "p", t=2)
    # the same object for whoever asks, and one count for all
    assert front.counting.of(counter, "p", t=2) is quick and not quick.exact
    counter.gate.set()
    rest(front)
    assert told == [True, "too"]
    assert counter.asked == [(("p", ("t", 2)), False), (("p", ("t", 2)), True)]
    assert front.counting.of(counter, "p", t=2).exact
    rest(front)
    assert len(counter.asked) == 2


def test_the_newest_question_wins_and_former_answers_are_kept(front):
    counter = Counter()
    front.counting.of(counter, "old")
    assert counter.begun.wait(10)
    front.counting.of(counter, "new")  # gives the old count up
    counter.gate.set()
    rest(front)
    assert front.counting.of(counter, "new").exact
    assert not front.counting.of(counter, "old").exact
    rest(front)
    assert front.counting.of(counter, "old").exact
    asked = len(counter.asked)
    assert front.counting.of(counter, "new").exact and len(counter.asked) == asked


def test_returning_to_what_is_counted_gives_the_other_count_up(front):
    counter = Counter()
    front.counting.of(counter, "a")
    counter.gate.set()
    rest(front)
    counter.gate.clear()
    counter.begun.clear()
    front.counting.of(counter, "b")
    assert counter.begun.wait(10)
    assert front.counting.of(counter, "a").exact
    rest(front)  # though the gate is shut
    counter.gate.set()
    front.counting.of(counter, "b")
    rest(front)
    assert front.counting.of(counter, "b").exact


def test_a_count_that_fails_says_so_and_leaves_the_quick_one(front):
    def fails(picture, *, exact=True, **work):
        if exact:
            raise WorkbenchError("The file has vanished.")
        return Counted((picture,), False)

    assert not front.counting.of(fails, "p").exact
    rest(front)
    assert front.counting.status.text == "The file has vanished."
    assert not front.counting.of(fails, "p").exact
