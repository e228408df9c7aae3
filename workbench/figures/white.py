"""A paper's white among others, in the plane of a* and b* around what the eye takes for white.

The figure is laid out in CSS pixels from its top left corner, so that it can be drawn
narrower without shrinking its type.
"""

from __future__ import annotations

import math

import numpy as np

from workbench.analysis.white import WhitesSeen
from workbench.analysis.words import TURNED, signed
from workbench.figures.plane import NARROW_PX, PlaneFigure
from workbench.figures.style import (
    CARD,
    GRID,
    INK,
    QUIET,
    SIZE_LABEL,
    colour,
    shorter,
    words,
)
from workbench.language import tr

OTHERS_SHOWN = 8
_SHAPES = ("o", "^", "D", "v", "P", "X", "<", ">")
_RINGS = (2, 4, 8, 16, 32)
# half the plane's shorter side; the smallest that holds every white is taken
_REACHES = (5.0, 8.0, 12.0, 18.0, 27.0, 40.0, 60.0, 90.0)
# hue angles between which a white differs so from what the eye takes for white
_WORDS = (
    (TURNED["warm"], 25, 115),
    (TURNED["greenish"], 115, 200),
    (TURNED["cool"], 200, 305),
    (TURNED["pinkish"], 305, 385),
)
_ROW_PX = 21
_LEFT, _RIGHT, _TOP, _BOTTOM = 76, 14, 16, 50


def spread(wanted, gap: float, low: float, high: float) -> np.ndarray:
    """Places as near to those wanted as they can be, at least ``gap`` apart and low..high.

    Where there is not room for all, they share the room evenly.  The order is kept.
    """
    wanted = np.asarray(wanted, float)
    count = len(wanted)
    gap = min(gap, (high - low) / max(count - 1, 1))
    order = np.argsort(wanted, kind="stable")
    # least squares under an order: neighbours that are too near share their mean
    blocks = []  # [sum, count] of places, each less its row's share of the gaps
    for row, place in enumerate(wanted[order]):
        blocks.append([place - gap * row, 1])
        while len(blocks) > 1 and blocks[-2][0] * blocks[-1][1] >= blocks[-1][0] * blocks[-2][1]:
            total, size = blocks.pop()
            blocks[-1] = [blocks[-1][0] + total, blocks[-1][1] + size]
    free = np.array([total / size for total, size in blocks for _ in range(size)])
    result = np.empty(count)
    result[order] = free.clip(low, high - gap * (count - 1)) + gap * np.arange(count)
    return result


class WhiteFigure(PlaneFigure):
    """The a*b* plane around what the eye takes for white, with the whites in view.

    ``update(WhitesSeen)`` shows another state; ``alt_text`` says it in words.  As the
    eye gets used to the paper, the paper moves to the middle and all others with it.
    Up to eight other papers are shown, the nearest ones.
    """

    MARGINS, NAMES_PX = (_LEFT, _RIGHT, _TOP, _BOTTOM), 246

    def __init__(self, width_px: int = 600, height_px: int = 390, scale: float = 1.0):
        super().__init__(
            width_px, height_px, scale, xlabel=tr("a* as seen"), ylabel=tr("b* as seen"), grid=False
        )
        self._reach = _REACHES[1]
        self._named: tuple = ()  # what the column of names was written for
        self._names_at = (0.0, np.empty(0))  # its left edge and the names' heights
        self._build_plane()
        self._build_whites()
        self._resize(width_px, height_px)

    def _build_plane(self):
        from matplotlib.patches import Circle

        axes = self.axes
        axes.add_patch(Circle((0, 0), 1, facecolor=GRID, edgecolor="none", zorder=0.5))
        for line in (axes.axhline, axes.axvline):
            line(0, color=GRID, linewidth=0.8, zorder=0.6)
        self.rings = {}
        for radius in _RINGS:
            ring = Circle((0, 0), radius, facecolor="none", edgecolor=GRID, zorder=0.7)
            label = words(
                axes, 0, 0, f"{radius}", quiet=True, ha="center", va="center", clip_on=True
            )  # fmt: skip
            axes.add_patch(ring)
            self.rings[radius] = (ring, label)
        self.regions = {}
        for word, start, _end in _WORDS:
            angle = math.radians(start)
            axes.plot(
                [math.cos(angle), 200 * math.cos(angle)], [math.sin(angle), 200 * math.sin(angle)],
                color=QUIET, linewidth=0.7, linestyle=(0, (2, 4)), zorder=0.8,
            )  # fmt: skip
            self.regions[word] = words(
                axes, 0, 0, word, size=SIZE_LABEL, quiet=True, ha="center", va="center",
                zorder=0.9,
            )  # fmt: skip

    def _build_whites(self):
        def marker(shape, size, face, edge, zorder):
            (made,) = self._page.plot(
                [], [], linestyle="none", marker=shape, markersize=size, markerfacecolor=face,
                markeredgecolor=edge, markeredgewidth=1.4, zorder=zorder,
            )  # fmt: skip
            return made

        def line(**options):
            (made,) = self._page.plot([], [], **options)
            return self.moving(made)

        self.path = line(color=colour("paper"), linewidth=1.6, linestyle=(0, (1, 1.5)), zorder=2)
        self._leaders = line(color=QUIET, linewidth=0.7, zorder=1)
        chosen, beside = colour("paper"), colour("picture")
        # each white twice: in the plane, and before its name
        self.markers = [
            marker("o", 12, chosen, INK, 6),
            marker("s", 10, CARD, beside, 5),
            *(marker(shape, 7.5, CARD, QUIET, 4) for shape in _SHAPES),
        ]
        self.moving(*self.markers)
        self._keys = [
            marker("o", 9, chosen, INK, 3),
            marker("s", 8, CARD, beside, 3),
            *(marker(shape, 7, CARD, QUIET, 3) for shape in _SHAPES),
        ]
        self.names = [words(self._page, 0, 0, "", va="center", zorder=3) for _ in self.markers]
        self.names[0].set_weight("bold")
        self.unknown = self.moving(
            words(self._page, 0, 0, "", size=SIZE_LABEL, ha="center", va="center", zorder=8)
        )

    # laying out -----------------------------------------------------------

    def _height_for(self, width_px: int) -> int:
        if width_px >= NARROW_PX:
            return self._wide_height_px
        return _TOP + (width_px - _LEFT - _RIGHT) + _BOTTOM + self._below_px(width_px)

    def _below_px(self, width_px: int) -> int:
        return _ROW_PX * (self._rows + 1)

    def _lay_out(self) -> None:
        """Limits, rings and words for this size, these margins and this reach."""
        left, right, top, bottom = self._margins
        width, height = self.size_px
        across, down = width - left - right, height - top - bottom
        per_px = 2 * self._reach / min(across, down)
        half_x, half_y = across * per_px / 2, down * per_px / 2
        self.axes.set(xlim=(-half_x, half_x), ylim=(-half_y, half_y))
        self._plane = (left + across / 2, top + down / 2, per_px)
        for radius, (ring, label) in self.rings.items():
            inside = radius * 0.71 + 22 * per_px < min(half_x, half_y)
            ring.set_visible(radius < math.hypot(half_x, half_y))
            label.set_visible(inside and radius / per_px > 14)
            label.set_position(((radius + 10 * per_px) * math.cos(math.pi / 4),) * 2)
        for word, start, end in _WORDS:
            angle = math.radians((start + end) / 2)
            direction = np.array([math.cos(angle), math.sin(angle)])
            # as far out as it goes, less the word's own half size
            room = np.array([half_x - 42 * per_px, half_y - 14 * per_px])
            reach = (room / np.maximum(np.abs(direction), 1e-9)).min()
            self.regions[word].set_position(tuple(reach * direction))

    def _on_page(self, lab) -> tuple[np.ndarray, np.ndarray]:
        """Page coordinates of (n, 3) Lab."""
        x, y, per_px = self._plane
        lab = np.asarray(lab, float).reshape(-1, 3)
        return x + lab[:, 1] / per_px, y - lab[:, 2] / per_px

    # showing --------------------------------------------------------------

    def update(self, result: WhitesSeen) -> None:
        """Show whites as seen; the scale changes only when they would not fit."""
        self._result = result
        nearest = sorted(
            result.others, key=lambda other: math.dist(other[1], result.chosen.seen_lab)
        )[:OTHERS_SHOWN]  # fmt: skip
        kept = [i for i, other in enumerate(result.others) if other in nearest]
        rows = [
            (result.chosen.name, result.chosen.seen_lab),
            (result.chosen.reference, result.reference_lab),
            *(result.others[i] for i in kept),
        ]
        self._scale_to(result.reach, len(rows))
        x, y = self._on_page([lab for _, lab in rows])
        shown = len(rows) * [True]
        shown[0] = result.chosen.white_is_known
        start = result.start_lab[[0, 1, *(2 + i for i in kept)]]
        self._write_names([name for name, _ in rows], shown, self._on_page(start)[1])
        at, places = self._names_at
        leaders = [(math.nan, math.nan)]
        for index, marker in enumerate(self.markers):
            marker.set_visible(index < len(rows) and shown[index])
            if marker.get_visible():
                marker.set_data([x[index]], [y[index]])
                leaders += [(x[index], y[index]), (at - 14, places[index]), (math.nan, math.nan)]
        self._leaders.set_data(*np.array(leaders).T)
        self._leaders.set_visible(not self._narrow)
        self.path.set_data(*self._on_page(result.path_lab))
        self.path.set_visible(shown[0])
        self.unknown.set_position(self._plane[:2])
        self.unknown.set_text(
            "" if shown[0] else tr("This profile does not state\nits paper's white.")
        )

    def _scale_to(self, reach: float, rows: int) -> None:
        fitting = next((r for r in _REACHES if r >= 1.15 * reach), _REACHES[-1])
        if (fitting, rows) != (self._reach, self._rows):
            self._reach, self._rows = fitting, rows
            self._resize(self.size_px[0], self._height_for(self.size_px[0]))

    def _write_names(self, names, shown, wanted) -> None:
        """The column of names, each as high as its white lies side by side.

        They stay there while the eye adapts, so they are still parts.
        """
        state = (names, shown, wanted.round(1).tolist(), self.size_px)
        if state == self._named:
            return
        self._named = state
        count = len(names)
        if self._narrow:
            at, places = _LEFT, np.empty(count)
            first = self.size_px[1] - _ROW_PX * count
            places[np.argsort(wanted, kind="stable")] = first + _ROW_PX * np.arange(count)
        else:
            at = self.size_px[0] - self.NAMES_PX + 12
            places = spread(wanted, _ROW_PX, _TOP + 8, self.size_px[1] - _BOTTOM)
        self._names_at = (at, places)
        for index, (key, name) in enumerate(zip(self._keys, self.names, strict=True)):
            visible = index < count and shown[index]
            key.set_visible(visible)
            name.set_visible(visible)
            if visible:
                key.set_data([at], [places[index]])
                name.set_position((at + 12, places[index]))
                name.set_text(shorter(names[index]))

    def alt_text(self, result: WhitesSeen) -> str:
        """The plane in words."""
        chosen = result.chosen
        if not chosen.white_is_known:
            return tr("Plane of a* and b*. This profile does not state its paper's white.")

        def place(lab):
            return f"a* {signed(lab[1])}, b* {signed(lab[2])}"

        beside = "; ".join(
            tr("{name} at {place}", name=name, place=place(lab))
            for name, lab in ((chosen.reference, result.reference_lab), *result.others)
        )
        return tr(
            "Plane of a* and b* as seen: {name} at {place}, a {tint} white; {beside}.",
            name=chosen.name,
            place=place(chosen.seen_lab),
            tint=chosen.tint,
            beside=beside,
        )
