"""The screen panel: how bright the screen should be for a print in its light, behind its glass."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from workbench.analysis.proof import picture_grid, proof_grid
from workbench.analysis.screen import SEEN_IN, ScreenMatch, print_in_place
from workbench.colour.lab import D50_XYZ
from workbench.figures.screen import LadderFigure, gap_words
from workbench.figures.screen_contrast import ContrastFigure
from workbench.figures.screen_picture import Beside, beside
from workbench.figures.screen_sheet import HOW_TO, check_sheet
from workbench.figures.white_steps import on_sheet, side_by_side
from workbench.language import tr
from workbench.panels import parts
from workbench.panels.knobs import knob
from workbench.panels.panel import Panel
from workbench.panels.parts.facts import facts_table
from workbench.panels.parts.saving import Act, SaveTo
from workbench.panels.print_knobs import lone_row
from workbench.panels.screen.controls import (
    OWN,
    PLACE,
    glass_knob,
    light_knob,
    place_of,
    place_options,
    places,
    room_percent,
)
from workbench.panels.screen.sheet import white_and_name, write_check_sheet
from workbench.panels.screen.spectra import SpectraFold
from workbench.panels.screen.words import asked, match_facts, picture_caption, targets_html
from workbench.panels.view import View
from workbench.picture.kept import kept_while_open

# CSS pixels of each picture; on finer screens as many more as fill the same space
PICTURE_PX = (300, 240)
SHEET_PX = (640, 400)
_BORDER_PX, _GAP_PX, _AROUND_PX = 12, 16, 56


@dataclass(frozen=True)
class _Seen:
    """What is drawn for an answer, and the answer that it is drawn from."""

    what: tuple
    match: ScreenMatch = field(compare=False)


class ScreenPanel(Panel):
    """Screen and light: what to set the screen to, and what light, glass and room do to a print."""

    of_file = True
    watch = (
        "picture",
        "paper",
        "papers",
        "intent",
        "black_point_compensation",
        *SEEN_IN,
        "measured_paper",
    )

    # building ---------------------------------------------------------------

    def build(self) -> list:
        self._width_px = PICTURE_PX[0]
        front = self.front
        knobs = self._build_knobs()
        self.ask = parts.Sentence(tr("Your screen"))
        self.answer = parts.Sentence(tr("Screen and print"))
        self.white = parts.Sentence(tr("White point of the screen"))
        self.contrast_said = parts.Sentence(tr("Contrast"))
        self.caution = parts.Sentence(tr("Care"))
        self.facts, self.notes = parts.html(""), parts.html("")
        self.ladder = parts.PlotView(front, LadderFigure(), tr("Luminances of print and screen"))
        self.contrasts = parts.PlotView(front, ContrastFigure(), tr("Contrast of print and screen"))
        self.view = parts.PictureView(front, tr("The print beside the picture on the screen"))
        self.view_note = parts.html("", "wb-muted")
        self.targets = parts.html("")
        self.spectra = SpectraFold(self)
        room = parts.column(self.view, self.view_note)
        front.listen(room, "width", self.safely(self._room_changed))
        ladder_note = tr(
            "Green: light that a standard asks for on prints, as this paper's white in it. Blue: "
            "whites of screens; an arrow means “or more”. The hollow ring is the paper without "
            "its glass. They differ because they are for different things; none is “right”."
        )
        return [
            *knobs,
            self.ask,
            self.answer,
            parts.heading(tr("The print in its place beside the picture on your screen"), 4),
            room,
            self.ladder,
            parts.html(ladder_note, "wb-muted"),
            self.contrast_said,
            self.contrasts,
            self.white,
            self.caution,
            self.facts,
            self.notes,
            parts.fold(tr("Standards: what each is for"), self.targets,
                       front=front),
            self.spectra,
            parts.heading(tr("Check sheet: judge the setting by eye"), 4),
            *self._build_sheet(),
        ]  # fmt: skip

    def _build_knobs(self) -> list:
        self.place = parts.choice(
            self.front, PLACE, options=place_options(),
            help=tr("Sets light level, colour of light and mirrored room to what is usual there; "
            "common practice and standards, to be replaced by your own measurements"),
        )  # fmt: skip
        self.place.on_change(self.safely(self._go_to))
        self.glass = glass_knob(self)
        self.lux = knob(self, "illuminance_lux")
        self.light = light_knob(self)
        self.room = knob(self, "room_share", unit=tr("% of a white sheet"))
        self.screen = knob(self, "screen_luminance_cd_m2", unit=tr("cd/m², 0 if not known"))
        self.contrast = knob(self, "screen_contrast_ratio", step=50, unit=tr(":1, 0 if not known"))
        self.room.widget.layout.width = self.screen.widget.layout.width = "330px"
        rows = [
            parts.row(self.place, self.glass),
            parts.row(self.lux, self.light, self.room),
            parts.row(self.screen, self.contrast),
        ]
        return [*lone_row(self), *rows]

    def _build_sheet(self) -> list:
        self.sheet_shown = self.look(
            parts.tick(
                self.front, tr("Show the check sheet here"),
                help=tr("Steps near black and near white, a ramp, and this paper's white"),
            )
        )  # fmt: skip
        self.sheet = parts.PictureView(self.front, tr("Check sheet for the screen"))
        sheet_note = parts.column(*(parts.html(said, "wb-muted") for said in HOW_TO))
        self.sheet_parts = parts.column(self.sheet, sheet_note)
        act = Act(
            tr("Write the check sheet"),
            tr("Writes one page for the browser into this folder; nothing is written over"),
            self._begin_sheet,
            said=lambda path: tr("Written: {path}. Open it in a browser and press F11.", path=path),
        )
        self.saving = SaveTo(self.front, {"sheet": act}, label=tr("Folder for the check sheet"))
        return [parts.row(self.sheet_shown), self.sheet_parts, *self.saving.body]

    def _begin_sheet(self, folder):
        what = white_and_name(self.plan.paper)
        return lambda cancelled, progress: write_check_sheet(folder, *what)

    def _go_to(self, name: str) -> None:
        """Set light, level and room to a place's."""
        if name == OWN:
            return
        with self.plan.hold_trait_notifications():
            for trait, value in places()[name].items():
                setattr(self.plan, trait, value)

    def _room_changed(self, content: dict) -> None:
        """Pictures as wide as the panel has room for two side by side."""
        room = int(content.get("width", 0))
        if room <= 0:  # hidden: nothing to fit
            return
        width = (room - _AROUND_PX - _GAP_PX) // 2 - 2 * _BORDER_PX
        self._width_px = min(max(width // 4 * 4, 100), PICTURE_PX[0])
        self._changed(content)

    # requests ------------------------------------------------------------------

    def match(self) -> ScreenMatch:
        """The answer for the plan as it stands.

        Raises
        ------
        WorkbenchError
            for light, glass or luminances that cannot be.
        """
        return print_in_place(*self._asked())

    def shows(self):
        return (
            View("place", self._place, tuple, self._show_place),
            View("words", lambda: _Seen(self._asked(), self.match()), _answer, self._say),
            View("pictures", self._pictures, draw_pictures, self._show_pictures),
            View("ladder", self._ladder, _answer, self._show_ladder),
            View("contrasts", lambda: _Seen(*self._tones()), _answer, self._show_contrasts),
            View(
                "sheet", self._sheet, lambda of: (check_sheet(of[0], *of[2]), of[1]),
                self._show_sheet, forget=lambda: self._open_sheet(False),
            ),
            self.spectra.view,
        )  # fmt: skip

    def _asked(self) -> tuple:
        return self.plan.paper, self.plan.rendering.only(*SEEN_IN)

    def _place(self) -> tuple:
        return place_of(self.plan), room_percent(self.plan)

    def _tones(self) -> tuple:
        """What the contrasts are drawn from: a share of the same light leaves them as they are."""
        match = self.match()
        seen = match.hung.signal, match.hung.veil, match.print_contrast_ratio
        return (*(round(v, 9) for v in seen), match.screen_contrast_ratio), match

    def _ladder(self) -> _Seen:
        tones, match = self._tones()
        light = match.illuminance_lux, match.screen_luminance_cd_m2
        return _Seen((self.plan.paper, *light, *tones[:3]), match)

    def _pictures(self) -> _Seen:
        plan, match = self.plan, self.match()
        shape = plan.picture.width_px / plan.picture.height_px
        width, height = self.fine(self._width_px), self.fine(PICTURE_PX[1])
        long_side = max(1, round(max(min(width, height * shape), min(height, width / shape))))
        printed = (plan.picture, plan.paper, *plan.rendering.way.values(), long_side)
        sizes = self.fine(_BORDER_PX), self.fine(_GAP_PX)
        return _Seen((printed, sizes, self._asked()), match)

    def _sheet(self) -> tuple | None:
        if not self.sheet_shown.value or self.plan.paper is None:
            return None
        size = tuple(self.fine(side) for side in SHEET_PX)
        return (*white_and_name(self.plan.paper), size)

    # showing -------------------------------------------------------------------

    def _show_place(self, found: tuple) -> None:
        self.place.value, self.room.value = found

    def _say(self, match: ScreenMatch) -> None:
        self.answer.say(match.sentence, mark=tr("absolute"))
        self.contrast_said.say(match.contrast_sentence)
        self.white.say(match.white_sentence, mark=tr("estimate"))
        for sentence, said in ((self.caution, match.caution), (self.ask, asked(match))):
            sentence.widget.layout.display = "none" if said is None else ""
            sentence.say(said or "")
        self.facts.value = facts_table(match_facts(match))
        self.targets.value = targets_html(match)
        self.notes.value = "".join(
            f"<p>{parts.html(note, 'wb-muted').value}</p>" for note in match.notes
        )

    def _show_pictures(self, drawn: tuple) -> None:
        pixels, seen, match = drawn
        plan = self.plan
        self.view.show(
            pixels,
            alt=tr(
                "{picture} as printed on {paper}, in its place, and beside it on the screen. {gap}.",
                picture=plan.picture.name or tr("The picture"),
                paper=plan.paper.name,
                gap=gap_words(match),
            ),
        )
        self.view.set_caption(
            tr(
                "Left: printed on {paper}, in its place. Right: on your screen.",
                paper=plan.paper.name,
            ),
            mark=tr("preview"),
        )
        parts.set_html(self.view_note, picture_caption(match, seen), "wb-muted")

    def _show_ladder(self, match: ScreenMatch) -> None:
        self.ladder.show(match, alt=self.ladder.figure.alt_text(match))

    def _show_contrasts(self, match: ScreenMatch) -> None:
        self.contrasts.show(match, alt=self.contrasts.figure.alt_text(match))

    def _open_sheet(self, opened: bool) -> None:
        self.sheet_parts.layout.display = "" if opened else "none"

    def _show_sheet(self, drawn: tuple) -> None:
        pixels, name = drawn
        self._open_sheet(True)
        self.sheet.show(
            pixels,
            settled=True,
            alt=tr(
                "Check sheet: grey ramps; steps near black and near white; the screen's white "
                "beside that of {paper}, with neutral greys on it",
                paper=name,
            ),
        )


def _answer(seen: _Seen) -> ScreenMatch:
    return seen.match


def draw_pictures(seen: _Seen) -> tuple[np.ndarray, Beside, ScreenMatch]:
    """Print and screen side by side, (h, w, 3) uint8, and what they are drawn from."""
    printed, (border, gap), _ = seen.what
    together = beside(seen.match)
    proof, picture = _previews(*printed)
    tiles = [
        on_sheet(np.take(together.print_table, proof), together.paper, border),
        on_sheet(np.take(together.screen_table, picture), together.screen, border),
    ]
    return side_by_side(tiles, gap), together, seen.match


# light, glass and screen move far more often than the print
@kept_while_open(maxsize=2)
def _previews(picture, paper, intent, black_point_compensation, long_side_px) -> tuple:
    source, preview = picture.require_profile(), picture.preview(long_side_px)
    # beside a perfect white: the veil is laid over absolute colours
    proof = proof_grid(
        source, paper.profile, intent=intent, black_point_compensation=black_point_compensation,
        reference_xyz=D50_XYZ,
    )  # fmt: skip
    return proof.apply(preview), picture_grid(source).apply(preview)
