"""Black on paper: the tone curve with its merging shadows, and papers' blacks on one scale."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from workbench.analysis.black import USUAL_BLACK_DENSITIES, BlackPoint, ToneCurve
from workbench.colour.engine import transform
from workbench.colour.lab import density, lightness_of_density
from workbench.colour.spaces import standard_profile
from workbench.figures.live import LiveFigure
from workbench.figures.style import (
    BLACK,
    FONT,
    GRID,
    INK,
    QUIET,
    SIZE_NOTE,
    add_axes,
    colour,
    legend,
    line,
    words,
)

INTENT_WORDS = {
    "relative": "relative colorimetric",
    "perceptual": "perceptual",
    "saturation": "saturation",
    "absolute": "absolute colorimetric",
}
# picture L* up to which the second axes enlarge the shadows, and print L* there
SHADOWS_TO = 30.0
_PRINT_TO = 42.0
_DENSITIES = (0.0, 2.6)
_MERGED = colour("too_dark")
_DASHED = (0, (6, 2))


def rendering_words(intent: str, black_point_compensation: bool) -> str:
    """An intent and its compensation, such as “relative colorimetric, compensated”."""
    name = INTENT_WORDS[intent]
    if intent == "absolute":
        return name
    return f"{name}, {'compensated' if black_point_compensation else 'not compensated'}"


def short_name(name: str, longest: int = 30) -> str:
    """A paper's name, cut where it is too long for a plot."""
    return name if len(name) <= longest else name[: longest - 1].rstrip() + "…"


@dataclass(frozen=True, eq=False)
class Tones:
    """What `ToneFigure` shows: a paper's shadows, all its curves, and another paper's shadows."""

    chosen: BlackPoint
    curves: tuple[ToneCurve, ...] = field(repr=False, default=())
    other: BlackPoint | None = None


class ToneFigure(LiveFigure):
    """From picture lightness to print lightness, the whole scale and the shadows enlarged.

    ``update(tones)`` takes `Tones`.  The chosen curve is strong, the paper's other intents
    faint, the other paper's curve dashed; the range that merges is shaded, and each dot
    is one of the picture's 256 grey levels.
    """

    def __init__(self, tones: Tones | None = None, *, width_px: int = 1040, height_px: int = 430,
                 scale: float = 1.0):  # fmt: skip
        super().__init__(width_px, height_px, scale)
        self._still_of: tuple = ()
        self.whole = add_axes(
            self.figure, left_px=58, right_px=22, top_px=36, span_x=(0, 0.55),
            xlabel="L* in the picture", ylabel="L* on paper (absolute)",
            title="From picture to print",
        )  # fmt: skip
        self.shadows = add_axes(
            self.figure, left_px=46, right_px=16, top_px=36, span_x=(0.55, 1),
            xlabel="L* in the picture", title="The shadows, enlarged",
        )  # fmt: skip
        self.whole.set(xlim=(0, 100), ylim=(0, 104))
        self.shadows.set(xlim=(0, SHADOWS_TO), ylim=(0, _PRINT_TO))
        self._build_still()
        self._build_moving()
        if tones is not None:
            self.update(tones)

    def _build_still(self):
        self.faint = {axes: [] for axes in (self.whole, self.shadows)}
        for axes, curves in self.faint.items():
            line(axes, [0, 100], [0, 100], "picture", dashes=4, linewidth=1.2)
            for _ in range(7):
                curves.append(line(axes, [], [], "paper", linewidth=1.0, alpha=0.45))
        self.ends = [
            self.whole.axhline(0, color=QUIET, linewidth=0.9, linestyle=(0, (1, 2)))
            for _ in range(2)
        ]
        self.end_words = [
            words(self.whole, 2, 0, quiet=True, va="top"),
            words(self.whole, 99, 0, quiet=True, va="bottom", ha="right"),
        ]

    def _build_moving(self):
        from matplotlib.lines import Line2D
        from matplotlib.patches import Rectangle

        self.chosen, self.other, self.merged, self.mark = {}, {}, {}, {}
        for axes in (self.whole, self.shadows):
            span = Rectangle((0, 0), 0, 1, transform=axes.get_xaxis_transform())
            span.set(facecolor=_MERGED, edgecolor="none", alpha=0.22, zorder=2)
            self.merged[axes] = self.moving(axes.add_patch(span))
            self.other[axes] = self.moving(line(axes, [], [], "other", dashes=1, zorder=3))
            self.chosen[axes] = self.moving(line(axes, [], [], "paper", linewidth=2.6, zorder=4))
            self.mark[axes] = self.moving(
                line(axes, [], [], "chosen", linewidth=1.6, zorder=6)
            )
        dots = {"linestyle": "none", "markersize": 4.2, "zorder": 5}
        self.apart_levels, self.merged_levels = self.moving(
            *(
                self.shadows.add_line(Line2D([], [], marker="o", color=tint, **dots))
                for tint in (colour("paper"), _MERGED)
            )
        )
        # words are the dearest to draw: one line of them moves, no more
        self.note = self.moving(
            words(self.shadows, 0.03, 0.985, transform=self.shadows.transAxes, va="top")
        )

    def update(self, tones: Tones) -> None:
        """Show other `Tones`."""
        chosen, other = tones.chosen, tones.other
        self._update_still(tones)
        x, y = chosen.curve.source_lightness, chosen.curve.print_lightness
        last = chosen.merged_levels
        for axes in (self.whole, self.shadows):
            self.chosen[axes].set_data(x, y)
            self.other[axes].set_visible(other is not None)
            if other is not None:
                self.other[axes].set_data(
                    other.curve.source_lightness, other.curve.print_lightness
                )
            self.merged[axes].set_width(chosen.merged_lightness)
            self.mark[axes].set_data([x[last], x[last]], [0, y[last]])
        end = int(np.searchsorted(x, SHADOWS_TO, side="right"))
        self.merged_levels.set_data(x[: last + 1], y[: last + 1])
        self.apart_levels.set_data(x[last + 1 : end], y[last + 1 : end])
        self.note.set_text(_merging(chosen))

    def _update_still(self, tones: Tones) -> None:
        """What changes with paper and intent only: touching it has the plot drawn anew."""
        chosen, other = tones.chosen, tones.other
        key = (
            tuple(map(id, tones.curves)), chosen.name, chosen.white_lab, chosen.black_lab,
            chosen.intent, chosen.black_point_compensation, other and other.name,
        )  # fmt: skip
        if key == self._still_of:
            return
        self._still_of = key
        for lines in self.faint.values():
            for number, artist in enumerate(lines):
                curve = tones.curves[number] if number < len(tones.curves) else None
                artist.set_data(
                    ([], [])
                    if curve is None
                    else (curve.source_lightness, curve.print_lightness)
                )
        white, black = chosen.white_lab[0], chosen.black_lab[0]
        for end, lightness in zip(self.ends, (white, black), strict=True):
            end.set_ydata([lightness, lightness])
        self.end_words[0].set(
            y=white - 1, text=f"white: L* {white:.1f}, density {float(density(white)):.2f}"
        )
        self.end_words[1].set(
            y=black + 1, text=f"black: L* {black:.1f}, density {chosen.black_density:.2f}"
        )
        self._explain(chosen, other)

    def _explain(self, chosen, other) -> None:
        from matplotlib.lines import Line2D

        lines = [
            (Line2D([], [], color=colour("paper"), linewidth=2.6), short_name(chosen.name)),
            (Line2D([], [], color=colour("paper"), linewidth=1.0, alpha=0.45), "its other intents"),
            (Line2D([], [], color=colour("picture"), linewidth=1.2, linestyle=(0, (1, 1))),
             "without a paper"),
        ]  # fmt: skip
        if other is not None:
            shown = Line2D([], [], color=colour("other"), linewidth=2, linestyle=_DASHED)
            lines.insert(1, (shown, short_name(other.name)))
        handles, labels = zip(*lines, strict=True)
        legend(self.whole, handles, labels, loc="upper left", bbox_to_anchor=(0.0, 0.875),
               borderaxespad=0.2)  # fmt: skip

    def alt_text(self, tones: Tones) -> str:
        """The plot in words."""
        chosen, other = tones.chosen, tones.other
        text = (
            f"Curve from picture lightness to print lightness on {chosen.name}, "
            f"{rendering_words(chosen.intent, chosen.black_point_compensation)}: from black at "
            f"L* {chosen.black_lab[0]:.1f} to white at L* {chosen.white_lab[0]:.1f}, absolute. "
            f"{_merging(chosen)}."
        )
        if other is not None:
            text += f" On {other.name}: {other.merged_levels}."
        return text


def _merging(black: BlackPoint) -> str:
    levels = "level merges" if black.merged_levels == 1 else "levels merge"
    return f"{black.merged_levels} {levels}, up to L* {black.merged_lightness:.1f}"


@dataclass(frozen=True, eq=False)
class Blacks:
    """What `ScaleFigure` shows: blacks with the places of the chosen and the other paper."""

    blacks: tuple[BlackPoint, ...]
    chosen: int = 0
    other: int | None = None

    def role(self, index: int) -> str:
        """“chosen”, “other” or nothing."""
        return {self.chosen: "chosen", self.other: "other"}.get(index, "")


_ROW_PX, _BAR_PX, _TOP_PX, _BOTTOM_PX = 50, 17, 48, 108
_LETTER_PX = 8.2  # of a name, at the widest
_FIGURES_PX = 230  # beside the names
_LEFT_PX, _RIGHT_PX = 28, 24


class ScaleFigure(LiveFigure):
    """Blacks of papers on one scale of density, shallowest first.

    ``update(blacks)`` takes `Blacks`.  Each bar has the paper's black, in its real
    colour, up to its density, and from there on the screen's own black.
    """

    def __init__(self, blacks: Blacks | None = None, *, width_px: int = 600, scale: float = 1.0):
        super().__init__(width_px, _TOP_PX + _BOTTOM_PX + _ROW_PX, scale)
        self.axes = add_axes(
            self.figure, left_px=_LEFT_PX, right_px=_RIGHT_PX, top_px=_TOP_PX, bottom_px=_BOTTOM_PX,
            xlabel="density of black, and L* (both absolute)", grid=False,
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
            ticks, [f"{d:.1f}\nL* {value:.0f}" for d, value in zip(ticks, lightness, strict=True)]
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
            "Bands: usual for inkjet (M. McNamee 2010, published test).\n"
            "0.30 of density is one stop, half the light.",
            (0, 0), (-14, -50), xycoords="axes fraction", textcoords="offset points",
            va="top", color=QUIET, fontsize=SIZE_NOTE, fontfamily=FONT,
        )  # fmt: skip

    def set_size(self, width_px: int, height_px: int | None = None) -> bool:
        """As for every live figure; the names are cut to the new width."""
        with self.lock:
            changed = super().set_size(width_px, height_px)
            if changed:
                self._name_rows()
            return changed

    def update(self, blacks: Blacks) -> None:
        """Show other `Blacks`."""
        if not self.differs(blacks):
            return
        for artists in self.rows:
            for artist in artists:
                artist.remove()
        order = sorted(range(len(blacks.blacks)), key=lambda i: blacks.blacks[i].black_density)
        colours = display_colours([black.black_lab for black in blacks.blacks])
        self._shown, self._order = blacks, order
        self.rows = [
            self._row(_ROW_PX * place, blacks.blacks[i], colours[i], blacks.role(i))
            for place, i in enumerate(order)
        ]
        self.axes.set_ylim(_ROW_PX * len(order), 0)
        self.set_size(self.size_px[0], _TOP_PX + _BOTTOM_PX + _ROW_PX * len(order))
        self._name_rows()

    def differs(self, blacks: Blacks) -> bool:
        """Whether these would look other than what is shown."""
        return self._shown is None or _looks(blacks) != _looks(self._shown)

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
            text=f"{black.black_density:.2f} · L* {black.black_lab[0]:.1f} · "
            f"{ratio_words(black.contrast_ratio)} · {black.stops:.1f} stops",
        )  # fmt: skip
        name.set_fontweight("bold" if role == "chosen" else "normal")
        return (*bars, mark, name, figures)

    def _name_rows(self) -> None:
        if self._shown is None:
            return
        room = int((self.size_px[0] - _LEFT_PX - _RIGHT_PX - _FIGURES_PX) / _LETTER_PX)
        for artists, i in zip(self.rows, self._order, strict=True):
            role = self._shown.role(i)
            tail = f" ({role})" if role == "other" else ""
            artists[-2].set_text(short_name(self._shown.blacks[i].name, room - len(tail)) + tail)

    def alt_text(self, blacks: Blacks) -> str:
        """The scale in words."""
        rows = sorted(blacks.blacks, key=lambda black: black.black_density)
        return "Density of black, absolute, shallowest first. " + "; ".join(
            f"{b.name}: {b.black_density:.2f}, L* {b.black_lab[0]:.1f}, {ratio_words(b.contrast_ratio)}"
            for b in rows
        )


def _looks(blacks: Blacks) -> tuple:
    rows = tuple((black.name, black.black_lab, black.white_lab) for black in blacks.blacks)
    return rows, blacks.chosen, blacks.other


def ratio_words(ratio: float) -> str:
    """A contrast ratio such as “42:1”."""
    return f"{ratio:.0f}:1" if ratio >= 10 else f"{ratio:.1f}:1"


def display_colours(lab) -> np.ndarray:
    """(n, 3) sRGB 0..1 of (n, 3) absolute Lab, the perfect diffuser as the screen's white."""
    lab = np.asarray(lab, float).reshape(-1, 3)
    return np.clip(transform(lab, "lab", standard_profile("sRGB")), 0, 1)
