"""The test strip panel: try parts of the print in steps on a small sheet, and choose."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

from workbench.errors import Cancelled, OutputError, WorkbenchError
from workbench.figures.gang import GangFigure, alt_text, strip_drawing
from workbench.files import file_stem
from workbench.gang.cost import sheet_cost
from workbench.gang.small_proof import patch_proofs
from workbench.gang.steps import Step
from workbench.gang.strip import Strip, suggest_crops, test_strip
from workbench.gang.telling import at
from workbench.gang.writing import write_strip
from workbench.output.adjust import Adjustments, as_adjustments
from workbench.output.job import PrintJob
from workbench.output.solved import Prices
from workbench.panels import parts
from workbench.panels.panel import Panel
from workbench.panels.parts.guard import report
from workbench.panels.strip.controls import StripControls
from workbench.panels.strip.nest import NestPart
from workbench.panels.strip.writing import SheetWriter
from workbench.plan import JOB_TRAITS

# of a job, what decides which parts tell most
_SUGGESTED_BY = (
    "picture",
    "paper",
    "intent",
    "black_point_compensation",
    "crop",
    "width_mm",
    "height_mm",
    "size_px",
    "ppi",
    "bleed_mm",
    "bleed",
)
# an empty value would leave the list blank
_NOT_CHOSEN = ("not chosen yet", "")


@dataclass(frozen=True)
class _Laid:
    """A strip in view, the parts it was chosen from, and its patches on screen."""

    strip: Strip
    tellings: tuple
    proofs: dict


class StripPanel(Panel):
    """Test strip: lay it out, write it, and take the step that was liked into the plan."""

    watch = (*JOB_TRAITS, "unit", "ink_ml_per_m2", "ink_price_per_ml")

    def build(self) -> list:
        front = self.front
        self.layer = self.front.scheduler.on(parts.FINER)
        # the strip's own "as planned", and what this panel has put in the plan
        self._base, self._set_here = Adjustments(), None
        self._laid: _Laid | None = None
        self._laid_for: tuple = ()  # of the plan
        self._suggested: tuple = (None, ())
        self.controls = StripControls(front)
        self.controls.on_change(self.safely(self._again))
        self.answer = parts.Sentence("Test strip")
        self.drawing = parts.PlotView(
            front, GangFigure(width_px=740, height_px=640), "The test strip, to scale"
        )
        self.writer = SheetWriter(
            front, "Write the strip",
            "Writes a 16-bit TIFF file for the printer into this folder; nothing is written over",
            "Folder for the strip",
            self._to_write,
        )  # fmt: skip
        self.liked = parts.choice(
            front, "I liked step", options=[_NOT_CHOSEN],
            help="The step you like best on the dried strip; the plan prints with it from now on",
        )  # fmt: skip
        self.liked.on_change(self.safely(self._take))
        self.taken = parts.html("", "wb-muted")
        self.around = parts.button(
            front, "New strip around this choice", self.safely(self._rebase),
            help="Lays out another strip whose middle step is what the plan prints with now",
        )  # fmt: skip
        self.around.disabled = True
        self.nest = NestPart(self)
        note = (
            "Drawn as it looks on the paper, for eyes used to the paper's white. Let the strip "
            "dry before you judge it."
        )
        self.results = parts.column(
            self.answer, self.drawing, parts.html(note, "wb-muted"), *self.writer.body,
            parts.row(self.liked, self.around), self.taken,
        )  # fmt: skip
        self._nothing()  # until it is laid out
        return [
            *self.controls.body,
            self.status,
            self.results,
            parts.fold("Several on one sheet", *self.nest.body, front=front),
        ]

    # following ---------------------------------------------------------------

    def missing(self) -> str:
        plan = self.plan
        if plan.picture is None:
            return "Open a picture to lay out a test strip here."
        if plan.paper is None and plan.converts == "workbench":
            return "Choose a paper to lay out a test strip here."
        return ""

    def follow(self) -> None:
        own = as_adjustments(self.plan.adjustments)
        if self._set_here is None or own != self._set_here:
            # decided elsewhere: it is what is planned now
            self._base, self._set_here = own, None
        self.nest.follow()
        plan = self.plan
        # the strip begins with adjustments of its own, so that a step that is liked moves nothing
        traits = (getattr(plan, name) for name in JOB_TRAITS if name != "adjustments")
        wanted = (*traits, self._base)
        with self.front.turn:
            if self._laid is not None and wanted == self._laid_for:
                self._show(self._laid)  # in another unit, or at another price
                return
            self._laid_for = wanted
        self._again()

    def job(self) -> PrintJob:
        """The whole print as the strip takes it: with the adjustments it began with."""
        return replace(PrintJob.from_plan(self.plan), adjustments=self._base)

    def _again(self) -> None:
        if self.missing():
            return
        try:
            job = self.job()
        except WorkbenchError:
            self._nothing()
            raise
        knobs = self.controls
        own, sheet = knobs.own_place, knobs.sheet.value
        steps = knobs.lightness_steps, knobs.warmth_steps
        # jobs compare by identity, so: all that the suggestions hang on
        key = tuple(getattr(job, name) for name in _SUGGESTED_BY)

        def work(cancelled, progress):
            progress(0.1, "Laying out the strip")
            known, tellings = self._suggested
            if known != key:
                tellings = suggest_crops(job)
                self._suggested = (key, tellings)
            wanted = [telling for telling in tellings if knobs.wanted(telling.name)]
            if own is not None:
                wanted.append(at(*own))
            if not wanted:
                return tellings
            strip = test_strip(job, wanted, *steps, sheet)
            progress(0.5, "Proofing the patches")
            return _Laid(strip, tellings, patch_proofs(strip, cancelled=cancelled))

        self.layer.submit("test strip", work, self._show, on_error=self._failed, status=self.status)

    def _failed(self, error: BaseException) -> None:
        if not isinstance(error, Cancelled):
            self._nothing()
        report(self.status, error, "test strip")

    def _nothing(self) -> None:
        """Show no strip that no longer holds."""
        self._laid = None
        self.results.layout.display = "none"

    def _show(self, found) -> None:
        with self.front.turn:
            if not isinstance(found, _Laid):
                self.controls.offer(found)
                self._nothing()
                raise OutputError("Tick at least one part of the picture for the strip.")
            self._laid = found
            self.results.layout.display = ""
            letters = {crop.telling.name: crop.letter for crop in found.strip.crops}
            self.controls.offer(found.tellings, letters)
            first, *_ = found.strip.sentences(self.plan.unit)
            self.answer.say(
                first,
                detail=sheet_cost(found.strip, self.plan.paper, Prices.of(self.plan)).sentence,
            )
            self._offer_steps(found.strip)
            self._draw()

    def _draw(self) -> None:
        shown = self._laid
        if shown is None:
            return
        drawing = strip_drawing(shown.strip, shown.proofs, self._liked())
        self.drawing.figure.update(drawing, unit=self.plan.unit)
        self.drawing.show(alt=alt_text(drawing, self.plan.unit))

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
        step = step or None
        with self.front.turn:
            adjustments = self._base if step is None else step.adjustments
            # first, so that the plan's change is known for one's own
            self._set_here = None if step is None else adjustments
            self.plan.adjustments = adjustments or None
            self._say_taken()
            self._draw()

    def _say_taken(self) -> None:
        step = self._liked()
        self.around.disabled = step is None or step.as_planned
        said = ""
        if step is not None:
            done = " ".join(step.adjustments.sentences()) or "Nothing is adjusted."
            said = f"The plan prints as in “{step.label}” from now on. {done}"
        parts.set_html(self.taken, said, "wb-muted")

    def _rebase(self) -> None:
        self._base, self._set_here = as_adjustments(self.plan.adjustments), None
        self._again()

    # writing -----------------------------------------------------------------

    def _to_write(self):
        with self.front.turn:
            shown = self._laid
        if shown is None:
            raise WorkbenchError(self.missing() or "There is no strip to write yet; wait a moment.")
        strip = shown.strip
        name = strip.job.picture.name

        def make(path, progress, cancelled):
            return write_strip(strip, path, progress=progress, cancelled=cancelled)

        stem = f"{file_stem(Path(name).stem if name else 'picture')}, test strip"
        return getattr(strip.job.picture, "path", None), stem, make
