"""The picture as it will look on the paper, for a display.

While something moves, one small table of colours is worked out exactly and
interpolated over the preview; a settled proof works out every pixel.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np

from workbench.analysis.white import PERFECT_DIFFUSER, check_adaptation, reference_white, white_seen
from workbench.colour.engine import check_intent, transform
from workbench.colour.grid import ColourGrid, grid_colours
from workbench.colour.lab import lab_to_xyz
from workbench.colour.profile import CHANNELS, read_profile
from workbench.colour.spaces import RGB_SPACES, standard_profile
from workbench.colour.trip import printed_lab, white_xyz
from workbench.errors import WorkbenchError


@dataclass(frozen=True, eq=False)
class Proof:
    """A soft proof.

    Attributes
    ----------
    pixels : (h, w, 3) uint8 or uint16, in the display's space.
    display_name, display_profile : that space; embed it wherever the pixels go.
    adaptation : 0 side by side with the reference white .. 1 fully adapted to the paper.
    exact : every pixel worked out, or interpolated between 33 steps a channel.
    """

    pixels: np.ndarray = field(repr=False)
    display_name: str
    display_profile: bytes = field(repr=False)
    intent: str
    black_point_compensation: bool
    adaptation: float
    reference: str
    exact: bool


@lru_cache(maxsize=24)
def _printed_nodes(source: bytes, paper: bytes, intent: str, compensate: bool) -> np.ndarray:
    """Media-relative Lab of the print at every node of a picture's colour grid."""
    nodes = grid_colours(CHANNELS[read_profile(source).space])
    return printed_lab(nodes, source, paper, intent, compensate)


def proof_grid(
    source: bytes,
    paper: bytes,
    *,
    intent: str = "relative",
    black_point_compensation: bool = False,
    adaptation: float = 0.0,
    reference_xyz=None,
    display: bytes | None = None,
) -> ColourGrid:
    """From picture colours to display colours, as a grid to apply to previews.

    Parameters
    ----------
    source, paper : profile bytes.
    reference_xyz : the white that the display's white stands for (Y = 1); the perfect
        diffuser if left out.
    display : profile bytes; sRGB if left out.
    """
    reference_xyz = lab_to_xyz([100, 0, 0]) if reference_xyz is None else reference_xyz
    printed = _printed_nodes(source, paper, intent, bool(black_point_compensation))
    seen = white_seen(printed, white_xyz(paper), reference_xyz, adaptation)
    rgb = transform(seen, "lab", display or standard_profile("sRGB"))
    return ColourGrid(rgb, CHANNELS[read_profile(source).space])


@lru_cache(maxsize=24)
def picture_grid(source: bytes, display: bytes | None = None) -> ColourGrid:
    """From picture colours to display colours without any paper, for comparison."""
    channels = CHANNELS[read_profile(source).space]
    rgb = transform(grid_colours(channels), source, display or standard_profile("sRGB"))
    return ColourGrid(rgb, channels)


def _display(display) -> tuple[str, bytes]:
    if isinstance(display, bytes):
        profile = read_profile(display)
        if profile.space != "RGB":
            raise WorkbenchError("A display profile must be RGB.")
        return profile.description or "display", profile.data
    if display in RGB_SPACES:
        return display, standard_profile(display)
    raise WorkbenchError(
        f"“{display}” is no display the workbench knows; choose one of {', '.join(RGB_SPACES)} "
        "or give a profile's bytes."
    )


def soft_proof(
    picture,
    paper,
    *,
    intent: str = "relative",
    black_point_compensation: bool = False,
    adaptation: float = 0.0,
    reference=PERFECT_DIFFUSER,
    display="sRGB",
    long_side_px: int | None = 1200,
    bit_depth: int = 8,
) -> Proof:
    """The picture as it will look on this paper.

    Parameters
    ----------
    adaptation : 0 = side by side with the reference (ICC-absolute beside the perfect
        diffuser), 1 = fully adapted to the paper (media-relative).
    reference : the white that the display's own white stands for: "perfect diffuser",
        "office sheet" or a paper.
    display : a standard space's name, or a display profile's bytes.
    long_side_px : of the proof; None for all the picture's pixels.
    bit_depth : 8 or 16.
    """
    check_intent(intent)
    adaptation = check_adaptation(adaptation)
    if bit_depth not in (8, 16):
        raise WorkbenchError("A proof has 8 or 16 bits.")
    name, display_profile = _display(display)
    reference_name, reference_lab = reference_white(reference)
    source = picture.require_profile()
    pixels = picture.pixels() if long_side_px is None else picture.preview(long_side_px)
    top = 2**bit_depth - 1
    result = np.empty((*pixels.shape[:2], 3), np.uint8 if bit_depth == 8 else np.uint16)
    rows = max(1, 2**19 // max(pixels.shape[1], 1))
    for start in range(0, pixels.shape[0], rows):
        band = np.asarray(pixels[start : start + rows])
        exact = band.astype(np.float32) / np.iinfo(band.dtype).max
        printed = printed_lab(exact, source, paper.profile, intent, black_point_compensation)
        seen = white_seen(
            printed, white_xyz(paper.profile), lab_to_xyz(reference_lab), adaptation
        )
        rgb = transform(seen.astype(np.float32), "lab", display_profile)
        result[start : start + rows] = np.round(np.clip(rgb, 0, 1) * top)
    return Proof(
        pixels=result,
        display_name=name,
        display_profile=display_profile,
        intent=intent,
        black_point_compensation=bool(black_point_compensation),
        adaptation=adaptation,
        reference=reference_name,
        exact=True,
    )
