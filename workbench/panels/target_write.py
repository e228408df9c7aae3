"""Writing the target and its reference under names that are not taken."""

from __future__ import annotations

import itertools
import os
from pathlib import Path

from workbench.errors import OutputError
from workbench.output.compare_file import MOST_NAMES, file_stem
from workbench.panels.parts.folders import clean_path
from workbench.target.draw import WrittenTarget, reference_path, write_target


def free_path(folder, paper_name: str) -> Path:
    """A path for a paper's target in a folder, free together with its reference's.

    Raises
    ------
    OutputError
        for no folder, a missing one, or one that holds too many targets.
    """
    typed = clean_path(str(folder))
    if not typed:
        raise OutputError("Type the folder that the target is to be written to.")
    if not Path(typed).is_dir():
        raise OutputError(f"There is no folder “{typed}”; make it or choose another.")
    stem = file_stem(f"target {paper_name}")
    for number in itertools.islice(itertools.count(1), MOST_NAMES):
        path = Path(typed) / (f"{stem}.tif" if number == 1 else f"{stem}-{number}.tif")
        if not os.path.lexists(path) and not os.path.lexists(reference_path(path)):
            return path
    raise OutputError(f"There are {MOST_NAMES} targets in this folder; choose another.")


def write_to(folder, paper, **how) -> WrittenTarget:
    """Write the target for a paper to a folder; see `write_target`."""
    return write_target(paper, free_path(folder, paper.name), **how)
