"""Opening a shelf for a panel: where it lies, and its papers, one entry after another."""

from __future__ import annotations

import os
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from workbench.errors import Cancelled, LibraryError, WorkbenchError
from workbench.library import Problem, Shelf, open_shelf
from workbench.paper import Paper

FOLDER_VARIABLE = "WORKBENCH_SHELF"


@dataclass(frozen=True, eq=False)
class Holdings:
    """A shelf as a panel holds it.

    Attributes
    ----------
    papers : for each of ``shelf.entries`` its paper, or None where it cannot be used.
    problems : all that is amiss, by line.
    """

    shelf: Shelf
    papers: tuple[Paper | None, ...]
    problems: tuple[Problem, ...]

    @property
    def usable(self) -> list[Paper]:
        return [paper for paper in self.papers if paper is not None]


def named_folder() -> Path | None:
    """The folder that the environment names for the shelf; None for the person's own."""
    named = os.environ.get(FOLDER_VARIABLE)
    return Path(named) if named else None


def read_holdings(
    folder=None,
    cancelled: Callable[[], bool] = lambda: False,
    progress: Callable[[float, str], None] = lambda fraction, text: None,
) -> Holdings:
    """Open the shelf in a folder with all its papers; the invented ones where there is none.

    Raises
    ------
    LibraryError
        as `workbench.library.open_shelf`.
    Cancelled
    """
    return held(open_shelf(folder, default=_invented), cancelled, progress)


def held(shelf: Shelf, cancelled=lambda: False, progress=lambda fraction, text: None) -> Holdings:
    """A shelf's papers; quick for those that were opened before."""
    papers, problems = [], list(shelf.problems)
    for number, entry in enumerate(shelf.entries):
        if cancelled():
            raise Cancelled
        progress(number / len(shelf.entries), "Reading the shelf")
        paper = None
        # what is not usable is among the shelf's problems already
        if entry.usable:
            try:
                paper = entry.paper()
            except WorkbenchError as problem:
                problems.append(Problem(str(problem), entry.line, entry.name))
        papers.append(paper)
    problems.sort(key=lambda problem: problem.line or 0)
    return Holdings(shelf, tuple(papers), tuple(problems))


def shelf_papers(folder=None) -> tuple[Paper, ...]:
    """The papers a desk begins with: the shelf's, or the invented ones.

    Parameters
    ----------
    folder : of the shelf; by default the one that the environment names, else the
        person's own.  A shelf that cannot be opened gives the invented papers; its panel
        says what is wrong with it.
    """
    try:
        papers = read_holdings(named_folder() if folder is None else folder).usable
    except LibraryError:
        papers = []
    return tuple(papers) or tuple(_invented())


def _invented():
    from workbench.demo import demo_papers

    return demo_papers()
