"""The live view's side of Python: what the page is sent and when, and the picture without WebGL 2."""

from __future__ import annotations

from html import unescape

import numpy as np
import pytest
from panel_helpers import settle, slide
from pictures import colourful

from workbench.analysis.colour_at import colour_at
from workbench.analysis.colours import distance_map
from workbench.analysis.proof_maps import step_shares
from workbench.figures.on_paper import OnPaper
from workbench.figures.proof_picture import DIFFERENCE, LIMITED, SPLIT
from workbench.live.reference import developed, eight_bits, eye_gain, shown_nodes
from workbench.live.tiles import picture_part
from workbench.output.adjust import Adjustments
from workbench.panels.desk import Desk
from workbench.panels.gamut.panel import GamutPanel
from workbench.panels.parts import BEFORE, LiveView
from workbench.panels.proof.panel import ProofPanel


@pytest.fixture
def desk(plan):
    made = Desk(plan=plan)
    yield made
    made.front.scheduler.close()


def page_can(view, can=True):
    """The page says whether it has WebGL 2."""
    view.page.set_state({"webgl": can})


def sent(view) -> list[str]:
    """Names of what goes to the page from now on, noted as it goes."""
    names = []
    view.page.observe(lambda change: names.append(change["name"]))
    return names


def array(part, kind) -> np.ndarray:
    return np.frombuffer(part["data"], kind).reshape(-1, part["channels"])


def test_until_the_page_says_so_it_is_a_picture_and_without_webgl_it_stays_one(desk):
    view = desk.picture_view
    assert isinstance(view, LiveView) and not view.live
    picture = bytes(view.image.value)
    assert picture and view.page.layout.display == "none" and view.page.picture == {}
    page_can(view, False)
    desk.plan.adaptation, desk.plan.reference = 0.2, "perfect diffuser"
    assert bytes(view.image.value) != picture and view.page.picture == {}


def test_what_the_page_is_sent_makes_the_picture_that_python_would_show(desk):
    view, plan = desk.picture_view, desk.plan
    plan.reference, plan.adaptation = "brightened card", 0.4
    plan.adjustments = Adjustments(shadows=2, warmth=1, chroma_gain=1.2)
    page_can(view)
    assert view.page.layout.display == "" and view.image.layout.display == "none"
    page = view.page
    part = page.picture
    pixels = array(part, np.uint16).reshape(part["height"], part["width"], 3)
    nodes = shown_nodes(array(page.table_print, np.float32), page.uniforms, eye_gain(page.uniforms))
    made = eight_bits(developed(pixels, nodes, array(page.table_curves, np.uint16))[..., :3])
    still = OnPaper(
        plan.picture, plan.paper, **plan.rendering, reference=plan.reference,
        adaptation=plan.adaptation, adjustments=plan.adjustments, long_side_px=part["width"],
    )  # fmt: skip
    wanted, caption = still.seen()
    off = np.abs(made.astype(int) - wanted)
    assert (off <= 1).mean() >= 0.999 and off.max() <= 3
    assert page.uniforms["label"] == caption == view.alt


def test_only_what_is_new_is_sent(desk):
    view, plan = desk.picture_view, desk.plan
    plan.reference = "perfect diffuser"
    page_can(view)
    still = bytes(view.image.value)
    names = sent(view)
    plan.adaptation = 0.3
    assert set(names) == {"uniforms"} and view.page.uniforms["adaptation"] == 0.3
    names.clear()
    plan.paper = plan.papers[1]
    assert "table_print" in names and not {"picture", "table_own"} & set(names)
    names.clear()
    desk.without_paper.field.value = True
    assert view.page.table_print == {} and "picture" not in names
    # no picture is packed that nobody sees
    assert bytes(view.image.value) == still


def test_a_lost_context_brings_the_picture_back(desk):
    view = desk.picture_view
    page_can(view)
    desk.plan.adaptation, desk.plan.reference = 0.2, "perfect diffuser"
    old = bytes(view.image.value)
    view.page._handle_custom_msg({"event": "state", "state": "lost"}, [])
    assert view.image.layout.display == "" and bytes(view.image.value) != old
    view.page._handle_custom_msg({"event": "state", "state": "restored"}, [])
    assert view.image.layout.display == "none" and view.page.layout.display == ""


def test_the_knobs_of_eye_and_threshold_are_linked_to_the_page(desk):
    slider = desk.panels["white"].adaptation.slider
    assert ["adaptation", slider.model_id, 100] in desk.picture_view.page.links


def test_who_comes_nearer_gets_the_picture_s_own_pixels(desk, picture):
    view = desk.picture_view
    page_can(view)
    box = [0.1, 0.2, 0.3, 0.6]
    told = {"event": "tile", "box": box, "width": 200, "height": 280}
    view.page._handle_custom_msg(told, [])
    assert desk.front.scheduler.wait_until_idle(20)
    tile = view.page.tile
    assert tile["box"] == pytest.approx(box) and (tile["width"], tile["height"]) == (200, 280)
    own = picture.crop(100, 140, 200, 280).astype(np.uint16) * 257
    np.testing.assert_array_equal(array(tile, np.uint16).reshape(own.shape), own)


def test_a_click_tells_of_the_place_and_the_words_follow_the_paper(desk):
    view, plan = desk.picture_view, desk.plan
    page_can(view)
    view.page._handle_custom_msg({"event": "pick", "x": 0.25, "y": 0.75}, [])

    def said():
        return colour_at(plan.picture, plan.paper, 0.25, 0.75, threshold=plan.threshold).sentence

    assert view.told.layout.display == "" and said() in unescape(view.told.value)
    assert view.page.uniforms["mark"] == [0.25, 0.75]
    plan.paper = plan.papers[1]
    assert said() in unescape(view.told.value)
    assert BEFORE not in unescape(view.told.value)
    plan.adjustments = Adjustments(chroma_gain=0.8)
    assert f"{said()} {BEFORE}" in unescape(view.told.value)
    plan.picture = colourful()
    assert view.told.layout.display == "none" and view.page.uniforms["mark"] is None


def test_the_print_s_size_goes_along_and_a_measured_screen_comes_back(desk):
    view, plan = desk.picture_view, desk.plan
    plan.size_from, plan.ppi, plan.printer_ppi = "ppi", 250.0, 360.0
    page_can(view)
    # 1000 pixels at 250 to the inch are 4 inches: 101.6 mm, and 1440 print pixels
    known = view.page.uniforms
    assert (known["widthMm"], known["printPixels"], known["screenPpi"]) == (101.6, 1440, 0)
    view.page._handle_custom_msg({"event": "screen_ppi", "ppi": 109.5}, [])
    assert plan.screen_ppi == 109.5 and view.page.uniforms["screenPpi"] == 109.5


def test_the_proof_is_live_in_each_of_its_ways(plan, open_panel):
    plan.reference, plan.adaptation = "brightened card", 0.3
    panel = open_panel(ProofPanel, plan)
    view = panel.picture
    page_can(view)
    known = view.page.uniforms
    assert known["divided"] and known["divider"] == 0.5 and known["overlay"] == 0
    assert ["divider", panel.divider.slider.model_id, 100] in view.page.links
    panel.view.field.value = LIMITED
    assert view.page.uniforms["overlay"] == 2 and not view.page.uniforms["divided"]
    assert view.page.layout.display == ""
    panel.view.field.value = DIFFERENCE
    assert view.page.uniforms["overlay"] == 3 and view.page.layout.display == ""
    settle(panel)
    shares = step_shares(panel._exact[1].difference)
    assert panel.legend.alt == panel.legend.figure.alt_text(shares)
    panel.view.field.value = SPLIT
    assert view.page.layout.display == "" and view.image.layout.display == "none"


def test_the_gamut_panel_s_marks_are_a_table_and_a_threshold(plan, open_panel):
    panel = open_panel(GamutPanel, plan)
    view = panel.picture
    page_can(view)
    names = sent(view)
    slide(panel.controls.threshold, 5)
    assert set(names) == {"uniforms"} and view.page.uniforms["threshold"] == 5
    assert ["threshold", panel.controls.threshold.slider.model_id, 1] in view.page.links
    part = view.page.picture
    pixels = array(part, np.uint16).reshape(part["height"], part["width"], 3)
    for marks, intent in (("beyond", None), ("moved", plan.intent)):
        panel.controls.marks_of.field.value = marks
        far = developed(pixels, array(view.page.table_beyond, np.float32))[..., 0]
        wanted = distance_map(
            plan.picture, plan.paper, intent=intent, long_side_px=part["width"], exact=False
        )
        assert np.abs(far - wanted).max() < 0.05
    panel.controls.marks.field.value = False
    assert view.page.uniforms["overlay"] == 0


def test_a_part_that_is_reduced_keeps_its_mean_light(picture):
    pixels, box = picture_part(picture, (0, 0.5, 1, 1), (100, 35))
    assert pixels.shape == (35, 100, 3) and box == (0, 0.5, 1, 1)
    curve = lambda v: np.where(v <= 0.04045, v / 12.92, ((v + 0.055) / 1.055) ** 2.4)  # noqa: E731
    whole = curve(picture.crop(0, 350, 1000, 350) / 255).mean()
    assert curve(pixels / 65535).mean() == pytest.approx(whole, rel=1e-3)
