"""Saving to a folder: the one widget for whatever a panel writes under a name of its own."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from workbench.errors import OutputError
from workbench.language import tr
from workbench.panels import parts
from workbench.panels.parts.folders import folder_for
from workbench.panels.parts.guard import guarded, report
from workbench.panels.parts.scheduler import FILES
from workbench.panels.parts.status import StatusLine


@dataclass(frozen=True)
class Act:
    """A button that writes something.

    Attributes
    ----------
    label, help : of the button.
    begin : (folder) -> work, called on a press.  It raises the sentence of what stands in
        the way, and takes all that it needs from plan and controls; ``work(cancelled,
        progress)`` then runs in the lane of files, touches neither, and returns what was
        written.  It gives the file a free name itself (`workbench.files.save_new`,
        `free_path`), so that nothing is written over.
    doing : what the line says meanwhile.
    said : (written) -> the sentence that says where it went.
    notes : (written) -> HTML of what else there is to know, below the line.
    main : whether it is the panel's main button.
    """

    label: str
    help: str
    begin: Callable[[str], Callable[..., Any]]
    doing: str = tr("Saving")
    said: Callable[[Any], str] = lambda written: tr(
        "Saved as {path}", path=getattr(written, "path", written)
    )
    notes: Callable[[Any], str] = lambda written: ""
    main: bool = False


class SaveTo:
    """A field for the folder, a button for each act, and the line that tells how it went.

    Parameters
    ----------
    front : of the panel.
    acts : {name: `Act`}, in the order of the buttons.
    label : of the folder's field.
    original : () -> path of the picture whose folder is meant where none is typed, or None
        for the folder that the kernel works in; without this function a folder must be typed.
    long : whether it takes so long that a button to cancel is wanted.

    Attributes
    ----------
    folder, buttons, cancel, said, notes : the field, {name: button}, the button to cancel
        (None unless ``long``), the status line, and the HTML below it.
    body : these, to be laid out.

    Examples
    --------
    >>> from workbench.files import save_new
    >>> def begin(folder):
    ...     return lambda cancelled, progress: save_new(folder, "figures", ".csv", b"1")
    >>> saving = SaveTo(parts.Front(), {"csv": Act("Save the table", "As CSV", begin)})
    >>> saving.buttons["csv"].click()
    >>> saving.said.text
    'Type the folder that the file is to be saved in.'
    """

    def __init__(
        self, front, acts: dict[str, Act], *, label: str = tr("Folder to save in"),
        original: Callable[[], Any] | None = None, long: bool = False,
    ):  # fmt: skip
        self._acts, self._original = dict(acts), original
        self._work = front.scheduler.on(FILES, rest_s=0)
        self.said = StatusLine(front)
        self.notes = parts.html("")
        safely = guarded(self.said)
        own = tr("the picture's own folder") if original else tr("a folder on this computer")
        self.folder = parts.text(
            front, label, placeholder=own,
            help=tr("Left empty, the picture's own folder is taken; nothing is written over")
            if original else tr("Files go there; nothing is written over"),
        )  # fmt: skip
        self.folder.widget.layout.width = "420px"
        field = front.tag(self.folder.field)
        self.buttons = {}
        for name, act in self._acts.items():
            save = safely(lambda typed=None, name=name: self.save(name, typed))
            made = parts.button(front, act.label, save, help=act.help, main=act.main)
            # with the text of the field, which a click may overtake
            front.listen(
                made, "press", lambda c, save=save: save(str(c.get("text", ""))), field=field
            )
            self.buttons[name] = made
        buttons = list(self.buttons.values())
        self.cancel = None
        if long:
            self.cancel = parts.button(
                front,
                tr("Cancel"),
                safely(self.give_up),
                help=tr("Stops; nothing is left of the file"),
            )
            buttons.append(self.cancel)
        self._set_busy(False)
        self.body = [parts.row(self.folder), parts.row(*buttons), self.said, self.notes]

    def save(self, name: str, typed: str | None = None) -> None:
        """Do an act in the folder typed (by default, what the field says)."""
        act = self._acts[name]
        self.notes.value = ""  # of the last one: it must not stand below what stops this one
        typed = self.folder.value if typed is None else typed
        if self._original is None and not typed.strip():
            raise OutputError(tr("Type the folder that the file is to be saved in."))
        work = act.begin(folder_for(typed, self._original and self._original()))
        self.said.working(act.doing, 0.0 if self.cancel else None)
        self._set_busy(True)
        self._work.submit(
            "save", work, lambda written: self._saved(act, written),
            lambda share, text: self.said.working(text or act.doing, share),
            self._failed,
        )  # fmt: skip

    def give_up(self) -> None:
        """Stop writing."""
        if self._work.is_busy("save"):
            self._work.cancel("save")
            self.said.say(tr("Cancelled; nothing was written."))
        self._set_busy(False)

    def _saved(self, act: Act, written) -> None:
        self._set_busy(False)
        self.said.say(act.said(written))
        self.notes.value = act.notes(written)

    def _failed(self, error: BaseException) -> None:
        self._set_busy(False)
        report(self.said, error, self)

    def _set_busy(self, busy: bool) -> None:
        if self.cancel is not None:
            self.cancel.disabled = not busy
