"""What the record panel shows, from top to bottom; what it does is the panel's business."""

from __future__ import annotations

from html import escape

import ipywidgets as widgets

from workbench.figures.record import RecordFigure, alt_text
from workbench.language import tr
from workbench.panels import parts
from workbench.panels.knobs import knob
from workbench.panels.parts.facts import facts_table
from workbench.panels.parts.saving import Act, SaveTo
from workbench.panels.parts.text_table import TextTable
from workbench.panels.record.form import NoteForm
from workbench.panels.record.reading import PAGE, Held
from workbench.panels.record.words import (
    COLUMNS,
    cells,
    count_sentence,
    day_text,
    drift_sentence,
    facts,
    learnt_sentence,
    listed_words,
)

_ALL = (tr("all papers"), "")
_MADE, _REMOVED = tr("prints made"), tr("removed prints")


class RecordView:
    """The widgets, named; ``panel`` offers the methods that its buttons call.

    Attributes
    ----------
    new, form : the fields of the print to be noted, and of the chosen one.
    table, figure : the prints listed, and how they came out.
    new_said, said : status lines beside the new print and the chosen one.
    saving : what saves the table.
    items : all, in order.
    """

    def __init__(self, panel):
        self._front, self._panel = panel.front, panel
        self.new_said, self.said = (parts.StatusLine(self._front) for _ in range(2))
        self._kept = parts.guarded(self.said)
        self.count = parts.Sentence(tr("Record"), tr("Being read …"))
        self.items = [
            self.count,
            panel.status,
            *self._build_cost(),
            *self._build_new(),
            *self._build_list(),
            self._build_chosen(),
            self._build_figure(),
            self._build_saving(),
            self._build_place(),
        ]

    def _button(self, label, called, *, help="", main=False, line=None):
        kept = self._kept if line is None else parts.guarded(line)
        return parts.button(self._front, label, kept(called), help=help, main=main)

    def _build_cost(self) -> list:
        self.cost = parts.Sentence(tr("What this print costs"))
        self.copies = knob(self._panel, "copies")
        self.ink = knob(self._panel, "ink_ml_per_m2", step=0.1)
        self.ink_price = knob(self._panel, "ink_price_per_ml", step=0.01, decimals=3)
        self.learnt = parts.html("", "wb-muted")
        self.take_ink = self._button(
            tr("Take the record's figure"), self._panel.take_ink, line=self._panel.status,
            help=tr("Use what your noted prints took per square metre of an average picture"),
        )  # fmt: skip
        self.strips, self.rejects = (
            knob(self._panel, name) for name in ("test_strips", "reject_share")
        )
        knobs = parts.row(self.copies, self.ink, self.ink_price, self.strips, self.rejects)
        return [self.cost, knobs, parts.row(self.learnt, self.take_ink)]

    def _build_new(self) -> list:
        self.new = NoteForm(self._front, new=True)
        self.going_with = parts.html("", "wb-muted")
        self.leave_out = self._button(
            tr("Leave that out"), self._panel.leave_out, line=self.new_said,
            help=tr("Note the print without the written file and the verdict"),
        )  # fmt: skip
        self.note_it = self._button(
            tr("Note this print"), self._panel.note_print, main=True, line=self.new_said,
            help=tr("Keep the plan as it is now, with these fields, in the record"),
        )  # fmt: skip
        self.handed = parts.row(self.going_with, self.leave_out)
        return [
            parts.heading(tr("Note the print you have just made"), 4),
            self.new,
            self.handed,
            parts.row(self.note_it),
            self.new_said,
        ]

    def _build_list(self) -> list:
        front, panel = self._front, self._panel
        self.search = parts.text(
            front, tr("Find words"), placeholder=tr("harbour warmer"),
            help=tr("Words that must all be somewhere in a note, in any case, with or without "
            'accents; "in quotation marks" one after the other'),
        )  # fmt: skip
        look = self._kept(lambda content: panel.seek(text=str(content.get("text", ""))))
        front.listen(self.search.field, "enter", look)
        self.search.on_change(self._kept(lambda text: panel.seek(text=text)))
        self.paper = parts.choice(
            front, tr("On paper"), options=[_ALL], help=tr("Only the prints on one of your papers")
        )
        self.paper.on_change(self._kept(lambda name: panel.seek(paper=name or None)))
        self.which = parts.choice(
            front, tr("Show"), options=[(_MADE, False), (_REMOVED, True)],
            help=tr("Prints you removed are kept, and can be brought back"),
        )  # fmt: skip
        self.which.on_change(self._kept(lambda removed: panel.seek(removed=removed)))
        knobs = parts.row(self.search, self.paper, self.which)
        knobs.add_class("wb-knobs")
        self.table = TextTable(front, tr("Prints"), COLUMNS, self._kept(panel.choose))
        self.listed = parts.html("", "wb-muted")
        self.newer = self._button(
            tr("Newer"),
            lambda: panel.page(-PAGE),
            help=tr("The {count} prints made after these", count=PAGE),
        )
        self.older = self._button(
            tr("Older"),
            lambda: panel.page(PAGE),
            help=tr("The {count} prints made before these", count=PAGE),
        )
        self.again = self._button(
            tr("Read the record again"), panel.read,
            help=tr("See what another window, or another computer, has noted meanwhile"),
        )  # fmt: skip
        below = parts.row(self.listed, self.newer, self.older, self.again)
        return [parts.heading(tr("Prints made"), 4), knobs, self.table, below]

    def _build_chosen(self):
        panel = self._panel
        self.title = parts.heading("", 4)
        self.facts = widgets.HTML()
        self.form = NoteForm(self._front, new=False, on_edit=self.say_unsaved)
        self.unsaved = parts.html("", "wb-muted")
        self.save = self._button(
            tr("Save changes"),
            panel.save,
            main=True,
            help=tr("Write what you changed into the record"),
        )
        self.undo = self._button(
            tr("Undo what I typed"), panel.undo, help=tr("Put back what the record says")
        )
        self.start = self._button(
            tr("Start a new plan from this one"), panel.start_again,
            help=tr("Picture, paper, size and settings as they were for this print"),
        )  # fmt: skip
        self.remove = self._button(
            tr("Remove"), panel.remove, help=tr("Out of sight, but kept; you can bring it back")
        )
        self.back = self._button(
            tr("Bring it back"), panel.restore, main=True, help=tr("Back among the prints made")
        )
        buttons = parts.row(self.save, self.undo, self.start, self.remove, self.back)
        self.chosen = parts.column(self.title, self.facts, self.form, self.unsaved, buttons)
        self.undo_removing = self._button(
            tr("Undo removing"),
            panel.undo_removing,
            help=tr("Bring back the print you just removed"),
        )
        self.undo_removing.layout.display = "none"
        return parts.column(self.chosen, self.said, parts.row(self.undo_removing))

    def _build_figure(self):
        self.drift = parts.html("", "wb-muted")
        self.figure = parts.PlotView(self._front, RecordFigure(), tr("No prints noted yet"))
        self.over_time = parts.fold(
            tr("How the listed prints came out over time"), self.drift, self.figure,
            front=self._front,
        )  # fmt: skip
        self.over_time.button.on_click(lambda _: self._panel._changed(None))
        return self.over_time

    def _build_saving(self):
        panel = self._panel
        act = Act(
            tr("Save the table as CSV"),
            tr(
                "All prints that are found above, on every page of the list, for a spreadsheet; "
                "nothing is written over"
            ),
            panel.begin_csv,
        )
        self.saving = SaveTo(
            self._front, {"csv": act}, original=lambda: getattr(panel.plan.picture, "path", None)
        )
        return parts.fold(tr("Take the table away"), *self.saving.body, front=self._front)

    def _build_place(self):
        self.place = widgets.HTML()
        return parts.fold(tr("Where the record is kept"), self.place, front=self._front)

    # showing ----------------------------------------------------------------

    def show_cost(self, given: tuple) -> None:
        """Show what the print costs, what is not known of it, and about how much ink it takes."""
        sentence, unknown, ink_ml = given
        self.cost.say(sentence, detail=unknown)
        about = "" if ink_ml is None else tr("about {ink_ml:.2g}", ink_ml=ink_ml)
        self.new.controls["ink_ml"].field.placeholder = about

    def show(self, held: Held, chosen: int | None, unit: str, drafts) -> None:
        """Show what was read.

        Parameters
        ----------
        chosen : the number of the print looked at.
        drafts : numbers of prints for which something typed waits to be saved.
        """
        begins = (
            "" if held.begun else tr("Nothing is written on your disk before you note a print.")
        )
        self.count.say(count_sentence(held.total, held.last), detail=begins)
        options = [_ALL, *((name, name) for name in held.papers)]
        if held.asked.paper and held.asked.paper not in held.papers:
            options.append((held.asked.paper, held.asked.paper))
        if options != list(self.paper.field.options):
            self.paper.replace(options, held.asked.paper or "")
        numbers = [note.id for note in held.notes]
        self.table.show(
            [cells(note, unit, "✎ " if note.id in drafts else "") for note in held.notes],
            numbers.index(chosen) if chosen in numbers else None,
        )
        asked, shown = held.asked, len(held.notes)
        words = listed_words(asked.offset, shown, held.count, asked.narrowed, asked.removed)
        parts.set_html(self.listed, words, "wb-muted")
        for button, there in (
            (self.newer, asked.offset > 0),
            (self.older, asked.offset + shown < held.count),
        ):
            button.layout.display = "" if held.count > PAGE else "none"
            button.disabled = not there
        learnt = "" if held.ink is None else learnt_sentence(held.ink, held.ink_of)
        parts.set_html(self.learnt, learnt, "wb-muted")
        for widget in (self.learnt, self.take_ink):
            widget.layout.display = "" if learnt else "none"
        parts.set_html(self.drift, drift_sentence(held.notes), "wb-muted")

    def show_figure(self, held: Held) -> None:
        """Draw how the listed prints came out."""
        self.figure.show(held.notes, alt=alt_text(held.notes))

    def show_place(self, path, begun: bool) -> None:
        """Say where the file lies."""
        said = tr(
            "The record is the SQLite file <code>{path}</code>. To take it elsewhere, copy this "
            "one file. The environment variable <code>WORKBENCH_RECORD</code> names another one, "
            "for a class or a trial.",
            path=escape(str(path)),
        )
        if not begun:
            said += tr(" It is not written yet.")
        self.place.value = f'<span class="tex2jax_ignore">{said}</span>'

    def show_chosen(self, note, unit: str, typed=()) -> None:
        """Show one print with its fields and what was typed into them, or none."""
        self.chosen.layout.display = "none" if note is None else ""
        if note is None:
            return
        title = f"{note.picture_name}, {day_text(note.when)}"
        self.title.value = parts.heading(title, 4).value
        self.facts.value = facts_table(facts(note, unit))
        removed = bool(note.removed_on)
        self.form.fill({key: getattr(note, key) for key in self.form.controls}, dict(typed))
        for widget, there in (
            (self.form.widget, not removed),
            (self.save, not removed),
            (self.undo, not removed),
            (self.remove, not removed),
            (self.back, removed),
        ):
            widget.layout.display = "" if there else "none"
        self.start.disabled = not note.plan_text
        self.say_unsaved()

    def say_unsaved(self) -> None:
        """Name the fields that differ from the record."""
        names = self.form.labels(self.form.typed)
        parts.set_html(
            self.unsaved, tr("Not saved yet: {names}.", names=names) if names else "", "wb-muted"
        )
        self.unsaved.layout.display = "" if names else "none"
        self.undo.disabled = not names

    def show_handed(self, text: str) -> None:
        """Say what goes with the next note."""
        parts.set_html(self.going_with, text, "wb-muted")
        self.handed.layout.display = "" if text else "none"
