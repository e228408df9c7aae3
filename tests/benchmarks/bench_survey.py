"""A survey beside reading and counting the same pictures one after the other.

    python tests/benchmarks/bench_survey.py [PICTURES] [SIDE_PX] [PAPERS]

Wanted: 0.8 of what reading and exact count alone cost, times the processes; flat memory.
Processes that share cores slow one another down, so both are timed: one process alone, and as
many as the survey has, doing nothing but reading and counting.
"""

from __future__ import annotations

import os
import sys
import tempfile
import time
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context
from pathlib import Path

import numpy as np
import psutil
from PIL import Image

import workbench as wb
from workbench.colour.spaces import standard_profile


def make(folder: Path, many: int, side: int) -> None:
    across, down = np.meshgrid(np.linspace(0, 1, side), np.linspace(0, 1, side * 2 // 3))
    profile = standard_profile("sRGB")
    for number in range(many):
        shift = number / many
        ripple = 0.5 + 0.4 * np.sin(60 * across * (down + shift))
        pixels = np.stack([across, ripple * across, (down + shift) % 1], -1)
        image = Image.fromarray(np.round(pixels * 255).astype(np.uint8))
        image.save(folder / f"{number:05}.jpg", quality=88, icc_profile=profile)


def alone(paths, papers) -> float:
    """Seconds a picture that reading and exact count cost."""
    start = time.perf_counter()
    for path in paths:
        picture = wb.open_picture(path)
        for paper in papers:
            wb.gamut_report(picture, paper)
    return (time.perf_counter() - start) / len(paths)


def at_once(paths, papers, workers: int) -> float:
    """The same, divided by the processes, while all of them do it at once."""
    with ProcessPoolExecutor(workers, get_context("spawn")) as pool:
        list(pool.map(alone, [paths[:2]] * workers, [papers] * workers))
        return sum(pool.map(alone, [paths] * workers, [papers] * workers)) / workers**2


def main(many: int = 200, side: int = 1500, papers_many: int = 3) -> None:
    workers = os.cpu_count() or 1
    papers = wb.demo_papers()[:papers_many]
    for paper in papers:
        assert paper.gamut_volume
    process = psutil.Process()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name) / "many"
        folder.mkdir()
        make(folder, many, side)
        paths = sorted(folder.iterdir())
        alone(paths[:3], papers)
        some = paths[:: max(1, many // 40)]
        each, together = alone(some, papers), at_once(some, papers, workers)
        seen: list[tuple[float, float]] = []

        def told(share: float) -> None:
            family = [process, *process.children(recursive=True)]
            memory = sum(one.memory_info().rss for one in family if one.is_running())
            seen.append((share, memory / 1e6))

        start = time.perf_counter()
        done = wb.survey(folder, papers, keep_in=Path(name) / "kept.jsonl", progress=told)
        took = time.perf_counter() - start
    print(done.sentence)
    print(f"reading and counting alone, one after the other: {1000 * each:.0f} ms a picture")
    print(f"the same in {workers} processes at once: {1000 * together:.0f} ms a picture")
    print(f"survey, {workers} processes: {1000 * took / many:.0f} ms a picture, of {took:.0f} s")
    print(f"rate over that of one process alone: {each * many / took:.2f}")
    print(f"rate over that of {workers} processes alone: {together * many / took:.2f}")
    for part in (0.25, 0.5, 0.75, 1.0):
        memory = max(m for share, m in seen if part - 0.25 <= share <= part)
        print(f"memory of all processes up to {part:.0%}: at most {memory:.0f} MB")


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
