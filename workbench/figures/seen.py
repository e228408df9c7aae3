"""The picture's contrast by fineness on paper, against what the eye needs from three places."""

from __future__ import annotations

import numpy as np

from workbench.analysis.eye import contrast_sensitivity, cycles_per_degree, distance_text
from workbench.analysis.seen import SeenDetail
from workbench.analysis.sheets import MM_PER_INCH
from workbench.figures.live import LiveFigure
from workbench.figures.style import QUIET, SERIES, add_axes, legend, line, words
from workbench.language import numeral, tr

_PPI, _CONTRAST = (2.0, 1500.0), (0.001, 1.0)
_SHARES = (0.001, 0.01, 0.1, 1)
_TICKS = (3, 10, 30, 100, 300, 1000)


class SeenFigure(LiveFigure):
    """What of the picture's detail lies above the eye's threshold in the hand and farther away.

    ``update(seen, unit=...)`` takes a `SeenDetail`; ``unit`` ("cm", "mm" or "in") is that of the
    distances, and stays where it is left out.  Fineness is told as the pixels per inch that
    hold it: two for each cycle.
    """

    def __init__(self, seen: SeenDetail | None = None, *, unit: str = "cm", width_px: int = 740,
                 height_px: int = 300, scale: float = 1.0):  # fmt: skip
        super().__init__(width_px, height_px, scale)
        self._unit = unit
        axes = self._axes = add_axes(
            self.figure,
            left_px=72,
            right_px=206,
            xlabel=tr("Fineness on paper (ppi that hold it)"),
            ylabel=tr("Contrast"),
            title=tr("What the picture holds, and what the eye needs"),
        )
        axes.set(xscale="log", yscale="log", xlim=_PPI, ylim=_CONTRAST)
        axes.set_xticks(_TICKS, [str(each) for each in _TICKS])
        axes.set_xticks([], minor=True)
        axes.set_yticks(_SHARES, [numeral(100 * each) + " %" for each in _SHARES])
        axes.set_yticks([], minor=True)
        self._picture = self.moving(line(axes, [], [], "picture", linewidth=2.6))
        self._needed = [
            self.moving(line(axes, [], [], dashes=i + 1, color=SERIES[i + 1])) for i in range(3)
        ]
        self._end = self.moving(axes.axvline(1, color=QUIET, linewidth=1.2))
        self._end_words = self.moving(
            words(axes, 1, 0.0012, "", quiet=True, rotation=90, ha="right", va="bottom")
        )
        self._legend = None
        if seen is not None:
            self.update(seen)

    def update(self, result: SeenDetail, *, unit: str | None = None) -> None:
        """Show another print's detail."""
        self._unit = unit or self._unit
        spectrum = result.spectrum
        fine = 2 * spectrum.frequencies * result.ppi
        # what is finer along the diagonal is left out
        printed = fine <= result.pixels_ppi
        self._picture.set_data(fine[printed], spectrum.contrast[printed])
        ppi = np.geomspace(*_PPI, 160)
        for curve, seen in zip(self._needed, result.places, strict=True):
            angular = cycles_per_degree(ppi / 2 / MM_PER_INCH, seen.distance_mm)
            curve.set_data(ppi, 1 / np.maximum(contrast_sensitivity(angular), 1e-9))
        end = result.pixels_ppi
        self._end.set_xdata([end, end])
        self._end_words.set(x=end / 1.03, text=tr("pixels end"), visible=_PPI[0] < end < _PPI[1])
        labels = tuple(
            f"{each.place}, {distance_text(each.distance_mm, self._unit)}" for each in result.places
        )
        self._explain((tr("the picture"), *labels))

    def _explain(self, labels: tuple[str, ...]) -> None:
        shown = self._legend and tuple(text.get_text() for text in self._legend.get_texts())
        if shown != labels:
            if self._legend is not None:
                self._legend.remove()
            self._legend = legend(
                self._axes, [self._picture, *self._needed], labels,
                loc="upper left", bbox_to_anchor=(1.0, 1.02),
            )  # fmt: skip

    def alt_text(self, seen: SeenDetail) -> str:
        """The plot in words, for a reader who does not see it."""
        return tr(
            "Contrast by fineness on paper. {sentences}",
            sentences=" ".join(seen.sentences(self._unit)[:2]),
        )
