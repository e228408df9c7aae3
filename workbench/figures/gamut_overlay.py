"""The gamut overlay: stripes over a picture where it is out of a paper's gamut."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from workbench.analysis.colours import distance_map
from workbench.analysis.proof import picture_grid, proof_grid
from workbench.colour.difference import delta_e_2000
from workbench.colour.engine import transform
from workbench.figures import style
from workbench.figures.on_paper import preview_of
from workbench.language import tr
from workbench.live.tables import LiveScene, beyond_table, live_scene
from workbench.live.tiles import picture_part
from workbench.paper import Paper
from workbench.picture.kept import kept_while_open
from workbench.picture.picture import Picture

# the first as in the plots; the others for pictures that hold it
COLOURS = (
    (tr("vermilion"), style.colour("outside")),
    (tr("yellow"), style.YELLOW),
    (tr("orange"), style.ORANGE),
    (tr("sky blue"), style.SKY),
    (tr("blue"), style.BLUE),
    (tr("pink"), style.PURPLE),
    (tr("black"), style.BLACK),
    (tr("white"), "#ffffff"),
)
_STRIPE_PX = 3
#: CIEDE2000 within which a place is said to have a colour
NEAR = 5.0


def marked(pixels: np.ndarray, distance: np.ndarray, limit: float, colour: str) -> np.ndarray:
    """A picture with stripes over what lies further than the limit, the stronger the further.

    Parameters
    ----------
    pixels : (h, w, 3) uint8.
    distance : (h, w) CIEDE2000.
    limit : CIEDE2000; a stripe covers 60 % just past it and everything 10 further.
    colour : hex.
    """
    # stripes cannot be taken for something in the picture, and let it be seen between them
    rgb = style.rgb_codes(colour).astype(np.float32)
    far = np.flatnonzero(distance > limit)
    row, column = np.divmod(far, distance.shape[1])
    stripe = (row + column) // _STRIPE_PX % 2 == 0
    cover = 0.6 + 0.04 * np.minimum(distance.ravel()[far] - limit, 10)
    cover = (cover * np.where(stripe, 1, 0.4))[:, None].astype(np.float32)
    result = pixels.copy()
    flat = result.reshape(-1, 3)
    flat[far] = np.rint(flat[far] * (1 - cover) + rgb * cover)
    return result


@dataclass(frozen=True)
class Overlay:
    """A picture with its overlay, to be worked out.

    Attributes
    ----------
    picture, paper, intent, black_point_compensation : what is printed, and how.
    long_side_px : of the preview.
    printed : show the print below, to an eye that takes the paper for white.
    of : mark what is "beyond" the paper or "moved" by the print; "" marks nothing.
    colour, limit : as for `marked`.
    near : media-relative Lab of a colour whose places are marked instead, or None.
    """

    picture: Picture
    paper: Paper
    intent: str
    black_point_compensation: bool
    long_side_px: int
    printed: bool
    of: str
    colour: str
    limit: float
    near: tuple[float, float, float] | None = None

    def quick(self) -> np.ndarray:
        """(h, w, 3) uint8, the marks interpolated: hundredths of a second."""
        return self._drawn(False)

    def exact(self) -> np.ndarray:
        """(h, w, 3) uint8, every pixel judged by itself: tenths of a second."""
        return self._drawn(True)

    def scene(self) -> LiveScene:
        """What a live view shows the same by."""
        picture, paper = self.picture, self.paper
        source = picture.require_profile()
        scene = live_scene(
            source, preview_of(picture, self.long_side_px), paper, intent=self.intent,
            black_point_compensation=self.black_point_compensation, threshold=self.limit,
            part=lambda box, size_px: picture_part(picture, box, size_px),
            overlay=1 if self.of else 0, overlayColour=self.colour, picturePixels=picture.width_px,
        )  # fmt: skip
        if self.of == "moved":
            way = self.intent, self.black_point_compensation
            scene.tables["beyond"] = beyond_table(source, paper.profile, *way)
        if not self.printed:
            scene.tables["print"] = scene.tables["own"]
        return scene

    def _drawn(self, exact: bool) -> np.ndarray:
        way = self.intent, self.black_point_compensation
        printed = (self.paper, *way) if self.printed else (None, None, None)
        below = _below(self.picture, self.long_side_px, *printed)
        if self.near is not None:
            apart = delta_e_2000(_colours(self.picture, self.long_side_px), self.near)
            return marked(below, NEAR - apart, 0.0, style.BLACK)
        if not self.of:
            return below
        moved: tuple[str | None, bool] = way if self.of == "moved" else (None, False)
        distance = _distance(self.picture, self.long_side_px, self.paper, *moved, exact)
        return marked(below, distance, self.limit, self.colour)


@kept_while_open(maxsize=1)
def _colours(picture: Picture, long_side_px: int) -> np.ndarray:
    """(h, w, 3) media-relative Lab of a preview."""
    small = picture.preview(long_side_px)
    full = np.float32(np.iinfo(small.dtype).max)
    return transform(small / full, picture.require_profile(), "lab")


# a slider of the threshold leaves these as they are
@kept_while_open(maxsize=2)
def _below(
    picture: Picture, long_side_px: int, paper: Paper | None, intent, compensate
) -> np.ndarray:
    source = picture.require_profile()
    if paper is None:
        grid = picture_grid(source)
    else:
        how = {"intent": intent, "black_point_compensation": compensate}
        grid = proof_grid(source, paper.profile, **how)
    return grid.apply(picture.preview(long_side_px))


@kept_while_open(maxsize=4)
def _distance(
    picture: Picture, long_side_px: int, paper: Paper, intent, compensate, exact: bool
) -> np.ndarray:
    return distance_map(
        picture, paper, intent=intent, black_point_compensation=compensate,
        long_side_px=long_side_px, exact=exact,
    )  # fmt: skip
