"""Writing a file whole or not at all.

The data goes to a file of another name in the same folder, is forced to the disk and
only then takes the name it was meant for, in one step of the file system.  A process
that dies at any moment leaves the target as it was: absent, or the old file.
"""

from __future__ import annotations

import errno
import math
import os
import secrets
import shutil
import stat
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

from workbench.errors import OutputError
from workbench.files.locks import take_lock
from workbench.files.reading import path_of, status_of
from workbench.files.text import clean_text, shown
from workbench.language import tr

_SUFFIX = ".unfinished"
# younger ones may belong to a writer that has not taken its lock yet
_LEFTOVER_AGE_S = 60


@dataclass
class Unfinished:
    """A file being written: ``stream`` to write into, ``path`` to read back from."""

    path: Path
    stream: BinaryIO


def check_target(path, *, originals=(), overwrite: bool = False) -> Path:
    """The absolute target if a file may be written there.

    Parameters
    ----------
    path : of the file wanted.
    originals : paths (or None) that must never be written over, whatever else is allowed.
    overwrite : an existing file may be replaced.

    Raises
    ------
    OutputError
    """
    target = Path(os.path.abspath(path_of(path, OutputError)))
    name = clean_text(target.name)
    if not name:
        raise OutputError(
            tr("“{path}” is not the path of a file; add a file name.", path=shown(path))
        )
    try:
        if not target.parent.is_dir():
            raise OutputError(
                tr(
                    "There is no folder “{folder}”; make it or choose another.",
                    folder=shown(target.parent),
                )
            )
        if target.is_dir():
            raise OutputError(
                tr("“{name}” is a folder; add a file name such as print.tif.", name=name)
            )
        exists = os.path.lexists(target)
    except OSError as problem:
        raise OutputError(trouble(problem, target)) from None
    for original in originals:
        if original is not None and _same_file(Path(original), target):
            raise OutputError(
                tr(
                    "“{name}” is the picture itself, and originals are never written over; choose "
                    "another name.",
                    name=name,
                )
            )
    if exists and not overwrite:
        raise OutputError(
            tr(
                "There is a file “{name}” already; choose another name, or allow it to be "
                "replaced.",
                name=name,
            )
        )
    return target


def _same_file(one: Path, other: Path) -> bool:
    try:
        return os.path.samefile(one, other)
    except OSError:
        return os.path.realpath(one) == os.path.realpath(other)


def check_space(target: Path, needed_bytes: int) -> None:
    """Refuse a file that the disk has no room for, before any work is done."""
    try:
        free = shutil.disk_usage(target.parent).free
    except OSError:
        # some network folders do not tell; writing will show
        return
    if free < needed_bytes:
        raise OutputError(
            tr(
                "The print file takes {needed:,} MB and the disk has {free:,} MB free; make "
                "room or choose another folder.",
                needed=math.ceil(needed_bytes / 1e6),
                free=math.floor(free / 1e6),
            )
        )


def write_whole(
    path: Path, data: bytes, *, overwrite: bool = False, error: type[Exception] = OutputError
) -> Path:
    """Write these bytes as a file, whole or not at all; returns its path.  See `written_whole`."""
    with written_whole(path, overwrite=overwrite, error=error) as unfinished:
        unfinished.stream.write(data)
    return path


@contextmanager
def written_whole(
    target: Path, *, overwrite: bool = False, error: type[Exception] = OutputError
) -> Iterator[Unfinished]:
    """Write a file whole or not at all; whoever reads meanwhile sees the old or the new one.

    Yields an `Unfinished`.  On leaving without an exception its data is forced to the
    disk and the file takes the target's name; with any exception it is removed.

    Raises
    ------
    OutputError
        or ``error``, for a full disk, missing rights and the like, or if a file of that
        name has appeared meanwhile and ``overwrite`` is False.
    """
    unfinished = None
    try:
        _remove_leftovers(target)
        if overwrite and target.exists() and not os.access(target, os.W_OK):
            raise PermissionError(errno.EACCES, "read only")
        unfinished = _create(target)
        yield unfinished
        unfinished.stream.flush()
        os.fsync(unfinished.stream.fileno())
        _publish(unfinished.path, target, overwrite)
        _sync_folder(target.parent)
    except FileExistsError:
        raise error(
            tr(
                "A file “{name}” has appeared meanwhile; choose another name.",
                name=clean_text(target.name),
            )
        ) from None
    except OSError as problem:
        raise error(trouble(problem, target)) from problem
    finally:
        if unfinished is not None:
            unfinished.stream.close()
            unfinished.path.unlink(missing_ok=True)


def append_to(path: Path, data: bytes, error: type[Exception] = OutputError) -> None:
    """Add bytes to a file of ours that only grows, made if it is not there; ``error`` in words."""
    status_of(path, sys.maxsize, error, missing_ok=True)  # pipes and devices are refused
    try:
        with open(path, "ab") as file:
            file.write(data)
    except OSError as problem:
        raise error(trouble(problem, path)) from problem


def trouble(problem: OSError, target: Path) -> str:
    """The sentence for what the system said."""
    name = clean_text(target.name)
    if problem.errno in (errno.ENOSPC, errno.EDQUOT):
        return tr(
            "The disk is full: “{name}” was not written. Make room or choose another folder.",
            name=name,
        )
    if problem.errno in (errno.EACCES, errno.EPERM, errno.EROFS):
        return tr(
            "“{name}” cannot be written in “{folder}”: you do not have permission to write "
            "there. Choose another folder.",
            name=name,
            folder=shown(target.parent),
        )
    if problem.errno == errno.EFBIG:
        return tr(
            "“{name}” is too large for this disk; choose another folder or a smaller print.",
            name=name,
        )
    if problem.errno == errno.ENAMETOOLONG:
        return tr("The name “{name}” is too long; choose a shorter one.", name=name)
    reason = problem.strerror or type(problem).__name__
    return tr(
        "“{name}” cannot be written ({reason}); nothing was left half done.",
        name=name,
        reason=reason,
    )


def _create(target: Path) -> Unfinished:
    # cut, so that the longer name stays within what file systems take
    stem = target.name.encode()[:180].decode(errors="ignore")
    path = target.with_name(f".{stem}.{secrets.token_hex(6)}{_SUFFIX}")
    # closed by `written_whole`
    stream = open(str(path), "x+b")
    _lock(stream.fileno())
    return Unfinished(path, stream)


def _lock(handle: int) -> bool:
    """Hold the file for as long as this process lives; False if another one holds it."""
    # Windows' locks keep others from reading, and open files cannot be deleted there anyway
    if sys.platform == "win32":
        return True
    try:
        return take_lock(handle)
    except OSError:
        # file systems without locks
        return True


def _publish(path: Path, target: Path, overwrite: bool) -> None:
    if overwrite:
        if target.exists():
            os.chmod(path, stat.S_IMODE(target.stat().st_mode))
        os.replace(path, target)
        return
    try:
        # unlike a renaming, a link fails if the name has been taken meanwhile
        os.link(path, target)
    except FileExistsError:
        raise
    except OSError:
        # file systems without links
        if os.path.lexists(target):
            raise FileExistsError from None
        os.replace(path, target)


def _sync_folder(folder: Path) -> None:
    """Make a new name survive a power cut, where the system allows it."""
    if not hasattr(os, "O_DIRECTORY"):
        return
    handle = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
    try:
        os.fsync(handle)
    except OSError as problem:
        # some file systems do not sync folders; the file itself is on the disk
        if problem.errno not in (errno.EINVAL, errno.EACCES, errno.ENOTSUP):
            raise
    finally:
        os.close(handle)


def _remove_leftovers(target: Path) -> None:
    """Remove what a process that was killed left behind for this target."""
    stem = target.name.encode()[:180].decode(errors="ignore")
    for path in target.parent.iterdir():
        if not (path.name.startswith(f".{stem}.") and path.name.endswith(_SUFFIX)):
            continue
        try:
            if time.time() - path.stat().st_mtime < _LEFTOVER_AGE_S:
                continue
            with open(path, "rb") as stream:
                free = _lock(stream.fileno())
            if free:
                path.unlink()
        except OSError:
            # someone else's, or gone already: not needed for our own writing
            continue
