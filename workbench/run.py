"""From a plan to a folder with the print file, its job sheet and the plan, without a browser."""

from __future__ import annotations

import os
from collections.abc import Callable
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from workbench.errors import Cancelled, OutputError, PlanError
from workbench.figures.job_sheet import job_sheet_pdf
from workbench.files import (
    check_target,
    file_stem,
    path_of,
    save_new,
    trouble,
    write_whole,
)
from workbench.files.text import clean_text, quoted
from workbench.language import tr
from workbench.output.job_facts import title_of
from workbench.output.job_sheet import job_sheet
from workbench.output.print_file import WrittenFile, write_print_file
from workbench.output.small_picture import png_of, small_picture
from workbench.output.solved import Solved, solve
from workbench.plan import Plan
from workbench.plan_file import open_plan, save_plan

# so that " job sheet.html" still fits
_NAME_LETTERS = 64
# of the whole, for progress; the rest is the job sheet
_PRINT_FILE = 0.95


@dataclass(frozen=True)
class RunResult:
    """What a run has written.

    Attributes
    ----------
    written : the print file, read back and checked.
    html_path, pdf_path : of the job sheet.
    plan_path : of the plan's copy beside them.
    sentences : what was done and found, for the person.
    """

    written: WrittenFile
    html_path: Path
    pdf_path: Path
    plan_path: Path
    sentences: tuple[str, ...]

    @property
    def paths(self) -> tuple[Path, ...]:
        """Every file written."""
        return self.written.path, self.html_path, self.pdf_path, self.plan_path


def names_for(plan: Plan) -> str:
    """What the files of a plan are called, without endings: picture and paper.

    Raises
    ------
    OutputError
        if there is no picture yet.
    """
    if plan.picture is None:
        raise OutputError(tr("There is no picture to print yet; open one first."))
    name = title_of(plan)
    if plan.paper is not None:
        name = f"{name[: _NAME_LETTERS // 2].strip()} on {plan.paper.name}"
    return _short(name)


def _short(name: str) -> str:
    return file_stem(name, "print", _NAME_LETTERS)


def write_job_sheet(plan: Plan, folder, written: WrittenFile | None = None) -> tuple[Path, Path]:
    """Write the job sheet as HTML and as PDF, each whole or not at all, under names not taken yet.

    Parameters
    ----------
    plan : a Plan.
    folder : to write to; it must exist.
    written : the print file that the sheet is for; it gives its name to the sheet.

    Returns
    -------
    The paths of the HTML and the PDF file.

    Raises
    ------
    OutputError
        if they cannot be written.
    SizeError, ProfileError, PictureError, UntaggedPictureError
        for a plan that does not add up.

    Examples
    --------
    >>> [path.suffix for path in wb.write_job_sheet(plan, folder)]
    ['.html', '.pdf']
    """
    stem = names_for(plan) if written is None else _short(written.path.stem)
    html, pdf = _sheet_files(solve(plan), written)
    html_path = save_new(folder, f"{stem} job sheet", ".html", html)
    try:
        pdf_path = save_new(folder, f"{stem} job sheet", ".pdf", pdf)
    except BaseException:
        html_path.unlink(missing_ok=True)
        raise
    return html_path, pdf_path


def _sheet_files(solved: Solved, written) -> tuple[bytes, bytes]:
    sheet = job_sheet(solved, written)
    pixels = small_picture(solved)
    return sheet.html(png_of(pixels)).encode(), job_sheet_pdf(sheet, pixels)


def run_plan(
    plan: Plan | str | os.PathLike,
    folder,
    *,
    progress: Callable[[float], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
    overwrite: bool = False,
    accept_changes: bool = False,
    name: str | None = None,
) -> RunResult:
    """Write the print file (TIFF), its job sheet and a copy of the plan into a folder.

    Each file is written whole or not at all.  Where the work is cancelled or fails half
    way, the files that this run has already finished are taken away again; files that it
    replaced stay replaced.

    Parameters
    ----------
    plan : a Plan, or the path of a plan file.
    folder : to write to; it is made where it does not exist.
    progress : told the share done, 0..1.
    cancelled : asked between steps; true ends the work with `Cancelled`.
    overwrite : existing files of the same names may be replaced; the picture never is.
    accept_changes : for a plan file: pictures and profiles that have changed since it was
        saved are taken as they are now.
    name : of the files, without endings; by default made from picture and paper.

    Returns
    -------
    What was written, and what was noticed on the way.

    Raises
    ------
    PlanError
        for a plan file that cannot be read, or a plan that cannot be saved.
    OutputError
        if a file cannot be written, or is there already.
    SizeError, PaperError, ProfileError, PictureError, UntaggedPictureError
        for a plan that does not add up.
    Cancelled

    Notes
    -----
    The plan's copy names the papers that have a
    part in it; others at hand are left out.

    Examples
    --------
    >>> saved = wb.save_plan(plan, folder / "again.toml")
    >>> outcome = wb.run_plan(saved, folder / "out")
    >>> sorted({path.suffix for path in (folder / "out").iterdir()})
    ['.html', '.pdf', '.tif', '.toml']
    """
    source: Path | None = None
    notices: list[str] = []
    if not isinstance(plan, Plan):
        source = Path(os.path.abspath(path_of(plan, PlanError)))
        plan = open_plan(
            source, accept_changes=accept_changes, notices=notices, cancelled=cancelled
        )
    stem = names_for(plan) if name is None else _short(name)
    # what does not add up is told before a folder is made
    solved = plan.solved()
    folder, made = _folder(folder)
    done: list[Path] = []
    try:
        targets = _targets(plan, folder, stem, source, overwrite)
        result = _Run(plan, solved, targets, overwrite, done).write(
            source, notices, progress, cancelled
        )
    except BaseException:
        for path in done:
            path.unlink(missing_ok=True)
        for each in made:
            _remove_empty(each)
        raise
    if progress is not None:
        progress(1.0)
    return result


@dataclass
class _Run:
    """One run; ``done`` takes the files that it has added to the folder."""

    plan: Plan
    solved: Solved
    targets: dict[str, Path]
    overwrite: bool
    done: list[Path]

    def write(self, source, notices, progress, cancelled) -> RunResult:
        targets = self.targets

        def go_on() -> None:
            if cancelled is not None and cancelled():
                raise Cancelled

        with self._added("print"):
            written = write_print_file(
                self.solved,
                targets["print"],
                progress=progress and (lambda part: progress(_PRINT_FILE * part)),
                cancelled=cancelled,
                overwrite=self.overwrite,
            )
        go_on()
        html, pdf = _sheet_files(self.solved, written)
        for key, data in (("html", html), ("pdf", pdf)):
            go_on()
            with self._added(key):
                write_whole(targets[key], data, overwrite=self.overwrite)
        go_on()
        names = {key: quoted(clean_text(path.name)) for key, path in targets.items()}
        if _same(source, targets["plan"]):
            kept = tr("{file}: the plan, as it was.", file=names["plan"])
        else:
            kept = tr("{file}: the plan, to print again from.", file=names["plan"])
            with self._added("plan"):
                save_plan(_for_print(self.plan), targets["plan"], overwrite=self.overwrite)
        said = (
            *notices,
            *written.sentences,
            tr("{html} and {pdf}: the job sheet.", html=names["html"], pdf=names["pdf"]),
            kept,
        )
        return RunResult(written, targets["html"], targets["pdf"], targets["plan"], said)

    @contextmanager
    def _added(self, key: str):
        """Note a file as added once it is there, if it was not before."""
        path = self.targets[key]
        before = path.exists()
        yield
        if not before:
            self.done.append(path)


def _for_print(plan: Plan) -> Plan:
    """The plan without papers that only lie at hand, whose profiles need not come along."""
    parts = (plan.paper, plan.other_paper, plan.reference)
    return plan.copy(papers=tuple(p for p in plan.papers if any(p is each for each in parts)))


def _targets(plan: Plan, folder: Path, stem: str, source, overwrite: bool) -> dict[str, Path]:
    """Where each file goes; all are looked at before the first is written."""
    names = {
        "print": f"{stem}.tif",
        "html": f"{stem} job sheet.html",
        "pdf": f"{stem} job sheet.pdf",
        "plan": f"{stem} plan.toml",
    }
    originals = [getattr(plan.picture, "path", None)]
    targets = {}
    for key, name in names.items():
        path = folder / name
        # a plan that is run where it was put stays as it is
        if not (key == "plan" and _same(source, path)):
            path = check_target(path, originals=originals, overwrite=overwrite)
        targets[key] = path
    return targets


def _same(source: Path | None, path: Path) -> bool:
    try:
        return source is not None and os.path.samefile(source, path)
    except OSError:
        return False


def _folder(folder) -> tuple[Path, list[Path]]:
    """The folder, made if it is not there, and all that were made for it, the inmost first."""
    try:
        folder = Path(os.path.abspath(path_of(folder, OutputError)))
        made = [each for each in (folder, *folder.parents) if not each.exists()]
        folder.mkdir(parents=True, exist_ok=True)
    except FileExistsError:
        raise OutputError(
            tr(
                "“{path}” is a file, not a folder; choose another.",
                path=clean_text(str(folder)),
            )
        ) from None
    except OSError as problem:
        raise OutputError(trouble(problem, folder)) from None
    return folder, made


def _remove_empty(folder: Path) -> None:
    try:
        folder.rmdir()
    except OSError:
        # something else has been put there meanwhile
        return
