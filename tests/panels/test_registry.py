"""Everything that should follow from the registry of the panels does."""

from __future__ import annotations

import inspect
from pathlib import Path

import pytest

import workbench as wb
from workbench.panels import registry
from workbench.panels.panel import Panel
from workbench.panels.registry import DOORS, PANELS, readme_table

ROOT = Path(wb.__file__).parents[1]


@pytest.mark.parametrize("entry", PANELS.values(), ids=PANELS)
def test_every_panel_has_a_class_a_folder_and_a_public_door(entry):
    assert issubclass(entry.load(), Panel)
    assert (ROOT / "workbench" / "panels" / entry.name / "panel.py").is_file()
    door = getattr(wb, entry.door)
    assert tuple(inspect.signature(door).parameters) == (*entry.takes, "plan")
    assert entry.question in door.__doc__ and entry.question.endswith("?")
    assert entry.door in dir(wb)


def test_no_folder_of_a_panel_is_forgotten():
    found = {path.parent.name for path in (ROOT / "workbench/panels").glob("*/panel.py")}
    assert found - {"sources"} == set(PANELS)


def test_readme_tells_of_every_panel():
    assert readme_table() in (ROOT / "README.md").read_text("utf-8")


def test_a_door_refuses_what_it_does_not_take():
    with pytest.raises(TypeError, match="paper"):
        wb.record_panel(paper=None)


def test_doors_and_panels_are_the_same(monkeypatch):
    assert [entry.door for entry in PANELS.values()] == list(DOORS)
    assert registry.PANELS is PANELS
