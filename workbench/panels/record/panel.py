"""The record panel: what a print costs, noting it, and going back to those made before."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from workbench.colour.profile import clean_text
from workbench.errors import PlanError, RecordError, WorkbenchError
from workbench.language import tr
from workbench.panels import parts
from workbench.panels.outcome import Outcome
from workbench.panels.panel import Panel
from workbench.panels.parts.guard import report
from workbench.panels.record.reading import Asked, Held, read
from workbench.panels.record.view import RecordView
from workbench.panels.record.words import cost_words, day_text
from workbench.panels.view import View
from workbench.plan import JOB_TRAITS, PRICE_TRAITS
from workbench.plan_file import plan_text
from workbench.plan_file.again import plan_again
from workbench.record import PrintNote, Record, note_of


class RecordPanel(Panel):
    """A person's prints: price the present one, note it, find, change and repeat those before.

    Nothing is written before a print is noted.

    Parameters
    ----------
    file : of the record; by default the one named by the environment variable
        ``WORKBENCH_RECORD``, else the person's own.
    """

    watch = (*JOB_TRAITS, *PRICE_TRAITS, "unit")

    def __init__(self, plan, front=None, file=None):
        self.record = Record(file)
        # what other panels have made of the plan, and is noted with the print
        self.outcome = Outcome.of(plan)
        self.held: Held | None = None
        self.asked = Asked()
        self._chosen: int | None = None  # the number of the print looked at
        self._in_form: int | None = None  # the one whose fields are shown
        self._drafts: dict[int, dict[str, str]] = {}  # number -> what was typed for it
        self._removed: int | None = None  # the one just removed
        self._times = 0  # that it was read, or is to be
        self._suggested = ""  # the edition number that was suggested, as shown
        self._notes_begun = 0
        super().__init__(plan, front)

    # building -----------------------------------------------------------------

    def build(self) -> list:
        self._files = self.front.scheduler.on(parts.FILES, rest_s=0)
        view = self.view = RecordView(self)
        view.new.fill({})
        view.show_chosen(None, self.plan.unit)
        view.show_place(self.record.path, self.record.begun)
        self._say_handed()
        say_handed = self.safely(lambda change: self._say_handed())
        self.outcome.observe(say_handed)
        return view.items

    def missing(self) -> str:
        return ""  # a record can be read without a picture

    def show(self, shown: bool) -> None:
        # another window may have noted something while this one was out of view
        if shown:
            self._times += 1
            self._stale = True
        super().show(shown)

    # what is shown --------------------------------------------------------------

    def shows(self):
        return (
            View("cost", self._cost, tuple, self.view.show_cost),
            View("held", self._to_read, read, self._arrived, lane=parts.FILES, rest_s=0.02,
                 forget=self._unread),
            View("list", self._listed, tuple, lambda given: self.view.show(*given)),
            View("figure", lambda: self.held if self.view.over_time.opened else None,
                 lambda held: held, self.view.show_figure),
            View("chosen", self._to_show, tuple, lambda given: self.view.show_chosen(*given)),
        )  # fmt: skip

    def follow(self) -> None:
        self._keep_draft()
        super().follow()

    def _cost(self) -> tuple:
        if self.plan.picture is None:
            return tr("Open a picture to see what its print costs."), "", None
        try:
            return cost_words(self.plan.cost())
        except WorkbenchError as problem:
            return tr("No price without a size."), str(problem), None

    def _to_read(self) -> tuple:
        plan = self.plan
        return self.record, self.asked, plan.picture, plan.paper, self._edition_of(), self._times

    def read(self) -> None:
        """Read the record again, with what other windows have written."""
        self._times += 1
        self._follow()

    def _arrived(self, held: Held) -> None:
        self.held = held
        self._suggest(held.next_number)
        self.view.show_place(self.record.path, held.begun)
        self._follow()

    def _unread(self) -> None:
        if self.held is None:
            self.view.count.say(tr("It could not be read."))

    def _listed(self) -> tuple | None:
        if self.held is None:
            return None
        note = self._note()
        return self.held, note and note.id, self.plan.unit, tuple(sorted(self._drafts))

    def _to_show(self) -> tuple | None:
        if self.held is None:
            return None
        note = self._note()
        self._in_form = note and note.id
        return note, self.plan.unit, tuple(self._drafts.get(self._in_form, {}).items())

    def _note(self) -> PrintNote | None:
        """The print looked at, as it was read."""
        if self.held is None:
            return None
        return next((note for note in self.held.notes if note.id == self._chosen), None)

    # what the list shows ------------------------------------------------------

    def seek(self, **asked) -> None:
        """List other prints: ``text``, ``paper``, ``removed``, as of `Asked`."""
        self.asked = replace(self.asked, **asked, offset=0)
        self._follow()

    def page(self, by: int) -> None:
        """List the next or the former page."""
        at = self.asked if self.held is None else self.held.asked
        self.asked = replace(self.asked, offset=max(0, at.offset + by))
        self._follow()

    def choose(self, index: int) -> None:
        """Look at a print of the list."""
        self._keep_draft()
        self._chosen = self.held.notes[index].id
        self.view.said.clear()
        self._offer_undo(None)
        self._follow()

    def _keep_draft(self) -> None:
        """Remember what is typed in the fields, for the print that they show."""
        if self._in_form is None:
            return
        if typed := self.view.form.typed:
            self._drafts[self._in_form] = typed
        else:
            self._drafts.pop(self._in_form, None)

    # the price ----------------------------------------------------------------

    def take_ink(self) -> None:
        """Take over what the noted prints took for a square metre."""
        if self.held is None or self.held.ink is None:
            raise RecordError(tr("No print was noted with its ink yet."))
        self.plan.ink_ml_per_m2 = round(self.held.ink.median_ml_per_m2, 1)

    # noting -------------------------------------------------------------------

    def leave_out(self) -> None:
        """Note the next print without the written file and the verdict."""
        self.outcome.forget()

    def _say_handed(self) -> None:
        outcome, said = self.outcome, []
        if outcome.written:
            said.append(
                tr("the print file “{name}”", name=clean_text(Path(outcome.written.path).name))
            )
        if outcome.verdict:
            said.append(tr("the verdict “{sentence}”", sentence=outcome.verdict.sentence))
        if outcome.measurements:
            said.append(tr("its measurements"))
        self.view.show_handed(tr("Noted with it: {listed}", listed="; ".join(said)) if said else "")

    def note_print(self) -> None:
        """Keep the present plan with what the fields say."""
        plan, view = self.plan, self.view
        if plan.picture is None:
            raise RecordError(tr("Open the picture that you printed first."))
        values = {key: value for key, value in view.new.values().items() if value is not None}
        if self._edition_of() is not None and "edition_number" in values:
            values["edition_of"] = self._edition_of()
        # as it is now, whatever is moved while a large picture is read for its checksum
        plan = plan.copy()
        written, verdict = self.outcome.written, self.outcome.verdict
        values["measurements"] = self.outcome.measurements
        view.note_it.disabled = True  # a second click would note it twice
        self._notes_begun += 1

        def work(cancelled, progress):
            remark = ""
            try:
                values["plan_text"] = plan_text(plan)
            except PlanError as problem:
                remark = tr(" Its plan is not kept with it: {problem}", problem=problem)
            note = note_of(plan, written, verdict, **values)
            return self.record.add(note), remark

        def done(found) -> None:
            note, remark = found
            view.note_it.disabled = False
            self._chosen = note.id
            view.new.fill({})
            self._suggested = ""
            self.leave_out()
            self.read()
            which = {"picture": note.picture_name, "day": day_text(note.when)}
            if note.edition:
                text = tr(
                    "“{picture}” of {day}, number {edition}, is in the record.",
                    edition=note.edition,
                    **which,
                )
            else:
                text = tr("“{picture}” of {day} is in the record.", **which)
            view.new_said.say(text + remark)

        def failed(error: BaseException) -> None:
            view.note_it.disabled = False
            report(view.new_said, error, self)

        view.new_said.working(tr("Noting"))
        self._files.submit(("note", self._notes_begun), work, done, on_error=failed)

    def _edition_of(self) -> int | None:
        return self.plan.copies if self.plan.copies > 1 else None

    def _suggest(self, number: int | None) -> None:
        """Fill in the next number of the edition, unless another was typed."""
        control = self.view.new.controls["edition_number"]
        of = self._edition_of()
        suffix = "" if of is None else tr("of {of}", of=of)
        if control.unit != suffix:
            control.rename(control.label, suffix)
        if control.value.strip() not in ("", self._suggested):
            return
        self._suggested = "" if of is None or number is None else str(number)
        control.value = self._suggested
        gone = of is not None and number is None
        control.field.placeholder = tr("all {of} are noted", of=of) if gone else ""

    # the chosen print ---------------------------------------------------------

    def save(self) -> None:
        """Write the changed fields of the chosen print."""
        note, form = self._looked_at(), self.view.form
        changes = form.values(form.typed)
        if not changes:
            self.view.said.say(tr("Nothing was changed."))
            return
        self.record.change(note.id, seen=note, **changes)
        self._changed_to(note, tr("The print is saved."))

    def undo(self) -> None:
        """Forget what was typed and not saved."""
        note = self._looked_at()
        self._forget_draft(note)
        self._follow()
        self.view.said.say(tr("The fields are as the record has them."))

    def remove(self) -> None:
        """Take the chosen print out of sight."""
        note = self._looked_at()
        self.record.remove(note.id)
        self._changed_to(
            note,
            tr("“{picture}” is removed; it is kept with the removed.", picture=note.picture_name),
        )
        self._offer_undo(note.id)

    def restore(self) -> None:
        """Bring the chosen print back among those made."""
        note = self._looked_at()
        self.record.restore(note.id)
        self._changed_to(
            note,
            tr("“{picture}” is back among the prints made.", picture=note.picture_name),
        )

    def undo_removing(self) -> None:
        """Bring back the print that was just removed."""
        if self._removed is None:
            raise RecordError(tr("Nothing was removed just now."))
        note = self.record.restore(self._removed)
        self._chosen = note.id
        self._changed_to(note, tr("“{picture}” is back.", picture=note.picture_name))

    def _looked_at(self) -> PrintNote:
        note = self._note()
        if note is None:
            raise RecordError(tr("Choose a print of the list first."))
        return note

    def _changed_to(self, note: PrintNote, said: str) -> None:
        self._forget_draft(note)
        self._offer_undo(None)
        self.view.said.say(said)
        self.read()

    def _forget_draft(self, note: PrintNote) -> None:
        self._drafts.pop(note.id, None)
        self._in_form = None
        self._views.again("chosen")

    def _offer_undo(self, number: int | None) -> None:
        self._removed = number
        self.view.undo_removing.layout.display = "none" if number is None else ""

    def start_again(self) -> None:
        """Let the plan go on from the one kept with the chosen print."""
        note = self._looked_at()
        again = plan_again(note.plan_text, self.plan.papers)
        self.plan.take_over(again.plan, again.has)
        self.outcome.forget()  # what came of the former print
        said = tr(
            "The plan is as it was for “{picture}” of {day}.",
            picture=note.picture_name,
            day=day_text(note.when),
        )
        if again.left_out:
            said += tr(" What is missing stays as it was before.")
        self.view.said.say(" ".join((said, *again.left_out, *again.notices)))

    # taking away --------------------------------------------------------------

    def begin_csv(self, folder: str):
        """What saves all prints that the list's search finds."""
        filters = self.asked.filters
        text = filters.pop("text")
        return lambda cancelled, progress: self.record.save_csv(folder, text, **filters)
