"""The knobs that the desk and panels alone have in common; what they do is this project's own."""

from dataclasses import replace

import pytest

from workbench.demo import demo_papers
from workbench.panels import parts
from workbench.panels.panel import Panel
from workbench.panels.print_knobs import NONE_YET, lone_row, numbered, place_of
from workbench.plan import Plan


class Knobs(Panel):
    def build(self):
        return lone_row(self)

    def follow(self):
        pass


@pytest.fixture
def papers():
    return demo_papers()


@pytest.fixture
def plan(papers):
    return Plan(papers=papers[:3], paper=papers[1], intent="saturation")


@pytest.fixture
def knobs(plan, open_panel):
    return open_panel(Knobs, plan)


def test_they_show_the_plan(knobs, papers):
    assert knobs.paper.field.label == f"2. {papers[1].name}"
    assert knobs.intent.value == "saturation"
    assert knobs.compensation.value is True


def test_they_set_the_plan(knobs, plan, papers):
    knobs.paper.field.value = 2
    knobs.intent.field.value = "absolute"
    knobs.compensation.field.value = False
    assert plan.paper is papers[2]
    assert plan.rendering.way == {"intent": "absolute", "black_point_compensation": False}


def test_they_follow_the_plan(knobs, plan, papers):
    plan.paper = papers[0]
    assert knobs.paper.value == 0
    plan.papers = papers[::-1]
    assert knobs.paper.field.label == f"{len(papers)}. {papers[0].name}"
    plan.intent, plan.black_point_compensation = "perceptual", False
    assert (knobs.intent.value, knobs.compensation.value) == ("perceptual", False)
    # a paper that is not at hand is not a choice of theirs
    plan.papers = papers[1:]
    assert knobs.paper.value is None and plan.paper is papers[0]
    plan.papers = ()
    assert knobs.paper.field.options == (NONE_YET,)
    assert plan.paper is papers[0]


def test_a_paper_is_found_as_itself_and_not_as_its_like(papers):
    twins = (papers[0], papers[1], replace(papers[0]))
    assert [place_of(paper, twins) for paper in twins] == [0, 1, 2]
    assert place_of(None, twins) is None and place_of(papers[2], twins) is None
    assert [place for _, place in numbered(twins)] == [0, 1, 2]


def test_on_a_desk_there_are_none(plan):
    panel = Knobs(plan, parts.Front())
    assert lone_row(panel) == []
    assert not any(hasattr(panel, name) for name in ("paper", "intent", "compensation"))
    panel.front.scheduler.close()
