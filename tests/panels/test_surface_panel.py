"""The surface panel and the place panel, driven without a browser: each shows what its function says."""

from dataclasses import replace

import numpy as np
import pytest
from panel_helpers import settle, shown, slide

import workbench as wb
from workbench.analysis.eye import eye_blur_mm
from workbench.analysis.place import Place
from workbench.analysis.relit import middle_part, relit_proof
from workbench.live.lit import lit_relief
from workbench.output.adjust import Adjustments
from workbench.output.for_place import print_for_place
from workbench.panels.black.panel import BlackPanel
from workbench.panels.place.panel import WIDTH_PX as PLACE_PX
from workbench.panels.place.panel import PlacePanel
from workbench.panels.surface.panel import WIDTH_PX, SurfacePanel
from workbench.panels.white.panel import WhitePanel
from workbench.paper_readings import MeasuredPaper
from workbench.picture import from_pixels
from workbench.readings import reading


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


def test_a_page_with_webgl_is_sent_the_relief_once_and_moves_the_lamp_itself(plan, open_panel):
    panel = open_panel(SurfacePanel, plan)
    for view in panel.views:
        view.page.set_state({"webgl": True})
    settle(panel)
    view, lit = panel.views[0], panel._asked(live=True)[0]
    wide = view.page.uniforms["widthMm"] / WIDTH_PX
    relief = lit_relief(wb.surface_of(plan.paper), wide)
    assert bytes(view.page.relief["data"]) == relief.codes.tobytes()
    assert view.page.relief["pitch"] == pytest.approx(wide, abs=1e-6)
    assert view.page.uniforms["widthMm"] == pytest.approx(25, abs=0.05)
    known = [name for name, *_ in view.page.links]
    assert {"lamp_azimuth_deg", "lamp_elevation_deg", "even_light", "lamp_size_cm"} <= set(known)
    assert "cold-pressed" in panel.captions[0].value
    # a page that comes nearer gets it finer, and keeps that while the lamp moves
    view._heard(None, {"event": "relief", "pixel_mm": wide / 2}, [])
    settle(panel)
    assert view.page.relief["pitch"] == pytest.approx(wide / 2, abs=1e-6)
    sent = []
    view.page.observe(lambda change: sent.append(change["name"]))
    slide(panel.elevation, 8)
    slide(panel.distance, 0.5)
    settle(panel)
    assert set(sent) == {"uniforms"} and view.page.uniforms["lamp_distance_m"] == 0.5
    # what is said below is the exact renderer's
    relit = replace(lit, lamp=wb.Lamp(135, 8, distance_mm=500, ambient=plan.even_light)).relit()
    assert f"{100 * relit.relief_contrast:.0f} % contrast" in panel.captions[0].value
    # at true size a pixel of the screen is as wide on the paper
    panel.part.field.set_state({"index": 3})
    panel.ruler.slider.field.value = 127.0
    settle(panel)
    assert view.page.relief["pitch"] == pytest.approx(25.4 / 127, rel=0.01)
    assert panel.ruler.widget.layout.display == ""
    assert len(panel.sheets.children) == 4
    panel.many.field.set_state({"index": 1})
    settle(panel)
    assert [column.layout.display for column in panel.columns] == [""] * 6


def test_what_an_eye_at_arm_s_length_does_not_resolve_is_blurred(plan, open_panel):
    panel = open_panel(SurfacePanel, plan)
    before = shown(panel.views[0]).astype(float)
    panel.seen_from.field.set_state({"index": 1})
    settle(panel)
    after = shown(panel.views[0]).astype(float)
    assert np.abs(np.diff(after, axis=1)).mean() < 0.9 * np.abs(np.diff(before, axis=1)).mean()
    assert after.mean() == pytest.approx(before.mean(), rel=0.01)
    expected = panel._asked(live=False)[0]
    assert expected.eye_blur_mm == eye_blur_mm(600)


def test_the_place_is_what_the_function_says(plan, open_panel):
    plan.illuminance_lux, plan.light, plan.glass, plan.room_share = 60.0, "2700 K", "plain", 0.4
    panel = open_panel(PlacePanel, plan)
    found = print_for_place(
        plan, place=Place("2700 K", 60.0, glass="plain", veil_share=0.4), long_side_px=PLACE_PX
    )
    assert panel.answer.text == found.sentence and panel.offer.text == found.proposal
    assert panel.before_adjustments.layout.display == "none"
    for view, pixels in zip(panel.views, (found.judged, found.hung, found.proposed), strict=True):
        assert np.array_equal(shown(view), pixels)
    plan.adjustments = Adjustments(warmth=1.5)
    assert (
        panel.before_adjustments.layout.display == ""
        and "before the plan" in panel.before_adjustments.value
    )
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


def test_a_photographed_card_tells_the_light(plan, open_panel, tmp_path):
    """Typed, and from EXIF: f/2.8, 1/60 s, ISO 800 by ISO 2720 with K = 12.5 cd/m² s."""
    from PIL import Image
    from PIL.TiffImagePlugin import IFDRational

    panel = open_panel(PlacePanel, plan)
    panel.card.fold.button.click()
    settle(panel)
    assert panel.card.answer.text == wb.illuminance_by_card(4, 1 / 30, 400).sentence
    exif = Image.Exif()
    exif.get_ifd(0x8769).update(
        {0x829A: IFDRational(1, 60), 0x829D: IFDRational(28, 10), 0x8827: 800}
    )
    Image.new("RGB", (16, 16)).save(tmp_path / "card.jpg", exif=exif)
    panel.card.chooser.path.value = str(tmp_path / "card.jpg")
    panel.card.chooser.open_button.click()
    settle(panel)
    lux = np.pi * 12.5 * 2.8**2 / (800 / 60) / 0.9
    assert panel.card.time.value == "1/60" and f"{lux:.0f} lux" in panel.card.answer.text
    panel.card.take.click()
    assert plan.illuminance_lux == pytest.approx(lux, rel=0.05)
    exif.get_ifd(0x8769)[0x829A] = IFDRational(1, 16000)
    Image.new("RGB", (16, 16)).save(tmp_path / "fast.jpg", exif=exif)
    panel.card.open(tmp_path / "fast.jpg")
    settle(panel)
    assert panel.card.time.value == "1/16000"
    assert panel.card.found.illuminance_lux == pytest.approx(lux * 16000 / 60, rel=1e-3)
    panel.card.time.field.value = "soon"
    settle(panel)
    assert panel.card.said.kind == "problem" and panel.card.take.disabled
    Image.new("RGB", (16, 16)).save(tmp_path / "bare.jpg")
    panel.card.chooser.path.value = str(tmp_path / "bare.jpg")
    panel.card.chooser.open_button.click()
    assert "how it was exposed" in panel.card.chooser.status.text


def test_the_place_counts_and_shows_the_room_that_is_usual_behind_glass(plan, open_panel):
    """A quarter of a white sheet where nobody has said it, as on the page of the screen."""
    plan.illuminance_lux, plan.light = 60.0, "3000 K"
    panel = open_panel(PlacePanel, plan)
    assert panel.room.value == 0
    bare = panel.answer.text
    plan.glass = "plain"
    settle(panel)
    assert panel.room.value == 25 and plan.room_share is None
    told = panel.answer.text
    slide(panel.room, 25)
    settle(panel)
    assert panel.answer.text == told != bare
    slide(panel.room, 0)
    settle(panel)
    assert plan.room_share == 0 and panel.answer.text not in (told, bare)


@pytest.mark.parametrize("size_px", [(400, 600), (1200, 200), (150, 900)])
def test_so_many_millimetres_are_shown_of_prints_of_any_shape(plan, open_panel, size_px):
    """25 and 100 mm, all of it, true size, and print pixels; of the part that is printed."""
    width, height = size_px
    noise = np.random.default_rng(1).integers(0, 256, (height, width, 3), np.uint8)
    plan.picture, plan.papers = from_pixels(noise, "sRGB"), (plan.paper,)
    plan.ppi, plan.printer_ppi, plan.screen_ppi = 50, 300, 110
    plan.crop_ratio, plan.crop_across, plan.crop_down = "5:4", 1.0, 0.0
    plan.bleed, plan.bleed_mm = ("picture", 10.0) if size_px == (400, 600) else ("mirrored", 0.0)
    size = plan.print_size()
    panel = open_panel(SurfacePanel, plan)
    panel.many.field.set_state({"index": 2})
    for index in range(5):
        panel.part.field.set_state({"index": index})
        (lit,) = panel._asked(live=False)
        part = x, y, across, down = lit._part or (0, 0, width, height)
        left, top, cut_across, cut_down = size.front.box_px
        assert left <= x and x + across <= left + cut_across
        assert top <= y and y + down <= top + cut_down
        relit, scene = lit.relit(), lit.scene()
        shown_mm = relit.pixel_mm * np.array(relit.pixels.shape[1::-1])
        assert shown_mm == pytest.approx(np.array(part[2:]) * 25.4 / plan.ppi, rel=0.02)
        assert scene.uniforms["widthMm"] == pytest.approx(shown_mm[0], rel=0.01)
        if index < 2 and max(size.width_mm, size.height_mm) > (wide := (25, 100)[index]):
            wanted = min(wide, size.width_mm), min(wide / 1.5, size.height_mm)
            assert shown_mm == pytest.approx(wanted, abs=0.6)
        elif index < 3:
            assert part == size.front.box_px
        else:
            assert relit.pixel_mm == pytest.approx(25.4 / (110, 300)[index - 3], rel=0.02)


@pytest.mark.parametrize("kind", [SurfacePanel, WhitePanel, BlackPanel])
def test_a_paper_known_by_readings_only_is_left_out_of_prints(plan, open_panel, kind):
    read = MeasuredPaper("Read sheet", reading(lab=(95, 0, 3), illuminant="D50", observer_deg=2))
    plan.papers = (read, plan.paper, wb.demo_papers()[0])
    panel = open_panel(kind, plan)
    assert panel.status.text == "" and plan.second_paper() is plan.papers[2]
    if kind is SurfacePanel:
        assert panel.papers_shown() == plan.papers[1:]
    if kind is WhitePanel:  # its white is known, its print is not
        assert "Read sheet" in panel.whites.alt
        assert all("Read sheet" not in caption.value for caption in panel.captions)
        plan.see_beside(read)  # a sheet to hold the print against is known well enough
        settle(panel)
        assert panel.status.text == "" and "Read sheet" in panel.answer.text
    if kind is BlackPanel:
        assert "Read sheet" not in panel.scale.alt and plan.papers[2].name in panel.scale.alt


def test_ink_shines_as_its_list_says_on_every_paper(plan, open_panel):
    panel = open_panel(SurfacePanel, plan)

    def alphas():
        (lit,) = panel._asked(live=False)[:1]
        return wb.surface_of(lit.paper).alpha, lit.ink_alpha

    for paper in (plan.papers[1], plan.papers[4]):  # satin, and matte
        plan.paper = paper
        panel.ink.field.set_state({"index": 0})
        assert alphas()[1] is None
        panel.ink.field.set_state({"index": 1})
        assert 2 * wb.surface_of(plan.papers[1]).alpha < alphas()[1] < 0.5
        panel.ink.field.set_state({"index": 2})
        own, ink = alphas()
        assert ink == wb.surface_of_kind("smooth").alpha >= own
        settle(panel)
    bare = panel._asked(live=False)[0].relit().pixels
    panel.ink.field.set_state({"index": 0})
    # on matte paper, dull ink is the paper's own
    assert np.abs(panel._asked(live=False)[0].relit().pixels.astype(int) - bare).max() <= 1
