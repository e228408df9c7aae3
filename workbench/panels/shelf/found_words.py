"""What is said of profiles found on the computer."""

from __future__ import annotations

from pathlib import Path

from workbench.analysis.words import signed
from workbench.files.text import clean_text
from workbench.language import day, tr
from workbench.library import FoundProfile, ScanReport
from workbench.panels.parts.facts import profile_rows
from workbench.panels.parts.text_table import Column

COLUMNS = (
    Column("", 3, right=True),
    Column(tr("description"), 27, least=18),
    Column(tr("white L* a* b*"), 15, right=True),
    Column(tr("darkest L* D"), 10, right=True),
    Column(tr("volume"), 6, right=True, rank=2),
    Column(tr("date"), 10, rank=3),
    Column("", 10, rank=1),
)
LEGEND = tr(
    "White and darkest printable colour are absolute; D is its density, the volume counts thousands of cubic "
    "Lab units, and the date is the profile's own where it has one."
)


def cells(found: FoundProfile, numbers: dict[Path, int]) -> list[str]:
    """One line of the list; ``numbers`` are those of all profiles, by path."""
    facts, date = found.facts, found.created or found.modified
    white = black = volume = ""
    if facts is not None:
        lightness, a, b = facts.white_lab
        white = tr("{lightness:5.1f} {a:>4} {b:>4}", lightness=lightness, a=signed(a), b=signed(b))
        if not facts.white_is_known:
            white = tr("not stated")
        black = tr(
            "{lightness:4.1f} {density:.2f}",
            lightness=facts.black_lab[0],
            density=facts.black_density,
        )
        volume = tr("{thousands:.0f} k", thousands=facts.gamut_volume / 1000)
    elif found.note:
        white = tr("no paper")
    mark = {"new": tr("new"), "changed": tr("changed"), "known": ""}[found.status]
    if found.duplicate_of is not None:
        mark = tr("same as {number}", number=numbers.get(found.duplicate_of, "?"))
    return [
        str(numbers[found.path]), found.description, white, black, volume, day(date, parts="yMd"), mark,
    ]  # fmt: skip


def found_facts(found: FoundProfile) -> list[tuple[str, str]]:
    """All about one found profile, as (name, value) rows."""
    facts = found.facts
    major, minor = found.version
    rows = [
        (
            tr("Profile"),
            tr(
                "{description}; ICC version {major}.{minor}, {space}",
                description=found.description,
                major=major,
                minor=minor,
                space=found.space,
            ),
        ),
        (
            tr("File"),
            tr(
                "{path}, {size:.1f} MB",
                path=clean_text(str(found.path)),
                size=found.size_bytes / 1e6,
            ),
        ),
    ]
    dates = [tr("file written on {day}", day=day(found.modified))]
    if found.created is not None:
        dates.insert(0, tr("profile made on {day}", day=day(found.created)))
    rows.append((tr("Dates"), "; ".join(dates)))
    if found.duplicate_of is not None:
        rows.append((tr("The same bytes as"), clean_text(str(found.duplicate_of))))
    if found.status == "changed":
        rows.append((tr("Note"), tr("The file has changed since it was last listed.")))
    if facts is not None:
        rows += profile_rows(facts)
    elif found.note:
        rows.append((tr("Cannot be used as a paper"), found.note))
    return rows


def count_words(report: ScanReport) -> str:
    """What a scan came to, in a sentence or two."""
    found = report.found
    text = (
        tr("1 output profile")
        if len(found) == 1
        else tr("{count} output profiles", count=len(found))
    )
    notes = []
    if not report.first:
        if count := sum(each.status == "new" for each in found):
            notes.append(tr("{count} new since the last time", count=count))
        if count := sum(each.status == "changed" for each in found):
            notes.append(tr("{count} changed since the last time", count=count))
    if count := sum(each.duplicate_of is not None for each in found):
        notes.append(tr("{count} of the same bytes as another", count=count))
    said = [
        tr(
            "{profiles}; {others} for screens, cameras and the like are left out.",
            profiles=", ".join([text, *notes]),
            others=report.others,
        )
    ]
    if len(report.gone) == 1:
        said.append(tr("1 listed earlier is gone."))
    elif report.gone:
        said.append(tr("{count} listed earlier are gone.", count=len(report.gone)))
    if not report.complete:
        said.append(tr("Not everything was looked at; see below."))
    return " ".join(said)
