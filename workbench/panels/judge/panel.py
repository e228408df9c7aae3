"""Judging by eye: the dried print beside the screen, likely causes, and the judging sheet."""

from __future__ import annotations

from dataclasses import dataclass
from html import escape
from typing import Any

from workbench.analysis.chain import SAME_PROFILE
from workbench.analysis.judge import Judgement, Observations, judge_print
from workbench.analysis.judge_rules import OWN_PAGES
from workbench.analysis.wedge import ROW_NAMES, ROWS, compare_readings, has_moved
from workbench.characteristics import DRYING_HOURS, drying_text
from workbench.colour.engine import transform
from workbench.colour.profile import read_profile
from workbench.colour.spaces import standard_profile
from workbench.errors import OutputError, PaperError, WorkbenchError
from workbench.files import file_stem
from workbench.gang.judging_sheet import SHEET_MM, judging_sheet, write_judging_sheet
from workbench.gang.strip_layout import test_strip
from workbench.gang.writing import write_strip
from workbench.language import numeral, tr
from workbench.output.job import PrintJob
from workbench.panels import parts
from workbench.panels.characteristic import characteristic_control
from workbench.panels.judge.controls import SeenControls, WedgeControls
from workbench.panels.panel import Panel
from workbench.panels.parts.facts import facts_table
from workbench.panels.print_knobs import lone_row
from workbench.panels.strip.controls import sheet_saver
from workbench.panels.view import View
from workbench.paper import Paper
from workbench.plan import JOB_TRAITS
from workbench.record import Record, note_of
from workbench.record.wedge_store import keep_wedge_reading, wedge_readings

_LIGHT = ("illuminance_lux", "light", "glass", "room_share", "screen_luminance_cd_m2")
_FACTS = ("picture", "paper", "threshold", "intent", "black_point_compensation", *_LIGHT)
# at which a line of the patch is two pixels of the page
_PAGE_PPI = 101.6
_SHEET_PX = round(SHEET_MM[0] / 25.4 * _PAGE_PPI)
# causes shown beside the likeliest one
_MOST = 5


@dataclass(frozen=True)
class _Facts:
    """What of the plan a judgement depends on."""

    picture: Any
    paper: Any
    threshold: float
    intent: str
    black_point_compensation: bool
    illuminance_lux: float
    light: Any
    glass: Any
    room_share: float | None
    screen_luminance_cd_m2: float


class JudgePanel(Panel):
    """Judging by eye: a short form, likely causes, one change at a time; patch and wedge.

    Attributes
    ----------
    judgement : the latest `Judgement`, or None.
    """

    watch = (*JOB_TRAITS, "papers", "threshold", "unit", *_LIGHT)

    def __init__(self, plan, front=None, file=None):
        self.record = Record(file)
        self.judgement: Judgement | None = None
        self._readings: tuple = ()
        self._times = 0
        super().__init__(plan, front)

    def build(self) -> list:
        front = self.front
        self.seen = SeenControls(front, lambda: self._changed(None))
        self.wedge = WedgeControls(front)
        self.drying = characteristic_control(front, "drying_hours")
        self.drying.on_change(self.safely(self._set_drying))
        self.before = parts.html("", "wb-muted")
        self.answer = parts.Sentence(tr("Likely cause"))
        self.why, self.others = parts.html("", "wb-muted"), parts.html("")
        self.change = parts.Sentence(tr("The one thing to change now"))
        self.next = parts.button(
            front, tr("Looked into: next cause"), self.safely(self._next),
            help=tr("It was not this; go on to the next likely cause"),
        )  # fmt: skip
        self.note = parts.button(
            front, tr("Note it in the record"), self.safely(self._note),
            help=tr("What was seen and what to change next time, with the plan's print"),
        )  # fmt: skip
        self.noted = parts.StatusLine(front)
        self.strip = sheet_saver(
            front, tr("Write the next strip"), tr("A strip of this picture whose one row steps through what you saw"),
            tr("Folder for the strip"), self._original, self._strip_to_write,
        )  # fmt: skip
        self.strip_part = parts.column(*self.strip.body)
        self.answers = parts.column(
            self.answer, self.why, self.change, parts.row(self.next, self.note), self.noted,
            self.strip_part, parts.fold(tr("Other causes, the likelier first"), self.others, front=front),
        )  # fmt: skip
        self.sheet = parts.PictureView(front, tr("The judging sheet"))
        self.sheet.widget.layout.width, self.sheet.widget.layout.max_width = (
            f"{_SHEET_PX}px",
            "100%",
        )
        self.sheet_said, self.cases = parts.html(""), parts.html("")
        self.saving = sheet_saver(
            front, tr("Write the judging sheet"), tr("A 16-bit TIFF of 140 × 124 mm in the plan's colours"),
            tr("Folder for the judging sheet"), self._original, self._sheet_to_write,
        )  # fmt: skip
        self.sheet_part = parts.column(
            self.sheet, self.sheet_said,
            parts.fold(tr("What the patch shows for each way through the chain"), self.cases, front=front),
            parts.html(tr("{said} (Common practice, no source.)", said=SAME_PROFILE), "wb-muted"), *self.saving.body,
        )  # fmt: skip
        self.sheet_trouble = parts.StatusLine(front)
        self.keep = parts.button(
            front, tr("Keep the reading"), self.safely(self._keep),
            help=tr("With today's date, beside your record of prints"),
        )  # fmt: skip
        self.read_trouble = parts.StatusLine(front)
        self.history = parts.html("")
        return [
            *lone_row(self, help=tr("The paper that was printed on")),
            self.status,
            parts.heading(tr("1  The dried print beside the screen"), 4),
            self.before, parts.row(self.drying), *self.seen.body, self.answers,
            parts.heading(tr("2  A sheet to judge the printer by"), 4),
            self.sheet_trouble, self.sheet_part,
            parts.heading(tr("3  The wedge over the months"), 4),
            *self.wedge.body, parts.row(self.keep), self.read_trouble, self.history,
            parts.html(OWN_PAGES, "wb-muted"),
        ]  # fmt: skip

    def missing(self) -> str:
        return "" if self.plan.paper is not None else tr("Choose the paper that you printed on.")

    # what is shown --------------------------------------------------------------

    def shows(self):
        return (
            View("paper", lambda: (self.plan.paper, self.plan.illuminance_lux), tuple,
                 self._show_paper),
            View("judged", self._asked, judged, self._show_judged, parts.FINER, rest_s=0,
                 doing=tr("Judging")),
            View("sheet", self._sheet_asked, shown_sheet, self._show_sheet, parts.FINER,
                 doing=tr("Laying out the judging sheet"), status=self.sheet_trouble,
                 forget=lambda: self._show_part(False)),
            View("read", lambda: (self.record.path, self.plan.paper.name, self._times), readings,
                 self._show_read, parts.FILES, rest_s=0, status=self.read_trouble),
        )  # fmt: skip

    def _asked(self) -> tuple[Observations, _Facts]:
        facts = _Facts(**{name: getattr(self.plan, name) for name in _FACTS})
        return self.seen.observations(self._moved()), facts

    def _moved(self) -> bool:
        """Whether the last reading of the wedge differs from the first."""
        return has_moved(self._readings)

    def _sheet_asked(self) -> tuple | None:
        if not isinstance(self.plan.paper, Paper):
            self.sheet_trouble.say(tr("The sheet needs a paper with a profile."))
            return None
        scale = max(1, round(min(self.front.pixel_ratio, 3)))
        return (*self._chain(), _PAGE_PPI * scale, self.plan.unit)

    def _chain(self) -> tuple:
        """(paper, picture's profile where the driver converts, other papers, intent, compensation)."""
        plan = self.plan
        source = None
        if plan.converts == "driver":
            own = getattr(plan.picture, "profile", None)
            source = own if own and read_profile(own).space == "RGB" else standard_profile("sRGB")
        others = tuple(p for p in plan.papers if isinstance(p, Paper) and p is not plan.paper)
        return plan.paper, source, others, plan.intent, plan.black_point_compensation

    def _show_paper(self, given: tuple) -> None:
        paper, illuminance_lux = given
        hours = getattr(paper, "drying_hours", None)
        self.drying.value = "" if hours is None else numeral(hours)
        how = (
            "" if hours else tr(" ({hours:g} h is common practice, no source)", hours=DRYING_HOURS)
        )
        lux = tr("{lux:,.0f} lux", lux=illuminance_lux)
        parts.set_html(
            self.before,
            tr(
                "Let the print dry for {hours}{how}. Then hold it beside its proof on the screen, "
                "both in the light of the plan ({lux}), and look at one thing at a time.",
                hours=drying_text(paper),
                how=how,
                lux=lux,
            ),
            "wb-muted",
        )

    def _show_judged(self, found: Judgement) -> None:
        self.judgement = found
        self.answer.say(found.sentence, detail=found.seen)
        first = found.causes[0] if found.causes else None
        reasons = (
            "" if first is None else tr("Because {reasons}.", reasons="; ".join(first.reasons))
        )
        parts.set_html(self.why, reasons, "wb-muted")
        self.change.say(found.change or tr("Nothing."))
        self.next.disabled = first is None
        self.strip_part.layout.display = "" if found.rows else "none"
        rows = [
            (c.words, numeral(c.weight), "; ".join(c.reasons)) for c in found.causes[1 : _MOST + 1]
        ]
        head = (tr("Cause"), tr("Weight"), tr("What speaks for it"))
        told = tr("Causes, weights and remedies are ours (common practice, no source).")
        self.others.value = facts_table(rows, head) + f"<p>{parts.html(told, 'wb-muted').value}</p>"

    def _show_part(self, shown: bool) -> None:
        self.sheet_part.layout.display = "" if shown else "none"

    def _show_sheet(self, found: tuple) -> None:
        patch, pixels, unit = found
        self.sheet_trouble.clear()
        self._show_part(True)
        self.sheet.show(
            pixels, settled=True,
            alt=tr("The judging sheet: a patch of lines beside a solid half, and bars with ten "
            "numbered fields each in black, middle grey and white"),
        )  # fmt: skip
        self.sheet.set_caption(
            tr("The colours of its file, before any printer"), mark=tr("preview")
        )
        said = "".join(f"<p>{escape(each)}</p>" for each in patch.sentences(unit))
        self.sheet_said.value = said
        head = (
            tr("Way of the colours"),
            tr("CIEDE2000 between the halves (relative)"),
            tr("What you see"),
        )
        rows = [(r["road"], numeral(r["difference"], ".1f"), r["seen"]) for r in patch.table()]
        self.cases.value = facts_table(rows, head)

    def _show_read(self, found: tuple) -> None:
        self._readings = found
        said = "".join(f"<p>{escape(each)}</p>" for each in compare_readings(found))
        rows = [(each.read_on, *(str(getattr(each, row)) for row in ROWS)) for each in found[-12:]]
        table = facts_table(rows, (tr("Read on"), *ROW_NAMES.values())) if rows else ""
        self.history.value = said + table
        self._views.follow()  # whether the wedge has moved speaks for a cause

    # acting -----------------------------------------------------------------------

    def _next(self) -> None:
        if self.judgement is not None and self.judgement.causes:
            self.seen.rule_out(self.judgement.causes[0].key)

    def _set_drying(self, text: str) -> None:
        old = self.plan.paper
        if old is None:
            raise PaperError(tr("Choose a paper first."))
        new = old.with_details(drying_hours=text.strip() or None)
        if new.drying_hours != old.drying_hours:
            self.plan.swap(old, new)

    def _original(self):
        return getattr(self.plan.picture, "path", None)

    def _strip_to_write(self):
        found = self.judgement
        if found is None or not found.rows:
            raise OutputError(
                tr("Say first what you see; then there is something to step through.")
            )
        if self.plan.picture is None:
            raise OutputError(tr("Open the picture that was printed, to print a strip of it."))
        job, name = PrintJob.from_plan(self.plan), self.plan.picture.name

        def make(path, **how):
            strip = test_strip(job, sheet="A5", rows=found.rows)
            return write_strip(strip, path, **how)

        return tr("{picture}, next strip", picture=file_stem(name or tr("picture"))), make

    def _sheet_to_write(self):
        paper, source, others, intent, compensation = self._chain()
        ppi = self.plan.printer_ppi

        def make(path, **how):
            sheet = judging_sheet(
                paper, source=source, others=others, intent=intent,
                black_point_compensation=compensation, ppi=ppi,
            )  # fmt: skip
            return write_judging_sheet(sheet, path, **how)

        return tr("judging sheet {paper}", paper=file_stem(paper.name)), make

    def _note(self) -> None:
        if self.plan.picture is None or self.judgement is None:
            raise WorkbenchError(
                tr("Open the picture that was printed, so that the note has its name.")
            )
        plan, note = self.plan.copy(), self.judgement.note

        def done(kept) -> None:
            self.noted.say(
                tr(
                    "Noted for “{picture}”, number {number} in the record.",
                    picture=kept.picture_name,
                    number=kept.id,
                )
            )

        self._files("note", lambda: self.record.add(note_of(plan, **note)), done, self.noted)

    def _keep(self) -> None:
        path, name, values = self.record.path, self.plan.paper.name, self.wedge.values

        def done(kept) -> None:
            self._times += 1
            self._follow()

        self._files(
            "keep", lambda: keep_wedge_reading(path, name, *values), done, self.read_trouble
        )

    def _files(self, name: str, act, done, status) -> None:
        door = self.front.scheduler.on(parts.FILES, rest_s=0)
        door.submit(name, lambda cancelled, progress: act(), done, status=status)


def judged(request: tuple, cancelled, progress) -> Judgement:
    """What a print judged by eye comes to."""
    return judge_print(*request)


def shown_sheet(request: tuple, cancelled, progress) -> tuple:
    """(chain patch, the sheet's pixels in sRGB, uint8, the unit it is told in)."""
    paper, source, others, intent, compensation, ppi, unit = request
    sheet = judging_sheet(
        paper, source=source, others=others, intent=intent,
        black_point_compensation=compensation, ppi=ppi,
    )  # fmt: skip
    shown = transform(sheet.pixels, sheet.patch.profile, standard_profile("sRGB"))
    return sheet.patch, (shown >> 8).astype("uint8"), unit


def readings(request: tuple, cancelled, progress) -> tuple:
    """The wedge's readings of a paper."""
    path, name, _ = request
    return wedge_readings(path, name)
