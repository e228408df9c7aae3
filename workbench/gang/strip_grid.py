"""How the patches of a test strip are arranged, so that they come out as large as they can."""

from __future__ import annotations

import math
from dataclasses import dataclass

from workbench.analysis.sheets import Sheet

# of the line below a patch, and of the title's
LABEL_MM = 3.6
_TITLE_GAP_MM = 3.0
# patches longer than this show no more and waste the sheet
LONGEST = 1.6


@dataclass(frozen=True)
class Grid:
    """Places of patches on a sheet; all in mm.

    ``columns`` patches lie in a row.  With ``by_crop`` the steps of one part follow each
    other and wrap where the row ends; otherwise all parts of one step do.
    """

    width_mm: float
    height_mm: float
    margin_mm: float
    gap_mm: float
    columns: int
    by_crop: bool
    lines: int
    patch_mm: tuple[float, float]

    def place(self, crop: int, step: int) -> tuple[float, float]:
        """Upper left corner of a patch."""
        first, second = (crop, step) if self.by_crop else (step, crop)
        row, column = first * self.lines + second // self.columns, second % self.columns
        return (
            self.margin_mm + column * (self.patch_mm[0] + self.gap_mm),
            self.margin_mm
            + LABEL_MM
            + _TITLE_GAP_MM
            + row * (self.patch_mm[1] + LABEL_MM + self.gap_mm),
        )


def best_grid(
    sheet: Sheet,
    crops: int,
    steps: int,
    margin_mm: float,
    gap_mm: float,
    largest_mm,
    longest: float,
) -> Grid:
    """The arrangement with the largest patches, whichever way the sheet is turned.

    ``largest_mm`` (width, height) is all there is of a part; a patch is at most
    ``longest`` times as long as wide.
    """
    assert sheet.height_mm is not None, "a strip is laid on a sheet, not on a roll"
    grids = []
    for width, height in ((sheet.width_mm, sheet.height_mm), (sheet.height_mm, sheet.width_mm)):
        for by_crop, first, second in ((True, crops, steps), (False, steps, crops)):
            for columns in range(1, second + 1):
                lines = math.ceil(second / columns)
                rows = first * lines
                across = width - 2 * margin_mm - (columns - 1) * gap_mm
                down = height - 2 * margin_mm - LABEL_MM - _TITLE_GAP_MM
                down -= rows * LABEL_MM + (rows - 1) * gap_mm
                patch = _shaped(across / columns, down / rows, largest_mm, longest)
                grids.append(Grid(width, height, margin_mm, gap_mm, columns, by_crop, lines, patch))
    # the smaller side counts most; then area; then rows that belong to one part, unbroken
    return max(
        grids,
        key=lambda g: (
            round(min(g.patch_mm), 3),
            round(math.prod(g.patch_mm), 3),
            g.by_crop,
            -g.lines,
        ),
    )


def _shaped(width: float, height: float, largest_mm, longest: float) -> tuple[float, float]:
    width, height = min(width, largest_mm[0]), min(height, largest_mm[1])
    if min(width, height) <= 0:
        return 0.0, 0.0
    return min(width, longest * height), min(height, longest * width)
