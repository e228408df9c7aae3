"""Adjustments for this paper: the tone curve that the proof suggests, and the person's own."""

from __future__ import annotations

from dataclasses import replace

from workbench.decisions import ADJUSTMENTS
from workbench.figures.adjustments import AdjustmentsFigure, Curves, curves_of
from workbench.language import tr
from workbench.output.adjust import TONES, Adjustments, as_adjustments
from workbench.output.job_facts import profile_of
from workbench.output.suggest import Suggestion, suggest_adjustments, tone_change
from workbench.panels import parts
from workbench.panels.view import View

_NONE_YET = tr("Being worked out …")
_NO_PAPER = tr("Choose a paper with a profile to see what its proof suggests.")
_NO_WARMTH = tr(
    "Warmth and chroma do nothing to a print in black and white: tone it instead, under “Black and "
    "white”."
)


class AdjustmentKnobs:
    """Controls tied to what the plan's adjustments hold, by their fields' names.

    Parameters
    ----------
    panel : that they stand in.
    status : the line that says what is wrong with a value.
    """

    def __init__(self, panel, status):
        self._panel, self._plan = panel, panel.plan
        self._safely = parts.guarded(status)
        self.controls: dict = {}

    def make(self, name: str):
        """The control of a field, as `workbench.decisions` declares it."""
        declared, front = ADJUSTMENTS[name], self._panel.front
        if declared.choices:
            options = [(words, value) for value, words in declared.choices]
            control = parts.choice(
                front, declared.label, options=options, help=declared.help, value=declared.default
            )
        else:
            per = _per(name)
            low, high, step = (per * each for each in declared.slider)
            control = parts.slider(
                front, declared.label, value=per * declared.default, min=low, max=high, step=step,
                unit=declared.unit or ("%" if per == 100 else ""), help=declared.help,
                typed=(per * declared.low, per * declared.high),
            )  # fmt: skip
            control.widget.layout.width = "280px"
        control.on_change(self._safely(lambda value: self.set(**{name: value / _per(name)
                                       if isinstance(value, (int, float)) else value})))  # fmt: skip
        self.controls[name] = control
        return control

    def set(self, **values) -> None:
        """Put values into the plan's adjustments; with nothing left, there are none."""
        changed = replace(as_adjustments(self._plan.adjustments), **values)
        self._plan.adjustments = changed or None

    def follow(self, adjustments: Adjustments) -> None:
        """Bring the controls up to what the plan holds."""
        for name, control in self.controls.items():
            value = getattr(adjustments, name)
            control.value = value if isinstance(value, str) else _per(name) * value


class AdjustmentsPart:
    """The suggested curve with what it gains and loses, to accept; handles; warmth."""

    def __init__(self, panel):
        self._panel, self.plan, front = panel, panel.plan, panel.front
        self.problem = parts.StatusLine(front)
        self.suggestion: Suggestion | None = None
        self._waiting = False  # for it, and no hand has moved a knob since
        self.knobs = AdjustmentKnobs(panel, self.problem)
        self.offer = parts.html("", "wb-muted")
        self.accept = parts.button(
            front, tr("Accept this curve"), parts.guarded(self.problem)(self._accept),
            help=tr("Print with the suggested curve from now on; its handles may be moved after"),
        )  # fmt: skip
        self.drop = parts.button(
            front, tr("No curve"), parts.guarded(self.problem)(self._drop),
            help=tr("Print without a tone curve"),
        )  # fmt: skip
        self.now = parts.html("")
        self.figure = AdjustmentsFigure()
        self.plot = parts.PlotView(front, self.figure, tr("Tone curve"))
        self.fold = parts.fold(
            tr("Set the curve by hand"), *(self.knobs.make(name) for name in TONES), front=front
        )
        self.warmth, self.chroma = self.knobs.make("warmth"), self.knobs.make("chroma_gain")
        self.made_for = parts.html("", "wb-muted")
        self.no_warmth = parts.html("", "wb-muted")
        self.items = [
            self.problem, self.offer, parts.row(self.accept, self.drop), self.now, self.plot,
            self.made_for, self.fold, self.warmth, self.chroma, self.no_warmth,
        ]  # fmt: skip

    # the plan -------------------------------------------------------------------

    def _accept(self, *_) -> None:
        found = self.suggestion.adjustments
        self.knobs.set(made_for="", **{name: getattr(found, name) for name in TONES})

    def _drop(self, *_) -> None:
        self.knobs.set(**dict.fromkeys(TONES, 0.0))

    # what is shown ----------------------------------------------------------------

    def shows(self) -> tuple[View, ...]:
        """What the panel declares of it: the suggestion, knobs as the plan has them, curves."""
        return (
            View("knobs", self._held, tuple, self._show),
            View("suggested for", self._suggested_for, tuple, self._wait, forget=self._no_paper),
            View(
                "suggestion", self._suggested_for, suggestion, self._suggest, parts.FINER,
                status=self.problem,
            ),
            View("curves", self._to_draw, drawn, self._draw, forget=self._undrawn),
        )  # fmt: skip

    def _suggested_for(self) -> tuple | None:
        plan = self.plan
        if profile_of(plan.paper) is None or plan.picture.profile is None:
            return None
        return plan.picture, plan.paper, plan.intent, plan.black_point_compensation

    def _wait(self, asked: tuple) -> None:
        self._offer(None, _NONE_YET)
        self._waiting = True

    def _no_paper(self) -> None:
        self._offer(None, _NO_PAPER if profile_of(self.plan.paper) is None else "")

    def _suggest(self, found: Suggestion) -> None:
        words = tr("One curve for this picture on this paper: {sentence}", sentence=found.sentence)
        self._offer(found, words if found else found.sentence)
        self._panel._changed(None)  # the curves stand on it

    def _offer(self, found: Suggestion | None, words: str) -> None:
        self.suggestion, self._waiting = found, False
        parts.set_html(self.offer, words, "wb-muted")
        self.accept.disabled = not found

    def _held(self) -> tuple:
        return as_adjustments(self.plan.adjustments), self.plan.picture.channels == 1

    def _show(self, held: tuple) -> None:
        adjustments, grey = held
        self._waiting = False
        self.knobs.follow(adjustments)
        self.drop.disabled = not any(adjustments.tones)
        said = tr("Curve and chroma are made for {made_for}.", made_for=adjustments.made_for)
        parts.set_html(self.made_for, said if adjustments.made_for else "", "wb-muted")
        coloured = adjustments.warmth or adjustments.chroma_gain != 1
        idle = coloured and (grey or adjustments.is_black_and_white)
        parts.set_html(self.no_warmth, _NO_WARMTH if idle else "", "wb-muted")

    def _to_draw(self) -> tuple | None:
        plan = self.plan
        if plan.picture.profile is None or self._waiting:
            return None
        accepted = as_adjustments(plan.adjustments)
        return plan.picture, self._suggested_for(), accepted, self.suggestion

    def _draw(self, curves: Curves) -> None:
        gain = "" if curves.now is None or curves.accepted is None else curves.now.sentence
        parts.set_html(self.now, tr("As set now: {gain}", gain=gain) if gain else "")
        self.figure.update(curves)
        self.plot.show(alt=self.figure.alt_text(curves))

    def _undrawn(self) -> None:
        parts.set_html(self.now, "")


def suggestion(asked: tuple, cancelled, progress) -> Suggestion:
    """The curve that the proof of a picture on a paper suggests."""
    picture, paper, intent, compensation = asked
    return suggest_adjustments(picture, paper, intent=intent, black_point_compensation=compensation)


def drawn(asked: tuple) -> Curves:
    """Curves of what is accepted and of what is offered, with what each gains and loses."""
    picture, on_paper, accepted, offered = asked
    now = None
    if on_paper is not None and offered is not None:  # its detail has been counted by then
        _, paper, intent, compensation = on_paper
        how = {"intent": intent, "black_point_compensation": compensation}
        now = tone_change(picture, paper, accepted, **how)
    offer = offered.adjustments if offered else None
    then = offered.change if offered else None
    return curves_of(picture.profile, picture.channels, accepted, offer, now, then)


def _per(name: str) -> int:
    """Steps of the slider that make 1 of `Adjustments`: shares are shown in per cent."""
    return 100 if name.startswith("mix_") else 1
