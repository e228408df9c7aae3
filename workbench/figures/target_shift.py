"""Where the colours drift: in the a*b* plane, and greys along the lightness scale."""

from __future__ import annotations

import numpy as np

from workbench.analysis.words import signed
from workbench.figures.on_screen import screen_rgb
from workbench.figures.style import INK, QUIET, colour, legend, words
from workbench.figures.target import Held, HeldPlots
from workbench.language import tr

_TIMES = (1, 2, 3, 5, 10, 20)
# length of a long arrow in units of a* and b*, once exaggerated
_ARROW = 14.0


def exaggeration(shifts: np.ndarray) -> int:
    """How many times as long as the shift an arrow is drawn: one of 1, 2, 3, 5, 10, 20.

    Parameters
    ----------
    shifts : (n, 2) in a* and b*.
    """
    long = float(np.percentile(np.hypot(*np.asarray(shifts).T), 90))
    fitting = [times for times in _TIMES if times * long <= _ARROW]
    return fitting[-1] if fitting else 1


class ShiftFigure(HeldPlots):
    """Left: arrows from where colours should be to where they went, exaggerated, which it says.

    Right: greys by lightness, with what they are off in L*, a* and b*.  ``update(held)``
    takes a `Held`.
    """

    STACKED_HEIGHT_PX = 860

    def __init__(self, width_px: int = 1040, height_px: int = 440, scale: float = 1.0):
        super().__init__(
            width_px, height_px, scale,
            {"left_px": 72, "top_px": 58, "xlabel": tr("a*, absolute (greener to redder)"),
             "ylabel": tr("b*, absolute (bluer to yellower)")},
            {"left_px": 58, "top_px": 58, "xlabel": tr("L* of the grey (absolute)"),
             "ylabel": tr("off by (absolute)")},
        )  # fmt: skip
        self.plane, self.greys = self.plots
        self.note = words(self.plane, 0.0, 1.015, transform=self.plane.transAxes, quiet=True,
                          va="bottom")  # fmt: skip
        self.plane.set_title(tr("Colours"), loc="left", pad=26, color=INK)
        self.greys.set_title(tr("Greys"), loc="left", pad=26, color=INK)

    def update(self, held: Held) -> None:
        """Show another `Held`."""
        self._held = held
        self._draw_plane(held)
        self._draw_greys(held)

    def _draw_plane(self, held: Held) -> None:
        axes = self.plane
        for artist in (*axes.collections, *axes.patches, *axes.lines):
            artist.remove()
        start, away = held.expected[:, 1:], (held.found - held.expected)[:, 1:]
        times = exaggeration(away)
        end = start + times * away
        tints = screen_rgb(held.expected)
        axes.axhline(0, color=QUIET, linewidth=0.8)
        axes.axvline(0, color=QUIET, linewidth=0.8)
        axes.quiver(
            *start.T, *(end - start).T, angles="xy", scale_units="xy", scale=1, color=INK,
            units="inches", width=0.016, headwidth=5, headlength=6, headaxislength=5, zorder=3,
        )  # fmt: skip
        axes.scatter(*start.T, s=26, c=tints, edgecolors=QUIET, linewidths=0.7, zorder=2)
        both = np.concatenate([start, end])
        x, y = self._equal_limits(both.min(axis=0) - 8, both.max(axis=0) + 8)
        axes.set(xlim=x, ylim=y)
        said = f"{held.expected_word} → {held.found_word}"
        if times != 1:
            said = tr("{shift}, drawn {times} times as long", shift=said, times=times)
        self.note.set_text(said)

    def _equal_limits(self, low, high):
        """Limits of a* and b* that hold all and give both the same scale."""
        place, size = self.plane.get_position(), self.size_px
        room = np.array([place.width * size[0], place.height * size[1]])
        half = ((high - low) / room).max() * room / 2
        middle = (low + high) / 2
        return [(m - h, m + h) for m, h in zip(middle, half, strict=True)]

    def _draw_greys(self, held: Held) -> None:
        axes = self.greys
        for artist in (*axes.collections, *axes.patches, *axes.lines):
            artist.remove()
        greys = np.flatnonzero(held.target.group("greys", "near black", "near white"))
        greys = greys[np.argsort(held.expected[greys, 0], kind="stable")]
        lightness, away = held.expected[greys, 0], (held.found - held.expected)[greys]
        axes.axhline(0, color=QUIET, linewidth=1.0)
        for column, name, role, mark in (
            (0, tr("ΔL* (lighter above 0)"), "other", "o"),
            (1, tr("Δa* (redder above 0)"), "outside", "s"),
            (2, tr("Δb* (yellower above 0)"), "picture", "^"),
        ):
            axes.plot(
                lightness, away[:, column], color=colour(role), marker=mark, markersize=4.5,
                linewidth=1.4, label=name,
            )  # fmt: skip
        most = max(2.0, 1.15 * float(np.abs(away).max()))
        axes.set(xlim=(0, 102), ylim=(-most, most * 1.5))
        legend(axes, loc="upper left", borderaxespad=0.1, handlelength=1.6)

    def alt_text(self, held: Held) -> str:
        """The figure in words."""
        away = held.found - held.expected
        greys = away[held.target.group("greys", "near black", "near white")]
        mean = ", ".join(
            f"{name} {signed(value)}"
            for name, value in zip(("L*", "a*", "b*"), greys.mean(axis=0), strict=True)
        )
        times = exaggeration(away[:, 1:])
        return tr(
            "Shifts from {expected} to {found}: arrows in the a*b* plane, drawn "
            "{times} times as long, and the greys over lightness; the greys' mean is "
            "{mean}.",
            expected=held.expected_word,
            found=held.found_word,
            times=times,
            mean=mean,
        )
