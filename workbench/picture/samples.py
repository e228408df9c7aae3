"""From samples as a file stores them to the pixels the workbench works with.

Grey or RGB, uint8 or uint16 over their full range, without alpha: transparent
places show bare paper.  The mixing is done on the stored values, not in linear
light, because a picture without a profile has no known tone curve yet.
"""

from __future__ import annotations

import threading
from dataclasses import dataclass, field

import numpy as np

from workbench.errors import PictureError
from workbench.language import tr


@dataclass
class Tally:
    """What was met while finishing blocks; several threads may add to it."""

    label: str
    pixels: int = 0
    clipped: int = 0
    opaque: bool = True
    lock: threading.Lock = field(default_factory=threading.Lock, repr=False)

    def add(self, pixels: int, clipped: int, opaque: bool) -> None:
        with self.lock:
            self.pixels += pixels
            self.clipped += clipped
            self.opaque &= opaque


@dataclass(frozen=True, eq=False)
class Finish:
    """How stored samples become finished pixels.

    Attributes
    ----------
    channels : 1 or 3.
    bits : stored bits a sample, 1..16, or 16, 32, 64 for floats.
    is_float : stored samples are floats, 0..1.
    invert : nought is white.
    palette : (entries, 3) uint8 or None.
    alpha : index of the alpha sample, or None.
    premultiplied : the colours have been multiplied by alpha already.
    """

    channels: int
    bits: int
    is_float: bool = False
    invert: bool = False
    palette: np.ndarray | None = None
    alpha: int | None = None
    premultiplied: bool = False

    @property
    def dtype(self) -> np.dtype:
        if self.palette is not None:
            return np.dtype(np.uint8)
        return np.dtype(np.uint16 if self.is_float or self.bits > 8 else np.uint8)

    def __call__(self, block: np.ndarray, tally: Tally | None = None) -> np.ndarray:
        """(rows, cols, samples) as stored -> (rows, cols, channels), contiguous, native.

        Raises
        ------
        PictureError
            for NaN or infinity among floats, while a tally is kept.
        """
        if self.is_float:
            return self._finish_float(block, tally)
        colour = block[..., : self.channels]
        if self.palette is not None:
            # an index beyond the table would be the file's fault, not a reason to fail
            colour = self.palette.take(block[..., 0], axis=0, mode="clip")
        elif self.bits not in (8, 16):
            top = int(np.iinfo(self.dtype).max)
            colour = (colour.astype(np.uint32) * top + (2**self.bits - 1) // 2) // (
                2**self.bits - 1
            )
        colour = colour.astype(self.dtype, copy=False)
        if self.invert:
            colour = np.bitwise_not(colour)
        if self.alpha is not None:
            alpha = block[..., self.alpha]
            top = 2**self.bits - 1
            opaque = bool(alpha.min() >= top)
            if tally is not None:
                tally.add(alpha.size, 0, opaque)
            if not opaque:
                colour = self._over_paper(colour, alpha, top)
        return np.ascontiguousarray(colour)

    def _over_paper(self, colour: np.ndarray, alpha: np.ndarray, top_alpha: int) -> np.ndarray:
        top = np.uint32(np.iinfo(colour.dtype).max)
        alpha = alpha.astype(np.uint32)[..., None]
        if top_alpha != top:
            alpha = alpha * top // np.uint32(top_alpha)
        mixed = colour.astype(np.uint32)
        # 65535² + 32767 still fits into 32 bits
        if self.premultiplied:
            mixed += top - alpha
            np.minimum(mixed, top, out=mixed)
        else:
            mixed *= alpha
            mixed += top * (top - alpha) + top // np.uint32(2)
            mixed //= top
        return mixed.astype(colour.dtype)

    def _finish_float(self, block: np.ndarray, tally: Tally | None) -> np.ndarray:
        colour = block[..., : self.channels]
        # a copy, because it is worked on in place; values beyond float32 become infinite
        with np.errstate(over="ignore"):
            colour = colour.astype(np.float32)
        alpha = None
        if self.alpha is not None:
            alpha = block[..., self.alpha].astype(np.float32)
        if tally is not None:
            self._examine(colour, alpha, tally)
        np.clip(colour, 0, 1, out=colour)
        if self.invert:
            np.subtract(1, colour, out=colour)
        if alpha is not None:
            alpha = np.clip(alpha, 0, 1)[..., None]
            if not self.premultiplied:
                colour *= alpha
            colour += 1 - alpha
            np.minimum(colour, 1, out=colour)
        colour *= 65535
        colour += 0.5
        return colour.astype(np.uint16)

    @staticmethod
    def _examine(colour: np.ndarray, alpha: np.ndarray | None, tally: Tally) -> None:
        low, high = colour.min(), colour.max()
        alpha_low = 1.0 if alpha is None else alpha.min()
        # NaN anywhere makes the least value NaN
        if not np.isfinite((low, high, alpha_low)).all():
            raise PictureError(
                tr(
                    "{label} holds values that are not numbers (NaN or infinity) in its "
                    "floating-point pixels. Export it again as a 16-bit TIFF.",
                    label=tally.label,
                )
            )
        clipped = 0
        if low < 0 or high > 1:
            clipped = int(np.count_nonzero(((colour < 0) | (colour > 1)).any(axis=-1)))
        tally.add(colour.shape[0] * colour.shape[1], clipped, bool(alpha_low >= 1))


def as_uint16(pixels: np.ndarray) -> np.ndarray:
    """uint8 pixels over the full range of 16 bits; uint16 ones as they are."""
    return pixels.astype(np.uint16) * np.uint16(257) if pixels.dtype == np.uint8 else pixels


def share(part: int, whole: int) -> str:
    """A percentage for sentences that never rounds something to nothing."""
    percent = 100 * part / max(whole, 1)
    return tr("less than 0.1 %") if percent < 0.1 else tr("{percent:.1f} %", percent=percent)
