"""A panel as a person meets it in a notebook: the decisions that it shows, by their names."""

from __future__ import annotations

from difflib import get_close_matches

from workbench.decisions import DECISIONS
from workbench.errors import WorkbenchError
from workbench.language import tr

_FILES = ("picture", "paper", "papers")


class Face:
    """One panel alone in a cell.

    As the last line of a cell it shows itself.  Every decision that it shows can be read and
    set here, and it follows: ``panel.threshold = 3``; Tab lists them.  ``plan`` is the `Plan`
    behind it, which other panels can share: ``wb.black_panel(plan=panel.plan)``.
    """

    __slots__ = ("_panel",)

    def __init__(self, panel):
        object.__setattr__(self, "_panel", panel)

    @property
    def plan(self):
        """The Plan that it watches and sets."""
        return self._panel.plan

    @property
    def widget(self):
        """The widget, to lay it out beside others."""
        return self._panel.widget

    def settings(self) -> dict:
        """All decisions that it shows, by name."""
        return {name: getattr(self.plan, name) for name in self._names() if name not in _FILES}

    def __getattr__(self, name: str):
        if name in self._names():
            return getattr(self.plan, name)
        raise AttributeError(
            tr("This panel has no {name!r}; {hint}.", name=name, hint=self._hint(name))
        )

    def __setattr__(self, name: str, value) -> None:
        if name not in self._names():
            # anything else would be kept and do nothing
            raise WorkbenchError(
                tr(
                    "“{name}” is not a decision of this panel; {hint}.",
                    name=name,
                    hint=self._hint(name),
                )
            )
        with self._panel.front.turn:
            setattr(self.plan, name, value)

    def __dir__(self):
        return sorted([*self._names(), "plan", "settings", "widget"])

    def __repr__(self) -> str:
        return f"<{type(self._panel).__name__}: {', '.join(self._names())}>"

    def _repr_mimebundle_(self, **options):
        return self._panel._repr_mimebundle_(**options)

    def _names(self) -> list[str]:
        watched = self._panel.watch
        return [name for name in watched if name in DECISIONS or name in _FILES]

    def _hint(self, name: str) -> str:
        near = get_close_matches(name, dir(self), 1)
        return (
            tr("did you mean “{near}”?", near=near[0])
            if near
            else tr("there are {names}", names=", ".join(self._names()))
        )
