"""Sharpening for the print, at print pixels.

Two things have softened what is printed: the picture's own pixels, which after enlarging
are wider than print pixels and hold no detail finer than themselves, and ink, which spreads
in the paper.  Both have a size on paper, and together they give the radius.  The lightness
alone is sharpened (the same amount is added to red, green and blue); where the difference
does not rise above the picture's noise, nothing is added; the change is held below a limit
so that no halo shows, and never takes a value to black or white that was not there before.

How far ink spreads is our own guess in the range of common practice (no source).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from workbench.analysis.sheets import MM_PER_INCH
from workbench.characteristics import word_of
from workbench.errors import OutputError
from workbench.language import tr

# finish -> how far ink spreads (mm, standard deviation), and how much more is needed
_SPREAD = {"gloss": (0.020, 1.0), "satin": (0.025, 1.1), "matte": (0.040, 1.4)}
_CANVAS = (0.050, 1.5)
_UNKNOWN = "satin"
_AUTO_STRENGTH = 0.5
_FULL_AMOUNT = 2.0
# a pixel's own blur, in its pitches: standard deviation (common practice, no source)
_OWN_BLUR = 0.5
# wider takes long, and pictures of so few pixels have no edges to mend
_WIDEST_MM = 1.0
# largest change of lightness, of a full scale of 1: light rims become visible above
_HALO_LIMIT = 0.12
# differences count from so many standard deviations of the noise on (our choice)
_ABOVE_NOISE = 3.0
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
    least : local difference (root mean square, of a full scale of 1) up to which nothing is
        added, being noise; 0 sharpens everything.
    strength : 0..1 as chosen.
    ppi, own_ppi : of the print, and of the picture's own pixels on it.
    finish, spread_mm : the paper it was made for, and how far ink is taken to spread in it.
    """

    radius_px: float
    amount: float
    halo_limit: float
    least: float
    strength: float
    ppi: float
    own_ppi: float
    finish: str
    spread_mm: float

    @property
    def reach_px(self) -> int:
        """Rows and columns around a pixel that count."""
        # the mask looks as far again
        return math.ceil(3 * self.radius_px) * (2 if self.least else 1) if self.amount else 0

    def sentence(self) -> str:
        """In plain words, with what is only a guess."""
        if not self.amount:
            return tr("The print is not sharpened.")
        how = {
            "amount": 100 * self.amount,
            "radius": self.radius_px,
            # a spread too small to widen what the pixels have blurred
            "pixel": tr("a pixel of the picture")
            if self.own_ppi < self.ppi
            else tr("a print pixel"),
            "finish": word_of(self.finish),
            "spread": self.spread_mm,
        }
        if self.least:
            return tr(
                "Lightness is sharpened by {amount:.0f} % over {radius:.1f} px, for the blur of "
                "{pixel} and the spread of ink in {finish} paper ({spread:g} mm is our guess); "
                "what lies within the picture's noise is left alone.",
                **how,
            )
        return tr(
            "Lightness is sharpened by {amount:.0f} % over {radius:.1f} px, for the blur of "
            "{pixel} and the spread of ink in {finish} paper ({spread:g} mm is our guess).",
            **how,
        )


def sharpening_for(
    ppi: float,
    own_ppi: float | None = None,
    finish: str | None = None,
    base: str | None = None,
    strength: float | str | None = "auto",
    noise: float = 0.0,
) -> Sharpening:
    """Sharpening matched to the picture's own pixels on paper, the paper and the noise.

    Parameters
    ----------
    ppi : print pixels per inch.
    own_ppi : the picture's own pixels on an inch; where they are fewer, the print has no
        detail at its own pitch, and is sharpened at theirs.  None is as many as the print's.
    finish, base : of the paper; matte soaks up more than gloss, canvas most.
    strength : 0..1, "auto" (one half) or None (none).
    noise : standard deviation of the picture's noise from pixel to pixel, of a full scale of
        1, as `workbench.output.noise.noise_of` finds it; 0 leaves nothing out.

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
        raise OutputError(
            tr("Sharpening goes from 0 to 1, or is “auto”, not {strength!r}.", strength=strength)
        )
    known = finish if finish in _SPREAD else _UNKNOWN
    spread_mm, gain = _CANVAS if base == "canvas" else _SPREAD[known]
    own_ppi = ppi if own_ppi is None else own_ppi
    enlarged = max(1.0, ppi / own_ppi)
    spread_px = spread_mm / MM_PER_INCH * ppi
    radius = math.hypot(_OWN_BLUR * enlarged, spread_px)
    # an enlargement's noise is as wide as its pixels, and reducing averages it
    left = noise * min(1.0, ppi / own_ppi) * _passed(radius / enlarged)
    return Sharpening(
        radius_px=max(_OWN_BLUR, min(radius, _WIDEST_MM / MM_PER_INCH * ppi)),
        amount=_FULL_AMOUNT * value * gain,
        halo_limit=_HALO_LIMIT,
        least=_ABOVE_NOISE * left,
        strength=value,
        ppi=ppi,
        own_ppi=own_ppi,
        finish="canvas" if base == "canvas" else known,
        spread_mm=spread_mm,
    )


def _passed(radius_px: float) -> float:
    """Share of the deviation of white noise that is left when its blur is subtracted."""
    weights = kernel(radius_px).astype(float)
    square = weights[0] ** 2 + 2 * (weights[1:] ** 2).sum()
    return math.sqrt(1 - 2 * weights[0] ** 2 + square**2)


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
    reach = sharpening.reach_px
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
        change = _difference(tall, weights)
        if sharpening.least:
            change = _above_noise(change, weights, sharpening.least)
        change *= np.float32(sharpening.amount)
        here = [p[top + y : top + y + count, left : left + cols] for p in planes]
        _limit(change, here, np.float32(sharpening.halo_limit))
        for channel, plane in enumerate(here):
            _rounded(plane + change, out[y : y + count, :, channel])


def _inner(values, weights):
    reach = len(weights) - 1
    return values[reach : values.shape[0] - reach, reach : values.shape[1] - reach]


def _difference(tall, weights):
    """What its blur lacks; smaller by the kernel's reach on every side."""
    change = _blur(tall, weights)
    return np.subtract(_inner(tall, weights), change, out=change)


def _above_noise(difference, weights, least: float):
    """A difference where it is more than noise; smaller by the kernel's reach on every side.

    Its share is 1 - (least² / local power)², and none where that is below 0: as Wiener's
    filter, but steeper, so that edges keep all of it and flat areas nothing.
    """
    power = _blur(np.square(difference), weights)
    np.maximum(power, np.float32(1e-12), out=power)
    noise = np.divide(np.float32(least**2), power, out=power)
    np.minimum(noise, 1, out=noise)
    mask = np.subtract(1, np.square(noise, out=noise), out=noise)
    mask *= _inner(difference, weights)
    return mask


def _blur(tall, weights):
    reach = len(weights) - 1
    rows, cols = (side - 2 * reach for side in tall.shape)
    return _blurred(_blurred(tall, weights, rows).T, weights, cols).T


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
