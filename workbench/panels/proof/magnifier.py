"""The magnifier: one part of the print in up to four ways, at 100 % or as large as on paper."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from workbench.analysis.crops import highlight_box, shadow_box
from workbench.analysis.intents import RENDERINGS
from workbench.analysis.proof_maps import most_moved
from workbench.errors import WorkbenchError
from workbench.language import tr
from workbench.output.job import PrintJob
from workbench.output.layout import layout_of
from workbench.output.magnified import (
    MagnifiedPrint,
    centre_at,
    magnify_print,
    picture_window,
    place_in_print,
    printed_box,
    window_px,
)
from workbench.panels import parts
from workbench.panels.proof.words import magnified_words, way_words
from workbench.panels.screen_ruler import ScreenRuler
from workbench.plan import JOB_TRAITS
from workbench.rendering import Rendering

CHOSEN, PICTURE, NONE = "chosen", "picture", ""
# CSS pixels; two of them side by side fit the narrowest desk
TILE_PX = (276, 204)
FIRST_WAYS = (CHOSEN, PICTURE, ("perceptual", True), ("relative", False))
PIXELS, PAPER_SIZE = "pixels", "paper"


@dataclass(frozen=True)
class _Asked:
    """All that the tiles depend on: ``print`` stands for the job, ``problem`` for none."""

    print: tuple
    job: PrintJob | None = field(compare=False)
    problem: str
    ways: tuple
    centre: tuple[float, float]
    tile_px: tuple[int, int]
    screen_ppi: float | None
    rendering: Rendering


class Magnifier:
    """Tiles, each with its own way of printing, all of the same part of the print.

    ``widget`` is what to lay out; ``request``, ``compute`` and ``show`` are for a view of the
    panel.  ``on_moved(box)`` is told what part of the picture the tiles show, as shares.
    """

    def __init__(self, panel, on_moved):
        self.plan, self.front, self._on_moved = panel.plan, panel.front, on_moved
        self._job: tuple = (None, None)  # the job made last, and what it was made of
        self.ruler = ScreenRuler(panel)
        self._build(panel.front, panel.safely)
        panel.look(*self.ways, self.across, self.down, self.size, self.ruler.slider)
        self.front.observe(panel.safely(lambda change: self._pointed(change["new"])), "pointed")

    def _build(self, front, safely) -> None:
        self.ways, self.views, tiles = [], [], []
        ways = [(way_words(*way), way) for way in RENDERINGS]
        ends = (tr("First"), tr("Second"), tr("Third"), tr("Fourth"))
        for place, first in zip(ends, FIRST_WAYS, strict=True):
            options = [
                (tr("as chosen for the print"), CHOSEN),
                (tr("the picture, without a paper"), PICTURE),
            ]
            options += ways + ([(tr("nothing"), NONE)] if place in ends[2:] else [])
            way = parts.choice(
                front, place, options=options, value=first, help=tr("What this part shows")
            )
            view = parts.PictureView(front)
            self.ways.append(way)
            self.views.append(view)
            tiles.append(parts.column(way, view))
        for tile in tiles:
            tile.layout.width = f"{TILE_PX[0] + 56}px"
        self.tiles = parts.row(*tiles)
        self.tiles.layout.grid_gap = "12px"
        self.across, self.down = (
            parts.slider(
                front, name, value=50, min=0, max=100, step=0.5, unit="%",
                help=tr("Where in the print the magnifier stands"),
            )
            for name in (tr("Place from the left"), tr("Place from the top"))
        )  # fmt: skip
        self.buttons = [
            parts.button(front, name, safely(lambda find=find: self._go(find)), help=help)
            for name, find, help in (
                (tr("Light parts"), _lightest, tr("The most detail near white")),
                (tr("Dark parts"), _darkest, tr("The most detail near black")),
                (tr("Most moved"), _most_moved, tr("Where the print differs most")),
            )
        ]
        self.size = parts.choice(
            front,
            tr("As large as"),
            options=[
                (tr("print pixels: one for each screen pixel"), PIXELS),
                (tr("on the paper: true size"), PAPER_SIZE),
            ],
            help=tr("Every print pixel, or the print's own size on your screen"),
        )
        self.size.on_change(safely(self._size_changed))
        self.said = parts.html("", "wb-muted")
        self.widget = parts.column(
            parts.row(self.across, self.down),
            parts.row(self.size, *self.buttons),
            self.ruler,
            self.tiles,
            self.said,
        )

    # knobs --------------------------------------------------------------------

    def _size_changed(self, size: str) -> None:
        self.ruler.show(size == PAPER_SIZE)

    def _go(self, find) -> None:
        """Stand where ``find`` says, by a plan, a window's size and the part that is printed."""
        job, plan = PrintJob.from_plan(self.plan), self.plan
        window = picture_window(job, window_px(job, self._tile_px(), self._screen_ppi()))
        x, y, width, height = find(plan, window, printed_box(layout_of(job)))
        self._stand_at(centre_at(job, x + width / 2, y + height / 2))

    def _pointed(self, place) -> None:
        """Stand where the picture was clicked."""
        if place is not None and self.plan.picture is not None:
            self._stand_at(place_in_print(self.plan, *place))

    def _stand_at(self, place: tuple[float, float]) -> None:
        for slider, share in zip((self.across, self.down), place, strict=True):
            # as if the person had moved it, so that the panel follows
            slider.field.value = 100 * share

    # a view of the panel ----------------------------------------------------------

    def _tile_px(self) -> tuple[int, int]:
        ratio = min(max(self.front.pixel_ratio, 1.0), 3.0)
        return round(TILE_PX[0] * ratio), round(TILE_PX[1] * ratio)

    def _screen_ppi(self) -> float | None:
        return self.ruler.ppi if self.size.value == PAPER_SIZE else None

    def request(self) -> _Asked:
        plan, problem = self.plan, ""
        made_of = tuple(getattr(plan, trait) for trait in JOB_TRAITS)
        if self._job[0] != made_of:
            self._job = (None, None)
            try:
                self._job = made_of, PrintJob.from_plan(plan)
            except WorkbenchError as error:
                problem = str(error)
        return _Asked(
            made_of,
            self._job[1],
            problem,
            tuple(way.value for way in self.ways),
            (self.across.value / 100, self.down.value / 100),
            self._tile_px(),
            self._screen_ppi(),
            Rendering.of(
                plan, "intent", "black_point_compensation", "adaptation", "reference", "display"
            ),
        )

    @staticmethod
    def compute(asked: _Asked, cancelled, progress) -> tuple[_Asked, MagnifiedPrint | None, list]:
        """The print under the magnifier, and the pixels of each tile; None for an empty one.

        What does not add up concerns the magnifier alone, and becomes its ``problem``.
        """
        rendering = asked.rendering
        chosen = rendering.intent, rendering.black_point_compensation
        if rendering.intent == "absolute":  # which knows no compensation
            chosen = rendering.intent, False
        ways = [chosen if way == CHOSEN else way for way in asked.ways]
        renderings = list(dict.fromkeys(way for way in ways if isinstance(way, tuple)))
        if asked.job is None:
            return asked, None, []
        try:
            found = magnify_print(
                asked.job, renderings or [chosen], centre=asked.centre, tile_px=asked.tile_px,
                screen_ppi=asked.screen_ppi, **rendering.eye, display=rendering.display,
            )  # fmt: skip
        except WorkbenchError as error:
            return replace(asked, problem=str(error)), None, []
        tiles = [
            None if way == NONE
            else found.seen.before if way == PICTURE
            else found.seen.proofs[renderings.index(way)].pixels
            for way in ways
        ]  # fmt: skip
        return asked, found, tiles

    def show(self, result: tuple) -> None:
        asked, found, tiles = result
        if found is None:
            parts.set_html(self.said, asked.problem, "wb-problem")
            return
        profile = found.seen.proofs[0].display_profile
        for way, view, pixels in zip(self.ways, self.views, tiles, strict=True):
            view.widget.layout.display = "none" if pixels is None else ""
            if pixels is not None:
                view.profile = profile
                name = {v: n for n, v in way.field.options}[way.value]
                view.show(pixels, settled=True, alt=tr("A part of the print: {name}", name=name))
        unsure = asked.screen_ppi is not None and not self.ruler.checked
        parts.set_html(
            self.said,
            magnified_words(found, unsure, bool(asked.job and asked.job.adjustments)),
            "wb-muted",
        )
        self._on_moved(found.frame)


def _lightest(plan, window, printed) -> tuple[int, int, int, int]:
    return highlight_box(plan.picture, window, printed)


def _darkest(plan, window, printed) -> tuple[int, int, int, int]:
    return shadow_box(plan.picture, window, printed)


def _most_moved(plan, window, printed) -> tuple[int, int, int, int]:
    return most_moved(plan.picture, plan.paper, window, printed, **plan.rendering)
