"""Finding notes: words anywhere, without regard to case and accents; papers; times."""

from __future__ import annotations

import re
import sqlite3
import unicodedata
from datetime import datetime

from workbench.errors import WorkbenchError
from workbench.paper_readings import AnyPaper
from workbench.picture.picture import Picture
from workbench.record.note import UNTITLED, picture_sha256, time_text

# fields that a person may remember a word of; plan and measurements repeat the same words
# in every note
SEARCHED = ("picture_name", "paper_name", "printer", "media_setting", "intent", "converts",
            "file_name", "verdict", "change_next_time", "notes")  # fmt: skip
# a note that has not been taken out
KEPT = "ifnull(removed_on, '') = ''"
# functions get bytes, because a damaged text may not be UTF-8
_FOLDED = "folded(CAST(ifnull({}, '') AS BLOB))"
# letters whose stroke or ligature is not a combining mark
_PLAIN = str.maketrans({"ø": "o", "đ": "d", "ł": "l", "æ": "ae", "œ": "oe", "ı": "i", "þ": "th"})
_PHRASE = re.compile(r'"([^"]*)"|“([^”]*)”|(\S+)')


def folded(text: str) -> str:
    """Text without case and accents: "Été À GROẞ" and "ete a gross" become the same."""
    text = text.casefold()
    if text.isascii():
        return text
    parts = unicodedata.normalize("NFKD", text)
    bare = "".join(letter for letter in parts if not unicodedata.combining(letter))
    return bare.casefold().translate(_PLAIN)


def words_of(text: str) -> tuple[str, ...]:
    """The words looked for, folded; what stands in quotation marks is one of them."""
    found = ("".join(each) for each in _PHRASE.findall(text))
    return tuple(word for word in (" ".join(folded(each).split()) for each in found) if word)


class Condition:
    """The WHERE of a query, with its values.

    SQLite's own comparison knows case for A to Z only and no accents, and its LIKE reads
    ``%`` and ``_`` as wildcards; so `folded` does the comparing, as a function of ours
    (`prepare`), and words are taken letter for letter.
    """

    def __init__(self):
        self._tests: list[str] = []
        self.values: list = []
        self._words: tuple[str, ...] = ()

    @property
    def sql(self) -> str:
        return " AND ".join(self._tests) or "1"

    def add(self, test: str, *values) -> None:
        self._tests.append(test)
        self.values += values

    def words(self, text: str) -> None:
        """Every word somewhere among the fields `SEARCHED`, the day or the edition's number."""
        self._words = words_of(text)
        if self._words:
            edition = "ifnull(edition_number || ' of ' || edition_of, '')"
            fields = " || char(10) || ".join(
                (
                    *(f"ifnull({each}, '')" for each in SEARCHED),
                    "ifnull(substr(made_on, 1, 10), '')",
                    edition,
                )
            )
            self.add(f"holds_words(CAST({fields} AS BLOB))")

    def like(self, column: str, text: str) -> None:
        """A field that says the same as a text, but for case and accents."""
        self.add(f"{_FOLDED.format(column)} = ?", folded(text))

    def paper(self, paper: AnyPaper | str) -> None:
        """Prints on a Paper (of its name, or with its profile) or on one of a name."""
        if isinstance(paper, str):
            self.like("paper_name", paper)
            return
        try:
            checksum = paper.icc.checksum
        except (AttributeError, WorkbenchError):
            checksum = None
        same = f"({_FOLDED.format('paper_name')} = ? OR profile_sha256 = ?)"
        self.add(same, folded(paper.name), checksum)

    def picture(self, picture: Picture | str) -> None:
        """Prints of a Picture (its file, or one of its name) or of one of a name.

        Of its name too, because a picture that was retouched or moved is another file and
        still the same picture to its maker.
        """
        if isinstance(picture, str):
            self.like("picture_name", picture)
            return
        checksum = picture_sha256(picture) or None
        name = folded(picture.name or UNTITLED)
        self.add(f"({_FOLDED.format('picture_name')} = ? OR picture_sha256 = ?)", name, checksum)

    def since(self, moment, *, until: bool = False) -> None:
        """From a time on, or before it; as `workbench.record.note.time_text` takes it."""
        self.add(f"made_at_s {'<' if until else '>='} ?", seconds(time_text(moment)))

    def prepare(self, db: sqlite3.Connection) -> None:
        """Give a connection the functions that the condition uses."""
        words = self._words

        def folded_bytes(data: bytes) -> str:
            return folded(data.decode(errors="replace"))

        db.create_function("folded", 1, folded_bytes, deterministic=True)

        def holds_words(data: bytes) -> bool:
            text = " ".join(folded_bytes(data).split())
            return all(word in text for word in words)

        db.create_function("holds_words", 1, holds_words)


def seconds(made_on: str) -> float:
    """Seconds since 1970 of an ISO time with its offset."""
    return datetime.fromisoformat(made_on).timestamp()
