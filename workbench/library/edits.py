"""Changing the shelf: nothing a person wrote is lost, and no other window's work either.

Each change reads the file anew, under a lock, and alters only the lines it is about;
so what was written meanwhile stays.  Where both changed the same thing, the change is
refused with a sentence.  What would come out is read back and compared before it is
written; then the former file is put beside the new one, and the new one takes its
place in one step.
"""

from __future__ import annotations

import os
import time
from pathlib import Path

from workbench import files
from workbench.errors import LibraryError
from workbench.files.toml_text import layout, line_end_of, literal, remove_key, set_value
from workbench.language import tr
from workbench.library.entry import ShelfEntry
from workbench.library.fields import FIELDS, OWN_FIELDS, checked, plain
from workbench.library.opening import PROFILES, REMOVED_HEAD, entry_text, paper_values
from workbench.library.pieces import TABLE, Piece, same, take_apart
from workbench.library.profiles import read_paper_profile
from workbench.library.shelf import Shelf, shelf_from, shelf_text
from workbench.paper import Paper

FORMER_NAME = "shelf-former.toml"
REMOVED_NAME = "shelf-removed.toml"
_TRIES = 5


def add_entry(shelf: Shelf, profile, name: str | None = None, *, copy=True, **details) -> Shelf:
    """Put a paper on the shelf.

    Parameters
    ----------
    profile : path or bytes of its ICC profile, or a `Paper` with all it says.
    name : by default the Paper's name, or the profile's description.
    copy : put a copy of the profile beside the shelf (bytes always are); otherwise the
        entry names the file where it lies, and a later change of it is reported.
    details : the other fields of an entry, see `workbench.library.fields`; a Paper's own
        give way to these.

    Returns
    -------
    The shelf as it is then, other windows' changes included.

    Raises
    ------
    LibraryError, ProfileError, PaperError
        if the profile, name or a detail cannot be used or the file not be written;
        nothing was changed then.
    """
    values = {}
    if isinstance(profile, Paper):
        values, profile = paper_values(profile), profile.profile
    for key, value in details.items():
        values[_settable(key)] = checked(key, value)
    data, file_name = read_paper_profile(profile)
    name = checked("name", name) or values.get("name") or Path(file_name).stem
    values["name"] = name

    def work(now: Shelf) -> tuple[str, list]:
        _require_free_name(now, name)
        values.update(_placed(now, profile, data, file_name, copy))
        line_end = line_end_of(now.text)
        text = now.text
        if text and not text.endswith("\n"):
            text += line_end
        if text and not text.endswith(("\n\n", "\n\r\n")):
            text += line_end
        text += entry_text(values).replace("\n", line_end)
        written = {key: plain(key, value) for key, value in values.items() if value is not None}
        return text, [*_data(now), written]

    return _change(shelf, work)


def edit_entry(shelf: Shelf, entry: ShelfEntry | str, *, copy=True, **changes) -> Shelf:
    """Change what an entry says.

    Parameters
    ----------
    entry : the entry, or its name.
    copy : as for `add_entry`, where ``profile`` is changed.
    changes : fields and their new values; None takes a field out.  ``profile`` takes a
        path or bytes and notes its checksum, also to accept one that has changed.

    Returns
    -------
    The shelf as it is then, other windows' changes included.

    Raises
    ------
    LibraryError, ProfileError, PaperError
        as `add_entry`, or if another window changed the same fields, or removed the entry.
    """
    entry = shelf.entry(entry) if isinstance(entry, str) else entry
    has_profile = "profile" in changes
    source = changes.pop("profile", None)
    values = {_settable(key): checked(key, value) for key, value in changes.items()}
    if "name" in values and values["name"] is None:
        raise LibraryError(tr("An entry needs a name; give it another instead of none."))
    if has_profile and source is None:
        values.update(dict.fromkeys(OWN_FIELDS))
    elif has_profile:
        if source == entry.profile and entry.profile_path is not None:
            # accepted as it is now, where it lies
            source, copy = entry.profile_path, False
        data, file_name = read_paper_profile(source)

    def work(now: Shelf) -> tuple[str, list]:
        piece = _find(now, shelf, entry)
        if values.get("name", entry.name) != entry.name:
            _require_free_name(now, values["name"])
        if has_profile and source is not None:
            values.update(_placed(now, source, data, file_name, copy))
        text, expected = piece.text, dict(piece.said)
        for key, value in values.items():
            wanted = None if value is None else plain(key, value)
            there, before = piece.said.get(key), entry.piece.said.get(key)
            if same(there, wanted):
                continue
            if not same(there, before):
                raise LibraryError(
                    tr(
                        "“{key}” of “{name}” was changed in another window meanwhile; look at the "
                        "shelf again and repeat your change if it is still wanted.",
                        key=key,
                        name=entry.name,
                    )
                )
            if wanted is None:
                text = remove_key(text, TABLE, key)
                expected.pop(key)
            else:
                text = set_value(text, TABLE, key, literal(wanted), FIELDS)
                expected[key] = wanted
        after = [expected if each is piece else each.data for each in now.parts.papers]
        return now.text[: piece.start] + text + now.text[piece.end :], after

    return _change(shelf, work)


def remove_entry(shelf: Shelf, entry: ShelfEntry | str) -> Shelf:
    """Take an entry off the shelf.

    Its text, comments included, is added to ``shelf-removed.toml`` first.  Comments above
    and below it stay where they are; its profile's file stays too.

    Returns
    -------
    The shelf as it is then, other windows' changes included.

    Raises
    ------
    LibraryError
        if there is no such entry, or another window changed or removed it.
    """
    entry = shelf.entry(entry) if isinstance(entry, str) else entry
    removed: list[str] = []

    def work(now: Shelf) -> tuple[str, list]:
        piece = _find(now, shelf, entry)
        if not same(piece.said, entry.piece.said):
            raise LibraryError(
                tr(
                    "“{name}” was changed in another window meanwhile; look at the shelf again and "
                    "remove it then if you still want to.",
                    name=entry.name,
                )
            )
        place = layout(piece.text)
        end = max(each.end for each in place.assignments) if place.assignments else 0
        end = piece.start + max(end, max(stop for _, stop, _ in place.headers))
        before, after = now.text[: piece.start], now.text[end:]
        above = _comments_above(before)
        removed[:] = above, now.text[piece.start : end]
        line_end = line_end_of(now.text)
        if above:
            before += (
                "# "
                + tr(
                    "(“{name}”, which stood here, was removed on {day}; see {file})",
                    name=entry.name,
                    day=time.strftime("%Y-%m-%d"),
                    file=REMOVED_NAME,
                )
                + line_end
            )
            if after.strip() and not after.startswith(("\n", "\r\n")):
                before += line_end
        elif before.endswith(("\n\n", "\n\r\n")):
            after = after.removeprefix(line_end)
        return before + after, [each.data for each in now.parts.papers if each is not piece]

    return _change(shelf, work, lambda: _keep_removed(shelf.folder, *removed))


def _settable(key: str) -> str:
    if key in OWN_FIELDS:
        raise LibraryError(
            tr("“{key}” is noted by the workbench; give “profile” a file instead.", key=key)
        )
    return key


def _require_free_name(now: Shelf, name: str) -> None:
    if any(entry.name == name for entry in now.entries):
        raise LibraryError(
            tr(
                "There is a “{name}” on the shelf already; choose another name, for example "
                "with the printer's.",
                name=name,
            )
        )


def _data(now: Shelf) -> list:
    return [piece.data for piece in now.parts.papers]


def _find(now: Shelf, shelf: Shelf, entry: ShelfEntry) -> Piece:
    """The piece of the file as it is now that holds this entry."""
    alike = [each for each in now.parts.papers if each.text == entry.piece.text]
    if len(alike) > 1:
        # copies of one another: the same one in order
        copies = [each for each in shelf.entries if each.piece.text == entry.piece.text]
        rank = next((index for index, each in enumerate(copies) if each is entry), 0)
        return alike[min(rank, len(alike) - 1)]
    if alike:
        return alike[0]
    named = [each for each in now.entries if each.name == entry.name]
    if len(named) == 1:
        return named[0].piece
    raise LibraryError(
        tr(
            "“{name}” is no longer on the shelf as it was: it was removed, renamed or "
            "broken in another window or by hand. Look at the shelf again.",
            name=entry.name,
        )
    )


def _placed(now: Shelf, source, data: bytes, file_name: str, copy: bool) -> dict:
    """The profile's path as the entry names it, and its checksum."""
    folder = now.path.parent
    if isinstance(source, (bytes, bytearray, memoryview)):
        path = files.place(data, folder / PROFILES, file_name)
    else:
        path = files.path_of(source, LibraryError).absolute()
        if copy and folder not in path.parents:
            path = files.place(data, folder / PROFILES, file_name)
    written = path.relative_to(folder) if folder in path.parents else path
    return {
        "profile": checked("profile", written.as_posix()),
        "profile_sha256": files.checksum(data),
    }


def _comments_above(before: str) -> str:
    lines = before.splitlines(keepends=True)
    first = len(lines)
    while first and lines[first - 1].lstrip().startswith("#"):
        first -= 1
    return "".join(lines[first:])


def _keep_removed(folder: Path, above: str, text: str) -> None:
    path = folder / REMOVED_NAME
    former = shelf_text(path)
    if former is None:
        former = REMOVED_HEAD
    ending = "" if text.endswith("\n") else "\n"
    stamp = tr("removed {when}", when=time.strftime("%Y-%m-%d %H:%M:%S"))
    former += f"\n# {stamp}\n{above}{text}{ending}"
    _write(path, former)


def _change(shelf: Shelf, work, first=None) -> Shelf:
    """Alter the file as it is now.

    ``work`` gives the new text and what its papers then say; ``first`` is done before that
    is written.
    """
    folder = shelf.folder
    with files.sole_writer(folder):
        for _ in range(_TRIES):
            now = _as_it_is(shelf)
            if now.locked:
                raise LibraryError(tr("The shelf was not changed. {reason}", reason=now.locked))
            text, expected = work(now)
            if text == now.text and now.written:
                return now
            _require_safe(now, text, expected)
            if _written(now, text, first):
                return shelf_from(shelf.path, text)
    raise LibraryError(
        tr(
            "“{path}” keeps being changed by another program; close it there and try again.",
            path=files.shown(shelf.path),
        )
    )


def _as_it_is(shelf: Shelf) -> Shelf:
    text = shelf_text(shelf.path)
    if text is not None:
        return shelf_from(shelf.path, text)
    if shelf.written:
        raise LibraryError(
            tr(
                "The shelf “{path}” is no longer there; put it back, or open the shelf again "
                "to begin a new one.",
                path=files.shown(shelf.path),
            )
        )
    text = shelf.text
    for named, data in shelf.unwritten_profiles.items():
        path = files.place(data, shelf.folder / PROFILES, Path(named).name)
        text = text.replace(
            f"profile = {literal(named)}\n", f"profile = {literal(f'{PROFILES}/{path.name}')}\n"
        )
    return shelf_from(shelf.path, text, written=False)


def _require_safe(now: Shelf, text: str, expected: list) -> None:
    parts = take_apart(text)
    before, after = (
        [each for each in pieces if each.kind != "paper" or each.data is None]
        for pieces in (now.parts.pieces, parts.pieces)
    )
    safe = same([each.data for each in parts.papers], expected)
    safe = safe and [each.kind for each in before] == [each.kind for each in after]
    # comments around a removed entry may join the piece before it
    safe = safe and all(
        new.text.startswith(old.text.rstrip()) and (old.data is None) == (new.data is None)
        for old, new in zip(before, after, strict=True)
    )
    if now.parts.valid:
        safe = safe and parts.valid
    if not safe:
        broken = next((str(problem) for problem in now.parts.problems), "")
        raise LibraryError(
            tr(
                "This cannot be changed without touching what could not be read. {broken}",
                broken=broken,
            ).strip()
        )


def _written(now: Shelf, text: str, first) -> bool:
    """Put the new text in the file's place; False if the file changed at the last moment."""
    # a shelf that is a link stays one
    path = Path(os.path.realpath(now.path))
    there = shelf_text(now.path)
    if there != (now.text if now.written else None):
        return False
    if first is not None:
        first()
    if there is not None:
        _write(now.folder / FORMER_NAME, there)
    _write(path, text)
    return True


def _write(path: Path, text: str) -> None:
    data = text.encode(errors="surrogateescape")
    files.write_whole(path, data, overwrite=True, error=LibraryError)
