"""The test strip panel: try parts of the print in steps on a small sheet, and choose."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

from workbench.analysis.place import PLACE_TRAITS, Place, place_of
from workbench.errors import OutputError, WorkbenchError
from workbench.figures.gang import GangFigure, alt_text, strip_drawing
from workbench.files import file_stem
from workbench.gang.cost import sheet_cost
from workbench.gang.small_proof import patch_proofs
from workbench.gang.steps import Step
from workbench.gang.strip import Strip
from workbench.gang.strip_layout import test_strip
from workbench.gang.telling import at
from workbench.gang.writing import write_strip
from workbench.language import tr
from workbench.output.adjust import Adjustments, as_adjustments
from workbench.output.for_place import print_for_place
from workbench.output.job import PrintJob
from workbench.output.magnified import place_in_print
from workbench.output.solved import Prices
from workbench.panels import parts
from workbench.panels.panel import Panel
from workbench.panels.strip.controls import StripControls, sheet_saver
from workbench.panels.strip.nest import NestPart
from workbench.panels.view import View
from workbench.plan import JOB_TRAITS, PRICE_TRAITS

# an empty value would leave the list blank
_NOT_CHOSEN = (tr("not chosen yet"), "")


@dataclass(frozen=True)
class _Asked:
    """The whole print, and which decisions to try in it on which sheet."""

    job: PrintJob
    rows: tuple[str, ...]
    own: tuple[float, float] | None
    sheet: str
    place: Place | None = None


@dataclass(frozen=True, eq=False)
class _Laid:
    """A strip, and its patches on screen."""

    strip: Strip
    proofs: dict


class StripPanel(Panel):
    """Test strip: lay it out, write it, and take the step that was liked into the plan."""

    watch = (*JOB_TRAITS, *PRICE_TRAITS, "unit", *PLACE_TRAITS)

    def build(self) -> list:
        front = self.front
        # the strip's own "as planned", and what this panel has put in the plan
        self._base, self._set_here = Adjustments(), None
        self._laid: _Laid | None = None
        self.controls = StripControls(front)
        self.controls.on_change(lambda: self._changed(None))
        front.observe(self.safely(self._pointed), "pointed")
        self.answer = parts.Sentence(tr("Test strip"))
        self.short = parts.html("")
        self.drawing = parts.PlotView(
            front, GangFigure(width_px=740, height_px=640), tr("The test strip, to scale")
        )
        self.writer = sheet_saver(
            front, tr("Write the strip"), tr("Writes a 16-bit TIFF file for the printer into this folder"),
            tr("Folder for the strip"), lambda: getattr(self.plan.picture, "path", None),
            self._to_write,
        )  # fmt: skip
        self.liked = parts.choice(
            front, tr("Preferred step"), options=[_NOT_CHOSEN],
            help=tr("The step you like best on the dried strip; the plan prints with it from now on"),
        )  # fmt: skip
        self.liked.on_change(self.safely(self._take))
        self.taken = parts.html("", "wb-muted")
        self.around = parts.button(
            front, tr("New strip around this choice"), self.safely(self._rebase),
            help=tr("Lays out another strip whose middle step is what the plan prints with now"),
        )  # fmt: skip
        self.around.disabled = True
        self.nest = NestPart(self)
        note = tr(
            "Drawn as it looks on the paper, for eyes adapted to the paper's white. The printed "
            "labels say in brackets how far a patch lies from its neighbour as printed, in "
            "CIEDE2000 (relative). Let the strip dry before you judge it."
        )
        self.results = parts.column(
            self.answer, self.short, self.drawing, parts.html(note, "wb-muted"), *self.writer.body,
            parts.row(self.liked, self.around), self.taken,
        )  # fmt: skip
        self._nothing()  # until it is laid out
        return [
            *self.controls.body,
            self.status,
            self.results,
            parts.fold(tr("Several on one sheet"), *self.nest.body, front=front),
        ]

    def _pointed(self, change) -> None:
        """Take a place that was clicked in the picture for the place of one's own."""
        if self._shown and change["new"] is not None and self.controls.own.value:
            self.controls.own_place = place_in_print(self.plan, *change["new"])
            self._changed(change)

    # following ---------------------------------------------------------------

    def missing(self) -> str:
        # what is on the list of prints can be laid on a sheet all the same
        return "" if self.nest.jobs else self.lacking()

    def lacking(self) -> str:
        """What the plan lacks for a print, as a sentence; empty if nothing."""
        plan = self.plan
        if plan.picture is None:
            return tr("Open a picture to lay out a test strip here.")
        if plan.paper is None and plan.converts == "workbench":
            return tr("Choose a paper to lay out a test strip here.")
        return ""

    def follow(self) -> None:
        own = as_adjustments(self.plan.adjustments)
        if self._set_here is None or own != self._set_here:
            # decided elsewhere: it is what is planned now
            self._base, self._set_here = own, None
        super().follow()

    def shows(self):
        return (
            View("strip", self._asked, lay_out, self._show, parts.FINER, forget=self._nothing),
            View("drawing", self._to_draw, drawn, self._draw),
            *self.nest.shows(),
        )

    def _asked(self) -> _Asked | None:
        if lacking := self.lacking():
            self.status.say(lacking)
            return None
        knobs = self.controls
        # with the adjustments it began with, so that a step that is liked moves nothing
        job = replace(PrintJob.from_plan(self.plan), adjustments=self._base)
        place = place_of(self.plan) if knobs.with_place else None
        return _Asked(job, knobs.wanted, knobs.own_place, knobs.sheet.value, place)

    def _nothing(self) -> None:
        """Show no strip that no longer holds."""
        self._laid = None
        self.controls.say({})
        self.results.layout.display = "none"

    def _show(self, found: _Laid) -> None:
        self._laid = found
        self.results.layout.display = ""
        self.controls.say({row.kind: row.sentence for row in reversed(found.strip.rows)})
        parts.set_html(self.short, " ".join(found.strip.short), "wb-muted")
        self._offer_steps(found.strip)
        self._follow()  # the drawing stands on it

    def _to_draw(self) -> tuple | None:
        if self._laid is None:
            return None
        plan = self.plan
        return self._laid, self._liked(), plan.unit, plan.paper, Prices.of(plan)

    def _draw(self, found: tuple) -> None:
        sentence, cost, drawing, unit = found
        self.answer.say(sentence, detail=cost)
        self.drawing.figure.update(drawing, unit=unit)
        self.drawing.show(alt=alt_text(drawing, unit))

    # choosing ----------------------------------------------------------------

    def _offer_steps(self, strip: Strip) -> None:
        """The strip's steps to choose from, with the plan's own chosen if it is one of them."""
        options = [_NOT_CHOSEN, *((step.label, step) for step in strip.steps)]
        chosen = ""
        if self._set_here is not None:
            chosen = next((s for s in strip.steps if s.adjustments == self._set_here), "")
        self.liked.replace(options, chosen)
        self._say_taken()

    def _liked(self) -> Step | None:
        return self.liked.value or None

    def _take(self, step) -> None:
        """Print with a step from now on; with none, as was planned before."""
        adjustments = step.adjustments if step else self._base
        # first, so that the plan's change is known for one's own
        self._set_here = adjustments if step else None
        self.plan.adjustments = adjustments or None
        self._say_taken()
        self._follow()

    def _say_taken(self) -> None:
        step = self._liked()
        self.around.disabled = step is None or step.as_planned
        said = ""
        if step is not None:
            done = " ".join(step.adjustments.sentences()) or tr("Nothing is adjusted.")
            said = tr(
                "The plan prints as in “{step}” from now on. {done}", step=step.label, done=done
            )
        parts.set_html(self.taken, said, "wb-muted")

    def _rebase(self) -> None:
        self._base, self._set_here = as_adjustments(self.plan.adjustments), None
        self._follow()

    # writing -----------------------------------------------------------------

    def _to_write(self):
        if self._laid is None:
            raise WorkbenchError(
                self.lacking() or tr("There is no strip to write yet; wait a moment.")
            )
        strip = self._laid.strip
        name = strip.job.picture.name
        stem = tr(
            "{picture}, test strip", picture=file_stem(Path(name).stem if name else tr("picture"))
        )
        return stem, lambda path, **how: write_strip(strip, path, **how)


def lay_out(asked: _Asked, cancelled, progress) -> _Laid:
    """The strip that is asked for, with its patches as they will look."""
    progress(0.1, tr("Working out steps that can be told apart"))
    if not asked.rows and asked.own is None and asked.place is None:
        raise OutputError(tr("Tick at least one decision for the strip."))
    places = () if asked.own is None else (at(*asked.own),)
    offered = None if asked.place is None else for_its_place(asked.job, asked.place)
    strip = test_strip(asked.job, places, sheet=asked.sheet, rows=asked.rows, offered=offered)
    progress(0.6, tr("Proofing the patches"))
    return _Laid(strip, patch_proofs(strip, cancelled=cancelled))


def for_its_place(job: PrintJob, place: Place) -> Adjustments:
    """What a print is made with for its place: its own where they are, or what is proposed."""
    own = as_adjustments(job.adjustments)
    if own.made_for:
        return own
    if job.converted_for is None:
        raise OutputError(
            tr(
                "What a place does to a print is known only where the workbench converts; choose that, "
                "or untick the row for the place."
            )
        )
    how = {"intent": job.intent, "black_point_compensation": job.black_point_compensation}
    return print_for_place(job.picture, job.paper, place, long_side_px=60, **how).adjustments


def drawn(asked: tuple) -> tuple:
    """(sentence, what it costs, drawing, unit) of a strip."""
    laid, liked, unit, paper, prices = asked
    drawing = strip_drawing(laid.strip, laid.proofs, liked)
    cost = sheet_cost(laid.strip, paper, prices).sentence
    return laid.strip.sentences(unit)[0], cost, drawing, unit
