"""The steps of a test strip: what each is called, and what it is printed with."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from workbench.errors import OutputError
from workbench.language import numeral, tr
from workbench.output.adjust import TONES, Adjustments, former_tones
from workbench.output.job import PrintJob

MOST_STEPS = 15


#: What a step of 1 moves the handles of the tone curve by, L*: a lift has its top at L* 12, a
#: roll-off at L* 90, lightness at L* 50.
MOVES = {
    "shadows": tuple(former_tones(shadow_lift=1).values()),
    "highlights": tuple(
        10 * (1 - at / 100) * (at / 90) ** 9 for at in TONES.values()
    ),
    "lightness": tuple(former_tones(lightness=1).values()),
}  # fmt: skip


@dataclass(frozen=True)
class Step:
    """One way to print a part, beyond what is planned.

    Attributes
    ----------
    lightness : L* at mid-grey.
    warmth : b* at mid-grey.
    adjustments : what it is printed with, the plan's own included.
    shadows : L* at L* 12.
    highlights : L* at L* 90.
    named : what else it is, in a word or two, such as "plain"; empty for none.
    """

    lightness: float
    warmth: float
    adjustments: Adjustments
    shadows: float = 0.0
    highlights: float = 0.0
    named: str = ""

    @property
    def as_planned(self) -> bool:
        moved = self.lightness or self.warmth or self.shadows or self.highlights
        return not (moved or self.named)

    @property
    def label(self) -> str:
        """Such as "+3 lighter", "shadows +2.4" or "as planned"."""
        said = [
            f"{name} {signed(value)}"
            for name, value in ((tr("shadows"), self.shadows), (tr("highlights"), self.highlights))
            if value
        ]
        for value, more, less in (
            (self.lightness, tr("lighter"), tr("darker")),
            (self.warmth, tr("warmer"), tr("cooler")),
        ):
            if value:
                said.append(f"{signed(value)} {more if value > 0 else less}")
        return " ".join(said) or self.named or tr("as planned")

    @property
    def short(self) -> str:
        """The same where there is little room: "+3 L*", "−2 b*" or "0"."""
        said = [
            f"{signed(value)} {unit}"
            for value, unit in (
                (self.shadows, "L*"), (self.highlights, "L*"), (self.lightness, "L*"),
                (self.warmth, "b*"),
            )
            if value
        ]  # fmt: skip
        return " ".join(said) or self._last or "0"

    @property
    def _last(self) -> str:
        return self.named.rpartition(" ")[2]

    @property
    def numbers(self) -> str:
        """The numbers alone, where there is least room: "+2.1 −2.5"."""
        values = self.shadows, self.highlights, self.lightness, self.warmth
        return " ".join(signed(value) for value in values if value) or self._last or "0"


def step_of(
    own: Adjustments, *, shadows: float = 0.0, highlights: float = 0.0, lightness: float = 0.0,
    warmth: float = 0.0,
) -> Step:  # fmt: skip
    """A step beyond what is planned.

    Parameters
    ----------
    own : what is planned.
    shadows, highlights, lightness, warmth : see `Step`.

    Raises
    ------
    OutputError
        beyond what can be adjusted.

    Examples
    --------
    >>> step_of(Adjustments(), shadows=2).adjustments.shadows
    2.0
    """
    moves = zip(MOVES.values(), (shadows, highlights, lightness), strict=True)
    moved = [
        sum(each) for each in zip(*([by * m for m in move] for move, by in moves), strict=True)
    ]
    try:
        made = replace(own.moved(moved), warmth=round(own.warmth + warmth, 6))
    except OutputError as problem:
        raise OutputError(
            tr(
                "{problem} That is the plan's own and the step together; choose smaller steps.",
                problem=problem,
            )
        ) from None
    return Step(lightness, warmth, made, shadows, highlights)


def place_steps(own: Adjustments, offered: Adjustments) -> tuple[Step, Step]:
    """The plain print, and beside it the one made for a place; one of them is as planned.

    Parameters
    ----------
    own : what is planned.
    offered : made for a place, see `Adjustments.made_for`; ``own`` itself where that is.

    Examples
    --------
    >>> made = Adjustments(mid_tones=3, made_for="the wall at 150 lux")
    >>> [step.label for step in place_steps(Adjustments(warmth=1), made)]
    ['as planned', 'for the place']
    """
    if own == offered:
        return Step(0.0, 0.0, own.plain, named=tr("plain")), step_of(own)
    return step_of(own), Step(0.0, 0.0, own.taking(offered), named=tr("for the place"))


def signed(value: float) -> str:
    """A number with its sign: "+3", "−1.5"."""
    return f"{'+' if value > 0 else '−'}{numeral(abs(value))}"


def strip_steps(job: PrintJob, lightness_steps, warmth_steps) -> tuple[Step, ...]:
    """The steps of a strip, from dark to light, then from cool to warm; as planned once.

    Parameters
    ----------
    job : of the whole print, checked.
    lightness_steps, warmth_steps : L* and b* at mid-grey beyond what is planned.

    Raises
    ------
    OutputError
        for steps that are none, too many, or beyond what can be adjusted.
    """
    lightness = _numbers(lightness_steps, tr("lightness"))
    warmth = [value for value in _numbers(warmth_steps, tr("warmth")) if value]
    if warmth and job.picture.channels == 1:
        raise OutputError(
            tr("A grey picture has no warmth to step through; leave those steps out.")
        )
    pairs = [(value, 0.0) for value in sorted({*lightness, 0.0})]
    pairs += [(0.0, value) for value in sorted(set(warmth))]
    if len(pairs) > MOST_STEPS:
        raise OutputError(
            tr(
                "A strip has at most {most} steps, not {count}; leave some out.",
                most=MOST_STEPS,
                count=len(pairs),
            )
        )
    return tuple(step_of(job.adjustments, lightness=pair[0], warmth=pair[1]) for pair in pairs)


def _numbers(values, name: str) -> list[float]:
    try:
        numbers = [float(value) for value in values]
        if not all(math.isfinite(number) for number in numbers):
            raise ValueError
    except (TypeError, ValueError):
        raise OutputError(
            tr(
                "Steps of {name} are numbers such as -3, 0 and 3, not {values!r}.",
                name=name,
                values=values,
            )
        ) from None
    # minus nought is nought
    return [number + 0.0 for number in numbers]
