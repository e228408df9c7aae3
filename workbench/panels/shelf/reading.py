"""Opening a shelf for a panel: where it lies, and its papers, one entry after another.

Beside the person's own there may be a shared shelf, a class's for example: its papers follow
the own ones, and nothing is ever written to it.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from workbench.errors import Cancelled, LibraryError, WorkbenchError
from workbench.language import tr
from workbench.library import Problem, Shelf, ShelfEntry, open_shelf
from workbench.paper import Paper

FOLDER_VARIABLE = "WORKBENCH_SHELF"
SHARED_VARIABLE = "WORKBENCH_SHARED_SHELF"


@dataclass(frozen=True, eq=False)
class Holdings:
    """A shelf as a panel holds it.

    Attributes
    ----------
    shelf : the person's own, which changes are made to.
    papers : for each of ``entries`` its paper, or None where it cannot be used.
    problems : all that is amiss, by line.
    shared : the shared shelf, or None; what the own one has by the same name hides its entry.
    """

    shelf: Shelf
    papers: tuple[Paper | None, ...]
    problems: tuple[Problem, ...]
    shared: Shelf | None = None

    @property
    def entries(self) -> tuple[ShelfEntry, ...]:
        """The own ones, then the shared ones."""
        return _entries(self.shelf, self.shared)

    def is_own(self, entry: ShelfEntry) -> bool:
        """Whether it is on the person's own shelf."""
        return any(entry is each for each in self.shelf.entries)

    @property
    def usable(self) -> list[Paper]:
        return [paper for paper in self.papers if paper is not None]


def named_folder() -> Path | None:
    """The folder that the environment names for the shelf; None for the person's own."""
    named = os.environ.get(FOLDER_VARIABLE)
    return Path(named) if named else None


def shared_shelf() -> Shelf | None:
    """The shelf in the folder that the environment names as shared, None where it names none.

    Raises
    ------
    LibraryError
        if it cannot be read.
    """
    named = os.environ.get(SHARED_VARIABLE)
    if not named:
        return None
    shelf = open_shelf(named)
    if not shelf.entries and not shelf.problems:
        raise LibraryError(tr("The shared shelf “{path}” is not there, or empty.", path=shelf.path))
    return shelf


def starting_papers() -> tuple[Paper, ...]:
    """What a shelf begins with: the invented papers, where nothing is shared."""
    from workbench.demo import demo_papers

    return () if os.environ.get(SHARED_VARIABLE) else demo_papers()


def _entries(shelf: Shelf, shared: Shelf | None) -> tuple[ShelfEntry, ...]:
    own = {entry.name for entry in shelf.entries}
    others = () if shared is None else shared.entries
    return (*shelf.entries, *(entry for entry in others if entry.name not in own))


def read_holdings(
    folder=None,
    cancelled: Callable[[], bool] = lambda: False,
    progress: Callable[[float, str], None] = lambda fraction, text: None,
) -> Holdings:
    """Open the shelf in a folder with all its papers, and the shared one; the invented papers
    where there is neither.

    Raises
    ------
    LibraryError
        as `workbench.library.open_shelf`.
    Cancelled
    """
    shelf, shared, amiss = open_shelf(folder, default=starting_papers), None, []
    try:
        shared = shared_shelf()
    except LibraryError as problem:
        amiss.append(Problem(str(problem)))
    return held(shelf, shared, amiss, cancelled, progress)


def held(
    shelf: Shelf,
    shared: Shelf | None = None,
    amiss=(),
    cancelled=lambda: False,
    progress=lambda fraction, text: None,
) -> Holdings:
    """A shelf's papers, and those of the shared one; quick for those that were opened before."""
    papers, problems = [], [*shelf.problems, *amiss]
    if shared is not None:
        problems += [
            Problem(tr("On the shared shelf: {problem}", problem=each)) for each in shared.problems
        ]
    entries = _entries(shelf, shared)
    for number, entry in enumerate(entries):
        if cancelled():
            raise Cancelled
        progress(number / len(entries), tr("Reading the shelf"))
        paper = None
        # what is not usable is among the shelf's problems already
        if entry.usable:
            try:
                paper = entry.paper()
            except WorkbenchError as problem:
                problems.append(Problem(str(problem), entry.line, entry.name))
        papers.append(paper)
    problems.sort(key=lambda problem: problem.line or 0)
    return Holdings(shelf, tuple(papers), tuple(problems), shared)


def shelf_papers(folder=None) -> tuple[Paper, ...]:
    """The papers a desk begins with: the own shelf's and the shared one's, or the invented ones.

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
    if papers:
        return tuple(papers)
    from workbench.demo import demo_papers

    return demo_papers()
