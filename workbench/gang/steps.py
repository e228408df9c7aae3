"""The steps of a test strip: what each is called, and what it is printed with."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from workbench.errors import OutputError
from workbench.output.adjust import Adjustments, former_tones
from workbench.output.job import PrintJob

MOST_STEPS = 15


@dataclass(frozen=True)
class Step:
    """One way to print a part.

    Attributes
    ----------
    lightness : L* at mid-grey, above what is planned.
    warmth : b* at mid-grey, above what is planned.
    adjustments : what it is printed with, the plan's own included.
    """

    lightness: float
    warmth: float
    adjustments: Adjustments

    @property
    def as_planned(self) -> bool:
        return not (self.lightness or self.warmth)

    @property
    def label(self) -> str:
        """Such as "+3 lighter", "−2 cooler" or "as planned"."""
        said = []
        for value, more, less in (
            (self.lightness, "lighter", "darker"),
            (self.warmth, "warmer", "cooler"),
        ):
            if value:
                said.append(f"{signed(value)} {more if value > 0 else less}")
        return " ".join(said) or "as planned"

    @property
    def short(self) -> str:
        """The same where there is little room: "+3 L*", "−2 b*" or "0"."""
        said = [
            f"{signed(value)} {unit}"
            for value, unit in ((self.lightness, "L*"), (self.warmth, "b*"))
            if value
        ]
        return " ".join(said) or "0"


def signed(value: float) -> str:
    """A number with its sign: "+3", "−1.5"."""
    return f"{'+' if value > 0 else '−'}{abs(value):g}"


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
    lightness = _numbers(lightness_steps, "lightness")
    warmth = [value for value in _numbers(warmth_steps, "warmth") if value]
    if warmth and job.picture.channels == 1:
        raise OutputError("A grey picture has no warmth to step through; leave those steps out.")
    pairs = [(value, 0.0) for value in sorted({*lightness, 0.0})]
    pairs += [(0.0, value) for value in sorted(set(warmth))]
    if len(pairs) > MOST_STEPS:
        raise OutputError(
            f"A strip has at most {MOST_STEPS} steps, not {len(pairs)}; leave some out."
        )
    return tuple(Step(*pair, _adjusted(job.adjustments, *pair)) for pair in pairs)


def _numbers(values, name: str) -> list[float]:
    try:
        numbers = [float(value) for value in values]
        if not all(math.isfinite(number) for number in numbers):
            raise ValueError
    except (TypeError, ValueError):
        raise OutputError(
            f"Steps of {name} are numbers such as -3, 0 and 3, not {values!r}."
        ) from None
    # minus nought is nought
    return [number + 0.0 for number in numbers]


def _adjusted(own: Adjustments, lightness: float, warmth: float) -> Adjustments:
    try:
        lighter = [lightness * each for each in former_tones(lightness=1).values()]
        return replace(own.moved(lighter), warmth=own.warmth + warmth)
    except OutputError as problem:
        raise OutputError(
            f"{problem} That is the plan's own and the step together; choose smaller steps."
        ) from None
