"""The plan's papers: each once, with what it is for in its own table.

>>> ROLES
{'print_on': 'paper', 'second_paper': 'other_paper', 'reference': 'reference'}
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import fields, replace
from functools import partial
from pathlib import Path
from typing import Any

from workbench import files
from workbench.characteristics import CHARACTERISTICS, UNKNOWN, in_section
from workbench.colour.lab import triple
from workbench.colour.profile import read_profile
from workbench.errors import LibraryError, PlanError, WorkbenchError
from workbench.files.text import clean_text
from workbench.language import tr
from workbench.library.fields import FIELDS, checked, plain
from workbench.paper import Paper, open_paper, require_paper
from workbench.paper_readings import AnyPaper, MeasuredPaper, measured_paper
from workbench.plan import Plan
from workbench.plan_file.beside import Beside, unchanged
from workbench.plan_file.fields import shown
from workbench.plan_file.former_names import present_name
from workbench.plan_file.report import Report
from workbench.readings import Reading, Spectrum, spectral_reading

SECTION = "papers"
#: key of a paper's table -> the plan's trait that holds this paper
ROLES = {"print_on": "paper", "second_paper": "other_paper", "reference": "reference"}
COMMENTS = {
    "print_on": tr("the paper to print on"),
    "second_paper": tr("compared with the one to print on"),
    "reference": tr("the white that the paper is seen beside"),
    "at_hand": tr("false for a paper that is not among those at hand"),
    "profile": tr("its ICC profile, seen from this plan's folder"),
    "profile_sha256": tr("of the profile when this plan was saved"),
}
_READINGS = ("white", "black")
# what a reading's keys say where they are left out
_LEFT_OUT = {"patches": 1, "scatter": 0.0, "largest_scatter": 0.0, "estimated": False,
             "stated": "typed", "chosen_by": ""}  # fmt: skip
_MOST_BANDS = 500
_MOST_PAPERS = 1000
_KNOWN = (*ROLES, "at_hand", *FIELDS, *_READINGS)


def as_paper(value, trait: str):
    """What a trait holds as a paper: itself, or opened from a path or bytes.  Raises PlanError."""
    if value is None or isinstance(value, (Paper, MeasuredPaper)):
        return value
    if isinstance(value, (str, bytes, bytearray, os.PathLike)):
        try:
            return open_paper(value)
        except WorkbenchError as problem:
            raise PlanError(
                tr("“{trait}” cannot be saved: {problem}", trait=trait, problem=problem)
            ) from None
    raise PlanError(
        tr(
            "“{trait}” holds {shown}, which is not a paper; choose one.",
            trait=trait,
            shown=shown(value),
        )
    )


def paper_tables(plan: Plan, reference, beside: Beside) -> list[dict]:
    """A table for each paper of the plan, those at hand first and in their order.

    Parameters
    ----------
    reference : the paper that the plan's white is compared with, or None.
    """
    at_hand = [as_paper(each, "papers") for each in plan.papers]
    held = {
        "print_on": as_paper(plan.paper, "paper"),
        "second_paper": as_paper(plan.other_paper, "other_paper"),
        "reference": reference,
    }
    others: list[AnyPaper] = []
    for paper in held.values():
        if paper is not None and not any(paper is each for each in (*at_hand, *others)):
            others.append(paper)
    tables = []
    for paper in (*at_hand, *others):
        table = {key: True for key, holder in held.items() if holder is paper}
        if any(paper is each for each in others):
            table["at_hand"] = False
        tables.append({**table, **_values(paper, beside)})
    return tables


def _values(paper: AnyPaper, beside: Beside) -> dict:
    try:
        values = {
            key: value
            for key in CHARACTERISTICS
            if (value := checked(key, getattr(paper, key, None))) is not None
        }
    except LibraryError as problem:
        raise PlanError(
            tr("The paper “{name}” cannot be saved: {problem}", name=paper.name, problem=problem)
        ) from None
    if "name" not in values:
        raise PlanError(tr("A paper without a name cannot be saved; give it one."))
    if isinstance(paper, MeasuredPaper):
        readings = {end: _reading_table(getattr(paper, end)) for end in _READINGS}
        values.update({end: table for end, table in readings.items() if table})
    elif not (paper.invented and _has_demo_profile(paper)):
        values["profile"] = beside.profile(paper.profile, paper.name)
        values["profile_sha256"] = files.checksum(paper.profile)
    return {key: plain(key, value) for key, value in values.items()}


def _reading_table(reading: Reading | None) -> dict:
    if reading is None:
        return {}
    return _plain_fields(reading)


def _plain_fields(each) -> dict:
    """A dataclass's fields as TOML has them: lists for tuples, tables for dataclasses."""
    plain_values = {}
    for field in fields(each):
        value = getattr(each, field.name)
        if isinstance(value, Spectrum):
            value = _plain_fields(value)
        if value is not None and value != "":
            plain_values[field.name] = list(value) if isinstance(value, tuple) else value
    return plain_values


def _has_demo_profile(paper: Paper) -> bool:
    known = _demo_paper(paper.name)
    return known is not None and known.profile == paper.profile


def _demo_paper(name: str) -> Paper | None:
    from workbench.demo import demo_papers

    return next((paper for paper in demo_papers() if paper.name == name), None)


def papers_of(tables, folder: Path, report: Report) -> dict:
    """The plan's traits that its papers' tables give: papers, paper, other_paper, reference.

    A paper without a part in the plan whose profile is missing or has changed is left out
    with a notice.
    """
    if not isinstance(tables, list) or not all(isinstance(each, dict) for each in tables):
        report.problem(tr("papers are tables, each under a line [[papers]]."), SECTION)
        return {}
    if len(tables) > _MOST_PAPERS:
        report.problem(tr("a plan holds at most {most} papers.", most=_MOST_PAPERS), SECTION)
        return {}
    found: dict[str, Any] = {}
    at_hand: list[AnyPaper] = []
    for index, table in enumerate(tables):
        table = {present_name(key): value for key, value in table.items()}
        flags = _flags(table, index, report)
        roles = [role for role in ROLES if flags[role]]
        for role in roles:
            if ROLES[role] in found:
                said = tr("two papers have “{role}”; leave it with one.", role=role)
                report.problem(said, SECTION, role, index)
            found[ROLES[role]] = None
        # its own report, because what is amiss with an idle paper stops nothing
        own = replace(report, problems=[], notices=[])
        paper = _paper_of(table, folder, own, index)
        if own.problems and not roles:
            report.notices += [
                tr("{problem} It was left out.", problem=problem) for problem in own.problems
            ]
        elif own.problems:
            report.problems += own.problems
        report.notices += own.notices
        if paper is None:
            continue
        found.update({ROLES[role]: paper for role in roles})
        if flags["at_hand"] and not any(paper is each for each in at_hand):
            at_hand.append(paper)
    given = {trait: paper for trait, paper in found.items() if paper is not None}
    return {"papers": tuple(at_hand), **given}


def _flags(table: dict, index: int, report: Report) -> dict[str, bool]:
    flags = {**dict.fromkeys(ROLES, False), "at_hand": True}
    for key in flags:
        value = table.get(key, flags[key])
        if isinstance(value, bool):
            flags[key] = value
        else:
            report.problem(
                tr("“{key}” is true or false, not {shown}.", key=key, shown=shown(value)),
                SECTION,
                key,
                index,
            )
    return flags


def _paper_of(table: dict, folder: Path, report: Report, index: int):
    values = {}
    for key, value in table.items():
        if key not in _KNOWN:
            report.notice(
                tr("{shown} is not a key of a paper and was passed over.", shown=shown(key)),
                SECTION,
                key,
                index,
            )
        if key in FIELDS:
            values[key] = report.take(
                lambda key=key, value=value: checked(key, value), SECTION, key, index
            )
    name = values.pop("name", None)
    if name is None and not report.problems:
        report.problem(tr("this paper has no name; give it one."), SECTION, "", index)
    if report.problems:
        return None
    details = {key: values[key] for key in UNKNOWN if values.get(key) is not None}
    if "white" in table:
        return report.take(lambda: _measured(name, table, details), SECTION, "white", index)
    if "profile" not in values:
        notice = partial(report.notice, section=SECTION, key="name", index=index)
        return report.take(lambda: _invented(name, details, notice), SECTION, "name", index)
    path = folder / values["profile"]
    noted = values.get("profile_sha256")
    if not unchanged(path, noted, "profile", report, SECTION, "profile", index):
        return None
    return report.take(lambda: _opened(name, path, details), SECTION, "profile", index)


def _opened(name: str, path: Path, details: dict) -> Paper:
    profile = read_profile(path)
    require_paper(profile)
    return Paper(name=name, profile=profile.data, **details)


def _invented(name: str, details: dict, notice) -> Paper:
    if not details.get("invented"):
        raise PlanError(
            tr(
                "“{name}” names no profile, and is not one of the invented papers; add its "
                "profile.",
                name=name,
            )
        )
    from workbench.demo.papers import nearest_demo_paper

    known = nearest_demo_paper(name, **details)
    if known.name != name:
        notice(
            tr(
                "“{name}” is not among the invented papers of this version; “{nearest}”, the "
                "one most like it, takes its place.",
                name=name,
                nearest=known.name,
            )
        )
        # what the person holds and notes stays; the sheet itself is another
        details = {key: details[key] for key in in_section("stock", "own") if key in details}
    paper = replace(known, **details)
    # the same paper stays the same object, so that a choice survives
    same = all(getattr(paper, key) == getattr(known, key) for key in UNKNOWN)
    return known if same else paper


def _measured(name: str, table: Mapping, details: dict) -> MeasuredPaper:
    readings = [_reading(table[end], end) if end in table else None for end in _READINGS]
    return replace(measured_paper(name, *readings), **details)


def _reading(table, end: str) -> Reading:
    wrong = PlanError(
        tr(
            "“{end}” is a reading, {{ lab = [95, 0, -2], patches = 1, … }}, not {shown}.",
            end=end,
            shown=shown(table),
        )
    )
    if not isinstance(table, dict) or not set(table) <= {"lab", "spectrum", *_LEFT_OUT}:
        raise wrong
    given = {**_LEFT_OUT, **table}
    lab = given.pop("lab", None)
    if "spectrum" in given:
        given["spectrum"] = _spectrum(given["spectrum"])
    if not isinstance(lab, list) or len(lab) != 3:
        raise wrong
    numbers = [*lab, given["scatter"], given["largest_scatter"]]
    for number in numbers:
        if isinstance(number, bool) or not isinstance(number, (int, float)):
            raise wrong
        if not -1000 <= number <= 1000:
            raise wrong
    for key in ("patches", "estimated", "stated", "chosen_by"):
        if type(given[key]) is not type(_LEFT_OUT[key]):
            raise wrong
    given["scatter"], given["largest_scatter"] = map(float, numbers[3:])
    given.update({key: clean_text(given[key]) for key in ("stated", "chosen_by")})
    return Reading(lab=triple(lab), **given)


def _spectrum(table) -> Spectrum:
    wrong = PlanError(
        tr("“spectrum” is a table of “wavelengths_nm” and “reflectances”, two lists.")
    )
    if not isinstance(table, dict) or not set(table) <= {field.name for field in fields(Spectrum)}:
        raise wrong
    lists: list[Any] = [table.get("wavelengths_nm"), table.get("reflectances")]
    for each in lists:
        if not isinstance(each, list) or not 1 <= len(each) <= _MOST_BANDS:
            raise wrong
        if any(isinstance(v, bool) or not isinstance(v, (int, float)) for v in each):
            raise wrong
    condition = table.get("condition")
    try:
        wavelengths, reflectances = (tuple(map(float, each)) for each in lists)
        # says what is wrong with the numbers
        spectral_reading(wavelengths, reflectances, condition=condition)
    except OverflowError:
        raise wrong from None
    return Spectrum(wavelengths, reflectances, condition)
