"""Where a proof differs from the picture, and whose fault it is: the paper's or the display's.

Maps are float arrays in CIEDE2000 on a preview; shares come from the whole picture.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np

from workbench.analysis.colours import Kept, distance_map, preview_trip
from workbench.analysis.counts import count_shift
from workbench.analysis.crops import best_window
from workbench.analysis.gamut import checked_threshold, gamut_report
from workbench.analysis.proof_table import channels_of, picture_nodes, printed_nodes
from workbench.analysis.viewing import Viewing, viewing
from workbench.colour.difference import delta_e_2000
from workbench.colour.engine import check_intent, quick_lab
from workbench.colour.grid import ColourGrid
from workbench.colour.trip import relative_print, white_xyz
from workbench.errors import WorkbenchError
from workbench.language import tr
from workbench.paper import Paper
from workbench.picture.picture import Picture
from workbench.rendering import DEFAULTS

# lower limits of the steps of a legend in CIEDE2000, and what they mean to the eye (common
# practice, no source)
DIFFERENCE_STEPS = (
    (0.0, tr("not to be seen")),
    (1.0, tr("seen by a practised eye, side by side")),
    (2.0, tr("seen side by side")),
    (4.0, tr("plain to see")),
    (8.0, tr("another colour")),
)

# what a pixel's limit is, as `ProofMaps.limits` codes it
LIMITS = ("neither", "paper", "display", "both")

# tables of differences hold up to this much; more is shown as this much
_SPAN = 64.0
_SEARCH_PX = 400


@dataclass(frozen=True, eq=False)
class ProofMaps:
    """A proof's differences, pixel by pixel of a preview; all (h, w) float32 CIEDE2000.

    Attributes
    ----------
    difference : from the picture without any paper to the print as seen.
    beyond_paper : by which the picture lies beyond the paper, whatever the intent.
    beyond_display : by which the print as seen lies beyond the display.
    paper_limit, display_limit : above which that counts: the threshold, or the profile's
        own noise where that is larger.
    exact : every pixel sent on its way, or interpolated in a table of 33 steps a channel.
    """

    difference: np.ndarray = field(repr=False)
    beyond_paper: np.ndarray = field(repr=False)
    beyond_display: np.ndarray = field(repr=False)
    paper_limit: float
    display_limit: float
    exact: bool

    @property
    def limits(self) -> np.ndarray:
        """(h, w) uint8 index into `LIMITS`: who cannot have the colour."""
        by_paper = (self.beyond_paper > self.paper_limit).astype(np.uint8)
        return by_paper + 2 * (self.beyond_display > self.display_limit).astype(np.uint8)


def proof_maps(
    picture: Picture,
    paper: Paper,
    *,
    intent: str = DEFAULTS.intent,
    black_point_compensation: bool = DEFAULTS.black_point_compensation,
    adaptation: float = DEFAULTS.adaptation,
    reference=DEFAULTS.reference,
    display=DEFAULTS.display,
    threshold: float = DEFAULTS.threshold,
    long_side_px: int = 1200,
    exact: bool = True,
) -> ProofMaps:
    """Maps of a proof: difference, beyond the paper, beyond the display.

    Parameters
    ----------
    intent .. long_side_px : as for `proof.soft_proof`.
    threshold : CIEDE2000 above which a colour counts as beyond.
    exact : send every preview pixel (a second for a million), or interpolate (a tenth).

    Returns
    -------
    ProofMaps, each (h, w) in CIEDE2000.

    Raises
    ------
    UntaggedPictureError, WorkbenchError, ProfileError

    Examples
    --------
    >>> wb.proof_maps(picture, papers[0], long_side_px=60).difference.shape
    (40, 60)
    """
    way = viewing(adaptation=adaptation, reference=reference, display=display)
    check_intent(intent)
    compensate = bool(black_point_compensation)
    beyond_paper = _beyond_paper(picture, paper, long_side_px, exact)
    if exact:
        trip = preview_trip(picture, paper, intent, compensate, long_side_px)
        seen = way.seen(relative_print(trip, paper.profile, intent), white_xyz(paper.profile))
        difference, beyond_display = delta_e_2000(trip.source, seen), way.beyond(seen)
    else:
        grid = _sight_grid(picture.require_profile(), paper.profile, intent, compensate, way)
        values = grid.apply(picture.preview(long_side_px), np.uint16).astype(np.float32)
        difference, beyond_display, _ = np.moveaxis(values * (_SPAN / 65535), -1, 0)
    return ProofMaps(
        difference=difference.astype(np.float32, copy=False),
        beyond_paper=beyond_paper,
        beyond_display=beyond_display.astype(np.float32, copy=False),
        paper_limit=max(checked_threshold(threshold), paper.noise_floor),
        display_limit=max(checked_threshold(threshold), way.display.noise_floor),
        exact=exact,
    )


_beyond_maps = Kept(4)


def _beyond_paper(picture: Picture, paper: Paper, long_side_px: int, exact: bool):
    """(h, w) float32; the quick one is kept, as eye and display may move and it does not."""

    def make():
        found = distance_map(picture, paper, long_side_px=long_side_px, exact=exact)
        return found.astype(np.float32, copy=False)

    if exact:  # its trip is kept
        return make()

    def kept():
        made = make()
        made.flags.writeable = False
        return made

    return _beyond_maps.get((picture, paper.icc.checksum, long_side_px), kept)


@lru_cache(maxsize=12)
def _sight_grid(source: bytes, paper: bytes, intent: str, compensate: bool, way: Viewing):
    seen = way.seen(printed_nodes(source, paper, intent, compensate), white_xyz(paper))
    difference = delta_e_2000(picture_nodes(source), seen)
    values = np.stack([difference, way.beyond(seen), 0 * difference], axis=1)
    return ColourGrid(values / _SPAN, channels_of(source))


@dataclass(frozen=True)
class LimitShares:
    """Shares of all pixels, 0..1, that paper, display or both cannot hold.

    Attributes
    ----------
    paper : out of the paper's gamut, as `gamut.gamut_report` says.
    display : whose print, as seen, is out of the display's gamut; by cells of the census.
    both : in both.
    paper_limit, display_limit : CIEDE2000 from which that counts.
    exact : the paper's share decided for every pixel, or estimated by a sample.
    """

    paper: float
    display: float
    both: float
    paper_limit: float
    display_limit: float
    exact: bool


def limit_shares(
    picture: Picture,
    paper: Paper,
    *,
    intent: str = DEFAULTS.intent,
    black_point_compensation: bool = DEFAULTS.black_point_compensation,
    adaptation: float = DEFAULTS.adaptation,
    reference=DEFAULTS.reference,
    display=DEFAULTS.display,
    threshold: float = DEFAULTS.threshold,
    counts=None,
    exact: bool = True,
    cancelled=None,
    progress=None,
) -> LimitShares:
    """Who cannot have how much of a picture: the paper, the display, or both.

    Parameters
    ----------
    intent .. threshold : as for `proof_maps`.
    counts .. progress : as for `gamut.gamut_report`.

    Raises
    ------
    UntaggedPictureError, WorkbenchError, ProfileError
    """
    work = {"cancelled": cancelled, "progress": progress}
    gamut = gamut_report(
        picture, paper, threshold=threshold, counts=counts, exact=exact, **work
    )  # fmt: skip
    way = viewing(adaptation=adaptation, reference=reference, display=display)
    limit = max(gamut.threshold, way.display.noise_floor)
    shift = count_shift(
        picture, paper, intent=intent, black_point_compensation=black_point_compensation
    )
    seen = way.seen(relative_print(shift.trip, paper.profile, intent), white_xyz(paper.profile))
    by_paper, by_display = gamut.counts.distance > gamut.limit, way.beyond(seen) > limit
    pixels = shift.counts
    in_both, on_display = (
        float(pixels @ which / pixels.sum()) for which in (by_paper & by_display, by_display)
    )
    both = min(gamut.share_outside, in_both)
    return LimitShares(gamut.share_outside, on_display, both, gamut.limit, limit, gamut.exact)


def most_moved(
    picture: Picture,
    paper: Paper,
    window_px: tuple[int, int],
    within=None,
    *,
    intent: str = DEFAULTS.intent,
    black_point_compensation: bool = DEFAULTS.black_point_compensation,
) -> tuple[int, int, int, int]:
    """The window that a rendering moves most on average: x, y, width, height in picture pixels.

    Parameters
    ----------
    window_px, within : as for `crops.highlight_box`.

    Raises
    ------
    UntaggedPictureError, WorkbenchError
    """
    moved = distance_map(
        picture, paper, intent=intent, black_point_compensation=black_point_compensation,
        long_side_px=_SEARCH_PX, exact=False,
    )  # fmt: skip
    whole = 0, 0, picture.width_px, picture.height_px
    return best_window(picture, moved, window_px, within or whole)


def proof_difference(one, other) -> np.ndarray:
    """(h, w) float32 CIEDE2000 between two proofs of the same part, as their displays show them.

    Parameters
    ----------
    one, other : `proof.Proof`, of two intents for example.

    Raises
    ------
    WorkbenchError
        if their sizes differ.
    """
    if one.pixels.shape != other.pixels.shape:
        raise WorkbenchError(tr("Two proofs can be compared only if they have the same size."))
    first, second = (quick_lab(p.pixels, p.display_profile) for p in (one, other))
    return delta_e_2000(first, second)


def step_shares(difference) -> tuple[float, ...]:
    """Share of a map's pixels, 0..1, in each of `DIFFERENCE_STEPS`, the last one open."""
    limits = [limit for limit, _ in DIFFERENCE_STEPS[1:]]
    counts = np.bincount(np.searchsorted(limits, np.ravel(difference), side="right"), minlength=5)
    return tuple(float(share) for share in counts / max(counts.sum(), 1))
