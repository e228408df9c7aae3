"""The shelf: a person's papers in a plain TOML file beside their profiles.

The file is ``shelf.toml`` in the shelf's folder::

    version = 1

    [[paper]]
    name = "Invented Quiet Ladder"
    profile = "profiles/Invented Quiet Ladder.icc"
    profile_sha256 = "…"          # 64 hexadecimal digits
    weight_g_m2 = 295
    finish = "matte"
    sheets = ["A4", "A3"]
    price_per_sheet = { A4 = 0.9, A3 = 1.8 }

Every key is described in `workbench.library.fields` and at the top of each new file.
Only ``name`` and ``profile`` matter for use; keys and tables that the workbench does
not know are kept.  An entry that cannot be read is reported by its line and hides no
other.  See `workbench.library.edits` for how the file is changed.
"""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from workbench import files
from workbench.errors import LibraryError, WorkbenchError
from workbench.language import tr
from workbench.library.entry import ShelfEntry, entry_of, line_of
from workbench.library.folders import user_shelf_folder
from workbench.library.opening import starting_text
from workbench.library.pieces import Pieces, Problem, take_apart
from workbench.paper import Paper

FILE_NAME = "shelf.toml"
VERSION = 1
_MOST_BYTES = 8 * 2**20
# bytes that were no UTF-8, one find for each run of them
_NOT_UTF8 = re.compile("[\udc80-\udcff]+")


@dataclass(frozen=True, eq=False)
class Shelf:
    """A shelf as it stood when it was read; changing it gives a new one.

    Attributes
    ----------
    path : of its file, whether or not that has been written yet.
    entries : the readable ones, in the file's order.
    problems : all that is amiss, with line numbers; the entries' own among them.
    written : False for a shelf of starting papers that is not on the disk yet.
    locked : why the workbench does not change this file, or None.
    text : of the file; bytes that are not UTF-8 as surrogates.
    """

    path: Path
    entries: tuple[ShelfEntry, ...]
    problems: tuple[Problem, ...]
    written: bool = True
    locked: str | None = None
    text: str = field(default="", repr=False)
    parts: Pieces = field(default=Pieces((), (), False, False), repr=False)
    unwritten_profiles: Mapping[str, bytes] = field(default_factory=dict, repr=False)

    @property
    def folder(self) -> Path:
        return self.path.parent

    def entry(self, name: str) -> ShelfEntry:
        """The entry of that name.

        Raises
        ------
        LibraryError
            if there is none, or more than one.
        """
        named = [entry for entry in self.entries if entry.name == name]
        if len(named) == 1:
            return named[0]
        if named:
            lines = ", ".join(str(entry.line) for entry in named)
            raise LibraryError(
                tr(
                    "{count} entries are called “{name}” (lines {lines}); give each its own name.",
                    count=len(named),
                    name=name,
                    lines=lines,
                )
            )
        raise LibraryError(tr("There is no “{name}” on the shelf.", name=name))

    def opened(self) -> tuple[tuple[Paper, ...], tuple[Problem, ...]]:
        """The papers of all entries that can be used, and why others cannot."""
        papers, problems = [], []
        for entry in self.entries:
            try:
                papers.append(entry.paper())
            except WorkbenchError as problem:
                problems.append(Problem(str(problem), entry.line, entry.name))
        return tuple(papers), tuple(problems)

    def papers(self) -> tuple[Paper, ...]:
        """The papers of all entries that can be used; see `opened` for the others."""
        return self.opened()[0]


def open_shelf(
    folder=None, *, default: Iterable[Paper] | Callable[[], Iterable[Paper]] = ()
) -> Shelf:
    """Read a shelf.

    Parameters
    ----------
    folder : that holds ``shelf.toml``; by default the person's own, see `user_shelf_folder`.
    default : papers, or a function that gives them, for a folder without a shelf.
        Nothing is written until the shelf is changed.

    Returns
    -------
    A Shelf.

    Raises
    ------
    LibraryError
        if the folder is none or the file cannot be read at all.  A file with errors in it
        opens, and ``problems`` names them.

    Examples
    --------
    >>> [paper.name for paper in wb.open_shelf(folder, default=papers[:1]).papers()] == [papers[0].name]
    True
    """
    path = shelf_path(folder)
    text = shelf_text(path)
    if text is not None:
        return shelf_from(path, text)
    papers = tuple(default() if callable(default) else default)
    text, profiles = starting_text(papers)
    return shelf_from(path, text, written=False, unwritten=profiles)


def shelf_path(folder=None) -> Path:
    """The path of the file in a shelf's folder.

    Raises
    ------
    LibraryError
        if that can be no folder.
    """
    folder = user_shelf_folder() if folder is None else files.path_of(folder, LibraryError)
    folder = folder.absolute()
    if os.path.lexists(folder) and not os.path.isdir(folder):
        raise LibraryError(
            tr(
                "“{path}” is not a folder; name the folder that holds {file}.",
                path=files.shown(folder),
                file=FILE_NAME,
            )
        )
    return folder / FILE_NAME


def shelf_text(path: Path) -> str | None:
    """The shelf file's text with every byte kept; None if there is no file.

    Raises
    ------
    LibraryError
        if it is there and cannot be read.
    """
    data = files.read_regular(path, _MOST_BYTES, LibraryError, missing_ok=True)
    return None if data is None else data.decode(errors="surrogateescape")


def shelf_from(
    path: Path, text: str, *, written: bool = True, unwritten: Mapping[str, bytes] | None = None
) -> Shelf:
    """The shelf that a file's text describes."""
    unwritten = unwritten or {}
    if text.startswith(("\udcff\udcfe", "\udcfe\udcff")) or "\0" in text:
        reason = tr("The shelf is not saved as UTF-8; save it as UTF-8 in a text editor.")
        return Shelf(path, (), (Problem(reason, 1),), written, reason, text)
    parts = take_apart(text)
    entries = tuple(
        entry_of(piece, path.parent, unwritten) for piece in parts.papers if piece.data is not None
    )
    version, locked = _version(parts)
    if not parts.editable:
        locked = locked or parts.problems[-1].sentence
    problems = [
        *version,
        *parts.problems,
        *_letters(text),
        *(problem for entry in entries for problem in entry.problems),
        *_namesakes(entries),
    ]
    problems.sort(key=lambda problem: problem.line or 0)
    return Shelf(path, entries, tuple(problems), written, locked, text, parts, unwritten)


def _version(parts: Pieces) -> tuple[list[Problem], str | None]:
    head = parts.pieces[0].data if parts.pieces else None
    version = (head or {}).get("version", VERSION)
    if version == VERSION and not isinstance(version, bool):
        return [], None
    if isinstance(version, int) and not isinstance(version, bool) and version > VERSION:
        reason = tr(
            "The shelf was written by a newer workbench (version {version} of the file, "
            "this one knows {known}). It is shown as far as it is understood and not "
            "changed; update the workbench.",
            version=version,
            known=VERSION,
        )
    else:
        reason = tr(
            "“version” is the number {version}; until that is mended the shelf is not changed.",
            version=VERSION,
        )
    return [Problem(reason, line_of(parts.pieces[0], (), "version"))], reason


def _letters(text: str) -> list[Problem]:
    lines = sorted({text.count("\n", 0, each.start()) + 1 for each in _NOT_UTF8.finditer(text)})
    sentence = tr(
        "This line is not UTF-8, so some letters cannot be shown; save the file as UTF-8."
    )
    return [Problem(sentence, line) for line in lines[:20]]


def _namesakes(entries: tuple[ShelfEntry, ...]) -> list[Problem]:
    first: dict[str, int] = {}
    problems = []
    for entry in entries:
        if entry.name in first:
            problems.append(
                Problem(
                    tr(
                        "“{name}” is the name of the entry in line {line} too; give each its own.",
                        name=entry.name,
                        line=first[entry.name],
                    ),
                    entry.line,
                    entry.name,
                )
            )
        first.setdefault(entry.name, entry.line)
    return problems
