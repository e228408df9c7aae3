"""One profile file: what stands at a path, and putting a copy where programs find it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from workbench import files
from workbench.colour.profile import MOST_PROFILE_BYTES, read_profile
from workbench.errors import FileError, LibraryError, WorkbenchError
from workbench.language import tr
from workbench.library.folders import user_profile_folder
from workbench.paper import open_paper, require_paper

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


def look_at(path: Path, data: bytes | None = None) -> Sighting:
    """Read a profile's file and check that it describes a paper; quick where nothing changed.

    Parameters
    ----------
    data : the bytes, for a profile that is not on the disk yet.
    """
    if data is not None:
        return _judged(data, path)
    try:
        mark = files.fingerprint(files.status_of(path, MOST_PROFILE_BYTES))
        if mark is not None and (known := _remembered.get((str(path), *mark))):
            return known
        seen = _judged(files.read_regular(path, MOST_PROFILE_BYTES), path)
    except FileError as problem:
        return Sighting(None, str(problem))
    if mark is not None:
        if len(_remembered) >= _MOST_REMEMBERED:
            _remembered.clear()
        _remembered[(str(path), *mark)] = seen
    return seen


def _judged(data: bytes, path: Path) -> Sighting:
    try:
        require_paper(read_profile(data))
    except WorkbenchError as problem:
        return Sighting(
            files.checksum(data),
            tr("“{path}”: {problem}", path=files.shown(path.name), problem=problem),
        )
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
    path = files.path_of(source, LibraryError)
    data = files.read_regular(path, MOST_PROFILE_BYTES, LibraryError)
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
    folder = user_profile_folder() if folder is None else files.path_of(folder, LibraryError)
    return files.place(data, folder, name)
