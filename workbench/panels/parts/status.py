"""The line that tells a person how things stand, read aloud by screen readers."""

from __future__ import annotations

from html import escape

import ipywidgets as widgets

from workbench.panels.parts.sentences import set_html, span

_EMPTY, _WORKING = "wb-status-empty", "wb-status-work"


class StatusLine:
    """One line: a remark, a problem, or work in progress.

    ``kind`` is "", "remark", "problem" or "work"; ``text`` is what it says.
    Everything shown is escaped.  Safe to call from any thread.
    """

    def __init__(self, front):
        self._lock = front.turn
        self._source = None
        self.kind = self.text = ""
        # The bar is a widget of its own: within the role=status element every
        # step of it would be read aloud.
        self._line = widgets.HTML()
        self._bar = widgets.HTML()
        self._bar.layout.display = "none"
        front.tag(self._line, role="status", aria_live="polite")
        self.widget = widgets.Box([self._line, self._bar])
        self.widget.add_class("wb-status")
        # takes no room until there is something to say; it stays on the page, as a line that
        # is put there with its words is not read aloud
        self.widget.add_class(_EMPTY)

    def say(self, text: str) -> None:
        """A remark."""
        self._show("remark", text, "wb-muted")

    def problem(self, text: str, source=None) -> None:
        """A problem, in words that say what to do.

        ``source`` (any object) lets ``solved(source)`` take it away again.
        """
        self._show("problem", text, "wb-problem", source)

    def working(self, text: str, fraction: float | None = None) -> None:
        """Work under way; ``fraction`` from 0 to 1, or None when unknown."""
        with self._lock:
            if (self.kind, self.text) != ("work", text):
                self._show("work", text, "wb-muted")
            if fraction is None:
                self._bar.layout.display = "none"
                return
            percent = round(100 * min(max(float(fraction), 0.0), 1.0))
            self._bar.value = (
                f'<div class="wb-bar" role="progressbar" aria-label="{escape(text)}" '
                f'aria-valuemin="0" aria-valuemax="100" aria-valuenow="{percent}">'
                f'<div style="width:{percent}%"></div></div>{span(f"{percent} %", "wb-muted")}'
            )
            self._bar.layout.display = ""

    def solved(self, source) -> None:
        """Clear the line if it shows a problem of this source."""
        with self._lock:
            if self.kind == "problem" and self._source is not None and self._source == source:
                self.clear()

    def finished(self, source) -> None:
        """Clear the line if it shows work, or a problem of this source."""
        with self._lock:
            if self.kind == "work":
                self.clear()
            self.solved(source)

    def clear(self) -> None:
        """Say nothing."""
        self._show("", "", "")

    def _show(self, kind: str, text: str, css: str, source=None) -> None:
        with self._lock:
            self.kind, self.text, self._source = kind, str(text), source
            set_html(self._line, self.text, css)
            self._bar.layout.display = "none"
            for name, applies in ((_EMPTY, not kind), (_WORKING, kind == "work")):
                (self.widget.add_class if applies else self.widget.remove_class)(name)
