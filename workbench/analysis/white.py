"""A paper's white: its tint as it is seen, and what it does to a picture's highlights.

Media-relative numbers make every white 100, 0, 0; here the white comes back.  How
much of it is seen depends on what lies beside the print: the eye adapts to the
lightest thing in view.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from workbench.analysis.colours import quick_colours
from workbench.analysis.words import percent, tint_words
from workbench.colour.lab import (
    D50_XYZ,
    chroma,
    hue_deg,
    lab_to_xyz,
    xyz_to_lab,
)
from workbench.colour.spaces import bradford
from workbench.errors import WorkbenchError

PERFECT_DIFFUSER = "perfect diffuser"
OFFICE_SHEET = "office sheet"

# absolute Lab of what a paper may lie beside; the office sheet is a bluish brightened
# one (common practice, no source)
REFERENCE_WHITES = {
    PERFECT_DIFFUSER: (100.0, 0.0, 0.0),
    OFFICE_SHEET: (94.5, 2.0, -10.0),
}

_D65_XYZ = np.array([0.95047, 1.0, 1.08883])
_D65_XY = (0.3127, 0.3290)

HIGHLIGHT_STEPS = (100.0, 98.0, 96.0, 93.0, 90.0, 85.0, 80.0)


@dataclass(frozen=True)
class Whiteness:
    """CIE whiteness and tint for D65 and the 2 degree observer.

    ``valid`` tells whether the values lie where the formula may be used; outside, they
    say nothing.  They are estimates: the paper is known under D50 only, and brighteners
    light up more under D65.
    """

    whiteness: float
    tint: float
    valid: bool


@dataclass(frozen=True)
class PaperWhite:
    """A paper's white.

    Attributes
    ----------
    white_lab : absolute Lab, as the profile states it.
    white_is_known : False where the profile states no white of its own.
    seen_lab : Lab as seen beside the reference, at this adaptation; (100, 0, 0) is
        a white that looks purely white.
    seen_chroma, seen_hue_deg : of ``seen_lab``.
    tint : in words, of ``white_lab`` by itself.
    seen_tint : in words, of ``seen_lab``.
    reference : name of what it is compared with; reference_lab its absolute Lab.
    adaptation : 0 side by side with the reference .. 1 fully adapted to the paper.
    """

    name: str
    white_lab: tuple[float, float, float]
    white_is_known: bool
    seen_lab: tuple[float, float, float]
    seen_chroma: float
    seen_hue_deg: float
    tint: str
    seen_tint: str
    reference: str
    reference_lab: tuple[float, float, float]
    adaptation: float
    whiteness: Whiteness

    @property
    def sentence(self) -> str:
        """The answer in one sentence."""
        if not self.white_is_known:
            return "This profile does not state its paper's white, so the tint is unknown."
        beside = {
            PERFECT_DIFFUSER: "a perfect white",
            OFFICE_SHEET: "an office sheet",
        }.get(self.reference, self.reference)
        if self.adaptation >= 0.995:
            return (
                "Seen alone, the eye takes this paper for white; "
                f"measured, it is {self.tint}."
            )
        lean = self.seen_lab[0] - 100
        dim = ""
        if lean < -4:
            dim = " and a little darker" if lean > -9 else " and darker"
        return f"Highlights will look {self.seen_tint}{dim} beside {beside}."


def white_seen(lab, paper_xyz, reference_xyz, adaptation: float) -> np.ndarray:
    """Lab as seen of media-relative print colours.

    Parameters
    ----------
    lab : (..., 3) media-relative Lab.
    paper_xyz, reference_xyz : whites, Y = 1 for the perfect diffuser.
    adaptation : 0 (the eye holds on to the reference) .. 1 (adapted to the paper).

    At 1 the result is the media-relative Lab itself; at 0 beside the perfect diffuser
    it is the ICC-absolute Lab (XYZ scaled by white, ICC.1:2022 section 6.3.2).
    """
    paper_xyz, reference_xyz = np.asarray(paper_xyz, float), np.asarray(reference_xyz, float)
    eye = (1 - adaptation) * reference_xyz + adaptation * paper_xyz
    return xyz_to_lab(lab_to_xyz(lab) * (paper_xyz / eye))


def cie_whiteness(lab) -> Whiteness:
    """CIE whiteness and tint of an absolute Lab (D50, 2 degrees).

    Source: CIE 15:2018 section 9.3 (W = Y + 800 (xn − x) + 1700 (yn − y),
    T = 1000 (xn − x) − 650 (yn − y) for 2 degrees; valid for 40 < W < 5Y − 280 and
    −4 < T < 2), after Bradford adaptation from D50 to D65.
    """
    xyz = bradford(D50_XYZ, _D65_XYZ) @ lab_to_xyz(lab) * 100
    x, y = xyz[0] / xyz.sum(), xyz[1] / xyz.sum()
    dx, dy = _D65_XY[0] - x, _D65_XY[1] - y
    whiteness = xyz[1] + 800 * dx + 1700 * dy
    tint = 1000 * dx - 650 * dy
    valid = 40 < whiteness < 5 * xyz[1] - 280 and -4 < tint < 2
    return Whiteness(float(whiteness), float(tint), bool(valid))


def reference_white(reference) -> tuple[str, np.ndarray]:
    """Name and absolute Lab of a white to compare with: a name or a paper."""
    if hasattr(reference, "white_lab"):
        return reference.name, np.asarray(reference.white_lab)
    if reference in REFERENCE_WHITES:
        return reference, np.array(REFERENCE_WHITES[reference])
    raise WorkbenchError(
        f"“{reference}” is no white to compare with; choose {', '.join(REFERENCE_WHITES)} "
        "or give a paper."
    )


def check_adaptation(adaptation) -> float:
    """The adaptation as a float if it lies in 0..1, else a WorkbenchError."""
    adaptation = float(adaptation)
    if not 0 <= adaptation <= 1:
        raise WorkbenchError(
            "Adaptation must lie between 0 (side by side) and 1 (fully adapted to the paper)."
        )
    return adaptation


def paper_white(paper, *, reference=OFFICE_SHEET, adaptation: float = 0.0) -> PaperWhite:
    """The tint of a paper's white.

    Parameters
    ----------
    reference : "perfect diffuser", "office sheet", or another paper.
    adaptation : 0 = side by side with the reference, 1 = fully adapted to the paper.

    Raises
    ------
    WorkbenchError
        for an unknown reference or an adaptation outside 0..1.
    """
    adaptation = check_adaptation(adaptation)
    name, reference_lab = reference_white(reference)
    white_xyz = lab_to_xyz(paper.white_lab)
    seen = white_seen(np.array([100.0, 0, 0]), white_xyz, lab_to_xyz(reference_lab), adaptation)
    return PaperWhite(
        name=paper.name,
        white_lab=paper.white_lab,
        white_is_known=paper.white_is_known,
        seen_lab=tuple(float(v) for v in seen),
        seen_chroma=float(chroma(seen)),
        seen_hue_deg=float(hue_deg(seen)),
        tint=tint_words(paper.white_lab),
        seen_tint=tint_words(seen),
        reference=name,
        reference_lab=tuple(float(v) for v in reference_lab),
        adaptation=adaptation,
        whiteness=cie_whiteness(paper.white_lab),
    )


@dataclass(frozen=True, eq=False)
class Highlights:
    """What a paper's white does to a picture's highlights.

    Attributes
    ----------
    share : of the picture's pixels that print lighter than ``lightness``
        (media-relative L*): the ones that take the paper's tint.
    share_bare : that print within 1 L* of bare paper: no ink, no detail.
    steps : source L* of neutral patches.
    before_lab : (n, 3) Lab of these patches on a purely white paper.
    after_lab : (n, 3) as seen on this paper.
    """

    share: float
    share_bare: float
    lightness: float
    steps: tuple[float, ...]
    before_lab: np.ndarray = field(repr=False)
    after_lab: np.ndarray = field(repr=False)

    @property
    def sentence(self) -> str:
        """The share in one sentence."""
        return (
            f"{percent(self.share)} of the picture lies within reach of the paper's white; "
            f"{percent(self.share_bare)} is bare paper."
        )


def highlights(
    picture,
    paper,
    *,
    intent: str = "relative",
    black_point_compensation: bool = False,
    reference=OFFICE_SHEET,
    adaptation: float = 0.0,
    lightness: float = 90.0,
) -> Highlights:
    """The picture's highlights on this paper.

    Parameters
    ----------
    lightness : media-relative L* of the print above which a pixel is within reach of
        the paper's white, 50..99.

    The shares count the whole picture by the cells of its census.
    """
    if not 50 <= lightness <= 99:
        raise WorkbenchError("Highlights begin between L* 50 and 99.")
    adaptation = check_adaptation(adaptation)
    # what the print holds before its white is seen, whatever the intent
    relative = "relative" if intent == "absolute" else intent
    colours = quick_colours(picture, paper, relative, black_point_compensation)
    printed = colours.trip.printed[..., 0]
    total = colours.counts.sum()
    steps = np.array(HIGHLIGHT_STEPS)
    before = np.stack([steps, 0 * steps, 0 * steps], axis=1)
    _, reference_lab = reference_white(reference)
    after = white_seen(
        before, lab_to_xyz(paper.white_lab), lab_to_xyz(reference_lab), adaptation
    )
    return Highlights(
        share=float(colours.counts[printed > lightness].sum() / total),
        share_bare=float(colours.counts[printed > 99].sum() / total),
        lightness=float(lightness),
        steps=HIGHLIGHT_STEPS,
        before_lab=before,
        after_lab=after,
    )
