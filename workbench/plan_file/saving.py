"""Writing a plan as text, and saving it whole or not at all."""

from __future__ import annotations

import os
from pathlib import Path

from workbench import files
from workbench.analysis.adaptation import REFERENCE_WHITES
from workbench.analysis.viewing import Display, find_display
from workbench.colour.profile import read_profile
from workbench.colour.spaces import RGB_SPACES, standard_profile
from workbench.errors import PlanError, WorkbenchError
from workbench.files.toml_text import literal
from workbench.language import tr
from workbench.plan import Plan
from workbench.plan_file import papers, pictures
from workbench.plan_file.beside import MOST_BYTES, Beside, path_text
from workbench.plan_file.fields import ADJUSTMENTS, FIELDS, SECTIONS, adjustments_of

VERSION = 2
_ABOUT = tr("""\
A print plan, as the print-planning workbench keeps it.

This is plain TOML, and you may edit it by hand.  Open it from the desk, or print from it
without one:

  python -m workbench run THIS_FILE --to FOLDER

Lengths are in millimetres, resolutions in pixels per inch.  A key that is left out takes
the value a new plan has; one that the workbench does not know is passed over, and you are told.
""")
HEAD = "".join(f"# {line}".rstrip() + "\n" for line in _ABOUT.splitlines())


def plan_text(plan: Plan, folder=None) -> str:
    """A plan as the text of a plan file.

    Parameters
    ----------
    plan : a Plan.
    folder : that the file is meant for; paths near it are written as seen from there.

    Returns
    -------
    TOML.  Profiles and pictures that lie in no file are named as `save_plan` would write
    them beside it.

    Raises
    ------
    PlanError
        for a plan that holds what cannot be saved; the message names it.
    """
    folder = None if folder is None else Path(os.path.abspath(os.fspath(folder)))
    return _text(plan, Beside(folder, write=False))


def save_plan(plan: Plan, path, *, overwrite: bool = False) -> Path:
    """Save a plan whole or not at all.

    Profiles of papers, and pictures that lie in no file, are put beside it under names of
    their own; a file of the same content that is there already is taken, no other is ever
    written over.

    Parameters
    ----------
    plan : a Plan.
    path : of the file, such as "harbour.toml".
    overwrite : an existing file may be replaced; the picture itself never is.

    Returns
    -------
    The file's absolute path.

    Raises
    ------
    PlanError
        for a plan that holds what cannot be saved.
    OutputError
        if the file cannot be written.

    Examples
    --------
    >>> wb.save_plan(plan, folder / "harbour.toml").name
    'harbour.toml'
    """
    originals = [getattr(plan.picture, "path", None)]
    target = files.check_target(path, originals=originals, overwrite=overwrite)
    beside = Beside(target.parent, write=True)
    try:
        data = _text(plan, beside).encode()
        files.write_whole(target, data, overwrite=overwrite)
    except BaseException:
        beside.undo()
        raise
    return target


def _text(plan: Plan, beside: Beside) -> str:
    reference = None
    seeing = {}
    if isinstance(plan.reference, str) and plan.reference in REFERENCE_WHITES:
        seeing["reference"] = (plan.reference, tr("the white that the paper is seen beside"))
    else:
        reference = papers.as_paper(plan.reference, "reference")
    seeing.update(_display(plan.display, beside))
    parts = [f"{HEAD}\nworkbench_plan = {VERSION}\n"]
    if plan.picture is not None:
        values = pictures.picture_values(plan.picture, beside)
        about = pictures.picture_comment(plan.picture)
        rows = {key: (value, pictures.KEYS[key]) for key, value in values.items()}
        parts.append(_section("[picture]", rows, about))
    for table in papers.paper_tables(plan, reference, beside):
        rows = {key: (value, papers.COMMENTS.get(key, "")) for key, value in table.items()}
        parts.append(_section("[[papers]]", rows))
    for section, about in SECTIONS.items():
        rows = dict(seeing) if section == "seeing" else {}
        if section == "adjustments":
            values = adjustments_of(plan)
            rows = {key: (values[key], ADJUSTMENTS[key].comment) for key in values}
        for trait, field in FIELDS.items():
            if field.section != section:
                continue
            value = field.plain(getattr(plan, trait))
            if value is not None:
                rows[trait] = (value, field.comment)
        if rows:
            parts.append(_section(f"[{section}]", rows, about))
    return "\n".join(parts)


def _section(header: str, rows: dict, about: str = "") -> str:
    lines = [f"{header}  # {about}" if about else header]
    for key, (value, comment) in rows.items():
        try:
            text = literal(value)
        except (ValueError, RecursionError):
            raise PlanError(
                tr("“{key}” cannot be saved as {value!r:.60}.", key=key, value=value)
            ) from None
        line = f"{key} = {text}"
        if comment and "\n" not in line:
            line = f"{line:<34}  # {comment}"
        lines.append(line)
    return "\n".join(lines) + "\n"


def _display(display, beside: Beside) -> dict:
    """The rows of [seeing] that say which display shows the proof."""
    about = tr("what shows the proof: a usual space")
    if isinstance(display, Display):
        # a profile may call itself what it is not
        known = display.name in RGB_SPACES and display.profile == standard_profile(display.name)
        display = display.name if known else display.profile
    if isinstance(display, str) and display in RGB_SPACES:
        return {"display": (display, about)}
    try:
        found = find_display(display)
    except WorkbenchError as problem:
        raise PlanError(tr("“display” cannot be saved: {problem}", problem=problem)) from None
    if isinstance(display, (str, os.PathLike)):
        path = files.path_of(display, PlanError).absolute()
        file = path_text(path, beside.folder)
        mark = files.file_checksum(path, MOST_BYTES["profile"], PlanError)
    else:
        name = read_profile(found.profile).description or "display"
        file, mark = beside.profile(found.profile, name), files.checksum(found.profile)
    return {
        "display_profile": (file, tr("profile of what shows the proof")),
        "display_profile_sha256": (mark, tr("of that profile when this plan was saved")),
    }
