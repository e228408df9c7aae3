"""The form that measures a sheet with a camera: from photographs on disk to the paper's surface."""

import zlib

import numpy as np
import pytest
from panel_helpers import choose, page_says, settle, shown
from picture.makers import with_chunk
from surface.test_stereo import LAMPS, PITCH, relief, shot

import workbench as wb
from workbench.colour.spaces import standard_profile
from workbench.library import add_entry, open_shelf
from workbench.panels.shelf.panel import ShelfPanel
from workbench.panels.surface.measure import MeasurePart
from workbench.panels.surface.panel import SurfacePanel
from workbench.picture.tone import from_light
from workbench.surface.sheet import surface_of

SIZE = 256


@pytest.fixture(scope="module")
def photographs(tmp_path_factory):
    """Eight 16-bit PNGs of one sheet, with a black edge that is no sheet."""
    import imagecodecs

    folder = tmp_path_factory.mktemp("shots")
    height = relief(size=SIZE)
    for number, lamp in enumerate(LAMPS):
        light = shot(height, *lamp, noise=0.005, seed=number)
        light[:, :16] = 0.02
        rgb = np.repeat(light[..., None], 3, axis=2).astype(np.float32)
        profile = standard_profile("sRGB")
        data = imagecodecs.png_encode(from_light(rgb, profile))
        data = with_chunk(data, b"iCCP", b"own\0\0" + zlib.compress(profile))
        (folder / f"{number + 1}.png").write_bytes(data)
    return folder


@pytest.fixture
def panel(open_panel, tmp_path, monkeypatch):
    monkeypatch.setenv("WORKBENCH_SHELF", str(tmp_path / "shelf"))
    papers = wb.demo_papers()
    plan = wb.Plan(picture=wb.demo_picture(), papers=papers[:2], paper=papers[1], ppi=360)
    panel = open_panel(SurfacePanel, plan)
    panel.measuring.fold.button.click()
    settle(panel)
    return panel


def fill(part: MeasurePart, photographs):
    part.chooser.path.value = str(photographs / "1.png")
    part.chooser.open_button.click()
    part.rest.click()
    choose(part.way, "as typed for each photograph")
    part.places.field.value = "; ".join(f"{a} {e}" for a, e in LAMPS)
    part.marks["ruler"].field.value = "10 5; 210 5"
    part.ruler_mm.field.set_state({"value": 200 * PITCH})
    part.marks["corners"].field.value = f"20 4; {SIZE - 4} {SIZE - 4}"


def test_photographs_become_the_papers_surface(panel, photographs, tmp_path):
    part = panel.measuring
    assert part.how.image.value[:4] == b"\x89PNG"
    shelf = add_entry(open_shelf(tmp_path / "shelf"), panel.plan.paper)
    fill(part, photographs)
    settle(panel)
    assert len(part.paths) == 8 and "8.png" in part.list.value
    part.begin.click()
    settle(panel)
    expected = wb.measure_surface(
        [photographs / f"{k}.png" for k in range(1, 9)], directions=LAMPS, mm_per_px=PITCH,
        part=(20, 4, SIZE - 24, SIZE - 8),
    )  # fmt: skip
    assert part.answer.text == expected.sentence and part.found.notes == expected.notes == ()
    assert expected.rms_slope == pytest.approx(2 * 0.03 / 0.9, rel=0.12)
    assert part.plot.image.value[:4] == b"\x89PNG" and "RMS height" in part.plot.alt
    before = panel.plan.paper
    beside = ShelfPanel(panel.plan, panel.front, folder=shelf.folder, cache=tmp_path / "cache")
    beside.show(True)
    settle(panel)
    part.keep.click()
    settle(panel)
    assert panel.plan.paper is beside.held.papers[0]  # no draft: the shelf says the same
    paper = panel.plan.paper
    assert paper is not before and paper.name == before.name
    kept = surface_of(paper)
    assert kept.how_known == "measured"
    assert np.abs(kept.height_mm - expected.surface.height_mm).max() < 1e-4
    entry = open_shelf(shelf.folder).entry(paper.name)
    assert surface_of(entry.paper()).rms_height_mm == pytest.approx(kept.rms_height_mm)
    assert str(paper.surface) in part.said.text and "on the shelf" in part.said.text


def test_a_click_marks_and_what_is_missing_is_said(panel, photographs):
    part = panel.measuring
    fill(part, photographs)
    settle(panel)
    plain = shown(part.view).copy()
    choose(part.mark, "two points of the ruler")
    for x, y in ((0.25, 0.5), (0.75, 0.5)):
        hand = {"phase": "begin", "x": x, "y": y}
        page_says(panel.front, part.view.surround, "hand", **hand)
    assert part.marks["ruler"].value == f"{SIZE // 4} {SIZE // 2}; {3 * SIZE // 4} {SIZE // 2}"
    settle(panel)
    assert (shown(part.view) != plain).any()
    for control, text, pattern in (
        (part.places, "90 35; 120", "pairs"),
        (part.marks["ruler"], "", "ruler"),
        (part.scale, "wide", "number"),
        (part.marks["corners"], "1 1; 5 5", "bare sheet"),
    ):
        kept = control.value
        control.field.value = text
        part.begin.click()
        settle(panel)
        assert pattern in part.said.text and part.said.kind == "problem" and part.found is None
        control.field.value = kept
        if control is part.scale:
            control.field.value = "0.05"
    choose(part.way, "told by a pin's shadow")
    settle(panel)
    assert part.marks["tips"].visible and not part.marks["ball"].visible
    part.marks["foot"].field.value = "50 50"
    part.begin.click()
    assert "8 photographs and 0 tips" in part.said.text
