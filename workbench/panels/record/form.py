"""The fields of one note: what was typed stays until it is saved or undone."""

from __future__ import annotations

import ipywidgets as widgets

from workbench.errors import WorkbenchError
from workbench.language import tr
from workbench.panels import parts
from workbench.panels.parts.controls import Control
from workbench.panels.record.words import ASKED, shown_value, typed_value


class NoteForm:
    """A field for each thing that a person says of a print.

    Parameters
    ----------
    new : for a print that is not in the record yet; fields that come from the plan are
        left out.
    on_edit : called when the person changes a field.
    """

    def __init__(self, front, *, new: bool, on_edit=lambda: None):
        self._front = front
        self._base: dict[str, str] = {}
        self._wrong: set[str] = set()
        self.controls = {words.key: self._control(words) for words in ASKED if words.new or not new}
        for key, control in self.controls.items():
            control.on_change(lambda value, key=key: self._edited(key, on_edit))
            if not new:
                # by ear the two forms must be told apart
                front.tag(
                    control.field, aria_label=tr("{name}, of the chosen print", name=control.name)
                )
        short = [key for key in self.controls if key not in ("change_next_time", "notes")]
        fields = parts.row(*(self.controls[key] for key in short))
        fields.add_class("wb-knobs")
        long = parts.row(*(parts.wide(self.controls[key]) for key in ("change_next_time", "notes")))
        self.widget = parts.column(fields, long)

    def _control(self, words):
        front = self._front
        if words.offered:
            return parts.choice(front, words.label, options=words.offered, help=words.help)
        if words.lines > 1:
            field = widgets.Textarea(rows=words.lines, continuous_update=False)
            field.add_class("wb-text")
            return Control(front, words.label, words.unit, words.help, field)
        made = parts.text(
            front, words.label, unit=words.unit, help=words.help, placeholder=words.placeholder
        )
        made.widget.add_class("wb-control-small")
        return made

    def fill(self, values: dict, typed: dict | None = None) -> None:
        """Show what is kept, and over it what was typed and not saved.

        Parameters
        ----------
        values : field -> value as a note has it; fields left out are empty.
        typed : field -> text, as `typed` gives it.
        """
        self._base = {key: shown_value(key, values.get(key)) for key in self.controls}
        for key, control in self.controls.items():
            wanted = (typed or {}).get(key, self._base[key])
            if control.value != wanted:
                control.value = wanted
            self._mark(key, False)

    @property
    def typed(self) -> dict[str, str]:
        """The fields that say something else than what is kept, as typed."""
        return {
            key: control.value
            for key, control in self.controls.items()
            if control.value.strip() != self._base.get(key, "").strip()
        }

    def values(self, keys=None) -> dict:
        """What the fields (all of them, or those of these keys) say, as a note takes it.

        Raises
        ------
        RecordError
            for what cannot be taken; its field is marked.
        """
        values = {}
        for key in self.controls if keys is None else keys:
            try:
                values[key] = typed_value(key, self.controls[key].value)
            except WorkbenchError:
                self._mark(key, True)
                raise
        return values

    def labels(self, keys) -> str:
        """What fields are called, as a list in words."""
        return ", ".join(self.controls[key].label for key in keys)

    def _edited(self, key: str, on_edit) -> None:
        self._mark(key, False)
        on_edit()

    def _mark(self, key: str, wrong: bool) -> None:
        if wrong != (key in self._wrong):
            self._wrong ^= {key}
            self._front.tag(self.controls[key].field, aria_invalid="true" if wrong else None)
