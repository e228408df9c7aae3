"""The desk: the picture on this paper and four answers always in view, the panels beside them."""

from __future__ import annotations

import os
from collections.abc import Mapping

import ipywidgets as widgets

from workbench.analysis.black import black_point
from workbench.analysis.gamut import gamut_report
from workbench.analysis.shadows import shadow_tally
from workbench.analysis.white import paper_white
from workbench.errors import WorkbenchError
from workbench.figures.on_paper import OnPaper
from workbench.library.printer_file import read_printer
from workbench.panels import parts
from workbench.panels.print_knobs import print_knobs
from workbench.panels.registry import PANELS
from workbench.panels.shelf.reading import named_folder, shelf_papers
from workbench.panels.sources.panel import Sources, as_paper, as_picture
from workbench.panels.view import View, Views
from workbench.paper import Paper
from workbench.plan import SIZE_TRAITS, Plan

# width and height that leave room for the answers beside a panel, or for looking closely
PREVIEW_PX = (412, 300)
LARGE_PREVIEW_PX = (1040, 900)


class Desk:
    """Everything on one page.  Parameters as in `workbench.panels.desk`.

    ``plan`` is the state; ``picture_view`` and ``answers`` (by "size", "gamut", "white",
    "black") are always in view; ``panels`` holds the panels by the same words.
    """

    def __init__(self, picture=None, papers=None, plan: Plan | None = None):
        self._fresh, self.plan = plan is None, plan or Plan()
        self.front = parts.Front()
        self.status = parts.StatusLine(self.front)
        self.safely = parts.guarded(self.status)
        self.answers = {
            "size": parts.Sentence("Size"),
            "gamut": parts.Sentence("Gamut"),
            "white": parts.Sentence("Paper white"),
            "black": parts.Sentence("Black point"),
        }
        for answer in self.answers.values():
            answer.say("Waiting for a picture")
        self.picture_view = parts.LiveView(
            self.front, alt="The picture on this paper", changed=self._changed
        )
        print_knobs(self)
        self._build_ticks()
        self.sources = Sources(self.plan, self.front, self.status)
        paper = parts.column(
            parts.row(self.paper, self.intent, self.compensation),
            self.picture_view,
            parts.row(self.without_paper, self.large),
        )
        paper.add_class("wb-desk-picture")
        said = parts.column(self.status, *self.answers.values(), self.front.counting.status)
        said.add_class("wb-desk-answers")
        self.always = parts.row(paper, said)
        self.always.add_class("wb-desk-always")
        self.safely(self._start)(picture, papers)
        self._views = Views(self._shows(), self.front.scheduler, self.status)
        self._follow = self.safely(self._follow_now)
        self.plan.observe(self._changed, names=list(_WATCHED))
        self.front.observe(self._changed, "pixel_ratio")
        self.front.counting.listen(self._changed)
        self._changed()
        # after the answers, so that these come first when something moves
        self._build_panels()
        frame = parts.row(self.always, self.tabs)
        frame.add_class("wb-desk-frame")
        self.widget = parts.root(self.front, frame)
        self.widget.add_class("wb-desk")
        self.sources.take_drops(self.widget)

    def _build_panels(self) -> None:
        self.panels = _Panels(self.plan, self.front)
        self.tabs = widgets.Tab(
            [*self.panels.places.values(), self.sources.widget],
            titles=(*(entry.title for entry in PANELS.values()), "Picture and paper"),
        )
        self.tabs.add_class("wb-tabs")
        waiting = self.sources.question.layout.display != "none"
        self.tabs.selected_index = len(self.panels) if waiting else 0
        self.tabs.observe(self.safely(self._turned), "selected_index")
        self._turned()

    def _build_ticks(self) -> None:
        self.without_paper = parts.tick(
            self.front,
            "Without the paper",
            help="The picture itself, to compare with how it will print",
        )
        self.large = parts.tick(
            self.front,
            "Larger",
            help="A larger picture, with less room for the panels",
        )
        for tick in (self.without_paper, self.large):
            tick.on_change(self._changed)

    # what is on the desk ----------------------------------------------------

    def _start(self, picture, papers) -> None:
        if self.plan.paper is not None and self.plan.paper not in self.plan.papers:
            self.plan.papers = (*self.plan.papers, self.plan.paper)
        if isinstance(papers, (str, os.PathLike, Paper)):
            papers = [papers]
        opened, problems = [], []
        try:
            if self._fresh and (kept := read_printer(named_folder())):
                self.plan.use(kept)
        except WorkbenchError as problem:
            problems.append(str(problem))
        for source in papers or ():
            try:
                opened.append(as_paper(source))
            except WorkbenchError as problem:
                problems.append(str(problem))
        if not opened and not self.plan.papers:
            opened = list(shelf_papers())
        self.plan.papers = (*self.plan.papers, *opened)
        if self.plan.paper is None:
            self.plan.paper = self.plan.papers[0]
        try:
            if picture is not None:
                self.sources.offer(as_picture(picture))
        except WorkbenchError as problem:
            problems.append(str(problem))
        waiting = self.sources.question.layout.display != "none"
        if self.plan.picture is None and not waiting:
            from workbench.demo import demo_picture

            self.plan.picture = demo_picture()
        if problems:
            raise WorkbenchError(" ".join(problems))

    # answers ------------------------------------------------------------------

    def _changed(self, change=None) -> None:
        with self.front.turn:
            self._follow()

    def _follow_now(self) -> None:
        if self.plan.picture is not None and self.plan.paper is not None:
            self._views.follow()

    def _shows(self) -> tuple[View, ...]:
        say = {name: answer.say for name, answer in self.answers.items()}
        return (
            View("picture", self._seen, OnPaper.seen, self._show_picture),
            View("gamut", self._gamut, _gamut_words, lambda said: say["gamut"](*said)),
            View("white", self._white, _white_words, say["white"]),
            View("black", self._black, _black_words, lambda said: say["black"](*said)),
            # rather than an answer that no longer holds, none
            View("size", self._size, lambda of: of[0].sentence(of[1]), say["size"],
                 forget=lambda: say["size"]("…")),
        )  # fmt: skip

    def _seen(self) -> OnPaper:
        plan = self.plan
        width, height = LARGE_PREVIEW_PX if self.large.value else PREVIEW_PX
        shape = plan.picture.width_px / plan.picture.height_px
        long_side_px = max(min(width, height * shape), min(height, width / shape))
        return OnPaper(
            plan.picture,
            None if self.without_paper.value else plan.paper,
            **plan.rendering,
            reference=plan.reference,
            adaptation=plan.adaptation,
            adjustments=plan.adjustments,
            long_side_px=self.front.fine(long_side_px),
            live=self.picture_view.live,
        )

    def _show_picture(self, seen: tuple) -> None:
        pixels, caption = seen
        self.picture_view.show(pixels, alt=caption)
        self.picture_view.set_caption(caption, mark="preview")

    def _gamut(self):
        plan = self.plan
        return self.front.counting.of(
            gamut_report, plan.picture, plan.paper, threshold=plan.threshold
        )

    def _white(self) -> tuple:
        return self.plan.paper, self.plan.reference, self.plan.adaptation

    def _black(self) -> tuple:
        plan = self.plan
        shadows = self.front.counting.of(shadow_tally, plan.picture)
        how = *plan.rendering.way.values(), plan.tolerance
        return plan.paper, plan.picture, shadows, *how

    def _size(self) -> tuple:
        return self.plan.print_size(), self.plan.unit

    def _turned(self, change=None) -> None:
        self.panels.show([*PANELS, None][self.tabs.selected_index])

    def _repr_mimebundle_(self, **options):
        return self.widget._repr_mimebundle_(**options)


class _Panels(Mapping):
    """The desk's panels by their words; each is made when it is first asked for.

    A page with all of them takes seconds longer to appear.  ``places`` are the boxes
    that they come to stand in.
    """

    def __init__(self, *together):
        self._together, self._made = together, {}
        self.places = {name: widgets.Box() for name in PANELS}
        for place in self.places.values():
            place.add_class("wb-column")

    def __getitem__(self, name: str):
        if name not in self._made:
            self._made[name] = PANELS[name].load()(*self._together)
            self.places[name].children = [self._made[name].body]
        return self._made[name]

    def __iter__(self):
        return iter(PANELS)

    def __len__(self) -> int:
        return len(PANELS)

    def show(self, name: str | None) -> None:
        """Bring one panel into view, or none; the others rest."""
        if name is not None:
            self[name]
        for each, panel in self._made.items():
            panel.show(each == name)


def _gamut_words(report) -> tuple[str, str]:
    return report.sentence, parts.count_mark(report.exact)


def _white_words(asked: tuple) -> str:
    paper, reference, adaptation = asked
    return paper_white(paper, reference=reference, adaptation=adaptation).sentence


def _black_words(asked: tuple) -> tuple[str, str]:
    paper, picture, shadows, intent, compensate, tolerance = asked
    black = black_point(
        paper, picture, intent=intent, black_point_compensation=compensate, tolerance=tolerance,
        shadows=shadows,
    )  # fmt: skip
    return black.sentence, parts.count_mark(black.share_exact)


_WATCHED = (
    "picture", "paper", "intent", "black_point_compensation", "threshold", "tolerance",
    "reference", "adaptation", "adjustments", *SIZE_TRAITS, "unit",
)  # fmt: skip
