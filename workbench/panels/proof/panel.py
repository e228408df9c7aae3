"""The proof panel: the print on a display, what neither can hold, and which intent to take."""

from __future__ import annotations

import ipywidgets as widgets

from workbench.analysis.intents import compare_intents
from workbench.analysis.proof import ProofMaker, picture_grid
from workbench.analysis.proof_maps import ProofMaps, proof_maps, step_shares
from workbench.analysis.proof_views import split_view
from workbench.analysis.viewing import find_display, viewing
from workbench.colour.grid import NODES
from workbench.figures.proof import DifferenceFigure, difference_picture, framed, limits_picture
from workbench.panels import parts
from workbench.panels.panel import Panel
from workbench.panels.print_knobs import lone_row
from workbench.panels.proof.controls import (
    DIFFERENCE,
    LIMITED,
    SPLIT,
    DisplayChooser,
    divider_slider,
    view_choice,
)
from workbench.panels.proof.magnifier import Magnifier
from workbench.panels.proof.shares import limit_shares
from workbench.panels.proof.words import (
    advice_words,
    beside_words,
    intents_html,
    limits_legend,
    shares_words,
    way_words,
)
from workbench.panels.white.controls import EyeControls
from workbench.plan import SIZE_TRAITS

# CSS pixels; finer screens get more, up to as many picture pixels
PREVIEW_PX, _TALL_PX, _MOST_PX = 640, 520, 900
_REST_S = 0.2  # nothing moves: time for what is slow
# the magnifier shows print pixels
_MAGNIFIED = (*SIZE_TRAITS, "sharpening", "adjustments")


class ProofPanel(Panel):
    """Soft proof: picture and print, their difference, their limits, and the intents."""

    watch = (
        "picture",
        "paper",
        "papers",
        "intent",
        "black_point_compensation",
        "threshold",
        "reference",
        "adaptation",
        "display",
        *_MAGNIFIED,
    )

    # building ---------------------------------------------------------------

    def build(self) -> list:
        self._kept: dict = {}  # arrays by name, with what they were made for
        self._frame = None
        self._table = self._table_of = None
        # what is slow and follows a moving slider must not wait for counts of the whole desk
        self.resting = self.front.scheduler.on(parts.FINER, _REST_S)
        front = self.front
        knobs = self._build_knobs()
        self.view = view_choice(front)
        self.divider = divider_slider(front)
        self.view.on_change(self.safely(lambda value: self._view_changed()))
        self.divider.on_change(self.safely(lambda value: self._show_picture()))
        self.display = DisplayChooser(self.plan, front, self.status, self.resting)
        self.picture = parts.PictureView(front)
        self.shares = parts.Sentence("Beyond paper and display")
        self.legend = parts.PlotView(front, DifferenceFigure(), "Difference from picture to print")
        self.limits = widgets.HTML(limits_legend())
        self.advice = parts.Sentence("Which intent for this picture")
        self.table = widgets.HTML()
        self.magnifier = Magnifier(self.plan, front, self.resting, self.status, self._frame_at)
        front.observe(self._changed, "pixel_ratio")
        self._arrange()
        return [
            *knobs,
            parts.row(self.view, self.display.choice),
            self.display.own,
            self.picture,
            self.divider,
            self.limits,
            self.legend,
            self.shares,
            self.advice,
            self.table,
            parts.heading("Under the magnifier: the same part of the print, each way", 4),
            self.magnifier,
        ]

    def _build_knobs(self) -> list:
        self.eye = EyeControls(self)
        self.adaptation, self.reference = self.eye.adaptation, self.eye.reference
        self.reference.widget.layout.width = "260px"
        return [*lone_row(self), self.eye.row]

    def _arrange(self) -> None:
        """Show what belongs to the view."""
        view = self.view.value
        for item, of in ((self.divider, SPLIT), (self.limits, LIMITED), (self.legend, DIFFERENCE)):
            widget = item if isinstance(item, widgets.Widget) else item.widget
            widget.layout.display = "" if view == of else "none"

    def _view_changed(self) -> None:
        self._arrange()
        self.follow()

    # following ----------------------------------------------------------------

    def follow(self) -> None:
        plan = self.plan
        self._once("choices", (plan.papers, plan.paper, plan.reference), self.eye.offer)
        self._once("counts", (*self._of(), plan.threshold, self.view.value, self._px), self._count)
        self._once("table", self._chosen(), self._show_table)
        self._once("intents", (plan.picture, plan.paper, plan.threshold), self._compare)
        self._show_picture()
        # last: it waits until nothing moves
        sizes = tuple(getattr(plan, name) for name in _MAGNIFIED)
        self._once("magnifier", (*self._of(), sizes), self.magnifier.follow)

    def _chosen(self) -> tuple:
        plan = self.plan
        return plan.picture, plan.paper, plan.intent, plan.black_point_compensation

    def _of(self) -> tuple:
        plan = self.plan
        return (*self._chosen(), plan.adaptation, plan.reference, plan.display)

    def _seen(self) -> dict:
        plan = self.plan
        return {
            "adaptation": plan.adaptation,
            "reference": plan.reference,
            "display": plan.display,
        }

    # slow work ------------------------------------------------------------------

    def _count(self) -> None:
        """Shares of the whole picture, and the exact maps, once nothing moves."""
        plan, of, seen, px = self.plan, self._of(), self._seen(), self._px
        picture, paper, rendering, threshold = (
            plan.picture,
            plan.paper,
            plan.rendering.way,
            plan.threshold,
        )
        mapped = self.view.value != SPLIT

        def work(cancelled, progress):
            way = viewing(**seen)
            shares = limit_shares(picture, paper, way, rendering, threshold)
            maps = None
            if mapped and not cancelled():
                maps = proof_maps(
                    picture, paper, **rendering, **seen, threshold=threshold, long_side_px=px
                )
            return shares, way.display.name, maps

        def done(result):
            shares, display, maps = result
            sentence, detail = shares_words(shares, display)
            self.shares.say(sentence, "quick count", detail)
            if maps is not None and of == self._of():
                with self.front.turn:
                    self._kept["maps"] = ((of, threshold, px), maps)
                    self._show_picture()

        self.resting.submit("proof, counts", work, done, status=self.status)

    def _compare(self) -> None:
        plan = self.plan
        picture, paper, threshold = plan.picture, plan.paper, plan.threshold
        self._table = None
        self.advice.say("Being worked out …")
        self._show_table()

        def done(table):
            self._table = table
            advice, reason = advice_words(table)
            self.advice.say(advice, "quick count", reason)
            self._show_table()

        self.worker.submit(
            "proof, intents",
            lambda cancelled, progress: compare_intents(
                picture, paper, threshold=threshold, cancelled=cancelled, progress=progress
            ),
            done,
            lambda fraction, text: self.status.working("Comparing the intents", fraction),
            status=self.status,
        )

    def _show_table(self) -> None:
        self.table.value = intents_html(self._table, self.plan)

    # showing ----------------------------------------------------------------------

    @property
    def _px(self) -> int:
        """Long side of the preview."""
        picture = self.plan.picture
        shape = picture.width_px / picture.height_px
        wide = min(PREVIEW_PX, _TALL_PX * shape)
        long_side = max(wide, wide / shape) * max(self.front.pixel_ratio, 1)
        return min(_MOST_PX, round(long_side))

    def _once_made(self, name: str, key: tuple, make):
        if self._kept.get(name, (None,))[0] != key:
            self._kept[name] = (key, make())
        return self._kept[name][1]

    def _before(self):
        plan, px = self.plan, self._px

        def make():
            display = find_display(plan.display).profile
            grid = picture_grid(plan.picture.require_profile(), display)
            return grid.apply(plan.picture.preview(px))

        return self._once_made("before", (plan.picture, plan.display, px), make)

    def _after(self):
        plan, px = self.plan, self._px

        def make():
            # in this thread: for so few pixels a second table costs more than it saves
            return ProofMaker(
                plan.picture.require_profile(), plan.paper.profile, *plan.rendering.way.values(),
                viewing(**self._seen()), NODES,
            ).pixels(plan.picture.preview(px))  # fmt: skip

        return self._once_made("after", (self._of(), px), make)

    def _maps(self) -> ProofMaps:
        """The exact ones where they are there, else quick ones."""
        plan, px = self.plan, self._px

        def make():
            return proof_maps(
                plan.picture, plan.paper, **plan.rendering, **self._seen(),
                threshold=plan.threshold, long_side_px=px, exact=False,
            )  # fmt: skip

        return self._once_made("maps", (self._of(), plan.threshold, px), make)

    def _frame_at(self, box) -> None:
        """The magnifier stands elsewhere."""
        with self.front.turn:
            if box != self._frame:
                self._frame = box
                self._show_picture()

    def _show_picture(self) -> None:
        with self.front.turn:
            {SPLIT: self._show_split, DIFFERENCE: self._show_difference}.get(
                self.view.value, self._show_limits
            )()

    def _put(self, pixels, caption: str, *, on_display: bool, mark: str = "preview") -> None:
        self.picture.profile = find_display(self.plan.display).profile if on_display else None
        if self._frame is not None:
            pixels = framed(pixels, self._frame)
        self.picture.show(pixels, alt=caption)
        self.picture.set_caption(f"{caption} The frame is the magnifier's place.", mark=mark)

    def _show_split(self) -> None:
        plan = self.plan
        pixels = split_view(self._before(), self._after(), self.divider.value / 100)
        caption = (
            f"Left the picture, right its print on {plan.paper.name} "
            f"({way_words(plan.intent, plan.black_point_compensation)}; {beside_words(plan)})."
        )
        self._put(pixels, caption, on_display=True)

    def _show_difference(self) -> None:
        maps = self._maps()
        shares = step_shares(maps.difference)
        self.legend.show(shares, alt=self.legend.figure.alt_text(shares))
        caption = (
            f"CIEDE2000 from the picture to its print on {self.plan.paper.name}, "
            f"{beside_words(self.plan)}: on average {maps.difference.mean():.1f}."
        )
        self._put(difference_picture(maps.difference), caption, on_display=False, mark=_mark(maps))

    def _show_limits(self) -> None:
        maps = self._maps()
        name = find_display(self.plan.display).name
        caption = f"Stripes mark what {self.plan.paper.name} cannot hold and {name} cannot show."
        pixels = limits_picture(self._before(), maps.limits)
        self._put(pixels, caption, on_display=False, mark=_mark(maps))


def _mark(maps: ProofMaps) -> str:
    return "preview, every pixel" if maps.exact else "preview"
