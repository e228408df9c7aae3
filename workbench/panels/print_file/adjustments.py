"""Adjustments for this paper: what the proof suggests, and what the person accepts of it."""

from __future__ import annotations

from dataclasses import replace

from workbench.decisions import ADJUSTMENTS
from workbench.figures.adjustments import AdjustmentsFigure
from workbench.output.adjust import KINDS, Adjustments, as_adjustments
from workbench.output.job_facts import profile_of
from workbench.output.suggest import suggest_adjustments
from workbench.panels import parts
from workbench.panels.view import View

_NONE_YET = "Being worked out …"
_UNASKED = "The proof does not ask for it; it is yours to set."
_NO_PAPER = "Choose a paper with a profile to see what its proof suggests."
_NOT_ASKED_FOR = "For this picture on this paper the proof asks for none."
# beside the ticks that accept
_ACCEPT = {
    "shadow lift": "Lift the shadows",
    "contrast": "Change the contrast",
    "warmth": "Make it warmer or cooler",
    "lightness": "Make it lighter or darker",
}


class AdjustmentsPart:
    """A row for each kind: a tick that accepts it, a slider, and why.

    Only what is ticked reaches the plan.
    """

    def __init__(self, panel):
        self._panel, self.plan, self.safely = panel, panel.plan, panel.safely
        front = panel.front
        self.problem = parts.StatusLine(front)
        self.ticks, self.amounts, self.reasons = {}, {}, {}
        self.suggestions: dict = {}
        self._rows = {kind: self._row(front, kind) for kind in KINDS}
        self.figure = AdjustmentsFigure()
        self.plot = parts.PlotView(front, self.figure, "Curves of adjustments")
        self._asked = parts.column()
        self._others = parts.column()
        self.fold = parts.fold(
            "Adjustments that the proof does not ask for", self._others, front=front
        )
        self.none = parts.html("", "wb-muted")
        self.items = [self.problem, self.none, self._asked, self.fold, self.plot]
        self._arrange()

    def _row(self, front, kind: str):
        declared, per = ADJUSTMENTS[_field(kind)], _per(kind)
        low, high, step = (per * each for each in declared.slider)
        tick = parts.tick(front, _ACCEPT[kind], help=f"Accept this adjustment. {declared.help}")
        amount = parts.slider(
            front, declared.label, value=0, min=low, max=high, step=step,
            unit=declared.unit or "%", help=declared.help,
        )  # fmt: skip
        reason = parts.html("", "wb-muted")
        for control in (tick, amount):
            control.on_change(self.safely(lambda value: self._accept()))
        tick.widget.layout.width = "220px"
        amount.widget.layout.width = "260px"
        self.ticks[kind], self.amounts[kind], self.reasons[kind] = tick, amount, reason
        row = parts.column(parts.row(tick, amount), reason)
        row.layout.grid_gap = "2px"
        return row

    # the plan -------------------------------------------------------------------

    @property
    def accepted(self) -> Adjustments:
        """What is ticked, by the sliders."""
        return Adjustments(
            **{_field(kind): self._amount(kind) for kind in KINDS if self.ticks[kind].value}
        )

    def _amount(self, kind: str) -> float:
        return self.amounts[kind].value / _per(kind)

    def _accept(self) -> None:
        self.plan.adjustments = self.accepted or None
        self._panel._changed(None)  # an offered one has another amount

    # what is shown ----------------------------------------------------------------

    def shows(self) -> tuple[View, ...]:
        """What the panel declares of it: suggestions, ticks as the plan has them, curves."""
        return (
            View("suggested for", self._suggested_for, tuple, self._wait, forget=self._no_paper),
            View(
                "suggestions", self._suggested_for, suggestions, self._suggest, parts.FINER,
                status=self.problem,
            ),
            View("ticks", lambda: as_adjustments(self.plan.adjustments), _same, self._tick),
            View("curves", self._to_draw, curves, self._draw),
        )  # fmt: skip

    def _suggested_for(self) -> tuple | None:
        plan = self.plan
        if profile_of(plan.paper) is None or plan.picture.profile is None:
            return None
        return plan.picture, plan.paper, plan.intent, plan.black_point_compensation

    def _wait(self, asked: tuple) -> None:
        self.suggestions = {}
        self._say(_NONE_YET)
        self._arrange()

    def _no_paper(self) -> None:
        self.suggestions = {}
        self._say(_NO_PAPER if profile_of(self.plan.paper) is None else "")
        self._arrange()

    def _say(self, text: str) -> None:
        parts.set_html(self.none, text, "wb-muted")
        self.none.layout.display = "" if text else "none"

    def _suggest(self, found: tuple) -> None:
        self.suggestions = {each.kind: each for each in found}
        for kind, each in self.suggestions.items():
            if not self.ticks[kind].value:
                self.amounts[kind].value = each.amount * _per(kind)
        self._say("" if found else _NOT_ASKED_FOR)
        self._arrange()
        self._panel._changed(None)  # the curves stand on it

    def _tick(self, adjustments: Adjustments) -> None:
        """Ticks and sliders as the plan has them."""
        for kind in KINDS:
            value = getattr(adjustments, _field(kind))
            if value:
                self.amounts[kind].value = value * _per(kind)
                self.ticks[kind].value = True
            elif self.amounts[kind].value:
                self.ticks[kind].value = False
        self._arrange()

    def _arrange(self) -> None:
        """Those suggested or accepted in view, the others behind a title."""
        asked, others = [], []
        for kind in KINDS:
            each = self.suggestions.get(kind)
            wanted = each is not None or self.ticks[kind].value
            parts.set_html(self.reasons[kind], each.sentence if each else _UNASKED, "wb-muted")
            (asked if wanted else others).append(self._rows[kind])
        self._asked.children, self._others.children = asked, others
        self._asked.layout.display = "" if asked else "none"
        self.fold.widget.layout.display = "" if others else "none"

    def _to_draw(self) -> tuple | None:
        picture = self.plan.picture
        if picture.profile is None:
            return None
        singles = []
        for kind in KINDS:
            wanted = kind in self.suggestions or self.fold.opened
            if wanted and not self.ticks[kind].value and self.amounts[kind].value:
                singles.append(replace(Adjustments(), **{_field(kind): self._amount(kind)}))
        return picture.profile, picture.channels, self.accepted, tuple(singles)

    def _draw(self, found: tuple) -> None:
        accepted, offered = found
        shown = bool(accepted or offered)
        self.plot.widget.layout.display = "" if shown else "none"
        if shown:
            self.figure.update(accepted, offered=offered)
            self.plot.show(alt=self.figure.alt_text(accepted, offered))


def suggestions(asked: tuple, cancelled, progress) -> tuple:
    """What the proof of a picture on a paper suggests."""
    picture, paper, intent, compensation = asked
    return tuple(
        suggest_adjustments(picture, paper, intent=intent, black_point_compensation=compensation)
    )


def curves(asked: tuple) -> tuple:
    """Curves of what is accepted, and of each adjustment that is offered."""
    profile, channels, accepted, singles = asked
    offered = tuple(curve for single in singles for curve in single.curves(profile, channels))
    return accepted.curves(profile, channels), offered


def _same(asked):
    return asked


def _field(kind: str) -> str:
    """The name in `Adjustments`."""
    return kind.replace(" ", "_")


def _per(kind: str) -> int:
    """Steps of the slider that make 1 of `Adjustments`: shares are shown in per cent."""
    return 1 if ADJUSTMENTS[_field(kind)].unit else 100
