"""What an exact count costs and how near it comes to every pixel's own trip.

    python tests/benchmarks/bench_counts.py [megapixels, 50 if left out]

For each kind of picture, 16-bit RGB with noise: the time of one plain conversion of it to
the paper by Little CMS on one thread, and of the whole exact answer, census included, as a
multiple of that in the same run, twice over, on the clock and in processor time (the
count keeps two threads busy: on idle processors the clock says little more than half); then of another threshold once the census is
there, and of a quick answer.  Memory is the most that was held beside the picture, as a
share of it.  The errors, in points (hundredths of the picture), are against every pixel
evaluated in floating point, at a tenth of the size.
"""

from __future__ import annotations

import sys
import time
import tracemalloc

import numpy as np
from scipy.ndimage import zoom

import workbench as wb
from workbench.colour.engine import transform
from workbench.colour.trip import trip
from workbench.picture.opening import from_pixels

# saturation, gamma, lift, noise
KINDS = {
    "night": (1.2, 3.5, 0.0, 0.004),
    "pastel": (0.5, 0.6, 0.4, 0.003),
    "saturated": (2.0, 1.0, 0.0, 0.004),
    "near grey": (0.05, 1.6, 0.0, 0.002),
}
THRESHOLDS = 1.0, 2.0, 4.0


def made(kind: str, megapixels: float) -> np.ndarray:
    """A picture of soft shapes, texture and noise: (h, w, 3) uint16."""
    saturation, gamma, lift, noise = KINDS[kind]
    rng = np.random.default_rng(7)
    height = int((megapixels * 1e6 / 1.5) ** 0.5)
    tile = zoom(rng.random((12, 18, 3)), (height / 48, height / 48, 1), order=1)
    tile += 0.06 * zoom(
        rng.normal(size=(300, 450, 1)), (*(np.array(tile.shape[:2]) / (300, 450)), 1)
    )
    grey = tile.mean(axis=2, keepdims=True)
    tile = np.clip(grey + (tile - grey) * saturation, 0, 1) ** gamma * (1 - lift) + lift
    tile = tile.astype(np.float32)
    rows = []
    for _ in range(4):
        row = [tile + rng.normal(0, noise, tile.shape).astype(np.float32) for _ in range(4)]
        rows.append((np.clip(np.concatenate(row, axis=1), 0, 1) * 65535).astype(np.uint16))
    return np.concatenate(rows)


def timed(work) -> np.ndarray:
    """Seconds on the clock, and of all processors together."""
    clock, busy = time.perf_counter(), time.process_time()
    work()
    return np.array([time.perf_counter() - clock, time.process_time() - busy])


def costs(kind: str, paper, megapixels: float) -> str:
    pixels = made(kind, megapixels)
    picture = from_pixels(pixels, "opRGB")
    source, parts = picture.profile, []
    for _ in range(2):
        fresh = from_pixels(pixels, "opRGB")
        plain = timed(lambda: transform(pixels, source, paper.profile))
        count = timed(lambda fresh=fresh: wb.gamut_report(fresh, paper))
        again = timed(lambda fresh=fresh: wb.gamut_report(fresh, paper, threshold=3.0))
        shift = timed(lambda fresh=fresh: wb.colour_shift(fresh, paper))
        quick = timed(lambda fresh=fresh: wb.gamut_report(fresh, paper, threshold=3.5, exact=False))
        moved = timed(lambda fresh=fresh: wb.gamut_report(fresh, paper, threshold=3.6, exact=False))
        for which in (0, 1):
            p, c, a, s, q, m = (t[which] for t in (plain, count, again, shift, quick, moved))
            parts.append(
                f"{('clock', 'busy')[which]:6}{p:6.2f} s{c / p:7.2f}{a / p:7.2f}{s / p:7.2f}"
                f"{1000 * q:8.0f} ms{1000 * m:6.1f} ms"
            )
    fresh = from_pixels(pixels, "opRGB")
    tracemalloc.start()
    wb.gamut_report(fresh, paper)
    peak = tracemalloc.get_traced_memory()[1] / pixels.nbytes
    tracemalloc.stop()
    return "\n".join(f"{kind:12}{part}{peak:9.2f}" for part in parts)


def errors(kind: str, paper, megapixels: float) -> str:
    pixels = made(kind, megapixels)
    picture = from_pixels(pixels, "opRGB")
    flat = pixels.reshape(-1, 3)
    journeys = [
        trip(
            (part / 65535).astype(np.float32), picture.profile, paper.profile, "relative", False
        ).beyond
        for part in np.array_split(flat, 1 + len(flat) // 500_000)
    ]
    direct = np.concatenate(journeys)
    said = []
    for threshold in THRESHOLDS:
        share = float(np.mean(direct > threshold))
        exact, quick = (
            wb.gamut_report(picture, paper, threshold=threshold, exact=e).share_outside
            for e in (True, False)
        )
        said.append(f"{100 * share:7.2f} %{100 * (exact - share):9.4f}{100 * (quick - share):8.3f}")
    return f"{kind:12}" + "   ".join(said)


def main(megapixels: float) -> None:
    papers = wb.demo_papers()
    print(f"{megapixels:g} megapixels; ratios to one plain conversion on one thread")
    print(
        f"{'':18}{'plain':>8}{'count':>7}{'again':>7}{'shift':>7}{'quick':>11}{'moved':>9}{'memory':>9}"
    )
    for kind in KINDS:
        print(costs(kind, papers[-1], megapixels), flush=True)
    print("share, error of the exact and of the quick answer in points, at 1, 2 and 4 CIEDE2000")
    for paper in (papers[0], papers[-1]):
        for kind in KINDS:
            print(errors(kind, paper, megapixels / 10), flush=True)


if __name__ == "__main__":
    main(float(sys.argv[1]) if len(sys.argv) > 1 else 50.0)
