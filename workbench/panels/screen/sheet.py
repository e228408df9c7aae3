"""Writing the check sheet for the screen as a page of its own."""

from __future__ import annotations

import re
from pathlib import Path

from workbench.figures.screen_sheet import check_sheet_html
from workbench.files import save_new

BARE = (100.0, 0.0, 0.0)  # absolute Lab of the sheet where no paper is chosen


def white_and_name(paper) -> tuple[tuple[float, float, float], str]:
    """What the sheet shows of a paper; a perfect white without one."""
    return (BARE, "") if paper is None else (tuple(paper.white_lab), paper.name)


def write_check_sheet(folder, white_lab, paper_name: str = "") -> Path:
    """Write the sheet for a paper into a folder under a name of its own; returns the path.

    Nothing is ever written over: a number is added where the name is taken.

    Raises
    ------
    OutputError
        for a missing folder, and what the disk refuses.
    """
    words = re.sub(r"[^\w-]+", "-", paper_name).strip("-")[:60]
    stem = f"screen-check-{words}" if words else "screen-check"
    return save_new(folder, stem, ".html", check_sheet_html(white_lab, paper_name).encode())
