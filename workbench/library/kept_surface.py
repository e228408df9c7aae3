"""A measured surface kept with its paper: a file beside the shelf, and the entry that names it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from workbench import files
from workbench.errors import LibraryError
from workbench.language import tr
from workbench.library.edits import edit_entry
from workbench.library.shelf import Shelf
from workbench.paper import Paper, same_sheet
from workbench.surface.files import SUFFIX, write_surface
from workbench.surface.relief import Surface

FOLDER = "surfaces"


@dataclass(frozen=True, eq=False)
class KeptSurface:
    """Where a surface went.

    Attributes
    ----------
    path : of the surface file.
    paper : the Paper with it.
    on_shelf : whether the shelf's entry names it; otherwise only the Paper does.
    """

    path: Path
    paper: Paper
    on_shelf: bool

    @property
    def sentence(self) -> str:
        """The same in words."""
        name, path = self.paper.name, files.shown(self.path)
        if self.on_shelf:
            return tr(
                "The surface of “{name}” is kept as {path}, and its entry on the shelf names it.",
                name=name,
                path=path,
            )
        return tr(
            "The surface of “{name}” is kept as {path}. The paper is not on the shelf; put it "
            "there, and the surface goes with it.",
            name=name,
            path=path,
        )


def keep_surface(surface: Surface, paper: Paper, shelf: Shelf) -> KeptSurface:
    """Write a surface beside the shelf, and let the paper's entry name it.

    Parameters
    ----------
    surface : as measured.
    paper : that it is of.
    shelf : from `open_shelf`.

    Returns
    -------
    A KeptSurface.  Earlier surfaces of the paper stay where they are.

    Raises
    ------
    LibraryError, WorkbenchError, OutputError
        for a paper without a profile, and where nothing can be written.

    Examples
    --------
    >>> from workbench.library import open_shelf
    >>> kept = keep_surface(wb.surface_of_kind("laid"), papers[0], open_shelf(folder / "shelf"))
    >>> kept.on_shelf, wb.surface_of(kept.paper).kind
    (False, 'laid')
    """
    if not isinstance(paper, Paper):
        raise LibraryError(tr("A surface is kept with a paper that has a profile; choose one."))
    folder = shelf.folder / FOLDER
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as problem:
        raise LibraryError(
            tr(
                "The folder “{path}” cannot be made: {reason}",
                path=files.shown(folder),
                reason=files.why(problem),
            )
        ) from None
    path = files.free_path(folder, paper.name, SUFFIX, lambda path: path.with_suffix(".png"))
    write_surface(surface, path)
    entry = next((each for each in shelf.entries if _is_of(each, paper)), None)
    if entry is not None:
        edit_entry(shelf, entry, surface=f"{FOLDER}/{path.name}")
    return KeptSurface(path, paper.with_details(surface=str(path)), entry is not None)


def _is_of(entry, paper: Paper) -> bool:
    # opened only where the name speaks for it
    return entry.name == paper.name and entry.usable and same_sheet(entry.paper(), paper)
