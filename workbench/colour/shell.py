"""The surface of a device's gamut in Lab: its volume, slices and reach at each hue.

The surface of a gamut lies among the images of the two-dimensional faces of the
device's cube (six faces for RGB; the twenty-four of the four-dimensional ink
cube for CMYK, some of which end up inside).  At every lightness the outermost
crossing of these faces in each direction around the black-to-white axis is kept.
A convex hull would overstate the volume by a tenth or more.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np

from workbench.colour.engine import transform
from workbench.colour.lab import relative_to_absolute
from workbench.colour.profile import CHANNELS, read_profile

LIGHTNESS = np.arange(0.5, 100.5, 1.0)
HUES = np.arange(0.0, 360.0, 3.0)


@dataclass(frozen=True, eq=False)
class GamutShell:
    """How far a gamut reaches from its own grey axis.

    Attributes
    ----------
    axis : (100, 2) a*, b* of the axis from black to white at lightness 0.5, 1.5 … 99.5.
    reach : (100, 120) distance from that axis to the surface, at hue angles 0, 3 … 357
        degrees around it; 0 where the gamut has no such lightness.
    vertices : (faces, n, n, 3) Lab of the face grids, for drawing.
    """

    axis: np.ndarray = field(repr=False)
    reach: np.ndarray = field(repr=False)
    vertices: np.ndarray = field(repr=False)

    @property
    def volume(self) -> float:
        """Cubic Lab units."""
        step = np.radians(HUES[1] - HUES[0])
        nearest, following = self.reach, np.roll(self.reach, -1, axis=1)
        # triangles between neighbouring directions, one unit of lightness thick
        return float((nearest * following).sum() * np.sin(step) / 2)

    def outline(self, lightness: float) -> np.ndarray:
        """(121, 2) closed a*, b* outline of the slice at ``lightness`` (0..100); all on the axis if empty."""
        at = np.clip(lightness - LIGHTNESS[0], 0, len(LIGHTNESS) - 1)
        low = int(at)
        high = min(low + 1, len(LIGHTNESS) - 1)
        share = at - low
        reach = (1 - share) * self.reach[low] + share * self.reach[high]
        axis = (1 - share) * self.axis[low] + share * self.axis[high]
        angle = np.radians(HUES)
        ring = axis + reach[:, None] * np.stack([np.cos(angle), np.sin(angle)], axis=1)
        return np.concatenate([ring, ring[:1]])

    def area(self, lightness: float) -> float:
        """Of the slice at ``lightness`` (0..100), in square units of a* and b*."""
        a, b = self.outline(lightness).T
        return float(0.5 * abs(np.sum(a[:-1] * b[1:] - a[1:] * b[:-1])))

    @property
    def most_chroma(self) -> float:
        """No colour of it lies further from the plane's origin."""
        return float((np.hypot(*self.axis.T)[:, None] + self.reach).max())

    def reach_at(self, lightness, hue) -> np.ndarray:
        """Reach at lightness (0..100) and hue (degrees) arrays, bilinear."""
        y = np.clip(np.asarray(lightness, float) - LIGHTNESS[0], 0, len(LIGHTNESS) - 1)
        x = np.asarray(hue, float) % 360 / (HUES[1] - HUES[0])
        y0, x0 = y.astype(int), x.astype(int)
        y1, x1 = np.minimum(y0 + 1, len(LIGHTNESS) - 1), (x0 + 1) % len(HUES)
        x0 %= len(HUES)
        fy, fx = y - y0, x - np.floor(x)
        r = self.reach
        return (1 - fy) * ((1 - fx) * r[y0, x0] + fx * r[y0, x1]) + fy * (
            (1 - fx) * r[y1, x0] + fx * r[y1, x1]
        )


def face_grids(channels: int, n: int) -> np.ndarray:
    """(faces, n, n, channels) device values of all two-dimensional faces of the unit cube."""
    steps = np.linspace(0, 1, n)
    faces = []
    for moving in itertools.combinations(range(channels), 2):
        rest = [c for c in range(channels) if c not in moving]
        for corner in itertools.product((0.0, 1.0), repeat=len(rest)):
            face = np.empty((n, n, channels))
            face[..., moving[0]] = steps[:, None]
            face[..., moving[1]] = steps[None, :]
            face[..., rest] = corner
            faces.append(face)
    return np.stack(faces)


def shell_of_faces(lab: np.ndarray, black, white) -> GamutShell:
    """The shell of face grids already in Lab.

    Parameters
    ----------
    lab : (faces, n, n, 3) Lab of `face_grids`.
    black, white : (3,) Lab; the line between them is the axis.
    """
    black, white = np.asarray(black, float), np.asarray(white, float)
    span = max(white[0] - black[0], 1e-6)
    along = np.clip((LIGHTNESS - black[0]) / span, 0, 1)[:, None]
    axis = (1 - along) * black[1:] + along * white[1:]
    corners = lab[:, :-1, :-1], lab[:, 1:, :-1], lab[:, :-1, 1:], lab[:, 1:, 1:]
    a, b, c, d = (corner.reshape(-1, 3) for corner in corners)
    triangles = np.concatenate([np.stack([a, b, c], axis=1), np.stack([b, d, c], axis=1)])
    return GamutShell(axis, _reach(triangles, axis), lab)


def _reach(triangles: np.ndarray, axis: np.ndarray) -> np.ndarray:
    reach = np.zeros((len(LIGHTNESS), len(HUES)))
    order = np.argsort(triangles[..., 0], axis=1)
    low, mid, high = np.moveaxis(np.take_along_axis(triangles, order[..., None], axis=1), 1, 0)
    first = np.clip(np.ceil(low[:, 0] - LIGHTNESS[0]), 0, len(LIGHTNESS)).astype(int)
    last = np.clip(np.ceil(high[:, 0] - LIGHTNESS[0]), 0, len(LIGHTNESS)).astype(int)
    level, owner = _spread(first, last - first)
    if not level.size:
        return reach
    height = LIGHTNESS[level]
    low, mid, high = low[owner], mid[owner], high[owner]
    centre = axis[level]
    one = _cross(low, high, height) - centre
    two = np.where(
        (height < mid[:, 0])[:, None], _cross(low, mid, height), _cross(mid, high, height)
    )
    two -= centre
    _fill(reach, level, one, two)
    return reach


def _spread(start, count):
    """(value, owner): for each owner the integers start, start + 1, … count of them."""
    owner = np.repeat(np.arange(len(count)), count)
    offset = np.arange(len(owner)) - np.repeat(np.cumsum(count) - count, count)
    return start[owner] + offset, owner


def _cross(lower, upper, height):
    gap = upper[:, 0] - lower[:, 0]
    share = np.where(gap > 0, (height - lower[:, 0]) / np.where(gap > 0, gap, 1), 0)
    return lower[:, 1:] + share[:, None] * (upper[:, 1:] - lower[:, 1:])


def _fill(reach, level, one, two):
    """Enter segments one–two into the polar table at every direction they cross."""
    step = HUES[1] - HUES[0]
    angle1 = np.degrees(np.arctan2(one[:, 1], one[:, 0]))
    turn = (np.degrees(np.arctan2(two[:, 1], two[:, 0])) - angle1 + 180) % 360 - 180
    swap = turn < 0
    start = np.where(swap, angle1 + turn, angle1) / step
    stop = start + np.abs(turn) / step
    first = np.ceil(start).astype(int)
    count = np.maximum(np.floor(stop).astype(int) - first + 1, 0)
    index, owner = _spread(first, count)
    direction = np.radians(index * step)
    ray = np.stack([np.cos(direction), np.sin(direction)], axis=1)
    p, q = one[owner], two[owner] - one[owner]
    # r * ray = p + t q  →  r = (p × q) / (ray × q)
    down = ray[:, 0] * q[:, 1] - ray[:, 1] * q[:, 0]
    up = p[:, 0] * q[:, 1] - p[:, 1] * q[:, 0]
    sound = np.abs(down) > 1e-9
    radius = np.where(sound, up / np.where(sound, down, 1), np.hypot(*p.T))
    np.maximum.at(reach, (level[owner], index % len(HUES)), np.maximum(radius, 0))


@lru_cache(maxsize=32)
def gamut_shell(profile: bytes, *, absolute: bool = False) -> GamutShell:
    """The shell of a profile's device, from its colorimetric table.

    Parameters
    ----------
    profile : bytes of an RGB or CMYK profile.
    absolute : ICC-absolute Lab (as gamut volumes are quoted) or media-relative.
    """
    checked = read_profile(profile)
    channels = CHANNELS[checked.space]
    device = face_grids(channels, 33 if channels == 3 else 17)
    lab = transform(device, profile, "lab", intent="relative")
    if absolute and (white := checked.xyz("wtpt")):
        lab = relative_to_absolute(lab, white)
    flat = lab.reshape(-1, 3)
    return shell_of_faces(lab, flat[np.argmin(flat[:, 0])], flat[np.argmax(flat[:, 0])])
