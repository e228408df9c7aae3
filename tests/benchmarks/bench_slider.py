"""From a slider's move to new pixels on the page, in headless Chromium.

    python tests/benchmarks/bench_slider.py [moves]

Opens the desk on a generated 24-megapixel 16-bit picture, moves one slider of each
panel by its arrow key, and prints for the plot and the picture that follow it the
milliseconds from the key in the page to the new image: median and 95th
percentile, the target being a median of 50 ms.  Pictures that the page works out by itself
count from the key to their next frame.
"""

from __future__ import annotations

import statistics
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

from browser.lab import go_to, running_workbench, wait_for_desk
from playwright.sync_api import TimeoutError

# panel, slider, key, what follows
CASES = (
    ("size", "Picture resolution (ppi)", "ArrowLeft", ".wb-stage canvas.wb-plot"),
    ("gamut", "Out-of-gamut threshold (CIEDE2000)", "ArrowRight", ".wb-stage canvas.wb-plot"),
    ("gamut", "Out-of-gamut threshold (CIEDE2000)", "ArrowRight", ".wb-stage .wb-picture"),
    ("gamut", "Lightness of the slice (L*)", "ArrowRight", ".wb-stage canvas.wb-plot"),
    ("gamut", "Turn (degrees)", "ArrowRight", ".wb-stage canvas.wb-plot"),
    ("white", "Adaptation to paper white (%)", "PageUp", ".wb-stage canvas.wb-plot"),
    ("white", "Adaptation to paper white (%)", "PageUp", ".wb-desk-picture .wb-picture"),
    ("black", "Greys merge when closer than (CIEDE2000)", "PageUp", ".wb-stage canvas.wb-plot"),
)

# Waits for the pictures to come to rest before each key, so that what the last move
# still changes is not taken for the next one's answer.
PREPARE = """css => {
    const seen = i => i.offsetParent !== null;
    window.wbTimes = []; window.wbStart = null; window.wbLast = 0;
    window.wbKeys?.abort(); window.wbWatch?.disconnect();
    window.wbKeys = new AbortController();
    addEventListener('keydown', () => { window.wbStart = performance.now(); },
                     {capture: true, signal: window.wbKeys.signal});
    window.wbWatch = new MutationObserver(changes => {
        for (const {target} of changes) {
            if (!target.matches?.('.wb-desk img, .wb-desk canvas') || !seen(target)) continue;
            window.wbLast = performance.now();
            const started = window.wbStart;
            if (started === null || !target.matches(css)) continue;
            window.wbStart = null;
            Promise.resolve(target.decode?.()).catch(() => {}).then(() => requestAnimationFrame(
                () => window.wbTimes.push(performance.now() - started)));
        }
    });
    window.wbWatch.observe(document.body,
        {subtree: true, attributes: true, attributeFilter: ['src', 'data-frame']});
}"""
AT_REST = "() => performance.now() - wbLast > 350"
# asked at each frame, the page would draw frames for the sake of being asked
POLLING = 100


def picture_file(folder: Path) -> Path:
    import numpy as np
    import tifffile
    from scipy.ndimage import zoom

    from workbench.colour.spaces import standard_profile

    random = np.random.default_rng(31)
    field = np.stack(
        [zoom(random.random((11, 16)), (4000 / 11, 6000 / 16), order=1) for _ in range(3)], -1
    )
    field = np.clip(field[:4000, :6000] ** 1.5 + random.normal(0, 0.01, (4000, 6000, 1)), 0, 1)
    path = folder / "fields.tif"
    tifffile.imwrite(
        path,
        np.round(field * 65535).astype(np.uint16),
        photometric="rgb",
        iccprofile=standard_profile("opRGB"),
    )
    return path


def measure(page, panel: str, slider: str, key: str, css: str, moves: int) -> list[float]:
    go_to(page, panel)
    if panel == "white":  # alone the print leaves nothing to adapt to
        page.get_by_label("Seen beside", exact=True).select_option("brightened card")
    handle = page.locator(f'.wb-desk [role=slider][aria-label="{slider}"]:visible')
    handle.focus()
    page.evaluate(PREPARE, css)
    keys = {"ArrowRight": "ArrowLeft", "ArrowLeft": "ArrowRight", "PageUp": "PageDown"}
    for move in range(moves + 5):
        page.wait_for_function(AT_REST, polling=POLLING)
        # to and fro, so that no slider runs into its end
        page.keyboard.press(key if move // 8 % 2 == 0 else keys[key])
        try:
            page.wait_for_function(
                "n => wbTimes.length > n", arg=move, timeout=5_000, polling=POLLING
            )
        except TimeoutError:
            # a move that changes nothing to be seen has no time
            page.evaluate("wbTimes.push(null)")
    return [t for t in page.evaluate("wbTimes")[5:] if t is not None]


def main() -> None:
    from playwright.sync_api import sync_playwright

    from workbench.launch.testing import find_chromium

    moves = int(sys.argv[1]) if len(sys.argv) > 1 else 60
    with tempfile.TemporaryDirectory() as name, sync_playwright() as playwright:
        folder = Path(name)
        arguments = ["--notebook", str(folder / "desk.ipynb"), str(picture_file(folder))]
        with running_workbench(arguments, folder / "jupyter") as workbench:
            browser = playwright.chromium.launch(
                executable_path=find_chromium(), args=["--no-sandbox", "--disable-gpu"]
            )
            page = browser.new_page(viewport={"width": 1440, "height": 900})
            page.goto(workbench.address)
            wait_for_desk(page)
            # quick counts are marked, and lose their mark once every pixel is counted
            page.wait_for_timeout(1500)
            page.wait_for_function(
                "() => !document.querySelector('.wb-desk-answers .wb-mark-open')", timeout=120_000
            )
            print(f"{'panel':12} {'slider':42} {'what follows':24} {'median':>7} {'95 %':>7}  ms")
            for panel, slider, key, css in CASES:
                times = sorted(measure(page, panel, slider, key, css, moves))
                tail = times[int(len(times) * 0.95)]
                print(
                    f"{panel:12} {slider:42} {css:24} {statistics.median(times):7.0f} {tail:7.0f}",
                    flush=True,
                )


if __name__ == "__main__":
    main()
