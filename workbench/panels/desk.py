"""The desk: five stages of the work; the picture on this paper and the answers always in view."""

from __future__ import annotations

import os

from workbench.errors import WorkbenchError
from workbench.figures.on_paper import OnPaper, size_on_paper
from workbench.language import tr
from workbench.library.printer_file import read_printer
from workbench.panels import parts
from workbench.panels.answers import Answers
from workbench.panels.find_box import FindBox, locate
from workbench.panels.finding import ALWAYS, Findable
from workbench.panels.history_bar import HistoryBar
from workbench.panels.lazily import LazyPanels
from workbench.panels.outcome import Outcome
from workbench.panels.print_knobs import print_knobs
from workbench.panels.registry import PANELS, STAGES, page_title
from workbench.panels.settled import settled
from workbench.panels.shelf.reading import named_folder, shelf_papers
from workbench.panels.sources.panel import Sources, as_picture
from workbench.panels.sources.papers import as_paper
from workbench.panels.view import View, Views
from workbench.paper import Paper
from workbench.plan import SIZE_TRAITS, Plan
from workbench.record import Record

# the page that no panel has: the picture's file
FILE = "file"
# from here on the panels stand beside the picture; style.css says the same
_WIDE_PX = 1250
# CSS pixels that all else on the desk takes of a window's height
_REST_PX = 520


class Desk:
    """Everything on one page.  Parameters as in `workbench.panels.desk`.

    ``plan`` is the state; ``picture_view`` and ``answers`` (by "size", "gamut", "white",
    "black", "light") are always in view; ``panels`` holds the panels by the words of the
    registry; ``history`` is a place for controls of what was done.
    """

    def __init__(self, picture=None, papers=None, plan: Plan | None = None):
        self._fresh, self.plan = plan is None, plan or Plan()
        self.front = parts.Front()
        self.status = parts.StatusLine(self.front)
        self.safely = parts.guarded(self.status)
        self._answers = Answers(self.front, self.plan, self._way_to)
        self.answers = self._answers.lines
        self.picture_view = parts.LiveView(
            self.front, alt=tr("The picture on this paper"), changed=self._changed, plan=self.plan
        )
        print_knobs(self)
        self._build_ticks()
        self.sources = Sources(self.plan, self.front, self.status)
        self.always = self._build_always()
        self._invented = False  # whether it began with the invented picture
        self.safely(self._start)(picture, papers)
        self.outcome = Outcome.of(self.plan)
        self._prints: int | None = None
        self.stages = parts.TabRow(self.front, label=tr("Stages of the work"), rank="stages")
        self._views = Views(self._shows(), self.front.scheduler, self.status)
        self._follow = self.safely(self._follow_now)
        self.plan.observe(self._changed, names=_WATCHED)
        self.plan.observe(lambda change: self._hide_way(), names=["picture"])
        self.outcome.observe(self._changed, "written")
        self.front.observe(self._changed, ["pixel_ratio", "window_px"])
        self.front.counting.listen(self._changed)
        self._build_stages()
        self._changed()
        waiting = self.sources.question.layout.display != "none"
        self.go_to(FILE if waiting or self._invented else "size")
        frame = parts.row(self.always, self.stage)
        frame.add_class("wb-desk-frame")
        self.widget = parts.root(self.front, self.head, self.done.offer, frame)
        self.widget.add_class("wb-desk")
        self.sources.take_drops(self.widget)

    def _build_always(self):
        """Picture and answers, with the knobs that all of them follow."""
        knobs = parts.row(self.paper, self.intent)
        knobs.add_class("wb-desk-knobs")
        ticks = parts.row(self.compensation, self.without_paper, self.large)
        ticks.add_class("wb-desk-ticks")
        seen = parts.column(self.picture_view)
        seen.add_class("wb-desk-picture")
        said = parts.column(self.status, *self.answers.values(), self.front.counting.status)
        said.add_class("wb-desk-answers")
        always = parts.column(knobs, seen, ticks, said)
        always.add_class("wb-desk-always")
        return always

    def _build_stages(self) -> None:
        self.panels = LazyPanels(self.plan, self.front)
        self.way = self._build_way()
        self.places = {FILE: parts.column(self.way, self.sources.widget), **self.panels.places}
        # papers that are not on the shelf stand with it
        self.panels.around["shelf"] = lambda: self.sources.papers.around
        self.page_row = parts.TabRow(self.front, label=tr("Pages of this stage"), rank="pages")
        ids = {}
        for name, place in self.places.items():
            ids[name] = self.front.tag(place, role="tabpanel", **{"aria-label": page_title(name)})
            self.front.tag(place, id=ids[name])
            place.add_class("wb-page")
        self._tabs = {
            stage: [[name, page_title(name), "", ids[name]] for name in pages]
            for stage, pages in _PAGES.items()
        }
        within = parts.column(*self.places.values())
        within.add_class("wb-stage-within")
        body = self.front.tag(within, role="group")
        self.front.tag(within, id=body)
        self.stages.tabs = [[name, each.title, "", body] for name, each in STAGES.items()]
        self.done = HistoryBar(self)
        self.done.offer.add_class("wb-desk-offer")
        self.history = parts.row(*self.done.items)
        self.history.add_class("wb-desk-history")
        self.find = FindBox(self.front, self.take_to, self.safely)
        self.head = parts.row(self.stages, self.history)
        self.head.add_class("wb-desk-head")
        top = parts.row(self.page_row, self.find)
        top.add_class("wb-stage-top")
        self.stage = parts.column(top, within)
        self.stage.add_class("wb-stage")
        self._last = {name: stage.opens for name, stage in STAGES.items()}
        self.page = ""
        self._entering = self.front.scheduler.on(parts.FILES, rest_s=0.2)
        self.stages.on_choice(self.safely(self._enter))
        self.page_row.on_choice(self.safely(self.go_to))

    def _build_way(self):
        """For whoever begins with the invented picture: what is asked, stage by stage."""
        steps = []
        for place, stage in enumerate(STAGES.values(), 1):
            go = self._way_to(stage.opens)
            step = parts.row(
                parts.button(self.front, f"{place} {stage.title}", go, help=stage.question),
                parts.html(stage.question),
            )
            step.add_class("wb-way-step")
            steps.append(step)
        hide = parts.button(
            self.front,
            tr("Hide this"),
            self.safely(self._hide_way),
            help=tr("The stages stay above"),
        )
        said = tr("The picture is invented, to try things out. Open your own below; then:")
        way = parts.column(parts.html(said), *steps, hide)
        way.add_class("wb-way")
        way.layout.display = "" if self._invented else "none"
        return way

    def _hide_way(self, change=None) -> None:
        self.way.layout.display = "none"

    def _way_to(self, page: str):
        """What a button does that leads to a page."""
        return self.safely(lambda: self.go_to(page))

    def go_to(self, page: str) -> None:
        """Bring a page into view, with its stage: a panel's name, or "file"."""
        if page not in self.places:
            raise WorkbenchError(tr("The desk has no page “{page}”.", page=page))
        with self.front.turn:
            self._entering.cancel()
            self._turn_to(page)
            self.panels.show(page if page in PANELS else None)
            # after the panel: a hand looks at what it moves, the answers follow
            self.plan.unobserve(self._changed, names=_WATCHED)
            self.plan.observe(self._changed, names=_WATCHED)

    def _enter(self, stage: str) -> None:
        """Go where the person was last; a panel is not made for one who only passes through."""
        page = self._last[stage]
        if page not in PANELS or page in self.panels.made:
            self.go_to(page)
            return
        self._turn_to(page)
        self._entering.submit("page", lambda cancelled, progress: page, self.go_to)

    def _turn_to(self, page: str) -> None:
        stage = _STAGE_OF[page]
        self._last[stage] = self.page = page
        self.stages.chosen = stage
        with self.page_row.hold_sync():
            self.page_row.tabs, self.page_row.chosen = self._tabs[stage], page
        for name, place in self.places.items():
            place.layout.display = "" if name == page else "none"

    def take_to(self, found: Findable) -> None:
        """Bring a control into view, with the keyboard on it; folds around it open."""
        if found.page != ALWAYS:
            self.go_to(found.page)
        root = self.always if found.page == ALWAYS else self.places[found.page]
        there = locate(root, found.label, self.front)
        if there is None:
            raise WorkbenchError(
                tr(
                    "“{label}” is on this page, but not in use as things are set now.",
                    label=found.label,
                )
            )
        self.status.clear()
        control, folds = there
        for fold in folds:
            fold.click()
        self.front.focus(control)

    def _build_ticks(self) -> None:
        self.without_paper = parts.tick(
            self.front,
            tr("Without the paper"),
            help=tr("The picture itself, to compare with how it will print"),
        )
        self.large = parts.tick(
            self.front,
            tr("Larger"),
            help=tr("A larger picture, with less room for the panels"),
        )
        for tick in (self.without_paper, self.large):
            tick.on_change(self._changed)
        self.large.on_change(lambda larger: self._make_room(larger))

    def _make_room(self, larger: bool) -> None:
        (self.always.add_class if larger else self.always.remove_class)("wb-desk-large")

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
            self._invented = True
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
        return (
            View("picture", self._seen, OnPaper.seen, self._show_picture),
            self.picture_view.place_told(self.plan),
            *self._answers.shows(),
            View("settled", self._settled, dict, self.stages.say),
            View("prints", self._noted, _count_prints, self._show_prints, lane=parts.FINER),
        )  # fmt: skip

    def _seen(self) -> OnPaper:
        plan = self.plan
        width, height = self._room()
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
            size=size_on_paper(plan) if self.picture_view.live else (),
        )

    def _room(self) -> tuple[int, int]:
        """CSS pixels that there are for the picture beside, or above, all else."""
        width, height = self.front.window_px
        if self.large.value:
            return max(400, min(1040, width * 55 // 100)), max(300, min(900, height - 300))
        if width < _WIDE_PX:
            return 230, 150
        return 412, max(150, min(300, height - _REST_PX))

    def _show_picture(self, seen: tuple) -> None:
        pixels, caption = seen
        self.picture_view.show(pixels, alt=caption)
        self.picture_view.set_caption(caption, mark=tr("preview"))

    def _settled(self) -> tuple:
        said = settled(
            self.plan,
            share_outside=self._answers.gamut().share_outside,
            written=self.outcome.written,
            prints=self._prints,
        )
        return tuple(said.items())

    def _noted(self) -> tuple:
        """What the number of prints in the record may have followed from."""
        return self.outcome.written, self.stages.chosen

    def _show_prints(self, count: int | None) -> None:
        self._prints = count
        self._views.follow()

    def _repr_mimebundle_(self, **options):
        return self.widget._repr_mimebundle_(**options)


def _count_prints(asked, cancelled, progress) -> int | None:
    try:
        return Record().count()
    except WorkbenchError:  # the record's own page tells what is wrong with it
        return None


_WATCHED = [*dict.fromkeys((
    "picture", "paper", "intent", "black_point_compensation", "threshold", "tolerance",
    "reference", "adaptation", "adjustments", *SIZE_TRAITS, "unit", "screen_ppi", "illuminance_lux", "light",
    "glass", "room_share", "wall_reflectance", "screen_luminance_cd_m2", "screen_contrast_ratio",
))]  # fmt: skip
# stage -> its pages; the picture's file comes before its size
_PAGES = {
    stage: [*([FILE] if stage == "picture" else []),
            *(name for name, entry in PANELS.items() if entry.stage == stage)]
    for stage in STAGES
}  # fmt: skip
_STAGE_OF = {page: stage for stage, pages in _PAGES.items() for page in pages}
