"""From figures to an order: marks for each criterion, weights, and their sum.

Nothing is hidden: each mark is one of the short formulas below, of figures that stand in
the comparison's table; a paper's score is the sum of weight times mark; and weights,
marks and products are all given out.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from workbench.errors import WorkbenchError

CRITERIA = ("colour", "blacks", "whites", "price")
DEFAULT_WEIGHTS = {"colour": 1.0, "blacks": 1.0, "whites": 1.0, "price": 0.0}

# where a mark of 0 begins and a mark of 1 ends; our own choices, to hold the whole range
# from newsprint (density 1.03, white 10 CIEDE2000 off, WAN-IFRA) to the best of gloss
FAR_SHIFT = 10.0
SHALLOWEST, DEEPEST = 1.0, 2.4
FAR_WHITE = 12.0


def colour_mark(share_outside: float, mean_shift: float) -> float:
    """1 − (share outside + mean shift / 10) / 2; the shift in CIEDE2000, at most 10.

    Half for how much of the picture the paper cannot hold, half for how far all of it moves.
    """
    return 1 - (share_outside + min(mean_shift / FAR_SHIFT, 1)) / 2


def blacks_mark(black_density: float, share_shadows: float) -> float:
    """1 − (2.4 − density) / 1.4 × (1 + share of shadows) / 2, the first factor within 0..1.

    How far the black is from the deepest there is, and by how much of the picture is
    dark; half counts even without shadows, because a picture's contrast hangs on its black.
    """
    missing = _within((DEEPEST - black_density) / (DEEPEST - SHALLOWEST))
    return 1 - missing * (1 + share_shadows) / 2


def whites_mark(white_distance: float, share_highlights: float) -> float:
    """1 − distance / 12 × (1 + share of highlights) / 2, the first factor within 0..1.

    The distance is the CIEDE2000 of the white, as seen, from the white it is held
    against; half counts even without highlights, because the border is seen too.
    """
    return 1 - _within(white_distance / FAR_WHITE) * (1 + share_highlights) / 2


def price_mark(amount: float, cheapest: float) -> float:
    """Cheapest price of all papers compared / this price: 1 for it, 0.5 at twice its price."""
    return 1.0 if amount <= cheapest else cheapest / amount


def _within(value: float) -> float:
    return min(max(value, 0.0), 1.0)


def checked_weights(weights: Mapping | None) -> dict[str, float]:
    """Weights for each of `CRITERIA`, adding up to 1.

    Parameters
    ----------
    weights : numbers of 0 or more; what is left out gets 0.  None means
        `DEFAULT_WEIGHTS`.

    Raises
    ------
    WorkbenchError
        for other names or numbers, or where all are 0.
    """
    if weights is None:
        weights = DEFAULT_WEIGHTS
    if not isinstance(weights, Mapping):
        raise WorkbenchError(f"Weights are a number for each of {', '.join(CRITERIA)}.")
    unknown = [str(name) for name in weights if name not in CRITERIA]
    if unknown:
        raise WorkbenchError(
            f"There is no weight for “{unknown[0]}”; what can matter is {', '.join(CRITERIA)}."
        )
    numbers = {}
    for name in CRITERIA:
        try:
            numbers[name] = float(weights.get(name, 0))
        except (TypeError, ValueError):
            numbers[name] = math.nan
        if not 0 <= numbers[name] <= 1e6:
            raise WorkbenchError(
                f"The weight of {name} must be a number of 0 or more, not {weights[name]!r}."
            )
    total = sum(numbers.values())
    if not total:
        raise WorkbenchError("All weights are 0, so there is no order; give one of them a number.")
    return {name: number / total for name, number in numbers.items()}


@dataclass(frozen=True)
class Score:
    """How a paper comes to its place.

    Attributes
    ----------
    marks : 0..1 for each criterion; None where a figure for it is missing.
    weights : for each criterion, adding up to 1.
    points : weight times mark; None where the mark is missing.
    total : the sum of the points, 0..1; None if a criterion with weight has no mark.
    missing : the criteria with weight that have no mark.
    """

    marks: dict[str, float | None]
    weights: dict[str, float]
    points: dict[str, float | None]
    total: float | None
    missing: tuple[str, ...]


def score(marks: Mapping[str, float | None], weights: Mapping[str, float]) -> Score:
    """The score of a paper's marks, with weights from `checked_weights`."""
    points = {n: None if (m := marks[n]) is None else weights[n] * m for n in CRITERIA}
    missing = tuple(n for n in CRITERIA if weights[n] > 0 and marks[n] is None)
    total = None if missing else sum(p for p in points.values() if p is not None)
    return Score(dict(marks), dict(weights), points, total, missing)


def in_order(scores) -> list[int]:
    """Places of the scores, the best first; equal ones keep their order.

    Papers that cannot be judged on all that matters come last, by what is known of them:
    the sum of their points over the sum of the weights of these.
    """

    def key(place: int):
        this = scores[place]
        if this.total is not None:
            return False, -this.total
        known = [n for n in CRITERIA if this.points[n] is not None]
        weight = sum(this.weights[n] for n in known)
        return True, -sum(this.points[n] for n in known) / weight if weight else 0.0

    return sorted(range(len(scores)), key=key)
