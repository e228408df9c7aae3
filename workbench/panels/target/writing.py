"""Writing the target and its reference under names that are not taken."""

from __future__ import annotations

from pathlib import Path

from workbench.errors import OutputError
from workbench.files import free_path
from workbench.panels.parts.folders import clean_path
from workbench.target.draw import WrittenTarget, reference_path, write_target


def target_path(folder, paper_name: str) -> Path:
    """A path for a paper's target in a folder, free together with its reference's.

    Raises
    ------
    OutputError
        for no folder, a missing one, or one that holds too many targets.
    """
    typed = clean_path(str(folder))
    if not typed:
        raise OutputError("Type the folder that the target is to be written to.")
    return free_path(typed, f"target {paper_name}", ".tif", beside=reference_path)


def write_to(folder, paper, **how) -> WrittenTarget:
    """Write the target for a paper to a folder; see `write_target`."""
    return write_target(paper, target_path(folder, paper.name), **how)
