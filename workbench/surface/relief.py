"""A sheet's surface: its relief, how finely it is roughened, and how that is known."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from workbench.errors import WorkbenchError
from workbench.language import tr
from workbench.surface.gloss import gloss_60

#: how a surface is known: measured by the person, chosen from kinds, or invented; and in words
WAYS_TO_KNOW = {"measured": tr("measured"), "chosen": tr("chosen"), "invented": tr("invented")}
# a millimetre of relief is no sheet, and neither is a pitch wider than a thumb
_MOST_HEIGHT_MM, _PITCH_MM = 5.0, (1e-4, 10.0)
_MOST_SAMPLES = 2**26


@dataclass(frozen=True, eq=False)
class Surface:
    """A sheet's surface.

    Attributes
    ----------
    height_mm : (rows, columns) float32 heights above their mean, first row at the top.
    pitch_mm : between neighbouring heights.
    alpha : GGX roughness of what is finer than the pitch, 0 (a mirror) to 1.
    kind : a word for it, see `workbench.surface.kinds`.
    how_known : one of `WAYS_TO_KNOW`.
    tiles : the opposite edges fit, so that copies can be laid side by side.
    note : where the numbers come from.

    Raises
    ------
    WorkbenchError
        for what cannot be a sheet's surface.
    """

    height_mm: np.ndarray = field(repr=False)
    pitch_mm: float
    alpha: float
    kind: str = ""
    how_known: str = "measured"
    tiles: bool = False
    note: str = ""

    def __post_init__(self):
        height = np.asarray(self.height_mm, np.float32)
        if height.ndim != 2 or min(height.shape, default=0) < 4 or height.size > _MOST_SAMPLES:
            raise WorkbenchError(
                tr("A relief is a table of at least 4 by 4 and at most 64 million heights in mm.")
            )
        if not np.isfinite(height).all() or float(np.ptp(height)) > _MOST_HEIGHT_MM:
            raise WorkbenchError(
                tr(
                    "A sheet's relief is finite and at most {most_height_mm:g} mm from pit to "
                    "peak; check its scale.",
                    most_height_mm=_MOST_HEIGHT_MM,
                )
            )
        low, high = _PITCH_MM
        if not low <= self.pitch_mm <= high:
            raise WorkbenchError(
                tr(
                    "The relief's pitch lies between {low:g} and {high:g} mm, not {pitch_mm:g}.",
                    low=low,
                    high=high,
                    pitch_mm=self.pitch_mm,
                )
            )
        if not 0 <= self.alpha <= 1:
            raise WorkbenchError(
                tr("A roughness lies between 0 and 1, not {alpha:g}.", alpha=self.alpha)
            )
        if self.how_known not in WAYS_TO_KNOW:
            raise WorkbenchError(
                tr(
                    "A surface is {listed}, not {how_known}.",
                    listed=", ".join(WAYS_TO_KNOW),
                    how_known=self.how_known,
                )
            )
        height = height - height.mean(dtype=np.float64).astype(np.float32)
        height.flags.writeable = False
        object.__setattr__(self, "height_mm", height)

    @property
    def size_mm(self) -> tuple[float, float]:
        """Width and height of the piece that is known."""
        rows, columns = self.height_mm.shape
        return columns * self.pitch_mm, rows * self.pitch_mm

    @cached_property
    def rms_height_mm(self) -> float:
        """Root mean square of the heights."""
        return float(np.sqrt(np.mean(np.square(self.height_mm, dtype=np.float64))))

    @cached_property
    def rms_slope(self) -> float:
        """Root mean square of the gradient (0.1 is 5.7 degrees), at the pitch that is known."""
        p, q = slopes(self.height_mm, self.pitch_mm, self.tiles)
        return float(np.sqrt(np.mean(p * p + q * q, dtype=np.float64)))

    @cached_property
    def correlation_length_mm(self) -> float:
        """Distance over which the heights' autocorrelation falls to 1/e, all directions alike."""
        return correlation_length_mm(self.height_mm, self.pitch_mm)

    @cached_property
    def gloss_60(self) -> float:
        """Gloss at 60°, its relief's slopes counted as roughness; see `workbench.surface.gloss`."""
        return gloss_60(min(float(np.hypot(self.alpha, self.rms_slope)), 1.0))

    @property
    def sentence(self) -> str:
        """Its numbers in words."""
        return tr(
            "relief {rms_height_mm:.2g} µm (RMS), slope {rms_slope:.2g} (RMS), correlation "
            "length {correlation_length_mm:.2g} mm, about {gloss_60:.0f} gloss units at "
            "60°; {how_known}",
            rms_height_mm=1000 * self.rms_height_mm,
            rms_slope=self.rms_slope,
            correlation_length_mm=self.correlation_length_mm,
            gloss_60=self.gloss_60,
            how_known=WAYS_TO_KNOW[self.how_known],
        )


def slopes(height_mm, pitch_mm: float, tiles: bool) -> tuple[np.ndarray, np.ndarray]:
    """Slopes to the right and upwards, (rows, columns) float32 each, from neighbours."""
    height = np.asarray(height_mm, np.float32)
    step = np.float32(pitch_mm)
    if tiles:
        right = (np.roll(height, -1, 1) - np.roll(height, 1, 1)) / (2 * step)
        return right, (np.roll(height, 1, 0) - np.roll(height, -1, 0)) / (2 * step)
    right, down = (np.asarray(np.gradient(height, step, axis=axis)) for axis in (1, 0))
    return right, -down


def correlation_length_mm(height_mm, pitch_mm: float) -> float:
    """Distance at which the mean autocorrelation of all directions first falls to 1/e.

    By the Wiener–Khinchin theorem; a relief that never falls so far gives half its side.
    """
    height = np.asarray(height_mm, np.float64)
    rows, columns = height.shape
    spectrum = np.abs(np.fft.rfft2(height - height.mean())) ** 2
    correlation = np.fft.irfft2(spectrum, s=height.shape)
    if correlation[0, 0] <= 0:
        return 0.0
    reach = min(rows, columns) // 2
    y, x = (np.minimum(np.arange(n), n - np.arange(n)) for n in (rows, columns))
    distance = np.hypot(y[:, None], x[None, :])
    ring = np.rint(distance).astype(int).ravel()
    kept = ring <= reach
    count = np.bincount(ring[kept], minlength=reach + 1)
    total = np.bincount(ring[kept], correlation.ravel()[kept], minlength=reach + 1)
    radius = np.bincount(ring[kept], distance.ravel()[kept], minlength=reach + 1) / count
    mean = total / count / correlation[0, 0]
    below = np.flatnonzero(mean < 1 / np.e)
    if not len(below):
        return reach * pitch_mm
    at = below[0]
    step = (mean[at - 1] - 1 / np.e) / (mean[at - 1] - mean[at])
    return float(radius[at - 1] + step * (radius[at] - radius[at - 1])) * pitch_mm


def tileable(surface: Surface, overlap: float = 0.125) -> Surface:
    """The same surface with edges that fit: opposite borders are blended into each other.

    Parameters
    ----------
    overlap : share of each side that is given up for it; the blend keeps the heights' variance.
    """
    if surface.tiles:
        return surface
    height = surface.height_mm
    for axis in (0, 1):
        height = np.moveaxis(height, axis, 0)
        part = max(1, int(len(height) * overlap))
        weight = (np.arange(part, dtype=np.float32) + 0.5)[:, None] / part
        blended = np.sqrt(weight) * height[:part] + np.sqrt(1 - weight) * height[-part:]
        height = np.concatenate([blended, height[part:-part]])
        height = np.moveaxis(height, 0, axis)
    return Surface(
        height, surface.pitch_mm, surface.alpha, surface.kind, surface.how_known, True, surface.note
    )
