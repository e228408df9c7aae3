"""The what-if panel: a paper that does not exist, to see what each property alone does."""

from __future__ import annotations

from html import escape

import ipywidgets as widgets

from workbench.analysis.proof_table import quick_grid
from workbench.analysis.viewing import viewing
from workbench.analysis.words import tint_words
from workbench.errors import PaperError, WorkbenchError
from workbench.panels import parts
from workbench.panels.panel import Panel
from workbench.panels.parts.guard import report
from workbench.panels.print_knobs import NONE_YET, numbered, place_of
from workbench.panels.what_if.controls import Knobs
from workbench.panels.what_if.paper import (
    GRID_MOVING,
    GRID_RESTING,
    NAME,
    Settings,
    changes_words,
    compared,
    settings_of,
)

# how long the knobs rest before the paper is built more closely
REST_S = 0.4
# the desk's count of a whole picture on the plan's paper
EVERY_PIXEL = "every pixel"
_ALONE_PX = 640
_NOTE = (
    "A model of ink dots on a paper, not a measurement: it takes white, black and saturation as "
    "you set them and invents the rest. Where you have a profile of the paper, believe the profile."
)


class WhatIfPanel(Panel):
    """Knobs for white, black and saturation, from which a paper is built as they move.

    While "Use the what-if paper" is ticked, the plan's paper is the one that the knobs
    describe, so that picture and answers follow; it is named `NAME`, and invented.  The
    former paper returns when the tick is taken away.

    Attributes
    ----------
    maker, finer : the threads that build while the knobs move, and when they rest.
    """

    watch = (
        "papers",
        "paper",
        "picture",
        "intent",
        "black_point_compensation",
        "reference",
        "adaptation",
    )

    def build(self) -> list:
        front = self.front
        self._wanted: Settings | None = None  # what the newest knobs describe
        self._is_building = False
        self._paper = None  # the what-if paper that the plan has now
        self._former = None  # the paper to return to
        self._is_putting = False
        # a build is never given up for a newer one: while the knobs move on, that would show none
        self.maker = self.front.scheduler.on(parts.FINER, rest_s=0)
        self.finer = self.front.scheduler.on(parts.FINER, REST_S)
        self._start = self.plan.paper
        self._start_settings = Settings()
        self.use = parts.tick(
            front,
            "Use the what-if paper",
            help="Print on the paper that the knobs describe; the former paper returns afterwards",
        )
        self.use.on_change(self.safely(self._use_changed))
        self.start = parts.choice(
            front,
            "Start from",
            options=[NONE_YET],
            help="Sets the knobs to this paper's white, black and finish",
        )
        self.start.on_change(self.safely(self._start_from))
        self.back = parts.button(
            front,
            "Back to its white and black",
            self.safely(lambda: self._start_from(self.start.value)),
            help="Undo what the knobs have changed; the saturation returns to 100 %",
        )
        self.knobs = Knobs(front, self.safely(self._moved))
        self.answer = parts.Sentence("What-if paper")
        self.table = widgets.HTML()
        self.picture = parts.PictureView(front, alt="The picture on the what-if paper")
        if not self.alone:  # a desk has it above all panels
            self.picture.widget.layout.display = "none"
        self.plan.observe(lambda change: self._paper_changed(), names=["paper"])
        if self._start is not None:
            self._set_start(self._start)
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

    def _offered(self) -> list:
        return [paper for paper in self.plan.papers if paper is not self._paper]

    def _start_from(self, index) -> None:
        offered = self._offered()
        if index is None or index >= len(offered):
            raise PaperError("Choose a paper to start from first.")
        self._set_start(offered[index])
        self._moved()

    def _set_start(self, paper) -> None:
        settings = settings_of(paper, Settings(finish=self.knobs.settings.finish))
        self._start, self._start_settings = paper, settings
        self.knobs.settings = settings

    # using ------------------------------------------------------------------

    def _use_changed(self, used: bool) -> None:
        if used:
            if self.plan.paper is not self._paper:
                self._former = self.plan.paper
            self._moved()
            return
        self._stop()
        paper, self._paper = self._paper, None
        if paper is not None:
            self.plan.take_away(paper, self._returning())
        self._follow()

    def _returning(self):
        """The former paper, or what has taken its place since, or any other."""
        papers = [paper for paper in self.plan.papers if paper is not self._paper]
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
        self._stop()
        self.plan.take_away(paper)

    def _stop(self) -> None:
        with self.front.turn:
            self._wanted = None
        for worker in (self.maker, self.finer):
            worker.cancel()
        with self.front.turn:
            self._is_building = False

    # building -----------------------------------------------------------------

    def _moved(self) -> None:
        self._say()
        if not self.use.value:
            return
        self.finer.cancel()
        with self.front.turn:
            self._wanted = self.knobs.settings
            if self._is_building:
                return
            self._is_building = True
        self._build_wanted()

    def _build_wanted(self) -> None:
        settings = self._wanted
        if settings is None:
            return

        def build(cancelled, progress):
            try:
                return settings, settings.paper(GRID_MOVING), None
            except WorkbenchError as problem:
                return settings, None, problem

        self.maker.submit("build", build, self._built, on_error=self._failed)

    def _failed(self, error: BaseException) -> None:
        with self.front.turn:
            self._is_building = False
        report(self.status, error, self)

    def _built(self, result) -> None:
        settings, paper, problem = result
        try:
            if paper is not None:
                self.status.solved(self)
                self._put(paper, passing=True)
        finally:
            with self.front.turn:
                moved_on = self._wanted not in (None, settings)
                self._is_building = moved_on
        if moved_on:
            self._build_wanted()
        elif problem is not None:
            report(self.status, problem, self)
        elif self.use.value:
            self.finer.submit(
                "build closely",
                lambda cancelled, progress: settings.paper(GRID_RESTING),
                self._put,
                status=self.status,
            )

    def _put(self, paper, passing: bool = False) -> None:
        """Let a newly built paper be the plan's; a ``passing`` one is soon built more closely."""
        if not self.use.value:
            return
        old, self._paper = self._paper, paper
        self._is_putting = True
        try:
            if old is None:
                self.plan.choose(paper)
            else:
                self.plan.swap(old, paper)
        finally:
            self._is_putting = False
        if passing:
            # counted in vain, and the next paper needs the time
            self.worker.cancel(EVERY_PIXEL)
        self._compare()

    # showing ------------------------------------------------------------------

    def missing(self) -> str:
        return ""  # knobs and figures need no picture

    def follow(self) -> None:
        offered = self._offered()
        options = numbered(offered)
        if self._start is None and self.plan.paper is not None:
            self._set_start(self.plan.paper)
        at = place_of(self._start, offered)
        if at is None:
            name = getattr(self._start, "name", None)
            at = next((i for i, paper in enumerate(offered) if paper.name == name), None)
        if (options, at) != self._shown_start:
            self._shown_start = options, at
            self.start.replace(options or [NONE_YET], at)
        self._say()
        if self.alone:
            self._show_picture()

    _shown_start: tuple = ()

    def _say(self) -> None:
        settings = self.knobs.settings
        text = (
            f"White {tint_words(settings.white_lab)}, darkest printable colour of density "
            f"{settings.black_density:.2f}, contrast {settings.contrast_ratio:.0f}:1."
        )
        start, detail = self._start, ""
        if start is not None:
            detail = changes_words(self._start_settings, settings, start.name)
        if not self.use.value:
            detail += " Not in use: tick the box above to see it on the picture."
        said = (text, detail)
        if said != self._said:
            self._said = said
            self.answer.say(text, mark="a model", detail=detail.strip())
        # measuring a new paper takes longer than showing the picture on it, so that comes first
        if not self._is_putting:
            self._compare()

    def _compare(self) -> None:
        start = self._start
        if start is None or not self._shown:
            return
        paper = self._paper if self.use.value else None
        table = _table((start.name, NAME), compared(start, self.knobs.settings, paper))
        if self.table.value != table:
            self.table.value = table

    _said: tuple = ()

    def _show_picture(self) -> None:
        plan = self.plan
        if plan.picture is None or plan.paper is None:
            return
        how = plan.rendering
        way = viewing(**how.eye)
        source, paper = plan.picture.require_profile(), plan.paper.profile
        grid = quick_grid(source, paper, *how.way.values(), way)
        caption = f"{plan.picture.name} on {plan.paper.name}"
        self.picture.show(grid.apply(plan.picture.preview(_ALONE_PX)), alt=caption)
        self.picture.set_caption(caption, mark="preview")


def _table(names, rows) -> str:
    head = "".join(f'<th scope="col">{escape(name)}</th>' for name in ("", *names))
    body = "".join(
        f'<tr><th scope="row">{escape(name)}</th><td>{escape(first)}</td><td>{escape(now)}</td></tr>'
        for name, first, now in rows
    )
    return f'<table class="wb-facts tex2jax_ignore mathjax_ignore"><tr>{head}</tr>{body}</table>'
