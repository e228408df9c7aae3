"""Adjustments for one paper: each curve, and all that are accepted together.

At the left lightness out over lightness in, at the right the change, which is too small
to be seen in the curve itself.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from workbench.analysis.words import signed
from workbench.figures.live import LiveFigure
from workbench.figures.style import (
    DASHES,
    GRID,
    INK,
    LINE_WIDTH,
    SERIES,
    add_axes,
    legend,
    place_again,
    words,
)
from workbench.output.adjust import KINDS

TOGETHER = "together"
_LEAST_CHANGE = 1.0
# below the plots, for the names of the lines
_NAMES_PX = 88
_PALE = "Pale: offered only."
_THREE = "Red full, green dashed, blue dotted."
# room that one name takes
_NAME_PX, _NAME_ROW_PX = 120, 17
# the width from which both plots stand side by side, and both notes in one line
_BOTH_PX = 420
# the share of the change
_RIGHT = (0.44, 1)


class AdjustmentsFigure(LiveFigure):
    """A live plot of `AdjustmentCurve`.

    ``update(accepted, offered=())`` shows the curves of what is accepted as full lines,
    with those of all of it together in ink, and what is only offered thin and pale.
    A curve that differs between the channels has three lines, told apart by their dashes.
    ``lines`` holds them by (kind, channel): one in each plot.
    """

    def __init__(self, width_px: int = 620, height_px: int = 350, scale: float = 1.0):
        super().__init__(width_px, height_px, scale=scale)
        self.curve_axes = add_axes(
            self.figure, xlabel="L* before (relative)", ylabel="L* after (relative)",
            span_x=(0, _RIGHT[0]), left_px=60, right_px=12, bottom_px=52 + _NAMES_PX, title="Curve",
        )  # fmt: skip
        self.change_axes = add_axes(
            self.figure, xlabel="L* before (relative)", ylabel="change in L*", span_x=_RIGHT,
            left_px=68, right_px=18, bottom_px=52 + _NAMES_PX, title="Change",
        )  # fmt: skip
        for axes in (self.curve_axes, self.change_axes):
            axes.set(xlim=(0, 100), xticks=range(0, 101, 25))
        self.curve_axes.set(ylim=(0, 100), yticks=range(0, 101, 25))
        self.curve_axes.plot([0, 100], [0, 100], color=GRID, linewidth=1.2)
        self.change_axes.axhline(0, color=GRID, linewidth=1.2)
        self.lines = {}
        for place, kind in enumerate((*KINDS, TOGETHER)):
            hue = INK if kind == TOGETHER else SERIES[place % len(SERIES)]
            for channel in range(3):
                style = {"color": hue, "linestyle": DASHES[channel], "marker": ""}
                self.lines[kind, channel] = self.moving(
                    *(axes.plot([], [], **style)[0] for axes in (self.curve_axes, self.change_axes))
                )
        self._none = self.moving(
            words(self.change_axes, 0.5, 0.62, "", quiet=True, ha="center", va="center",
                  transform=self.change_axes.transAxes)
        )  # fmt: skip
        self._note = words(self.figure, 0, 0, "", quiet=True, va="top")
        self._legend: Any = None
        self._listed: tuple = ()

    def _fit(self) -> None:
        self._fit_plots()
        self._name_lines(self._listed)

    def _fit_plots(self) -> None:
        """Where there is no room for both, the change stands alone: it shows more."""
        both = self.size_px[0] >= _BOTH_PX
        self.curve_axes.set_visible(both)
        *margins, _, span_y = self.change_axes.workbench_layout
        self.change_axes.workbench_layout = (*margins, _RIGHT if both else (0, 1), span_y)
        place_again(self.figure)

    def update(self, result, *, offered=()) -> None:
        """Show accepted curves (a tuple of `AdjustmentCurve`) and others that are offered."""
        largest, shown = _LEAST_CHANGE, []
        curves = {curve.kind: (curve, True) for curve in result}
        curves |= {c.kind: (c, False) for c in offered if c.kind not in curves}
        for (kind, channel), lines in self.lines.items():
            curve, accepted = curves.get(kind, (None, False))
            rows = _rows(curve)
            for line in lines:
                line.set_visible(channel < len(rows))
            if channel >= len(rows):
                continue
            change = rows[channel] - curve.lightness_in
            largest = max(largest, float(np.abs(change).max()))
            lines[0].set_data(curve.lightness_in, rows[channel])
            lines[1].set_data(curve.lightness_in, change)
            for line in lines:
                line.set(linewidth=_width(kind, accepted), alpha=1.0 if accepted else 0.45)
            if not channel:
                shown.append((kind, accepted, len(rows)))
        self._none.set_text("" if shown else "none offered, none accepted")
        self._set_limit(largest)
        if tuple(shown) != self._listed:
            self._name_lines(tuple(shown))

    def _set_limit(self, largest: float) -> None:
        """Even steps, so that the axis does not jump with every move."""
        limit = next(step for step in (1.2, 2.5, 5, 10, 20, 40, 101) if largest <= step)
        if self.change_axes.get_ylim() != (-limit, limit):
            self.change_axes.set_ylim(-limit, limit)

    def _name_lines(self, shown: tuple) -> None:
        """Names below the plots: still parts, made anew only when other lines are shown."""
        self._listed = shown
        if self._legend is not None:
            self._legend.remove()
            self._legend = None
        width, height = self.size_px
        columns = max(1, (width - 20) // _NAME_PX)
        rows = -(-len(shown) // columns)
        note_y = (_NAMES_PX - 8 - _NAME_ROW_PX * rows) / height
        self._note.set(text="", position=(12 / width, note_y))
        if shown:
            handles = [self.lines[kind, 0][1] for kind, _, _ in shown]
            self._legend = legend(
                self.figure, handles, [kind for kind, _, _ in shown], loc="upper left",
                bbox_to_anchor=(12 / width, (_NAMES_PX - 2) / height), ncols=columns,
                handlelength=2.0, columnspacing=1.0, labelspacing=0.2, borderpad=0.0,
                borderaxespad=0.0,
            )  # fmt: skip
            for line in self._legend.get_lines():
                line.set_animated(False)  # taken over from the moving lines
            notes = [
                *([] if all(accepted for _, accepted, _ in shown) else [_PALE]),
                *([_THREE] if any(count > 1 for _, _, count in shown) else []),
            ]
            self._note.set_text((" " if width >= _BOTH_PX else "\n").join(notes))
        self.invalidate()

    def alt_text(self, accepted, offered=()) -> str:
        """The plot in words, for a reader who does not see it."""
        said = [f"{_words(curve)}, accepted" for curve in accepted if curve.kind != TOGETHER]
        said += [f"{_words(curve)}, offered" for curve in offered]
        if not said:
            return "Curves of adjustments: none is accepted and none is offered."
        return "Curves of adjustments over lightness: " + "; ".join(said) + "."


def _rows(curve) -> list[np.ndarray]:
    """The lines that a curve takes: one where all channels agree."""
    if curve is None:
        return []
    rows = list(curve.lightness_out)
    return rows[:1] if all(np.allclose(row, rows[0], atol=1e-9) for row in rows) else rows


def _width(kind: str, accepted: bool) -> float:
    if not accepted:
        return 1.4
    return LINE_WIDTH + 0.6 if kind == TOGETHER else LINE_WIDTH


def _words(curve) -> str:
    change = curve.lightness_out - curve.lightness_in
    at = np.unravel_index(np.argmax(np.abs(change)), change.shape)
    return (
        f"{curve.kind} moves lightness by up to {signed(change[at])} L*, at L* "
        f"{curve.lightness_in[at[1]]:.0f}"
    )
