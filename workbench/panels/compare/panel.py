"""The side-by-side panel: papers in order for this picture, with reasons, all in view."""

from __future__ import annotations

import ipywidgets as widgets

from workbench.analysis.compare import compare
from workbench.analysis.order import CRITERIA, DEFAULT_WEIGHTS
from workbench.errors import SizeError, WorkbenchError
from workbench.figures.compare import MOST_PAPERS
from workbench.panels import parts
from workbench.panels.compare.export import export
from workbench.panels.compare.plots import ComparePlots
from workbench.panels.compare.view import LinkedView
from workbench.panels.compare.words import STYLE, order_html, table_html
from workbench.panels.panel import Panel
from workbench.panels.parts.guard import report
from workbench.panels.parts.sentences import set_html
from workbench.panels.print_knobs import compensation_knob, intent_knob
from workbench.paper_readings import MeasuredPaper
from workbench.plan import SIZE_TRAITS

_WEIGHTS = {
    "colour": "Colour",
    "blacks": "Blacks",
    "whites": "Whites",
    "price": "Price",
}
_HELP = {
    "colour": "How much of this picture the paper holds, and how little its colours move",
    "blacks": "How deep the paper's black is, the more so the more shadows the picture has",
    "whites": "How near the paper's white is to the reference (to untinted cotton where nothing "
    "lies beside the print), the more so the more highlights there are",
    "price": "What this print costs on the paper, against the cheapest of them",
}


class ComparePanel(Panel):
    """Up to six papers side by side for this picture.

    Which of the plan's papers are compared, and what matters, stands in the controls only.

    Attributes
    ----------
    ticks : {identity of a paper: its tick}, in the order of ``plan.papers``.
    weights : the sliders, by criterion.
    comparison : the `Comparison` in the order of the weights, or None before the first.
    """

    watch = (
        "picture", "paper", "papers", "intent", "black_point_compensation", "threshold",
        "reference", "adaptation", *SIZE_TRAITS,
    )  # fmt: skip

    # building ---------------------------------------------------------------

    def build(self) -> list:
        front = self.front
        self._asked = self._measured = self.comparison = None
        self.ticks: dict = {}
        self._offered: tuple = ()
        self._tick_box = parts.row()
        self._tick_box.add_class("wb-compare-ticks")
        self.answer = parts.Sentence("Best for this picture")
        self.weights = {
            name: parts.slider(
                front, label, value=10 * DEFAULT_WEIGHTS[name], min=0, max=10, unit="0 to 10",
                help=_HELP[name],
            )
            for name, label in _WEIGHTS.items()
        }  # fmt: skip
        # one callback for all, so that one that succeeds takes away what another found wrong
        self._ordered = self.safely(lambda value: self._order())
        for control in self.weights.values():
            control.on_change(self._ordered)
        self.weights_note = parts.html("", "wb-muted")
        self.order = widgets.HTML()
        self.view = LinkedView(self)
        self.plots = ComparePlots(self)
        self.curves, self.slices, self.fan = self.plots.curves, self.plots.slices, self.plots.fan
        self.lightness = self.plots.lightness
        self.table = widgets.HTML()
        self.table.add_class("wb-compare-table")
        self.export = export(self)
        front.observe(self._changed, "pixel_ratio")
        sliders = parts.row(*self.weights.values())
        for css in ("wb-knobs", "wb-compare-weights"):
            sliders.add_class(css)
        style = widgets.HTML(STYLE)
        style.layout.display = "none"  # it takes no room, and holds all the same
        return [
            style,
            *self._own_knobs(),
            parts.heading(f"Papers to compare, up to {MOST_PAPERS}", 4),
            self._tick_box,
            self.status,
            self.answer,
            parts.heading("What matters", 4),
            sliders,
            self.weights_note,
            self.order,
            parts.heading("The picture on each paper", 4),
            *self.view.body,
            parts.heading("In figures", 4),
            parts.html(
                "White, black and gamut volume are absolute; what the picture loses is relative to "
                "each paper's white. Rest on a title to see which function gives the figure.",
                "wb-muted",
            ),
            self.table,
            parts.heading("Tones, colours, whites", 4),
            *self.plots.body,
            parts.heading("Take it away", 4),
            *self.export.body,
        ]

    def _own_knobs(self) -> list:
        """Intent and compensation, which the desk has already."""
        if not self.alone:
            return []
        self.intent, self.compensation = intent_knob(self), compensation_knob(self)
        return [parts.row(self.intent, self.compensation)]

    def missing(self) -> str:
        if self.plan.picture is None or not self.plan.papers:
            return "Open a picture and some papers to compare them here."
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

    def _offer_papers(self) -> None:
        """A tick for each paper; new papers are ticked while there is room."""
        if self._offered == self.plan.papers:
            return
        before, self.ticks = self.ticks, {}
        room = MOST_PAPERS - sum(before[id(p)].value for p in self.plan.papers if id(p) in before)
        for number, paper in enumerate(self.plan.papers, 1):
            tick = before.get(id(paper))
            label = f"{number}. {paper.name}"
            if tick is None or tick.field.description != label:
                was = room > 0 if tick is None else tick.value
                room -= tick is None and was
                tick = parts.tick(
                    self.front, label, value=was, help="Compare this paper with the others"
                )
                tick.on_change(self._changed)
            self.ticks[id(paper)] = tick
        # held, so that no identity is given to another paper
        self._offered = self.plan.papers
        self._tick_box.children = [tick.widget for tick in self.ticks.values()]

    # following -------------------------------------------------------------------

    def follow(self) -> None:
        with self.front.turn:
            plan = self.plan
            plan.picture.require_profile()
            self._offer_papers()
            papers = self.papers
            full = len(papers) >= MOST_PAPERS
            for tick in self.ticks.values():
                tick.disabled = full and not tick.value
            if not papers:
                self.worker.cancel("compare")
                self._asked = None
                raise WorkbenchError("Tick at least one paper to compare.")
            self._ask(papers)
            self._look()
            key = (plan.picture.require_profile(), tuple(papers), *plan.rendering.way.values())
            self._once("curves", (*key, self.numbers), self.plots.show_curves)
            self.cut()

    def _ask(self, papers) -> None:
        """Have the papers compared, unless they are or are being so."""
        plan = self.plan
        size = self._size()
        way = {**plan.rendering, "threshold": plan.threshold, "reference": plan.reference}
        asked = (plan.picture, tuple(papers), *way.values(), size)
        if asked == self._asked:
            return
        self._asked = asked
        how = {**way, "size": size}
        picture = plan.picture

        def work(cancelled, progress):
            return compare(picture, papers, **how, cancelled=cancelled, progress=progress)

        def done(comparison):
            with self.front.turn:
                self._measured = comparison
                self._ordered(None)

        self.worker.submit(
            "compare",
            work,
            done,
            lambda fraction, text: self.status.working("Comparing the papers", fraction),
            self._failed,
            status=self.status,
        )

    def _failed(self, problem) -> None:
        self._asked = None  # to be tried again
        report(self.status, problem, "compare")

    def _size(self) -> tuple[float, float] | None:
        """Width and height in mm that prices are for; None where the size does not add up."""
        try:
            size = self.plan.print_size()
        except SizeError:
            return None
        borders = size.borders
        return size.width_mm + borders.across_mm, size.height_mm + borders.down_mm

    # the order ---------------------------------------------------------------------

    def _order(self) -> None:
        with self.front.turn:
            if self._measured is None:
                return
            weights = {name: self.weights[name].value for name in CRITERIA}
            comparison = self._measured.order(weights)
            if self.status.kind == "work":
                self.status.clear()
            self.comparison = comparison
            mark = "whole picture, every pixel" if comparison.exact else "quick count"
            self.answer.say(comparison.sentence, mark=mark)
            set_html(
                self.weights_note, comparison.weights_sentence + self._price_note(), "wb-muted"
            )
            self.order.value = order_html(comparison, self.numbers)
            self.table.value = table_html(comparison)

    def _price_note(self) -> str:
        rows = self._measured.rows
        priced = sum(row.price is not None for row in rows)
        if priced == len(rows) or not self.weights["price"].value:
            return ""
        which = "None" if not priced else f"Only {priced} of {len(rows)}"
        return f" {which} of these papers has a price for this size; papers without come last."

    # what is seen --------------------------------------------------------------------

    def look(self) -> None:
        """Bring the linked view up to date, after one of its controls has moved."""
        if self.plan.picture is not None and self.ticks and self.papers:
            with self.front.turn:
                self._look()

    def _look(self) -> None:
        plan, papers, view = self.plan, self.with_profile, self.view
        eye = view.eye(papers or self.papers)
        key = (
            plan.picture, tuple(papers), *plan.rendering.way.values(), plan.reference, plan.adaptation,
            plan.paper, self.numbers, view.zoom.value, view.across.value, view.down.value,
            view.wall.value, view.room, self.front.pixel_ratio,
        )  # fmt: skip
        self._once("view", key, lambda: view.show(papers, self.numbers, eye))
        whites = (tuple(self.papers), self.numbers, plan.reference, plan.adaptation, plan.paper)
        self._once("fan", whites, self.plots.show_fan)

    def cut(self) -> None:
        """Bring the slice up to date, after its slider has moved."""
        if self.plan.picture is not None and self.ticks and self.papers:
            with self.front.turn:
                key = (tuple(self.papers), self.numbers, self.lightness.value)
                self._once("slices", key, self.plots.show_slices)
