"""What an eye sees of a sheet's relief, and what of the picture's detail the relief hides.

The white sheet under a lamp is a pattern of light and dark; its contrast, octave by octave and
in four directions (the eye's own channels are about as wide; textbooks, from memory), is held
against the eye's contrast sensitivity (Barten 1999, see `workbench.analysis.eye`).  An octave
of irregular pattern in one direction counts as a grating of the same RMS contrast (our choice).
Depth as two eyes see it, and whether texture is liked, are not computed.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np

from workbench.analysis.eye import (
    ARM_MM,
    LUMINANCE_CD_M2,
    contrast_sensitivity,
    cycles_per_degree,
    distance_text,
)
from workbench.analysis.words import percent
from workbench.language import tr
from workbench.numbers import number
from workbench.picture.kept import kept_while_open
from workbench.picture.picture import Picture
from workbench.picture.tone import to_light
from workbench.results import Result
from workbench.surface.lamp import Lamp
from workbench.surface.relief import Surface
from workbench.surface.relight import Scene
from workbench.surface.sheet import surface_of

_NEAREST_MM, _FARTHEST_MM = 100.0, 20_000.0
_WHITE = 0.9
_DIRECTIONS = 4
_SAMPLES = 1024
_PREVIEW_PX = 1200
# how a threshold grows with what lies over it, as a power of its contrast
# (G. E. Legge and J. M. Foley, JOSA 70, 1980; the exponent from memory)
_MASKING = 0.62


@dataclass(frozen=True, eq=False)
class Texture(Result):
    """A sheet's relief as it is seen under a lamp.

    Attributes
    ----------
    cycles_per_mm, contrast : (n,) middles of octaves, and the RMS contrast of the lit white
        sheet in the strongest direction of each.
    visible_to_mm : the farthest from which any octave reaches the eye's threshold; 0 where none
        does from 100 mm on.
    even_light_to_mm : the same where all light comes from everywhere.
    share_hidden, energy_hidden : of the picture's detail that would be seen on a flat sheet
        from ``distance_mm``, octave by octave and place by place, what the relief hides: by
        count, and by contrast energy, where strong edges weigh most.  None without a picture.
    distance_mm, lamp, surface : for which that holds.
    """

    cycles_per_mm: np.ndarray = field(repr=False)
    contrast: np.ndarray = field(repr=False)
    visible_to_mm: float
    even_light_to_mm: float
    share_hidden: float | None
    energy_hidden: float | None
    distance_mm: float
    lamp: Lamp
    surface: Surface = field(repr=False)

    @property
    def sentence(self) -> str:
        """What is seen, in words."""
        lamp = tr(
            "under a lamp {angle:.0f}° above the sheet",
            angle=self.lamp.elevation_deg,
        )
        if not self.visible_to_mm:
            told = tr("The texture is not seen {lamp}", lamp=lamp)
        else:
            said = {"distance": distance_text(self.visible_to_mm), "lamp": lamp}
            told = (
                tr("The texture is seen up to {distance} {lamp}", **said)
                if self.visible_to_mm < 0.99 * _FARTHEST_MM  # up to which it is looked for
                else tr("The texture is seen from {distance} and farther {lamp}", **said)
            )
            if not self.even_light_to_mm:
                told += tr(", and not at all in even light")
            elif self.even_light_to_mm < 0.9 * self.visible_to_mm:
                told += tr(
                    ", and up to {distance} in even light",
                    distance=distance_text(self.even_light_to_mm),
                )
        if self.share_hidden is None:
            return told + "."
        if self.share_hidden < 0.005:
            return tr("{told}; it hides none of the picture's detail.", told=told)
        return tr(
            "{told}; seen from {distance}, it hides {share} of the picture's detail "
            "that a flat sheet would show.",
            told=told,
            distance=distance_text(self.distance_mm),
            share=percent(self.share_hidden),
        )


def texture_seen(
    sheet,
    lamp: Lamp | None = None,
    *,
    picture: Picture | None = None,
    long_side_mm: float = 297.0,
    distance_mm: float = ARM_MM,
    luminance_cd_m2: float = LUMINANCE_CD_M2,
) -> Texture:
    """What is seen of a sheet's relief under a lamp.

    Parameters
    ----------
    sheet : a paper, or a `Surface`.
    lamp : by default a spot at 30°; taken as parallel, so that its falling off over the sheet
        does not count as texture.
    picture : whose detail is hidden, or None.
    long_side_mm : of its print.
    distance_mm : from which it is looked at.
    luminance_cd_m2 : that the eye is adapted to.

    Returns
    -------
    A Texture.

    Raises
    ------
    WorkbenchError
        for values out of range.

    Examples
    --------
    >>> wb.texture_seen(papers[4]).visible_to_mm > wb.texture_seen(papers[2]).visible_to_mm
    True
    """
    surface = sheet if isinstance(sheet, Surface) else surface_of(sheet)
    lamp = lamp or Lamp(elevation_deg=30)
    number(distance_mm, tr("viewing distance"), low=_NEAREST_MM, high=_FARTHEST_MM, unit="mm")
    number(long_side_mm, tr("print's long side"), low=1, high=1e5, unit="mm")
    fineness, contrast = _octaves(_lit_white(surface, lamp), surface.pitch_mm)
    even_contrast = _even_contrast(surface)
    hidden: tuple[float | None, float | None] = None, None
    if picture is not None:
        hidden = _hidden(picture, long_side_mm, fineness, contrast, distance_mm, luminance_cd_m2)
    return Texture(
        fineness,
        contrast,
        visible_to(fineness, contrast, luminance_cd_m2),
        visible_to(fineness, even_contrast, luminance_cd_m2),
        *hidden,
        distance_mm,
        lamp,
        surface,
    )


def _lit_white(surface: Surface, lamp: Lamp) -> np.ndarray:
    """(n, n) luminance of the white sheet, at the relief's own pitch."""
    parallel = Lamp(lamp.azimuth_deg, lamp.elevation_deg, None, lamp.size_mm, lamp.ambient)
    rows, columns = (min(n, _SAMPLES) for n in surface.height_mm.shape)
    scene = Scene(surface, parallel, surface.pitch_mm, columns, rows)
    diffuse, glossy = scene.factors(0, rows)
    return _WHITE * diffuse + glossy


@kept_while_open(maxsize=8)
def _even_contrast(surface: Surface) -> np.ndarray:
    """As `_octaves` tells it where all light comes from everywhere, whatever the lamp."""
    return _octaves(_lit_white(surface, Lamp(ambient=1.0)), surface.pitch_mm)[1]


def _octaves(light: np.ndarray, pitch_mm: float) -> tuple[np.ndarray, np.ndarray]:
    """Middles of octaves in cycles/mm, coarsest first, and RMS contrast in each's strongest direction."""
    relative = light / light.mean(dtype=np.float64) - 1
    power = np.abs(np.fft.fft2(relative)) ** 2 / relative.size**2
    fy, fx = (np.fft.fftfreq(n, pitch_mm) for n in light.shape)
    fineness = np.hypot(fy[:, None], fx[None, :])
    lowest = 2.0 / (min(light.shape) * pitch_mm)
    count = max(1, math.ceil(math.log2(0.5 / pitch_mm / lowest)))
    edges = lowest * 2.0 ** np.arange(count + 1)
    octave = np.digitize(fineness, edges)
    # the middles of the directions lie along the axes and between them
    turn = np.arctan2(fy[:, None], fx[None, :]) / (np.pi / _DIRECTIONS)
    direction = np.rint(turn).astype(int) % _DIRECTIONS
    place = (octave * _DIRECTIONS + direction).ravel()
    energy = np.bincount(place, power.ravel(), minlength=(count + 2) * _DIRECTIONS)
    energy = energy.reshape(-1, _DIRECTIONS)[1 : count + 1].max(axis=1)
    return edges[:-1] * math.sqrt(2), np.sqrt(energy)


def visible_to(cycles_per_mm, contrast, luminance_cd_m2: float = LUMINANCE_CD_M2) -> float:
    """The farthest distance in mm from which a pattern's octaves reach the eye's threshold.

    Parameters
    ----------
    cycles_per_mm, contrast : (n,) of each octave; the contrast is RMS, a grating's modulation
        is √2 times that.

    Returns
    -------
    0 where none is seen from 100 mm or farther; 20 m at most.
    """
    distances = np.geomspace(_NEAREST_MM, _FARTHEST_MM, 400)
    fine = cycles_per_degree(np.asarray(cycles_per_mm)[None, :] * distances[:, None], 1.0)
    seen = (math.sqrt(2) * np.asarray(contrast) * contrast_sensitivity(fine, luminance_cd_m2)).max(
        1
    )
    far = np.flatnonzero(seen >= 1)
    return float(distances[far[-1]]) if len(far) else 0.0


def _hidden(
    picture, long_side_mm, fineness, contrast, distance_mm, luminance
) -> tuple[float, float]:
    """Shares of the picture's visible detail, and of its energy, under the relief's masking."""
    count = energy = np.zeros(2)
    held = _local_contrasts(picture, float(long_side_mm), tuple(fineness.tolist()))
    # the finest octaves may be finer than the picture
    for local, middle, relief in zip(held, fineness, contrast, strict=False):
        sensitivity = float(contrast_sensitivity(cycles_per_degree(middle, distance_mm), luminance))
        threshold = 1 / max(sensitivity, 1e-6)
        masked = threshold * max(1.0, (math.sqrt(2) * float(relief) / threshold) ** _MASKING)
        seen = local >= threshold
        under = seen & (local < masked)
        weight = np.square(local * sensitivity)
        count = count + [seen.sum(), under.sum()]
        energy = energy + [weight[seen].sum(), weight[under].sum()]
    shares = [float(each[1] / each[0]) if each[0] else 0.0 for each in (count, energy)]
    return shares[0], shares[1]


# the lamp moves while picture and print stay
@kept_while_open(maxsize=1)
def _local_contrasts(
    picture: Picture, long_side_mm: float, middles: tuple[float, ...]
) -> tuple[np.ndarray, ...]:
    """(h, w) float32 local contrast of a preview in each octave that its pixels hold.

    That is the octave's band over all below it (E. Peli, JOSA A 7, 1990).

    Parameters
    ----------
    middles : of the octaves in cycles/mm on the print, rising.
    """
    preview = picture.preview(_PREVIEW_PX)
    light = to_light(preview, picture.profile).mean(axis=2).astype(np.float64)
    pixel_mm = long_side_mm / max(light.shape)
    spectrum = np.fft.rfft2(light)
    fy = np.fft.fftfreq(light.shape[0], pixel_mm)[:, None]
    fx = np.fft.rfftfreq(light.shape[1], pixel_mm)[None, :]
    fine = np.hypot(fy, fx)
    fine[0, 0] = 1e-9
    found = []
    for middle in (each for each in middles if each <= 0.5 / pixel_mm):
        band = np.exp(-0.5 * (np.log2(fine / middle) / 0.42) ** 2)
        below = 1 / (1 + (fine / (middle / 2)) ** 4)
        detail = np.fft.irfft2(spectrum * band, s=light.shape)
        around = np.fft.irfft2(spectrum * below, s=light.shape)
        found.append((np.abs(detail) / np.maximum(around, 0.005)).astype(np.float32))
    return tuple(found)
