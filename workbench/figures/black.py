"""The tone curve from picture to print, with the shadows that merge."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import numpy as np

from workbench.analysis.black import BlackPoint, ToneCurve
from workbench.analysis.words import INTENT_NAMES
from workbench.colour.lab import density
from workbench.figures.live import LiveFigure
from workbench.figures.style import QUIET, add_axes, colour, legend, line, shorter, words
from workbench.figures.two_plots import TwoPlots
from workbench.language import tr

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.lines import Line2D

# picture L* up to which the second axes enlarge the shadows, and print L* there
SHADOWS_TO = 30.0
_PRINT_TO = 42.0
_MERGED = colour("too_dark")
_DASHED = (0, (6, 2))
LETTER_PX = 7.4  # of a name, on the average


def rendering_words(intent: str, black_point_compensation: bool) -> str:
    """An intent and its compensation, such as “relative colorimetric, compensated”."""
    name = INTENT_NAMES[intent]
    if intent == "absolute":
        return name
    if black_point_compensation:
        return tr("{intent}, compensated", intent=name)
    return tr("{intent}, not compensated", intent=name)


@dataclass(frozen=True, eq=False)
class Tones:
    """What `ToneFigure` shows: a paper's shadows, all its curves, and another paper's shadows."""

    chosen: BlackPoint
    curves: tuple[ToneCurve, ...] = field(repr=False, default=())
    other: BlackPoint | None = None


def tone_axes(figure, shadows_print_to: float) -> tuple:
    """Axes for curves from picture to print: all of them, and the shadows up to `SHADOWS_TO`.

    Parameters
    ----------
    shadows_print_to : L* on paper at the top of the shadows' axes.
    """
    whole = add_axes(
        figure, left_px=58, right_px=22, top_px=36, span_x=(0, 0.55),
        xlabel=tr("L* in the picture (relative)"), ylabel=tr("L* on paper (absolute)"),
        title=tr("From picture to print"),
    )  # fmt: skip
    shadows = add_axes(
        figure, left_px=58, right_px=16, top_px=36, span_x=(0.55, 1),
        xlabel=tr("L* in the picture (relative)"), title=tr("The shadows, enlarged"),
    )  # fmt: skip
    twenties = np.arange(0, 101, 20)
    whole.set(xlim=(0, 100), ylim=(0, 104), xticks=twenties, yticks=twenties)
    shadows.set(xlim=(0, SHADOWS_TO), ylim=(0, shadows_print_to))
    shadows.set(xticks=np.arange(0, SHADOWS_TO + 1, 5), yticks=np.arange(0, shadows_print_to, 5))
    return whole, shadows


class TonePlots(TwoPlots):
    """Base of figures with `tone_axes`: the whole scale, and the shadows beside it or below."""

    IN_UNITS = True

    STACKED_HEIGHT_PX, STACKED_BELOW_PX, SPLIT = 700, 640, 0.55
    whole: Axes
    shadows: Axes

    def _fit(self) -> None:
        # side by side both have the one at the left
        self.shadows.set_ylabel(self.whole.get_ylabel() if self.stacked else "")

    def _name_letters(self, share: float) -> int:
        """Letters of a name in the legend, which may take this share of the whole scale."""
        width = self.size_px[0] * (1 if self.stacked else self.SPLIT)
        return int((share * (width - 80) - 45) / LETTER_PX)


class ToneFigure(TonePlots):
    """From picture lightness to print lightness, the whole scale and the shadows enlarged.

    ``update(tones)`` takes `Tones`.  The chosen curve is strong, the paper's other intents
    faint, the other paper's curve dashed; the range that merges is shaded, and each dot
    is one of the picture's 256 grey levels.
    """

    def __init__(self, tones: Tones | None = None, *, width_px: int = 1040, height_px: int = 380,
                 scale: float = 1.0):  # fmt: skip
        super().__init__(width_px, height_px, scale)
        self._still_of: tuple = ()
        self._named: tuple = ()
        self.plots = self.whole, self.shadows = tone_axes(self.figure, _PRINT_TO)
        self._build_still()
        self._build_moving()
        if tones is not None:
            self.update(tones)

    def _fit(self) -> None:
        super()._fit()
        if self._named:
            self._explain(*self._named)

    def _build_still(self):
        self.faint: dict[Axes, list[Line2D]] = {axes: [] for axes in (self.whole, self.shadows)}
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
            self.mark[axes] = self.moving(line(axes, [], [], "chosen", linewidth=1.6, zorder=6))
        dots: dict[str, Any] = {"linestyle": "none", "markersize": 4.2, "zorder": 5}
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

    @classmethod
    def of(cls, result: BlackPoint, width_px: int, height_px: int) -> LiveFigure:
        """The shadows of one paper, with the curve that prints them."""
        return super().of(Tones(result, (result.curve,)), width_px, height_px)

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
                self.other[axes].set_data(other.curve.source_lightness, other.curve.print_lightness)
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
                    ([], []) if curve is None else (curve.source_lightness, curve.print_lightness)
                )
        white, black = chosen.white_lab[0], chosen.black_lab[0]
        for end, lightness in zip(self.ends, (white, black), strict=True):
            end.set_ydata([lightness, lightness])
        self.end_words[0].set(
            y=white - 1,
            text=tr(
                "white: L* {white:.1f}, density {density:.2f}",
                white=white,
                density=float(density(white)),
            ),
        )
        self.end_words[1].set(
            y=black + 1,
            text=tr(
                "this picture's black: L* {black:.1f}, density {density:.2f}",
                black=black,
                density=chosen.black_density,
            ),
        )
        self._named = chosen.name, None if other is None else other.name
        self._explain(*self._named)

    def _explain(self, chosen: str, other: str | None) -> None:
        from matplotlib.lines import Line2D

        # up to where the curves come down to it
        room = self._name_letters(0.75)
        lines = [
            (Line2D([], [], color=colour("paper"), linewidth=2.6), shorter(chosen, room)),
            (Line2D([], [], color=colour("paper"), linewidth=1.0, alpha=0.45), tr("its other intents")),
            (Line2D([], [], color=colour("picture"), linewidth=1.2, linestyle=(0, (1, 1))),
             tr("without a paper")),
        ]  # fmt: skip
        if other is not None:
            shown = Line2D([], [], color=colour("other"), linewidth=2, linestyle=_DASHED)
            lines.insert(1, (shown, shorter(other, room)))
        handles, labels = zip(*lines, strict=True)
        legend(self.whole, handles, labels, loc="upper left", bbox_to_anchor=(0.0, 0.875),
               borderaxespad=0.2)  # fmt: skip

    def alt_text(self, tones: Tones) -> str:
        """The plot in words."""
        chosen, other = tones.chosen, tones.other
        text = tr(
            "Curve from picture lightness to print lightness on {name}, {rendering}: from "
            "this picture's black at L* {black:.1f} to white at L* {white:.1f}, "
            "absolute. {merging}.",
            name=chosen.name,
            rendering=rendering_words(chosen.intent, chosen.black_point_compensation),
            black=chosen.black_lab[0],
            white=chosen.white_lab[0],
            merging=_merging(chosen),
        )
        if other is not None:
            text += " " + tr("On {name}: {levels}.", name=other.name, levels=other.merged_levels)
        return text


def _merging(black: BlackPoint) -> str:
    count, upto = black.merged_levels, black.merged_lightness
    if count == 1:
        return tr("1 level merges, up to L* {upto:.1f}", upto=upto)
    return tr("{count} levels merge, up to L* {upto:.1f}", count=count, upto=upto)
