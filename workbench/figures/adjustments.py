"""The tone curve of the adjustments: what prints before and after, and the change itself.

At the left printed lightness over the picture's, at the right the change, which is too
small to be seen in the curve itself.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import numpy as np

from workbench.analysis.words import signed
from workbench.figures.live import LiveFigure
from workbench.figures.style import (
    BLUE,
    DASHES,
    GRID,
    INK,
    LINE_WIDTH,
    VERMILION,
    add_axes,
    legend,
    place_again,
    words,
)
from workbench.language import tr
from workbench.output.adjust import Adjustments
from workbench.output.suggest import ToneChange

# below the plots, for the names of the lines
_NAMES_PX = 66
_NAME_PX, _NAME_ROW_PX = 120, 17
# the width from which both plots stand side by side
_BOTH_PX = 420
_LEFT = (0, 0.46)
_RIGHT = (0.46, 1)
_LIMITS = (1.2, 2.5, 5, 10, 20, 40, 101)


@dataclass(frozen=True, eq=False)
class Curves:
    """What there is to draw.

    Attributes
    ----------
    lightness : (n,) L* of the picture, 0..100.
    accepted : (channels, n) L* after all that is accepted; None where nothing is.
    offered : (n,) L* after the curve that is offered; None where there is none.
    now, then : `ToneChange` of what is accepted and of what is offered; None without a
        paper whose print is known.
    """

    lightness: np.ndarray = field(repr=False)
    accepted: np.ndarray | None = field(repr=False)
    offered: np.ndarray | None = field(repr=False)
    now: ToneChange | None = None
    then: ToneChange | None = None


def curves_of(
    profile: bytes, channels: int, accepted: Adjustments, offered=None, now=None, then=None
):
    """The `Curves` of accepted and offered adjustments, for a picture's space.

    Parameters
    ----------
    profile, channels : of the picture.
    accepted : `Adjustments`.
    offered : `Adjustments`, or None.
    now, then : `ToneChange` of each, where the paper is known.

    Returns
    -------
    `Curves`.

    Examples
    --------
    >>> from workbench.output.adjust import Adjustments
    >>> curves_of(picture.profile, 3, Adjustments(shadows=2)).accepted.shape
    (3, 201)
    """
    x = np.linspace(0, 1, 201)
    rows = None
    if accepted.is_black_and_white:  # which has no warmth
        rows = np.tile(accepted.tone(x), (channels, 1))
    elif accepted:
        curve = accepted.curve(profile, channels)
        rows = np.stack([curve(channel, x) for channel in range(channels)])
    return Curves(
        100 * x,
        None if rows is None else 100 * rows,
        100 * offered.tone(x) if offered else None,
        now,
        then,
    )


_GREY = tr("Grey: deepest and lightest tenth of the detail.")


class AdjustmentsFigure(LiveFigure):
    """A live plot of `Curves`.

    What is accepted is drawn full and blue, what is only offered dashed and pale.  A curve
    that differs between the channels has three lines, told apart by their dashes.
    ``lines`` holds them by name: "before", "offered", and "accepted" 0 to 2.
    """

    def __init__(self, width_px: int = 620, height_px: int = 340, scale: float = 1.0):
        super().__init__(width_px, height_px, scale=scale)
        self.print_axes = add_axes(
            self.figure, xlabel=tr("L* of the picture"), ylabel=tr("L* in print (relative)"),
            span_x=_LEFT, left_px=60, right_px=12, bottom_px=52 + _NAMES_PX, title=tr("Print"),
        )  # fmt: skip
        self.change_axes = add_axes(
            self.figure, xlabel=tr("L* before"), ylabel=tr("change in L*"), span_x=_RIGHT,
            left_px=68, right_px=18, bottom_px=52 + _NAMES_PX, title=tr("Change"),
        )  # fmt: skip
        for axes in (self.print_axes, self.change_axes):
            axes.set(xlim=(0, 100), xticks=range(0, 101, 25))
        self.print_axes.set(ylim=(0, 100), yticks=range(0, 101, 25))
        self.change_axes.axhline(0, color=GRID, linewidth=1.2)
        self.ends = [
            self.moving(self.print_axes.axvspan(0, 0, color=GRID, alpha=0.6, linewidth=0))
            for _ in range(2)
        ]
        styles = {
            "before": {"color": INK, "linewidth": 1.2, "linestyle": DASHES[2]},
            "offered": {"color": VERMILION, "linewidth": 1.6, "linestyle": DASHES[1], "alpha": 0.75},
            **{
                f"accepted {channel}": {
                    "color": BLUE, "linewidth": LINE_WIDTH, "linestyle": DASHES[channel],
                }
                for channel in range(3)
            },
        }  # fmt: skip
        self.lines = {
            name: self.moving(
                *(axes.plot([], [], **style)[0] for axes in (self.print_axes, self.change_axes))
            )
            for name, style in styles.items()
        }
        self._none = self.moving(
            words(self.change_axes, 0.5, 0.62, "", quiet=True, ha="center", va="center",
                  transform=self.change_axes.transAxes)
        )  # fmt: skip
        handles = [self.lines[name][0] for name in ("before", "accepted 0", "offered")]
        self._handles = handles, [tr("as it is"), tr("accepted"), tr("offered")]
        self._legend: Any = None
        self._note = words(self.figure, 0, 0, "", quiet=True, va="top")
        self._name_lines()

    def _fit(self) -> None:
        """Where there is no room for both, the change stands alone: it shows more."""
        both = self.size_px[0] >= _BOTH_PX
        self.print_axes.set_visible(both)
        *margins, _, span_y = self.change_axes.workbench_layout
        self.change_axes.workbench_layout = (*margins, _RIGHT if both else (0, 1), span_y)
        place_again(self.figure)
        self._name_lines()
        if not both and self._note.get_text() == _GREY:
            self._note.set_text("")

    def _name_lines(self) -> None:
        if self._legend is not None:
            self._legend.remove()
        width, height = self.size_px
        columns = max(1, (width - 20) // _NAME_PX)
        self._legend = legend(
            self.figure, *self._handles, loc="upper left",
            bbox_to_anchor=(12 / width, (_NAMES_PX - 2) / height), ncols=columns,
            handlelength=2.0, columnspacing=1.0, labelspacing=0.2, borderpad=0.0,
            borderaxespad=0.0,
        )  # fmt: skip
        for each in self._legend.get_lines():
            each.set_animated(False)  # taken over from the moving lines
        rows = -(-len(self._handles[0]) // columns)
        self._note.set_position((12 / width, (_NAMES_PX - 8 - _NAME_ROW_PX * rows) / height))
        self.invalidate()

    def update(self, curves: Curves) -> None:
        """Show what is accepted and what is offered."""
        shown: dict[str, tuple] = {}
        lightness = curves.lightness
        change = curves.now or curves.then
        if change is not None:
            shown["before"] = (change.lightness, change.before, None)
        if curves.offered is not None:
            then = curves.then
            printed = (None, None) if then is None else (then.lightness, then.after)
            shown["offered"] = (*printed, curves.offered - lightness)
        rows = _apart(curves.accepted)
        for channel, row in enumerate(rows):
            printed = (None, None)
            if curves.now is not None and not channel:
                printed = curves.now.lightness, curves.now.after
            shown[f"accepted {channel}"] = (*printed, row - lightness)
        largest = 1.0
        for name, (left, right) in self.lines.items():
            x, printed, moved = shown.get(name, (None, None, None))
            left.set_visible(printed is not None)
            right.set_visible(moved is not None)
            if printed is not None:
                left.set_data(x, printed)
            if moved is not None:
                right.set_data(lightness, moved)
                largest = max(largest, float(np.abs(moved).max()))
        limit = next(step for step in _LIMITS if largest <= step)
        if self.change_axes.get_ylim() != (-limit, limit):
            self.change_axes.set_ylim(-limit, limit)
        for band, end in zip(self.ends, _ends(change), strict=True):
            band.set_visible(end is not None)
            if end is not None:
                band.set(x=end[0], width=end[1] - end[0])
        self._none.set_text(
            "" if len(shown) > ("before" in shown) else tr("none offered, none accepted")
        )
        said = _GREY if any(_ends(change)) else ""
        if len(rows) > 1:
            said = tr("Red full, green dashed, blue dotted.")
        elif self.size_px[0] < _BOTH_PX:  # the plot with the grey is left out
            said = ""
        if self._note.get_text() != said:
            self._note.set_text(said)
            self.invalidate()

    def alt_text(self, curves: Curves) -> str:
        """The plot in words, for a reader who does not see it."""
        said = []
        if rows := _apart(curves.accepted):
            # of all lines where the channels differ
            away = [np.abs(row - curves.lightness).max() for row in rows]
            by, at = _largest(curves.lightness, rows[int(np.argmax(away))])
            said.append(
                tr(
                    "what is accepted moves lightness by up to {by} L*, at L* {at:.0f}",
                    by=by,
                    at=at,
                )
            )
        if curves.offered is not None:
            by, at = _largest(curves.lightness, curves.offered)
            said.append(
                tr(
                    "the curve offered moves lightness by up to {by} L*, at L* {at:.0f}",
                    by=by,
                    at=at,
                )
            )
        if not said:
            return tr("Tone curve: none is accepted and none is offered.")
        return tr("Tone curve over lightness: {said}.", said="; ".join(said))


def _ends(change: ToneChange | None) -> tuple:
    return (None, None) if change is None else (change.shadows, change.highlights)


def _apart(rows) -> list[np.ndarray]:
    """The lines that a curve takes: one where all channels agree."""
    if rows is None:
        return []
    return list(rows[:1] if np.allclose(rows, rows[0], atol=1e-9) else rows)


def _largest(lightness, after) -> tuple[str, float]:
    """The largest change with its sign, and the lightness where it is."""
    change = after - lightness
    at = int(np.argmax(np.abs(change)))
    return signed(change[at]), lightness[at]
