"""A picture that the page itself works out, with WebGL 2; without it, the picture of `picture_view`.

Picture and tables go to the page once; what moves (eye, threshold, divider, zoom) are
uniforms, which sliders of the page and hands on the picture set without asking Python.
"""

from __future__ import annotations

import logging
from pathlib import Path

import anywidget
import ipywidgets as widgets
import numpy as np
import traitlets

from workbench.analysis.colour_at import colour_at
from workbench.live.lit import LitRelief
from workbench.live.module import module_source
from workbench.live.tables import LiveScene
from workbench.panels.parts.counting import BEFORE
from workbench.panels.parts.picture_view import PictureView
from workbench.panels.parts.scheduler import FINER
from workbench.panels.parts.sentences import set_html
from workbench.panels.view import View

log = logging.getLogger("workbench")
_TABLES = ("own", "print", "beyond", "curves", "display")


def _part(array: np.ndarray | None, **more) -> dict:
    """An array as it goes to the page; empty for none."""
    if array is None:
        return {}
    kind = "float32" if array.dtype == np.float32 else "uint16"
    data = np.ascontiguousarray(array, kind).tobytes()
    return {"data": data, "kind": kind, "channels": array.shape[-1], **more}


class _OnPage(anywidget.AnyWidget):
    """What the page holds of a live view."""

    _esm = module_source((Path(__file__).parent / "live_view.js").read_text(encoding="utf-8"))

    webgl = traitlets.Bool(None, allow_none=True, help="whether the page can; None: unknown").tag(
        sync=True
    )
    picture = traitlets.Dict().tag(sync=True)
    tile = traitlets.Dict().tag(sync=True)
    relief = traitlets.Dict(help="of the sheet, under a lamp").tag(sync=True)
    table_own = traitlets.Dict().tag(sync=True)
    table_print = traitlets.Dict().tag(sync=True)
    table_beyond = traitlets.Dict().tag(sync=True)
    table_curves = traitlets.Dict().tag(sync=True)
    table_display = traitlets.Dict().tag(sync=True)
    uniforms = traitlets.Dict().tag(sync=True)
    links = traitlets.List(help="[uniform, model id of a slider, its values to one]").tag(sync=True)


def _place_words(request: tuple) -> str:
    picture, paper, x, y, intent, compensate, threshold, adjusted = request
    said = colour_at(
        picture, paper, x, y, intent=intent, black_point_compensation=compensate,
        threshold=threshold,
    ).sentence  # fmt: skip
    return f"{said} {BEFORE}" if adjusted else said


class LiveView:
    """Shows a `LiveScene`, or an array as `PictureView` does; ``widget`` is what to lay out.

    ``live`` says whether the page draws by itself.  Ask for a scene only then; until the page
    has said so, and where it cannot, give arrays.

    Parameters
    ----------
    front : of the desk or panel.
    alt, caption : as for `PictureView`.
    changed : called when ``live`` becomes another, or a place of the picture is chosen, so that
        what is shown is asked for anew.
    plan : takes the screen's resolution when it is measured on the page.
    """

    def __init__(self, front, alt: str = "", caption: str = "", changed=None, plan=None):
        self._front = front
        self._changed = changed
        self._sent: dict = {}  # arrays that the page has, by name
        self._scene: LiveScene | None = None
        self._relief: LitRelief | None = None  # at the scene's own scale
        self._place: tuple | None = None  # picture, x, y of the last click
        self._hands: dict = {"pick": self._picked}
        if plan is not None:
            self._hands["screen_ppi"] = lambda ppi: setattr(plan, "screen_ppi", ppi)
        self._tiles = front.scheduler.on(FINER, rest_s=0)
        self._lost = False
        self.flat = PictureView(front, alt, caption)
        self.page = _OnPage()
        self.page.layout.display = "none"
        self.page.on_msg(self._heard)
        self.page.observe(self._answered, "webgl")
        self.flat.surround.children = [*self.flat.surround.children, self.page]
        self.told = widgets.HTML()
        self.told.layout.display = "none"
        front.tag(self.told, role="status")
        self.flat.widget.children = [*self.flat.widget.children, self.told]
        self.widget = self.flat.widget
        front.observe(self._link_all, "links")
        self._own_links: list = []
        self._link_all()

    @property
    def live(self) -> bool:
        """Whether the page draws by itself."""
        return bool(self.page.webgl) and not self._lost

    def show(self, what, settled: bool = False, alt: str | None = None) -> None:
        """Show a `LiveScene`, or an (h, w, 3) uint8 array as `PictureView.show` does."""
        if isinstance(what, LiveScene):
            self._show_scene(what, alt)
            return
        with self._front.turn:
            self.page.layout.display = "none"
            self.flat.image.layout.display = ""
        self.flat.show(what, settled=settled, alt=alt)

    def _show_scene(self, scene: LiveScene, alt: str | None) -> None:
        with self._front.turn, self.page.hold_sync():
            self.flat.leave()
            if alt is not None:
                self.flat.alt = alt
            self._scene = scene
            for name in _TABLES:
                self._send(f"table_{name}", scene.tables.get(name))
            height, width = scene.pixels.shape[:2]
            self._send("picture", scene.pixels, width=width, height=height)
            if scene.relief is not None:
                relief = scene.relief(scene.uniforms["widthMm"] / width)
                if relief is not self._relief:  # else the page may have it finer
                    self._relief = relief
                    self._send_relief(relief)
            self.page.uniforms = {**scene.uniforms, "label": self.flat.alt, "mark": self._mark()}
            self.page.layout.display = ""
            self.flat.image.layout.display = "none"
            self.flat.surround.layout.display = ""

    def _send(self, name: str, array, **more) -> None:
        if name not in self._sent or self._sent[name] is not array:
            setattr(self.page, name, _part(array, **more))
            self._sent[name] = array

    def _send_relief(self, relief: LitRelief) -> None:
        height, width = relief.codes.shape[:2]
        self._send("relief", relief.codes, width=width, height=height, **relief.facts())

    # hands on the page ------------------------------------------------------

    def link(self, uniform: str, slider: widgets.Widget, per: float = 1) -> None:
        """Let a slider of the page and a uniform move each other, ``per`` of its values to one.

        A hand on the picture then moves the slider, from which all else hears of it.
        """
        self._own_links.append([uniform, slider.model_id, per])
        self._link_all()

    def _link_all(self, change=None) -> None:
        known = [list(link) for link in self._front.links]
        self.page.links = [*known, *self._own_links]

    def _heard(self, _, content, buffers) -> None:
        try:
            with self._front.turn:
                self._act(dict(content))
        except Exception:
            log.exception("the live view could not do what the page asked for")

    def _act(self, told: dict) -> None:
        event = told.pop("event", "")
        if event == "tile":
            self._tile(told)
        elif event == "relief":
            self._finer_relief(float(told["pixel_mm"]))
        elif event == "state":
            self._lost = told["state"] == "lost"
            self._answered(None)
        elif event in self._hands:
            self._hands[event](**{name: float(value) for name, value in told.items()})

    def _answered(self, change) -> None:
        if self._changed is not None:
            self._changed(change)

    def _tile(self, wish: dict) -> None:
        scene = self._scene
        if scene is None or scene.part is None:
            return
        box = tuple(float(each) for each in wish["box"])
        size = int(wish["width"]), int(wish["height"])

        def put(found) -> None:
            if self._scene is not None and self._scene.pixels is scene.pixels:
                pixels, box = found
                height, width = pixels.shape[:2]
                self.page.tile = _part(pixels, width=width, height=height, box=list(box))

        self._tiles.submit(
            self,
            lambda cancelled, progress: scene.part(box, size),
            put,
        )

    def _finer_relief(self, pixel_mm: float) -> None:
        scene, own = self._scene, self._relief
        if scene is None or scene.relief is None:
            return

        def put(relief) -> None:
            if self._relief is own:  # a lamp may have moved meanwhile
                self._send_relief(relief)

        self._tiles.submit(
            (self, "relief"), lambda cancelled, progress: scene.relief(pixel_mm), put
        )

    # a place of the picture ---------------------------------------------------

    def _picked(self, x: float, y: float) -> None:
        self._place = None, x, y
        self._front.pointed = x, y  # for panels that stand at a place, or show its colour
        self.page.uniforms = {**self.page.uniforms, "mark": self._mark()}
        self._answered(None)

    def _mark(self) -> list[float] | None:
        return None if self._place is None else list(self._place[1:])

    def place_told(self, plan) -> View:
        """The view that tells of the place clicked last: its colour, and what becomes of it."""

        def request():
            if self._place is None or None in (plan.picture, plan.paper):
                return None
            if self._place[0] is None:  # the click is of the picture that was there
                self._place = plan.picture, *self._place[1:]
            if self._place[0] is not plan.picture:
                self._place = None
                return None
            way = tuple(plan.rendering.way.values())
            adjusted = bool(plan.adjustments)
            return plan.picture, plan.paper, *self._place[1:], *way, plan.threshold, adjusted

        return View("place", request, _place_words, self._tell, forget=self._untell)

    def _untell(self) -> None:
        self._tell("")
        if self.page.uniforms.get("mark") is not None:
            self.page.uniforms = {**self.page.uniforms, "mark": None}

    def _tell(self, words: str) -> None:
        set_html(self.told, words, "wb-muted")
        self.told.layout.display = "" if words else "none"

    # as PictureView -----------------------------------------------------------

    @property
    def image(self) -> widgets.Image:
        return self.flat.image

    @property
    def alt(self) -> str:
        return self.flat.alt

    @property
    def profile(self) -> bytes | None:
        return self.flat.profile

    @profile.setter
    def profile(self, profile: bytes | None) -> None:
        self.flat.profile = profile

    def set_alt(self, text: str) -> None:
        self.flat.set_alt(text)

    def set_caption(self, text: str, mark: str = "") -> None:
        self.flat.set_caption(text, mark)
