"""Undo and redo, and plans kept as one works: nothing is lost, and windows do not fight."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from output.makers import as_picture, matte_paper, save_picture, scene

import workbench as wb
from workbench.errors import PlanError
from workbench.output.adjust import Adjustments
from workbench.panels.history import DECIDED, History
from workbench.plan import Plan
from workbench.plan_file.in_progress import Keeper


class Clock:
    """Time that passes only when told."""

    def __init__(self):
        self.s = 0.0

    def __call__(self):
        return self.s


@pytest.fixture
def clock():
    return Clock()


# undo and redo ----------------------------------------------------------------------------


def test_steps_are_taken_back_and_done_again_in_order(clock):
    plan = Plan()
    history = History(plan, clock)
    for name, value in (("threshold", 4.0), ("intent", "perceptual"), ("threshold", 6.0)):
        clock.s += 10
        setattr(plan, name, value)
    assert [history.can_undo, history.can_redo, history.at] == [True, False, 3]
    history.undo()
    assert (plan.threshold, plan.intent) == (4, "perceptual")
    history.undo()
    history.undo()
    assert (plan.threshold, plan.intent) == (2, "relative") and not history.can_undo
    history.undo()  # nothing left
    history.go(2)
    assert (plan.threshold, plan.intent, history.at) == (4, "perceptual", 2)
    # a new decision takes the place of what was taken back
    clock.s += 10
    plan.unit = "in"
    assert not history.can_redo and len(history.words) == 3


def test_a_slider_s_way_is_one_step_and_a_pause_begins_another(clock):
    plan = Plan()
    history = History(plan, clock)
    for value in (3, 4, 5, 6):
        clock.s += 0.2
        plan.threshold = value
    assert len(history.words) == 1
    clock.s += 5
    plan.threshold = 8
    assert len(history.words) == 2
    history.undo()
    assert plan.threshold == 6
    history.undo()
    assert plan.threshold == 2
    # what ends where it began is no step
    clock.s += 5
    plan.threshold = 9
    clock.s += 0.2
    plan.threshold = 2
    assert history.words == ()


def test_what_is_set_together_is_one_step_in_words(clock):
    plan = Plan()
    history = History(plan, clock)
    with plan.hold_trait_notifications():
        plan.size_from, plan.long_side_mm = "size", 500.0
    clock.s += 10
    plan.adjustments = Adjustments(shadows=2)
    clock.s += 10
    plan.black_point_compensation = not plan.black_point_compensation
    assert len(history.words) == 3
    assert "and 1 more" in history.words[0]
    assert history.words[1] == "Adjustments: none to shadows +2.0 L*"
    assert history.words[2].endswith("on to off")
    history.go(0)
    assert plan.adjustments is None and plan.size_from == Plan().size_from


def test_what_a_panel_sets_in_answer_to_undo_is_no_step_of_its_own(clock):
    plan = Plan()
    history = History(plan, clock)
    plan.threshold = 5
    plan.observe(lambda change: setattr(plan, "tolerance", 2.0), names=["threshold"])
    history.undo()
    assert plan.threshold == 2 and history.can_redo and len(history.words) == 1


def test_papers_read_again_are_no_steps_and_what_was_taken_away_comes_back(clock):
    first, second = wb.demo_papers()[:2]
    again = replace(first)
    plan = Plan(paper=first, papers=(first, second))
    history = History(plan, clock)
    clock.s += 10
    plan.paper = second
    assert history.words == (f"Paper: {first.name} to {second.name}",)
    plan.swap(second, twin := replace(second))
    plan.bring_in([first, twin], [again, twin])
    assert len(history.words) == 1
    plan.papers = (twin,)
    history.undo()
    assert plan.paper.name == first.name and plan.paper in plan.papers
    history.redo()
    assert plan.paper is twin


def test_few_pictures_are_held_for_undo(clock):
    plan = Plan()
    history = History(plan, clock)
    pictures = [as_picture(scene(30, 20)) for _ in range(7)]
    for each in pictures:
        clock.s += 10
        plan.picture = each
    assert len(history.words) == 4
    history.go(0)
    assert plan.picture is pictures[2]


_NAMES = ("threshold", "ppi", "border_mm")


@given(st.lists(st.tuples(st.sampled_from(_NAMES), st.floats(1, 40), st.floats(0, 4)), max_size=30))
def test_undo_to_the_start_and_redo_to_the_end_are_exact(moves):
    clock = Clock()
    plan = Plan()
    history = History(plan, clock)
    start = {name: getattr(plan, name) for name in DECIDED}
    for name, value, pause in moves:
        clock.s += pause
        setattr(plan, name, value)
    end = {name: getattr(plan, name) for name in DECIDED}
    history.go(0)
    assert {name: getattr(plan, name) for name in DECIDED} == start
    history.go(len(history.words))
    assert {name: getattr(plan, name) for name in DECIDED} == end


# kept plans -------------------------------------------------------------------------------


@pytest.fixture
def plan(tmp_path):
    picture = save_picture(tmp_path, scene())
    paper = matte_paper()
    return Plan(picture=picture, paper=paper, papers=(paper,), threshold=7)


def test_what_is_kept_is_offered_to_others_and_taken_up(tmp_path, plan):
    mine, yours = Keeper(tmp_path / "kept"), Keeper(tmp_path / "kept")
    assert mine.others() == () == yours.others()
    path = mine.keep(plan)
    assert mine.others() == ()  # one's own is not offered
    (found,) = yours.others()
    assert found.in_use and found.path == path and "harbour.tif on Invented matte" in found.words
    found.forget()
    assert path.exists()  # another window works on it
    mine.close()
    (found,) = yours.others()
    assert not found.in_use
    other = Plan()
    found.take_up(other)
    assert other.threshold == 7 and os.path.samefile(other.picture.path, plan.picture.path)
    assert other.paper.profile == plan.paper.profile and other.paper in other.papers
    found.forget()
    assert yours.others() == ()


def test_two_windows_never_write_over_one_another(tmp_path, plan):
    keepers = [Keeper(tmp_path) for _ in range(3)]
    paths = [each.keep(plan.copy(threshold=n + 1)) for n, each in enumerate(keepers)]
    for n, each in enumerate(keepers):
        assert each.keep(plan.copy(threshold=n + 1)) == paths[n]
    assert len(set(paths)) == 3
    for n, path in enumerate(paths):
        other = Plan()
        (found,) = [each for each in Keeper(tmp_path).others() if each.path == path]
        found.take_up(other)
        assert other.threshold == n + 1


def test_only_the_newest_left_behind_stay(tmp_path, plan):
    for n in range(9):
        keeper = Keeper(tmp_path)
        path = keeper.keep(plan)
        os.utime(path, (1e9 + n, 1e9 + n))
        keeper.close()
    kept = [each.kept_at for each in Keeper(tmp_path).others()]
    assert kept == [1e9 + n for n in (8, 7, 6, 5, 4, 3)]


@pytest.mark.parametrize("text", [b"", b"not a plan", b"\xff\xfe", b"[picture]\nfile = 3\n"])
def test_a_damaged_file_is_offered_by_no_name_and_told_when_taken(tmp_path, text):
    folder = tmp_path / "somebody"
    folder.mkdir()
    (folder / "plan.toml").write_bytes(text)
    (found,) = Keeper(tmp_path).others()
    assert found.words.startswith("A plan, of ")
    with pytest.raises(PlanError):
        found.take_up(Plan())


_WORK = """
import sys, time
from workbench.plan import Plan
from workbench.plan_file.in_progress import Keeper
keeper, plan = Keeper(sys.argv[1]), Plan()
n = 0
while True:
    n += 1
    plan.threshold = 1 + n % 40
    plan.notes = "x" * 5000
    keeper.keep(plan)
    if n == 3:
        print("working", flush=True)
"""


@pytest.mark.slow
def test_a_killed_kernel_leaves_a_whole_plan_that_is_offered(tmp_path):
    for pause in (0.0, 0.013, 0.037):
        work = subprocess.Popen(
            [sys.executable, "-c", _WORK, str(tmp_path)], stdout=subprocess.PIPE, text=True
        )
        assert work.stdout.readline() == "working\n"
        (alive,) = [each for each in Keeper(tmp_path).others() if each.in_use]
        time.sleep(pause)
        work.kill()
        work.wait()
        (left,) = Keeper(tmp_path).others()
        assert left.path == alive.path and not left.in_use
        found = Plan()
        left.take_up(found)
        assert found.notes == "x" * 5000 and 1 <= found.threshold <= 40
        left.forget()
