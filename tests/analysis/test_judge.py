"""Judging by eye: what speaks for which cause, and one change at a time."""

from __future__ import annotations

import pytest

import workbench as wb
from workbench.analysis.judge import CAUSES, rule_out
from workbench.errors import WorkbenchError

Seen = wb.Observations


def first(plan, **seen):
    return wb.judge_print(Seen(**seen), plan).causes[0].key


def test_what_is_checked_first_comes_first(plan):
    # common practice, no source: drying and light before anything else, then the chain
    assert first(plan, lightness="darker", dried=False) == "not dry"
    assert first(plan, lightness="darker", stated_light=False) == "another light"
    assert first(plan, lightness="darker", cast="greener", chain_agrees=False) == "chain"
    assert first(plan, cast="greener", stripes=True) == "nozzles"


def test_the_screen_is_the_first_suspect_where_it_is_brighter(plan):
    # Lambert's E rho / pi: 500 lux on a white of L* 96 (Y 0.9) is 143 cd/m2, 300 is a stop above
    plan.illuminance_lux, plan.screen_luminance_cd_m2 = 500, 300
    assert first(plan, lightness="darker") == "screen bright"
    plan.screen_luminance_cd_m2 = 143
    found = wb.judge_print(Seen(lightness="darker"), plan)
    assert "screen bright" not in [cause.key for cause in found.causes]
    plan.screen_luminance_cd_m2 = 60
    assert first(plan, lightness="lighter") == "screen dim"


def test_a_right_chain_clears_the_chain(plan):
    keys = [c.key for c in wb.judge_print(Seen(lightness="darker", chain_agrees=True), plan).causes]
    assert "chain" not in keys and "taste" in keys


def test_hues_beyond_the_paper_are_told_from_those_within(plan, papers):
    import numpy as np

    from workbench.picture import from_pixels

    plan.picture = from_pixels(np.full((40, 40, 3), (0, 0, 255), np.uint8), "sRGB", name="blue")
    plan.paper = papers[1]
    hues = wb.gamut_report(plan.picture, plan.paper).hues
    hue = max(hues, key=hues.get)
    assert first(plan, hues=(hue,)) == "gamut"
    plan.picture = from_pixels(np.full((40, 40, 3), 128, np.uint8), "sRGB", name="grey")
    found = wb.judge_print(Seen(hues=(hue,)), plan)
    assert "gamut" not in [cause.key for cause in found.causes]


def test_one_change_at_a_time_until_all_is_looked_into(plan):
    seen, met = Seen(lightness="darker", tones=("shadows",)), []
    while (judgement := wb.judge_print(seen, plan)).causes:
        weights = [cause.weight for cause in judgement.causes]
        assert weights == sorted(weights, reverse=True) and judgement.change
        met.append(judgement.causes[0].key)
        seen = rule_out(seen, judgement)
    assert len(met) == len(set(met)) and set(met) <= set(CAUSES)


@pytest.mark.parametrize(
    ("seen", "lightness", "warmth"),
    [({"lightness": "darker"}, 1, 0), ({"lightness": "lighter"}, -1, 0),
     ({"cast": "cooler"}, 0, 1), ({"cast": "warmer", "lightness": "darker"}, 1, 0)],
)  # fmt: skip
def test_the_next_strip_steps_against_what_was_seen(plan, seen, lightness, warmth):
    found = wb.judge_print(Seen(**seen), plan)
    assert all(step * lightness > 0 for step in found.lightness_steps[1:])
    assert all(step * warmth > 0 for step in found.warmth_steps[1:])
    assert bool(lightness) != bool(warmth) and found.has_strip
    strip = wb.test_strip(plan, [(0.5, 0.5)], found.lightness_steps, found.warmth_steps, "A5")
    assert len(strip.steps) == len(found.lightness_steps) + len(found.warmth_steps) - 1


def test_nothing_seen_changes_nothing_and_knows_nothing_without_a_plan():
    assert wb.judge_print(Seen(), None).change == ""
    assert wb.judge_print(Seen(lightness="darker"), None).change


def test_what_cannot_be_seen_is_refused():
    with pytest.raises(WorkbenchError, match="lightness"):
        Seen(lightness="bluer")
    with pytest.raises(WorkbenchError, match="tones"):
        Seen(tones=("edges",))
