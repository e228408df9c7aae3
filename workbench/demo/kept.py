"""The invented papers' profiles, remembered from one start to the next.

Working them out takes two seconds of every start; the file may be deleted or damaged at any
time, and is not read once the code that makes them has changed.
"""

from __future__ import annotations

import base64
import hashlib
import json
from collections.abc import Callable
from pathlib import Path

from workbench.errors import FileError
from workbench.files import read_regular, write_whole
from workbench.library.cache import measuring_mark
from workbench.library.folders import user_cache_folder

FILE_NAME = "invented-papers.json"
_MOST_BYTES = 64 * 2**20


def kept_profiles(make: Callable[[], dict[str, bytes]], source: Path) -> dict[str, bytes]:
    """{name: profile}, as ``make`` gives them.

    Parameters
    ----------
    source : of the code that says what they are; a change in it, or in how profiles are made,
        has them made anew.
    """
    mark = f"{measuring_mark()} {hashlib.sha256(source.read_bytes()).hexdigest()[:16]}"
    path = user_cache_folder() / FILE_NAME
    if (kept := _read(path, mark)) is not None:
        return kept
    made = make()
    text = {name: base64.b64encode(data).decode() for name, data in made.items()}
    told = {"mark": mark, "profiles": text, "sum": _sum(text)}
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        write_whole(path, json.dumps(told).encode(), overwrite=True, error=FileError)
    except (FileError, OSError):
        pass  # the next start takes as long as this one
    return made


def _read(path: Path, mark: str) -> dict[str, bytes] | None:
    try:
        told = json.loads(read_regular(path, _MOST_BYTES, missing_ok=True) or b"null")
        if told["mark"] != mark or told["sum"] != _sum(told["profiles"]):
            return None
        return {name: base64.b64decode(text) for name, text in told["profiles"].items()}
    except (FileError, ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return None


def _sum(profiles: dict[str, str]) -> str:
    return hashlib.sha256(json.dumps(profiles, sort_keys=True).encode()).hexdigest()
