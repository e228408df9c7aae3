"""A shelf file taken apart at its ``[[paper]]`` lines, so that one broken entry hides no other."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, field
from functools import lru_cache

from workbench.files.text import clean_text
from workbench.files.toml_text import NotToml, layout, load
from workbench.language import tr

TABLE = "paper"
# a string or an array may hold lines that look like headers; further ahead none is looked for
_MOST_JOINED = 20
# and only for so many entries of a file that is broken through and through
_MOST_BROKEN = 100
# more than any shelf; what follows is one piece that is not read
_MOST_PIECES = 5000
_HEADER = re.compile(
    r"""^\ufeff?[ \t]*(\[\[?)[ \t]*([A-Za-z0-9_-]+|"[^"\\\n]*"|'[^'\n]*')[ \t]*(\.|\]\]?)""",
    re.MULTILINE,
)


@dataclass(frozen=True)
class Problem:
    """Something amiss on a shelf.

    Attributes
    ----------
    sentence : what is wrong and what to do.
    line : of the shelf file, counted from 1; None where it concerns no line.
    name : of the entry concerned, "" for none.
    """

    sentence: str
    line: int | None = None
    name: str = ""

    def __str__(self) -> str:
        return (
            self.sentence
            if self.line is None
            else tr("Line {line}: {sentence}", line=self.line, sentence=self.sentence)
        )


@dataclass(frozen=True)
class Piece:
    """A stretch of the file: what precedes all headers, one paper, or another table.

    Attributes
    ----------
    kind : "head", "paper" or "other".
    start, end : in the file's text.
    line : of its beginning, from 1.
    text : the stretch itself.
    data : its keys and values, or None if it cannot be read; then ``problem`` says why.
    """

    kind: str
    start: int
    end: int
    line: int
    text: str = field(repr=False)
    data: dict | None
    problem: Problem | None = None

    @property
    def said(self) -> dict:
        """Its keys and values; none where it cannot be read."""
        return self.data or {}


@dataclass(frozen=True)
class Pieces:
    """A whole file.

    Attributes
    ----------
    pieces : in order; together they are the text.
    problems : of the pieces, or of the file as a whole.
    valid : the whole file is TOML.
    editable : False where the pieces do not add up to what the whole file says, so that
        changing one as text might change another.
    """

    pieces: tuple[Piece, ...]
    problems: tuple[Problem, ...]
    valid: bool
    editable: bool

    @property
    def papers(self) -> tuple[Piece, ...]:
        return tuple(piece for piece in self.pieces if piece.kind == "paper")


@lru_cache(maxsize=8)
def take_apart(text: str) -> Pieces:
    """Split a shelf file and read each piece by itself; what comes out is not to be changed."""
    cuts = _cuts(text)
    if len(cuts) > _MOST_PIECES:
        return _too_many(text)
    pieces: list[Piece] = []
    index, line = 0, 1
    while index < len(cuts) - 1:
        broken = sum(piece.problem is not None for piece in pieces[-_MOST_BROKEN:])
        most = 1 if broken == _MOST_BROKEN else _MOST_JOINED
        piece, taken = _read_piece(text, cuts, index, line, most)
        pieces.append(piece)
        line += piece.text.count("\n")
        index += taken
    problems = [piece.problem for piece in pieces if piece.problem]
    try:
        whole = load(text)
    except ValueError as problem:
        if not problems:
            problems.append(_problem(problem, text, 1))
        return Pieces(tuple(pieces), tuple(problems), valid=False, editable=True)
    read = [piece.data for piece in pieces if piece.kind == "paper"]
    editable = not problems and same(whole.get(TABLE, []), read)
    if not editable and not problems:
        problems.append(
            Problem(
                tr(
                    "The papers are written in a way that the workbench can read only in part and "
                    "does not change; give each paper its own [[paper]] line with its keys below it."
                )
            )
        )
    return Pieces(tuple(pieces), tuple(problems), True, editable)


def _too_many(text: str) -> Pieces:
    sentence = tr(
        "There are more than {most:,} entries; divide them among several shelves.",
        most=_MOST_PIECES,
    )
    return Pieces((), (Problem(sentence, 1),), valid=False, editable=False)


def same(one, other) -> bool:
    """Whether two values out of TOML say the same: 2 is 2.0, and nan is nan."""
    return _settled(one) == _settled(other)


def _settled(value):
    if isinstance(value, dict):
        return {key: _settled(each) for key, each in value.items()}
    if isinstance(value, (list, tuple)):
        return [_settled(each) for each in value]
    if isinstance(value, float) and math.isnan(value):
        return "nan", "not a number"
    return (type(value).__name__ == "bool", value)


def _cuts(text: str) -> list[tuple[int, str]]:
    """(position, kind) of every piece, and the end."""
    cuts = [(0, "head")]
    for header in _HEADER.finditer(text):
        brackets, key, following = header.groups()
        is_paper = key.strip("\"'") == TABLE
        if is_paper and brackets == "[[" and following == "]]":
            cuts.append((header.start(), "paper"))
        elif not (is_paper and following == "." and cuts[-1][1] == "paper"):
            cuts.append((header.start(), "other"))
    cuts.append((len(text), "end"))
    return cuts


def _read_piece(text: str, cuts, index: int, line: int, most: int) -> tuple[Piece, int]:
    start, kind = cuts[index]
    first: ValueError | None = None
    for taken in range(1, min(most, len(cuts) - 1 - index) + 1):
        end = cuts[index + taken][0]
        part = text[start:end]
        try:
            return Piece(kind, start, end, line, part, _data(kind, part)), taken
        except ValueError as problem:
            first = first or problem
        if not _is_unclosed(part):
            break
    assert first is not None, "at least one part was tried"
    end = cuts[index + 1][0]
    part = text[start:end]
    return Piece(kind, start, end, line, part, None, _problem(first, part, line)), 1


def _data(kind: str, part: str) -> dict:
    data = load(part)
    if kind == "head":
        return data
    if kind == "paper":
        papers = data[TABLE]
        if len(papers) != 1:
            raise ValueError(tr("more than one paper") + " (at line 1, column 1)")
        return papers[0]
    if TABLE in data:
        raise ValueError(
            tr("begin a paper with [[paper]], in two pairs of brackets") + " (at line 1)"
        )
    return data


def _is_unclosed(part: str) -> bool:
    try:
        layout(part)
    except NotToml as problem:
        return problem.unclosed
    return False


def _problem(error: ValueError, part: str, line: int) -> Problem:
    reason = str(error)
    place = re.search(r"\s*\(at line (\d+)[^)]*\)|\s*\(at end of document\)", reason)
    at = int(place.group(1)) if place and place.group(1) else 1
    if place and not place.group(1):
        # what was opened and never closed says more than the end of the file
        try:
            layout(part)
            at = part.rstrip().count("\n") + 1
        except NotToml as problem:
            at = part.count("\n", 0, problem.position) + 1
    if place:
        reason = reason[: place.start()]
    lines = part.split("\n")
    shown = clean_text(lines[min(at, len(lines)) - 1])
    if len(shown) > 60:
        shown = shown[:59] + "…"
    return Problem(
        tr(
            "“{line}” cannot be read ({reason}); mend it in a text editor. The other "
            "entries are not affected.",
            line=shown,
            reason=reason[:1].lower() + reason[1:],
        ),
        line + at - 1,
        _name_in(part),
    )


def _name_in(part: str) -> str:
    """The name that a broken entry seems to have."""
    found = re.search(r"""^[ \t]*name[ \t]*=[ \t]*["'](.*?)["']?[ \t\r]*$""", part, re.MULTILINE)
    return clean_text(found.group(1)) if found else ""
