"""The soft parts of the invented harbour, painted small: sky, hills, water, rocks, jetty.

Places are in picture heights from the upper left (see `brush`); colours are media-relative
Lab.
"""

from __future__ import annotations

import numpy as np

from workbench.demo.brush import Canvas, blend, enlarge, ink, look_up, ramp, smooth_noise, upright

HORIZON = 0.50
WIDTH = 1.5
GLOW_X = 0.99

# height over the horizon -> sky colour far from the sunset, and in it
_SKY_AT = (0.0, 0.07, 0.15, 0.26, 0.38, 0.50)
_SKY_FAR = ((69, 34, 26), (62, 34, 8), (53, 29, -14), (42, 18, -35), (31, 12, -48), (20, 14, -50))
_SKY_NEAR = ((96, 6, 60), (86, 33, 96), (70, 55, 72), (55, 42, 8), (38, 20, -32), (23, 15, -51))


def _sky(width: int, height: int) -> np.ndarray:
    y = (np.arange(height)[:, None] + 0.5) / height * HORIZON
    x = (np.arange(width)[None] + 0.5) / width * WIDTH
    above = HORIZON - y[:, 0]
    far, near = (
        np.stack([np.interp(above, _SKY_AT, c) for c in np.array(table, float).T], axis=1)
        for table in (_SKY_FAR, _SKY_NEAR)
    )
    share = np.exp(-(((x - GLOW_X) / 0.55) ** 2) - ((HORIZON - y) / 0.42) ** 2)
    lab = blend(far[:, None], near[:, None], share)
    return ink(*np.moveaxis(lab, -1, 0))


def _clouds(canvas: Canvas, rng) -> None:
    width, rows = canvas.pixels.shape[1] // 2, int(HORIZON * canvas.scale) // 2
    y = (np.arange(rows, dtype=np.float32)[:, None] + 0.5) / rows * HORIZON
    x = (np.arange(width, dtype=np.float32)[None] + 0.5) / width * WIDTH
    noise = smooth_noise(rng, width, rows, 3, 7, octaves=6, gain=0.52)
    # banks lie in two belts, thick in the middle and frayed at their edges
    belt = 1.35 * np.exp(-(((y - 0.32 - 0.05 * x) / 0.06) ** 2))
    belt = belt + 1.15 * np.exp(-(((y - 0.17 + 0.06 * x) / 0.055) ** 2))
    thick = ramp(noise + belt, 0.75, 2.7)
    # lit from below where the sun went down: an edge catches light, the body stays grey
    below = np.roll(thick, -max(1, int(0.025 * rows)), axis=0)
    lit = np.clip(2.2 * (thick - below) + 0.4, 0, 1)
    near = np.exp(-(((x - GLOW_X) / 0.42) ** 2) - ((y - 0.40) / 0.22) ** 2)
    shade = blend(ink(45, 14, -22), ink(64, 32, 18), near)
    light = blend(ink(70, 30, 14), ink(97, 8, 20), np.clip(1.3 * near, 0, 1))
    colour = blend(shade, light, lit * (0.35 + 0.65 * near))
    cover = enlarge(0.92 * thick, canvas.pixels.shape[1], 2 * rows)
    for i in range(3):
        part = canvas.pixels[: 2 * rows, :, i]
        part += cover * (enlarge(colour[..., i], canvas.pixels.shape[1], 2 * rows) - part)


def _ridge(rng, rough: float, cells: int) -> np.ndarray:
    return rough * smooth_noise(rng, 400, 3, cells, 1, octaves=6, gain=0.5)[1]


_RIDGE_X = np.linspace(-0.01, WIDTH + 0.01, 400)


def town_ridge(x) -> np.ndarray:
    """Height of the hill that the town stands on."""
    return 0.517 - 0.095 * ramp(np.asarray(x), 1.00, 1.40)


def _hill(canvas, y, colour, warm) -> None:
    colour, warm = ink(*colour), ink(*warm)
    mist_colour = ink(58, 30, 0)

    def tint(px, py):
        near = np.exp(-(((px - GLOW_X) / 0.30) ** 2)) + 0 * py
        return blend(blend(colour, warm, near), mist_colour, 0.30 * ramp(py, 0.44, 0.505))

    low = HORIZON + 0.004
    edge = zip(_RIDGE_X, np.minimum(y, low), strict=True)
    canvas.paint([*edge, (_RIDGE_X[-1], low), (_RIDGE_X[0], low)], tint)


def far_scene(width: int, height: int, rng) -> Canvas:
    """Sky, clouds and hills on a canvas of the whole picture, filled above the horizon."""
    canvas = Canvas(np.zeros((height, width, 3), np.float32))
    rows = int(np.ceil(HORIZON * height)) + 2
    small = _sky(max(width // 6, 8), max(rows // 6, 8))
    for i in range(3):
        canvas.pixels[:rows, :, i] = enlarge(small[..., i], width, rows)
    _clouds(canvas, rng)
    _hill(canvas, 0.452 + _ridge(rng, 0.013, 7), (47, 18, -20), (70, 36, 40))
    _hill(canvas, 0.474 + _ridge(rng, 0.011, 9), (34, 14, -26), (52, 34, 30))
    headland = 0.412 + 0.11 * ramp(_RIDGE_X, 0.18, 0.56)
    _hill(canvas, headland + _ridge(rng, 0.006, 12), (15, 6, -18), (26, 18, 4))
    _hill(canvas, town_ridge(_RIDGE_X) + _ridge(rng, 0.004, 14), (18, 10, -18), (26, 20, 2))
    return canvas


def water(canvas: Canvas, reflected: np.ndarray, waterlines, rng) -> None:
    """Fill the canvas below the horizon with what ``reflected`` shows there, seen in ripples.

    ``waterlines`` are (left, right, y) of what floats: ripples do not carry its reflection
    over them.
    """
    height, width = canvas.pixels.shape[:2]
    first = int(HORIZON * height)
    depth = ((np.arange(first, height, dtype=np.float32) + 0.5) / height - HORIZON)[:, None]
    x = ((np.arange(width, dtype=np.float32) + 0.5) / height)[None]
    size = 512
    waves = smooth_noise(rng, size, size, 14, 14, octaves=4, gain=0.55)
    swell = smooth_noise(rng, size, size, 5, 5, octaves=3, gain=0.5)
    # ripples shrink towards the horizon
    far = 1 / (depth + 0.035)
    row, across = far * 95, (x - WIDTH / 2) * far
    tilt = 0.6 * look_up(waves, row, across * 44 + 200)
    tilt += 0.7 * look_up(swell, row * 0.6, across * 15 + 90)
    reach = depth * (0.10 + 0.10 * depth) + 0.0012
    sway = look_up(swell, row * 0.9 + 250, across * 20)
    rows = np.clip((HORIZON + depth + tilt * reach) * height, first, height - 1).astype(np.int32)
    for left, right, y in waterlines:
        left, right, line = int(left * height), int(right * height) + 1, int(y * height)
        reach_rows = int(0.1 * height)
        behind = rows[max(line - reach_rows - first, 0) : line - first, left:right]
        before = rows[line - first : line - first + reach_rows, left:right]
        np.minimum(behind, line - 3, out=behind)
        np.maximum(before, line + 1, out=before)
    columns = np.clip((x + 0.10 * reach * sway) * height, 0, width - 1).astype(np.int32)
    seen = reflected[rows, columns]
    # neighbours together, or the edges of ripples would be ragged
    seen[:-1] += seen[1:]
    seen[:, :-1] += seen[:, 1:]
    seen[-1] *= 2
    seen[:, -1] *= 2
    # water keeps some light, and shows its own depth where it is looked into steeply
    steep = np.clip(0.62 * ramp(depth, 0.05, 0.5) + 0.10 + 0.06 * tilt, 0, 0.9)
    canvas.pixels[first:] = blend(0.2425 * seen, ink(12, 2, -26), steep)


def rocks(canvas: Canvas, rng) -> np.ndarray:
    """Dark wet boulders in the lower left; returns where they are, (h, w) 0..1."""
    height, width = canvas.pixels.shape[:2]
    top, right = int(0.60 * height), int(0.70 * width)
    rows = height - top
    y = ((np.arange(top, height, dtype=np.float32) + 0.5) / height)[:, None]
    x = ((np.arange(right, dtype=np.float32) + 0.5) / height)[None]
    # boulders are the highest of several swells; they meet in creases
    swells = [smooth_noise(rng, right, rows, 8, 4, octaves=2, gain=0.45) for _ in range(3)]
    highest = np.maximum(np.maximum(swells[0], swells[1]), swells[2])
    crease = np.full_like(highest, 9)
    for swell in swells:
        gap = highest - swell
        crease = np.minimum(crease, np.where(gap > 0, gap, 9))
    rough = smooth_noise(rng, right, rows, 24, 12, octaves=5, gain=0.62)
    relief = highest + 0.13 * rough
    edge = 0.715 + 0.36 * ramp(x, 0.0, 1.0) - 0.028 * (highest + 0.04 * rough)
    cover = ramp(y - edge, -0.0015, 0.0025)
    slope_y, slope_x = np.gradient(relief)
    step = canvas.scale / 60
    upward = np.clip(0.20 + 0.9 * slope_y * step, 0, 1.5)
    sunny = np.clip(-0.75 * slope_x * step + 0.35 * slope_y * step, 0, 1.5)
    open_sky = 0.25 + 0.75 * ramp(crease, 0.0, 0.5)
    rim = np.exp(-np.maximum(y - edge, 0) / 0.03)
    blue = upward * open_sky * (0.065 + 0.06 * rim)
    warm = sunny * open_sky * (0.060 + 0.19 * rim)
    dark = 0.014 + 0.034 * open_sky * (1 + 0.25 * swells[0])
    mix = ((0.75, 1.3), (0.82, 0.85), (1.25, 0.5))
    colour = np.stack([dark + b * blue + w * warm for b, w in mix], axis=2)
    part = canvas.pixels[top:, :right]
    part[...] = blend(part, colour, cover)
    whole = np.zeros((height, width), np.float32)
    whole[top:, :right] = cover
    return whole


# near edge, far edge and vanishing point of the jetty
_NEAR_LEFT, _NEAR_RIGHT, FAR_Y, _VANISH = 0.86, 1.72, 0.775, 1.06


def jetty_x(side: float, y: float) -> float:
    """Where the jetty's boards end at height y; ``side`` 0 is left, 1 right."""
    near = _NEAR_LEFT + side * (_NEAR_RIGHT - _NEAR_LEFT)
    return near + (_VANISH - near) * (1 - y) / (1 - HORIZON)


def jetty(canvas: Canvas, rng) -> None:
    """A wooden jetty in the lower right, in the last light."""
    left, right = jetty_x(0, FAR_Y), jetty_x(1, FAR_Y)
    near_left, near_right = jetty_x(0, 1.03), jetty_x(1, 1.03)
    under = [
        (left, FAR_Y),
        (near_left, 1.03),
        (near_left - 0.06, 1.03),
        (left - 0.012, FAR_Y + 0.03),
    ]
    canvas.paint(under, ink(4, 1, -6), 0.93)
    tile = smooth_noise(rng, 512, 512, 3, 60, octaves=4, gain=0.6)
    tones = rng.normal(0, 1, (3, 64)) * [[6], [2], [3.5]] + [[46], [14], [22]]
    palette = ink(*tones)

    def wood(px, py):
        far = 1 / np.maximum(py - HORIZON, 0.05)
        along = (far - 2) * 9
        board = np.floor(along).astype(int)
        within = along - board
        across = (px - _VANISH) * far
        grain = look_up(tile, within * 60 + board * 37 + 0 * px, across * 110 + board * 91)
        gap = ramp(np.abs(within - 0.5), 0.435, 0.485)
        # the evening light lies along the boards and fades towards the viewer
        light = 0.62 + 0.62 * np.exp(-((px - 0.98) ** 2) / 0.10 - (py - FAR_Y) / 0.20)
        light = light * (1 - 0.88 * gap) * (1 + 0.13 * grain)
        nails = np.hypot((np.abs(across - 0.60) - 0.92) * 12, (within - 0.5) * 1.2) < 0.13
        light = np.where(nails, 0.4 * light, light)
        lit = light[..., None] * np.array([1.08, 0.97, 0.84], np.float32)
        return np.minimum(palette[board % 64] * lit, 1)

    canvas.paint([(left, FAR_Y), (right, FAR_Y), (near_right, 1.03), (near_left, 1.03)], wood)
    canvas.paint(upright(left, FAR_Y, right, FAR_Y + 0.003), ink(66, 18, 34))


def boards(canvas: Canvas) -> np.ndarray:
    """Where the jetty is, (h, w) 0..1."""
    height, width = canvas.pixels.shape[:2]
    y = ((np.arange(height, dtype=np.float32) + 0.5) / height)[:, None]
    x = ((np.arange(width, dtype=np.float32) + 0.5) / height)[None]
    inside = (y > FAR_Y) & (x > jetty_x(0, y)) & (x < jetty_x(1, y))
    return inside.astype(np.float32)
