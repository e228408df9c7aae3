"""From a slider's move to new pixels on the page, in headless Chromium.

    python tests/benchmarks/bench_slider.py [moves]

Opens the desk on a generated 24-megapixel 16-bit picture, moves one slider of each
panel by its arrow key, and prints for the plot and the picture that follow it the
milliseconds from the key in the page to the frame with the new image: median and 95th
percentile, the target being a median of 50 ms.  First with every key pressed when all is at
rest and counted, then in one go, each key as soon as the last one's image is seen.

What a pause costs the machine itself stands above: some virtual machines take memory away
from whoever rests, and then "at rest" tells of them and not of the desk.
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

_PLOT, _PICTURE = ".wb-stage .wb-plot", ".wb-stage .wb-picture"
# panel, slider, key, what follows and which of those in view
CASES = (
    ("size", "Picture resolution (ppi)", "ArrowLeft", _PLOT, 0),
    ("gamut", "Out-of-gamut threshold (CIEDE2000)", "ArrowRight", _PLOT, 0),
    ("gamut", "Out-of-gamut threshold (CIEDE2000)", "ArrowRight", _PICTURE, 0),
    ("gamut", "Lightness of the slice (L*)", "ArrowRight", _PLOT, 2),
    ("gamut", "Turn (degrees)", "ArrowRight", _PLOT, 3),
    ("white", "Adaptation to paper white (%)", "PageUp", _PLOT, 0),
    ("white", "Adaptation to paper white (%)", "PageUp", ".wb-desk-picture .wb-picture", 0),
    ("black", "Greys merge when closer than (CIEDE2000)", "PageUp", _PLOT, 0),
)

# Waits for the pictures to come to rest before each key, so that what the last move
# still changes is not taken for the next one's answer.
PREPARE = """([css, which]) => {
    const seen = i => i.offsetParent !== null;
    const [followed] = [...document.querySelectorAll(css)].filter(seen).slice(which);
    window.wbTimes = []; window.wbStart = null; window.wbLast = 0;
    window.wbKeys?.abort(); window.wbWatch?.disconnect();
    window.wbKeys = new AbortController();
    addEventListener('keydown', () => { window.wbStart = performance.now(); },
                     {capture: true, signal: window.wbKeys.signal});
    window.wbWatch = new MutationObserver(changes => {
        for (const {target} of changes) {
            // not asked whether it is seen: to know that, the page would be laid out once more
            if (!target.matches?.('.wb-desk img, .wb-desk canvas')) continue;
            window.wbLast = performance.now();
            const started = window.wbStart;
            if (started === null || target !== followed) continue;
            window.wbStart = null;
            requestAnimationFrame(() => window.wbTimes.push(performance.now() - started));
        }
    });
    window.wbWatch.observe(document.body,
        {subtree: true, attributes: true, attributeFilter: ['src', 'data-frame']});
}"""
COUNTED = "!document.querySelector('.wb-desk-answers .wb-mark-open')"
AT_REST = f"() => performance.now() - wbLast > 350 && {COUNTED}"
# asked at each frame, the page would draw frames for the sake of being asked
POLLING = 100


def cost_of_a_pause(pause_s: float = 0.5) -> float:
    """How many times as long memory takes to be gone through after a pause than without one."""
    import time

    import numpy as np

    def gone_through() -> float:
        begin = time.perf_counter()
        np.add(memory, 1, out=memory)
        return time.perf_counter() - begin

    memory = np.zeros(4_000_000)
    at_once = statistics.median(gone_through() for _ in range(9))
    rested = []
    for _ in range(5):
        time.sleep(pause_s)
        rested.append(gone_through())
    return statistics.median(rested) / at_once


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


def measure(
    page, panel: str, slider: str, key: str, css: str, which: int, moves: int, rest: bool = True
) -> list[float]:
    go_to(page, panel)
    if panel == "white":  # alone the print leaves nothing to adapt to
        page.get_by_label("Seen beside", exact=True).select_option("brightened card")
    handle = page.locator(f'.wb-desk [role=slider][aria-label="{slider}"]:visible')
    handle.focus()
    page.wait_for_timeout(500)
    page.evaluate(PREPARE, [css, which])
    keys = {"ArrowRight": "ArrowLeft", "ArrowLeft": "ArrowRight", "PageUp": "PageDown"}
    for move in range(moves + 5):
        if rest or not move:
            page.wait_for_function(AT_REST, polling=POLLING)
        # to and fro, so that no slider runs into its end
        page.keyboard.press(key if move // 8 % 2 == 0 else keys[key])
        try:
            page.wait_for_function(
                "n => wbTimes.length > n", arg=move, timeout=5_000, polling=POLLING if rest else 20
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
            page.wait_for_function(f"() => {COUNTED}", timeout=120_000)
            print(
                f"Memory after a pause of 0.5 s: {cost_of_a_pause():.1f} times as slow as without."
            )
            print(f"{'':66} {'at rest':>15} {'in one go':>15}")
            print(f"{'slider':42} {'what follows':24}" + 2 * f" {'median':>7} {'95 %':>7}" + "  ms")
            for case in CASES:
                _, slider, _, css, _ = case
                found = ""
                for rest in (True, False):
                    times = sorted(measure(page, *case, moves, rest))
                    tail = times[int(len(times) * 0.95)]
                    found += f" {statistics.median(times):7.0f} {tail:7.0f}"
                print(f"{slider:42} {css.split('.')[-1]:24}{found}", flush=True)


if __name__ == "__main__":
    main()
