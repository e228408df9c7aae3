"""A list in aligned columns below its head: one line is chosen, by mouse or arrow keys."""

from __future__ import annotations

import threading
import unicodedata
from dataclasses import dataclass
from html import escape

import ipywidgets as widgets

from workbench.panels import parts

# lists collapse plain spaces
_SPACE = "\u00a0"


@dataclass(frozen=True)
class Column:
    """A column's head, its width in letters, and whether it is flush right."""

    head: str
    width: int
    right: bool = False


class TextTable:
    """Rows of texts in a list of fixed-width letters.

    Arrow keys move the choice, as in every list; ``on_choose(index)`` is called when the
    person chooses another row, never when ``show`` does.

    Parameters
    ----------
    name : what the rows are, for people who do not see them.
    """

    def __init__(self, front, name: str, columns, on_choose, *, rows: int = 8):
        self._columns = tuple(columns)
        self._on_choose = on_choose
        self._filling = False
        self._lock = threading.RLock()
        self.list = widgets.Select(options=[], rows=rows)
        self.list.add_class("wb-files-list")
        self.list.layout.width = "100%"
        heads = ", ".join(column.head for column in self._columns if column.head)
        front.tag(self.list, aria_label=f"{name}: {heads}")
        self.list.observe(self._chosen, "index")
        head = widgets.HTML(
            '<div class="wb-muted" style="white-space: pre; overflow: hidden; padding-left: 4px; '
            f'font: 13px var(--jp-code-font-family, monospace)">{escape(self.line_of_heads())}</div>'
        )
        self.widget = parts.column(head, self.list)
        self.widget.layout.grid_gap = "2px"
        self.widget.layout.width = "100%"

    def line_of_heads(self) -> str:
        """The heads, aligned as the rows are."""
        return _line((column.head for column in self._columns), self._columns)

    def show(self, rows, chosen: int | None) -> None:
        """Show these rows (each a sequence of texts), with one chosen or none."""
        options = [(_line(row, self._columns), n) for n, row in enumerate(rows)]
        with self._lock:
            self._filling = True  # new options choose the first by themselves
            try:
                if [label for label, _ in options] != [label for label, _ in self.list.options]:
                    self.list.options = options
                if self.list.index != chosen:
                    self.list.index = chosen
            finally:
                self._filling = False

    def _chosen(self, change) -> None:
        with self._lock:
            index = change["new"]
            if self._filling or index is None or index >= len(self.list.options):
                return
        self._on_choose(index)


def _line(cells, columns) -> str:
    return _SPACE.join(
        _fitted(str(cell), column) for cell, column in zip(cells, columns, strict=True)
    ).rstrip(_SPACE)


def _fitted(text: str, column: Column) -> str:
    if _width(text) > column.width:
        while text and _width(text) > column.width - 1:
            text = text[:-1]
        text += "…"
    blank = _SPACE * (column.width - _width(text))
    text = text.replace(" ", _SPACE)
    return blank + text if column.right else text + blank


def _width(text: str) -> int:
    """Places that a text takes in fixed-width letters; East Asian ones take two."""
    return sum(
        0 if unicodedata.combining(letter) else 1 + (unicodedata.east_asian_width(letter) in "WF")
        for letter in text
    )
