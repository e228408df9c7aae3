"""What is said of profiles found on the computer."""

from __future__ import annotations

from pathlib import Path

from workbench.analysis.printed_black import DARKEST
from workbench.analysis.words import signed
from workbench.files.text import clean_text
from workbench.library import FoundProfile, ScanReport
from workbench.panels.parts.facts import lab_text
from workbench.panels.parts.text_table import Column
from workbench.panels.shelf.words import volume_words

COLUMNS = (
    Column("", 3, right=True),
    Column("description", 27, least=18),
    Column("white L* a* b*", 15, right=True),
    Column("darkest L* D", 10, right=True),
    Column("volume", 6, right=True, rank=2),
    Column("date", 10, rank=3),
    Column("", 10, rank=1),
)
LEGEND = (
    "White and darkest printable colour are absolute; D is its density, the volume counts thousands of cubic "
    "Lab units, and the date is the profile's own where it has one."
)


def cells(found: FoundProfile, numbers: dict[Path, int]) -> list[str]:
    """One line of the list; ``numbers`` are those of all profiles, by path."""
    facts, date = found.facts, found.created or found.modified
    white = black = volume = ""
    if facts is not None:
        lightness, a, b = facts.white_lab
        white = f"{lightness:5.1f} {signed(a):>4} {signed(b):>4}"
        if not facts.white_is_known:
            white = "not stated"
        black = f"{facts.black_lab[0]:4.1f} {facts.black_density:.2f}"
        volume = f"{facts.gamut_volume / 1000:.0f} k"
    elif found.note:
        white = "no paper"
    mark = {"new": "new", "changed": "changed", "known": ""}[found.status]
    if found.duplicate_of is not None:
        mark = f"same as {numbers.get(found.duplicate_of, '?')}"
    return [
        str(numbers[found.path]), found.description, white, black, volume, f"{date:%Y-%m-%d}", mark,
    ]  # fmt: skip


def found_facts(found: FoundProfile) -> list[tuple[str, str]]:
    """All about one found profile, as (name, value) rows."""
    facts = found.facts
    major, minor = found.version
    rows = [
        ("Profile", f"{found.description}; ICC version {major}.{minor}, {found.space}"),
        ("File", f"{clean_text(str(found.path))}, {found.size_bytes / 1e6:.1f} MB"),
    ]
    dates = [f"file written on {found.modified:%Y-%m-%d}"]
    if found.created is not None:
        dates.insert(0, f"profile made on {found.created:%Y-%m-%d}")
    rows.append(("Dates", "; ".join(dates)))
    if found.duplicate_of is not None:
        rows.append(("The same bytes as", clean_text(str(found.duplicate_of))))
    if found.status == "changed":
        rows.append(("Note", "The file has changed since it was last listed."))
    if facts is not None:
        white = lab_text(facts.white_lab) if facts.white_is_known else "not stated by the profile"
        rows += [
            ("White (absolute)", white),
            (
                f"{DARKEST} (absolute)",
                f"{lab_text(facts.black_lab)}; density {facts.black_density:.2f}",
            ),
            ("Gamut volume", f"{volume_words(facts.gamut_volume)} cubic Lab units (absolute)"),
        ]
    elif found.note:
        rows.append(("Cannot be used as a paper", found.note))
    return rows


def count_words(report: ScanReport) -> str:
    """What a scan came to, in a sentence or two."""
    found = report.found
    text = f"{len(found)} output profile{'' if len(found) == 1 else 's'}"
    notes = []
    if not report.first:
        for status, word in (("new", "new"), ("changed", "changed")):
            if count := sum(each.status == status for each in found):
                notes.append(f"{count} {word} since the last time")
    if count := sum(each.duplicate_of is not None for each in found):
        notes.append(f"{count} of the same bytes as another")
    if notes:
        text += f", {', '.join(notes)}"
    text += f"; {report.others} for screens, cameras and the like are left out."
    if report.gone:
        text += (
            f" {len(report.gone)} listed earlier {'is' if len(report.gone) == 1 else 'are'} gone."
        )
    if not report.complete:
        text += " Not everything was looked at; see below."
    return text
