"""Rows that wrap, columns, and the root every panel and desk hangs from."""

from __future__ import annotations

import ipywidgets as widgets

from workbench.language import LANGUAGE, tr


def _widget(item):
    """The Jupyter widget of a part of ours, or the widget itself."""
    return item if isinstance(item, widgets.Widget) else item.widget


def row(*items) -> widgets.Box:
    """Items side by side, wrapping where the window is narrow."""
    made = widgets.Box([_widget(item) for item in items])
    made.add_class("wb-row")
    return made


def column(*items) -> widgets.Box:
    """Items below one another."""
    made = widgets.Box([_widget(item) for item in items])
    made.add_class("wb-column")
    return made


def wide(item):
    """Let an item of a row take the room that is left; returns its widget."""
    widget = _widget(item)
    widget.add_class("wb-wide")
    return widget


def side(*items) -> widgets.Box:
    """A narrow column beside a picture or a plot: what moves it, and what it says."""
    made = column(*items)
    made.add_class("wb-side")
    return made


def beside(*items) -> widgets.Box:
    """A row of a picture or plot and its `side`; below one another where there is no room."""
    made = row(*items)
    made.add_class("wb-beside")
    return made


class Fold:
    """Items behind a button that opens and closes them; ``opened`` says which.

    (Jupyter's accordion cannot be reached with the keyboard.)
    """

    def __init__(self, title: str, *items, opened: bool = False, front=None):
        self._title = title
        self._front = front
        self.button = widgets.Button(tooltip=tr("Show or hide what belongs to this title"))
        self.button.add_class("wb-fold-title")
        self.inside = column(*items)
        self.inside.add_class("wb-fold-inside")
        self.widget = column(self.button, self.inside)
        self.widget.add_class("wb-fold")
        self.opened = opened
        self.button.on_click(lambda _: setattr(self, "opened", not self.opened))

    def on_change(self, callback) -> None:
        """Call callback(opened) whenever the person opens or closes it."""
        self.button.on_click(lambda _: callback(self.opened))

    @property
    def opened(self) -> bool:
        return self.inside.layout.display != "none"

    @property
    def title(self) -> str:
        return self._title

    @title.setter
    def title(self, title: str) -> None:
        self._title = title
        self.opened = self.opened

    @opened.setter
    def opened(self, opened: bool) -> None:
        self.inside.layout.display = "" if opened else "none"
        self.button.description = f"{'▾' if opened else '▸'} {self._title}"
        if self._front is not None:
            self._front.tag(self.button, aria_expanded=str(bool(opened)).lower())


def fold(title: str, *items, opened: bool = False, front=None) -> Fold:
    """Items behind a title that opens and closes; give ``front`` so that it is read aloud."""
    return Fold(title, *items, opened=opened, front=front)


def root(front, *items) -> widgets.Box:
    """The outermost box of a desk or a lone panel, with its ``Front``.

    Inside it the notebook's one-key shortcuts are silent, so that arrow keys
    move sliders and not cells.
    """
    made = column(*items, front)
    made.add_class("wb-root")
    # read aloud in it, and browsers write the numbers in fields as it does
    front.tag(made, lang=LANGUAGE)
    return made
