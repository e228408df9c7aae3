"""Checksums of files, large ones too, remembered until the file changes."""

from __future__ import annotations

import hashlib
import os
from pathlib import Path

from workbench.library.files import check_regular
from workbench.library.profiles import fingerprint

_MOST_REMEMBERED = 200
_remembered: dict[tuple, str] = {}


def file_checksum(path) -> str:
    """SHA-256 of an ordinary file of any size, hexadecimal, as ``sha256sum`` prints it.

    Raises
    ------
    OSError
        as the system has it.
    LibraryError
        for a folder, a device or a pipe.
    ValueError
        for what is no path.
    """
    path = Path(os.path.abspath(path))
    status = os.stat(path)
    check_regular(path, status, status.st_size)
    mark = fingerprint(status)
    if mark is not None and (known := _remembered.get((path, *mark))):
        return known
    with open(path, "rb") as stream:
        checksum = hashlib.file_digest(stream, "sha256").hexdigest()
    if mark is not None:
        if len(_remembered) >= _MOST_REMEMBERED:
            _remembered.clear()
        _remembered[(path, *mark)] = checksum
    return checksum
