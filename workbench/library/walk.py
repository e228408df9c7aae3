"""Looking through folders that may hold anything: links in a circle, devices, a hundred thousand files."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from pathlib import Path

from workbench import files
from workbench.errors import Cancelled, FileError
from workbench.language import tr

ENDINGS = (".icc", ".icm")
MOST_ENTRIES = 100_000
_DEEPEST = 40
_MOST_PROBLEMS = 100


class Problems:
    """Sentences, each once, and no more than a person would read."""

    def __init__(self):
        self._sentences: dict[str, None] = {}
        self._left_out = 0

    def add(self, sentence: str) -> None:
        if sentence in self._sentences:
            return
        if len(self._sentences) < _MOST_PROBLEMS:
            self._sentences[sentence] = None
        else:
            self._left_out += 1

    def sentences(self) -> tuple[str, ...]:
        more = [tr("And {count} more like these.", count=self._left_out)] if self._left_out else []
        return (*self._sentences, *more)


@dataclass
class Walk:
    """What was found.

    Attributes
    ----------
    candidates : files by their ending, with the system's word on each, in order.
    roots : the folders that were looked through.
    complete : False if a limit ended it.
    """

    candidates: list[tuple[Path, os.stat_result]] = field(default_factory=list)
    roots: list[Path] = field(default_factory=list)
    looked_at: int = 0
    complete: bool = True


def walk(
    folders: Iterable[Path],
    problems: Problems,
    *,
    may_lack: Iterable[Path] = (),
    most_bytes: int,
    most_entries: int = MOST_ENTRIES,
    cancelled: Callable[[], bool] | None = None,
) -> Walk:
    """Find files with a profile's ending.

    Links are followed, each folder is entered once.  Files that cannot be profiles by
    what the system says of them are not opened, but reported.

    Parameters
    ----------
    may_lack : folders that need not exist.
    most_bytes : larger files are reported, not listed.
    most_entries : of folders in all; reaching it is reported.

    Raises
    ------
    Cancelled
    """
    result = Walk()
    may_lack = set(may_lack)
    entered: set[tuple] = set()
    for root in folders:
        try:
            if not root.is_dir():
                if root in may_lack and not os.path.lexists(root):
                    continue
                problems.add(
                    tr("“{path}” is not a folder; name a folder.", path=files.shown(root))
                    if root.exists()
                    else tr("“{path}” is not there; name a folder.", path=files.shown(root))
                )
                continue
        except OSError as problem:
            problems.add(
                tr(
                    "The folder “{path}” cannot be looked into ({reason}).",
                    path=files.shown(root),
                    reason=files.why(problem),
                )
            )
            continue
        except ValueError:
            problems.add(tr("“{path}” cannot be a folder; check the path.", path=files.shown(root)))
            continue
        result.roots.append(root)
        waiting = [(root, 0)]
        while waiting:
            folder, depth = waiting.pop()
            inner = _look_into(
                folder, result, entered, problems, most_bytes, most_entries, cancelled
            )
            if not result.complete:
                problems.add(
                    tr(
                        "“{path}” and the folders before it hold more than {most:,} files; "
                        "the rest was left out. Name a folder further in.",
                        path=files.shown(root),
                        most=most_entries,
                    )
                )
                return result
            if inner and depth >= _DEEPEST:
                problems.add(
                    tr(
                        "“{path}” is too deep to be looked into further.",
                        path=files.shown(folder),
                    )
                )
                continue
            waiting += [(each, depth + 1) for each in reversed(inner)]
    return result


def _look_into(
    folder, result: Walk, entered: set, problems, most_bytes, most_entries, cancelled
) -> list[Path]:
    """Note the folder's candidates; its folders, sorted."""
    inner, named = [], []
    try:
        if not _is_first_visit(folder, entered):
            return []
        with os.scandir(folder) as entries:
            for entry in entries:
                result.looked_at += 1
                if result.looked_at > most_entries:
                    result.complete = False
                    break
                if cancelled is not None and result.looked_at % 256 == 0 and cancelled():
                    raise Cancelled
                if _is_folder(entry):
                    inner.append(Path(entry.path))
                elif entry.name.lower().endswith(ENDINGS):
                    named.append(Path(entry.path))
    except OSError as problem:
        problems.add(
            tr(
                "The folder “{path}” cannot be looked into ({reason}).",
                path=files.shown(folder),
                reason=files.why(problem),
            )
        )
    for path in sorted(named):
        try:
            status = files.status_of(path, most_bytes)
        except FileError as problem:
            problems.add(str(problem))
        else:
            result.candidates.append((path, status))
    return sorted(inner)


def _is_first_visit(folder: Path, entered: set) -> bool:
    status = os.stat(folder)
    # some file systems number nothing; there the path without links has to tell
    mark = (status.st_dev, status.st_ino) if status.st_ino else (os.path.realpath(folder),)
    if mark in entered:
        return False
    entered.add(mark)
    return True


def _is_folder(entry: os.DirEntry) -> bool:
    try:
        return entry.is_dir()
    except OSError:
        # a link in a circle: a file as far as we care, and reported if it claims to be a profile
        return False
