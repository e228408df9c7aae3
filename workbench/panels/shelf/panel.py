"""The shelf panel: a person's papers in a file of their own, looked through and looked after."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from workbench.analysis.what_if import NAME as WHAT_IF
from workbench.errors import LibraryError
from workbench.language import tr
from workbench.library import Shelf, ShelfEntry, add_entry, edit_entry, remove_entry
from workbench.library.edits import REMOVED_NAME
from workbench.panels import parts
from workbench.panels.outcome import Outcome
from workbench.panels.panel import Panel
from workbench.panels.parts.folders import clean_path
from workbench.panels.parts.guard import report
from workbench.panels.shelf.reading import Holdings, held, named_folder, read_holdings
from workbench.panels.shelf.view import ShelfView
from workbench.panels.view import View
from workbench.paper import Paper, open_paper, same_sheet


class ShelfPanel(Panel):
    """A person's papers: choose one, say what is known of it, add and take off.

    Nothing is written before the person changes something.

    Parameters
    ----------
    folder : of the shelf; by default the one named by the environment variable
        ``WORKBENCH_SHELF``, else the person's own.
        What ``WORKBENCH_SHARED_SHELF`` names is shown with it and never written to.
    cache : folder in which measurements of found profiles are remembered; by default the
        person's own.
    """

    watch = ("papers", "paper")

    def __init__(self, plan, front=None, folder=None, *, cache=None):
        self.folder: Path | None = named_folder() if folder is None else Path(folder)
        self.held: Holdings | None = None
        self._cache = cache
        self._is_read = False  # it reads the shelf when it is first shown
        self._looked_at: int | None = None  # an entry without a paper, so not the plan's
        super().__init__(plan, front)

    def build(self) -> list:
        self._files = self.front.scheduler.on(parts.FINER, rest_s=0)
        self.view = ShelfView(self, cache=self._cache)
        Outcome.of(self.plan).observe(self.safely(self._read_again), "surface")
        # before the panel itself follows
        self.plan.observe(lambda change: setattr(self, "_looked_at", None), names=["paper"])
        self.status.widget.layout.min_height = "0"
        return [self.view.count, self.status, *self.view.items]

    # reading ----------------------------------------------------------------

    def read(self) -> None:
        """Read the shelf's file, with all that was edited in it by hand."""
        self._read_from(self.folder)

    def _read_again(self, change) -> None:
        if self._is_read:
            self.read()

    def use_folder(self, typed: str | None = None) -> None:
        """Keep the shelf in another folder from now on."""
        path = clean_path(self.view.folder.value if typed is None else typed)
        if not path:
            raise LibraryError(tr("No folder is named yet; type its path."))
        self.view.folder.value = path
        self._read_from(Path(path))

    def _read_from(self, folder: Path | None) -> None:
        self._is_read, again = True, self.held is not None

        def arrived(holdings: Holdings) -> None:
            self.folder = folder
            self._take(holdings)

        line = self.view.folder_said if again else self.status

        def failed(error: BaseException) -> None:
            report(line, error, self)
            if not again:
                self.view.count.say(tr("It could not be read."))

        self._files.submit(
            "shelf",
            lambda cancelled, progress: read_holdings(folder, cancelled, progress),
            arrived,
            on_error=failed,
            status=line,
        )

    def _take(self, holdings: Holdings, moved: dict | None = None) -> None:
        """Hold a shelf, put its papers at hand in the former ones' place, and show it."""
        before = [] if self.held is None else self.held.usable
        at_hand = iter(self.plan.bring_in(before, holdings.usable, moved))
        papers = tuple(None if each is None else next(at_hand) for each in holdings.papers)
        self.held = replace(holdings, papers=papers)
        self._changed(None)

    # showing ----------------------------------------------------------------

    def missing(self) -> str:
        return ""  # a shelf needs neither picture nor paper

    def shows(self):
        return (
            View("offer", self._offered, lambda offered: offered[0], self._suggest_name),
            View("shelf", self._held_now, tuple, lambda given: self.view.show(*given[:-1])),
        )

    def follow(self) -> None:
        if not self._is_read:
            self.read()
        super().follow()

    def _offered(self) -> tuple | None:
        """The chosen paper, where it has a profile and is not on the shelf; else None."""
        paper = self.plan.paper
        if self.held is None:
            return None
        own = self.held.papers[: len(self.held.shelf.entries)]
        on_shelf = any(same_sheet(each, paper) for each in own if each is not None)
        return (paper if isinstance(paper, Paper) and not on_shelf else None,)

    def _suggest_name(self, offered) -> None:
        if offered is not None:
            self.view.newcomer.value = "" if offered.name == WHAT_IF else offered.name

    def _held_now(self) -> tuple | None:
        """What `ShelfView.show` takes, and the entries with drafts, which the list marks."""
        if self.held is None:
            return None
        index, paper = self._index(), self.plan.paper
        own = None if index is None else self.held.papers[index]
        elsewhere = ()
        if own is not paper and same_sheet(own, paper):
            elsewhere = tuple(
                (key, getattr(paper, key))
                for key in self.view.form.controls
                if getattr(paper, key) != getattr(own, key)
            )
        drafts = frozenset(self.view.form.entries_with_drafts)
        return self.held, index, self._offered()[0], elsewhere, drafts

    def _index(self) -> int | None:
        """Which entry is looked at: one without a paper, or that of the plan's paper."""
        papers, at = self.held.papers, self._looked_at
        if at is not None and at < len(papers) and papers[at] is None:
            return at
        for same in (lambda one, other: one is other, same_sheet):
            for index, paper in enumerate(papers):
                if paper is not None and same(paper, self.plan.paper):
                    return index
        return None

    # what the person does -----------------------------------------------------

    def choose(self, index: int) -> None:
        """Print on the paper of an entry; one that has none is only looked at."""
        paper = self.held.papers[index]
        self._looked_at = index if paper is None else None
        self.view.ask(False)
        self.view.said.clear()
        if paper is None or same_sheet(paper, self.plan.paper):
            self._follow()
        else:
            self.plan.choose(paper)

    def put_chosen(self, name: str | None = None) -> None:
        """Put the plan's paper on the shelf, under this name or the one in the field."""
        paper = self.plan.paper
        name = (self.view.newcomer.value if name is None else name).strip()
        if not isinstance(paper, Paper):
            raise LibraryError(tr("Choose a paper that has a profile first."))
        if not name or name == WHAT_IF:
            raise LibraryError(tr("Give the paper a name of its own first."))
        shelf = self._shelf()
        self._changed_to(add_entry(shelf, paper, name), name, [paper])
        self._say(tr("“{name}” is on the shelf.", name=name), shelf)

    def add_file(self, source) -> None:
        """Put a paper on the shelf from its profile: a path, or (name, bytes)."""
        name = None
        if isinstance(source, tuple):
            file_name, source = source
            if not open_paper(source).icc.description:
                name = Path(file_name).stem
        name = name or open_paper(source).name
        shelf = self._shelf()
        self._changed_to(add_entry(shelf, source, name), name)
        self._say(
            tr("“{name}” is on the shelf and chosen; say what you know of it.", name=name), shelf
        )

    def use_profile(self, source) -> None:
        """Print on the paper of a profile, without putting it on the shelf."""
        self.plan.choose(open_paper(source))

    def save(self) -> None:
        """Write the changed fields of the entry."""
        entry, changes = self._entry(), self.view.form.changes()
        if not changes:
            self.view.said.say(tr("Nothing was changed."))
            return
        said = tr("“{name}” is saved.", name=changes.get("name", entry.name))
        self._edit(entry, said, **changes)

    def change_profile(self, source) -> None:
        """Give the entry another profile: a path, or (name, bytes)."""
        source = source[1] if isinstance(source, tuple) else source
        entry = self._entry()
        self._edit(entry, tr("“{name}” has another profile.", name=entry.name), profile=source)

    def accept_profile(self) -> None:
        """Note that the entry's profile was changed on purpose."""
        entry = self._entry()
        said = tr("The profile of “{name}” is taken as it is now.", name=entry.name)
        self._edit(entry, said, profile=entry.profile)

    def undo(self) -> None:
        """Forget what was typed and not saved."""
        entry = self._entry()
        self.view.form.undo()
        self._forget_elsewhere(entry)
        self.view.said.say(tr("“{name}” is as the shelf has it.", name=entry.name))
        self._views.again("shelf")
        self._follow()

    def take_off(self) -> None:
        """Take the entry off the shelf; its text and its profile are kept."""
        self.view.ask(False)
        entry, shelf = self._entry(), self._shelf()
        after = remove_entry(shelf, entry)
        self.view.form.saved()
        self._forget_elsewhere(entry)
        self._looked_at = None
        self._changed_to(after)
        self._say(
            tr(
                "“{name}” is off the shelf. Its text is kept in {file}, and its profile stays "
                "where it is.",
                name=entry.name,
                file=REMOVED_NAME,
            ),
            shelf,
        )

    # inside -------------------------------------------------------------------

    def _shelf(self) -> Shelf:
        if self.held is None:
            raise LibraryError(tr("The shelf has not been read; name a folder that can be."))
        return self.held.shelf

    def _entry(self) -> ShelfEntry:
        self._shelf()
        index = self._index()
        if index is None:
            raise LibraryError(tr("Choose a paper of the shelf first."))
        entry = self.held.entries[index]
        if not self.held.is_own(entry):
            raise LibraryError(
                tr(
                    "“{name}” is on the shared shelf, which is only read here. Put it on your own "
                    "shelf, and change it there.",
                    name=entry.name,
                )
            )
        return entry

    def _papers_of(self, entry: ShelfEntry) -> list[Paper]:
        """The entry's paper, and the plan's where that is the same sheet, changed elsewhere."""
        own = self.held.papers[self.held.entries.index(entry)]
        if own is None:
            return []
        chosen = self.plan.paper
        return [own, chosen] if same_sheet(own, chosen) else [own]

    def _forget_elsewhere(self, entry: ShelfEntry) -> None:
        papers = self._papers_of(entry)
        if papers[1:] and papers[1] is not papers[0]:
            self.plan.swap(papers[1], papers[0])

    def _edit(self, entry: ShelfEntry, said: str, **changes) -> None:
        shelf = self._shelf()
        after = edit_entry(shelf, entry, **changes)
        self.view.form.saved()
        self._changed_to(after, changes.get("name", entry.name), self._papers_of(entry))
        self._say(said, shelf)

    def _changed_to(self, shelf: Shelf, name: str | None = None, former=()) -> None:
        """Take the shelf as it is after a change.

        ``name`` is the entry to look at; its paper takes the place of the papers ``former``.
        """
        holdings = held(shelf, self.held.shared)
        index = next((i for i, each in enumerate(shelf.entries) if each.name == name), None)
        paper = None if index is None else holdings.papers[index]
        moved = {} if paper is None else {id(each): paper for each in former}
        self._take(holdings, moved)
        if paper is not None:
            self.plan.choose(self.held.papers[index])
        elif index is not None:
            self._looked_at = index
            self._follow()

    def _say(self, text: str, before: Shelf) -> None:
        if not before.written:
            text += tr(
                " The shelf is kept in “{folder}” from now on.", folder=self.held.shelf.folder
            )
        self.view.said.say(text)
