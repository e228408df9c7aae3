"""A button that takes a file from the person's computer, up to a stated size.

Jupyter's own upload sends a file in one message, and the connection is cut
without a word beyond 10 MB.  Here the page checks the size first and sends
pieces of 1 MB.
"""

from __future__ import annotations

import ipywidgets as widgets

from workbench.errors import WorkbenchError
from workbench.panels.parts.guard import guarded
from workbench.panels.parts.sentences import html

LIMIT_BYTES = 8_000_000


class UploadButton:
    """``on_file(name, data)`` is called with the file's name and bytes.

    A file over ``limit_bytes`` is refused with a sentence in ``status``, by the
    page before anything is sent, and here again.
    """

    def __init__(self, front, status, on_file, *, extensions=(), limit_bytes: int = LIMIT_BYTES):
        self.limit_bytes = int(limit_bytes)
        self.limit_words = f"up to {_megabytes(self.limit_bytes)}"
        self._status = status
        self._on_file = on_file
        self._lock = front.turn
        self._upload = None
        self._pieces: dict[int, bytes] = {}
        self.button = widgets.Button(
            description=f"Send a file ({self.limit_words})",
            tooltip=f"Send a file from this computer, {self.limit_words}",
        )
        self.button.add_class("wb-button")
        self.widget = widgets.Box([self.button, html("Larger files: type their path.", "wb-muted")])
        self.widget.add_class("wb-files-line")
        self.receive = guarded(status)(self._receive)
        front.listen(
            self.button,
            "files",
            self.receive,
            accept=",".join(extensions),
            limit_bytes=self.limit_bytes,
        )

    def _receive(self, content: dict) -> None:
        """Take a message of the page: one piece of a file, or why there is none."""
        name = str(content.get("name", "")) or "the file"
        size = int(content.get("size", 0))
        if content.get("too_large") or size > self.limit_bytes:
            self._forget()
            raise WorkbenchError(
                f"“{name}” has {_megabytes(size)}; files can be sent {self.limit_words}. "
                "Type its path instead: then any size is fine."
            )
        if content.get("unreadable"):
            raise WorkbenchError(
                f"“{name}” could not be read by the browser. Type its path instead."
            )
        part, parts = int(content.get("part", 0)), int(content.get("parts", 1))
        with self._lock:
            if content.get("upload") != self._upload:
                self._upload, self._pieces = content.get("upload"), {}
            self._pieces[part] = content.get("data", b"")
            if sum(map(len, self._pieces.values())) > self.limit_bytes:
                self._upload, self._pieces = None, {}
                raise WorkbenchError(f"“{name}” is larger than it said; nothing was taken.")
            complete = len(self._pieces) == parts
            if complete:
                data = b"".join(self._pieces[i] for i in range(parts))
                self._upload, self._pieces = None, {}
        if complete:
            self._on_file(name, data)
        else:
            self._status.working(f"Receiving “{name}”", len(self._pieces) / parts)

    def _forget(self) -> None:
        with self._lock:
            self._upload, self._pieces = None, {}


def _megabytes(size: int) -> str:
    """A size in words: "8 MB", "12.3 MB"."""
    return f"{size / 1e6:.1f}".removesuffix(".0") + " MB"
