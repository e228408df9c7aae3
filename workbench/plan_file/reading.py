"""Opening a plan again.  Its text may be anybody's: nothing in it is taken on trust."""

from __future__ import annotations

import os
from collections.abc import Callable
from functools import partial
from pathlib import Path

import traitlets

from workbench import files
from workbench.analysis.adaptation import REFERENCE_WHITES
from workbench.analysis.viewing import find_display
from workbench.analysis.words import begin_large
from workbench.colour.spaces import RGB_SPACES
from workbench.errors import PlanError
from workbench.files.text import clean_text
from workbench.files.toml_text import load
from workbench.language import tr
from workbench.output.adjust import FORMER, as_adjustments
from workbench.plan import Plan
from workbench.plan_file.beside import unchanged
from workbench.plan_file.fields import ADJUSTMENTS, FIELDS, SECTIONS, shown
from workbench.plan_file.former_names import present_name
from workbench.plan_file.papers import papers_of
from workbench.plan_file.pictures import picture_of
from workbench.plan_file.report import Report
from workbench.plan_file.saving import VERSION

MOST_BYTES = 4 * 2**20
_SEEING = ("reference", "display", "display_profile", "display_profile_sha256")


def open_plan(
    path,
    *,
    accept_changes: bool = False,
    notices: list[str] | None = None,
    progress: Callable[[float], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> Plan:
    """The plan that was saved in a file.

    Parameters
    ----------
    path : of the plan file.
    accept_changes, notices, progress, cancelled : as for `read_plan`.

    Returns
    -------
    A Plan.

    Raises
    ------
    PlanError
        if it cannot be read; see `read_plan`.

    Examples
    --------
    >>> path = wb.save_plan(plan, folder / "opened.toml")
    >>> wb.open_plan(path).ppi
    100.0
    """
    # what the plan names lies beside the file itself, where it is named by a link
    path = Path(os.path.realpath(files.path_of(path, PlanError)))
    data = files.read_regular(path, MOST_BYTES, PlanError)
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise PlanError(
            tr(
                "“{shown}” is not a print plan: it holds bytes that are not text.",
                shown=files.shown(path.name),
            )
        ) from None
    return read_plan(text, path.parent, accept_changes=accept_changes, notices=notices,
                     progress=progress, cancelled=cancelled)  # fmt: skip


def read_plan(
    text: str,
    folder,
    *,
    accept_changes: bool = False,
    notices: list[str] | None = None,
    progress: Callable[[float], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> Plan:
    """The plan that a text describes.

    Parameters
    ----------
    text : of a plan file.
    folder : that its paths are seen from.
    accept_changes : pictures and profiles that have changed since the plan was saved are
        taken as they are now, instead of being a problem.
    notices : sentences are added on what was passed over: unknown keys, papers at hand
        whose profile is missing, changes that were accepted.
    progress : told the share of each large file that was read through, 0..1.
    cancelled : asked meanwhile; true ends the reading with `Cancelled`.

    Raises
    ------
    PlanError
        if it is not a plan, is for a newer workbench, or anything in it makes no sense;
        ``problems`` holds a sentence for each, with key and line.
    """
    folder = Path(os.path.abspath(os.fspath(folder)))
    data = _parsed(text)
    report = Report(text, accept_changes, progress, cancelled)
    _check_version(data)
    values = _fields(data, report)
    values.update(_adjustments(data.get("adjustments"), report))
    values.update(_seeing(data.get("seeing"), folder, report))
    if "picture" in data:
        table = _table(data["picture"], "picture", report)
        values["picture"] = None if table is None else picture_of(table, folder, report)
    if "papers" in data:
        named = "reference" in values
        found = papers_of(data["papers"], folder, report)
        if named and "reference" in found:
            report.problem(
                tr("“reference” is given here and by a paper; leave it in one place."),
                "seeing",
                "reference",
            )
        values.update(found)
    if report.problems:
        raise PlanError(*report.problems)
    if notices is not None:
        notices.extend(report.notices)
    try:
        return Plan(**values)
    except (traitlets.TraitError, OverflowError) as problem:
        raise PlanError(
            tr("The plan makes no sense: {why}", why=clean_text(str(problem)))
        ) from None


def _parsed(text: str) -> dict:
    try:
        return load(text)
    except ValueError as problem:
        said = clean_text(str(problem))
        raise PlanError(
            tr(
                "The plan's text is not whole: {problem}. Mend that line, or save the plan again.",
                problem=begin_large(said),
            )
        ) from None


def _check_version(data: dict) -> None:
    version = data.get("workbench_plan")
    if isinstance(version, bool) or not isinstance(version, int) or version < 1:
        raise PlanError(
            tr(
                "This is not a print plan: such a file has a line “workbench_plan = {version}”.",
                version=VERSION,
            )
        )
    if version > VERSION:
        raise PlanError(
            tr(
                "This plan was saved by a newer workbench, in version {shown} of its form; "
                "this one reads up to version {version}. Bring the workbench up to date.",
                shown=shown(version),
                version=VERSION,
            )
        )


def _table(value, section: str, report: Report) -> dict | None:
    if isinstance(value, dict):
        return value
    report.problem(
        tr("“{section}” is a table, under a line [{section}].", section=section), section
    )
    return None


def _fields(data: dict, report: Report) -> dict:
    """The traits that are plain values; unknown keys and sections become notices."""
    values = {}
    for section, table in data.items():
        if section in ("workbench_plan", "picture", "papers"):
            continue
        if section not in SECTIONS:
            report.notice(
                tr("{shown} is not part of a plan and was passed over.", shown=shown(section)),
                section,
            )
            continue
        table = _table(table, section, report)
        if table is None or section == "adjustments":
            continue
        for key, value in table.items():
            if key in FIELDS and FIELDS[key].section == section:
                found = report.take(
                    lambda key=key, value=value: (_taken(key, value, data, report),),
                    section,
                    key,
                )
                if found is not None:
                    values[key] = found[0]
            elif not (section == "seeing" and key in _SEEING):
                report.notice(
                    tr(
                        "{shown} is not a key of this section and was passed over.",
                        shown=shown(key),
                    ),
                    section,
                    key,
                )
    return values


def _taken(key: str, value, data: dict, report: Report):
    """A value of the file as the plan holds it.  Raises PlanError."""
    decision = FIELDS[key]
    try:
        return decision.check(value)
    except PlanError:
        # the first form of the file took numbers that no answer could do with
        if data["workbench_plan"] > 1:
            raise
        nearest = decision.nearest(value)
        report.notice(
            tr(
                "“{key}” was {shown}, and is {nearest:g} now.",
                key=key,
                shown=shown(value),
                nearest=nearest,
            ),
            decision.section,
            key,
        )
        return nearest


def _adjustments(table, report: Report) -> dict:
    if not isinstance(table, dict):
        # told by `_fields`
        return {}
    values = {}
    for key, value in table.items():
        if key in ADJUSTMENTS:
            take = ADJUSTMENTS[key].check
        elif key in FORMER:
            take = partial(_former, key)
        else:
            report.notice(
                tr("{shown} is not an adjustment and was passed over.", shown=shown(key)),
                "adjustments",
                key,
            )
            continue
        values[key] = report.take(partial(take, value), "adjustments", key)
    if any(value is None for value in values.values()):
        return {}
    adjustments = report.take(partial(as_adjustments, values), "adjustments")
    return {"adjustments": adjustments} if adjustments else {}


def _former(key: str, value):
    """A value of an earlier plan's curve, checked.  Raises OutputError."""
    as_adjustments({key: value})
    return value


def _seeing(table, folder: Path, report: Report) -> dict:
    """Reference white and display, where they are given by name or profile."""
    if not isinstance(table, dict):
        return {}
    values = {}
    for key in _SEEING:
        if key in table and (not isinstance(table[key], str) or not table[key]):
            report.problem(
                tr("“{key}” takes text in quotes, not {shown}.", key=key, shown=shown(table[key])),
                "seeing",
                key,
            )
            return {}
    if (reference := table.get("reference")) is not None:
        reference = present_name(reference)
        if reference in REFERENCE_WHITES:
            values["reference"] = reference
        else:
            names = ", ".join(REFERENCE_WHITES)
            report.problem(
                tr(
                    "“reference” is one of {names}, not {shown}.",
                    names=names,
                    shown=shown(reference),
                ),
                "seeing",
                "reference",
            )
    if "display" in table:
        display = present_name(table["display"])
        if display in RGB_SPACES:
            values["display"] = display
        else:
            report.problem(
                tr(
                    "“display” is one of {listed}, not {shown}.",
                    listed=", ".join(RGB_SPACES),
                    shown=shown(display),
                ),
                "seeing",
                "display",
            )
    elif "display_profile" in table:
        path = folder / table["display_profile"]
        noted = table.get("display_profile_sha256")
        if unchanged(path, noted, "profile", report, "seeing", "display_profile"):
            found = report.take(lambda: find_display(path), "seeing", "display_profile")
            if found is not None:
                values["display"] = path
    return values
