"""Drift between two invented measurements whose difference is known."""

from dataclasses import replace

import numpy as np
import pytest
from target.makers import matte_target, measured_as

from workbench.errors import TargetError
from workbench.target.drift import drift
from workbench.target.patches import BLACK


@pytest.fixture(scope="module")
def target():
    return matte_target()


def test_a_steady_printer(target):
    before = measured_as(target, target.reference_lab)
    found = drift(before, before)
    assert found.mean == found.worst == found.white == found.black_density_change == 0
    assert "steady" in found.sentence and found.sentences == ()


def test_differences_are_those_of_colour_science(target):
    from colour import delta_E

    rng = np.random.default_rng(11)
    before = target.reference_lab + rng.normal(0, 3, (72, 3))
    now = before + rng.normal(0, 1, (72, 3))
    found = drift(measured_as(target, now), measured_as(target, before))
    theirs = delta_E(before, now, method="CIE 2000")
    assert found.difference == pytest.approx(theirs, abs=1e-6)
    assert found.mean == pytest.approx(theirs.mean())
    assert found.percentile_95 == pytest.approx(np.percentile(theirs, 95))


def test_what_changed_is_said_from_then_to_now(target):
    before = np.array(target.reference_lab)
    now = np.array(before)
    now[target.neutrals] += (0, 0, 2)
    now[target.index(BLACK), 0] += 4
    found = drift(measured_as(target, now), measured_as(target, before))
    said = " ".join(found.sentences)
    assert "have become slightly warmer" in said and "Black has become weaker" in said
    assert found.black_density_change < 0
    back = drift(measured_as(target, before), measured_as(target, now))
    assert "have become slightly cooler" in " ".join(back.sentences)
    assert back.black_density_change == pytest.approx(-found.black_density_change)


def test_only_equals_are_compared(target):
    one = measured_as(target, target.reference_lab)
    other = measured_as(replace(target, ids=target.ids[::-1]), target.reference_lab)
    with pytest.raises(TargetError, match="same target"):
        drift(one, other)
    with pytest.raises(TargetError, match="scan cannot be compared"):
        drift(one, replace(one, caveat="a scan"))
