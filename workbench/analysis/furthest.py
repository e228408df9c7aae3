"""Cells of a picture by how far they may lie beyond a paper: those beyond a limit stand in front.

A limit that follows a hand is asked about many times, and mostly concerns few of them.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from workbench.picture.census import Census


@dataclass(frozen=True, eq=False)
class Furthest:
    """A census's cells by how far they may reach, the furthest first.

    Attributes
    ----------
    cells : (n,) index into those of the census.
    low : (n,) CIEDE2000; above a limit, all of the cell lies beyond it and for one reason.
    high : (n,) how far it may reach, negated, and so in rising order.
    distance, place, kind : (n,) of the mean colour: CIEDE2000, place among the shares and reason.
    counts, distinct : (n,) pixels and distinct colours.
    sample_cells, sample_distance, sample_place : (m,) of each pixel of the sample, in the order of
        its cells: which of these, its distance and its place.
    """

    cells: np.ndarray
    low: np.ndarray
    high: np.ndarray
    distance: np.ndarray
    place: np.ndarray
    kind: np.ndarray
    counts: np.ndarray
    distinct: np.ndarray
    sample_cells: np.ndarray
    sample_distance: np.ndarray
    sample_place: np.ndarray

    def beyond(self, limit: float) -> Furthest:
        """Those cells alone that may reach beyond a limit."""
        some = int(np.searchsorted(self.high, -limit))
        of_sample = int(np.searchsorted(self.sample_cells, some))
        return Furthest(
            **{
                name: each[: of_sample if name.startswith("sample") else some]
                for name, each in vars(self).items()
            }
        )


def furthest_first(
    census: Census, low, high, distance, place, kind, sample_distance, sample_place
) -> Furthest:
    """Sort a census's cells and the pixels of its sample.

    Parameters
    ----------
    census : (n,) cells and (m,) pixels.
    low, high : (n,) least and largest CIEDE2000 of each cell; all of it lies beyond a limit
        below the first, none beyond one that is not below the second.
    distance, place, kind : (n,) as in `Furthest`.
    sample_distance, sample_place : (m,) of each pixel of the sample.
    """
    order = np.argsort(-high, kind="stable")
    rank = np.empty(len(order), np.intp)
    rank[order] = np.arange(len(order))
    of_sample = rank[census.sample_cells]
    by_cell = np.argsort(of_sample, kind="stable")
    return Furthest(
        cells=order,
        low=low[order],
        high=-high[order],
        distance=distance[order],
        place=place[order].astype(np.int16),
        kind=kind[order].astype(np.int8),
        counts=census.counts[order],
        distinct=census.distinct[order],
        sample_cells=of_sample[by_cell],
        sample_distance=sample_distance[by_cell],
        sample_place=sample_place[by_cell].astype(np.int16),
    )
