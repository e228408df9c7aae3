"""From 16 to 8 bits with dithering.

Rounding alone turns a soft sky into steps.  Adding noise of exactly one step's width
before cutting off makes the average of many pixels right at every level: the expected
value of floor(x + u), u even over 0..1, is x itself.  Whole levels, paper white and full
black among them, stay without noise.

Source: L. Schuchman, "Dither signals and their effect on quantization noise", IEEE
Transactions on Communication Technology 12, 1964 (rectangular dither; from memory).
"""

from __future__ import annotations

import numpy as np


def to_8_bits(pixels: np.ndarray, seed: tuple[int, ...] = (0,)) -> np.ndarray:
    """uint16 pixels (0..65535) of any shape as uint8 (0..255), dithered.

    ``seed`` fixes the noise, so that the same print gives the same file.
    """
    noise = np.random.Generator(np.random.SFC64(seed)).integers(
        0, 257, pixels.shape, dtype=np.uint16
    )
    # 65535 = 255 · 257: 257 steps of 16 bits make one of 8, and 65535 + 256 needs 17 bits
    wide = pixels.astype(np.uint32)
    wide += noise
    wide //= np.uint32(257)
    return wide.astype(np.uint8)
