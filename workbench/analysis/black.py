"""A paper's black: how deep it is, and what becomes of a picture's shadows.

Matte papers and glossy ones differ here more than anywhere else.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np

from workbench.analysis.printed_black import PrintedBlack, printed_black
from workbench.analysis.shadows import ShadowTally, shadow_tally
from workbench.analysis.words import percent
from workbench.colour.difference import delta_e_2000
from workbench.colour.engine import INTENTS, check_intent, transform
from workbench.colour.lab import luminance_factor, relative_to_absolute
from workbench.colour.profile import CHANNELS, read_profile
from workbench.colour.spaces import standard_profile
from workbench.colour.trip import printed_lab, white_xyz
from workbench.errors import WorkbenchError
from workbench.language import tr
from workbench.paper import Paper
from workbench.paper_readings import AnyPaper
from workbench.picture.picture import Picture
from workbench.rendering import DEFAULTS
from workbench.results import Result

LEVELS = 256

# density of the deepest black usual for a kind of paper, absolute
# (M. McNamee 2010, a published test of inkjet papers)
USUAL_BLACK_DENSITIES = (
    (tr("canvas"), 1.4, 1.5),
    (tr("art and matte"), 1.6, 1.7),
    (tr("gloss, lustre and baryta"), 2.0, 2.2),
)
# halfway between those of matte and of glossy papers
_GLOSSY_DENSITY = 1.85


def is_matte(paper: AnyPaper) -> bool:
    """Whether a paper is of the matte kind: by its finish, or by its black where none is stated."""
    if paper.finish:
        return "mat" in paper.finish.lower()
    return paper.black_density < _GLOSSY_DENSITY


@dataclass(frozen=True, eq=False)
class ToneCurve:
    """The greys of a picture's space, and what they print as.

    Attributes
    ----------
    source_lightness : (256,) L* of grey levels 0..255 in the picture's space.
    print_lightness : (256,) absolute L* of the print.
    print_lab : (256, 3) absolute Lab.
    from_black : (256,) CIEDE2000 of the prints of the levels from that of the first.
    """

    intent: str
    black_point_compensation: bool
    source_lightness: np.ndarray = field(repr=False)
    print_lightness: np.ndarray = field(repr=False)
    print_lab: np.ndarray = field(repr=False)
    from_black: np.ndarray = field(repr=False)


@dataclass(frozen=True, eq=False)
class BlackPoint(Result):
    """A paper's black, and the shadows that end in it.

    Attributes
    ----------
    white_lab : absolute Lab of the bare paper.
    printed : the picture's black as it will print, beside the paper's darkest printable
        colour, with a warning where they differ.
    black_lab, black_density : of the picture's black as it will print; absolute.
    contrast_ratio : luminance of the paper's white over that of this black.
    stops : the same in powers of two.
    merged_levels : how many of the 8-bit grey levels above black differ from the printed
        black by less than ``tolerance``.
    merged_levels_in_picture : how many do so before printing, in the picture itself.
    merged_lightness : the picture's L* up to which shadows merge.
    share_merged : share of the picture's pixels (0..1) at or below that lightness; None
        without a picture.
    share_merged_in_picture : share where the levels cannot be told apart before printing.
    share_exact : whether every pixel was counted for the shares, or a preview's.
    curve : the tone curve of this intent and compensation.
    """

    _drawn_by = "workbench.figures.black:ToneFigure"

    name: str
    white_lab: tuple[float, float, float]
    printed: PrintedBlack
    contrast_ratio: float
    stops: float
    intent: str
    black_point_compensation: bool
    tolerance: float
    merged_levels: int
    merged_levels_in_picture: int
    merged_lightness: float
    share_merged: float | None
    share_merged_in_picture: float | None
    share_exact: bool
    curve: ToneCurve = field(repr=False)

    @property
    def black_lab(self) -> tuple[float, float, float]:
        """Absolute Lab of the picture's black as it will print."""
        return self.printed.lab

    @property
    def black_density(self) -> float:
        """Absolute density of the picture's black as it will print."""
        return self.printed.density

    @property
    def sentence(self) -> str:
        """The answer in one sentence."""
        lost = self.merged_levels
        if lost <= self.merged_levels_in_picture:
            return tr("The shadows keep every level that can be told apart in the picture.")
        text = tr("The shadows' last {lost} levels merge", lost=lost)
        if lost == 1:
            text = tr("The shadows' last level merges with black")
        if self.share_merged is not None:
            text += tr("; {percent} of the picture lies there", percent=percent(self.share_merged))
            # the paper is not to blame for that part
            if self.share_merged_in_picture:
                before = percent(self.share_merged_in_picture)
                text += tr(", and {before} merges even before printing", before=before)
        return text + "."


def _profile_of(picture: Picture | None) -> bytes:
    return standard_profile("sRGB") if picture is None else picture.require_profile()


def _greys(profile: bytes) -> np.ndarray:
    channels = CHANNELS[read_profile(profile).space]
    return np.repeat(np.linspace(0, 1, LEVELS)[:, None], channels, axis=1)


def tone_curve(
    paper: Paper,
    picture: Picture | None = None,
    *,
    intent: str = DEFAULTS.intent,
    black_point_compensation: bool = DEFAULTS.black_point_compensation,
) -> ToneCurve:
    """From picture lightness to print lightness.

    Parameters
    ----------
    picture : gives the space the greys are taken from; sRGB without one.
    """
    check_intent(intent)
    return _curve(_profile_of(picture), paper.profile, intent, bool(black_point_compensation))


@lru_cache(maxsize=16)
def _unprinted(profile: bytes) -> tuple[np.ndarray, np.ndarray]:
    """L* of the grey levels before any paper, and their CIEDE2000 from the first."""
    lab = transform(_greys(profile), profile, "lab")
    return lab[:, 0], delta_e_2000(lab, lab[:1])


@lru_cache(maxsize=48)
def _curve(source: bytes, paper: bytes, intent: str, compensate: bool) -> ToneCurve:
    greys = _greys(source)
    printed = printed_lab(greys, source, paper, intent, compensate)
    absolute = relative_to_absolute(printed, white_xyz(paper))
    return ToneCurve(
        intent=intent,
        black_point_compensation=compensate,
        source_lightness=_unprinted(source)[0],
        print_lightness=absolute[:, 0],
        print_lab=absolute,
        from_black=delta_e_2000(absolute, absolute[:1]),
    )


def tone_curves(paper: Paper, picture: Picture | None = None) -> tuple[ToneCurve, ...]:
    """The curve of every intent, without and with black point compensation where it counts."""
    return tuple(
        tone_curve(paper, picture, intent=intent, black_point_compensation=compensate)
        for intent in INTENTS
        for compensate in ((False, True) if intent != "absolute" else (False,))
    )


def _merged(from_black: np.ndarray, tolerance: float) -> int:
    """Levels after the first that stay within ``tolerance`` of it, from black up."""
    apart = from_black >= tolerance
    return int(np.argmax(apart)) - 1 if apart.any() else len(apart) - 1


def black_point(
    paper: Paper,
    picture: Picture | None = None,
    *,
    intent: str = DEFAULTS.intent,
    black_point_compensation: bool = DEFAULTS.black_point_compensation,
    tolerance: float = DEFAULTS.tolerance,
    shadows: ShadowTally | None = None,
) -> BlackPoint:
    """How deep a picture's black will print on this paper, and which shadows merge in it.

    Parameters
    ----------
    picture : its space gives the grey levels, its pixels the share; sRGB greys and no
        share without one.
    tolerance : CIEDE2000 below which two greys cannot be told apart, 0.1..5; about 1
        is just noticeable side by side (common practice, no source).
    shadows : the picture's, from `shadow_tally`, for the shares; every pixel is counted if
        left out.

    Returns
    -------
    A BlackPoint.

    Raises
    ------
    WorkbenchError
        for another tolerance or an unknown intent.
    UntaggedPictureError
        for a picture without a profile.

    Examples
    --------
    >>> black = wb.black_point(papers[0], picture)
    >>> black.black_density > 2 and 0 <= black.share_merged <= 1
    True
    """
    check_intent(intent)
    tolerance = _checked_tolerance(tolerance)
    curve = tone_curve(
        paper, picture, intent=intent, black_point_compensation=black_point_compensation
    )
    merged = _merged(curve.from_black, tolerance)
    before = _merged(_unprinted(_profile_of(picture))[1], tolerance)
    lightness = float(curve.source_lightness[merged])
    tally = share = share_before = None
    if picture is not None:
        tally = shadows or shadow_tally(picture)
        share = tally.share_below(lightness)
        share_before = tally.share_below(float(curve.source_lightness[before]))
    printed = printed_black(
        paper, picture, intent=intent, black_point_compensation=black_point_compensation
    )
    y_white = float(luminance_factor(paper.white_lab[0]))
    y_black = max(float(luminance_factor(printed.lab[0])), 1e-5)
    return BlackPoint(
        name=paper.name,
        white_lab=paper.white_lab,
        printed=printed,
        contrast_ratio=y_white / y_black,
        stops=float(np.log2(y_white / y_black)),
        intent=intent,
        black_point_compensation=bool(black_point_compensation),
        tolerance=tolerance,
        merged_levels=merged,
        merged_levels_in_picture=before,
        merged_lightness=lightness,
        share_merged=share,
        share_merged_in_picture=share_before,
        share_exact=tally is not None and tally.exact,
        curve=curve,
    )


def _checked_tolerance(tolerance) -> float:
    try:
        number = float(tolerance)
    except (TypeError, ValueError):
        number = -1.0
    if not 0.1 <= number <= 5:
        raise WorkbenchError(tr("The tolerance must lie between 0.1 and 5 CIEDE2000."))
    return number
