"""The command line: `python -m workbench [IMAGE] [--paper PROFILE ...]`, and its commands."""

from __future__ import annotations

import argparse
import os
import sys

from workbench.errors import WorkbenchError
from workbench.files import path_of
from workbench.files.session import Named
from workbench.language import LANGUAGE, LANGUAGES, VARIABLE, tr
from workbench.launch import UsageError

USAGE_CODE = 2  # what argparse uses for a command line it cannot follow
FAILURE_CODE = 1
STOPPED_CODE = 130  # what shells use for a command ended with Ctrl-C

DESCRIPTION = tr("""\
Opens the print-planning desk in JupyterLab in your browser.  Without a picture
it opens on an invented picture and invented papers.  On the first run it
installs the packages it needs, once.""")

EPILOG = tr("""\
other commands:
  python -m workbench run PLAN --to FOLDER
                              write the print file and the job sheet of a saved
                              plan, without a browser
  python -m workbench survey FOLDER --paper PROFILE --to FOLDER
                              judge every picture of a folder on each paper, into
                              a table and a page of thumbnails; run again to go on
  python -m workbench handout NOTEBOOK --to FILE.pdf
                              write a lecture as a handout (or as FILE.html, to
                              take home); --help tells of exercises and answers
  python -m workbench test    install what the tests need and run them all;
                              --quick leaves out what takes long, further words
                              are handed to pytest

A picture that is called like a command is opened as ./test""")


def start(arguments: list[str]) -> int:
    """Open the desk; returns the exit code once the person has ended it.

    Raises UsageError for a file that is not there, LaunchError when the
    packages cannot be installed or the port is taken.
    """
    options = read_options(arguments)
    named = named_files(options)  # before anything slow: a mistyped name is told at once
    if options.present is not None:
        return present(options, named)

    from workbench.launch.bootstrap import ensure_packages

    ensure_packages()
    # these need the packages that are there only now
    from workbench.launch.folder import own_notebook
    from workbench.launch.server import serve

    notebook = own_notebook(options.notebook)
    return serve(notebook, named, open_browser=options.browser, port=options.port)


def present(options: argparse.Namespace, named: Named) -> int:
    """Show a notebook, or a panel by its name, as an app; returns the exit code.

    Raises UsageError for what is neither, LaunchError where the packages cannot be had.
    """
    from workbench.launch.presenting import as_notebook, require_app

    with as_notebook(options.present) as notebook:
        require_app()
        # this needs the packages that are there only now
        from workbench.launch.server import serve

        return serve(notebook, named, open_browser=options.browser, port=options.port, present=True)


def test(arguments: list[str]) -> int:
    """Run the tests; returns pytest's exit code."""
    from workbench.launch.bootstrap import ensure_packages

    ensure_packages("test")
    from workbench.launch.testing import run_tests

    return run_tests(arguments)


def run(arguments: list[str]) -> int:
    """Write a saved plan's print file and job sheet; returns the exit code.

    Raises UsageError for a plan that is not there, LaunchError when the packages cannot be
    installed, and whatever `workbench.run.run_plan` raises.
    """
    options = read_run_options(arguments)
    plan = existing_file(options.plan, tr("plan"))

    from workbench.launch.bootstrap import ensure_packages

    ensure_packages()
    # this needs the packages that are there only now
    from workbench.run import run_plan

    try:
        result = run_plan(
            plan,
            options.folder,
            progress=told_in_tenths(),
            overwrite=options.overwrite,
            accept_changes=options.accept_changes,
            name=options.name,
        )
    except WorkbenchError as problem:
        hints = [option for words, option in RUN_HINTS if words in str(problem)]
        if hints:
            raise WorkbenchError(
                tr("{problem} For that, add {options}.", problem=problem, options=" ".join(hints))
            ) from None
        raise
    for sentence in result.sentences:
        print(sentence)
    print(tr("All is in {folder}.", folder=result.plan_path.parent))
    return 0


def survey(arguments: list[str]) -> int:
    """Judge the pictures of a folder on papers; returns the exit code.

    Raises UsageError for files that are not there, and whatever `workbench.survey` raises.
    """
    options = read_survey_options(arguments)
    for profile in options.paper:
        existing_file(profile, tr("profile"))

    from workbench.launch.bootstrap import ensure_packages

    ensure_packages()
    # these need the packages that are there only now
    from workbench.paper import open_paper
    from workbench.surveys import survey

    to = path_of(options.to, UsageError)
    try:
        to.mkdir(parents=True, exist_ok=True)
    except OSError as problem:
        raise UsageError(
            tr("The folder {folder} cannot be made: {reason}.", folder=to, reason=problem.strerror)
        ) from None
    done = survey(
        options.folder,
        [open_paper(profile) for profile in options.paper],
        keep_in=to / "survey.jsonl",
        ppi=options.ppi,
        assume_profile=options.assume,
        progress=told_in_tenths(),
    )
    print(done.sentence)
    for path, why in done.failures[:20]:
        print(f"{path}: {why}")
    print(tr("Table: {path}", path=done.write_csv(to / "survey.csv", overwrite=True)))
    print(tr("Page: {path}", path=done.write_page(to / "survey.html", overwrite=True)))
    return 0


def handout(arguments: list[str]) -> int:
    """Write a lecture as PDF or as a page; returns the exit code.

    Raises UsageError for a notebook that is not there, and what the writers raise.
    """
    options = read_handout_options(arguments)
    notebook = existing_file(options.notebook, tr("notebook"))

    from workbench.launch.bootstrap import ensure_packages

    ensure_packages()
    # these need the packages that are there only now
    from workbench.launch.server import prepare_kernels
    from workbench.lectures.handout import write_handout
    from workbench.lectures.page import write_lecture_page

    prepare_kernels()
    if options.to.lower().endswith((".html", ".htm")):
        written = write_lecture_page(notebook, options.to, overwrite=options.overwrite)
    else:
        written = write_handout(
            notebook,
            options.to,
            sheet=options.sheet,
            answers=options.answers,
            exercises_only=options.exercises,
            overwrite=options.overwrite,
        )
    print(tr("Written: {path}", path=written))
    return 0


# words of a problem -> the option that helps
RUN_HINTS = (
    (tr("allow it to be replaced"), "--overwrite"),
    (tr("accept the change"), "--accept-changes"),
)


def told_in_tenths():
    """A function for progress (0..1) that prints a plain line at each tenth of the work."""
    told = 0

    def progress(share: float) -> None:
        nonlocal told
        # a hair more, so that 0.3 from thirds of tenths is three tenths
        tenths = int(10 * share + 1e-9)
        if tenths > told:
            told = tenths
            print(f"{10 * tenths} %", flush=True)

    return progress


def speak(arguments: list[str]) -> None:
    """Go on in the language that the command line names, of which servers and kernels hear too.

    Much is worded while modules are loaded: for another language than the one in use the
    command is run again.  Raises UsageError for a language that there is not.
    """
    parser = argparse.ArgumentParser(add_help=False, allow_abbrev=False)
    parser.add_argument("--language", nargs="?")
    wanted = parser.parse_known_args(arguments)[0].language
    if wanted is None:
        return
    if wanted not in LANGUAGES:
        raise UsageError(
            tr(
                "The workbench does not speak “{code}”. Give one of these: {languages}.",
                code=wanted,
                languages=_languages(),
            )
        )
    os.environ[VARIABLE] = wanted
    if wanted != LANGUAGE:
        from workbench.launch.bootstrap import run_again

        run_again(sys.executable, arguments)


def _languages() -> str:
    return ", ".join(f"{code} ({name})" for code, name in LANGUAGES.items())


def _add_language(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--language",
        metavar="CODE",
        help=tr(
            "the language of what you read: {languages} (without it: the system's, or else English)",
            languages=_languages(),
        ),
    )


COMMANDS = {"handout": handout, "run": run, "survey": survey, "test": test}


def read_options(arguments: list[str]) -> argparse.Namespace:
    """The command line of the desk as a namespace: image, paper, browser, port, notebook."""
    parser = argparse.ArgumentParser(
        prog="python -m workbench",
        description=DESCRIPTION,
        epilog=EPILOG,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument(
        "image", nargs="?", metavar="IMAGE", help=tr("the picture to plan a print of")
    )
    parser.add_argument(
        "--paper",
        action="append",
        default=[],
        metavar="PROFILE",
        help=tr("the ICC profile of a paper; give --paper again for each further one"),
    )
    parser.add_argument(
        "--notebook",
        metavar="FILE",
        help=tr(
            "the notebook to open the desk in, made if it is not there "
            "(without it: my-desk.ipynb, kept in the notebooks folder)"
        ),
    )
    parser.add_argument(
        "--present",
        metavar="NOTEBOOK",
        help=tr(
            "run a notebook (or show a panel, by its name, such as gamut) and present it, one "
            "idea at a time, without code; its lecture is on the picture and papers named here"
        ),
    )
    parser.add_argument(
        "--no-browser",
        dest="browser",
        action="store_false",
        help=tr("print the address and leave opening it to you"),
    )
    parser.add_argument(
        "--port",
        type=int,
        metavar="N",
        help=tr("the port on this machine (without it: 8888 or the next free one)"),
    )
    _add_language(parser)
    options = parser.parse_args(arguments)
    if options.port is not None and not 1 <= options.port <= 65535:
        raise UsageError(tr("A port is a number from 1 to 65535, not {port}.", port=options.port))
    return options


def read_survey_options(arguments: list[str]) -> argparse.Namespace:
    """The command line of `survey` as a namespace: folder, paper, to, ppi, assume."""
    parser = argparse.ArgumentParser(
        prog="python -m workbench survey",
        description=tr(
            "Judges every picture of a folder, and of those in it, on each paper: a "
            "table (survey.csv), a page of thumbnails (survey.html), and what was found "
            "(survey.jsonl), from which a survey that was stopped goes on."
        ),
    )
    parser.add_argument("folder", metavar="FOLDER", help=tr("the folder with the pictures"))
    parser.add_argument(
        "--paper",
        action="append",
        required=True,
        metavar="PROFILE",
        help=tr("the ICC profile of a paper; give --paper again for each further one"),
    )
    parser.add_argument(
        "--to",
        metavar="FOLDER",
        required=True,
        help=tr("where the files go; made if it is not there"),
    )
    parser.add_argument(
        "--ppi", type=float, help=tr("pixels per inch for which print sizes are given")
    )
    parser.add_argument(
        "--assume",
        metavar="SPACE",
        help=tr("the colour space of pictures that carry no profile, such as sRGB"),
    )
    _add_language(parser)
    return parser.parse_args(arguments)


def read_handout_options(arguments: list[str]) -> argparse.Namespace:
    """The command line of `handout`: notebook, to, sheet, answers, exercises, overwrite."""
    parser = argparse.ArgumentParser(
        prog="python -m workbench handout",
        description=tr(
            "Writes a lecture from its notebook, which is run first where it was saved "
            "without results: as PDF, or as one HTML file that opens without Python or network."
        ),
    )
    parser.add_argument("notebook", metavar="NOTEBOOK", help=tr("the lecture's notebook"))
    parser.add_argument("--to", metavar="FILE", required=True, help=tr("ends in .pdf or .html"))
    parser.add_argument("--sheet", default="A4", help=tr("A4 (without it) or Letter"))
    parser.add_argument("--answers", action="store_true", help=tr("add the answers at the end"))
    parser.add_argument(
        "--exercises", action="store_true", help=tr("the guess and the exercises, and nothing else")
    )
    parser.add_argument("--overwrite", action="store_true", help=tr("replace a file of that name"))
    _add_language(parser)
    return parser.parse_args(arguments)


def read_run_options(arguments: list[str]) -> argparse.Namespace:
    """The command line of `run` as a namespace: plan, folder, name, overwrite, accept_changes."""
    parser = argparse.ArgumentParser(
        prog="python -m workbench run",
        description=tr(
            "Writes the print file of a saved plan with its job sheet (HTML and PDF) "
            "and a copy of the plan, each whole or not at all."
        ),
    )
    parser.add_argument("plan", metavar="PLAN", help=tr("the plan file, saved from the desk"))
    parser.add_argument(
        "--to",
        dest="folder",
        metavar="FOLDER",
        required=True,
        help=tr("where the files go; made if it is not there"),
    )
    parser.add_argument(
        "--name",
        help=tr("of the files, without endings (without it: made from picture and paper)"),
    )
    parser.add_argument(
        "--overwrite",
        action="store_true",
        help=tr("replace files of the same names; the picture itself is never written over"),
    )
    parser.add_argument(
        "--accept-changes",
        action="store_true",
        help=tr("take a picture or profile that has changed since the plan was saved as it is now"),
    )
    _add_language(parser)
    return parser.parse_args(arguments)


def named_files(options: argparse.Namespace) -> Named:
    """The picture and the profiles that the command line names, as absolute paths.

    Raises UsageError for one that is not a file that may be read.
    """
    picture = None if options.image is None else existing_file(options.image, tr("picture"))
    papers = tuple(existing_file(paper, tr("paper profile")) for paper in options.paper)
    return Named(picture, papers)


def existing_file(name: str, what: str) -> str:
    """Absolute path of a readable file; raises UsageError with what is wrong otherwise."""
    path = path_of(name, UsageError).absolute()
    if not path.exists():
        raise UsageError(
            tr("There is no {what} at {path}. Check the name and the folder.", what=what, path=path)
        )
    if not path.is_file():
        raise UsageError(
            tr("{path} is not a file. Give the {what}'s file itself.", path=path, what=what)
        )
    if not os.access(path, os.R_OK):
        raise UsageError(
            tr("The {what} {path} may not be read. Check its permissions.", what=what, path=path)
        )
    return str(path)


def main(arguments: list[str]) -> int:
    """Run the command that the first word names, or else open the desk."""
    command, rest = start, arguments
    if arguments and arguments[0] in COMMANDS:
        command, rest = COMMANDS[arguments[0]], arguments[1:]
    try:
        if command is not test:  # whose words are pytest's
            speak(arguments)
        return command(rest)
    except KeyboardInterrupt:
        print("\n" + tr("Stopped."), file=sys.stderr)
        return STOPPED_CODE
    except WorkbenchError as error:
        print(error, file=sys.stderr)
        return USAGE_CODE if isinstance(error, UsageError) else FAILURE_CODE


def entry() -> int:
    """The command `print-planning`, which does what `python -m workbench` does."""
    return main(sys.argv[1:])
