"""The paper white panel: its tint, how it is seen, and what it does to the highlights."""

from __future__ import annotations

import ipywidgets as widgets

from workbench.analysis.crops import lightness_tally
from workbench.analysis.illuminants import brightener_caveat
from workbench.analysis.white import highlights, paper_white, whites_seen
from workbench.figures.tone_crops import SHEETS, HighlightSheets, highlight_sheets, reach_overview
from workbench.figures.white import WhiteFigure
from workbench.figures.white_steps import StepsFigure, side_by_side
from workbench.language import tr
from workbench.panels import parts
from workbench.panels.knobs import knob
from workbench.panels.panel import Panel
from workbench.panels.parts.facts import facts_table
from workbench.panels.print_knobs import lone_row
from workbench.panels.view import View
from workbench.panels.white.controls import EyeControls
from workbench.panels.white.words import (
    ESTIMATES,
    PLANE,
    TORCH,
    captions,
    dim_words,
    legend,
    pair_words,
    white_facts,
)
from workbench.paper_readings import condition_words, measuring_condition, with_profile

# CSS pixels; on finer screens as many picture pixels more as fill the same space
CROP_PX = (156, 250)
_BORDER_PX, _GAP_PX = 12, 16
_AROUND_PX, _BETWEEN_PX = 56, 24  # what the page puts around a picture, and between two
OVERVIEW_PX = 420


class WhitePanel(Panel):
    """Paper white: side by side with a whiter sheet, or with the eye used to it."""

    of_file = True
    watch = (
        "picture",
        "paper",
        "papers",
        "reference",
        "adaptation",
        "highlight_lightness",
        "intent",
        "black_point_compensation",
    )

    def build(self) -> list:
        self._crop_width_px = CROP_PX[0]
        front = self.front
        alone = lone_row(self)
        self.eye = EyeControls(self)
        self.adaptation, self.reference = self.eye.adaptation, self.eye.reference
        self.lightness = knob(self, "highlight_lightness")
        self.answer = parts.Sentence(tr("Paper white"))
        self.whites = parts.PlotView(front, WhiteFigure(), tr("The whites in view"))
        self.facts = widgets.HTML()
        self.condition = parts.html("", "wb-muted")
        self.steps = parts.PlotView(front, StepsFigure(), tr("Patches of neutral highlights"))
        self.pairs = [parts.PictureView(front) for _ in range(SHEETS // 2)]
        self.captions = [widgets.HTML() for _ in self.pairs]
        columns = zip(self.pairs, self.captions, strict=True)
        self.columns = [parts.column(pair, caption) for pair, caption in columns]
        self.crop_note = parts.html("", "wb-muted")
        self.share = parts.Sentence(tr("Highlights of this picture"))
        self.overview = parts.PictureView(front)
        crops = parts.row(*self.columns)
        front.listen(crops, "width", self.safely(self._room_changed))
        plane = parts.column(self.whites, parts.html(PLANE, "wb-muted"))
        plane.layout.width = f"{self.whites.figure.size_px[0]}px"
        notes = (parts.html(ESTIMATES, "wb-muted"), self.condition, parts.html(TORCH, "wb-muted"))
        figures = parts.column(self.facts, *notes)
        figures.layout.flex = "1 1 240px"
        where = parts.column(self.share, self.lightness, widgets.HTML(legend()))
        return [
            *alone,
            self.eye.row,
            self.answer,
            parts.row(plane, figures),
            parts.heading(tr("Neutral highlights, before and after"), 4),
            self.steps,
            parts.heading(tr("The same highlights of the picture on each paper, at 100 %"), 4),
            crops,
            self.crop_note,
            parts.heading(tr("How much of the picture the paper's white reaches"), 4),
            parts.row(self.overview, parts.wide(where)),
        ]

    def shows(self):
        return (
            View("words", self._words_asked, _words, self._say),
            View("whites", self._whites_asked, _whites, self._show_whites),
            View("crops", self._crops_asked, _with(highlight_sheets), self._show_crops),
            View("overview", self._overview_asked, _with(reach_overview), self._show_overview),
        )

    # asking -------------------------------------------------------------------

    def _words_asked(self) -> tuple:
        plan = self.plan
        tally = self.front.counting.of(
            lightness_tally, plan.picture, plan.paper, **plan.rendering.way
        )
        seen = plan.rendering.only("reference", "adaptation", "highlight_lightness")
        return plan.picture, plan.paper, seen, tally

    def _whites_asked(self) -> tuple:
        plan = self.plan
        return plan.paper, plan.papers, plan.rendering.only("reference", "adaptation")

    def _crops_asked(self) -> tuple:
        plan = self.plan
        seen = plan.rendering.only("intent", "black_point_compensation", "reference", "adaptation")
        size, border = self._crop_size(), self.fine(_BORDER_PX)
        return plan.picture, plan.paper, with_profile(plan.papers), seen, size, border

    def _overview_asked(self) -> tuple:
        plan = self.plan
        reach = plan.rendering.only("intent", "black_point_compensation", "highlight_lightness")
        return plan.picture, plan.paper, reach, self.fine(OVERVIEW_PX), self._crop_size()

    def _crop_size(self) -> tuple[int, int]:
        return self.fine(self._crop_width_px), self.fine(CROP_PX[1])

    def _room_changed(self, content: dict) -> None:
        """Crops as wide as fit two pairs side by side; below one another where there is no room."""
        room = int(content.get("width", 0))
        if room <= 0:  # hidden: nothing to fit
            return

        def crop_width(pair_px):
            return ((pair_px - _AROUND_PX - _GAP_PX) // 2 - 2 * _BORDER_PX) // 8 * 8

        width = crop_width((room - _BETWEEN_PX) // 2)
        if width < 128:
            width = crop_width(room)
        width = min(max(width, 80), 216)
        if width != self._crop_width_px:
            self._crop_width_px = width
            self._changed(content)

    # showing -------------------------------------------------------------------

    def _say(self, said: tuple) -> None:
        white, found, condition, caveat = said
        self.answer.say(white.sentence)
        self.share.say(found.sentence, mark=parts.count_mark(found.exact))
        rows = facts_table(white_facts(white, found, condition))
        if self.facts.value != rows:
            self.facts.value = rows
        parts.set_html(self.condition, caveat, "wb-muted")

    def _show_whites(self, whites) -> None:
        self.whites.show(whites, alt=self.whites.figure.alt_text(whites))

    def _show_crops(self, found: HighlightSheets) -> None:
        """The patches and the crops, all dimmed alike."""
        self.steps.figure.update(found.steps, found.dim)
        self.steps.show(alt=self.steps.figure.alt_text(found.steps))
        for index, (view, caption) in enumerate(zip(self.pairs, self.captions, strict=True)):
            pair = found.sheets[2 * index : 2 * index + 2]
            self.columns[index].layout.display = "" if pair else "none"
            if not pair:
                continue
            view.show(
                side_by_side([sheet.pixels for sheet in pair], self.fine(_GAP_PX)),
                alt=pair_words([sheet.name for sheet in pair]),
            )
            width_px = self._crop_width_px + 2 * _BORDER_PX
            said = captions([(sheet.name, sheet.remark) for sheet in pair], width_px, _GAP_PX)
            if caption.value != said:
                caption.value = said
        parts.set_html(self.crop_note, dim_words(found.dim), "wb-muted")

    def _show_overview(self, pixels) -> None:
        plan = self.plan
        self.overview.show(
            pixels,
            alt=tr(
                "Where {picture} prints lighter than L* {lightness:g}; a frame marks the part "
                "shown above",
                picture=plan.picture.name or tr("the picture"),
                lightness=plan.highlight_lightness,
            ),
        )
        self.overview.set_caption(tr("The frame marks the part shown above"), mark=tr("preview"))


def _words(asked: tuple) -> tuple:
    picture, paper, seen, tally = asked
    found = highlights(picture, paper, lightness=seen.highlight_lightness, tally=tally)
    condition = condition_words(paper), brightener_caveat(measuring_condition(paper))
    return paper_white(paper, **seen.eye), found, *condition


def _whites(asked: tuple):
    paper, papers, seen = asked
    return whites_seen(paper, papers, **seen.eye)


def _with(function):
    """A function of the floors below, given what is asked one by one."""
    return lambda asked: function(*asked)
