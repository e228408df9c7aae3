"""What the patches of a strip, and the prints of a nest, will look like: small, for the screen."""

from __future__ import annotations

import numpy as np

from workbench.analysis.proof import picture_grid, proof_grid
from workbench.gang.nest import Piece
from workbench.gang.strip import Strip, StripCrop
from workbench.output.adjusted import adjusting_light, colourful
from workbench.output.bands import pixel_profile
from workbench.output.job import PrintJob
from workbench.output.job_facts import profile_of
from workbench.output.light import light_of
from workbench.output.resample import resample
from workbench.output.small_picture import small_picture

# of the long side of a patch on the screen
PATCH_PX = 160
PIECE_PX = 300


def patch_proofs(strip: Strip, long_side_px: int = PATCH_PX, cancelled=None) -> dict:
    """Every patch, proofed.

    Parameters
    ----------
    strip : from `test_strip`.
    long_side_px : of each result.
    cancelled : asked before each step; true gives up with what there is.

    Returns
    -------
    (letter, step) -> (h, w, 3) uint8 sRGB, media-relative: bare paper is the screen's
        white, as on the drawing.  Reduced from the picture in linear light, without
        sharpening, which would not show.  Where the driver converts and no profile is
        chosen, the picture's own colours.
    """
    job = strip.job
    profile, channels = job.picture.require_profile(), job.picture.channels
    grid = _grid(job)
    light = light_of(profile, channels)
    small = {crop.letter: _small(strip, crop, light, long_side_px) for crop in strip.crops}
    proofs = {}
    letters: dict = {}
    for patch in strip.patches:
        letters.setdefault(patch.step, []).append(patch.crop.letter)
    for step, shown in letters.items():
        if cancelled is not None and cancelled():
            break
        adjusted = adjusting_light(profile, channels, step.adjustments)
        for letter in shown:
            planes = small[letter]
            lights = adjusted.mixed(planes)
            coded = [
                adjusted.encode(adjusted.light_for(lights, c), c) for c in range(adjusted.channels)
            ]
            coded = colourful(coded, profile, step.adjustments, few=True)
            pixels = np.rint(np.stack(coded, axis=-1) * 65535).astype(np.uint16)
            proofs[letter, step] = grid.apply(pixels)
    return proofs


def piece_proof(piece: Piece, long_side_px: int = PIECE_PX) -> np.ndarray:
    """One print of a nest, upright, with its borders and bleed; see `small_picture`."""
    return small_picture(piece.job, long_side_px)


def _grid(job: PrintJob):
    """From print pixels' colours to the screen's, over the paper where its profile is known."""
    profile = pixel_profile(job)
    if (paper := profile_of(job.paper)) is None:
        return picture_grid(profile)
    return proof_grid(
        profile,
        paper,
        intent=job.intent,
        black_point_compensation=job.black_point_compensation,
    )


def _small(strip: Strip, crop: StripCrop, light, long_side_px: int) -> list[np.ndarray]:
    """The crop's channels as small planes of linear light."""
    across, down = strip.layout.across, strip.layout.down
    left, right, x0, x1 = across.window(crop.x_px, crop.x_px + crop.width_px)
    top, bottom, y0, y1 = down.window(crop.y_px, crop.y_px + crop.height_px)
    pixels = strip.job.picture.crop(left, top, right - left, bottom - top)
    reduced = max(crop.width_px, crop.height_px) / long_side_px
    width, height = (max(1, round(s / reduced)) for s in (crop.width_px, crop.height_px))
    return [
        resample(light.decode(pixels[..., c], c), width, height, (x0, y0, x1, y1))
        for c in range(pixels.shape[2])
    ]
