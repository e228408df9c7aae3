"""Checksums of files, large ones too, remembered until the file changes."""

from __future__ import annotations

import hashlib
import os
import time
from collections.abc import Callable
from pathlib import Path

from workbench.errors import Cancelled, FileError
from workbench.files.reading import open_regular, path_of, status_of, why
from workbench.files.text import shown
from workbench.language import tr

# a file written this shortly before it was read may change again and keep its time
SETTLED_NS = 2 * 10**9
_MOST_REMEMBERED = 200
_PIECE = 4 * 2**20
_remembered: dict[tuple, str] = {}


def checksum(data: bytes) -> str:
    """SHA-256, hexadecimal, as ``sha256sum`` prints it."""
    return hashlib.sha256(data).hexdigest()


def fingerprint(status: os.stat_result, now_ns: int | None = None) -> tuple[int, int, int] | None:
    """(size, modified, changed) by which a file is known again; None while it is too fresh."""
    now_ns = time.time_ns() if now_ns is None else now_ns
    if max(status.st_mtime_ns, status.st_ctime_ns) > now_ns - SETTLED_NS:
        return None
    return status.st_size, status.st_mtime_ns, status.st_ctime_ns


def file_checksum(
    path,
    most_bytes: int,
    error: type[Exception] = FileError,
    *,
    progress: Callable[[float], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> str:
    """SHA-256 of an ordinary file, hexadecimal, as ``sha256sum`` prints it.

    Parameters
    ----------
    path : of the file.
    most_bytes : a larger file is refused before a byte is read.
    progress : told the share done, 0..1.
    cancelled : asked every few megabytes; true ends the reading.

    Raises
    ------
    FileError
        or ``error``, for a missing or too large file, a folder, a device or a pipe.
    Cancelled
    """
    path = Path(os.path.abspath(path_of(path, error)))
    mark = fingerprint(status_of(path, most_bytes, error))
    if mark is not None and (known := _remembered.get((path, *mark))):
        return known
    digest, done, piece = hashlib.sha256(), 0, bytearray(_PIECE)
    with open_regular(path, most_bytes, error) as stream:
        size = os.fstat(stream.fileno()).st_size
        try:
            while done < size and (count := stream.readinto(piece)):
                digest.update(memoryview(piece)[:count])
                done += count
                if cancelled is not None and cancelled():
                    raise Cancelled
                if progress is not None:
                    progress(min(1.0, done / size))
        except OSError as problem:
            raise error(
                tr("“{path}” cannot be read ({reason}).", path=shown(path), reason=why(problem))
            ) from None
    if mark is not None:
        if len(_remembered) >= _MOST_REMEMBERED:
            _remembered.clear()
        _remembered[(path, *mark)] = digest.hexdigest()
    return digest.hexdigest()
