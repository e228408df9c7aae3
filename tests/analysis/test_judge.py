"""Judging by eye: what speaks for which cause, and one change at a time."""

from __future__ import annotations

from dataclasses import replace

import pytest

import workbench as wb
from workbench.analysis.judge import ROW_WORDS
from workbench.analysis.judge_rules import RULES
from workbench.errors import WorkbenchError
from workbench.gang.apart import ROWS

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
        seen = replace(seen, ruled_out=tuple(met))
    assert len(met) == len(set(met)) and set(met) <= set(RULES)


@pytest.mark.parametrize(
    ("seen", "row"),
    [({"lightness": "darker"}, "around"), ({"cast": "cooler"}, "around"),
     ({"lightness": "darker", "tones": ("shadows",)}, "shadows"),
     ({"contrast": "flatter", "tones": ("highlights",)}, "highlights")],
)  # fmt: skip
def test_the_next_strip_is_one_row_that_tries_what_was_seen(plan, seen, row):
    found = wb.judge_print(Seen(**seen), plan)
    assert found.rows == (row,)
    plan.picture = wb.demo_picture()
    strip = wb.test_strip(plan, sheet="A5", rows=found.rows)
    assert [each.name for each in strip.rows] == [ROW_WORDS[row]] and len(strip.steps) > 1


def test_rows_go_by_the_strips_own_names(plan):
    assert {row: words for row, (words, *_) in ROWS.items()} == ROW_WORDS
    assert wb.judge_print(Seen(cast="greener", stripes=True), plan).rows == ()


def test_nothing_seen_changes_nothing_and_knows_nothing_without_a_plan():
    assert wb.judge_print(Seen(), None).change == ""
    assert wb.judge_print(Seen(lightness="darker"), None).change


def test_what_cannot_be_seen_is_refused():
    with pytest.raises(WorkbenchError, match="lightness"):
        Seen(lightness="bluer")
    with pytest.raises(WorkbenchError, match="tones"):
        Seen(tones=("edges",))
