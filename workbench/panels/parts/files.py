"""Choose a file: type its path, walk the folders, go to a recent one, or send it."""

from __future__ import annotations

import os

import ipywidgets as widgets

from workbench.language import tr
from workbench.panels.parts.controls import button, choice, text
from workbench.panels.parts.folders import Listing, check_file, clean_path, list_folder
from workbench.panels.parts.guard import guarded
from workbench.panels.parts.recent import recent_folders, remember_folder
from workbench.panels.parts.scheduler import FINER
from workbench.panels.parts.sentences import html, set_html
from workbench.panels.parts.status import StatusLine
from workbench.panels.parts.upload import UploadButton

_NO_RECENT = (tr("go to …"), "")


class FileChooser:
    """A path field with "Open", a folder browser, and an upload.

    ``on_open(source)`` gets a path (str), or (name, data) for a file that was sent: bytes,
    or with ``large`` a `workbench.files.received.Received`.  It may raise any WorkbenchError: its sentence appears under the field.

    ``extensions`` (".tif", …) decides what the browser lists; a typed path may
    end otherwise.  ``formats`` says in words what can be opened.  ``folder`` is where browsing starts (the notebook's folder).
    """

    def __init__(
        self,
        front,
        label: str,
        on_open,
        *,
        extensions=(),
        help: str = "",
        folder: str | None = None,
        upload: bool = True,
        formats: str = "",
        large: bool = False,
    ):
        self.extensions = tuple(e.lower() for e in extensions)
        self.listing: Listing | None = None
        self._filling = False
        self._on_open = on_open
        self._lock = front.turn
        # folders on slow drives are never listed in a callback
        self._lister = front.scheduler.on(FINER, rest_s=0)
        self._start = folder
        self.status = StatusLine(front)
        safely = guarded(self.status)

        self.path = text(front, label, help=help, placeholder=tr("folder/file or a full path"))
        self.open_button = button(
            front, tr("Open"), safely(self.open), help=tr("Open the file at this path"), main=True
        )
        self.browse_button = button(
            front, tr("Browse"), safely(self._toggle), help=tr("Show the folders on this computer")
        )
        line = [self.path.widget, self.open_button, self.browse_button]
        self.upload = None
        if upload:
            self.upload = UploadButton(
                front,
                self.status,
                self._sent,
                extensions=self.extensions,
                formats=formats,
                large=large,
            )
            line.append(self.upload.widget)
        top = widgets.Box(line)
        top.add_class("wb-files-line")

        self.up_button = button(
            front,
            tr("Up one folder"),
            safely(self.up),
            help=tr("Show the folder that holds this one"),
        )
        self._where = html("", "wb-muted")
        self.list = widgets.Select(options=[], rows=10)
        self.list.add_class("wb-files-list")
        front.tag(self.list, aria_label=tr("Folders and files: {label}", label=label))
        self._opening = safely(self._open_entry)
        front.listen(self.list, "open", self._opening)
        entered = safely(self._entered)
        front.listen(self.path.field, "enter", entered)
        front.listen(self.open_button, "press", entered, field=front.tag(self.path.field))
        self.list.observe(safely(self._picked), "index")
        self.recent = choice(
            front, tr("Recent folders"), options=[_NO_RECENT],
            help=tr("Folders that files were opened from lately"),
        )  # fmt: skip
        front.tag(self.recent.field, aria_label=tr("Recent folders: {label}", label=label))
        self.recent.on_change(safely(lambda folder: folder and self.browse(folder)))
        head = widgets.Box([self.up_button, self.recent.widget, self._where])
        head.add_class("wb-files-line")
        self.browser = widgets.Box([head, self.list])
        self.browser.add_class("wb-files")
        self.browser.layout.display = "none"

        self.widget = widgets.Box([top, self.status.widget, self.browser])
        self.widget.add_class("wb-files")

    def open(self, typed: str | None = None) -> None:
        """Open what the path field says (or ``typed``): a folder is shown."""
        path = clean_path(self.path.value if typed is None else typed)
        if path and os.path.isdir(path):
            self.browse(path)
            return
        check_file(path)
        self.path.value = path
        self.status.clear()
        self._on_open(path)
        remember_folder(os.path.dirname(path))

    def browse(self, folder: str | None = None) -> None:
        """Show a folder; its list arrives from another thread."""
        folder = folder or self._start or os.getcwd()
        self.browser.layout.display = ""
        kept = recent_folders()
        self.recent.replace([_NO_RECENT, *((each, each) for each in kept)], "")
        self.recent.visible = bool(kept)
        self._lister.submit(
            self,
            lambda cancelled, progress: list_folder(folder, self.extensions, cancelled),
            self._arrived,
            status=self.status,
        )

    def up(self) -> None:
        """Show the folder above."""
        if self.listing is not None and self.listing.parent is not None:
            self.browse(self.listing.parent)

    def wait_until_listed(self, timeout: float = 5) -> bool:
        """For tests: wait for the folder's list."""
        return self._lister.wait_until_idle(timeout)

    def _toggle(self) -> None:
        if self.browser.layout.display == "":
            self.browser.layout.display = "none"
            return
        typed = clean_path(self.path.value)
        if typed and not os.path.isdir(typed):
            typed = os.path.dirname(typed)
        self.browse(typed if typed and os.path.isdir(typed) else None)

    def _entered(self, content: dict) -> None:
        self.open(str(content.get("text", "")))

    def _picked(self, change) -> None:
        """A click on a line puts its path into the field."""
        with self._lock:
            at = change["new"]
            if self._filling or at is None or at >= len(self.listing.entries):
                return
            self.path.value = self.listing.entries[at].path

    def _open_entry(self, content: dict) -> None:
        """Double click or Enter on a line."""
        with self._lock:
            entries = self.listing.entries if self.listing is not None else ()
            at = content.get("index", -1)
            if not isinstance(at, int) or not 0 <= at < len(entries):
                return
            entry = entries[at]
        self.open(entry.path)

    def _arrived(self, listing: Listing) -> None:
        with self._lock:
            self.listing = listing
            labels = [f"▸ {e.name}" if e.is_folder else f"   {e.name}" for e in listing.entries]
            # values are numbers, because two labels may look alike
            self._filling = True  # new options choose the first by themselves
            try:
                self.list.options = [(label, n) for n, label in enumerate(labels)]
                self.list.index = None
            finally:
                self._filling = False
            self.up_button.disabled = listing.parent is None
        note = listing.folder
        if not listing.entries:
            note += tr(": nothing here that can be opened")
        elif listing.left_out:
            note += tr(": {left_out} more are not shown; type the name", left_out=listing.left_out)
        set_html(self._where, note, "wb-muted")

    def _sent(self, name: str, data) -> None:
        self.status.clear()
        self._on_open((name, data))
