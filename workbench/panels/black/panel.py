"""The black panel: how deep two papers' blacks are, and which of a picture's shadows merge."""

from __future__ import annotations

from workbench.analysis.black import black_point, tone_curves
from workbench.analysis.shadows import shadow_tally
from workbench.figures.black import ToneFigure, Tones
from workbench.figures.black_scale import Blacks, ScaleFigure
from workbench.figures.tone_crops import shadow_crops
from workbench.language import tr
from workbench.panels import parts
from workbench.panels.black.words import facts_html, figures, ways_html
from workbench.panels.knobs import knob
from workbench.panels.panel import Panel
from workbench.panels.print_knobs import numbered, place_of, print_knobs
from workbench.panels.view import View
from workbench.paper_readings import with_profile

# CSS pixels, narrower where two have no room side by side; on finer screens as many more as
# fill the same space
CROP_PX = (372, 300)
_LEAST_CROP_PX, _GAP_PX, _AROUND_PX = 120, 24, 28
# papers on the scale, the chosen and the other one among them
MOST_PAPERS = 8
# values in the list of papers that are no places; None would leave the list without a choice
_ELSEWHERE, _NONE = -1, -2
_NO_OTHER = (tr("no other paper at hand"), _NONE)


class BlackPanel(Panel):
    """Two papers' blacks, the tone curve, the shadows that merge, and the shadows to look at."""

    of_file = True
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
        self.other = parts.choice(
            front, tr("Second paper"), options=[_NO_OTHER],
            help=tr("Its black is shown beside the chosen one's"),
        )  # fmt: skip
        self.other.on_change(self.safely(self._choose_other))
        self.tolerance = knob(self, "tolerance")
        self.lift = parts.slider(
            front, tr("Brighten on screen, to look only"), value=0, min=0, max=4, step=0.1,
            unit=tr("stops"),
            help=tr("Lifts the shadows of both pictures on the screen so that a whole class sees "
            "them; no figure and no print changes"),
        )  # fmt: skip
        self.mark = parts.tick(
            front,
            tr("Mark what merges"),
            help=tr("Covers the pixels whose levels merge on each paper"),
        )
        self.look(self.lift, self.mark)
        self.answer, self.other_answer = parts.Sentence(tr("Chosen")), parts.Sentence(tr("Other"))
        self.views = tuple(
            parts.PictureView(front, alt=tr("The picture's shadows on paper")) for _ in range(2)
        )
        self._crop_width_px = CROP_PX[0]
        self._narrow_captions()
        crops = parts.beside(*self.views)
        front.listen(crops, "width", self.safely(self._room_changed))
        self.tones = parts.PlotView(front, ToneFigure(), alt=tr("Curve from picture to print"))
        self.scale = parts.PlotView(
            front, ScaleFigure(width_px=1040), alt=tr("Blacks on a scale of density")
        )
        self.facts, self.intents = parts.html(""), parts.html("")
        own = print_knobs(self) if self.alone else []
        return [
            parts.row(*own, self.other, self.tolerance),
            parts.row(parts.wide(self.answer), parts.wide(self.other_answer)),
            self.tones,
            parts.heading(tr("This picture's shadows on paper, at 100 %"), 4),
            parts.row(self.lift, self.mark),
            crops,
            parts.heading(tr("Black in figures"), 4),
            self.facts,
            self.scale,
            parts.heading(tr("Every way to print: levels that merge, and their share"), 4),
            self.intents,
        ]

    def _choose_other(self, index) -> None:
        if index is not None and index >= 0:
            self.plan.other_paper = self.plan.papers[index]

    def shows(self):
        return (
            View("second paper", self._offer_asked, tuple, self._offer),
            View("answers", self._answers_asked, _answers, self._show_answers),
            View("pictures", self._crops_asked, _crops, self._show_crops),
            View("scale", self._scale_asked, _scale, self._show_scale),
        )

    # asking ---------------------------------------------------------------------

    def papers_shown(self) -> tuple:
        """The chosen paper and, where there is one, the second."""
        chosen, second = self.plan.paper, self.plan.second_paper()
        return (chosen,) if second is None else (chosen, second)

    def _offer_asked(self) -> tuple:
        return self.plan.papers, self.papers_shown()

    def _answers_asked(self) -> tuple:
        plan = self.plan
        printed = plan.rendering.only("intent", "black_point_compensation", "tolerance")
        shadows = self.front.counting.of(shadow_tally, plan.picture)
        return plan.picture, self.papers_shown(), printed, shadows

    def _crops_asked(self) -> tuple:
        plan = self.plan
        seen = ["intent", "black_point_compensation", "reference", "adaptation"]
        if self.mark.value:
            seen.append("tolerance")
        size = self.fine(self._crop_width_px), self.fine(CROP_PX[1])
        shadows = self._answers_asked()[-1] if self.mark.value else None
        return (
            plan.picture, self.papers_shown(), plan.rendering.only(*seen), size, shadows, self.lift.value
        )  # fmt: skip

    def _scale_asked(self) -> tuple:
        plan, first = self.plan, self.papers_shown()
        others = (p for p in with_profile(plan.papers) if all(p is not f for f in first))
        papers = (*first, *others)
        printed = plan.rendering.only("intent", "black_point_compensation")
        return plan.picture, papers[:MOST_PAPERS], len(first), printed

    # showing --------------------------------------------------------------------

    def _offer(self, asked: tuple) -> None:
        papers, (chosen, *second) = asked
        place = place_of(chosen, papers)
        offered = [option for option in numbered(papers) if option[1] != place]
        if second:
            beside = place_of(second[0], papers)
            if beside is None:
                beside = _ELSEWHERE
                offered.append((second[0].name, _ELSEWHERE))
        else:
            offered, beside = [_NO_OTHER], _NONE
        self.other.replace(offered, beside)
        self.other.disabled = not second

    def _show_answers(self, found: tuple) -> None:
        blacks, curves, ways = found
        self.other_answer.widget.layout.display = "none" if len(blacks) == 1 else ""
        for sentence, black in zip((self.answer, self.other_answer), blacks, strict=False):
            sentence.label = black.name
            mark = parts.count_mark(black.share_exact)
            sentence.say(black.sentence, mark=mark, detail=figures(black))
        tones = Tones(blacks[0], curves, *blacks[1:])
        self.tones.show(tones, alt=self.tones.figure.alt_text(tones))
        self.facts.value = facts_html(blacks)
        self.intents.value = ways_html(blacks, ways)

    def _show_crops(self, found: tuple) -> None:
        names, pixels, lifted = found
        self.views[1].widget.layout.display = "none" if len(names) == 1 else ""
        for view, name, each in zip(self.views, names, pixels, strict=False):
            view.show(each, alt=tr("Shadows of the picture, at 100 %, on {name}", name=name))
            view.set_caption(name, mark=tr("brighter on screen only") if lifted else "")

    def _show_scale(self, blacks: Blacks) -> None:
        self.scale.show(blacks, alt=self.scale.figure.alt_text(blacks))

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
            self._changed(content)

    def _narrow_captions(self) -> None:
        """So that a long one wraps and leaves the crops side by side."""
        for view in self.views:
            view.widget.layout.max_width = f"{self._crop_width_px + _AROUND_PX}px"


def _answers(asked: tuple) -> tuple:
    """The papers' blacks, the first one's tone curves, and the blacks of every way to print."""
    picture, papers, printed, shadows = asked

    def blacks(**way) -> list:
        how = {"tolerance": printed.tolerance, "shadows": shadows}
        return [black_point(paper, picture, **how, **way) for paper in papers]

    curves = tone_curves(papers[0], picture)
    ways = [
        blacks(intent=each.intent, black_point_compensation=each.black_point_compensation)
        for each in curves
    ]
    return blacks(**printed), curves, ways


def _crops(asked: tuple) -> tuple:
    """Names of papers, the shadows on each, and whether they are lifted."""
    picture, papers, seen, size, shadows, lift = asked
    how = {"tolerance": seen.tolerance, "shadows": shadows}
    merged = [
        black_point(paper, picture, **how, **seen).merged_lightness if shadows else None
        for paper in papers
    ]
    crops = shadow_crops(picture, papers, seen, size, merged, lift)
    return [paper.name for paper in papers], crops, bool(lift)


def _scale(asked: tuple) -> Blacks:
    """The blacks of papers, of which the first ones are the chosen and the second paper's."""
    picture, papers, named, printed = asked
    shadows = shadow_tally(picture, exact=False)  # no share is shown here
    blacks = tuple(black_point(paper, picture, shadows=shadows, **printed) for paper in papers)
    return Blacks(blacks, chosen=0, other=1 if named == 2 else None)
