"""A paper's gamut as a solid turned in the hand, among the picture's colours.

It is projected here, without perspective, and painted from back to front:
matplotlib's own 3-D axes take many times as long.
"""

from __future__ import annotations

import numpy as np

from workbench.analysis.words import volume_words
from workbench.colour.shell import LIGHTNESS, GamutShell
from workbench.figures.gamut_view import GamutView, dot_px, relation_word
from workbench.figures.live import LiveFigure
from workbench.figures.on_screen import screen_rgb
from workbench.figures.style import GRID, INK, QUIET, SIZE_LABEL, add_axes, colour, line, words
from workbench.language import tr

_CELLS = 10  # faces along an edge of the device's cube
_SIDE_PX, _TOP_PX = 12, 42  # of margins, both sides together
_LABEL_PX = 17  # half of an axis label
_ON_SURFACE = 0.96
# dots and faces share one array, so all have six corners, some of them twice
_HEXAGON = np.array([(np.cos(a), np.sin(a)) for a in np.radians(range(0, 360, 60))])
_DIAMOND = 1.25 * np.array([(1.0, 0), (0, 1), (-1, 0), (0, -1), (0, -1), (0, -1)])


def _title(relation: str) -> str:
    return tr("Gamut solid ({relation})", relation=relation)


class SolidFigure(LiveFigure):
    """The gamut solid, translucent among the picture's colours, to be turned.

    ``update((view, turn_deg, tilt_deg, lightness))``: ``turn_deg`` goes around the
    lightness axis; ``tilt_deg`` 0 looks from the side, 90 from above; a ring lies around
    the solid at ``lightness`` (None for none).
    """

    def __init__(self, width_px: int = 510, height_px: int = 510, scale: float = 1.0):
        super().__init__(width_px, height_px, scale=scale)
        from matplotlib.collections import LineCollection, PolyCollection
        from matplotlib.path import Path

        axes = self._axes = add_axes(
            self.figure,
            left_px=_SIDE_PX / 2,
            right_px=_SIDE_PX / 2,
            top_px=_TOP_PX - 6,
            bottom_px=6,
            grid=False,
            title=_title(relation_word(False)),
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

        class Shapes(PolyCollection):
            """Polygons of as many corners each, whose places change and not their number.

            Edges have no dashes, which matplotlib would scale by each width, one by one.
            """

            _corners = np.empty((0, 0, 2))

            def place(self, corners):
                """Put their (n, corners, 2); the paths stay, as making them takes longest."""
                count, many, _ = corners.shape
                if self._corners.shape != (count, many + 1, 2):
                    self._corners = np.empty((count, many + 1, 2))
                    ways = [Path.MOVETO, *(many - 1) * [Path.LINETO], Path.CLOSEPOLY]
                    codes = np.array(ways, Path.code_type)
                    self._paths = [Path(each, codes) for each in self._corners]
                self._corners[:, :-1], self._corners[:, -1] = corners, corners[:, 0]
                self.stale = True

            @staticmethod
            def _bcast_lwls(linewidths, dashes):
                return linewidths, [(0, None)]

        self.shapes = self.moving(Shapes([], zorder=2, antialiaseds=True))
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
        title = _title(view.relation)
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
            self._dot_rgb = screen_rgb(view.colours.lab)
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
        radii = dot_px(view.colours.shares, 3.0, 9.0) / 2 * self._per_px()
        outside = view.outside
        shape = np.where(outside[:, None, None], _DIAMOND, _HEXAGON)
        dots = place[:, None, :2] + radii[:, None, None] * shape
        dot_rgba = np.concatenate([self._dot_rgb, np.ones((len(dots), 1))], axis=1)
        depth = np.concatenate([seen(centres)[:, 2], place[:, 2]])
        order = np.argsort(depth)
        edge = np.concatenate([face_rgba, _edges(dot_rgba, outside)])
        width = np.concatenate([np.zeros(len(faces)), np.where(outside, 0.8, 0.0)])
        self.shapes.place(np.concatenate([faces, dots])[order])
        self.shapes.set_facecolor(np.concatenate([face_rgba, dot_rgba])[order])
        self.shapes.set_edgecolor(edge[order])
        self.shapes.set_linewidth(width[order])

    def alt_text(self, view: GamutView) -> str:
        """The solid in words."""
        return tr(
            "The gamut of {paper} as a solid of {volume} cubic Lab units, {relation}; of {groups} "
            "groups of the picture's colours, {outside} are out of gamut.",
            paper=view.paper_name,
            volume=volume_words(view.shell.volume),
            relation=view.relation,
            groups=len(view.colours.lab),
            outside=int(view.outside.sum()),
        )


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
