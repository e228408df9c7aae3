"""One profile file: what stands at a path, and putting a copy where programs find it."""

from __future__ import annotations

import os
import time
from dataclasses import dataclass
from pathlib import Path

from workbench.colour.profile import read_profile
from workbench.errors import LibraryError, WorkbenchError
from workbench.library import files
from workbench.library.folders import user_profile_folder
from workbench.paper import open_paper, require_paper

MOST_PROFILE_BYTES = 64 * 2**20
# a file written this shortly before it was read may change again and keep its time
_SETTLED_NS = 2 * 10**9
_MOST_REMEMBERED = 2000


@dataclass(frozen=True)
class Sighting:
    """What stands at a profile's path.

    Attributes
    ----------
    checksum : SHA-256 of the file, or None if it cannot be read.
    trouble : why it cannot be used as a paper, or None.
    """

    checksum: str | None
    trouble: str | None = None


_remembered: dict[tuple, Sighting] = {}


def fingerprint(status: os.stat_result, now_ns: int | None = None) -> tuple[int, int, int] | None:
    """(size, modified, changed) by which a file is known again; None while it is too fresh."""
    now_ns = time.time_ns() if now_ns is None else now_ns
    if max(status.st_mtime_ns, status.st_ctime_ns) > now_ns - _SETTLED_NS:
        return None
    return status.st_size, status.st_mtime_ns, status.st_ctime_ns


def look_at(path: Path, data: bytes | None = None) -> Sighting:
    """Read a profile's file and check that it describes a paper; quick where nothing changed.

    Parameters
    ----------
    data : the bytes, for a profile that is not on the disk yet.
    """
    if data is not None:
        return _judged(data, path)
    try:
        status = os.stat(path)
        mark = fingerprint(status)
        if mark is not None and (known := _remembered.get((str(path), *mark))):
            return known
        seen = _judged(files.read_regular(path, MOST_PROFILE_BYTES), path)
    except FileNotFoundError:
        return Sighting(
            None, f"The profile “{files.shown(path)}” is not there; put it back or choose it again."
        )
    except OSError as problem:
        return Sighting(
            None, f"The profile “{files.shown(path)}” cannot be read ({files.why(problem)})."
        )
    except ValueError as problem:
        if isinstance(problem, LibraryError):
            return Sighting(None, str(problem))
        return Sighting(None, f"“{files.shown(path)}” is no path of a profile; choose it again.")
    if mark is not None:
        if len(_remembered) >= _MOST_REMEMBERED:
            _remembered.clear()
        _remembered[(str(path), *mark)] = seen
    return seen


def _judged(data: bytes, path: Path) -> Sighting:
    try:
        require_paper(read_profile(data))
    except WorkbenchError as problem:
        return Sighting(files.checksum(data), f"“{files.shown(path.name)}”: {problem}")
    return Sighting(files.checksum(data))


def read_paper_profile(source) -> tuple[bytes, str]:
    """(bytes, file name) of a profile that describes a paper, checked and measured.

    Parameters
    ----------
    source : its path, or its bytes.

    Raises
    ------
    LibraryError, ProfileError, PaperError
        if it cannot be read, is damaged, or describes no paper.
    """
    if isinstance(source, (bytes, bytearray, memoryview)):
        data = bytes(source)
        paper = open_paper(data)
        return data, files.file_name(paper.icc.description or "profile")
    try:
        path = Path(source).expanduser()
        data = files.read_regular(path, MOST_PROFILE_BYTES)
    except OSError as problem:
        raise LibraryError(
            f"“{files.shown(source)}” cannot be read ({files.why(problem)}); check the path."
        ) from None
    except (TypeError, RuntimeError):
        raise LibraryError(f"“{files.shown(source)}” is no path; choose a profile file.") from None
    open_paper(data)
    return data, files.file_name(path.name)


def install_profile(source, folder=None) -> Path:
    """Check a paper's profile and copy it to where the person's programs find it.

    A profile of the same bytes that is there already is left as it is; another file of
    the same name is never written over: the copy then gets a number.

    Parameters
    ----------
    source : the profile's path (or `FoundProfile.path`), or its bytes.
    folder : by default `user_profile_folder`.

    Returns
    -------
    The path of the copy.

    Raises
    ------
    LibraryError, ProfileError, PaperError
        if the profile is unsound or describes no paper, or the copy cannot be written.
    """
    data, name = read_paper_profile(source)
    folder = user_profile_folder() if folder is None else Path(folder).expanduser()
    return files.place(data, folder, name)
