"""The one small front end of our own: names, alternative texts, what the screen is.

Jupyter's sliders have no accessible names and its images no alternative texts.
``Front`` mends that: widgets are tagged with a CSS class of their own, and a
table from class to attributes is kept in step with the page.  It also brings
our style sheet, and tells Python the screen's pixel ratio, how large the window is,
and whether the page is dark.
"""

from __future__ import annotations

import itertools
import logging
import secrets
from pathlib import Path

import anywidget
import traitlets

from workbench.panels.parts.counting import Counting
from workbench.panels.parts.queue import lengthen_queue
from workbench.panels.parts.scheduler import FINER, Scheduler

log = logging.getLogger("workbench")
_HERE = Path(__file__).parent
# several notebooks may share one page, so the kernel's own token goes in
_names = (f"wb-id-{secrets.token_hex(3)}-{n}" for n in itertools.count(1))

# Alternative texts change with every move of a slider; they are sent when it rests.
_REST_S = 0.25


class Front(anywidget.AnyWidget):
    """Put one of these into every desk, or into a panel that stands alone.

    It shows nothing, but must be among the displayed children to work.
    """

    _esm = (_HERE / "front.js").read_text(encoding="utf-8")
    _css = (_HERE / "style.css").read_text(encoding="utf-8")

    marks = traitlets.Dict(help="class -> attributes to keep on that element").tag(sync=True)
    pixel_ratio = traitlets.Float(1.0, help="device pixels per CSS pixel").tag(sync=True)
    window_px = traitlets.List([1440, 900], help="the window's width and height, CSS").tag(
        sync=True
    )
    dark_theme = traitlets.Bool(False).tag(sync=True)
    pointed = traitlets.Any(
        None, help="place of the picture clicked last, shares (x, y); not synced"
    )
    ready = traitlets.Bool(False, help="the page has answered").tag(sync=True)
    links = traitlets.Tuple(help="(decision, model id of its slider, its values to one)")

    def __init__(self, **options):
        lengthen_queue()
        self.scheduler = Scheduler()
        self.turn = self.scheduler.turn
        self._later = self.scheduler.on(FINER, _REST_S)
        self._listeners: dict = {}
        self._kept: dict = {}  # what ``marks`` is or will be
        self._unsent: dict = {}  # what of it the page has not
        super().__init__(**options)
        self.on_msg(self._heard)
        self.counting = Counting(self)

    def tag(self, widget, **attributes) -> str:
        """Keep attributes on a widget's element, wherever it is shown.

        Names with underscores become HTML's: ``aria_label="Print width in mm"``,
        ``alt=…``, ``role="status"``, ``title=…``.  ``aria_label`` and ``title``
        go to the control inside (the slider's handle, the input field), ``alt``
        to the image (or as label to the canvas), all others to the widget itself, as do
        those of a tab's panel, a group or a search.  Calling again adds or
        replaces; None removes.  Returns the class that tags the widget.
        """
        with self.turn:
            name = self._class_of(widget)
            mark = dict(self._kept.get(name, {}))
            reworded = "alt" in mark and set(attributes) == {"alt"}
            for key, value in attributes.items():
                mark[key.replace("_", "-")] = value
            if mark == self._kept.get(name):
                return name
            self._kept = {**self._kept, name: mark}
            self._unsent[name] = mark
        if self.ready and reworded:
            self._later.submit(
                "marks", lambda cancelled, progress: None, lambda _: self._send_marks()
            )
        else:
            self._send_marks()
        return name

    def knows(self, decision: str, slider, per: float = 1) -> None:
        """Tell live views of a decision's slider, whose values are ``per`` to one of its own."""
        self.links = (*self.links, (decision, slider.model_id, per))

    def fine(self, css_px: float) -> int:
        """Screen pixels of a length in CSS pixels, on screens up to three times as fine."""
        return max(1, round(css_px * min(max(self.pixel_ratio, 1.0), 3.0)))

    def focus(self, widget) -> None:
        """Take the person to a control: into view, and with the keyboard, once it is there."""
        self.send({"focus": self._class_of(widget)})

    def attributes(self, widget) -> dict:
        """What ``tag`` has been told of a widget (a copy)."""
        with self.turn:
            return dict(self._kept.get(self._class_of(widget), {}))

    def listen(self, widget, event: str, callback, **settings) -> None:
        """Hear of things Jupyter's own widgets do not tell.

        event "open": double click or Enter on a list; "enter": Enter in a text
        field, with its text; "press": a click on a button, with the text of the field
        given as ``field=front.tag(field)`` (Jupyter's own click may overtake what was
        typed just before, and is not sent then); "files": a button that lets the person choose a file
        (``accept=".icc,.icm"``), "drop": files dragged onto the widget, both sent as
        `UploadButton` takes them; "width": the widget's
        width on the page in CSS pixels, when it changes.  The callback gets a dict,
        and for files the bytes as ``content["data"]``; wrap it in ``guarded``.
        """
        name = self._class_of(widget)
        with self.turn:
            self._listeners[(name, event)] = callback
        self.tag(widget, **{f"on-{event}": settings or True})

    def _class_of(self, widget) -> str:
        with self.turn:
            for name in getattr(widget, "_dom_classes", ()):
                if name.startswith("wb-id-"):
                    return name
            name = next(_names)
            widget.add_class(name)
            return name

    def _send_marks(self) -> None:
        with self.turn:
            self.marks = self._kept
            if self.ready and self._unsent:
                self.send({"marks": self._unsent})
            self._unsent = {}

    def notify_change(self, change) -> None:
        """Leave the whole table, of some 100 kB, to pages that come later: others get what is new."""
        if change["name"] == "marks" and self.ready:
            traitlets.HasTraits.notify_change(self, change)
        else:
            super().notify_change(change)

    def _heard(self, _, content, buffers) -> None:
        if not isinstance(content, dict):
            return
        callback = self._listeners.get((content.get("class"), content.get("event")))
        if callback is None:
            return
        content = dict(content)
        if buffers:
            content["data"] = bytes(buffers[0])
        try:
            with self.turn:
                callback(content)
        except Exception:
            log.exception("a callback of the page failed")
