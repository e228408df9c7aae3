"""Tools for painting with numbers: noise, colours by Lab, smooth shapes on a canvas.

Places are measured in picture heights from the upper left corner, so that a scene
looks the same at every size.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from PIL import Image, ImageDraw

from workbench.colour.lab import lab_to_xyz
from workbench.colour.profile import read_profile
from workbench.colour.spaces import standard_profile

SPACE = "ROMM RGB"
# rows painted at once: enough for numpy, few enough for the processor's cache
_BAND = 96


@lru_cache(maxsize=1)
def _from_xyz() -> np.ndarray:
    primaries = read_profile(standard_profile(SPACE)).primaries()
    assert primaries is not None, "a standard space has a matrix"
    return np.linalg.inv(primaries.T)


def ink(lightness, a, b) -> np.ndarray:
    """Encoded RGB (..., 3) float32, 0..1, of media-relative Lab; what the space lacks is cut."""
    light = lab_to_xyz(np.stack(np.broadcast_arrays(lightness, a, b), axis=-1)) @ _from_xyz().T
    light = np.clip(light, 0, 1)
    # ISO 22028-2: power 1.8 above a straight toe
    return np.where(light < 1 / 512, 16 * light, light ** (1 / 1.8)).astype(np.float32)


def enlarge(layer: np.ndarray, width: int, height: int) -> np.ndarray:
    """A float32 layer (h, w) at another size, bilinear."""
    image = Image.fromarray(np.ascontiguousarray(layer, np.float32))
    return np.asarray(image.resize((width, height), Image.Resampling.BILINEAR))


def smooth_noise(rng, width, height, cells_x, cells_y, octaves=5, gain=0.5) -> np.ndarray:
    """Fractal noise (height, width), float32, mean 0 and standard deviation 1; it tiles.

    ``cells_x`` and ``cells_y`` count the coarsest lumps; each octave doubles them and is
    ``gain`` times as strong.
    """
    total = np.zeros((height, width), np.float32)
    for octave in range(octaves):
        rows, columns = cells_y * 2**octave, cells_x * 2**octave
        lumps = rng.standard_normal((rows, columns), dtype=np.float32) * np.float32(gain**octave)
        image = Image.fromarray(np.pad(lumps, 3, mode="wrap"))
        box = (3, 3, 3 + columns, 3 + rows)
        total += np.asarray(image.resize((width, height), Image.Resampling.BICUBIC, box=box))
    total -= total.mean()
    return total / total.std()


def look_up(tile: np.ndarray, row, column) -> np.ndarray:
    """Nearest values of a square tile repeated without end."""
    size = tile.shape[0]
    return tile[np.floor(row).astype(np.int32) % size, np.floor(column).astype(np.int32) % size]


def blend(low, high, share) -> np.ndarray:
    """From ``low`` to ``high`` as ``share`` (...) goes from 0 to 1; colours in the last axis."""
    return low + (high - low) * np.asarray(share, np.float32)[..., None]


def ramp(value, start, stop) -> np.ndarray:
    """0 before ``start``, 1 after ``stop``, smooth between."""
    t = np.clip((value - start) / (stop - start), 0, 1)
    return t * t * (3 - 2 * t)


def bow(start, stop, bend: float, steps: int = 24) -> list[tuple[float, float]]:
    """Points of an arc between two places; ``bend`` is its height over its length.

    A positive bend hangs down on the way to the right.
    """
    (x0, y0), (x1, y1) = start, stop
    t = np.linspace(0, 1, steps)
    rise = 4 * bend * t * (1 - t)
    x = x0 + (x1 - x0) * t - (y1 - y0) * rise
    y = y0 + (y1 - y0) * t + (x1 - x0) * rise
    return list(zip(x, y, strict=True))


def outline(*corners, bends) -> list[tuple[float, float]]:
    """A closed outline through ``corners`` with one bend for each side, see `bow`."""
    following = [*corners[1:], corners[0]]
    return [p for a, b, k in zip(corners, following, bends, strict=True) for p in bow(a, b, k)]


def ellipse(x, y, across, up, start=0.0, stop=2 * np.pi) -> list[tuple[float, float]]:
    """Points on an ellipse with the half axes ``across`` and ``up``, from angle to angle."""
    angle = np.linspace(start, stop, 72)
    return list(zip(x + across * np.cos(angle), y + up * np.sin(angle), strict=True))


def upright(x0, y0, x1, y1) -> list[tuple[float, float]]:
    """The corners of a rectangle."""
    return [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]


class Canvas:
    """Pixels to paint shapes on, one picture height high.

    Parameters
    ----------
    pixels : (h, w, 3) float32 of 0..1, or uint16; changed in place.
    waterline : if given, all is painted upside down about it, and only below it.
    """

    def __init__(self, pixels: np.ndarray, waterline: float | None = None):
        self.pixels = pixels
        self.scale = pixels.shape[0]
        self._waterline = waterline

    def mirrored(self, waterline: float) -> Canvas:
        """The same pixels, where shapes come out as reflections in still water."""
        return Canvas(self.pixels, waterline)

    def paint(self, points, colour, opacity: float = 1.0) -> None:
        """Fill a polygon with smooth edges.

        ``colour`` is (3,), or a function of x (1, w) and y (h, 1) in picture heights that
        gives (h, w, 3).
        """
        x, y = np.array(points, float).T
        if self._waterline is not None:
            y = np.maximum(2 * self._waterline - y, self._waterline)
        box = self._box(x.min(), y.min(), x.max(), y.max())
        if box is None:
            return
        x0, y0, x1, y1 = box
        fine = 3
        mask = Image.new("L", ((x1 - x0) * fine, (y1 - y0) * fine))
        corners = np.stack([x * self.scale - x0, y * self.scale - y0], axis=1) * fine - 0.5
        ImageDraw.Draw(mask).polygon([tuple(c) for c in corners], fill=255)
        cover = np.asarray(mask.reduce(fine))
        for top in range(0, y1 - y0, _BAND):
            band = cover[top : top + _BAND]
            used = np.flatnonzero(band.any(axis=0))
            if used.size:
                first, last = used[0], used[-1] + 1
                place = x0 + first, y0 + top, x0 + last, y0 + top + len(band)
                self._lay(place, colour, band[:, first:last] * np.float32(opacity / 255))

    def glow(self, x, y, radius, colour, strength: float) -> None:
        """Let light shine around a place, fading over some three radii."""
        if self._waterline is not None:
            y = 2 * self._waterline - y
        box = self._box(x - 3 * radius, y - 3 * radius, x + 3 * radius, y + 3 * radius)
        if box is None:
            return
        px, py = self._places(box, flip=False)
        far = ((px - x) / radius) ** 2 + ((py - y) / radius) ** 2
        self._lay(box, colour, strength * np.maximum(np.exp(-far) - np.float32(np.exp(-9)), 0))

    def _box(self, x0, y0, x1, y1):
        height, width = self.pixels.shape[:2]
        x0, y0 = max(int(x0 * self.scale) - 1, 0), max(int(y0 * self.scale) - 1, 0)
        x1, y1 = min(int(x1 * self.scale) + 2, width), min(int(y1 * self.scale) + 2, height)
        return (x0, y0, x1, y1) if x1 > x0 and y1 > y0 else None

    def _places(self, box, flip=True):
        x0, y0, x1, y1 = box
        size = np.float32(1 / self.scale)
        x = (np.arange(x0, x1, dtype=np.float32)[None] + np.float32(0.5)) * size
        y = (np.arange(y0, y1, dtype=np.float32)[:, None] + np.float32(0.5)) * size
        if flip and self._waterline is not None:
            y = np.float32(2 * self._waterline) - y
        return x, y

    def _lay(self, box, colour, share) -> None:
        x0, y0, x1, y1 = box
        part = self.pixels[y0:y1, x0:x1]
        whole = np.float32(65535 if part.dtype == np.uint16 else 1)
        colour = colour(*self._places(box)) if callable(colour) else colour
        share = share[..., None].astype(np.float32)
        part[...] = part + share * (np.asarray(colour, np.float32) * whole - part)
