"""The target panel: a page to print, what was measured of it, and whether the print is right."""

from __future__ import annotations

from workbench.characteristics import drying_text
from workbench.errors import WorkbenchError
from workbench.figures.target import PatchesFigure, ShownPage, shown_page
from workbench.figures.target_limits import LimitsFigure
from workbench.figures.target_shift import ShiftFigure
from workbench.language import tr
from workbench.panels import parts
from workbench.panels.outcome import Outcome
from workbench.panels.panel import Panel
from workbench.panels.parts.saving import Act, SaveTo
from workbench.panels.print_knobs import lone_row
from workbench.panels.target.controls import ReadControls, WriteControls
from workbench.panels.target.reading import (
    Asked,
    Chosen,
    Judged,
    Read,
    judged,
    measurements_text,
    read,
)
from workbench.panels.target.words import limits_html, list_html, patches_html, read_words
from workbench.panels.view import View
from workbench.target.draw import target_path, write_target
from workbench.target.patches import target_for

# CSS pixels of the page's picture, and of grey around it
_PAGE_PX, _AROUND_PX = 420, 32


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
        self._now = self._before = self._read = None
        self._times = 0
        self.measured = self.judged = self.before = self.moved = None
        front = self.front
        made = WriteControls(front)
        self.sheet, self.patch = made.sheet, made.patch
        self.saving = SaveTo(
            front,
            {
                "target": Act(
                    tr("Write the target"),
                    tr("Writes a 16-bit TIFF for the printer and a text with what it should measure"),
                    self._begin, tr("Writing the target"),
                    lambda written: tr("Written: {path}", path=written.print_file.path),
                    lambda written: list_html(written.sentences), main=True,
                )
            },
            label=tr("Folder for the target"),
        )  # fmt: skip
        self.page = parts.PictureView(front, tr("The target's page"))
        self.page.widget.layout.width = f"{_PAGE_PX + 2 * _AROUND_PX}px"
        self.page.widget.layout.max_width = "100%"
        self.about = parts.html("")
        read = ReadControls(
            front,
            lambda source: self._choose(source, "_now"),
            lambda source: self._choose(source, "_now", scan=True),
            lambda source: self._choose(source, "_before"),
        )
        self.tolerances, self.take_d50, self.assume = read.tolerances, read.take_d50, read.assume
        self.measured_file, self.scan_file = read.measured, read.scan
        self.before_file = read.before
        self.look(self.patch, self.tolerances, self.take_d50, self.assume)
        self._build_answers()
        return [
            *lone_row(self, help=tr("The paper that the target is for")),
            parts.heading(tr("1  Print the target"), 4),
            self.about,
            self.page,
            parts.row(self.sheet, self.patch),
            *self.saving.body,
            parts.heading(tr("2  Read what came out"), 4),
            self.measured_file,
            self.take_d50,
            parts.fold(
                tr("No instrument: read a scan or a photograph"), self.scan_file, self.assume,
                front=front,
            ),
            parts.fold(tr("Has the printer drifted? Earlier measurements"), self.before_file,
                       front=front),
            parts.heading(tr("3  Verdict"), 4),
            parts.row(self.tolerances),
            self.status,
            self.answers,
        ]  # fmt: skip

    def _build_answers(self) -> None:
        front = self.front
        self.answer = parts.Sentence(tr("Verdict"))
        self.said, self.how_read = parts.html(""), parts.html("")
        self.patches = parts.PlotView(front, PatchesFigure(), tr("The patches"))
        self.limits = parts.PlotView(front, LimitsFigure(), tr("Differences and limits"))
        self.shifts = parts.PlotView(front, ShiftFigure(), tr("Where the colours went"))
        self.limits_table, self.patches_table = parts.html(""), parts.html("")
        self.drift_answer = parts.Sentence(tr("Drift"))
        self.drift_said = parts.html("")
        self.drift_shifts = parts.PlotView(front, ShiftFigure(), tr("Where the colours drifted"))
        self.drift_part = parts.column(
            parts.heading(tr("Drift since the earlier measurements"), 4),
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
            parts.fold(tr("The limits and where they come from"), self.limits_table, front=front),
            parts.fold(tr("Every patch"), self.patches_table, front=front),
        )
        self.answers.layout.display = "none"

    def missing(self) -> str:
        if self.plan.paper is None:
            return tr("Choose a paper to print a target for it.")
        return ""

    # writing and choosing ----------------------------------------------------------

    def _begin(self, folder: str):
        if said := self.missing():
            raise WorkbenchError(said)
        plan = self.plan
        paper, path = plan.paper, target_path(folder, plan.paper.name)
        how = {
            **plan.rendering,
            "ppi": plan.printer_ppi,
            "patch_mm": self.patch.value,
            "sheet": self.sheet.value or None,
        }
        return lambda cancelled, progress: write_target(
            paper, path, **how, cancelled=cancelled, progress=progress
        )

    def _choose(self, source, part: str, **kind) -> None:
        self._times += 1
        setattr(self, part, Chosen(source, self._times, **kind))
        self._changed(None)

    # what is shown -------------------------------------------------------------------

    def shows(self):
        return (
            View("page", lambda: (*self._target(), self.patch.value), page_of, self._show_page),
            View("read", self._to_read, read, self._show_read, lane=parts.FILES, rest_s=0,
                 doing=tr("Reading"), forget=lambda: self._show_read(None)),
            # drawing the plots takes a lane's time, not the page's
            View("judged", lambda: self._read and (self._read, self.tolerances.value), judged,
                 self._show_judged, lane=parts.FINER, rest_s=0, doing=tr("Judging")),
        )  # fmt: skip

    def follow(self) -> None:
        super().follow()
        if self.status.kind == "" and self._now is None:
            self.status.say(
                tr("Open the new measurements too, to see how far they moved.")
                if self._before
                else tr("Open measurements or a scan above to see the verdict.")
            )

    def _target(self) -> tuple:
        plan = self.plan
        return plan.paper, plan.intent, plan.black_point_compensation

    def _to_read(self) -> Asked | None:
        if self._now is None and self._before is None:
            return None
        return Asked(
            *self._target(), self._now, self._before, self.take_d50.value, self.assume.value
        )

    def _show_page(self, found: tuple[ShownPage, str]) -> None:
        page, drying = found
        target = page.target
        parts.set_html(
            self.about,
            tr(
                "{count} patches whose colours the paper's profile predicts, and fields of "
                "fine detail. Print it as you print pictures on this paper, let it dry for "
                "{drying}, then measure or scan it.",
                count=len(target),
                drying=drying,
            ),
            "wb-muted",
        )
        self.page.show(
            page.pixels,
            settled=True,
            alt=tr(
                "The target's page: {count} patches in rows A to {last_row}, fields of fine detail "
                "below, a mark in each corner",
                count=len(target),
                last_row=target.ids[-1][0],
            ),
        )
        self.page.set_caption(
            tr(
                "About {width_mm:.0f} × {height_mm:.0f} cm; shown before it is converted for "
                "the paper",
                width_mm=page.width_mm / 10,
                height_mm=page.height_mm / 10,
            )
        )

    def _show_read(self, found: Read | None) -> None:
        """Take over what was read; the verdict follows."""
        if found is None and self.measured is None and self.before is None:
            return
        self._read = found if found is not None and found.now is not None else None
        self.measured = found and found.now
        self.before = found and found.before
        if self.measured is None:
            self.judged = self.moved = None
            self.answers.layout.display = "none"
            self._hand_over()
        if found is None:
            return
        self.status.clear()
        self._follow()
        if found.trouble:
            self.status.problem(found.trouble, source="read")

    def _show_judged(self, found: Judged) -> None:
        measured, result = found.measured, found.verdict
        self.judged, self.moved = result, found.drift
        self._hand_over()
        mark = tr("a scan, not a measurement") if measured.caveat else tr("measured")
        self.answer.say(result.sentence, mark=mark)
        self.said.value = list_html(result.sentences)
        self.how_read.value = list_html(read_words(measured))
        for view in (self.limits, self.patches, self.shifts):
            view.show(found.held, alt=view.figure.alt_text(found.held))
        self.limits_table.value = limits_html(result)
        self.patches_table.value = patches_html(measured, result)
        self.drift_part.layout.display = "none" if found.drift is None else ""
        if found.drift is not None:
            self.drift_answer.say(found.drift.sentence)
            self.drift_said.value = list_html(found.drift.sentences)
            moved = found.held_drift
            self.drift_shifts.show(moved, alt=self.drift_shifts.figure.alt_text(moved))
        self.answers.layout.display = ""

    def _hand_over(self) -> None:
        """Hand the verdict over, for the record; a scan's values are not measurements."""
        outcome = Outcome.of(self.plan)
        with outcome.hold_trait_notifications():
            outcome.verdict = self.judged
            outcome.measurements = measurements_text(self.measured)


def page_of(asked: tuple) -> tuple[ShownPage, str]:
    """The page of a target for paper, intent and compensation, with patches of a size.

    With how long it dries, in words.
    """
    *target, patch_mm = asked
    return shown_page(target_for(*target), patch_mm, _PAGE_PX), drying_text(asked[0])
