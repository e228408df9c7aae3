"""The side-by-side panel: papers in order for this picture, with reasons, all in view."""

from __future__ import annotations

import ipywidgets as widgets

from workbench.analysis.compare import compare
from workbench.analysis.order import CRITERIA
from workbench.errors import WorkbenchError
from workbench.figures.compare import MOST_PAPERS
from workbench.language import tr
from workbench.output.solved import paper_prices
from workbench.panels import parts
from workbench.panels.compare.export import export
from workbench.panels.compare.plots import ComparePlots
from workbench.panels.compare.view import LinkedView
from workbench.panels.compare.words import STYLE, SURE, order_html, price_note, table_html
from workbench.panels.knobs import knob
from workbench.panels.panel import Panel
from workbench.panels.parts.counting import count_mark
from workbench.panels.parts.sentences import set_html
from workbench.panels.view import View
from workbench.paper_readings import MeasuredPaper
from workbench.plan import JOB_TRAITS, PRICE_TRAITS, SIZE_TRAITS

# what of a comparison's figures the plan decides, besides the way to the paper
_LIMITS = ("threshold", "tolerance", "highlight_lightness", "reference")
_PLACE = ("illuminance_lux", "light", "glass", "room_share")
_WEIGHTS = {
    "colour": tr("Colour"),
    "blacks": tr("Blacks"),
    "whites": tr("Whites"),
    "price": tr("Price"),
}
_HELP = {
    "colour": tr("How much of this picture the paper holds, and how little its colours move"),
    "blacks": tr(
        "How deep the black is as it will be seen in its light, behind its glass (see Screen "
        "and light), the more so the more shadows the picture has"
    ),
    "whites": tr(
        "How near the paper's white is to the one that you prefer, the more so the more "
        "highlights there are; where you prefer none, it does not count"
    ),
    "price": tr("What this print costs on the paper, against the cheapest of them"),
}


class ComparePanel(Panel):
    """Up to six papers side by side for this picture.

    Which of the plan's papers are compared, and what matters, stands in the controls only.  At
    first nothing matters, and there is no order but the best of each property.

    Attributes
    ----------
    ticks : {identity of a paper: its tick}, in the order of ``plan.papers``.
    weights : the sliders, by criterion.
    comparison : the `Comparison` by the weights, or None before the first.
    """

    watch = (
        "picture", "paper", "papers", "intent", "black_point_compensation", *_LIMITS,
        "adaptation", "white_wish", *_PLACE, *SIZE_TRAITS, "on_sheet",
    )  # fmt: skip

    # building ---------------------------------------------------------------

    def build(self) -> list:
        front = self.front
        self._measured = self.comparison = None
        self._priced: tuple = (None, ())  # the prices found last, and what they follow from
        self.ticks: dict = {}
        self._tick_box = parts.row()
        self._tick_box.add_class("wb-compare-ticks")
        self.answer = parts.Sentence(tr("Papers for this picture"))
        self.weights = {
            name: parts.slider(
                front, label, value=0, min=0, max=10, unit=tr("0 to 10"), help=_HELP[name],
            )
            for name, label in _WEIGHTS.items()
        }  # fmt: skip
        self.look(*self.weights.values())
        self.wish = knob(self, "white_wish")
        self.weights_note = parts.html("", "wb-muted")
        self.order = widgets.HTML()
        self.view = LinkedView(self)
        self.plots = ComparePlots(self)
        self.curves, self.slices, self.fan = self.plots.curves, self.plots.slices, self.plots.fan
        self.lightness = self.plots.lightness
        self.table = widgets.HTML()
        self.table.add_class("wb-compare-table")
        self.export = export(self)
        sliders = parts.row(*self.weights.values())
        for css in ("wb-knobs", "wb-compare-weights"):
            sliders.add_class(css)
        style = widgets.HTML(STYLE)
        style.layout.display = "none"  # it takes no room, and holds all the same
        return [
            style,
            *self._own_knobs(),
            parts.heading(tr("Papers to compare, up to {most}", most=MOST_PAPERS), 4),
            self._tick_box,
            self.status,
            self.answer,
            parts.heading(tr("What matters"), 4),
            sliders,
            self.wish,
            self.weights_note,
            self.order,
            parts.heading(tr("The picture on each paper"), 4),
            *self.view.body,
            parts.heading(tr("In figures"), 4),
            parts.html(
                tr(
                    "White, black and gamut volume are absolute; what the picture loses is relative "
                    "to each paper's white. ✓ marks the best, and all that cannot be told from it. "
                    "Rest the pointer on a title to see which function gives the figure, on a "
                    "figure to see how sure it is."
                ),
                "wb-muted",
            ),
            self.table,
            parts.heading(tr("Tones, colours, whites"), 4),
            *self.plots.body,
            parts.heading(tr("Take it away"), 4),
            *self.export.body,
        ]

    def _own_knobs(self) -> list:
        """Intent and compensation, which the desk has already."""
        if not self.alone:
            return []
        self.intent = knob(self, "intent")
        self.compensation = knob(self, "black_point_compensation")
        return [parts.row(self.intent, self.compensation)]

    def missing(self) -> str:
        if self.plan.picture is None or not self.plan.papers:
            return tr("Open a picture and some papers to compare them here.")
        return ""

    # which papers --------------------------------------------------------------

    @property
    def papers(self) -> list:
        """The ticked papers, in the order of the plan's."""
        return [p for p in self.plan.papers if id(p) in self.ticks and self.ticks[id(p)].value]

    @property
    def with_profile(self) -> list:
        """Those of them that can be shown in colour."""
        return [paper for paper in self.papers if not isinstance(paper, MeasuredPaper)]

    @property
    def numbers(self) -> dict:
        """{identity of a paper: its number in the plan}."""
        return {id(paper): number for number, paper in enumerate(self.plan.papers, 1)}

    def _offer_papers(self, papers) -> None:
        """A tick for each paper; new papers are ticked while there is room."""
        before, self.ticks = self.ticks, {}
        room = MOST_PAPERS - sum(before[id(p)].value for p in papers if id(p) in before)
        for number, paper in enumerate(papers, 1):
            tick = before.get(id(paper))
            label = f"{number}. {paper.name}"
            if tick is None or tick.field.description != label:
                was = room > 0 if tick is None else tick.value
                room -= tick is None and was
                tick = parts.tick(
                    self.front, label, value=was, help=tr("Compare this paper with the others")
                )
                self.look(tick)
            self.ticks[id(paper)] = tick
        self._tick_box.children = [tick.widget for tick in self.ticks.values()]

    def _show_room(self, ticked: tuple) -> None:
        full = sum(ticked) >= MOST_PAPERS
        for tick in self.ticks.values():
            tick.disabled = full and not tick.value

    # what is shown ---------------------------------------------------------------

    def shows(self):
        plan = self.plan
        return (
            # held by the request, so that no identity is given to another paper
            View("papers", lambda: plan.papers, tuple, self._offer_papers),
            View("room", lambda: tuple(t.value for t in self.ticks.values()), tuple, self._show_room),
            *self.view.shows(),
            *self.plots.shows(),
            View("compared", self._to_compare, compared, self._measure, lane=parts.WHOLE,
                 doing=tr("Comparing the papers")),
            View("order", self._to_order, ordered, self._show_order),
        )  # fmt: skip

    def _to_compare(self) -> tuple:
        if not self.papers:
            raise WorkbenchError(tr("Tick at least one paper to compare."))
        plan = self.plan
        plan.picture.require_profile()
        asked = plan.rendering.only("intent", "black_point_compensation", *_LIMITS, *_PLACE)
        return plan.picture, tuple(self.papers), asked, self._prices()

    def _prices(self) -> tuple:
        """Of the plan's print on each of the papers; none where its size does not add up."""
        plan, papers = self.plan, tuple(self.papers)
        of = papers, *(getattr(plan, name) for name in (*JOB_TRAITS, *PRICE_TRAITS))
        if self._priced[0] != of:  # every paper's sheets are looked through
            try:
                self._priced = of, paper_prices(plan, papers)
            except WorkbenchError:
                self._priced = of, (None,) * len(papers)
        return self._priced[1]

    def _measure(self, comparison) -> None:
        self._measured = comparison
        self._follow()  # the order stands on it

    def _to_order(self) -> tuple | None:
        if self._measured is None:
            return None
        weights = tuple(self.weights[name].value for name in CRITERIA)
        return self._measured, weights, self.plan.white_wish, tuple(self.numbers.items())

    def _show_order(self, found: tuple) -> None:
        comparison, numbers = found
        self.comparison = comparison
        self.answer.say(comparison.sentence, mark=count_mark(comparison.exact))
        note = comparison.weights_sentence + price_note(comparison)
        if comparison.weights is not None:
            note += f" {SURE}"
        set_html(self.weights_note, note, "wb-muted")
        self.order.value = order_html(comparison, numbers)
        self.table.value = table_html(comparison)


def compared(asked: tuple, cancelled, progress):
    """The `Comparison` of papers for a picture and rendering, with what the print costs on each."""
    picture, papers, rendering, prices = asked
    known = {paper: price for paper, price in zip(papers, prices, strict=True) if price is not None}
    return compare(
        picture, papers, **rendering, prices=known, cancelled=cancelled, progress=progress,
        **{name: getattr(rendering, name) for name in (*_LIMITS, *_PLACE)},
    )  # fmt: skip


def ordered(asked: tuple) -> tuple:
    """A comparison by weights and a wish, and {identity of a paper: its number}."""
    measured, weights, wish, numbers = asked
    weighted = dict(zip(CRITERIA, weights, strict=True))
    return measured.order(weighted, white_wish=wish), dict(numbers)
