"""Kinds of surface, each made from a stated spectrum.

None of them is a measurement of a sheet on sale: kinds, spectra and numbers are our inventions,
set where common practice (no source) puts sheets of their kind.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from workbench.errors import WorkbenchError
from workbench.language import tr
from workbench.surface.gloss import alpha_of_gloss
from workbench.surface.relief import Surface

_SAMPLES = 1024


@dataclass(frozen=True)
class Grain:
    """Irregular relief: a Gaussian random surface of autocovariance σ² exp(−(r/length)²)."""

    rms_um: float
    length_mm: float


@dataclass(frozen=True)
class Wave:
    """A regular part: one cosine; ``x`` and ``y`` in cycles/mm, to the right and upwards."""

    amplitude_um: float
    x: float
    y: float


@dataclass(frozen=True)
class Kind:
    """A kind of surface: its spectrum and how it shines.

    Attributes
    ----------
    about : for a person who chooses.
    gloss : what is finer than the pitch has this gloss at 60°, see `workbench.surface.gloss`;
        None for a dull surface of roughness 0.55.
    pitch_mm : of the relief made.
    """

    name: str
    about: str
    gloss: float | None
    pitch_mm: float
    grain: tuple[Grain, ...] = ()
    waves: tuple[Wave, ...] = ()

    @property
    def alpha(self) -> float:
        """Roughness of what is finer than the pitch."""
        return 0.55 if self.gloss is None else alpha_of_gloss(self.gloss)


def _woven(amplitude_um: float, thread_mm: float) -> tuple[Wave, ...]:
    """Plain weave: threads go over and under each other, and each is round."""
    half, whole = 0.5 / thread_mm, 1 / thread_mm
    return (
        Wave(0.5 * amplitude_um, half, half),
        Wave(0.5 * amplitude_um, half, -half),
        Wave(0.6 * amplitude_um, whole, 0),
        Wave(0.6 * amplitude_um, 0, whole),
    )


KINDS: dict[str, Kind] = {
    kind.name: kind
    for kind in (
        Kind("smooth", tr("dull and even, hot-pressed"), None, 0.02, (Grain(2.5, 0.12),)),
        Kind("fine grain", tr("dull, a fine tooth under raking light"), None, 0.02,
             (Grain(8.0, 0.2), Grain(2.0, 0.08))),
        Kind("cold-pressed", tr("dull, the felt's hills and dales"), None, 0.04,
             (Grain(32.0, 0.75), Grain(5.0, 0.2))),
        Kind("laid", tr("dull, fine ribs with wider lines across"), None, 0.04,
             (Grain(6.0, 0.25),), (Wave(13.0, 0, 0.9), Wave(6.0, 0.04, 0))),
        Kind("canvas", tr("dull, woven"), None, 0.04, (Grain(9.0, 0.3),), _woven(34.0, 0.62)),
        Kind("pearl", tr("half shining, finely pebbled"), 40.0, 0.02, (Grain(2.2, 0.11),)),
        Kind("gloss", tr("shining, almost flat"), 75.0, 0.02, (Grain(0.25, 0.25),)),
        Kind("flat", tr("ideally flat and dull; no sheet is"), None, 0.1),
    )
}  # fmt: skip


def surface_of_kind(kind: str, *, seed: int = 0, how_known: str = "chosen") -> Surface:
    """A surface of a kind: 1024 × 1024 heights whose edges fit.

    Parameters
    ----------
    kind : one of `KINDS`.
    seed : of the irregular part; the same seed gives the same sheet.
    how_known : see `Surface`.

    Returns
    -------
    A Surface.

    Raises
    ------
    WorkbenchError
        for an unknown kind, with those there are.

    Examples
    --------
    >>> wb.surface_of_kind("canvas").rms_slope > wb.surface_of_kind("pearl").rms_slope
    True
    """
    if kind not in KINDS:
        raise WorkbenchError(
            tr(
                "“{kind}” is not a kind of surface known here; choose one of {listed}.",
                kind=kind,
                listed=", ".join(KINDS),
            )
        )
    return _made(KINDS[kind], int(seed), how_known)


@lru_cache(maxsize=16)
def _made(kind: Kind, seed: int, how_known: str) -> Surface:
    height = np.zeros((_SAMPLES, _SAMPLES), np.float32)
    for number, grain in enumerate(kind.grain):
        height += grain_relief(
            grain.rms_um / 1000, grain.length_mm, kind.pitch_mm, _SAMPLES, (seed, number)
        )
    place = np.arange(_SAMPLES) * kind.pitch_mm
    side = _SAMPLES * kind.pitch_mm
    for wave in kind.waves:
        # whole cycles on the piece, so that its edges fit
        x, y = (round(each * side) / side for each in (wave.x, wave.y))
        phase = 2 * np.pi * (x * place[None, :] - y * place[:, None])
        height += (wave.amplitude_um / 1000 * np.cos(phase)).astype(np.float32)
    note = f"invented spectrum of the kind “{kind.name}”; typical by common practice, no source"
    return Surface(height, kind.pitch_mm, kind.alpha, kind.name, how_known, True, note)


def grain_relief(
    rms_mm: float, length_mm: float, pitch_mm: float, samples: int, seed
) -> np.ndarray:
    """(samples, samples) float32 heights in mm of a random surface whose edges fit.

    Heights are normal with autocovariance rms² exp(−(r/length)²): white noise times the
    square root of the spectrum exp(−(π f length)²), f in cycles/mm, which is its Fourier
    transform.  Its RMS slope is 2 rms/length (e.g. J. A. Ogilvy, Theory of Wave Scattering
    from Random Rough Surfaces, 1991).
    """
    noise = np.random.default_rng(seed).standard_normal((samples, samples), np.float32)
    fx = np.fft.rfftfreq(samples, pitch_mm)
    fy = np.fft.fftfreq(samples, pitch_mm)
    gain = np.exp(-0.5 * (math.pi * length_mm) ** 2 * (fx[None, :] ** 2 + fy[:, None] ** 2))
    # what all frequencies together let through of the noise's variance
    weight = np.full(len(fx), 2.0)
    weight[0] = weight[-1] = 1
    gain[0, 0] = 0
    share = float((gain * gain * weight).sum()) / samples**2
    height = np.fft.irfft2(np.fft.rfft2(noise) * gain, s=noise.shape)
    return (height * (rms_mm / math.sqrt(share))).astype(np.float32)
