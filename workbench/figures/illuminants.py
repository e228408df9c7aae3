"""A paper's white under several lights, in the plane of a* and b* around each light's own white.

Laid out in CSS pixels from its top left corner, as the figure of whites is, so that it can
be drawn narrower without shrinking its type.
"""

from __future__ import annotations

import math

import numpy as np

from workbench.analysis.illuminants import DAYLIGHT, FILAMENT, LED, TUBE, TintsUnderLights
from workbench.analysis.words import signed
from workbench.figures.plane import NARROW_PX, PlaneFigure
from workbench.figures.style import (
    BLUE,
    INK,
    ORANGE,
    PURPLE,
    QUIET,
    VERMILION,
    words,
)
from workbench.figures.white import spread
from workbench.language import numeral, tr

MOST_LIGHTS = 24
# kinds of light by shape as well as by colour
_MARKS = {
    DAYLIGHT: ("o", BLUE),
    FILAMENT: ("D", ORANGE),
    LED: ("^", VERMILION),
    TUBE: ("s", PURPLE),
}
_ROW_PX = 20
_ONE_COLUMN_PX = 400  # below this the names under the plane stand in one column
_LEFT, _RIGHT, _TOP, _BOTTOM = 62, 14, 16, 50
_LEAST_SPAN = 6.0  # of a* and of b*: nearer differences are none to the eye
_ROOM = 0.12  # kept free around the whites, as a share of what they span


class IlluminantsFigure(PlaneFigure):
    """The tints of a white under lights, each relative to its light's own white.

    ``update(TintsUnderLights)`` shows another result, of up to 24 lights; ``alt_text`` says
    it in words.  The cross is what the eye takes for white in every light.
    """

    MARGINS, NAMES_PX = (_LEFT, _RIGHT, _TOP, _BOTTOM), 200

    def __init__(self, width_px: int = 600, height_px: int = 380, scale: float = 1.0):
        super().__init__(
            width_px, height_px, scale,
            xlabel=tr("a*, relative: green to red"), ylabel=tr("b*, relative: blue to yellow"),
        )  # fmt: skip
        for line in (self.axes.axhline, self.axes.axvline):
            line(0, color=QUIET, linewidth=0.8, zorder=0.6)
        self._build_marks()
        self._resize(width_px, height_px)

    def _build_marks(self) -> None:
        def marker(size, zorder):
            (made,) = self._page.plot(
                [], [], linestyle="none", markersize=size, markeredgecolor=INK,
                markeredgewidth=0.9, zorder=zorder,
            )  # fmt: skip
            return made

        (self.cross,) = self._page.plot(
            [], [], linestyle="none", marker="+", markersize=15, markeredgecolor=INK,
            markeredgewidth=1.6, zorder=3,
        )  # fmt: skip
        (self._leaders,) = self._page.plot([], [], color=QUIET, linewidth=0.6, zorder=1)
        # each light twice: in the plane, and before its name
        self.markers = [marker(8, 5) for _ in range(MOST_LIGHTS)]
        self._keys = [marker(7, 3) for _ in range(MOST_LIGHTS)]
        self.names = [words(self._page, 0, 0, "", va="center", zorder=3) for _ in self.markers]

    # laying out -----------------------------------------------------------

    def _below_px(self, width_px: int) -> int:
        """For names in two columns or one."""
        return _ROW_PX * (_rows_below(self._rows, width_px) + 1)

    def _height_for(self, width_px: int) -> int:
        if width_px >= NARROW_PX:
            needed = _TOP + 8 + _ROW_PX * self._rows + 8
            return max(self._wide_height_px, needed)
        return _TOP + 260 + _BOTTOM + self._below_px(width_px)

    def _scale_to(self, lab: np.ndarray) -> None:
        """Limits that hold every white and the cross, alike in both directions."""
        left, right, top, bottom = self._margins
        width, height = self.size_px
        across, down = width - left - right, height - top - bottom
        points = np.vstack([lab[:, 1:], [0.0, 0.0]])
        low, high = points.min(axis=0), points.max(axis=0)
        span = np.maximum(high - low, _LEAST_SPAN) * (1 + 2 * _ROOM)
        per_px = max(span[0] / across, span[1] / down)
        middle = (low + high) / 2
        half = np.array([across, down]) * per_px / 2
        self.axes.set(
            xlim=(middle[0] - half[0], middle[0] + half[0]),
            ylim=(middle[1] - half[1], middle[1] + half[1]),
        )
        step = next(s for s in (1, 2, 5, 10, 20, 50) if s / per_px > 34)
        for set_ticks, place, reach in (
            (self.axes.set_xticks, middle[0], half[0]),
            (self.axes.set_yticks, middle[1], half[1]),
        ):
            ticks = np.arange(
                math.ceil((place - reach) / step), math.floor((place + reach) / step) + 1
            )
            set_ticks(ticks * step, [numeral(t * step).replace("-", "−") for t in ticks])
        self._plane = (left + across / 2, top + down / 2, *middle, per_px)

    def _on_page(self, a, b) -> tuple:
        x, y, middle_a, middle_b, per_px = self._plane
        return x + (np.asarray(a) - middle_a) / per_px, y - (np.asarray(b) - middle_b) / per_px

    # showing --------------------------------------------------------------

    def update(self, result: TintsUnderLights) -> None:
        """Show another white."""
        self._result = result
        tints = result.tints[:MOST_LIGHTS]
        if len(tints) != self._rows:
            self._rows = len(tints)
            self._resize(self.size_px[0], self._height_for(self.size_px[0]))
        lab = np.array([tint.lab for tint in tints])
        self._scale_to(lab)
        x, y = self._on_page(lab[:, 1], lab[:, 2])
        cross = self._on_page(0.0, 0.0)
        self.cross.set_data([cross[0]], [cross[1]])
        at, places = self._name_places(y)
        leaders = [(math.nan, math.nan)]
        for n, (marker, key, name) in enumerate(
            zip(self.markers, self._keys, self.names, strict=True)
        ):
            for artist in (marker, key, name):
                artist.set_visible(n < len(tints))
            if n >= len(tints):
                continue
            shape, face = _MARKS[tints[n].kind]
            for artist in (marker, key):
                artist.set(marker=shape, markerfacecolor=face)
            marker.set_data([x[n]], [y[n]])
            key.set_data([at[n]], [places[n]])
            name.set_position((at[n] + 12, places[n]))
            name.set_text(f"{tints[n].name}, {tints[n].tint}")
            leaders += [(x[n], y[n]), (at[n] - 10, places[n]), (math.nan, math.nan)]
        self._leaders.set_data(*np.array(leaders).T)
        self._leaders.set_visible(not self._narrow)

    def _name_places(self, wanted: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Left edge and height of each name: as high as its white, but never over another."""
        count, (width, height) = len(wanted), self.size_px
        if not self._narrow:
            places = spread(wanted, _ROW_PX, _TOP + 8, height - 12)
            return np.full(count, width - self.NAMES_PX + 12.0), places
        order = np.argsort(wanted, kind="stable")
        rows = _rows_below(count, width)
        at, places = np.empty(count), np.empty(count)
        first = height - _ROW_PX * (rows - 1) - 12
        at[order] = np.where(np.arange(count) < rows, 14, width / 2 + 4)
        places[order] = first + _ROW_PX * (np.arange(count) % rows)
        return at, places

    def alt_text(self, result: TintsUnderLights) -> str:
        """The plane in words."""
        said = "; ".join(
            tr(
                "{name} at a* {a}, b* {b}, {tint}",
                name=tint.name,
                a=signed(tint.lab[1]),
                b=signed(tint.lab[2]),
                tint=tint.tint,
            )
            for tint in result.tints
        )
        return tr(
            "Plane of a* and b* around what the eye takes for white in each light: {said}.",
            said=said,
        )


def _rows_below(count: int, width_px: int) -> int:
    return count if width_px < _ONE_COLUMN_PX else math.ceil(count / 2)
