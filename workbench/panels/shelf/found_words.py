"""What is said of profiles found on the computer."""

from __future__ import annotations

from pathlib import Path

from workbench.analysis.printed_black import DARKEST
from workbench.analysis.words import signed
from workbench.files.text import clean_text
from workbench.language import tr
from workbench.library import FoundProfile, ScanReport
from workbench.panels.parts.facts import lab_text
from workbench.panels.parts.text_table import Column
from workbench.panels.shelf.words import volume_words

COLUMNS = (
    Column("", 3, right=True),
    Column("description", 27, least=18),
    Column(tr("white L* a* b*"), 15, right=True),
    Column(tr("darkest L* D"), 10, right=True),
    Column("volume", 6, right=True, rank=2),
    Column("date", 10, rank=3),
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
        white = tr(
            "{lightness:5.1f} {signed:>4} {signed_2:>4}",
            lightness=lightness,
            signed=signed(a),
            signed_2=signed(b),
        )
        if not facts.white_is_known:
            white = tr("not stated")
        black = tr(
            "{black_lab:4.1f} {black_density:.2f}",
            black_lab=facts.black_lab[0],
            black_density=facts.black_density,
        )
        volume = tr("{gamut_volume:.0f} k", gamut_volume=facts.gamut_volume / 1000)
    elif found.note:
        white = tr("no paper")
    mark = {"new": "new", "changed": "changed", "known": ""}[found.status]
    if found.duplicate_of is not None:
        mark = tr("same as {get}", get=numbers.get(found.duplicate_of, "?"))
    return [
        str(numbers[found.path]), found.description, white, black, volume, f"{date:%Y-%m-%d}", mark,
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
                "{clean_text}, {size_bytes:.1f} MB",
                clean_text=clean_text(str(found.path)),
                size_bytes=found.size_bytes / 1000000.0,
            ),
        ),
    ]
    dates = [tr("file written on {modified:%Y-%m-%d}", modified=found.modified)]
    if found.created is not None:
        dates.insert(0, tr("profile made on {created:%Y-%m-%d}", created=found.created))
    rows.append((tr("Dates"), "; ".join(dates)))
    if found.duplicate_of is not None:
        rows.append((tr("The same bytes as"), clean_text(str(found.duplicate_of))))
    if found.status == "changed":
        rows.append((tr("Note"), tr("The file has changed since it was last listed.")))
    if facts is not None:
        white = (
            lab_text(facts.white_lab) if facts.white_is_known else tr("not stated by the profile")
        )
        rows += [
            (tr("White (absolute)"), white),
            (
                tr("{darkest} (absolute)", darkest=DARKEST),
                tr(
                    "{lab_text}; density {black_density:.2f}",
                    lab_text=lab_text(facts.black_lab),
                    black_density=facts.black_density,
                ),
            ),
            (
                tr("Gamut volume"),
                tr("{volume} cubic Lab units (absolute)", volume=volume_words(facts.gamut_volume)),
            ),
        ]
    elif found.note:
        rows.append((tr("Cannot be used as a paper"), found.note))
    return rows


def count_words(report: ScanReport) -> str:
    """What a scan came to, in a sentence or two."""
    found = report.found
    text = tr("{count} output profile{part}", count=len(found), part="" if len(found) == 1 else "s")
    notes = []
    if not report.first:
        for status, word in (("new", "new"), ("changed", "changed")):
            if count := sum(each.status == status for each in found):
                notes.append(tr("{count} {word} since the last time", count=count, word=word))
    if count := sum(each.duplicate_of is not None for each in found):
        notes.append(tr("{count} of the same bytes as another", count=count))
    if notes:
        text += f", {', '.join(notes)}"
    text += tr("; {others} for screens, cameras and the like are left out.", others=report.others)
    if report.gone:
        text += tr(
            " {count} listed earlier {part} gone.",
            count=len(report.gone),
            part="is" if len(report.gone) == 1 else "are",
        )
    if not report.complete:
        text += tr(" Not everything was looked at; see below.")
    return text
