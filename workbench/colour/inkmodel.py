"""A paper from a physical model: ink dots on a paper, as a true ICC output profile.

Dots of cyan, magenta and yellow overlap at random (Demichel), light spreads
between dot and paper (Yule–Nielsen), and each of the eight overprints has a
measured-like colour (Neugebauer); where all three inks meet, the black ink
stands in.  The device is an RGB printer whose driver is linearised and
grey-balanced: equal RGB prints a neutral between paper white and black, evenly
spaced in lightness.

Sources: J. A. C. Yule and W. J. Nielsen, TAGA Proceedings 1951; H. E. J.
Neugebauer, Z. wiss. Photogr. 36, 1937; M. E. Demichel, Le Procédé 26, 1924.
The default primaries are our own inventions, from memory of what inkjet inks do.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from workbench.colour import writer
from workbench.colour.lab import (
    D50_XYZ,
    absolute_to_relative,
    hue_deg,
    lab_to_xyz,
    lightness_of_density,
    relative_to_absolute,
    xyz_to_lab,
)
from workbench.colour.shell import GamutShell, face_grids, gamut_shell, shell_of_faces
from workbench.colour.spaces import standard_profile
from workbench.errors import PaperError

# overprints in the order of the dot bits: cyan 1, magenta 2, yellow 4
PRIMARIES = ("cyan", "magenta", "blue", "yellow", "green", "red")

# media-relative Lab of solid inks; invented, and strong enough that the model's gamut
# volumes lie where published tests of inkjet papers find them
_GLOSSY_INKS = {
    "cyan": (65, -56, -59),
    "magenta": (58, 99, -19),
    "yellow": (95, -11, 127),
    "red": (56, 94, 81),
    "green": (66, -99, 57),
    "blue": (33, 59, -100),
}
_MATTE_INKS = {
    "cyan": (66, -49, -53),
    "magenta": (60, 90, -15),
    "yellow": (94, -6, 117),
    "red": (58, 87, 70),
    "green": (64, -85, 49),
    "blue": (39, 48, -84),
}


@dataclass(frozen=True)
class Finish:
    """How a surface takes ink: the Yule–Nielsen factor and the usual solid inks on it."""

    yule_nielsen: float
    inks: dict


FINISHES = {
    "gloss": Finish(1.7, _GLOSSY_INKS),
    "satin": Finish(1.8, _GLOSSY_INKS),
    "matte": Finish(2.3, _MATTE_INKS),
}

# lightness of the perceptual reference medium's black, ICC.1:2022 section 6.3.3
_REFERENCE_BLACK_Y = 0.0034731


class InkModel:
    """The forward model: device RGB (0..1) to media-relative Lab, and back.

    Parameters are those of `model_profile`.
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

    def _mix(self, cover: np.ndarray) -> np.ndarray:
        """XYZ/white of dot covers (..., 3)."""
        c, m, y = cover[..., 0:1], cover[..., 1:2], cover[..., 2:3]
        k = self._roots
        low = k[0] + c * k[1] + m * (k[2] + c * k[3])
        high = k[4] + c * k[5] + m * (k[6] + c * k[7])
        return np.maximum(low + y * high, 0) ** self._n

    def _balance(self) -> np.ndarray:
        """Covers along the grey axis, (129, 3), that print evenly spaced neutrals."""
        target = self.black + (np.array([100.0, 0, 0]) - self.black) * self._ramp[:, None]
        cover = np.repeat(1 - self._ramp[:, None], 3, axis=1) ** 1.3
        for _ in range(40):
            cover = np.clip(cover, 0, 1)
            lab = xyz_to_lab(self._mix(cover) * D50_XYZ)
            jacobian = np.empty((len(cover), 3, 3))
            for j in range(3):
                step = np.where(cover[:, j] > 0.5, -1e-5, 1e-5)
                moved = cover.copy()
                moved[:, j] += step
                moved_lab = xyz_to_lab(self._mix(moved) * D50_XYZ)
                jacobian[..., j] = (moved_lab - lab) / step[:, None]
            cover = cover + np.linalg.solve(
                jacobian + 1e-9 * np.eye(3), (target - lab)[..., None]
            )[..., 0] * 0.7
        cover = np.clip(cover, 0, 1)
        cover[0], cover[-1] = 1, 0
        # a driver's curves never turn back
        return np.minimum.accumulate(cover, axis=0)

    def lab(self, rgb) -> np.ndarray:
        """Media-relative Lab of device RGB, (..., 3)."""
        rgb = np.asarray(rgb, float)
        cover = np.stack(
            [np.interp(rgb[..., i], self._ramp, self._cover[:, i]) for i in range(3)], axis=-1
        )
        return xyz_to_lab(self._mix(cover) * D50_XYZ)

    def shell(self) -> GamutShell:
        """The gamut, media-relative."""
        return shell_of_faces(self.lab(face_grids(3, 33)), self.black, (100, 0, 0))

    def rgb(self, lab, rounds: int = 14) -> np.ndarray:
        """Device RGB that comes nearest to media-relative Lab targets (n, 3).

        Damped least squares within 0..1, the differences weighted as in CIE94 so
        that colours beyond the gamut give up chroma before they give up hue.
        """
        from scipy.spatial import cKDTree

        lab = np.asarray(lab, float)
        steps = np.linspace(0, 1, 17)
        grid = np.stack(np.meshgrid(steps, steps, steps, indexing="ij"), axis=-1).reshape(-1, 3)
        rgb = grid[cKDTree(self.lab(grid)).query(lab)[1]]
        c = np.hypot(lab[:, 1], lab[:, 2])
        hue = np.arctan2(lab[:, 2], lab[:, 1])
        unit = np.stack([np.cos(hue), np.sin(hue)], axis=1)
        turn = np.zeros((len(lab), 3, 3))
        turn[:, 0, 0] = 1
        turn[:, 1, 1:] = unit / (1 + 0.045 * c)[:, None]
        turn[:, 2, 1:] = np.stack([-unit[:, 1], unit[:, 0]], axis=1) / (1 + 0.015 * c)[:, None]
        active = np.arange(len(lab))
        damping = np.full(len(lab), 1e-4)
        best = self._miss(rgb, lab, turn)
        for _ in range(rounds):
            if not active.size:
                break
            here, goal, frame = rgb[active], lab[active], turn[active]
            base = self.lab(here)
            jacobian = np.empty((len(active), 3, 3))
            for j in range(3):
                step = np.where(here[:, j] > 0.5, -1e-4, 1e-4)
                moved = here.copy()
                moved[:, j] += step
                jacobian[..., j] = (self.lab(moved) - base) / step[:, None]
            jacobian = frame @ jacobian
            miss = np.einsum("nij,nj->ni", frame, goal - base)
            pull = np.einsum("nij,ni->nj", jacobian, miss)
            stuck = ((here <= 0) & (pull < 0)) | ((here >= 1) & (pull > 0))
            normal = np.einsum("nij,nik->njk", jacobian, jacobian)
            normal += np.eye(3) * (damping[active] * np.trace(normal, axis1=1, axis2=2))[:, None, None]
            free = ~stuck
            normal = normal * free[:, :, None] * free[:, None, :] + np.eye(3) * stuck[:, None, :]
            move = np.linalg.solve(normal, (pull * free)[..., None])[..., 0]
            trial = np.clip(here + move, 0, 1)
            error = self._miss(trial, goal, frame)
            better = error < best[active]
            rgb[active[better]] = trial[better]
            damping[active] *= np.where(better, 0.3, 8)
            gain = best[active] - error
            best[active[better]] = error[better]
            settled = (error < 1e-4) | (better & (gain < 1e-5)) | (damping[active] > 1e3)
            active = active[~settled]
        return rgb

    def _miss(self, rgb, lab, turn):
        d = np.einsum("nij,nj->ni", turn, lab - self.lab(rgb))
        return (d * d).sum(axis=1)


class _Rendering:
    """An invertible map from the reference medium's colours into the paper's.

    Lightness: black is moved to black in XYZ (as black point compensation does).
    Chroma: unchanged near grey, then bent so that the reference gamut ends where
    the paper's does; ``gain`` first strengthens it, for the saturation intent.
    """

    def __init__(self, shell: GamutShell, black: np.ndarray, gain: float):
        self._paper, self._gain = shell, gain
        self._reference = gamut_shell(standard_profile("Adobe RGB (1998)"))
        y = lab_to_xyz(black)[1]
        self._scale = (1 - y) / (1 - _REFERENCE_BLACK_Y)
        self._offset = 1 - self._scale

    def _bend(self, lightness, hue):
        paper = np.maximum(self._paper.reach_at(lightness, hue), 1e-6)
        wide = np.maximum(self._gain * self._reference.reach_at(lightness, hue), 1.05 * paper)
        knee = 0.75 * paper
        return knee, 1 / (paper - knee) - 1 / (wide - knee)

    def forward(self, lab):
        """Reference medium to paper, both media-relative, (n, 3)."""
        xyz = lab_to_xyz(lab) * self._scale + self._offset * D50_XYZ
        lab = xyz_to_lab(np.maximum(xyz, 0))
        c, h = self._gain * np.hypot(lab[:, 1], lab[:, 2]), hue_deg(lab)
        knee, bend = self._bend(lab[:, 0], h)
        over = np.maximum(c - knee, 0)
        return _polar(lab[:, 0], np.minimum(c, knee) + over / (1 + over * bend), h)

    def inverse(self, lab):
        """Paper to reference medium."""
        c, h = np.hypot(lab[:, 1], lab[:, 2]), hue_deg(lab)
        knee, bend = self._bend(lab[:, 0], h)
        over = np.maximum(c - knee, 0)
        c = (np.minimum(c, knee) + over / np.maximum(1 - over * bend, 0.05)) / self._gain
        lab = _polar(lab[:, 0], c, h)
        xyz = (lab_to_xyz(lab) - self._offset * D50_XYZ) / self._scale
        return xyz_to_lab(np.maximum(xyz, 0))


def _polar(lightness, chroma, hue):
    angle = np.radians(hue)
    return np.stack([lightness, chroma * np.cos(angle), chroma * np.sin(angle)], axis=1)


# the B2A tables put a grid plane on the grey axis and most planes within chroma 80
_AXIS_IN = np.array([0, (128 - 80) / 255, 128 / 255, (128 + 80) / 255, 1])
_AXIS_OUT = np.array([0, 0.125, 0.5, 0.875, 1])


def model_profile(
    white_lab,
    black,
    primaries: dict | None = None,
    finish: str = "gloss",
    *,
    saturation: float = 1.0,
    name: str = "Invented paper",
    grid: int = 33,
) -> bytes:
    """An invented paper as an ICC v4 RGB output profile.

    Parameters
    ----------
    white_lab : (3,) absolute Lab of the bare paper, L* 60..100.
    black : the deepest black: its absolute visual density (a number), or its
        absolute Lab (3,).
    primaries : media-relative Lab of the solid inks and their overprints, keyed
        'cyan', 'magenta', 'yellow', 'red', 'green', 'blue'; those left out are the
        finish's own.
    finish : 'gloss', 'satin' or 'matte'; decides dot spread and default inks.
    saturation : factor on the primaries' chroma, 0.2..1.5.
    name : the profile's description.
    grid : nodes a side of its tables, 9..33 (fewer are quicker and coarser).

    Returns
    -------
    bytes, with A2B and B2A tables for the three table intents, white and black tags.

    Raises
    ------
    PaperError
        for values that no paper has.
    """
    white_lab, black_lab, inks, factor = _checked(white_lab, black, primaries, finish, saturation)
    model = InkModel(white_lab, black_lab, inks, factor)
    shell = model.shell()
    steps = np.linspace(0, 1, grid)
    cube = np.stack(np.meshgrid(steps, steps, steps, indexing="ij"), axis=-1)
    shape, nodes = cube.shape, cube.reshape(-1, 3)

    printed = model.lab(nodes)
    pcs = writer.decode_lab(
        np.stack([nodes[:, 0], *(np.interp(nodes[:, i], _AXIS_OUT, _AXIS_IN) for i in (1, 2))], 1)
    )
    identity = writer.sampled_curve([])
    ab_curve = writer.sampled_curve(np.interp(np.linspace(0, 1, 4097), _AXIS_IN, _AXIS_OUT))
    renderings = {
        "0": _Rendering(shell, model.black, 1.0),
        "1": None,
        "2": _Rendering(shell, model.black, 1.2),
    }
    tags = {"wtpt": writer.xyz(model.white_xyz), "bkpt": writer.xyz(lab_to_xyz(black_lab))}
    for key, rendering in renderings.items():
        seen = printed if rendering is None else rendering.inverse(printed)
        wanted = pcs if rendering is None else rendering.forward(pcs)
        tags[f"A2B{key}"] = writer.table(
            "mAB ", writer.encode_lab(seen).reshape(shape), [identity] * 3, [identity] * 3
        )
        tags[f"B2A{key}"] = writer.table(
            "mBA ", model.rgb(wanted).reshape(shape), [identity, ab_curve, ab_curve], [identity] * 3
        )
    return writer.assemble("output", "RGB", "LAB", name, tags)


def _checked(white_lab, black, primaries, finish, saturation):
    if finish not in FINISHES:
        raise PaperError(f"“{finish}” is no finish of the model; choose {', '.join(FINISHES)}.")
    white_lab = np.asarray(white_lab, float)
    if white_lab.shape != (3,) or not (
        60 <= white_lab[0] <= 100 and np.abs(white_lab[1:]).max() <= 30
    ):
        raise PaperError("A paper's white needs L* between 60 and 100 and a*, b* within ±30.")
    if relative_to_absolute(np.array([100.0, 0, 0]), lab_to_xyz(white_lab))[0] > 100.01:
        raise PaperError("A paper's white cannot be lighter than L* 100.")
    black = np.asarray(black, float)
    if black.shape == ():
        if not 0.5 <= black <= 3:
            raise PaperError("A black's density must lie between 0.5 and 3.")
        black = np.array([lightness_of_density(black), 0.0, 0.0])
    if black.shape != (3,) or not (0 <= black[0] <= white_lab[0] - 20):
        raise PaperError("A black must be a density, or a Lab at least 20 L* below the white.")
    if not 0.2 <= saturation <= 1.5:
        raise PaperError("The model's saturation must lie between 0.2 and 1.5.")
    inks = {**FINISHES[finish].inks, **(primaries or {})}
    unknown = set(inks) - set(PRIMARIES)
    if unknown:
        raise PaperError(
            f"The model knows no ink “{', '.join(sorted(unknown))}”; it takes {', '.join(PRIMARIES)}."
        )
    inks = {k: (v[0], v[1] * saturation, v[2] * saturation) for k, v in inks.items()}
    return white_lab, black, inks, FINISHES[finish].yule_nielsen
