"""The bytes behind a picture: a file on disk, or bytes in memory.

Files are opened for each reading and never mapped into memory: a file that
another program shortens while it is mapped ends the whole process, and saving
over a picture while it is open here is an everyday thing to do.
"""

from __future__ import annotations

import io
import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO

from workbench.errors import PictureError
from workbench.files import clean_text, open_regular, path_of, status_of, why
from workbench.files.received import Received
from workbench.files.text import quoted
from workbench.language import tr
from workbench.picture.limits import MAX_PIXELS

# four channels of 16 bits
MOST_BYTES = 8 * MAX_PIXELS


class PictureFile:
    """Read-only bytes of a known size, safe to read from several threads.

    Attributes
    ----------
    path : Path; None for bytes in memory and for a `Received` file, which has no place of the
        person's.
    name : the file's name without control characters, for sentences.
    label : the name in quotation marks, or "The picture" where there is none.
    size : in bytes.
    """

    def __init__(self, source, name: str | None = None):
        self._data: bytes | None = None
        self.path: Path | None = None
        self._at: str | os.PathLike = ""
        self._stamp: tuple[int, int, int] | None = None
        if isinstance(source, (bytes, bytearray, memoryview)):
            self._data = bytes(source)
            self.size = len(self._data)
        else:
            if not isinstance(source, (str, os.PathLike)):
                raise PictureError(
                    tr(
                        "A picture is opened from the path of a file or from bytes, not from {kind}.",
                        kind=type(source).__name__,
                    )
                )
            # a received file is there as long as it is held
            self._at = source if isinstance(source, Received) else path_of(source, PictureError)
            self.path = None if isinstance(self._at, Received) else Path(self._at)
            name = self._at.name if name is None else name
        self.name = clean_text(name or "")
        self.label = quoted(self.name) if self.name else tr("The picture")
        # extensions may be all that tells a camera's own files from ordinary TIFFs
        self.extension = Path(self.name).suffix.lower()
        if self._data is None:
            status = status_of(self._at, MOST_BYTES, PictureError)
            self.size = status.st_size
            self._stamp = _stamp(status)
        if self.size == 0:
            raise PictureError(
                tr("{label} is empty (0 bytes). Copy or export it again.", label=self.label)
            )

    def _unreadable(self, problem: OSError) -> str:
        return tr(
            "{label} cannot be read ({reason}); check the path and your permissions.",
            label=self.label,
            reason=why(problem),
        )

    @contextmanager
    def stream(self) -> Iterator[BinaryIO]:
        """A seekable binary stream of the whole file, closed on leaving.

        Raises
        ------
        PictureError
            if the file cannot be read any more, is not the one that was opened, or changed
            while it was read.
        """
        if self._data is not None:
            with io.BytesIO(self._data) as stream:
                yield stream
            return
        with open_regular(self._at, MOST_BYTES, PictureError) as stream:
            self._check_unchanged(stream)
            yield stream
            self._check_unchanged(stream)

    def _check_unchanged(self, stream) -> None:
        if _stamp(os.fstat(stream.fileno())) != self._stamp:
            raise PictureError(
                tr(
                    "{label} has changed on disk since it was opened; open it again.",
                    label=self.label,
                )
            )

    def read_into(self, stream, offset: int, target: memoryview) -> None:
        """Fill ``target`` (bytes) from ``offset``; PictureError where the file ends first."""
        done = 0
        try:
            stream.seek(offset)
            while done < len(target):
                got = stream.readinto(target[done:])
                if not got:
                    raise PictureError(self.damaged(tr("the file ends too early")))
                done += got
        except OSError as problem:
            raise PictureError(self._unreadable(problem)) from None

    def read(self, stream, offset: int, count: int) -> bytearray:
        """``count`` bytes from ``offset``; PictureError where the file has fewer."""
        # never set memory aside for what the file cannot hold
        if offset < 0 or count < 0 or offset + count > self.size:
            raise PictureError(self.damaged(tr("the file ends too early")))
        data = bytearray(count)
        self.read_into(stream, offset, memoryview(data))
        return data

    def damaged(self, detail: str) -> str:
        """The sentence for a file that is cut short or broken."""
        return tr(
            "{label} is cut short or damaged ({reason}). Copy it again, or export it again "
            "from the original.",
            label=self.label,
            reason=detail,
        )


def _stamp(status: os.stat_result) -> tuple[int, int, int]:
    # copying programs set the time of modification, but cannot set the other
    return status.st_size, status.st_mtime_ns, status.st_ctime_ns
