"""Sharpening for the print, before and after, anywhere in it: at print pixels, and as it is seen."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np

from workbench.analysis.crops import highlight_box, shadow_box
from workbench.analysis.detail import detailed_place
from workbench.analysis.proof import ProofMaker, picture_grid
from workbench.analysis.proof_views import split_view
from workbench.analysis.seen import NEAR_PLACES, ROOM, place_text
from workbench.analysis.sheets import MM_PER_INCH, area_text
from workbench.analysis.viewing import find_display, viewing
from workbench.colour.grid import NODES
from workbench.language import tr
from workbench.output.job_facts import profile_of
from workbench.output.magnified import printed_box
from workbench.output.patch import Patch, patch_of
from workbench.output.seen_patch import SharpeningSeen, as_seen, seen_words, sharpening_seen
from workbench.output.solved import Solved
from workbench.panels import parts
from workbench.panels.knobs import told
from workbench.panels.proof.words import beside_words
from workbench.panels.view import View

OFF, AUTO, OWN = "off", "auto", "own"
DIVIDER, BESIDE = "divider", "beside"
# CSS pixels: the widest, and what the page puts around a picture
VIEW_PX, AROUND_PX, GAP_PX = (640, 320), 56, 16
_NARROWEST_PX = 240
_GAP_GREY = 0x77
# of a job, what decides the print's pixels besides where they lie
_PIXELS = ("picture", "paper", "intent", "black_point_compensation", "sharpening", "adjustments")  # fmt: skip


@dataclass(frozen=True)
class _Place:
    """Where a picture has fine detail; it is looked for once, at the size it has then."""

    picture: object
    ppi: float = field(compare=False)
    within: tuple = field(compare=False)  # the part of it that is printed


@dataclass(frozen=True)
class _Part:
    """A part of the print as it is looked at; borders, names and copies change none of it."""

    pixels: tuple
    seen: tuple
    room_mm: float
    from_mm: float  # 0 for the pixels as they are
    centre: tuple[float, float]
    window_px: tuple[int, int]
    solved: Solved = field(compare=False)


@dataclass(frozen=True, eq=False)
class _Found:
    """Its pixels without and with sharpening, as the display shows them."""

    patch: Patch
    before: np.ndarray
    after: np.ndarray
    display: bytes
    ppi: float
    seen: tuple[SharpeningSeen, ...]


class SharpeningPart:
    """How much, and what it does to a part of the print.

    ``on_moved(box)`` is told, in pixels of the printed picture, which part is shown.
    """

    def __init__(self, panel, on_moved):
        self._panel, self.plan, self.front = panel, panel.plan, panel.front
        self.safely, self._on_moved = panel.safely, on_moved
        self._found: _Found | None = None
        self._moved_for = None  # the picture whose place the person has chosen
        self._place: _Place | None = None
        self._width_px = VIEW_PX[0]
        self._build()
        self.front.listen(self.room, "width", self.safely(self._room_changed))
        self.plan.observe(lambda change: self._follow_plan(), names=["sharpening"])
        self._follow_plan()

    def _build(self) -> None:
        front, safely = self.front, self.safely
        label, help = told("sharpening")
        self.way = parts.choice(
            front, label, help=help,
            options=[
                (tr("matched to paper and pixels"), AUTO),
                (tr("as strong as you set it"), OWN),
                (tr("off"), OFF),
            ],
        )  # fmt: skip
        self.way.on_change(safely(self._way_chosen))
        self.strength = parts.slider(
            front, tr("Strength"), value=0.5, min=0, max=1, step=0.05,
            help=tr("0 is none, 0.5 what is matched, 1 twice as much"),
        )  # fmt: skip
        self.strength.on_change(safely(lambda value: setattr(self.plan, "sharpening", value)))
        self.said = parts.html("", "wb-muted")
        self.problem = parts.StatusLine(front)
        self.compare = parts.choice(
            front,
            tr("Compare"),
            options=[(tr("with a divider"), DIVIDER), (tr("side by side"), BESIDE)],
            help=tr(
                "Left without sharpening, right with it: the same place, or both halves of one"
            ),
        )
        self.zoom = parts.choice(
            front,
            tr("One print pixel is"),
            options=[(tr("one screen pixel"), 1), (tr("two screen pixels wide"), 2)],
            help=tr(
                "Print pixels are finer than those of most screens; two make them easier to see"
            ),
        )
        self.place = parts.choice(
            front,
            tr("Looked at"),
            options=[(tr("pixel by pixel"), ""), *((name, name) for name, _ in NEAR_PLACES),
                     (ROOM, ROOM)],
            help=tr("As the eye sees the print from there, with its blur, though still enlarged"),
        )  # fmt: skip
        self._panel.look(self.compare, self.zoom, self.place)
        self.across, self.down = (
            parts.slider(front, name, value=50, min=0, max=100, step=0.5, unit="%",
                         help=tr("Which part of the print is looked at"))
            for name in (tr("Place from the left"), tr("Place from the top"))
        )  # fmt: skip
        for slider in (self.across, self.down):
            slider.on_change(safely(lambda value: self._place_chosen()))
        self.buttons = [
            parts.button(front, name, safely(go), help=help)
            for name, go, help in (
                (tr("Fine detail"), self._to_detail, tr("Where the picture has most of it")),
                (
                    tr("Light parts"),
                    lambda: self._to_box(highlight_box),
                    tr("The most detail near white"),
                ),
                (
                    tr("Dark parts"),
                    lambda: self._to_box(shadow_box),
                    tr("The most detail near black"),
                ),
            )
        ]
        self.view = parts.PictureView(front)
        self.divider = parts.slider(
            front, tr("Divider"), value=50, min=0, max=100, unit=tr("% from the left"),
            help=tr("Left of it the print without sharpening, right of it with"),
        )  # fmt: skip
        self.divider.on_change(safely(lambda value: self._compose()))
        self.statement = parts.html("", "wb-muted")
        self.room = parts.column(self.view, self.divider, self.statement)
        self.room.layout.width = f"{VIEW_PX[0] + AROUND_PX}px"
        for control in (self.way, self.strength):
            control.widget.layout.width = "260px"
        for control in (self.compare, self.zoom, self.place):
            control.widget.layout.width = "172px"
        self.items = [
            parts.row(self.way, self.strength),
            self.said,
            parts.row(self.compare, self.zoom, self.place, *self.buttons),
            parts.row(self.across, self.down),
            self.problem,
            self.room,
        ]

    # knobs --------------------------------------------------------------------

    def _way_chosen(self, way: str) -> None:
        self.plan.sharpening = {AUTO: "auto", OFF: None}.get(way, self.strength.value)

    def _follow_plan(self) -> None:
        value = self.plan.sharpening
        way = {"auto": AUTO, None: OFF}.get(value, OWN) if not isinstance(value, float) else OWN
        self.way.value = way
        self.strength.visible = way == OWN
        if way == OWN and isinstance(value, (int, float)):
            self.strength.value = min(max(float(value), 0.0), 1.0)

    def _room_changed(self, content: dict) -> None:
        width = int(content.get("width", 0))
        if width > 0:  # hidden, there is nothing to fit
            self._width_px = min(max(width - AROUND_PX, _NARROWEST_PX), VIEW_PX[0])
            self._panel._changed(None)

    def _place_chosen(self) -> None:
        self._moved_for = self.plan.picture
        self._panel._changed(None)

    def stand_at_share(self, across: float, down: float) -> None:
        """Look at the place at these shares of the printed picture."""
        self.across.value, self.down.value = 100 * across, 100 * down
        self._place_chosen()

    def _to_box(self, find) -> None:
        if (made := self._panel.made) is not None:
            size = tuple(max(1, round(side / made.layout.factor)) for side in self._window_px())
            x, y, width, height = find(made.job.picture, size, printed_box(made.layout))
            self._stand_at((x + width / 2, y + height / 2))
            self._place_chosen()

    def _to_detail(self) -> None:
        if (made := self._panel.made) is not None:
            place = _place_of(made)
            self._stand_at(detailed_place(place.picture, place.ppi, place.within))
            self._place_chosen()

    def _stand_at(self, place: tuple[float, float]) -> None:
        """Let the sliders stand at a place given in picture pixels."""
        layout = self._panel.made.layout
        axes = (self.across, layout.across), (self.down, layout.down)
        for (slider, axis), at in zip(axes, place, strict=True):
            slider.value = 100 * min(max((at - axis.start) / axis.length, 0), 1)

    # following ------------------------------------------------------------------

    def shows(self) -> tuple[View, ...]:
        """What the panel declares of it: a place with fine detail, and the part looked at."""
        return (
            View("detail", self._to_find, found_detail, self._start_at, parts.FINER, 0.02),
            View(
                "part", self._asked, worked_out, self._show, parts.FINER, 0.02,
                forget=self._hide, status=self.problem,
            ),
            View("picture", self._to_compose, tuple, lambda asked: self._compose()),
        )  # fmt: skip

    def _to_find(self) -> _Place | None:
        made = self._panel.made
        if self._moved_for is self.plan.picture:
            return None
        if made is not None:
            self._place = _place_of(made)
        return self._place

    def _start_at(self, place: tuple[float, float]) -> None:
        if self._panel.made is not None:
            self._stand_at(place)
            self._panel._changed(None)

    def _asked(self) -> _Part | None:
        made, plan = self._panel.made, self.plan
        if made is None:
            return None
        job, layout = made.job, made.layout
        return _Part(
            pixels=(
                *(getattr(job, name) for name in _PIXELS), layout.across, layout.down, layout.ppi
            ),
            seen=(plan.adaptation, plan.reference, plan.display),
            room_mm=plan.viewing_distance_mm,
            from_mm=self._from_mm(),
            centre=(self.across.value / 100, self.down.value / 100),
            window_px=self._window_px(),
            solved=made,
        )  # fmt: skip

    def _from_mm(self) -> float:
        places = {"": 0.0, ROOM: self.plan.viewing_distance_mm, **dict(NEAR_PLACES)}
        return places[self.place.value]

    def _to_compose(self) -> tuple | None:
        return self._found and (self._found, self.plan.unit)

    def _halves(self) -> bool:
        return self.compare.value == BESIDE

    def _window_px(self) -> tuple[int, int]:
        """Print pixels that are shown."""
        width, height = self._panel.fine(self._width_px), self._panel.fine(VIEW_PX[1])
        if self._halves():
            width = (width - GAP_PX) // 2
        zoom = self.zoom.value
        return max(1, width // zoom), max(1, height // zoom)

    def _hide(self) -> None:
        """Show no part of a print that no longer holds."""
        self._found = None
        self.room.layout.display = "none"

    def _show(self, found: _Found) -> None:
        self._found = found
        self.room.layout.display = ""
        self.view.profile = found.display
        self._panel._changed(None)  # the picture is put together of it
        parts.set_html(self.said, found.patch.sharpening.sentence(), "wb-muted")
        self._on_moved(found.patch.box)

    def _compose(self) -> None:
        """Put before and after together; quick enough for a moving divider."""
        if self._found is None:
            return
        zoom = self.zoom.value
        before, after = (_enlarged(each, zoom) for each in (self._found.before, self._found.after))
        self.divider.visible = not self._halves()
        if self._halves():
            gap = np.full((before.shape[0], GAP_PX, 3), _GAP_GREY, np.uint8)
            pixels = np.concatenate([before, gap, after], 1)
        else:
            pixels = split_view(before, after, self.divider.value / 100)
        seen = seen_words(self._found.seen, self.plan.unit)
        parts.set_html(self.statement, f"{self._found.patch.sentence()} {seen}", "wb-muted")
        caption = self._caption()
        self.view.show(pixels, alt=caption)
        self.view.set_caption(caption)

    def _caption(self) -> str:
        x0, y0, x1, y1 = self._found.patch.box
        sides = (side / self._found.ppi * MM_PER_INCH for side in (x1 - x0, y1 - y0))
        known = profile_of(self.plan.paper) is not None
        how = {
            "width": x1 - x0,
            "height": y1 - y0,
            "size": area_text(*sides, self.plan.unit),
        }
        if known:
            said = tr(
                "Left without sharpening, right with it: {width} × {height} print pixels, {size} "
                "of paper, as the print looks, {beside}.",
                beside=beside_words(self.plan),
                **how,
            )
        else:
            said = tr(
                "Left without sharpening, right with it: {width} × {height} print pixels, {size} "
                "of paper, in the picture's colours.",
                **how,
            )
        if place := self.place.value:
            seen_from = place_text(place, self._from_mm(), self.plan.unit)
            said += tr(" Blurred as the eye sees it {seen_from}.", seen_from=seen_from)
        return said


def found_detail(asked: _Place, cancelled, progress) -> tuple[float, float]:
    """`detailed_place`, off the page's thread."""
    return detailed_place(asked.picture, asked.ppi, asked.within)


def worked_out(asked: _Part, cancelled, progress) -> _Found:
    """The part that is asked for, as the display shows it."""
    job = asked.solved.job
    patch = patch_of(asked.solved, asked.centre, asked.window_px)
    paper = profile_of(job.paper)
    how = None if paper is None else (paper, job.intent, job.black_point_compensation)
    pair = [patch.before, patch.after]
    if asked.from_mm:
        pair = [as_seen(asked.solved, pixels, asked.from_mm) for pixels in pair]
    display = find_display(asked.seen[2]).profile
    shown = _to_screen(job.picture.require_profile(), how, asked.seen, display)
    before = shown(pair[0])
    after = before if patch.after is patch.before else shown(pair[1])
    seen = sharpening_seen(asked.solved, patch)
    return _Found(patch, before, after, display, job.ppi, seen)


@lru_cache(maxsize=2)
def _to_screen(source: bytes, how: tuple | None, seen: tuple, display: bytes):
    """Print pixels to screen pixels, as the print is looked at; without a paper, the picture."""
    if how is None:
        return picture_grid(source, display).apply
    adaptation, reference, screen = seen
    way = viewing(adaptation=adaptation, reference=reference, display=screen)
    paper, intent, compensation = how
    return ProofMaker(source, paper, intent, compensation, way, NODES).pixels


def _place_of(made: Solved) -> _Place:
    return _Place(made.job.picture, made.job.ppi / made.layout.factor, printed_box(made.layout))


def _enlarged(pixels: np.ndarray, zoom: int) -> np.ndarray:
    """Every pixel as a square."""
    return pixels if zoom == 1 else pixels.repeat(zoom, axis=0).repeat(zoom, axis=1)
