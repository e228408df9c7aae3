"""The target's page, each patch split: as expected and as found, with their difference."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import numpy as np

from workbench.colour.engine import transform
from workbench.colour.spaces import standard_profile
from workbench.figures.live import LiveFigure
from workbench.figures.on_screen import screen_rgb
from workbench.figures.style import add_axes, colour, words
from workbench.figures.two_plots import TwoPlots
from workbench.language import numeral, tr
from workbench.target.draw import target_picture
from workbench.target.drift import Drift
from workbench.target.geometry import PATCH, geometry_of
from workbench.target.measured import Measured
from workbench.target.patches import COLUMNS, SPACE, Target
from workbench.target.verdict import Verdict

_GAP = 0.06
# narrower cells have no room for a number
_NUMBER_PX = 38


# at which the page is drawn to be looked at
_PAGE_PPI = 100


@dataclass(frozen=True, eq=False)
class ShownPage:
    """A target's page as screens show it, before it is converted for the paper.

    Attributes
    ----------
    target : the `Target`.
    pixels : (h, w, 3) uint8 sRGB.
    width_mm, height_mm : about as large as it will be.
    """

    target: Target
    pixels: np.ndarray = field(repr=False)
    width_mm: float
    height_mm: float


def shown_page(target: Target, patch_mm: float, long_side_px: int) -> ShownPage:
    """A small picture of the page that `write_target` makes; raises as `target_picture`."""
    drawn = target_picture(target, ppi=_PAGE_PPI, patch_mm=patch_mm).picture
    small = drawn.preview(long_side_px)
    seen = transform(small, standard_profile(SPACE), standard_profile("sRGB"))
    page, step_mm = geometry_of(target), patch_mm / PATCH
    return ShownPage(
        target, (seen >> 8).astype(np.uint8), page.width * step_mm, page.height * step_mm
    )


@dataclass(frozen=True, eq=False)
class Held:
    """Colours of a target held against others: what all figures of the target show.

    Attributes
    ----------
    target : the `Target`.
    expected, found : (n, 3) absolute Lab.
    difference : (n,) CIEDE2000.
    expected_word, found_word : such as "expected" and "measured".
    limit : CIEDE2000 over which a patch is marked; None marks none.
    judged : the `Verdict`, or None.
    """

    target: Target
    expected: np.ndarray = field(repr=False)
    found: np.ndarray = field(repr=False)
    difference: np.ndarray = field(repr=False)
    expected_word: str = tr("expected")
    found_word: str = tr("measured")
    limit: float | None = None
    judged: Verdict | None = None


def held_verdict(measured: Measured, judged: Verdict) -> Held:
    """A verdict for the figures."""
    found = {outcome.key: outcome.at_most for outcome in judged.outcomes}
    return Held(
        target=measured.target,
        expected=measured.target.reference_lab,
        found=measured.lab,
        difference=judged.difference,
        found_word=tr("seen in the scan") if measured.caveat else tr("measured"),
        limit=found.get("worst", found.get("percentile_95")),
        judged=judged,
    )


def held_drift(now: Measured, before: Measured, moved: Drift) -> Held:
    """A drift for the figures."""
    return Held(
        target=now.target,
        expected=before.lab,
        found=now.lab,
        difference=moved.difference,
        expected_word=tr("before"),
        found_word=tr("now"),
    )


class HeldPlots(TwoPlots):
    """Base of two plots of a `Held`."""

    def __init__(self, width_px: int, height_px: int, scale: float, left: dict, right: dict):
        super().__init__(width_px, height_px, scale)
        self._held: Held | None = None
        self.plots = (
            add_axes(self.figure, right_px=18, span_x=(0, self.SPLIT), **left),
            add_axes(self.figure, right_px=18, span_x=(self.SPLIT, 1), **right),
        )

    def _fit(self) -> None:
        if self._held is not None:
            self.update(self._held)


class PatchesFigure(LiveFigure):
    """All patches in their places, upper left as expected, lower right as found.

    ``update(held)`` takes a `Held`.  The number is CIEDE2000; a patch beyond the limit has
    a frame and a bold number, so that colour alone says nothing.
    """

    def __init__(self, width_px: int = 1040, height_px: int = 390, scale: float = 1.0):
        super().__init__(width_px, height_px, scale)
        self._held: Held | None = None
        self.axes = add_axes(
            self.figure, left_px=30, right_px=12, top_px=62, bottom_px=12, grid=False
        )
        for spine in self.axes.spines.values():
            spine.set_visible(False)
        self.axes.tick_params(length=0, labelbottom=False, labeltop=True)
        self.legend_words = words(self.figure, 0.01, 0.99, va="top", quiet=True)
        self._cells: Any = None
        self._numbers: list[Any] = []

    def _fit(self) -> None:
        """Leave numbers away where cells are too narrow."""
        if self._held is not None:
            self._number(self._held)
            self._explain(self._held)

    def update(self, held: Held) -> None:
        """Show another `Held`."""
        count = len(held.target)
        if self._cells is None or len(self._numbers) != count:
            self._build(count)
        self._held = held
        tints = np.empty((2 * count, 3))
        tints[0::2], tints[1::2] = screen_rgb(held.expected), screen_rgb(held.found)
        self._cells.set_facecolor(tints)
        beyond = _beyond(held)
        self._frames.set_linewidths(np.where(beyond, 3.0, 0.0))
        self._number(held)
        self._explain(held)

    def _build(self, count: int) -> None:
        from matplotlib.collections import PolyCollection

        rows = -(-count // COLUMNS)
        axes, halves, frames = self.axes, [], []
        for index in range(count):
            x, y = index % COLUMNS, index // COLUMNS
            left, right, top, bottom = x + _GAP, x + 1 - _GAP, y + _GAP, y + 1 - _GAP
            halves.append([(left, top), (right, top), (left, bottom)])
            halves.append([(right, top), (right, bottom), (left, bottom)])
            frames.append([(left, top), (right, top), (right, bottom), (left, bottom)])
        # smoothed edges would let a line of paper through between equal halves
        self._cells = axes.add_collection(
            PolyCollection(halves, edgecolors="none", antialiaseds=False)
        )
        self._frames = axes.add_collection(
            PolyCollection(frames, facecolors="none", edgecolors=colour("problem"), zorder=3)
        )
        self._numbers = [
            words(axes, i % COLUMNS + 0.5, i // COLUMNS + 0.5, ha="center", va="center", zorder=4)
            for i in range(count)
        ]
        axes.set(xlim=(0, COLUMNS), ylim=(rows, 0))
        axes.set_xticks(np.arange(COLUMNS) + 0.5, [str(c + 1) for c in range(COLUMNS)])
        axes.set_yticks(np.arange(rows) + 0.5, [chr(ord("A") + r) for r in range(rows)])

    def _number(self, held: Held) -> None:
        room = (self.size_px[0] - 42) / COLUMNS
        beyond = _beyond(held)
        middle = (held.expected[:, 0] + held.found[:, 0]) / 2
        for i, text in enumerate(self._numbers):
            text.set_visible(room >= _NUMBER_PX)
            text.set_text(numeral(held.difference[i], ".1f"))
            # fixed colours: the patches are the same on dark pages
            text.set_color("#101010" if middle[i] > 55 else "#ffffff")
            text.set_fontweight("bold" if beyond[i] else "normal")

    def _explain(self, held: Held) -> None:
        wide = self.size_px[0] > 640
        more = []
        if (self.size_px[0] - 42) / COLUMNS >= _NUMBER_PX:
            more.append(tr("the number is CIEDE2000 (absolute)"))
        if held.limit is not None:
            more.append(tr("framed: over {limit:g}", limit=held.limit))
        said = tr(
            "Upper left {expected}, lower right {found}",
            expected=held.expected_word,
            found=held.found_word,
        )
        if more:
            said += f"{'; ' if wide else chr(10)}{'; '.join(more)}"
        self.legend_words.set_text(said)

    def alt_text(self, held: Held) -> str:
        """The figure in words."""
        order = np.argsort(-held.difference)[:3]
        worst = ", ".join(
            f"{held.target.ids[i]} {numeral(held.difference[i], '.1f')}" for i in order
        )
        text = tr(
            "{count} patches, {expected} beside {found}. Farthest apart, "
            "CIEDE2000 of absolute Lab: {worst}.",
            count=len(held.target),
            expected=held.expected_word,
            found=held.found_word,
            worst=worst,
        )
        if held.limit is not None:
            over = int(_beyond(held).sum())
            text += " " + tr("{count} are over {limit:g}.", count=over, limit=held.limit)
        return text


def _beyond(held: Held) -> np.ndarray:
    if held.limit is None:
        return np.zeros(len(held.target), bool)
    return held.difference > held.limit + 1e-9
