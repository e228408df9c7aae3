"""What opening costs: told before, watched meanwhile, within bounds, and the same pixels as ever."""

import os
import struct
import subprocess
import sys
import zlib
from pathlib import Path

import imagecodecs
import numpy as np
import pytest
from picture.makers import noise, pillow_bytes, png_chunk, png_header, tiff_bytes

import workbench as wb
from workbench.errors import Cancelled, PictureError
from workbench.picture import limits, opening_cost, room
from workbench.picture.cost import duration
from workbench.picture.jpegstream import BrokenStream, read_stream

PASSES = ((0, 0, 8, 8), (4, 0, 8, 8), (0, 4, 4, 8), (2, 0, 4, 4), (0, 2, 2, 4), (1, 0, 2, 2),
          (0, 1, 1, 2))  # fmt: skip
SAMPLES = {0: 1, 2: 3, 3: 1, 4: 2, 6: 4}


def random_png(colour_type, bits, interlaced, clear, size, seed=0) -> bytes:
    """Any bytes behind a filter's number are a row of some picture."""
    rng = np.random.default_rng(seed)
    width, height = size
    rows = b""
    for x, y, across, down in PASSES if interlaced else [(0, 0, 1, 1)]:
        w, h = -(-(width - x) // across), -(-(height - y) // down)
        for _ in range(h if w > 0 else 0):
            length = -(-w * SAMPLES[colour_type] * bits // 8)
            rows += bytes([rng.integers(5)]) + rng.bytes(length)
    data = b"\x89PNG\r\n\x1a\n" + png_chunk(
        b"IHDR", struct.pack(">IIBBBBB", width, height, bits, colour_type, 0, 0, interlaced)
    )
    if colour_type == 3:
        data += png_chunk(b"PLTE", rng.bytes(3 * 2**bits))
    if clear:
        body = rng.bytes(2**bits // 2) if colour_type == 3 else rng.bytes(2 * SAMPLES[colour_type])
        data += png_chunk(b"tRNS", body)
    packed = zlib.compress(rows)
    cut = len(packed) // 3
    data += png_chunk(b"IDAT", packed[:cut]) + png_chunk(b"IDAT", packed[cut:])
    return data + png_chunk(b"IEND", b"")


@pytest.mark.parametrize("clear", [False, True])
@pytest.mark.parametrize("interlaced", [0, 1])
@pytest.mark.parametrize(
    "colour_type, bits",
    [(0, 1), (0, 2), (0, 4), (0, 8), (0, 16), (2, 8), (2, 16), (3, 1), (3, 2), (3, 4), (3, 8),
     (4, 8), (4, 16), (6, 8), (6, 16)],
)  # fmt: skip
def test_every_kind_of_png_is_what_libpng_reads(colour_type, bits, interlaced, clear, monkeypatch):
    from workbench.picture import pngpixels

    # many blocks of few rows each
    monkeypatch.setattr(pngpixels, "_BLOCK_BYTES", 100)
    monkeypatch.setattr(pngpixels, "_PIECE", 37)
    for seed, size in enumerate([(1, 1), (3, 9), (40, 23), (65, 70)]):
        data = random_png(colour_type, bits, interlaced, clear and colour_type < 4, size, seed)
        expected = imagecodecs.png_decode(data)
        expected = expected.reshape(size[1], size[0], -1)
        picture = wb.open_picture(data)
        top = np.iinfo(expected.dtype).max
        if expected.shape[2] in (2, 4):
            colour, alpha = expected[..., :-1] / top, expected[..., -1:] / top
            mixed = (colour * alpha + 1 - alpha) * top
            assert np.abs(picture.pixels() - mixed).max() <= 0.5001
        else:
            assert np.array_equal(picture.pixels(), expected)


FILES = {
    "PNG": imagecodecs.png_encode(noise(300, 400)),
    "PNG with alpha": imagecodecs.png_encode(noise(300, 400, channels=4)),
    "JPEG": pillow_bytes(noise(700, 900, dtype=np.uint8), "JPEG"),
    "grey JPEG": pillow_bytes(noise(700, 900, channels=1, dtype=np.uint8), "JPEG"),
    "progressive JPEG": pillow_bytes(noise(700, 900, dtype=np.uint8), "JPEG", progressive=True),
    "TIFF, packed": tiff_bytes(noise(3000, 900), compression="zlib", rowsperstrip=16),
    "TIFF, floats": tiff_bytes(noise(3000, 900, dtype=np.float32)),
}


@pytest.mark.parametrize("kind", FILES)
def test_the_head_tells_the_size_and_the_memory_that_is_held(kind):
    data = FILES[kind]
    told = opening_cost(data)
    picture = wb.open_picture(data)
    assert (told.width, told.height) == (picture.width_px, picture.height_px)
    own = picture.width_px * picture.height_px * picture.channels * picture.dtype.itemsize
    assert told.held_bytes <= 4 / 3 * own and told.held_bytes <= told.peak_bytes
    assert told.seconds > 0 and f"{told.width:,} × {told.height:,} pixels" in told.sentence


def test_only_the_head_of_a_jpeg_is_looked_at():
    data = FILES["JPEG"]
    at = data.index(b"\xff\xda")
    # all behind the first scan's marker is missing, and is not looked for
    assert opening_cost(data[: at + 20]).width == 900
    with pytest.raises(PictureError, match="cut short"):
        wb.open_picture(data[: at + 20])


@pytest.mark.parametrize("kind", FILES)
def test_opening_tells_how_far_it_has_come(kind, monkeypatch):
    from workbench.picture import jpeg, pngpixels

    monkeypatch.setattr(pngpixels, "_BLOCK_BYTES", 20_000)
    monkeypatch.setattr(jpeg, "_BUFFER", 4096)
    shares = []
    wb.open_picture(FILES[kind], progress=shares.append)
    assert shares == sorted(shares) and shares[0] == 0 and shares[-1] <= 1
    assert len(set(shares)) > 2


@pytest.mark.parametrize("kind", FILES)
def test_opening_is_given_up_when_it_is_not_wanted_any_more(kind, monkeypatch):
    from workbench.picture import jpeg, pngpixels

    monkeypatch.setattr(pngpixels, "_BLOCK_BYTES", 20_000)
    monkeypatch.setattr(jpeg, "_BUFFER", 4096)
    for after in (0, 1, 2):
        asked = []

        def cancelled(asked=asked, after=after):
            asked.append(1)
            return len(asked) > after

        with pytest.raises(Cancelled):
            wb.open_picture(FILES[kind], cancelled=cancelled)
        assert len(asked) == after + 1


def test_what_the_computer_has_no_memory_for_is_told_before(monkeypatch):
    monkeypatch.setattr(limits, "free_memory", lambda: 2 * 10**9)
    head = png_header(30_000, 30_000, bits=16)
    monkeypatch.setattr(room, "free_disk", lambda: 20 * 10**9)
    told = opening_cost(head, "huge")
    # on disk there is room for it
    assert told.disk_bytes == 30_000**2 * 6 and not told.at_once and told.peak_bytes < 1e8
    assert "5.4 GB of disk" in told.sentence
    monkeypatch.setattr(room, "free_disk", lambda: 5 * 10**9)
    told = opening_cost(head, "huge")
    assert told.held_bytes == 30_000**2 * 6 and told.disk_bytes == 0
    with pytest.raises(PictureError, match="“huge” needs about 5.5 GB of memory"):
        told.check("“huge”")


def test_progressive_pictures_are_told_to_take_more():
    plain, passes = opening_cost(FILES["JPEG"]), opening_cost(FILES["progressive JPEG"])
    assert passes.held_bytes == plain.held_bytes == 3 * 900 * 700
    # 4:2:0 keeps 1.5 coefficients of 2 bytes a pixel (ITU-T T.81, A.1.1)
    assert passes.peak_bytes - plain.peak_bytes == 3 * 900 * 700
    assert passes.seconds > plain.seconds


def test_times_in_words_grow():
    words = [duration(seconds) for seconds in (0, 1, 3, 12, 58, 100, 600)]
    assert words == ["a second", "a second", "3 seconds", "10 seconds", "60 seconds", "2 minutes",
                     "10 minutes"]  # fmt: skip


def test_a_jpeg_in_a_million_parts_is_refused_at_once():
    data = FILES["JPEG"]
    with pytest.raises(PictureError, match="more parts than any picture"):
        wb.open_picture(data[:2] + b"\xff\xfe\x00\x02" * 1_000_000 + data[2:])
    few = data[:2] + b"\xff\xfe\x00\x10" * 1 + b"c" * 14 + data[2:]
    assert np.array_equal(wb.open_picture(few).pixels(), wb.open_picture(data).pixels())


def test_a_jpeg_of_endless_scans_is_refused():
    data = FILES["progressive JPEG"]
    marks = read_stream(data)
    scan = next(data[a:b] for a, b in reversed(marks.pieces) if data[a : a + 2] == b"\xff\xda")
    with pytest.raises(BrokenStream, match="more parts"):
        read_stream(data[:-2] + scan * 501 + b"\xff\xd9")


PEAK = """
import sys, threading, time
from pathlib import Path
import imagecodecs, tifffile, PIL.JpegImagePlugin, numpy, scipy.sparse
import workbench as wb
from workbench.picture import open_picture
import workbench.picture.png, workbench.picture.jpeg, workbench.picture.tiff
def used():
    # pages of files are not the process's own: the system takes them away when it needs room
    for line in Path("/proc/self/status").read_text().splitlines():
        if line.startswith("RssAnon:"):
            return int(line.split()[1]) * 1024
open_picture(sys.argv[2])
bare = used()
peak = [bare]
def look():
    while True:
        peak[0] = max(peak[0], used())
        time.sleep(0.002)
threading.Thread(target=look, daemon=True).start()
picture = open_picture(sys.argv[1])
time.sleep(0.01)
print(peak[0] - bare, used() - bare, picture.width_px * picture.height_px * picture.channels
      * picture.dtype.itemsize)
"""


def rough(height, width, channels, dtype) -> np.ndarray:
    """Pixels that pack to nearly as much as they are, as a photograph's do at 16 bits."""
    line = np.linspace(0, np.iinfo(dtype).max, width).astype(dtype)
    pixels = np.broadcast_to(line[None, :, None], (height, width, channels)).copy()
    tile = np.random.default_rng(0).integers(0, np.iinfo(dtype).max // 16, (500, 500, channels))
    for y in range(0, height, 500):
        for x in range(0, width, 500):
            pixels[y : y + 500, x : x + 500] ^= tile.astype(dtype)
    return pixels


def large(kind: str) -> bytes:
    if "JPEG" in kind:
        pixels = rough(4000, 5000, 3, np.uint8)
        options = {"subsampling": 0} if "4:4:4" in kind else {}
        return pillow_bytes(pixels, "JPEG", progressive="progressive" in kind, **options)
    if kind == "PNG with alpha":
        pixels = rough(3000, 3000, 4, np.uint16)
        pixels[..., 3] = 40_000
        return imagecodecs.png_encode(pixels, level=1)
    pixels = rough(3000, 3000, 3, np.uint16)
    if kind == "PNG":
        return imagecodecs.png_encode(pixels, level=1)
    _, packing, rows = kind.split()
    return tiff_bytes(
        pixels,
        compression=packing,
        predictor=packing != "packbits",
        rowsperstrip=3000 if rows == "whole" else 64,
    )


# of the picture's own size, in memory; coefficients of progressive pictures, two bytes each, are
# once or twice as much as their pixels
MOST = {
    "PNG": 0.7,
    "PNG with alpha": 0.7,
    "JPEG": 0.3,
    "progressive JPEG": 1.1,
    "progressive JPEG 4:4:4": 2.1,
    "TIFF zlib strips": 0.5,
    "TIFF zlib whole": 0.9,
    "TIFF lzw whole": 0.9,
    "TIFF packbits whole": 0.9,
}


@pytest.mark.parametrize("kind", MOST)
def test_opening_takes_no_more_memory_than_told(kind, tmp_path):
    (tmp_path / "large").write_bytes(large(kind))
    small = kind.removesuffix(" 4:4:4") if "TIFF" not in kind else "TIFF, packed"
    (tmp_path / "small").write_bytes(FILES[small])
    done = subprocess.run(
        [sys.executable, "-c", PEAK, str(tmp_path / "large"), str(tmp_path / "small")],
        env={**os.environ, "PYTHONPATH": str(Path(wb.__file__).parent.parent)},
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    peak, after, own = map(int, done.stdout.split())
    assert peak <= MOST[kind] * own
    assert after <= 0.5 * own
    # and what was told beforehand holds, but for what libraries keep for themselves
    assert peak <= opening_cost(tmp_path / "large").peak_bytes + 25e6
