"""A sheet's relief from photographs under a lamp that moves round it, and how sure it is.

Each photograph is first divided by its own even part, so that lens, lamp's distance and exposure
drop out; what is wider than that part is not measured.  How well each is told by the others says
whether the relief, solved for in `workbench.surface.normals`, is to be trusted.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from workbench.bands import in_order, row_bands
from workbench.errors import WorkbenchError
from workbench.language import tr
from workbench.results import Result
from workbench.surface.directions import (
    Ball,
    Pin,
    direction_by_ball,
    directions_by_pin,
    given_directions,
)
from workbench.surface.normals import heights, solve
from workbench.surface.photographs import (
    Shots,
    checked_part,
    read_shots,
    smooth_light,
    spread,
)
from workbench.surface.relief import Surface

_BAND_PIXELS = 2**15
# steeper than any sheet: a pixel that says so is a fault
_STEEPEST = 3.0
# limits beyond which a person is told
_CLIPPED_SHARE, _NEAR_DEG, _ALIKE, _SOFT = 0.002, 8.0, 0.97, 0.35
_WORST_CONDITION = 12.0


@dataclass(frozen=True, eq=False)
class Measured(Result):
    """A surface as photographs tell it.

    Attributes
    ----------
    surface : the relief, ``how_known`` "measured".
    right, up : (rows, columns) float32 slopes as measured.
    directions : (n, 3) of the lamp.
    slope_noise : standard deviation of a slope by what is left over of the fit.
    rms_slope : of the sheet, that noise taken out of it.
    left_out_error : (n,) for each photograph, predicted from the others: RMS difference as a
        share of the even light.
    left_out_contrast : (n,) RMS of the relief's shading in it, to judge the former by.
    notes : sentences on what went wrong; none where nothing did.
    """

    surface: Surface
    right: np.ndarray = field(repr=False)
    up: np.ndarray = field(repr=False)
    directions: np.ndarray
    slope_noise: float
    rms_slope: float
    left_out_error: np.ndarray
    left_out_contrast: np.ndarray
    notes: tuple[str, ...]

    @property
    def sentence(self) -> str:
        """The result and how sure it is."""
        told = float(np.sqrt(np.mean(self.left_out_error**2)))
        seen = float(np.sqrt(np.mean(self.left_out_contrast**2)))
        return tr(
            "RMS slope {rms_slope:.3f} (noise of a pixel {slope_noise:.3f}); each "
            "photograph is predicted by the others to {told:.1f} % of its light, where the "
            "relief makes {seen:.1f} %.",
            rms_slope=self.rms_slope,
            slope_noise=self.slope_noise,
            told=100 * told,
            seen=100 * seen,
        )


def measure_surface(
    photographs: Sequence,
    *,
    directions=None,
    ball: Ball | None = None,
    pin: Pin | None = None,
    mm_per_px: float | None = None,
    ruler: tuple | None = None,
    part: tuple | None = None,
    alpha: float = 0.55,
    kind: str = "",
    even_over_mm: float = 8.0,
    cancelled=None,
    progress=None,
) -> Measured:
    """Measure a blank sheet's relief from photographs under one lamp that moves round it.

    A hot lamp burns skin and can set paper alight: take a cool one, or let it cool before you
    move it, and do not look into it (common practice, no source).

    Parameters
    ----------
    photographs : 4 to 24 paths or pictures of one size, taken straight down in an otherwise
        dark room, camera and sheet unmoved.  They are made linear by their profiles.
    directions : for each, (azimuth, elevation) in degrees as for `Lamp`, or three components;
        or else one of
    ball : a `Ball` on the sheet, or
    pin : a `Pin` that stands on it.
    mm_per_px : the scale; or
    ruler : two points in pixels and their distance, ((x, y), (x, y), mm).
    part : (x, y, width, height) in pixels that show bare sheet and nothing else; None for all.
    alpha : roughness of its gloss, which photographs do not tell.
    kind : a word for it.
    even_over_mm : hills wider than some of these are taken for uneven light.
    cancelled, progress : asked and told the share 0..1 of the work, now and then.

    Returns
    -------
    A Measured, with its uncertainty and what went wrong.

    Raises
    ------
    WorkbenchError, PictureError
        for too few photographs, sizes that differ, no scale, lamps that cannot tell slopes.

    Examples
    --------
    >>> wb.measure_surface([folder / "harbour.tif"] * 3, directions=[(0, 30)] * 3, mm_per_px=0.05)
    Traceback (most recent call last):
    workbench.errors.WorkbenchError: ...
    """
    scale = _scale(mm_per_px, ruler)
    told = progress or (lambda share: None)
    shots = read_shots(
        photographs, part=part, cancelled=cancelled, progress=lambda share: told(0.4 * share)
    )
    lamps = _directions(shots, directions, ball, pin, scale)
    x0, y0, x1, y1 = checked_part(part, (shots.light.shape[1], shots.light.shape[2]))
    shots = replace(shots, light=shots.light[:, y0:y1, x0:x1])
    condition = float(np.linalg.cond(lamps))
    if condition > _WORST_CONDITION:
        raise WorkbenchError(
            tr(
                "The lamp's places lie too close to one point or plane to tell slopes; put it on all sides "
                "of the sheet, at 20 to 50 degrees."
            )
        )
    rows, columns = shots.light.shape[1:]
    block = max(8, round(even_over_mm / scale / 2))
    even = [smooth_light(each, min(block, rows // 2, columns // 2)) for each in shots.light]
    if min(float(each.min()) for each in even) < 40:
        raise WorkbenchError(
            tr("A photograph is black in places; expose so that the sheet is light.")
        )
    right = np.empty((rows, columns), np.float32)
    up = np.empty((rows, columns), np.float32)

    def work(band):
        y0, y1 = band
        light = _relative(shots, even, lamps, y0, y1)
        g, left, used = solve(light.reshape(len(lamps), -1), lamps)
        off = np.maximum(g[2], 0.05)
        for target, part in ((right, g[0]), (up, g[1])):
            target[y0:y1] = np.clip(-part / off, -_STEEPEST, _STEEPEST).reshape(y1 - y0, columns)
        return float(left.sum(dtype=np.float64)), float(np.maximum(used - 3, 0).sum())

    bands = row_bands(rows, max(1, _BAND_PIXELS // columns))
    solved = in_order(
        work, bands, cancelled=cancelled, progress=lambda share: told(0.4 + 0.4 * share)
    )
    sums = np.array(list(solved))
    variance = sums[:, 0].sum() / max(sums[:, 1].sum(), 1)
    spread_of = np.linalg.inv(lamps.T @ lamps)
    noise = math.sqrt(variance * (spread_of[0, 0] + spread_of[1, 1]) / 2)
    for slope in (right, up):
        _level(slope, min(block, rows // 2, columns // 2))
    squares = float(
        np.mean(np.square(right), dtype=np.float64) + np.mean(np.square(up), dtype=np.float64)
    )
    error, contrast, alike = _left_out(shots, even, lamps)
    told(0.9)
    height = heights(right, up, scale)
    surface = Surface(
        height, scale, alpha, kind, "measured", False,
        f"{len(lamps)} photographs, photometric stereo; gloss not measured",
    )  # fmt: skip
    return Measured(
        surface, right, up, lamps, noise, math.sqrt(max(squares - 2 * noise**2, 0.0)),
        error, contrast, tuple(_notes(shots, even, lamps, error, contrast, alike)),
    )  # fmt: skip


def _level(slope: np.ndarray, block: int) -> None:
    """Take out of slopes, in place, what is wider than the photographs' even part."""
    wide = smooth_light(slope, block)
    for y0, y1 in row_bands(len(slope), max(1, _BAND_PIXELS // slope.shape[1])):
        slope[y0:y1] -= spread(wide, (slope.shape[0], slope.shape[1]), y0, y1)


def _scale(mm_per_px, ruler) -> float:
    if ruler is not None:
        try:
            (x0, y0), (x1, y1), mm = ruler
            mm_per_px = float(mm) / math.hypot(float(x1) - float(x0), float(y1) - float(y0))
        except (TypeError, ValueError, ZeroDivisionError):
            raise WorkbenchError(
                tr("A ruler is two different points in pixels and the millimetres between them.")
            ) from None
    if mm_per_px is None:
        raise WorkbenchError(
            tr(
                "Without a scale the relief has no size: mark two points of the ruler, or "
                "give the millimetres of one pixel."
            )
        )
    if not 1e-4 <= float(mm_per_px) <= 10:
        raise WorkbenchError(
            tr("A pixel of {mm_per_px:g} mm cannot be right; check the scale.", mm_per_px=mm_per_px)
        )
    return float(mm_per_px)


def _directions(shots: Shots, directions, ball, pin, scale) -> np.ndarray:
    if sum(each is not None for each in (directions, ball, pin)) != 1:
        raise WorkbenchError(
            tr("Say from where the lamp shone in one way: by directions, a ball or a pin's shadow.")
        )
    if ball is not None:
        lamps = np.array([direction_by_ball(each, ball) for each in shots.light])
    elif pin is not None:
        lamps = directions_by_pin(pin, scale)
    else:
        lamps = given_directions(directions)
    if len(lamps) != len(shots.light):
        raise WorkbenchError(
            tr(
                "There are {count} photographs and {directions} directions; each photograph takes "
                "one.",
                count=len(shots.light),
                directions=len(lamps),
            )
        )
    return lamps


def _relative(shots: Shots, even, lamps, y0: int, y1: int, step: int = 1) -> np.ndarray:
    """(n, rows, columns) float32: light over its even part, as a flat sheet's cosine has it."""
    shape = shots.light.shape[1:]
    result = np.empty(
        (len(lamps), len(range(y0, y1, step)), len(range(0, shape[1], step))), np.float32
    )
    for number, means in enumerate(even):
        part = spread(means, shape, y0, y1, step)
        light = shots.light[number, y0:y1:step, ::step].astype(np.float32)
        result[number] = light / part * np.float32(lamps[number, 2])
    return result


def _left_out(shots: Shots, even, lamps):
    """Errors of predicting each photograph from the others, shading's contrast, likeness."""
    rows, columns = shots.light.shape[1:]
    step = max(1, round(math.sqrt(rows * columns / 60_000)))
    light = _relative(shots, even, lamps, 0, rows, step).reshape(len(lamps), -1)
    error, contrast = np.empty(len(lamps)), np.empty(len(lamps))
    for number in range(len(lamps)):
        others = np.arange(len(lamps)) != number
        g, _, _ = solve(light[others], lamps[others])
        predicted = np.maximum(lamps[number].astype(np.float32) @ g, 0)
        own = light[number]
        error[number] = np.sqrt(np.mean((predicted - own) ** 2)) / lamps[number, 2]
        contrast[number] = own.std() / lamps[number, 2]
    return error, contrast, np.corrcoef(light)


def _notes(shots: Shots, even, lamps, error, contrast, alike):
    for number, share in enumerate(shots.clipped):
        if share > _CLIPPED_SHARE:
            yield (
                tr(
                    "Photograph {number} is too light: {share:.1f} % of it is clipped; expose less.",
                    number=number + 1,
                    share=100 * share,
                )
            )
    for i in range(len(lamps)):
        for j in range(i):
            apart = math.degrees(math.acos(min(1.0, float(lamps[i] @ lamps[j]))))
            if apart < _NEAR_DEG or (apart > 25 and alike[i, j] > _ALIKE):
                yield (
                    tr(
                        "The lamp does not seem to have moved between photographs {one} and {other}; move "
                        "it, or check the directions.",
                        one=j + 1,
                        other=i + 1,
                    )
                )
    sharp = np.array(
        [_fineness(each, means) for each, means in zip(shots.light, even, strict=True)]
    )
    for number, value in enumerate(sharp):
        if value < _SOFT * np.median(sharp):
            yield (
                tr(
                    "Photograph {number} is less sharp than the others, out of focus or shaken; "
                    "take it again.",
                    number=number + 1,
                )
            )
    if np.sqrt(np.mean(error**2)) > 0.7 * np.sqrt(np.mean(contrast**2)):
        yield (
            tr(
                "The photographs do not predict one another, so that the relief is not to be trusted: "
                "the sheet may be too smooth for this camera, the room not dark, or something moved."
            )
        )


def _fineness(light: np.ndarray, means: np.ndarray) -> float:
    """Share of a photograph's contrast that lies between neighbouring pairs of pixels."""
    rows, columns = light.shape
    y, x = max(0, rows // 2 - 512), max(0, columns // 2 - 512)
    piece = light[y : y + 1024, x : x + 1024].astype(np.float32)
    piece = piece[: len(piece) // 2 * 2, : piece.shape[1] // 2 * 2]
    piece = (piece[::2] + piece[1::2])[:, ::2] + (piece[::2] + piece[1::2])[:, 1::2]
    fine = np.diff(piece, axis=1).var() + np.diff(piece, axis=0).var()
    return float(fine / piece.mean() ** 2)
