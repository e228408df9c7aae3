"""Whatever is handed in, the answer is a picture or one of our own sentences."""

from __future__ import annotations

import io
import os
import struct

import numpy as np
import pytest
from picture.makers import noise, pillow_bytes, tiff_bytes
from PIL import Image

import workbench as wb
from workbench.picture import limits

STORED = noise(dtype=np.uint8)
FILES = {
    "TIFF": tiff_bytes(STORED),
    "PNG": pillow_bytes(STORED, "PNG"),
    "JPEG": pillow_bytes(STORED, "JPEG"),
}


def refused(source, name=None) -> str:
    with pytest.raises(wb.PictureError) as caught:
        wb.open_picture(source, name=name)
    sentence = str(caught.value)
    assert sentence.endswith(".") and len(sentence) < 400
    return sentence


def test_a_path_that_is_not_there(tmp_path):
    assert "There is no file “gone.tif” in “" in refused(tmp_path / "gone.tif")
    assert "There is no file" in refused(str(tmp_path / "no folder" / "gone.tif"))


def test_a_directory(tmp_path):
    assert "is a folder; choose a file in it" in refused(tmp_path)


def test_an_unreadable_path(tmp_path, monkeypatch):
    path = tmp_path / "secret.tif"
    path.write_bytes(FILES["TIFF"])

    def denied(*args, **options):
        raise PermissionError(13, "Permission denied")

    # whoever runs the tests may be allowed to read everything
    monkeypatch.setattr(io, "FileIO", denied)
    sentence = refused(path)
    assert "secret.tif” cannot be read (you do not have permission to read it)" in sentence
    monkeypatch.setattr(os, "stat", denied)
    assert "cannot be read (you do not have permission to read it)" in refused(path)


def test_a_read_error_of_the_disk(tmp_path, monkeypatch):
    class Failing(io.FileIO):
        def readinto(self, buffer):
            raise OSError(5, "Input/output error")

    path = tmp_path / "worn.tif"
    path.write_bytes(FILES["TIFF"])
    monkeypatch.setattr(io, "FileIO", Failing)
    assert "cannot be read (Input/output error)" in refused(path)


def test_what_is_neither_file_nor_directory():
    # reading a device or a pipe might never end
    assert "not an ordinary file" in refused(os.devnull)


@pytest.mark.parametrize("source", [None, 7, 3.5, ["a.tif"], object()])
def test_sources_of_another_type(source):
    assert "from the path of a file or from bytes" in refused(source)


@pytest.mark.parametrize(
    ("source", "said"),
    [
        ("a\0b.tif", "is not a path"),
        ("\ud800.tif", "is not a path"),
        ("x" * 5000, "cannot be read"),
    ],
)
def test_impossible_paths(source, said):
    assert said in refused(source)


@pytest.mark.parametrize("name", ["a.tif", "b.png", "c.jpg", None])
def test_nothing_at_all(name):
    assert "is empty (0 bytes)" in refused(b"", name)


@pytest.mark.parametrize("name", ["a.tif", "b.png", "c.jpg"])
def test_text_with_the_name_of_a_picture(name):
    sentence = refused(b"Dear diary,\nthis is not a picture.\n", name)
    assert f"“{name}” is called {name[1:]} but holds plain text, not a picture" in sentence
    assert "Choose a TIFF, PNG or JPEG file" in sentence


def test_rubbish():
    assert "no picture the workbench can read; it may be damaged" in refused(bytes(100), "a.tif")
    assert "not a picture the workbench can read. If" in refused(b"\xfe\x00\x01" * 30)
    assert "text file" in refused(b"II. The second chapter", "notes.txt")
    assert "text file" in refused(b"hello", "notes.txt")


@pytest.mark.parametrize("kind", FILES)
@pytest.mark.parametrize("name", ["x.tif", "x.png", "x.jpeg", "x.dat", "x"])
def test_a_wrong_extension_opens_with_a_note(kind, name):
    picture = wb.open_picture(FILES[kind], name=name)
    fits = {"TIFF": "x.tif", "PNG": "x.png", "JPEG": "x.jpeg"}[kind]
    if name in (fits, "x"):
        assert picture.notes == ()
    else:
        assert picture.notes == (f"“{name}” is in fact a {kind} file and was opened as one.",)
    assert picture.kind == kind


@pytest.mark.parametrize("kind", FILES)
@pytest.mark.parametrize("keep", [4, 9, 20, 40, 100, 0.3, 0.6, 0.98])
def test_cut_short(kind, keep, tmp_path):
    data = FILES[kind]
    path = tmp_path / "cut"
    path.write_bytes(data[: keep if isinstance(keep, int) else int(len(data) * keep)])
    sentence = refused(path)
    assert "damaged" in sentence or "picture the workbench can read" in sentence


def test_what_a_file_holds_decides_and_not_its_ending():
    picture = wb.open_picture(FILES["TIFF"], name="shot.raw")
    assert picture.notes == ("“shot.raw” is in fact a TIFF file and was opened as one.",)
    # what cannot be told may still come from a camera
    sentence = refused(b"\0\1\2\3" * 50, "shot.raw")
    assert "straight from a camera, turn it into a finished picture first" in sentence


@pytest.mark.parametrize(
    "head",
    [
        b"II*\0\x10\0\0\0CR\x02\0",
        b"II\x1a\0\0\0",
        b"IIIIabcd\x08\0\0\0",
        b"MMMMabcd\0\0\0\x08",
        b"\0\0\0\x18ftypcrx \0\0\0\1",
        b"XXXXXXXXCCD-RAW 0201",
        b"IIRO\x08\0\0\0",
        b"IIU\0\x08\0\0\0",
        b"FOVb\0\0\2\0",
        b"\0MRM\0\0\0\0",
    ],
)
def test_camera_raw_by_content(head):
    assert "Turn it into a finished picture first" in refused(head + bytes(100), "shot.jpg")


@pytest.mark.parametrize(
    "head,kind",
    [
        (b"\0\0\0\x18ftypheic", "HEIF or AVIF"),
        (b"\0\0\0\x18ftypavif", "HEIF or AVIF"),
        (b"RIFF\0\0\0\0WEBPVP8 ", "WebP"),
        (b"8BPS\0\1", "layered picture"),
        (b"%PDF-1.7\n", "PDF"),
        (b"%!PS\n", "PostScript"),
        (b"\xff\x0a", "JPEG XL"),
        (b"II\xbc\x01", "JPEG XR"),
        (b"\0\0\0\x0cjP  \r\n", "JPEG 2000"),
        (b"PK\x03\x04", "ZIP archive"),
    ],
)
def test_other_kinds_of_files(head, kind):
    sentence = refused(head + bytes(100), "picture.tif")
    assert f"is a {kind} file, which the workbench does not read" in sentence
    assert "Export it as a 16-bit TIFF" in sentence


@pytest.mark.parametrize("kind", ["GIF", "BMP", "WEBP"])
def test_other_kinds_written_by_pillow(kind):
    image = Image.fromarray(STORED)
    assert "which the workbench does not read" in refused(pillow_bytes(image, kind), "a.png")


def test_tiff_directories_that_go_in_circles():
    data = bytearray(FILES["TIFF"])
    (first,) = struct.unpack_from("<I", data, 4)
    (count,) = struct.unpack_from("<H", data, first)
    struct.pack_into("<I", data, first + 2 + 12 * count, first)
    assert np.array_equal(wb.open_picture(bytes(data)).pixels(), STORED)


def test_a_tiff_without_any_directory():
    assert "its tags cannot be read" in refused(b"II*\0" + bytes(100))
    assert "its tags cannot be read" in refused(b"II*\0\xff\xff\xff\x7f" + bytes(100))


def test_too_little_memory_is_told_before_decoding(monkeypatch):
    monkeypatch.setattr(limits, "free_memory", lambda: 5000)
    for kind in ("PNG", "JPEG"):
        sentence = refused(FILES[kind], "large")
        assert "“large” needs about 0.0 GB of memory" in sentence
        assert "uncompressed TIFF" in sentence
    assert "of memory to be opened" in refused(tiff_bytes(STORED, compression="lzw"))
    # which is read piece by piece
    assert wb.open_picture(FILES["TIFF"]).width_px == 53


def test_running_out_of_memory_is_told(monkeypatch):
    from workbench.picture import opening

    def exhausted(file, watch):
        raise MemoryError

    monkeypatch.setitem(opening._READERS, "PNG", exhausted)
    assert "needs more memory than there is" in refused(FILES["PNG"])


def test_free_memory_is_a_sensible_number_where_the_system_tells():
    free = limits.free_memory()
    assert free is None or 10**6 < free < 10**15


def test_free_memory_heeds_the_limit_of_a_container(monkeypatch):
    told = {
        "/proc/meminfo": "MemTotal: 9000 kB\nMemAvailable: 8000 kB\n",
        "/sys/fs/cgroup/memory.max": "3000000\n",
        "/sys/fs/cgroup/memory.current": "2500000\n",
        "/sys/fs/cgroup/memory.stat": "anon 7\ninactive_file 400000\n",
    }

    def read_text(path):
        if str(path) not in told:
            raise FileNotFoundError(path)
        return told[str(path)]

    monkeypatch.setattr(limits.Path, "read_text", read_text)
    assert limits.free_memory() == 900_000
    told["/sys/fs/cgroup/memory.max"] = "max\n"
    assert limits.free_memory() == 8000 * 1024
    del told["/sys/fs/cgroup/memory.max"]
    assert limits.free_memory() == 8000 * 1024
    told.clear()
    assert limits.free_memory() is None


@pytest.mark.parametrize(
    "size,fine",
    [
        ((38_000, 39_000), True),
        ((40_000, 40_000), False),
        ((1_000_001, 1), False),
        ((0, 5), False),
        ((5, -1), False),
    ],
)
def test_the_limits_of_size(size, fine):
    if fine:
        assert limits.check_size(*size, "It") is None
    else:
        with pytest.raises(wb.PictureError):
            limits.check_size(*size, "It")
