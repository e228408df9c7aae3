"""The gamut panel: what of the picture this paper cannot hold, where, how far, and why."""

from __future__ import annotations

import math

from workbench.analysis.colour_at import colour_at
from workbench.analysis.gamut import colour_shift, gamut_report
from workbench.figures.gamut import DistributionFigure, ReasonsFigure
from workbench.figures.gamut_overlay import Overlay
from workbench.figures.gamut_slice import SliceFigure
from workbench.figures.gamut_solid import SolidFigure
from workbench.figures.gamut_view import GamutView
from workbench.language import tr
from workbench.panels import parts
from workbench.panels.gamut.controls import NONE, GamutControls
from workbench.panels.gamut.words import (
    caption,
    counted_words,
    every_way,
    far_words,
    moved_words,
    table_of_ways,
)
from workbench.panels.knobs import knob
from workbench.panels.panel import Panel
from workbench.panels.parts.dragging import BEGIN, END, KEY, Hand, follow_hand
from workbench.panels.print_knobs import numbered, place_of
from workbench.panels.view import View

# CSS pixels: as wide as there is room for beside the controls, and no higher than is seen at once
PREVIEW_PX, LEAST_PREVIEW_PX, WIDEST_PREVIEW_PX, _TALL_PX = 420, 240, 620, 420
_CONTROLS_PX, _GAP_PX, _AROUND_PX = 262, 24, 28
_MOST_PX = 900
_CLICK = 0.01  # of the slice: a hand that moves less has clicked
_REST_S = 0.15  # a slider that rests this long gets what it touches least as well
# and this long, what takes both processors for seconds: a hand that moves on would meet it
_LONG_REST_S = 1.5


class GamutPanel(Panel):
    """Share, place, distance, hue and reason of what is out of the paper's gamut."""

    watch = (
        "picture",
        "paper",
        "papers",
        "other_paper",
        "intent",
        "black_point_compensation",
        "threshold",
    )
    of_file = True

    # building -------------------------------------------------------------

    def build(self) -> list:
        front = self.front
        self._rested = None  # threshold and lightness, as they last came to rest
        self._ways: tuple = ()
        self._width_px = PREVIEW_PX
        self.share = parts.Sentence(tr("Out of gamut"))
        self.far = parts.Sentence(tr("How far"))
        self.reason = parts.Sentence(tr("Why"))
        controls = self.controls = GamutControls(self)
        self.look(*controls.overlay, controls.lightness, controls.turn, controls.tilt)
        controls.other.on_change(self.safely(self._choose_other))
        self.picture = parts.LiveView(
            front, tr("The picture"), changed=self._changed, plan=self.plan
        )
        self.distribution = parts.PlotView(front, DistributionFigure(), alt=tr("Distances"))
        self.reasons = parts.PlotView(front, ReasonsFigure(), alt=tr("Reasons"))
        self.slice = parts.PlotView(front, SliceFigure(), alt=tr("Slice of the gamut"))
        self._held_lightness = 0.0  # where the slice was when a hand took hold of it
        self._sought: tuple | None = None  # a colour that was clicked in it, and of what
        follow_hand(front, self.slice.widget, self.safely(self._slice_dragged), across=False)
        self._picked: tuple | None = None  # a colour that was clicked in the picture, and of what
        front.observe(self.safely(self._pointed), "pointed")
        self.solid = parts.PlotView(front, SolidFigure(), alt=tr("The gamut solid"))
        dots_note = parts.html(
            tr(
                "Each dot is a group of nearly equal colours of the whole picture, larger for more "
                "pixels."
            ),
            "wb-muted",
        )
        self.table = parts.html("")
        own = []
        if self.alone:  # a desk has these above all panels
            own = knob(self, "intent"), knob(self, "black_point_compensation")
            self.intent, self.compensation = own
        side = parts.side(*own, controls.threshold, *controls.overlay)
        side.add_class("wb-side-controls")
        seen = parts.beside(self.picture, side)
        front.listen(seen, "width", self.safely(self._room_changed))
        self._hold_room()
        return [
            self.share,
            seen,
            parts.beside(self.distribution, parts.side(self.far)),
            parts.beside(self.reasons, parts.side(self.reason)),
            parts.beside(self.slice, parts.side(controls.lightness, controls.other, dots_note)),
            parts.beside(self.solid, parts.side(controls.turn, controls.tilt)),
            parts.heading(tr("Every way to print"), 4),
            self.table,
        ]

    def _choose_other(self, index) -> None:
        self.plan.other_paper = None if index == NONE else self.plan.papers[index]

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
            self._changed(content)

    def _hold_room(self) -> None:
        """As wide before there is a picture, and with a long caption, so that nothing jumps."""
        self.picture.widget.layout.width = f"{self._width_px + _AROUND_PX}px"

    # what it shows ----------------------------------------------------------

    def shows(self):
        lane = {"lane": parts.FINER, "rest_s": _REST_S}
        return (
            View("others", self._others, lambda of: _offered(*of), self._offer),
            View("report", self._counted, tuple, self._answer, forget=self._unsay),
            View("picture", self._seen, _drawn, self.picture.show),
            self.picture.place_told(self.plan),
            View("caption", self._caption, lambda of: caption(*of), self._describe),
            View(
                "every mark", self._marked, lambda overlay, *_: overlay.exact(),
                lambda pixels: self.picture.show(pixels, settled=True), **lane,
            ),
            View("rest", self._moving, lambda moving, *_: moving, self._come_to_rest, **lane),
            View("slice", self._sliced, lambda of: (GamutView.of(*of[:-1]), *of[-2:]), self._show_slice),
            View("solid", self._turned, lambda of: (GamutView.of(*of[0]), *of[1:]), self._show_solid),
            View("ways", self._all_ways, every_way, self._counted_ways, parts.WHOLE, _LONG_REST_S),
            View("table", self._tabled, lambda of: table_of_ways(*of), self._show_table),
        )  # fmt: skip

    def _others(self) -> tuple:
        plan = self.plan
        return plan.papers, plan.paper, plan.other_paper

    def _offer(self, offered: tuple) -> None:
        self.controls.other.replace(*offered)

    def _counted(self) -> tuple:
        plan, count = self.plan, self.front.counting.of
        of = plan.picture, plan.paper
        return (
            count(gamut_report, *of, threshold=plan.threshold),
            count(colour_shift, *of, **plan.rendering, threshold=plan.threshold),
        )

    def _answer(self, counted: tuple) -> None:
        report, shift = counted
        mark = parts.count_mark(report.exact)
        # the plot that follows the hand first
        self.distribution.show((report, shift), alt=self.distribution.figure.alt_text(report))
        self.share.say(report.sentence, mark, counted_words(report))
        self.far.say(shift.sentence, parts.count_mark(shift.exact), far_words(shift))
        self.reason.say(report.why_sentence, mark, moved_words(report, shift))
        self.reasons.show(report, alt=self.reasons.figure.alt_text(report))

    def _unsay(self) -> None:
        for sentence in (self.share, self.far, self.reason):
            sentence.say("…")

    # the picture and its overlay

    @property
    def _px(self) -> int:
        """Long side of the preview."""
        picture = self.plan.picture
        shape = picture.width_px / picture.height_px
        wide = min(self._width_px, _TALL_PX * shape)
        return min(_MOST_PX, self.fine(max(wide, wide / shape)))

    def _overlay(self) -> Overlay:
        plan, controls = self.plan, self.controls
        return Overlay(
            plan.picture,
            plan.paper,
            **plan.rendering,
            long_side_px=self._px,
            printed=controls.below.value == "print",
            of=controls.marks_of.value if controls.marks.value else "",
            colour=controls.marks_colour.value,
            limit=self._limit(plan.threshold),
            near=self._near(),
        )

    def _seen(self) -> tuple[Overlay, bool]:
        of = self._overlay()
        # the places of a colour are worked out here
        return of, self.picture.live and of.near is None

    def _marked(self) -> Overlay | None:
        of = self._overlay()
        return None if self.picture.live or not of.of or of.near is not None else of

    def _limit(self, threshold: float) -> float:
        return max(threshold, self.plan.paper.noise_floor)

    def _caption(self) -> tuple:
        report, shift = self._counted()
        of = self._overlay()
        share = report.share_outside if of.of == "beyond" else shift.share_moved
        return of.paper.name if of.printed else "", of.of, of.colour, share, of.near

    def _describe(self, said: tuple) -> None:
        alt, text = said
        self.picture.set_alt(alt)
        self.picture.set_caption(text, mark=tr("preview"))

    def _slice_dragged(self, hand: Hand) -> None:
        """A drag moves the cut up and down; a click shows where in the picture a colour is."""
        lightness = self.controls.lightness
        if hand.phase in (BEGIN, KEY):
            self._held_lightness = lightness.value
        if hand.phase == END and math.hypot(hand.by_x, hand.by_y) < _CLICK:
            at = self.slice.figure.colour_at(hand.x, hand.y)
            of = self.plan.picture, self.plan.paper, lightness.value
            self._sought = None if at is None else (of, (of[-1], *at))
            self._changed(hand)
        elif hand.phase != BEGIN and abs(hand.by_y) >= _CLICK / 2:
            lightness.value = min(max(self._held_lightness - 100 * hand.by_y, 0.0), 100.0)
            self._changed(hand)

    def _pointed(self, change) -> None:
        """Cut at the lightness of a place that was clicked in the picture, and mark its colour."""
        plan = self.plan
        if not self._shown or None in (change["new"], plan.picture, plan.paper):
            return
        lab = colour_at(plan.picture, plan.paper, *change["new"]).lab
        self.controls.lightness.value = float(round(lab[0]))
        self._picked = (plan.picture, self.controls.lightness.value), lab[1:]
        self._changed(change)

    def _mark(self) -> tuple[float, float] | None:
        """a* and b* to be marked in the slice, while it is cut where they are."""
        if self._picked is None:
            return None
        (picture, lightness), ab = self._picked
        same = picture is self.plan.picture and lightness == self.controls.lightness.value
        return ab if same else None

    def _near(self) -> tuple[float, float, float] | None:
        """The colour that is sought, until something else is looked at."""
        if self._sought is None:
            return None
        of, colour = self._sought
        now = self.plan.picture, self.plan.paper, self.controls.lightness.value
        if any(one is not other for one, other in zip(of[:2], now[:2], strict=True)) or (
            of[2] != now[2]
        ):
            self._sought = None
            return None
        return colour

    # slice and solid: each follows its own sliders at once, and the others once they rest

    def _moving(self) -> tuple:
        return self.plan.threshold, self.controls.lightness.value

    def _come_to_rest(self, rested: tuple) -> None:
        self._rested = rested
        self._changed(rested)

    def _gamut(self) -> tuple:
        plan = self.plan
        threshold, _ = self._rested or self._moving()
        return (
            plan.picture,
            plan.paper,
            None if plan.other_paper is plan.paper else plan.other_paper,
            plan.intent == "absolute",
            self._limit(threshold),
        )

    def _sliced(self) -> tuple:
        return (*self._gamut(), self.controls.lightness.value, self._mark())

    def _show_slice(self, found: tuple) -> None:
        *found, mark = found
        self.slice.figure.mark(mark)
        self.slice.show(found, alt=self.slice.figure.alt_text(*found))

    def _turned(self) -> tuple:
        _, lightness = self._rested or self._moving()
        return self._gamut(), self.controls.turn.value, self.controls.tilt.value, lightness

    def _show_solid(self, found: tuple) -> None:
        self.solid.show(found, alt=self.solid.figure.alt_text(found[0]))

    # every way to print

    def _all_ways(self) -> tuple:
        threshold, _ = self._rested or self._moving()
        return self.plan.picture, self.plan.paper, threshold

    def _counted_ways(self, shifts: tuple) -> None:
        self._ways = shifts
        self._changed(shifts)

    def _tabled(self) -> tuple:
        plan = self.plan
        of = [(each.counts.picture, each.counts.paper) for each in self._ways[:1]]
        ways = self._ways if of == [(plan.picture, plan.paper)] else ()
        return ways, plan.intent, plan.black_point_compensation

    def _show_table(self, table: str) -> None:
        self.table.value = table


def _drawn(seen: tuple[Overlay, bool]):
    overlay, live = seen
    return overlay.scene() if live else overlay.quick()


def _offered(papers, paper, other) -> tuple[list, int]:
    """The other papers to choose from, and the one chosen."""
    printed_on, chosen = place_of(paper, papers), place_of(other, papers)
    options = [option for option in numbered(papers) if option[1] != printed_on]
    return [(tr("none"), NONE), *options], NONE if chosen in (None, printed_on) else chosen
