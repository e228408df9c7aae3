"""The surface panel: the print on its papers' surfaces, under a lamp that the person moves."""

from __future__ import annotations

from html import escape

from workbench.analysis.relit import middle_part, proof_of_part, relight, shown_mm
from workbench.analysis.texture import Texture, texture_seen
from workbench.figures.relit import lamp_words, surface_words
from workbench.panels import parts
from workbench.panels.knobs import knob
from workbench.panels.panel import Panel
from workbench.panels.print_knobs import lone_row
from workbench.panels.surface.measure import MeasurePart
from workbench.panels.view import View
from workbench.picture.kept import kept_while_open
from workbench.plan import SIZE_TRAITS
from workbench.surface.lamp import Lamp

MOST = 4
# two side by side on a desk, with what the page puts around them
WIDTH_PX = 248
_LAMP = ("lamp_azimuth_deg", "lamp_elevation_deg", "even_light")
# mm of the print that are shown, and how that is called
_PARTS = (("a close look: 25 mm", 25), ("100 mm of it", 100), ("the whole print", 0))
_NOTE = (
    "The surfaces of the invented papers are invented too; for your own papers, the kind on the "
    "shelf is shown until you measure the sheet. Light that the relief scatters onto itself, and "
    "light that spreads in the paper, are left out, so that a real sheet looks a little softer. "
    "Each print is as an eye sees it that has got used to its paper's white (relative); the "
    "contrast is that of the bare sheet."
)


class SurfacePanel(Panel):
    """Relief, gloss and shadow of up to four papers in the light of one lamp."""

    watch = ("picture", "papers", "intent", "black_point_compensation", *_LAMP, *SIZE_TRAITS)

    def build(self) -> list:
        front = self.front
        self.azimuth, self.elevation, self.even = (knob(self, name) for name in _LAMP)
        self.part = self.look(
            parts.choice(front, "Show", options=_PARTS, help="How much of the print is shown")
        )
        self.measuring = MeasurePart(self)
        self.lamp = parts.Sentence("Light")
        self.texture = parts.Sentence("What is seen of it")
        self.views = [parts.PictureView(front, alt="A print under the lamp") for _ in range(MOST)]
        self.captions = [parts.html("") for _ in range(MOST)]
        pairs = zip(self.views, self.captions, strict=True)
        self.columns = [parts.column(view, caption) for view, caption in pairs]
        return [
            *lone_row(self),
            parts.row(self.azimuth, self.elevation),
            parts.row(self.even, self.part),
            self.lamp,
            self.texture,
            parts.row(*self.columns),
            parts.html(_NOTE, "wb-muted"),
            self.measuring.fold,
        ]

    def shows(self):
        return (
            View("sheets", self._asked, _relit, self._show),
            View("texture", self._texture_asked, _texture, self._say, lane=parts.FINER, keep=8,
                 doing="Working out from how far the texture is seen"),
            *self.measuring.shows(),
        )  # fmt: skip

    def papers_shown(self) -> tuple:
        """The chosen paper and up to three others."""
        chosen = self.plan.paper
        shown = [chosen, *(each for each in self.plan.papers if each is not chosen)]
        return tuple(each for each in shown if hasattr(each, "profile"))[:MOST]

    def _texture_asked(self) -> tuple:
        picture, papers, _, lamp, long_mm, _, _ = self._asked()
        return picture, papers[0], lamp, long_mm

    def _say(self, found: Texture) -> None:
        self.texture.say(found.sentence, mark="" if found.share_hidden is None else "preview")

    def _asked(self) -> tuple:
        plan = self.plan
        size = plan.print_size()
        lamp = Lamp(plan.lamp_azimuth_deg, plan.lamp_elevation_deg, ambient=plan.even_light)
        rendering = plan.rendering.only("intent", "black_point_compensation")
        long_mm = max(size.width_mm, size.height_mm)
        shown, width_px = self.part.value, self.fine(WIDTH_PX)
        return plan.picture, self.papers_shown(), rendering, lamp, long_mm, shown, width_px

    def _show(self, found) -> None:
        self.lamp.say(lamp_words(found[0][1].lamp) + ".")
        for number, (view, caption) in enumerate(zip(self.views, self.captions, strict=True)):
            here = number < len(found)
            self.columns[number].layout.display = "" if here else "none"
            if not here:
                continue
            paper, relit = found[number]
            said = surface_words(relit)
            view.show(relit.pixels, alt=f"The print on {paper.name}: {said}")
            view.set_caption("", mark="preview")
            caption.value = f"<b>{escape(paper.name)}</b><br>{escape(said)}"


@kept_while_open(maxsize=2 * MOST)
def _proof(picture, paper, rendering, part, width_px):
    return proof_of_part(picture, paper, part, width_px, **rendering)


def _texture(asked, cancelled, progress) -> Texture:
    picture, paper, lamp, long_mm = asked
    return texture_seen(paper, lamp, picture=picture, long_side_mm=long_mm)


def _relit(asked) -> list:
    picture, papers, rendering, lamp, long_mm, wide_mm, width_px = asked
    part = middle_part(picture, long_mm, wide_mm)
    part_mm = shown_mm(picture, part, long_mm)
    return [
        (
            paper,
            relight(
                _proof(picture, paper, rendering, part, width_px),
                paper,
                lamp,
                long_side_mm=part_mm,
            ),
        )
        for paper in papers
    ]
