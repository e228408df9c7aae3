"""Reading and writing files that anyone may have put there: nothing half done, nothing awaited."""

from __future__ import annotations

import errno
import hashlib
import os
import re
import secrets
import stat
import time
from contextlib import contextmanager
from pathlib import Path

from workbench.colour.profile import clean_text
from workbench.errors import LibraryError

try:
    import fcntl
except ImportError:  # Windows
    fcntl = None
    import msvcrt

_WAIT_S = 10.0
_LOCK = ".workbench.lock"
# its own, so that clearing up never meets a file that another part is writing
_UNFINISHED = ".shelf-part"


def shown(path) -> str:
    """A path as sentences show it."""
    return clean_text(str(path))


def why(problem: OSError) -> str:
    """The system's reason in a few words."""
    if problem.errno in (errno.EACCES, errno.EPERM):
        return "there is no right to it"
    if problem.errno == errno.ELOOP:
        return "its links lead in a circle"
    if isinstance(problem, FileNotFoundError):
        return "it is not there"
    return clean_text(problem.strerror or type(problem).__name__)


def read_regular(path: Path, most_bytes: int, first: int | None = None) -> bytes:
    """The bytes of an ordinary file, or only its ``first``; devices and pipes are never read.

    Raises
    ------
    OSError
        as the system has it.
    LibraryError
        if it is no ordinary file, or larger than ``most_bytes``.
    """
    try:
        check_regular(path, os.stat(path), most_bytes)
        # should it be exchanged for a pipe meanwhile, opening must not wait for a writer
        flags = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
        handle = os.open(path, flags)
    except ValueError as problem:
        if isinstance(problem, LibraryError):
            raise
        raise LibraryError(f"“{shown(path)}” is no path; check it.") from None
    with open(handle, "rb") as stream:
        check_regular(path, os.fstat(handle), most_bytes)
        data = stream.read(most_bytes + 1 if first is None else first)
    if len(data) > most_bytes:
        raise LibraryError(_too_large(path, len(data), most_bytes))
    return data


def check_regular(path: Path, status: os.stat_result, most_bytes: int) -> None:
    """LibraryError unless this is an ordinary file of at most ``most_bytes``."""
    if stat.S_ISDIR(status.st_mode):
        raise LibraryError(f"“{shown(path)}” is a folder; give a file.")
    if not stat.S_ISREG(status.st_mode):
        raise LibraryError(
            f"“{shown(path)}” is no ordinary file but a device or a pipe, and is not opened."
        )
    if status.st_size > most_bytes:
        raise LibraryError(_too_large(path, status.st_size, most_bytes))


def _too_large(path: Path, size: int, most: int) -> str:
    return (
        f"“{shown(path)}” is larger than {most / 2**20:.0f} MB ({size / 2**20:.0f} MB) "
        "and is not read."
    )


def checksum(data: bytes) -> str:
    """SHA-256, hexadecimal, as ``sha256sum`` prints it."""
    return hashlib.sha256(data).hexdigest()


@contextmanager
def sole_writer(folder: Path):
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
    except (OSError, ValueError) as problem:
        raise cannot_write(folder, problem) from None
    try:
        _wait_for(handle, folder)
        yield
    finally:
        os.close(handle)


def _wait_for(handle: int, folder: Path) -> None:
    end = time.monotonic() + _WAIT_S
    while True:
        try:
            if fcntl is not None:
                fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
            else:
                msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
            return
        except OSError as problem:
            if problem.errno in (errno.ENOLCK, errno.ENOTSUP, errno.ENOSYS, errno.EINVAL):
                # a file system without locks: the later check of the file must do
                return
            if time.monotonic() > end:
                raise LibraryError(
                    f"Another window has been writing in “{shown(folder)}” for more than "
                    f"{_WAIT_S:.0f} seconds; close it and try again."
                ) from None
        time.sleep(0.01)


def cannot_write(path: Path, problem: Exception) -> LibraryError:
    """The sentence for a file or folder that cannot be written."""
    if isinstance(problem, OSError) and problem.errno in (errno.ENOSPC, errno.EDQUOT):
        reason = "the disk is full"
    elif isinstance(problem, OSError):
        reason = why(problem)
    else:
        reason = "it is no path"
    return LibraryError(
        f"“{shown(path)}” cannot be written ({reason}); nothing was changed. "
        "Choose a folder of your own, or mend the cause and try again."
    )


def write_whole(path: Path, data: bytes, *, new: bool = False) -> None:
    """Write a file whole or not at all; whoever reads meanwhile sees the old or the new one.

    Parameters
    ----------
    new : never take the place of an existing file; FileExistsError if there is one.

    Raises
    ------
    LibraryError
        if it cannot be written; the old file is as it was.
    """
    unfinished = None
    try:
        if path.exists() and not os.access(path, os.W_OK):
            raise PermissionError(errno.EACCES, "read only")
        unfinished = path.with_name(f".{path.name[:100]}.{secrets.token_hex(6)}{_UNFINISHED}")
        with open(unfinished, "xb") as stream:
            stream.write(data)
            stream.flush()
            os.fsync(stream.fileno())
        if path.exists():
            os.chmod(unfinished, stat.S_IMODE(path.stat().st_mode))
        if not (new and _linked(unfinished, path)):
            os.replace(unfinished, path)
        sync_folder(path.parent)
    except FileExistsError:
        raise
    except (OSError, ValueError) as problem:
        raise cannot_write(path, problem) from problem
    finally:
        if unfinished is not None:
            unfinished.unlink(missing_ok=True)


def _linked(unfinished: Path, path: Path) -> bool:
    """Unlike a renaming, a link fails if the name has been taken meanwhile."""
    try:
        os.link(unfinished, path)
    except FileExistsError:
        raise
    except OSError:
        # file systems without links
        return False
    return True


def sync_folder(folder: Path) -> None:
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


def remove_leftovers(folder: Path) -> None:
    """Remove what writers that were killed left behind; only under `sole_writer`."""
    try:
        for path in folder.iterdir():
            if path.name.startswith(".") and path.name.endswith(_UNFINISHED):
                path.unlink(missing_ok=True)
    except OSError:
        # a leftover does no harm, and the next writer tries again
        return


_RESERVED = {"con", "prn", "aux", "nul", *(f"{n}{i}" for n in ("com", "lpt") for i in range(10))}


def file_name(wanted: str, fallback: str = "profile") -> str:
    """A name every file system takes, ending in .icc or .icm."""
    stem, _, ending = clean_text(wanted).rpartition(".")
    if ending.lower() not in ("icc", "icm"):
        stem, ending = clean_text(wanted), "icc"
    stem = re.sub(r'[\\/:*?"<>|]+', " ", stem)
    stem = " ".join(stem.split()).strip(". ")
    stem = stem.encode()[:120].decode(errors="ignore").strip(". ")
    if not stem or stem.lower() in _RESERVED:
        stem = f"{fallback} {stem}".strip()
    return f"{stem}.{ending.lower()}"


def place(data: bytes, folder: Path, wanted: str) -> Path:
    """Put a file into a folder under the wanted name, or with a number where that is taken.

    A file of the same bytes is taken as it is; no other file is ever written over.

    Raises
    ------
    LibraryError
        if it cannot be written.
    """
    name = Path(file_name(wanted))
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except (OSError, ValueError) as problem:
        raise cannot_write(folder, problem) from None
    for number in range(1, 1000):
        path = folder / (name if number == 1 else f"{name.stem} {number}{name.suffix}")
        try:
            if read_regular(path, len(data)) == data:
                return path
            continue
        except FileNotFoundError:
            pass
        except (LibraryError, OSError):
            # taken by something that is no profile
            continue
        try:
            write_whole(path, data, new=True)
            return path
        except FileExistsError:
            # taken by another writer meanwhile
            continue
    raise LibraryError(f"“{shown(folder)}” holds too many files called “{name}”; tidy it up.")
