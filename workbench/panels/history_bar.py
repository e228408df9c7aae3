"""Undo, redo and the list of what was decided; the plan kept as one works, and offered again."""

from __future__ import annotations

from workbench.language import tr
from workbench.panels import parts
from workbench.panels.history import History
from workbench.panels.parts.guard import report
from workbench.plan_file.in_progress import Keeper, KeptPlan

_KEEP_AFTER_S, _LIST_AFTER_S = 1.0, 0.1
_START = tr("As opened")


class HistoryBar:
    """Controls of a desk for what was done.

    ``items`` stand in the desk's head, ``offer`` where it is seen at the start: it is empty
    unless a plan was left behind.  ``history`` is the stack itself.

    Parameters
    ----------
    owner : the desk: it has ``plan``, ``front`` and ``safely``.
    keeper : that writes the plan as it changes; None makes one of its own.
    """

    def __init__(self, owner, keeper: Keeper | None = None):
        self._plan, front, safely = owner.plan, owner.front, owner.safely
        self.keeper, self._turn = keeper or Keeper(), front.turn
        self.history = History(owner.plan)
        self.undo = parts.button(
            front,
            tr("Undo"),
            safely(self.history.undo),
            help=tr("Take the last decision back (Ctrl+Z)"),
        )
        self.redo = parts.button(
            front,
            tr("Redo"),
            safely(self.history.redo),
            help=tr("Make that decision again (Ctrl+Shift+Z)"),
        )
        front.tag(self.undo, **{"aria-keyshortcuts": "Control+Z Meta+Z"})
        front.tag(
            self.redo, **{"aria-keyshortcuts": "Control+Shift+Z Control+Y Meta+Shift+Z Meta+Y"}
        )
        self.steps = parts.choice(
            front, tr("Decisions so far"), options=[(_START, 0)],
            help=tr("What was decided, the newest first; choose one to go back to it"),
        )  # fmt: skip
        self.steps.on_change(safely(self._go))
        self.status = parts.StatusLine(front)
        # without its label, for which the head of a desk has no room
        self.items = (self.undo, self.redo, self.steps.field)
        for item, width in zip(self.items, ("60px", "60px", "130px"), strict=True):
            item.layout.width = width
        self._kept: list[KeptPlan] = []
        self.said = parts.html("")
        self.take = parts.button(
            front, tr("Go on with it"), safely(self._take), main=True,
            help=tr("Your plan takes over all that was decided there; Undo takes that back"),
        )  # fmt: skip
        self.forget = parts.button(
            front, tr("Throw it away"), safely(self._forget), help=tr("Delete what was kept of it")
        )
        self.later = parts.button(
            front, tr("Not now"), safely(self._later), help=tr("It will be offered again next time")
        )
        self._asked = parts.row(self.said, self.take, self.forget, self.later)
        self.offer = parts.column(self.status, self._asked)
        self._door = front.scheduler.on(parts.FILES, rest_s=_KEEP_AFTER_S)
        self._list_door = front.scheduler.on(parts.FINER, rest_s=_LIST_AFTER_S)
        self._show_offer()
        self._show_steps()
        self.history.listen(self._changed)
        others = front.scheduler.on(parts.FILES, rest_s=0)
        others.submit("others", lambda cancelled, progress: self.keeper.others(), self._found)

    def _changed(self) -> None:
        history = self.history
        if (len(history), history.at) != self._shown_steps:
            # else a slider is on its way; what follows the hand comes before the list
            self._shown_steps = len(history), history.at
            self._show_buttons()
            self._list_door.submit(
                "list", lambda cancelled, progress: None, lambda _: self._show_steps()
            )
        self._door.submit(
            "keep", lambda cancelled, progress: self._keep(),
            self._kept_now, None,
            lambda error: report(self.status, error, "keep"),
        )  # fmt: skip

    def _keep(self):
        with self._turn:  # as it stands once things rest; the file is written without the turn
            plan = self._plan.copy()
        return self.keeper.keep(plan)

    def _kept_now(self, path) -> None:
        self.status.solved("keep")
        self._show_steps()

    def _go(self, at) -> None:
        if at != self.history.at:
            self.history.go(at)

    def _show_steps(self) -> None:
        words = self.history.words
        self._shown_steps = len(words), self.history.at
        options = [(_START, 0), *((each, at) for at, each in enumerate(words, 1))]
        self.steps.replace(_told_apart(options[::-1]), self.history.at)
        self._show_buttons()

    def _show_buttons(self) -> None:
        self.undo.disabled = not self.history.can_undo
        self.redo.disabled = not self.history.can_redo

    # what was left behind -------------------------------------------------------

    def _found(self, others: tuple[KeptPlan, ...]) -> None:
        self._kept = list(others)
        self._show_offer()

    def _show_offer(self) -> None:
        self._asked.layout.display = "" if self._kept else "none"
        if self._kept:
            first = self._kept[0]
            said = (
                tr("A plan was kept: {which}.", which=first.words)
                if first.in_use
                else tr("A plan was left unfinished: {which}.", which=first.words)
            )
            parts.set_html(self.said, said)
            self.forget.disabled = first.in_use

    def _take(self) -> None:
        kept = self._kept[0]
        kept.take_up(self._plan)
        self._kept = []
        self._show_offer()
        if not kept.in_use:  # now it is this window's, which keeps it on its own
            self.keeper.keep(self._plan)
            kept.forget()

    def _forget(self) -> None:
        self._kept.pop(0).forget()
        self._show_offer()

    def _later(self) -> None:
        self._kept = []
        self._show_offer()


def _told_apart(options: list) -> list:
    """Options with names that differ: of two alike, the later says which it is."""
    seen: dict[str, int] = {}
    out = []
    for words, at in options:
        seen[words] = seen.get(words, 0) + 1
        out.append((words if seen[words] == 1 else f"{words} ({seen[words]})", at))
    return out
