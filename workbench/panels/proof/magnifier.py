"""The magnifier: one part of the print in up to four ways, at 100 % or as large as on paper."""

from __future__ import annotations

import numpy as np

from workbench.analysis.colours import distance_map
from workbench.analysis.crops import highlight_box, shadow_box
from workbench.analysis.intents import RENDERINGS
from workbench.analysis.proof_views import Magnified, magnify
from workbench.errors import WorkbenchError
from workbench.output.job import PrintJob
from workbench.output.layout import layout_of
from workbench.output.render import Renderer
from workbench.panels import parts
from workbench.panels.proof.words import ruler_html, way_words

CHOSEN, PICTURE, NONE = "chosen", "picture", ""
# CSS pixels; two of them side by side fit the narrowest desk
TILE_PX = (276, 204)
FIRST_WAYS = (CHOSEN, PICTURE, ("perceptual", True), ("relative", False))
PIXELS, PAPER_SIZE = "pixels", "paper"
_USUAL_PPI = 96.0  # of a CSS pixel, by definition; real screens differ
_SEARCH_PX = 400


class Magnifier:
    """Tiles, each with its own way of printing, all of the same part of the print.

    ``widget`` is what to lay out.  ``follow()`` brings the tiles up to date on ``worker``;
    ``on_moved(box)`` is then told what part of the picture they show, as shares.
    """

    def __init__(self, plan, front, worker, status, on_moved):
        self.plan, self.front, self.worker, self.status = plan, front, worker, status
        self._on_moved = on_moved
        self._read: tuple = (None, None)  # what was read last, and its pixels
        safely = self._safely = parts.guarded(status)
        self._build(front, safely)
        front.observe(safely(lambda change: self._screen_changed()), "pixel_ratio")

    def _build(self, front, safely) -> None:
        self.ways, self.views, tiles = [], [], []
        ways = [(way_words(*way), way) for way in RENDERINGS]
        ends = ("First", "Second", "Third", "Fourth")
        for place, first in zip(ends, FIRST_WAYS, strict=True):
            options = [
                ("as chosen for the print", CHOSEN),
                ("the picture, without a paper", PICTURE),
            ]
            options += ways + ([("nothing", NONE)] if place in ends[2:] else [])
            way = parts.choice(
                front, place, options=options, value=first, help="What this part shows"
            )
            way.on_change(safely(lambda value: self.follow()))
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
                help="Where in the print the magnifier stands",
            )
            for name in ("Place from the left", "Place from the top")
        )  # fmt: skip
        for slider in (self.across, self.down):
            slider.on_change(safely(lambda value: self.follow()))
        self.buttons = [
            parts.button(front, name, safely(find), help=help)
            for name, find, help in (
                ("Light parts", lambda: self._go(highlight_box), "The most detail near white"),
                ("Dark parts", lambda: self._go(shadow_box), "The most detail near black"),
                ("Most moved", self._go_to_most_moved, "Where the print differs most"),
            )
        ]
        self.size = parts.choice(
            front,
            "As large as",
            options=[
                ("print pixels: one for each screen pixel", PIXELS),
                ("on the paper: true size", PAPER_SIZE),
            ],
            help="Every print pixel, or the print's own size on your screen",
        )
        self.size.on_change(safely(lambda value: self._size_changed()))
        self.screen_ppi = parts.slider(
            front,
            "Resolution of your screen",
            value=_USUAL_PPI,
            min=60,
            max=300,
            step=0.5,
            unit="ppi",
            typed=(10, 2000),
            help="Pixels per inch, as in the screen's data sheet; or move it until the bar below "
            "is 10 cm long",
        )
        self.checked = False  # whether the person has ever given it
        self.screen_ppi.on_change(safely(self._ppi_given))
        self.ruler = parts.html("")
        note = "Hold a ruler against the screen: this bar is 10 cm long if the resolution is right."
        self.asked = parts.column(self.screen_ppi, parts.html(note, "wb-muted"), self.ruler)
        self.asked.layout.display = "none"
        self.said = parts.html("", "wb-muted")
        self.widget = parts.column(
            parts.row(self.across, self.down),
            parts.row(self.size, *self.buttons),
            self.asked,
            self.tiles,
            self.said,
        )
        self._show_ruler()

    # knobs --------------------------------------------------------------------

    def _screen_changed(self) -> None:
        if not self.checked:
            self.screen_ppi.value = _USUAL_PPI * self.front.pixel_ratio
        self._show_ruler()
        self.follow()

    def _show_ruler(self) -> None:
        self.ruler.value = ruler_html(self.screen_ppi.value, self.front.pixel_ratio)

    def _ppi_given(self, value) -> None:
        self.checked = True
        self._show_ruler()
        self.follow()

    def _size_changed(self) -> None:
        self.asked.layout.display = "" if self.size.value == PAPER_SIZE else "none"
        self.follow()

    def _go(self, find) -> None:
        job, layout = self._print()
        window = [max(1, round(side / layout.factor)) for side in self._window_px(job)]
        x, y, width, height = find(self.plan.picture, tuple(window))
        self._stand_at(layout, x + width / 2, y + height / 2)

    def _go_to_most_moved(self) -> None:
        from scipy.ndimage import uniform_filter

        plan = self.plan
        moved = distance_map(
            plan.picture, plan.paper, **plan.rendering,
            long_side_px=_SEARCH_PX, exact=False,
        )  # fmt: skip
        job, layout = self._print()
        scale = moved.shape[1] / plan.picture.width_px
        window = [
            max(1, round(side / layout.factor * scale)) for side in reversed(self._window_px(job))
        ]
        row, column = np.unravel_index(
            np.argmax(uniform_filter(moved, window, mode="nearest")), moved.shape
        )
        self._stand_at(layout, (column + 0.5) / scale, (row + 0.5) / scale)

    def _stand_at(self, layout, x: float, y: float) -> None:
        """Move to a place in picture pixels."""
        for slider, axis, at in ((self.across, layout.across, x), (self.down, layout.down, y)):
            slider.value = 100 * min(max((at - axis.start) / axis.length, 0), 1)
        self.follow()

    # showing ------------------------------------------------------------------

    def _print(self):
        job = PrintJob.from_plan(self.plan)
        return job, layout_of(job)

    def _tile_px(self) -> tuple[int, int]:
        ratio = min(max(self.front.pixel_ratio, 1.0), 3.0)
        return round(TILE_PX[0] * ratio), round(TILE_PX[1] * ratio)

    def _window_px(self, job) -> tuple[int, int]:
        """Print pixels that a tile shows."""
        factor = self.screen_ppi.value / job.ppi if self.size.value == PAPER_SIZE else 1.0
        return tuple(max(1, round(side / factor)) for side in self._tile_px())

    def follow(self) -> None:
        """Work the tiles out again, pixel by pixel, once nothing moves."""
        if self.plan.picture is None or self.plan.paper is None:
            return
        self.worker.submit(
            "proof, magnifier",
            lambda cancelled, progress: self._magnified(),
            self._show,
            on_error=self._failed,
        )

    def _magnified(self) -> tuple[Magnified, list, object]:
        plan = self.plan
        chosen = (plan.intent, plan.black_point_compensation and plan.intent != "absolute")
        ways = [chosen if way.value == CHOSEN else way.value for way in self.ways]
        renderings = list(dict.fromkeys(w for w in ways if isinstance(w, tuple)))
        job, layout = self._print()

        def read(*box):
            if self._read[0] != (job, box):
                self._read = (job, box), Renderer(job, layout).pixels(*box)
            return self._read[1]

        sizes = {}
        if self.size.value == PAPER_SIZE:
            sizes = {"print_ppi": job.ppi, "screen_ppi": self.screen_ppi.value}
        seen = magnify(
            plan.picture,
            plan.paper,
            renderings or [chosen],
            centre=(self.across.value / 100, self.down.value / 100),
            window_px=self._tile_px(),
            read=read,
            size_px=(layout.across.n_out, layout.down.n_out),
            adaptation=plan.adaptation,
            reference=plan.reference,
            display=plan.display,
            **sizes,
        )
        tiles = [
            None if way == NONE
            else seen.before if way == PICTURE
            else seen.proofs[renderings.index(way)].pixels
            for way in ways
        ]  # fmt: skip
        return seen, tiles, (job, layout)

    def _show(self, result) -> None:
        seen, tiles, (job, layout) = result
        profile = seen.proofs[0].display_profile
        for way, view, pixels in zip(self.ways, self.views, tiles, strict=True):
            view.widget.layout.display = "none" if pixels is None else ""
            if pixels is not None:
                view.profile = profile
                name = {v: n for n, v in way.field.options}[way.value]
                view.show(pixels, settled=True, alt=f"A part of the print: {name}")
        x0, y0, x1, y1 = seen.box
        mm = 25.4 / job.ppi
        words = (
            f"{x1 - x0} × {y1 - y0} print pixels, {(x1 - x0) * mm:.1f} × {(y1 - y0) * mm:.1f} mm "
            f"of paper at {job.ppi:g} ppi; every pixel worked out."
        )
        if self.size.value == PAPER_SIZE and not self.checked:
            words += " True size only if your screen has the resolution above: check it once."
        parts.set_html(self.said, words, "wb-muted")
        across, down, picture = layout.across, layout.down, self.plan.picture
        width, height = picture.width_px, picture.height_px
        self._on_moved(
            (
                (across.start + x0 * across.length / across.n_out) / width,
                (down.start + y0 * down.length / down.n_out) / height,
                (across.start + x1 * across.length / across.n_out) / width,
                (down.start + y1 * down.length / down.n_out) / height,
            )
        )

    def _failed(self, error) -> None:
        # a size that does not add up concerns the magnifier alone
        if isinstance(error, WorkbenchError):
            parts.set_html(self.said, str(error), "wb-problem")
        else:
            parts.guard.report(self.status, error, self)
