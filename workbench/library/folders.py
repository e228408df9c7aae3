"""Where profiles, shelves, the record and remembered measurements live on each system."""

from __future__ import annotations

import os
import sys
from pathlib import Path

import platformdirs

_APP = "print-planning-workbench"


def user_shelf_folder() -> Path:
    """The person's own shelf: ``shelf`` in their user data folder."""
    return platformdirs.user_data_path(_APP, appauthor=False) / "shelf"


def user_record_file() -> Path:
    """The person's record of prints made: ``prints.sqlite`` in their user data folder."""
    return platformdirs.user_data_path(_APP, appauthor=False) / "prints.sqlite"


def user_cache_folder() -> Path:
    """Where measurements are remembered; may be deleted at any time."""
    return platformdirs.user_cache_path(_APP, appauthor=False)


def system_profile_folders() -> tuple[Path, ...]:
    """The folders in which the system keeps profiles, the person's own first.

    Whether they exist or not.  Sources: OpenICC directory proposal 0.2 and the XDG base
    directory specification (Linux and the like), Apple's Technical Note TN2035 (macOS);
    for Windows common practice, as its folder is asked of the system and not documented
    as a path.
    """
    home = Path.home()
    if sys.platform == "win32":
        folders = [_windows_folder()]
    elif sys.platform == "darwin":
        folders = [
            home / "Library/ColorSync/Profiles",
            Path("/Library/ColorSync/Profiles"),
            Path("/Network/Library/ColorSync/Profiles"),
            Path("/System/Library/ColorSync/Profiles"),
        ]
    else:
        own = _xdg("XDG_DATA_HOME", home / ".local/share")[0]
        shared = _xdg("XDG_DATA_DIRS", Path("/usr/local/share"), Path("/usr/share"))
        folders = [
            own / "icc",
            own / "color/icc",
            home / ".color/icc",
            *(folder / "color/icc" for folder in shared),
            Path("/var/lib/color/icc"),
        ]
    return tuple(dict.fromkeys(folders))


def user_profile_folder() -> Path:
    """The folder from which the person's own programs take profiles.

    On Windows there is one for all users, and writing there may need their permission.
    """
    return system_profile_folders()[0]


def _windows_folder() -> Path:
    root = os.environ.get("SYSTEMROOT") or os.environ.get("WINDIR") or r"C:\Windows"
    return Path(root) / "System32/spool/drivers/color"


def _xdg(variable: str, *fallback: Path) -> list[Path]:
    # the specification has relative paths ignored
    named = [Path(part) for part in os.environ.get(variable, "").split(os.pathsep) if part]
    return [path for path in named if path.is_absolute()] or list(fallback)
