"""The what-if panel: a paper that does not exist, to see what each property alone does."""

from __future__ import annotations

import ipywidgets as widgets

from workbench.analysis.viewing import find_display
from workbench.analysis.what_if import (
    GRID_MOVING,
    GRID_RESTING,
    NAME,
    Settings,
    changes_words,
    compared,
    settings_of,
)
from workbench.analysis.words import tint_words
from workbench.errors import PaperError
from workbench.figures.proof_picture import Proofed
from workbench.language import tr
from workbench.panels import parts
from workbench.panels.panel import Panel
from workbench.panels.parts.facts import facts_table
from workbench.panels.print_knobs import NONE_YET, numbered, place_of
from workbench.panels.view import View
from workbench.panels.what_if.controls import Knobs

# how long the knobs rest before the paper is built more closely; pixels are counted later
REST_S = 0.15
_ALONE_PX = 640
_NOTE = tr(
    "A model of ink dots on a paper, not a measurement: it takes white, black and saturation as "
    "you set them and invents the rest. Where you have a profile of the paper, believe the profile."
)


class WhatIfPanel(Panel):
    """Knobs for white, black and saturation, from which a paper is built as they move.

    While "Use the what-if paper" is ticked, the plan's paper is the one that the knobs
    describe, so that picture and answers follow; it is named `NAME`, and invented.  The
    former paper returns when the tick is taken away.
    """

    watch = (
        "papers",
        "paper",
        "picture",
        "intent",
        "black_point_compensation",
        "reference",
        "adaptation",
        "display",
    )

    def build(self) -> list:
        front = self.front
        self._paper = self._built = None  # the plan's what-if paper, and what it was built from
        self._former = None  # the paper to return to
        self._start, self._start_settings = None, Settings()
        self.use = parts.tick(
            front,
            tr("Use the what-if paper"),
            help=tr(
                "Print on the paper that the knobs describe; the former paper returns afterwards"
            ),
        )
        self.use.on_change(self.safely(self._use_changed))
        self.start = parts.choice(
            front,
            tr("Start from"),
            options=[NONE_YET],
            help=tr("Sets the knobs to this paper's white, black and finish"),
        )
        self.start.on_change(self.safely(self._start_from))
        self.back = parts.button(
            front,
            tr("Back to its white and black"),
            self.safely(lambda: self._start_from(self.start.value)),
            help=tr("Undo what the knobs have changed; the saturation returns to 100 %"),
        )
        self.knobs = self.look(Knobs(front))
        self.answer = parts.Sentence(tr("What-if paper"))
        self.table = widgets.HTML()
        self.picture = parts.PictureView(front, alt=tr("The picture on the what-if paper"))
        if not self.alone:  # a desk has it above all panels
            self.picture.widget.layout.display = "none"
        self.plan.observe(lambda change: self._paper_changed(), names=["paper"])
        self.status.widget.layout.min_height = "0"
        return [
            parts.row(self.start, self.back, self.use),
            self.knobs,
            self.status,
            self.answer,
            self.picture,
            self.table,
            parts.html(_NOTE, "wb-muted"),
        ]

    # starting -----------------------------------------------------------------

    def _offered(self) -> tuple:
        return tuple(paper for paper in self.plan.papers if paper is not self._paper)

    def _start_from(self, index) -> None:
        offered = self._offered()
        if index is None or index >= len(offered):
            raise PaperError(tr("Choose a paper to start from first."))
        self._set_start(offered[index])
        self._changed(index)

    def _set_start(self, paper) -> None:
        settings = settings_of(paper, Settings(finish=self.knobs.settings.finish))
        self._start, self._start_settings = paper, settings
        self.knobs.settings = settings

    # using ------------------------------------------------------------------

    def _use_changed(self, used: bool) -> None:
        if used:
            self._former = self.plan.paper
        else:
            paper, self._paper = self._paper, None
            if paper is not None:
                self.plan.take_away(paper, self._returning(paper))
        self._changed(used)

    def _returning(self, gone):
        """The former paper, or what has taken its place since, or any other."""
        papers = [paper for paper in self.plan.papers if paper is not gone]
        for test in (
            lambda paper: paper is self._former,
            lambda paper: paper.name == getattr(self._former, "name", None),
            lambda paper: True,
        ):
            for paper in papers:
                if test(paper):
                    return paper
        return self._former

    def _paper_changed(self) -> None:
        """Another paper was chosen elsewhere: then the what-if paper is not used any more."""
        paper = self._paper
        if paper is None or self.plan.paper is paper:
            return
        self._paper = None
        self.use.value = False
        self.plan.take_away(paper)

    # what it shows ----------------------------------------------------------

    def missing(self) -> str:
        return ""  # knobs and figures need no picture

    def follow(self) -> None:
        if self._start is None and self.plan.paper is not None:
            self._set_start(self.plan.paper)
        super().follow()

    def shows(self):
        return (
            View("start", lambda: (self._offered(), self._start), _placed, self._show_start),
            View("said", self._said, _said, self._say),
            View("paper", self._wanted, _quickly_built, self._put, forget=self._forget),
            # at once while the knobs move, and closely when they rest
            View("closely", self._resting, _closely_built, self._put, parts.FINER, REST_S),
            View("picture", self._pictured, Proofed.after, self._show_picture),
            # measuring a new paper takes longer than showing the picture on it
            View("table", self._tabled, _table, self._show_table),
        )

    def _show_start(self, placed: tuple) -> None:
        self.start.replace(*placed)

    def _said(self) -> tuple:
        name = getattr(self._start, "name", "")
        return self.knobs.settings, self._start_settings, name, self.use.value

    def _say(self, said: tuple[str, str]) -> None:
        text, detail = said
        self.answer.say(text, mark=tr("a model"), detail=detail)

    def _wanted(self) -> Settings | None:
        """What is to be built at once: nothing where that is done."""
        settings = self.knobs.settings
        return settings if self.use.value and settings != self._built else None

    def _resting(self) -> Settings | None:
        return self._built if self.use.value and self._built == self.knobs.settings else None

    def _forget(self) -> None:
        if self._paper is None:
            self._built = None

    def _put(self, built: tuple) -> None:
        """Let a newly built paper be the plan's."""
        old = self._paper
        # first, as the plan tells of its new paper at once
        self._built, self._paper = built
        if old is None:
            self.plan.choose(self._paper)
        else:
            self.plan.swap(old, self._paper)

    def _pictured(self) -> Proofed | None:
        plan = self.plan
        if not self.alone or plan.picture is None or plan.paper is None:
            return None
        return Proofed.of(plan, self.fine(_ALONE_PX))

    def _show_picture(self, pixels) -> None:
        caption = tr(
            "{picture} on {paper}", picture=self.plan.picture.name, paper=self.plan.paper.name
        )
        self.picture.profile = find_display(self.plan.display).profile
        self.picture.show(pixels, alt=caption)
        self.picture.set_caption(caption, mark=tr("preview"))

    def _tabled(self) -> tuple | None:
        if self._start is None:
            return None
        return self._start, self.knobs.settings, self._paper if self.use.value else None

    def _show_table(self, table: str) -> None:
        self.table.value = table


def _placed(request: tuple) -> tuple[list, int | None]:
    """The papers to start from, and the one that was."""
    offered, start = request
    at = place_of(start, offered)
    if at is None:  # it may have been changed since
        name = getattr(start, "name", None)
        at = next((i for i, paper in enumerate(offered) if paper.name == name), None)
    return numbered(offered) or [NONE_YET], at


def _said(request: tuple) -> tuple[str, str]:
    settings, start, name, used = request
    text = tr(
        "White {tint}, darkest printable colour of density {black_density:.2f}, "
        "contrast {contrast_ratio:.0f}:1 (absolute).",
        tint=tint_words(settings.white_lab),
        black_density=settings.black_density,
        contrast_ratio=settings.contrast_ratio,
    )
    detail = [changes_words(start, settings, name)] if name else []
    if not used:
        detail.append(tr("Not in use: tick the box above to see it on the picture."))
    return text, " ".join(detail)


def _quickly_built(settings: Settings) -> tuple:
    return settings, settings.paper(GRID_MOVING)


def _closely_built(settings: Settings, cancelled, progress) -> tuple:
    return settings, settings.paper(GRID_RESTING)


def _table(request: tuple) -> str:
    start, settings, paper = request
    return facts_table(compared(start, settings, paper), ("", start.name, NAME))
