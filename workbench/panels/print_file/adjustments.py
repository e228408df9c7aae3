"""Adjustments for this paper: what the proof suggests, and what the person accepts of it."""

from __future__ import annotations

from dataclasses import dataclass, replace

from workbench.decisions import ADJUSTMENTS
from workbench.figures.adjustments import AdjustmentsFigure
from workbench.output.adjust import (
    KINDS,
    Adjustments,
    as_adjustments,
)
from workbench.output.suggest import suggest_adjustments
from workbench.panels import parts
from workbench.paper_readings import MeasuredPaper

_NONE_YET = "Being worked out …"
_UNASKED = "The proof does not ask for it; it is yours to set."
_NO_PAPER = "Choose a paper with a profile to see what its proof suggests."


@dataclass(frozen=True)
class _Knob:
    label: str
    amount: str
    unit: str
    ends: tuple[float, float]
    step: float
    per: float
    help: str


def _ends(name: str, per: float = 1) -> tuple[float, float]:
    return per * ADJUSTMENTS[name].low, per * ADJUSTMENTS[name].high


# ``per`` steps of the slider make 1 of `Adjustments`
_KNOBS = {
    "shadow lift": _Knob(
        "Lift the shadows", "Shadow lift", "L*", _ends("shadow_lift"), 0.5, 1,
        "Deep shadows become lighter by so much; black stays black",
    ),
    "contrast": _Knob(
        "Change the contrast", "Contrast", "%", _ends("contrast", 100), 1, 100,
        "The middle of the scale becomes so much steeper, and its ends as much flatter",
    ),
    "warmth": _Knob(
        "Make it warmer or cooler", "Warmth", "b* of middle grey", _ends("warmth"), 0.5,
        1, "Above 0 is warmer, below cooler; black and white stay as they are",
    ),
    "lightness": _Knob(
        "Make it lighter or darker", "Lightness", "L* of middle grey",
        _ends("lightness"), 0.5, 1,
        "Middle tones become so much lighter; a test strip shows which step is right",
    ),
}  # fmt: skip


class AdjustmentsPart:
    """A row for each kind: a tick that accepts it, a slider, and why.

    Only what is ticked reaches the plan.
    """

    def __init__(self, panel, worker):
        self.plan, self.worker, self.safely = panel.plan, worker, panel.safely
        front = panel.front
        self.problem = parts.StatusLine(front)
        self.ticks, self.amounts, self.reasons, rows = {}, {}, {}, {}
        self.suggestions: dict = {}
        self._suggested_for, self._job, self._drawn = (), None, None
        for kind in KINDS:
            rows[kind] = self._row(front, kind)
        self.figure = AdjustmentsFigure()
        self.plot = parts.PlotView(front, self.figure, "Curves of adjustments")
        self._rows = rows
        self._asked = parts.column()
        self._others = parts.column()
        self.fold = parts.fold(
            "Adjustments that the proof does not ask for", self._others, front=front
        )
        self.none = parts.html("", "wb-muted")
        self.items = [self.problem, self.none, self._asked, self.fold, self.plot]
        self._arrange()

    def _row(self, front, kind: str):
        knob = _KNOBS[kind]
        tick = parts.tick(front, knob.label, help=f"Accept this adjustment. {knob.help}")
        amount = parts.slider(
            front, knob.amount, value=0, min=knob.ends[0], max=knob.ends[1], step=knob.step,
            unit=knob.unit, help=knob.help,
        )  # fmt: skip
        reason = parts.html("", "wb-muted")
        tick.on_change(self.safely(lambda value: self._accept()))
        amount.on_change(self.safely(lambda value: self._accept()))
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
        return self.amounts[kind].value / _KNOBS[kind].per

    def _accept(self) -> None:
        accepted = self.accepted
        before = self.plan.adjustments
        self.plan.adjustments = accepted or None
        if self.plan.adjustments == before:
            self._draw()  # an offered one has another amount

    def _follow_plan(self) -> None:
        """Ticks and sliders as the plan has them."""
        adjustments = as_adjustments(self.plan.adjustments)
        for kind in KINDS:
            value = getattr(adjustments, _field(kind))
            if value:
                self.amounts[kind].value = value * _KNOBS[kind].per
                self.ticks[kind].value = True
            elif self.amounts[kind].value:
                self.ticks[kind].value = False
        self._arrange()
        self._draw()

    # suggestions ------------------------------------------------------------------

    def show(self, job) -> None:
        """Suggest for another picture, paper or rendering; draw what there is."""
        self._job = job
        if job.paper is None or isinstance(job.paper, MeasuredPaper):
            key = None
        else:
            key = (job.picture, job.paper, job.intent, job.black_point_compensation)
        if key != self._suggested_for:
            self._suggested_for = key
            self.worker.cancel("print file, suggestions")
            self.suggestions = {}
            if key is None:
                self._say(_NO_PAPER)
            else:
                self._say(_NONE_YET)
                self.worker.submit(
                    "print file, suggestions",
                    lambda cancelled, progress: suggest_adjustments(
                        key[0], key[1], intent=key[2], black_point_compensation=key[3]
                    ),
                    lambda found: self._suggested(key, found),
                    on_error=self._failed,
                )
        self._follow_plan()

    def _say(self, text: str) -> None:
        parts.set_html(self.none, text, "wb-muted")
        self.none.layout.display = "" if text else "none"

    def _failed(self, error: BaseException) -> None:
        self._suggested_for = ()  # tried again with the next change
        self._say("")
        parts.guard.report(self.problem, error, self)

    def _suggested(self, key, found) -> None:
        if key != self._suggested_for:
            return
        self.problem.solved(self)
        self.suggestions = {each.kind: each for each in found}
        for kind, each in self.suggestions.items():
            if not self.ticks[kind].value:
                self.amounts[kind].value = each.amount * _KNOBS[kind].per
        self._say("" if found else "For this picture on this paper the proof asks for none.")
        self._arrange()
        self._draw()

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

    # drawing ----------------------------------------------------------------------

    def _draw(self) -> None:
        if self._job is None:
            return
        picture = self._job.picture
        profile, channels = picture.require_profile(), picture.channels
        accepted, singles = self.accepted, []
        for kind in KINDS:
            wanted = kind in self.suggestions or self.fold.opened
            if wanted and not self.ticks[kind].value and self.amounts[kind].value:
                singles.append(replace(Adjustments(), **{_field(kind): self._amount(kind)}))
        drawn = profile, channels, accepted, singles
        if drawn == self._drawn:
            return
        self._drawn = drawn
        curves = accepted.curves(profile, channels)
        offered = [curve for single in singles for curve in single.curves(profile, channels)]
        shown = bool(curves or offered)
        self.plot.widget.layout.display = "" if shown else "none"
        if not shown:
            return
        with self.figure.lock:
            self.figure.update(curves, offered=tuple(offered))
        self.plot.show(alt=self.figure.alt_text(curves, offered))


def _field(kind: str) -> str:
    """The name in `Adjustments`."""
    return kind.replace(" ", "_")
