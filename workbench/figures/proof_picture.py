"""The picture of a proof in its three ways: beside the picture, their difference, their limits."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from workbench.analysis.proof import ProofMaker, picture_grid
from workbench.analysis.proof_maps import DIFFERENCE_STEPS, LIMITS, ProofMaps, proof_maps
from workbench.analysis.proof_views import split_view
from workbench.analysis.viewing import viewing
from workbench.colour.grid import NODES
from workbench.figures.on_paper import preview_of
from workbench.figures.proof import (
    DIFFERENCE_COLOURS,
    LIMIT_COLOURS,
    difference_picture,
    framed,
    limits_picture,
)
from workbench.live.tables import LiveScene, live_scene
from workbench.live.tiles import picture_part
from workbench.paper import Paper
from workbench.picture.kept import kept_while_open
from workbench.picture.picture import Picture
from workbench.plan import Plan
from workbench.rendering import Rendering

SPLIT, DIFFERENCE, LIMITED = "split", "difference", "limits"
_FIELDS = (
    "intent", "black_point_compensation", "threshold", "adaptation", "reference", "display",
)  # fmt: skip


@dataclass(frozen=True)
class Proofed:
    """A print as it is looked at, on a preview.

    What does not move with a slider is kept: divider, eye and threshold move far more often
    than picture and paper.
    """

    picture: Picture
    paper: Paper
    rendering: Rendering
    long_side_px: int

    @classmethod
    def of(cls, plan: Plan, long_side_px: int) -> Proofed:
        """That of a plan."""
        return cls(plan.picture, plan.paper, Rendering.of(plan, *_FIELDS), long_side_px)

    @property
    def seen(self) -> dict:
        """Eye and display, as functions take them."""
        return {**self.rendering.eye, "display": self.rendering.display}

    def before(self) -> np.ndarray:
        """(h, w, 3) uint8 of the picture without any paper."""
        return _before(self.picture, self.rendering.display, self.long_side_px)

    def after(self) -> np.ndarray:
        """(h, w, 3) uint8 of the print."""
        way = tuple(self.rendering.way.values())
        return _after(self.picture, self.paper, way, tuple(self.seen.items()), self.long_side_px)

    def maps(self, exact: bool = False) -> ProofMaps:
        """Difference and limits; every pixel worked out, or interpolated at once."""
        if exact:
            return _made_maps(self, exact)
        return _quick_maps(self.picture, self.paper, self.rendering, self.long_side_px)


@kept_while_open(maxsize=2)
def _before(picture: Picture, display, px: int) -> np.ndarray:
    return picture_grid(picture.require_profile(), display).apply(picture.preview(px))


@kept_while_open(maxsize=2)
def _after(picture: Picture, paper: Paper, way: tuple, seen: tuple, px: int) -> np.ndarray:
    # in this thread: for so few pixels a second table costs more than it saves
    how = picture.require_profile(), paper.profile, *way, viewing(**dict(seen)), NODES
    return ProofMaker(*how).pixels(picture.preview(px))


def _made_maps(proofed: Proofed, exact: bool) -> ProofMaps:
    return proof_maps(
        proofed.picture, proofed.paper, **proofed.rendering, **proofed.seen,
        threshold=proofed.rendering.threshold, long_side_px=proofed.long_side_px, exact=exact,
    )  # fmt: skip


# by its parts, because a `Proofed` that is kept would hold the picture
@kept_while_open(maxsize=2)
def _quick_maps(picture: Picture, paper: Paper, rendering: Rendering, px: int) -> ProofMaps:
    return _made_maps(Proofed(picture, paper, rendering, px), exact=False)


def proof_picture(
    proofed: Proofed, view: str, *, divider: float = 0.5, frame=None, maps: ProofMaps | None = None
) -> tuple[np.ndarray, ProofMaps | None]:
    """(h, w, 3) uint8 of a proof, and the maps it was drawn from.

    Parameters
    ----------
    view : `SPLIT` (in the display's space), `DIFFERENCE` or `LIMITED` (in sRGB).
    divider : where picture and print meet, 0..1 from the left.
    frame : (left, top, right, bottom) of a frame over it, as shares 0..1; None for none.
    maps : exact ones, where they are there.
    """
    if view == SPLIT:
        maps, pixels = None, split_view(proofed.before(), proofed.after(), divider)
    else:
        maps = maps or proofed.maps()
        if view == DIFFERENCE:
            pixels = difference_picture(maps.difference)
        else:
            pixels = limits_picture(proofed.before(), maps.limits)
    return pixels if frame is None else framed(pixels, frame), maps


def proof_scene(
    proofed: Proofed, view: str, *, divider: float = 0.5, frame=None, size: tuple = ()
) -> LiveScene:
    """What a live view shows the same by.

    Parameters
    ----------
    view : as for `proof_picture`.
    divider, frame : as for `proof_picture`.
    size : from `on_paper.size_on_paper`.
    """
    picture = proofed.picture
    rendering = proofed.rendering
    return live_scene(
        picture.require_profile(), preview_of(picture, proofed.long_side_px), proofed.paper,
        **rendering, **proofed.seen, threshold=rendering.threshold,
        part=lambda box, size_px: picture_part(picture, box, size_px),
        overlay={SPLIT: 0, LIMITED: 2, DIFFERENCE: 3}[view], divided=view == SPLIT, divider=divider,
        steps=[limit for limit, _ in DIFFERENCE_STEPS[1:]], stepColours=list(DIFFERENCE_COLOURS),
        limitColours=[LIMIT_COLOURS[name] for name in LIMITS[1:]],
        frame=None if frame is None else [float(edge) for edge in frame], **dict(size),
    )  # fmt: skip
