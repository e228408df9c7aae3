"""All that floats in the invented harbour.

Each is a function that paints on a `Canvas`, so that the same boat can be painted small
and upside down as a reflection, and large where it floats.  ``y`` is a waterline.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np

from workbench.demo.brush import Canvas, blend, bow, ellipse, ink, outline, ramp

# x, waterline, size, and half the width on the water of all that `fleet` paints
_PLACES = (
    (0.790, 0.522, 0.085, 0.034),
    (0.470, 0.530, 0.095, 0.038),
    (0.945, 0.568, 0.235, 0.095),
    (0.615, 0.665, 0.500, 0.200),
    (1.220, 0.690, 0.150, 0.105),
    (0.360, 0.640, 0.011, 0.011),
    (0.845, 0.735, 0.016, 0.016),
)
WATERLINES = tuple((x - half, x + half, y) for x, y, _, half in _PLACES)


def _cloth(luff, width, height, foot, shade, light):
    """Shading of a sail: a round belly, seams across it, creases and weave."""

    def colour(px, py):
        across = (px - luff) / np.float32(width)
        up = (foot - py) / np.float32(height)
        belly = 0.46 + 0.54 * np.cos(3.4 * (across - 0.62 + 0.35 * up))
        seam = ramp(np.abs((up * 7 + 0.35 * across) % 1 - 0.5), 0.470, 0.496)
        crease = 0.05 * np.sin(64 * across + 23 * up) * np.sin(9 * up + 1)
        weave = 0.02 * np.sin(900 * across + 270 * up) * np.sin(900 * up)
        return blend(shade, light, np.clip(belly + crease + weave - 0.40 * seam, 0, 1))

    return colour


def _strip(start, stop, thick) -> list[tuple[float, float]]:
    """A thin bar from place to place, ``thick`` wide at its start and half that at its end."""
    (x0, y0), (x1, y1) = start, stop
    length = np.hypot(x1 - x0, y1 - y0)
    nx, ny = -(y1 - y0) / length * thick / 2, (x1 - x0) / length * thick / 2
    return [
        (x0 + nx, y0 + ny),
        (x1 + nx / 2, y1 + ny / 2),
        (x1 - nx / 2, y1 - ny / 2),
        (x0 - nx, y0 - ny),
    ]


def sailing_boat(canvas: Canvas, x, y, size, hull, main, jib=None, side=1) -> None:
    """A boat under sail.

    ``size`` is the mast's height; ``hull``, ``main`` and ``jib`` are pairs of colours, in
    shade and in light; ``side`` 1 has the boom to the right, -1 to the left.
    """
    s = size * side
    foot, head, mast = y - 0.115 * size, y - size, x - 0.02 * s
    boom = mast + 0.40 * s
    leech = outline(
        (mast, foot),
        (boom, foot + 0.012 * size),
        (mast, head + 0.02 * size),
        bends=(0.02 * side, 0.10 * side, 0),
    )
    canvas.paint(leech, _cloth(mast, 0.42 * s, 0.9 * size, foot, *main))
    if jib is not None:
        tack = x - 0.36 * s
        shape = outline(
            (tack, y - 0.10 * size),
            (mast - 0.02 * s, y - 0.15 * size),
            (mast - 0.006 * s, head + 0.13 * size),
            bends=(0.03 * side, 0.07 * side, -0.02 * side),
        )
        canvas.paint(shape, _cloth(tack, 0.36 * s, 0.78 * size, y - 0.10 * size, *jib))
    spar = ink(30, 14, 18)
    canvas.paint(_strip((mast, y - 0.05 * size), (mast, head), 0.010 * size), spar)
    canvas.paint(
        _strip((mast, foot + 0.010 * size), (boom, foot + 0.020 * size), 0.012 * size), spar
    )
    tip, stern = (x - 0.40 * s, y - 0.092 * size), (x + 0.36 * s, y - 0.070 * size)
    for end in (tip, stern):
        canvas.paint(_strip((mast, head + 0.01 * size), end, 0.0022 * size), ink(22, 6, 0), 0.75)
    sheer = bow(tip, stern, 0.035 * side)
    body = [*sheer, (x + 0.32 * s, y), *bow((x - 0.29 * s, y), tip, 0.06 * side)]

    shade, lit = hull

    def planks(px, py):
        down = (py - tip[1]) / (0.092 * size)
        shine = np.exp(-(((down - 0.45) / 0.22) ** 2)) * (
            0.6 + 0.4 * np.sin(5 * (px - x) / size + 1)
        )
        return blend(shade, lit, np.clip(shine + 0.15 - 0.35 * ramp(down, 0.6, 1), 0, 1))

    canvas.paint(body, planks)
    lower = [(px, py + 0.011 * size) for px, py in sheer]
    canvas.paint([*sheer, *lower[::-1]], ink(92, 3, 14))


def fishing_boat(canvas: Canvas, x, y, size) -> None:
    """A deep blue working boat with an orange wheelhouse, at rest; its cabin is lit."""

    def at(right, up):
        return x + right * size, y - up * size

    spar, white = ink(22, 8, 8), ink(94, 1, 8)
    for foot, tall in ((-0.18, 1.15), (0.54, 0.90)):
        canvas.paint(_strip(at(foot, 0.2), at(foot, tall), 0.026 * size), spar)
    canvas.paint(_strip(at(-0.18, 1.12), at(-0.64, 0.36), 0.008 * size), spar, 0.8)
    canvas.paint(_strip(at(-0.18, 1.12), at(0.54, 0.88), 0.008 * size), spar, 0.8)
    shade, light = ink(46, 58, 60), ink(67, 62, 92)
    house = [at(0.05, 0.2), at(0.08, 0.6), at(0.46, 0.6), at(0.46, 0.2)]
    canvas.paint(
        house, lambda px, py: blend(shade, light, ramp((px - x) / size, 0.48, 0.05) + 0 * py)
    )
    canvas.paint([at(0.03, 0.6), at(0.04, 0.64), at(0.52, 0.64), at(0.50, 0.6)], white)
    for left in (0.13, 0.30):
        pane = [at(left, 0.40), at(left, 0.53), at(left + 0.11, 0.53), at(left + 0.11, 0.40)]
        canvas.paint(pane, ink(95, 4, 60))
    right, up = at(0.26, 0.46)
    canvas.glow(right, up, 0.22 * size, ink(85, 22, 80), 0.22)
    sheer = bow(at(-0.66, 0.36), at(0.70, 0.25), 0.06)
    deep, lit = ink(13, 38, -74), ink(35, 42, -96)

    def planks(px, py):
        down = (py - y) / (0.30 * size) + 1
        shine = np.exp(-(((down - 0.30) / 0.25) ** 2)) * ramp((px - x) / size, 0.7, -0.5)
        return blend(deep, lit, np.clip(shine + 0.10 * np.sin(40 * down), 0, 1))

    canvas.paint([*sheer, at(0.62, 0), at(-0.50, 0)], planks)
    canvas.paint([at(-0.53, 0.035), at(0.63, 0.035), at(0.62, 0), at(-0.50, 0)], ink(38, 66, 46))
    canvas.paint([*sheer, *((px, py + 0.035 * size) for px, py in sheer[::-1])], white)


def buoy(canvas: Canvas, x, y, radius, shade, light) -> None:
    """A round buoy, a good half above the water."""
    shape = ellipse(x, y - 0.25 * radius, radius, radius, 0.92 * np.pi, 2.08 * np.pi)

    def ball(px, py):
        far = (px - x - 0.35 * radius) ** 2 + (py - y + 0.75 * radius) ** 2
        return blend(shade, light, np.exp(-far / (0.5 * radius**2)))

    canvas.paint(shape, ball)


def fleet(canvas: Canvas, mirror: bool = False) -> None:
    """All boats and buoys, from far to near; mirrored, each about its own waterline."""
    white = ink(78, 6, -6), ink(99.2, 0, 5)
    cream = ink(88, 5, 22), ink(97, 0, 18)
    red = ink(28, 56, 34), ink(53, 96, 84)
    orange = ink(54, 64, 70), ink(77, 50, 112)
    wood = ink(18, 14, 14), ink(54, 24, 40)
    navy = ink(9, 20, -44), ink(31, 42, -90)
    boats: Iterator[tuple[Any, ...]] = iter(
        [
            (sailing_boat, navy, cream, cream),
            (sailing_boat, wood, orange, None, -1),
            (sailing_boat, navy, red, red),
            (sailing_boat, navy, white, orange),
            (fishing_boat,),
            (buoy, ink(28, 54, 34), ink(60, 86, 80)),
            (buoy, ink(50, 56, 62), ink(78, 48, 106)),
        ]
    )
    for (x, y, size, _), (kind, *looks) in zip(_PLACES, boats, strict=True):
        kind(canvas.mirrored(y) if mirror else canvas, x, y, size, *looks)
