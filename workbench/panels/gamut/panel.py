"""The gamut panel: what of the picture this paper cannot hold, where, how far, and why."""

from __future__ import annotations

import time

import numpy as np

from workbench.analysis.colours import distance_map, gathered, trip_key
from workbench.analysis.counts import count_gamut, count_shift
from workbench.analysis.gamut import ColourShift, GamutReport, colour_shift, gamut_report
from workbench.analysis.proof import picture_grid, proof_grid
from workbench.analysis.words import percent
from workbench.colour.shell import gamut_shell
from workbench.errors import UntaggedPictureError
from workbench.figures.gamut import DistributionFigure, ReasonsFigure
from workbench.figures.gamut_overlay import COLOURS, marked
from workbench.figures.gamut_solid import GamutView, SliceFigure, SolidFigure
from workbench.panels import parts
from workbench.panels.gamut.controls import NONE, GamutControls
from workbench.panels.gamut.words import (
    WAYS,
    counted_words,
    far_words,
    moved_words,
    table_of_ways,
)
from workbench.panels.panel import Panel
from workbench.panels.print_knobs import compensation_knob, intent_knob, numbered, place_of

# CSS pixels: as wide as there is room for beside the controls, and no higher than is seen at once
PREVIEW_PX, LEAST_PREVIEW_PX, WIDEST_PREVIEW_PX, _TALL_PX = 420, 240, 620, 420
_CONTROLS_PX, _GAP_PX, _AROUND_PX = 262, 24, 28
_MOST_PX = 900
_REST_S = 0.15  # a slider that rests this long gets what it touches least as well


class GamutPanel(Panel):
    """Share, place, distance, hue and reason of what lies beyond the paper."""

    watch = (
        "picture",
        "paper",
        "papers",
        "other_paper",
        "intent",
        "black_point_compensation",
        "threshold",
    )

    # building -------------------------------------------------------------

    def build(self) -> list:
        front = self.front
        self._key = self._counts = self._settled = self._seen = self._exact = None
        self._rows, self._rows_of = (), None
        self._base = self._base_of = self._quick = self._quick_of = None
        self._due: dict = {}  # what to show once things rest
        self._width_px = PREVIEW_PX
        self.share = parts.Sentence("Beyond this paper")
        self.far = parts.Sentence("How far")
        self.reason = parts.Sentence("Why")
        self.look = GamutControls(front)
        self._bind_controls()
        self.picture = parts.PictureView(front, alt="The picture")
        self.distribution = parts.PlotView(front, DistributionFigure(), alt="Distances")
        self.reasons = parts.PlotView(front, ReasonsFigure(), alt="Reasons")
        self.slice = parts.PlotView(front, SliceFigure(), alt="Slice of the gamut")
        self.solid = parts.PlotView(front, SolidFigure(), alt="The gamut as a body")
        self.dots_note = parts.html(
            "Each dot is a group of nearly equal colours of the whole picture, larger for more "
            "pixels.",
            "wb-muted",
        )
        self.table = parts.html("")
        look = self.look
        own = []
        if self.alone:  # a desk has these above all panels
            own = self.intent, self.compensation = intent_knob(self), compensation_knob(self)
        marks = look.marks, look.marks_of, look.marks_colour, look.below
        controls = parts.side(*own, look.threshold, *marks)
        controls.add_class("wb-side-controls")
        seen = parts.beside(self.picture, controls)
        front.listen(seen, "width", self.safely(self._room_changed))
        self._hold_room()
        return [
            self.share,
            seen,
            parts.beside(self.distribution, parts.side(self.far)),
            parts.beside(self.reasons, parts.side(self.reason)),
            parts.beside(self.slice, parts.side(look.lightness, look.other, self.dots_note)),
            parts.beside(self.solid, parts.side(look.turn, look.tilt)),
            parts.heading("Every way to print", 4),
            self.table,
        ]

    def _bind_controls(self) -> None:
        look = self.look
        self.bind(look.threshold, "threshold")
        for controls, show in (
            ((look.marks, look.marks_of, look.marks_colour, look.below), self._show_picture),
            ((look.lightness,), self._cut),
            ((look.turn, look.tilt), self._show_solid),
        ):
            for control in controls:
                control.on_change(self.safely(lambda value, show=show: self._when_ready(show)))
        look.other.on_change(self.safely(self._choose_other))
        self.front.observe(self.safely(lambda change: self._ratio_changed()), "pixel_ratio")

    def _choose_other(self, index) -> None:
        self.plan.other_paper = None if index == NONE else self.plan.papers[index]

    def _offer_others(self) -> None:
        plan = self.plan
        printed_on = place_of(plan.paper, plan.papers)
        others = [option for option in numbered(plan.papers) if option[1] != printed_on]
        options = [("none", NONE), *others]
        chosen = place_of(plan.other_paper, plan.papers)
        if chosen is None or chosen == printed_on:
            chosen = NONE
        offered = (tuple(options), chosen)
        if offered != getattr(self, "_offered", None):
            self._offered = offered
            self.look.other.replace(options, chosen)

    # following ------------------------------------------------------------

    def follow(self) -> None:
        plan = self.plan
        self._offer_others()
        key = trip_key(plan.picture, plan.paper, plan.intent, plan.black_point_compensation)
        if key == self._key:
            self._submit(key)
            self._show_report()
            self._later(self._show_slice, self._show_solid, self._show_table)
            return
        try:
            plan.picture.require_profile()
        except UntaggedPictureError:
            self._key = self._counts = None
            for sentence in (self.share, self.far, self.reason):
                sentence.say("…")
            raise
        self._submit(key)
        self._key, self._settled = key, None
        self._counts = (
            count_gamut(plan.picture, plan.paper),
            count_shift(plan.picture, plan.paper, **plan.rendering),
        )
        self._gather()
        self._show_report()
        self._show_slice()
        self._show_solid()
        self._show_table()

    def _submit(self, key) -> None:
        """Hand over what takes long: first the table of all ways, then every pixel."""
        picture, paper, how, px = self.plan.picture, self.plan.paper, self.plan.rendering, self._px
        threshold = self.plan.threshold

        def rows(cancelled, progress):
            found = []
            for intent, on in WAYS:
                if cancelled():
                    break
                found.append(
                    count_shift(picture, paper, intent=intent, black_point_compensation=on)
                )
            return found

        def every_pixel(cancelled, progress):
            maps = {
                "beyond": distance_map(picture, paper, long_side_px=px),
                "moved": distance_map(picture, paper, **how, long_side_px=px),
            }
            work = {"threshold": threshold, "cancelled": cancelled, "progress": progress}
            reports = (
                gamut_report(picture, paper, **work),
                colour_shift(picture, paper, **how, **work),
            )
            return (key, threshold), reports, (px, maps)

        if self._rows_of != key[:2]:
            self._rows, self._rows_of = (), key[:2]
            self.worker.submit("gamut, every way", rows, self._rows_done, status=self.status)
        self.worker.submit(
            "gamut, every pixel",
            every_pixel,
            self._counted,
            lambda fraction, text: self.status.working("Counting every pixel", fraction),
            status=self.status,
        )

    def _rows_done(self, tallies) -> None:
        self._rows = tuple(tallies)
        self._show_table()

    def _counted(self, result) -> None:
        of, reports, maps = result
        if of[0] == self._key:
            self._exact, self._settled = (of, reports), maps
            self._show_report()

    def _when_ready(self, show) -> None:
        if self._counts is not None:
            show()

    def _later(self, *shows) -> None:
        """Bring up to date, once the slider rests, what it touches least."""
        self._due.update(dict.fromkeys(shows))

        def rest(cancelled, progress):
            until = time.monotonic() + _REST_S
            while time.monotonic() < until and not cancelled():
                time.sleep(0.01)
            while self._due and not cancelled():
                self._due.popitem()[0]()

        self.worker.submit("gamut, views", rest, lambda _: None, status=self.status)

    def _cut(self) -> None:
        self._show_slice()
        self._later(self._show_solid)

    def _ratio_changed(self) -> None:
        if self._counts is not None:
            self._submit(self._key)
            self._show_picture()

    def _room_changed(self, content: dict) -> None:
        """The picture as wide as there is room for, beside its controls or above them."""
        room = int(content.get("width", 0))
        if room <= 0:  # hidden: nothing to fit
            return
        width = room - _CONTROLS_PX - _GAP_PX - _AROUND_PX
        if width < LEAST_PREVIEW_PX:
            width = room - _AROUND_PX
        width = min(max(width // 20 * 20, LEAST_PREVIEW_PX), WIDEST_PREVIEW_PX)
        if width != self._width_px:
            self._width_px = width
            self._hold_room()
            self._ratio_changed()

    def _hold_room(self) -> None:
        """As wide before there is a picture, and with a long caption, so that nothing jumps."""
        self.picture.widget.layout.width = f"{self._width_px + _AROUND_PX}px"

    # showing --------------------------------------------------------------

    @property
    def _px(self) -> int:
        """Long side of the preview."""
        picture = self.plan.picture
        shape = picture.width_px / picture.height_px
        wide = min(self._width_px, _TALL_PX * shape)
        long_side = max(wide, wide / shape) * max(self.front.pixel_ratio, 1)
        return max(1, min(_MOST_PX, round(long_side)))

    def _report(self) -> tuple[GamutReport, ColourShift]:
        """Of every pixel where they are decided for this threshold, else the quick ones."""
        plan = self.plan
        if self._exact is not None and self._exact[0] == (self._key, plan.threshold):
            return self._exact[1]
        gamut, shift = self._counts
        quick = {"threshold": plan.threshold, "exact": False}
        return (
            gamut_report(plan.picture, plan.paper, counts=gamut, **quick),
            colour_shift(plan.picture, plan.paper, counts=shift, **plan.rendering, **quick),
        )

    def _show_report(self) -> None:
        with self.front.turn:
            self._answer(*self._report())

    def _answer(self, report: GamutReport, shift: ColourShift) -> None:
        mark = "whole picture, every pixel" if report.exact else "quick count"
        self.share.say(report.sentence, mark, counted_words(report))
        self.far.say(shift.sentence, mark, far_words(shift))
        self.reason.say(report.why_sentence, mark, moved_words(report, shift))
        self.distribution.show((report, shift), alt=self.distribution.figure.alt_text(report))
        self.reasons.show(report, alt=self.reasons.figure.alt_text(report))
        self._draw_picture(report, shift)

    def _show_picture(self) -> None:
        with self.front.turn:
            self._draw_picture(*self._report())

    def _draw_picture(self, report: GamutReport, shift: ColourShift) -> None:
        px, of = self._px, self.look.marks_of.value
        pixels = self._picture_below(px)
        share = report.share_outside if of == "beyond" else shift.share_moved
        if not self.look.marks.value:
            self.picture.show(pixels, alt=self._below_words())
            self.picture.set_caption(self._below_words(), mark="preview")
            return
        distance = self._distance(px, of)
        name = {value: name for name, value in COLOURS}[self.look.marks_colour.value]
        does = "lies beyond the paper" if of == "beyond" else "is moved by the print"
        words = f"{name.capitalize()} marks what {does}: {percent(share)} of the picture"
        self.picture.show(
            marked(pixels, distance, report.limit, self.look.marks_colour.value),
            alt=f"{self._below_words()}. {words}.",
        )
        self.picture.set_caption(f"{words}; stronger where further.", mark="preview")

    def _distance(self, px: int, of: str) -> np.ndarray:
        """The exact map where it is there, else the quick one."""
        if self._settled is not None and self._settled[0] == px:
            return self._settled[1][of]
        plan, key = self.plan, (self._key, px, of)
        if self._quick_of != key:
            how = plan.rendering if of == "moved" else {}
            self._quick = distance_map(
                plan.picture, plan.paper, **how, long_side_px=px, exact=False
            )
            self._quick_of = key
        return self._quick

    def _picture_below(self, px: int) -> np.ndarray:
        plan, printed = self.plan, self.look.below.value == "print"
        of = (px, self._key if printed else plan.picture)
        if self._base_of != of:
            source = plan.picture.require_profile()
            grid = (
                proof_grid(source, plan.paper.profile, **plan.rendering)
                if printed
                else picture_grid(source)
            )
            self._base, self._base_of = grid.apply(plan.picture.preview(px)), of
        return self._base

    def _below_words(self) -> str:
        if self.look.below.value == "print":
            return f"The picture as it will print on {self.plan.paper.name}"
        return "The picture as it is"

    def _gather(self) -> None:
        counts, _ = self._counts
        self._seen = counts, gathered(counts)

    def _view(self, lightness: float | None) -> GamutView:
        plan, absolute = self.plan, self.plan.intent == "absolute"
        colours, near = self._seen
        reach = float(np.hypot(near.lab[:, 1], near.lab[:, 2]).max())
        if lightness is not None:
            near = gathered(colours, cell=2.5, lightness=lightness)
        other = plan.other_paper if plan.other_paper is not plan.paper else None
        return GamutView(
            shell=gamut_shell(plan.paper.profile, absolute=absolute),
            colours=near,
            limit=max(plan.threshold, plan.paper.noise_floor),
            paper_name=plan.paper.name,
            other=other and gamut_shell(other.profile, absolute=absolute),
            other_name=other.name if other else "",
            reach=reach,
            absolute=absolute,
        )

    def _show_slice(self) -> None:
        with self.front.turn:
            lightness = self.look.lightness.value
            view = self._view(lightness)
            self.slice.show((view, lightness), alt=self.slice.figure.alt_text(view, lightness))

    def _show_solid(self) -> None:
        with self.front.turn:
            view = self._view(None)
            self.solid.show(
                (view, self.look.turn.value, self.look.tilt.value, self.look.lightness.value),
                alt=self.solid.figure.alt_text(view),
            )

    def _show_table(self) -> None:
        with self.front.turn:
            self.table.value = table_of_ways(self._rows, self.plan)
