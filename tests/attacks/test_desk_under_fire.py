"""A desk that is never left in peace: sliders, switches, two hundred papers; nothing fails or grows."""

import gc
import logging
import os
import random
import time
import weakref
from dataclasses import replace

import ipywidgets as widgets
import numpy as np
import psutil
import pytest

from workbench.demo import demo_papers
from workbench.panels import parts
from workbench.panels.desk import Desk
from workbench.panels.registry import PANELS
from workbench.picture import from_pixels
from workbench.plan import Plan

LONG = "WORKBENCH_ATTACKS" in os.environ
EVENTS, SECONDS = (2000, 5.0) if LONG else (200, 0.5)
SWITCHES = 100 if LONG else 12
SLIDERS = (widgets.FloatSlider, widgets.IntSlider)
# the kinds of panel with sliders; the others follow the same code
PANELS_WITH_SLIDERS = ("size", "gamut", "white", "black", "proof", "screen")


def picture(seed: int, height: int = 80, width: int = 120):
    rng = np.random.default_rng(seed)
    coarse = rng.integers(0, 255, (height // 20, width // 20, 3), np.uint8)
    return from_pixels(coarse.repeat(20, 0).repeat(20, 1), "sRGB", name=f"picture {seed}")


def all_below(widget, seen=None):
    seen = set() if seen is None else seen
    if id(widget) not in seen:
        seen.add(id(widget))
        yield widget
        for child in getattr(widget, "children", ()):
            yield from all_below(child, seen)


def sentences(panel) -> dict:
    return {
        name: each.text for name, each in vars(panel).items() if isinstance(each, parts.Sentence)
    }


@pytest.mark.parametrize("name", PANELS_WITH_SLIDERS)
def test_a_storm_of_slider_events_ends_where_the_last_one_points(name, caplog):
    papers = tuple(demo_papers()[:2])
    plan = Plan(papers=papers, paper=papers[0], picture=picture(1))
    panel = PANELS[name].load()(plan)
    panel.show(True)
    scheduler = panel.front.scheduler
    assert scheduler.wait_until_idle(60)
    sliders = [each for each in all_below(panel.widget) if isinstance(each, SLIDERS)]
    assert sliders
    chance, begin, number, most_waiting = random.Random(name), time.monotonic(), 0, 0
    with caplog.at_level(logging.ERROR, logger="workbench"):
        while number < EVENTS:
            # a page holds its newest value back until the kernel has taken the one before
            number = max(number + 1, int((time.monotonic() - begin) / SECONDS * EVENTS))
            slider = chance.choice(sliders)
            value = chance.uniform(slider.min, slider.max)
            slider.set_state({"value": round(value) if isinstance(slider.min, int) else value})
            most_waiting = max(most_waiting, len(scheduler.keys()))
        assert scheduler.wait_until_idle(60)
    assert not caplog.records
    # what is left behind is given up, not queued
    assert most_waiting < 30
    fresh = PANELS[name].load()(plan)
    fresh.show(True)
    assert fresh.front.scheduler.wait_until_idle(60)
    assert sentences(panel) == sentences(fresh)
    for each in (panel, fresh):
        each.front.scheduler.close()


@pytest.mark.long
def test_switching_picture_and_paper_leaves_nothing_behind(caplog):
    papers = tuple(demo_papers()[:3])
    desk = Desk(picture=picture(0), papers=papers)
    desk.panels.show("gamut")
    past, memory, me = [], [], psutil.Process()
    with caplog.at_level(logging.ERROR, logger="workbench"):
        for number in range(1, SWITCHES + 1):
            desk.plan.picture = picture(number)
            desk.plan.paper = papers[number % 3]
            past.append(weakref.ref(desk.plan.picture))
            # some are left before they are counted
            if number % 4 == 0:
                assert desk.front.scheduler.wait_until_idle(60)
            memory.append(me.memory_info().rss)
        assert desk.front.scheduler.wait_until_idle(60)
    assert not caplog.records
    gc.collect()
    # a few for going back and forth, however many there were
    assert sum(each() is not None for each in past) <= 5
    assert desk.answers["gamut"].mark == "whole picture, every pixel"
    if LONG:
        # caches fill up first
        early, late = (np.median(part) for part in (memory[30:50], memory[-20:]))
        print(f"memory {early / 1e6:.0f} MB, then {late / 1e6:.0f} MB")
        assert late <= 1.05 * early
    desk.front.scheduler.close()


@pytest.mark.long
def test_two_hundred_papers_on_a_desk(caplog):
    first = demo_papers()[0]
    papers = tuple(replace(first, name=f"Paper {number}") for number in range(200))
    with caplog.at_level(logging.ERROR, logger="workbench"):
        desk = Desk(picture=picture(3), papers=papers)
        assert len(desk.plan.papers) == 200
        for number in (0, 57, 199):
            desk.plan.paper = papers[number]
            assert desk.front.scheduler.wait_until_idle(60)
            assert desk.answers["white"].text
        for name in ("gamut", "size"):
            desk.panels.show(name)
            assert desk.front.scheduler.wait_until_idle(120)
    assert not caplog.records and desk.status.kind != "problem"
    desk.front.scheduler.close()
