"""A file that the page has sent, kept on the disk for as long as somebody holds it."""

from __future__ import annotations

import os
import shutil
import tempfile
import weakref
from pathlib import Path

from workbench.errors import FileError
from workbench.files.text import clean_text
from workbench.language import tr


class Received(os.PathLike):
    """A private file of this session, written piece by piece.

    It has a name but no place of the person's: nothing is saved beside it, and it is gone
    when nothing holds it any more, at the latest with the process.

    Attributes
    ----------
    name : that it had where it came from.
    size : bytes that it is going to have.

    Raises
    ------
    FileError
        where the disk has no room for it.
    """

    def __init__(self, name: str, size: int):
        self.name, self.size = clean_text(name) or "untitled", int(size)
        folder = tempfile.gettempdir()
        if (free := shutil.disk_usage(folder).free) < self.size:
            raise FileError(
                tr(
                    "“{name}” has {size:,.0f} MB, and the disk has {free:,.0f} MB free. Make room, "
                    "or type the file's path instead.",
                    name=self.name,
                    size=self.size / 1e6,
                    free=free / 1e6,
                )
            )
        # for this account only (mode 600)
        handle, path = tempfile.mkstemp(prefix="workbench-", suffix=Path(self.name).suffix.lower())
        os.close(handle)
        self._path, self._got = Path(path), 0
        weakref.finalize(self, _remove, path)

    def __fspath__(self) -> str:
        return str(self._path)

    def write(self, offset: int, data: bytes) -> int:
        """Put a piece in its place; returns how many bytes there are now.

        Raises
        ------
        FileError
            for a piece that is not the next one or goes beyond the end, and for a full disk.
        """
        if offset != self._got or offset + len(data) > self.size:
            raise FileError(
                tr(
                    "“{name}” did not arrive in one piece; nothing was taken. Send it again.",
                    name=self.name,
                )
            )
        try:
            with self._path.open("ab") as stream:
                stream.write(data)
        except OSError as problem:
            raise FileError(
                tr(
                    "“{name}” could not be kept ({reason}); nothing was taken.",
                    name=self.name,
                    reason=problem.strerror,
                )
            ) from problem
        self._got += len(data)
        return self._got

    @property
    def whole(self) -> bool:
        """Whether all of it has arrived."""
        return self._got == self.size

    def read(self) -> bytes:
        """All of it."""
        return self._path.read_bytes()


def _remove(path: str) -> None:
    Path(path).unlink(missing_ok=True)
