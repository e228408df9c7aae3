"""A print made for a place: what its light, wall and glass do to the picture, and what helps.

The print as judged is compared with the print on its wall.  What dims, flattens and loses colour
comes out as numbers and as a picture for an adapted eye, with the adjustments that
`workbench.analysis.place_tones` leads to; the picture with them is what they will print.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from workbench.analysis.glass import surface_mirror
from workbench.analysis.place import JUDGED, Hanging, Place
from workbench.analysis.place_tones import GREYS, chroma_gain, in_picture, tones_for
from workbench.analysis.viewing import viewing
from workbench.analysis.words import percent
from workbench.bands import in_order, row_bands
from workbench.colour.difference import delta_e_2000
from workbench.colour.engine import transform
from workbench.colour.trip import printed_lab, white_xyz
from workbench.decisions import ADJUSTMENTS
from workbench.errors import WorkbenchError
from workbench.language import tr
from workbench.numbers import number
from workbench.output.adjust import LEAST_RISE, TONES, Adjustments
from workbench.output.adjusted import adjusted_colours
from workbench.paper import Paper
from workbench.rendering import DEFAULTS
from workbench.results import Result

# CIEDE2000 from which a colour counts as not brought back
_BEYOND = 2.0
_SAMPLE_PX = 160
# steps that the proposal is told and kept in: L* of a handle, and of the gain
_TENTH, _HUNDREDTH = 1, 2

# what is proposed moves a handle by so many L*, or chroma by such a share, at the least
_LEAST_MOVE, _LEAST_GAIN = 0.5, 0.02
# of a share, within which nothing is seen to have changed (our own choice)
_ALIKE = 0.02


@dataclass(frozen=True, eq=False)
class ForPlace(Result):
    """What a place does to a print, and what is proposed.

    Shares are of what the print has as judged.

    Attributes
    ----------
    place, paper_name : of what.
    brightness_share : of the paper's white (Q of CIECAM16).
    lightness_share : of the range between paper white and printed black (J).
    colourfulness_share : of the picture's colours on average (M).
    middle_shift : by how much a middle grey (L* 50 over the paper) appears lighter, in J.
    tone_in, tone_out : media-relative L* of a printed grey before and after the proposed curve.
    picture_tone_out : L* that a grey of the picture needs to print so, for the same steps
        ``tone_in`` of the picture's own L*; what an adjustment of the file is to do.
    adjustments : what is proposed: that curve by its handles, and a gain of chroma; named for
        the place, empty where nothing is worth changing.
    colourfulness_after : what the proposal brings that share to.
    share_beyond : of the picture's colours, the proposal asks for more than the paper has; like
        the averages, of a preview.
    judged, hung, proposed : (h, w, 3) uint8 in the display's space: as judged, and for an eye
        adapted to the place as it will hang, plain and with the proposal.
    display_profile : ICC bytes of that space.
    """

    place: Place
    paper_name: str
    brightness_share: float
    lightness_share: float
    colourfulness_share: float
    middle_shift: float
    tone_in: np.ndarray = field(repr=False)
    tone_out: np.ndarray = field(repr=False)
    picture_tone_out: np.ndarray = field(repr=False)
    adjustments: Adjustments
    colourfulness_after: float
    share_beyond: float
    judged: np.ndarray = field(repr=False)
    hung: np.ndarray = field(repr=False)
    proposed: np.ndarray = field(repr=False)
    display_profile: bytes = field(repr=False)

    @property
    def chroma_gain(self) -> float:
        """By what the proposal multiplies chroma; 1 for not at all."""
        return self.adjustments.chroma_gain

    @property
    def middle_lift(self) -> float:
        """L* by which the proposal makes a middle grey (L* 50 over the paper) lighter."""
        if not any(self.adjustments.tones):
            return 0.0
        return float(np.interp(50, self.tone_in, self.tone_out)) - 50

    @property
    def changes(self) -> bool:
        """Whether anything is proposed."""
        return bool(self.adjustments)

    @property
    def sentence(self) -> str:
        """What the place does."""
        kept = self.brightness_share, self.lightness_share, self.colourfulness_share
        if all(abs(share - 1) < _ALIKE for share in kept):
            if not self.changes:
                return tr("On its wall the print looks as it was judged.")
            by = abs(self.middle_shift)
            if self.middle_shift > 0:
                return tr(
                    "On its wall the print keeps its brightness, its range of lightness and its "
                    "colourfulness, but a middle grey looks lighter by {by:.1f} in lightness (J).",
                    by=by,
                )
            return tr(
                "On its wall the print keeps its brightness, its range of lightness and its "
                "colourfulness, but a middle grey looks darker by {by:.1f} in lightness (J).",
                by=by,
            )
        return tr(
            "On its wall the print keeps {brightness} of its brightness, {lightness} of its "
            "range of lightness and {colourfulness} of its colourfulness.",
            brightness=percent(self.brightness_share),
            lightness=percent(self.lightness_share),
            colourfulness=percent(self.colourfulness_share),
        )

    @property
    def proposal(self) -> str:
        """What is proposed, and what it cannot bring back."""
        if not self.changes:
            return tr("Nothing needs to be changed for this place.")
        middle = self.middle_lift
        by = abs(middle)
        if not middle:
            greys = tr("Middle greys as they are")
        elif middle > 0:
            greys = tr("Middle greys {by:.1f} L* lighter", by=by)
        else:
            greys = tr("Middle greys {by:.1f} L* darker", by=by)
        lost = max(0.0, 1 - self.lightness_share)
        chroma = (
            tr("chroma as it is")
            if self.chroma_gain == 1
            else tr("chroma × {gain:.2f}", gain=self.chroma_gain)
        )
        said = [
            tr(
                "{greys}, {chroma}: colourfulness comes to {share}.",
                greys=greys,
                chroma=chroma,
                share=percent(self.colourfulness_after),
            )
        ]
        if lost >= _ALIKE:
            said.append(
                tr(
                    "{share} of the range of lightness cannot be brought back.",
                    share=percent(lost),
                )
            )
        if self.share_beyond >= 0.001:
            said.append(
                tr(
                    "{share} of the picture asks for colours beyond the paper.",
                    share=percent(self.share_beyond),
                )
            )
        return " ".join(said)


def print_for_place(
    picture: Any,
    paper: Paper | None = None,
    place: Place | str = "gallery",
    *,
    intent: str = DEFAULTS.intent,
    black_point_compensation: bool = DEFAULTS.black_point_compensation,
    display=DEFAULTS.display,
    long_side_px: int = 400,
    cancelled=None,
) -> ForPlace:
    """What a place does to a print, and a tone curve and chroma gain that make up for it.

    Parameters
    ----------
    picture, paper : from `open_picture` and `open_paper`; or a plan alone, whose picture,
        paper and rendering are taken.
    place : a `Place`, or the name of a light with an illuminance, see `find_light`.
    intent, black_point_compensation : how the print is made.
    display : for which the pictures are, see `soft_proof`.
    long_side_px : of the pictures, 16 to 2000.

    Returns
    -------
    A ForPlace.

    Raises
    ------
    WorkbenchError, UntaggedPictureError
        for a place that cannot be, and pictures without a profile.

    Examples
    --------
    >>> evening = wb.print_for_place(picture, papers[0], wb.Place("2700 K", 60), long_side_px=60)
    >>> evening.brightness_share < 1 and evening.chroma_gain > 1
    True
    """
    if paper is None:
        plan = picture
        picture, paper = getattr(plan, "picture", None), getattr(plan, "paper", None)
        if picture is None or paper is None:
            raise WorkbenchError(tr("Printing for a place takes a picture and a paper."))
        rendering = dict(plan.rendering)
        intent, black_point_compensation = (
            rendering["intent"],
            rendering["black_point_compensation"],
        )
    place = place if isinstance(place, Place) else Place(place)
    number(long_side_px, tr("long side"), low=16, high=2000, unit="px")
    how = (picture.require_profile(), paper.profile, intent, black_point_compensation)
    way = viewing(adaptation=1.0, reference=None, display=display)
    white = white_xyz(paper.profile)
    mirror = surface_mirror(paper.finish) or 0.0
    before = Hanging(JUDGED, white, mirror)
    after = Hanging(place, white, mirror)

    preview = picture.preview(int(long_side_px))
    printed = printed_lab(_unit(preview), *how)
    small = picture.preview(_SAMPLE_PX)
    sample = printed_lab(_unit(small), *how).reshape(-1, 3)
    tones = tones_for(before, after, paper.black_lab[0])
    own = in_picture(tones, how, picture.channels)
    judged, here = before.appearance(sample), after.appearance(sample)

    def printed_with(adjustments, pixels):
        flat = pixels.reshape(-1, picture.channels)
        colours = adjusted_colours(flat, picture.require_profile(), adjustments)
        return printed_lab(colours, *how).reshape(*pixels.shape[:-1], 3)

    curve = _worth_it(Adjustments(**_handles(own)))
    curved = printed_with(curve, small).reshape(-1, 3) if curve else sample
    gain = round(chroma_gain(judged, after, curved), _HUNDREDTH)
    made = _worth_it(replace(curve, chroma_gain=gain, made_for=place.words))
    held = printed_with(made, small).reshape(-1, 3) if made else sample
    wanted = curved * np.array([1, made.chroma_gain, made.chroma_gain])
    colourful = max(float(judged.M.mean()), 1e-6)

    def pictures(band):
        rows = printed[slice(*band)]
        hung = proposed = before.brought_here(after.appearance(rows))
        if made:
            changed = printed_with(made, preview[slice(*band)])
            proposed = before.brought_here(after.appearance(changed))
        return [_pixels(way, each) for each in (rows, hung, proposed)]

    bands = row_bands(len(printed), 64)
    shown = list(zip(*in_order(pictures, bands, cancelled=cancelled), strict=True))
    judged_px, hung_px, proposed_px = (np.concatenate(each) for each in shown)
    return ForPlace(
        place=place,
        paper_name=paper.name,
        brightness_share=tones.brightness,
        lightness_share=tones.range,
        colourfulness_share=float(here.M.mean()) / colourful,
        middle_shift=tones.middle,
        tone_in=GREYS,
        tone_out=tones.out,
        picture_tone_out=own,
        adjustments=made,
        colourfulness_after=float(after.appearance(held).M.mean()) / colourful,
        share_beyond=float((delta_e_2000(wanted, _held(wanted, paper)) > _BEYOND).mean()),
        judged=judged_px,
        hung=hung_px,
        proposed=proposed_px,
        display_profile=way.display.profile,
    )


def _handles(own: np.ndarray) -> dict[str, Any]:
    """A curve over L* as handles of the adjustments' tone curve, L* each, which rise."""
    after = np.interp(list(TONES.values()), GREYS, own)
    gaps = LEAST_RISE * np.arange(1, len(after) + 1)
    # from black upwards each leaves the next its room, then from white downwards
    after = np.maximum.accumulate(np.maximum(after, LEAST_RISE) - gaps) + gaps
    after = np.minimum(after, 100 - gaps[::-1])
    return {
        name: ADJUSTMENTS[name].nearest(round(float(to) - at, _TENTH))
        for (name, at), to in zip(TONES.items(), after, strict=True)
    }


def _worth_it(made: Adjustments) -> Adjustments:
    """The same without what is too little to be printed."""
    if max(np.abs(made.tones)) < _LEAST_MOVE:
        made = Adjustments(chroma_gain=made.chroma_gain, made_for=made.made_for)
    return made if abs(made.chroma_gain - 1) >= _LEAST_GAIN else replace(made, chroma_gain=1.0)


def _held(lab, paper: Paper) -> np.ndarray:
    """The nearest that the paper's colorimetric table comes to media-relative Lab."""
    device = transform(np.asarray(lab, np.float32), "lab", paper.profile)
    return transform(device, paper.profile, "lab")


def _unit(pixels: np.ndarray) -> np.ndarray:
    return pixels.astype(np.float32) / np.iinfo(pixels.dtype).max


def _pixels(way, lab) -> np.ndarray:
    return np.round(255 * way.shown(lab)).astype(np.uint8)
