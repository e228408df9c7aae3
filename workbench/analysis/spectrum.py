"""How much contrast a picture holds at which fineness: its measured spectrum.

It is measured in linear light, as the eye's contrast sensitivity is, in tiles spread over
the picture; each tile's light is taken over its own mean, since an eye adapts to what it
looks at.  The print's black is added to all light, so that noise in deep shadows does not
count for more than it can on paper.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from functools import cached_property, lru_cache

import numpy as np

from workbench.analysis.detail import tile_places
from workbench.colour.engine import quick_lab
from workbench.colour.lab import luminance_factor
from workbench.picture.kept import kept_while_open
from workbench.picture.picture import Picture

#: Detail is what repeats at least so often along the long side; what is coarser is the
#: picture's large shapes (our choice).
COARSEST_CYCLES = 64
#: Bins to the octave, and the octave that the eye takes together (common practice for
#: channels of sight, value from memory).
BINS_PER_OCTAVE = 4
#: Contrast of an octave below which a picture is taken to hold nothing so fine (our choice:
#: rounding and faint noise stay below).
LEAST_CONTRAST = 0.01
# luminance factor of a print's black in a lit room: density 1.7
_BLACK = 0.02
_TILES, _AT_ONCE = 96, 8
_SMALLEST_TILE, _LEAST_TILE = 32, 8
# of tiles, in cycles to the pixel: along the diagonal the pixels hold this much
_FINEST = math.sqrt(0.5)


@dataclass(frozen=True, eq=False)
class Spectrum:
    """A picture's contrast by fineness, in quarters of an octave.

    Attributes
    ----------
    edges : (bins + 1,) cycles per picture pixel, rising; 0.5 is the finest that pixels hold
        across and down.
    power : (tiles, bins) mean square of light over its local mean, less one.
    """

    edges: np.ndarray = field(repr=False)
    power: np.ndarray = field(repr=False)

    @property
    def frequencies(self) -> np.ndarray:
        """(bins,) cycles per picture pixel in the bins' middles."""
        return np.sqrt(self.edges[:-1] * self.edges[1:])

    @cached_property
    def modulation(self) -> np.ndarray:
        """(tiles, bins) modulation of a sine wave as strong as the octave around each bin."""
        reach = BINS_PER_OCTAVE // 2
        padded = np.pad(self.power, ((0, 0), (reach, reach)))
        running = np.concatenate(
            [np.zeros((len(padded), 1)), np.cumsum(padded, axis=1)], axis=1
        )  # sums of five bins, the outer two by half
        bins = self.power.shape[1]
        octave = (running[:, 2 * reach :][:, :bins] + running[:, 2 * reach + 1 :][:, :bins]
                  - running[:, :bins] - running[:, 1:][:, :bins]) / 2  # fmt: skip
        return np.sqrt(2 * octave)

    @cached_property
    def contrast(self) -> np.ndarray:
        """(bins,) the same over the whole picture."""
        return Spectrum(self.edges, self.power.mean(axis=0, keepdims=True)).modulation[0]

    @cached_property
    def finest(self) -> float:
        """Cycles per pixel of the finest detail with at least `LEAST_CONTRAST`; 0 if none has.

        Judged in narrow bins, as strong as an octave of their density would be, so that
        coarser detail does not count for finer.
        """
        density = np.sqrt(2 * BINS_PER_OCTAVE * self.power.mean(axis=0))
        enough = np.flatnonzero(density >= LEAST_CONTRAST)
        return float(min(self.edges[enough[-1] + 1], 0.5)) if enough.size else 0.0


@kept_while_open(maxsize=8)
def spectrum_of(picture: Picture) -> Spectrum:
    """Measure a picture's spectrum in up to 96 tiles of 1/32 of its long side.

    Parameters
    ----------
    picture : a Picture with a profile.

    Returns
    -------
    A Spectrum, kept as long as the picture is there.

    Raises
    ------
    UntaggedPictureError
        for a picture without a profile.
    PictureError
        for a changed file or damaged data.

    Examples
    --------
    >>> from workbench.analysis.spectrum import spectrum_of
    >>> bool(0.1 < spectrum_of(picture).finest <= 0.5)
    True
    """
    profile = picture.require_profile()
    width, height = picture.width_px, picture.height_px
    long_side = max(width, height)
    side = min(width, height, max(_SMALLEST_TILE, math.ceil(2 * long_side / COARSEST_CYCLES)))
    edges = _edges(side)
    if side < _LEAST_TILE:  # too small to speak of detail
        return Spectrum(edges, np.zeros((1, len(edges) - 1)))
    columns, rows = tile_places(picture, side, _TILES)
    places = [(x, y) for y in rows for x in columns]
    power = []
    for first in range(0, len(places), _AT_ONCE):
        tiles = np.stack([picture.crop(*at, side, side) for at in places[first : first + _AT_ONCE]])
        light = luminance_factor(quick_lab(tiles, profile)[..., 0])
        power.append(power_by_fineness(_BLACK + (1 - _BLACK) * light))
    return Spectrum(edges, np.concatenate(power))


def power_by_fineness(light: np.ndarray, about: np.ndarray | None = None) -> np.ndarray:
    """(n, bins) mean square contrast of (n, side, side) light, by fineness.

    Parameters
    ----------
    about : (n,) light that contrast is taken over; the tiles' own means by default.
    """
    side = light.shape[-1]
    window, owner = _window(side), _owner(side)
    weight = window.mean()
    mean = (light * window).mean(axis=(1, 2)) / weight
    about = mean if about is None else about
    contrast = (light - mean[:, None, None]) / about[:, None, None] * window
    square = np.abs(np.fft.rfft2(contrast)) ** 2
    # all but the first and, in even tiles, the last column stand for two
    square[..., 1 : (side + 1) // 2] *= 2
    square /= side**4 * (window**2).mean()
    bins = len(_edges(side)) - 1
    return np.stack([np.bincount(owner, each.ravel(), bins + 2)[1:-1] for each in square])


def light_spectrum(light: np.ndarray, about: np.ndarray | None = None, side: int = 64) -> Spectrum:
    """The spectrum of (rows, cols) light, cut into tiles of up to ``side`` pixels.

    Parameters
    ----------
    light : linear light 0..1.
    about : (rows, cols) light that contrast is taken over, tile by tile; ``light`` itself by
        default.
    """
    side = min(side, *light.shape)
    if side < _LEAST_TILE:
        return Spectrum(_edges(side), np.zeros((1, len(_edges(side)) - 1)))
    means = None if about is None else _BLACK + (1 - _BLACK) * _tiles(about, side).mean(axis=(1, 2))
    return Spectrum(
        _edges(side), power_by_fineness(_BLACK + (1 - _BLACK) * _tiles(light, side), means)
    )


def _tiles(values: np.ndarray, side: int) -> np.ndarray:
    """(n, side, side) whole tiles of (rows, cols) values."""
    rows, cols = (length // side for length in values.shape)
    cut = values[: rows * side, : cols * side].reshape(rows, side, cols, side)
    return cut.swapaxes(1, 2).reshape(-1, side, side)


def _edges(side: int) -> np.ndarray:
    """Of bins from two cycles to a tile to the finest, in cycles per pixel."""
    coarsest = 2 / max(side, 4)
    count = max(1, math.ceil(BINS_PER_OCTAVE * math.log2(_FINEST / coarsest) - 1e-9))
    # from the fine end, so that a bin ends at 0.5 for every side
    return _FINEST * 2.0 ** (np.arange(-count, 1) / BINS_PER_OCTAVE)


@lru_cache(maxsize=8)
def _window(side: int) -> np.ndarray:
    """Hann's window, so that a tile's edges make no detail."""
    one = 0.5 - 0.5 * np.cos(2 * np.pi * (np.arange(side) + 0.5) / side)
    return one[:, None] * one


@lru_cache(maxsize=8)
def _owner(side: int) -> np.ndarray:
    """The bin of every coefficient of a tile, 0 for what is coarser than all."""
    down, across = np.fft.fftfreq(side)[:, None], np.fft.rfftfreq(side)
    edges = _edges(side)
    edges[-1] += 1e-9
    return np.digitize(np.hypot(down, across).ravel(), edges)
