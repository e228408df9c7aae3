"""A live figure on the page, with its main figures in words."""

from __future__ import annotations

import ipywidgets as widgets

from workbench.panels.parts.plot_image import PlotImage

NARROWEST_PX = 300


class PlotView:
    """Shows a ``LiveFigure``; the alternative text states the main figures.

    ``widget`` is what to lay out, ``figure`` the LiveFigure, ``alt`` the words.
    Where the page leaves less room than the figure was made for, the figure is
    drawn narrower instead of shrunk, so its type stays legible.
    """

    def __init__(self, front, figure, alt: str):
        self.figure = figure
        self._front = front
        self._lock = front.turn
        self._widest_px = figure.size_px[0]
        self.alt = ""
        self.image = PlotImage(front)
        self.widget = widgets.Box([self.image])
        self.widget.add_class("wb-plot-view")
        self.widget.plot_view = self  # for whoever goes through what is on the page
        self.widget.layout.width = f"{self._widest_px}px"
        self.set_alt(alt)
        self._fit_screen()
        front.observe(self._screen_changed, ["pixel_ratio", "dark_theme"])
        front.listen(self.widget, "width", self._room_changed)

    def show(self, result=None, alt: str | None = None) -> None:
        """Bring the figure up to date with a result and show it.

        Without a result the figure is shown as it stands.  Safe from any thread.
        """
        with self._lock:  # one at a time, so that an older plot never lands on a newer
            with self.figure.lock:
                if result is not None:
                    self.figure.update(result)
                self.image.show(self.figure.rgba(), self.figure.size_px)
            if alt is not None:
                self.set_alt(alt)

    def set_alt(self, text: str) -> None:
        """Say in words what the plot shows."""
        with self._lock:
            if text != self.alt:
                self.alt = text
                self._front.tag(self.image, alt=text)

    def _fit_screen(self) -> None:
        self.figure.set_scale(min(max(self._front.pixel_ratio, 1.0), 3.0))
        self.figure.set_dark(self._front.dark_theme)

    def _screen_changed(self, _) -> None:
        with self._lock:
            self._fit_screen()
            if self.image.shown:
                self.show()

    def _room_changed(self, content: dict) -> None:
        width = int(content.get("width", 0))
        if width <= 0:  # hidden: nothing to fit
            return
        with self._lock:
            changed = self.figure.set_size(min(max(width, NARROWEST_PX), self._widest_px))
            if changed and self.image.shown:
                self.show()
