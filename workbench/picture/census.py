"""Counting a picture's colours: every pixel of it, into cells of the device cube.

A census takes one pass over the pixels; a second pass splits chosen cells further, so
that fine questions about few colours cost no more than coarse ones about all.
"""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import lru_cache
from math import gcd
from queue import LifoQueue

import numpy as np

from workbench.picture.store import Store, over_bands

# bits per channel of a cell, and of what passes for one distinct colour
CELL_BITS = {1: 8, 3: 6}
DISTINCT_BITS = 8
# parts into which cells are split in one pass, for the sake of memory; and the share of the
# picture's pixels that a part should hold at most
_MOST_PARTS, _FINE = 2**21, 1e-6
# so few pixels at a time that all working arrays stay in the processor's cache
_BLOCK = 2**15
# pixels of a sample, enough to estimate shares within a tenth of a percent
_SAMPLE = 2**17


@dataclass(frozen=True, eq=False)
class Census:
    """Which colours occur in a picture, and how often; all arrays read only.

    Attributes
    ----------
    cells : (n,) occupied cells, ascending; the first channel counts most.
    counts : (n,) int64 pixels; they add up to those of the picture.
    colours : (n, channels) float64, 0..1, the mean colour of each cell.
    distinct : (n,) colours of each cell that are told apart at 8 bits per channel.
    sample : (m, channels) float64, 0..1, pixels taken evenly from the whole picture.
    sample_cells : (m,) index into `cells` of each.
    """

    cells: np.ndarray = field(repr=False)
    counts: np.ndarray = field(repr=False)
    colours: np.ndarray = field(repr=False)
    distinct: np.ndarray = field(repr=False)
    sample: np.ndarray = field(repr=False)
    sample_cells: np.ndarray = field(repr=False)
    _seen: np.ndarray = field(repr=False)
    _store: Store = field(repr=False)

    @property
    def arrays(self) -> dict[str, np.ndarray]:
        """What was counted, to be kept; `census_from` makes the census of it again."""
        return {name: getattr(self, name) for name in _ARRAYS}

    @property
    def bits(self) -> int:
        """Of a cell's side, a channel."""
        return CELL_BITS[self._store.channels]

    @property
    def can_split(self) -> bool:
        """Whether pixels hold more bits than cells tell apart."""
        return _depth(self._store) > self.bits

    def split(self, chosen, *, cancelled=None, progress=None) -> Parts:
        """Count the pixels of some cells again, into as many parts as are worth while.

        Parameters
        ----------
        chosen : (n,) bool, of `cells`.
        """
        return _split(self, chosen, cancelled, progress)


_ARRAYS = ("cells", "counts", "colours", "distinct", "sample", "sample_cells", "_seen")


def census_from(arrays: Mapping[str, np.ndarray], store: Store) -> Census:
    """The census whose `Census.arrays` these are, of the same pixels."""
    found = {name: arrays[name] for name in _ARRAYS}
    for array in found.values():
        array.flags.writeable = False
    return Census(**found, _store=store)


@dataclass(frozen=True, eq=False)
class Parts:
    """What `Census.split` found: mean colours, pixels, and distinct colours, shared where
    one has several parts."""

    colours: np.ndarray = field(repr=False)
    counts: np.ndarray = field(repr=False)
    distinct: np.ndarray = field(repr=False)


def take_census(store: Store, *, cancelled=None, progress=None) -> Census:
    """Count every pixel of a store; see `Picture.census`."""
    channels, depth = store.channels, _depth(store)
    bits = CELL_BITS[channels]
    finer = channels * (DISTINCT_BITS - bits)
    tables = _Tables(2 ** (bits * channels), channels)
    seen = np.zeros(2 ** (DISTINCT_BITS * channels), bool)
    step = _step(store)

    def work(y0, band):
        with tables.one() as table:
            for pixels in _blocks(band):
                place = _place(pixels, _distinct_places(channels, depth))
                seen[place] = True
                place >>= finer
                _add(table, place, pixels)
        return band.reshape(-1, channels)[-y0 * store.width % step :: step].copy()

    sample = np.concatenate([*over_bands(store, work, cancelled=cancelled, progress=progress)])
    cells, counts, colours = tables.total(depth)
    seen = seen.reshape(-1, 2**finer)[cells]
    distinct = seen.sum(axis=1)
    of_sample = np.searchsorted(cells, _place(sample, _cell_places(channels, depth)))
    found = cells, counts, colours, distinct, sample / (2**depth - 1), of_sample, seen
    return census_from(dict(zip(_ARRAYS, found, strict=True)), store)


def _step(store: Store) -> int:
    """Pixels from one of the sample to the next; without a factor of the width, or the
    sample would stand in columns."""
    step = max(1, store.width * store.height // _SAMPLE)
    while gcd(step, store.width) > 1:
        step += 1
    return step


def _split(census: Census, chosen: np.ndarray, cancelled, progress) -> Parts:
    """Cells with more pixels are split more finely, as what is decided of each part weighs more."""
    store = census._store
    channels, depth = store.channels, _depth(store)
    most = depth - census.bits
    cells, weights = census.cells[chosen], census.counts[chosen] / census.counts.sum()
    least = DISTINCT_BITS - census.bits
    # the fewer colours a cell has, the thinner they lie in it, and the fewer parts fill up
    filled = np.log(np.maximum(census.distinct[chosen], 2)) / max(least, 1)
    wanted = np.ceil(np.log(np.maximum(weights / _FINE, 1)) / filled)
    levels = np.clip(wanted, min(1, most), most).astype(np.int64)
    heaviest = np.argsort(-weights, kind="stable")
    for level in range(levels.max(initial=0), 1, -1):
        # where there is no room for all, the heaviest keep theirs
        these = heaviest[levels[heaviest] == level]
        levels[these] = level - 1
        room = _MOST_PARTS - (1 << (levels * channels)).sum()
        more = (1 << (level * channels)) - (1 << ((level - 1) * channels))
        levels[these[: max(0, room // more)]] = level
    sizes = 1 << (levels * channels)
    first = np.cumsum(sizes) - sizes
    rank = np.full(2 ** (census.bits * channels), -1, np.int32)
    rank[cells] = np.arange(len(cells))
    shift = ((most - levels) * channels).astype(np.int32)
    # few pixels come this far, so one large table does for all threads
    tables, start = _Tables(int(sizes.sum()), channels, threads=1), first.astype(np.int32)

    def work(_y0, band):
        for pixels in _blocks(band):
            ranks = rank.take(_place(pixels, _cell_places(channels, depth)))
            inside = np.flatnonzero(ranks >= 0)
            if len(inside):
                pixels, ranks = pixels.take(inside, axis=0), ranks.take(inside)
                part = _place(pixels, _inner_places(channels, depth))
                part >>= shift.take(ranks)
                part += start.take(ranks)
                with tables.one() as table:
                    _add(table, part, pixels)

    for _ in over_bands(store, work, cancelled=cancelled, progress=progress):
        pass
    parts, counts, colours = tables.total(depth)
    owner = np.searchsorted(first, parts, side="right") - 1
    finer = (levels[owner] - least) * channels  # than a distinct colour, or coarser
    inner = parts - first[owner]
    same = (owner << (least * channels)) | (inner >> np.maximum(finer, 0))
    _, group, sharing = np.unique(same, return_inverse=True, return_counts=True)
    distinct = 1 / sharing[group]
    wide = finer < 0
    before = np.cumsum(census._seen[chosen], axis=1, dtype=np.int64)
    before = np.pad(before, ((0, 0), (1, 0)))
    at, width = inner[wide] << -finer[wide], 1 << -finer[wide]
    distinct[wide] = before[owner[wide], at + width] - before[owner[wide], at]
    return Parts(colours, counts, distinct)


def _depth(store: Store) -> int:
    return 8 * store.dtype.itemsize


def _blocks(band: np.ndarray):
    flat = band.reshape(-1, band.shape[-1])
    for start in range(0, len(flat), _BLOCK):
        yield flat[start : start + _BLOCK]


@lru_cache(maxsize=8)
def _cell_places(channels: int, depth: int) -> list[np.ndarray]:
    """For each channel, what its values add to the number of a cell."""
    high = np.arange(2**depth, dtype=np.int32) >> (depth - CELL_BITS[channels])
    return [high << (c * CELL_BITS[channels]) for c in reversed(range(channels))]


@lru_cache(maxsize=8)
def _inner_places(channels: int, depth: int) -> list[np.ndarray]:
    """What they add to the place within a cell: bits of all channels interleaved, high ones first."""
    value, bits = np.arange(2**depth, dtype=np.int32), depth - CELL_BITS[channels]
    spread = sum(((value >> b) & 1) << (b * channels) for b in range(bits)) + 0 * value
    return [spread << c for c in reversed(range(channels))]


@lru_cache(maxsize=8)
def _distinct_places(channels: int, depth: int) -> list[np.ndarray]:
    """What they add to the number of a distinct colour, those of a cell side by side."""
    more = channels * (DISTINCT_BITS - CELL_BITS[channels])
    down = channels * (depth - DISTINCT_BITS)
    both = zip(_cell_places(channels, depth), _inner_places(channels, depth), strict=True)
    return [(cell << more) | (inner >> down) for cell, inner in both]


def _place(pixels: np.ndarray, tables: list[np.ndarray]) -> np.ndarray:
    place = tables[0].take(pixels[:, 0])
    for channel in range(1, len(tables)):
        place |= tables[channel].take(pixels[:, channel])
    return place


class _Tables:
    """Tables of pixels and sums of channels, one for each thread that adds at a time."""

    def __init__(self, places: int, channels: int, threads: int = 2):
        self._shape, self._threads = (places, channels + 1), threads
        self._all: LifoQueue = LifoQueue()
        for _ in range(threads):
            self._all.put(None)

    @contextmanager
    def one(self):
        table = self._all.get()
        if table is None:
            table = np.zeros(self._shape)
        try:
            yield table
        finally:
            self._all.put(table)

    def total(self, depth: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """Occupied places, pixels and mean colours; whole numbers, so no order matters."""
        tables = [t for t in (self._all.get() for _ in range(self._threads)) if t is not None]
        table = tables[0] if tables else np.zeros((0, self._shape[1]))
        for other in tables[1:]:
            table += other
        places = np.flatnonzero(table[:, 0])
        found = table[places]
        counts = found[:, 0].astype(np.int64)
        return places, counts, found[:, 1:] / found[:, :1] / (2**depth - 1)


@lru_cache(maxsize=1)
def _ones() -> tuple[np.ndarray, np.ndarray]:
    return np.ones(_BLOCK), np.arange(_BLOCK + 1, dtype=np.int32)


def _add(table: np.ndarray, place: np.ndarray, pixels: np.ndarray) -> None:
    """Add 1 and the channels of each pixel to its row: a sparse product, which sums in C."""
    from scipy.sparse import _sparsetools  # its public face cannot add to a table in place

    count, width = len(pixels), table.shape[1]
    rows = np.ones((count, width))
    rows[:, 1:] = pixels
    ones, starts = _ones()
    _sparsetools.csc_matvecs(
        len(table),
        count,
        width,
        starts[: count + 1],
        place,
        ones[:count],
        rows.ravel(),
        table.ravel(),
    )
