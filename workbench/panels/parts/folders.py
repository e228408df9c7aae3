"""Typed paths cleaned, folders listed: no widgets here."""

from __future__ import annotations

import os
import re
from dataclasses import dataclass
from urllib.parse import unquote, urlsplit

from workbench.errors import WorkbenchError
from workbench.language import tr

MOST_ENTRIES = 2000
_QUOTES = {'"': '"', "'": "'", "“": "”", "„": "“", "‘": "’", "«": "»"}


@dataclass(frozen=True)
class Entry:
    """A folder or a file in a listing."""

    name: str
    path: str
    is_folder: bool


@dataclass(frozen=True)
class Listing:
    """What a folder holds: folders first, then the files that match."""

    folder: str
    parent: str | None
    entries: tuple[Entry, ...]
    left_out: int  # entries beyond MOST_ENTRIES


def clean_path(text: str) -> str:
    """The absolute path meant by what was typed or pasted; "" for nothing.

    Takes away spaces and quotes around it, a ``file://`` in front, and the
    backslashes a terminal puts before spaces; expands ``~``.
    """
    path = text.strip().strip("\u200b\u200e\u200f\ufeff\u202a\u202c").strip()
    while len(path) > 1 and _QUOTES.get(path[0]) == path[-1]:
        path = path[1:-1].strip()
    if not path:
        return ""
    if path.lower().startswith("file://"):
        path = unquote(urlsplit(path).path)
        if os.name == "nt":
            path = path.lstrip("/")
    path = os.path.expanduser(path)
    if os.name != "nt" and "\\" in path and not os.path.lexists(path):
        plain = re.sub(r"\\(.)", r"\1", path)
        if os.path.lexists(plain):
            path = plain
    return os.path.abspath(path)


def folder_for(typed: str, original=None) -> str:
    """The folder typed; left empty, that of the original, or where the kernel works.

    Parameters
    ----------
    original : path of the picture that files belong to, or None.
    """
    if path := clean_path(typed):
        return path
    return os.path.dirname(os.path.abspath(original)) if original else os.getcwd()


def list_folder(folder: str, extensions=(), cancelled=lambda: False) -> Listing:
    """List a folder: its folders, and its files with one of the extensions.

    ``extensions`` are lower-case with their dot; empty means every file.  Hidden
    entries are left out.  Raises WorkbenchError when the folder cannot be read.
    """
    folders, files = [], []
    try:
        with os.scandir(folder) as found:
            for item in found:
                if cancelled():
                    break
                if item.name.startswith("."):
                    continue
                try:
                    is_folder = item.is_dir()
                except OSError:  # a broken link, a drive that went away
                    continue
                if is_folder:
                    folders.append(Entry(item.name, item.path, True))
                elif not extensions or item.name.lower().endswith(tuple(extensions)):
                    files.append(Entry(item.name, item.path, False))
    except FileNotFoundError:
        raise WorkbenchError(
            tr(
                "There is no folder “{folder}”. Check the spelling, or start from a folder "
                "above it.",
                folder=folder,
            )
        ) from None
    except NotADirectoryError:
        raise WorkbenchError(tr("“{folder}” is a file, not a folder.", folder=folder)) from None
    except PermissionError:
        raise WorkbenchError(
            tr(
                "The folder “{folder}” may not be read. Choose another folder, or give "
                "yourself permission to read it.",
                folder=folder,
            )
        ) from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise WorkbenchError(
            tr(
                "The folder “{folder}” cannot be read ({reason}). Choose another folder.",
                folder=folder,
                reason=reason,
            )
        ) from None
    entries = sorted(folders, key=_order) + sorted(files, key=_order)
    parent = os.path.dirname(folder)
    return Listing(
        folder=folder,
        parent=None if parent == folder else parent,
        entries=tuple(entries[:MOST_ENTRIES]),
        left_out=max(0, len(entries) - MOST_ENTRIES),
    )


def check_file(path: str) -> None:
    """Raise WorkbenchError, saying what is wrong, unless a file can be read."""
    if not path:
        raise WorkbenchError(
            tr("No file is named yet. Type a path, or choose a file from a folder.")
        )
    if "\0" in path:
        raise WorkbenchError(tr("A path cannot hold a null character. Type it again."))
    folder, name = os.path.split(path)
    if not os.path.exists(path):
        if not os.path.isdir(folder):
            raise WorkbenchError(
                tr("There is no folder “{folder}”. Check the spelling.", folder=folder)
            )
        raise WorkbenchError(
            tr(
                "There is no file “{name}” in the folder “{folder}”. Check the spelling, or "
                "choose it from the list.",
                name=name,
                folder=folder,
            )
        )
    if not os.access(path, os.R_OK):
        raise WorkbenchError(
            tr("The file “{name}” may not be read. Check its permissions.", name=name)
        )


def _order(entry: Entry):
    """Sort names as people do: without case, numbers by value."""
    return [
        (0, int(part), "") if part.isdecimal() else (1, 0, part)
        for part in re.split(r"(\d+)", entry.name.casefold())
        if part
    ]
