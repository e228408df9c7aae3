"""Small pieces of HTML with everything from outside escaped."""

from __future__ import annotations

import re
from html import escape

import ipywidgets as widgets

from workbench.language import tr

#: the mark of a count that an exact one will follow
QUICK = tr("quick count")
_UNFINISHED = (tr("preview"), QUICK)
# keeps Jupyter from reading dollar signs in file names as formulas
_NO_MATHS = "tex2jax_ignore mathjax_ignore"
# between a number and its unit, a coordinate and its value, two sides of a size
_TIED = re.compile(
    r"(?<=\d) (?=(?:%|mm|cm|ppi|px|[MG]B|ml|[lL]ux|K|cd/m²|g/m²|[LCab]\*|[×x] ?\d)(?![^\W\d]))"
    r"|(?<=\b[Lab]\*) (?=[\d+−])|(?<=\d ×) (?=\d)"
)


def unbroken(text: str) -> str:
    """The text with no-break spaces where a line must not part what belongs together.

    Examples
    --------
    >>> unbroken("2.6 % lies below L* 5.0").count(chr(160))
    2
    """
    return _TIED.sub("\u00a0", text)


def span(text: str, css: str = "") -> str:
    return f'<span class="{_NO_MATHS} {css}">{escape(str(text))}</span>'


def html(text: str, css: str = "") -> widgets.HTML:
    """A widget with escaped text in a span of the given CSS classes."""
    return widgets.HTML(span(text, css))


def set_html(widget: widgets.HTML, text: str, css: str = "") -> None:
    """Replace the text of a widget made by ``html``."""
    widget.value = span(text, css)


def heading(text: str, level: int = 3) -> widgets.HTML:
    """A heading of level 2 to 4."""
    if level not in (2, 3, 4):
        raise ValueError(f"headings have level 2, 3 or 4, not {level}")
    return widgets.HTML(f'<h{level} class="wb-heading {_NO_MATHS}">{escape(text)}</h{level}>')


class Sentence:
    """A plain sentence or figure in large type, under a small label.

    ``mark`` is a short badge beside the label that says how good the figure is
    ("preview", "whole picture").
    """

    def __init__(self, label: str, text: str = ""):
        self.label = label
        self.widget = widgets.HTML()
        self.widget.add_class("wb-sentence-box")
        self.text = self.mark = ""
        self.say(text)

    def say(self, text: str, mark: str = "", detail: str = "") -> None:
        """Show the sentence, with an optional badge and a quiet second line."""
        self.text, self.mark = str(text), str(mark)
        head = span(self.label, "wb-label")
        if mark:
            head += " " + badge_html(mark)
        tail = f"<div>{span(unbroken(detail), 'wb-muted')}</div>" if detail else ""
        said = span(unbroken(self.text), "wb-sentence")
        self.widget.value = f"<div>{head}</div><div>{said}</div>{tail}"


def badge_html(mark: str) -> str:
    """The HTML of a badge; what is not the last word looks unfinished, everything else settled."""
    kind = "wb-mark wb-mark-open" if mark in _UNFINISHED else "wb-mark"
    return span(mark, kind)
