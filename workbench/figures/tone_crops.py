"""The light and the dark end of a picture on papers, all seen by one eye."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from workbench.analysis.adaptation import eye_beside, white_seen
from workbench.analysis.crops import (
    dimming,
    highlight_box,
    printed_crops,
    reach_map,
    shadow_box,
)
from workbench.analysis.plausible import implausible
from workbench.analysis.proof import picture_grid
from workbench.analysis.white import NeutralSteps, neutral_steps
from workbench.analysis.words import tint_words
from workbench.colour.engine import transform
from workbench.colour.trip import white_xyz
from workbench.figures.on_screen import screen_rgb
from workbench.figures.style import colour, rgb_codes
from workbench.figures.white_steps import marked, on_sheet
from workbench.language import tr
from workbench.paper import Paper
from workbench.picture.kept import kept_while_open
from workbench.picture.picture import Picture
from workbench.rendering import Rendering

SHEETS = 4
PURE = tr("a purely white sheet")
# how much of a merged pixel's colour the mark covers
_COVER = 0.65


@dataclass(frozen=True, eq=False)
class Sheet:
    """A crop of the highlights on its own sheet, which shows around it.

    Attributes
    ----------
    pixels : (h, w, 3) uint8 sRGB.
    """

    name: str
    remark: str
    pixels: np.ndarray = field(repr=False)


@dataclass(frozen=True, eq=False)
class HighlightSheets:
    """Light tones on papers, all dimmed alike: patches, and the same crop on each paper."""

    steps: NeutralSteps
    dim: float
    sheets: tuple[Sheet, ...]


def highlight_sheets(
    picture: Picture,
    paper: Paper,
    papers,
    rendering: Rendering,
    size_px: tuple[int, int],
    border_px: int,
) -> HighlightSheets:
    """The picture's highlights on up to four papers, the chosen one first.

    Parameters
    ----------
    papers : the others; what lies beside the print goes before them, if it is a paper.
    rendering : intent and compensation of the prints, and the eye that looks at them.
    size_px : width and height of each crop in picture pixels.
    border_px : of bare paper around each crop.

    Returns
    -------
    Where there are fewer than four, the crop on a purely white sheet comes first.
    """
    beside = [rendering.reference] if isinstance(rendering.reference, Paper) else []
    shown = [paper]
    for each in (*beside, *papers):
        if len(shown) < SHEETS and not any(each is other for other in shown):
            shown.append(each)
    crops = printed_crops(picture, shown, highlight_box(picture, size_px), **rendering)
    eye = eye_beside(**rendering.eye).white(white_xyz(paper.profile))
    seen = [white_seen(crop.paper_xyz, eye) for crop in crops]
    steps = neutral_steps(paper, **rendering, **rendering.eye)
    dim = dimming([*seen, *steps.after_lab, steps.reference_lab])

    def sheet(name, remark, pixels, lab) -> Sheet:
        return Sheet(name, remark, on_sheet(pixels, screen_rgb(lab, dim), border_px))

    sheets = []
    if len(shown) < SHEETS:  # the same print, if its paper were the eye's white
        pure = crops[0].seen(crops[0].paper_xyz, dim)
        sheets.append(sheet(PURE, tr("for comparison"), pure, (100.0, 0.0, 0.0)))
    for each, crop, lab in zip(shown, crops, seen, strict=True):
        known = each.white_is_known
        tint = (
            tr("{tint} white", tint=tint_words(each.white_lab)) if known else tr("white not stated")
        )
        if known and implausible(each):
            tint = tr("tells nothing about a real sheet")
        remark = tr("chosen; {tint}", tint=tint) if each is paper else tint
        sheets.append(sheet(each.name, remark, crop.seen(eye, dim), lab))
    return HighlightSheets(steps, dim, tuple(sheets))


def reach_overview(
    picture: Picture,
    paper: Paper,
    rendering: Rendering,
    long_side_px: int,
    crop_px: tuple[int, int],
) -> np.ndarray:
    """(h, w, 3) uint8 preview with what the paper's white reaches, and a frame.

    The frame marks the crop of `highlight_sheets`.
    """
    reach = reach_map(
        picture, paper, rendering.highlight_lightness, **rendering, long_side_px=long_side_px
    )
    preview = picture_grid(picture.require_profile()).apply(picture.preview(long_side_px))
    x, y, width, height = highlight_box(picture, crop_px)
    scale = np.array(preview.shape[1::-1]) / (picture.width_px, picture.height_px)
    corners = np.rint(np.array([[x, y], [x + width, y + height]]) * scale).astype(int)
    return marked(preview, reach, corners.ravel())


def shadow_crops(
    picture: Picture,
    papers,
    rendering: Rendering,
    size_px: tuple[int, int],
    merged,
    lift_stops: float = 0,
) -> list[np.ndarray]:
    """The picture's shadows on papers, as (h, w, 3) uint8 sRGB each.

    Parameters
    ----------
    papers : the first is the one that the eye gets used to.
    merged : for each paper the picture's L* up to which shadows are marked, or None.
    lift_stops : how much lighter they are shown.
    """
    box = shadow_box(picture, size_px)
    eye = eye_beside(**rendering.eye).white(white_xyz(papers[0].profile))
    shown = []
    crops = printed_crops(picture, papers, box, **rendering)
    for crop, upto in zip(crops, merged, strict=True):
        pixels = crop.seen(eye, dim=2.0**-lift_stops)
        if upto is not None:
            below = _crop_lightness(picture, box) <= upto + 0.01
            pixels[below] = (1 - _COVER) * pixels[below] + _COVER * rgb_codes(colour("too_dark"))
        shown.append(pixels)
    return shown


@kept_while_open(maxsize=2)
def _crop_lightness(picture: Picture, box) -> np.ndarray:
    """(h, w) L* of the picture's own pixels."""
    pixels = picture.crop(*box)
    exact = pixels.astype(np.float32) / np.iinfo(pixels.dtype).max
    return transform(exact, picture.require_profile(), "lab")[..., 0]
