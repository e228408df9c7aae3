"""Sharpening for the print, at print pixels.

A print loses sharpness twice: ink spreads in the paper, and the eye blurs what it sees
from a distance.  Both losses have a size on paper, so the radius follows from the ppi; it
stops at 0.15 mm, because wider halos are seen as such.  The lightness alone is sharpened
(the same amount is added to red, green and blue), the change is held below a limit so
that no halo shows, and never takes a value to black or white that was not there before.

The figures for papers are our own choice in the range of common practice (no source);
the eye's part follows from geometry, see `workbench.analysis.eye`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from workbench.analysis.eye import resolvable_ppi
from workbench.analysis.sheets import MM_PER_INCH
from workbench.errors import OutputError

# finish -> how far ink spreads (mm, standard deviation), and how much more is needed
_SPREAD = {"gloss": (0.020, 1.0), "satin": (0.025, 1.1), "matte": (0.040, 1.4)}
_CANVAS = (0.050, 1.5)
_UNKNOWN = "satin"
_AUTO_STRENGTH = 0.5
_FULL_AMOUNT = 2.0
_NARROWEST_PX, _WIDEST_MM = 0.5, 0.15
# largest change of lightness, of a full scale of 1: light rims become visible above
_HALO_LIMIT = 0.12
_TOP = 65535
# rows worked on at once, so that they stay in the cache
_CHUNK_PIXELS = 65_000


@dataclass(frozen=True)
class Sharpening:
    """How a print is sharpened.

    Attributes
    ----------
    radius_px : standard deviation of the blur that is subtracted, in print pixels.
    amount : share of the difference that is added; 0 is none.
    halo_limit : the largest change, of a full scale of 1.
    strength : 0..1 as chosen.
    viewing_distance_mm, ppi, finish : what it was made for.
    """

    radius_px: float
    amount: float
    halo_limit: float
    strength: float
    viewing_distance_mm: float
    ppi: float
    finish: str

    @property
    def reach_px(self) -> int:
        """Rows and columns around a pixel that count."""
        return math.ceil(3 * self.radius_px) if self.amount else 0

    def sentence(self) -> str:
        """In plain words."""
        if not self.amount:
            return "The print is not sharpened."
        return (
            f"Lightness is sharpened by {self.amount:.0%}".replace("%", " %")
            + f" over {self.radius_px:.1f} px, for {self.finish} paper seen from "
            f"{self.viewing_distance_mm / 10:.0f} cm."
        )


def sharpening_for(
    ppi: float,
    viewing_distance_mm: float,
    finish: str | None = None,
    base: str | None = None,
    strength: float | str | None = "auto",
) -> Sharpening:
    """Sharpening matched to resolution, viewing distance and paper.

    Parameters
    ----------
    ppi : print pixels per inch.
    viewing_distance_mm : from where the print is looked at.
    finish, base : of the paper; matte soaks up more than gloss, canvas most.
    strength : 0..1, "auto" (one half) or None (none).

    Raises
    ------
    OutputError
        for a strength outside 0..1.
    """
    try:
        value = _AUTO_STRENGTH if strength == "auto" else float(0 if strength is None else strength)
    except (TypeError, ValueError):
        value = math.nan
    if not 0 <= value <= 1:
        raise OutputError(f"Sharpening goes from 0 to 1, or is “auto”, not {strength!r}.")
    known = finish if finish in _SPREAD else _UNKNOWN
    spread_mm, gain = _CANVAS if base == "canvas" else _SPREAD[known]
    # half of the finest line pair the eye resolves from there
    eye_px = 0.5 * ppi / resolvable_ppi(viewing_distance_mm)
    radius = math.hypot(eye_px, spread_mm / MM_PER_INCH * ppi)
    return Sharpening(
        radius_px=max(_NARROWEST_PX, min(radius, _WIDEST_MM / MM_PER_INCH * ppi)),
        amount=_FULL_AMOUNT * value * gain,
        halo_limit=_HALO_LIMIT,
        strength=value,
        viewing_distance_mm=viewing_distance_mm,
        ppi=ppi,
        finish="canvas" if base == "canvas" else known,
    )


def kernel(radius_px: float) -> np.ndarray:
    """Weights of a Gaussian from its middle outwards: middle, 1 px away, 2 px away, ..."""
    at = np.arange(math.ceil(3 * radius_px) + 1)
    weights = np.exp(-0.5 * (at / radius_px) ** 2)
    return (weights / (weights[0] + 2 * weights[1:].sum())).astype(np.float32)


def sharpen(planes, weights, sharpening: Sharpening, margins, out: np.ndarray) -> None:
    """Sharpen and round to 16 bits.

    Parameters
    ----------
    planes : one (rows, cols) float32 array a channel, 0..1, with margins.
    weights : (channels,) shares in lightness, adding up to 1.
    margins : (top, bottom, left, right) in pixels, present in ``planes`` and not wanted in
        the result; where one is less than the reach, the picture ends there and is
        mirrored.
    out : (rows, cols, channels) uint16 to fill.
    """
    if not sharpening.amount:
        top, _, left, _ = margins
        rows, cols = out.shape[:2]
        for channel, plane in enumerate(planes):
            _rounded(plane[top : top + rows, left : left + cols], out[..., channel])
        return
    missing = [max(0, sharpening.reach_px - margin) for margin in margins]
    lightness = _lightness(planes, weights, missing)
    _sharpen_chunks(planes, lightness, sharpening, margins, missing, out)


def _lightness(planes, weights, missing) -> np.ndarray:
    """Weighted sum of the planes, mirrored beyond its edges where margins are missing."""
    rows, cols = planes[0].shape
    above, below, left, right = missing
    whole = np.empty((above + rows + below, left + cols + right), np.float32)
    inner = whole[above : above + rows, left : left + cols]
    step = max(1, _CHUNK_PIXELS // cols)
    part = np.empty((step, cols), np.float32)
    for y in range(0, rows, step):
        here = inner[y : y + step]
        np.multiply(planes[0][y : y + step], weights[0], out=here)
        for plane, weight in zip(planes[1:], weights[1:], strict=True):
            here += np.multiply(plane[y : y + step], weight, out=part[: len(here)])
    if any(missing):
        # np.pad would copy everything
        index = np.pad(np.arange(cols), (left, right), mode="symmetric")
        for side in (slice(0, left), slice(left + cols, None)):
            whole[above : above + rows, side] = inner[:, index[side]]
        index = above + np.pad(np.arange(rows), (above, below), mode="symmetric")
        for side in (slice(0, above), slice(above + rows, None)):
            whole[side] = whole[index[side]]
    return whole


def _sharpen_chunks(planes, lightness, sharpening, margins, missing, out) -> None:
    weights = kernel(sharpening.radius_px)
    reach = len(weights) - 1
    rows, cols = out.shape[:2]
    # where the result begins, in the planes and in the padded lightness
    top, left = margins[0], margins[2]
    step = max(1, _CHUNK_PIXELS // cols)
    for y in range(0, rows, step):
        count = min(step, rows - y)
        y_padded, x_padded = top + missing[0] + y, left + missing[2]
        tall = lightness[
            y_padded - reach : y_padded + count + reach, x_padded - reach : x_padded + cols + reach
        ]
        change = _blurred(_blurred(tall, weights, count).T, weights, cols).T
        np.subtract(tall[reach : reach + count, reach : reach + cols], change, out=change)
        change *= np.float32(sharpening.amount)
        here = [p[top + y : top + y + count, left : left + cols] for p in planes]
        _limit(change, here, np.float32(sharpening.halo_limit))
        for channel, plane in enumerate(here):
            _rounded(plane + change, out[y : y + count, :, channel])


def _blurred(tall, weights, count: int) -> np.ndarray:
    """Blurred along the first axis: count + 2·reach rows become ``count``."""
    reach = len(weights) - 1
    total = tall[reach : reach + count] * weights[0]
    pair = np.empty_like(total)
    for away in range(1, reach + 1):
        np.add(
            tall[reach - away : reach - away + count],
            tall[reach + away : reach + away + count],
            out=pair,
        )
        pair *= weights[away]
        total += pair
    return total


def _limit(change, planes, halo_limit) -> None:
    """Hold the change softly below the halo limit and the room that is left; in place.

    d·h/(h + |d|) follows d while it is small and never reaches h.
    """
    highest, lowest = planes[0], planes[0]
    if len(planes) > 1:
        highest, lowest = np.maximum(highest, planes[1]), np.minimum(lowest, planes[1])
        for plane in planes[2:]:
            np.maximum(highest, plane, out=highest)
            np.minimum(lowest, plane, out=lowest)
    room = np.where(change > 0, 1 - highest, lowest)
    # one step short, so that rounding cannot reach the end of the scale either
    room -= np.float32(1 / _TOP)
    np.clip(room, 1e-9, halo_limit, out=room)
    size = np.abs(change)
    size += room
    change *= room
    change /= size


def _rounded(plane, out) -> None:
    scaled = plane * np.float32(_TOP)
    scaled += np.float32(0.5)
    # converting first and then copying into every third place is quicker than both at once
    out[...] = scaled.astype(np.uint16)
