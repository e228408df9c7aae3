"""The desk's panels, each made when it is first asked for."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from workbench.language import tr
from workbench.panels import parts
from workbench.panels.registry import PANELS


class LazyPanels(Mapping):
    """The desk's panels by their words; each is made when it is first asked for.

    A page with all of them takes seconds longer to appear.  ``places`` are the boxes
    that they come to stand in, ``around`` makes what stands there above and below them.
    """

    def __init__(self, *together):
        self._together = together
        self.made: dict = {}
        self.places = {
            name: parts.column(parts.html(tr("Opening …"), "wb-muted")) for name in PANELS
        }
        self.around: dict[str, Callable[[], tuple]] = {}

    def __getitem__(self, name: str):
        if name not in self.made:
            self.made[name] = PANELS[name].load()(*self._together)
            above, below = self.around.get(name, lambda: (None, None))()
            stack = [above, self.made[name].body, below]
            self.places[name].children = [each for each in stack if each is not None]
        return self.made[name]

    def __iter__(self):
        return iter(PANELS)

    def __len__(self) -> int:
        return len(PANELS)

    def show(self, name: str | None) -> None:
        """Bring one panel into view, or none; the others rest."""
        if name is not None:
            self[name]
        for each, panel in self.made.items():
            panel.show(each == name)
