"""What the record panel says, and what may be typed into its fields: plain words both ways."""

from __future__ import annotations

import math
import statistics
from dataclasses import dataclass
from datetime import datetime

from workbench.analysis.sheets import area_text
from workbench.analysis.words import INTENT_NAMES
from workbench.errors import RecordError
from workbench.files.text import clean_lines
from workbench.panels.parts.text_table import Column
from workbench.record.note import time_text

_MONTHS = ("January", "February", "March", "April", "May", "June", "July", "August", "September",
           "October", "November", "December")  # fmt: skip
YES, NO, OPEN = "yes", "no", "not judged"
RATINGS = (
    ("not rated", ""), ("1 – poor", "1"), ("2", "2"), ("3", "3"), ("4", "4"),
    ("5 – excellent", "5"),
)  # fmt: skip


@dataclass(frozen=True)
class FieldWords:
    """How one field of a note is asked for; ``new`` where also before it is kept."""

    key: str
    label: str
    help: str
    unit: str = ""
    placeholder: str = ""
    offered: tuple = ()
    lines: int = 1
    new: bool = True


ASKED = (
    FieldWords(
        "edition_number", "Number in the edition",
        "Which of the edition's prints this is; the one after the last you noted is suggested",
    ),
    FieldWords(
        "edition_of", "Prints in the edition", "How many there will be; empty for an open edition",
        new=False,
    ),
    FieldWords(
        "ink_ml", "Ink used", "As the printer's own count says; the record learns from it what "
        "your papers take", unit="ml",
    ),
    FieldWords(
        "passed", "Came out as planned", "Your own judgement, or the verdict of a measured target",
        offered=((OPEN, ""), (YES, YES), (NO, NO)),
    ),
    FieldWords("rating", "How content", "How content you are with the print", offered=RATINGS),
    FieldWords(
        "made_on", "Made on", "A day such as 2026-05-04, with a time if you like; empty for now",
        placeholder="now",
    ),
    FieldWords(
        "change_next_time", "To change next time",
        "What to do differently when you print this again", lines=2,
    ),
    FieldWords("notes", "Notes", "Anything you want to remember of this print", lines=2),
)  # fmt: skip

_NUMBERS = {"edition_number": int, "edition_of": int, "ink_ml": float, "rating": int}
_UNITS = ("ml", "millilitres", "milliliters")


def typed_value(key: str, text: str):
    """What was typed into a field, as a note takes it.

    Raises
    ------
    RecordError
        for what is not a number or a date; its field is named.
    """
    if key in ("change_next_time", "notes"):
        return text.strip("\n")
    text = text.strip()
    if key == "passed":
        return {YES: True, NO: False}.get(text)
    if key == "made_on":
        try:
            return time_text(text)
        except RecordError as problem:
            raise RecordError(f"Made on: {problem}") from None
    if not text:
        return None
    return _number(key, text)


def _number(key: str, text: str) -> float | int:
    words = next(each for each in ASKED if each.key == key)
    bare = text
    for unit in _UNITS if words.unit else ():
        bare = bare.removesuffix(unit).strip()
    try:
        number = float(bare.replace(",", "."))
    except ValueError:
        number = math.nan
    if not math.isfinite(number) or (_NUMBERS[key] is int and number != int(number)):
        kind = "a whole number" if _NUMBERS[key] is int else "a number"
        raise RecordError(f"{words.label}: “{text}” is not {kind}; type one such as 3.")
    return _NUMBERS[key](number)


def shown_value(key: str, value) -> str:
    """A field's value as it is shown and may be typed."""
    if value is None:
        return ""
    if key == "passed":
        return YES if value else NO
    if key == "made_on":
        # in the time of this place, which is what a time without an offset is read as
        return f"{datetime.fromisoformat(value).astimezone():%Y-%m-%d %H:%M}"
    return f"{value:.10g}" if key in _NUMBERS else value


def day_text(moment) -> str:
    """Such as "4 May 2026"."""
    return f"{moment.day} {_MONTHS[moment.month - 1]} {moment.year}"


COLUMNS = (
    Column("made on", 10),
    Column("picture", 18, least=12),
    Column("paper", 18, least=12),
    Column("size", 14, rank=3),
    Column("edition", 9, rank=2),
    Column("ΔE00", 5, right=True, rank=1),
    Column("as planned", 10),
    Column("ink ml", 6, right=True, rank=4),
)


def cells(note, unit: str, mark: str = "") -> list[str]:
    """One line of the list of prints."""
    return [
        "damaged" if note.damage else note.made_on[:10],
        mark + note.picture_name,
        note.paper_name or "–",
        size_text(note, unit) or "–",
        note.edition or "–",
        "–" if note.mean_de00 is None else f"{note.mean_de00:.1f}",
        {True: "yes", False: "no", None: "–"}[note.passed],
        "–" if note.ink_ml is None else f"{note.ink_ml:.3g}",
    ]


def size_text(note, unit: str) -> str:
    """Width by height in the plan's unit; "" where no size is known."""
    if note.width_mm is None or note.height_mm is None:
        return ""
    return area_text(note.width_mm, note.height_mm, unit)


def facts(note, unit: str) -> list[tuple[str, str]]:
    """All that a note says beyond the fields that can be changed, as (name, value)."""
    moment = note.when
    where = f"{note.paper_name or 'not noted'}"
    for said, before in ((note.printer, ", on "), (note.media_setting, ", set to ")):
        where += f"{before}{said}" if said else ""
    size = size_text(note, unit)
    if size and note.ppi:
        size += f" at {note.ppi:g} ppi"
    rows = [
        ("Damaged", note.damage),
        ("Made on", f"{day_text(moment)}, {moment:%H:%M}"),
        ("Paper", where),
        ("Size of the picture", size),
        ("Edition", note.edition),
        ("Colours", _colours(note)),
        ("Print file", _file(note)),
        ("Verdict", note.verdict),
        (
            "Mean difference (absolute)",
            "" if note.mean_de00 is None else f"{note.mean_de00:.2f} CIEDE2000",
        ),
        ("Measurements", "kept with this print" if note.measurements else ""),
        ("Ink", _ink(note)),
        ("Removed on", note.removed_on[:10]),
    ]
    return [(name, clean_lines(value)) for name, value in rows if value]


def _colours(note) -> str:
    if note.converts == "driver":
        return "converted by the printer driver"
    said = INTENT_NAMES.get(note.intent, note.intent)
    if said and note.black_point_compensation and note.intent != "absolute":
        said += ", with black point compensation"
    return said


def _file(note) -> str:
    if not note.file_name:
        return ""
    return note.file_name + (f", checksum {note.file_sha256[:16]}…" if note.file_sha256 else "")


def _ink(note) -> str:
    if note.ink_ml is None:
        return ""
    each = note.ink_ml_per_m2
    return f"{note.ink_ml:.3g} ml" + ("" if each is None else f", {each:.3g} ml per square metre")


def count_sentence(total: int, last) -> str:
    """How many prints are noted, and the last of them."""
    if total == 0:
        return "No prints noted yet."
    prints = "1 print" if total == 1 else f"{total:,} prints"
    on = f" on {last.paper_name}" if last.paper_name else ""
    return f"{prints} noted, the last on {day_text(last.when)}: {last.picture_name}{on}."


def cost_words(cost) -> tuple[str, str, float | None]:
    """What a print costs, what is not known of it, and its ink in ml."""
    more = [f"{what}: {words}." for what, words in cost.extras]
    return cost.sentence or "Not known yet.", " ".join([*more, *cost.unknown]), cost.ink_ml


def listed_words(offset: int, shown: int, count: int, asked: bool, removed: bool) -> str:
    """Which of the prints the list shows."""
    what = "removed print" if removed else "print"
    if count == 0:
        none = f"No {what} answers that." if asked else f"No {what}s."
        return none
    if shown == count:
        return f"{count} {what}{'' if count == 1 else 's'}, the newest first."
    return f"{what.capitalize()}s {offset + 1} to {offset + shown} of {count:,}, the newest first."


def learnt_sentence(ink, ink_of: str) -> str:
    """What the noted prints took, and which ones these are."""
    return f"Your prints {ink_of}: {ink.sentence[0].lower()}{ink.sentence[1:]}"


def drift_sentence(notes) -> str:
    """The last measured print held against those before it on the same paper; "" for none."""
    measured = sorted((n for n in notes if n.mean_de00 is not None), key=lambda n: n.when)
    if not measured:
        return ""
    last = measured[-1]
    before = [n.mean_de00 for n in measured[:-1] if n.paper_name == last.paper_name]
    on = last.paper_name or "this paper"
    said = f"The last measured print on {on} was {last.mean_de00:.1f} CIEDE2000 (absolute) off on average"
    if not before:
        return f"{said}; it is the first."
    usual = statistics.median(before)
    many = "print" if len(before) == 1 else f"{len(before)} prints"
    return f"{said}; the median of the {many} before it was {usual:.1f}."
