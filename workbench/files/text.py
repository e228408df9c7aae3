"""Text that came with a file, made fit for sentences: it may be anybody's."""

from __future__ import annotations

import unicodedata

from workbench.language import tr

_MOST_TEXT = 200
# they turn the direction of what follows, also outside the text they came in; Unicode
# Standard Annex #9, section 2
_TURNING = frozenset("\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")


def clean_text(text: str) -> str:
    """One line of text without control, format or unassigned characters, at most 200 long.

    Profiles and files are untrusted; what they call themselves ends up in
    sentences.  Escaping for HTML is the panels' business.
    """
    kept = text[: 8 * _MOST_TEXT]
    if not kept.isprintable():
        kept = "".join(" " if unicodedata.category(c)[0] == "C" else c for c in kept)
    return " ".join(kept.split())[:_MOST_TEXT]


def clean_lines(text: str) -> str:
    """Text of several lines without control characters, turned directions and half letters.

    >>> clean_lines("one\\r\\ntwo\\x1b[31m \\u202ethree")
    'one\\ntwo[31m three'
    """
    if text.isprintable():
        return text
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    return "".join(
        c
        for c in text
        if c in "\n\t" or not (c in _TURNING or unicodedata.category(c) in ("Cc", "Cs"))
    )


def shown(path) -> str:
    """A path as sentences show it; the end of a long one, which tells most."""
    text = str(path)
    return clean_text(text if len(text) <= _MOST_TEXT else f"…{text[1 - _MOST_TEXT :]}")


def quoted(text: str) -> str:
    """In the language's quotation marks.

    >>> quoted("A4") in ("“A4”", "„A4“")
    True
    """
    return tr("“{text}”", text=text)


def shown_value(value) -> str:
    """Any value as sentences show it: in quotes, at most 40 characters.

    >>> shown_value(3.5)
    '“3.5”'
    """
    try:
        text = clean_text(str(value))
    except (ValueError, RecursionError):
        # a whole number of thousands of digits, or lists in lists without end
        text = tr("something endless")
    return quoted(f"{text[:40]}…" if len(text) > 41 else text)
