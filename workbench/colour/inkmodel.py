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
from workbench.colour.inkmix import PRIMARIES, InkModel
from workbench.colour.lab import D50_XYZ, hue_deg, lab_to_xyz, lightness_of_density, xyz_to_lab
from workbench.colour.shell import GamutShell, gamut_shell
from workbench.colour.spaces import standard_profile
from workbench.errors import PaperError
from workbench.language import tr

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


class _Rendering:
    """An invertible map from the reference medium's colours into the paper's.

    Lightness: black is moved to black in XYZ (as black point compensation does).
    Chroma: unchanged near grey, then bent so that the reference gamut ends where
    the paper's does; ``gain`` first strengthens it, for the saturation intent.
    """

    def __init__(self, shell: GamutShell, black: np.ndarray, gain: float):
        self._paper, self._gain = shell, gain
        self._reference = gamut_shell(standard_profile("opRGB"))
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
# a* or b* between planes near the grey axis, times one less than their number
_AB_STEP = 80 / 0.375
# the least L* of their second plane
_LEAST_BLACK = 0.5


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

    Examples
    --------
    >>> profile = wb.model_profile((96, 0, 2), 1.6, finish="matte", grid=9)
    >>> round(wb.open_paper(profile).black_density, 1)
    1.6
    """
    white_lab, black_lab, inks, factor = _checked(white_lab, black, primaries, finish, saturation)
    if not (isinstance(grid, int) and 9 <= grid <= 33):
        raise PaperError(tr("The model's tables have between 9 and 33 nodes per side."))
    model = InkModel(white_lab, black_lab, inks, factor)
    shell = model.shell()
    steps = np.linspace(0, 1, grid)
    cube = np.stack(np.meshgrid(steps, steps, steps, indexing="ij"), axis=-1)
    shape, nodes = cube.shape, cube.reshape(-1, 3)

    printed = model.lab(nodes)
    ab = [np.interp(nodes[:, i], _AXIS_OUT, _AXIS_IN) for i in (1, 2)]
    identity = writer.sampled_curve([])
    ab_curve = _curve(_AXIS_IN, _AXIS_OUT)
    renderings = {
        "0": _Rendering(shell, model.black, 1.0),
        "1": None,
        "2": _Rendering(shell, model.black, 1.2),
    }
    medium_black = float(xyz_to_lab(_REFERENCE_BLACK_Y * D50_XYZ)[0])
    tags = {"wtpt": writer.xyz(model.white_xyz), "bkpt": writer.xyz(lab_to_xyz(black_lab))}
    for key, rendering in renderings.items():
        seen = printed if rendering is None else rendering.inverse(printed)
        # colours darker than black all print as black: the second plane lies where that ends, so
        # that black itself is reached, not something between two planes
        black = float(model.black[0]) if rendering is None else medium_black
        light_in = np.array([0, max(black, _LEAST_BLACK) / 100, 1])
        light_out = np.array([0, 1 / (grid - 1), 1])
        pcs = writer.decode_lab(np.stack([np.interp(nodes[:, 0], light_out, light_in), *ab], 1))
        wanted = pcs if rendering is None else rendering.forward(pcs)
        # whatever is as dark and lies in the black's cell is black, so that a black with a tint is
        # reached from a neutral goal and from its own
        dark = wanted[:, 0] <= model.black[0] + 1e-6
        dark &= (np.abs(pcs[:, 1:] - model.black[1:]) < _AB_STEP / (grid - 1)).all(axis=1)
        wanted[dark] = model.black
        tags[f"A2B{key}"] = writer.table(
            "mAB ", writer.encode_lab(seen).reshape(shape), [identity] * 3, [identity] * 3
        )
        tags[f"B2A{key}"] = writer.table(
            "mBA ",
            model.rgb(wanted).reshape(shape),
            [_curve(light_in, light_out), ab_curve, ab_curve],
            [identity] * 3,
        )
    return writer.assemble("output", "RGB", "LAB", name, tags)


def _curve(knots_in, knots_out) -> bytes:
    """A curve of straight pieces between knots."""
    return writer.sampled_curve(np.interp(np.linspace(0, 1, 4097), knots_in, knots_out))


def _checked(white_lab, black, primaries, finish, saturation):
    if finish not in FINISHES:
        raise PaperError(
            tr(
                "“{finish}” is not a finish of the model; choose {known}.",
                finish=finish,
                known=", ".join(FINISHES),
            )
        )
    white_lab = _numbers(white_lab)
    if white_lab.shape != (3,) or not (
        60 <= white_lab[0] <= 100 and np.abs(white_lab[1:]).max() <= 30
    ):
        raise PaperError(tr("A paper's white needs L* between 60 and 100 and a*, b* within ±30."))
    black = _numbers(black)
    if black.shape == ():
        if not 0.5 <= black <= 3:
            raise PaperError(tr("A black's density must lie between 0.5 and 3."))
        black = np.array([lightness_of_density(black), 0.0, 0.0])
    if black.shape != (3,) or not (
        0 <= black[0] <= white_lab[0] - 20 and np.abs(black[1:]).max() <= 30
    ):
        raise PaperError(
            tr(
                "A black must be a density, or a Lab at least 20 L* below the white with a*, b* "
                "within ±30."
            )
        )
    if not 0.2 <= saturation <= 1.5:
        raise PaperError(tr("The model's saturation must lie between 0.2 and 1.5."))
    inks = {**FINISHES[finish].inks, **(primaries or {})}
    unknown = set(inks) - set(PRIMARIES)
    if unknown:
        raise PaperError(
            tr(
                "The model knows no ink “{unknown}”; it takes {known}.",
                unknown=", ".join(sorted(map(str, unknown))),
                known=", ".join(PRIMARIES),
            )
        )
    for name, ink in inks.items():
        ink = _numbers(ink)
        if ink.shape != (3,) or not (0 <= ink[0] <= 100 and np.abs(ink[1:]).max() <= 128):
            raise PaperError(
                tr("The ink “{name}” needs L* between 0 and 100 and a*, b* within ±128.", name=name)
            )
        inks[name] = (ink[0], ink[1] * saturation, ink[2] * saturation)
    return white_lab, black, inks, FINISHES[finish].yule_nielsen


def _numbers(value) -> np.ndarray:
    """An array of floats; a NaN where ``value`` holds no numbers, which no check lets pass."""
    try:
        return np.asarray(value, float)
    except (TypeError, ValueError):
        return np.array(np.nan)
