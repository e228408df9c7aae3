"""Ink dots on paper: which colour they mix to, and which dots come nearest to a colour.

Sources: as in `workbench.colour.inkmodel`, which builds profiles from this.
"""

from __future__ import annotations

import numpy as np

from workbench.colour.lab import _EPSILON, _SLOPE, D50_XYZ, absolute_to_relative, lab_to_xyz
from workbench.colour.shell import GamutShell, face_grids, shell_of_faces

# overprints in the order of the dot bits: cyan 1, magenta 2, yellow 4
PRIMARIES = ("cyan", "magenta", "blue", "yellow", "green", "red")

# Lab colours whose inks are found first, as starts for all others
_LATTICE = (np.linspace(0, 100, 17), np.linspace(-120, 120, 17), np.linspace(-120, 120, 17))
_BLOCK = 16384


class InkModel:
    """The forward model: device RGB (0..1) to media-relative Lab, and back.

    Parameters
    ----------
    white_lab, black_lab : (3,) absolute Lab of the bare paper and of its deepest black.
    inks : media-relative Lab of each of `PRIMARIES`.
    yule_nielsen : how far light spreads under the dots; 1 not at all (Murray–Davies), the
        real papers' 1.5 to 2.5.
    """

    def __init__(self, white_lab, black_lab, inks: dict, yule_nielsen: float):
        self.white_xyz = lab_to_xyz(white_lab)
        self.black = absolute_to_relative(black_lab, self.white_xyz)
        self._n = yule_nielsen
        solids = [(100.0, 0.0, 0.0), *(inks[name] for name in PRIMARIES), tuple(self.black)]
        roots = np.maximum(lab_to_xyz(np.array(solids)) / D50_XYZ, 1e-6) ** (1 / self._n)
        # polynomial coefficients of the Demichel sum in c, m, y: inclusion and exclusion
        for bit in (1, 2, 4):
            upper = [i for i in range(8) if i & bit]
            roots[upper] -= roots[[i - bit for i in upper]]
        self._roots = roots
        self._ramp = np.linspace(0, 1, 129)
        self._cover = self._balance()
        self._starts: np.ndarray | None = None

    def _printed(self, cover: np.ndarray) -> np.ndarray:
        """Media-relative Lab (3, n) of dot covers (3, n)."""
        return _lab_of_f(_f_of_light(self._root(*cover) ** self._n))

    def _root(self, c, m, y) -> np.ndarray:
        """The n-th root of XYZ over the white's, (3, n): what mixes by area."""
        k = self._roots[..., None]
        low = k[0] + c * k[1] + m * (k[2] + c * k[3])
        high = k[4] + c * k[5] + m * (k[6] + c * k[7])
        return np.maximum(low + y * high, 0)

    def _printed_slopes(self, cover: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Lab (3, n), and its derivatives (3, 3, n) by each of the three covers."""
        c, m, y = cover
        k = self._roots[..., None]
        root = np.maximum(self._root(c, m, y), 1e-6)
        light = root**self._n
        f = _f_of_light(light)
        # the cube root's slope f / 3 light, or that of the straight piece near black
        bend = self._n * light / root * np.where(light > _EPSILON, f / (3 * light), _SLOPE)
        slopes = (
            bend * (k[1] + m * k[3] + y * (k[5] + m * k[7])),
            bend * (k[2] + c * k[3] + y * (k[6] + c * k[7])),
            bend * (k[4] + c * k[5] + m * (k[6] + c * k[7])),
        )
        return _lab_of_f(f), np.stack([_lab_of_f(s, 0.0) for s in slopes], axis=1)

    def _balance(self) -> np.ndarray:
        """Covers along the grey axis, (129, 3), that print evenly spaced neutrals."""
        target = (self.black + (np.array([100.0, 0, 0]) - self.black) * self._ramp[:, None]).T
        cover = np.repeat(1 - self._ramp[None], 3, axis=0) ** 1.3
        for _ in range(40):
            cover = np.clip(cover, 0, 1)
            lab, slopes = self._printed_slopes(cover)
            jacobian = np.moveaxis(slopes, -1, 0) + 1e-9 * np.eye(3)
            cover = cover + 0.7 * np.linalg.solve(jacobian, (target - lab).T[..., None])[..., 0].T
        cover = np.clip(cover, 0, 1).T
        cover[0], cover[-1] = 1, 0
        # a driver's curves never turn back
        return np.minimum.accumulate(cover, axis=0)

    def lab(self, rgb) -> np.ndarray:
        """Media-relative Lab of device RGB, (..., 3)."""
        rgb = np.asarray(rgb, float)
        flat = rgb.reshape(-1, 3).T
        cover = np.stack(
            [np.interp(v, self._ramp, w) for v, w in zip(flat, self._cover.T, strict=True)]
        )
        return self._printed(cover).T.reshape(rgb.shape)

    def shell(self) -> GamutShell:
        """The gamut, media-relative."""
        return shell_of_faces(self.lab(face_grids(3, 33)), self.black, (100, 0, 0))

    def rgb(self, lab, rounds: int = 14) -> np.ndarray:
        """Device RGB that comes nearest to media-relative Lab targets (n, 3).

        Damped least squares within 0..1, the differences weighted as in CIE94 so
        that colours beyond the gamut give up chroma before they give up hue.
        """
        goal = np.asarray(lab, float).T
        cover = self._start(goal)
        # blocks that stay in the processor's cache
        for first in range(0, goal.shape[1], _BLOCK):
            block = slice(first, first + _BLOCK)
            cover[:, block] = self._nearest(goal[:, block], cover[:, block], rounds)
        # the driver's curves, backwards
        curves = self._cover.T[:, ::-1]
        return np.stack(
            [np.interp(v, w, self._ramp[::-1]) for v, w in zip(cover, curves, strict=True)], axis=1
        )

    def _start(self, goal: np.ndarray) -> np.ndarray:
        """Covers (3, n) near the answer, from a lattice of Lab colours solved once."""
        if self._starts is None:
            lattice = np.stack(np.meshgrid(*_LATTICE, indexing="ij")).reshape(3, -1)
            steps = np.linspace(0, 1, 9)
            cover = np.stack(np.meshgrid(steps, steps, steps, indexing="ij")).reshape(3, -1)
            printed = self._printed(cover)
            distance = (printed**2).sum(axis=0) - 2 * lattice.T @ printed
            cover = self._nearest(lattice, cover[:, distance.argmin(axis=1)], 14)
            self._starts = cover.reshape(3, *(len(axis) for axis in _LATTICE))
        return _trilinear(self._starts, _LATTICE, goal)

    def _nearest(self, goal: np.ndarray, start: np.ndarray, rounds: int) -> np.ndarray:
        """Covers (3, n) that print nearest to Lab goals (3, n), from a start near by."""
        result = start.copy()
        frame = _frame(goal)
        active = np.arange(goal.shape[1])
        damping = np.full(active.size, 1e-4)
        here = start
        lab, slopes = self._printed_slopes(here)
        miss = _turned(frame, goal - lab)
        best = (miss**2).sum(axis=0)
        for _ in range(rounds):
            jacobian = _turned(frame, slopes)
            pull = (jacobian * miss[:, None]).sum(axis=0)
            stuck = ((here <= 0) & (pull < 0)) | ((here >= 1) & (pull > 0))
            move = _solve(jacobian, pull, stuck, damping)
            trial = np.clip(here + move, 0, 1)
            trial_lab, trial_slopes = self._printed_slopes(trial)
            trial_miss = _turned(frame, goal - trial_lab)
            error = (trial_miss**2).sum(axis=0)
            better = error < best
            gain = best - error
            here = np.where(better, trial, here)
            miss = np.where(better, trial_miss, miss)
            slopes = np.where(better, trial_slopes, slopes)
            best = np.where(better, error, best)
            damping *= np.where(better, 0.3, 8)
            settled = (error < 1e-7) | (better & (gain < 1e-5)) | (damping > 1e3)
            result[:, active] = here
            keep = np.flatnonzero(~settled)
            if not keep.size:
                break
            active, here, best, damping = active[keep], here[:, keep], best[keep], damping[keep]
            goal, miss, slopes = goal[:, keep], miss[:, keep], slopes[..., keep]
            frame = frame[:, keep]
        return result


def _f_of_light(light):
    """The function in L*a*b* of XYZ over white; the cube root, straight near black."""
    return np.where(light > _EPSILON, np.cbrt(light), _SLOPE * light + 4 / 29)


def _lab_of_f(f, base: float = 16.0):
    """Lab (3, n) of `_f_of_light`; with ``base`` 0, of its derivatives."""
    return np.stack([116 * f[1] - base, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])])


def _frame(goal):
    """Weights and directions (4, n) of chroma and hue differences at each goal."""
    c = np.hypot(goal[1], goal[2])
    cos, sin = np.where(c > 0, goal[1:] / np.maximum(c, 1e-12), [[1.0], [0.0]])
    chroma, hue = 1 / (1 + 0.045 * c), 1 / (1 + 0.015 * c)
    return np.stack([chroma * cos, chroma * sin, -hue * sin, hue * cos])


def _turned(frame, difference):
    """Lab differences (3, ..., n) as weighted differences of lightness, chroma and hue."""
    light, a, b = difference
    return np.stack([light, frame[0] * a + frame[1] * b, frame[2] * a + frame[3] * b])


def _solve(jacobian, pull, stuck, damping):
    """The damped least-squares step (3, n) for each goal; none along what is stuck."""
    j0, j1, j2 = np.where(stuck, 0.0, jacobian).swapaxes(0, 1)
    p = np.where(stuck, 0.0, pull)
    a00, a11, a22 = ((j * j).sum(axis=0) for j in (j0, j1, j2))
    a01, a02, a12 = (j0 * j1).sum(axis=0), (j0 * j2).sum(axis=0), (j1 * j2).sum(axis=0)
    extra = damping * (jacobian**2).sum(axis=(0, 1)) + 1e-12
    a00, a11, a22 = a00 + extra, a11 + extra, a22 + extra
    # Cramer's rule on the symmetric matrix
    c00, c01, c02 = a11 * a22 - a12 * a12, a02 * a12 - a01 * a22, a01 * a12 - a02 * a11
    c11, c12, c22 = a00 * a22 - a02 * a02, a01 * a02 - a00 * a12, a00 * a11 - a01 * a01
    whole = a00 * c00 + a01 * c01 + a02 * c02
    return (
        np.stack(
            [
                c00 * p[0] + c01 * p[1] + c02 * p[2],
                c01 * p[0] + c11 * p[1] + c12 * p[2],
                c02 * p[0] + c12 * p[1] + c22 * p[2],
            ]
        )
        / whole
    )


def _trilinear(table, axes, points):
    """Values (3, n) of a table (3, x, y, z) over evenly spaced axes at points (3, n)."""
    low, share = [], []
    for axis, values in zip(axes, points, strict=True):
        at = np.clip((values - axis[0]) / (axis[1] - axis[0]), 0, len(axis) - 1)
        low.append(np.minimum(at.astype(int), len(axis) - 2))
        share.append(at - low[-1])
    result = 0
    for corner in np.ndindex(2, 2, 2):
        weight = 1
        for step, part in zip(corner, share, strict=True):
            weight = weight * (part if step else 1 - part)
        x, y, z = (at + step for at, step in zip(low, corner, strict=True))
        result = result + weight * table[:, x, y, z]
    return result
