"""Files under names that are not taken yet, so that none replaces another."""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Iterator
from pathlib import Path

from workbench.colour.profile import clean_text
from workbench.errors import OutputError
from workbench.output.atomic import check_target, written_whole

MOST_NAMES = 1000
_NAME_LETTERS = 80


def file_stem(name: str) -> str:
    """A file name without its ending, made from any words."""
    stem = re.sub(r'[\\/:*?"<>|\s]+', " ", clean_text(name)).strip(" .")
    return stem[:_NAME_LETTERS].strip(" .") or "comparison"


def free_path(folder, stem: str, suffix: str, beside: Callable[[Path], Path] | None = None) -> Path:
    """A path that is not taken: "stem.tif", else "stem-2.tif" and so on.

    Parameters
    ----------
    folder : must exist.
    stem, suffix : of the name wanted, from any words.
    beside : from a path to that of the file that goes with it, which must be free too.

    Raises
    ------
    OutputError
        if there is no such folder, or all names are taken.
    """
    for path in _names(folder, stem, suffix):
        wanted = [path] if beside is None else [path, beside(path)]
        if not any(os.path.lexists(each) for each in wanted):
            return path
    raise _all_taken(stem)


def save_new(folder, stem: str, suffix: str, data: bytes) -> Path:
    """Write a file whole or not at all, under a name that is not taken yet.

    Parameters
    ----------
    folder, stem, suffix : as for `free_path`.

    Returns
    -------
    Where it went.

    Raises
    ------
    OutputError
        if there is no such folder, no right to write there or no room.
    """
    for target in _names(folder, stem, suffix):
        if os.path.lexists(target):
            continue
        check_target(target)
        try:
            with written_whole(target) as unfinished:
                unfinished.stream.write(data)
        except OutputError:
            if os.path.lexists(target):  # another program took the name meanwhile
                continue
            raise
        return target
    raise _all_taken(stem)


def _names(folder, stem: str, suffix: str) -> Iterator[Path]:
    folder = Path(os.path.abspath(os.path.expanduser(os.fspath(folder))))
    if not folder.is_dir():
        shown = clean_text(str(folder))
        what = "is a file, not a folder" if folder.exists() else "does not exist"
        raise OutputError(f"“{shown}” {what}; make the folder or choose another.")
    stem = file_stem(stem)
    yield folder / f"{stem}{suffix}"
    for number in range(2, MOST_NAMES + 1):
        yield folder / f"{stem}-{number}{suffix}"


def _all_taken(stem: str) -> OutputError:
    return OutputError(
        f"There are {MOST_NAMES} files named “{file_stem(stem)}” already; choose another folder."
    )
