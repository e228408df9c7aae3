"""The target panel: a page to print, what was measured of it, and whether the print is right."""

from __future__ import annotations

from pathlib import PurePath

import numpy as np

from workbench.colour.engine import transform
from workbench.colour.spaces import standard_profile
from workbench.errors import WorkbenchError
from workbench.figures.target import PatchesFigure, held_drift, held_verdict
from workbench.figures.target_limits import LimitsFigure
from workbench.figures.target_shift import ShiftFigure
from workbench.panels import parts
from workbench.panels.outcome import Outcome
from workbench.panels.panel import Panel
from workbench.panels.parts.guard import report
from workbench.panels.print_knobs import lone_row
from workbench.panels.target.controls import ReadControls, WriteControls
from workbench.panels.target.words import limits_html, list_html, patches_html, read_words
from workbench.panels.target.writing import write_to
from workbench.picture import open_picture
from workbench.target.cgats_file import cgats_text
from workbench.target.draw import target_picture
from workbench.target.drift import drift
from workbench.target.geometry import PATCH, geometry_of
from workbench.target.measured import read_measured
from workbench.target.patches import SPACE, target_for
from workbench.target.scan import read_scanned_target
from workbench.target.verdict import verdict

# CSS pixels of the page's picture, and of grey around it
_PAGE_PPI, _PAGE_PX, _AROUND_PX = 100, 420, 32


class TargetPanel(Panel):
    """Target and verdict: print a known page, measure it, see how the printer keeps its promise.

    Which files are read stands in the panel only; for another paper or intent they are read
    again.

    Attributes
    ----------
    measured, judged : the latest `Measured` and its `Verdict`, or None.
    before, moved : earlier measurements and the `Drift` since, or None.
    """

    watch = ("paper", "papers", "intent", "black_point_compensation", "printer_ppi")

    # building ---------------------------------------------------------------

    def build(self) -> list:
        self._source = self._earlier = None
        self.measured = self.judged = self.before = self.moved = None
        self.reader = self.front.scheduler.on(parts.FILES, rest_s=0)
        front = self.front
        self.write_status = parts.StatusLine(front)
        made = WriteControls(front)
        self.sheet, self.patch, self.folder = made.sheet, made.patch, made.folder
        safely = parts.guarded(self.write_status)
        self.patch.on_change(self.safely(lambda side: self._show_page()))
        self.write = parts.button(
            front, "Write the target", safely(self._write), main=True,
            help="Writes a 16-bit TIFF for the printer and a text with what it should measure",
        )  # fmt: skip
        front.listen(self.write, "press", safely(self._pressed), field=front.tag(self.folder.field))
        self.page = parts.PictureView(front, "The target's page")
        self.page.widget.layout.width = f"{_PAGE_PX + 2 * _AROUND_PX}px"
        self.page.widget.layout.max_width = "100%"
        self.about, self.written = parts.html(""), parts.html("")
        read = ReadControls(front, self._measured_chosen, self._scan_chosen, self._before_chosen)
        self.tolerances, self.take_d50, self.assume = read.tolerances, read.take_d50, read.assume
        self.measured_file, self.scan_file = read.measured, read.scan
        self.before_file = read.before
        self.tolerances.on_change(self.safely(lambda name: self._judge_again()))
        self.take_d50.on_change(self.safely(lambda taken: self._read_again()))
        self.assume.on_change(self.safely(lambda name: self._read_again()))
        self._build_answers()
        writing = parts.row(self.sheet, self.patch, self.folder, self.write)
        return [
            *lone_row(self, help="The paper that the target is for"),
            parts.heading("1  Print the target", 4),
            self.about,
            self.page,
            writing,
            self.write_status,
            self.written,
            parts.heading("2  Read what came out", 4),
            self.measured_file,
            self.take_d50,
            parts.fold(
                "No instrument: read a scan or a photograph", self.scan_file, self.assume,
                front=front,
            ),
            parts.fold("Has the printer drifted? Earlier measurements", self.before_file,
                       front=front),
            parts.heading("3  Verdict", 4),
            parts.row(self.tolerances),
            self.status,
            self.answers,
        ]  # fmt: skip

    def _build_answers(self) -> None:
        front = self.front
        self.answer = parts.Sentence("Verdict")
        self.said, self.how_read = parts.html(""), parts.html("")
        self.patches = parts.PlotView(front, PatchesFigure(), "The patches")
        self.limits = parts.PlotView(front, LimitsFigure(), "Differences and limits")
        self.shifts = parts.PlotView(front, ShiftFigure(), "Where the colours went")
        self.limits_table, self.patches_table = parts.html(""), parts.html("")
        self.drift_answer = parts.Sentence("Drift")
        self.drift_said = parts.html("")
        self.drift_shifts = parts.PlotView(front, ShiftFigure(), "Where the colours drifted")
        self.drift_part = parts.column(
            parts.heading("Drift since the earlier measurements", 4),
            self.drift_answer,
            self.drift_said,
            self.drift_shifts,
        )
        self.drift_part.layout.display = "none"
        self.answers = parts.column(
            self.answer,
            self.said,
            self.limits,
            self.patches,
            self.shifts,
            self.how_read,
            self.drift_part,
            parts.fold("The limits and where they come from", self.limits_table, front=front),
            parts.fold("Every patch", self.patches_table, front=front),
        )
        self.answers.layout.display = "none"

    def missing(self) -> str:
        if self.plan.paper is None:
            return "Choose a paper to print a target for it."
        return ""

    # following ---------------------------------------------------------------

    def follow(self) -> None:
        with self.front.turn:
            plan = self.plan
            self._show_page()
            key = (plan.paper, *plan.rendering.way.values())
            self._once("read", key, self._read_again)
            if self.status.kind == "" and self._source is None:
                self.status.say("Open measurements or a scan above to see the verdict.")

    def _show_page(self) -> None:
        plan = self.plan
        if self.missing():
            return
        key = (plan.paper, *plan.rendering.way.values(), self.patch.value)

        def show():
            target = target_for(plan.paper, **plan.rendering)
            drawn = target_picture(target, ppi=_PAGE_PPI, patch_mm=self.patch.value)
            parts.set_html(
                self.about,
                f"{len(target)} patches whose colours the paper's profile predicts, and fields of "
                "fine detail. Print it as you print pictures on this paper, let it dry for a day, "
                "then measure or scan it.",
                "wb-muted",
            )
            page, step_mm = geometry_of(target), self.patch.value / PATCH
            small = drawn.picture.preview(_PAGE_PX)
            seen = transform(small, standard_profile(SPACE), standard_profile("sRGB"))
            self.page.show(
                (seen >> 8).astype(np.uint8),
                settled=True,
                alt=f"The target's page: {len(target)} patches in rows A to "
                f"{target.ids[-1][0]}, fields of fine detail below, a mark in each corner",
            )
            self.page.set_caption(
                f"About {page.width * step_mm / 10:.0f} × {page.height * step_mm / 10:.0f} cm; "
                "shown before it is converted for the paper"
            )

        self._once("page", key, show)

    # writing -----------------------------------------------------------------------

    def _pressed(self, content: dict) -> None:
        self._write(str(content.get("text", "")))

    def _write(self, folder: str | None = None) -> None:
        if said := self.missing():
            self.write_status.say(said)
            return
        plan, where = self.plan, self.folder.value if folder is None else folder
        paper, how = plan.paper, {
            **plan.rendering,
            "ppi": plan.printer_ppi,
            "patch_mm": self.patch.value,
            "sheet": self.sheet.value or None,
        }  # fmt: skip

        def work(cancelled, progress):
            return write_to(where, paper, **how, cancelled=cancelled, progress=progress)

        def done(written):
            self.written.value = list_html(written.sentences)
            self.write_status.say(f"Written: {written.print_file.path}")

        self.write_status.working("Writing the target")
        self.reader.submit(
            "write", work, done,
            lambda fraction, text: self.write_status.working("Writing the target", fraction),
            status=self.write_status,
        )  # fmt: skip

    # reading ----------------------------------------------------------------------

    def _measured_chosen(self, source) -> None:
        self._source = ("file", source)
        self._read_again()

    def _scan_chosen(self, source) -> None:
        self._source = ("scan", source)
        self._read_again()

    def _before_chosen(self, source) -> None:
        self._earlier = source
        self._read_again()

    def _read_again(self) -> None:
        """Read the chosen files for the target of the plan as it stands, and judge them."""
        source, earlier = self._source, self._earlier
        if self.missing():
            return
        if source is None and earlier is None:
            return
        plan = self.plan
        paper, rendering, assume = plan.paper, plan.rendering, self.assume.value
        light = {"illuminant": "D50", "observer_deg": 2} if self.take_d50.value else {}

        def work(cancelled, progress):
            target = target_for(paper, **rendering)
            found = None if source is None else _read(*source, target, light, assume)
            try:
                before = None if earlier is None else _read_file(earlier, target, light)
            except WorkbenchError as problem:
                if source is None:
                    raise
                # which takes nothing from the verdict on the new ones
                return found, None, f"The earlier measurements are left out. {problem}"
            return found, before, ""

        def failed(problem):
            with self.front.turn:
                self.measured = self.judged = self.before = self.moved = None
                self._judge()
            report(self.status, problem, "read")

        self.status.working("Reading")
        self.reader.submit("read", work, self._arrived, on_error=failed, status=self.status)

    def _arrived(self, found) -> None:
        with self.front.turn:
            self.measured, self.before, trouble = found
            self.status.clear()
            self._judge()
            if trouble:
                self.status.problem(trouble)
            if self.measured is None:
                self.status.say("Open the new measurements too, to see how far they moved.")

    def _judge_again(self) -> None:
        """Judge by other limits; drawing the plots takes the worker's time, not the page's."""
        self.reader.submit(
            "judge", lambda cancelled, progress: None, lambda _: self._judge(), status=self.status
        )

    def _judge(self) -> None:
        """Bring verdict and drift up to date with what was read."""
        with self.front.turn:
            measured = self.measured
            self.answers.layout.display = "none" if measured is None else ""
            if measured is None:
                self.judged = self.moved = None
                self._hand_over()
                return
            judged = self.judged = verdict(measured, measured.target, self.tolerances.value)
            self._hand_over()
            mark = "a scan, no measurement" if measured.caveat else "measured"
            self.answer.say(judged.sentence, mark=mark)
            self.said.value = list_html(judged.sentences)
            self.how_read.value = list_html(read_words(measured))
            held = held_verdict(measured, judged)
            for view in (self.limits, self.patches, self.shifts):
                view.show(held, alt=view.figure.alt_text(held))
            self.limits_table.value = limits_html(judged)
            self.patches_table.value = patches_html(measured, judged)
            self._show_drift()

    def _hand_over(self) -> None:
        """Hand the verdict over, for the record; a scan's values are no measurements."""
        measured = self.measured
        outcome = Outcome.of(self.plan)
        with outcome.hold_trait_notifications():
            outcome.verdict = self.judged
            outcome.measurements = ""
            if measured is not None and not measured.caveat:
                outcome.measurements = cgats_text(
                    measured.target.ids,
                    measured.target.names,
                    lab=measured.lab,
                    descriptor=measured.name,
                )

    def _show_drift(self) -> None:
        now, before = self.measured, self.before
        self.moved = None
        self.drift_part.layout.display = "none"
        if before is None:
            return
        self.moved = drift(now, before)
        self.drift_answer.say(self.moved.sentence)
        self.drift_said.value = list_html(self.moved.sentences)
        held = held_drift(now, before, self.moved)
        self.drift_shifts.show(held, alt=self.drift_shifts.figure.alt_text(held))
        self.drift_part.layout.display = ""


def _read(kind: str, source, target, light: dict, assume: str):
    if kind == "file":
        return _read_file(source, target, light)
    name, data = source if isinstance(source, tuple) else ("", source)
    picture = open_picture(data)
    if picture.profile is None and assume:
        picture = picture.assume(assume)
    return read_scanned_target(picture, target, name=name)


def _read_file(source, target, light: dict):
    name, data = source if isinstance(source, tuple) else ("", source)
    return read_measured(data, target, name=PurePath(name).stem, **light)
