"""A folder that several windows and programs write in: one at a time."""

from __future__ import annotations

import os
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from workbench.errors import LibraryError
from workbench.files.locks import take_lock
from workbench.files.text import shown
from workbench.files.writing import trouble
from workbench.language import tr

_WAIT_S = 10.0
_LOCK = ".workbench.lock"


@contextmanager
def sole_writer(folder: Path) -> Iterator[None]:
    """Hold the folder's lock, across threads and processes; makes the folder.

    The system lets go of it when a process ends, however it ends.

    Raises
    ------
    LibraryError
        if the folder cannot be made or written in, or another writer does not finish.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
        handle = os.open(folder / _LOCK, os.O_RDWR | os.O_CREAT, 0o666)
    except OSError as problem:
        raise LibraryError(trouble(problem, folder)) from None
    try:
        _wait_for(handle, folder)
        yield
    finally:
        os.close(handle)


def _wait_for(handle: int, folder: Path) -> None:
    end = time.monotonic() + _WAIT_S
    while True:
        try:
            if take_lock(handle):
                return
        except OSError:
            # a file system without locks: the later check of the file must do
            return
        if time.monotonic() > end:
            raise LibraryError(
                tr(
                    "Another window has been writing in “{folder}” for more than {seconds:.0f} "
                    "seconds; close it and try again.",
                    folder=shown(folder),
                    seconds=_WAIT_S,
                )
            )
        time.sleep(0.01)
