"""From figures to an order: marks for each criterion, weights, their sum, and how sure it is.

Nothing is hidden: each mark is one of the short formulas below, of figures that stand in
the comparison's table; a paper's score is the sum of weight times mark; and weights,
marks, products and uncertainties are all given out.  Without weights there is no order.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from workbench.decisions import DECISIONS
from workbench.errors import WorkbenchError
from workbench.language import tr

#: the criteria, and as they are read
CRITERION_NAMES = {
    "colour": tr("colour"),
    "blacks": tr("blacks"),
    "whites": tr("whites"),
    "price": tr("price"),
}
CRITERIA = tuple(CRITERION_NAMES)

# where a mark of 0 begins and a mark of 1 ends; our own choices, to hold the whole range
# from newsprint (density 1.03, WAN-IFRA) to the best of gloss
FAR_SHIFT = 10.0
SHALLOWEST, DEEPEST = 1.0, 2.4
# units of a*b*: a white as far from neutral as newsprint's twice over; b* of the coolest, warmest
FAR_TINT = 10.0


def colour_mark(share_outside: float, mean_shift: float) -> float:
    """1 − (share outside + mean shift / 10) / 2; the shift in CIEDE2000, at most 10.

    Half for how much of the picture the paper cannot hold, half for how far all of it moves.
    """
    return 1 - (share_outside + min(mean_shift / FAR_SHIFT, 1)) / 2


def blacks_mark(contrast_seen: float, share_shadows: float) -> float:
    """1 − (2.4 − log10 contrast) / 1.4 × (1 + share of shadows) / 2, the first factor within 0..1.

    The contrast is that of the print in its place, white over black.  How far it is from the
    deepest there is, and by how much of the picture is dark; half counts even without shadows,
    because a picture's contrast hangs on its black.
    """
    missing = _within((DEEPEST - math.log10(max(contrast_seen, 1))) / (DEEPEST - SHALLOWEST))
    return 1 - missing * (1 + share_shadows) / 2


def whites_mark(white_lab, wish: str, share_highlights: float) -> float | None:
    """1 − missing × (1 + share of highlights) / 2; None where the person wishes for no tint.

    Missing is chroma / 10 for a wish for "neutral", (10 + b*) / 20 for "cool" and (10 − b*) / 20
    for "warm", within 0..1, of the sheet's absolute white.  Half counts even without highlights,
    because the border is seen too.
    """
    _, a, b = white_lab
    if wish not in WISHES:
        raise WorkbenchError(
            tr(
                "A white is wished for as {listed}, not {wish!r}.",
                listed=", ".join(WISHES),
                wish=wish,
            )
        )
    if wish == "any":
        return None
    missing = {
        "neutral": math.hypot(a, b) / FAR_TINT,
        "cool": (FAR_TINT + b) / (2 * FAR_TINT),
        "warm": (FAR_TINT - b) / (2 * FAR_TINT),
    }[wish]
    return 1 - _within(missing) * (1 + share_highlights) / 2


def price_mark(amount: float, cheapest: float) -> float:
    """Cheapest price of all papers compared / this price: 1 for it, 0.5 at twice its price."""
    return 1.0 if amount <= cheapest else cheapest / amount


def _within(value: float) -> float:
    return min(max(value, 0.0), 1.0)


#: What a person may wish of a paper's white.
WISHES = tuple(str(value) for value, _ in DECISIONS["white_wish"].choices)


def checked_weights(weights: Mapping | None) -> dict[str, float] | None:
    """Weights for each of `CRITERIA`, adding up to 1; None where none is set.

    Parameters
    ----------
    weights : numbers of 0 or more; what is left out gets 0.

    Raises
    ------
    WorkbenchError
        for other names or numbers.
    """
    if weights is None:
        return None
    if not isinstance(weights, Mapping):
        raise WorkbenchError(
            tr("Weights are a number for each of {listed}.", listed=", ".join(CRITERIA))
        )
    unknown = [str(name) for name in weights if name not in CRITERIA]
    if unknown:
        raise WorkbenchError(
            tr(
                "There is no weight for “{unknown}”; what can matter is {listed}.",
                unknown=unknown[0],
                listed=", ".join(CRITERIA),
            )
        )
    numbers = {}
    for name in CRITERIA:
        try:
            numbers[name] = float(weights.get(name, 0))
        except (TypeError, ValueError):
            numbers[name] = math.nan
        if not 0 <= numbers[name] <= 1e6:
            raise WorkbenchError(
                tr(
                    "The weight of {name} must be a number of 0 or more, not {weight!r}.",
                    name=CRITERION_NAMES[name],
                    weight=weights[name],
                )
            )
    total = sum(numbers.values())
    return {name: number / total for name, number in numbers.items()} if total else None


@dataclass(frozen=True)
class Score:
    """How a paper comes to its place.

    Attributes
    ----------
    marks : 0..1 for each criterion; None where a figure for it is missing.
    weights : for each criterion, adding up to 1.
    points : weight times mark; None where the mark is missing.
    total : the sum of the points, 0..1; None if a criterion with weight has no mark.
    uncertainty : of the total, in the same unit: the weighted sum of the marks' own.
    missing : the criteria with weight that have no mark.
    """

    marks: dict[str, float | None]
    weights: dict[str, float]
    points: dict[str, float | None]
    total: float | None
    uncertainty: float
    missing: tuple[str, ...]

    @property
    def known(self) -> float:
        """What is known of the total: the sum of the points over that of their weights."""
        names = [n for n in CRITERIA if self.points[n] is not None]
        weight = sum(self.weights[n] for n in names)
        return sum(self.points[n] or 0.0 for n in names) / weight if weight else 0.0


def score(
    marks: Mapping[str, float | None],
    weights: Mapping[str, float],
    uncertainties: Mapping[str, float] | None = None,
) -> Score:
    """The score of a paper's marks, with weights from `checked_weights`.

    ``uncertainties`` of the marks, 0 where left out.
    """
    unsure = uncertainties or {}
    points = {n: None if (m := marks[n]) is None else weights[n] * m for n in CRITERIA}
    missing = tuple(n for n in CRITERIA if weights[n] > 0 and marks[n] is None)
    total = None if missing else sum(p for p in points.values() if p is not None)
    doubt = sum(weights[n] * unsure.get(n, 0.0) for n in CRITERIA if marks[n] is not None)
    return Score(dict(marks), dict(weights), points, total, doubt, missing)


def in_order(scores) -> list[int]:
    """The scores from best to worst, by their number in the list; equal ones keep their order.

    Papers that cannot be judged on all that matters come last, by what is known of them.
    """
    return sorted(range(len(scores)), key=lambda n: (scores[n].total is None, -scores[n].known))


def places(scores) -> list[int]:
    """The place of each of the scores, which are in order; those too close to tell share one.

    Two totals are too close where they differ by no more than their uncertainties together; each
    is held against the first of its place, so that no chain of small steps joins what lies apart.
    """
    found: list[int] = []
    for number, this in enumerate(scores):
        first = scores[found[-1] - 1] if found else None
        shared = (
            first is not None
            and (first.total is None) == (this.total is None)
            and first.known - this.known <= first.uncertainty + this.uncertainty + 1e-12
        )
        found.append(found[-1] if shared else number + 1)
    return found
