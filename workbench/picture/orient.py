"""Turning pixels upright, and finding upright rectangles in the file.

Source of the eight values: Exif 2.32 and TIFF 6.0, tag 274 (Orientation).
"""

from __future__ import annotations

import numpy as np


def turns_sides(orientation: int) -> bool:
    """True where width and height change places."""
    return orientation >= 5


def orient(pixels: np.ndarray, orientation: int) -> np.ndarray:
    """A view of (rows, cols, ...) file pixels as they should be seen."""
    if turns_sides(orientation):
        pixels = pixels.swapaxes(0, 1)
    if orientation in (3, 4, 7, 8):
        pixels = pixels[::-1]
    if orientation in (2, 3, 6, 7):
        pixels = pixels[:, ::-1]
    return pixels


def in_file(
    x: int, y: int, width: int, height: int, orientation: int, file_width: int, file_height: int
) -> tuple[int, int, int, int]:
    """Rows y0, y1 and columns x0, x1 of the file that show an upright rectangle."""
    if turns_sides(orientation):
        seen_width, seen_height = file_height, file_width
    else:
        seen_width, seen_height = file_width, file_height
    # the same steps as in `orient`, backwards
    if orientation in (2, 3, 6, 7):
        x = seen_width - x - width
    if orientation in (3, 4, 7, 8):
        y = seen_height - y - height
    if turns_sides(orientation):
        x, y, width, height = y, x, height, width
    return y, y + height, x, x + width
