"""The folders that files were opened from lately, remembered between sessions."""

from __future__ import annotations

import json
import os

from workbench.errors import FileError
from workbench.files import read_regular, write_whole
from workbench.library.folders import user_cache_folder

MOST = 8
_MOST_BYTES = 100_000


def _file():
    return user_cache_folder() / "recent-folders.json"


def recent_folders() -> tuple[str, ...]:
    """Folders, the latest first, of those that are still there; none where the list is damaged."""
    try:
        data = read_regular(_file(), _MOST_BYTES, missing_ok=True)
        told = json.loads(data or b"[]")
    except (FileError, ValueError, RecursionError):
        return ()
    told = told if isinstance(told, list) else []
    return tuple(each for each in told[:MOST] if isinstance(each, str) and os.path.isdir(each))


def remember_folder(folder: str) -> None:
    """Put a folder first; where that cannot be written it is left."""
    kept = [folder, *(each for each in recent_folders() if each != folder)][:MOST]
    if tuple(kept) == recent_folders():
        return
    try:
        _file().parent.mkdir(parents=True, exist_ok=True)
        write_whole(_file(), json.dumps(kept).encode(), overwrite=True, error=FileError)
    except (FileError, OSError):
        pass
