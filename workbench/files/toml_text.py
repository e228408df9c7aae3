"""Editing one table of TOML as text, so that nothing a person typed beside it is lost.

A value is replaced in place: order, spacing, comments and unknown keys stay.  Source of
the grammar: TOML 1.0.0.  Reading is the standard library's business; what is found
here is only where things stand.
"""

from __future__ import annotations

import math
import re
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from workbench.language import tr

_KEY = re.compile(r"""[A-Za-z0-9_-]+|"(?:[^"\\\n]|\\.)*"|'[^'\n]*'""")
_BLANK = re.compile(r"[ \t]*")
_COMMENT = re.compile(r"#[^\r\n]*")
_LINE_END = re.compile(r"\r?\n|\Z")
# the closing quotes may follow one or two quotes that belong to the text
_STRINGS = (
    re.compile(r'"""(?:\\.|[^\\])*?"""(?!")', re.DOTALL),
    re.compile(r"'''.*?'''(?!')", re.DOTALL),
    re.compile(r'"(?:\\.|[^"\\\n])*"'),
    re.compile(r"'[^'\n]*'"),
)
_SCALAR = re.compile(r"[^#\r\n]+")


class NotToml(ValueError):
    """Text that is not TOML, from ``position`` on; ``unclosed`` if only an end is missing."""

    def __init__(self, position: int, unclosed: bool = False):
        super().__init__(position)
        self.position = position
        self.unclosed = unclosed


@dataclass(frozen=True)
class Assignment:
    """Where a ``key = value`` stands.

    Attributes
    ----------
    table : path of the table it is in, e.g. ("paper",).
    key : its own, perhaps dotted, key.
    start, end : of its lines, the line end included.
    value_start, value_end : of the value.
    inner : the comments inside the value.
    after : the comment behind it on its last line, or "".
    """

    table: tuple[str, ...]
    key: tuple[str, ...]
    start: int
    value_start: int
    value_end: int
    end: int
    inner: tuple[str, ...]
    after: str


@dataclass(frozen=True)
class Layout:
    """All assignments of a text, and its headers as (start, end, path)."""

    assignments: tuple[Assignment, ...]
    headers: tuple[tuple[int, int, tuple[str, ...]], ...]


def layout(text: str) -> Layout:
    """Find headers and assignments.

    Raises
    ------
    NotToml
        where that cannot be done; a text that passes is not thereby valid.
    """
    found, headers = [], []
    table: tuple[str, ...] = ()
    at = 1 if text.startswith("\ufeff") else 0
    while at < len(text):
        start = at
        at = _past(_BLANK, text, at)
        if text.startswith("[", at):
            brackets = 2 if text.startswith("[[", at) else 1
            table, at = _key(text, at + brackets)
            if not text.startswith("]" * brackets, at):
                raise NotToml(start)
            _, at = _rest_of_line(text, at + brackets, start)
            headers.append((start, at, table))
        elif at < len(text) and text[at] not in "#\r\n":
            key, at = _key(text, at)
            if not text.startswith("=", at):
                raise NotToml(start)
            value_start = _past(_BLANK, text, at + 1)
            value_end, inner = _value(text, value_start)
            after, at = _rest_of_line(text, value_end, start)
            found.append(
                Assignment(table, key, start, value_start, value_end, at, tuple(inner), after)
            )
        else:
            _, at = _rest_of_line(text, at, start)
    return Layout(tuple(found), tuple(headers))


def _past(pattern: re.Pattern[str], text: str, at: int) -> int:
    found = pattern.match(text, at)
    return found.end() if found else at


def _rest_of_line(text: str, at: int, start: int) -> tuple[str, int]:
    """The comment, and where the next line begins."""
    at = _past(_BLANK, text, at)
    comment = _COMMENT.match(text, at)
    end = _LINE_END.match(text, comment.end() if comment else at)
    if end is None:
        raise NotToml(start)
    return comment.group() if comment else "", end.end()


def _key(text: str, at: int) -> tuple[tuple[str, ...], int]:
    parts = []
    while True:
        at = _past(_BLANK, text, at)
        part = _KEY.match(text, at)
        if part is None:
            raise NotToml(at)
        parts.append(_plain(part.group()))
        at = _past(_BLANK, text, part.end())
        if not text.startswith(".", at):
            return tuple(parts), at
        at += 1


def _plain(key: str) -> str:
    if key[0] == "'":
        return key[1:-1]
    if key[0] != '"':
        return key
    try:
        return tomllib.loads(f"key = {key}")["key"]
    except tomllib.TOMLDecodeError:
        return key[1:-1]


def _value(text: str, start: int) -> tuple[int, list[str]]:
    """Where the value ends, and the comments within it."""
    if start >= len(text):
        raise NotToml(start)
    if text[start] in "\"'":
        return _string(text, start), []
    if text[start] not in "[{":
        scalar = _SCALAR.match(text, start)
        if scalar is None:
            raise NotToml(start)
        return start + len(scalar.group().rstrip()), []
    at, depth, comments = start, 0, []
    while at < len(text):
        letter = text[at]
        if letter in "\"'":
            at = _string(text, at)
            continue
        if letter == "#":
            end = _past(_COMMENT, text, at)
            comments.append(text[at:end])
            at = end
            continue
        depth += (letter in "[{") - (letter in "]}")
        at += 1
        if depth == 0:
            return at, comments
    raise NotToml(start, unclosed=True)


def _string(text: str, at: int) -> int:
    triple = text[at : at + 3] in ('"""', "'''")
    for pattern in _STRINGS[:2] if triple else _STRINGS[2:]:
        if whole := pattern.match(text, at):
            return whole.end()
    raise NotToml(at, unclosed=triple)


# far beyond what plans and shelves have; readers of TOML recurse, or take minutes, for more
_MOST_PARTS = 20
_MOST_DEPTH = 20
_MARK = re.compile(
    r"[\[\]{}\"'#\n.,=]"
    # whole numbers beyond the 64 bits that TOML promises
    r"|(?<![\w.+-])[+-]?(?:[0-9][0-9_]{19,}(?![\w.-]|[ \t]*=)|0x[0-9A-Fa-f_]{17,}|0[ob][0-7_]{22,})"
)


def load(text: str) -> dict:
    """The keys and values of a TOML text, which may be anybody's.

    Bytes that are not UTF-8 (surrogates, see `workbench.library.shelf`) read as �.

    Raises
    ------
    ValueError
        for what is not TOML, and for keys, lists and whole numbers beyond all measure; it
        says the line as "(at line 3, column 1)".
    """
    text = text.removeprefix("\ufeff").encode(errors="surrogateescape").decode(errors="replace")
    _check_bounds(text)
    return tomllib.loads(text)


def _check_bounds(text: str) -> None:
    """ValueError where a text is too deep to be read; what is broken is left to the reader."""
    at, dots, depth = 0, 0, 0
    while found := _MARK.search(text, at):
        mark, at = found.group(), found.end()
        if mark in "\"'":
            try:
                at = _string(text, found.start())
            except NotToml:
                return
        elif mark == "#":
            at = _past(_COMMENT, text, found.start())
        elif mark == ".":
            dots += 1
        elif len(mark) > 1:
            raise _beyond(tr("a whole number beyond 64 bits"), text, at)
        else:
            depth += (mark in "[{") - (mark in "]}")
            dots = 0
        if dots >= _MOST_PARTS:
            raise _beyond(tr("a key of more than {most} parts", most=_MOST_PARTS), text, at)
        if depth > _MOST_DEPTH:
            raise _beyond(
                tr("more than {most} lists or tables in one another", most=_MOST_DEPTH), text, at
            )


def _beyond(what: str, text: str, at: int) -> ValueError:
    # readers find the place by these words, as those of tomllib
    return ValueError(f"{what} (at line {text.count(chr(10), 0, at) + 1}, column 1)")


def line_end_of(text: str) -> str:
    """The line end that a text uses."""
    first = text.find("\n")
    return "\r\n" if first > 0 and text[first - 1] == "\r" else "\n"


def set_value(text: str, table: str, key: str, literal: str, order: Iterable[str] = ()) -> str:
    """Give a key of the table, whose header begins the text, a new value.

    Parameters
    ----------
    text : valid TOML from the table's header on, with its sub-tables.
    table, key : names, without dots.
    literal : the value as TOML.
    order : keys as they usually follow one another; decides where a new line goes.

    A comment inside a value that is replaced moves above it.
    """
    place = layout(text)
    mine = _mine(place, table, key)
    line_end = line_end_of(text)
    literal = literal.replace("\n", line_end)
    if [each.key for each in mine] == [(key,)] and not _tables(place, table, key):
        old = mine[0]
        above = "".join(f"{comment}{line_end}" for comment in old.inner)
        return (
            text[: old.start]
            + above
            + text[old.start : old.value_start]
            + literal
            + text[old.value_end :]
        )
    text = remove_key(text, table, key)
    place = layout(text)
    order = tuple(order)
    before = set(order[: order.index(key)]) if key in order else set()
    own = [each for each in place.assignments if each.table == (table,)]
    earlier = [each.end for each in own if each.key[0] in before]
    at = max(earlier) if earlier else place.headers[0][1]
    if text[at - 1] != "\n":
        text, at = text[:at] + line_end + text[at:], at + len(line_end)
    return f"{text[:at]}{key} = {literal}{line_end}{text[at:]}"


def remove_key(text: str, table: str, key: str) -> str:
    """Take a key out, in whatever form it was written.

    Lines that carry a comment become comments themselves, so that none is lost.
    """
    place = layout(text)
    spans = [
        (each.start, each.end, bool(each.inner or each.after)) for each in _mine(place, table, key)
    ]
    starts = [start for start, _, _ in place.headers] + [len(text)]
    for start in _tables(place, table, key):
        # a sub-table reaches to the next header
        end = starts[starts.index(start) + 1]
        spans.append((start, end, "#" in text[start:end]))
    for start, end, keep in sorted(spans, reverse=True):
        text = text[:start] + (_commented(text[start:end]) if keep else "") + text[end:]
    return text


def _mine(place: Layout, table: str, key: str) -> list[Assignment]:
    return [each for each in place.assignments if each.table == (table,) and each.key[0] == key]


def _tables(place: Layout, table: str, key: str) -> list[int]:
    return [start for start, _, path in place.headers if path[:2] == (table, key)]


def _commented(lines: str) -> str:
    return "".join(
        line if not line.strip() or line.lstrip().startswith("#") else f"# {line}"
        for line in re.findall(r"[^\n]*\n|[^\n]+\Z", lines)
    )


_ESCAPES = {"\\": "\\\\", "\b": "\\b", "\t": "\\t", "\n": "\\n", "\f": "\\f", "\r": "\\r"}


def _escaped(text: str, keep: str = "") -> str:
    return "".join(
        letter
        if letter in keep
        else _ESCAPES.get(letter)
        or (
            f"\\u{ord(letter):04x}"
            if ord(letter) < 32 or ord(letter) == 127 or letter in "\x85\u2028\u2029"
            else letter
        )
        for letter in text
    )


def literal(value) -> str:
    """A value as TOML: text, bool, whole or finite number, list, or table of these.

    Raises
    ------
    ValueError
        for anything else, and for text that UTF-8 cannot hold.
    """
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int):
        return str(value)
    if isinstance(value, float):
        if not math.isfinite(value):
            raise ValueError("TOML numbers here are finite")
        return str(int(value)) if value.is_integer() and abs(value) < 1e15 else repr(value)
    if isinstance(value, str):
        value.encode()
        # a line that looks like a header would confuse a reader of a broken file
        if "\n" in value and not re.search(r"^[ \t]*\[", value, re.MULTILINE):
            # no three quotes in a row, and none at the end
            body = re.sub(r'"(?="|\Z)', r'\\"', _escaped(value, keep="\n\t"))
            return f'"""\n{body}"""'
        return _quoted(value)
    if isinstance(value, Mapping):
        if not value:
            return "{}"
        return "{ " + ", ".join(f"{_key_text(k)} = {literal(v)}" for k, v in value.items()) + " }"
    if isinstance(value, (list, tuple)):
        return "[" + ", ".join(literal(each) for each in value) + "]"
    raise ValueError(f"{type(value).__name__} is not a TOML value")


def _quoted(text: str) -> str:
    return '"' + _escaped(text).replace('"', '\\"') + '"'


def _key_text(key: str) -> str:
    return key if re.fullmatch(r"[A-Za-z0-9_-]+", key) else _quoted(key)
