"""What the record panel says, and what may be typed into its fields: plain words both ways."""

from __future__ import annotations

import math
import statistics
from dataclasses import dataclass
from datetime import datetime

from workbench.analysis.sheets import area_text
from workbench.analysis.words import INTENT_NAMES
from workbench.decisions.decision import within
from workbench.errors import RecordError
from workbench.files.text import clean_lines
from workbench.language import day, numeral, tr
from workbench.panels.parts.text_table import Column
from workbench.record.note import time_text

YES, NO = "yes", "no"
# in one: "no" alone is another word elsewhere
_PASSED = dict(zip((True, False), tr("yes; no").split("; "), strict=True)) | {None: "–"}
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
        offered=((tr("not judged"), ""), (_PASSED[True], YES), (_PASSED[False], NO)),
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
        how = {"label": words.label, "typed": text}
        if _NUMBERS[key] is int:
            raise RecordError(
                tr("{label}: “{typed}” is not a whole number; type one such as 3.", **how)
            )
        raise RecordError(tr("{label}: “{typed}” is not a number; type one such as 3.", **how))
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
    return numeral(value, ".10g") if key in _NUMBERS else value


def day_text(moment) -> str:
    """Such as "4 May 2026"."""
    return day(moment, f"{moment.day} %B %Y", "yMMMMd")


COLUMNS = (
    Column(tr("made on"), 10),
    Column(tr("picture"), 18, least=12),
    Column(tr("paper"), 18, least=12),
    Column(tr("size"), 14, rank=3),
    Column(tr("edition"), 9, rank=2),
    Column("ΔE00", 5, right=True, rank=1),
    Column(tr("as planned"), 10),
    Column(tr("ink ml"), 6, right=True, rank=4),
)


def cells(note, unit: str, mark: str = "") -> list[str]:
    """One line of the list of prints."""
    return [
        tr("damaged") if note.damage else note.made_on[:10],
        mark + note.picture_name,
        note.paper_name or "–",
        size_text(note, unit) or "–",
        note.edition or "–",
        "–" if note.mean_de00 is None else numeral(note.mean_de00, ".1f"),
        _PASSED[note.passed],
        "–" if note.ink_ml is None else numeral(note.ink_ml, ".3g"),
    ]


def size_text(note, unit: str) -> str:
    """Width by height in the plan's unit; "" where no size is known."""
    if note.width_mm is None or note.height_mm is None:
        return ""
    return area_text(note.width_mm, note.height_mm, unit)


def facts(note, unit: str) -> list[tuple[str, str]]:
    """All that a note says beyond the fields that can be changed, as (name, value)."""
    moment = note.when
    where = note.paper_name or tr("not noted")
    if note.printer:
        where = tr("{paper}, on {printer}", paper=where, printer=note.printer)
    if note.media_setting:
        where = tr("{paper}, set to {setting}", paper=where, setting=note.media_setting)
    size = size_text(note, unit)
    if size and note.ppi:
        size = tr("{size} at {ppi:g} ppi", size=size, ppi=note.ppi)
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
            else tr("{difference:.2f} CIEDE2000", difference=note.mean_de00),
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
        return tr("{intent}, with black point compensation", intent=said)
    return said


def _file(note) -> str:
    if not note.file_name:
        return ""
    if not note.file_sha256:
        return note.file_name
    return tr("{name}, checksum {checksum}…", name=note.file_name, checksum=note.file_sha256[:16])


def _ink(note) -> str:
    if note.ink_ml is None:
        return ""
    if note.ink_ml_per_m2 is None:
        return tr("{ink:.3g} ml", ink=note.ink_ml)
    return tr(
        "{ink:.3g} ml, {per_area:.3g} ml per square metre of an average picture",
        ink=note.ink_ml,
        per_area=note.ink_ml_per_m2,
    )


def count_sentence(total: int, last) -> str:
    """How many prints are noted, and the last of them."""
    if total == 0:
        return tr("No prints noted yet.")
    what = last.picture_name
    if last.paper_name:
        what = tr("{picture} on {paper}", picture=what, paper=last.paper_name)
    day = day_text(last.when)
    if total == 1:
        return tr("1 print noted, the last on {day}: {picture}.", day=day, picture=what)
    return tr(
        "{total:,} prints noted, the last on {day}: {picture}.", total=total, day=day, picture=what
    )


def cost_words(cost) -> tuple[str, str, float | None]:
    """What a print costs, what is not known of it, and its ink in ml."""
    more = [f"{what}: {words}." for what, words in cost.extras]
    return cost.sentence or tr("Not known yet."), " ".join([*more, *cost.unknown]), cost.ink_ml


def listed_words(offset: int, shown: int, count: int, asked: bool, removed: bool) -> str:
    """Which of the prints the list shows."""
    if count == 0:
        if removed:
            return tr("No removed print answers that.") if asked else tr("No removed prints.")
        return tr("No print answers that.") if asked else tr("No prints.")
    if shown == count == 1:
        if removed:
            return tr("1 removed print, the newest first.")
        return tr("1 print, the newest first.")
    if shown == count:
        if removed:
            return tr("{count} removed prints, the newest first.", count=count)
        return tr("{count} prints, the newest first.", count=count)
    which = {"first": offset + 1, "last": offset + shown, "count": count}
    if removed:
        return tr("Removed prints {first} to {last} of {count:,}, the newest first.", **which)
    return tr("Prints {first} to {last} of {count:,}, the newest first.", **which)


def learnt_sentence(ink, ink_of: str) -> str:
    """What the noted prints took, and which ones these are."""
    return tr("Your prints {on_what}: {sentence}", on_what=ink_of, sentence=within(ink.sentence))


def drift_sentence(notes) -> str:
    """The last measured print held against those before it on the same paper; "" for none."""
    measured = sorted((n for n in notes if n.mean_de00 is not None), key=lambda n: n.when)
    if not measured:
        return ""
    last = measured[-1]
    before = [n.mean_de00 for n in measured[:-1] if n.paper_name == last.paper_name]
    on = tr("on this paper")
    if last.paper_name:
        on = tr("on {paper}", paper=last.paper_name)
    how = {"on_paper": on, "last": last.mean_de00}
    if not before:
        return tr(
            "The last measured print {on_paper} was {last:.1f} CIEDE2000 (absolute) off on "
            "average; it is the first.",
            **how,
        )
    usual = statistics.median(before)
    if len(before) == 1:
        return tr(
            "The last measured print {on_paper} was {last:.1f} CIEDE2000 (absolute) off on "
            "average; the median of the print before it was {usual:.1f}.",
            usual=usual,
            **how,
        )
    return tr(
        "The last measured print {on_paper} was {last:.1f} CIEDE2000 (absolute) off on "
        "average; the median of the {count} prints before it was {usual:.1f}.",
        usual=usual,
        count=len(before),
        **how,
    )
