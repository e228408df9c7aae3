"""How many patches are how far off, and each limit with what was found."""

from __future__ import annotations

import numpy as np

from workbench.figures.style import GRID, INK, colour, shorter, words
from workbench.figures.target import Held, HeldPlots
from workbench.language import numeral, tr

_STEP = 0.5
_FARTHEST = 12.0
_BAR = 0.42
# a bar is cut at so many times its limit
_MOST_TIMES = 2.0


class LimitsFigure(HeldPlots):
    """Left: patches by their CIEDE2000, with mean and 95th percentile.  Right: the limits.

    ``update(held)`` takes a `Held` with its verdict.  A bar that ends before the line
    keeps to its limit; beyond the line it is hatched.
    """

    STACKED_HEIGHT_PX, LOWER = 680, 0.58

    def __init__(self, width_px: int = 1040, height_px: int = 360, scale: float = 1.0):
        super().__init__(
            width_px, height_px, scale,
            {"left_px": 58, "xlabel": tr("CIEDE2000 (absolute)"), "ylabel": tr("patches"),
             "title": tr("How far off the patches are")},
            {"left_px": 16, "xlabel": tr("share of what is allowed"), "title": tr("Limits"),
             "grid": False},
        )  # fmt: skip
        self.counts, self.limits = self.plots
        self.limits.spines["left"].set_visible(False)
        self.limits.tick_params(labelleft=False, left=False)

    def update(self, held: Held) -> None:
        """Show another `Held`."""
        self._held = held
        self._draw_counts(held)
        self._draw_limits(held)

    def _draw_counts(self, held: Held) -> None:
        from matplotlib.ticker import MaxNLocator

        axes = self.counts
        _empty(axes)
        most = float(np.clip(np.ceil(held.difference.max() / _STEP) * _STEP, 4, _FARTHEST))
        edges = np.arange(0, most + _STEP / 2, _STEP)
        counts, _ = np.histogram(np.minimum(held.difference, most - 1e-9), edges)
        axes.bar(edges[:-1], counts, width=_STEP, align="edge", color=colour("paper"),
                 edgecolor="white", linewidth=0.8)  # fmt: skip
        top = max(counts.max() * 1.34, 4)
        found = held.judged
        mean = held.difference.mean() if found is None else found.mean
        ninety = np.percentile(held.difference, 95)
        for value, name, dashes, height in (
            (mean, tr("mean"), "-", 0.98),
            (ninety, tr("95th percentile"), (0, (5, 2)), 0.88),
        ):
            shown = min(float(value), most)
            axes.plot([shown, shown], [0, top * (height - 0.09)], color=INK, linestyle=dashes,
                      linewidth=1.6)  # fmt: skip
            left = shown > 0.6 * most
            words(axes, shown + (0.01 if left else -0.01) * most, height * top,
                  f"{name} {numeral(value, '.1f')}", ha="right" if left else "left", va="top")  # fmt: skip
        axes.set(xlim=(0, most), ylim=(0, top))
        ticks = np.arange(0, most + 0.1, 1 if most <= 8 else 2)
        names = [numeral(tick) for tick in ticks]
        if held.difference.max() > most:
            names[-1] += "+"
        axes.set_xticks(ticks, names)
        axes.yaxis.set_major_locator(MaxNLocator(5, integer=True))

    def _draw_limits(self, held: Held) -> None:
        axes = self.limits
        _empty(axes)
        outcomes = held.judged.outcomes if held.judged is not None else ()
        for row, outcome in enumerate(outcomes):
            share = outcome.value / outcome.at_most if outcome.at_most else _MOST_TIMES
            bar = axes.barh(
                row + 0.24, min(share, _MOST_TIMES), height=_BAR,
                color=colour("good" if outcome.passed else "problem"),
            )[0]  # fmt: skip
            if not outcome.passed:
                bar.set(hatch="////", edgecolor="white", linewidth=0)
            axes.barh(row + 0.24, _MOST_TIMES, height=_BAR, color="none", edgecolor=GRID)
            axes.plot([1, 1], [row - 0.04, row + 0.52], color=INK, linewidth=1.8)
            sign = "✓" if outcome.passed else tr("over")
            words(axes, 0.01, row - 0.06, self._name(outcome), va="bottom")
            words(
                axes, _MOST_TIMES, row - 0.06,
                tr("{value:.2f} of {at_most:g}  {sign}",
                   value=outcome.value, at_most=outcome.at_most, sign=sign),
                ha="right", va="bottom",
                fontweight="normal" if outcome.passed else "bold",
            )  # fmt: skip
        axes.set(xlim=(0, _MOST_TIMES), ylim=(max(len(outcomes), 1) - 0.3, -0.65))
        axes.set_xticks([0, 0.5, 1, 1.5, 2], ["0", "½", tr("allowed"), "1½", "2+"])
        if held.judged is not None:
            axes.set_title(
                tr("Limits: {tolerances}", tolerances=held.judged.tolerances),
                loc="left",
                pad=10,
                color=INK,
            )

    def _name(self, outcome) -> str:
        """The limit's name and unit, shortened where there is little room."""
        share = 1 if self.stacked else 0.54
        room = int((share * self.size_px[0] - 165) / 7.2)
        full = f"{outcome.name}, {outcome.unit}"
        return full if len(full) <= room else shorter(outcome.name, room)

    def alt_text(self, held: Held) -> str:
        """The figure in words."""
        if held.judged is None:
            return tr("Differences of {count} patches.", count=len(held.target))
        said = "; ".join(
            tr(
                "{name} {value:.2f} of {at_most:g}, {sign}",
                name=o.name,
                value=o.value,
                at_most=o.at_most,
                sign=tr("kept") if o.passed else tr("over"),
            )
            for o in held.judged.outcomes
        )
        return tr("Limits of “{tolerances}”: {said}.", tolerances=held.judged.tolerances, said=said)


def _empty(axes) -> None:
    for artist in (*axes.patches, *axes.lines, *axes.texts, *axes.collections):
        artist.remove()
    axes.containers.clear()
