"""A paper's gamut with the picture's colours beside it, as the slice and the solid show it."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from workbench.analysis.colours import Gathered, gathered
from workbench.analysis.counts import count_gamut
from workbench.colour.lab import chroma
from workbench.colour.shell import GamutShell, gamut_shell
from workbench.language import tr
from workbench.paper import Paper
from workbench.picture.kept import kept_while_open
from workbench.picture.picture import Picture

_ROUND_UP = 10.0  # radius of the plane goes in steps, so that it seldom changes


@dataclass(frozen=True, eq=False)
class GamutView:
    """A paper's shell with a picture's colours beside it.

    Attributes
    ----------
    shell : of the paper, media-relative (absolute with the intent "absolute").
    colours : the picture's, gathered; in a slice, those near its lightness.
    limit : CIEDE2000 above which a colour counts as outside.
    other : shell of another paper, or None.
    reach : largest chroma to make room for; 0 takes the shell's and the colours'.
    """

    shell: GamutShell = field(repr=False)
    colours: Gathered = field(repr=False)
    limit: float = 2.0
    paper_name: str = tr("this paper")
    other: GamutShell | None = field(default=None, repr=False)
    other_name: str = ""
    reach: float = 0.0
    absolute: bool = False

    @classmethod
    def of(
        cls,
        picture: Picture,
        paper: Paper,
        other,
        absolute: bool,
        limit: float,
        lightness: float | None = None,
    ) -> GamutView:
        """That of a picture and a paper, with another paper or None beside it.

        With a ``lightness`` the colours are those near it, and there is room for all.
        """
        counts = count_gamut(picture, paper)
        everything = _gathered(counts)
        return cls(
            shell=gamut_shell(paper.profile, absolute=absolute),
            colours=everything
            if lightness is None
            else gathered(counts, cell=2.5, lightness=lightness),
            limit=limit,
            paper_name=paper.name,
            other=other and gamut_shell(other.profile, absolute=absolute),
            other_name=other.name if other else "",
            reach=float(chroma(everything.lab).max()),
            absolute=absolute,
        )

    @property
    def relation(self) -> str:
        """What its Lab relate to, in a word."""
        return relation_word(self.absolute)

    @property
    def radius(self) -> float:
        """Half the width of the plane that holds it all."""
        reach = self.reach or chroma(self.colours.lab).max(initial=0.0)
        return plane_radius(max(self.shell.most_chroma, reach))

    @property
    def outside(self) -> np.ndarray:
        """(n,) bool: which of the colours are out of gamut."""
        return self.colours.beyond > self.limit


def relation_word(absolute: bool) -> str:
    """What Lab relate to, in a word."""
    return tr("absolute") if absolute else tr("media-relative")


def plane_radius(reach: float) -> float:
    """Half the width of a plane of a* and b* with room for a chroma."""
    return float(_ROUND_UP * np.ceil((reach + 3) / _ROUND_UP))


@kept_while_open(maxsize=2)
def _gathered(counts) -> Gathered:
    return gathered(counts)


def dot_px(shares: np.ndarray, low: float, high: float) -> np.ndarray:
    """Diameters: the cube root keeps rare colours in sight beside skies full of one blue."""
    return low + (high - low) * np.cbrt(shares / shares.max(initial=1e-12))
