"""The screen panel: how bright the screen should be for a print in its light, behind its glass."""

from __future__ import annotations

import numpy as np

from workbench.analysis.light import find_light
from workbench.analysis.proof import picture_grid, proof_grid
from workbench.analysis.screen import ROOM_SHARE, ScreenMatch, screen_match
from workbench.colour.lab import D50_XYZ
from workbench.figures.screen import LadderFigure, gap_words
from workbench.figures.screen_contrast import ContrastFigure
from workbench.figures.screen_picture import beside
from workbench.figures.screen_sheet import HOW_TO, check_sheet
from workbench.figures.white_steps import on_sheet, side_by_side
from workbench.panels import parts
from workbench.panels.panel import Panel
from workbench.panels.parts.facts import facts_table
from workbench.panels.print_knobs import lone_row
from workbench.panels.screen.controls import OWN, ScreenControls, place_of, places
from workbench.panels.screen.sheet import write_check_sheet
from workbench.panels.screen.spectra import SpectraFold
from workbench.panels.screen.words import asked, match_facts, picture_caption, targets_html

# CSS pixels of each picture; on finer screens as many more as fill the same space
PICTURE_PX = (300, 240)
SHEET_PX = (640, 400)
_BORDER_PX, _GAP_PX, _AROUND_PX = 12, 16, 56
_FINEST = 2.0


class ScreenPanel(Panel):
    """Screen and light: what to set the screen to, and what light, glass and room do to a print."""

    watch = (
        "picture",
        "paper",
        "papers",
        "intent",
        "black_point_compensation",
        "illuminance_lux",
        "light",
        "glass",
        "room_share",
        "screen_luminance_cd_m2",
        "screen_contrast_ratio",
        "measured_paper",
    )

    # building ---------------------------------------------------------------

    def build(self) -> list:
        self._width_px = PICTURE_PX[0]
        front = self.front
        knobs = self._build_knobs()
        self.ask = parts.Sentence("Your screen")
        self.answer = parts.Sentence("Screen and print")
        self.white = parts.Sentence("White point of the screen")
        self.contrast_said = parts.Sentence("Contrast")
        self.caution = parts.Sentence("Care")
        self.facts, self.notes = parts.html(""), parts.html("")
        self.ladder = parts.PlotView(front, LadderFigure(), "Luminances of print and screen")
        self.contrasts = parts.PlotView(front, ContrastFigure(), "Contrast of print and screen")
        self.view = parts.PictureView(front, "The print beside the picture on the screen")
        self.view_note = parts.html("", "wb-muted")
        self.targets = parts.html("")
        self.spectra = SpectraFold(self.plan, front, self.worker, self.status)
        front.observe(self._changed, "pixel_ratio")
        room = parts.column(self.view, self.view_note)
        front.listen(room, "width", self.safely(self._room_changed))
        ladder_note = (
            "Green: light that a standard asks for on prints, as this paper's white in it. Blue: "
            "whites of screens; an arrow means “or more”. The hollow ring is the paper without "
            "its glass. They differ because they are for different things; none is “right”."
        )
        return [
            *knobs,
            self.ask,
            self.answer,
            parts.heading("The print in its place beside the picture on your screen", 4),
            room,
            self.ladder,
            parts.html(ladder_note, "wb-muted"),
            self.contrast_said,
            self.contrasts,
            self.white,
            self.caution,
            self.facts,
            self.notes,
            parts.fold("Standards: what each is for", self.targets,
                       front=front),
            self.spectra,
            parts.heading("Check sheet: judge the setting by eye", 4),
            *self._build_sheet(),
        ]  # fmt: skip

    def _build_knobs(self) -> list:
        made = self.controls = ScreenControls(self.front)
        self.place = made.place
        self.place.on_change(self.safely(self._go_to))
        self.glass = self.bind(made.glass, "glass")
        self.lux = self.bind(made.lux, "illuminance_lux")
        self.light = self.bind(made.light, "light", to_plan=_checked_light)
        self.room = made.room
        self.room.on_change(
            self.safely(lambda percent: setattr(self.plan, "room_share", percent / 100))
        )
        self.screen = self.bind(made.screen, "screen_luminance_cd_m2")
        self.contrast = self.bind(made.contrast, "screen_contrast_ratio")
        self.room.widget.layout.width = self.screen.widget.layout.width = "330px"
        rows = [
            parts.row(self.place, self.glass),
            parts.row(self.lux, self.light, self.room),
            parts.row(self.screen, self.contrast),
        ]
        return [*lone_row(self), *rows]

    def _build_sheet(self) -> list:
        self.sheet_shown, self.folder = self.controls.sheet, self.controls.folder
        self.sheet_shown.on_change(self.safely(lambda shown: self._show_sheet()))
        self.sheet = parts.PictureView(self.front, "Check sheet for the screen")
        self.sheet_note = parts.column(*(parts.html(said, "wb-muted") for said in HOW_TO))
        self.sheet_status = parts.StatusLine(self.front)
        safely = parts.guarded(self.sheet_status)
        self.write = parts.button(
            self.front, "Write the check sheet", safely(self._write),
            help="Writes one page for the browser into this folder; nothing is written over",
        )  # fmt: skip
        self.front.listen(
            self.write, "press", safely(self._pressed), field=self.front.tag(self.folder.field)
        )
        self.sheet_parts = parts.column(self.sheet, self.sheet_note)
        self.sheet_parts.layout.display = "none"
        return [
            parts.row(self.sheet_shown),
            self.sheet_parts,
            parts.row(self.folder, self.write),
            self.sheet_status,
        ]

    # knobs ----------------------------------------------------------------------

    def _go_to(self, name: str) -> None:
        """Set light, level and room to a place's."""
        if name == OWN:
            return
        with self.plan.hold_trait_notifications():
            for trait, value in places()[name].items():
                setattr(self.plan, trait, value)

    def _pressed(self, content: dict) -> None:
        self._write(str(content.get("text", "")))

    def _write(self, folder: str | None = None) -> None:
        paper = self.plan.paper
        name = "" if paper is None else paper.name
        path = write_check_sheet(
            self.folder.value if folder is None else folder, self._paper_white(), name
        )
        self.sheet_status.say(f"Written: {path}. Open it in a browser and press F11.")

    def _paper_white(self):
        paper = self.plan.paper
        return (100.0, 0.0, 0.0) if paper is None else paper.white_lab

    # following ---------------------------------------------------------------

    def match(self) -> ScreenMatch:
        """The answer for the plan as it stands.

        Raises
        ------
        WorkbenchError
            for light, glass or luminances that cannot be.
        """
        plan = self.plan
        return screen_match(
            plan.paper,
            illuminance_lux=plan.illuminance_lux,
            light=plan.light,
            glass=plan.glass,
            room_share=plan.room_share,
            screen_luminance_cd_m2=plan.screen_luminance_cd_m2 or None,
            screen_contrast_ratio=plan.screen_contrast_ratio or None,
        )

    def follow(self) -> None:
        with self.front.turn:
            plan, match = self.plan, self.match()
            self._set_knobs()
            self._say(match)
            # what the two plots are drawn from
            hung = match.hung
            seen = tuple(round(v, 9) for v in (hung.signal, hung.veil, match.print_contrast_ratio))
            bright = (match.illuminance_lux, match.screen_luminance_cd_m2)
            tones = (*seen, match.screen_contrast_ratio)
            self._once(
                "pictures",
                (
                    plan.picture,
                    plan.paper,
                    *plan.rendering.way.values(),
                    bright,
                    tones,
                    self._size(),
                ),
                lambda: self._show_pictures(match),
            )
            self._once(
                "ladder",
                (plan.paper, bright, seen),
                lambda: self.ladder.show(match, alt=self.ladder.figure.alt_text(match)),
            )
            self._once(
                "contrasts",
                tones,
                lambda: self.contrasts.show(match, alt=self.contrasts.figure.alt_text(match)),
            )
            self._show_sheet()
            self.spectra.follow()

    def _set_knobs(self) -> None:
        plan = self.plan
        self.place.value = place_of(plan)
        share = plan.room_share
        if share is None:
            share = ROOM_SHARE if plan.glass else 0.0
        self.room.value = 100 * share

    def _say(self, match: ScreenMatch) -> None:
        self.answer.say(match.sentence, mark="absolute")
        self.contrast_said.say(match.contrast_sentence)
        self.white.say(match.white_sentence, mark="estimate")
        for sentence, said in ((self.caution, match.caution), (self.ask, asked(match))):
            sentence.widget.layout.display = "none" if said is None else ""
            sentence.say(said or "")
        for widget, value in (
            (self.facts, facts_table(match_facts(match))),
            (self.targets, targets_html(match)),
            (self.notes, "".join(f"<p>{parts.html(n, 'wb-muted').value}</p>" for n in match.notes)),
        ):
            if widget.value != value:
                widget.value = value

    def _size(self) -> tuple[int, int]:
        return self._fine(self._width_px), self._fine(PICTURE_PX[1])

    def _fine(self, css_px: float) -> int:
        return max(1, round(css_px * min(max(self.front.pixel_ratio, 1.0), _FINEST)))

    def _show_pictures(self, match: ScreenMatch) -> None:
        plan = self.plan
        seen = beside(match)
        shape = plan.picture.width_px / plan.picture.height_px
        width, height = self._size()
        long_side = max(min(width, height * shape), min(height, width / shape))
        preview = plan.picture.preview(max(1, round(long_side)))
        source, border = plan.picture.require_profile(), self._fine(_BORDER_PX)
        key = (plan.picture, plan.paper, *plan.rendering.way.values(), preview.shape)
        if self._shown_for.get("proof", (None,))[0] != key:
            # beside a perfect white: the veil is laid over absolute colours
            proof = proof_grid(
                source, plan.paper.profile, reference_xyz=D50_XYZ, **plan.rendering
            ).apply(preview)
            self._shown_for["proof"] = (key, proof, picture_grid(source).apply(preview))
        _, proof, picture = self._shown_for["proof"]
        tiles = [
            on_sheet(np.take(seen.print_table, proof), seen.paper, border),
            on_sheet(np.take(seen.screen_table, picture), seen.screen, border),
        ]
        name = plan.picture.name or "The picture"
        self.view.show(
            side_by_side(tiles, self._fine(_GAP_PX)),
            alt=f"{name} as printed on {plan.paper.name}, in its place, and beside it on the "
            f"screen. {gap_words(match)}.",
        )
        self.view.set_caption(
            f"Left: printed on {plan.paper.name}, in its place. Right: on your screen.",
            mark="preview",
        )
        parts.set_html(self.view_note, picture_caption(match, seen), "wb-muted")

    def _room_changed(self, content: dict) -> None:
        """Pictures as wide as the panel has room for two side by side."""
        room = int(content.get("width", 0))
        if room <= 0:  # hidden: nothing to fit
            return
        width = (room - _AROUND_PX - _GAP_PX) // 2 - 2 * _BORDER_PX
        width = min(max(width // 4 * 4, 100), PICTURE_PX[0])
        if width != self._width_px:
            self._width_px = width
            self._changed(content)

    def _show_sheet(self) -> None:
        shown = self.sheet_shown.value and self.plan.paper is not None
        self.sheet_parts.layout.display = "" if shown else "none"
        if shown:
            white, size = self._paper_white(), (self._fine(SHEET_PX[0]), self._fine(SHEET_PX[1]))
            self._once(
                "sheet",
                (white, size),
                lambda: self.sheet.show(
                    check_sheet(white, *size),
                    settled=True,
                    alt="Check sheet: grey ramps; steps near black and near white; the screen's "
                    f"white beside that of {self.plan.paper.name}, with neutral greys on it",
                ),
            )


def _checked_light(text: str) -> str:
    """The text if it names a light, else a WorkbenchError."""
    find_light(text)
    return text
