"""What has come of a plan is shared by its panels, and forgotten with another print."""

from __future__ import annotations

import gc
import weakref

import pytest

from workbench.panels.outcome import Outcome
from workbench.plan import Plan


@pytest.mark.parametrize("trait", ["picture", "paper"])
def test_what_came_of_one_print_is_not_kept_for_another(trait):
    plan = Plan()
    outcome = Outcome.of(plan)
    outcome.written, outcome.verdict, outcome.measurements = object(), object(), "CGATS.17"
    plan.border_mm = 5
    assert Outcome.of(plan).written is not None and outcome.verdict is not None
    setattr(plan, trait, object())
    assert (outcome.written, outcome.verdict, outcome.measurements) == (None, None, "")


def test_each_plan_has_its_own_and_takes_it_along_when_it_goes():
    plan = Plan()
    Outcome.of(plan).written = "written"
    assert Outcome.of(plan.copy()).written is None
    gone = weakref.ref(Outcome.of(plan))
    del plan
    gc.collect()
    assert gone() is None
