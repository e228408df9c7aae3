"""How long the live view takes in the page: a move of a uniform, a new table, a new picture.

    python tests/benchmarks/bench_live_view.py [moves]

Headless Chromium, rendering in software: a graphics chip takes a small part of it.  For
each size, milliseconds from setting a uniform or table to pixels read back from the canvas,
median and 95th percentile.  Wanted in software at 640 pixels: a move in at most 50 ms; a new
table, made by Python and put on the page, in at most 150 ms.  The table's making is timed by
itself, for a paper never seen.  "lamp" moves it, high up and raking with shadows, over 100 mm of a
cold-pressed sheet and over a gloss one; "lit first" is the first drawing with it, the making of its
shaders included.  Last, the exact renderer in Python for two megapixels: wanted under a second.
"""

from __future__ import annotations

import base64
import statistics
import sys
import time
from pathlib import Path

import numpy as np

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

_WIDE_MM = 100
SIZES = ((412, 275), (640, 427), (1200, 800))

# `only draw`: as a person sees it, without reading back
MEASURE = """async ([moves, sizes, tables, source]) => {
  const url = URL.createObjectURL(new Blob([source], { type: "text/javascript" }));
  const { createLiveView } = await import(url);
  const floats = text => new Float32Array(Uint8Array.from(atob(text), c => c.charCodeAt(0)).buffer);
  const own = floats(tables.own), papers = tables.papers.map(floats), beyond = floats(tables.beyond);
  const found = {};
  for (const [width, height] of sizes) {
    const box = document.body.appendChild(document.createElement("div"));
    const view = createLiveView(box);
    const data = Uint16Array.from({ length: 3 * width * height }, () => 65536 * Math.random());
    view.setTable("own", own);
    view.setTable("print", papers[0]);
    view.setTable("beyond", beyond, 1);
    view.setUniforms({ ...tables.uniforms, divided: true, divider: 0.5, overlay: 1 });
    view.setPicture(data, width, height);
    const one = new Uint8Array(4);
    const gl = view.engine.gl;
    const timed = change => {
      const start = performance.now();
      change();
      view.draw();
      gl.readPixels(0, 0, 1, 1, gl.RGBA, gl.UNSIGNED_BYTE, one); /* until it is done */
      return performance.now() - start;
    };
    const run = make => Array.from({ length: moves + 3 }, (_, i) => timed(() => make(i))).slice(3);
    found[`${width} x ${height}`] = {
      "adaptation": run(i => view.setUniforms({ adaptation: (i % 50) / 50 })),
      "threshold": run(i => view.setUniforms({ threshold: 1 + (i % 50) / 5 })),
      "divider": run(i => view.setUniforms({ divider: (i % 50) / 50 })),
      "zoom": run(i => view.zoom(i % 20 < 10 ? 1.1 : 1 / 1.1)),
      "new table": run(i => view.setTable("print", papers[i % papers.length])),
      "new picture": run(() => view.setPicture(data, width, height)),
    };
    const sheets = tables.sheets.map(({ data, ...facts }) => ({ ...facts, data: new Uint16Array(
      Uint8Array.from(atob(data), c => c.charCodeAt(0)).buffer) }));
    view.setUniforms({ ...tables.lit, overlay: 0, divided: false });
    const scaled = sheet => ({ ...sheet, pitch: view.uniforms.widthMm / width });
    const first = timed(() => view.setRelief(scaled(sheets[0])));
    found[`${width} x ${height}`]["lit first"] = [first];
    for (const sheet of sheets) {
      view.setRelief(scaled(sheet));
      for (const [name, height] of [["high", 45], ["raking", 8]])
        found[`${view.engine.pictures.whole.width} x ${view.engine.pictures.whole.height}`][
          `lamp, ${sheet.kind}, ${name}`] = run(i => view.setUniforms({
            lamp_azimuth_deg: 7 * i % 360, lamp_elevation_deg: height + i % 3 }));
    }
    view.dispose();
  }
  return found;
}"""


def tables() -> tuple[dict, list[float]]:
    """What the page is given, and the milliseconds that each paper's tables took."""
    import workbench as wb
    from workbench.colour.spaces import standard_profile
    from workbench.live.lit import lit_relief, lit_scene
    from workbench.live.tables import beyond_table, live_scene, print_table

    source = standard_profile("opRGB")
    papers = wb.demo_papers()[:4]
    scene = live_scene(source, np.zeros((2, 2, 3), np.uint16), papers[0], reference="brightened card",
                       adaptation=0.5, overlay=1)  # fmt: skip
    times = []
    for paper in papers[1:]:
        for intent in ("relative", "perceptual"):
            start = time.perf_counter()
            print_table(source, paper.profile, intent)
            beyond_table(source, paper.profile)
            times.append(1000 * (time.perf_counter() - start))

    def text(array):
        return base64.b64encode(np.ascontiguousarray(array).tobytes()).decode()

    def sheet(kind):
        # the tile of 640 pixels; other sizes take it at their own pitch, as many texels
        relief = lit_relief(wb.surface_of_kind(kind), _WIDE_MM / 640)
        height, width = relief.codes.shape[:2]
        return {"kind": kind, "data": text(relief.codes), "width": width, "height": height,
                **relief.facts()}  # fmt: skip

    given = {
        "sheets": [sheet("cold-pressed"), sheet("gloss")],
        "lit": lit_scene(scene, papers[3], width_mm=_WIDE_MM).uniforms,
        "own": text(scene.tables["own"]),
        "beyond": text(scene.tables["beyond"]),
        "papers": [text(print_table(source, paper.profile)) for paper in papers],
        "uniforms": scene.uniforms,
    }
    return given, times


def main() -> None:
    from playwright.sync_api import sync_playwright

    from workbench.launch.testing import find_chromium
    from workbench.live.module import module_source

    moves = int(sys.argv[1]) if len(sys.argv) > 1 else 60
    given, times = tables()
    print(f"tables of a paper or intent, in Python: median {statistics.median(times):.0f} ms")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=find_chromium(),
            args=["--no-sandbox", "--use-angle=swiftshader", "--enable-unsafe-swiftshader"],
        )
        page = browser.new_page(viewport={"width": 1440, "height": 900})
        page.set_content("<body></body>")
        found = page.evaluate(MEASURE, [moves, SIZES, given, module_source()])
        browser.close()
    print(f"{'size':12} {'what':26} {'median':>7} {'95 %':>7}  ms, in the page")
    for size, moved in found.items():
        for name, each in moved.items():
            tail = sorted(each)[int(len(each) * 0.95)]
            print(f"{size:12} {name:26} {statistics.median(each):7.1f} {tail:7.1f}")
    exact = two_megapixels()
    print(
        f"exact renderer, 2 MP: median {statistics.median(exact):.2f} s of {len(exact)}, longest {max(exact):.2f} s"
    )


def two_megapixels() -> list[float]:
    """Seconds that the exact renderer takes for lamps that move over a finished proof."""
    import workbench as wb
    from workbench.analysis.relit import relight

    paper = wb.demo_papers()[4]
    proof = wb.soft_proof(wb.demo_picture(), paper, long_side_px=1732)
    times = []
    for azimuth in range(0, 360, 45):
        start = time.perf_counter()
        relight(proof, paper, wb.Lamp(azimuth, 14, distance_mm=900), eye_mm=500)
        times.append(time.perf_counter() - start)
    return times


if __name__ == "__main__":
    main()
