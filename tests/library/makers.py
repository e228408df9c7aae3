"""Small invented profiles and shelves for the library's tests."""

from __future__ import annotations

import struct
from functools import lru_cache
from pathlib import Path

from workbench.colour.inkmodel import model_profile

VERSION_LINE = "version = 1\n"


@lru_cache(maxsize=1)
def _model() -> bytes:
    return model_profile((96, 0, 1), 1.6, finish="matte", grid=9, name="Invented test paper")


def paper_profile(number: int = 0) -> bytes:
    """A sound profile; each number gives other bytes (its creation date is another)."""
    data = bytearray(_model())
    days, seconds = divmod(number, 60)
    struct.pack_into(">6H", data, 24, 2020, 1, 1 + days % 28, days // 28 % 24, 0, seconds)
    return bytes(data)


def put_profile(folder: Path, name: str = "paper.icc", number: int = 0) -> Path:
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / name
    path.write_bytes(paper_profile(number))
    return path


def put_shelf(folder: Path, text: str) -> Path:
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "shelf.toml").write_bytes(text.encode())
    return folder


def entry(name: str, more: str = "", profile: str = "paper.icc") -> str:
    return f'[[paper]]\nname = "{name}"\nprofile = "{profile}"\n{more}'
