"""The paper white panel: its tint, how it is seen, and what it does to the highlights."""

from __future__ import annotations

import ipywidgets as widgets
import numpy as np

from workbench.analysis.adaptation import eye_beside
from workbench.analysis.crops import (
    dimming,
    highlight_box,
    lightness_tally,
    printed_crop,
    reach_map,
)
from workbench.analysis.illuminants import brightener_caveat
from workbench.analysis.proof import picture_grid
from workbench.analysis.white import Highlights, WhitesSeen, highlights, whites_seen
from workbench.analysis.words import tint_words
from workbench.colour.lab import D50_XYZ, xyz_to_lab
from workbench.colour.trip import white_xyz
from workbench.figures.white import WhiteFigure
from workbench.figures.white_steps import (
    StepsFigure,
    marked,
    on_sheet,
    screen_colours,
    side_by_side,
)
from workbench.panels import parts
from workbench.panels.panel import Panel
from workbench.panels.print_knobs import lone_row
from workbench.panels.sources.panel import facts_table
from workbench.panels.white.controls import EyeControls, lightness_slider
from workbench.panels.white.words import TORCH, captions, dim_words, legend, white_facts
from workbench.paper_readings import measuring_condition

TILES = 4  # papers shown next to one another, two in each picture
# CSS pixels; on finer screens as many picture pixels more as fill the same space
CROP_PX = (156, 250)
_BORDER_PX, _GAP_PX = 12, 16
_AROUND_PX, _BETWEEN_PX = 56, 24  # what the page puts around a picture, and between two
OVERVIEW_PX = 420
PURE = "a purely white sheet"


class WhitePanel(Panel):
    """Paper white: side by side with a whiter sheet, or with the eye used to it."""

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

    # building ---------------------------------------------------------------

    def build(self) -> list:
        self._crop_width_px = CROP_PX[0]
        self._exact = None  # (picture, paper, intent, compensation), and its exact tally
        front = self.front
        knobs = self._build_knobs()
        self.answer = parts.Sentence("Paper white")
        self.whites = parts.PlotView(front, WhiteFigure(), "The whites in view")
        self.facts = widgets.HTML()
        self.condition = parts.html("", "wb-muted")
        self.steps = parts.PlotView(front, StepsFigure(), "Patches of neutral highlights")
        self.pairs = [parts.PictureView(front) for _ in range(TILES // 2)]
        self.captions = [widgets.HTML() for _ in self.pairs]
        columns = zip(self.pairs, self.captions, strict=True)
        self.columns = [parts.column(pair, caption) for pair, caption in columns]
        self.crop_note = parts.html("", "wb-muted")
        self.share = parts.Sentence("Highlights of this picture")
        self.overview = parts.PictureView(front)
        front.observe(self._changed, "pixel_ratio")
        crops = parts.row(*self.columns)
        front.listen(crops, "width", self.safely(self._room_changed))
        plane_note = (
            "The middle of the plane is what the eye takes for white. The rings are chroma "
            "2, 4, 8 …; the words name the tints."
        )
        plane = parts.column(self.whites, parts.html(plane_note, "wb-muted"))
        plane.layout.width = f"{self.whites.figure.size_px[0]}px"
        figures = parts.column(
            self.facts,
            parts.html(
                "CIE whiteness and tint are estimates: the profile knows its paper under D50 "
                "only, without what brighteners do in daylight.",
                "wb-muted",
            ),
            self.condition,
            parts.html(TORCH, "wb-muted"),
        )
        figures.layout.flex = "1 1 240px"
        where = parts.column(self.share, self.lightness, widgets.HTML(legend()))
        return [
            *knobs,
            self.answer,
            parts.row(plane, figures),
            parts.heading("Neutral highlights, before and after", 4),
            self.steps,
            parts.heading("The same highlights of the picture on each paper, at 100 %", 4),
            crops,
            self.crop_note,
            parts.heading("How much of the picture the paper's white reaches", 4),
            parts.row(self.overview, parts.wide(where)),
        ]

    def _build_knobs(self) -> list:
        self.eye = EyeControls(self)
        self.adaptation, self.reference = self.eye.adaptation, self.eye.reference
        self.lightness = self.bind(lightness_slider(self.front), "highlight_lightness")
        return [*lone_row(self), self.eye.row]

    # following ---------------------------------------------------------------

    def follow(self) -> None:
        self._once("count", self._printed(), self._count_every_pixel)  # submit first
        with self.front.turn:
            self._show()

    def _show(self) -> None:
        plan = self.plan
        seen = (plan.paper, plan.papers, plan.reference, plan.adaptation)
        printed, crop = self._printed(), self._crop_size()
        self._once("choices", (plan.papers, plan.paper, plan.reference), self.eye.offer)
        beside = {"reference": plan.reference, "adaptation": plan.adaptation}
        whites = whites_seen(plan.paper, plan.papers, **beside)
        found = highlights(
            plan.picture,
            plan.paper,
            **plan.rendering,
            **beside,
            lightness=plan.highlight_lightness,
            tally=self._tally(),
        )
        self._say(whites, found)
        self._once("whites", seen, lambda: self._show_whites(whites))
        self._once("steps", (seen, printed, crop), lambda: self._show_steps(whites, found))
        marks = (printed, plan.highlight_lightness, crop)
        self._once("overview", marks, self._show_overview)

    # counting ----------------------------------------------------------------

    def _printed(self) -> tuple:
        plan = self.plan
        return plan.picture, plan.paper, plan.intent, plan.black_point_compensation

    def _tally(self):
        """The exact count, if it is of this picture, paper and intent; else None."""
        return self._exact[1] if self._exact and self._exact[0] == self._printed() else None

    def _count_every_pixel(self) -> None:
        printed, rendering = self._printed(), self.plan.rendering

        def count(cancelled, progress):
            return lightness_tally(
                *printed[:2], **rendering, cancelled=cancelled, progress=progress
            )

        def done(tally):
            self._exact = (printed, tally)
            if printed == self._printed():
                self.follow()

        self.worker.submit(
            "white",
            count,
            done,
            lambda fraction, text: self.status.working("Counting every pixel", fraction),
            status=self.status,
        )

    # showing -------------------------------------------------------------------

    def _say(self, whites: WhitesSeen, found: Highlights) -> None:
        self.answer.say(whites.chosen.sentence)
        self.share.say(
            found.sentence, mark="whole picture, every pixel" if found.exact else "quick count"
        )
        rows = facts_table(white_facts(whites, found))
        if self.facts.value != rows:
            self.facts.value = rows
        caveat = brightener_caveat(measuring_condition(self.plan.paper))
        parts.set_html(self.condition, caveat, "wb-muted")

    def _show_whites(self, whites: WhitesSeen) -> None:
        self.whites.show(whites, alt=self.whites.figure.alt_text(whites))

    def _show_steps(self, whites: WhitesSeen, found: Highlights) -> None:
        """The patches and the crops, all dimmed alike."""
        tiles = self._tiles()
        plan = self.plan
        eye = eye_beside(plan.reference, plan.adaptation).white(white_xyz(plan.paper.profile))
        seen = [xyz_to_lab(crop.paper_xyz * D50_XYZ / eye) for _, crop in tiles]
        dim = dimming([*seen, *found.after_lab, found.reference_lab])
        self.steps.figure.update(found, dim)
        self.steps.show(alt=self.steps.figure.alt_text(found))
        sheets = []
        if len(tiles) < TILES:
            crop = tiles[0][1]  # the same print, if its paper were the eye's white
            pure = crop.seen(crop.paper_xyz, dim)
            sheets.append((PURE, "for comparison", pure, (100.0, 0.0, 0.0)))
        for (paper, crop), lab in zip(tiles, seen, strict=True):
            remark = "chosen; " if paper is self.plan.paper else ""
            tint = (
                f"{tint_words(paper.white_lab)} white"
                if paper.white_is_known
                else "white not stated"
            )
            sheets.append((paper.name, remark + tint, crop.seen(eye, dim), lab))
        self._show_pairs(sheets, dim)
        self.crop_note.value = parts.html(dim_words(dim), "wb-muted").value

    def _tiles(self) -> list:
        """Up to four papers with the same crop printed on each, the chosen one first."""
        plan = self.plan
        papers = [plan.paper]
        beside = [plan.reference] if hasattr(plan.reference, "profile") else []
        for paper in (*beside, *plan.papers):
            if len(papers) < TILES and not any(paper is other for other in papers):
                papers.append(paper)
        box = highlight_box(plan.picture, self._crop_size())
        return [(p, printed_crop(plan.picture, p, box, **plan.rendering)) for p in papers]

    def _fine(self, css_px: float) -> int:
        """Screen pixels of a length in CSS pixels."""
        return max(1, round(css_px * min(max(self.front.pixel_ratio, 1.0), 3.0)))

    def _crop_size(self) -> tuple[int, int]:
        return self._fine(self._crop_width_px), self._fine(CROP_PX[1])

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

    def _show_pairs(self, sheets, dim: float) -> None:
        for index, (view, caption) in enumerate(zip(self.pairs, self.captions, strict=True)):
            pair = sheets[2 * index : 2 * index + 2]
            self.columns[index].layout.display = "" if pair else "none"
            if not pair:
                continue
            tiles = [
                on_sheet(crop, screen_colours(lab, dim), self._fine(_BORDER_PX))
                for _, _, crop, lab in pair
            ]
            names = " and, beside it, on ".join(name for name, *_ in pair)
            view.show(
                side_by_side(tiles, self._fine(_GAP_PX)),
                alt=f"The highlights of the picture on {names}",
            )
            width_px = self._crop_width_px + 2 * _BORDER_PX
            said = captions([(name, remark) for name, remark, *_ in pair], width_px, _GAP_PX)
            if caption.value != said:
                caption.value = said

    def _show_overview(self) -> None:
        plan = self.plan
        size = self._fine(OVERVIEW_PX)
        reach = reach_map(
            plan.picture,
            plan.paper,
            plan.highlight_lightness,
            **plan.rendering,
            long_side_px=size,
        )
        preview = picture_grid(plan.picture.require_profile()).apply(plan.picture.preview(size))
        x, y, width, height = highlight_box(plan.picture, self._crop_size())
        scale = np.array(preview.shape[1::-1]) / (plan.picture.width_px, plan.picture.height_px)
        corners = np.rint(np.array([[x, y], [x + width, y + height]]) * scale).astype(int)
        self.overview.show(
            marked(preview, reach, corners.ravel()),
            alt=f"Where {plan.picture.name or 'the picture'} prints lighter than "
            f"L* {plan.highlight_lightness:g}; a frame marks the part shown above",
        )
        self.overview.set_caption("The frame marks the part shown above", mark="preview")
