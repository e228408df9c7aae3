"""What a survey has found so far: a line of JSON for each picture, added as it comes.

A process that is killed leaves at most half a line, which is left out on reading: its picture
is judged again.  Lines that were damaged, or are not ours, are left out in the same way.
"""

from __future__ import annotations

import base64
import hashlib
import io
import json
import os
from collections.abc import Iterable, Iterator
from dataclasses import asdict
from math import isfinite
from pathlib import Path

from workbench.errors import OutputError
from workbench.files import open_regular, shown
from workbench.files.writing import append_to
from workbench.language import tr
from workbench.surveys.judging import COLUMNS, Asked, Judged

_FORM = "print survey 1"
_MOST_BYTES = 2**34
# a picture on a thousand papers; nothing of ours comes near
_MOST_LINE = 2**22


def heading(papers, asked: Asked) -> str:
    """The first line: what was asked, so that answers to another question are not mixed in."""
    of = hashlib.sha256()
    for paper in papers:
        of.update(repr((paper.name, paper.surface_texture)).encode() + paper.profile)
    return json.dumps({"form": _FORM, "papers": of.hexdigest(), "asked": asdict(asked)})


class Journal:
    """The file; knows where each picture's line begins and holds no line itself."""

    def __init__(self, path: Path, papers, asked: Asked):
        self.path = path
        self._many, self._head = len(papers), heading(papers, asked)
        self._places: dict[str, tuple[int, tuple[int, ...]]] = {}
        self._end = 0
        self._failed = 0
        if path.exists():
            self._look()
        else:
            self._append(self._head.encode() + b"\n")

    def has(self, path: str, stamp: tuple[int, ...]) -> bool:
        """Whether a picture was judged as it is now."""
        return bool(stamp) and path in self._places and self._places[path][1] == stamp

    def add(self, found: Iterable[Judged]) -> None:
        """Keep some more; they are with the system when this returns."""
        lines = []
        at = self._end
        for each in found:
            line = json.dumps(
                {
                    "path": each.path,
                    "stamp": each.stamp,
                    "rows": each.rows,
                    "failure": each.failure,
                    "thumb": base64.b64encode(each.thumb).decode(),
                }
            ).encode()
            lines.append(line + b"\n")
            self._places[each.path] = at, tuple(each.stamp)
            at += len(line) + 1
        self._append(b"".join(lines))

    def read(self, paths: Iterable[str]) -> Iterator[Judged]:
        """What was found of these pictures, in this order; one at a time is held."""
        with io.BufferedReader(open_regular(self.path, _MOST_BYTES, OutputError)) as stream:
            for path in paths:
                if path in self._places:
                    stream.seek(self._places[path][0])
                    found = self._judged(stream.readline(_MOST_LINE))
                    if found is not None:
                        yield found

    def _append(self, data: bytes) -> None:
        append_to(self.path, data)
        self._end += len(data)

    def _look(self) -> None:
        with io.BufferedReader(open_regular(self.path, _MOST_BYTES, OutputError)) as stream:
            head = stream.readline(_MOST_LINE)
            if not head.startswith(b'{"form": "print survey '):
                raise OutputError(
                    tr(
                        "“{shown}” is not a survey of ours; choose another name.",
                        shown=shown(self.path),
                    )
                )
            if head.decode("utf-8", "replace").rstrip("\n") != self._head:
                raise OutputError(
                    tr(
                        "The survey in “{shown}” was made for other papers or other settings; go on "
                        "with those, or keep this one under another name.",
                        shown=shown(self.path),
                    )
                )
            at = stream.tell()
            while line := stream.readline(_MOST_LINE):
                found = self._judged(line)
                if found is not None:
                    self._places[found.path] = at, found.stamp
                at += len(line)
        self._end = at
        if not head.endswith(b"\n") or (self._places and not self._ends_in_a_line(at)):
            self._append(b"\n")

    def _ends_in_a_line(self, size: int) -> bool:
        with open_regular(self.path, _MOST_BYTES, OutputError) as stream:
            stream.seek(size - 1)
            return stream.read(1) == b"\n"

    def _judged(self, line: bytes) -> Judged | None:
        """A line's content; None for one that is damaged or not ours."""
        if not line.endswith(b"\n"):
            return None
        try:
            content = json.loads(line)
            rows = tuple(map(tuple, content["rows"]))
            found = Judged(
                str(content["path"]),
                tuple(map(int, content["stamp"])),
                rows,
                str(content["failure"]),
                base64.b64decode(content["thumb"], validate=True),
            )
        except (ValueError, TypeError, KeyError, OverflowError, RecursionError):
            return None
        whole = bool(found.failure) or len(rows) == self._many
        return found if whole and all(map(_is_row, rows)) else None


def _is_row(row: tuple) -> bool:
    return len(row) == len(COLUMNS) and all(
        value is None
        or (type(value) is column.kind and not (isinstance(value, float) and not isfinite(value)))
        for value, column in zip(row, COLUMNS, strict=True)
    )


def stamp_of(path: str) -> tuple[int, ...]:
    """Size and last change of a file; () where there is none."""
    try:
        status = os.stat(path)
    except (OSError, ValueError):
        return ()
    return status.st_size, status.st_mtime_ns
