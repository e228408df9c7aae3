"""A print file's pixels, band by band: bleed, conversion, borders, bit depth."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Literal

import numpy as np

from workbench.bands import in_order, row_bands
from workbench.colour.engine import transform
from workbench.colour.profile import CHANNELS, read_profile
from workbench.output.adjusted import adjusted_profile
from workbench.output.dither import to_8_bits
from workbench.output.job import PrintJob
from workbench.output.layout import Layout
from workbench.output.render import Renderer

# the engine sets up its tables for each band, which large ones make up for
BAND_PIXELS = 6_000_000
_STEP = 16


def target_profile(job: PrintJob) -> bytes:
    """The profile that the file's colours are in: the paper's, or the picture's own."""
    paper = job.converted_for
    return pixel_profile(job) if paper is None else paper.profile


def pixel_profile(job: PrintJob) -> bytes:
    """The profile that print pixels are in before they are converted."""
    picture = job.picture
    return adjusted_profile(picture.require_profile(), picture.channels, job.adjustments)


def band_rows(layout: Layout) -> int:
    """Rows of the file in a band; a multiple of 16.

    Both the band and the part of the picture behind it stay within `BAND_PIXELS`, as far
    as 16 rows do.
    """
    rows = BAND_PIXELS / layout.width_px
    behind = BAND_PIXELS / layout.across.length * layout.down.factor
    return max(1, int(min(rows, behind)) // _STEP) * _STEP


def in_file_colours(job: PrintJob, pixels: np.ndarray) -> np.ndarray:
    """Print pixels (rows, cols, channels) uint16 in the file's space, before its bit depth."""
    if job.converts == "driver":
        return pixels
    return transform(
        pixels,
        pixel_profile(job),
        target_profile(job),
        intent=job.intent,
        black_point_compensation=job.black_point_compensation,
    )


class BandMaker:
    """Makes finished rows of a print file.

    Attributes
    ----------
    channels, space : of the file: 1 "GRAY", 3 "RGB" or 4 "CMYK".
    white : value of bare paper in every channel, before the bit depth.
    """

    def __init__(self, job: PrintJob, layout: Layout, bit_depth: int):
        self._job, self._layout, self._bit_depth = job, layout, bit_depth
        self.space = read_profile(target_profile(job)).space
        self.channels = CHANNELS[self.space]
        self.white = 0 if self.space == "CMYK" else 65535
        self._renderer = Renderer(job, layout)
        self.sharpening = self._renderer.sharpening

    def rows(self, y0: int, y1: int) -> np.ndarray:
        """Rows y0..y1 of the file: (rows, width, channels) uint16 or uint8."""
        layout = self._layout
        band = np.full((y1 - y0, layout.width_px, self.channels), self.white, np.uint16)
        printed_width, printed_height = layout.printed_px
        # rows of the printed picture, bleed included, that fall into this band
        first = max(0, y0 - layout.y_px)
        stop = min(printed_height, y1 - layout.y_px)
        if first < stop:
            at = layout.y_px + first - y0
            inside = slice(layout.x_px, layout.x_px + printed_width)
            band[at : at + stop - first, inside] = self._printed(first, stop)
        return to_8_bits(band, (y0,)) if self._bit_depth == 8 else band

    def _printed(self, first: int, stop: int) -> np.ndarray:
        """Rows of the printed picture with a bleed made of its edges, converted."""
        bleed, height = self._layout.bleed_px, self._layout.down.n_out
        stretched = self._job.bleed == "stretched"
        parts = []
        # above the picture, in it, below it
        for low, high in ((0, bleed), (bleed, bleed + height), (bleed + height, None)):
            a, b = max(first, low), stop if high is None else min(stop, high)
            if a >= b:
                continue
            a, b = a - bleed, b - bleed
            if 0 <= a and b <= height:
                parts.append(self._picture_rows(a, b))
            elif stretched:
                edge = 0 if a < 0 else height - 1
                parts.append(self._picture_rows(edge, edge + 1).repeat(b - a, axis=0))
            elif a < 0:
                parts.append(self._picture_rows(-b, -a)[::-1])
            else:
                parts.append(self._picture_rows(2 * height - b, 2 * height - a)[::-1])
        rows = parts[0] if len(parts) == 1 else np.concatenate(parts)
        if bleed:
            mode: Literal["edge", "symmetric"] = "edge" if stretched else "symmetric"
            rows = np.pad(rows, ((0, 0), (bleed, bleed), (0, 0)), mode=mode)
        return rows

    def _picture_rows(self, y0: int, y1: int) -> np.ndarray:
        pixels = self._renderer.pixels(0, y0, self._layout.across.n_out, y1)
        return in_file_colours(self._job, pixels)


def all_bands(
    maker: BandMaker,
    layout: Layout,
    *,
    progress: Callable[[float], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> Iterator[np.ndarray]:
    """All bands from the top, each of `band_rows` rows but the last.

    Raises
    ------
    Cancelled
        as soon as ``cancelled()`` is true; it is asked before each band.
    """
    return in_order(
        lambda band: maker.rows(*band),
        row_bands(layout.height_px, band_rows(layout)),
        cancelled=cancelled,
        progress=progress,
    )
