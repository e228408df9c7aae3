"""The fields of one paper on the shelf: what was typed stays until it is saved or undone."""

from __future__ import annotations

import ipywidgets as widgets

from workbench.characteristics import CHARACTERISTICS
from workbench.errors import LibraryError, WorkbenchError
from workbench.language import tr
from workbench.panels import parts
from workbench.panels.characteristic import characteristic_control
from workbench.panels.parts.controls import Control
from workbench.panels.shelf.words import ASKED, shown_value, typed_value


class ShelfForm:
    """A field for each thing an entry may say.

    Parameters
    ----------
    on_edit : called without arguments when the person changes a field.
    """

    def __init__(self, front, on_edit):
        self._front = front
        self._on_edit = on_edit
        self._name: str | None = None  # of the entry in the fields
        self._base: dict[str, str] = {}  # what the shelf has in them
        self._drafts: dict[str, dict[str, str]] = {}  # entry -> field -> what was typed
        self._elsewhere: dict[str, str] = {}  # what was changed of the paper in other places
        self._wrong: set[str] = set()  # fields marked as not to be taken
        self.controls = {key: self._control(key) for key in ASKED}
        for key, control in self.controls.items():
            control.on_change(lambda value, key=key: self._edited(key))
        notes = self.controls["notes"].widget
        notes.layout.width = "100%"
        fields = parts.row(*(c for key, c in self.controls.items() if key != "notes"))
        fields.add_class("wb-knobs")
        self.widget = parts.column(fields, notes)

    def _control(self, key: str):
        if key != "notes":
            return characteristic_control(self._front, key)
        asked = CHARACTERISTICS[key]
        field = widgets.Textarea(rows=3, continuous_update=False)
        field.add_class("wb-text")
        return Control(self._front, asked.label, "", asked.hint, field)

    def fill(self, entry, changed_elsewhere: dict | None = None) -> None:
        """Show an entry, with what was typed for it and not saved.

        Parameters
        ----------
        entry : a `ShelfEntry`, or None for no paper.
        changed_elsewhere : field -> value of changes that were made to the paper, and not
            to the shelf.
        """
        name = None if entry is None else entry.name
        base = {
            key: "" if entry is None else shown_value(key, getattr(entry, key))
            for key in self.controls
        }
        elsewhere = {
            key: shown_value(key, value) for key, value in (changed_elsewhere or {}).items()
        }
        if (name, base, elsewhere) == (self._name, self._base, self._elsewhere):
            return
        self._keep_draft()
        draft = dict(self._drafts.get(name, {}))
        if name == self._name:
            # the other place has changed its mind
            draft = {k: v for k, v in draft.items() if self._elsewhere.get(k) != v}
        self._name, self._base, self._elsewhere = name, base, elsewhere
        self._put({**base, **draft, **elsewhere})

    def _put(self, wanted: dict[str, str]) -> None:
        for key, control in self.controls.items():
            if control.value != wanted[key]:
                control.value = wanted[key]
            self._mark(key, False)

    @property
    def unsaved(self) -> list[str]:
        """The fields that differ from the shelf, in order."""
        return [key for key in self.controls if self._typed(key) != self._base.get(key, "")]

    @property
    def entries_with_drafts(self) -> set[str]:
        """Names of the entries for which something typed waits to be saved."""
        self._keep_draft()
        return set(self._drafts)

    def changes(self) -> dict:
        """The unsaved fields' values, as `workbench.library.edit_entry` takes them.

        Raises
        ------
        LibraryError
            for what cannot be taken; its field is marked.
        """
        values = {}
        for key in self.unsaved:
            try:
                values[key] = typed_value(key, self.controls[key].value)
                if key == "name" and values[key] is None:
                    raise LibraryError(tr("Name: a paper needs a name; type one."))
            except WorkbenchError:
                self._mark(key, True)
                raise
        return values

    def label_of(self, key: str) -> str:
        """What a field is called."""
        control = self.controls[key]
        return control.choice.label if hasattr(control, "choice") else control.label

    def undo(self) -> None:
        """Put back what the shelf has."""
        self._drafts.pop(self._name, None)
        self._put(self._base)

    def saved(self) -> None:
        """What was typed for this entry is on the shelf now."""
        self._drafts.pop(self._name, None)
        self._name = None

    def _typed(self, key: str) -> str:
        value = self.controls[key].value
        return value if key == "notes" else value.strip()

    def _keep_draft(self) -> None:
        if self._name is None:
            return
        draft = {key: self.controls[key].value for key in self.unsaved}
        if draft:
            self._drafts[self._name] = draft
        else:
            self._drafts.pop(self._name, None)

    def _edited(self, key: str) -> None:
        self._mark(key, False)
        self._on_edit()

    def _mark(self, key: str, wrong: bool) -> None:
        if wrong == (key in self._wrong):
            return
        self._wrong ^= {key}
        control = self.controls[key]
        for field in (control.choice, control.typed) if hasattr(control, "choice") else (control,):
            self._front.tag(field.field, aria_invalid="true" if wrong else None)
