"""A new plan from the one that was kept with a print, as far as its files are still there."""

from __future__ import annotations

import re
import tempfile
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from workbench.errors import PlanError, RecordError, WorkbenchError
from workbench.files.text import clean_text
from workbench.files.toml_text import literal, load
from workbench.language import tr
from workbench.plan import FILES, Plan
from workbench.plan_file.reading import read_plan
from workbench.plan_file.report import IN_THE_PLAN, line_words

_VERSION = "workbench_plan"
_LINE = re.escape(line_words("@")).replace("@", r"\d+")
_PLACE = re.compile(rf"^(?:{_LINE}(?:, )?)?(?:\[[^\]]*\])?(?:{re.escape(IN_THE_PLAN)})?:\s*")


@dataclass(frozen=True)
class Again:
    """A plan read from a print's note.

    Attributes
    ----------
    plan : with what could be read; the rest has a new plan's values.
    left_out : sentences on what could not be taken over.
    notices : sentences on what was passed over or has changed since.
    has : which of `FILES` were found.
    """

    plan: Plan
    left_out: tuple[str, ...]
    notices: tuple[str, ...]
    has: frozenset[str]


def plan_again(text: str, papers=()) -> Again:
    """The plan of a note, with all of it that can still be had.

    Parameters
    ----------
    text : of the plan, as `workbench.plan_file.plan_text` wrote it.
    papers : at hand; a plan names profiles that lay in no file by their checksums, and
        papers of the shelf are known by them.

    Raises
    ------
    RecordError
        where nothing of it can be read.
    """
    if not text.strip():
        raise RecordError(tr("No plan was kept with this print, so none can be started from it."))
    try:
        data = load(text)
    except ValueError:
        raise RecordError(
            tr("The plan kept with this print is damaged; it cannot be used.")
        ) from None
    notices: list[str] = []
    with tempfile.TemporaryDirectory() as folder:
        _lay_out(data, papers, Path(folder))
        try:
            plan = read_plan(text, folder, accept_changes=True, notices=notices)
        except PlanError:
            return _in_pieces(data, folder)
    has = frozenset(name for name in FILES if getattr(plan, name))
    return Again(plan, (), tuple(map(_bare, notices)), has)


def _lay_out(data: Mapping, papers, folder: Path) -> None:
    """Put profiles of papers at hand where the plan's text looks for them."""
    known = {}
    for paper in papers:
        try:
            known[paper.icc.checksum] = paper.profile
        except (AttributeError, WorkbenchError):  # known by readings only
            continue
    tables = data.get("papers")
    for table in tables if isinstance(tables, list) else ():
        if not isinstance(table, dict):
            continue
        name, profile = table.get("profile"), known.get(str(table.get("profile_sha256")))
        # the text may be anybody's: a plain name only, so that it stays in the folder
        if isinstance(name, str) and profile and re.fullmatch(r"[\w][\w .,()+-]{0,120}", name):
            (folder / name).write_bytes(profile)


def _in_pieces(data: Mapping, folder) -> Again:
    """Each part of the plan by itself, so that one that is gone does not take others along."""
    version = data.get(_VERSION)
    left_out: list[str] = []
    notices: list[str] = []
    has: set[str] = set()
    found, sections = {}, {}

    def read(piece: Mapping):
        return read_plan(_text(version, piece), folder, accept_changes=True, notices=notices)

    # whether it is a plan at all, and of this version
    try:
        read({})
    except PlanError as problem:
        raise RecordError(
            tr("The plan kept with this print cannot be used. {problem}", problem=problem)
        ) from None
    for name, value in data.items():
        if name in (_VERSION, "papers"):
            continue
        try:
            plan = read({name: value})
        except PlanError as problem:
            left_out.append(_gone(name, value, problem))
            continue
        if name == "picture":
            found["picture"] = plan.picture
        else:
            sections[name] = value
    tables = data.get("papers")
    papers = []
    for table in tables if isinstance(tables, list) else ():
        try:
            plan = read({"papers": [table]})
        except PlanError as problem:
            left_out.append(_gone("papers", table, problem))
            continue
        papers += plan.papers
        for role in ("paper", "other_paper"):
            if getattr(plan, role) is not None:
                found[role] = getattr(plan, role)
        if plan.reference is not None and not isinstance(plan.reference, str):
            found["reference"] = plan.reference
    plan = read(sections)
    has = set(found)
    # a plan without a reference says that nothing lay beside the print
    if not any(isinstance(table, dict) and table.get("reference") for table in tables or ()):
        has.add("reference")
    for name, value in found.items():
        setattr(plan, name, value)
    plan.papers = tuple(papers)
    # sections are read twice
    told = tuple(dict.fromkeys(map(_bare, notices)))
    return Again(plan, tuple(left_out), told, frozenset(has))


def _text(version, piece: Mapping) -> str:
    """A plan's text with some of its tables; their keys are plain, as the plan's own are."""
    lines = [f"{_VERSION} = {literal(version)}"] if version is not None else []
    # inline tables may stand wherever tables do
    lines += [f"{literal(str(name))} = {literal(value)}" for name, value in piece.items()]
    return "\n".join(lines) + "\n"


def _gone(name: str, value, problem: PlanError) -> str:
    title = value.get("name") or value.get("file") if isinstance(value, Mapping) else None
    why = " ".join(_bare(each) for each in problem.problems)
    what = clean_text(
        _named(name, clean_text(Path(title).name) if isinstance(title, str) else None)
    )
    return tr("{what} was not taken over: {why}", what=what, why=why)


def _named(name: str, title: str | None) -> str:
    if name == "picture":
        return tr("The picture") if title is None else tr("The picture “{title}”", title=title)
    if name == "papers":
        return tr("A paper") if title is None else tr("The paper “{title}”", title=title)
    if title is None:
        return tr("The part “{name}”", name=name)
    return tr("The part “{name}” “{title}”", name=name, title=title)


def _bare(sentence: str) -> str:
    """A sentence without the line that the person cannot see."""
    return _PLACE.sub("", sentence)
