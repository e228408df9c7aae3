"""The print file panel: from what will be made, through how, to writing it."""

from __future__ import annotations

from workbench.errors import WorkbenchError
from workbench.language import tr
from workbench.output.expected import expected_file
from workbench.output.solved import Solved
from workbench.panels import parts
from workbench.panels.knobs import knob
from workbench.panels.panel import Panel
from workbench.panels.parts.dragging import follow_hand
from workbench.panels.parts.facts import facts_table
from workbench.panels.print_file.adjustments import AdjustmentsPart
from workbench.panels.print_file.black_and_white import BlackAndWhitePart
from workbench.panels.print_file.controls import ColourControls
from workbench.panels.print_file.layout import LayoutPart
from workbench.panels.print_file.sharpening import SharpeningPart
from workbench.panels.print_file.words import answer_words, expected_rows
from workbench.panels.print_file.writing import WritingPart
from workbench.panels.print_knobs import print_knobs
from workbench.panels.view import View
from workbench.plan import JOB_TRAITS, PRICE_TRAITS

_SEEN = ("reference", "adaptation", "display")


class PrintFilePanel(Panel):
    """Print file: who converts, where it lies, how it is sharpened and adjusted, and writing.

    ``made`` is what the plan is `Solved` to, or None where it does not add up.
    """

    watch = (*JOB_TRAITS, "description", *_SEEN, "papers", "unit", *PRICE_TRAITS)

    # building ---------------------------------------------------------------

    def build(self) -> list:
        self.made: Solved | None = None
        self.answer = parts.Sentence(tr("What will be made"))
        self.expected = parts.html("")
        self.writing = WritingPart(self)
        self.colours = ColourControls(self)
        self.place = LayoutPart(self)
        self.sharpening = SharpeningPart(self, self.place.mark)
        follow_hand(
            self.front, self.place.drawing.widget,
            self.safely(lambda hand: self.place.follow(hand, self.sharpening)),
        )  # fmt: skip
        self.adjustments = AdjustmentsPart(self)
        self.black_and_white = BlackAndWhitePart(self, self.adjustments.knobs)
        self.copies = knob(self, "copies")
        self.description = knob(self, "description", placeholder=tr("written for you"))
        self.notes = knob(self, "notes")
        return [
            *self._lone_knobs(),
            self.answer,
            self.status,
            parts.heading(tr("Where it lies on the paper"), 4),
            *self.place.items,
            parts.heading(tr("Who converts, and into what"), 4),
            *self.colours.items,
            parts.heading(tr("Sharpening"), 4),
            *self.sharpening.items,
            parts.heading(tr("Adjustments for this paper"), 4),
            *self.adjustments.items,
            parts.heading(tr("Black and white"), 4),
            *self.black_and_white.items,
            parts.heading(tr("Write it"), 4),
            parts.row(self.copies, self.description, self.notes),
            self.expected,
            *self.writing.items,
        ]

    def _lone_knobs(self) -> list:
        """What a desk has above all panels, or in the size panel."""
        if not self.alone:
            return []
        paper, intent, compensation = print_knobs(self)
        self.unit = knob(self, "unit")
        return [parts.row(paper, intent, self.unit, compensation)]

    # following ----------------------------------------------------------------

    def missing(self) -> str:
        if self.plan.picture is None:
            return tr("Open a picture to see its print file here.")
        if self.plan.paper is None and self.plan.converts == "workbench":
            return tr(
                "Choose a paper, or let the printer driver convert, to see the print file here."
            )
        return ""

    def follow(self) -> None:
        problem = None
        try:
            self.made = self.plan.solved()
        except WorkbenchError as error:
            self.made, problem = None, error
        super().follow()
        # beside the control that stands in the way, where there is one
        if problem is None:
            self.place.clear()
        elif not self.place.blame(problem):
            raise problem

    def shows(self):
        return (
            *self.colours.shows(),
            *self.writing.shows(),
            View("answer", self._asked, expected, self._answer, forget=self._nothing),
            *self.place.shows(),
            *self.sharpening.shows(),
            *self.adjustments.shows(),
            *self.black_and_white.shows(),
        )

    def _asked(self) -> tuple | None:
        return self.made and (self.made, self.colours.kind.value, self.plan.unit)

    def _answer(self, found: tuple) -> None:
        answer, rows, problem = found
        if problem is None:
            self.colours.problem.solved(self)
        else:
            self.colours.problem.problem(str(problem), source=self)
        self.answer.say(answer)
        self.expected.value = facts_table(rows) if rows else ""

    def _nothing(self) -> None:
        self.answer.say(tr("Nothing yet: something does not add up."))
        self.expected.value = ""


def expected(asked: tuple) -> tuple:
    """(what will be made, rows on it, None), or what stands in the way of this kind of file."""
    solved, kind, unit = asked
    try:
        found = expected_file(solved.job, solved.layout, kind)
    except WorkbenchError as problem:
        return tr("Nothing yet: this kind of file cannot hold the print."), (), problem
    return answer_words(found, solved.job, unit), expected_rows(found, solved.cost), None
