"""A part of the print on its sheet under a lamp, worked out here or by the page that shows it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from workbench.analysis.proof import Proof, soft_proof
from workbench.analysis.relit import Relit, Window, middle_part, relight, shown_mm
from workbench.analysis.sheets import MM_PER_INCH
from workbench.live.lit import lit_scene
from workbench.live.tables import LiveScene, live_scene
from workbench.live.tiles import picture_part
from workbench.output.resample import resample
from workbench.paper import Paper
from workbench.picture.kept import kept_while_open
from workbench.picture.opening import from_pixels
from workbench.picture.picture import Picture
from workbench.picture.tone import from_light, to_light
from workbench.surface.lamp import Lamp


@dataclass(frozen=True)
class LitPrint:
    """What is lit, and how it is looked at.

    Attributes
    ----------
    picture, paper : from `open_picture` and `open_paper`.
    rendering : intent and black point compensation.
    lamp : see there.
    long_side_mm : of the whole picture at the print's scale.
    crop : x, y, width and height in the picture's pixels of what is printed.
    wide_mm : of the part of the print that is shown; 0 for all.
    width_px : of the shown part's longer side.
    glass, window, ink_alpha, eye_blur_mm : as for `relit_proof`.
    print_ppi, screen_ppi : print pixels to an inch of paper; screen pixels to an inch of the
        screen, None where that is not known.
    """

    picture: Picture
    paper: Paper
    rendering: Mapping
    lamp: Lamp
    long_side_mm: float
    crop: tuple[int, int, int, int]
    wide_mm: float
    width_px: int
    glass: str = ""
    window: Window | None = None
    ink_alpha: float | None = None
    eye_blur_mm: float = 0.0
    print_ppi: float = 360.0
    screen_ppi: float | None = None

    @property
    def _part(self):
        return middle_part(self.picture, self.long_side_mm, self.wide_mm, crop=self.crop)

    @property
    def _how(self) -> dict:
        how = {"glass": self.glass or None, "window": self.window}
        return how | {"ink_alpha": self.ink_alpha, "eye_blur_mm": self.eye_blur_mm}

    def relit(self) -> Relit:
        """As the exact renderer has it; see `relit_proof`."""
        part = self._part
        proof = _proof(self.picture, self.paper, self.rendering, part, self.width_px)
        shown = shown_mm(self.picture, part, self.long_side_mm)
        return relight(proof, self.paper, self.lamp, long_side_mm=shown, **self._how)

    def scene(self) -> LiveScene:
        """What a live view shows the same by."""
        picture, part = self.picture, self._part
        pixels = _pixels(picture, part, self.width_px)
        left, top, width, height = part or (0, 0, picture.width_px, picture.height_px)
        width_mm = shown_mm(picture, part, self.long_side_mm) * width / max(width, height)

        def finer(box, size_px):
            """A part of the part."""
            across, down = picture.width_px, picture.height_px
            x0, y0, x1, y1 = box
            inside = (left + x0 * width) / across, (top + y0 * height) / down
            upto = (left + x1 * width) / across, (top + y1 * height) / down
            found, (a, b, c, d) = picture_part(picture, (*inside, *upto), size_px)
            return found, (
                (a * across - left) / width, (b * down - top) / height,
                (c * across - left) / width, (d * down - top) / height,
            )  # fmt: skip

        flat = live_scene(
            picture.require_profile(), pixels, self.paper, **self.rendering, part=finer,
            picturePixels=width, printPixels=width_mm / MM_PER_INCH * self.print_ppi,
            screenPpi=self.screen_ppi or 0,
        )  # fmt: skip
        return lit_scene(flat, self.paper, self.lamp, width_mm=width_mm, **self._how)


@kept_while_open(maxsize=12)
def _proof(picture, paper, rendering, part, width_px: int) -> Proof:
    shown = from_pixels(_pixels(picture, part, width_px), picture.require_profile())
    return soft_proof(shown, paper, long_side_px=None, **rendering)


@kept_while_open(maxsize=2)
def _pixels(picture: Picture, part, width_px: int) -> np.ndarray:
    """(h, w, channels) uint16, the longer side of ``width_px``, in the picture's own space.

    Reduced by area, or enlarged as a printer's own pixels are, in linear light.
    """
    if part is None:
        return picture.preview(width_px)
    crop = from_pixels(np.array(picture.crop(*part)), picture.require_profile())
    reduced = crop.preview(width_px)
    height, width = reduced.shape[:2]
    if max(height, width) >= width_px:
        return reduced
    larger = width_px / max(height, width)
    size = round(width * larger), round(height * larger)
    light = to_light(reduced, crop.profile)
    planes = [resample(plane, *size, (0, 0, width, height)) for plane in np.moveaxis(light, -1, 0)]
    return from_light(np.stack(planes, axis=-1), crop.profile)
