"""Band-limited test pictures for resampling, and the figures read from them.

Zone plates hold every frequency in every direction and can be computed exactly at any
size, so that a resampled one can be held against the truth.  The slanted edge gives the
transfer of contrast (MTF) as in ISO 12233, which describes the method.
"""

from __future__ import annotations

import numpy as np
from PIL import Image

FULL = np.sqrt(0.125)  # RMS of a cosine between 0 and 1


def zone_plate(size: int, scale: float = 1.0):
    """A zone plate as it is at ``size`` · ``scale`` pixels, and its local frequency.

    The frequency grows from 0 in the middle to 0.5 cycles per pixel (of the picture
    before scaling) at the middle of each side.
    """
    count = round(size * scale)
    at = (np.arange(count) + 0.5) / scale - size / 2
    square = at[:, None] ** 2 + at[None] ** 2
    frequency = np.sqrt(square) / size
    plate = 0.5 + 0.5 * np.cos(np.pi * square / size)
    return plate.astype(np.float32), frequency


def _modulation(picture, truth, where) -> float:
    """Contrast left, by projection on the truth: 1 is all, 0 none."""
    a, b = (picture - 0.5)[where], (truth - 0.5)[where]
    return float((a * b).sum() / (b * b).sum())


def _rms(picture, where) -> float:
    return float(np.sqrt(np.mean(np.square(picture[where]))))


def reduction_figures(resize, size: int = 1000, scale: float = 0.4) -> dict:
    """Reduce a zone plate: what is kept below the new limit, and what comes through above.

    "alias" is what is left, of the contrast put in, of frequencies above 1.25 times the
    new limit: all of it is false.  "kept half", "kept near" are the contrast left at half
    and at 0.8 of the limit.  "mean" is the relative error of the average.
    """
    plate, _ = zone_plate(size)
    truth, frequency = zone_plate(size, scale)
    small = resize(plate, (round(size * scale),) * 2)
    share = frequency / (0.5 * scale)
    inside = _inside(truth.shape, 8)
    return {
        "kept half": _modulation(small, truth, inside & (abs(share - 0.5) < 0.05)),
        "kept near": _modulation(small, truth, inside & (abs(share - 0.8) < 0.05)),
        "alias": _rms(small - 0.5, inside & (share > 1.25) & (frequency < 0.5)) / FULL,
        "mean": abs(float(small.mean(dtype=float)) / float(plate.mean(dtype=float)) - 1),
    }


def enlargement_figures(resize, size: int = 480, scale: float = 1.5) -> dict:
    """Enlarge a zone plate and hold it against the exact one.

    "kept half", "kept near": contrast left at half and at 0.8 of the picture's limit.
    "error": RMS difference from the truth below 0.8 of the limit, over the contrast put
    in.  "mean" as in `reduction_figures`.
    """
    plate, _ = zone_plate(size)
    truth, frequency = zone_plate(size, scale)
    large = resize(plate, (round(size * scale),) * 2)
    share = frequency / 0.5
    inside = _inside(truth.shape, 8)
    return {
        "kept half": _modulation(large, truth, inside & (abs(share - 0.5) < 0.05)),
        "kept near": _modulation(large, truth, inside & (abs(share - 0.8) < 0.05)),
        "error": _rms(large - truth, inside & (share < 0.8)) / FULL,
        "mean": abs(float(large.mean(dtype=float)) / float(plate.mean(dtype=float)) - 1),
    }


def _inside(shape, margin: int):
    inside = np.zeros(shape, bool)
    inside[margin:-margin, margin:-margin] = True
    return inside


def slanted_edge(size: int, low: float = 0.2, high: float = 0.8, degrees: float = 5.0):
    """An edge that leans by ``degrees``, each pixel the average of the light it covers."""
    fine = 16
    at = (np.arange(size * fine) + 0.5) / fine - size / 2
    lean = np.tan(np.radians(degrees))
    rows = (np.arange(size) + 0.5 - size / 2)[:, None]
    covered = (at[None] > lean * rows).reshape(size, size, fine).mean(-1)
    return (low + (high - low) * covered).astype(np.float32)


def edge_figures(resize, size: int = 240, scale: float = 1.5, degrees: float = 5.0) -> dict:
    """MTF at half the limit that picture and target share, and overshoot of an edge.

    The edge profile is gathered at a quarter of a pixel along the leaning edge.
    """
    target = resize(slanted_edge(size, degrees=degrees), (round(size * scale),) * 2)
    count = target.shape[0]
    rows, cols = np.mgrid[0:count, 0:count] + 0.5 - count / 2
    lean = np.radians(degrees)
    distance = cols * np.cos(lean) - rows * np.sin(lean)
    width = 12 * max(scale, 1)
    near = (abs(distance) < width) & (abs(rows) < count / 2 - 12)
    bins = np.floor((distance[near] + width) * 4).astype(int)
    profile = np.bincount(bins, target[near]) / np.bincount(bins)
    spread = np.diff(profile) * np.hanning(len(profile) - 1)
    mtf = np.abs(np.fft.rfft(spread, 4096))
    mtf /= mtf[0]
    limit = 0.5 * min(1.0, 1 / scale)  # cycles per target pixel
    half = round(limit / 2 / 4 * 4096)
    over = max(profile.max() - 0.8, 0.2 - profile.min()) / 0.6
    return {"MTF half": float(mtf[half]), "overshoot": float(over)}


def pillow(name: str):
    """Pillow's filter on floating-point channels."""
    kind = Image.Resampling[name]

    def resize(plane, size):
        return np.asarray(Image.fromarray(plane).resize(size, kind))

    return resize


def spline(order: int = 3, blur_first: bool = False):
    """scipy.ndimage.zoom on a grid of pixel areas; for reductions with a blur before it.

    The blur is the usual one, (1/scale - 1) / 2 pixels.
    """
    from scipy import ndimage

    def resize(plane, size):
        scale = size[0] / plane.shape[1]
        if blur_first and scale < 1:
            plane = ndimage.gaussian_filter(plane, (1 / scale - 1) / 2, mode="nearest")
        zoom = (size[1] / plane.shape[0], scale)
        return ndimage.zoom(plane, zoom, order=order, mode="nearest", grid_mode=True)

    return resize


CANDIDATES = {
    "Pillow Lanczos": lambda: pillow("LANCZOS"),
    "Pillow bicubic": lambda: pillow("BICUBIC"),
    "Pillow Hamming": lambda: pillow("HAMMING"),
    "Pillow box": lambda: pillow("BOX"),
    "scipy spline 3": lambda: spline(3),
    "scipy spline 3, blurred": lambda: spline(3, blur_first=True),
    "scipy spline 5, blurred": lambda: spline(5, blur_first=True),
}
