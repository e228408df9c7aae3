"""How long a 100-megapixel picture takes to open, preview and count, and how much memory.

Run as a script:  python tests/benchmarks/bench_open_picture.py [megapixels]

Each file is opened in a process of its own.  "plain" is the time to read the file's
bytes in the same run (it is in the system's cache by then), so that figures from
different computers can be set side by side.  The peak is the process's resident memory;
"bare" is what the process needs before it opens anything.  "cpu" is the processor time of
all three steps over all threads, which hardly depends on what else the computer does.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np

ROOT = Path(__file__).resolve().parents[2]
BAND = 256


def band(y0: int, rows: int, width: int, height: int) -> np.ndarray:
    """Part of a smooth invented picture with fine noise, uint16 RGB."""
    rng = np.random.default_rng(y0)
    y = np.arange(y0, y0 + rows)[:, None] / height
    x = np.arange(width)[None] / width
    base = np.stack([y + 0 * x, x + 0 * y, (1 - x) * (1 - y) + 0.2 * np.sin(40 * x * y)], axis=-1)
    values = base * 50_000 + 5000 + rng.normal(0, 1000, (rows, width, 1))
    return values.clip(0, 65535).astype(np.uint16)


def paths_in(folder: Path) -> dict[str, Path]:
    return {
        "TIFF 16-bit plain": folder / "plain.tif",
        "TIFF 16-bit deflate strips": folder / "strips.tif",
        "TIFF 16-bit LZW tiles": folder / "tiles.tif",
        "PNG 16-bit": folder / "picture.png",
        "JPEG 8-bit": folder / "picture.jpg",
    }


def write_all(folder: Path, width: int, height: int) -> None:
    """One file of each kind."""
    import imagecodecs
    import tifffile

    pixels = np.concatenate(
        [band(y, min(BAND, height - y), width, height) for y in range(0, height, BAND)]
    )
    options = {"photometric": "rgb", "maxworkers": 2}
    plain, strips, tiles, png, jpeg = paths_in(folder).values()
    tifffile.imwrite(plain, pixels, rowsperstrip=64, **options)
    tifffile.imwrite(strips, pixels, rowsperstrip=32, compression="zlib", predictor=True, **options)
    tifffile.imwrite(tiles, pixels, tile=(256, 256), compression="lzw", predictor=True, **options)
    png.write_bytes(imagecodecs.png_encode(pixels, level=3))
    jpeg.write_bytes(imagecodecs.jpeg8_encode((pixels >> 8).astype(np.uint8), level=92))


def peak_mb() -> float:
    import resource

    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    # bytes on macOS, kilobytes elsewhere
    return peak / (2**20 if sys.platform == "darwin" else 2**10)


def measure(path: str) -> dict:
    """Open, preview and count one file, in this process."""
    import imagecodecs
    import tifffile

    import workbench as wb

    # these load on first use, which is not to be timed
    assert imagecodecs.png_decode and tifffile.TiffFile and wb.open_picture
    times, cpu = {"bare_mb": peak_mb()}, time.process_time()
    start = time.perf_counter()
    picture = wb.open_picture(path, assume_profile="sRGB")
    times["open"] = time.perf_counter() - start
    times["open_mb"] = peak_mb()
    start = time.perf_counter()
    picture.preview(1200)
    times["preview"] = time.perf_counter() - start
    start = time.perf_counter()
    counts = picture.census().counts
    times["census"] = time.perf_counter() - start
    assert counts.sum() == picture.width_px * picture.height_px
    times["cpu"] = time.process_time() - cpu
    times["peak_mb"] = peak_mb()
    times["decoded_mb"] = counts.sum() * picture.channels * picture.dtype.itemsize / 2**20
    return {key: float(value) for key, value in times.items()}


def plain_read(path: Path) -> float:
    """Seconds to read the file's bytes in pieces."""
    buffer = bytearray(2**22)
    start = time.perf_counter()
    with open(path, "rb", buffering=0) as stream:
        while stream.readinto(buffer):
            pass
    return time.perf_counter() - start


def main() -> None:
    megapixels = float(sys.argv[1]) if len(sys.argv) > 1 else 100.0
    height = round((megapixels * 1e6 / 1.5) ** 0.5)
    width = round(height * 1.5)
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    print(f"{width} × {height}, {width * height / 1e6:.1f} MP, {os.cpu_count()} processors")
    print(
        f"{'':28}{'file MB':>8}{'plain s':>9}{'open s':>8}{'preview s':>10}{'census s':>10}{'cpu s':>7}"
        f"{'all/plain':>10}{'bare MB':>9}{'peak MB':>9}{'decoded MB':>11}{'(peak-bare)/decoded':>21}"
    )
    with tempfile.TemporaryDirectory() as folder:
        # in a process of its own as well: a child's peak begins with that of its parent
        command = [sys.executable, __file__, "--write", folder, str(width), str(height)]
        subprocess.run(command, env=environment, check=True)
        for name, path in paths_in(Path(folder)).items():
            plain_read(path)
            plain = plain_read(path)
            command = [sys.executable, __file__, "--one", str(path)]
            run = subprocess.run(
                command, env=environment, check=True, capture_output=True, text=True
            )
            r = json.loads(run.stdout)
            total = r["open"] + r["preview"] + r["census"]
            print(
                f"{name:28}{path.stat().st_size / 2**20:8.0f}{plain:9.2f}{r['open']:8.2f}"
                f"{r['preview']:10.2f}{r['census']:10.2f}{r['cpu']:7.1f}{total / plain:10.1f}"
                f"{r['bare_mb']:9.0f}{r['peak_mb']:9.0f}{r['decoded_mb']:11.0f}"
                f"{(r['peak_mb'] - r['bare_mb']) / r['decoded_mb']:21.2f}",
                flush=True,
            )


if __name__ == "__main__":
    if sys.argv[1:2] == ["--one"]:
        print(json.dumps(measure(sys.argv[2])))
    elif sys.argv[1:2] == ["--write"]:
        write_all(Path(sys.argv[2]), int(sys.argv[3]), int(sys.argv[4]))
    else:
        main()
