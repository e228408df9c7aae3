"""Undo, redo and what was left behind, on the page without a browser."""

from __future__ import annotations

import pytest
from output.makers import matte_paper, save_picture, scene
from panel_helpers import choose

from workbench.panels import parts
from workbench.panels.history_bar import HistoryBar
from workbench.plan import Plan
from workbench.plan_file.in_progress import Keeper


class Owner:
    """What a desk lends the bar."""

    def __init__(self, plan):
        self.plan, self.front = plan, parts.Front()
        self.said = parts.StatusLine(self.front)
        self.safely = parts.guarded(self.said)


@pytest.fixture
def make(tmp_path):
    owners = []

    def bar(plan):
        owners.append(Owner(plan))
        made = HistoryBar(owners[-1], Keeper(tmp_path / "kept"))
        made.scheduler = owners[-1].front.scheduler
        rest(made)
        return made

    yield bar
    for owner in owners:
        owner.front.scheduler.close()


def rest(bar):
    assert bar.scheduler.wait_until_idle(30)


@pytest.fixture
def plan(tmp_path):
    paper = matte_paper()
    return Plan(picture=save_picture(tmp_path, scene()), paper=paper, papers=(paper,))


def test_buttons_and_list_go_back_and_forth(make, plan):
    bar = make(plan)
    assert bar.undo.disabled and bar.redo.disabled
    plan.threshold = 9
    plan.intent = "perceptual"
    bar.history._steps[0].at -= 60  # decided apart in time, were they not in a test
    assert not bar.undo.disabled
    bar.undo.click()
    assert (plan.threshold, plan.intent) == (2, "relative") and not bar.redo.disabled
    bar.redo.click()
    assert (plan.threshold, plan.intent) == (9, "perceptual")
    assert bar.steps.field.label == "As opened"  # what follows a hand comes before the list
    rest(bar)
    assert "9" in bar.steps.field.label
    choose(bar.steps, "As opened")
    assert (plan.threshold, plan.intent) == (2, "relative")
    assert "9" in [words for words, _ in bar.steps.field.options][0]


def test_what_one_does_is_kept_and_offered_at_the_next_start(make, plan, tmp_path):
    bar = make(plan)
    assert bar._asked.layout.display == "none"
    assert not (tmp_path / "kept").exists()  # nothing was done yet
    plan.threshold = 9
    rest(bar)
    bar.keeper.close()  # as when its kernel ends
    fresh = Plan()
    again = make(fresh)
    assert again._asked.layout.display == "" and "harbour.tif on Invented matte" in again.said.value
    again.take.click()
    assert fresh.threshold == 9 and fresh.picture.name == "harbour.tif"
    assert again._asked.layout.display == "none"
    # it is this window's now, and there is one of it
    (kept,) = (tmp_path / "kept").iterdir()
    assert kept == again.keeper.folder
    again.undo.click()
    assert fresh.threshold == 2 and fresh.picture is None


def test_what_is_not_wanted_is_thrown_away_or_waits(make, plan, tmp_path):
    for _ in range(2):
        bar = make(plan.copy())
        bar._plan.threshold = 9
        rest(bar)
        bar.keeper.close()
    now = make(Plan())
    now.later.click()
    assert now._asked.layout.display == "none"
    now = make(Plan())
    now.forget.click()
    assert now._asked.layout.display == ""  # the other one
    now.forget.click()
    assert now._asked.layout.display == "none" and list((tmp_path / "kept").iterdir()) == []


def test_a_plan_open_in_another_window_is_copied_and_left_alone(make, plan):
    first = make(plan)
    plan.threshold = 9
    rest(first)
    second = make(Plan())
    assert "open in another window" in second.said.value and second.forget.disabled
    second.take.click()
    assert second._plan.threshold == 9
    second._plan.threshold = 4
    rest(second)
    assert plan.threshold == 9 and (first.keeper.folder / "plan.toml").exists()
    assert first.keeper.folder != second.keeper.folder


def test_what_cannot_be_kept_is_told(make, plan, tmp_path):
    bar = make(plan)
    (tmp_path / "kept").write_text("a file where the folder would be")
    plan.threshold = 9
    rest(bar)
    assert bar.status.kind == "problem" and bar.status.text
