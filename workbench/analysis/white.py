"""A paper's white: its tint as it is seen, and what it does to a picture's highlights.

Media-relative numbers make every white 100, 0, 0; here the white comes back.  How
much of it is seen depends on what lies beside the print: alone, the eye adapts to it.
The tint is the sheet's own and keeps its name whatever lies beside it.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from functools import lru_cache

import numpy as np

from workbench.analysis.adaptation import (
    BRIGHTENED_CARD,
    PERFECT_DIFFUSER,
    UNTINTED_COTTON,
    eye_beside,
    white_seen,
)
from workbench.analysis.crops import LightnessTally, lightness_tally
from workbench.analysis.plausible import doubt_words
from workbench.analysis.words import apart_words, percent, tint_words
from workbench.colour.engine import check_intent, transform
from workbench.colour.lab import D50_XYZ, chroma, hue_deg, lab_to_xyz, triple
from workbench.colour.spaces import bradford
from workbench.colour.trip import white_xyz
from workbench.errors import WorkbenchError
from workbench.language import tr
from workbench.paper import Paper
from workbench.paper_readings import AnyPaper
from workbench.picture.picture import Picture
from workbench.rendering import DEFAULTS
from workbench.results import Result

_BESIDE = {
    UNTINTED_COTTON: tr("beside an untinted cotton sheet"),
    BRIGHTENED_CARD: tr("beside a brightened white card"),
    PERFECT_DIFFUSER: tr("beside the perfect diffuser"),
}

# D65 for both observers, and the tint's first factor (CIE 15:2004, section 9)
_D65_XY = {2: (0.3127, 0.3290), 10: (0.3138, 0.3310)}
_TINT_FACTOR = {2: 1000, 10: 900}

HIGHLIGHT_STEPS = (100.0, 98.0, 96.0, 93.0, 90.0, 85.0, 80.0)


@dataclass(frozen=True)
class Whiteness:
    """CIE whiteness and tint; the perfect diffuser has 100 and 0.

    ``valid`` tells whether the values lie where the formulas may be used; outside, they
    say nothing.
    """

    whiteness: float
    tint: float
    valid: bool


@dataclass(frozen=True)
class PaperWhite(Result):
    """A paper's white.

    Attributes
    ----------
    white_lab : absolute Lab, as the profile states it.
    white_is_known : False where the profile states no white of its own.
    seen_lab : Lab as seen beside the reference, at this adaptation; (100, 0, 0) is
        a white that looks purely white.
    seen_chroma, seen_hue_deg : of ``seen_lab``.
    tint : in words, of ``white_lab`` by itself.
    reference : name of what it is compared with; reference_lab its absolute Lab.
    adaptation : 0 side by side with the reference .. 1 fully adapted to the paper.
    doubt : why this cannot be a real sheet's, see `plausible.doubt_words`.
    """

    name: str
    white_lab: tuple[float, float, float]
    white_is_known: bool
    seen_lab: tuple[float, float, float]
    seen_chroma: float
    seen_hue_deg: float
    tint: str
    reference: str
    reference_lab: tuple[float, float, float]
    adaptation: float
    whiteness: Whiteness
    doubt: str = ""

    @property
    def sentence(self) -> str:
        """The sheet first, then what lies beside it, then the eye."""
        if not self.white_is_known:
            return tr("This profile does not state its paper's white, so the tint is unknown.")
        if self.doubt:
            return self.doubt
        said = tr("A {tint} white", tint=self.tint)
        if self.reference_lab != self.white_lab:
            apart = apart_words(self.white_lab, self.reference_lab) or tr("much the same")
            beside = _BESIDE.get(self.reference) or tr("beside {sheet}", sheet=self.reference)
            said = tr(
                "{white}: {beside}, {apart}",
                white=said,
                beside=beside,
                apart=apart,
            )
        if self.adaptation >= 0.995:
            return tr("{said}. Seen alone, the eye takes it for white.", said=said)
        if self.adaptation > 0.005:
            return tr(
                "{said}. An eye {share:.0f} % adapted to it sees less of that.",
                said=said,
                share=100 * self.adaptation,
            )
        return f"{said}."


def whiteness_of(xyy, white_xy=None, observer_deg: int = 2) -> Whiteness:
    """CIE whiteness and tint of a colour under D65.

    Parameters
    ----------
    xyy : x, y and Y, Y = 100 for the perfect diffuser.
    white_xy : chromaticity of the perfect diffuser; D65 for the observer if left out.
    observer_deg : 2 or 10.

    Raises
    ------
    WorkbenchError
        for another observer.

    Source: CIE 15:2004, section 9: W = Y + 800 (xn − x) + 1700 (yn − y), T = k (xn − x)
    − 650 (yn − y) with k 1000 for 2 and 900 for 10 degrees; for 40 < W < 5Y − 280 and
    −4 < T < 2.
    """
    if observer_deg not in _TINT_FACTOR:
        raise WorkbenchError(
            tr(
                "Whiteness takes the 2 or the 10 degree observer, not {observer_deg}.",
                observer_deg=observer_deg,
            )
        )
    x, y, luminance = (float(value) for value in xyy)
    white_x, white_y = _D65_XY[observer_deg] if white_xy is None else white_xy
    dx, dy = white_x - x, white_y - y
    whiteness = luminance + 800 * dx + 1700 * dy
    tint = _TINT_FACTOR[observer_deg] * dx - 650 * dy
    valid = 40 < whiteness < 5 * luminance - 280 and -4 < tint < 2
    return Whiteness(whiteness, tint, valid)


def cie_whiteness(lab) -> Whiteness:
    """CIE whiteness and tint of an absolute Lab (D50, 2 degrees), by `whiteness_of`.

    An estimate: the paper is known under D50 only, without what brighteners add under
    D65.  Adapted to D65 by the linear Bradford transform.
    """
    x, y = _D65_XY[2]
    d65_xyz = np.array([x / y, 1, (1 - x - y) / y])
    xyz = bradford(D50_XYZ, d65_xyz) @ lab_to_xyz(lab)
    return whiteness_of((*(xyz[:2] / xyz.sum()), 100 * xyz[1]))


def paper_white(
    paper: AnyPaper, *, reference=DEFAULTS.reference, adaptation: float = DEFAULTS.adaptation
) -> PaperWhite:
    """The tint of a paper's white.

    Parameters
    ----------
    reference : one of `adaptation.REFERENCE_WHITES` or another paper; None for the print alone, to
        which the eye is fully adapted.
    adaptation : 0 = side by side with the reference, 1 = fully adapted to the paper.

    Returns
    -------
    A PaperWhite: absolute and as seen, with a sentence.

    Raises
    ------
    WorkbenchError
        for an unknown reference or an adaptation outside 0..1.

    Examples
    --------
    >>> wb.paper_white(papers[0]).white_lab == papers[0].white_lab
    True
    """
    eye = eye_beside(reference, adaptation)
    white = lab_to_xyz(paper.white_lab)
    seen = white_seen(white, eye.white(white))
    return PaperWhite(
        name=paper.name,
        white_lab=paper.white_lab,
        white_is_known=paper.white_is_known,
        seen_lab=triple(seen),
        seen_chroma=float(chroma(seen)),
        seen_hue_deg=float(hue_deg(seen)),
        tint=tint_words(paper.white_lab),
        reference=eye.reference,
        reference_lab=eye.reference_lab,
        adaptation=eye.adaptation,
        whiteness=cie_whiteness(paper.white_lab),
        doubt=doubt_words(paper),
    )


@dataclass(frozen=True, eq=False)
class WhitesSeen:
    """Several whites in view of one pair of eyes.

    Attributes
    ----------
    chosen : the paper that the eye gets used to.
    reference_lab : Lab as seen of the reference beside it.
    others : name and Lab as seen of the other papers that state their white.
    path_lab : (n, 3) Lab as seen of the chosen paper, from side by side to fully adapted;
        all adapted where nothing lies beside it.
    start_lab : (2 + others, 3) Lab as seen where the path begins of the chosen paper, the
        reference and the others.
    reach : the largest chroma that any of these whites has at any adaptation.
    """

    chosen: PaperWhite
    reference_lab: tuple[float, float, float]
    others: tuple[tuple[str, tuple[float, float, float]], ...]
    path_lab: np.ndarray = field(repr=False)
    start_lab: np.ndarray = field(repr=False)
    reach: float


def whites_seen(
    paper: AnyPaper,
    papers=(),
    *,
    reference=DEFAULTS.reference,
    adaptation: float = DEFAULTS.adaptation,
) -> WhitesSeen:
    """The whites of a paper, its reference and other papers, as one pair of eyes sees them.

    Parameters and errors as for `paper_white`; ``papers`` may hold the paper itself.
    """
    chosen = paper_white(paper, reference=reference, adaptation=adaptation)
    eye, white = eye_beside(reference, adaptation), lab_to_xyz(chosen.white_lab)
    others = [p for p in papers if p is not paper and p is not reference and p.white_is_known]
    sheets = [white, *map(lab_to_xyz, (eye.reference_lab, *(p.white_lab for p in others)))]

    def seen(amount: float, count: int | None = None) -> np.ndarray:
        taken = replace(eye, adaptation=amount).white(white)
        return np.stack([white_seen(sheet, taken) for sheet in sheets[:count]])

    start, end = seen(1.0 if reference is None else 0.0), seen(1.0)
    way = np.linspace(1.0 if reference is None else 0.0, 1, 21)
    now = [triple(lab) for lab in seen(chosen.adaptation)]
    return WhitesSeen(
        chosen=chosen,
        reference_lab=now[1],
        others=tuple((p.name, lab) for p, lab in zip(others, now[2:], strict=True)),
        path_lab=np.concatenate([seen(amount, 1) for amount in way]),
        start_lab=start,
        reach=float(max(chroma(start).max(), chroma(end).max())),
    )


@dataclass(frozen=True, eq=False)
class Highlights(Result):
    """How much of a picture a paper's white reaches.

    Attributes
    ----------
    share : of the picture's pixels that print lighter than ``lightness``
        (media-relative L*): the ones that take the paper's tint.
    share_bare : that print within 1 of bare paper in L* and chroma: no ink, no detail.
    exact : whether every pixel was sent to the paper, or the cells of a census.
    """

    share: float
    share_bare: float
    lightness: float
    exact: bool

    @property
    def sentence(self) -> str:
        """The share in one sentence."""
        bare = percent(self.share_bare) if self.share_bare else tr("none of it")
        return tr(
            "{percent} of the picture lies within reach of the paper's white; {bare} is "
            "bare paper.",
            percent=percent(self.share),
            bare=bare,
        )


def highlights(
    picture: Picture,
    paper: Paper,
    *,
    intent: str = DEFAULTS.intent,
    black_point_compensation: bool = DEFAULTS.black_point_compensation,
    lightness: float = DEFAULTS.highlight_lightness,
    tally: LightnessTally | None = None,
) -> Highlights:
    """The picture's highlights on this paper.

    Parameters
    ----------
    lightness : media-relative L* of the print above which a pixel is within reach of
        the paper's white, 50..99, to 0.1.
    tally : of this picture, paper and intent, if it has been counted; every
        pixel is if left out.

    Raises
    ------
    WorkbenchError
        for a lightness outside 50..99 or an unknown intent.
    UntaggedPictureError
        for a picture without a profile.
    """
    if not 50 <= lightness <= 99:
        raise WorkbenchError(tr("Highlights begin between L* 50 and 99."))
    compensate = bool(black_point_compensation)
    tally = tally or lightness_tally(
        picture, paper, intent=intent, black_point_compensation=compensate
    )
    return Highlights(
        share=tally.share_above(lightness),
        share_bare=tally.bare,
        lightness=float(lightness),
        exact=tally.exact,
    )


@dataclass(frozen=True, eq=False)
class NeutralSteps:
    """What a paper's white does to light neutral tones.

    Attributes
    ----------
    steps : source L* of neutral patches.
    before_lab : (n, 3) Lab of these patches on a purely white paper.
    after_lab : (n, 3) as printed on this paper with this intent, and seen.
    white : the paper's.
    reference_lab : of the reference sheet, as seen beside them.
    """

    steps: tuple[float, ...]
    before_lab: np.ndarray = field(repr=False)
    after_lab: np.ndarray = field(repr=False)
    white: PaperWhite = field(repr=False)
    reference_lab: tuple[float, float, float]


@lru_cache(maxsize=64)
def _printed_steps(paper: bytes, intent: str, compensate: bool) -> np.ndarray:
    """Media-relative Lab of the print of the neutral steps."""
    steps = np.zeros((len(HIGHLIGHT_STEPS), 3))
    steps[:, 0] = HIGHLIGHT_STEPS
    device = transform(steps, "lab", paper, intent=intent, black_point_compensation=compensate)
    return transform(device, paper, "lab")


def neutral_steps(
    paper: Paper,
    *,
    intent: str = DEFAULTS.intent,
    black_point_compensation: bool = DEFAULTS.black_point_compensation,
    reference=DEFAULTS.reference,
    adaptation: float = DEFAULTS.adaptation,
) -> NeutralSteps:
    """Light neutral tones before and after printing, as one pair of eyes sees them.

    ``reference`` and ``adaptation`` as for `paper_white`.

    Raises
    ------
    WorkbenchError
        for an unknown intent, reference or adaptation.
    """
    eye, white = eye_beside(reference, adaptation), white_xyz(paper.profile)
    printed = _printed_steps(paper.profile, check_intent(intent), bool(black_point_compensation))
    beside = white_seen(lab_to_xyz(eye.reference_lab), eye.white(white))
    steps = np.array(HIGHLIGHT_STEPS)
    return NeutralSteps(
        steps=HIGHLIGHT_STEPS,
        before_lab=np.stack([steps, 0 * steps, 0 * steps], axis=1),
        after_lab=eye.seen(printed, white),
        white=paper_white(paper, reference=reference, adaptation=adaptation),
        reference_lab=triple(beside),
    )
