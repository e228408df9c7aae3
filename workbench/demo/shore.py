"""The crisp things of the invented harbour that stand on its shores, and over it."""

from __future__ import annotations

import numpy as np

from workbench.demo.brush import Canvas, blend, bow, ellipse, ink, outline, ramp, upright
from workbench.demo.scene import HORIZON, jetty_x, town_ridge


def moon(canvas: Canvas, x: float, y: float, radius: float) -> None:
    """A full moon with its seas between L* 90 and 98."""
    canvas.glow(x, y, radius * 2.6, ink(80, 4, -8), 0.30)
    bright, seas = ink(98.5, 0, 5), ink(88, 1, 3)

    def face(px, py):
        u, v = (px - x) / radius, (py - y) / radius
        dark = np.sin(3.1 * u + 1.3) * np.sin(2.7 * v - 0.6 + u) + 0.5 * np.sin(7 * u - 5 * v)
        return blend(bright, seas, ramp(dark, -0.2, 0.9))

    canvas.paint(ellipse(x, y, radius, radius), face)


def gulls(canvas: Canvas) -> None:
    """Four gulls, far away."""
    for x, y, span in (
        (0.70, 0.115, 0.020),
        (0.735, 0.092, 0.015),
        (0.77, 0.13, 0.017),
        (1.26, 0.20, 0.014),
    ):
        left = bow((x - span, y - 0.15 * span), (x, y), -0.22)
        right = bow((x, y), (x + span, y - 0.25 * span), -0.22)
        under = [(px, py + 0.11 * span) for px, py in [*left, *right]]
        canvas.paint([*left, *right, *under[1:-1][::-1]], ink(84, 4, 4))


def lighthouse(canvas: Canvas, x: float, y: float, height: float) -> None:
    """A white tower with red bands; its lamp is lit."""
    foot, neck, top = 0.095 * height, 0.060 * height, y - 0.80 * height
    white, red = (ink(50, 8, -22), ink(95, 3, 16)), (ink(24, 42, 20), ink(52, 84, 70))

    def wall(px, py):
        sun = ramp((px - x) / foot, -0.95, 0.95) + 0 * py
        band = ((y - py) / height * 5.2 % 2 > 1) + 0 * px
        return blend(blend(*white, sun), blend(*red, sun), band)

    canvas.paint([(x - foot, y), (x - neck, top), (x + neck, top), (x + foot, y)], wall)
    lamp, rail, post = top - 0.12 * height, 1.5 * neck, 0.8 * neck
    canvas.paint(upright(x - post, lamp, x + post, top), ink(97, 0, 36))
    for at in (-post, 0, post):
        canvas.paint(upright(x + at - 0.06 * neck, lamp, x + at + 0.06 * neck, top), ink(20, 6, -4))
    canvas.paint(upright(x - rail, top - 0.02 * height, x + rail, top), ink(14, 3, -8))
    canvas.paint([(x - neck, lamp), (x, top - 0.20 * height), (x + neck, lamp)], ink(40, 66, 46))
    canvas.glow(x, top - 0.06 * height, 0.15 * height, ink(97, 2, 50), 0.72)


def town(canvas: Canvas, rng) -> None:
    """Houses with lit windows on the hill at the right, and some by the lighthouse."""
    x = np.concatenate([rng.uniform(1.15, 1.49, 30), [0.035, 0.075, 0.105]])
    slope = np.minimum(town_ridge(x), HORIZON - 0.004)
    ground = slope + rng.uniform(0, 1, len(x)) ** 0.7 * (HORIZON - 0.004 - slope)
    ground[-3:] = 0.424, 0.421, 0.425
    for i in np.argsort(ground):
        _house(canvas, rng, x[i], ground[i])


def _house(canvas: Canvas, rng, x, ground) -> None:
    wide, tall = rng.uniform(0.014, 0.026), rng.uniform(0.012, 0.026)
    wall = ink(rng.uniform(22, 44), rng.uniform(8, 24), rng.uniform(-12, 14))
    roof = ink(rng.uniform(14, 26), rng.uniform(14, 30), rng.uniform(2, 16))
    eaves = ground - tall
    canvas.paint(upright(x, eaves, x + wide, ground + 0.003), wall)
    canvas.paint(
        [(x - 0.002, eaves), (x + wide / 2, eaves - 0.010), (x + wide + 0.002, eaves)], roof
    )
    columns, floors = int(wide / 0.0065), int(tall / 0.009)
    for i in range(columns):
        for j in range(floors):
            if rng.random() < 0.55:
                wx, wy = x + (i + 0.28) * wide / columns, ground - (j + 0.8) * tall / floors
                pane = ink(rng.uniform(80, 95), rng.uniform(8, 22), rng.uniform(58, 96))
                canvas.paint(upright(wx, wy, wx + 0.0028, wy + 0.0042), pane)
                canvas.glow(wx + 0.0014, wy + 0.002, 0.006, ink(80, 24, 84), 0.22)


def posts(canvas: Canvas) -> None:
    """Mooring posts beside the jetty, painted white at their tops."""
    bark, paint = (ink(7, 4, 2), ink(50, 22, 34)), (ink(58, 4, -14), ink(97, 1, 6))
    for side, y, size in ((0, 0.80, 0.075), (0, 0.915, 0.125), (1, 0.80, 0.07)):
        wide = 0.16 * size
        x = jetty_x(side, y) + wide * (0.9 if side else -0.9)
        band = y - 0.75 * size

        def colour(px, py, x=x, wide=wide, band=band):
            turn = (px - x) / wide
            lines = 0.10 * np.sin(40 * turn + 3 * np.sin(py * 50)) + 0.06 * np.sin(
                95 * turn + py * 30
            )
            light = np.clip(ramp(turn, -1.1, 0.9) * 0.85 + lines, 0, 1)
            return blend(blend(*bark, light), blend(*paint, light), ramp(py, band + 0.0004, band))

        top = ellipse(x, y - size, wide, 0.35 * wide, np.pi, 2 * np.pi)
        bottom = ellipse(x, y + 0.9 * size, wide, 0.3 * wide, 0, np.pi)
        canvas.paint([*top, *bottom], colour)
        canvas.paint(ellipse(x, y - size, wide, 0.35 * wide), ink(98, 0, 5))


def bollard(canvas: Canvas, x: float, y: float, r: float) -> None:
    """A bollard of neutral grey stone: a grey scale of its own, from L* 15 to 82."""
    dark, light = ink(14, 0, 0), ink(78, 0, 0)

    def stone(px, py):
        turn = (px - x) / r
        speckle = 0.04 * np.sin(py * 1900 + 9 * np.sin(px * 1300)) * np.sin(px * 2100 + py * 700)
        return blend(dark, light, np.clip(ramp(turn, 1.05, -1.0) + speckle, 0, 1))

    shadow = ellipse(x + 0.9 * r, y + 1.02 * r, 1.7 * r, 0.26 * r)
    canvas.paint(shadow, ink(5, 2, -2), 0.65)
    body = outline(
        (x - 0.95 * r, y + r),
        (x - 0.72 * r, y - r),
        (x + 0.72 * r, y - r),
        (x + 0.95 * r, y + r),
        bends=(0, 0, 0, -0.12),
    )
    canvas.paint(body, stone)
    rim = [
        *ellipse(x, y - 1.35 * r, r, 0.26 * r, np.pi, 2 * np.pi),
        *ellipse(x, y - 1.0 * r, r, 0.26 * r, 0, np.pi),
    ]
    canvas.paint(rim, stone)
    canvas.paint(ellipse(x, y - 1.35 * r, r, 0.26 * r), ink(82, 0, 0))
    canvas.paint(ellipse(x, y - 1.35 * r, 0.8 * r, 0.19 * r), ink(70, 0, 0))
