"""What a projector can show of a print: its white is the wall, its black the room's light.

    contrast seen = (1 + v) / (1/C + v)

C is the projector's own contrast, v the room's light on the wall as a share of the
projector's white.  Both blacks, the projector's and the print's, are held against their own
white, as an eye does that has got used to each.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import log10

import numpy as np

from workbench.colour.lab import lightness_of_density
from workbench.language import tr
from workbench.numbers import number
from workbench.results import Result

# a room with the lights down, and a projector as schools have them (common practice, no source)
USUAL_CONTRAST, USUAL_ROOM_SHARE = 1000.0, 0.02


@dataclass(frozen=True)
class OnProjector(Result):
    """What a projector leaves of blacks.

    Attributes
    ----------
    native_ratio, room_share : the projector's own contrast, and the room's light on the wall
        as a share of its white.
    contrast_ratio : of its white to its black, as seen in this room.
    deepest_density : of the darkest black that it can show, over its white.
    black_lightness : L* of that black, its white being 100.
    densities : (name, density over its own white) of papers whose black is deeper than that.
    """

    native_ratio: float
    room_share: float
    contrast_ratio: float
    deepest_density: float
    black_lightness: float
    densities: tuple[tuple[str, float], ...]

    @property
    def sentence(self) -> str:
        """In plain words."""
        told = tr(
            "A projector of {native_ratio:,.0f}:1 shows about {contrast_ratio:.0f}:1 where "
            "the room lays {room_share:.0f} % of its white on the wall: its deepest black "
            "is of density {deepest_density:.1f} over that white, relative L* "
            "{black_lightness:.0f}.",
            native_ratio=self.native_ratio,
            contrast_ratio=self.contrast_ratio,
            room_share=100 * self.room_share,
            deepest_density=self.deepest_density,
            black_lightness=self.black_lightness,
        )
        if not self.densities:
            return told
        name, density = max(self.densities, key=lambda each: each[1])
        return tr(
            "{told} The black of {name}, {density:.1f} over its own white, is deeper: pass "
            "the print round, for the wall cannot show it.",
            told=told,
            name=name,
            density=density,
        )


def on_projector(
    papers,
    contrast_ratio: float = USUAL_CONTRAST,
    room_share: float = USUAL_ROOM_SHARE,
) -> OnProjector:
    """What a projector can show of papers' blacks in a room.

    Parameters
    ----------
    papers : to be held against it.
    contrast_ratio : of the projector in the dark, white to black, 2 to 1,000,000.
    room_share : the room's light on the wall as a share of the projector's white, 0 to 1.

    Returns
    -------
    An `OnProjector`.

    Raises
    ------
    WorkbenchError
        for figures outside these limits.

    Examples
    --------
    A fiftieth of the white lies over everything, so there cannot be more than some 50:1:

    >>> found = wb.on_projector(papers, 1000, 0.02)
    >>> round(found.contrast_ratio, 1), round(found.deepest_density, 2)
    (48.6, 1.69)
    """
    native = number(contrast_ratio, tr("contrast of a projector"), low=2, high=1e6)
    veil = number(room_share, tr("the room's light"), low=0, high=1)
    seen = (1 + veil) / (1 / native + veil)
    density = log10(seen)
    over_white = [(paper.name, log10(paper.contrast_ratio)) for paper in papers]
    return OnProjector(
        native,
        veil,
        seen,
        density,
        float(np.ravel(lightness_of_density(density))[0]),
        tuple(each for each in over_white if each[1] > density),
    )
