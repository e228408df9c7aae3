"""Black and white for this paper: off, by lightness or by a mix; toning, and how it prints."""

from __future__ import annotations

from workbench.figures.neutrality import NeutralityFigure
from workbench.language import tr
from workbench.output.adjust import Adjustments, as_adjustments
from workbench.output.job_facts import profile_of
from workbench.output.toning import inside_gamut, neutrality
from workbench.panels import parts
from workbench.panels.view import View

_MIX = ("mix_red", "mix_green", "mix_blue")
_TONING = ("shadow_hue", "shadow_chroma", "highlight_hue", "highlight_chroma")


class BlackAndWhitePart:
    """The choice, the mix, the toning, and the greys of this paper in figure and words."""

    def __init__(self, panel, knobs):
        self.plan, front = panel.plan, panel.front
        self.problem = parts.StatusLine(front)
        self.choice = knobs.make("black_and_white")
        self.mix = parts.row(*(knobs.make(name) for name in _MIX))
        toning = [knobs.make(name) for name in _TONING]
        self.toning = parts.column(parts.row(*toning[:2]), parts.row(*toning[2:]))
        self.held = parts.html("", "wb-muted")
        self.said = parts.html("")
        self.figure = NeutralityFigure()
        self.plot = parts.PlotView(front, self.figure, tr("Greys on this paper"))
        self.greys = parts.fold(
            tr("How greys print on this paper"), self.said, self.plot, front=front
        )
        panel.look(self.greys)
        self.items = [self.problem, self.choice, self.mix, self.toning, self.held, self.greys]

    def shows(self) -> tuple[View, ...]:
        """What the panel declares of it."""
        return (
            View("black and white", self._held_for, held, self._show),
            View("greys", self._greys_for, greys, self._draw, status=self.problem),
        )

    def _held_for(self) -> tuple:
        plan = self.plan
        paper = plan.paper if profile_of(plan.paper) is not None else None
        adjustments = as_adjustments(plan.adjustments)
        grey = plan.picture.channels == 1
        return adjustments, paper, plan.intent, plan.black_point_compensation, grey

    def _greys_for(self) -> tuple | None:
        asked = self._held_for()
        return asked if self.greys.opened and asked[1] is not None else None

    def _show(self, found: tuple) -> None:
        asked, within, grey = found
        mixed = asked.black_and_white == "mix" and not grey
        self.mix.layout.display = "" if mixed else "none"
        self.toning.layout.display = "" if asked.is_black_and_white else "none"
        parts.set_html(self.held, held_words(asked, within), "wb-muted")

    def _draw(self, found) -> None:
        parts.set_html(self.said, found.sentence)
        self.plot.show(
            found, alt=tr("a* and b* of printed greys over L*. {sentence}", sentence=found.sentence)
        )


def held(asked: tuple) -> tuple:
    """(what is asked for, what of it the paper holds, whether the picture is grey)."""
    adjustments, paper, intent, compensation, grey = asked
    if paper is None:
        return adjustments, adjustments, grey
    return adjustments, inside_gamut(adjustments, paper, intent, compensation), grey


def greys(asked: tuple):
    """How greys print, toned as far as the paper holds it."""
    _, within, _ = held(asked)
    _, paper, intent, compensation, _ = asked
    return neutrality(paper, within, intent=intent, black_point_compensation=compensation)


def held_words(asked: Adjustments, within: Adjustments) -> str:
    """Where the paper holds less toning than is asked for; empty where it holds it all."""
    said = [
        tr("{got:.0f} instead of {wanted:.0f} {where}", got=got, wanted=wanted, where=where)
        for where, got, wanted in (
            (tr("in the shadows"), within.shadow_chroma, asked.shadow_chroma),
            (tr("in the highlights"), within.highlight_chroma, asked.highlight_chroma),
        )
        if got < wanted
    ]
    if not said:
        return ""
    held_to = said[0] if len(said) == 1 else tr("{one} and {other}", one=said[0], other=said[1])
    return tr("The toning is held to what this paper can print: chroma {held_to}.", held_to=held_to)
