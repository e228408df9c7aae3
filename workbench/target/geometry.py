"""Where everything lies on the target's page, in units of one patch and its gap.

Drawing and reading a scan both go by this, so the page may be printed at any size.  The
origin is the upper left of the page, x to the right and y down.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from workbench.target.patches import COLUMNS

# of the pitch; what is left is bare paper between the patches
PATCH = 0.9
MARK = 1.0  # diameter of a corner mark
MARGIN = 0.9  # centre of a corner mark from the edges of the page
_LABEL = 0.75  # room for the row letters and the column numbers
_AROUND = 1.7  # from the page's edge to the labels
_DETAIL_GAP, DETAIL_HEIGHT = 0.7, 1.6
_TITLE = 0.9

#: holes of each corner mark: the number tells which corner it is
MARK_HOLES = (1, 2, 3, 4)  # upper left, upper right, lower right, lower left


@dataclass(frozen=True)
class Geometry:
    """The page of a target with so many patches.

    Attributes
    ----------
    rows, columns : of patches.
    """

    rows: int
    columns: int = COLUMNS

    @property
    def grid(self) -> tuple[float, float]:
        """Upper left of the first patch."""
        return _AROUND + _LABEL, _AROUND + _TITLE + _LABEL

    @property
    def width(self) -> float:
        return self.grid[0] + self.columns + _LABEL + _AROUND

    @property
    def height(self) -> float:
        return self.detail[1] + DETAIL_HEIGHT + _AROUND

    @property
    def marks(self) -> np.ndarray:
        """(4, 2) centres of the corner marks: upper left, then clockwise."""
        left, top = MARGIN, MARGIN
        right, bottom = self.width - MARGIN, self.height - MARGIN
        return np.array([(left, top), (right, top), (right, bottom), (left, bottom)])

    @property
    def detail(self) -> tuple[float, float, float, float]:
        """The field of fine detail: x, y, width, height."""
        x, y = self.grid
        return x, y + self.rows + _DETAIL_GAP, float(self.columns), DETAIL_HEIGHT

    @property
    def title(self) -> tuple[float, float]:
        """Left end and middle of the line above the patches."""
        return self.grid[0], _AROUND + _TITLE / 2 - 0.1

    def patch(self, index: int) -> tuple[float, float, float, float]:
        """x, y, width and height of a patch."""
        x, y = self.grid
        return x + index % self.columns, y + index // self.columns, PATCH, PATCH

    def centres(self, count: int) -> np.ndarray:
        """(count, 2) middles of the patches."""
        boxes = np.array([self.patch(i) for i in range(count)])
        return boxes[:, :2] + boxes[:, 2:] / 2

    def bare(self, steps: int = 24) -> np.ndarray:
        """(m, 2) points of bare paper around the patches, clear of marks and words."""
        left, top = MARGIN, MARGIN
        right, bottom = self.width - MARGIN, self.height - MARGIN
        across = np.linspace(left + MARK, right - MARK, steps)
        down = np.linspace(top + MARK, bottom - MARK, steps)
        return np.concatenate(
            [
                np.stack([across, np.full(steps, top)], 1),
                np.stack([across, np.full(steps, bottom)], 1),
                np.stack([np.full(steps, left), down], 1),
                np.stack([np.full(steps, right), down], 1),
            ]
        )


def geometry_of(target) -> Geometry:
    """The page of a target."""
    return Geometry(rows=-(-len(target) // COLUMNS))
