"""Judging by eye without a browser: the form leads to causes, files and notes."""

from __future__ import annotations

from html import unescape

import tifffile
from panel_helpers import choose, decoded, settle

import workbench as wb
from workbench.characteristics import drying_text
from workbench.panels.judge.panel import JudgePanel
from workbench.record.wedge_store import wedge_readings


def test_what_is_seen_leads_to_a_change_a_strip_and_a_note(plan, open_panel, tmp_path):
    plan.long_side_mm, plan.size_from, plan.printer_ppi = 250.0, "size", 120.0
    record = wb.open_record(tmp_path / "prints.sqlite")
    panel = open_panel(JudgePanel, plan, file=record.path)
    assert panel.judgement.causes == () and panel.strip_part.layout.display == "none"
    choose(panel.seen.lightness, "darker")
    settle(panel)
    direct = wb.judge_print(wb.Observations(lightness="darker"), plan)
    assert panel.judgement == direct and panel.change.text == direct.change
    panel.next.click()
    settle(panel)
    assert panel.judgement.causes == direct.causes[1:]
    panel.strip.folder.field.value = str(tmp_path)
    panel.strip.buttons["write"].click()
    settle(panel)
    assert panel.strip.said.kind != "problem", panel.strip.said.text
    (strip,) = tmp_path.glob("*next strip*.tif")
    assert tifffile.imread(strip).dtype == "uint16"
    panel.note.click()
    settle(panel)
    (note,) = record.search()
    assert note.change_next_time == panel.judgement.change and "darker" in note.notes


def test_how_to_look_and_when_the_printers_own_pages_are_due_is_said(plan, open_panel, tmp_path):
    panel = open_panel(JudgePanel, plan, file=tmp_path / "prints.sqlite")
    assert f"{plan.illuminance_lux:,.0f} lux" in panel.before.value
    assert drying_text(plan.paper) in panel.before.value
    told = [getattr(item, "value", "") for item in panel.body.children]
    assert any(all(page in str(each) for page in ("ozzle", "lignment", "anding")) for each in told)


def test_the_sheet_is_shown_as_the_file_will_be(plan, open_panel, tmp_path):
    panel = open_panel(JudgePanel, plan, file=tmp_path / "prints.sqlite")
    settle(panel)
    patch = wb.chain_patch(plan.paper, others=plan.papers)
    assert all(row["road"] in unescape(panel.cases.value) for row in patch.table())
    assert decoded(panel.sheet.image).std() > 20
    panel.saving.folder.field.value = str(tmp_path)
    panel.saving.buttons["write"].click()
    settle(panel)
    (file,) = tmp_path.glob("judging sheet*.tif")
    sheet = wb.judging_sheet(plan.paper, others=plan.papers, ppi=plan.printer_ppi)
    assert (tifffile.imread(file) == sheet.pixels).all()


def test_readings_are_kept_and_speak_for_drift(plan, open_panel, tmp_path):
    panel = open_panel(JudgePanel, plan, file=tmp_path / "prints.sqlite")
    for middle in (5, 8):
        panel.wedge.rows["middle"].field.value = middle
        panel.keep.click()
        settle(panel)
    kept = wedge_readings(panel.record.path, plan.paper.name)
    assert [each.middle for each in kept] == [5, 8]
    choose(panel.seen.cast, "greener")
    settle(panel)
    assert "drift" in [cause.key for cause in panel.judgement.causes[:2]]


def test_drying_time_stays_with_the_paper(plan, open_panel, tmp_path):
    panel = open_panel(JudgePanel, plan, file=tmp_path / "prints.sqlite")
    panel.drying.field.value = "36"
    assert plan.paper.drying_hours == 36 and plan.paper in plan.papers
    panel.drying.field.value = "soon"
    assert panel.status.kind == "problem" and plan.paper.drying_hours == 36


def test_what_is_said_of_light_and_distance_follows_the_plan(plan, open_panel, tmp_path):
    panel = open_panel(JudgePanel, plan, file=tmp_path / "prints.sqlite")
    settle(panel)
    assert "500 lux" in panel.before.value and "2.8 m" in panel.sheet_said.value
    plan.illuminance_lux, plan.unit = 1200.0, "in"
    settle(panel)
    assert "1,200 lux" in panel.before.value and "500 lux" not in panel.before.value
    told = wb.chain_patch(plan.paper, others=plan.papers).sentences("in")[0]
    assert told in unescape(panel.sheet_said.value)
