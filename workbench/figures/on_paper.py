"""The desk's picture: as it will print and be seen, or by itself, with its caption."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from workbench.analysis.adaptation import eye_beside, white_seen
from workbench.analysis.crops import dimming
from workbench.analysis.proof import picture_grid, proof_grid
from workbench.colour.trip import white_xyz
from workbench.output.adjust import Adjustments
from workbench.output.adjusted import adjusted, adjusted_profile
from workbench.output.toning import inside_gamut
from workbench.paper import Paper
from workbench.picture.picture import Picture


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
    """

    picture: Picture
    paper: Paper | None
    intent: str
    black_point_compensation: bool
    reference: object
    adaptation: float
    adjustments: Adjustments | None
    long_side_px: int

    def seen(self) -> tuple[np.ndarray, str]:
        """(h, w, 3) uint8 sRGB, and the caption."""
        source = self.picture.require_profile()
        preview = self.picture.preview(self.long_side_px)
        if self.paper is None:
            caption = f"{self.picture.name}, without any paper"
            return picture_grid(source).apply(preview), caption
        paper_xyz = white_xyz(self.paper.profile)
        eye = eye_beside(self.reference, self.adaptation).white(paper_xyz)
        # a paper lighter or warmer than what lies beside it would clip on the screen
        dim = dimming(white_seen(paper_xyz, eye))
        way = self.intent, self.black_point_compensation
        held = self.adjustments and inside_gamut(self.adjustments, self.paper, *way)
        pixels = adjusted(preview, source, held)
        source = adjusted_profile(source, self.picture.channels, held)
        grid = proof_grid(
            source, self.paper.profile, intent=self.intent,
            black_point_compensation=self.black_point_compensation, reference_xyz=eye * dim,
        )  # fmt: skip
        caption = f"{self.picture.name} on {self.paper.name}"
        if self.adjustments:
            caption += ", with your adjustments"
        if dim > 1.005:
            caption += f", all dimmed by {100 - 100 / dim:.0f} % so that its white fits the screen"
        return grid.apply(pixels), caption
