"""The proof panel, driven without a browser: the plan, the words, the pictures, the magnifier."""

from __future__ import annotations

import io
import os
import re
from html import unescape

import numpy as np
import pytest
import tifffile
from displays import stuck, table_display
from hypothesis import given
from hypothesis import strategies as st
from panel_helpers import settle, shown, slide
from PIL import Image, ImageCms

from workbench.analysis.colours import distance_map
from workbench.analysis.crops import shadow_box
from workbench.analysis.gamut import gamut_report
from workbench.analysis.intents import RENDERINGS, compare_intents
from workbench.analysis.own_display import OwnDisplay
from workbench.analysis.proof import soft_proof
from workbench.analysis.proof_maps import limit_shares, proof_maps, step_shares
from workbench.analysis.screen_profiles import screen_profiles
from workbench.analysis.viewing import find_display
from workbench.colour.inkmodel import model_profile
from workbench.colour.spaces import standard_profile
from workbench.figures.proof import difference_picture
from workbench.figures.proof_picture import DIFFERENCE, LIMITED, SPLIT
from workbench.output.adjust import Adjustments
from workbench.output.adjusted import adjusted_profile
from workbench.output.job import PrintJob
from workbench.output.layout import layout_of
from workbench.output.render import Renderer
from workbench.panels.proof.controls import OWN
from workbench.panels.proof.magnifier import NONE, PAPER_SIZE, TILE_PX
from workbench.panels.proof.panel import ProofPanel
from workbench.panels.proof.words import intents_html
from workbench.panels.screen_ruler import ruler_html
from workbench.paper import open_paper
from workbench.picture import from_pixels, open_picture
from workbench.plan import Plan


@pytest.fixture(scope="module")
def picture():
    """A quarter saturated colours, a quarter dark texture, the rest greys; larger than a tile."""
    rng = np.random.default_rng(5)
    pixels = np.empty((480, 640, 3), np.uint8)
    pixels[:] = np.linspace(40, 250, 640).astype(np.uint8)[None, :, None]
    pixels[:240, :320] = rng.choice([0, 255], (24, 32, 3)).repeat(10, 0).repeat(10, 1)
    pixels[240:, :320] = rng.integers(4, 30, (240, 320, 1))
    stream = io.BytesIO()
    tifffile.imwrite(stream, pixels, photometric="rgb", iccprofile=standard_profile("opRGB"))
    return open_picture(stream.getvalue(), name="made by hand")


@pytest.fixture(scope="module")
def papers():
    return (
        open_paper(model_profile((96, 0, 3), 1.6, finish="matte", grid=17), name="Matte"),
        open_paper(model_profile((96, 0, -4), 2.3, finish="gloss", grid=17), name="Gloss"),
    )


@pytest.fixture
def plan(picture, papers):
    return Plan(
        picture=picture, papers=papers, paper=papers[0], reference="brightened card", adaptation=0.0
    )


@pytest.fixture(autouse=True)
def named(monkeypatch):
    """What the system names for the screen: nothing, on whatever computer this runs."""
    names = []
    monkeypatch.setattr("workbench.panels.proof.controls.own_displays", lambda: tuple(names))
    return names


@pytest.fixture
def panel(plan, open_panel):
    return open_panel(ProofPanel, plan)


def seen(plan) -> dict:
    return {
        "adaptation": plan.adaptation, "reference": plan.reference, "display": plan.display,
    }  # fmt: skip


def figures(text) -> list[float]:
    return [float(each) for each in re.findall(r"[\d.]+(?= %)", text)]


# -- picture and print


def test_left_of_the_divider_is_the_picture_and_right_of_it_the_proof(panel, plan):
    panel._frame_at((0, 0, 0, 0))  # no frame over what is compared
    slide(panel.divider, 25)
    pixels = shown(panel.picture)
    height, width = pixels.shape[:2]
    proof = soft_proof(
        plan.picture, plan.paper, **plan.rendering, **seen(plan), long_side_px=width, exact=False
    ).pixels
    at = width // 4
    np.testing.assert_array_equal(pixels[1:, at + 3 :], proof[1:, at + 3 :])
    # opRGB grey is the same number as sRGB's within a few steps; the print's is not
    corner = np.s_[height // 4, : at - 3]
    assert (pixels[corner] != proof[corner]).any()
    assert "Left the picture" in panel.picture.alt and "Matte" in panel.picture.alt
    slide(panel.divider, 0)
    assert (shown(panel.picture)[1:, 3:] == proof[1:, 3:]).all()


def test_adaptation_changes_plan_picture_words_and_magnifier(panel, plan):
    before = [panel.picture.image.value, panel.shares.text, panel.magnifier.views[0].image.value]
    slide(panel.adaptation, 100)
    assert plan.adaptation == 1.0
    assert panel.picture.image.value != before[0]
    assert "fully adapted" in panel.picture.alt
    settle(panel)
    assert panel.magnifier.views[0].image.value != before[2]
    plan.adaptation = 0.25
    assert panel.adaptation.value == 25


def test_the_display_s_own_profile_is_embedded(panel, plan):
    for name in ("sRGB", "Display P3", "opRGB"):
        panel.display.choice.field.value = name
        settle(panel)
        assert plan.display == name
        shown(panel.picture)
        for view in (panel.picture, panel.magnifier.views[1]):
            image = Image.open(io.BytesIO(bytes(view.image.value)))
            assert image.info["icc_profile"] == standard_profile(name)


def test_a_difference_map_brings_no_display_profile_along(panel):
    panel.display.choice.field.value = "Display P3"
    panel.view.field.value = DIFFERENCE
    settle(panel)
    shown(panel.picture)
    assert "icc_profile" not in Image.open(io.BytesIO(bytes(panel.picture.image.value))).info


def test_the_difference_is_exact_at_rest_and_its_legend_has_the_shares(panel, plan):
    panel._frame_at((0, 0, 0, 0))
    panel.view.field.value = DIFFERENCE
    assert panel.legend.widget.layout.display == "" and panel.divider.visible is False
    settle(panel)
    pixels = shown(panel.picture)
    maps = proof_maps(
        plan.picture, plan.paper, **plan.rendering, **seen(plan), long_side_px=pixels.shape[1]
    )
    np.testing.assert_array_equal(pixels[3:, 3:], difference_picture(maps.difference)[3:, 3:])
    widths = [bar.get_width() / 100 for bar in panel.legend.figure.bars]
    assert widths == pytest.approx(step_shares(maps.difference))
    assert panel.legend.alt == panel.legend.figure.alt_text(step_shares(maps.difference))
    before = panel.legend.image.value
    slide(panel.adaptation, 80)
    assert panel.legend.image.value != before


def test_only_what_belongs_to_the_view_is_there(panel):
    parts = {SPLIT: panel.divider.widget, DIFFERENCE: panel.legend.widget, LIMITED: panel.limits}
    for view in (LIMITED, DIFFERENCE, SPLIT):
        panel.view.field.value = view
        assert {of for of, w in parts.items() if w.layout.display != "none"} == {view}


# -- paper and display


def test_the_shares_are_those_of_the_analyses(panel, plan):
    paper = gamut_report(plan.picture, plan.paper).share_outside
    shares = limit_shares(plan.picture, plan.paper, **plan.rendering, **seen(plan))
    assert shares.paper == paper > 0.02 and shares.exact
    assert 0 <= shares.both <= min(shares.paper, shares.display)
    said = figures(panel.shares.text)
    assert said == pytest.approx([100 * s for s in (paper, shares.display, shares.both)], abs=0.51)
    assert panel.shares.mark == "whole picture, every pixel"


def test_a_larger_display_shows_more_and_the_paper_stays(plan):
    def shares(display):
        return limit_shares(plan.picture, plan.paper, **plan.rendering, display=display)

    small, large = shares("sRGB"), shares("ROMM RGB")
    assert small.paper == large.paper and large.display <= small.display


def test_the_marks_follow_the_display(panel, plan):
    panel.view.field.value = LIMITED
    settle(panel)
    small = shown(panel.picture)
    panel.display.choice.field.value = "Display P3"
    settle(panel)
    assert (shown(panel.picture) != small).any()
    assert "Display P3" in panel.picture.alt


def test_a_screen_s_own_profile_by_its_path(panel, plan, tmp_path):
    path = tmp_path / "my screen.icc"
    path.write_bytes(table_display(9))
    panel.display.choice.field.value = OWN
    assert plan.display == "sRGB" and panel.display.own.layout.display == ""
    panel.display.path.field.value = f'"{path}"'
    assert plan.display == str(path)
    settle(panel)
    assert "Invented screen, measured" in panel.shares.text
    assert panel.display.choice.value == str(path)
    assert "Invented screen, measured" in [name for name, _ in panel.display.choice.field.options]


def test_the_profile_that_the_system_names_is_taken_and_srgb_is_said_aloud(named, plan, open_panel):
    lone = open_panel(ProofPanel, plan)
    assert plan.display == "sRGB" and "taken for sRGB" in lone.display.taken.value
    named.append(OwnDisplay(find_display(table_display(9)), table_display(9), "colord"))
    panel = open_panel(ProofPanel, plan)
    assert plan.display == table_display(9)
    assert "colord names" in panel.display.taken.value
    panel.display.choice.field.value = "Display P3"
    assert plan.display == "Display P3" and "sRGB" not in panel.display.taken.value
    # the person's own choice stays, and two names are offered only
    other = OwnDisplay(find_display("opRGB"), find_display("opRGB").profile, "colord")
    named.append(other)
    plan.display = "sRGB"
    panel = open_panel(ProofPanel, plan)
    assert plan.display == "sRGB" and "Invented screen" in panel.display.taken.value
    assert {each.source for each in named} < {v for _, v in panel.display.choice.field.options}


@pytest.mark.parametrize("content", [b"no profile", None, stuck()])
def test_what_is_no_display_leaves_the_plan_and_says_why(panel, plan, tmp_path, content):
    path = tmp_path / "screen.icc"
    if content is not None:
        path.write_bytes(content)
    before = panel.picture.image.value
    panel.display.path.field.value = str(path)
    assert panel.status.kind == "problem" and len(panel.status.text) > 30
    assert plan.display == "sRGB" and panel.picture.image.value == before
    path.write_bytes(table_display(9))
    panel.display.path.field.value = str(path) + " "
    assert plan.display == str(path) and panel.status.kind != "problem"


def test_screen_profiles_are_listed_and_others_are_not(tmp_path, papers):
    (tmp_path / "screens").mkdir()
    files = {
        "screens/b.icc": table_display(9),
        "screens/again.icc": table_display(9),
        "a.icm": standard_profile("Display P3"),
        "paper.icc": papers[0].profile,
        "stuck.icc": stuck(),
        "text.icc": b"nothing",
        "screen.txt": standard_profile("sRGB"),
    }
    for name, data in files.items():
        (tmp_path / name).write_bytes(data)
    found, problems = screen_profiles([tmp_path])
    names = [name for name, _ in found]
    assert names.count("Invented screen, measured") == 1
    assert {path.name for _, path in found} <= {"a.icm", "again.icc", "b.icc"}
    assert len(found) == 2 and names == sorted(names, key=str.casefold)
    assert any("Invented stuck screen" in sentence for sentence in problems)


def test_the_search_fills_the_list(panel, plan, tmp_path, monkeypatch):
    (tmp_path / "icc").mkdir()
    path = tmp_path / "icc" / "mine.icc"
    path.write_bytes(table_display(9))
    monkeypatch.setattr(
        "workbench.analysis.screen_profiles.system_profile_folders", lambda: (tmp_path,)
    )
    panel.display.search.click()
    settle(panel)
    assert panel.display.found.visible
    assert [v for _, v in panel.display.found.field.options] == ["", str(path)]
    panel.display.found.field.value = str(path)
    assert plan.display == os.fspath(path)


# -- intents


def test_the_table_has_every_way_and_marks_the_advised_and_the_chosen(panel, plan):
    table = compare_intents(plan.picture, plan.paper)
    html = panel.table.value
    assert html == intents_html(table, plan.intent, plan.black_point_compensation)
    assert html.count("<tr") == len(RENDERINGS) + 1
    assert html.count("advised") == 1 and html.count("chosen") == 1
    assert html.count("aria-current") == 1
    assert panel.advice.text == f"Print it {table.advised.name}."
    said = unescape(re.sub("<.*?>", "", panel.advice.widget.value)).replace("\u00a0", " ")
    assert table.reason[1:] in said
    plan.intent = "absolute"
    row = next(r for r in panel.table.value.split("<tr") if "aria-current" in r)
    assert "absolute" in row and "chosen" in row


def test_only_picture_paper_and_threshold_ask_for_a_new_table(panel, plan):
    _, table = panel._table
    plan.adaptation, plan.intent, plan.display = 0.5, "perceptual", "Display P3"
    settle(panel)
    assert panel._table[1] is table
    plan.paper = plan.papers[1]
    settle(panel)
    assert panel._table[1] is not table and panel._table[1].paper is plan.papers[1]


# -- magnifier


def test_the_magnifier_stands_where_the_picture_is_clicked(panel):
    settle(panel)
    panel.front.pointed = (0.8, 0.3)
    settle(panel)
    assert panel.magnifier.across.value == pytest.approx(80, abs=0.5)
    assert panel.magnifier.down.value == pytest.approx(30, abs=0.5)


def test_the_tiles_are_the_same_print_pixels_each_way(panel, plan):
    magnifier = panel.magnifier
    assert magnifier.ruler.slider.visible
    sharpened = shown(magnifier.views[0])
    plan.sharpening = None  # as the soft proof of the whole picture
    settle(panel)
    assert not np.array_equal(shown(magnifier.views[0]), sharpened)
    job = PrintJob.from_plan(plan)
    layout = layout_of(job)
    x0, y0 = (layout.across.n_out - TILE_PX[0]) // 2, (layout.down.n_out - TILE_PX[1]) // 2
    pixels = Renderer(job, layout).pixels(x0, y0, x0 + TILE_PX[0], y0 + TILE_PX[1])
    # by another road: the engine's own two-step conversion through Pillow
    made = shown(magnifier.views[1])
    source = ImageCms.ImageCmsProfile(io.BytesIO(plan.picture.profile))
    target = ImageCms.ImageCmsProfile(io.BytesIO(standard_profile("sRGB")))
    other = ImageCms.profileToProfile(
        Image.fromarray((pixels // 257).astype(np.uint8)), source, target, renderingIntent=1
    )
    assert np.abs(made.astype(int) - np.asarray(other)).max() <= 2
    for view, (intent, compensate) in ((0, ("relative", True)), (3, ("relative", False))):
        tile = shown(magnifier.views[view])
        assert tile.shape == (TILE_PX[1], TILE_PX[0], 3)
        whole = soft_proof(
            plan.picture, plan.paper, intent=intent, black_point_compensation=compensate,
            **seen(plan), long_side_px=None, exact=True,
        ).pixels  # fmt: skip
        part = whole[y0 : y0 + TILE_PX[1], x0 : x0 + TILE_PX[0]]
        assert np.abs(tile.astype(int) - part).max() <= 1


def test_a_tile_may_show_another_way_or_nothing(panel):
    before = panel.magnifier.views[3].image.value
    panel.magnifier.ways[3].field.value = ("absolute", False)
    panel.magnifier.ways[2].field.value = NONE
    settle(panel)
    assert panel.magnifier.views[3].image.value != before
    assert panel.magnifier.views[2].widget.layout.display == "none"


def test_moving_the_magnifier_moves_all_tiles_and_the_frame(panel):
    before = [view.image.value for view in panel.magnifier.views]
    frame = panel._frame
    slide(panel.magnifier.across, 0)
    slide(panel.magnifier.down, 0)
    settle(panel)
    assert all(v.image.value != b for v, b in zip(panel.magnifier.views, before, strict=True))
    left, top, right, bottom = panel._frame
    assert (left, top) == (0, 0)
    assert (right, bottom) == pytest.approx((TILE_PX[0] / 640, TILE_PX[1] / 480))
    assert panel._frame != frame


def test_the_buttons_find_their_places(panel, plan):
    light, dark, moved = panel.magnifier.buttons
    dark.click()
    settle(panel)
    x, y, width, height = shadow_box(plan.picture, TILE_PX)
    at = panel.magnifier.across.value / 100 * 640, panel.magnifier.down.value / 100 * 480
    assert at == pytest.approx((x + width / 2, y + height / 2), abs=3)
    moved.click()
    settle(panel)
    moves = distance_map(plan.picture, plan.paper, **plan.rendering, long_side_px=640, exact=True)

    def mean(left, top):
        return moves[top : top + TILE_PX[1], left : left + TILE_PX[0]].mean()

    left, top = (round(share * side) for share, side in zip(panel._frame, (640, 480), strict=False))
    others = [mean(x, y) for x in range(0, 364, 40) for y in range(0, 276, 40)]
    assert mean(left, top) > max(others) - 0.1 and mean(left, top) > 2 * min(others)
    light.click()
    settle(panel)
    assert panel._frame[0] > 0.3


def test_the_magnifier_shows_the_tones_that_a_grey_picture_is_printed_in(plan, open_panel):
    """What the print file holds of a toned grey picture, shown by another way."""
    greys = np.tile(np.linspace(20, 230, 300).astype(np.uint8)[None, :, None], (200, 1, 1))
    plan.picture = from_pixels(greys, "Grey, power 2.2")
    plan.ppi = plan.printer_ppi = 300
    plan.adjustments = Adjustments(
        black_and_white="lightness", shadow_chroma=12, shadow_hue=60, highlight_chroma=6,
        highlight_hue=60,
    )  # fmt: skip
    panel = open_panel(ProofPanel, plan)
    job = PrintJob.from_plan(plan)
    pixels = Renderer(job, layout_of(job)).pixels(12, 0, 288, 200)
    toned = from_pixels(pixels, adjusted_profile(plan.picture.profile, 1, job.adjustments))
    way, eye = plan.rendering, plan.rendering.eye
    expected = soft_proof(toned, plan.paper, **way, **eye, long_side_px=None).pixels
    tile = shown(panel.magnifier.views[0]).astype(int)
    assert np.abs(tile - expected).max() <= 1
    assert tile[..., 0].mean() > tile[..., 2].mean() + 5
    # which the preview above, as its file has it, does not have
    assert "before the plan" in panel.shares.widget.value.replace("\u00a0", " ")
    assert "before the plan" in panel.picture.flat.alt
    assert "adjustments are in it" in panel.magnifier.said.value
    plan.adjustments = None
    settle(panel)
    assert "adjustments" not in panel.shares.widget.value + panel.magnifier.said.value
    assert "adjustments" not in panel.picture.flat.alt


def test_the_buttons_stay_in_what_is_printed(plan, open_panel):
    """What a crop cuts off is not looked through, though it has more of each."""
    pixels = np.full((600, 900, 3), 128, np.uint8)
    rng = np.random.default_rng(4)

    def patch(x, y, low, high, size=80):
        pixels[y : y + size, x : x + size] = rng.integers(low, high, (size, size, 1), np.uint8)

    patch(20, 60, 228, 248)  # cut off
    patch(120, 400, 8, 40)
    pixels[200:350, 10:290] = 0, 0, 255
    patch(600, 80, 232, 244)  # printed, and less of it
    patch(420, 420, 12, 30)
    pixels[380:500, 740:860] = 0, 0, 255
    plan.picture = from_pixels(pixels, "sRGB")
    plan.ppi, plan.crop_ratio, plan.crop_across = plan.printer_ppi, "1:1", 1.0
    assert plan.print_size().crop.box_px == (300, 0, 600, 600)
    panel = open_panel(ProofPanel, plan)
    for button, (x, y) in zip(
        panel.magnifier.buttons, ((640, 120), (460, 460), (800, 440)), strict=True
    ):
        button.click()
        settle(panel)
        left, top, right, bottom = panel._frame
        assert 900 * left < x < 900 * right and 600 * top < y < 600 * bottom
        assert left >= 1 / 3


def test_true_size_follows_the_screen_s_resolution(panel, plan):
    magnifier = panel.magnifier
    magnifier.size.field.value = PAPER_SIZE
    magnifier.ruler.slider.field.value = 180.0
    settle(panel)
    # 180 of 360 print pixels an inch: two print pixels a screen pixel
    width = min(2 * TILE_PX[0], 640), min(2 * TILE_PX[1], 480)
    assert shown(magnifier.views[0]).shape[1::-1] == (width[0] // 2, width[1] // 2)
    assert f"{width[0]} × {width[1]} print pixels" in magnifier.said.value
    assert "check it once" not in magnifier.said.value


def test_true_size_asks_until_the_resolution_is_given(panel):
    panel.magnifier.size.field.value = PAPER_SIZE
    settle(panel)
    assert "check it once" in panel.magnifier.said.value
    assert panel.magnifier.ruler.widget.layout.display == ""


@given(st.floats(10, 2000), st.floats(0.5, 4))
def test_the_ruler_is_ten_centimetres(ppi, ratio):
    width = float(re.search(r"width:([\d.]+)px", ruler_html(ppi, ratio))[1])
    # an inch is 25.4 mm, and a CSS pixel ``ratio`` screen pixels
    assert width * ratio / ppi * 2.54 == pytest.approx(10, abs=0.06 * ratio / ppi * 2.54)


def test_a_size_that_does_not_add_up_leaves_the_rest_alone(panel, plan):
    before = panel.magnifier.said.value
    plan.size_from, plan.long_side_mm = "size", 40_000.0
    settle(panel)
    assert panel.magnifier.said.value != before and "wb-problem" in panel.magnifier.said.value
    slide(panel.adaptation, 50)
    assert "50 %" in panel.picture.alt


# -- on a desk


def test_on_a_desk_it_has_no_knobs_of_its_own_and_waits_to_be_shown(plan):
    alone = ProofPanel(plan)
    shared = ProofPanel(plan, alone.front)
    try:
        assert not hasattr(shared, "paper") and shared.picture.image.value == b""
        shared.show(True)
        assert shared.picture.image.value != b""
        settle(shared)
    finally:
        alone.front.scheduler.close()


def test_without_a_picture_it_says_what_is_missing(papers):
    panel = ProofPanel(Plan(papers=papers, paper=papers[0]))
    assert panel.status.text.startswith("Open a picture")
    panel.front.scheduler.close()
