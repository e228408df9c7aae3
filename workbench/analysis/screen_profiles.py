"""Profiles of screens in the system's folders."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from pathlib import Path

from workbench.analysis.viewing import find_display
from workbench.errors import FileError, ProfileError
from workbench.files import read_regular
from workbench.library import system_profile_folders
from workbench.library.walk import Problems, walk

# a profile of tables for a screen has a few megabytes at most
MOST_BYTES = 16 * 2**20
_HEADER_BYTES = 40


def screen_profiles(
    folders: Iterable[Path] | None = None, *, cancelled: Callable[[], bool] | None = None
) -> tuple[tuple[tuple[str, Path], ...], tuple[str, ...]]:
    """Display profiles in the system's folders, or in others, that a proof can be shown by.

    Returns
    -------
    (name, path) of each, by name, the same profile once; and sentences on what cannot be used.

    Raises
    ------
    Cancelled
    """
    system = system_profile_folders()
    problems = Problems()
    folders = system if folders is None else tuple(Path(folder) for folder in folders)
    ground = walk(folders, problems, may_lack=system, most_bytes=MOST_BYTES, cancelled=cancelled)
    found: dict[bytes | None, tuple[str, Path]] = {}
    for path, _ in ground.candidates:
        try:
            header = read_regular(path, MOST_BYTES, first=_HEADER_BYTES)
            # ICC.1:2022 table 17: class at byte 12, space at 16, signature at 36
            if (header[12:16], header[16:20], header[36:40]) != (b"mntr", b"RGB ", b"acsp"):
                continue
            display = find_display(path)
        except (FileError, ProfileError) as problem:
            problems.add(str(problem))
        else:
            found.setdefault(display.profile, (display.name, path))
    by_name = sorted(found.values(), key=lambda each: (each[0].casefold(), each[1]))
    return tuple(by_name), problems.sentences()
