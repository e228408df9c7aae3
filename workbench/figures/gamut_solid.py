"""A paper's gamut, cut at a lightness or as a solid turned in the hand, with the picture's colours.

Both figures show the picture's colours (`Gathered`) beside what the paper
holds.  The solid is projected here, without perspective, and painted from back to
front: matplotlib's own 3-D axes take many times as long.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from workbench.analysis.colours import Gathered, gathered
from workbench.analysis.counts import count_gamut
from workbench.colour.shell import LIGHTNESS, GamutShell, gamut_shell
from workbench.figures.gamut import screen_rgb
from workbench.figures.live import LiveFigure
from workbench.figures.style import (
    GRID,
    INK,
    QUIET,
    SIZE_LABEL,
    add_axes,
    colour,
    legend,
    line,
    shorter,
    words,
)
from workbench.paper import Paper
from workbench.picture.kept import kept_while_open
from workbench.picture.picture import Picture

# below this the legend of a slice has one column, and more room above the plane
_NARROW_PX, _HEAD_PX = 460, (82, 118)
_ROUND_UP = 10.0  # radius of the plane goes in steps, so that it seldom changes


@dataclass(frozen=True, eq=False)
class GamutView:
    """A paper's shell with a picture's colours beside it.

    Attributes
    ----------
    shell : of the paper, media-relative (absolute with the intent "absolute").
    colours : the picture's, gathered; in a slice, those near its lightness.
    limit : CIEDE2000 above which a colour counts as outside.
    other : shell of another paper, or None.
    reach : largest chroma to make room for; 0 takes the shell's and the colours'.
    """

    shell: GamutShell = field(repr=False)
    colours: Gathered = field(repr=False)
    limit: float = 2.0
    paper_name: str = "this paper"
    other: GamutShell | None = field(default=None, repr=False)
    other_name: str = ""
    reach: float = 0.0
    absolute: bool = False

    @classmethod
    def of(
        cls,
        picture: Picture,
        paper: Paper,
        other,
        absolute: bool,
        limit: float,
        lightness: float | None = None,
    ) -> GamutView:
        """That of a picture and a paper, with another paper or None beside it.

        With a ``lightness`` the colours are those near it, and there is room for all.
        """
        counts = count_gamut(picture, paper)
        everything = _gathered(counts)
        return cls(
            shell=gamut_shell(paper.profile, absolute=absolute),
            colours=everything
            if lightness is None
            else gathered(counts, cell=2.5, lightness=lightness),
            limit=limit,
            paper_name=paper.name,
            other=other and gamut_shell(other.profile, absolute=absolute),
            other_name=other.name if other else "",
            reach=float(_chroma(everything.lab).max()),
            absolute=absolute,
        )

    @property
    def relation(self) -> str:
        """What its Lab relate to, in a word."""
        return "absolute" if self.absolute else "media-relative"

    @property
    def radius(self) -> float:
        """Half the width of the plane that holds it all."""
        body = np.hypot(*self.shell.axis.T)[:, None] + self.shell.reach
        reach = self.reach or (_chroma(self.colours.lab).max(initial=0.0))
        return _ROUND_UP * np.ceil((max(body.max(), reach) + 3) / _ROUND_UP)

    @property
    def outside(self) -> np.ndarray:
        """(n,) bool: which of the colours are out of gamut."""
        return self.colours.beyond > self.limit


@kept_while_open(maxsize=2)
def _gathered(counts) -> Gathered:
    return gathered(counts)


def _chroma(lab):
    return np.hypot(lab[:, 1], lab[:, 2])


def _dot_px(shares: np.ndarray, low: float, high: float) -> np.ndarray:
    """Diameters: the cube root keeps rare colours in sight beside skies full of one blue."""
    return low + (high - low) * np.cbrt(shares / shares.max(initial=1e-12))


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
            xlabel="a*: green to red",
            ylabel="b*: blue to yellow",
            aspect="equal",
            adjustable="box",
            anchor="NW",
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
        self.held = self.moving(axes.scatter(*none.T, linewidths=0.3, zorder=2))
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
        self._legend_of("this paper", "")

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
        labels = [shorter(paper), shorter(other), "the picture's colours", "out of gamut"]
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
        rgb = screen_rgb(lab) if len(lab) else np.empty((0, 3))
        size = _dot_px(view.colours.shares, 3.5, 10.0)
        for dots, which in ((self.held, ~outside), (self.outside, outside)):
            dots.set_offsets(lab[which, 1:])
            dots.set_facecolor(rgb[which])
            # a diamond as wide as its circle would cover more
            px_to_pt = 0.72 if dots is self.held else 0.6
            dots.set_sizes((size[which] * px_to_pt) ** 2)
        self._title.set_text(f"Slice at L* {lightness:.0f} ({view.relation})")
        width, height = self.size_px
        self._title.set_position(((12 if width < _NARROW_PX else 72) / width, 1 - 10 / height))

    def alt_text(self, view: GamutView, lightness: float) -> str:
        """The slice in words."""
        ring = view.shell.outline(lightness)
        area = 0.5 * abs(np.sum(ring[:-1, 0] * ring[1:, 1] - ring[1:, 0] * ring[:-1, 1]))
        count = len(view.colours.lab)
        text = (
            f"The a* b* plane at lightness {lightness:.0f}: the paper holds an area of {area:.0f} "
            f"square Lab units; of {count} groups of the picture's colours near this lightness, "
            f"{int(view.outside.sum())} are out of gamut."
        )
        return text


_SOLID = "Gamut solid ({})"
_CELLS = 10  # faces along an edge of the device's cube
_SIDE_PX, _TOP_PX = 12, 42  # of margins, both sides together
_LABEL_PX = 17  # half of an axis label
_ON_SURFACE = 0.96
# dots and faces share one array, so all have six corners, some of them twice
_HEXAGON = np.array([(np.cos(a), np.sin(a)) for a in np.radians(range(0, 360, 60))])
_DIAMOND = 1.25 * np.array([(1.0, 0), (0, 1), (-1, 0), (0, -1), (0, -1), (0, -1)])


class SolidFigure(LiveFigure):
    """The gamut solid, translucent among the picture's colours, to be turned.

    ``update((view, turn_deg, tilt_deg, lightness))``: ``turn_deg`` goes around the
    lightness axis; ``tilt_deg`` 0 looks from the side, 90 from above; a ring lies around
    the solid at ``lightness`` (None for none).
    """

    def __init__(self, width_px: int = 510, height_px: int = 510, scale: float = 1.0):
        super().__init__(width_px, height_px, scale=scale)
        from matplotlib.collections import LineCollection, PolyCollection

        axes = self._axes = add_axes(
            self.figure,
            left_px=_SIDE_PX / 2,
            right_px=_SIDE_PX / 2,
            top_px=_TOP_PX - 6,
            bottom_px=6,
            grid=False,
            title=_SOLID.format("media-relative"),
            aspect="equal",
            adjustable="box",
        )
        axes.set_axis_off()
        axes.set(xticks=[], yticks=[])
        axes.set_title(axes.get_title(loc="left"), loc="left", fontsize=12, color=INK, x=0.02)
        self._radius = 0.0
        self._shell = self._gathered = None
        self.floor = self.moving(LineCollection([], colors=GRID, linewidths=1.0, zorder=1))
        self.axes_lines = self.moving(LineCollection([], colors=QUIET, linewidths=1.2, zorder=1.5))
        self.shapes = self.moving(PolyCollection([], zorder=2, antialiaseds=True))
        for collection in (self.floor, self.axes_lines, self.shapes):
            axes.add_collection(collection, autolim=False)
        self.ring = self.moving(line(axes, [], [], "chosen", linewidth=1.8, zorder=3))
        self.labels = self.moving(
            *(
                words(axes, 0, 0, text, size=SIZE_LABEL, ha="center", va="center", zorder=4)
                for text in ("L* 0", "L* 100", "+a*", "−a*", "+b*", "−b*")
            )
        )

    def update(self, result) -> None:
        """Show a view, turned and tilted; see the class."""
        view, turn_deg, tilt_deg, lightness = result
        radius = view.radius
        title = _SOLID.format(view.relation)
        if self._axes.get_title(loc="left") != title:
            self._axes.set_title(title, loc="left", fontsize=12, color=INK, x=0.02)
        if radius != self._radius:
            self._radius = radius
            self._half = radius, float(np.hypot(radius, 50))
            self._axes.set(
                xlim=(-self._half[0], self._half[0]), ylim=(-self._half[1], self._half[1])
            )
        if view.shell is not self._shell:
            self._shell = view.shell
            self._mesh = _mesh(view.shell)
        if view.colours is not self._gathered:
            self._gathered = view.colours
            self._dot_rgb = (
                screen_rgb(view.colours.lab) if len(view.colours.lab) else np.empty((0, 3))
            )
        seen = _Sight(turn_deg, tilt_deg)
        self._show_axes(seen, radius)
        self._show_shapes(seen, view)
        if lightness is None:
            self.ring.set_data([], [])
        else:
            ring = view.shell.outline(lightness)
            lab = np.concatenate([np.full((len(ring), 1), lightness), ring], axis=1)
            self.ring.set_data(*seen(lab)[:, :2].T)

    def _show_axes(self, seen, radius: float) -> None:
        angle = np.linspace(0, 2 * np.pi, 49)
        circle = np.stack([0 * angle, np.cos(angle), np.sin(angle)], axis=1)
        sizes = np.arange(25, 0.95 * radius, 25)
        self.floor.set_segments([seen(circle * [1, r, r])[:, :2] for r in sizes])
        reach = radius * 0.92
        ends = np.array(
            [[0, 0, 0], [100, 0, 0], [0, reach, 0], [0, -reach, 0], [0, 0, reach], [0, 0, -reach]]
        )
        flat = seen(ends)[:, :2]
        self.axes_lines.set_segments([flat[0:2], flat[2:4], flat[4:6]])
        middle = seen(np.zeros((1, 3)))[0, :2]
        top = seen(np.array([[108.0, 0, 0]]))[0, :2]
        # no farther out than a label has room
        furthest = self._per_px() * (self.size_px[0] / 2 - _LABEL_PX)
        for label, place in zip(self.labels, flat, strict=True):
            away = place - middle
            x, y = place + 0.055 * radius * away / max(np.hypot(*away), 1e-6)
            label.set_position((np.clip(x, -furthest, furthest), y))
        self.labels[0].set_position(middle - [0, 0.06 * radius])
        self.labels[1].set_position(top)

    def _per_px(self) -> float:
        """Units of the plane to a CSS pixel."""
        width, height = self.size_px
        return 2 * max(self._half[0] / (width - _SIDE_PX), self._half[1] / (height - _TOP_PX))

    def _show_shapes(self, seen, view: GamutView) -> None:
        corners, centres, rgb = self._mesh
        flat = seen(corners.reshape(-1, 3)).reshape(*corners.shape)
        across, along = flat[:, 2] - flat[:, 0], flat[:, 3] - flat[:, 1]
        normal = np.cross(across, along)
        normal /= np.maximum(np.linalg.norm(normal, axis=1), 1e-9)[:, None]
        # light from the upper left, behind the one who looks
        shade = 0.80 + 0.20 * np.clip(normal @ (-0.35, 0.45, 0.82), -1, 1)
        front = normal[:, 2] > 0
        faces = np.concatenate([flat[..., :2], flat[:, 3:, :2], flat[:, 3:, :2]], axis=1)
        face_rgba = np.concatenate(
            [np.clip(rgb * shade[:, None], 0, 1), np.where(front, 0.38, 0.55)[:, None]], axis=1
        )
        place = seen(view.colours.lab)
        radii = _dot_px(view.colours.shares, 3.0, 9.0) / 2 * self._per_px()
        outside = view.outside
        shape = np.where(outside[:, None, None], _DIAMOND, _HEXAGON)
        dots = place[:, None, :2] + radii[:, None, None] * shape
        dot_rgba = np.concatenate([self._dot_rgb, np.ones((len(dots), 1))], axis=1)
        depth = np.concatenate([seen(centres)[:, 2], place[:, 2]])
        order = np.argsort(depth)
        edge = np.concatenate([face_rgba, _edges(dot_rgba, outside)])
        width = np.concatenate([np.zeros(len(faces)), np.where(outside, 0.8, 0.0)])
        self.shapes.set_verts(np.concatenate([faces, dots])[order])
        self.shapes.set_facecolor(np.concatenate([face_rgba, dot_rgba])[order])
        self.shapes.set_edgecolor(edge[order])
        self.shapes.set_linewidth(width[order])

    def alt_text(self, view: GamutView) -> str:
        """The solid in words."""
        share = float(view.colours.shares[view.outside].sum())
        return (
            f"The gamut of {view.paper_name} as a solid of {view.shell.volume:,.0f} cubic Lab units "
            f"among the picture's colours; {100 * share:.0f} % of the picture lies outside it."
        ).replace(",", " ")


def _edges(dot_rgba, outside):
    from matplotlib.colors import to_rgba

    edge = np.tile(to_rgba(QUIET, 0.8), (len(dot_rgba), 1))
    edge[outside] = to_rgba(colour("outside"))
    return edge


class _Sight:
    """Lab seen from one side: (n, 3) right, up and towards the one who looks."""

    def __init__(self, turn_deg: float, tilt_deg: float):
        turn, tilt = np.radians(turn_deg), np.radians(tilt_deg)
        cos, sin = np.cos(turn), np.sin(turn)
        up, flat = np.cos(tilt), np.sin(tilt)
        # columns for L* (from the middle), a*, b*
        self._matrix = np.array(
            [[0, cos, -sin], [up, sin * flat, cos * flat], [flat, -sin * up, -cos * up]]
        )

    def __call__(self, lab) -> np.ndarray:
        return (np.asarray(lab) - (50, 0, 0)) @ self._matrix.T


def _mesh(shell: GamutShell) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Four-cornered faces on the shell's surface (n, 4, 3), counter-clockwise from outside,
    their centres and screen colours."""
    grids = shell.vertices
    size = grids.shape[1] - 1
    # a device with four inks has many faces, most of them inside
    pick = np.round(np.linspace(0, size, (_CELLS if len(grids) == 6 else size // 2) + 1)).astype(
        int
    )
    grids = grids[:, pick][:, :, pick]
    corners = np.stack(
        [grids[:, :-1, :-1], grids[:, 1:, :-1], grids[:, 1:, 1:], grids[:, :-1, 1:]], axis=3
    ).reshape(-1, 4, 3)
    centres = corners.mean(axis=1)
    axis = np.stack([np.interp(centres[:, 0], LIGHTNESS, shell.axis[:, i]) for i in (0, 1)], axis=1)
    away = centres[:, 1:] - axis
    if len(grids) != 6:
        hue = np.degrees(np.arctan2(away[:, 1], away[:, 0]))
        reach = shell.reach_at(centres[:, 0], hue)
        surface = np.hypot(*away.T) >= np.maximum(_ON_SURFACE * reach, reach - 2)
        corners, centres, away = corners[surface], centres[surface], away[surface]
    normal = np.cross(corners[:, 2] - corners[:, 0], corners[:, 3] - corners[:, 1])
    middle = np.concatenate([centres[:, :1] - 50, away], axis=1)
    inward = np.einsum("ij,ij->i", normal, middle) < 0
    corners[inward] = corners[inward, ::-1]
    return corners, centres, screen_rgb(centres)
