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
from workbench.language import tr
from workbench.panels.parts.text_table import Column
from workbench.record.note import time_text

_MONTHS = (tr("January"), tr("February"), tr("March"), tr("April"), tr("May"), tr("June"), tr("July"), tr("August"), tr("September"),
           tr("October"), tr("November"), tr("December"))  # fmt: skip
YES, NO, OPEN = "yes", "no", tr("not judged")
RATINGS = (
    (tr("not rated"), ""), (tr("1 – poor"), "1"), ("2", "2"), ("3", "3"), ("4", "4"),
    (tr("5 – excellent"), "5"),
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
        "edition_number", tr("Number in the edition"),
        tr("Which of the edition's prints this is; the one after the last you noted is suggested"),
    ),
    FieldWords(
        "edition_of", tr("Prints in the edition"), tr("How many there will be; empty for an open edition"),
        new=False,
    ),
    FieldWords(
        "ink_ml", tr("Ink used"), tr("As the printer's own count says; the record learns from it what "
        "your papers take"), unit="ml",
    ),
    FieldWords(
        "passed", tr("Came out as planned"), tr("Your own judgement, or the verdict of a measured target"),
        offered=((OPEN, ""), (YES, YES), (NO, NO)),
    ),
    FieldWords("rating", tr("How content"), tr("How content you are with the print"), offered=RATINGS),
    FieldWords(
        "made_on", tr("Made on"), tr("A day such as 2026-05-04, with a time if you like; empty for now"),
        placeholder=tr("now"),
    ),
    FieldWords(
        "change_next_time", tr("To change next time"),
        tr("What to do differently when you print this again"), lines=2,
    ),
    FieldWords("notes", tr("Notes"), tr("Anything you want to remember of this print"), lines=2),
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
            raise RecordError(tr("Made on: {problem}", problem=problem)) from None
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
        kind = tr("a whole number") if _NUMBERS[key] is int else tr("a number")
        raise RecordError(
            tr(
                "{label}: “{text_}” is not {kind}; type one such as 3.",
                label=words.label,
                text_=text,
                kind=kind,
            )
        )
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
    Column(tr("made on"), 10),
    Column("picture", 18, least=12),
    Column("paper", 18, least=12),
    Column("size", 14, rank=3),
    Column("edition", 9, rank=2),
    Column("ΔE00", 5, right=True, rank=1),
    Column(tr("as planned"), 10),
    Column(tr("ink ml"), 6, right=True, rank=4),
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
    for said, before in ((note.printer, tr(", on ")), (note.media_setting, tr(", set to "))):
        where += f"{before}{said}" if said else ""
    size = size_text(note, unit)
    if size and note.ppi:
        size += tr(" at {ppi:g} ppi", ppi=note.ppi)
    rows = [
        (tr("Damaged"), note.damage),
        (tr("Made on"), f"{day_text(moment)}, {moment:%H:%M}"),
        (tr("Paper"), where),
        (tr("Size of the picture"), size),
        (tr("Edition"), note.edition),
        (tr("Colours"), _colours(note)),
        (tr("Print file"), _file(note)),
        (tr("Verdict"), note.verdict),
        (
            tr("Mean difference (absolute)"),
            ""
            if note.mean_de00 is None
            else tr("{mean_de00:.2f} CIEDE2000", mean_de00=note.mean_de00),
        ),
        (tr("Measurements"), tr("kept with this print") if note.measurements else ""),
        (tr("Ink"), _ink(note)),
        (tr("Removed on"), note.removed_on[:10]),
    ]
    return [(name, clean_lines(value)) for name, value in rows if value]


def _colours(note) -> str:
    if note.converts == "driver":
        return tr("converted by the printer driver")
    said = INTENT_NAMES.get(note.intent, note.intent)
    if said and note.black_point_compensation and note.intent != "absolute":
        said += tr(", with black point compensation")
    return said


def _file(note) -> str:
    if not note.file_name:
        return ""
    return note.file_name + (
        tr(", checksum {file_sha256}…", file_sha256=note.file_sha256[:16])
        if note.file_sha256
        else ""
    )


def _ink(note) -> str:
    if note.ink_ml is None:
        return ""
    each = note.ink_ml_per_m2
    return tr("{ink_ml:.3g} ml", ink_ml=note.ink_ml) + (
        "" if each is None else tr(", {each:.3g} ml per square metre", each=each)
    )


def count_sentence(total: int, last) -> str:
    """How many prints are noted, and the last of them."""
    if total == 0:
        return tr("No prints noted yet.")
    prints = tr("1 print") if total == 1 else tr("{total:,} prints", total=total)
    on = tr(" on {paper_name}", paper_name=last.paper_name) if last.paper_name else ""
    return tr(
        "{prints} noted, the last on {day_text}: {picture_name}{on}.",
        prints=prints,
        day_text=day_text(last.when),
        picture_name=last.picture_name,
        on=on,
    )


def cost_words(cost) -> tuple[str, str, float | None]:
    """What a print costs, what is not known of it, and its ink in ml."""
    more = [f"{what}: {words}." for what, words in cost.extras]
    return cost.sentence or tr("Not known yet."), " ".join([*more, *cost.unknown]), cost.ink_ml


def listed_words(offset: int, shown: int, count: int, asked: bool, removed: bool) -> str:
    """Which of the prints the list shows."""
    what = tr("removed print") if removed else "print"
    if count == 0:
        none = tr("No {what} answers that.", what=what) if asked else tr("No {what}s.", what=what)
        return none
    if shown == count:
        return tr(
            "{count} {what}{part}, the newest first.",
            count=count,
            what=what,
            part="" if count == 1 else "s",
        )
    return tr(
        "{what}s {offset} to {offset_2} of {count:,}, the newest first.",
        what=what.capitalize(),
        offset=offset + 1,
        offset_2=offset + shown,
        count=count,
    )


def learnt_sentence(ink, ink_of: str) -> str:
    """What the noted prints took, and which ones these are."""
    return tr(
        "Your prints {ink_of}: {sentence}{sentence_2}",
        ink_of=ink_of,
        sentence=ink.sentence[0].lower(),
        sentence_2=ink.sentence[1:],
    )


def drift_sentence(notes) -> str:
    """The last measured print held against those before it on the same paper; "" for none."""
    measured = sorted((n for n in notes if n.mean_de00 is not None), key=lambda n: n.when)
    if not measured:
        return ""
    last = measured[-1]
    before = [n.mean_de00 for n in measured[:-1] if n.paper_name == last.paper_name]
    on = last.paper_name or tr("this paper")
    said = tr(
        "The last measured print on {on} was {mean_de00:.1f} CIEDE2000 (absolute) off on average",
        on=on,
        mean_de00=last.mean_de00,
    )
    if not before:
        return tr("{said}; it is the first.", said=said)
    usual = statistics.median(before)
    many = "print" if len(before) == 1 else tr("{count} prints", count=len(before))
    return tr(
        "{said}; the median of the {many} before it was {usual:.1f}.",
        said=said,
        many=many,
        usual=usual,
    )
