"""The black panel: how deep two papers' blacks are, and which of a picture's shadows merge."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from functools import lru_cache

import numpy as np

from workbench.analysis.adaptation import eye_beside
from workbench.analysis.black import (
    BlackPoint,
    black_point,
    is_matte,
    tone_curves,
)
from workbench.analysis.crops import printed_crop, shadow_box
from workbench.analysis.shadows import shadow_tally
from workbench.analysis.words import INTENT_NAMES
from workbench.colour.engine import transform
from workbench.colour.trip import white_xyz
from workbench.figures.black import ToneFigure, Tones
from workbench.figures.black_scale import Blacks, ScaleFigure
from workbench.figures.style import colour
from workbench.panels import parts
from workbench.panels.black.words import facts_html, figures, ways_html
from workbench.panels.panel import Panel
from workbench.panels.print_knobs import numbered, place_of, print_knobs
from workbench.plan import Plan

# CSS pixels, narrower where two have no room side by side; on finer screens as many more as
# fill the same space
CROP_PX = (372, 300)
_LEAST_CROP_PX, _GAP_PX, _AROUND_PX = 120, 24, 28
_FINEST = 2.0
# papers on the scale, the chosen and the other one among them
MOST_PAPERS = 8
# values in the list of papers that are no places; None would leave the list without a choice
_ELSEWHERE, _NONE = -1, -2
_NO_OTHER = ("no other paper at hand", _NONE)
# how much of a merged pixel's colour the mark covers
_COVER = 0.65


def other_paper(plan: Plan):
    """The paper shown beside the chosen one, or None where there is no other.

    The plan's own; without one the first at hand of the other kind of finish, and failing
    that the first other one.
    """
    chosen = plan.paper
    if plan.other_paper is not None and plan.other_paper is not chosen:
        return plan.other_paper
    others = [paper for paper in plan.papers if paper is not chosen]
    unlike = [paper for paper in others if is_matte(paper) != is_matte(chosen)]
    return next(iter(unlike or others), None)


class BlackPanel(Panel):
    """Two papers' blacks, the tone curve, the shadows that merge, and the shadows to look at."""

    watch = (
        "picture",
        "paper",
        "papers",
        "intent",
        "black_point_compensation",
        "reference",  # the eye that looks at the pictures
        "adaptation",
        "other_paper",
        "tolerance",
    )

    def build(self) -> list:
        front = self.front
        self._counting = None
        self._shadows = None, None  # of which picture, and every pixel's
        self._pictures_of: tuple = ()
        self._offered: tuple = ()
        self.other = parts.choice(
            front, "Second paper", options=[_NO_OTHER],
            help="Its black is shown beside the chosen one's",
        )  # fmt: skip
        self.other.on_change(self.safely(self._choose_other))
        self.tolerance = self.bind(
            parts.slider(
                front, "Greys merge when closer than", value=1.0, min=0.3, max=3, step=0.1,
                unit="CIEDE2000", typed=(0.1, 5),
                help="How far two greys must lie apart to be told from each other; about 1 is "
                "just noticeable side by side",
            ),
            "tolerance",
        )  # fmt: skip
        self.lift = parts.slider(
            front, "Brighten on screen, to look only", value=0, min=0, max=4, step=0.1,
            unit="stops",
            help="Lifts the shadows of both pictures on the screen so that a whole class sees "
            "them; no figure and no print changes",
        )  # fmt: skip
        self.mark = parts.tick(
            front, "Mark what merges", help="Covers the pixels whose levels merge on each paper"
        )
        for control in (self.lift, self.mark):
            control.on_change(self.safely(lambda value: self._show_pictures()))
        front.observe(self._changed, "pixel_ratio")
        self.answer, self.other_answer = parts.Sentence("Chosen"), parts.Sentence("Other")
        self.views = tuple(
            parts.PictureView(front, alt="The picture's shadows on paper") for _ in range(2)
        )
        self._crop_width_px = CROP_PX[0]
        self._narrow_captions()
        crops = parts.beside(*self.views)
        front.listen(crops, "width", self.safely(self._room_changed))
        self.tones = parts.PlotView(front, ToneFigure(), alt="Curve from picture to print")
        self.scale = parts.PlotView(
            front, ScaleFigure(width_px=1040), alt="Blacks on a scale of density"
        )
        self.facts, self.intents = parts.html(""), parts.html("")
        own = print_knobs(self) if self.alone else []
        return [
            parts.row(*own, self.other, self.tolerance),
            parts.row(parts.wide(self.answer), parts.wide(self.other_answer)),
            self.tones,
            parts.heading("This picture's shadows on paper, at 100 %", 4),
            parts.row(self.lift, self.mark),
            crops,
            parts.heading("Black in figures", 4),
            self.facts,
            self.scale,
            parts.heading("Every way to print: levels that merge, and their share", 4),
            self.intents,
        ]

    def _choose_other(self, index) -> None:
        if index is not None and index >= 0:
            self.plan.other_paper = self.plan.papers[index]

    # following the plan ---------------------------------------------------------

    def follow(self) -> None:
        # the worker comes here too, when it has counted
        with self.front.turn:
            picture = self.plan.picture
            picture.require_profile()
            self._count(picture)
            self._offer_papers()
            chosen, other = self._black(self.plan.paper), None
            if (paper := other_paper(self.plan)) is not None:
                other = self._black(paper)
            self._say(chosen, other)
            self._show_tones(chosen, other)
            self._show_tables(chosen, other)
            self._show_scale()
            self._show_pictures()

    def _black(self, paper, **rendering) -> BlackPoint:
        plan = self.plan
        picture, shadows = self._shadows
        return black_point(
            paper,
            plan.picture,
            tolerance=plan.tolerance,
            shadows=shadows if picture is plan.picture else None,
            **(rendering or plan.rendering),
        )

    def _count(self, picture) -> None:
        """Have every pixel counted, once; the preview's shares stand in until then."""
        key = "shadows of every pixel"
        if self._shadows[0] is picture:
            return
        if self._counting is picture and self.worker.is_busy(key):
            return
        self._counting = picture

        def counted(tally):
            self._shadows = picture, tally
            self._changed(None)

        self.worker.submit(
            key,
            lambda cancelled, progress: shadow_tally(
                picture, cancelled=cancelled, progress=progress
            ),
            counted,
            lambda fraction, text: self.status.working("Counting the shadows", fraction),
            status=self.status,
        )

    def _offer_papers(self) -> None:
        papers, chosen, other = self.plan.papers, self.plan.paper, other_paper(self.plan)
        if (papers, chosen, other) == self._offered:
            return
        place = place_of(chosen, papers)
        offered = [option for option in numbered(papers) if option[1] != place]
        if other is None:
            offered, beside = [_NO_OTHER], _NONE
        else:
            beside = place_of(other, papers)
            if beside is None:
                beside = _ELSEWHERE
                offered.append((other.name, _ELSEWHERE))
        self.other.replace(offered, beside)
        self.other.disabled = other is None
        self._offered = (papers, chosen, other)

    def _say(self, chosen: BlackPoint, other: BlackPoint | None) -> None:
        self.other_answer.widget.layout.display = "none" if other is None else ""
        for sentence, black in ((self.answer, chosen), (self.other_answer, other)):
            if black is not None:
                sentence.label = black.name
                sentence.say(
                    black.sentence,
                    mark="whole picture, every pixel" if black.share_exact else "quick count",
                    detail=figures(black),
                )

    def _show_tones(self, chosen: BlackPoint, other: BlackPoint | None) -> None:
        plan = self.plan
        tones = Tones(chosen, tone_curves(plan.paper, plan.picture), other)
        self.tones.show(tones, alt=self.tones.figure.alt_text(tones))

    def _show_scale(self) -> None:
        plan, other = self.plan, other_paper(self.plan)
        first = [plan.paper] if other is None else [plan.paper, other]
        papers = first + [p for p in plan.papers if all(p is not f for f in first)]
        blacks = Blacks(
            tuple(self._black(paper) for paper in papers[:MOST_PAPERS]),
            chosen=0,
            other=None if other is None else 1,
        )
        # a tolerance leaves the blacks as they are
        if not self.scale.image.value or self.scale.figure.differs(blacks):
            self.scale.show(blacks, alt=self.scale.figure.alt_text(blacks))

    def _show_tables(self, chosen: BlackPoint, other: BlackPoint | None) -> None:
        columns = [chosen] if other is None else [chosen, other]
        self.facts.value = facts_html(columns)
        papers = [self.plan.paper, *([] if other is None else [other_paper(self.plan)])]
        self.intents.value = ways_html(
            columns,
            [
                [
                    self._black(paper, intent=intent, black_point_compensation=compensation)
                    for paper in papers
                ]
                for intent in INTENT_NAMES
                for compensation in ((False, True) if intent != "absolute" else (False,))
            ],
        )

    # pictures ---------------------------------------------------------------------

    def _show_pictures(self) -> None:
        plan = self.plan
        if plan.picture is None or plan.paper is None:
            return
        with self.front.turn:
            papers = [p for p in (plan.paper, other_paper(plan)) if p is not None]
            merged = tuple(
                self._black(paper).merged_lightness if self.mark.value else None for paper in papers
            )
            key = (
                plan.picture, *papers, merged, *plan.rendering.way.values(), plan.reference,
                plan.adaptation, self.lift.value, self._crop_size(),
            )  # fmt: skip
            if key == self._pictures_of:
                return
            self.views[1].widget.layout.display = "none" if len(papers) == 1 else ""
            for view, paper, pixels in zip(
                self.views, papers, self._seen(papers, merged), strict=False
            ):
                view.show(pixels, alt=f"Shadows of the picture, at 100 %, on {paper.name}")
                view.set_caption(
                    paper.name, mark="brighter on screen only" if self.lift.value else ""
                )
            self._pictures_of = key

    def _seen(self, papers, merged) -> list[np.ndarray]:
        """The shadows on each paper, for one eye."""
        plan = self.plan
        box = shadow_box(plan.picture, self._crop_size())
        with ThreadPoolExecutor(2) as pool:
            crops = list(
                pool.map(
                    lambda paper: printed_crop(plan.picture, paper, box, **plan.rendering), papers
                )
            )
        eye = eye_beside(plan.reference, plan.adaptation).white(white_xyz(plan.paper.profile))
        shown = []
        for crop, upto in zip(crops, merged, strict=True):
            pixels = crop.seen(eye, dim=2.0**-self.lift.value)
            if upto is not None:
                below = np.flatnonzero(_crop_lightness(plan.picture, box) <= upto + 0.01)
                flat = pixels.reshape(-1, 3)
                flat[below] = (1 - _COVER) * flat[below] + _COVER * _mark_colour()
            shown.append(pixels)
        return shown

    def _crop_size(self) -> tuple[int, int]:
        fine = min(max(self.front.pixel_ratio, 1.0), _FINEST)
        return round(self._crop_width_px * fine), round(CROP_PX[1] * fine)

    def _room_changed(self, content: dict) -> None:
        """Both crops side by side."""
        room = int(content.get("width", 0))
        if room <= 0:  # hidden: nothing to fit
            return
        width = (room - _GAP_PX) // 2 - _AROUND_PX
        width = min(max(width, _LEAST_CROP_PX), CROP_PX[0])
        if width != self._crop_width_px:
            self._crop_width_px = width
            self._narrow_captions()
            self._show_pictures()

    def _narrow_captions(self) -> None:
        """So that a long one wraps and leaves the crops side by side."""
        for view in self.views:
            view.widget.layout.max_width = f"{self._crop_width_px + _AROUND_PX}px"


@lru_cache(maxsize=2)
def _crop_lightness(picture, box) -> np.ndarray:
    """(h, w) L* of the picture's own pixels."""
    pixels = picture.crop(*box)
    exact = pixels.astype(np.float32) / np.iinfo(pixels.dtype).max
    return transform(exact, picture.require_profile(), "lab")[..., 0]


@lru_cache(maxsize=1)
def _mark_colour() -> np.ndarray:
    value = colour("too_dark").lstrip("#")
    return np.array([int(value[i : i + 2], 16) for i in (0, 2, 4)], float)
