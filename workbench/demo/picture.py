"""An invented picture: a harbour at dusk, drawn by numbers.

No camera saw it and no place looks like it.  It holds on purpose what is hard to print:
deep blues, oranges and reds beyond any paper, highlights and shadows full of detail.
"""

from __future__ import annotations

import threading
from functools import lru_cache
from pathlib import Path

import numpy as np

from workbench.bands import in_order, row_bands
from workbench.colour.spaces import standard_profile
from workbench.demo.boats import WATERLINES, fleet
from workbench.demo.brush import SPACE, Canvas, smooth_noise
from workbench.demo.kept import kept
from workbench.demo.scene import HORIZON, boards, far_scene, jetty, rocks, water
from workbench.demo.shore import bollard, gulls, lighthouse, moon, posts, town
from workbench.language import tr
from workbench.picture import census
from workbench.picture.picture import Picture
from workbench.picture.room import Room
from workbench.picture.store import Store, even_bands

_SEED = 1907
# the soft parts are painted this many times smaller
_REDUCTION = 3
_TILE = 600
_NOTES = (
    tr("This picture is invented: it was computed, not photographed, and shows no real place."),
    tr("It deliberately holds colours, highlights and shadows that papers find hard."),
)
_LOCK = threading.Lock()


def demo_picture() -> Picture:
    """The invented harbour at dusk: 16-bit ROMM RGB, 5400 × 3600 pixels, 300 ppi.

    Every call gives the same `Picture`.  Its pixels are painted, in about a second, when they
    are first read; its count of colours and its previews are kept from one start to the next.

    Returns
    -------
    A Picture of 5400 × 3600 pixels, 16 bits per channel; it names itself invented.

    Raises
    ------
    Nothing: it is made from numbers.

    Examples
    --------
    >>> wb.demo_picture().bit_depth
    16
    """
    with _LOCK:
        return _demo_picture()


@lru_cache(maxsize=1)
def _demo_picture() -> Picture:
    store = _Painted()
    picture = Picture(
        kind="invented",
        width_px=store.width,
        height_px=store.height,
        bit_depth=16,
        channels=store.channels,
        profile=standard_profile(SPACE),
        profile_name=SPACE,
        profile_assumed=False,
        profile_hint=None,
        ppi_tag=300.0,
        path=None,
        name="Invented harbour at dusk",
        notes=_NOTES,
        orientation=1,
        _store=store,
    )
    picture.take_worked_out(kept("invented-picture", picture.worked_out, _sources()))
    return picture


def _sources() -> list[Path]:
    """Of the code that paints, counts and reduces."""
    folders = Path(__file__).parent, Path(census.__file__).parent
    return sorted(each for folder in folders for each in folder.glob("*.py"))


class _Painted:
    """The invented picture's pixels, painted when somebody reads them."""

    width, height, channels, dtype = 5400, 3600, 3, np.dtype(np.uint16)

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._store: Store | None = None

    def bands(self, max_pixels: int) -> list[tuple[int, int]]:
        return even_bands(self.height, self.width, max_pixels)

    def read(self, y0: int, y1: int, x0: int, x1: int) -> np.ndarray:
        with self._lock:
            if self._store is None:
                room = Room(self.height, self.width, self.channels, self.dtype)
                _paint(room.pixels)
                self._store = room.store()
        return self._store.read(y0, y1, x0, x1)


def generate_demo_pixels(width: int = 5400, height: int = 3600) -> np.ndarray:
    """The invented harbour, the same each time.

    Parameters
    ----------
    width, height : in pixels, 90 by 60 or more; made for 3 to 2.

    Returns
    -------
    (height, width, 3) uint16, encoded in ROMM RGB.
    """
    pixels = np.empty((height, width, 3), np.uint16)
    _paint(pixels)
    return pixels


def _paint(pixels: np.ndarray) -> None:
    height, width = pixels.shape[:2]
    rng = np.random.default_rng(_SEED)
    base = far_scene(-(-width // _REDUCTION), -(-height // _REDUCTION), rng)
    moon(base, 0.33, 0.125, 0.030)
    _far_shore(base)
    water(base, _reflection(base), WATERLINES, rng)
    rock = rocks(base, rng)
    jetty(base, rng)
    _at_full_size(base, rock, pixels, rng)
    whole = Canvas(pixels)
    _far_shore(whole)
    gulls(whole)
    fleet(whole)
    posts(whole)
    bollard(whole, 1.28, 0.900, 0.045)


def _far_shore(canvas: Canvas) -> None:
    lighthouse(canvas, 0.205, 0.420, 0.20)
    town(canvas, np.random.default_rng(_SEED))


def _reflection(base: Canvas) -> np.ndarray:
    """The world upside down, below the horizon of a canvas of the same size."""
    pixels = base.pixels.copy()
    height = pixels.shape[0]
    first = int(HORIZON * height)
    rows = first - 1 - (np.arange(height - first) * 0.93).astype(int)
    pixels[first:] = pixels[np.maximum(rows, 0)]
    fleet(Canvas(pixels), mirror=True)
    return pixels


def _at_full_size(base: Canvas, rock, result: np.ndarray, rng) -> None:
    """The base enlarged, with fine texture: grain on rocks and wood, glints on water."""
    height, width = result.shape[:2]
    wood = boards(base) * (1 - rock)
    ground = 0.36 * rock + 0.05 * wood
    first = int(HORIZON * base.scale)
    sea = (1 - rock) * (1 - wood)
    sea[:first] = 0
    sea[first:] *= np.linspace(0.008, 0.05, len(sea) - first, dtype=np.float32)[:, None]
    across = -(-width // _TILE)
    coarse, flat, film = (
        np.tile(tile, (1, across))[:, :width]
        for tile in (
            np.clip(smooth_noise(rng, _TILE, _TILE, 75, 75, octaves=3, gain=0.85), -2, 2),
            smooth_noise(rng, _TILE, _TILE, 25, 120, octaves=3, gain=0.8),
            rng.standard_normal((_TILE, _TILE), dtype=np.float32),
        )
    )
    step = 20 * _REDUCTION

    def strip(band):
        y0, y1 = band
        low, high = y0 // _REDUCTION, (y0 + step) // _REDUCTION
        tile = slice(y0 % _TILE, y0 % _TILE + y1 - y0)

        def large(layer):
            return _thrice(layer, low, high)[: y1 - y0, :width]

        texture = 1 + np.float32(0.0012) * film[tile]
        if high > first:
            texture += large(ground) * coarse[tile] + large(sea) * flat[tile]
        texture *= np.float32(65535)
        for i in range(3):
            values = large(base.pixels[..., i])
            values = np.minimum(values * texture, np.float32(65535))
            result[y0:y1, :, i] = values

    for _ in in_order(strip, row_bands(height, step)):
        pass


def _thrice(layer: np.ndarray, low: int, high: int) -> np.ndarray:
    """Rows low..high of a float32 layer (h, w), three times as large, linear between."""
    rows = layer[np.clip(np.arange(low - 1, high + 1), 0, len(layer) - 1)]
    tall = np.empty((high - low, _REDUCTION, layer.shape[1] + 2), np.float32)
    third = np.float32(1 / 3)
    tall[:, 1, 1:-1] = rows[1:-1]
    tall[:, 0, 1:-1] = rows[1:-1] + (rows[:-2] - rows[1:-1]) * third
    tall[:, 2, 1:-1] = rows[1:-1] + (rows[2:] - rows[1:-1]) * third
    tall[..., 0], tall[..., -1] = tall[..., 1], tall[..., -2]
    tall = tall.reshape(-1, tall.shape[2])
    wide = np.empty((len(tall), layer.shape[1], _REDUCTION), np.float32)
    middle = tall[:, 1:-1]
    wide[..., 1] = middle
    np.multiply(tall[:, :-2] - middle, third, out=wide[..., 0])
    np.multiply(tall[:, 2:] - middle, third, out=wide[..., 2])
    wide[..., 0] += middle
    wide[..., 2] += middle
    return wide.reshape(len(tall), -1)
