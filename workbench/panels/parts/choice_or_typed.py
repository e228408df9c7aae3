"""A choice of the usual values, with a field for one of your own."""

from __future__ import annotations

from workbench.language import tr
from workbench.panels import parts

_OWN = "\0typed"


class ChoiceOrTyped:
    """A drop-down list whose last entry opens a field to type in.

    ``value`` is always text; ``on_change`` as for every control of `parts`.
    """

    def __init__(
        self, front, label, help="", *, options, own: str = tr("typed below"), placeholder=""
    ):
        self._options, self._own = list(options), own
        self.choice = parts.choice(front, label, options=self._offered(), help=help)
        self.typed = parts.text(
            front, tr("{label}, typed", label=label), help=help, placeholder=placeholder
        )
        self.typed.visible = False
        self._callbacks: list = []
        self.choice.on_change(self._chosen)
        self.typed.on_change(lambda value: self._tell())
        self.widget = parts.column(self.choice, self.typed)
        self.widget.layout.grid_gap = "4px"

    @property
    def value(self) -> str:
        chosen = self.choice.value
        return self.typed.value.strip() if chosen == _OWN else chosen

    @value.setter
    def value(self, value: str) -> None:
        known = value in [v for _, v in self._options]
        self.choice.value = value if known else _OWN
        if not known:
            self.typed.value = value
        self.typed.visible = not known

    def replace(self, options) -> None:
        """Offer the same values by other names, without telling anyone."""
        value, self._options = self.choice.value, list(options)
        self.choice.replace(self._offered(), value)

    def on_change(self, callback) -> None:
        """Call callback(value) whenever the person chooses or types another value."""
        self._callbacks.append(callback)

    def _offered(self) -> list:
        return [*self._options, (self._own, _OWN)]

    def _chosen(self, value) -> None:
        self.typed.visible = value == _OWN
        if value != _OWN or self.typed.value.strip():
            self._tell()

    def _tell(self) -> None:
        for callback in self._callbacks:
            callback(self.value)
