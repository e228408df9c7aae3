"""What the shelf panel shows, from top to bottom; what it does is the panel's business."""

from __future__ import annotations

from html import escape

import ipywidgets as widgets

from workbench.language import tr
from workbench.library.edits import REMOVED_NAME
from workbench.panels import parts
from workbench.panels.parts.facts import facts_table
from workbench.panels.parts.text_table import TextTable
from workbench.panels.shelf.form import ShelfForm
from workbench.panels.shelf.found import FoundProfiles
from workbench.panels.shelf.reading import Holdings
from workbench.panels.shelf.words import COLUMNS, count_words, entry_cells, profile_facts
from workbench.panels.sources.papers import PAPER_EXTENSIONS

_MOST_PROBLEMS = 20
_SHARED = tr("shared: ")
_NOT_WRITTEN = tr("Nothing is written on your disk before you change something.")


class ShelfView:
    """The widgets, named; ``panel`` offers the methods that its buttons call.

    Attributes
    ----------
    table, form, found : the list of papers, the fields of the chosen one, the profiles
        found on the computer.
    said, folder_said : status lines beside the fields, and beside the folder.
    count : how many papers there are, above all.
    items : the rest, in order.
    """

    def __init__(self, panel, *, cache=None):
        front = self._front = panel.front
        self._panel = panel
        self._shown: Holdings | None = None
        self.said = parts.StatusLine(front)
        self.folder_said = parts.StatusLine(front)
        self._kept = parts.guarded(self.said)
        self.count = parts.Sentence(tr("Your shelf"), tr("Being read …"))
        self.problems = widgets.HTML()
        self.problems.layout.display = "none"
        self.table = TextTable(front, tr("Papers on the shelf"), COLUMNS, self._kept(panel.choose))
        self._build_offer()
        self._build_form()
        self.edited = parts.column(self.title, self.form, self.edit_buttons, self.unsaved)
        self.profile = self._build_profile()
        self.found = FoundProfiles(front, panel.use_profile, panel.add_file, cache=cache)
        self.adder = parts.FileChooser(
            front,
            tr("Profile of the paper to add (ICC output profile)"),
            panel.add_file,
            extensions=PAPER_EXTENSIONS,
            help=tr("A copy of it is put beside the shelf"),
        )
        self.items = [
            self.problems,
            self.table,
            self.offer,
            self.edited,
            self.said,
            self.profile,
            parts.fold(tr("Add a paper from its profile"), self.adder, front=front),
            parts.fold(tr("Find profiles on this computer"), self.found, front=front),
            parts.fold(tr("Where the shelf is kept"), *self._build_place(), front=front),
        ]

    def _button(self, label, called, *, help="", main=False):
        return parts.button(self._front, label, self._kept(called), help=help, main=main)

    def _build_offer(self) -> None:
        """The row that offers to put the chosen paper on the shelf."""
        self.offered = parts.html("")
        self.newcomer = parts.text(
            self._front,
            tr("Its name on the shelf"),
            help=tr("What you call it; with the printer's name if you print on more than one"),
        )
        self.put_button = self._button(
            tr("Put it on the shelf"),
            self._panel.put_chosen,
            help=tr("Keep the chosen paper, with a copy of its profile"),
            main=True,
        )
        self._front.listen(
            self.put_button,
            "press",
            self._kept(lambda content: self._panel.put_chosen(content["text"])),
            field=self._front.tag(self.newcomer.field),
        )
        self.offer = parts.column(self.offered, parts.row(self.newcomer, self.put_button))
        self.offer.layout.display = "none"

    def _build_form(self) -> None:
        panel = self._panel
        self.title = parts.heading("", 4)
        self.form = ShelfForm(self._front, self.say_unsaved)
        self.unsaved = parts.html("", "wb-muted")
        self.save = self._button(
            tr("Save changes"), panel.save, main=True,
            help=tr("Write what you changed into the shelf's file; all else in it stays as it is"),
        )  # fmt: skip
        self.undo = self._button(
            tr("Undo what I typed"), panel.undo, help=tr("Put back what the shelf says")
        )
        self.off = self._button(
            tr("Take off the shelf"), lambda: self.ask(True),
            help=tr("Asks once more; the entry's text is kept in {file}", file=REMOVED_NAME),
        )  # fmt: skip
        self.sure = self._button(tr("Yes, take it off"), panel.take_off)
        self.keep = self._button(tr("Keep it"), lambda: self.ask(False))
        self.edit_buttons = parts.row(self.save, self.undo, self.off, self.sure, self.keep)
        self.ask(False)

    def _build_profile(self):
        self.facts = widgets.HTML()
        self.accept = self._button(
            tr("Take the profile as it is now"),
            self._panel.accept_profile,
            help=tr("Note the changed file's checksum; what is known of the paper stays"),
        )
        self.other_profile = parts.FileChooser(
            self._front,
            tr("Another profile for this paper"),
            self._panel.change_profile,
            extensions=PAPER_EXTENSIONS,
            help=tr("A copy is put beside the shelf"),
        )
        return parts.fold(
            tr("The profile of this paper"),
            self.facts,
            self.accept,
            self.other_profile,
            front=self._front,
        )

    def _build_place(self) -> list:
        front, panel = self._front, self._panel
        kept = parts.guarded(self.folder_said)
        self.place = widgets.HTML()
        self.again = parts.button(
            front, tr("Read the shelf again"), kept(panel.read),
            help=tr("After you have edited the file by hand"),
        )  # fmt: skip
        self.folder = parts.text(
            front,
            tr("Another folder for the shelf"),
            help=tr("A folder that holds a shelf already, or is to hold one"),
            placeholder="~/papers",
        )
        self.use_folder = parts.button(front, tr("Use this folder"), kept(panel.use_folder))
        typed = kept(lambda content: panel.use_folder(str(content.get("text", ""))))
        front.listen(self.use_folder, "press", typed, field=front.tag(self.folder.field))
        front.listen(self.folder.field, "enter", typed)
        return [
            self.place,
            parts.row(self.again),
            parts.row(self.folder, self.use_folder),
            self.folder_said,
        ]

    # showing ----------------------------------------------------------------

    def show(self, holdings: Holdings, index: int | None, chosen, elsewhere) -> None:
        """Show a shelf.

        Parameters
        ----------
        index : of the entry in the fields, or None.
        chosen : the paper to offer for the shelf, or None.
        elsewhere : (field, value) of what other places have changed of the paper.
        """
        self._show_shelf(holdings)
        entries = holdings.entries
        entry = None if index is None else entries[index]
        for part in (self.edited, self.profile.widget):
            part.layout.display = "none" if entry is None else ""
        if entry is not None:
            if holdings.is_own(entry):
                title = tr("What the shelf says about {name}", name=entry.name)
            else:
                title = tr("What the shared shelf says about {name}", name=entry.name)
            facts = facts_table(profile_facts(entry, holdings.papers[index]))
            self.title.value, self.facts.value = parts.heading(title, 4).value, facts
            self.form.fill(entry, dict(elsewhere))
            self.accept.layout.display = "" if entry.profile_changed else "none"
        drafts = self.form.entries_with_drafts
        rows = [
            entry_cells(each, paper, _mark(holdings, each, drafts))
            for each, paper in zip(entries, holdings.papers, strict=True)
        ]
        self.table.show(rows, index)
        self.offer.layout.display = "none" if chosen is None else ""
        if chosen is not None:
            parts.set_html(
                self.offered, tr("“{name}” is chosen, and not on the shelf.", name=chosen.name)
            )
        self.say_unsaved()

    def _show_shelf(self, holdings: Holdings) -> None:
        if self._shown is holdings:
            return
        self._shown, shelf = holdings, holdings.shelf
        count = len(shelf.entries)
        text = count_words(count, len(holdings.entries) - count, count and not shelf.written)
        self.count.say(text, detail="" if shelf.written else _NOT_WRITTEN)
        lines = [str(problem) for problem in holdings.problems]
        if shelf.locked:
            lines.insert(0, tr("The shelf can be looked at here, but not changed."))
        if len(lines) > _MOST_PROBLEMS:
            lines[_MOST_PROBLEMS:] = [tr("And {count} more.", count=len(lines) - _MOST_PROBLEMS)]
        self.problems.value = "".join(
            f'<span class="wb-problem tex2jax_ignore">{escape(line)}</span>' for line in lines
        )
        self.problems.layout.display = "" if lines else "none"
        said = tr(
            "The shelf is the text file <code>{path}</code>. You may edit it by hand; your "
            "comments in it are kept.",
            path=escape(str(shelf.path)),
        )
        if not shelf.written:
            said += tr(" It is not written yet.")
        self.place.value = f'<span class="tex2jax_ignore">{said}{_shared(holdings)}</span>'
        for button in (self.put_button, self.save, self.off, self.accept):
            button.disabled = shelf.locked is not None

    def say_unsaved(self) -> None:
        """Name the fields that differ from the shelf."""
        names = ", ".join(self.form.label_of(key) for key in self.form.unsaved)
        parts.set_html(
            self.unsaved, tr("Not saved yet: {names}.", names=names) if names else "", "wb-muted"
        )
        self.unsaved.layout.display = "" if names else "none"
        self.undo.disabled = not names

    def ask(self, sure: bool) -> None:
        """Ask whether the paper is to be taken off, or stop asking."""
        for button in (self.sure, self.keep):
            button.layout.display = "" if sure else "none"
        for button in (self.save, self.undo, self.off):
            button.layout.display = "none" if sure else ""


def _mark(holdings: Holdings, entry, drafts) -> str:
    if not holdings.is_own(entry):
        return _SHARED
    return "✎ " if entry.name in drafts else ""


def _shared(holdings: Holdings) -> str:
    if holdings.shared is None:
        return ""
    path = escape(str(holdings.shared.path))
    return tr(" The shared shelf is <code>{path}</code>; it is only read.", path=path)
