"""How dark a picture's pixels are, counted finely enough to tell its last shadow levels apart."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import lru_cache
from weakref import WeakKeyDictionary

import numpy as np

from workbench.analysis.colours import in_strips
from workbench.analysis.crops import PREVIEW_PX
from workbench.colour.engine import transform
from workbench.colour.lab import D50_XYZ, xyz_to_lab
from workbench.colour.profile import read_profile
from workbench.colour.spaces import tone_curves
from workbench.picture.picture import Picture

# steps of L* in which they are counted: far finer than 8-bit grey levels lie apart
_PER_L = 100
_BINS = 100 * _PER_L + 1


@dataclass(frozen=True, eq=False)
class ShadowTally:
    """A picture's pixels by their own lightness, before any paper.

    Attributes
    ----------
    counts : (10001,) pixels by media-relative L*, to the nearest 0.01.
    exact : every pixel, or those of a preview.
    """

    counts: np.ndarray = field(repr=False)
    exact: bool

    def share_below(self, lightness: float) -> float:
        """Share of the pixels, 0..1, that are as dark as an L* or darker."""
        # a step more, so that a level is never split by rounding
        last = round(lightness * _PER_L) + 1
        return float(self.counts[: last + 1].sum() / self.counts.sum())


_quick_tallies: WeakKeyDictionary = WeakKeyDictionary()
_exact_tallies: WeakKeyDictionary = WeakKeyDictionary()


def shadow_tally(
    picture: Picture, *, exact: bool = True, cancelled=None, progress=None
) -> ShadowTally:
    """Count how dark a picture's pixels are; kept as long as the picture.

    Parameters
    ----------
    exact : count every pixel, strip by strip on two threads (about a second for large
        pictures), or those of a preview (some milliseconds once there is one).
    cancelled : called between strips; a true answer raises Cancelled.
    progress : called with the fraction done, 0..1.

    Raises
    ------
    UntaggedPictureError
        for a picture without a profile.
    """
    kept = _exact_tallies if exact else _quick_tallies
    if picture not in kept:
        source = picture.require_profile()
        if exact:
            work = _counter(source, picture.dtype)
            counts = sum(in_strips(picture, work, cancelled=cancelled, progress=progress))
        else:
            small = picture.preview(PREVIEW_PX)
            counts = _counter(source, small.dtype)(small.reshape(-1, picture.channels))
        kept[picture] = ShadowTally(counts, exact)
    return kept[picture]


def _counter(source: bytes, dtype: np.dtype):
    """A function that counts (n, channels) pixels by lightness.

    Not by the engine's fast tables: they are off by up to 0.4 L* in the deepest shadows.
    """
    tables = _light_tables(source, dtype)
    if tables is None:
        top = np.iinfo(dtype).max

        def exactly(flat):
            lightness = transform(flat.astype(np.float32) / top, source, "lab")[:, 0]
            step = np.rint(lightness * _PER_L).astype(np.intp).clip(0, _BINS - 1)
            return np.bincount(step, minlength=_BINS)

        return exactly
    step_of_root = _steps_of_roots()

    def count(flat):
        light = sum(table.take(flat[:, channel]) for channel, table in enumerate(tables))
        root = np.sqrt(light.clip(0, 1)) * np.float32(65535) + np.float32(0.5)
        return np.bincount(step_of_root.take(root.astype(np.intp)), minlength=_BINS)

    return count


@lru_cache(maxsize=8)
def _light_tables(source: bytes, dtype: np.dtype) -> list[np.ndarray] | None:
    """For each channel the luminance (Y 0..1) of its values; None for table profiles."""
    curves, profile = tone_curves(source), read_profile(source)
    weights = profile.primaries() if profile.space == "RGB" else np.array([(0, 1, 0)])
    if curves is None or weights is None:
        return None
    values = np.linspace(0, 1, np.iinfo(dtype).max + 1)
    return [
        (np.asarray(curve(values)) * weight[1]).astype(np.float32)
        for curve, weight in zip(curves, weights, strict=True)
    ]


@lru_cache(maxsize=1)
def _steps_of_roots() -> np.ndarray:
    """(65536,) the step of L* for the square root of a luminance in 16 bits."""
    light = np.linspace(0, 1, 65536) ** 2
    lightness = xyz_to_lab(light[:, None] * D50_XYZ)[:, 0]
    return np.rint(lightness * _PER_L).astype(np.intp)
