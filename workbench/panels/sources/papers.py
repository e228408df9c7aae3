"""Opening papers by their profiles, and what is known of the chosen one."""

from __future__ import annotations

from pathlib import PurePath

from workbench.characteristics import in_section
from workbench.errors import PaperError
from workbench.language import tr
from workbench.panels import parts
from workbench.panels.characteristic import characteristic_control
from workbench.panels.parts.facts import facts_table
from workbench.panels.shelf.words import shown_value
from workbench.panels.sources.readings import Readings
from workbench.panels.sources.words import paper_facts
from workbench.paper import Paper, open_paper

PAPER_EXTENSIONS = (".icc", ".icm")

# what of a paper is asked here; prices and sizes have their place on the shelf
_DETAILS = tuple(in_section("packet", "hand", "printer"))


def as_paper(source) -> Paper:
    """A Paper, from itself or a profile's path."""
    return source if isinstance(source, Paper) else open_paper(source)


class Papers:
    """A chooser of profiles, and below it the chosen paper's characteristics and readings.

    Opens files into the plan; what cannot be opened leaves the plan as it was.  ``around`` is
    what to lay out, above and below a shelf.
    """

    def __init__(self, plan, front, status):
        self.plan = plan
        self.chooser = parts.FileChooser(
            front,
            tr("Paper profile (ICC output profile)"),
            self._open,
            extensions=PAPER_EXTENSIONS,
            help=tr("The profile for this paper on your printer"),
            formats=tr("An ICC profile, .icc or .icm."),
        )
        self.details_status = parts.StatusLine(front)
        self.details = {}
        for name in _DETAILS:
            self.details[name] = characteristic_control(front, name)
            self.details[name].on_change(
                parts.guarded(self.details_status)(lambda value, n=name: self._detail(n, value))
            )
        fields = parts.row(*self.details.values())
        fields.add_class("wb-knobs")
        # the shelf has the same of its own papers, so this opens for those that are opened here
        self.known = parts.fold(
            tr("What you know about this paper"), fields, self.details_status, front=front
        )
        self.facts = parts.html("")
        self.readings = Readings(front, plan)
        widget = parts.column(
            self.known, parts.heading(tr("What its profile says"), 4), self.facts, self.readings
        )
        self.around = self.chooser.widget, widget
        fill = parts.guarded(status)(self._fill)
        plan.observe(fill, names=["paper"])
        fill()

    def _open(self, source) -> None:
        if isinstance(source, tuple):
            name, data = source
            paper = open_paper(data)
            if not paper.icc.description:
                paper = paper.with_details(name=PurePath(name).stem)
        else:
            paper = open_paper(source)
        # Enter and then "Open" must not put the same paper on the desk twice
        chosen = self.plan.choose(paper)
        self.known.opened = True
        if chosen is paper:
            said = tr("“{name}” is on the desk, and chosen.", name=paper.name)
        else:
            said = tr("“{name}” is on the desk already, and chosen.", name=paper.name)
        self.chooser.status.say(said)

    def _detail(self, name: str, value: str) -> None:
        """Give the chosen paper another characteristic, as a new Paper in the old one's place."""
        plan, old = self.plan, self.plan.paper
        if old is None:
            raise PaperError(tr("Choose a paper first; then say what you know of it."))
        try:
            new = old.with_details(**{name: value.strip() or None})
        except PaperError:
            self._fill_details()  # what was typed is in the sentence
            raise
        if getattr(new, name) == getattr(old, name):
            self._fill_details()
            return
        plan.swap(old, new)

    def _fill(self, change=None) -> None:
        """Show the chosen paper's characteristics and its file's facts."""
        paper = self.plan.paper
        self._fill_details()
        self.facts.value = facts_table([] if paper is None else paper_facts(paper))

    def _fill_details(self) -> None:
        paper = self.plan.paper
        for name, control in self.details.items():
            control.value = shown_value(name, getattr(paper, name, None))
        if paper is None:
            self.known.title = tr("What you know about this paper")
        else:
            self.known.title = tr("What you know about {paper}", paper=paper.name)
