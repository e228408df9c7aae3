"""What a decision is: its default, its limits, and the rules that its values keep."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from workbench.errors import PlanError
from workbench.files.text import clean_text
from workbench.files.text import shown_value as shown
from workbench.language import LANGUAGE, tr

#: Written in files for None.
NONE = "none"
#: Beyond this a size is taken for a slip of the unit.
LARGEST_MM = 50_000.0
FARTHEST_MM = 1e6
HIGHEST_PPI = 10_000.0
#: More than the sun gives.
BRIGHTEST_LUX = 200_000.0
LONGEST_NOTE = 10_000


@dataclass(frozen=True)
class Decision:
    """One thing that a person decides.

    Attributes
    ----------
    name : of the plan's trait and of the parameters that take it.
    default : what a new plan, every panel and every function begins with.
    section : of the plan file.
    label : beside its knob.
    help : what it does, in a sentence for the knob's tip.
    about : what it is, in a few words for the plan file; the label by default.
    unit : of the number, as it is shown; "mm" is shown in the person's own unit.
    low, high : what a number may be, both included.
    above : whether a number must lie above ``low``.
    choices : (value, words) to choose from.
    slider : (low, high, step) of the knob; what else is allowed may be typed.
    by_ratio : the slider's steps are ratios, as an eye tells light apart.
    optional : None stands for "not known" or "none".
    whole : only whole numbers.
    saved : whether plan files have it as a key of its own.
    """

    name: str
    default: object
    section: str = ""
    label: str = ""
    help: str = ""
    about: str = ""
    unit: str = ""
    low: float = 0.0
    high: float = math.inf
    above: bool = False
    choices: tuple[tuple[object, str], ...] = ()
    slider: tuple[float, float, float] | None = None
    by_ratio: bool = False
    optional: bool = False
    whole: bool = False
    saved: bool = True
    rule: Callable | None = None

    def check(self, value):
        """The value as the plan holds it.

        Raises
        ------
        PlanError
            in a sentence, if it is not one that this decision can have.

        Examples
        --------
        >>> from workbench.decisions import DECISIONS
        >>> DECISIONS["threshold"].check(3)
        3.0
        >>> DECISIONS["threshold"].check(90)
        Traceback (most recent call last):
            ...
        workbench.errors.PlanError: “threshold” lies between 0.1 and 50; “90” does not.
        """
        if self.rule is not None:
            return self.rule(self, value)
        if self.choices:
            return self._one_of(value)
        if value is None and self.optional:
            return None
        if isinstance(self.default, bool):
            return self._flag(value)
        if isinstance(self.default, str):
            return self._text(value)
        return self._number(value)

    def nearest(self, value):
        """The value, or the nearest number that this decision can have.  Raises as `check`."""
        number = as_number(value)
        if number is None or self.choices or not number < math.inf:
            return self.check(value)
        return self.check(min(max(number, self.low), self.high))

    def plain(self, value):
        """A value as files have it: "none" where None says so, None to leave the key out."""
        return value if value is not None or self.optional else NONE

    @property
    def comment(self) -> str:
        """What it is, with all there is to choose from, on one line of a file."""
        about = self.about or within(self.label)
        if not self.choices:
            return about
        offered = (self.plain(each) for each, _ in self.choices)
        texts = (f'"{each}"' if isinstance(each, str) else f"{each}" for each in offered)
        return f"{about}: {', '.join(texts)}"

    def words(self, value) -> str:
        """A choice as people read it; other values as they are."""
        return next((words for each, words in self.choices if each == value), str(value))

    def _one_of(self, value):
        for each, _ in self.choices:
            # true is not 1, and 8.0 is not 8
            if type(value) is type(each) and value == each:
                return each
        offered = [each for each, _ in self.choices]
        if value == NONE and None in offered:
            return None
        names = ", ".join(NONE if each is None else str(each) for each in offered)
        raise PlanError(
            tr(
                "“{name}” is one of {names}, not {shown}.",
                name=self.name,
                names=names,
                shown=shown(value),
            )
        )

    def _flag(self, value) -> bool:
        if not isinstance(value, bool):
            raise PlanError(
                tr("“{name}” is true or false, not {shown}.", name=self.name, shown=shown(value))
            )
        return value

    def _text(self, value) -> str:
        if not isinstance(value, str):
            raise PlanError(
                tr(
                    "“{name}” takes text in quotes, not {shown}.",
                    name=self.name,
                    shown=shown(value),
                )
            )
        return clean_text(value)

    def _number(self, value):
        number = as_number(value)
        if number is None or (self.whole and math.isfinite(number) and number != int(number)):
            said = {"name": self.name, "shown": shown(value)}
            raise PlanError(
                tr("“{name}” takes a whole number, not {shown}.", **said)
                if self.whole
                else tr("“{name}” takes a number, not {shown}.", **said)
            )
        above_low = number > self.low if self.above else number >= self.low
        if not (above_low and number <= self.high):
            said = {"name": self.name, "low": self.low, "high": self.high, "shown": shown(value)}
            raise PlanError(
                tr("“{name}” lies above {low:g} and at most {high:g}; {shown} does not.", **said)
                if self.above
                else tr("“{name}” lies between {low:g} and {high:g}; {shown} does not.", **said)
            )
        return int(number) if self.whole else number


def within(label: str) -> str:
    """A label as it goes on within a line; other languages keep their nouns' capitals."""
    return f"{label[0].lower()}{label[1:]}" if LANGUAGE == "en" else label


def as_number(value) -> float | None:
    """A float for anything that is a number, None for the rest; too large is infinite."""
    if isinstance(value, (bool, str, bytes)) or value is None:
        return None
    try:
        return float(value)
    except OverflowError:
        return math.inf
    except (TypeError, ValueError):
        return None
