"""One sheet of several pieces, composed in bands from the top.

Of each piece only what the band needs is in memory.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import lru_cache
from typing import Protocol

import numpy as np

from workbench.colour.engine import transform
from workbench.colour.profile import CHANNELS, read_profile

# CIE lightness of lines, which are there to be cut away
_LINE_LIGHTNESS = 60.0


class Rows(Protocol):
    """Finished pixels, made when they are asked for."""

    width_px: int
    height_px: int

    def rows(self, y0: int, y1: int) -> np.ndarray:
        """Rows y0..y1: (rows, width, channels) uint16."""

    def close(self) -> None:
        """Let go of what is held."""


@dataclass(frozen=True, eq=False)
class Block:
    """A piece of picture on a page, its upper left corner at ``x_px``, ``y_px``."""

    x_px: int
    y_px: int
    source: Rows = field(repr=False)


@dataclass(frozen=True, eq=False)
class Mark:
    """Text or a line.

    Attributes
    ----------
    x_px, y_px : its upper left corner.
    mask : (h, w) uint8, the share of ink.
    grey : a thin grey, for lines, instead of the paper's black.
    """

    x_px: int
    y_px: int
    mask: np.ndarray = field(repr=False)
    grey: bool = False


@dataclass(frozen=True, eq=False)
class Page:
    """A sheet to be written.

    Attributes
    ----------
    width_px, height_px, ppi : of the sheet.
    profile : of its colours.
    converted : the colours are the paper's; otherwise the driver is to convert them.
    blocks, marks : what lies on it; marks lie over blocks.
    """

    width_px: int
    height_px: int
    ppi: float
    profile: bytes = field(repr=False)
    converted: bool
    blocks: tuple[Block, ...] = field(repr=False)
    marks: tuple[Mark, ...] = field(default=(), repr=False)

    @property
    def space(self) -> str:
        """ "GRAY", "RGB" or "CMYK"."""
        return read_profile(self.profile).space

    @property
    def channels(self) -> int:
        return CHANNELS[self.space]

    def rows(self, y0: int, y1: int) -> np.ndarray:
        """Rows y0..y1 of the sheet: (rows, width, channels) uint16."""
        white = 0 if self.space == "CMYK" else 65535
        band = np.full((y1 - y0, self.width_px, self.channels), white, np.uint16)
        for block in self.blocks:
            top, bottom = block.y_px, block.y_px + block.source.height_px
            a, b = max(y0, top), min(y1, bottom)
            if a < b:
                across = slice(block.x_px, block.x_px + block.source.width_px)
                band[a - y0 : b - y0, across] = block.source.rows(a - top, b - top)
            if bottom <= y1:
                block.source.close()
        black, grey = _inks(self.profile)
        for mark in self.marks:
            _draw(band, y0, mark, grey if mark.grey else black)
        return band

    def close(self) -> None:
        """Let go of what the pieces hold."""
        for block in self.blocks:
            block.source.close()


@lru_cache(maxsize=8)
def _inks(profile: bytes) -> np.ndarray:
    """The darkest neutral that the profile's table prints, and a grey for lines; (2, channels)."""
    lab = np.array([[0.0, 0, 0], [_LINE_LIGHTNESS, 0, 0]])
    device = transform(lab, "lab", profile, intent="relative", black_point_compensation=True)
    return np.rint(np.clip(device, 0, 1) * 65535)


def _draw(band: np.ndarray, y0: int, mark: Mark, ink: np.ndarray) -> None:
    """Lay a mark's ink over a band; what lies beyond the sheet is cut off."""
    rows, cols = mark.mask.shape
    top, bottom = max(mark.y_px, y0), min(mark.y_px + rows, y0 + len(band))
    left, right = max(mark.x_px, 0), min(mark.x_px + cols, band.shape[1])
    if top >= bottom or left >= right:
        return
    here = band[top - y0 : bottom - y0, left:right]
    mask = mark.mask[top - mark.y_px : bottom - mark.y_px, left - mark.x_px : right - mark.x_px]
    share = (mask / np.float32(255))[..., None]
    here[...] = np.rint(here * (1 - share) + ink.astype(np.float32) * share)


def line(x_px: int, y_px: int, width_px: int, height_px: int) -> Mark:
    """A filled rectangle of the grey for lines."""
    return Mark(x_px, y_px, np.full((height_px, width_px), 255, np.uint8), grey=True)
