"""Rows with their names at the left of an axis: what the two screen plots share."""

from __future__ import annotations

from typing import Any

from workbench.figures.black import LETTER_PX
from workbench.figures.live import LiveFigure
from workbench.figures.style import FONT, INK, QUIET, SIZE_NOTE, shorter

_NAMES_PX = 276
_NAMES_SHARE = 0.42
_RIGHT_OF_NAME_PX = 10
_NARROW_PX = 600


def names_px(width_px: float) -> float:
    """Room for the names in a figure of this width."""
    return min(_NAMES_PX, _NAMES_SHARE * width_px)


class NamedRows(LiveFigure):
    """Axes whose left margin holds names, cut where the figure is narrow."""

    def __init__(self, width_px: int, height_px: int, scale: float = 1.0):
        super().__init__(width_px, height_px, scale)
        self._named: list[list[Any]] = []  # text artist, what it says in full

    def set_size(self, width_px: int, height_px: int | None = None) -> bool:
        """As for every live figure; the names are cut to the new width."""
        with self.lock:
            for axes in self.figure.axes:
                _, *others = axes.workbench_layout
                axes.workbench_layout = (names_px(width_px), *others)
            return super().set_size(width_px, height_px)

    def _fit(self) -> None:
        self._cut_names()
        self._thin_ticks()

    def name(self, axes, y: float, *, quiet: bool = False, up_px: float = 0.0):
        """A text left of the axes at this height, empty until `say`."""
        made = axes.annotate(
            "", (0, y), (-0.72 * _RIGHT_OF_NAME_PX, 0.72 * up_px),
            xycoords=("axes fraction", "data"), textcoords="offset points", ha="right",
            va="center", color=QUIET if quiet else INK, fontfamily=FONT,
            fontsize=SIZE_NOTE, annotation_clip=False, parse_math=False,
        )  # fmt: skip
        self._named.append([made, ""])
        return made

    def say(self, artist, text: str) -> None:
        """Set what a name says."""
        for row in self._named:
            if row[0] is artist and row[1] != text:
                row[1] = text
                self._cut(row)

    def _cut_names(self) -> None:
        for row in self._named:
            self._cut(row)

    def _thin_ticks(self) -> None:
        """Every third number below the axis where all of them would touch."""
        labels = self.figure.axes[0].get_xticklabels()
        narrow = self.size_px[0] < _NARROW_PX
        for n, label in enumerate(labels):
            label.set_visible(not narrow or n % 3 == 0)

    def _cut(self, row) -> None:
        artist, text = row
        room = (names_px(self.size_px[0]) - _RIGHT_OF_NAME_PX - 4) / LETTER_PX
        artist.set_text(shorter(text, max(int(room), 4)))
