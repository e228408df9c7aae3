"""A small picture of the whole print, borders and all, for the job sheet."""

from __future__ import annotations

import numpy as np

from workbench.analysis.proof import Proof, ProofMaker
from workbench.analysis.viewing import viewing
from workbench.colour.engine import transform
from workbench.colour.grid import NODES
from workbench.colour.spaces import standard_profile
from workbench.output.adjusted import adjusted
from workbench.output.bands import pixel_profile
from workbench.output.job import PrintJob
from workbench.output.job_facts import profile_of
from workbench.output.proof_file import proof_png
from workbench.output.solved import Solved, solve
from workbench.planned import Planned

_SPACE = "sRGB"


def small_picture(plan: Planned | Solved, long_side_px: int = 900) -> np.ndarray:
    """The print file as it will look on its paper, whose white is the page's white.

    Parameters
    ----------
    plan : a Plan, a PrintJob, or what either was `solve`d to.
    long_side_px : of the result, about.

    Returns
    -------
    (h, w, 3) uint8, sRGB, with the accepted adjustments.  Where the driver converts and no
    profile is chosen, the picture itself.

    Raises
    ------
    OutputError, SizeError, ProfileError, PictureError, UntaggedPictureError
    """
    solved = solve(plan)
    job, layout = solved.job, solved.layout
    scale = min(1.0, long_side_px / max(layout.width_px, layout.height_px))
    inner = _resized(
        _cropped(_proofed(job, long_side_px), job, layout),
        *(max(1, round(side * scale)) for side in (layout.across.n_out, layout.down.n_out)),
    )
    bleed, stretched = round(layout.bleed_px * scale), job.bleed == "stretched"
    bleed = bleed if stretched else min(bleed, *inner.shape[:2])
    inner = np.pad(
        inner, ((bleed, bleed), (bleed, bleed), (0, 0)), "edge" if stretched else "symmetric"
    )
    height, width = inner.shape[:2]
    size = [max(1, round(side * scale)) for side in (layout.height_px, layout.width_px)]
    size = [max(size[0], height), max(size[1], width)]
    sheet = np.full((*size, 3), 255, np.uint8)
    y = min(round(layout.y_px * scale), size[0] - height)
    x = min(round(layout.x_px * scale), size[1] - width)
    sheet[y : y + height, x : x + width] = inner
    return sheet


def png_of(pixels: np.ndarray) -> bytes:
    """A small picture as a PNG file, tagged as sRGB."""
    return proof_png(Proof(pixels, viewing(display=_SPACE), "relative", False, True))


def _proofed(job: PrintJob, long_side_px: int) -> np.ndarray:
    # a crop leaves less of it, so it begins larger
    _, _, width, height = job.crop
    share = max(width, height) / max(job.picture.width_px, job.picture.height_px)
    long_side = min(3000, round(long_side_px / max(share, 0.1)))
    source = job.picture.require_profile()
    small = adjusted(job.picture.preview(long_side), source, job.adjustments)
    source = pixel_profile(job)
    if (paper := profile_of(job.paper)) is None:
        return transform(small, source, standard_profile(_SPACE), dtype=np.uint8)
    way = viewing(display=_SPACE)
    how = job.intent, job.black_point_compensation
    return ProofMaker(source, paper, *how, way, NODES).of(small).pixels


def _cropped(pixels: np.ndarray, job: PrintJob, layout) -> np.ndarray:
    """The part of the upright preview that is printed."""
    rows = pixels.shape[0] / job.picture.height_px
    cols = pixels.shape[1] / job.picture.width_px
    y0, y1 = layout.down.start * rows, (layout.down.start + layout.down.length) * rows
    x0, x1 = layout.across.start * cols, (layout.across.start + layout.across.length) * cols
    top, left = int(y0), int(x0)
    bottom, right = max(top + 1, round(y1)), max(left + 1, round(x1))
    return pixels[top:bottom, left:right]


def _resized(pixels: np.ndarray, width: int, height: int) -> np.ndarray:
    from PIL import Image

    return np.asarray(Image.fromarray(pixels).resize((width, height), Image.Resampling.LANCZOS))
