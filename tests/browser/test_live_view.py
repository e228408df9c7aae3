"""The live view's shader in a real browser, against Python and Little CMS; its hands; without WebGL 2.

Chromium renders in software here; the page has no Jupyter, as in what is taken away.
"""

from __future__ import annotations

import base64
from dataclasses import replace

import numpy as np
import pytest
from browser.lab import (
    bare_page,
    go_to,
    lab_errors,
    pictures,
    pixels_of,
    wait_for_new_picture,
)
from displays import table_display

from workbench.analysis.colours import distance_map
from workbench.analysis.proof import soft_proof
from workbench.analysis.proof_maps import DIFFERENCE_STEPS, proof_maps
from workbench.analysis.proof_table import picture_grid, quick_grid
from workbench.analysis.relit import Window, relight
from workbench.analysis.viewing import find_display, viewing
from workbench.colour.engine import transform
from workbench.colour.inkmodel import model_profile
from workbench.colour.spaces import standard_profile
from workbench.figures.proof import DIFFERENCE_COLOURS, difference_picture
from workbench.live import reference
from workbench.live.lit import lit_scene
from workbench.live.module import module_source
from workbench.live.tables import live_scene
from workbench.live.tiles import picture_part
from workbench.output.adjust import Adjustments
from workbench.output.adjusted import adjusted
from workbench.paper import open_paper
from workbench.picture import from_pixels
from workbench.surface.kinds import surface_of_kind
from workbench.surface.lamp import Lamp

CARD = "brightened card"

PAGE = """
async source => {
  const url = URL.createObjectURL(new Blob([source], { type: "text/javascript" }));
  const { createLiveView } = await import(url);
  const bytes = text => Uint8Array.from(atob(text), c => c.charCodeAt(0)).buffer;
  window.heard = [];
  const hear = name => (...told) => heard.push([name, ...told]);
  window.live = (options = {}) => {
    const box = document.body.appendChild(document.createElement("div"));
    window.view = createLiveView(box, {
      onUniform: hear("uniform"), onPick: hear("pick"), onTile: hear("tile"), onState: hear("state"),
      onScreenPpi: hear("ppi"), onRelief: hear("relief"), ...options });
  };
  window.give = ({ picture, tables, uniforms, relief }) => {
    if (relief) view.setRelief({ ...relief, data: new Uint16Array(bytes(relief.data)) });
    for (const [name, table] of Object.entries(tables ?? {}))
      view.setTable(name, table && new (table.integer ? Uint16Array : Float32Array)(bytes(table.data)),
                    table?.channels);
    if (uniforms) view.setUniforms(uniforms);
    if (picture) view.setPicture(new Uint16Array(bytes(picture.data)), picture.width, picture.height);
  };
  window.read = which => {
    const { data, width, height } = view.readPixels(which);
    return { data: coded(data), width, height };
  };
}
"""


def coded(array) -> str:
    return base64.b64encode(np.ascontiguousarray(array).tobytes()).decode()


def handed(scene, picture=True) -> dict:
    """A scene as the page takes it."""
    tables = {
        name: table is not None
        and {
            "data": coded(table),
            "channels": table.shape[1],
            "integer": table.dtype == np.uint16,
        }
        or None
        for name, table in scene.tables.items()
    }
    given = {"tables": tables, "uniforms": scene.uniforms}
    if scene.relief:
        given["relief"] = relief_of(scene, scene.uniforms["widthMm"] / scene.pixels.shape[1])
    if picture:
        height, width = scene.pixels.shape[:2]
        given["picture"] = {"data": coded(scene.pixels), "width": width, "height": height}
    return given


def relief_of(scene, pixel_mm) -> dict:
    relief = scene.relief(pixel_mm)
    height, width = relief.codes.shape[:2]
    return {"data": coded(relief.codes), "width": width, "height": height, **relief.facts()}


def read(page, which="canvas") -> np.ndarray:
    return pixels_of(page.evaluate("which => read(which)", which))


def assert_close(shown, wanted):
    """The limits of issue and design: 99.9 % of the pixels within 1/255, none beyond 3/255."""
    off = np.abs(shown[..., :3].astype(int) - wanted.astype(int)).max(axis=-1)
    assert (off <= 1).mean() >= 0.999 and off.max() <= 3, (np.bincount(off.ravel())[:9], off.max())


@pytest.fixture(scope="module")
def without_jupyter(chromium):
    with bare_page(chromium, PAGE, module_source(), "#777") as page:
        yield page


@pytest.fixture
def page(without_jupyter):
    """A page with a live view of its own."""
    without_jupyter.evaluate("heard.length = 0; live()")
    yield without_jupyter
    without_jupyter.evaluate("view.dispose()")
    assert without_jupyter.errors == []


@pytest.fixture(scope="module")
def pixels():
    """Every corner of the cube, smooth runs, greys, and colours at random."""
    random = np.random.default_rng(8).integers(0, 65536, (180, 320, 3))
    random[:20] = np.linspace(0, 65535, 320).astype(int)[None, :, None]
    across, down = np.meshgrid(np.linspace(0, 65535, 320), np.linspace(0, 65535, 60))
    random[20:80] = np.stack([across, down, 65535 - across], -1)
    random[80] = 65535 * (np.arange(320)[:, None] >> np.arange(3) & 1)
    return random.astype(np.uint16)


@pytest.fixture(scope="module")
def paper():
    return open_paper(model_profile((96, 0, 3), 1.6, finish="matte", grid=17), name="Matte")


SOURCE = standard_profile("opRGB")


@pytest.fixture(scope="module")
def lit_picture(pixels):
    """The same without the colours at random: smooth runs, and light greys where lamps show most."""
    smooth = pixels.copy()
    smooth[81:] = np.linspace(20000, 65535, 320).astype(np.uint16)[None, :, None]
    return from_pixels(smooth, SOURCE)


@pytest.mark.parametrize("adaptation", [0.0, 0.5, 1.0])
def test_the_page_shows_what_python_shows(page, pixels, paper, adaptation):
    scene = live_scene(SOURCE, pixels, paper, reference=CARD, adaptation=adaptation)
    page.evaluate("given => give(given)", handed(scene))
    way = viewing(reference=CARD, adaptation=adaptation)
    wanted = quick_grid(SOURCE, paper.profile, "relative", True, way).apply(pixels)
    shown = read(page)
    assert_close(shown, wanted)
    # step by step, by numpy: nodes as the eye sees them, then between the nodes
    nodes = reference.shown_nodes(
        scene.tables["print"], scene.uniforms, reference.eye_gain(scene.uniforms)
    )
    assert_close(shown, reference.eight_bits(reference.developed(pixels, nodes)[..., :3]))
    assert_close(read(page, "before"), picture_grid(SOURCE).apply(pixels))


def test_moving_the_eye_in_the_page_is_as_good_as_asking_python(page, pixels, paper):
    scene = live_scene(SOURCE, pixels, paper, reference="perfect diffuser", adaptation=1.0)
    page.evaluate("given => give(given)", handed(scene))
    page.evaluate("view.setUniforms({adaptation: 0.25})")
    way = viewing(reference="perfect diffuser", adaptation=0.25)
    assert_close(read(page), quick_grid(SOURCE, paper.profile, "relative", True, way).apply(pixels))


def test_a_wide_display_has_a_wide_canvas(page, pixels, paper):
    scene = live_scene(SOURCE, pixels, paper, display="Display P3", reference=CARD, adaptation=0.3)
    page.evaluate("given => give(given)", handed(scene))
    way = viewing(reference=CARD, adaptation=0.3, display="Display P3")
    shown = read(page)
    assert page.evaluate("view.engine.gl.drawingBufferColorSpace") == "display-p3"
    assert_close(shown, quick_grid(SOURCE, paper.profile, "relative", True, way).apply(pixels))


@pytest.mark.parametrize("display", ["opRGB", "tables"])
def test_other_displays_look_as_their_own_values_do(page, pixels, paper, display):
    display = find_display(table_display(9) if display == "tables" else display)
    scene = live_scene(SOURCE, pixels, paper, display=display)
    page.evaluate("given => give(given)", handed(scene))
    shown = read(page)
    values = quick_grid(SOURCE, paper.profile, "relative", True, viewing(display=display)).apply(
        pixels, np.uint16
    )
    canvas = standard_profile("Display P3" if display.kind == "matrix" else "sRGB")
    exact = transform(values / 65535, display.profile, canvas)
    off = np.abs(shown[..., :3] - 255 * np.clip(exact, 0, 1)).max(axis=-1)
    # between nodes in other values; the measured screen's own tables have nine steps: measured
    # here, no source
    middle, most = np.percentile(off, [90, 99])
    limits = (1, 3) if display.kind == "matrix" else (3, 12)
    assert middle <= limits[0] and most <= limits[1]


def test_grey_pictures_and_adjustments(page, paper):
    grey = np.linspace(0, 65535, 6000).astype(np.uint16).reshape(60, 100, 1)
    source = standard_profile("Grey, power 2.2")
    more = Adjustments(shadows=3, mid_tones=4)
    codes = np.arange(65536, dtype=np.uint16).reshape(1, -1, 1)
    curves = adjusted(codes, source, more)[0]
    scene = live_scene(source, grey, paper, curves=curves)
    page.evaluate("given => give(given)", handed(scene))
    grid = quick_grid(source, paper.profile, "relative", True, viewing())
    assert_close(read(page), grid.apply(adjusted(grey, source, more)))
    page.evaluate("view.setTable('curves', null)")
    assert_close(read(page), grid.apply(grey))


def test_the_marks_are_those_of_the_count(page, pixels, paper):
    picture = from_pixels(pixels, SOURCE)
    scene = live_scene(SOURCE, pixels, paper, overlay=1, threshold=4.0)
    page.evaluate("given => give(given)", handed(scene))
    far = distance_map(picture, paper, long_side_px=320, exact=False)
    page.evaluate("view.setUniforms({overlay: 0})")
    print_alone = read(page).astype(int)
    page.evaluate("view.setUniforms({overlay: 1})")
    read(page)
    developed = page.evaluate("view.engine.developments")
    for threshold in (4.0, 9.0):
        page.evaluate("threshold => view.setUniforms({ threshold })", threshold)
        wanted = far > threshold
        assert 0.05 < wanted.mean() < 0.95
        marked = (read(page) != print_alone).any(axis=-1)
        assert (marked == wanted).mean() >= 0.999
    # a limit moves without the picture being worked out again
    assert page.evaluate("view.engine.developments") == developed
    # whose limit it is: paper, display, or both, in stripes over a grey picture
    page.evaluate("view.setUniforms({threshold: 3, overlay: 2})")
    limits = proof_maps(picture, paper, threshold=3.0, long_side_px=320, exact=False).limits
    assert len(np.unique(limits)) == 4
    shown = read(page)[..., :3]
    grey = read(page, "before")[..., :3] @ [0.3, 0.59, 0.11] // 2 + 80
    y, x = np.indices(limits.shape)
    rising, falling = (x + y) // 3 % 2 == 0, (y - x) // 3 % 2 == 0
    striped = [limits < 0, rising, falling, rising | falling]
    wanted = np.repeat(grey[..., None], 3, axis=-1)
    colours = page.evaluate("view.uniforms.limitColours")
    for which, text in enumerate(colours, 1):
        colour = [int(text[i : i + 2], 16) for i in (1, 3, 5)]
        wanted[(limits == which) & striped[which]] = colour
    assert (np.abs(shown - wanted).max(axis=-1) <= 1).mean() >= 0.999


def test_the_map_of_differences_is_that_of_the_proof(page, pixels, paper):
    picture = from_pixels(pixels, SOURCE)
    way = {"reference": CARD, "adaptation": 0.2}
    scene = live_scene(
        SOURCE, pixels, paper, **way, overlay=3, stepColours=list(DIFFERENCE_COLOURS),
        steps=[limit for limit, _ in DIFFERENCE_STEPS[1:]],
    )  # fmt: skip
    page.evaluate("given => give(given)", handed(scene))
    for adaptation in (0.2, 0.9):
        way["adaptation"] = adaptation
        page.evaluate("adaptation => view.setUniforms({ adaptation })", adaptation)
        maps = proof_maps(picture, paper, **way, long_side_px=320, exact=False)
        wanted = difference_picture(maps.difference)
        assert len(np.unique(wanted.reshape(-1, 3), axis=0)) >= 4
        shown = read(page)[..., :3]
        assert (shown == wanted).all(axis=-1).mean() >= 0.999


@pytest.mark.parametrize(
    ("changes", "seen"),
    [
        ({"widthMm": 400, "printPixels": 5000, "screenPpi": 96}, False),
        ({"label": "By another name", "threshold": 5, "stops": 0}, False),
        ({"overlay": 1, "threshold": 5}, True),
        ({"adaptation": 0.5}, True),
        ({"mark": [0.5, 0.5]}, True),
    ],
)
def test_only_what_is_seen_is_drawn_anew(page, pixels, paper, changes, seen):
    scene = live_scene(SOURCE, pixels, paper, reference=CARD, adaptation=0.0)
    page.evaluate("given => give(given)", handed(scene))
    drawn = page.evaluate(
        """async changes => {
            const rest = () => new Promise(done => setTimeout(done, 300));
            await rest();
            const before = view.canvas.dataset.frame;
            view.setUniforms(changes);
            await rest();
            return view.canvas.dataset.frame !== before;
        }""",
        changes,
    )
    assert drawn is seen


def test_a_slow_machine_works_out_fewer_pixels_while_something_moves(page, pixels, paper):
    # in software this many pixels take longer than a frame
    large = np.repeat(np.repeat(pixels, 4, axis=0), 4, axis=1)

    def scene_at(adaptation):
        how = {"reference": CARD, "adaptation": adaptation}
        return live_scene(SOURCE, large, paper, **how, overlay=1, threshold=2)

    page.evaluate("given => give(given)", handed(scene_at(0.0)))
    width, height = large.shape[1], large.shape[0]
    page.wait_for_function("() => { view.draw(); return view.engine.developments > 0; }")
    moved = page.evaluate(
        """async () => {
            const pause = time => new Promise(done => setTimeout(done, time));
            const size = () => {
                const { width, height } = view.engine.targets.get("whole after");
                return [width, height];
            };
            await pause(1000);
            const found = [size()];
            for (const adaptation of [0.2, 0.4]) {
                view.setUniforms({ adaptation });
                view.draw(false);
                found.push(size());
            }
            await pause(1000);
            return [...found, size()];
        }"""
    )
    half = [(width + 1) // 2, (height + 1) // 2]
    assert moved == [[width, height], half, half, [width, height]]
    # at rest nothing is left of it
    at_rest = read(page)
    page.evaluate("given => give(given)", handed(scene_at(0.4)))
    assert np.array_equal(read(page), at_rest)


# surfaces with print widths in mm, and lamps: one that rakes, a near one, one over the sheet itself
SHEETS = (("cold-pressed", 60), ("pearl", 25))
RAKING = Lamp(200, 9, ambient=0.1)
NEAR = Lamp(60, 24, distance_mm=260, size_mm=60)
OVER = Lamp(135, 70, distance_mm=100, ambient=0.3)
BEHIND_GLASS = {"glass": "plain", "window": Window(0.5, 0.1, 0.9, 0.8, brightness=3)}
FROM_AFAR = {"ink_alpha": 0.2, "eye_mm": 300, "eye_blur_mm": 0.25}
LIT = (
    (RAKING, {}), (RAKING, BEHIND_GLASS), (NEAR, {}), (NEAR, BEHIND_GLASS), (OVER, FROM_AFAR),
)  # fmt: skip


def test_the_lamp_is_that_of_the_exact_renderer(page, lit_picture, paper):
    codes = np.array(lit_picture.crop(64, 0, 192, 108))
    scene = live_scene(SOURCE, codes, paper)
    page.evaluate("given => give(given)", handed(scene))
    own = read(page)[..., :3]
    assert_close(own, quick_grid(SOURCE, paper.profile, "relative", True, viewing()).apply(codes))
    # a step of the flat picture's eight bits becomes several where gloss is taken out of a deep
    # colour: both begin at the same ones
    flat = replace(soft_proof(from_pixels(codes, SOURCE), paper, long_side_px=None), pixels=own)
    for kind, wide in SHEETS:
        surface = surface_of_kind(kind)
        for lamp, how in LIT:
            lit = lit_scene(scene, paper, lamp, width_mm=wide, surface=surface, **how)
            given = {"uniforms": lit.uniforms, "relief": relief_of(lit, wide / 192)}
            page.evaluate("given => give(given)", given)
            shown = read(page)[..., :3].astype(int)
            wanted = relight(flat, paper, lamp, surface=surface, long_side_mm=wide, **how).pixels
            off, case = np.abs(shown - wanted), (kind, lamp, how)
            assert off.mean() < 0.02 and off.max() < 3, (case, off.mean(), off.max())
            assert np.abs(shown - own).mean() > 3
    # the sheet without a lamp is as it was
    page.evaluate("view.setUniforms({lamp: false})")
    np.testing.assert_array_equal(read(page)[..., :3], own)


def test_hands_on_the_lamp(page, lit_picture, paper):
    """Where it stands is read off the picture seen from above: worked out by hand."""
    scene = live_scene(SOURCE, lit_picture.crop(0, 0, 320, 180), paper)
    lit = lit_scene(scene, paper, RAKING, width_mm=100, surface=surface_of_kind("canvas"))
    page.evaluate("given => give(given)", handed(lit))
    dull = read(page)[..., :3].mean()
    box = page.locator("canvas").bounding_box()
    # half of the way from the middle to the rim, which is 14 pixels inside: 45 degrees, above
    x, y = box["x"] + 160, box["y"] + 90 - (90 - 14) / 2
    page.mouse.move(x - 30, y + 50)
    page.mouse.down()
    page.mouse.move(x, y, steps=3)
    page.mouse.up()
    assert page.evaluate("[view.uniforms.lamp_azimuth_deg, view.uniforms.lamp_elevation_deg]") == [
        90,
        45,
    ]
    assert ["uniform", "lamp_azimuth_deg", 90] in page.evaluate("heard")
    assert read(page)[..., :3].mean() > dull
    lamp = page.get_by_role("slider", name="Lamp")
    assert lamp.get_attribute("aria-valuetext") == "from above, 45° above the sheet"
    lamp.press("ArrowLeft")
    lamp.press("ArrowDown")
    assert page.evaluate("[view.uniforms.lamp_azimuth_deg, view.uniforms.lamp_elevation_deg]") == [
        95,
        44,
    ]
    assert page.evaluate("heard.filter(told => told[0] === 'pick').length") == 0
    # 100 mm over 320 pixels: 20 mm are 64 of them, the longest that takes a third at most
    bar = page.locator(".wb-live-scale")
    assert bar.inner_text() == "20 mm" and bar.bounding_box()["width"] == pytest.approx(64, abs=0.1)
    # twice as large, the relief at half the pitch is asked for
    page.evaluate("view.zoom(2)")
    page.wait_for_function("() => heard.some(told => told[0] === 'relief')")
    assert page.evaluate("heard.find(told => told[0] === 'relief')[1]") == pytest.approx(100 / 640)


def test_divider_zoom_and_a_click(page, pixels, paper):
    scene = live_scene(
        SOURCE, pixels, paper, reference=CARD, adaptation=0.0, divided=True, divider=0.5
    )
    page.evaluate("given => give(given)", handed(scene))
    way = viewing(reference=CARD, adaptation=0.0)
    own = picture_grid(SOURCE).apply(pixels)
    printed = quick_grid(SOURCE, paper.profile, "relative", True, way).apply(pixels)
    shown = read(page)
    assert_close(shown[:, :159], own[:, :159])
    assert_close(shown[:, 161:], printed[:, 161:])
    handle = page.get_by_role("slider", name="Divider")
    box = handle.bounding_box()
    page.mouse.move(box["x"] + 12, box["y"] + 40)
    page.mouse.down()
    at = 80
    page.mouse.move(page.locator("canvas").bounding_box()["x"] + at, box["y"] + 50, steps=4)
    page.mouse.up()
    assert page.evaluate("view.uniforms.divider") == pytest.approx(at / 320, abs=0.005)
    assert_close(read(page)[:, at + 2 :], printed[:, at + 2 :])
    handle.press("ArrowRight")
    moved = page.evaluate("view.uniforms.divider")
    assert moved == pytest.approx(at / 320 + 0.01, abs=0.005)
    assert ["uniform", "divider", moved] in page.evaluate("heard")
    assert handle.get_attribute("aria-valuenow") == str(round(100 * moved))

    page.locator("canvas").click(position={"x": 240.5, "y": 45.5})
    name, x, y = page.evaluate("heard.at(-1)")
    assert name == "pick" and (x, y) == pytest.approx((240.5 / 320, 45.5 / 180), abs=0.01)
    page.keyboard.press("+")
    page.keyboard.press("+")
    assert page.evaluate("view.view.zoom") == pytest.approx(1.25**2)
    before = page.evaluate("view.view.origin")
    page.keyboard.press("ArrowRight")
    assert page.evaluate("view.view.origin[0]") < before[0]
    page.keyboard.press("0")
    assert page.evaluate("view.view.zoom") == 0


def test_coming_nearer_asks_for_the_picture_s_own_pixels(page, pixels, paper):
    # what the page has is every fourth pixel of a picture four times as wide
    scene = live_scene(SOURCE, pixels[::4, ::4].copy(), paper, picturePixels=320)
    page.evaluate("given => give(given)", handed(scene))
    for _ in range(12):
        page.locator("canvas").press("+")
    zoom = 1.25**12
    page.wait_for_function("() => heard.some(told => told[0] === 'tile')")
    wish = next(told[1] for told in reversed(page.evaluate("heard")) if told[0] == "tile")
    left, top, right, bottom = wish["box"]
    assert right - left == pytest.approx(1 / zoom, abs=0.02)
    assert 0 < left < right < 1 and 0 < top < bottom < 1
    tile, box = picture_part(
        from_pixels(pixels, SOURCE), wish["box"], (wish["width"], wish["height"])
    )
    x0, y0, x1, y1 = (round(edge * side) for edge, side in zip(box, (320, 180) * 2, strict=True))
    np.testing.assert_array_equal(tile, pixels[y0:y1, x0:x1])
    page.evaluate(
        """([data, width, height, box]) => view.setTile(
            new Uint16Array(Uint8Array.from(atob(data), c => c.charCodeAt(0)).buffer),
            width, height, box)""",
        [coded(tile), x1 - x0, y1 - y0, box],
    )
    shown = read(page)
    wanted = quick_grid(SOURCE, paper.profile, "relative", True, viewing()).apply(pixels)
    origin, size = page.evaluate("[view.view.origin, view.view.size]")
    # the middle of each canvas pixel, in the picture's own pixels; not those on a border
    places = [
        (np.arange(length) + 0.5 - o) / s * side
        for length, o, s, side in zip(shown.shape[1::-1], origin, size, (320, 180), strict=True)
    ]
    own = wanted[np.ix_(places[1].astype(int), places[0].astype(int))]
    off = np.abs(shown[..., :3].astype(int) - own).max(axis=-1)
    assert size[0] / 320 > 3 and (off <= 1).mean() > 0.97  # squares of several pixels each


def test_a_lost_context_comes_back(page, pixels, paper):
    scene = live_scene(SOURCE, pixels, paper)
    page.evaluate("given => give(given)", handed(scene))
    before = read(page)
    page.evaluate("""async () => {
        window.lose = view.engine.gl.getExtension("WEBGL_lose_context");
        const lost = new Promise(done => view.canvas.addEventListener("webglcontextlost", done));
        lose.loseContext();
        await lost;
        const back = new Promise(done => view.canvas.addEventListener("webglcontextrestored", done));
        setTimeout(() => lose.restoreContext(), 10);
        await back;
    }""")
    np.testing.assert_array_equal(read(page), before)
    assert [told[1] for told in page.evaluate("heard") if told[0] == "state"][-2:] == [
        "lost", "restored",
    ]  # fmt: skip


# -- on the desk


IN_PICTURE = ".wb-desk-picture"


def turn_to_white(page):
    go_to(page, "white")
    page.get_by_label("Seen beside", exact=True).select_option("brightened card")
    page.get_by_text("on Invented").first.wait_for()
    return page.locator(
        '.wb-desk [role=slider][aria-label="Adaptation to paper white (%)"]:visible'
    )


def test_on_the_desk_moves_stay_in_the_page(desk_page):
    page = desk_page()
    canvas = page.locator(f"{IN_PICTURE} canvas:visible")
    canvas.wait_for()
    assert page.locator(f"{IN_PICTURE} img.wb-picture:visible").count() == 0
    # a click tells of the place, in the file and on the paper
    canvas.click(position={"x": 200, "y": 100})
    page.get_by_text("relative to the paper's white").first.wait_for()
    assert "(ROMM RGB " in page.locator(f"{IN_PICTURE} [role=status]:visible").first.inner_text()

    canvas.focus()
    page.keyboard.press("f")
    page.locator(".wb-live-full").wait_for()
    assert canvas.bounding_box()["width"] == 1440
    page.keyboard.press("t")  # not measured yet: a card to hold against the screen
    card = page.get_by_role("dialog", name="Measure the screen")
    assert card.bounding_box()["width"] == pytest.approx(85.6 / 25.4 * 96, abs=0.6)
    for _ in range(20):
        page.keyboard.press("+")
    page.get_by_role("button", name="It fits", exact=True).click()
    # 900 pixels at 360 ppi are 2.5 inches of paper, and as long on the screen
    page.wait_for_function(
        """wanted => Math.abs(Number(document.querySelector('.wb-live canvas').dataset.width)
            - wanted) <= 2""",
        arg=2.5 * 96 * 1.005**20,
    )
    page.keyboard.press("Escape")
    page.locator(".wb-live-full").wait_for(state="detached")

    slider = turn_to_white(page)
    slider.focus()
    before = pictures(page, IN_PICTURE)
    page.evaluate("WebSocket.prototype.send = () => {}")  # from here on, nothing reaches Python
    page.keyboard.press("End")
    wait_for_new_picture(page, before, IN_PICTURE)
    assert lab_errors(page) == []


def test_without_webgl_the_desk_shows_the_picture_made_in_python(desk_page):
    page = desk_page(webgl=False)
    assert page.locator(f"{IN_PICTURE} canvas:visible").count() == 0
    slider = turn_to_white(page)
    slider.focus()
    before = pictures(page, IN_PICTURE)
    assert len(before) == 1 and before[0].startswith("blob:")
    page.keyboard.press("PageUp")
    wait_for_new_picture(page, before, IN_PICTURE)
    assert lab_errors(page) == []
