"""A picture on the page: quick while it moves, lossless when it rests."""

from __future__ import annotations

import ipywidgets as widgets
import numpy as np

from workbench.panels.parts.encode import jpeg, png
from workbench.panels.parts.scheduler import FINER
from workbench.panels.parts.sentences import badge_html, span, unbroken

SETTLE_S = 0.25


class PictureView:
    """Shows an (h, w, 3) uint8 array on the neutral surround.

    The values are sRGB, or of the display space whose profile is given as
    ``profile`` (ICC bytes): it is then embedded and the browser manages it.

    ``widget`` is what to lay out.  ``settled`` says whether the lossless version
    is shown.  One picture pixel takes one device pixel, never more, so what is
    seen is exact unless the window is too narrow for it.
    """

    def __init__(self, front, alt: str = "", caption: str = "", profile: bytes | None = None):
        self._front = front
        self._lock = front.turn
        self._settler = front.scheduler.on(FINER, SETTLE_S)
        self._turn = 0  # number of the latest show()
        self._shown_turn = 0
        self._size = None
        self.profile = profile
        self.settled = False
        self.image = widgets.Image(value=b"", format="jpeg")
        self.image.add_class("wb-picture")
        self.alt = ""
        self.set_alt(alt)
        self.surround = widgets.Box([self.image])
        self.surround.add_class("wb-surround")
        self.surround.layout.display = "none"  # until there is something to surround
        self._caption = widgets.HTML()
        self.set_caption(caption)
        self.widget = widgets.Box([self.surround, self._caption])
        self.widget.add_class("wb-picture-view")
        front.observe(self._ratio_changed, "pixel_ratio")

    def show(self, array: np.ndarray, settled: bool = False, alt: str | None = None) -> None:
        """Show an array; lossless at once if ``settled``, else when it rests.

        The array must not be changed afterwards.  Raises ValueError for other
        shapes or types.  May be called from any thread: the latest call wins.
        """
        array = np.asarray(array)
        if array.ndim != 3 or array.shape[2] != 3 or array.dtype != np.uint8 or not array.size:
            raise ValueError(
                f"a picture of shape (h, w, 3) and type uint8 is needed, not {array.shape} "
                f"{array.dtype}"
            )
        profile = self.profile
        with self._lock:
            self._turn += 1
            turn = self._turn
        if settled:
            self._settler.cancel(self)
            self._put(turn, png(array, profile), "png", array.shape)
        else:
            # first, so that no older lossless picture can arrive afterwards
            self._settler.submit(
                self,
                lambda cancelled, progress: png(array, profile),
                lambda data: self._put(turn, data, "png", array.shape),
            )
            self._put(turn, jpeg(array, profile), "jpeg", array.shape)
        if alt is not None:
            self.set_alt(alt)

    def leave(self) -> None:
        """Something else is shown in its place: pack nothing more."""
        with self._lock:
            self._turn += 1
            self._settler.cancel(self)

    def set_alt(self, text: str) -> None:
        """Say in words what the picture shows, for those who cannot see it."""
        if text != self.alt or not text:
            self.alt = text
            self._front.tag(self.image, alt=text)

    def set_caption(self, text: str, mark: str = "") -> None:
        """A line under the picture, with an optional badge ("preview")."""
        parts = ([badge_html(mark)] if mark else []) + (
            [span(unbroken(text), "wb-muted")] if text else []
        )
        self._caption.value = " ".join(parts)
        self._caption.layout.display = "" if parts else "none"

    def wait_until_settled(self, timeout: float = 5) -> bool:
        """For tests: wait for the lossless picture; False if it took longer."""
        return self._settler.wait_until_idle(timeout) and self.settled

    def _put(self, turn: int, data: bytes, form: str, shape) -> None:
        with self._lock:
            stale = turn < self._turn or (turn == self._shown_turn and form == "jpeg")
            if stale:
                return
            self._shown_turn = turn
            self._size = (shape[1], shape[0])
            self.settled = form == "png"
            with self.image.hold_sync():
                self.image.format = form
                self.image.value = data
                self._set_width()
            self.surround.layout.display = ""

    def _set_width(self) -> None:
        if self._size is not None:
            ratio = max(self._front.pixel_ratio, 0.25)
            width, height = (size / ratio for size in self._size)
            # both attributes give the page the shape before the pixels arrive
            self.image.width, self.image.height = f"{width:g}", f"{height:g}"

    def _ratio_changed(self, _) -> None:
        with self._lock:
            self._set_width()
