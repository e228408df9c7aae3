"""A picture replaced, cut short or deleted while it is looked at: never a wrong number without a word."""

import os
import sys

import imagecodecs
import numpy as np
import pytest
from picture.makers import tiff_bytes

from workbench.analysis.counts import count_gamut
from workbench.colour.spaces import standard_profile
from workbench.demo import demo_papers
from workbench.errors import PictureError
from workbench.picture import open_picture

HEIGHT, WIDTH = 2400, 2000


def pixels(seed: int) -> np.ndarray:
    rng = np.random.default_rng(seed)
    return np.repeat(rng.integers(0, 255, (HEIGHT // 8, WIDTH, 3), np.uint8), 8, axis=0)


def plain(seed: int) -> bytes:
    return tiff_bytes(pixels(seed), iccprofile=standard_profile("sRGB"), rowsperstrip=100)


def packed(seed: int) -> bytes:
    options = {"compression": "zlib", "rowsperstrip": 100, "iccprofile": standard_profile("sRGB")}
    return tiff_bytes(pixels(seed), **options)


OWN, OTHER = plain(1), plain(2)
assert len(OWN) == len(OTHER)


def with_its_time(path, change):
    """Change a file and give it back the time of modification it had."""
    status = path.stat()
    change()
    os.utime(path, ns=(status.st_atime_ns, status.st_mtime_ns))


def replaced(path, data):
    beside = path.with_name("beside")
    beside.write_bytes(data)
    beside.replace(path)


def cut(path, size):
    with open(path, "r+b") as stream:
        stream.truncate(size)


def written_over(path, data):
    with open(path, "r+b") as stream:
        stream.write(data)


CHANGES = {
    "replaced": lambda path: replaced(path, OTHER),
    "replaced, of the same time": lambda path: with_its_time(path, lambda: replaced(path, OTHER)),
    "written over": lambda path: written_over(path, OTHER),
    "written over, of the same time": lambda path: with_its_time(
        path, lambda: written_over(path, OTHER)
    ),
    "cut short": lambda path: cut(path, len(OWN) // 2),
    "cut short, of the same time": lambda path: with_its_time(path, lambda: cut(path, 100)),
    "emptied": lambda path: cut(path, 0),
    "grown": lambda path: written_over(path, OWN + b"more"),
    "deleted": lambda path: path.unlink(),
    "a folder instead": lambda path: (path.unlink(), path.mkdir()),
    "a pipe instead": lambda path: (path.unlink(), os.mkfifo(path)),
}
if sys.platform == "win32":
    for name in ("a pipe instead", "deleted", "a folder instead"):
        del CHANGES[name]


@pytest.mark.parametrize("change", CHANGES)
def test_a_count_of_a_changed_picture_is_refused(change, tmp_path):
    path = tmp_path / "picture.tif"
    path.write_bytes(OWN)
    picture = open_picture(path)
    told = []

    def at_half(share):
        if share > 0.4 and not told:
            told.append(share)
            CHANGES[change](path)

    with pytest.raises(PictureError) as caught:
        picture.census(progress=at_half)
    assert told and "picture.tif" in str(caught.value) and "Errno" not in str(caught.value)
    # nor is half a count kept for the next to ask
    with pytest.raises(PictureError):
        picture.census()
    with pytest.raises(PictureError):
        count_gamut(picture, demo_papers()[0])
    with pytest.raises(PictureError):
        picture.crop(0, HEIGHT - 10, 5, 5)
    with pytest.raises(PictureError):
        list(picture.strips())


@pytest.mark.parametrize("change", CHANGES)
def test_what_was_read_at_once_stays_what_it_was(change, tmp_path):
    path = tmp_path / "picture"
    for data in (packed(1), imagecodecs.png_encode(pixels(1), level=1)):
        path.write_bytes(data)
        picture = open_picture(path)
        CHANGES[change](path)
        assert np.array_equal(picture.pixels(), pixels(1))
        if path.is_dir():
            path.rmdir()
        else:
            path.unlink(missing_ok=True)


@pytest.mark.parametrize("change", CHANGES)
def test_a_picture_that_changes_while_it_is_opened_is_refused(change, tmp_path):
    files = {
        "png": lambda: imagecodecs.png_encode(pixels(1), level=1),
        "jpg": lambda: imagecodecs.jpeg8_encode(pixels(1), level=95),
        "tif": lambda: packed(1),
    }
    for ending, make in files.items():
        path = tmp_path / f"picture.{ending}"
        path.write_bytes(make())
        told = []

        def at_once(share, path=path, told=told):
            if share > 0 and not told:
                told.append(share)
                CHANGES[change](path)

        try:
            picture = open_picture(path, progress=at_once)
        except PictureError as problem:
            assert f"picture.{ending}" in str(problem)
        else:
            # the name may lead to another file; all was read from the one that was opened
            assert change.startswith(("replaced", "deleted", "a ")) and told
            held = open_picture(make()).pixels()
            assert np.array_equal(picture.pixels(), held)
