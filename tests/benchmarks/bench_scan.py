"""How long a thousand profiles take to find, the first time and again.

Run as a script:  python tests/benchmarks/bench_scan.py [profiles] [nodes a side]

All profiles differ, so that none is known by another's checksum; they hold the same
tables, which does not make measuring them any quicker.  "plain" is the time to read all
files and work out their checksums in the same run (they are in the system's cache by
then), so that figures from different computers can be set side by side.  "cpu" counts
the processes apart as well.
"""

from __future__ import annotations

import hashlib
import os
import shutil
import struct
import sys
import tempfile
import time
from pathlib import Path

from workbench.colour.inkmodel import model_profile
from workbench.library import measure_found, scan_profiles
from workbench.library.cache import load_cache


def fill(folder: Path, count: int, nodes: int) -> None:
    data = bytearray(model_profile((96, 0, 1), 1.6, finish="matte", grid=nodes))
    for number in range(count):
        # another date of creation each
        minutes, second = divmod(number, 60)
        struct.pack_into(">6H", data, 24, 2020, 1, 1 + minutes // 60 % 28, 0, minutes % 60, second)
        inner = folder / f"folder {number // 50}"
        inner.mkdir(parents=True, exist_ok=True)
        (inner / f"profile {number}.icc").write_bytes(data)


def plain(folder: Path) -> int:
    return sum(len(hashlib.sha256(path.read_bytes()).digest()) for path in folder.rglob("*.icc"))


def timed(words: str, work):
    wall, cpu = time.perf_counter(), sum(os.times()[:4])
    result = work()
    wall, cpu = time.perf_counter() - wall, sum(os.times()[:4]) - cpu
    print(f"{words:<48} {wall:7.2f} s   cpu {cpu:7.2f} s", flush=True)
    return result


def main(count: int = 1000, nodes: int = 33) -> None:
    place = Path(tempfile.mkdtemp(prefix="bench-scan-"))
    try:
        folder, cache = place / "profiles", place / "cache"
        fill(folder, count, nodes)
        size = sum(path.stat().st_size for path in folder.rglob("*.icc"))
        print(f"{count} profiles of {nodes} nodes a side, {size / 1e6:,.0f} MB in all")
        timed("plain: read and checksum", lambda: plain(folder))
        # files written within the last two seconds are read again next time
        time.sleep(2.1)
        listed = timed(
            "first scan, listed only", lambda: scan_profiles([folder], cache=cache, measure=False)
        )
        full = timed("and measured afterwards", lambda: measure_found(listed, cache=cache))
        again = timed("again, nothing new", lambda: scan_profiles([folder], cache=cache))
        moved = folder.rename(place / "moved")
        timed("again, all moved (known by checksum)", lambda: scan_profiles([moved], cache=cache))
        shutil.rmtree(cache)
        once = timed("first scan, measured at once", lambda: scan_profiles([moved], cache=cache))
        kept = (cache / "profiles.json").stat().st_size
        timed(f"reading the memory ({kept / 1e6:.1f} MB) alone", lambda: load_cache(cache))
        for report in (full, again, once):
            print(
                f"  found {len(report.found)}, measured {sum(bool(f.facts) for f in report.found)}, "
                f"problems {len(report.problems)}"
            )
    finally:
        shutil.rmtree(place)


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
