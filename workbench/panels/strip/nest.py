"""Several prints on one sheet: a list of them, how they lie, and writing the sheet."""

from __future__ import annotations

import ipywidgets as widgets

from workbench.analysis.sheets import area_text, find_sheet
from workbench.errors import OutputError
from workbench.figures.gang import GangFigure, alt_text, nest_drawing
from workbench.gang.cost import sheet_cost
from workbench.gang.nest import GAP_MM, MARGIN_MM, Nest, check_together, nest
from workbench.gang.packing import MOST_PIECES
from workbench.gang.small_proof import piece_proof
from workbench.gang.writing import write_nest
from workbench.output.job import PrintJob
from workbench.output.layout import layout_of
from workbench.output.solved import Prices
from workbench.panels import parts
from workbench.panels.parts.choice_or_typed import ChoiceOrTyped
from workbench.panels.parts.lengths import sheet_options
from workbench.panels.strip.writing import SheetWriter


class NestPart:
    """The fold's inside; ``body`` holds the items to lay out, ``jobs`` what is on the list.

    Parameters
    ----------
    owner : the test strip panel.
    """

    def __init__(self, owner):
        self._owner = owner
        self.jobs: list[PrintJob] = []
        self.nest: Nest | None = None
        front = self.front = owner.front
        self.said = parts.StatusLine(front)
        safely = parts.guarded(self.said)
        self.copies = parts.number(
            front, "Copies", value=1, min=1, max=MOST_PIECES,
            help="How often the print is wanted on the sheet",
        )  # fmt: skip
        self.add = parts.button(
            front, "Add this print", safely(self.add_print),
            help="Puts the picture at its present size, on its present paper, on the list below",
        )  # fmt: skip
        self.list = widgets.Select(options=[], rows=4)
        self.list.add_class("wb-files-list")
        self.list.layout.width = "100%"
        front.tag(self.list, aria_label="Prints on the sheet")
        self.remove = parts.button(
            front, "Take out the chosen one", safely(self.take_out),
            help="Takes the print that is chosen in the list off the sheet",
        )  # fmt: skip
        self.empty = parts.button(
            front, "Take all out", safely(self.take_all_out), help="Empties the list"
        )
        self.sheet = ChoiceOrTyped(
            front, "Sheet or roll for them", options=sheet_options(owner.plan.unit),
            help="Of a roll, the shortest length that takes all is used",
            placeholder="40 x 60 cm, roll 50 cm",
        )  # fmt: skip
        self.sheet.value = "A3+"
        self.gap = parts.number(
            front, "Gap between prints", value=GAP_MM, min=0, max=100, step=0.5, unit="mm",
            help="Bare paper between two prints, to cut in",
        )  # fmt: skip
        self.margin = parts.number(
            front, "Margin of the sheet", value=MARGIN_MM, min=0, max=100, step=0.5, unit="mm",
            help="Kept bare at every edge; few printers print to the edge",
        )  # fmt: skip
        self.turn = parts.tick(
            front, "Prints may be turned", value=True, help="By a quarter, where that saves paper"
        )
        self.marks = parts.tick(
            front, "Cut marks", value=True, help="Thin grey lines at the corners of each print"
        )
        for control in (self.sheet, self.gap, self.margin, self.turn):
            control.on_change(safely(lambda value: self.again()))
        self.answer = parts.Sentence("On the sheet", "Nothing is on the list yet.")
        self.drawing = parts.PlotView(
            front, GangFigure(width_px=740, height_px=480), "The prints on their sheet, to scale"
        )
        self.writer = SheetWriter(
            front, "Write the sheet",
            "Writes a 16-bit TIFF file with all prints into this folder; nothing is written over",
            "Folder for the sheet",
            self._to_write,
        )  # fmt: skip
        self.result = parts.column(self.answer, self.drawing, *self.writer.body)
        owner.plan.observe(
            lambda change: self.sheet.replace(sheet_options(change["new"])), names=["unit"]
        )
        knobs = parts.row(self.sheet, self.gap, self.margin, self.turn, self.marks)
        knobs.add_class("wb-knobs")
        self.body = [
            parts.row(self.copies, self.add),
            self.list,
            parts.row(self.remove, self.empty),
            knobs,
            self.said,
            self.result,
        ]
        self._set_list()

    # the list ------------------------------------------------------------------

    def add_print(self) -> None:
        """Put the plan's print on the list."""
        if missing := self._owner.missing():
            raise OutputError(missing)
        job, count = PrintJob.from_plan(self._owner.plan), int(self.copies.value)
        # now, so that a print that cannot be is told of at the button
        layout_of(job)
        check_together([*self.jobs, job])
        if len(self.jobs) + count > MOST_PIECES:
            raise OutputError(
                f"At most {MOST_PIECES} prints go on one sheet; write this one first."
            )
        self.jobs += [job] * count
        self._set_list()
        self.again()

    def take_out(self) -> None:
        """Take the chosen print off the list."""
        if self.list.index is None:
            raise OutputError("Choose a print in the list first.")
        del self.jobs[self.list.index]
        self._set_list()
        self.again()

    def take_all_out(self) -> None:
        """Empty the list."""
        self.jobs.clear()
        self._set_list()
        self.again()

    def _set_list(self) -> None:
        plan = self._owner.plan
        unit = plan.unit
        self._told = unit, plan.ink_ml_per_m2, plan.ink_price_per_ml
        options = []
        for number, job in enumerate(self.jobs, 1):
            layout = layout_of(job)
            size = area_text(layout.width_mm, layout.height_mm, unit)
            options.append(f"{number}. {job.picture.name or 'untitled picture'}, {size}")
        self.list.options = options
        self.remove.disabled = self.empty.disabled = not options
        self.result.layout.display = "" if options else "none"

    # how they lie --------------------------------------------------------------

    def follow(self) -> None:
        """Another unit or another price: say sizes and cost anew."""
        plan = self._owner.plan
        told = plan.unit, plan.ink_ml_per_m2, plan.ink_price_per_ml
        if told == self._told:
            return
        self._set_list()
        with self.front.turn:
            if self.nest is not None:
                self._show((self.nest, self._small))

    def again(self) -> None:
        """Lay the prints out anew."""
        worker = self._owner.layer
        if not self.jobs:
            worker.cancel("test strip, nest")
            self.nest = None
            self.answer.say("Nothing is on the list yet.")
            return
        jobs, turn = list(self.jobs), bool(self.turn.value)
        lying = find_sheet(self.sheet.value), self.gap.value, self.margin.value

        def work(cancelled, progress):
            progress(0.2, "Laying out the prints")
            found = nest(jobs, *lying, turn)
            small, made = [], {}
            for piece in found.pieces:
                if id(piece.job) not in made:
                    made[id(piece.job)] = piece_proof(piece)
                small.append(made[id(piece.job)])
            return found, small

        worker.submit("test strip, nest", work, self._show, status=self.said)

    def _show(self, found) -> None:
        with self.front.turn:
            self.nest, self._small = found
            unit, paper = self._owner.plan.unit, self.nest.pieces and self.nest.pieces[0].job.paper
            first, *more = self.nest.sentences(unit)
            if paper:
                more.append(sheet_cost(self.nest, paper, Prices.of(self._owner.plan)).sentence)
            self.answer.say(first, detail=" ".join(more))
            drawing = nest_drawing(self.nest, self._small, unit=unit)
            self.drawing.figure.update(drawing, unit=unit)
            self.drawing.show(alt=alt_text(drawing, unit))

    def _to_write(self):
        with self.front.turn:
            found, marks = self.nest, bool(self.marks.value)
        if found is None:
            raise OutputError("There is no sheet to write yet; add a print to the list first.")

        def make(path, progress, cancelled):
            return write_nest(found, path, marks=marks, progress=progress, cancelled=cancelled)

        original = next((piece.job.picture.path for piece in found.pieces), None)
        return original, f"{len(found.pieces)} prints on {found.sheet.name}", make
