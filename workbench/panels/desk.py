"""The desk: the picture on this paper and four answers always in view, the panels beside them."""

from __future__ import annotations

import functools
import json
import os
from collections.abc import Mapping

import ipywidgets as widgets

from workbench.analysis.adaptation import eye_beside, white_seen
from workbench.analysis.black import black_point
from workbench.analysis.crops import dimming
from workbench.analysis.gamut import gamut_report
from workbench.analysis.proof import picture_grid, proof_grid
from workbench.analysis.shadows import shadow_tally
from workbench.analysis.white import paper_white
from workbench.colour.trip import white_xyz
from workbench.errors import SizeError, WorkbenchError
from workbench.output.adjusted import adjusted
from workbench.panels import parts
from workbench.panels.print_knobs import print_knobs
from workbench.panels.registry import PANELS
from workbench.panels.shelf.reading import shelf_papers
from workbench.panels.sources.panel import Sources, as_paper, as_picture
from workbench.paper import Paper
from workbench.plan import SIZE_TRAITS, Plan

# width and height that leave room for the answers beside a panel, or for looking closely
PREVIEW_PX = (412, 300)
LARGE_PREVIEW_PX = (1040, 900)

EVERY_PIXEL = "whole picture, every pixel"


class Desk:
    """Everything on one page.  Parameters as in `workbench.panels.desk`.

    ``plan`` is the state; ``picture_view`` and ``answers`` (by "size", "gamut", "white",
    "black") are always in view; ``panels`` holds the panels by the same words.
    """

    def __init__(self, picture=None, papers=None, plan: Plan | None = None):
        self.plan = plan or Plan()
        self.front = parts.Front()
        self.worker = self.front.scheduler.on(parts.WHOLE)
        self.status = parts.StatusLine(self.front)
        # apart, so that counting does not wipe away what went wrong
        self.counting = parts.StatusLine(self.front)
        self.safely = parts.guarded(self.status)
        # what every pixel has been counted for, and until then a quick count stands in
        self._shadows, self._decided = (None, None), None
        self.answers = {
            "size": parts.Sentence("Size"),
            "gamut": parts.Sentence("Gamut"),
            "white": parts.Sentence("Paper white"),
            "black": parts.Sentence("Black point"),
        }
        for answer in self.answers.values():
            answer.say("Waits for a picture.")
        self.picture_view = parts.PictureView(self.front, alt="The picture on this paper")
        print_knobs(self)
        self._build_ticks()
        self.sources = Sources(self.plan, self.front, self.status)
        paper = parts.column(
            parts.row(self.paper, self.intent, self.compensation),
            self.picture_view,
            parts.row(self.without_paper, self.large),
        )
        paper.add_class("wb-desk-picture")
        said = parts.column(self.status, *self.answers.values(), self.counting)
        said.add_class("wb-desk-answers")
        self.always = parts.row(paper, said)
        self.always.add_class("wb-desk-always")
        self.safely(self._start)(picture, papers)
        for answer, traits in (
            (self._show_picture, (*_PRINTED, "reference", "adaptation", "adjustments")),
            (self._say_gamut, ("picture", "paper", "threshold")),
            (self._count_shadows, ("picture",)),
            (self._count_all, ("picture", "paper", "threshold")),
            (self._say_white, ("picture", "paper", "reference", "adaptation")),
            (self._say_black, (*_PRINTED, "tolerance")),
            (self._say_size, ("picture", *SIZE_TRAITS, "unit")),
        ):
            answer = self.safely(self._when_ready(answer))
            self.plan.observe(lambda change, answer=answer: answer(), names=list(traits))
            answer()
        show = self.safely(self._when_ready(self._show_picture))
        self.front.observe(lambda change: show(), names=["pixel_ratio"])
        # after the answers, so that these come first when something moves
        self._build_panels()
        frame = parts.row(self.always, self.tabs)
        frame.add_class("wb-desk-frame")
        self.widget = parts.root(self.front, frame)
        self.widget.add_class("wb-desk")

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
            tick.on_change(self.safely(lambda value: self._show_picture()))

    # what is on the desk ----------------------------------------------------

    def _start(self, picture, papers) -> None:
        if self.plan.paper is not None and self.plan.paper not in self.plan.papers:
            self.plan.papers = (*self.plan.papers, self.plan.paper)
        # the command line's files are for a desk that has been given none
        named = os.environ.get("WORKBENCH_IMAGE") if self.plan.picture is None else None
        if papers is None and not self.plan.papers:
            papers = json.loads(os.environ.get("WORKBENCH_PAPERS") or "[]")
        if isinstance(papers, (str, os.PathLike, Paper)):
            papers = [papers]
        opened, problems = [], []
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
            if picture is not None or named:
                self.sources.offer(as_picture(picture if picture is not None else named))
        except WorkbenchError as problem:
            problems.append(str(problem))
        waiting = self.sources.question.layout.display != "none"
        if self.plan.picture is None and not waiting:
            from workbench.demo import demo_picture

            self.plan.picture = demo_picture()
        if problems:
            raise WorkbenchError(" ".join(problems))

    # answers ------------------------------------------------------------------

    def _when_ready(self, answer):
        @functools.wraps(answer)
        def ready():
            if self.plan.picture is not None and self.plan.paper is not None:
                answer()

        return ready

    def _say_size(self) -> None:
        try:
            size = self.plan.print_size()
        except SizeError:
            self.answers["size"].say("…")  # rather than an answer that no longer holds
            raise
        self.answers["size"].say(size.sentence(self.plan.unit))

    def _say_white(self) -> None:
        plan = self.plan
        white = paper_white(plan.paper, reference=plan.reference, adaptation=plan.adaptation)
        self.answers["white"].say(white.sentence)

    def _say_black(self) -> None:
        plan = self.plan
        picture, shadows = self._shadows
        black = black_point(
            plan.paper,
            plan.picture,
            tolerance=plan.tolerance,
            shadows=shadows if picture is plan.picture else None,
            **plan.rendering,
        )
        mark = EVERY_PIXEL if black.share_exact else "quick count"
        self.answers["black"].say(black.sentence, mark=mark)

    def _say_gamut(self) -> None:
        """The quick count, until every pixel has been decided for this threshold."""
        picture, paper, threshold = of = self._gamut_of()
        report = gamut_report(picture, paper, threshold=threshold, exact=of == self._decided)
        mark = EVERY_PIXEL if report.exact else "quick count"
        self.answers["gamut"].say(report.sentence, mark=mark)

    def _count_shadows(self) -> None:
        picture = self.plan.picture

        def shadows_counted(tally):
            self._shadows = picture, tally
            self._say_black()

        self.worker.submit(
            "every shadow",
            lambda cancelled, progress: shadow_tally(
                picture, cancelled=cancelled, progress=progress
            ),
            shadows_counted,
            status=self.counting,
        )

    def _gamut_of(self) -> tuple:
        return self.plan.picture, self.plan.paper, self.plan.threshold

    def _count_all(self) -> None:
        picture, paper, threshold = of = self._gamut_of()

        def decided(report):
            self._decided = of
            self._say_gamut()

        self.worker.submit(
            "every pixel",
            lambda cancelled, progress: gamut_report(
                picture, paper, threshold=threshold, cancelled=cancelled, progress=progress
            ),
            decided,
            lambda fraction, text: self.counting.working("Counting every pixel", fraction),
            status=self.counting,
        )

    def _show_picture(self) -> None:
        plan = self.plan
        width, height = LARGE_PREVIEW_PX if self.large.value else PREVIEW_PX
        shape = plan.picture.width_px / plan.picture.height_px
        long_side_px = max(min(width, height * shape), min(height, width / shape))
        fine = min(max(self.front.pixel_ratio, 1.0), 3.0)
        preview = plan.picture.preview(round(long_side_px * fine))
        source = plan.picture.require_profile()
        if self.without_paper.value:
            grid = picture_grid(source)
            caption = f"{plan.picture.name}, without any paper"
        else:
            paper_xyz = white_xyz(plan.paper.profile)
            eye = eye_beside(plan.reference, plan.adaptation).white(paper_xyz)
            # a paper lighter or warmer than what lies beside it would clip on the screen
            dim = dimming(white_seen(paper_xyz, eye))
            grid = proof_grid(source, plan.paper.profile, reference_xyz=eye * dim, **plan.rendering)
            preview = adjusted(preview, source, plan.adjustments)
            caption = f"{plan.picture.name} on {plan.paper.name}"
            if plan.adjustments:
                caption += ", with your adjustments"
            if dim > 1.005:
                caption += (
                    f", all dimmed by {100 - 100 / dim:.0f} % so that its white fits the screen"
                )
        self.picture_view.show(grid.apply(preview), alt=caption)
        self.picture_view.set_caption(caption, mark="preview")

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


_PRINTED = ("picture", "paper", "intent", "black_point_compensation")
