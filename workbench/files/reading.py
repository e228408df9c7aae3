"""The one door through which a person's files are opened for reading.

What a person or a stranger's plan names may be a pipe that never answers, a device, a
file of the running system or one of a terabyte.  All these are refused in a sentence
before a byte of them is read.
"""

from __future__ import annotations

import errno
import io
import os
import stat
from pathlib import Path
from typing import Literal, overload

from workbench.errors import FileError
from workbench.files.text import clean_text, shown
from workbench.language import tr

# files there are made as they are read, some of them without end
_KERNEL = ("/proc/", "/sys/")


def path_of(source, error: type[Exception] = FileError) -> Path:
    """The path that a person gave, ``~`` written out.

    Raises
    ------
    FileError
        or ``error``, for what can be no path: another type, nothing, half letters, zeros.
    """
    try:
        text = os.path.expanduser(os.fsdecode(source))
        # half of a surrogate pair names no file
        if not text or b"\0" in os.fsencode(text):
            raise ValueError
    except (TypeError, ValueError):
        raise error(tr("“{path}” is not a path; check it.", path=shown(source))) from None
    return Path(text)


def why(problem: OSError) -> str:
    """The system's reason in a few words."""
    if problem.errno in (errno.EACCES, errno.EPERM):
        return tr("you do not have permission to read it")
    if problem.errno == errno.ELOOP:
        return tr("its links lead in a circle")
    if isinstance(problem, FileNotFoundError):
        return tr("it is not there")
    return clean_text(problem.strerror or type(problem).__name__)


@overload
def status_of(
    source, most_bytes: int, error: type[Exception] = ..., *, missing_ok: Literal[False] = ...
) -> os.stat_result: ...
@overload
def status_of(
    source, most_bytes: int, error: type[Exception] = ..., *, missing_ok: bool
) -> os.stat_result | None: ...
def status_of(
    source, most_bytes: int, error: type[Exception] = FileError, *, missing_ok: bool = False
) -> os.stat_result | None:
    """The system's word on an ordinary file of at most ``most_bytes``.

    Parameters
    ----------
    missing_ok : None, where there is nothing under the name, instead of an error.

    Raises
    ------
    FileError
        or ``error``, for anything else; nothing is opened.
    """
    path = path_of(source, error)
    try:
        status = os.stat(path)
    except OSError as problem:
        # a link that leads nowhere is something
        if missing_ok and isinstance(problem, FileNotFoundError) and not path.is_symlink():
            return None
        raise _cannot(path, problem, error) from None
    check_regular(path, status, most_bytes, error)
    return status


def check_regular(
    path: Path, status: os.stat_result, most_bytes: int, error: type[Exception] = FileError
) -> None:
    """FileError, or ``error``, unless this is an ordinary file of at most ``most_bytes``."""
    if stat.S_ISDIR(status.st_mode):
        raise error(tr("“{path}” is a folder; choose a file in it.", path=shown(path)))
    if not stat.S_ISREG(status.st_mode):
        raise error(
            tr(
                "“{path}” is not an ordinary file but a device or a pipe, and is not opened; "
                "choose a file.",
                path=shown(path),
            )
        )
    # they take no room on any disk, as few other files do
    if not getattr(status, "st_blocks", 0) and os.path.realpath(path).startswith(_KERNEL):
        raise error(
            tr(
                "“{path}” belongs to the running system and is not opened; choose a file of "
                "your own.",
                path=shown(path),
            )
        )
    if status.st_size > most_bytes:
        size, most = (
            tr("{size:,.0f} MB", size=each / 2**20) for each in (status.st_size, most_bytes)
        )
        raise error(
            tr(
                "“{path}” is larger than {most} ({size}) and is not read.",
                path=shown(path),
                most=most,
                size=size,
            )
        )


def open_regular(source, most_bytes: int, error: type[Exception] = FileError) -> io.FileIO:
    """An ordinary file of at most ``most_bytes``, open for reading.

    Raises
    ------
    FileError
        or ``error``, for anything else, in a sentence and before a byte is read.
    """
    path = path_of(source, error)
    status_of(path, most_bytes, error)
    try:
        # should it be exchanged for a pipe meanwhile, opening must not wait for a writer
        flags = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
        stream = io.FileIO(path, "rb", opener=lambda name, _: os.open(name, flags))
    except OSError as problem:
        raise _cannot(path, problem, error) from None
    try:
        check_regular(path, os.fstat(stream.fileno()), most_bytes, error)
    except BaseException:
        stream.close()
        raise
    return stream


@overload
def read_regular(
    source, most_bytes: int, error: type[Exception] = ..., *, first: int | None = ...
) -> bytes: ...
@overload
def read_regular(
    source,
    most_bytes: int,
    error: type[Exception] = ...,
    *,
    first: int | None = ...,
    missing_ok: bool,
) -> bytes | None: ...
def read_regular(
    source,
    most_bytes: int,
    error: type[Exception] = FileError,
    *,
    first: int | None = None,
    missing_ok: bool = False,
) -> bytes | None:
    """The bytes of an ordinary file, or only its ``first``.

    Parameters
    ----------
    source : its path.
    most_bytes : a larger file is refused.
    missing_ok : None, where there is nothing under the name, instead of an error.

    Raises
    ------
    FileError
        or ``error``, for what is not an ordinary file, too large, or cannot be read.
    """
    path = path_of(source, error)
    if missing_ok and status_of(path, most_bytes, error, missing_ok=True) is None:
        return None
    with open_regular(path, most_bytes, error) as stream:
        try:
            size = os.fstat(stream.fileno()).st_size
            # no more than it was to hold, should it grow meanwhile
            size = size if first is None else min(first, size)
            return io.BufferedReader(stream).read(size)
        except OSError as problem:
            raise _cannot(path, problem, error) from None


def _cannot(path: Path, problem: OSError, error: type[Exception]) -> Exception:
    if isinstance(problem, FileNotFoundError):
        name = clean_text(path.name)
        if not path.parent.name:
            return error(tr("There is no file “{name}”; check the path.", name=name))
        return error(
            tr(
                "There is no file “{name}” in “{folder}”; check the path.",
                name=name,
                folder=shown(path.parent),
            )
        )
    return error(
        tr(
            "“{path}” cannot be read ({reason}); check the path and your permissions.",
            path=shown(path),
            reason=why(problem),
        )
    )
