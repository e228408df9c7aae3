"""Which files a session was started with: told in a small file of the session's own folder.

The launcher writes it where the session's kernels have their connection files; a kernel
finds it beside its own.  The folder is private and goes with the session.
"""

from __future__ import annotations

import json
import sys
from dataclasses import dataclass
from pathlib import Path

from workbench.errors import FileError
from workbench.files.reading import read_regular
from workbench.files.writing import write_whole

NAME = "workbench-session.json"
_MOST_BYTES = 2**20
#: Messages that may wait to be sent to a page.  A desk opens with two thousand, and where the
#: computer is busy with a class, queues of the usual thousand overflow: what is beyond is
#: dropped without a word (ZMQ_SNDHWM and ZMQ_RCVHWM in zmq_setsockopt(3)).
LONGEST_QUEUE = 100_000


@dataclass(frozen=True)
class Named:
    """Absolute paths of a picture (None for none) and of paper profiles."""

    picture: str | None = None
    papers: tuple[str, ...] = ()

    def write(self, folder) -> None:
        """Write it into a session's folder.

        Raises
        ------
        FileError, OSError
            where that cannot be.
        """
        told = {"picture": self.picture, "papers": self.papers}
        write_whole(Path(folder) / NAME, json.dumps(told).encode())

    @classmethod
    def read(cls, folder) -> Named:
        """What was written into a folder; nothing named where that is not to be read."""
        try:
            told = json.loads(read_regular(Path(folder) / NAME, _MOST_BYTES))
            picture, papers = told["picture"], tuple(told["papers"])
        except (FileError, ValueError, KeyError, TypeError, RecursionError):
            return cls()
        if not all(isinstance(each, str) for each in (picture or "", *papers)):
            return cls()
        return cls(picture, papers)


def named_here() -> Named:
    """The files that the session of this kernel was started with; none outside a session."""
    connection = _connection_file()
    return Named() if connection is None else Named.read(Path(connection).parent)


def _connection_file() -> str | None:
    """That of the kernel at work here; None outside a kernel."""
    # a kernel has loaded it; anywhere else, loading it would change how widgets talk
    kernel = sys.modules.get("ipykernel")
    try:
        return None if kernel is None else kernel.get_connection_file()
    except (AttributeError, RuntimeError, OSError):
        return None
