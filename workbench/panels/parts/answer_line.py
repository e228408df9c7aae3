"""An answer in one line, which opens to the whole sentence and the way to its reason."""

from __future__ import annotations

import ipywidgets as widgets

from workbench.analysis.words import begin_large
from workbench.language import tr
from workbench.panels.parts.controls import button
from workbench.panels.parts.layout import column, row
from workbench.panels.parts.sentences import QUICK, badge_html, html, span, unbroken


class AnswerLine:
    """A `Sentence` for where there is room for one line.

    The line holds it as short as was given, and is cut to the room there is; a click or Enter
    opens it to the whole.  ``why`` is called by
    the button that leads to the reason.
    """

    def __init__(self, front, label: str, why, why_title: str):
        self.label = label
        self.text = self.mark = self.detail = self.short = ""
        self._front = front
        self.line = widgets.Button()
        self.line.add_class("wb-answer-line")
        self.line.on_click(lambda _: setattr(self, "opened", not self.opened))
        self._quick = widgets.HTML()
        self._more = widgets.HTML()
        self.why = button(
            front, why_title, why, help=tr("Go to where “{label}” is explained", label=label)
        )
        self._inside = row(self._more, self.why)
        self._inside.add_class("wb-answer-inside")
        head = widgets.Box([html(label, "wb-label"), self.line, self._quick])
        head.add_class("wb-answer-head")
        self.widget = column(head, self._inside)
        self.widget.add_class("wb-answer")
        self.widget.add_class("wb-sentence-box")
        front.tag(self.widget, role="group")
        self.opened = False

    def say(self, text: str, mark: str = "", detail: str = "", short: str = "") -> None:
        """Show the sentence; the mark and the second line stand in what opens."""
        self.text, self.mark, self.detail = str(text), str(mark), detail
        self.short = begin_large(short)
        self._show()

    @property
    def opened(self) -> bool:
        return self._inside.layout.display != "none"

    @opened.setter
    def opened(self, opened: bool) -> None:
        self._inside.layout.display = "" if opened else "none"
        (self.widget.add_class if opened else self.widget.remove_class)("wb-answer-open")
        self._front.tag(self.line, aria_expanded=str(bool(opened)).lower())
        self._show()

    def _show(self) -> None:
        self.line.description = unbroken(self.text if self.opened else self.short or self.text)
        # a count that is not the last word is marked without opening, too
        self._quick.value = span(tr("quick"), "wb-mark wb-mark-open") if self.mark == QUICK else ""
        said = [badge_html(self.mark)] if self.mark else []
        said += [html(self.detail, "wb-muted").value] if self.detail else []
        self._more.value = " ".join(said) if self.opened else ""
