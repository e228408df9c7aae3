"""A paper's gamut cut at a lightness, with the picture's colours near it."""

from __future__ import annotations

import numpy as np

from workbench.figures.gamut_view import GamutView, dot_px
from workbench.figures.live import LiveFigure
from workbench.figures.on_screen import screen_rgb
from workbench.figures.style import (
    AB_PLANE,
    GRID,
    INK,
    QUIET,
    add_axes,
    colour,
    legend,
    line,
    shorter,
    words,
)
from workbench.language import tr

# below this the legend has one column, and more room above the plane
_NARROW_PX, _HEAD_PX = 460, (82, 118)
# L* between which dots are seen without an edge on a light and on a dark page
_PLAIN = 35, 75


class SliceFigure(LiveFigure):
    """The a*b* plane at one lightness: the paper's outline and the picture's colours near it.

    ``update((view, lightness))`` shows a `GamutView` cut at a lightness 0..100.
    """

    IN_UNITS = True

    def __init__(self, width_px: int = 510, height_px: int = 556, scale: float = 1.0):
        super().__init__(width_px, height_px, scale=scale)
        axes = self._axes = add_axes(
            self.figure,
            left_px=72,
            right_px=14,
            top_px=_HEAD_PX[0],
            bottom_px=50,
            **AB_PLANE,
        )
        axes.axhline(0, color=QUIET, linewidth=0.8, zorder=0.5)
        axes.axvline(0, color=QUIET, linewidth=0.8, zorder=0.5)
        from matplotlib.patches import Polygon

        self.body = self.moving(
            Polygon(np.zeros((1, 2)), facecolor=colour("paper"), alpha=0.1, zorder=1)
        )
        axes.add_patch(self.body)
        self.other = self.moving(line(axes, [], [], "other", dashes=1, zorder=5))
        self.outline = self.moving(line(axes, [], [], "paper", linewidth=2.4, zorder=5))
        none = np.empty((0, 2))
        # thousands of dots: corners are drawn far quicker than circles, and look as round here
        self.held = self.moving(axes.scatter(*none.T, marker=(8, 0, 22.5), zorder=2))
        self.outside = self.moving(axes.scatter(*none.T, marker="D", linewidths=1.1, zorder=3))
        self.outside.set_edgecolor(colour("outside"))
        self.held.set_edgecolor(QUIET)
        (self.picked,) = axes.plot(
            [], [], linestyle="", marker="P", markersize=11, markerfacecolor=colour("chosen"),
            markeredgecolor=INK, zorder=6,
        )  # fmt: skip
        self.moving(self.picked)
        self._title = self.moving(
            words(self.figure, 72 / width_px, 1, "", size=12, va="top", color=INK)
        )
        self._names: tuple[str, str, bool] | None = None
        self._radius = 0.0
        self._legend_of(tr("this paper"), "")

    def set_size(self, width_px: int, height_px: int | None = None) -> bool:
        """As for every live figure; where it is narrow the legend has one column."""
        with self.lock:
            left, right, _, *others = self._axes.workbench_layout
            head = _HEAD_PX[width_px < _NARROW_PX]
            self._axes.workbench_layout = (left, right, head, *others)
            changed = super().set_size(width_px, height_px)
            if changed and self._names is not None:
                self._legend_of(*self._names[:2])
            return changed

    def _legend_of(self, paper: str, other: str) -> None:
        narrow = self.size_px[0] < _NARROW_PX
        if self._names == (paper, other, narrow):
            return
        self._names = (paper, other, narrow)
        from matplotlib.lines import Line2D

        def dot(edge, marker):
            return Line2D(
                [], [], linestyle="", marker=marker, markersize=5.5, markerfacecolor=GRID,
                markeredgecolor=edge, markeredgewidth=0.4 if marker == "o" else 1.3,
            )  # fmt: skip

        blank = Line2D([], [], linestyle="")
        # column by column
        handles = [self.outline, self.other if other else blank]
        handles += [dot(QUIET, "o"), dot(colour("outside"), "D")]
        labels = [shorter(paper), shorter(other), tr("the picture's colours"), tr("out of gamut")]
        if narrow and not other:
            del handles[1], labels[1]
        legend(
            self._axes, handles, labels, loc="lower left", bbox_to_anchor=(-0.01, 1.0),
            ncols=1 if narrow else 2,
            handlelength=1.8, labelspacing=0.3, columnspacing=1.2, borderaxespad=0.2,
        )  # fmt: skip

    def mark(self, ab: tuple[float, float] | None) -> None:
        """Mark the a* and b* of a place that was clicked in the picture, or none."""
        with self.lock:
            self.picked.set_data(*(([ab[0]], [ab[1]]) if ab is not None else ([], [])))

    def colour_at(self, x: float, y: float) -> tuple[float, float] | None:
        """a* and b* at a share of the figure, from the top left; None beside the plane."""
        return self.on_axes(self._axes, x, y)

    def update(self, result: tuple[GamutView, float]) -> None:
        """Show a view cut at a lightness."""
        view, lightness = result
        radius = view.radius
        if self._radius != radius:
            self._radius = radius
            self._axes.set(xlim=(-radius, radius), ylim=(-radius, radius))
        self._legend_of(view.paper_name, view.other_name if view.other is not None else "")
        ring = view.shell.outline(lightness)
        self.body.set_xy(ring)
        self.outline.set_data(*ring.T)
        if view.other is None:
            self.other.set_data([], [])
        else:
            self.other.set_data(*view.other.outline(lightness).T)
        lab, outside = view.colours.lab, view.outside
        rgb = screen_rgb(lab)
        size = dot_px(view.colours.shares, 3.5, 10.0)
        for dots, which in ((self.held, ~outside), (self.outside, outside)):
            dots.set_offsets(lab[which, 1:])
            dots.set_facecolor(rgb[which])
            # a diamond as wide as its circle would cover more
            px_to_pt = 0.72 if dots is self.held else 0.6
            dots.set_sizes((size[which] * px_to_pt) ** 2)
        # without an edge they are drawn in half the time
        self.held.set_linewidths(0 if _PLAIN[0] <= lightness <= _PLAIN[1] else 0.3)
        self._title.set_text(
            tr(
                "Slice at L* {lightness:.0f} ({relation})",
                lightness=lightness,
                relation=view.relation,
            )
        )
        width, height = self.size_px
        self._title.set_position(((12 if width < _NARROW_PX else 72) / width, 1 - 10 / height))

    def alt_text(self, view: GamutView, lightness: float) -> str:
        """The slice in words."""
        return tr(
            "The a* b* plane at lightness {lightness:.0f}, {relation}: the paper holds an "
            "area of {area:.0f} square Lab units; of {groups} groups of the picture's "
            "colours near this lightness, {outside} are out of gamut.",
            lightness=lightness,
            relation=view.relation,
            area=view.shell.area(lightness),
            groups=len(view.colours.lab),
            outside=int(view.outside.sum()),
        )
