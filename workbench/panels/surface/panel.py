"""The surface panel: the print on its papers' surfaces, under a lamp that the person moves."""

from __future__ import annotations

from html import escape

from workbench.analysis.eye import ARM_MM, eye_blur_mm
from workbench.analysis.relit import Window, middle_part, shown_mm
from workbench.analysis.sheets import MM_PER_INCH
from workbench.analysis.texture import Texture, texture_seen
from workbench.figures.lit_print import LitPrint
from workbench.figures.relit import MOST, lamp_words, surface_words
from workbench.language import tr
from workbench.panels import parts
from workbench.panels.knobs import knob
from workbench.panels.panel import Panel
from workbench.panels.print_knobs import lone_row
from workbench.panels.screen.controls import glass_knob
from workbench.panels.screen_ruler import ScreenRuler
from workbench.panels.surface.measure import MeasurePart
from workbench.panels.view import View
from workbench.paper_readings import with_profile
from workbench.plan import SIZE_TRAITS
from workbench.surface.lamp import Lamp

# two side by side on a desk, with what the page puts around them; and one alone
WIDTH_PX, ALONE_PX = 248, 540
_LAMP = (
    "lamp_azimuth_deg", "lamp_elevation_deg", "even_light", "lamp_size_cm", "lamp_distance_m",
)  # fmt: skip
# mm of the print that are shown, and how that is called
TRUE, PIXELS = "true size", "print pixels"
_PARTS = (
    (tr("a close look: 25 mm"), 25),
    (tr("100 mm of it"), 100),
    (tr("the whole print"), 0),
    (tr("as large as on the paper: true size"), TRUE),
    (tr("print pixels: one for each screen pixel"), PIXELS),
)
_MANY = (
    (tr("up to four papers"), 4),
    (tr("up to six papers"), MOST),
    (tr("the chosen paper, large"), 1),
)
_SEEN = ((tr("any distance: all there is"), 0.0), (tr("arm's length: 60 cm"), ARM_MM))
# GGX roughness, whatever the paper's own is; the last is that of matte papers
_INK = (
    (tr("as the bare paper does"), 0.0),
    (tr("a little: between satin and matte"), 0.2),
    (tr("dully: as matte paper does"), 0.55),
)
_MIRRORED = Window(0.6, 0.1, 0.9, 0.6, brightness=5)
_NOTE = tr(
    "The surfaces of the invented papers are invented too; for your own papers, "
    "the kind on the shelf is shown until you measure the sheet. Light that the "
    "relief scatters onto itself, and light that spreads in the paper, are left "
    "out, so that a real sheet looks a little softer. Each print is as an eye sees "
    "it that has got used to its paper's white (relative); the contrast is that of "
    "the bare sheet. At arm's length all light is spread as optics and retina of a "
    "good eye spread it: a Gaussian of {eye_blur_mm:.2f} mm on the print (Barten "
    "1999).",
    eye_blur_mm=eye_blur_mm(ARM_MM),
)


class SurfacePanel(Panel):
    """Relief, gloss and shadow of up to six papers in the light of one lamp."""

    of_file = True
    watch = (
        "picture", "papers", "intent", "black_point_compensation", *_LAMP, "glass", "screen_ppi",
        *SIZE_TRAITS,
    )  # fmt: skip

    def build(self) -> list:
        front = self.front
        self.azimuth, self.elevation, self.even, self.size, self.distance = (
            knob(self, name) for name in _LAMP
        )
        self.measuring = MeasurePart(self)
        self.glass = glass_knob(self)
        self.part, self.many, self.seen_from, self.ink, self.window = self.look(
            parts.choice(front, tr("Show"), options=_PARTS, help=tr("How much of the print is shown")),
            parts.choice(front, tr("Side by side"), options=_MANY, help=tr("The chosen paper is the first")),
            parts.choice(
                front, tr("Seen from"), options=_SEEN,
                help=tr("What an eye does not resolve from there is blurred"),
            ),
            parts.choice(
                front, tr("Inked places shine"), options=_INK,
                help=tr("Ink may lie on the sheet as a layer of its own, or sink in"),
            ),
            parts.tick(
                front, tr("A window mirrored in the glass"),
                help=tr("Five times as bright as a white sheet in the lamp's light"),
            ),
        )  # fmt: skip
        self.ruler = ScreenRuler(self)
        self.lamp = parts.Sentence(tr("Light"))
        self.texture = parts.Sentence(tr("What is seen of it"))
        self.views = [
            parts.LiveView(
                front, tr("A print under the lamp"), changed=self._changed, plan=self.plan
            )
            for _ in range(MOST)
        ]
        self.captions = [parts.html("") for _ in range(MOST)]
        pairs = zip(self.views, self.captions, strict=True)
        self.columns = [parts.column(view, caption) for view, caption in pairs]
        # one to begin with, which tells what the page can: each is a graphics context of its own
        self.sheets = parts.row(self.columns[0])
        return [
            *lone_row(self),
            parts.row(
                self.azimuth, self.elevation, self.even, self.part, self.many, self.seen_from
            ),
            parts.fold(
                tr("More of lamp, ink and glass"),
                parts.row(self.size, self.distance, self.ink, self.glass, self.window),
                front=front,
            ),
            self.ruler,
            self.lamp,
            self.texture,
            self.sheets,
            parts.html(_NOTE, "wb-muted"),
            self.measuring.fold,
        ]

    def shows(self):
        return (
            View("lamp", lambda: self._lamp, lamp_words, self._tell),
            View("size", lambda: self.part.value, str, self._show_ruler),
            # the page moves the lamp by itself; what is said of it follows
            View("live", lambda: self._asked(live=True), _scenes, self._show_scenes),
            View("sheets", lambda: self._asked(live=False), _relit, self._show),
            View("words", lambda: self._asked(live=True), _relit_later, self._caption,
                 lane=parts.FINER, rest_s=0.2, keep=4),
            View("texture", self._texture_asked, _texture, self._say, lane=parts.FINER, keep=8,
                 doing=tr("Working out from how far the texture is seen")),
            *self.measuring.shows(),
        )  # fmt: skip

    def papers_shown(self) -> tuple:
        """The chosen paper and those beside it."""
        chosen = self.plan.paper
        shown = [chosen, *(each for each in self.plan.papers if each is not chosen)]
        return with_profile(shown)[: self.many.value]

    @property
    def _lamp(self) -> Lamp:
        plan = self.plan
        far = plan.lamp_distance_m
        return Lamp(
            plan.lamp_azimuth_deg,
            plan.lamp_elevation_deg,
            distance_mm=max(1000 * far, 100) if far else None,
            size_mm=10 * plan.lamp_size_cm,
            ambient=plan.even_light,
        )

    def _long_mm(self) -> float:
        """The longer side of the whole picture at the print's scale, also where less is printed."""
        picture = self.plan.picture
        inches = max(picture.width_px, picture.height_px) / self.plan.print_size().ppi
        return inches * MM_PER_INCH

    def _texture_asked(self) -> tuple:
        return self.plan.picture, self.plan.paper, self._lamp, self._long_mm()

    def _say(self, found: Texture) -> None:
        self.texture.say(found.sentence, mark="" if found.share_hidden is None else tr("preview"))

    def _tell(self, words: str) -> None:
        self.lamp.say(words + ".")

    def _show_ruler(self, part: str) -> None:
        self.ruler.show(part == TRUE)

    def _shown_part(self) -> tuple[float, int]:
        """mm of the print that are shown, and on how many screen pixels."""
        width_px = self.fine(ALONE_PX if self.many.value == 1 else WIDTH_PX)
        per_inch = {TRUE: self.ruler.ppi, PIXELS: self.plan.printer_ppi}.get(self.part.value)
        if per_inch is None:
            return self.part.value, width_px
        wide_mm, long_mm = width_px / per_inch * MM_PER_INCH, self._long_mm()
        picture, crop = self.plan.picture, self.plan.print_size().front.box_px
        part = middle_part(picture, long_mm, wide_mm, crop=crop)
        # what is smaller than the view keeps its size
        shown_px = round(shown_mm(picture, part, long_mm) / MM_PER_INCH * per_inch)
        return wide_mm, min(width_px, max(shown_px, 1))

    def _asked(self, live: bool) -> tuple | None:
        if live != self.views[0].live:
            return None
        plan = self.plan
        rendering = plan.rendering.only("intent", "black_point_compensation")
        wide_mm, width_px = self._shown_part()
        blur_mm = eye_blur_mm(self.seen_from.value) if self.seen_from.value else 0.0
        return tuple(
            LitPrint(
                plan.picture, paper, rendering, self._lamp, self._long_mm(),
                plan.print_size().front.box_px, wide_mm, width_px, glass=plan.glass,
                window=_MIRRORED if self.window.value else None, ink_alpha=self.ink.value or None,
                eye_blur_mm=blur_mm, print_ppi=plan.printer_ppi, screen_ppi=plan.screen_ppi,
            )
            for paper in self.papers_shown()
        )  # fmt: skip

    def _lay_out(self, many: int) -> None:
        self.sheets.children = self.columns[: max(many, len(self.sheets.children))]
        for number, column in enumerate(self.columns):
            column.layout.display = "" if number < many else "none"
            # as wide as one another, whatever is said below
            column.layout.flex = "0 1 320px" if many > 1 else ""

    def _show_scenes(self, found: list) -> None:
        self._lay_out(len(found))
        for view, (paper, scene) in zip(self.views, found, strict=False):
            view.show(scene, alt=tr("The print on {name}", name=paper.name))
            view.set_caption("", mark=tr("preview"))

    def _show(self, found: list) -> None:
        self._lay_out(len(found))
        for view, (paper, relit) in zip(self.views, found, strict=False):
            view.show(
                relit.pixels,
                alt=tr(
                    "The print on {name}: {surface}", name=paper.name, surface=surface_words(relit)
                ),
            )
            view.set_caption("", mark=tr("preview"))
        self._caption(found)

    def _caption(self, found: list) -> None:
        for caption, (paper, relit) in zip(self.captions, found, strict=False):
            caption.value = f"<b>{escape(paper.name)}</b><br>{escape(surface_words(relit))}"


def _texture(asked, cancelled, progress) -> Texture:
    picture, paper, lamp, long_mm = asked
    return texture_seen(paper, lamp, picture=picture, long_side_mm=long_mm)


def _scenes(asked) -> list:
    return [(each.paper, each.scene()) for each in asked]


def _relit(asked) -> list:
    return [(each.paper, each.relit()) for each in asked]


def _relit_later(asked, cancelled, progress) -> list:
    return _relit(asked)
