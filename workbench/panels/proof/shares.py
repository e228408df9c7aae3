"""Shares of a whole picture that paper, display or both cannot hold."""

from __future__ import annotations

from dataclasses import dataclass

from workbench.analysis.counts import count_gamut, count_shift
from workbench.analysis.viewing import Viewing
from workbench.colour.trip import relative_print, white_xyz


@dataclass(frozen=True)
class LimitShares:
    """Shares of all pixels, 0..1, counted by groups of equal colours.

    Attributes
    ----------
    paper : beyond the paper, whatever the display shows.
    display : whose print, as seen, is beyond the display.
    both : in both.
    paper_limit, display_limit : CIEDE2000 from which that counts.
    """

    paper: float
    display: float
    both: float
    paper_limit: float
    display_limit: float


def limit_shares(picture, paper, way: Viewing, rendering: dict, threshold: float) -> LimitShares:
    """Count a picture's colours by who cannot have them.

    Parameters
    ----------
    rendering : ``intent`` and ``black_point_compensation``.
    threshold : CIEDE2000; a profile's own noise counts instead where it is larger.
    """
    paper_limit = max(threshold, paper.noise_floor)
    display_limit = max(threshold, way.display.noise_floor)
    gamut, shift = count_gamut(picture, paper), count_shift(picture, paper, **rendering)
    printed = relative_print(shift.trip, paper, rendering["intent"])
    by_paper = gamut.distance > paper_limit
    by_display = way.beyond(way.seen(printed, white_xyz(paper.profile))) > display_limit
    total = gamut.counts.sum()

    def share(which) -> float:
        return float(gamut.counts @ which / total)

    paper_share = float(gamut.share(paper_limit, exact=False).pixels.sum())
    both = min(paper_share, share(by_paper & by_display))
    return LimitShares(paper_share, share(by_display), both, paper_limit, display_limit)
