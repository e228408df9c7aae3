"""Proofs as tables of colours, worked out exactly at their nodes and interpolated between.

33 nodes a channel serve what moves: a new table takes some 40 ms.  65 serve whole
pictures: it takes 0.2 s and lies three times nearer to the truth.  Measured against
every pixel worked out, CIEDE2000 on the display (mean / 99 % / largest, over two
invented papers and a press profile, two intents, adaptation 0 and 1):

==========================================  ==================  ==================
way                                         a picture           random colours
==========================================  ==================  ==================
33 nodes of picture colour                  .09 / .51 / 2.0     .05 / .34 / 3.7
picture to paper by the engine's own
tables, then 33 nodes of paper colour       .09 / .56 / 2.0     .06 / .35 / 3.8
65 nodes of picture colour                  .03 / .22 / .9      .02 / .14 / 1.3
==========================================  ==================  ==================

The second way gains nothing, as its first half is a table of 33 nodes as well; with
17 nodes for each of four inks it is the poorest.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from workbench.analysis.adaptation import Eye
from workbench.analysis.viewing import Viewing, find_display, viewing
from workbench.bands import in_order
from workbench.colour import writer
from workbench.colour.chroma import with_chroma
from workbench.colour.engine import transform
from workbench.colour.grid import ColourGrid, grid_colours
from workbench.colour.lab import D50_XYZ, xyz_to_lab
from workbench.colour.profile import CHANNELS, read_profile
from workbench.colour.trip import printed_lab, white_xyz
from workbench.rendering import DEFAULTS

FINE_NODES = 65
_FINE_PARTS = 4


def channels_of(source: bytes) -> int:
    """1 or 3: of the pictures in this profile."""
    return CHANNELS[read_profile(source).space]


# the eye and the display move far more often than the print: what lies before them is kept
@lru_cache(maxsize=24)
def printed_nodes(
    source: bytes, paper: bytes, intent: str, compensate: bool, chroma_gain: float = 1.0
) -> np.ndarray:
    """Media-relative Lab of the print at every node of a picture's colour grid; read only."""
    nodes = with_chroma(grid_colours(channels_of(source)), source, chroma_gain)
    return _read_only(printed_lab(nodes, source, paper, intent, compensate))


@lru_cache(maxsize=8)
def picture_nodes(source: bytes) -> np.ndarray:
    """Media-relative Lab of the picture's own colours at the same nodes; read only."""
    return _read_only(transform(grid_colours(channels_of(source)), source, "lab"))


def _read_only(array: np.ndarray) -> np.ndarray:
    array.flags.writeable = False
    return array


def proof_grid(
    source: bytes,
    paper: bytes,
    *,
    intent: str = DEFAULTS.intent,
    black_point_compensation: bool = DEFAULTS.black_point_compensation,
    reference_xyz=None,
    display=DEFAULTS.display,
) -> ColourGrid:
    """From picture colours to display colours, as a grid of 33 nodes to apply to previews.

    Parameters
    ----------
    source, paper : profile bytes.
    reference_xyz : what the eye takes for white (Y = 1 for the perfect diffuser), shown as
        the display's white; the paper's own white if left out.
    display : as for `viewing.find_display`.
    """
    way = viewing(display=display)
    if reference_xyz is not None:
        way = Viewing(Eye(0.0, "", tuple(xyz_to_lab(reference_xyz))), way.display)
    return quick_grid(source, paper, intent, bool(black_point_compensation), way)


@lru_cache(maxsize=12)
def quick_grid(source: bytes, paper: bytes, intent: str, compensate: bool, way: Viewing):
    """`proof_grid` for a `Viewing`."""
    printed = printed_nodes(source, paper, intent, compensate)
    return ColourGrid(way.shown(way.seen(printed, white_xyz(paper))), channels_of(source))


@lru_cache(maxsize=24)
def picture_grid(source: bytes, display=DEFAULTS.display) -> ColourGrid:
    """From picture colours to display colours without any paper, for comparison."""
    profile = find_display(display).profile
    channels = channels_of(source)
    return ColourGrid(transform(grid_colours(channels), source, profile), channels)


class FineGrid:
    """As `ColourGrid`, for colour pictures and with 65 nodes a channel.

    Parameters
    ----------
    values : (65**3, 3) array of 0..1 at `fine_colours`; others are clipped.
    """

    def __init__(self, values: np.ndarray):
        curve = [writer.sampled_curve([])] * 3
        cube = values.reshape(FINE_NODES, FINE_NODES, FINE_NODES, 3)
        tags = {"wtpt": writer.xyz(D50_XYZ), "A2B0": writer.table("mAB ", cube, curve, curve)}
        self._profile = writer.assemble("input", "RGB", "LAB", "fine colour grid", tags)

    def apply(self, pixels: np.ndarray, dtype=np.uint16) -> np.ndarray:
        """Values at uint16 pixels (..., 3), scaled to the full range of ``dtype``."""
        import imagecodecs

        # the engine would thin the table to 33 nodes; bits 16 to 23 of its flags say how many
        # to keep (cmsFLAGS_GRIDPOINTS, lcms2.h).  The profile is our own, so nothing is to check.
        flags = int(imagecodecs.CMS.FLAGS.NOWHITEONWHITEFIXUP) | (FINE_NODES << 16)
        result = imagecodecs.cms_transform(
            np.ascontiguousarray(pixels).reshape(1, -1, 3),
            self._profile,
            imagecodecs.cms_profile("lab4"),
            colorspace="rgb",
            outcolorspace="lab",
            outdtype=np.dtype(dtype),
            intent=1,
            flags=flags,
        )
        return result.reshape(*pixels.shape[:-1], 3)


@lru_cache(maxsize=1)
def fine_colours() -> np.ndarray:
    """(65**3, 3) device colours 0..1 of a `FineGrid`'s nodes, first channel slowest."""
    steps = np.linspace(0, 1, FINE_NODES, dtype=np.float32)
    return np.stack(np.meshgrid(steps, steps, steps, indexing="ij"), axis=-1).reshape(-1, 3)


@lru_cache(maxsize=4)
def fine_grid(source: bytes, paper: bytes, intent: str, compensate: bool, way: Viewing):
    """`quick_grid` with 65 nodes a channel; grey pictures have 1024 nodes either way."""
    if channels_of(source) == 1:
        return quick_grid(source, paper, intent, compensate, way)
    white = white_xyz(paper)

    def part(colours):
        printed = printed_lab(colours, source, paper, intent, compensate)
        return way.shown(way.seen(printed, white))

    parts = in_order(part, np.array_split(fine_colours(), _FINE_PARTS))
    return FineGrid(np.concatenate([*parts]))
