"""The place panel: what light, wall and glass do to the print, and what makes up for it."""

from __future__ import annotations

import numpy as np

from workbench.analysis.place import PLACE_TRAITS, place_of
from workbench.analysis.words import percent, signed
from workbench.errors import PlanError
from workbench.language import tr
from workbench.output.adjust import as_adjustments
from workbench.output.for_place import ForPlace, print_for_place
from workbench.panels import parts
from workbench.panels.knobs import knob
from workbench.panels.panel import Panel
from workbench.panels.parts.facts import facts_table
from workbench.panels.place.card import CardPart
from workbench.panels.print_knobs import lone_row
from workbench.panels.screen.controls import glass_knob, light_knob, room_percent
from workbench.panels.view import View

# three side by side on a desk, with what the page puts around them
WIDTH_PX = 208
_TITLES = (tr("As judged"), tr("As it will hang"), tr("As it will hang, with the proposal"))
_SEEN = tr(
    "Judged bare, in 500 lux of D50 before a grey wall (ISO 3664, P2). Each picture is for an eye "
    "that has got used to where it is (CIECAM16): that it is dimmer there, the numbers alone tell."
)
_NOTE = tr(
    "Lightness is relative to the paper's white; shares of the picture are estimated from "
    "a preview. How colours of ink change with the light's spectrum is left out."
)


_SURROUNDS = {
    "average": tr("average surround"),
    "dim": tr("dim surround"),
    "dark": tr("dark surround"),
}


class PlacePanel(Panel):
    """The print on its wall: what is lost, and what a lighter and stronger print brings back."""

    of_file = True
    watch = (
        "picture",
        "paper",
        "intent",
        "black_point_compensation",
        "display",
        "adjustments",
        *PLACE_TRAITS,
    )

    def build(self) -> list:
        front = self.front
        self.lux, self.room, self.wall = (
            knob(self, name) for name in ("illuminance_lux", "room_share", "wall_reflectance")
        )
        self.card = CardPart(self)
        self.light, self.glass = light_knob(self), glass_knob(self)
        self.answer, self.offer = parts.Sentence(tr("On its wall")), parts.Sentence(tr("Proposal"))
        self.take = parts.button(
            front, tr("Print for this place"), self.safely(self._take),
            help=tr("Puts curve and chroma into the plan's adjustments, named for the place, instead of the curve and chroma there"),
        )  # fmt: skip
        self.drop = parts.button(
            front, tr("Print plain"), self.safely(self._drop),
            help=tr("Takes tone curve and chroma out of the plan's adjustments"),
        )  # fmt: skip
        self.taken = parts.html("", "wb-muted")
        self.found: ForPlace | None = None
        self.views = [parts.PictureView(front, alt=title) for title in _TITLES]
        shown = zip(self.views, _TITLES, strict=True)
        self.facts = parts.html("")
        return [
            *lone_row(self),
            parts.row(self.lux, self.light, self.room),
            parts.row(self.wall, self.glass),
            self.card.fold,
            self.answer,
            self.offer,
            parts.row(self.take, self.drop),
            self.taken,
            parts.html(_SEEN, "wb-muted"),
            parts.row(*(parts.column(parts.heading(title, 4), view) for view, title in shown)),
            self.facts,
            parts.html(_NOTE, "wb-muted"),
        ]

    def shows(self):
        return (
            View("room", lambda: room_percent(self.plan), float, self._show_room),
            View("place", self._asked, _found, self._show, lane=parts.FINER, keep=8,
                 doing=tr("Working out the place")),
            View("taken", self._held, tuple, self._show_taken),
            *self.card.shows(),
        )  # fmt: skip

    def _asked(self) -> tuple:
        plan, place = self.plan, place_of(self.plan)
        rendering = plan.rendering.only("intent", "black_point_compensation")
        return plan.picture, plan.paper, place, rendering, plan.display, self.fine(WIDTH_PX)

    def _show_room(self, percent_mirrored: float) -> None:
        self.room.value = percent_mirrored

    def _show(self, found: ForPlace) -> None:
        self.found = found
        # colourfulness and what lies beyond the paper are told of a small preview
        self.answer.say(found.sentence, mark=tr("preview"))
        self.offer.say(found.proposal, mark=tr("preview"))
        pictures = (found.judged, found.hung, found.proposed)
        for view, title, pixels in zip(self.views, _TITLES, pictures, strict=True):
            view.profile = found.display_profile
            view.show(pixels, alt=tr("{title}, on {paper}", title=title, paper=found.paper_name))
            view.set_caption("", mark=tr("preview"))
        self.facts.value = facts_table(place_facts(found))
        self._changed(None)  # whether it has been taken stands on it

    def _take(self) -> None:
        if self.found is None:
            raise PlanError(tr("Wait until the place has been worked out."))
        own = as_adjustments(self.plan.adjustments)
        self.plan.adjustments = own.taking(self.found.adjustments) or None

    def _drop(self) -> None:
        self.plan.adjustments = as_adjustments(self.plan.adjustments).plain or None

    def _held(self) -> tuple:
        offered = None if self.found is None else self.found.adjustments
        return as_adjustments(self.plan.adjustments), offered

    def _show_taken(self, held: tuple) -> None:
        own, offered = held
        self.drop.disabled = own == own.plain
        self.take.disabled = not offered or own == own.taking(offered)
        said = tr("The plan prints {adjustments}.", adjustments=own.brief) if own.made_for else ""
        if own.made_for and own.is_black_and_white:
            said += tr(" In black and white, chroma does nothing.")
        parts.set_html(self.taken, said, "wb-muted")


def place_facts(found: ForPlace) -> list[tuple[str, str]]:
    """Rows: what, and how much."""
    here = found.place.conditions
    return [
        (tr("Brightness of the paper's white"), percent(found.brightness_share)),
        (tr("Range of lightness"), percent(found.lightness_share)),
        (tr("Colourfulness, as it is and with the proposal"),
         f"{percent(found.colourfulness_share)}, {percent(found.colourfulness_after)}"),
        (tr("A middle grey looks (relative)"), tr("{shift} in lightness (J)", shift=signed(found.middle_shift))),
        (tr("Proposal for a middle grey (relative), and for chroma"),
         tr("{lift} L*, × {gain:.2f}", lift=signed(found.middle_lift), gain=found.chroma_gain)),
        (tr("Share that asks for colours beyond the paper"), percent(found.share_beyond)),
        (tr("The eye is used to (absolute)"),
         tr("{luminance:.1f} cd/m², {surround}", luminance=here.adapting_cd_m2, surround=_SURROUNDS[here.surround])),
    ]  # fmt: skip


def _found(asked, cancelled, progress) -> ForPlace:
    picture, paper, place, rendering, display, width_px = asked
    return print_for_place(
        picture, paper, place, display=display, long_side_px=int(np.clip(width_px, 16, 2000)),
        cancelled=cancelled, **rendering,
    )  # fmt: skip
