"""A folder, a button that writes a sheet into it, and one that cancels."""

from __future__ import annotations

from workbench.files import free_path
from workbench.panels import parts
from workbench.panels.parts.folders import folder_for
from workbench.panels.parts.guard import report


class SheetWriter:
    """Writes into a folder under a name of its own, with progress; nothing is written over.

    Parameters
    ----------
    front : of the panel.
    label, help : of the button.
    folder : label of the folder's field.
    prepare : called on a press; returns (original's path or None, stem of the file's name,
        function(path, progress, cancelled) that writes and returns a WrittenSheet).
    """

    def __init__(self, front, label: str, help: str, folder: str, prepare):
        self._prepare = prepare
        self.said = parts.StatusLine(front)
        self.worker = front.scheduler.on(parts.FILES, rest_s=0)
        safely = parts.guarded(self.said)
        self.folder = parts.text(
            front, folder, placeholder="the picture's own folder",
            help="Left empty, the file goes to the folder that the picture came from",
        )  # fmt: skip
        self.folder.widget.layout.width = "420px"
        self.button = parts.button(front, label, safely(self.write), help=help, main=True)
        # with the text of the field, which a click may overtake
        front.listen(
            self.button, "press", safely(lambda c: self.write(str(c.get("text", "")))),
            field=front.tag(self.folder.field),
        )  # fmt: skip
        self.cancel = parts.button(
            front, "Cancel", safely(self.give_up),
            help="Stops writing; nothing is left of the file",
        )  # fmt: skip
        self.cancel.disabled = True
        self.notes = parts.html("")
        self.body = [
            parts.row(self.folder, self.button, self.cancel),
            self.said,
            self.notes,
        ]

    def write(self, typed: str | None = None) -> None:
        """Write to the folder typed (by default, what the field says)."""
        # of the last one: it must not stand below what stops this one
        self.notes.value = ""
        original, stem, make = self._prepare()
        folder = folder_for(self.folder.value if typed is None else typed, original)
        path = free_path(folder, stem, ".tif")
        self.cancel.disabled = False
        self.said.working(f"Writing “{path.name}”", 0.0)

        def work(cancelled, progress):
            return make(
                path,
                progress=lambda share: progress(share, f"Writing “{path.name}”"),
                cancelled=cancelled,
            )

        self.worker.submit("write", work, self._written, on_error=self._failed, status=self.said)

    def give_up(self) -> None:
        """Stop writing."""
        if self.worker.is_busy("write"):
            self.worker.cancel("write")
            self.said.say("You gave up; nothing was written.")
        self.cancel.disabled = True

    def _written(self, written) -> None:
        self.cancel.disabled = True
        self.said.say(f"Written: {written.path}")
        how, checks = written.sentences[1], written.sentences[2:]
        said = (how, f"Read back: {' '.join(checks)}")
        self.notes.value = "".join(f"<p>{parts.html(s, 'wb-muted').value}</p>" for s in said)

    def _failed(self, error: BaseException) -> None:
        self.cancel.disabled = True
        report(self.said, error, "write")
