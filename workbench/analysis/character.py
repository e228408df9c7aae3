"""What a picture is like: its tones, its saturated colours, its fine detail and smooth areas.

Tones and colours are counted from every pixel.  Detail is looked for in small tiles at
full resolution, spread evenly over the picture, because a reduced preview averages away
just what matters; large smooth areas are looked for in the preview, which sees the
whole.  All limits are our own choices and stand below with their reasons.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from workbench.analysis.colours import Kept
from workbench.analysis.crops import PREVIEW_PX
from workbench.analysis.detail import SmoothArea, detail_sample, smooth_area
from workbench.analysis.words import (
    HUE_NAMES,
    HUE_WORDS,
    colour_name,
    hue_index,
    lightness_index,
    percent,
)
from workbench.colour.engine import quick_lab, transform
from workbench.colour.lab import chroma, triple
from workbench.errors import WorkbenchError
from workbench.language import tr
from workbench.picture.picture import Picture
from workbench.results import Result

# L* above which a colour lies within reach of the paper's white; as in `white.highlights`
HIGHLIGHTS_FROM = 90.0
# the black of a matte paper of density 1.6 (M. McNamee 2010): what is darker needs more
SHADOWS_UP_TO = 18.0
# chroma from which colours count as saturated: muted scenes hardly reach it
SATURATED_FROM = 40.0
# chroma up to which every pixel must lie for a picture without colour
_COLOURLESS = 3.0
_LIGHT = 2  # index of light colours in `lightness_index`
# share of the picture below which its light colours are not worth a name
_WORTH_NAMING = 0.02

DARK_MEDIAN, DARK_SHARE = 30.0, 0.2
LIGHT_SHARE = 0.2
COLOURFUL_SHARE = 0.15
DETAILED_SHARE = 0.35
SMOOTH_SHARE = 0.15


@dataclass(frozen=True, eq=False)
class Character(Result):
    """What a picture is like; shares are of its pixels, 0..1, Lab is media-relative.

    Attributes
    ----------
    share_highlights : lighter than L* 90, within reach of a paper's white.
    share_shadows : darker than L* 18, below the black of a matte paper of density 1.6.
    median_lightness : L*.
    share_grey : with chroma below 8, the near-greys of `words`.
    is_monochrome : whether 99.9 % of the pixels have a chroma of 3 or less.
    share_saturated : with chroma 40 or more; ``saturated_hues`` divides it by hue.
    light_colour : the commonest kind of light colour, such as "light sky blues" or
        "highlights"; ``light_lab`` its mean; "" and None where under 2 % is light.
    share_detail, share_smooth : of the picture with fine detail, and without any, see
        `workbench.analysis.detail`; the rest lies between.
    share_detail_error : standard error of share_detail, as it comes from a sample.
    smooth_area : the largest connected smooth area, see `smooth_area`.
    ppi : of the print that the detail was judged for.
    exact : whether tones and colours were counted over every pixel, or a preview's.
    """

    share_highlights: float
    share_shadows: float
    median_lightness: float
    share_grey: float
    is_monochrome: bool
    share_saturated: float
    saturated_hues: dict[str, float]
    light_colour: str
    light_lab: tuple[float, float, float] | None
    share_detail: float
    share_smooth: float
    share_detail_error: float
    smooth_area: SmoothArea
    ppi: float
    exact: bool

    @property
    def is_dark(self) -> bool:
        """Half the picture darker than L* 30, or a fifth of it in the shadows."""
        return self.median_lightness < DARK_MEDIAN or self.share_shadows >= DARK_SHARE

    @property
    def is_light(self) -> bool:
        """A fifth of it or more in the highlights."""
        return self.share_highlights >= LIGHT_SHARE

    @property
    def is_colourful(self) -> bool:
        """15 % of it or more saturated."""
        return self.share_saturated >= COLOURFUL_SHARE

    @property
    def is_detailed(self) -> bool:
        """Fine detail in 35 % of it or more."""
        return self.share_detail >= DETAILED_SHARE

    @property
    def has_smooth_area(self) -> bool:
        """A connected smooth area of 15 % of it or more."""
        return self.smooth_area.share >= SMOOTH_SHARE

    @property
    def words(self) -> tuple[str, ...]:
        """What stands out, such as ("dark", "colourful"); may be empty."""
        found = (
            ("dark", self.is_dark),
            ("light", self.is_light),
            ("colourless", self.is_monochrome),
            ("colourful", self.is_colourful),
            ("detailed", self.is_detailed),
            ("smooth", self.has_smooth_area),
        )
        return tuple(word for word, true in found if true)

    @property
    def sentences(self) -> tuple[str, ...]:
        """Tones, colours and detail, a sentence each."""
        colours = tr("It is without colour.")
        if not self.is_monochrome:
            colours = tr("{percent} of it is saturated", percent=percent(self.share_saturated))
            hues = sorted(self.saturated_hues.items(), key=lambda item: -item[1])
            named = [
                f"{HUE_WORDS[hue]} {percent(share)}" for hue, share in hues[:3] if share >= 0.005
            ]
            colours += f": {', '.join(named)}." if named else "."
        detail = tr("Fine detail covers about {percent} of it", percent=percent(self.share_detail))
        if self.has_smooth_area:
            detail += tr(
                "; {percent} is one smooth area of {colour}",
                percent=percent(self.smooth_area.share),
                colour=self.smooth_area.colour,
            )
        tones = tr(
            "{shadows} of the picture is deep shadow, {highlights} is highlight.",
            shadows=percent(self.share_shadows),
            highlights=percent(self.share_highlights),
        )
        return tones, colours, f"{detail}."


_kept = Kept(8)


def describe(
    picture: Picture, *, ppi: float = 300.0, exact: bool = True, cancelled=None
) -> Character:
    """What a picture is like, so that advice can be about it.

    Parameters
    ----------
    picture : a Picture with a profile.
    ppi : of the print, 20..5000: how many picture pixels come on an inch of paper, which
        decides what fine detail is.
    exact : count tones and colours over every pixel, by the picture's census (a second
        or two for a large picture if no other analysis has taken it yet), or over a
        preview, which averages small colourful areas away (some 0.1 s).
    cancelled : asked while the census is taken; true ends the work with `Cancelled`.

    Returns
    -------
    A Character.

    Raises
    ------
    UntaggedPictureError
        for a picture without a profile.
    WorkbenchError
        for another ppi.

    Examples
    --------
    >>> 0 <= wb.describe(picture).share_shadows <= 1
    True
    """
    ppi = _checked_ppi(ppi)

    def make():
        profile = picture.require_profile()
        if exact:
            census = picture.census(cancelled=cancelled)
            counts = census.counts
            lab = transform(np.ascontiguousarray(census.colours, np.float32), profile, "lab")
        else:
            preview = picture.preview(PREVIEW_PX, cancelled=cancelled)
            lab = quick_lab(preview, profile).reshape(-1, 3)
            counts = np.ones(len(lab))
        sample = detail_sample(picture, ppi)
        return Character(
            **_tones(lab, counts),
            share_detail=sample.share_detail,
            share_smooth=sample.share_smooth,
            share_detail_error=sample.error,
            smooth_area=smooth_area(picture, sample),
            ppi=ppi,
            exact=bool(exact),
        )

    return _kept.get((picture, ppi, bool(exact)), make)


def _checked_ppi(ppi) -> float:
    try:
        number = float(ppi)
    except (TypeError, ValueError):
        number = -1.0
    if not 20 <= number <= 5000:
        raise WorkbenchError(tr("A print has between 20 and 5000 ppi, not {ppi!r}.", ppi=ppi))
    return number


def _tones(lab: np.ndarray, counts: np.ndarray) -> dict:
    """What `Character` says of tones and colours, of (n, 3) Lab and how often each occurs."""
    total = counts.sum()
    lightness, colourfulness = lab[:, 0], chroma(lab)
    hues = hue_index(lab)

    def share(which) -> float:
        return float(counts[which].sum() / total)

    saturated = colourfulness >= SATURATED_FROM
    by_hue = np.bincount(hues[saturated], counts[saturated], minlength=len(HUE_NAMES)) / total
    order = np.argsort(lightness)
    half = np.searchsorted(np.cumsum(counts[order]), total / 2)
    light_colour, light_lab = _light(lab, hues, counts)
    return {
        "share_highlights": share(lightness > HIGHLIGHTS_FROM),
        "share_shadows": share(lightness < SHADOWS_UP_TO),
        "median_lightness": float(lightness[order][min(half, len(order) - 1)]),
        "share_grey": share(hues == 0),
        "is_monochrome": share(colourfulness <= _COLOURLESS) >= 0.999,
        "share_saturated": share(saturated),
        "saturated_hues": {
            name: float(value)
            for name, value in zip(HUE_NAMES[1:], by_hue[1:], strict=True)
            if value > 0
        },
        "light_colour": light_colour,
        "light_lab": light_lab,
    }


def _light(lab, hues, counts) -> tuple[str, tuple[float, float, float] | None]:
    """The commonest kind of light colour and its mean Lab."""
    light = lightness_index(lab) == _LIGHT
    by_hue = np.bincount(hues[light], counts[light], minlength=len(HUE_NAMES))
    if by_hue.sum() < _WORTH_NAMING * counts.sum():
        return "", None
    hue = int(np.argmax(by_hue))
    kind = light & (hues == hue)
    mean = np.average(lab[kind], axis=0, weights=counts[kind])
    return colour_name(_LIGHT, hue), triple(mean)
