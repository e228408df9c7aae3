"""Sharpening for the print, judged at print pixels: before and after, anywhere in the print."""

from __future__ import annotations

import numpy as np

from workbench.analysis.crops import highlight_box, shadow_box
from workbench.analysis.detail import detail_sample
from workbench.analysis.proof import ProofMaker, picture_grid
from workbench.analysis.proof_views import split_view
from workbench.analysis.viewing import find_display, viewing
from workbench.colour.grid import NODES
from workbench.output.patch import patch_of
from workbench.panels import parts
from workbench.panels.proof.words import beside_words
from workbench.paper_readings import MeasuredPaper

OFF, AUTO, OWN = "off", "auto", "own"
DIVIDER, BESIDE = "divider", "beside"
# CSS pixels: the widest, and what the page puts around a picture
VIEW_PX, AROUND_PX, GAP_PX = (640, 320), 56, 16
_NARROWEST_PX = 240
_GAP_GREY = 0x77
# of a job, what decides the print's pixels besides where they lie
_PIXELS = ("picture", "paper", "intent", "black_point_compensation", "sharpening", "adjustments",
           "viewing_distance_mm")  # fmt: skip


class SharpeningPart:
    """How much, and what it does to a part of the print.

    ``on_moved(box)`` is told, in pixels of the printed picture, which part is shown.
    """

    def __init__(self, panel, worker, on_moved):
        self.plan, self.front, self.worker = panel.plan, panel.front, worker
        self.safely, self._on_moved = panel.safely, on_moved
        self._job = self._layout = self._patch = self._seen = self._looked_for = None
        self._maker: tuple = (None, None)
        # the pictures whose place the person has chosen, and where detail was looked for
        self._moved_for = self._detail_for = None
        self._width_px = VIEW_PX[0]
        self._build()
        self.front.listen(self.room, "width", self.safely(self._room_changed))
        self.front.observe(self.safely(lambda change: self.look()), "pixel_ratio")
        self.plan.observe(lambda change: self._follow_plan(), names=["sharpening"])
        self._follow_plan()

    def _build(self) -> None:
        front, safely = self.front, self.safely
        self.way = parts.choice(
            front,
            "Sharpening",
            options=[
                ("matched to paper, ppi and distance", AUTO),
                ("as strong as you set it", OWN),
                ("off", OFF),
            ],
            help="Ink spreads in paper and the eye blurs with distance; sharpening makes up "
            "for both. Its width is always matched, its strength may be yours",
        )
        self.way.on_change(safely(self._way_chosen))
        self.strength = parts.slider(
            front, "Strength", value=0.5, min=0, max=1, step=0.05,
            help="0 is none, 0.5 what is matched, 1 twice as much",
        )  # fmt: skip
        self.strength.on_change(safely(lambda value: setattr(self.plan, "sharpening", value)))
        self.said = parts.html("", "wb-muted")
        self.problem = parts.StatusLine(front)
        self.compare = parts.choice(
            front,
            "Compare",
            options=[("with a divider", DIVIDER), ("side by side", BESIDE)],
            help="Left without sharpening, right with it: the same place, or both halves of one",
        )
        self.compare.on_change(safely(lambda value: self.look()))
        self.zoom = parts.choice(
            front,
            "One print pixel is",
            options=[("one screen pixel", 1), ("two screen pixels wide", 2)],
            help="Print pixels are finer than those of most screens; two make them easier to see",
        )
        self.zoom.on_change(safely(lambda value: self.look()))
        self.across, self.down = (
            parts.slider(front, name, value=50, min=0, max=100, step=0.5, unit="%",
                         help="Which part of the print is looked at")
            for name in ("Place from the left", "Place from the top")
        )  # fmt: skip
        for slider in (self.across, self.down):
            slider.on_change(safely(lambda value: self._place_chosen()))
        self.buttons = [
            parts.button(front, name, safely(go), help=help)
            for name, go, help in (
                ("Fine detail", self._to_detail, "Where the picture has most of it"),
                ("Light parts", lambda: self._to_box(highlight_box), "The most detail near white"),
                ("Dark parts", lambda: self._to_box(shadow_box), "The most detail near black"),
            )
        ]
        self.view = parts.PictureView(front)
        self.divider = parts.slider(
            front, "Divider", value=50, min=0, max=100, unit="% from the left",
            help="Left of it the print without sharpening, right of it with",
        )  # fmt: skip
        self.divider.on_change(safely(lambda value: self._compose()))
        self.statement = parts.html("", "wb-muted")
        self.room = parts.column(self.view, self.divider, self.statement)
        self.room.layout.width = f"{VIEW_PX[0] + AROUND_PX}px"
        for control in (self.way, self.strength):
            control.widget.layout.width = "260px"
        for control in (self.compare, self.zoom):
            control.widget.layout.width = "172px"
        self.items = [
            parts.row(self.way, self.strength),
            self.said,
            parts.row(self.compare, self.zoom, *self.buttons),
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
        if width <= 0:  # hidden: nothing to fit
            return
        width = min(max(width - AROUND_PX, _NARROWEST_PX), VIEW_PX[0])
        if width != self._width_px:
            self._width_px = width
            self.look()

    def _place_chosen(self) -> None:
        self._moved_for = self.plan.picture
        self.look()

    def _to_box(self, find) -> None:
        job, layout = self._job, self._layout
        if job is None:
            return
        factor = layout.factor
        size = tuple(max(1, round(side / factor)) for side in self._window_px())
        x, y, width, height = find(job.picture, size)
        self._moved_for = job.picture
        self._stand_at(x + width / 2, y + height / 2)

    def _to_detail(self) -> None:
        job, layout = self._job, self._layout
        if job is None:
            return
        self._moved_for = job.picture
        self._stand_at(*detailed_place(job.picture, job.ppi / layout.factor))

    def _stand_at(self, x: float, y: float) -> None:
        """Look at a place given in picture pixels."""
        layout = self._layout
        for slider, axis, at in ((self.across, layout.across, x), (self.down, layout.down, y)):
            slider.value = 100 * min(max((at - axis.start) / axis.length, 0), 1)
        self.look()

    # following ------------------------------------------------------------------

    def show(self, solved) -> None:
        """Look at the same place of another print; at first, where it has fine detail."""
        job, layout = solved.job, solved.layout
        fresh = self._detail_for is not job.picture
        # borders, names and copies change no pixel of the part
        pixels = (*(getattr(job, name) for name in _PIXELS), layout.across, layout.down, layout.ppi)
        plan = self.plan
        wanted = (pixels, plan.reference, plan.adaptation, plan.display)
        same = self._job is not None and wanted == self._looked_for
        self._solved, self._job, self._layout, self._looked_for = solved, job, layout, wanted
        self.room.layout.display = ""
        if fresh and self._moved_for is not job.picture:
            self._detail_for = job.picture
            self.worker.submit(
                "print file, detail",
                lambda cancelled, progress: detailed_place(job.picture, job.ppi / layout.factor),
                lambda place: self._start_at(job, place),
            )
        if not same:
            self.look()

    def hide(self) -> None:
        """Show no part of a print that no longer holds."""
        self.worker.cancel("print file, part")
        self._job = self._layout = None
        self.room.layout.display = "none"

    def _start_at(self, job, place) -> None:
        shown = self._job
        if self._moved_for is not job.picture and shown and shown.picture is job.picture:
            self._stand_at(*place)

    def _halves(self) -> bool:
        return self.compare.value == BESIDE

    def _window_px(self) -> tuple[int, int]:
        """Print pixels that are shown."""
        ratio = min(max(self.front.pixel_ratio, 1.0), 3.0)
        width, height = round(self._width_px * ratio), round(VIEW_PX[1] * ratio)
        if self._halves():
            width = (width - GAP_PX) // 2
        zoom = self.zoom.value
        return max(1, width // zoom), max(1, height // zoom)

    def look(self) -> None:
        """Work out the part again, once nothing moves for a moment."""
        if self._job is None:
            return
        solved, job, layout = self._solved, self._job, self._layout
        centre = self.across.value / 100, self.down.value / 100
        window = self._window_px()

        def work(cancelled, progress):
            patch = patch_of(solved, centre, window)
            if cancelled():
                return None
            shown = self._shown(job)
            before = shown(patch.before)
            return patch, before, before if patch.after is patch.before else shown(patch.after)

        self.worker.submit(
            "print file, part", work, lambda result: self._done(result, layout),
            status=self.problem,
        )  # fmt: skip

    def _shown(self, job):
        """Print pixels to screen pixels, as the plan's print is looked at."""
        plan = self.plan
        display = find_display(plan.display)
        key = (job.picture, job.paper, job.intent, job.black_point_compensation, plan.adaptation,
               plan.reference, plan.display)  # fmt: skip
        if self._maker[0] != key:
            source = job.picture.require_profile()
            if not _has_profile(job.paper):
                make = picture_grid(source, display.profile).apply
            else:
                make = ProofMaker(
                    source, job.paper.profile, job.intent, job.black_point_compensation,
                    viewing(adaptation=plan.adaptation, reference=plan.reference,
                            display=plan.display),
                    NODES,
                ).pixels  # fmt: skip
            self._maker = key, make
        self.view.profile = display.profile
        return self._maker[1]

    def _done(self, result, layout) -> None:
        if result is None:
            return
        with self.front.turn:
            self._patch, *self._seen = result
            self._compose()
        parts.set_html(self.statement, self._patch.sentence(), "wb-muted")
        parts.set_html(self.said, self._patch.sharpening.sentence(), "wb-muted")
        self._on_moved(self._patch.box)

    def _compose(self) -> None:
        """Put before and after together; quick enough for a moving divider."""
        with self.front.turn:
            if self._patch is None:
                return
            before, after = self._seen
            zoom = self.zoom.value
            self.divider.visible = not self._halves()
            if self._halves():
                gap = np.full((before.shape[0] * zoom, GAP_PX, 3), _GAP_GREY, np.uint8)
                pixels = np.concatenate([_enlarged(before, zoom), gap, _enlarged(after, zoom)], 1)
            else:
                pixels = split_view(
                    _enlarged(before, zoom), _enlarged(after, zoom), self.divider.value / 100
                )
            caption = self._caption()
            self.view.show(pixels, alt=caption)
            self.view.set_caption(caption)

    def _caption(self) -> str:
        x0, y0, x1, y1 = self._patch.box
        mm = 25.4 / self._job.ppi
        return (
            f"Left without sharpening, right with it: {x1 - x0} × {y1 - y0} print pixels, "
            f"{(x1 - x0) * mm:.0f} × {(y1 - y0) * mm:.0f} mm of paper, "
            + (f"as the print looks {beside_words(self.plan)}." if _has_profile(self._job.paper)
               else "in the picture's colours.")
        )  # fmt: skip


def detailed_place(picture, ppi: float) -> tuple[float, float]:
    """The middle of the part with the most fine detail, in picture pixels.

    Of parts with equally much, the one nearest the middle of the picture is taken.
    """
    tiles = detail_sample(picture, ppi).tiles
    rows, columns = tiles.shape
    y, x = (np.arange(rows) + 0.5) / rows, (np.arange(columns) + 0.5) / columns
    away = np.hypot(y[:, None] - 0.5, x - 0.5)
    row, column = np.unravel_index(np.argmax(tiles - 1e-3 * away), tiles.shape)
    return x[column] * picture.width_px, y[row] * picture.height_px


def _has_profile(paper) -> bool:
    return paper is not None and not isinstance(paper, MeasuredPaper)


def _enlarged(pixels: np.ndarray, zoom: int) -> np.ndarray:
    """Every pixel as a square."""
    return pixels if zoom == 1 else pixels.repeat(zoom, axis=0).repeat(zoom, axis=1)
