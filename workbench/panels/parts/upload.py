"""A button that takes a file from the person's computer, of any size.

Jupyter's own upload sends a file in one message, and the connection is cut without a word
beyond 10 MB.  Here the page sends pieces of 2 MB, a few at a time, and the next ones once
those have been written to a private file.
"""

from __future__ import annotations

import ipywidgets as widgets

from workbench.errors import Cancelled, FileError, WorkbenchError
from workbench.files import clean_text
from workbench.files.received import Received
from workbench.language import tr
from workbench.panels.parts.guard import guarded
from workbench.panels.parts.sentences import html

#: of files that are read into memory whole; pictures stay on the disk and have no limit
SMALL_BYTES = 200_000_000


class UploadButton:
    """``on_file(name, data)`` is called with the file's name and its bytes.

    Parameters
    ----------
    status : the line that tells how it goes.
    extensions : lower-case with their dot; others are refused.  Empty for any.
    formats : what may be sent, in words.
    large : whether ``data`` is a `Received`, a file on the disk, instead of bytes.
    """

    def __init__(self, front, status, on_file, *, extensions=(), formats="", large=False):
        self._front, self._status, self._on_file = front, status, on_file
        self._extensions, self._large = tuple(extensions), large
        self._lock = front.turn
        self._upload = None
        self._file: Received | None = None
        self.button = widgets.Button(
            description=tr("Send a file"),
            tooltip=tr("Choose a file on the computer that shows this page"),
        )
        self.button.add_class("wb-button")
        self.cancel = widgets.Button(
            description=tr("Cancel"), tooltip=tr("Stop sending; nothing is taken")
        )
        self.cancel.add_class("wb-button")
        self.cancel.layout.display = "none"
        self.cancel.on_click(guarded(status)(lambda button: self.stop()))
        self.widget = widgets.Box([self.button, self.cancel, html(formats, "wb-muted")])
        self.widget.add_class("wb-files-line")
        self.receive = guarded(status)(self._receive)
        front.listen(self.button, "files", self.receive, accept=",".join(extensions))

    def stop(self) -> None:
        """Give up what is being sent."""
        with self._lock:
            if self._file is not None:
                name = self._file.name
                self._forget()
                self._status.say(
                    tr("“{name}” was not sent completely; nothing was taken.", name=name)
                )

    def _receive(self, content: dict) -> None:
        """Take a message of the page: that a file begins, a piece of it, or that it cannot be read."""
        name = clean_text(str(content.get("name", ""))) or tr("the file")
        upload = content.get("upload")
        with self._lock:
            if content.get("unreadable"):
                self._forget()
                raise WorkbenchError(
                    tr(
                        "“{name}” could not be read by the browser. Type its path instead.",
                        name=name,
                    )
                )
            if "offset" not in content:
                self._begin(name, upload, int(content.get("size", 0)))
                return
            if upload != self._upload or self._file is None:
                self._front.send({"upload": upload, "stop": True})
                raise Cancelled  # what was said of it stays
            try:
                got = self._file.write(int(content["offset"]), content.get("data", b""))
            except FileError:
                self._forget()
                raise
            file = self._file
            if not file.whole:
                self._front.send({"upload": upload, "got": got})
                self._status.working(_receiving(file), got / file.size)
                return
            self._file = None
            self._forget()
        self._status.clear()
        self._on_file(file.name, file if self._large else file.read())

    def _begin(self, name: str, upload, size: int) -> None:
        self._forget()
        self._upload = upload  # so that what stops it is sent to the page
        try:
            if self._extensions and not name.lower().endswith(self._extensions):
                listed = ", ".join(each.lstrip(".").upper() for each in self._extensions)
                raise WorkbenchError(
                    tr(
                        "“{name}” cannot be opened here; files of these kinds can: {listed}.",
                        name=name,
                        listed=listed,
                    )
                )
            if not size:
                raise WorkbenchError(
                    tr("“{name}” is empty (0 bytes), or a folder; choose a file.", name=name)
                )
            if not self._large and size > SMALL_BYTES:
                raise WorkbenchError(
                    tr(
                        "“{name}” has {size:,.0f} MB, too much for such a file.",
                        name=name,
                        size=size / 1e6,
                    )
                )
            self._file = Received(name, size)
        except WorkbenchError:
            self._forget()
            raise
        self.cancel.layout.display = ""
        self._status.working(_receiving(self._file), 0.0)
        self._front.send({"upload": upload, "got": 0})

    def _forget(self) -> None:
        if self._upload is not None:
            self._front.send({"upload": self._upload, "stop": True})
        self._upload = self._file = None
        self.cancel.layout.display = "none"


def _receiving(file: Received) -> str:
    return tr("Receiving “{name}” ({size:,.1f} MB)", name=file.name, size=file.size / 1e6)
