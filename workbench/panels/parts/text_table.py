"""A list in aligned columns below its head: one line is chosen, by mouse or arrow keys."""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass
from html import escape

import ipywidgets as widgets

from workbench.panels import parts

# lists collapse plain spaces
_SPACE = "\u00a0"
# of the list's letters, and what its frame and its scroll bar take
_LETTER_PX, _AROUND_PX = 7.85, 26


@dataclass(frozen=True)
class Column:
    """A column of a `TextTable`.

    Attributes
    ----------
    head : its title.
    width : in letters; its title has room in any language.
    right : whether it is flush right.
    least : how narrow it may become where there is little room; it also takes up room
        that is left, up to ``most``.
    rank : columns of the highest rank are left out first where there is too little room;
        those of rank 0 never.
    """

    head: str
    width: int
    right: bool = False
    least: int | None = None
    most: int = 40
    rank: int = 0

    def __post_init__(self):
        object.__setattr__(self, "width", max(self.width, len(self.head)))


def fitting(columns, letters: int) -> tuple[tuple[int, int], ...]:
    """Which columns fit into a line of so many letters, as (index, width)."""
    shown = list(range(len(columns)))
    while True:
        least = [columns[i].least or columns[i].width for i in shown]
        spare = letters - sum(least) - (len(shown) - 1)
        losable = max(shown, key=lambda i: columns[i].rank)
        if spare >= 0 or columns[losable].rank == 0:
            break
        shown.remove(losable)
    widths = []
    for i, width in zip(shown, least, strict=True):
        more = min(max(spare, 0), columns[i].most - width) if columns[i].least else 0
        spare -= more
        widths.append((i, width + more))
    return tuple(widths)


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
        self._fitted = tuple((i, column.width) for i, column in enumerate(self._columns))
        self._rows: list = []
        self._on_choose = on_choose
        self._filling = False
        self._lock = front.turn
        self.list = widgets.Select(options=[], rows=rows)
        self.list.add_class("wb-files-list")
        self.list.layout.width = "100%"
        heads = ", ".join(column.head for column in self._columns if column.head)
        front.tag(self.list, aria_label=f"{name}: {heads}")
        self.list.observe(self._chosen, "index")
        self.head = widgets.HTML()
        self.widget = parts.column(self.head, self.list)
        self.widget.layout.grid_gap = "2px"
        self.widget.layout.width = "100%"
        front.listen(self.widget, "width", lambda content: self.fit(content.get("width", 0)))
        self._show_head()

    def fit(self, width_px: float) -> None:
        """Use so many CSS pixels of the page; what does not fit is left out."""
        if width_px <= 0:
            return
        fitted = fitting(self._columns, int((width_px - _AROUND_PX) / _LETTER_PX))
        with self._lock:
            if fitted == self._fitted:
                return
            self._fitted = fitted
            self._show_head()
            self.show(self._rows, self.list.index)

    def _show_head(self) -> None:
        line = escape(self._line([column.head for column in self._columns]))
        self.head.value = (
            '<div class="wb-muted" style="white-space: pre; overflow: hidden; padding-left: 4px; '
            f'font: 13px var(--jp-code-font-family, monospace)">{line}</div>'
        )

    def _line(self, cells) -> str:
        texts = (_set(str(cells[i]), width, self._columns[i].right) for i, width in self._fitted)
        return _SPACE.join(texts).rstrip(_SPACE)

    def show(self, rows, chosen: int | None) -> None:
        """Show these rows (each a sequence of texts), with one chosen or none."""
        with self._lock:
            self._rows = list(rows)
            options = [(self._line(row), n) for n, row in enumerate(self._rows)]
            self._filling = True  # new options choose the first by themselves
            try:
                if options != list(self.list.options):
                    self.list.options = options
                if self.list.index != chosen:
                    self.list.index = chosen
            finally:
                self._filling = False

    def _chosen(self, change) -> None:
        with self._lock:
            index = change["new"]
            if not self._filling and index is not None and index < len(self.list.options):
                self._on_choose(index)


def _set(text: str, width: int, right: bool) -> str:
    if _width(text) > width:
        while text and _width(text) > width - 1:
            text = text[:-1]
        text += "…"
    blank = _SPACE * (width - _width(text))
    text = text.replace(" ", _SPACE)
    return blank + text if right else text + blank


def _width(text: str) -> int:
    """Places that a text takes in fixed-width letters; East Asian ones take two."""
    return sum(
        0 if unicodedata.combining(letter) else 1 + (unicodedata.east_asian_width(letter) in "WF")
        for letter in text
    )
