"""How much contrast a print has as measured, as hung and on a screen, and what becomes of shadows."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from workbench.analysis.screen_answer import ScreenMatch
from workbench.colour.lab import D50_XYZ, luminance_factor, xyz_to_lab
from workbench.figures.black_scale import ratio_words
from workbench.figures.screen_picture import grey_of_lightness
from workbench.figures.screen_rows import NamedRows, names_px
from workbench.figures.style import add_axes, colour, words
from workbench.language import numeral, tr

STEPS = 7
#: lightest of the shadows shown, L* over the paper's white
LIGHTEST = 40.0
_MOST_STOPS = 14
_BARS_PX, _PATCHES_PX, _TOP_PX, _BETWEEN_PX, _BOTTOM_PX, _RIGHT_PX = 108, 76, 16, 82, 16, 24


def shadow_lightness(match: ScreenMatch) -> tuple[np.ndarray, np.ndarray]:
    """L* of the print's neutral shadows as measured and as hung, each over its own paper white.

    (`STEPS`,) each, from the print's black to `LIGHTEST`.
    """
    hung = match.hung
    white = math.pi * match.paper_luminance_cd_m2 / match.illuminance_lux
    black = _lightness(1 / hung.measured_contrast_ratio)
    bare = np.linspace(black, max(LIGHTEST, float(black)), STEPS)
    printed = luminance_factor(bare) * white
    seen = (hung.signal * printed + hung.veil) / (hung.signal * white + hung.veil)
    return bare, _lightness(seen)


def _lightness(factor) -> np.ndarray:
    return xyz_to_lab(np.multiply.outer(factor, D50_XYZ))[..., 0]


class ContrastFigure(NamedRows):
    """Contrast of the print as measured, as hung, and of the screen; shadows before and after.

    ``update(match)`` takes a `ScreenMatch`.  Bars are in stops from black to white; the patches
    below are the print's darkest tones, each row over its own paper white.
    """

    def __init__(
        self, match: ScreenMatch | None = None, *, width_px: int = 720, scale: float = 1.0
    ):
        height = _TOP_PX + _BARS_PX + _BETWEEN_PX + _PATCHES_PX + _BOTTOM_PX
        super().__init__(width_px, height, scale)
        above, below = _TOP_PX + _BARS_PX + _BETWEEN_PX, _BOTTOM_PX + _PATCHES_PX + _BETWEEN_PX
        side: dict[str, Any] = {"left_px": names_px(width_px), "right_px": _RIGHT_PX}
        self.axes = add_axes(
            self.figure, **side, top_px=_TOP_PX, bottom_px=below,
            xlabel=tr("stops, white to black"),
        )  # fmt: skip
        self.axes.xaxis.label.set(x=1, ha="right")
        self.axes.set(xlim=(0, _MOST_STOPS), ylim=(3, 0), yticks=[])
        ticks = range(0, _MOST_STOPS + 1, 2)
        self.axes.set_xticks(ticks, [f"{tick}" for tick in ticks])
        self.axes.grid(False, axis="y")
        self.axes.spines["left"].set_visible(False)
        self.patch_axes = add_axes(
            self.figure, **side, top_px=above, bottom_px=_BOTTOM_PX, grid=False
        )
        self.patch_axes.set(xlim=(0, STEPS), ylim=(2, 0), xticks=[], yticks=[])
        for spine in self.patch_axes.spines.values():
            spine.set_visible(False)
        self._build_bars()
        self._build_patches()
        if match is not None:
            self.update(match)

    def _build_bars(self) -> None:
        from matplotlib.patches import Rectangle

        self.bars, self.figures = [], []
        for n, (label, role) in enumerate(
            ((tr("Print as measured"), "paper"), (tr("Print in its place"), "chosen"),
             (tr("Your screen"), "other"))
        ):  # fmt: skip
            bar = Rectangle((0, n + 0.62), 0, 0.24, facecolor=colour(role), linewidth=0, zorder=2)
            self.bars.append(self.axes.add_patch(bar))
            # above its bar, where no other bar reaches it
            self.figures.append(words(self.axes, 0.06, n + 0.34, va="center", zorder=3))
            self.say(self.name(self.axes, n + 0.72), label)
        self.moving(self.bars[1], self.figures[1])

    def _build_patches(self) -> None:
        from matplotlib.patches import Rectangle

        axes = self.patch_axes
        words(axes, 1, 1.04, tr("Darkest tones, L* over the paper's white"),
              transform=axes.transAxes, va="bottom", ha="right", quiet=True)  # fmt: skip
        self.patches, self.lightness = [], []
        self._lightness: list[float | None] = [None] * (2 * STEPS)
        for y, label in enumerate((tr("as measured"), tr("in its place"))):
            self.say(self.name(axes, y + 0.5), label)
            for x in range(STEPS):
                self.patches.append(axes.add_patch(Rectangle((x, y), 1, 1, linewidth=0)))
                self.lightness.append(
                    words(axes, x + 0.5, y + 0.5, ha="center", va="center", color="#ffffff")
                )
        # what was measured moves with another paper only
        self.moving(*self.patches[STEPS:], *self.lightness[STEPS:])

    def update(self, match: ScreenMatch) -> None:
        """Show another match."""
        ratios = (match.print_contrast_ratio, match.hung_contrast_ratio,
                  match.screen_contrast_ratio)  # fmt: skip
        for bar, figure, ratio in zip(self.bars, self.figures, ratios, strict=True):
            stops = 0.0 if ratio is None else math.log2(ratio)
            if bar.get_width() != min(stops, _MOST_STOPS):
                bar.set_width(min(stops, _MOST_STOPS))
            figure.set_text(contrast_words(ratio))
        shown = np.concatenate(shadow_lightness(match))
        for n, value in enumerate(shown):
            # setting what is there already would have the still parts drawn anew
            if self._lightness[n] != (value := round(float(value), 1)):
                self._lightness[n] = value
                self.patches[n].set_facecolor(str(round(grey_of_lightness(value), 4)))
                self.lightness[n].set_text(f"{value:.0f}")
                self.lightness[n].set_color("#000000" if value > 62 else "#ffffff")

    def alt_text(self, match: ScreenMatch) -> str:
        """The bars and the darkest patch in words."""
        bare, seen = shadow_lightness(match)
        return tr(
            "Contrast of the print as measured: {measured}; in its place: {hung}; of "
            "your screen: {screen}. The print's black, over its paper's white: L* "
            "{bare:.1f} as measured, L* {seen:.1f} in its place.",
            measured=contrast_words(match.print_contrast_ratio),
            hung=contrast_words(match.hung_contrast_ratio),
            screen=contrast_words(match.screen_contrast_ratio),
            bare=bare[0],
            seen=seen[0],
        )


def contrast_words(ratio: float | None) -> str:
    """A contrast ratio, and its stops."""
    if ratio is None:
        return tr("not known")
    said = f"{numeral(ratio, ',.0f')}:1" if ratio >= 1000 else ratio_words(ratio)
    return tr("{ratio}, {stops:.1f} stops", ratio=said, stops=math.log2(ratio))
