"""Pixels kept in a file of our own: the same as in memory, and gone with the picture."""

import gc
import os
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import numpy as np
import pytest
from picture.makers import noise

from workbench.picture import room
from workbench.picture.room import Room


def open_files() -> int:
    return len(os.listdir("/proc/self/fd"))


@pytest.mark.parametrize("dtype", [np.uint8, np.uint16])
def test_a_file_gives_back_what_was_put_into_it_from_any_thread(dtype, monkeypatch):
    monkeypatch.setattr(room, "LEAST_BYTES", 1000)
    expected = noise(70, 90, dtype=dtype)
    gc.collect()
    before = open_files()
    place = Room(70, 90, 3, dtype)
    place.pixels[:] = expected
    store = place.store()
    assert isinstance(store, room.FiledStore) and open_files() > before
    parts = [
        (y, y + h, x, x + w) for y in (0, 13) for h in (1, 57) for x in (0, 40) for w in (1, 50)
    ]
    with ThreadPoolExecutor(4) as pool:
        for (y0, y1, x0, x1), got in zip(
            10 * parts, pool.map(store.read, *zip(*10 * parts, strict=True)), strict=True
        ):
            assert np.array_equal(got, expected[y0:y1, x0:x1]) and got.flags.c_contiguous
    assert np.array_equal(store.read(0, 70, 0, 90), expected)
    store = place = None
    gc.collect()
    assert open_files() == before


def test_a_full_disk_leaves_pixels_in_memory(monkeypatch):
    monkeypatch.setattr(room, "LEAST_BYTES", 1000)

    def full(size):
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr(room, "scratch", full)
        assert type(Room(70, 90, 3, np.uint8).store()).__name__ == "HeldStore"
    monkeypatch.setattr(room, "free_disk", lambda: 100)
    assert type(Room(70, 90, 3, np.uint8).store()).__name__ == "HeldStore"


def test_nothing_of_it_is_to_be_seen_in_a_folder(monkeypatch, tmp_path):
    monkeypatch.setattr(room, "_folder", lambda: str(tmp_path))
    file, view = room.scratch(5000)
    assert list(Path(tmp_path).iterdir()) == [] and len(view) == 5000
    file.close()
