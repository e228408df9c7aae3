"""Steps of a test strip that can be told apart: sizes solved for on this paper.

Each row tests one decision in the tones that it concerns.  How far two steps lie apart is the
median CIEDE2000 of the part's colours as printed, by the way that the proof takes.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from workbench.analysis.words import begin_large, either
from workbench.colour.difference import delta_e_2000
from workbench.colour.engine import transform
from workbench.colour.trip import printed_lab, relative_lab
from workbench.errors import OutputError
from workbench.gang.steps import Step, place_steps, step_of
from workbench.language import tr
from workbench.output.adjust import Adjustments
from workbench.output.adjusted import adjusted_colours, adjusted_profile
from workbench.output.job import PrintJob
from workbench.output.job_facts import profile_of

#: CIEDE2000 that neighbouring steps are apart at least
LEAST_APART = 1.5
# a little more is aimed at, for the strip's own pixels are more than the colours tried
_AIM = 1.07
# a step beyond this moves tones so far that it is no longer a correction, L* or b*
_LARGEST = 20.0
_FIRST, _GROWTH, _ROUND = 1.0, 1.6, 0.1
#: row -> its name on screen, and how many steps below and above what is planned
ROWS = {
    "shadows": (tr("shadow lift"), 1, 3),
    "highlights": (tr("highlight roll-off"), 3, 1),
    "around": (tr("lightness and warmth"), 1, 1),
}

_LIGHTNESS = tr("lightness")

#: The name of the row that has the plain print beside the one made for a place.
PLACE_ROW = tr("plain and for the place")


@dataclass(frozen=True)
class Solved:
    """The steps of a row, in lines as they lie, with how far each is from its neighbours.

    Attributes
    ----------
    lines : steps from dark to light, in each line; a ring-around has three lines, from cool
        to warm.
    apart : smallest CIEDE2000 between neighbours, as printed; None where it is not known.
    short : what the paper cannot give, a sentence; empty where all steps are there.
    gaps : like ``lines``, CIEDE2000 of each step from its neighbour towards what is planned;
        0 for what is planned.
    """

    lines: tuple[tuple[Step, ...], ...]
    apart: float | None
    short: str
    gaps: tuple[tuple[float, ...], ...] = ()

    @property
    def steps(self) -> tuple[Step, ...]:
        return tuple(itertools.chain.from_iterable(self.lines))


class Colours:
    """A few colours of a part, and what they print as.

    Parameters
    ----------
    job : of the whole print, checked.
    colours : (n, channels) of the picture.
    """

    def __init__(self, job: PrintJob, colours: np.ndarray):
        self._job, self._colours = job, colours
        self.lab = lru_cache(maxsize=64)(self._lab)

    def _lab(self, adjustments: Adjustments) -> np.ndarray:
        """(n, 3) Lab as printed, media-relative; of the picture without a paper's profile."""
        job = self._job
        source = job.picture.require_profile()
        pixels = adjusted_colours(self._colours, source, adjustments)
        space = adjusted_profile(source, job.picture.channels, adjustments)
        paper = profile_of(job.paper)
        if paper is None:
            return transform(pixels, space, "lab")
        printed = printed_lab(pixels, space, paper, job.intent, job.black_point_compensation)
        return relative_lab(printed, paper, job.intent)

    def apart(self, one: Step, other: Step) -> float:
        """Median CIEDE2000 of the colours in two steps."""
        difference = delta_e_2000(self.lab(one.adjustments), self.lab(other.adjustments))
        return float(np.median(difference))


def solved_steps(
    kind: str, job: PrintJob, colours: np.ndarray, least: float = LEAST_APART
) -> Solved:
    """The steps of a row, each told apart from its neighbours on this paper.

    Parameters
    ----------
    kind : one of `ROWS`.
    job : of the whole print, checked.
    colours : (n, channels) of the part in the tones concerned, see `colours_in`.
    least : CIEDE2000 that neighbours are apart, above 0.

    Returns
    -------
    A `Solved`; with the step as planned alone where the paper tells no other apart.

    Raises
    ------
    ProfileError, UntaggedPictureError

    Examples
    --------
    >>> from workbench.gang.telling import at, colours_in
    >>> from workbench.output.solved import solve
    >>> job, layout = solve(plan).job, solve(plan).layout
    >>> colours = colours_in(job, layout, at(0.5, 0.5), (30, 30), "around")
    >>> solved_steps("around", job, colours).apart >= 1.5
    True
    """
    seen, own = Colours(job, colours), job.adjustments
    name, below, above = ROWS[kind]
    if kind != "around":
        return _chain(seen, lambda by: step_of(own, **{kind: by}), below, above, least, name)
    if _has_no_warmth(job):
        return _chain(seen, lambda by: step_of(own, lightness=by), 2, 2, least, _LIGHTNESS)
    return _around(seen, own, least)


def row_name(kind: str, job: PrintJob) -> str:
    """What a row of `ROWS` steps through in a print: lightness alone where nothing has a colour."""
    return _LIGHTNESS if kind == "around" and _has_no_warmth(job) else ROWS[kind][0]


def _has_no_warmth(job: PrintJob) -> bool:
    return job.picture.channels == 1 or job.adjustments.is_black_and_white


def place_row(job: PrintJob, colours: np.ndarray, offered: Adjustments) -> Solved:
    """The plain print beside the one made for a place, with how far they lie apart.

    Parameters
    ----------
    job, colours : as for `solved_steps`.
    offered : made for a place, see `place_steps`.
    """
    pair = place_steps(job.adjustments, offered)
    gap = Colours(job, colours).apart(*pair)
    return Solved((pair,), None, "", (tuple(0.0 if step.as_planned else gap for step in pair),))


def _chain(seen: Colours, make: Callable[[float], Step], below, above, least, name) -> Solved:
    """Steps to both sides, each from the one before."""
    planned = make(0.0)
    sides = []
    for sign, count in ((-1, below), (1, above)):
        side, last, size = [planned], 0.0, _FIRST
        for _ in range(count):
            found = _next(
                lambda by, last=side[-1]: seen.apart(last, make(by)), last, sign, size, least
            )
            if found is None:
                break
            size, last = abs(found - last), found
            side.append(make(found))
        sides.append(side[1:])
    line = (*reversed(sides[0]), planned, *sides[1])
    missing = below + above + 1 - len(line)
    gaps = [seen.apart(*pair) for pair in itertools.pairwise(line)]
    short = ""
    if missing:
        short = tr(
            "{name}: this paper cannot give {missing} of the {steps} steps {least:g} "
            "CIEDE2000 apart there.",
            name=begin_large(name),
            missing=missing,
            steps=below + above,
            least=least,
        )
    at = len(sides[0])
    return Solved((line,), min(gaps, default=None), short, ((*gaps[:at], 0.0, *gaps[at:]),))


def _next(apart, start: float, sign: int, size: float, least: float) -> float | None:
    """The nearest amount beyond ``start`` that prints far enough from it, or None."""

    def far(by: float) -> float | None:
        try:
            return apart(round(by, 1))
        except OutputError:
            return None

    near, reach = start, size
    while True:
        beyond = round(start + sign * reach, 1)
        found = far(beyond)
        if found is not None and found >= _AIM * least:
            break
        if found is not None:
            near = beyond
        else:  # no such curve: half the way may do
            reach = (abs(near - start) + reach) / 2
            if reach - abs(near - start) < _ROUND:
                return None
            continue
        reach *= _GROWTH
        if reach > _LARGEST:
            return None
    while abs(beyond - near) > _ROUND + 1e-9:
        middle = round((near + beyond) / 2, 1)
        if middle in (near, beyond):
            break
        found = far(middle)
        if found is not None and found >= _AIM * least:
            beyond = middle
        else:
            near = middle
    return beyond


def _around(seen: Colours, own: Adjustments, least: float) -> Solved:
    """Lightness by warmth: what is planned in the middle of eight neighbours."""
    planned = step_of(own)
    sizes = {}
    for name in ("lightness", "warmth"):

        def both(by: float, name=name) -> float:
            return min(seen.apart(planned, step_of(own, **{name: sign * by})) for sign in (1, -1))

        sizes[name] = _next(both, 0.0, 1, _FIRST, least)
    names = {"lightness": _LIGHTNESS, "warmth": tr("warmth")}
    short = [names[name] for name, size in sizes.items() if size is None]
    said = (
        tr(
            "Lightness and warmth: this paper cannot give steps of {listed} {least:g} "
            "CIEDE2000 apart there.",
            listed=either(short),
            least=least,
        )
        if short
        else ""
    )
    for _ in range(12):
        light, warm = ((0.0,) if size is None else (-size, 0.0, size) for size in sizes.values())
        try:
            lines = tuple(
                tuple(step_of(own, lightness=each, warmth=warmth) for each in light)
                for warmth in warm
            )
        except OutputError:
            return Solved(
                ((planned,),), None, said or tr("There is no room around what is planned.")
            )
        pairs = [pair for line in lines for pair in itertools.pairwise(line)]
        pairs += [
            pair for column in zip(*lines, strict=True) for pair in itertools.pairwise(column)
        ]
        apart = min((seen.apart(*pair) for pair in pairs), default=None)
        if apart is None or apart >= least:
            break
        # corners may lie closer than the middle's neighbours do
        sizes = {name: size and round(size + _ROUND, 1) for name, size in sizes.items()}
    gaps = tuple(tuple(seen.apart(planned, step) for step in line) for line in lines)
    return Solved(lines, apart, said, gaps)
