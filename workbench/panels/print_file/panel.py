"""The print file panel: from what will be made, through how, to writing it."""

from __future__ import annotations

from workbench.errors import WorkbenchError
from workbench.output.expected import expected_file
from workbench.output.job import PrintJob
from workbench.output.solved import solve
from workbench.panels import parts
from workbench.panels.panel import Panel
from workbench.panels.print_file.adjustments import AdjustmentsPart
from workbench.panels.print_file.controls import JPEG, TIFF, ColourControls
from workbench.panels.print_file.layout import LayoutPart
from workbench.panels.print_file.sharpening import SharpeningPart
from workbench.panels.print_file.words import answer_words, expected_rows, hands_words, rows_html
from workbench.panels.print_file.writing import WritingPart
from workbench.panels.print_knobs import print_knobs
from workbench.plan import JOB_TRAITS, PRICE_TRAITS, UNITS

_SEEN = ("reference", "adaptation", "display")


class PrintFilePanel(Panel):
    """Print file: who converts, where it lies, how it is sharpened and adjusted, and writing.

    ``made`` is what the plan is `Solved` to, or None where it does
    not add up.
    """

    watch = (*JOB_TRAITS, "description", *_SEEN, "papers", "unit", *PRICE_TRAITS)

    # building ---------------------------------------------------------------

    def build(self) -> list:
        self.made = None
        # pictures of a part follow moving sliders and must not wait for counts of the desk
        self.resting = self.front.scheduler.on(parts.FINER, 0.02)
        front = self.front
        self.answer = parts.Sentence("What will be made")
        self.expected = parts.html("")
        self.colours = ColourControls(self)
        self.colours.kind.on_change(self.safely(self._kind_chosen))
        self.place = LayoutPart(self)
        self.sharpening = SharpeningPart(self, self.resting, self._looking_at)
        self.adjustments = AdjustmentsPart(self, self.resting)
        self.copies = self.bind(
            parts.number(
                front, "Copies of the edition", value=1, min=1, max=9999,
                help="How many prints the price and the job sheet reckon with",
            ),
            "copies",
        )  # fmt: skip
        self.description = self.bind(
            parts.text(
                front, "Description inside the file", placeholder="written for you",
                help="A line that other programs show; left empty, it names picture and paper",
            ),
            "description",
        )  # fmt: skip
        self.notes = self.bind(
            parts.text(
                front, "Notes for the job sheet",
                help="Your own words to whoever stands at the printer",
            ),
            "notes",
        )  # fmt: skip
        self.writing = WritingPart(self)
        return [
            *self._lone_knobs(),
            self.answer,
            self.status,
            parts.heading("Where it lies on the paper", 4),
            *self.place.items,
            parts.heading("Who converts, and into what", 4),
            *self.colours.items,
            parts.heading("Sharpening, at print pixels", 4),
            *self.sharpening.items,
            parts.heading("Adjustments for this paper", 4),
            *self.adjustments.items,
            parts.heading("Write it", 4),
            parts.row(self.copies, self.description, self.notes),
            self.expected,
            *self.writing.items,
        ]

    def _lone_knobs(self) -> list:
        """What a desk has above all panels, or in the size panel."""
        if not self.alone:
            return []
        paper, intent, compensation = print_knobs(self)
        self.unit = self.bind(
            parts.choice(self.front, "Show sizes in", options=list(UNITS), help="cm, mm or inches"),
            "unit",
        )
        return [parts.row(paper, intent, self.unit, compensation)]

    def _kind_chosen(self, kind: str) -> None:
        self.writing.take_kind(kind)
        self.kind_changed()

    def kind_changed(self) -> None:
        """Another kind of file: what it can hold, and what it takes."""
        if self.made is not None:
            with self.front.turn:
                self._show_expected()
        self._show_kind()

    # following ----------------------------------------------------------------

    def missing(self) -> str:
        if self.plan.picture is None:
            return "Open a picture to see its print file here."
        if self.plan.paper is None and self.plan.converts == "workbench":
            return "Choose a paper, or let the printer driver convert, to see the print file here."
        return ""

    def follow(self) -> None:
        with self.front.turn:
            self._follow_controls()
            self._lay_out()
            if self.made is None:
                return
            job, layout = self.made.job, self.made.layout
            self.place.show(job, layout)
            self._show_expected()
            self.sharpening.show(self.made)
            self.adjustments.show(job)

    def _follow_controls(self) -> None:
        plan = self.plan
        parts.set_html(self.colours.hands, hands_words(plan.converts))
        self._show_kind()
        self.writing.follow()

    def _show_kind(self) -> None:
        kind = self.colours.kind.value
        self.colours.bit_depth.disabled = kind == JPEG
        self.colours.compression.visible = kind == TIFF

    def _lay_out(self) -> None:
        """The job and its layout, or a sentence beside the control that stands in the way."""
        self.made = job = None
        try:
            job = PrintJob.from_plan(self.plan)
            self.made = solve(self.plan)
        except WorkbenchError as problem:
            self.answer.say("Nothing yet: something does not add up.")
            self.expected.value = ""
            self.sharpening.hide()
            if not self.place.blame(job, problem):
                raise

    def _show_expected(self) -> None:
        job = self.made.job
        try:
            expected = expected_file(job, self.made.layout, self.colours.kind.value)
        except WorkbenchError as problem:
            self.colours.problem.problem(str(problem), source=self)
            self.answer.say("Nothing yet: this kind of file cannot hold the print.")
            self.expected.value = ""
            return
        self.colours.problem.solved(self)
        self.answer.say(answer_words(expected, job))
        self.expected.value = rows_html(expected_rows(expected, self.made.cost))

    def _looking_at(self, box) -> None:
        """Another part of the print is looked at."""
        # not under the lock: who holds it may be waiting for this to end
        if self.made is not None:
            self.place.mark(box)
