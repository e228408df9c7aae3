"""What was decided, step by step: undone, done again, and told in words.

A stack over the plan's decisions, without widgets.  What changes in one go, and what a
slider passes on its way, is one step.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass

from workbench.analysis.words import on_or_off
from workbench.decisions import DECISIONS
from workbench.errors import OutputError
from workbench.language import numeral, tr
from workbench.output.adjust import as_adjustments
from workbench.paper import same_sheet
from workbench.plan import FILES, PAPER_ROLES, Plan

#: Traits that are decided; papers at hand and open readings are not.
DECIDED = (*dict.fromkeys((*DECISIONS, *FILES, "adjustments")),)
# changes of the same decisions nearer than this are one move of a slider; those of others
# nearer than that follow from one another
_MOVE_S, _TOGETHER_S = 1.5, 0.1
_MOST, _MOST_PICTURES = 200, 4
_FILE_NAMES = {
    "picture": tr("Picture"), "paper": tr("Paper"), "other_paper": tr("Second paper"),
    "reference": tr("Laid beside the print"), "adjustments": tr("Adjustments"),
}  # fmt: skip


@dataclass
class _Step:
    before: dict
    after: dict
    at: float

    def swap(self, old, new) -> None:
        """Let an object stand where another stood."""
        for values in (self.before, self.after):
            values.update({name: new for name, value in values.items() if value is old})


class History:
    """Undo and redo of a plan's decisions.

    Parameters
    ----------
    plan : the Plan to follow; steps are noted from now on.
    now : () -> seconds, for the grouping of what comes together.

    Examples
    --------
    >>> plan = Plan()
    >>> history = History(plan)
    >>> plan.threshold = 4
    >>> history.words
    ('Out-of-gamut threshold: 2 CIEDE2000 to 4 CIEDE2000',)
    >>> history.undo(); plan.threshold
    2.0
    """

    def __init__(self, plan: Plan, now: Callable[[], float] = time.monotonic):
        self._plan, self._now = plan, now
        self._steps: list[_Step] = []
        self._at = 0  # steps that hold
        self._moving = False
        self._listeners: list[Callable[[], None]] = []
        plan.observe(self._changed, names=list(DECIDED))

    def listen(self, callback: Callable[[], None]) -> None:
        """Call ``callback()`` after every change of the list."""
        self._listeners.append(callback)

    @property
    def can_undo(self) -> bool:
        """Whether there is a step to take back."""
        return self._at > 0

    @property
    def can_redo(self) -> bool:
        """Whether there is a step to do again."""
        return self._at < len(self._steps)

    @property
    def words(self) -> tuple[str, ...]:
        """The steps in words, the oldest first; those taken back stand at the end."""
        return tuple(_words(step) for step in self._steps)

    def __len__(self) -> int:
        """How many steps there are, those taken back too."""
        return len(self._steps)

    @property
    def at(self) -> int:
        """How many of the steps hold."""
        return self._at

    def undo(self) -> None:
        """Take the last step back; with none, nothing happens."""
        self.go(self._at - 1)

    def redo(self) -> None:
        """Do the next step again; with none, nothing happens."""
        self.go(self._at + 1)

    def go(self, at: int) -> None:
        """Bring the plan to where ``at`` of the steps hold, from 0 to all of them."""
        at = min(max(at, 0), len(self._steps))
        values: dict = {}
        for step in reversed(self._steps[at : self._at]):
            values |= step.before
        for step in self._steps[self._at : at]:
            values |= step.after
        # what panels set in answer to it belongs to it
        self._moving = True
        try:
            with self._plan.hold_trait_notifications():
                for name, value in values.items():
                    if name == "paper" and value is not None:
                        self._plan.choose(value)  # at hand, should it have been taken away
                    else:
                        setattr(self._plan, name, value)
        finally:
            self._moving = False
        self._at = at
        self._tell()

    def _changed(self, change) -> None:
        name, old, new = change["name"], change["old"], change["new"]
        if self._moving or _same(old, new):
            return
        if name in PAPER_ROLES and same_sheet(old, new):
            # a shelf read again holds the same sheet as another object: nothing was decided
            for step in self._steps:
                step.swap(old, new)
            return
        del self._steps[self._at :]
        now = self._now()
        last = self._steps[-1] if self._steps else None
        if last is not None and self._joins(last, name, now - last.at):
            last.before.setdefault(name, old)
            last.after[name], last.at = new, now
            if all(_same(last.before[each], last.after[each]) for each in last.after):
                self._steps.pop()  # back where it began
        else:
            self._steps.append(_Step({name: old}, {name: new}, now))
            self._let_go()
        self._at = len(self._steps)
        self._tell()

    def _let_go(self) -> None:
        """Forget the oldest steps; pictures take room, so few of them are held."""
        del self._steps[:-_MOST]
        opened = [at for at, step in enumerate(self._steps) if "picture" in step.after]
        if len(opened) > _MOST_PICTURES:
            del self._steps[: opened[-_MOST_PICTURES - 1] + 1]

    def _joins(self, last: _Step, name: str, since: float) -> bool:
        if since <= _TOGETHER_S:
            return True
        return since <= _MOVE_S and set(last.after) == {name} and name not in FILES

    def _tell(self) -> None:
        for callback in self._listeners:
            callback()


def _same(one, other) -> bool:
    return one is other or (type(one) is type(other) and one == other)


def _words(step: _Step) -> str:
    """The first decision of a step, which the others follow from, from what to what."""
    name = next(iter(step.after))
    old, new = (_value(name, each[name]) for each in (step.before, step.after))
    said, more = {"label": _label(name), "old": old, "new": new}, len(step.after) - 1
    if more:
        return tr("{label}: {old} to {new}, and {more} more", more=more, **said)
    return tr("{label}: {old} to {new}", **said)


def _label(name: str) -> str:
    if name in _FILE_NAMES:
        return _FILE_NAMES[name]
    return DECISIONS[name].label or name.replace("_", " ").capitalize()


def _value(name: str, value) -> str:
    if name == "adjustments":
        try:
            return as_adjustments(value).brief
        except OutputError:
            return tr("others")
    if value is None or value == "":
        return tr("none")
    if isinstance(value, bool):
        return on_or_off(value)
    decision = DECISIONS.get(name)
    if decision is not None and decision.choices:
        return decision.words(value)
    if isinstance(value, (int, float)):
        unit = decision.unit if decision is not None else ""
        number = numeral(value, ".4g")
        return f"{number} {unit}" if unit else number
    text = str(getattr(value, "name", value))
    return text if len(text) <= 40 else f"{text[:39]}…"
