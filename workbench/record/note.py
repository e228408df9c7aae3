"""A print that was made, as the record keeps it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from datetime import date, datetime
from pathlib import Path
from typing import Any

from workbench.analysis.words import listed
from workbench.errors import FileError, RecordError, WorkbenchError
from workbench.files import file_checksum
from workbench.files.text import clean_text
from workbench.language import tr
from workbench.output.ink import ink_load
from workbench.output.job import PrintJob
from workbench.output.layout import layout_of
from workbench.paper_readings import AnyPaper
from workbench.picture.files import MOST_BYTES
from workbench.picture.picture import Picture
from workbench.planned import Planned

# as records hold it
UNTITLED = "Untitled picture"
RATINGS = (1, 2, 3, 4, 5)
# a note is read by people; plans and measurements are far below this
MOST_LETTERS = 4_000_000


@dataclass(frozen=True)
class PrintNote:
    """One print that was made.  Texts are "" and numbers None where nothing is known.

    Attributes
    ----------
    id : the record's own number; None before it is kept.
    made_on : ISO 8601 date and time with the offset from UTC.
    picture_name, picture_sha256 : of the picture's file.
    paper_name, profile_sha256 : of the paper, and of its profile's bytes.
    printer, media_setting : as in the printer driver's dialog.
    width_mm, height_mm : of the printed picture, without borders and bleed.
    inked_mm2 : area that took ink, bleed included, as large as an average picture's that takes
        as much (see `workbench.output.ink`); None stands for width × height.
    ppi : print pixels per inch.
    intent, black_point_compensation, converts : how colours were brought to the paper.
    file_name, file_sha256 : of the print file.
    edition_number, edition_of : 3 and 10 for "3 of 10".
    ink_ml : ink that this print took.
    verdict, passed, mean_de00 : in a sentence; whether it came out as planned; the mean
        CIEDE2000 from what was planned.
    rating : 1 (poor) .. 5 (excellent), the person's own.
    change_next_time, notes : the person's own words.
    plan_text : the plan as a text file that makes it again.
    measurements : CGATS text of the measured target.
    removed_on : when the note was taken out; it is kept, and can be brought back.
    damage : what of it the record's file holds in a form that cannot be, as a sentence; such
        fields are empty here and are kept in the file as they are.
    """

    id: int | None = None
    made_on: str = ""
    picture_name: str = ""
    picture_sha256: str = ""
    paper_name: str = ""
    profile_sha256: str = ""
    printer: str = ""
    media_setting: str = ""
    width_mm: float | None = None
    height_mm: float | None = None
    inked_mm2: float | None = None
    ppi: float | None = None
    intent: str = ""
    black_point_compensation: bool | None = None
    converts: str = ""
    file_name: str = ""
    file_sha256: str = ""
    edition_number: int | None = None
    edition_of: int | None = None
    ink_ml: float | None = None
    verdict: str = ""
    passed: bool | None = None
    mean_de00: float | None = None
    rating: int | None = None
    change_next_time: str = ""
    notes: str = ""
    plan_text: str = ""
    measurements: str = ""
    removed_on: str = ""
    damage: str = ""

    @property
    def when(self) -> datetime:
        """``made_on`` as a point in time."""
        return datetime.fromisoformat(self.made_on)

    @property
    def edition(self) -> str:
        """Such as "3 of 10", "3", or ""."""
        if self.edition_number is None:
            return ""
        number = str(self.edition_number)
        return (
            number
            if self.edition_of is None
            else tr("{number} of {whole}", number=number, whole=self.edition_of)
        )

    @property
    def area_m2(self) -> float | None:
        """Area that took ink as an average picture does, in m²; None where no size is known."""
        if self.inked_mm2 is not None:
            return self.inked_mm2 / 1e6
        if self.width_mm is None or self.height_mm is None:
            return None
        return self.width_mm * self.height_mm / 1e6

    @property
    def ink_ml_per_m2(self) -> float | None:
        """Ink for a square metre of an average picture; None where ink or size is not known."""
        area = self.area_m2
        return None if self.ink_ml is None or not area else self.ink_ml / area


NAMES = tuple(field.name for field in fields(PrintNote) if field.name != "damage")
# what the record itself sets
OWN = ("id", "removed_on")

_LINES = ("picture_name", "picture_sha256", "paper_name", "profile_sha256", "printer",
          "media_setting", "intent", "converts", "file_name", "file_sha256")  # fmt: skip
_TEXTS = ("verdict", "change_next_time", "notes", "plan_text", "measurements")
SWITCHES = ("black_point_compensation", "passed")
# name -> (what it is called, unit, the least, the most, whole)
_NUMBERS = {
    "width_mm": (tr("width"), "mm", 0.1, 50_000, False),
    "height_mm": (tr("height"), "mm", 0.1, 50_000, False),
    "inked_mm2": (tr("inked area"), "mm²", 0.01, 2.5e9, False),
    "ppi": (tr("resolution"), "ppi", 1, 100_000, False),
    "edition_number": (tr("edition number"), "", 1, 1_000_000, True),
    "edition_of": (tr("size of the edition"), "", 1, 1_000_000, True),
    "ink_ml": (tr("ink"), "ml", 0, 100_000, False),
    "mean_de00": (tr("mean difference"), "CIEDE2000", 0, 1000, False),
    "rating": (tr("rating"), "", RATINGS[0], RATINGS[-1], True),
}


def checked(note: PrintNote) -> PrintNote:
    """The note with every field in its plainest form.

    Names become one clean line; longer texts stay as they are, letter for letter, but for
    what no text file can hold (a zero byte is left out, half a surrogate pair becomes �).

    Raises
    ------
    RecordError
        for what cannot be; the message names the field.
    """
    values = {name: _sound(name, getattr(note, name)) for name in NAMES if name not in OWN}
    note = replace(note, **values)
    if not note.picture_name:
        raise RecordError(tr("A print without a picture cannot be noted; say which picture it is."))
    if note.edition_of is not None and (note.edition_number or 0) > note.edition_of:
        raise RecordError(
            tr(
                "There is no number {edition_number} in an edition of {edition_of}; change one "
                "of the two.",
                edition_number=note.edition_number,
                edition_of=note.edition_of,
            )
        )
    return note


def salvaged(row: Mapping) -> PrintNote:
    """The note of a row as it stands in the file, which may be damaged or anybody's.

    Every field is held to the rules of `checked`; one that does not meet them is left empty
    and named in ``damage``.
    """
    values, lost = {}, []
    for name in NAMES:
        try:
            # an empty time would be taken for now
            if name == "made_on" and not row[name]:
                raise RecordError(tr("There is no time."))
            values[name] = row[name] if name == "id" else _sound(name, row[name])
        except RecordError:
            lost.append(called(name))
            values[name] = _EMPTY[name]
    if not values["picture_name"]:
        values["picture_name"] = UNTITLED
    if not lost:
        return PrintNote(**values)
    damage = tr(
        "This note is damaged: its {lost} cannot be read. It is kept in the record "
        "as it is; what can be read is shown.",
        lost=listed(lost),
    )
    return PrintNote(**values, damage=damage)


def _sound(name: str, value):
    """A field's value in its plainest form; RecordError for what cannot be."""
    if name in _LINES:
        return clean_text(_text(name, value))
    if name in _TEXTS:
        return _storable(_text(name, value))
    if name in SWITCHES:
        return _switch(name, value)
    if name in _NUMBERS:
        return _number(name, value)
    if name == "removed_on" and not value:
        return ""
    return time_text(value)


# what stands for a field that cannot be read; a time that is none sorts as the oldest
_NO_TIME = "1970-01-01T00:00:00+00:00"
_EMPTY = {field.name: field.default for field in fields(PrintNote)} | {
    "made_on": _NO_TIME,
    "removed_on": _NO_TIME,
}


def time_text(value) -> str:
    """A time as ISO text with its offset: now for "", local where no offset is given.

    Takes ISO text, a datetime or a date.  Raises RecordError for anything else.
    """
    if value in ("", None):
        moment = datetime.now()
    elif isinstance(value, datetime):
        moment = value
    elif isinstance(value, date):
        moment = datetime(value.year, value.month, value.day)
    else:
        try:
            moment = datetime.fromisoformat(str(value).strip())
        except ValueError:
            raise RecordError(
                tr(
                    "“{given}” is not a date; type one such as 2026-05-04 or 2026-05-04 14:30.",
                    given=clean_text(str(value)),
                )
            ) from None
    try:
        return (moment if moment.tzinfo else moment.astimezone()).isoformat(timespec="seconds")
    except (ValueError, OverflowError, OSError):
        raise RecordError(
            tr("The year {year} lies outside what the record keeps.", year=moment.year)
        ) from None


def _text(name: str, value) -> str:
    if value is None:
        return ""
    if not isinstance(value, str):
        raise RecordError(
            tr("The {name} must be text, not {value!r}.", name=called(name), value=value)
        )
    if len(value) > MOST_LETTERS:
        raise RecordError(
            tr(
                "The {name} has {count:,} letters; the record keeps at most "
                "{most:,}. Keep it as a file of its own.",
                name=called(name),
                count=len(value),
                most=MOST_LETTERS,
            )
        )
    return value


def _storable(text: str) -> str:
    return text.replace("\0", "").encode("utf-16", "surrogatepass").decode("utf-16", "replace")


def _switch(name: str, value) -> bool | None:
    if value is None or isinstance(value, bool):
        return value
    if value in (0, 1):
        return bool(value)
    raise RecordError(
        tr("The {name} is yes, no or not known, not {value!r}.", name=called(name), value=value)
    )


def _number(name: str, value) -> float | int | None:
    if value is None:
        return None
    title, unit, least, most, whole = _NUMBERS[name]
    unit = f" {unit}" if unit else ""
    try:
        number = math.nan if isinstance(value, (str, bytes, bool)) else float(value)
    except (TypeError, ValueError, OverflowError):
        number = math.nan
    if not least <= number <= most or (whole and number != int(number)):
        given = {"name": title, "least": least, "most": most, "unit": unit, "value": value}
        raise RecordError(
            tr(
                "The {name} is a whole number from {least:g} to {most:,.0f}{unit}, not {value!r}.",
                **given,
            )
            if whole
            else tr(
                "The {name} is a number from {least:g} to {most:,.0f}{unit}, not {value!r}.",
                **given,
            )
        )
    return int(number) if whole else number


def called(name: str) -> str:
    """What a field is called in sentences."""
    return _NUMBERS[name][0] if name in _NUMBERS else name.replace("_", " ")


def note_of(plan: Planned, written=None, verdict=None, **more) -> PrintNote:
    """A note of the print that a plan describes.

    Parameters
    ----------
    plan : a Plan, or anything with attributes of the same names; what it lacks stays
        unknown.
    written : the `WrittenFile` that was printed, or None.
    verdict : the `Verdict` on its measured target, or None.
    more : further fields of `PrintNote`, such as ``plan_text``, ``ink_ml`` or ``notes``;
        they come before what the plan says.

    Returns
    -------
    A PrintNote, not yet kept: see `Record.add`.

    Raises
    ------
    RecordError
        for a field that there is none of, or that cannot be.
    SizeError
        where the plan's numbers do not add up.

    Examples
    --------
    >>> wb.note_of(plan, notes="first try").notes
    'first try'
    """
    unknown = sorted(set(more) - set(NAMES) | set(more) & set(OWN))
    if unknown:
        raise RecordError(
            tr(
                "A note of a print has no “{names}”.",
                names=clean_text(", ".join(unknown)),
            )
        )
    picture, paper = getattr(plan, "picture", None), getattr(plan, "paper", None)
    said = {**_of_paper(paper), **_of_plan(plan, picture)}
    if picture is not None:
        said["picture_name"] = getattr(picture, "name", "") or UNTITLED
        if "picture_sha256" not in more:
            said["picture_sha256"] = picture_sha256(picture)
    if written is not None:
        said |= {
            "file_name": Path(written.path).name,
            "file_sha256": written.checksum,
            "ppi": written.ppi,
        }
    if verdict is not None:
        said |= _of_verdict(verdict)
    return checked(PrintNote(**{**said, **more}))


def _of_paper(paper: AnyPaper | None) -> dict:
    if paper is None:
        return {}
    try:
        checksum = paper.icc.checksum
    except (AttributeError, WorkbenchError):  # known by readings only
        checksum = ""
    return {
        "paper_name": paper.name,
        "profile_sha256": checksum,
        "printer": getattr(paper, "printer", None) or "",
        "media_setting": getattr(paper, "media_setting", None) or "",
    }


def _of_plan(plan: Planned, picture: Picture | None) -> dict:
    said = {
        "intent": getattr(plan, "intent", None) or "",
        "black_point_compensation": getattr(plan, "black_point_compensation", None),
        "converts": getattr(plan, "converts", None) or "",
        "ppi": getattr(plan, "printer_ppi", None) or getattr(plan, "ppi", None),
    }
    size: Any = plan
    if picture is not None and callable(solve := getattr(plan, "print_size", None)):
        size = solve()
    width, height = getattr(size, "width_mm", None), getattr(size, "height_mm", None)
    said |= {"width_mm": width, "height_mm": height}
    bleed = (getattr(plan, "bleed_mm", 0) or 0.0) + (getattr(plan, "bar_depth_mm", 0) or 0.0)
    bleed = 0.0 if getattr(plan, "bleed", None) == "white" else bleed
    load = _load(plan, picture)
    if width and height and (bleed or load != 1):
        said["inked_mm2"] = (width + 2 * bleed) * (height + 2 * bleed) * load
    return said


def _load(plan: Planned, picture: Picture | None) -> float:
    """How heavily the plan's picture is inked; 1 where that cannot be known."""
    if not hasattr(picture, "require_profile"):
        return 1.0
    try:
        job = PrintJob.from_plan(plan, colours=False)
        return max(ink_load(job, layout_of(job)), 1e-3)
    except WorkbenchError:
        return 1.0


def _of_verdict(verdict) -> dict:
    if caveat := getattr(verdict, "caveat", ""):
        # a scan's figures must not stand among measured ones
        return {"verdict": f"{verdict.sentence} {caveat}"}
    return {
        "verdict": verdict.sentence,
        "passed": verdict.passed,
        "mean_de00": verdict.mean,
    }


def picture_sha256(picture: Picture) -> str:
    """SHA-256 of a picture's file; "" for one that has no file, or none any more."""
    path = getattr(picture, "path", None)
    if path is None:
        return ""
    try:
        return file_checksum(path, MOST_BYTES)
    except FileError:
        return ""
