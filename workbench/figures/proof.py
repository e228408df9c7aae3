"""Pictures and a legend of a proof: how far the print is from the picture, and whose limit it is."""

from __future__ import annotations

import numpy as np

from workbench.analysis.proof_maps import DIFFERENCE_STEPS, LIMITS
from workbench.analysis.words import percent
from workbench.figures import style
from workbench.figures.live import LiveFigure
from workbench.figures.style import add_axes, rgb_codes, words
from workbench.language import tr

#: One colour for each of `DIFFERENCE_STEPS`, from dark blue to pale yellow: told apart by
#: lightness alone, and along an axis that the colour-blind see as well.
DIFFERENCE_COLOURS = ("#141c2b", "#2a4f8f", "#7b788c", "#dcaa48", "#fff3bd")

#: The colours of what the paper, the display or both cannot hold, as `LIMITS`: far apart in
#: lightness, so that they are told apart on any grey and by every eye.
LIMIT_COLOURS = {
    "paper": style.colour("outside"), "display": style.YELLOW, "both": style.BLACK,
}  # fmt: skip

_STRIPE_PX = 3
# parts of a CIEDE2000 step by which a map is looked up
_FINE = 64


def _palette() -> np.ndarray:
    limits = np.array([limit for limit, _ in DIFFERENCE_STEPS])
    steps = np.searchsorted(limits, np.arange(int(limits[-1] * _FINE) + 1) / _FINE, "right") - 1
    return np.stack([rgb_codes(colour) for colour in DIFFERENCE_COLOURS])[steps]


def difference_picture(difference: np.ndarray) -> np.ndarray:
    """(h, w, 3) uint8 sRGB of an (h, w) map in CIEDE2000, each pixel in its step's colour."""
    palette = _palette()
    # cut off, not rounded, so that no pixel gets into a higher step than its own
    return palette[np.clip(difference * _FINE, 0, len(palette) - 1).astype(np.intp)]


def limits_picture(pixels: np.ndarray, limits: np.ndarray) -> np.ndarray:
    """A grey picture with stripes where paper, display or both cannot hold a colour.

    Parameters
    ----------
    pixels : (h, w, 3) uint8.
    limits : (h, w) index into `LIMITS`.

    Returns
    -------
    (h, w, 3) uint8.  Stripes rise for the paper, fall for the display and cross for both,
    so that they are told apart without their colours.
    """
    grey = (pixels @ np.array([0.3, 0.59, 0.11], np.float32) * 0.5 + 80).astype(np.uint8)
    result = np.repeat(grey[..., None], 3, axis=2)
    row, column = np.nonzero(limits)
    which = limits[row, column]
    rising = (row + column) // _STRIPE_PX % 2 == 0
    falling = (row - column) // _STRIPE_PX % 2 == 0
    striped = np.choose(which - 1, [rising, falling, rising | falling])
    colours = np.stack([rgb_codes(LIMIT_COLOURS[name]) for name in LIMITS[1:]])
    result[row[striped], column[striped]] = colours[which[striped] - 1]
    return result


def framed(pixels: np.ndarray, box) -> np.ndarray:
    """A copy with a frame, white within black so that it shows on any picture.

    Parameters
    ----------
    pixels : (h, w, 3) uint8.
    box : (left, top, right, bottom) as shares 0..1 of width and height.
    """
    result = pixels.copy()
    height, width = pixels.shape[:2]
    left, right = (round(min(max(v, 0), 1) * (width - 1)) for v in box[::2])
    top, bottom = (round(min(max(v, 0), 1) * (height - 1)) for v in box[1::2])
    for inset, tone in ((0, 0), (1, 255)):
        x0, x1, y0, y1 = left + inset, right - inset, top + inset, bottom - inset
        if x1 <= x0 or y1 <= y0:
            break
        result[y0, x0 : x1 + 1] = result[y1, x0 : x1 + 1] = tone
        result[y0 : y1 + 1, x0] = result[y0 : y1 + 1, x1] = tone
    return result


class DifferenceFigure(LiveFigure):
    """The legend of a difference map: its colours, what they mean, how much has each.

    ``update(shares)`` takes `step_shares`; ``alt_text(shares)`` says them.
    """

    def __init__(self, width_px: int = 640, height_px: int = 260, scale: float = 1.0):
        super().__init__(width_px, height_px, scale=scale)
        self.axes = add_axes(
            self.figure,
            left_px=42,
            right_px=58,
            top_px=4,
            bottom_px=46,
            xlabel=tr("Share of the picture, %"),
            xlim=(0, 100),
            ylim=(len(DIFFERENCE_STEPS) - 0.4, -0.5),
            yticks=[],
        )
        self.bars, self.figures, self.labels = [], [], []
        for row, colour in enumerate(DIFFERENCE_COLOURS):
            # the square is the legend even where the bar has no length
            self.axes.plot(
                [0], [row + 0.2], transform=self._beside(-20), clip_on=False,
                marker="s", markersize=11, color=colour, markeredgecolor=style.QUIET,
            )  # fmt: skip
            (bar,) = self.axes.barh([row + 0.2], [0], 0.36, color=colour, edgecolor=style.QUIET)
            said = f"{_range_words(row)}: {DIFFERENCE_STEPS[row][1]}"
            self.labels.append(words(self.axes, 0.6, row - 0.22, said, va="center"))
            self.bars.append(self.moving(bar))
            self.figures.append(self.moving(words(self.axes, 1, row + 0.2, "", va="center")))

    def _beside(self, shift_px: float):
        """Coordinates of the axes, moved sideways by CSS pixels."""
        from matplotlib.transforms import ScaledTranslation

        shift = ScaledTranslation(shift_px / style.DPI, 0, self.figure.dpi_scale_trans)
        return self.axes.transData + shift

    def update(self, shares) -> None:
        """Show the share, 0..1, of each step."""
        for bar, said, share in zip(self.bars, self.figures, shares, strict=True):
            bar.set_width(100 * share)
            said.set_x(100 * share + 1.2)
            said.set_text(percent(share))

    def alt_text(self, shares) -> str:
        """The same in words."""
        said = "; ".join(
            f"{_range_words(i)} ({DIFFERENCE_STEPS[i][1]}) {percent(share)}"
            for i, share in enumerate(shares)
        )
        return tr("Share of the picture by its CIEDE2000 from picture to print: {said}.", said=said)


def _range_words(step: int) -> str:
    low = DIFFERENCE_STEPS[step][0]
    if step + 1 == len(DIFFERENCE_STEPS):
        return tr("above {low:g}", low=low)
    return tr("{low:g} to {high:g}", low=low, high=DIFFERENCE_STEPS[step + 1][0])
