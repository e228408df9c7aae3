"""A page to take away: opened as a file without network, its controls move the very pixels.

Held against the same tables in Python; see test_live_view.py for these against Little CMS.
"""

from __future__ import annotations

import base64
import re
from dataclasses import replace

import numpy as np
import pytest

import workbench as wb
from workbench.analysis.proof_table import picture_grid, quick_grid
from workbench.analysis.relit import relight
from workbench.analysis.viewing import viewing
from workbench.colour.spaces import standard_profile
from workbench.errors import OutputError
from workbench.picture import from_pixels


@pytest.fixture(scope="module")
def given(tmp_path_factory):
    random = np.random.default_rng(4).integers(0, 65536, (160, 240, 3))
    random[:80] = np.linspace(0, 65535, 240).astype(int)[None, :, None]
    picture = from_pixels(
        random.astype(np.uint16), standard_profile("opRGB"), name="<b>harbour</b>.tif"
    )
    papers = wb.demo_papers()[:2]
    path = tmp_path_factory.mktemp("away") / "prints.html"
    return picture, papers, wb.write_takeaway(picture, papers, path, reference="brightened card")


def opened(chromium, path, **more):
    context = chromium.new_context(viewport={"width": 1100, "height": 900}, offline=True, **more)
    page = context.new_page()
    page.told, page.asked = [], []
    page.on("pageerror", lambda error: page.told.append(str(error)))
    page.on("console", lambda line: page.told.append(line.text) if line.type == "error" else None)
    page.on("request", lambda request: page.asked.append(request.url))
    page.goto(path.as_uri())
    return page


def read(page, which="canvas") -> np.ndarray:
    got = page.evaluate(
        """which => { const { data, width, height } = liveView.readPixels(which);
          let text = ""; for (const v of data) text += String.fromCharCode(v);
          return { data: btoa(text), width, height }; }""",
        which,
    )
    data = np.frombuffer(base64.b64decode(got["data"]), np.uint8)
    return data.reshape(got["height"], got["width"], 4)[..., :3].astype(int)


def slide(page, name, value):
    page.locator(f"#{name}").evaluate(
        "(e, v) => { e.value = v; e.dispatchEvent(new Event('input', {bubbles: true})); }",
        str(value),
    )


def proof(picture, paper, adaptation):
    way = viewing(reference="brightened card", adaptation=adaptation)
    grid = quick_grid(picture.require_profile(), paper.profile, "relative", True, way)
    return grid.apply(picture.pixels()).astype(int)


def test_controls_move_the_pixels_that_python_would_show(chromium, given):
    picture, papers, written = given
    page = opened(chromium, written.path)
    page.wait_for_selector("body[data-shown='0']")
    assert page.locator("#stills").is_hidden() and page.locator("#controls").is_visible()
    for adaptation in (1.0, 0.0):
        slide(page, "adaptation", round(100 * adaptation))
        off = np.abs(read(page) - proof(picture, papers[0], adaptation)).max(-1)
        assert (off <= 1).mean() >= 0.99 and off.max() <= 3
    page.locator("input[name=paper]").nth(1).check()
    page.wait_for_selector("body[data-shown='1']")
    off = np.abs(read(page) - proof(picture, papers[1], 0.0)).max(-1)
    assert (off <= 1).mean() >= 0.99 and off.max() <= 3
    assert page.locator("section[data-paper='1']").is_visible()
    assert page.locator("section[data-paper='0']").is_hidden()
    slide(page, "divider", 100)
    before = picture_grid(picture.require_profile()).apply(picture.pixels()).astype(int)
    off = np.abs(read(page)[:, :-2] - before[:, :-2]).max(-1)
    assert (off <= 1).mean() >= 0.99
    slide(page, "divider", 0)
    plain = read(page)
    page.locator("#overlay").check()
    changed = (read(page) != plain).any(-1).mean()
    report = wb.gamut_report(picture, papers[1])
    assert 0 < changed <= report.share_outside + 0.01
    slide(page, "threshold", 10)
    assert (read(page) != plain).any(-1).mean() < changed
    # under the lamp as the exact renderer has it, which begins at the same flat picture
    page.locator("#lamp").check()
    flat = replace(wb.soft_proof(picture, papers[1], long_side_px=None, reference="brightened card",
                                 adaptation=0.0), pixels=plain.astype(np.uint8))  # fmt: skip
    lit = relight(flat, papers[1], wb.Lamp(elevation_deg=25, ambient=0.2)).pixels
    off = np.abs(read(page) - lit)
    assert off.mean() < 0.1 and off.max() < 3 and np.abs(lit - plain).mean() > 3
    slide(page, "even", 100)
    page.locator(".wb-live-lamp").press("ArrowLeft")
    assert page.evaluate("[liveView.uniforms.even_light, liveView.uniforms.lamp_azimuth_deg]") == [
        1,
        140,
    ]
    assert page.told == []
    assert [url for url in page.asked if not url.startswith(("file:", "blob:", "data:"))] == []
    page.context.close()


def test_without_the_shader_still_pictures_serve(chromium, given):
    context = chromium.new_context(offline=True)
    context.add_init_script("HTMLCanvasElement.prototype.getContext = () => null;")
    page = context.new_page()
    page.goto(given[2].path.as_uri())
    page.wait_for_selector("body[data-shown='stills']")
    images = page.locator("#stills img")
    assert images.count() == 2 and page.locator("#controls").is_hidden()
    assert images.first.evaluate("e => e.naturalWidth") == 240
    context.close()


def test_the_whole_page_is_worked_by_keyboard(chromium, given):
    page = opened(chromium, given[2].path)
    page.wait_for_selector("body[data-shown='0']")
    page.locator("input[name=paper]").first.focus()
    page.keyboard.press("ArrowDown")
    page.wait_for_selector("body[data-shown='1']")
    page.locator("#adaptation").focus()
    before = page.locator("#adaptation-told").inner_text()
    page.keyboard.press("ArrowLeft")
    assert page.locator("#adaptation-told").inner_text() != before
    page.context.close()


def test_words_of_files_stay_words_and_only_our_script_may_run(given):
    text = given[2].path.read_text("utf-8")
    assert "<b>harbour" not in text and "&lt;b&gt;harbour&lt;/b&gt;" in text
    assert re.search(r"script-src 'sha256-[^']+'; base-uri 'none'", text)
    assert len(re.findall(r"<script", text)) == 2 and not re.search(r"\bhttps?://", text)


def test_what_cannot_be_written_is_told(given, tmp_path):
    picture, papers, written = given
    for bad, words in (
        ((papers, tmp_path / "page.txt"), "end in .html"),
        (((), tmp_path / "page.html"), "one paper or more"),
        ((papers * 5, tmp_path / "page.html"), "room for 8 papers"),
        ((papers, written.path), "already"),
    ):
        with pytest.raises(OutputError, match=words):
            wb.write_takeaway(picture, *bad)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.long
def test_a_large_picture_on_seven_papers_is_under_ten_megabytes(tmp_path):
    written = wb.write_takeaway(wb.demo_picture(), wb.demo_papers(), tmp_path / "all.html")
    assert written.size_bytes < 10_000_000 and "7 papers" in written.sentence
