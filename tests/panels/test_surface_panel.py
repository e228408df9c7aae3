"""The surface panel and the place panel, driven without a browser: each shows what its function says."""

from dataclasses import replace

import numpy as np
import pytest
from panel_helpers import settle, shown, slide

import workbench as wb
from workbench.analysis.place import Place
from workbench.analysis.relit import middle_part, relit_proof
from workbench.output.adjust import Adjustments
from workbench.output.for_place import print_for_place
from workbench.panels.place.panel import WIDTH_PX as PLACE_PX
from workbench.panels.place.panel import PlacePanel
from workbench.panels.surface.panel import WIDTH_PX, SurfacePanel


@pytest.fixture
def plan():
    papers = wb.demo_papers()
    return wb.Plan(picture=wb.demo_picture(), papers=papers, paper=papers[4], ppi=360)


def test_the_sheets_are_the_relit_proof(plan, open_panel):
    panel = open_panel(SurfacePanel, plan)
    size = plan.print_size()
    part = middle_part(plan.picture, size.width_mm, 25)
    expected = relit_proof(
        plan.picture, plan.paper, wb.Lamp(plan.lamp_azimuth_deg, plan.lamp_elevation_deg, ambient=plan.even_light),
        part=part, long_side_mm=size.width_mm, long_side_px=WIDTH_PX,
    )  # fmt: skip
    assert np.abs(shown(panel.views[0]).astype(int) - expected.pixels).max() <= 1
    assert plan.paper.name in panel.captions[0].value and "cold-pressed" in panel.captions[0].value
    lamp = wb.Lamp(plan.lamp_azimuth_deg, plan.lamp_elevation_deg, ambient=plan.even_light)
    seen = wb.texture_seen(plan.paper, lamp, picture=plan.picture, long_side_mm=size.width_mm)
    assert panel.texture.text == seen.sentence
    assert [column.layout.display for column in panel.columns] == [""] * 4 + ["none"] * 2
    assert panel.captions[1].value.count(wb.demo_papers()[0].name) == 1


def test_moving_the_lamp_moves_the_plan_and_the_picture(plan, open_panel):
    panel = open_panel(SurfacePanel, plan)
    before = shown(panel.views[0])
    slide(panel.elevation, 8)
    settle(panel)
    assert plan.lamp_elevation_deg == 8 and "8°" in panel.lamp.text
    raking = shown(panel.views[0])
    assert raking.std() > before.std() or np.abs(raking.astype(int) - before).mean() > 3
    plan.lamp_azimuth_deg = 0
    settle(panel)
    assert panel.azimuth.value == 0 and "right" in panel.lamp.text
    panel.part.field.set_state({"index": 2})
    settle(panel)
    assert shown(panel.views[0]).shape[1] == WIDTH_PX


def test_the_place_is_what_the_function_says(plan, open_panel):
    plan.illuminance_lux, plan.light, plan.glass, plan.room_share = 60.0, "2700 K", "plain", 0.4
    panel = open_panel(PlacePanel, plan)
    found = print_for_place(
        plan, place=Place("2700 K", 60.0, glass="plain", veil_share=0.4), long_side_px=PLACE_PX
    )
    assert panel.answer.text == found.sentence and panel.offer.text == found.proposal
    for view, pixels in zip(panel.views, (found.judged, found.hung, found.proposed), strict=True):
        assert np.array_equal(shown(view), pixels)
    plan.adjustments = Adjustments(warmth=1.5)
    panel.take.click()
    taken = plan.adjustments
    assert taken == replace(found.adjustments, warmth=1.5) and taken.chroma_gain > 1.05
    assert "60 lux" in taken.made_for and taken.made_for in panel.taken.value
    assert panel.take.disabled
    assert 1 < taken.mid_tones < 10
    greys = np.interp([25, 50, 75], found.tone_in, found.picture_tone_out) - [25, 50, 75]
    assert [taken.dark_tones, taken.mid_tones, taken.light_tones] == pytest.approx(greys, abs=0.06)
    panel.drop.click()
    assert plan.adjustments == Adjustments(warmth=1.5) and not panel.take.disabled


def test_where_the_place_is_as_judged_nothing_is_offered(plan, open_panel):
    plan.wall_reflectance, plan.room_share = 0.21, 0.0
    panel = open_panel(PlacePanel, plan)
    assert panel.take.disabled and "Nothing" in panel.offer.text
    slide(panel.wall, 90)
    settle(panel)
    assert plan.wall_reflectance == 0.9 and not panel.take.disabled
