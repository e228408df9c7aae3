"""Blacks of papers on one scale of density, each beside the screen's own black."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from workbench.analysis.black import USUAL_BLACK_DENSITIES, BlackPoint
from workbench.analysis.printed_black import PICTURE_BLACK
from workbench.colour.lab import lightness_of_density
from workbench.figures.black import LETTER_PX
from workbench.figures.live import LiveFigure
from workbench.figures.on_screen import screen_rgb
from workbench.figures.style import (
    BLACK,
    FONT,
    GRID,
    INK,
    QUIET,
    SIZE_NOTE,
    add_axes,
    colour,
    shorter,
    words,
)
from workbench.language import numeral, tr

_DENSITIES = (0.0, 2.6)


@dataclass(frozen=True, eq=False)
class Blacks:
    """What `ScaleFigure` shows: blacks with the places of the chosen and the other paper."""

    blacks: tuple[BlackPoint, ...]
    chosen: int = 0
    other: int | None = None

    def role(self, index: int) -> str:
        """“chosen”, “other” or nothing."""
        return {self.chosen: "chosen", self.other: "other"}.get(index, "")


_ROW_PX, _BAR_PX, _TOP_PX, _BOTTOM_PX = 50, 17, 48, 122
_FIGURES_PX = 230  # beside the names
_LEFT_PX, _RIGHT_PX = 28, 24
_WHOLE_SCALE_PX = 620  # below this there is room for no more


class ScaleFigure(LiveFigure):
    """Blacks of papers on one scale of density, shallowest first.

    ``update(blacks)`` takes `Blacks`.  Each bar has the paper's black, in its real
    colour, up to its density, and from there on the screen's own black.
    """

    def __init__(self, blacks: Blacks | None = None, *, width_px: int = 600, scale: float = 1.0):
        super().__init__(width_px, _TOP_PX + _BOTTOM_PX + _ROW_PX, scale)
        self.axes = add_axes(
            self.figure, left_px=_LEFT_PX, right_px=_RIGHT_PX, top_px=_TOP_PX, bottom_px=_BOTTOM_PX,
            xlabel=tr("density and L*, absolute"), grid=False,
        )  # fmt: skip
        self._build_scale()
        self.rows: list[tuple] = []
        self._shown: Blacks | None = None
        if blacks is not None:
            self.update(blacks)

    def _build_scale(self):
        axes = self.axes
        axes.spines["left"].set_visible(False)
        ticks = np.arange(0, 2.7, 0.4)
        lightness = lightness_of_density(ticks)
        axes.set(xlim=_DENSITIES, yticks=[])
        axes.set_xticks(
            ticks,
            [
                f"{numeral(d, '.1f')}\nL* {value:.0f}"
                for d, value in zip(ticks, lightness, strict=True)
            ],
        )
        # each name where its neighbours leave it room
        places = ((1.5, "right", 4), (1.6, "left", 4), (2.1, "center", 22))
        self.bands = []
        for (name, low, high), (x, side, up) in zip(USUAL_BLACK_DENSITIES, places, strict=True):
            self.bands.append(axes.axvspan(low, high, color=GRID, linewidth=0, zorder=0))
            axes.annotate(
                name, (x, 1), (0, 0.72 * up), xycoords=axes.get_xaxis_transform(),
                textcoords="offset points", ha=side, va="bottom", color=QUIET,
                fontsize=SIZE_NOTE, fontfamily=FONT,
            )  # fmt: skip
        axes.annotate(
            tr("Bands: usual for inkjet\n(M. McNamee 2010, published test).\n"
            "0.30 of density is one stop, half the light."),
            (0, 0), (-14, -50), xycoords="axes fraction", textcoords="offset points",
            va="top", color=QUIET, fontsize=SIZE_NOTE, fontfamily=FONT,
        )  # fmt: skip

    def update(self, blacks: Blacks) -> None:
        """Show other `Blacks`."""
        for artists in self.rows:
            for artist in artists:
                artist.remove()
        order = sorted(range(len(blacks.blacks)), key=lambda i: blacks.blacks[i].black_density)
        colours = screen_rgb([black.black_lab for black in blacks.blacks])
        self._shown, self._order = blacks, order
        self.rows = [
            self._row(_ROW_PX * place, blacks.blacks[i], colours[i], blacks.role(i))
            for place, i in enumerate(order)
        ]
        self.axes.set_ylim(_ROW_PX * len(order), 0)
        self.set_size(self.size_px[0], _TOP_PX + _BOTTOM_PX + _ROW_PX * len(order))
        self._fit()

    def _row(self, top: float, black: BlackPoint, tint, role: str) -> tuple:
        from matplotlib.patches import Rectangle

        axes, y = self.axes, top + _ROW_PX - _BAR_PX - 3
        reach = min(black.black_density, _DENSITIES[1])
        bars = [
            axes.add_patch(Rectangle((x, y), width, _BAR_PX, facecolor=face, linewidth=0, zorder=2))
            for x, width, face in ((0, reach, tint), (reach, _DENSITIES[1] - reach, BLACK))
        ]
        (mark,) = axes.plot(
            [reach], [y - 4], marker="v", linestyle="none", zorder=4, clip_on=False,
            markersize=9 if role else 6, color=colour("chosen" if role == "chosen" else "other"),
            markeredgecolor=INK, markeredgewidth=0.6,
        )  # fmt: skip
        name = words(axes, 0, y - 11, va="bottom", zorder=3)
        figures = words(
            axes, _DENSITIES[1], y - 11, va="bottom", ha="right", zorder=3,
            text=tr("{density:.2f} · L* {lightness:.1f} · {ratio} · {stops:.1f} stops",
                    density=black.black_density, lightness=black.black_lab[0],
                    ratio=ratio_words(black.contrast_ratio), stops=black.stops),
        )  # fmt: skip
        name.set_fontweight("bold" if role == "chosen" else "normal")
        return (*bars, mark, name, figures)

    def _fit(self) -> None:
        """Cut the names and the scale's own to the width."""
        wide = self.size_px[0] >= _WHOLE_SCALE_PX
        self.axes.set_xlabel(
            tr("density and L*, absolute, of this picture's black as it will print")
            if wide
            else tr("density and L*, absolute")
        )
        if self._shown is None:
            return
        room = int((self.size_px[0] - _LEFT_PX - _RIGHT_PX - _FIGURES_PX) / (1.1 * LETTER_PX))
        for artists, i in zip(self.rows, self._order, strict=True):
            role = self._shown.role(i)
            tail = " (" + tr("other") + ")" if role == "other" else ""
            artists[-2].set_text(shorter(self._shown.blacks[i].name, room - len(tail)) + tail)

    def alt_text(self, blacks: Blacks) -> str:
        """The scale in words."""
        rows = sorted(blacks.blacks, key=lambda black: black.black_density)
        said = "; ".join(
            tr(
                "{name}: {density:.2f}, L* {lightness:.1f}, {ratio}",
                name=black.name,
                density=black.black_density,
                lightness=black.black_lab[0],
                ratio=ratio_words(black.contrast_ratio),
            )
            for black in rows
        )
        return tr(
            "{picture_black}: absolute density, shallowest first. {said}",
            picture_black=PICTURE_BLACK,
            said=said,
        )


def ratio_words(ratio: float) -> str:
    """A contrast ratio such as “42:1”."""
    return f"{numeral(ratio, '.0f' if ratio >= 10 else '.1f')}:1"
