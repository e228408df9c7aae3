"""Which rendering intent for this picture on this paper: a table, and advice with its reason.

Shifts are counted over the whole picture, as in `gamut`; detail is looked at in a
preview, as local contrast before and after printing.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from workbench.analysis.colours import preview_trip
from workbench.analysis.counts import why
from workbench.analysis.gamut import ColourShift, GamutReport, colour_shift, gamut_report
from workbench.analysis.intent_advice import advise
from workbench.analysis.words import SHORT_INTENT_NAMES, either
from workbench.colour.engine import transform
from workbench.colour.trip import relative_print
from workbench.errors import Cancelled, WorkbenchError
from workbench.language import tr
from workbench.paper import Paper
from workbench.picture.picture import Picture
from workbench.rendering import DEFAULTS
from workbench.results import Result

# absolute knows no black point compensation
RENDERINGS = (
    ("perceptual", False),
    ("perceptual", True),
    ("relative", False),
    ("relative", True),
    ("saturation", False),
    ("saturation", True),
    ("absolute", False),
)

SHADOWS_BELOW, HIGHLIGHTS_ABOVE = 25.0, 85.0
NEAR_GREY_CHROMA = 4.0

# pixels across the window of local contrast, in a preview of this long side
_WINDOW, _LONG_SIDE_PX = 5, 600
# standard deviation below which a window has no detail to keep
_FLAT = 0.15
# share of a preview that must have detail of a kind, or nothing is said of it
_ENOUGH = 0.001


@dataclass(frozen=True)
class IntentRow:
    """What one way of printing does to the picture.

    Attributes
    ----------
    share_moved : of the picture, 0..1, whose colours move by more than the limit, CIEDE2000.
    mean_shift, shift_95 : mean and 95th percentile, CIEDE2000 from picture to print; with
        the intent "absolute" against the paper's measured white.
    shadow_detail : share of local contrast of L* kept below L* 25, 0..1; None where the
        picture has none there.
    highlight_detail : the same above L* 85.
    colour_detail : share of local contrast in L*, a* and b* kept where colours are too
        saturated for the paper; None where hardly any are.
    neutral_drift : mean distance in a* and b* by which near-greys (chroma up to 4) are
        tinted, media-relative.
    own_table : the profile has a table of its own for this intent; otherwise it prints as
        another one does.
    """

    intent: str
    black_point_compensation: bool
    share_moved: float
    mean_shift: float
    shift_95: float
    shadow_detail: float | None
    highlight_detail: float | None
    colour_detail: float | None
    neutral_drift: float
    own_table: bool

    @property
    def name(self) -> str:
        """Such as “relative, with black point compensation”."""
        if self.intent == "absolute":
            return SHORT_INTENT_NAMES[self.intent]
        name = SHORT_INTENT_NAMES[self.intent]
        if self.black_point_compensation:
            return tr("{intent}, with black point compensation", intent=name)
        return tr("{intent}, without black point compensation", intent=name)


@dataclass(frozen=True, eq=False)
class IntentTable(Result):
    """All ways of printing a picture on a paper, and which to take.

    Attributes
    ----------
    rows : in the order of `RENDERINGS`.
    advised : the row that is advised.
    reason : why, in one sentence.
    gamut : what the paper cannot hold of the picture, however it is printed.
    limit : CIEDE2000 above which a colour counts as moved.
    greys : "picture", or "grey scale" where the picture has too few near-greys, so that
        the neutral drift is that of an even scale.
    notes : sentences on rows that are alike.
    """

    rows: tuple[IntentRow, ...]
    advised: IntentRow
    reason: str
    gamut: GamutReport = field(repr=False)
    limit: float
    greys: str
    notes: tuple[str, ...]
    picture: Picture = field(repr=False)
    paper: Paper = field(repr=False)

    @property
    def advice(self) -> str:
        """The advice with its reason, in a sentence or two."""
        return tr("Print it {name}: {reason}.", name=self.advised.name, reason=self.reason)

    def row(
        self, intent: str, black_point_compensation: bool = DEFAULTS.black_point_compensation
    ) -> IntentRow:
        """One row; "absolute" has one only."""
        compensate = bool(black_point_compensation) and intent != "absolute"
        for row in self.rows:
            if (row.intent, row.black_point_compensation) == (intent, compensate):
                return row
        raise WorkbenchError(tr("“{intent}” is not a rendering intent.", intent=intent))

    def table(self) -> list[dict]:
        """One dictionary a row, for printing or for a data frame."""
        names = tuple(IntentRow.__dataclass_fields__)
        return [{name: getattr(row, name) for name in names} for row in self.rows]


def local_deviation(plane: np.ndarray, window: int = _WINDOW) -> np.ndarray:
    """Standard deviation within a square window around each pixel, (h, w).

    At the borders the picture is mirrored.
    """
    reach = window // 2
    # about the mean, so that the squares keep their digits
    padded = np.pad(np.asarray(plane, np.float64) - np.mean(plane), reach, mode="symmetric")
    mean, square = (_box_mean(values, window) for values in (padded, padded * padded))
    return np.sqrt(np.maximum(square - mean * mean, 0))


def _box_mean(values: np.ndarray, window: int) -> np.ndarray:
    total = np.zeros((values.shape[0] + 1, values.shape[1] + 1))
    total[1:, 1:] = values.cumsum(axis=0).cumsum(axis=1)
    inner = total[window:, window:] - total[:-window, window:]
    inner = inner - total[window:, :-window] + total[:-window, :-window]
    return inner / window**2


def detail_kept(before: np.ndarray, after: np.ndarray, area: np.ndarray) -> float | None:
    """Mean share of local contrast that is left in an area.

    Parameters
    ----------
    before, after : (h, w) local standard deviations.
    area : (h, w) bool.

    Returns
    -------
    0..1, or None if hardly a thousandth of all pixels lie in the area and have any contrast.
    Where contrast grows it counts as kept: it does not make up for what is lost elsewhere.
    """
    place = area & (before > _FLAT)
    if np.count_nonzero(place) < _ENOUGH * place.size:
        return None
    return float(np.minimum(after[place] / before[place], 1).mean())


class _Detail:
    """A preview's local contrast, against which prints are held."""

    def __init__(self, picture: Picture, paper: Paper, limit: float):
        self._picture, self._paper = picture, paper
        plain = preview_trip(picture, paper, "relative", False, _LONG_SIDE_PX)
        self._planes = [local_deviation(v) for v in np.moveaxis(plain.source, -1, 0)]
        self._shadows = plain.source[..., 0] < SHADOWS_BELOW
        self._highlights = plain.source[..., 0] > HIGHLIGHTS_ABOVE
        self._beyond = (plain.beyond > limit) & (why(plain.source, plain.held) == 0)

    def kept(self, intent: str, compensate: bool) -> dict[str, float | None]:
        trip = preview_trip(self._picture, self._paper, intent, compensate, _LONG_SIDE_PX)
        printed = relative_print(trip, self._paper.profile, intent)
        after = [local_deviation(v) for v in np.moveaxis(printed, -1, 0)]
        before, lightness = self._planes, self._planes[0]
        return {
            "shadow_detail": detail_kept(lightness, after[0], self._shadows),
            "highlight_detail": detail_kept(lightness, after[0], self._highlights),
            "colour_detail": detail_kept(_length(before), _length(after), self._beyond),
        }


def _length(planes) -> np.ndarray:
    return np.sqrt(sum(plane * plane for plane in planes))


def _neutral_drift(shift: ColourShift) -> tuple[float, str]:
    """Mean tint of near-greys in the print, and whose greys they are."""
    found, intent, paper = shift.counts, shift.intent, shift.counts.paper
    source, counts = found.trip.source, found.counts
    near = np.hypot(source[:, 1], source[:, 2]) <= NEAR_GREY_CHROMA
    if counts[near].sum() >= _ENOUGH * counts.sum():
        printed = relative_print(found.trip, paper.profile, intent)
        drift = np.hypot(*(printed - source)[near, 1:].T)
        return float(counts[near] @ drift / counts[near].sum()), "picture"
    greys = np.zeros((20, 3))
    greys[:, 0] = np.linspace(5, 100, 20)
    device = transform(
        greys,
        "lab",
        paper.profile,
        intent=intent,
        black_point_compensation=shift.black_point_compensation,
    )
    printed = transform(device, paper.profile, "lab")
    return float(np.hypot(printed[:, 1], printed[:, 2]).mean()), "grey scale"


def compare_intents(
    picture: Picture,
    paper: Paper,
    *,
    threshold: float = DEFAULTS.threshold,
    exact: bool = True,
    cancelled=None,
    progress=None,
) -> IntentTable:
    """Each intent with and without black point compensation, for one picture and one paper.

    Parameters
    ----------
    threshold : CIEDE2000 above which a colour counts as moved (or the profile's own noise,
        where that is larger).
    exact : decide every pixel, or estimate at once.
    cancelled : called between rows; a true answer raises Cancelled.
    progress : called with the fraction done, 0..1.

    Returns
    -------
    An IntentTable: a row for each way to print.

    Raises
    ------
    UntaggedPictureError
        for a picture without a profile.
    WorkbenchError
        for a threshold outside 0.1..50.

    Examples
    --------
    >>> table = wb.compare_intents(picture, papers[0])
    >>> "perceptual" in {row.intent for row in table.rows}
    True
    """
    gamut = gamut_report(picture, paper, threshold=threshold, exact=exact, cancelled=cancelled)
    detail = _Detail(picture, paper, gamut.limit)
    rows, greys = [], ""
    for done, (intent, compensate) in enumerate(RENDERINGS):
        if cancelled and cancelled():
            raise Cancelled
        if progress:
            progress(done / len(RENDERINGS))
        shift = colour_shift(
            picture,
            paper,
            intent=intent,
            black_point_compensation=compensate,
            threshold=threshold,
            exact=exact,
            cancelled=cancelled,
        )
        drift, greys = _neutral_drift(shift)
        rows.append(
            IntentRow(
                intent=intent,
                black_point_compensation=compensate,
                share_moved=shift.share_moved,
                mean_shift=shift.mean,
                shift_95=shift.percentiles[95],
                **detail.kept(intent, compensate),
                neutral_drift=drift,
                own_table=intent == "absolute" or intent in paper.intents,
            )
        )
    advised, reason = advise(rows, gamut)
    return IntentTable(
        tuple(rows), advised, reason, gamut, gamut.limit, greys, _notes(paper), picture, paper
    )


def _notes(paper: Paper) -> tuple[str, ...]:
    notes = []
    if paper.icc.version[0] >= 4:
        # ICC.1:2022 section 6.3.3 fixes their black point; Little CMS therefore compensates
        notes.append(
            tr(
                "With this kind of profile (version 4) perceptual and saturation always compensate "
                "the black point, whether it is asked for or not."
            )
        )
    missing = [
        SHORT_INTENT_NAMES[i] for i in ("perceptual", "saturation") if i not in paper.intents
    ]
    if missing:
        notes.append(
            tr("The profile has no table of its own for {intents}.", intents=either(missing))
        )
    return tuple(notes)
