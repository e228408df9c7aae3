"""Writing the check sheet for the screen as a page of its own."""

from __future__ import annotations

import re
from pathlib import Path

from workbench.errors import OutputError
from workbench.figures.screen_sheet import check_sheet_html
from workbench.files import save_new
from workbench.panels.parts.folders import clean_path


def write_check_sheet(folder, white_lab, paper_name: str = "") -> Path:
    """Write the sheet for a paper into a folder under a name of its own; returns the path.

    Nothing is ever written over: a number is added where the name is taken.

    Raises
    ------
    OutputError
        for no folder, a missing one, and what the disk refuses.
    """
    typed = clean_path(str(folder))
    if not typed:
        raise OutputError("Type the folder that the check sheet is to be written to.")
    words = re.sub(r"[^\w-]+", "-", paper_name).strip("-")[:60]
    stem = f"screen-check-{words}" if words else "screen-check"
    data = check_sheet_html(white_lab, paper_name).encode()
    return save_new(typed, stem, ".html", data)
