"""A panel as a person meets it in a notebook."""

from __future__ import annotations

import pytest
from panel_helpers import settle

import workbench as wb
from workbench.errors import WorkbenchError


@pytest.fixture
def panel():
    return wb.gamut_panel(wb.demo_picture(), wb.demo_papers()[0])


def test_decisions_are_set_by_name_and_the_panel_follows(panel):
    panel.threshold = 7
    settle(panel._panel)
    assert panel.threshold == panel.plan.threshold == 7
    assert panel.settings()["threshold"] == 7
    report = wb.gamut_report(panel.picture, panel.paper, threshold=7)
    assert panel._panel.share.text == report.sentence


def test_only_what_is_meant_for_people_is_listed(panel):
    assert "threshold" in dir(panel) and "plan" in dir(panel)
    assert [name for name in dir(panel) if name.startswith("_")] == []
    assert not {"front", "build", "bind", "shows", "body"} & set(dir(panel))


def test_what_cannot_be_set_is_told_with_what_can(panel):
    with pytest.raises(WorkbenchError, match="did you mean “threshold”"):
        panel.treshold = 3
    with pytest.raises(WorkbenchError, match="lies between"):
        panel.threshold = 900
    with pytest.raises(AttributeError):
        panel.widgets  # noqa: B018
    assert panel.threshold == 2


def test_it_shows_itself(panel):
    shown = panel._repr_mimebundle_()
    data = shown[0] if isinstance(shown, tuple) else shown
    assert "application/vnd.jupyter.widget-view+json" in data
