"""Greys as printed: a* and b* over L*, with what was asked for."""

from __future__ import annotations

import numpy as np

from workbench.figures.live import LiveFigure
from workbench.figures.style import BLUE, DASHES, GRID, LINE_WIDTH, VERMILION, add_axes, legend
from workbench.language import tr
from workbench.output.toning import Neutrality

_LIMITS = (3, 6, 12, 25, 50, 100)


class NeutralityFigure(LiveFigure):
    """A live plot of a `Neutrality`.

    ``lines`` holds a* and b*, full as printed and dashed as asked for, by (name, "printed"
    or "asked"); ``worst`` marks the tone furthest from what was asked.
    """

    def __init__(self, width_px: int = 620, height_px: int = 260, scale: float = 1.0):
        super().__init__(width_px, height_px, scale=scale)
        self.axes = add_axes(
            self.figure, xlabel=tr("L* in print (relative)"), ylabel=tr("a*, b* in print"),
            title=tr("Greys on this paper"),
        )  # fmt: skip
        self.axes.set(xlim=(0, 100), ylim=(-3, 3))
        self.axes.axhline(0, color=GRID, linewidth=1.2)
        self.lines = {
            (name, kind): self.moving(
                self.axes.plot([], [], color=hue, linestyle=dashes, linewidth=width)[0]
            )
            for name, hue in (("a*", VERMILION), ("b*", BLUE))
            for kind, dashes, width in (
                ("printed", DASHES[0], LINE_WIDTH), ("asked", DASHES[1], 1.2),
            )
        }  # fmt: skip
        self.worst = self.moving(self.axes.axvline(0, color=GRID, linewidth=4, zorder=0.5))
        shown = legend(
            self.axes, [self.lines[key] for key in self.lines],
            [tr("a* printed"), tr("a* asked"), tr("b* printed"), tr("b* asked")],
            loc="upper right", ncols=2,
        )  # fmt: skip
        for each in shown.get_lines():
            each.set_animated(False)  # taken over from the moving lines

    def update(self, found: Neutrality) -> None:
        """Show a ramp."""
        lightness = found.lab[:, 0]
        for at, name in enumerate(("a*", "b*")):
            self.lines[name, "printed"].set_data(lightness, found.lab[:, 1 + at])
            self.lines[name, "asked"].set_data(lightness, found.asked[:, at])
        self.worst.set_xdata([lightness[found.worst]] * 2)
        largest = float(max(np.abs(found.lab[:, 1:]).max(), np.abs(found.asked).max()))
        limit = next(each for each in _LIMITS if 1.25 * largest <= each or each == _LIMITS[-1])
        if self.axes.get_ylim() != (-limit, limit):
            self.axes.set_ylim(-limit, limit)
