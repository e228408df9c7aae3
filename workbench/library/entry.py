"""One entry of the shelf: what its text says, what is amiss with it, and its paper."""

from __future__ import annotations

import os
import weakref
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from workbench import files
from workbench.characteristics import UNKNOWN, Known
from workbench.colour.profile import MOST_PROFILE_BYTES
from workbench.errors import LibraryError
from workbench.files.toml_text import NotToml, layout
from workbench.language import tr
from workbench.library.fields import FIELDS, checked
from workbench.library.pieces import TABLE, Piece, Problem
from workbench.library.profiles import Sighting, look_at
from workbench.paper import Paper, open_paper

# the same entry gives the same Paper, so that a choice survives re-reading the shelf
_opened: weakref.WeakValueDictionary[tuple, Paper] = weakref.WeakValueDictionary()


@dataclass(frozen=True)
class ShelfEntry(Known):
    """One paper on the shelf, as its file has it.

    Attributes
    ----------
    profile : the profile's path as written; ``profile_path`` in full, or None.
    profile_sha256 : of the profile when it was put on the shelf, or None.
    profile_changed : the profile file is no longer the one noted.
    line : of the entry in the file, from 1.
    unknown : keys that the workbench does not know, and keeps.
    problems : what is amiss with this entry.
    """

    line: int
    piece: Piece = field(repr=False, compare=False)
    folder: Path = field(repr=False, compare=False)
    profile: str | None = None
    profile_path: Path | None = None
    profile_sha256: str | None = None
    profile_changed: bool = False
    unknown: tuple[str, ...] = ()
    problems: tuple[Problem, ...] = ()
    unwritten_profile: bytes | None = field(default=None, repr=False, compare=False)
    sighting: Sighting | None = field(default=None, repr=False, compare=False)

    @property
    def usable(self) -> bool:
        """Whether its profile was found and describes a paper."""
        return self.sighting is not None and self.sighting.trouble is None

    def paper(self) -> Paper:
        """The paper for every analysis, with all the entry says.

        Raises
        ------
        LibraryError, ProfileError, PaperError
            if there is no profile, or it describes no paper.
        """
        if self.sighting is None:
            raise LibraryError(
                tr(
                    "“{name}” names no profile; choose the ICC profile of this paper.",
                    name=self.name,
                )
            )
        if self.sighting.trouble:
            raise LibraryError(self.sighting.trouble)
        details = {key: value for key in UNKNOWN if (value := getattr(self, key)) not in (None, ())}
        if str(details.get("surface", "")).endswith(".toml"):
            details["surface"] = str(_full(details["surface"], self.folder))
        mark = (self.name, self.sighting.checksum, tuple(sorted(details.items())))
        if (known := _opened.get(mark)) is not None:
            return known
        data = self.unwritten_profile
        if data is None:
            data = files.read_regular(self.profile_path, MOST_PROFILE_BYTES, LibraryError)
        # the characteristics were checked by the shelf's own rules; this measures the profile
        paper = open_paper(data, finish=self.finish)
        details.setdefault("black_ink", paper.black_ink)
        known = Paper(name=self.name, profile=paper.profile, **details)
        return _opened.setdefault(mark, known)


def line_of(piece: Piece, table: tuple[str, ...], key: str) -> int:
    """The line of the file in which a piece gives a key, or of the piece where it does not."""
    wanted = (*table, key)
    try:
        place = layout(piece.text)
    except NotToml:
        return piece.line
    named = [(each.start, (*each.table, *each.key)) for each in place.assignments]
    named += [(start, path) for start, _, path in place.headers]
    starts = [start for start, path in named if path[: len(wanted)] == wanted]
    return piece.line + piece.text.count("\n", 0, min(starts)) if starts else piece.line


def entry_of(piece: Piece, folder: Path, unwritten: Mapping[str, bytes]) -> ShelfEntry:
    """The entry that a readable piece of the file describes.

    Parameters
    ----------
    folder : the shelf's; profiles are sought from there.
    unwritten : bytes of profiles, by path as written, that are not on the disk yet.
    """
    values, amiss = _values(piece)
    name = values.pop("name", None)
    if name is None:
        name = tr("Unnamed (line {line})", line=piece.line)
        amiss.append((tr('This paper has no name; give it one: name = "…".'), piece.line))
    path, data, sighting, changed = None, None, None, False
    written = values.get("profile")
    if written is not None:
        data = unwritten.get(written)
        path = _full(written, folder)
        sighting = look_at(path, data)
        noted = values.get("profile_sha256")
        changed = bool(noted and sighting.checksum and sighting.checksum != noted)
        if sighting.trouble or changed:
            line = line_of(piece, (TABLE,), "profile")
        if sighting.trouble:
            amiss.append((sighting.trouble, line))
        if changed:
            sentence = tr(
                "The profile of “{name}” has changed since you put it on the shelf; if you "
                "meant it to, choose the profile again.",
                name=name,
            )
            amiss.append((sentence, line))
    elif "profile" not in piece.said:
        amiss.append(
            (tr("“{name}” names no profile, so it cannot be used yet.", name=name), piece.line)
        )
    return ShelfEntry(
        name=name,
        line=piece.line,
        profile_path=path,
        profile_changed=changed,
        unknown=tuple(key for key in piece.said if key not in FIELDS),
        problems=tuple(Problem(sentence, line, name) for sentence, line in amiss),
        piece=piece,
        folder=folder,
        unwritten_profile=data,
        sighting=sighting,
        **values,
    )


def _values(piece: Piece) -> tuple[dict, list[tuple[str, int]]]:
    values, amiss = {}, []
    for key in FIELDS:
        if key not in piece.said:
            continue
        try:
            value = checked(key, piece.said[key])
        except LibraryError as problem:
            amiss.append(
                (
                    tr("{problem} It is left out until then.", problem=problem),
                    line_of(piece, (TABLE,), key),
                )
            )
        else:
            if value is not None:
                values[key] = value
    return values, amiss


def _full(written: str, folder: Path) -> Path:
    return folder / os.path.expanduser(written)
