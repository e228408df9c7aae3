"""Two plots side by side, or where it is narrow one above the other."""

from __future__ import annotations

from workbench.figures.live import LiveFigure


class TwoPlots(LiveFigure):
    """Base of figures with two plots.

    A subclass sets ``plots``, made by ``add_axes`` with their shares of the width on both
    sides of ``SPLIT``, and fits its words in ``_fit``.
    """

    STACKED_HEIGHT_PX: int
    STACKED_BELOW_PX = 760
    SPLIT = 0.46  # share of the left one, side by side
    LOWER = 0.5  # share of the lower one, stacked
    plots: tuple

    def __init__(self, width_px: int, height_px: int, scale: float = 1.0):
        super().__init__(width_px, height_px, scale)
        self._beside_height_px = height_px

    @property
    def stacked(self) -> bool:
        """Whether one plot stands above the other."""
        return self.size_px[0] < self.STACKED_BELOW_PX

    def set_size(self, width_px: int, height_px: int | None = None) -> bool:
        """As for every live figure; where it is narrow one plot stands below the other."""
        with self.lock:
            across: tuple = ((0, self.SPLIT), (self.SPLIT, 1))
            down: tuple = ((0, 1), (0, 1))
            height = self._beside_height_px
            if width_px < self.STACKED_BELOW_PX:
                across, down = ((0, 1), (0, 1)), ((self.LOWER, 1), (0, self.LOWER))
                height = self.STACKED_HEIGHT_PX
            for axes, x, y in zip(self.plots, across, down, strict=True):
                axes.workbench_layout = (*axes.workbench_layout[:4], x, y)
            return super().set_size(width_px, height_px or height)
