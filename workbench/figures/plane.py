"""A plane of a* and b* with a page over it in CSS pixels, and names beside or under it.

Laid out from the top left corner, so that it can be drawn narrower without shrinking its
type.
"""

from __future__ import annotations

from typing import Any

from workbench.figures.live import LiveFigure
from workbench.figures.style import add_axes, place_again

NARROW_PX = 480  # below this the names stand under the plane


def new_page(figure):
    """Axes over the whole figure in CSS pixels from its top left corner."""
    axes = figure.figure.add_axes((0, 0, 1, 1))
    axes.set_axis_off()
    axes.patch.set_visible(False)
    fit_page(axes, figure.size_px)
    return axes


def fit_page(axes, size_px) -> None:
    """Bring a page's coordinates up to date with the figure's size."""
    axes.set(xlim=(0, size_px[0]), ylim=(size_px[1], 0))


class PlaneFigure(LiveFigure):
    """Base of planes with names.

    A subclass gives its margins, the width of the column of names and ``_height_for``; what
    has to follow the size is done in ``_lay_out``.  ``axes`` is the plane, ``_page`` lies
    over it, ``_rows`` counts the names, ``_margins`` are those now in use.
    """

    MARGINS: tuple[float, float, float, float]  # left, right, top, bottom in CSS pixels
    NAMES_PX: float

    def __init__(self, width_px: int, height_px: int, scale: float, **axes_options):
        super().__init__(width_px, height_px, scale=scale)
        self._wide_height_px = height_px
        self._result: Any = None
        self._rows = 0
        left, right, top, bottom = self.MARGINS
        self.axes = add_axes(
            self.figure,
            left_px=left, right_px=right, top_px=top, bottom_px=bottom, **axes_options,
        )  # fmt: skip
        self._page = new_page(self)

    @property
    def _narrow(self) -> bool:
        return self.size_px[0] < NARROW_PX

    def set_size(self, width_px: int, height_px: int | None = None) -> bool:
        """As for every figure; below 480 px the names move under the plane."""
        with self.lock:
            changed = self._resize(width_px, height_px or self._height_for(width_px))
            if changed and self._result is not None:
                self.update(self._result)
            return changed

    def _height_for(self, width_px: int) -> int:
        raise NotImplementedError

    def _below_px(self, width_px: int) -> float:
        """Room that the names take under the plane."""
        raise NotImplementedError

    def _lay_out(self) -> None:
        """Whatever else depends on the size."""

    def _resize(self, width_px: int, height_px: int) -> bool:
        left, right, top, bottom = self.MARGINS
        if width_px < NARROW_PX:
            self._margins = (left, right, top, bottom + self._below_px(width_px))
        else:
            self._margins = (left, right + self.NAMES_PX, top, bottom)
        # first, as the old margins may leave no room in the new size
        self.axes.workbench_layout = (*self._margins, (0, 1), (0, 1))
        changed = super().set_size(width_px, height_px)
        place_again(self.figure)
        fit_page(self._page, self.size_px)
        self._lay_out()
        return changed
