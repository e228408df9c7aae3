"""The invented papers are remembered between starts, and made anew where that is not to be trusted."""

from __future__ import annotations

import json

import pytest

from workbench.demo import kept


@pytest.fixture
def source(tmp_path, monkeypatch):
    monkeypatch.setattr(kept, "user_cache_folder", lambda: tmp_path / "cache")
    source = tmp_path / "papers.py"
    source.write_text("white = 96")
    return source


def test_profiles_are_made_once_for_each_state_of_the_code(source):
    times = []

    def make():
        times.append(1)
        return {"Rag": b"\0profile"}

    assert kept.kept_profiles(make, source) == kept.kept_profiles(make, source) == make()
    assert len(times) == 2  # the first, and ours
    source.write_text("white = 97")
    kept.kept_profiles(make, source)
    assert len(times) == 3


@pytest.mark.parametrize("harm", ["[]", "null", "\0", '{"mark": 1}', "other profile"])
def test_a_damaged_file_is_not_used(source, tmp_path, harm):
    kept.kept_profiles(lambda: {"Rag": b"right"}, source)
    file = tmp_path / "cache" / kept.FILE_NAME
    if harm == "other profile":
        told = json.loads(file.read_text())
        told["profiles"]["Rag"] = "d3Jvbmc="
        harm = json.dumps(told)
    file.write_text(harm)
    assert kept.kept_profiles(lambda: {"Rag": b"right"}, source) == {"Rag": b"right"}


def test_where_nothing_can_be_written_they_are_made(source, tmp_path):
    (tmp_path / "cache").write_text("a file where the folder should be")
    assert kept.kept_profiles(lambda: {"Rag": b"right"}, source) == {"Rag": b"right"}
