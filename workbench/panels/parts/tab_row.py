"""A row of tabs that say a few figures below their words."""

from __future__ import annotations

from pathlib import Path

import anywidget
import traitlets

_HERE = Path(__file__).parent


class TabRow(anywidget.AnyWidget):
    """Tabs for the keyboard and for screen readers; the owner shows what they open.

    Jupyter's own have one line each and cannot say what is settled behind them.

    ``tabs`` are (name, word, figures, id of the panel's element); ``chosen`` is a name.
    ``on_choice(callback)`` hears every choice of the person, of the chosen one too.
    """

    _esm = (_HERE / "tab_row.js").read_text(encoding="utf-8")

    label = traitlets.Unicode(help="what it is read aloud as").tag(sync=True)
    rank = traitlets.Unicode("pages", help="how it looks: stages or pages").tag(sync=True)
    tabs = traitlets.List(help="(name, word, figures, id of what it opens)").tag(sync=True)
    chosen = traitlets.Unicode().tag(sync=True)

    def __init__(self, front, **options):
        super().__init__(**options)
        self._turn = front.turn
        self._callbacks: list = []
        self.on_msg(self._heard)

    def on_choice(self, callback) -> None:
        """Call callback(name) whenever the person chooses a tab; wrap it in ``guarded``."""
        self._callbacks.append(callback)

    def say(self, figures: dict[str, str]) -> None:
        """Put figures below the words of the tabs, by their names."""
        tabs = [[name, word, figures.get(name, said), to] for name, word, said, to in self.tabs]
        if tabs != self.tabs:
            self.tabs = tabs

    def _heard(self, _, content, buffers) -> None:
        name = content.get("chosen") if isinstance(content, dict) else None
        if name not in [tab[0] for tab in self.tabs]:
            return
        with self._turn:
            for callback in self._callbacks:
                callback(name)
