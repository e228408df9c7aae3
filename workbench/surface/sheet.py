"""Which surface a paper has."""

from __future__ import annotations

import os
import weakref

from workbench.characteristics import Known
from workbench.surface.files import SUFFIX, read_surface
from workbench.surface.kinds import KINDS, surface_of_kind
from workbench.surface.relief import Surface

# (finish, texture) -> kind, where a paper says no more; "" stands for any texture
_LIKELY = {
    ("gloss", ""): "gloss",
    ("satin", ""): "pearl",
    ("matte", "heavy texture"): "cold-pressed",
    ("matte", "light texture"): "fine grain",
    ("matte", ""): "smooth",
}
_read: weakref.WeakValueDictionary[tuple, Surface] = weakref.WeakValueDictionary()


def likely_kind(paper: Known) -> str:
    """The kind that a paper's finish, base and texture speak for (common practice, no source)."""
    finish, texture = paper.finish or "", paper.surface_texture or ""
    if paper.base == "canvas":
        return "canvas"
    return _LIKELY.get((finish, texture)) or _LIKELY.get((finish, "")) or "smooth"


def surface_of(paper: Known) -> Surface:
    """A paper's surface.

    Parameters
    ----------
    paper : from `open_paper` or the shelf.  Its ``surface`` is a kind (`KINDS`) or the path
        of a surface file (`write_surface`); without one, finish and texture tell a kind.

    Returns
    -------
    A Surface that says how it is known.

    Raises
    ------
    WorkbenchError
        for a surface that is neither, or files that cannot be read.

    Examples
    --------
    >>> wb.surface_of(papers[0]).kind
    'gloss'
    """
    said = paper.surface or likely_kind(paper)
    if said in KINDS or not said.endswith(SUFFIX):
        return surface_of_kind(said, how_known="invented" if paper.invented else "chosen")
    try:
        status = os.stat(os.path.expanduser(said))
        mark = (said, status.st_mtime_ns, status.st_size)
    except OSError:
        mark = (said, 0, 0)
    # the same object each time, so that what is worked out of it once is kept with it
    return _read.get(mark) or _read.setdefault(mark, read_surface(said))
