"""What is invented is remembered between starts, and made anew where that is not to be trusted."""

from __future__ import annotations

import numpy as np
import pytest

import workbench as wb
from workbench.demo import kept as kept_module
from workbench.demo.kept import kept
from workbench.demo.picture import _demo_picture
from workbench.picture.census import take_census

RIGHT = {"Rag": np.arange(40_000, dtype=np.uint16)}


@pytest.fixture
def folder(tmp_path, monkeypatch):
    monkeypatch.setattr(kept_module, "user_cache_folder", lambda: tmp_path / "cache")
    return tmp_path / "cache"


@pytest.fixture
def source(tmp_path, folder):
    source = tmp_path / "papers.py"
    source.write_text("white = 96")
    return source


def right() -> dict[str, np.ndarray]:
    return {name: array.copy() for name, array in RIGHT.items()}


def test_it_is_made_once_for_each_state_of_the_code(source):
    times = []

    def make():
        times.append(1)
        return right()

    for _ in range(2):
        found = kept("invented", make, [source])
        assert list(found) == ["Rag"] and np.array_equal(found["Rag"], RIGHT["Rag"])
    assert len(times) == 1
    source.write_text("white = 97")
    kept("invented", make, [source])
    assert len(times) == 2


def damages():
    yield "empty", lambda data: b""
    yield "text", lambda data: b"[]"
    yield (
        "one bit",
        lambda data: data[: (at := len(data) // 2)] + bytes([data[at] ^ 1]) + data[at + 1 :],
    )
    yield "cut off", lambda data: data[: len(data) // 2]
    yield "its end cut off", lambda data: data[:-30]


@pytest.mark.parametrize(("what", "harm"), list(damages()))
def test_a_damaged_file_is_not_used(source, folder, what, harm):
    kept("invented", right, [source])
    file = folder / "invented.npz"
    file.write_bytes(harm(file.read_bytes()))
    assert np.array_equal(kept("invented", right, [source])["Rag"], RIGHT["Rag"])
    assert np.array_equal(kept("invented", dict, [source])["Rag"], RIGHT["Rag"])  # whole again


def test_objects_are_never_read_from_it(source, folder):
    kept("invented", right, [source])
    with np.load(folder / "invented.npz") as file:
        mark = file["made by"]
    ran = {"made by": mark, "Rag": np.array([object], dtype=object)}
    np.savez(folder / "invented.npz", **ran)
    assert np.array_equal(kept("invented", right, [source])["Rag"], RIGHT["Rag"])


def test_where_nothing_can_be_written_it_is_made(source, folder):
    folder.write_text("a file where the folder should be")
    assert np.array_equal(kept("invented", right, [source])["Rag"], RIGHT["Rag"])


def test_a_second_start_paints_nothing_and_counts_and_shows_the_same(folder):
    first, again = _demo_picture.__wrapped__(), _demo_picture.__wrapped__()
    assert first._store._store is not None and again._store._store is None
    for name, array in first.census().arrays.items():
        assert np.array_equal(array, again.census().arrays[name]), name
    for long_side in (412, 800, 1200):
        assert np.array_equal(first.preview(long_side), again.preview(long_side))
    assert again._store._store is None  # none of it read a pixel

    fresh = take_census(wb.demo_picture()._store).arrays
    assert all(np.array_equal(array, again.census().arrays[name]) for name, array in fresh.items())
    assert np.array_equal(again.crop(2000, 1500, 50, 40), first.crop(2000, 1500, 50, 40))
