"""Several prints on one sheet: a list of them, how they lie, and writing the sheet."""

from __future__ import annotations

from dataclasses import dataclass

import ipywidgets as widgets
import traitlets

from workbench.analysis.sheets import area_text, find_sheet
from workbench.errors import OutputError
from workbench.figures.gang import GangFigure, alt_text, nest_drawing
from workbench.gang.cost import sheet_cost
from workbench.gang.nest import GAP_MM, MARGIN_MM, Nest, check_together, nest
from workbench.gang.packing import MOST_PIECES
from workbench.gang.small_proof import piece_proof
from workbench.gang.writing import write_nest
from workbench.language import tr
from workbench.output.care import CUTTING
from workbench.output.job import PrintJob
from workbench.output.layout import layout_of
from workbench.output.solved import Prices
from workbench.panels import parts
from workbench.panels.parts.choice_or_typed import ChoiceOrTyped
from workbench.panels.parts.lengths import bound_length, sheet_options
from workbench.panels.strip.controls import sheet_saver
from workbench.panels.view import View


class NestPart:
    """The fold's inside; ``body`` holds the items to lay out, ``jobs`` what is on the list.

    Parameters
    ----------
    owner : the test strip panel.
    """

    def __init__(self, owner):
        self._owner = owner
        self.jobs: list[PrintJob] = []
        self._laid: _Laid | None = None
        front = self.front = owner.front
        self.said = parts.StatusLine(front)
        safely = parts.guarded(self.said)
        self.copies = parts.number(
            front, tr("Copies"), value=1, min=1, max=MOST_PIECES,
            help=tr("How often the print is wanted on the sheet"),
        )  # fmt: skip
        self.add = parts.button(
            front, tr("Add this print"), safely(self.add_print),
            help=tr("Puts the picture at its present size, on its present paper, on the list below"),
        )  # fmt: skip
        self.list = widgets.Select(options=[], rows=4)
        self.list.add_class("wb-files-list")
        self.list.layout.width = "100%"
        front.tag(self.list, aria_label=tr("Prints on the sheet"))
        self.remove = parts.button(
            front, tr("Take out the chosen one"), safely(self.take_out),
            help=tr("Takes the print that is chosen in the list off the sheet"),
        )  # fmt: skip
        self.empty = parts.button(
            front, tr("Take all out"), safely(self.take_all_out), help=tr("Empties the list")
        )
        self.sheet = ChoiceOrTyped(
            front, tr("Sheet or roll for them"), options=sheet_options(owner.plan.unit),
            help=tr("Of a roll, the shortest length that takes all is used"),
            placeholder=tr("40 x 60 cm, roll 50 cm"),
        )  # fmt: skip
        self.sheet.value = "A3+"
        self.room = _Room()
        self.gap, self.margin = (
            bound_length(owner, name, label, (0, 100), help, held=self.room)
            for name, label, help in (
                ("gap_mm", tr("Gap between prints"), tr("Bare paper between two prints, to cut in")),
                ("margin_mm", tr("Margin of the sheet"),
                 tr("Kept bare at every edge; few printers print to the edge")),
            )
        )  # fmt: skip
        self.turn = parts.tick(
            front,
            tr("Prints may be turned"),
            value=True,
            help=tr("By a quarter, where that saves paper"),
        )
        self.marks = parts.tick(
            front,
            tr("Cut marks"),
            value=True,
            help=tr(
                "Thin grey lines at the corners of each print. Cut along a steel rule with a guard, the "
                "other hand behind the blade (common practice, no source)"
            ),
        )
        again = safely(lambda change: owner._changed(change))
        self.room.observe(again)
        for control in (self.sheet, self.turn):
            control.on_change(again)
        self.answer = parts.Sentence(tr("On the sheet"), tr("Nothing is on the list yet."))
        self.drawing = parts.PlotView(
            front,
            GangFigure(width_px=740, height_px=480),
            tr("The prints on their sheet, to scale"),
        )
        self.writer = sheet_saver(
            front, tr("Write the sheet"),
            tr("Writes a 16-bit TIFF file with all prints into this folder"),
            tr("Folder for the sheet"),
            lambda: next((job.picture.path for job in self.jobs), None),
            self._to_write,
        )  # fmt: skip
        cutting = parts.html(tr("To cut them apart: {cutting}.", cutting=CUTTING), "wb-muted")
        self.result = parts.column(self.answer, self.drawing, cutting, *self.writer.body)
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
        self._list(())

    @property
    def nest(self) -> Nest | None:
        """The prints as they lie on their sheet; None until they do."""
        return None if self._laid is None else self._laid.nest

    # the list ------------------------------------------------------------------

    def add_print(self) -> None:
        """Put the plan's print on the list."""
        if lacking := self._owner.lacking():
            raise OutputError(lacking)
        job, count = PrintJob.from_plan(self._owner.plan), int(self.copies.value)
        # now, so that a print that cannot be is told of at the button
        layout_of(job)
        check_together([*self.jobs, job])
        if len(self.jobs) + count > MOST_PIECES:
            raise OutputError(
                tr(
                    "At most {most} prints go on one sheet; write this one first.",
                    most=MOST_PIECES,
                )
            )
        self.jobs += [job] * count
        self._owner._changed(None)

    def take_out(self) -> None:
        """Take the chosen print off the list."""
        if self.list.index is None:
            raise OutputError(tr("Choose a print in the list first."))
        del self.jobs[self.list.index]
        self._owner._changed(None)

    def take_all_out(self) -> None:
        """Empty the list."""
        self.jobs.clear()
        self._owner._changed(None)

    # how they lie --------------------------------------------------------------

    def shows(self) -> tuple[View, ...]:
        """What the panel declares of it."""
        unit = lambda: self._owner.plan.unit  # noqa: E731
        return (
            View("list", lambda: (tuple(self.jobs), unit()), list_lines, self._list),
            View(
                "nest", self._asked, lay_together, self._show, parts.FINER, forget=self._nothing,
                status=self.said,
            ),
            View("nest drawing", self._to_draw, nest_drawn, self._draw),
        )  # fmt: skip

    def _list(self, lines) -> None:
        self.list.options = lines
        self.remove.disabled = self.empty.disabled = not lines
        self.result.layout.display = "" if lines else "none"

    def _asked(self) -> tuple | None:
        if not self.jobs:
            return None
        sheet, room = find_sheet(self.sheet.value), self.room
        return tuple(self.jobs), sheet, room.gap_mm, room.margin_mm, bool(self.turn.value)

    def _nothing(self) -> None:
        self._laid = None
        self.answer.say(tr("Nothing is on the list yet."))

    def _show(self, found: _Laid) -> None:
        self._laid = found
        self._owner._changed(None)  # the drawing stands on it

    def _to_draw(self) -> tuple | None:
        plan = self._owner.plan
        return self._laid and (self._laid, plan.unit, Prices.of(plan))

    def _draw(self, found: tuple) -> None:
        first, more, drawing, unit = found
        self.answer.say(first, detail=more)
        self.drawing.figure.update(drawing, unit=unit)
        self.drawing.show(alt=alt_text(drawing, unit))

    def _to_write(self):
        found, marks = self.nest, bool(self.marks.value)
        if found is None:
            raise OutputError(tr("There is no sheet to write yet; add a print to the list first."))
        stem = tr("{count} prints on {sheet}", count=len(found.pieces), sheet=found.sheet.name)
        return stem, lambda path, **how: write_nest(found, path, marks=marks, **how)


@dataclass(frozen=True, eq=False)
class _Laid:
    """Prints on their sheet, and a small picture of each."""

    nest: Nest
    small: tuple


class _Room(traitlets.HasTraits):
    """What is kept bare between and around prints on one sheet."""

    gap_mm = traitlets.Float(GAP_MM, min=0.0)
    margin_mm = traitlets.Float(MARGIN_MM, min=0.0)


def list_lines(asked: tuple) -> list[str]:
    """Each print on the list in words, numbered."""
    jobs, unit = asked
    lines = []
    for number, job in enumerate(jobs, 1):
        layout = layout_of(job)
        size = area_text(layout.width_mm, layout.height_mm, unit)
        lines.append(f"{number}. {job.picture_name}, {size}")
    return lines


def lay_together(asked: tuple, cancelled, progress) -> _Laid:
    """The prints on their sheet, and how each piece of it will look."""
    jobs, *lying = asked
    progress(0.2, tr("Laying out the prints"))
    found = nest(list(jobs), *lying)
    made = {piece.job: piece for piece in found.pieces}
    made = {job: piece_proof(piece) for job, piece in made.items()}
    return _Laid(found, tuple(made[piece.job] for piece in found.pieces))


def nest_drawn(asked: tuple) -> tuple:
    """(sentence, more of them and the cost, drawing, unit) of prints on one sheet."""
    laid, unit, prices = asked
    found = laid.nest
    first, *more = found.sentences(unit)
    paper = found.pieces and found.pieces[0].job.paper
    if paper:
        more.append(sheet_cost(found, paper, prices).sentence)
    return first, " ".join(more), nest_drawing(found, laid.small, unit=unit), unit
