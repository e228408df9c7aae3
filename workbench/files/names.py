"""Files under names that are not taken yet, so that none replaces another."""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Iterator
from pathlib import Path

from workbench.errors import FileError, LibraryError, OutputError
from workbench.files.reading import path_of, read_regular
from workbench.files.text import clean_text, shown
from workbench.files.writing import trouble, write_whole
from workbench.language import tr

MOST_NAMES = 1000
_NAME_LETTERS = 80
# no file can have these names on Windows
_RESERVED = {"con", "prn", "aux", "nul", *(f"{n}{i}" for n in ("com", "lpt") for i in range(10))}


def file_stem(name: str, fallback: str = "comparison", letters: int = _NAME_LETTERS) -> str:
    """A file name without its ending, made from any words, that every file system takes."""
    stem = re.sub(r'[\\/:*?"<>|\s]+', " ", clean_text(name)).strip(" .")
    # file systems take 255 bytes, and letters of some scripts are three each
    stem = stem[:letters].encode()[: min(3 * letters, 220)].decode(errors="ignore").strip(" .")
    return f"{fallback} {stem}".strip() if not stem or stem.lower() in _RESERVED else stem


def file_name(wanted: str) -> str:
    """A profile's file name, made from any words, ending in .icc or .icm."""
    stem, _, ending = clean_text(wanted).rpartition(".")
    if ending.lower() not in ("icc", "icm"):
        stem, ending = wanted, "icc"
    return f"{file_stem(stem, 'profile')}.{ending.lower()}"


def numbered(folder, stem: str, suffix: str) -> Iterator[Path]:
    """Paths to try, one after the other: "stem.tif", "stem-2.tif" and so on.

    Raises
    ------
    OutputError
        once so many names are taken that nobody meant it.
    """
    yield Path(folder, f"{stem}{suffix}")
    for number in range(2, MOST_NAMES + 1):
        yield Path(folder, f"{stem}-{number}{suffix}")
    raise OutputError(
        tr(
            "There are {count} files named “{name}” already; choose another folder.",
            count=MOST_NAMES,
            name=stem,
        )
    )


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
    wanted = numbered(_existing(folder), file_stem(stem), suffix)
    return next(
        path
        for path in wanted
        if not os.path.lexists(path) and (beside is None or not os.path.lexists(beside(path)))
    )


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
    while True:
        target = free_path(folder, stem, suffix)
        try:
            return write_whole(target, data)
        except OutputError:
            # another program may have taken the name meanwhile
            if not os.path.lexists(target):
                raise


def place(data: bytes, folder: Path, wanted: str) -> Path:
    """Put a profile into a folder under the wanted name, or with a number where that is taken.

    A file of the same bytes is taken as it is; no other file is ever written over.

    Raises
    ------
    LibraryError
        if it cannot be written.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as problem:
        raise LibraryError(trouble(problem, folder)) from None
    name = Path(file_name(wanted))
    try:
        return next(
            path
            for path in numbered(folder, name.stem, name.suffix)
            if holds(path, data) or _put(path, data)
        )
    except OutputError as problem:
        raise LibraryError(str(problem)) from None


def holds(path: Path, data: bytes) -> bool:
    """Whether these very bytes lie in a file."""
    try:
        return read_regular(path, len(data), missing_ok=True) == data
    except FileError:
        # taken by something else
        return False


def _put(path: Path, data: bytes) -> bool:
    try:
        return not os.path.lexists(path) and bool(write_whole(path, data))
    except OutputError:
        if os.path.lexists(path):
            return False
        raise


def _existing(folder) -> Path:
    path = Path(os.path.abspath(path_of(folder, OutputError)))
    if not path.is_dir():
        raise OutputError(
            tr(
                "“{path}” is a file, not a folder; make the folder or choose another.",
                path=shown(path),
            )
            if path.exists()
            else tr("“{path}” does not exist; make the folder or choose another.", path=shown(path))
        )
    return path
