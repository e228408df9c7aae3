"""How long all papers take to compare for a large picture, against plain conversions.

    python tests/benchmarks/bench_compare.py [--folder DIR] [--runs N] [--megapixels 24]

A 16-bit picture is compared on the invented papers (RGB) and a press sheet
(CMYK).  Plain is one Little CMS conversion of all its pixels to each of the profiles,
nothing read, nothing judged.  Wanted: less than twice that, on 2 cores.  Each
measurement runs in a process of its own and begins cold: previews, the picture's census,
and the papers' own facts are part of the comparison; making the invented profiles is not.
"""

from __future__ import annotations

import argparse
import json
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

HERE = Path(__file__).resolve()
sys.path[:0] = [str(HERE.parents[2]), str(HERE.parents[1]), str(HERE.parent)]

MOST_TIMES = 2.0


def _papers():
    import workbench as wb
    from workbench.paper import Paper

    coated = HERE.parents[1] / "data" / "FOGRA39L_coated.icc"
    return [*wb.demo_papers(), Paper(name="Press sheet", profile=coated.read_bytes())]


def measure_ours(path: str) -> dict:
    """Opening, comparing, and describing again once previews and census are there."""
    import workbench as wb
    from workbench.analysis.character import describe

    papers = _papers()
    start, busy = time.perf_counter(), time.process_time()
    picture = wb.open_picture(path)
    comparison = wb.compare(picture, papers)
    seconds, cpu = time.perf_counter() - start, time.process_time() - busy
    start = time.perf_counter()
    comparison.order({"blacks": 2, "colour": 1})
    order = time.perf_counter() - start
    start = time.perf_counter()
    describe(picture, ppi=360)
    return {
        "seconds": seconds,
        "cpu seconds": cpu,
        "another order": order,
        "describe, warm": time.perf_counter() - start,
    }


def measure_plain(path: str) -> dict:
    """The pixels, in memory, to each profile."""
    import imagecodecs
    import tifffile

    from workbench.colour.profile import read_profile
    from workbench.colour.spaces import standard_profile

    papers, source = _papers(), standard_profile("opRGB")
    pixels = tifffile.imread(path)
    start, busy = time.perf_counter(), time.process_time()
    for paper in papers:
        imagecodecs.cms_transform(
            pixels,
            source,
            paper.profile,
            colorspace="rgb",
            outcolorspace=read_profile(paper.profile).space.lower(),
            intent=1,
            flags=int(imagecodecs.CMS.FLAGS.BLACKPOINTCOMPENSATION),
        )
    return {
        "seconds": time.perf_counter() - start,
        "cpu seconds": time.process_time() - busy,
    }


def _in_process(what: str, path: str) -> dict:
    done = subprocess.run(
        [sys.executable, str(HERE), "--measure", what, path],
        check=True,
        capture_output=True,
        text=True,
    )
    return json.loads(done.stdout)


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--folder", default=None)
    parser.add_argument("--runs", type=int, default=3)
    parser.add_argument("--megapixels", type=float, default=24)
    parser.add_argument("--measure", nargs=2, help=argparse.SUPPRESS)
    options = parser.parse_args()
    if options.measure:
        what, path = options.measure
        print(json.dumps({"ours": measure_ours, "plain": measure_plain}[what](path)))
        return 0
    from bench_print_file import make_picture

    with tempfile.TemporaryDirectory(dir=options.folder) as folder:
        path = str(Path(folder, "picture.tif"))
        make_picture(Path(path), options.megapixels)
        ratios = []
        for _ in range(options.runs):
            ours, plain = _in_process("ours", path), _in_process("plain", path)
            print("ours ", {k: round(v, 4) for k, v in ours.items()})
            print("plain", {k: round(v, 4) for k, v in plain.items()})
            ratios.append(ours["seconds"] / plain["seconds"])
    times = statistics.median(ratios)
    print(f"{times:.2f} times six plain conversions (wanted: less than {MOST_TIMES:g})")
    return int(times >= MOST_TIMES)


if __name__ == "__main__":
    sys.exit(main())
