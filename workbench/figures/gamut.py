"""How far a paper moves a picture's colours, which they are, and why.

Shares of the picture are drawn as their square roots, so that 1 % can be seen
beside 100 %; the axis is labelled in percent all the same.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from workbench.analysis.counts import REASON_WORDS, STEP
from workbench.analysis.gamut import ColourShift, GamutReport
from workbench.analysis.words import HUE_CENTRES_DEG, HUE_WORDS, percent
from workbench.figures.live import LiveFigure
from workbench.figures.on_screen import screen_rgb
from workbench.figures.style import (
    CARD,
    GRID,
    INK,
    QUIET,
    SIZE_LABEL,
    add_axes,
    colour,
    legend,
    line,
    style_axes,
    words,
)
from workbench.language import LANGUAGE, numeral, tr

_TICKS = (0, 0.01, 0.05, 0.1, 0.25, 0.5, 1)
# ends of the distance axis, and the width of a column for each
_SPANS = {10.0: 0.5, 15.0: 0.5, 20.0: 1.0, 30.0: 1.0, 40.0: 2.0, 60.0: 2.0}
# where bars by reason, by lightness and by hue stand, across and upwards
_WIDE = ((0, 0.48), (0.46, 1)), ((0, 0.48), (0, 0.5)), ((0.48, 1), (0, 1))
_STACKED = ((0, 1), (0.77, 1)), ((0, 1), (0.54, 0.77)), ((0, 1), (0, 0.54))
# other languages have longer names
_NARROW_PX, _STACKED_HEIGHT_PX, _NAMES_PX = 460, 500, 98 if LANGUAGE == "en" else 118


def height(share):
    """Where a share 0..1 lies on the axis of shares, 0..1."""
    return np.sqrt(share)


class DistributionFigure(LiveFigure):
    """Share of the picture over CIEDE2000 distance, with the threshold and what lies past it.

    Columns hold the pixels at each distance from the wish to what the paper holds; the
    line says how many lie further than each; dashed, how many are moved further from
    picture to print.
    """

    _shown: tuple = ()

    def __init__(self, width_px: int = 510, height_px: int = 300, scale: float = 1.0):
        super().__init__(width_px, height_px, scale=scale)
        from matplotlib.patches import Patch, Polygon

        axes = self._axes = add_axes(
            self.figure,
            left_px=62,
            top_px=60,
            bottom_px=50,
            xlabel=tr("distance (CIEDE2000)"),
            ylabel=tr("share of the picture (%)"),
            title=tr("How far out of gamut"),
        )
        axes.title.set_position((0, 1))
        axes.set_title(axes.get_title(loc="left"), loc="left", pad=26, fontsize=12, color=INK)
        axes.set(xlim=(0, 10), ylim=(0, 1))
        axes.set_yticks([height(t) for t in _TICKS], [numeral(100 * t) for t in _TICKS])
        blank = np.zeros((1, 2))
        style: dict[str, Any] = {"edgecolor": "none", "linewidth": 0}
        self.noise = self.moving(Polygon(blank, facecolor=GRID, zorder=1, **style))
        self.inside = self.moving(Polygon(blank, facecolor=QUIET, alpha=0.45, zorder=2, **style))
        self.outside = self.moving(
            Polygon(blank, facecolor=colour("outside"), alpha=0.75, zorder=2, **style)
        )
        for patch in (self.noise, self.inside, self.outside):
            axes.add_patch(patch)
        self.further = self.moving(line(axes, [], [], "outside", color=INK, zorder=4))
        self.moved = self.moving(line(axes, [], [], "moved", dashes=1, zorder=3))
        self.threshold = self.moving(
            line(axes, [2, 2], [0, 1], "chosen", linewidth=2.5, zorder=5, clip_on=False)
        )
        self.answer = self.moving(line(axes, [], [], "outside", linewidth=0, zorder=6))
        self.answer.set(marker="o", markersize=8, markeredgecolor=CARD)
        self.answer_text = self.moving(
            words(axes, 0, 0, "", size=SIZE_LABEL, zorder=7, va="bottom")
        )
        self.threshold_text = self.moving(
            words(axes, 0, 1, "", transform=axes.get_xaxis_transform(), va="bottom", zorder=7)
        )
        legend(
            axes,
            [
                self.further,
                self.moved,
                Patch(facecolor=QUIET, alpha=0.45),
                Patch(facecolor=colour("outside"), alpha=0.75),
                Patch(facecolor=GRID),
            ],
            [
                tr("out of gamut by more"),
                tr("moved in print by more"),
                tr("pixels held, by distance"),
                tr("pixels outside, by distance"),
                tr("within the profile's noise"),
            ],
            loc="upper right",
            handlelength=2.2,
            labelspacing=0.3,
        )

    def table(self) -> list[tuple]:
        """Share of the picture that lies, or is moved, further than each distance."""
        told = zip((tr("beyond the paper"), tr("moved")), self._shown, strict=False)
        return [
            (
                tr("Distances"),
                name,
                "CIEDE2000",
                STEP * step,
                tr("further, share of the picture"),
                float(y),
            )
            for name, found in told
            for step, y in enumerate(_further(found.distribution))
        ]

    def update(self, result: tuple[GamutReport, ColourShift]) -> None:
        """Show another report and shift."""
        self._shown = report, shift = result
        span = _span(report, shift)
        if self._axes.get_xlim()[1] != span:
            self._axes.set_xlim(0, span)
        edges, columns = _columns(report.distribution, span)
        # the last bin is open: what lies further is in the last column
        self.inside.set_xy(_skyline(edges, columns, 0, report.limit))
        self.outside.set_xy(_skyline(edges, columns, report.limit, span))
        self.noise.set_xy([(0, 0), (0, 1), (report.noise_floor, 1), (report.noise_floor, 0)])
        at = np.arange(len(report.distribution)) * STEP
        self.further.set_data(at, height(_further(report.distribution)))
        self.moved.set_data(at, height(_further(shift.distribution)))
        self.threshold.set_data([report.limit] * 2, [0, 1.04])
        self.threshold_text.set_position((report.limit, 1.05))
        self.threshold_text.set_text(_limit_words(report))
        right = report.limit > 0.78 * span
        self.threshold_text.set_horizontalalignment("right" if right else "left")
        y = float(height(report.share_outside))
        self.answer.set_data([report.limit], [y])
        self.answer_text.set_text(tr("{percent} outside", percent=percent(report.share_outside)))
        gap = 0.02 * span
        # the line falls from the left, so words on that side lie above where they begin
        begin = report.limit - 0.3 * span if right else report.limit
        above = float(np.interp(begin, *self.further.get_data())) + 0.03
        self.answer_text.set_position((report.limit + (-gap if right else gap), above))
        self.answer_text.set_horizontalalignment("right" if right else "left")

    def alt_text(self, report: GamutReport) -> str:
        """The plot in words."""
        return tr(
            "Share of the picture over distance in CIEDE2000: {percent} is out of gamut by "
            "more than {limit:.1f}; 95 % lie within {most:.1f}, the furthest at "
            "{furthest:.1f}.",
            percent=percent(report.share_outside),
            limit=report.limit,
            most=report.percentiles[95],
            furthest=report.percentiles[100],
        )


def _limit_words(report: GamutReport) -> str:
    if report.noise_floor > report.threshold:
        return tr(
            "noise floor {noise:.1f}, above the threshold {threshold:.1f}",
            noise=report.limit,
            threshold=report.threshold,
        )
    return tr("threshold {threshold:.1f}", threshold=report.threshold)


def _span(report: GamutReport, shift: ColourShift) -> float:
    needed = max(report.percentiles[99], shift.percentiles[99], 1.1 * report.limit, 6)
    return next((span for span in _SPANS if span >= 1.05 * needed), max(_SPANS))


def _further(distribution: np.ndarray) -> np.ndarray:
    """Share further than 0, 0.1, 0.2 …, for each step."""
    return np.clip(1 - np.concatenate([[0], np.cumsum(distribution)[:-1]]), 0, 1)


def _columns(distribution: np.ndarray, span: float) -> tuple[np.ndarray, np.ndarray]:
    """Edges of the columns up to ``span`` and the share in each."""
    width = _SPANS[span]
    per = round(width / STEP)
    count = round(span / width)
    columns = distribution[: count * per].reshape(count, per).sum(axis=1)
    columns[-1] += distribution[count * per :].sum()
    return np.arange(count + 1) * width, columns


def _skyline(edges, columns, low: float, high: float) -> np.ndarray:
    """Outline of the columns between two distances."""
    low, high = np.clip([low, high], edges[0], edges[-1])
    left, right = np.clip(edges[:-1], low, high), np.clip(edges[1:], low, high)
    x = np.stack([left, right], axis=1).ravel()
    y = np.repeat(height(columns), 2)
    keep = np.repeat(right > left, 2)
    x, y = x[keep], y[keep]
    if not len(x):
        return np.array([[low, 0.0], [low, 0.0]])
    return np.concatenate([[[x[0], 0]], np.stack([x, y], axis=1), [[x[-1], 0]]])


# keys of a report -> as people read them
_LIGHTNESSES = {"deep": tr("deep"), "middle": tr("middle"), "light": tr("light")}
_NAMES = REASON_WORDS | _LIGHTNESSES | HUE_WORDS
_GROUPS = {"reasons": tr("Reasons"), "lightnesses": tr("Lightnesses"), "hues": tr("Hues")}


class ReasonsFigure(LiveFigure):
    """Bars of the shares outside: by reason, by lightness, and by hue in its own colour.

    In less than 460 px of width the hues stand below the others.
    """

    _shown: GamutReport | None = None

    def __init__(self, width_px: int = 510, height_px: int = 270, scale: float = 1.0):
        super().__init__(width_px, height_px, scale=scale)
        self._wide_height_px = height_px
        greys = screen_rgb([[25, 0, 0], [55, 0, 0], [85, 0, 0]])
        self.groups = {
            "reasons": self._group(
                tr("Why"), REASON_WORDS, [colour("outside")] * len(REASON_WORDS), _WIDE[0]
            ),
            "lightnesses": self._group(tr("How light"), _LIGHTNESSES, greys, _WIDE[1]),
            "hues": self._group(tr("Which hues"), HUE_WORDS, _hue_rgb(), _WIDE[2]),
        }

    def set_size(self, width_px: int, height_px: int | None = None) -> bool:
        """As for every live figure; where it is narrow the groups stand one below the other."""
        with self.lock:
            narrow = width_px < _NARROW_PX
            for axes, spans in zip(self.figure.axes, _STACKED if narrow else _WIDE, strict=True):
                left = max(110, _NAMES_PX) if narrow else _NAMES_PX
                axes.workbench_layout = (left, *axes.workbench_layout[1:4], *spans)
            return super().set_size(
                width_px, height_px or (_STACKED_HEIGHT_PX if narrow else self._wide_height_px)
            )

    def _group(self, title, names: Mapping[str, str], colours, spans):
        axes = add_axes(
            self.figure, left_px=_NAMES_PX, right_px=8, top_px=34, bottom_px=8,
            span_x=spans[0], span_y=spans[1],
        )  # fmt: skip
        style_axes(axes, title=title, grid=False)
        axes.set(xlim=(0, 1.34), ylim=(len(names) - 0.5, -0.5), xticks=[])
        axes.set_yticks(range(len(names)), list(names.values()))
        axes.tick_params(axis="y", length=0)
        axes.spines["bottom"].set_visible(False)
        bars = axes.barh(
            range(len(names)), np.zeros(len(names)), height=0.72, color=colours,
            edgecolor=QUIET, linewidth=0.6,
        )  # fmt: skip
        texts = [words(axes, 0, i, "", va="center") for i in range(len(names))]
        self.moving(*bars, *texts)
        return names, bars, texts

    def table(self) -> list[tuple]:
        """Share of the picture that is out of gamut, by reason, lightness and hue."""
        return [
            (
                _GROUPS[group],
                _NAMES[name],
                "",
                None,
                tr("share of the picture"),
                share,
            )
            for group in self.groups
            for name, share in (getattr(self._shown, group) if self._shown else {}).items()
        ]

    def update(self, result: GamutReport) -> None:
        """Show another report; the longest bar of all fills its room."""
        self._shown = result
        longest = max(max(getattr(result, group).values()) for group in self.groups)
        for group, (names, bars, texts) in self.groups.items():
            shares = getattr(result, group)
            for i, name in enumerate(names):
                length = shares[name] / longest if longest > 0 else 0.0
                bars[i].set_width(length)
                texts[i].set_position((length + 0.03, i))
                texts[i].set_text(percent(shares[name]) if shares[name] >= 0.0005 else "")

    def alt_text(self, report: GamutReport) -> str:
        """The bars in words."""
        hues = sorted(report.hues.items(), key=lambda item: -item[1])[:3]
        named = ", ".join(
            f"{HUE_WORDS[name]} {percent(share)}" for name, share in hues if share > 0
        )
        return tr(
            "Why: {why_sentence} Hues: {hues}.",
            why_sentence=report.why_sentence,
            hues=named or tr("none"),
        )


def _hue_rgb() -> np.ndarray:
    """A colour for each of `HUE_WORDS`; yellows are lighter than blues, as the eye expects."""
    lab = [(60.0, 0.0, 0.0)]
    for centre in HUE_CENTRES_DEG[1:]:
        angle = np.radians(centre)
        lightness = 62 + 20 * np.cos(angle - np.radians(100))
        lab.append((lightness, 52 * np.cos(angle), 52 * np.sin(angle)))
    return screen_rgb(lab)
