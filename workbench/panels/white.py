"""The paper white panel: its tint, how it is seen, and what it does to the highlights."""

from __future__ import annotations

import ipywidgets as widgets
import numpy as np

from workbench.analysis.crops import (
    dimming,
    highlight_box,
    lightness_tally,
    printed_crop,
    reach_map,
)
from workbench.analysis.proof import picture_grid
from workbench.analysis.white import (
    OFFICE_SHEET,
    PERFECT_DIFFUSER,
    Highlights,
    WhitesSeen,
    eye_white,
    highlights,
    whites_seen,
)
from workbench.analysis.words import tint_words
from workbench.colour.lab import D50_XYZ, lab_to_xyz, xyz_to_lab
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
from workbench.panels.sources import facts_table
from workbench.panels.white_words import captions, dim_words, legend, white_facts

TILES = 4  # papers shown next to one another, two in each picture
CROP_PX = (186, 250)  # CSS pixels; on finer screens as many more as fill the same space
_BORDER_PX, _GAP_PX = 14, 20
OVERVIEW_PX = 420
PURE = "a purely white sheet"

_INTENTS = (
    ("relative colorimetric", "relative"),
    ("perceptual", "perceptual"),
    ("saturation", "saturation"),
    ("absolute colorimetric", "absolute"),
)


class WhitePanel(Panel):
    """Paper white: side by side with a whiter sheet, or with the eye used to it."""

    title = "Paper white"
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
        self._shown_for: dict = {}  # what each part was last brought up to date for
        self._exact = None  # (picture, paper, intent, compensation), and its exact tally
        front = self.front
        knobs = self._build_knobs()
        self.answer = parts.Sentence("Paper white")
        self.whites = parts.PlotView(front, WhiteFigure(), "The whites in view")
        self.facts = widgets.HTML()
        self.steps = parts.PlotView(front, StepsFigure(), "Patches of neutral highlights")
        self.pairs = [parts.PictureView(front) for _ in range(TILES // 2)]
        self.captions = [widgets.HTML() for _ in self.pairs]
        columns = zip(self.pairs, self.captions, strict=True)
        self.columns = [parts.column(pair, caption) for pair, caption in columns]
        self.crop_note = parts.html("", "wb-muted")
        self.share = parts.Sentence("Highlights of this picture")
        self.overview = parts.PictureView(front)
        front.observe(self._changed, "pixel_ratio")
        plane_note = (
            "The middle of the plane is what the eye takes for white. The rings are chroma "
            "2, 4, 8 …; the words name the tints."
        )
        plane = parts.column(self.whites, parts.html(plane_note, "wb-muted"))
        plane.layout.width = f"{self.whites.figure.size_px[0]}px"
        where = parts.column(self.share, self.lightness, widgets.HTML(legend()))
        return [
            *knobs,
            self.answer,
            parts.row(plane, parts.wide(self.facts)),
            parts.heading("Neutral highlights, before and after", 4),
            self.steps,
            parts.heading("The same highlights of the picture on each paper, at 100 %", 4),
            parts.row(*self.columns),
            self.crop_note,
            parts.heading("How much of the picture the paper's white reaches", 4),
            parts.row(self.overview, parts.wide(where)),
        ]

    def _build_knobs(self) -> list:
        front = self.front
        self.adaptation = self.bind(
            parts.slider(
                front,
                "How far the eye is used to this paper",
                value=0,
                min=0,
                max=100,
                unit="%",
                help="0 %: a whiter sheet lies beside the print, and the eye keeps to it. "
                "100 %: the print hangs alone under one light, and its paper passes for white.",
            ),
            "adaptation",
            to_plan=lambda value: value / 100,
            from_plan=lambda value: 100 * value,
        )
        self.adaptation.widget.layout.width = "440px"
        ends = widgets.HTML(
            '<div class="wb-muted" style="display:flex;justify-content:space-between;gap:12px">'
            "<span>side by side</span><span>eye fully used to the paper</span></div>"
        )
        ends.layout.width = "328px"
        adaptation = parts.column(self.adaptation, ends)
        adaptation.layout.grid_gap = "0"
        self.reference = parts.choice(
            front,
            "Seen beside",
            options=[
                ("a perfect white", PERFECT_DIFFUSER),
                ("a bluish office sheet", OFFICE_SHEET),
            ],
            help="The white sheet that lies beside the print",
        )
        self.reference.on_change(self.safely(lambda v: setattr(self.plan, "reference", v)))
        self.lightness = self.bind(
            parts.slider(
                front,
                "Highlights begin above",
                value=90,
                min=50,
                max=99,
                step=0.5,
                unit="L*, relative",
                help="Parts of the print that are lighter than this take the paper's tint; "
                "100 is the bare paper",
            ),
            "highlight_lightness",
        )
        rows = [parts.row(adaptation, self.reference)]
        return [parts.row(*self._build_own()), *rows] if self.alone else rows

    def _build_own(self) -> list:
        """The knobs that a desk has above all panels."""
        self.paper = parts.choice(self.front, "Paper", options=[""], help="The paper to print on")
        self.paper.on_change(
            self.safely(lambda index: setattr(self.plan, "paper", self.plan.papers[index]))
        )
        self.intent = self.bind(
            parts.choice(
                self.front,
                "Rendering intent",
                options=list(_INTENTS),
                help="How colours that the paper cannot hold are brought into it",
            ),
            "intent",
        )
        self.compensation = self.bind(
            parts.tick(
                self.front,
                "Black point compensation",
                help="Fit the picture's blacks to the paper's, so that shadows do not merge",
            ),
            "black_point_compensation",
        )
        return [self.paper, self.intent, self.compensation]

    # following ---------------------------------------------------------------

    def follow(self) -> None:
        plan = self.plan
        printed = (plan.picture, plan.paper, plan.intent, plan.black_point_compensation)
        seen = (plan.paper, plan.papers, plan.reference, plan.adaptation)
        self._once("options", (plan.papers, plan.paper, plan.reference), self._fill_choices)
        if self._shown_for.get("count") != printed:
            self._once("count", printed, self._count_every_pixel)  # submit first, then show
        whites = whites_seen(
            plan.paper, plan.papers, reference=plan.reference, adaptation=plan.adaptation
        )
        found = highlights(
            plan.picture,
            plan.paper,
            **plan.rendering,
            reference=plan.reference,
            adaptation=plan.adaptation,
            lightness=plan.highlight_lightness,
            tally=self._tally(),
        )
        self._say(whites, found)
        self._once("whites", seen, lambda: self._show_whites(whites))
        ratio = self.front.pixel_ratio
        self._once("steps", (seen, printed, ratio), lambda: self._show_steps(whites, found))
        self._once(
            "overview",
            (printed, plan.highlight_lightness, ratio),
            self._show_overview,
        )

    def _once(self, part: str, key: tuple, show) -> None:
        """Bring a part up to date unless it is already."""
        if self._shown_for.get(part) != key:
            self._shown_for.pop(part, None)  # should it fail, it is tried again
            show()
            self._shown_for[part] = key

    def _fill_choices(self) -> None:
        plan = self.plan
        numbered = [(f"{n}. {p.name}", p) for n, p in enumerate(plan.papers, 1)]
        options = [
            ("a perfect white", PERFECT_DIFFUSER),
            ("a bluish office sheet", OFFICE_SHEET),
            *((f"paper {label}", p) for label, p in numbered if p is not plan.paper),
        ]
        if not any(plan.reference is value for _, value in options):
            own = " itself" if plan.reference is plan.paper else ""
            options.append((f"{plan.reference.name}{own}", plan.reference))
        self.reference.replace(options, plan.reference)
        if self.alone:
            chosen = next((i for i, p in enumerate(plan.papers) if p is plan.paper), None)
            self.paper.replace([(label, i) for i, (label, _) in enumerate(numbered)], chosen)

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

    def _show_whites(self, whites: WhitesSeen) -> None:
        self.whites.show(whites, alt=self.whites.figure.alt_text(whites))

    def _show_steps(self, whites: WhitesSeen, found: Highlights) -> None:
        """The patches and the crops, all dimmed alike."""
        tiles = self._tiles()
        eye = eye_white(
            white_xyz(self.plan.paper.profile),
            lab_to_xyz(whites.chosen.reference_lab),
            self.plan.adaptation,
        )
        seen = [xyz_to_lab(crop.paper_xyz * D50_XYZ / eye) for _, crop in tiles]
        dim = dimming([*seen, *found.after_lab, found.reference_lab])
        self.steps.figure.update(found, dim)
        self.steps.show(alt=self.steps.figure.alt_text(found))
        sheets = []
        if len(tiles) < TILES:
            crop = tiles[0][1]  # the same print, if its paper were the eye's white
            sheets.append((PURE, crop.seen(crop.paper_xyz, dim), (100.0, 0.0, 0.0)))
        for (paper, crop), lab in zip(tiles, seen, strict=True):
            sheets.append((paper.name, crop.seen(eye, dim), lab))
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
        return self._fine(CROP_PX[0]), self._fine(CROP_PX[1])

    def _show_pairs(self, sheets, dim: float) -> None:
        for index, (view, caption) in enumerate(zip(self.pairs, self.captions, strict=True)):
            pair = sheets[2 * index : 2 * index + 2]
            self.columns[index].layout.display = "" if pair else "none"
            if not pair:
                continue
            tiles = [
                on_sheet(crop, screen_colours(lab, dim), self._fine(_BORDER_PX))
                for _, crop, lab in pair
            ]
            names = [name for name, _, _ in pair]
            width_px = CROP_PX[0] + 2 * _BORDER_PX
            view.show(
                side_by_side(tiles, self._fine(_GAP_PX)),
                alt=f"The highlights of the picture on {' and, beside it, on '.join(names)}",
            )
            said = [(name, self._tint(name, lab)) for name, _, lab in pair]
            if caption.value != (words := captions(said, width_px, _GAP_PX)):
                caption.value = words

    def _tint(self, name: str, lab) -> str:
        if name == PURE:
            return "for comparison"
        known = all(
            p.white_is_known for p in (self.plan.paper, *self.plan.papers) if p.name == name
        )
        chosen = "chosen; " if name == self.plan.paper.name else ""
        return chosen + (f"looks {tint_words(lab)}" if known else "its white is not stated")

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
