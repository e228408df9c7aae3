"""A paper's black: how deep it is, and what becomes of a picture's shadows.

Matte papers and glossy ones differ here more than anywhere else.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np

from workbench.analysis.colours import quick_colours
from workbench.analysis.words import percent
from workbench.colour.difference import delta_e_2000
from workbench.colour.engine import INTENTS, check_intent, transform
from workbench.colour.lab import luminance_factor, relative_to_absolute
from workbench.colour.profile import CHANNELS, read_profile
from workbench.colour.spaces import standard_profile
from workbench.colour.trip import printed_lab, white_xyz
from workbench.errors import WorkbenchError

LEVELS = 256


@dataclass(frozen=True, eq=False)
class ToneCurve:
    """The greys of a picture's space, and what they print as.

    Attributes
    ----------
    source_lightness : (256,) L* of grey levels 0..255 in the picture's space.
    print_lightness : (256,) absolute L* of the print.
    print_lab : (256, 3) absolute Lab.
    """

    intent: str
    black_point_compensation: bool
    source_lightness: np.ndarray = field(repr=False)
    print_lightness: np.ndarray = field(repr=False)
    print_lab: np.ndarray = field(repr=False)


@dataclass(frozen=True, eq=False)
class BlackPoint:
    """A paper's black, and the shadows that end in it.

    Attributes
    ----------
    black_lab : absolute Lab of the print of the picture's black, as this intent and
        compensation print it.
    black_density : -log10 of its luminance factor, absolute.
    contrast_ratio : luminance of the paper's white over that of this black.
    stops : the same in powers of two.
    merged_levels : how many of the 8-bit grey levels above black differ from the printed
        black by less than ``tolerance``.
    merged_levels_in_picture : how many do so before printing, in the picture itself.
    merged_lightness : the picture's L* up to which shadows merge.
    share_merged : share of the picture's pixels (0..1) at or below that lightness; None
        without a picture.
    curve : the tone curve of this intent and compensation.
    """

    name: str
    black_lab: tuple[float, float, float]
    black_density: float
    contrast_ratio: float
    stops: float
    intent: str
    black_point_compensation: bool
    tolerance: float
    merged_levels: int
    merged_levels_in_picture: int
    merged_lightness: float
    share_merged: float | None
    curve: ToneCurve = field(repr=False)

    @property
    def sentence(self) -> str:
        """The answer in one sentence."""
        lost = self.merged_levels
        if lost <= self.merged_levels_in_picture:
            return "The shadows keep every level that can be told apart in the picture."
        text = f"The shadows' last {lost} levels merge"
        if self.share_merged is not None:
            text += f"; {percent(self.share_merged)} of the picture lies there"
        return text + "."


def _profile_of(picture) -> bytes:
    return standard_profile("sRGB") if picture is None else picture.require_profile()


def _greys(profile: bytes) -> np.ndarray:
    channels = CHANNELS[read_profile(profile).space]
    return np.repeat(np.linspace(0, 1, LEVELS)[:, None], channels, axis=1)


def tone_curve(
    paper, picture=None, *, intent: str = "relative", black_point_compensation: bool = False
) -> ToneCurve:
    """From picture lightness to print lightness.

    Parameters
    ----------
    picture : gives the space the greys are taken from; sRGB without one.
    """
    check_intent(intent)
    return _curve(_profile_of(picture), paper.profile, intent, bool(black_point_compensation))


@lru_cache(maxsize=256)
def _curve(source: bytes, paper: bytes, intent: str, compensate: bool) -> ToneCurve:
    greys = _greys(source)
    printed = printed_lab(greys, source, paper, intent, compensate)
    absolute = relative_to_absolute(printed, white_xyz(paper))
    return ToneCurve(
        intent=intent,
        black_point_compensation=compensate,
        source_lightness=transform(greys, source, "lab")[:, 0],
        print_lightness=absolute[:, 0],
        print_lab=absolute,
    )


def tone_curves(paper, picture=None) -> tuple[ToneCurve, ...]:
    """The curve of every intent, without and with black point compensation where it counts."""
    return tuple(
        tone_curve(paper, picture, intent=intent, black_point_compensation=compensate)
        for intent in INTENTS
        for compensate in ((False, True) if intent != "absolute" else (False,))
    )


def _merged(lab: np.ndarray, tolerance: float) -> int:
    """Levels after the first that stay within ``tolerance`` of it, from black up."""
    apart = delta_e_2000(lab, lab[:1]) >= tolerance
    return int(np.argmax(apart)) - 1 if apart.any() else len(lab) - 1


def black_point(
    paper,
    picture=None,
    *,
    intent: str = "relative",
    black_point_compensation: bool = False,
    tolerance: float = 1.0,
) -> BlackPoint:
    """How deep this paper's black is, and which shadows merge in it.

    Parameters
    ----------
    picture : its space gives the grey levels, its pixels the share; sRGB greys and no
        share without one.
    tolerance : CIEDE2000 below which two greys cannot be told apart, 0.1..5; about 1
        is just noticeable side by side (common practice, no source).
    """
    if not 0.1 <= tolerance <= 5:
        raise WorkbenchError("The tolerance must lie between 0.1 and 5 CIEDE2000.")
    check_intent(intent)
    curve = tone_curve(
        paper, picture, intent=intent, black_point_compensation=black_point_compensation
    )
    source = _profile_of(picture)
    merged = _merged(curve.print_lab, tolerance)
    before = _merged(transform(_greys(source), source, "lab"), tolerance)
    lightness = float(curve.source_lightness[merged])
    black = curve.print_lab[0]
    y_white = float(luminance_factor(paper.white_lab[0]))
    y_black = max(float(luminance_factor(black[0])), 1e-5)
    return BlackPoint(
        name=paper.name,
        black_lab=tuple(float(v) for v in black),
        black_density=-float(np.log10(y_black)),
        contrast_ratio=y_white / y_black,
        stops=float(np.log2(y_white / y_black)),
        intent=intent,
        black_point_compensation=bool(black_point_compensation),
        tolerance=float(tolerance),
        merged_levels=merged,
        merged_levels_in_picture=before,
        merged_lightness=lightness,
        share_merged=None if picture is None else _share_below(picture, paper, lightness),
        curve=curve,
    )


def _share_below(picture, paper, lightness: float) -> float:
    # the source colours are the same for every trip; this one is at hand already
    colours = quick_colours(picture, paper, "relative", False)
    below = colours.trip.source[..., 0] <= lightness
    return float(colours.counts[below].sum() / colours.counts.sum())
