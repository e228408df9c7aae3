"""Profiles found on this computer: listed at once, measured in the background."""

from __future__ import annotations

from html import escape
from pathlib import Path

import ipywidgets as widgets

from workbench.errors import LibraryError
from workbench.files.text import clean_text
from workbench.language import tr
from workbench.library import (
    FoundProfile,
    ScanReport,
    install_profile,
    measure_found,
    scan_profiles,
    system_profile_folders,
    user_profile_folder,
)
from workbench.panels import parts
from workbench.panels.parts.facts import facts_table
from workbench.panels.parts.folders import clean_path
from workbench.panels.parts.guard import report as report_problem
from workbench.panels.parts.text_table import TextTable
from workbench.panels.shelf.found_words import COLUMNS, LEGEND, cells, count_words, found_facts


class FoundProfiles:
    """A scan, its list, and what may be done with one of the list.

    Parameters
    ----------
    use : called with a profile's path, to print on its paper.
    add : called with a profile's path, to put its paper on the shelf.
    cache : folder in which measurements are remembered; by default the person's own.
    profile_folder : into which profiles are copied; by default where the person's
        programs look for them.

    Attributes
    ----------
    report : the last scan's, or None.
    scanner : its door to the scheduler.
    """

    def __init__(self, front, use, add, *, cache=None, profile_folder=None):
        self._use, self._add = use, add
        self._cache, self._profile_folder = cache, profile_folder
        self._listed: list[FoundProfile] = []  # what the list shows, in order
        self._chosen: Path | None = None
        self.report: ScanReport | None = None
        self.scanner = front.scheduler.on(parts.FILES, rest_s=0)
        self.said = parts.StatusLine(front)
        self.done = parts.StatusLine(front)
        self.front = front
        self._build(front)

    @property
    def profile_folder(self) -> Path:
        """Where a chosen profile is copied to."""
        return Path(self._profile_folder or user_profile_folder())

    # building ---------------------------------------------------------------

    def _build(self, front) -> None:
        scanning, doing = parts.guarded(self.said), parts.guarded(self.done)
        self.folders = parts.text(
            front,
            tr("Also look in these folders"),
            help=tr("Folders of your own, with those in them; more than one with ; between them"),
            placeholder=tr("~/profiles; ~/downloads"),
        )
        self.scan_button = parts.button(
            front, tr("Look for profiles"), scanning(self.scan), main=True,
            help=tr("In the system's profile folders and those you name; may be done again at any time"),
        )  # fmt: skip
        typed = scanning(lambda content: self.scan(str(content.get("text", ""))))
        front.listen(self.scan_button, "press", typed, field=front.tag(self.folders.field))
        front.listen(self.folders.field, "enter", typed)
        self.stop_button = parts.button(
            front, tr("Stop"), scanning(self.stop), help=tr("What has been measured is remembered")
        )
        self.stop_button.layout.display = "none"
        self.count = parts.html("")
        self.filter = parts.text(
            front, tr("Show only those with"), help=tr("Part of the description or of the path")
        )
        self.filter.on_change(scanning(lambda value: self._show()))
        self.table = TextTable(front, tr("Profiles found"), COLUMNS, doing(self._choose), rows=9)
        self.facts = widgets.HTML()
        path = clean_text(str(self.profile_folder))
        self.use_button = parts.button(
            front, tr("Use as paper"), doing(self.use), main=True,
            help=tr("Print on it, without putting it on the shelf"),
        )  # fmt: skip
        self.add_button = parts.button(
            front, tr("Put on the shelf"), doing(self.add), help=tr("With a copy of its profile")
        )
        self.copy_button = parts.button(
            front, tr("Copy into the profile folder"), doing(self.copy),
            help=tr(
                "Checks it first, then copies it to {path}, where other programs find it",
                path=path,
            ),
        )  # fmt: skip
        actions = parts.row(self.use_button, self.add_button, self.copy_button)
        self.one = parts.column(self.facts, actions, self.done)
        self.problems = widgets.HTML()
        self.troubles = parts.fold(tr("What could not be read"), self.problems, front=front)
        self.results = parts.column(
            parts.row(self.filter),
            parts.column(self.table, parts.html(LEGEND, "wb-muted")),
            self.one,
            self.troubles,
        )
        for line in (self.said, self.done):
            line.widget.layout.min_height = "0"
        self.one.layout.display = "none"
        self.results.layout.display = "none"
        self.widget = parts.column(
            parts.row(self.folders, self.scan_button, self.stop_button),
            self.said,
            self.count,
            self.results,
        )

    # scanning ----------------------------------------------------------------

    def scan(self, typed: str | None = None) -> None:
        """Look for profiles: the list comes first, then the measurements."""
        text = self.folders.value if typed is None else typed
        named = [clean_path(each) for each in text.split(";") if each.strip()]
        folders = [*system_profile_folders(), *named]
        self.scanner.cancel()
        self.stop_button.layout.display = ""
        self.said.working(tr("Looking through the folders"))
        self.scanner.submit(
            "list",
            lambda cancelled, progress: scan_profiles(
                folders, cache=self._cache, measure=False, cancelled=cancelled, progress=progress
            ),
            self._found,
            lambda fraction, text: self.said.working(tr("Reading what was found"), fraction),
            self._failed,
        )

    def stop(self) -> None:
        """End the scan; what it has listed stays."""
        self.scanner.cancel()
        self.stop_button.layout.display = "none"
        self.said.say(tr("Stopped. What was measured until then is remembered."))

    def _found(self, report: ScanReport) -> None:
        self.report = report
        self._show()
        self.said.working(tr("Measuring {count} profiles", count=len(report.found)), 0)
        self.scanner.submit(
            "measure",
            lambda cancelled, progress: measure_found(
                report, cache=self._cache, cancelled=cancelled, progress=progress
            ),
            self._measured,
            lambda fraction, text: self.said.working(
                tr("Measuring {count} profiles", count=len(report.found)), fraction
            ),
            self._failed,
        )

    def _measured(self, report: ScanReport) -> None:
        self.report = report
        self._show()
        self.stop_button.layout.display = "none"
        self.said.clear()

    def _failed(self, error: BaseException) -> None:
        self.stop_button.layout.display = "none"
        report_problem(self.said, error, self)

    # showing ------------------------------------------------------------------

    def _show(self) -> None:
        report, wanted = self.report, self.filter.value.strip().casefold()
        if report is None:
            return
        numbers = {each.path: number for number, each in enumerate(report.found, 1)}
        self._listed = [
            each
            for each in report.found
            if wanted in each.description.casefold() or wanted in str(each.path).casefold()
        ]
        rows = [cells(each, numbers) for each in self._listed]
        chosen = next((i for i, each in enumerate(self._listed) if each.path == self._chosen), None)
        self.results.layout.display = ""
        self.table.show(rows, chosen)
        self.count.value = parts.html(count_words(report)).value
        lines = "".join(f"<li>{escape(each)}</li>" for each in report.problems)
        self.problems.value = f'<ul class="tex2jax_ignore">{lines}</ul>'
        self.troubles.widget.layout.display = "" if report.problems else "none"
        self.scan_button.description = tr("Look again")
        self._show_one(None if chosen is None else self._listed[chosen])

    def _show_one(self, found: FoundProfile | None) -> None:
        self.one.layout.display = "none" if found is None else ""
        if found is not None:
            self.facts.value = facts_table(found_facts(found))

    def _choose(self, index: int) -> None:
        self._chosen = self._listed[index].path
        self._show_one(self._listed[index])
        self.done.clear()

    # doing ---------------------------------------------------------------------

    @property
    def chosen(self) -> FoundProfile:
        """The profile chosen in the list.

        Raises
        ------
        LibraryError
            if there is none.
        """
        for each in self._listed:
            if each.path == self._chosen:
                return each
        raise LibraryError(tr("Choose a profile in the list first."))

    def use(self) -> None:
        """Print on the chosen profile's paper."""
        found = self.chosen
        self._use(found.path)
        self.done.say(tr("“{paper}” is chosen as the paper.", paper=found.description))

    def add(self) -> None:
        """Put the chosen profile's paper on the shelf."""
        found = self.chosen
        self._add(found.path)
        self.done.say(tr("“{name}” is on the shelf.", name=found.description))

    def copy(self) -> None:
        """Check the chosen profile and copy it into the person's profile folder."""
        path = install_profile(self.chosen.path, self.profile_folder)
        self.done.say(tr("It is sound, and is now at “{path}”.", path=clean_text(str(path))))
