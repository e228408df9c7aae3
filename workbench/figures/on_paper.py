"""The desk's picture: as it will print and be seen, or by itself, with its caption."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from workbench.analysis.adaptation import eye_beside, white_seen
from workbench.analysis.crops import dimming
from workbench.analysis.proof import picture_grid, proof_grid
from workbench.colour.trip import white_xyz
from workbench.errors import WorkbenchError
from workbench.language import tr
from workbench.live.tables import LiveScene, live_scene, size_uniforms
from workbench.live.tiles import picture_part
from workbench.output.adjust import Adjustments
from workbench.output.adjusted import adjusted, adjusted_codes, adjusted_profile
from workbench.output.toning import inside_gamut
from workbench.paper import Paper
from workbench.picture.kept import kept_while_open
from workbench.picture.picture import Picture
from workbench.plan import Plan


@dataclass(frozen=True)
class OnPaper:
    """A preview to be worked out.

    Attributes
    ----------
    picture : a Picture with a profile.
    paper : the Paper it is printed on; None shows the picture by itself.
    intent, black_point_compensation : of the print.
    reference, adaptation : of the eye, as for `eye_beside`.
    adjustments : Adjustments or None.
    long_side_px : of the preview.
    live : the page works the picture out by itself.
    size : as `size_on_paper`, for a live view.
    """

    picture: Picture
    paper: Paper | None
    intent: str
    black_point_compensation: bool
    reference: object
    adaptation: float
    adjustments: Adjustments | None
    long_side_px: int
    live: bool = False
    size: tuple = ()

    def seen(self) -> tuple[np.ndarray | LiveScene, str]:
        """(h, w, 3) uint8 sRGB, or what a live view shows the same by, and the caption."""
        source = self.picture.require_profile()
        preview = preview_of(self.picture, self.long_side_px)
        if self.paper is None:
            caption = tr("{picture}, without any paper", picture=self.picture.name)
            if self.live:
                return self._scene(source, preview, None), caption
            return picture_grid(source).apply(preview), caption
        paper_xyz = white_xyz(self.paper.profile)
        eye = eye_beside(self.reference, self.adaptation).white(paper_xyz)
        # a paper lighter or warmer than what lies beside it would clip on the screen
        dim = dimming(white_seen(paper_xyz, eye))
        way = self.intent, self.black_point_compensation
        held = self.adjustments and inside_gamut(self.adjustments, self.paper, *way)
        caption = tr("{picture} on {paper}", picture=self.picture.name, paper=self.paper.name)
        if self.adjustments:
            caption += tr(", with your adjustments")
        if dim > 1.005:
            caption += tr(
                ", all dimmed by {share:.0f} % so that its white fits the screen",
                share=100 - 100 / dim,
            )
        if self.live:
            return self._scene(source, preview, held), caption
        pixels = adjusted(preview, source, held)
        source = adjusted_profile(source, self.picture.channels, held)
        grid = proof_grid(
            source, self.paper.profile, intent=self.intent,
            black_point_compensation=self.black_point_compensation, reference_xyz=eye * dim,
        )  # fmt: skip
        return grid.apply(pixels), caption

    def _scene(self, source: bytes, preview: np.ndarray, held: Adjustments | None) -> LiveScene:
        picture, channels, curves = self.picture, self.picture.channels, None

        mixed = held if held and held.is_black_and_white else None

        def part(box, size_px):
            pixels, box = picture_part(picture, box, size_px)
            return adjusted(pixels, source, mixed), box

        if mixed:  # which curves cannot
            preview = _adjusted_preview(picture, self.long_side_px, mixed)
        else:
            curves = adjusted_codes(source, channels, held)
        return live_scene(
            adjusted_profile(source, channels, held), preview, self.paper, intent=self.intent,
            black_point_compensation=self.black_point_compensation, reference=self.reference,
            adaptation=self.adaptation, curves=curves, part=part, fitWhite=True,
            chroma_gain=held.colour_gain if held and channels == 3 else 1.0,
            **dict(self.size),
        )  # fmt: skip


def size_on_paper(plan: Plan) -> tuple:
    """What `size_uniforms` says of a plan, as pairs that do not change; less where it has no size."""
    width_px = plan.picture.width_px
    try:
        ppi = plan.print_size().ppi
    except WorkbenchError:
        return (("picturePixels", width_px),)
    return tuple(size_uniforms(width_px, ppi, plan.printer_ppi, plan.screen_ppi).items())


# the same array as long as nothing changes, so that a page is sent it once
@kept_while_open(maxsize=4)
def preview_of(picture: Picture, long_side_px: int) -> np.ndarray:
    """As ``picture.preview``, and the same array each time."""
    return picture.preview(long_side_px)


@kept_while_open(maxsize=2)
def _adjusted_preview(picture: Picture, long_side_px: int, held: Adjustments) -> np.ndarray:
    return adjusted(picture.preview(long_side_px), picture.require_profile(), held)
