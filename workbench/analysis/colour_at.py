"""One place of a picture: its colour in the file, on the paper, and why the paper cannot hold it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from workbench.analysis.counts import REASON_WORDS, REASONS, why
from workbench.analysis.gamut import checked_threshold
from workbench.analysis.words import begin_large, colour_name, hue_index, lightness_index
from workbench.colour.lab import relative_to_absolute, triple
from workbench.colour.trip import relative_print, trip, white_xyz
from workbench.errors import WorkbenchError
from workbench.language import tr
from workbench.paper import Paper
from workbench.picture.picture import Picture
from workbench.rendering import DEFAULTS


@dataclass(frozen=True)
class ColourAt:
    """The colour of one pixel, and what becomes of it.

    Attributes
    ----------
    x_px, y_px : of the pixel, from the upper left of the upright picture.
    code : its values in the file, one a channel.
    full : the largest value that the file's bits can hold.
    space : name of the picture's space.
    lab : media-relative Lab in the picture.
    printed_lab : media-relative Lab of its print, as the rendering makes it.
    absolute_lab : ICC-absolute Lab of the print: what an instrument reads on this paper.
    beyond : CIEDE2000 by which it lies beyond the paper, whatever the rendering.
    limit : above which that counts: the threshold, or the paper's own noise where larger.
    reason : one of `counts.REASONS`; "" where the paper holds it.
    name : of the colour, such as "deep blues".
    paper : name of the paper.
    """

    x_px: int
    y_px: int
    code: tuple[int, ...]
    full: int
    space: str
    lab: tuple[float, float, float]
    printed_lab: tuple[float, float, float]
    absolute_lab: tuple[float, float, float]
    beyond: float
    limit: float
    reason: str
    name: str
    paper: str

    @property
    def sentence(self) -> str:
        """All of it in a sentence or two."""
        codes = ", ".join(str(each) for each in self.code)
        said = tr(
            "{name}: Lab {lab} in the picture ({space} {codes} of {full}). On {paper} "
            "Lab {printed}, which is {relative} relative to the paper's white. ",
            name=begin_large(self.name),
            lab=_lab(self.lab),
            space=self.space,
            codes=codes,
            full=self.full,
            paper=self.paper,
            printed=_lab(self.absolute_lab),
            relative=_lab(self.printed_lab),
        )
        if self.reason:
            return said + (
                tr(
                    "Out of gamut by {beyond:.1f} CIEDE2000: {reason} for this paper.",
                    beyond=self.beyond,
                    reason=REASON_WORDS[self.reason],
                )
            )
        return said + tr("The paper holds this colour.")


def _lab(lab) -> str:
    return ", ".join(f"{value:.0f}".replace("-", "−") for value in np.round(lab) + 0.0)


def colour_at(
    picture: Picture,
    paper: Paper,
    x: float,
    y: float,
    *,
    intent: str = DEFAULTS.intent,
    black_point_compensation: bool = DEFAULTS.black_point_compensation,
    threshold: float = DEFAULTS.threshold,
) -> ColourAt:
    """The colour of the pixel at a place, in the file and on a paper.

    Parameters
    ----------
    x, y : of the place, as shares 0..1 of the picture's width and height from the upper left.
    intent, black_point_compensation : of the print.
    threshold : CIEDE2000 above which it counts as out of gamut, as for `gamut.gamut_report`.

    Returns
    -------
    A ColourAt.

    Raises
    ------
    UntaggedPictureError
        for a picture without a profile.
    WorkbenchError
        for a place outside the picture, another threshold or intent.

    Examples
    --------
    >>> colour_at(picture, papers[0], 0.5, 0.5).limit >= 2
    True
    """
    if not (0 <= x <= 1 and 0 <= y <= 1):
        raise WorkbenchError(tr("A place in a picture lies between 0 and 1, across and down."))
    source = picture.require_profile()
    x_px = min(int(x * picture.width_px), picture.width_px - 1)
    y_px = min(int(y * picture.height_px), picture.height_px - 1)
    pixel = picture.crop(x_px, y_px, 1, 1)
    full = int(np.iinfo(pixel.dtype).max)
    colour = (pixel / full)[0]
    compensate = bool(black_point_compensation) and intent != "absolute"
    journey = trip(colour, source, paper.profile, intent, compensate)
    held = trip(colour, source, paper.profile, "relative", False)
    printed = relative_print(journey, paper.profile, intent)[0]
    lab, beyond = held.source[0], float(held.beyond[0])
    limit = max(checked_threshold(threshold), paper.noise_floor)
    reason = REASONS[int(why(held.source, held.held)[0])] if beyond > limit else ""
    return ColourAt(
        x_px=x_px,
        y_px=y_px,
        code=tuple(int(value) for value in pixel[0, 0]),
        full=full,
        space=picture.profile_name or tr("its space"),
        lab=triple(lab),
        printed_lab=triple(printed),
        absolute_lab=triple(relative_to_absolute(printed, white_xyz(paper.profile))),
        beyond=beyond,
        limit=limit,
        reason=reason,
        name=colour_name(int(lightness_index(lab)), int(hue_index(lab))),
        paper=paper.name,
    )
