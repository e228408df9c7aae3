"""Room for decoded pixels: in memory where they are few, else in a file without a name.

The system keeps of that file in memory what it has room for, and gives it away when programs
need it; so a large picture weighs on no one while nobody looks at it.  The file goes with
the picture, however the process ends.
"""

from __future__ import annotations

import mmap
import os
import shutil
import tempfile
import threading
from pathlib import Path
from typing import BinaryIO, cast

import numpy as np

from workbench.picture.store import HeldStore, Store, even_bands

# smaller ones are not worth a file
LEAST_BYTES = 16 * 2**20
# of a disk that is left to others
_LEFT_FREE = 2**30


def free_disk() -> int:
    """Bytes that may be written where scratch files lie."""
    try:
        return max(0, shutil.disk_usage(_folder()).free - _LEFT_FREE)
    except OSError:
        return 0


def goes_to_disk(size: int) -> bool:
    """Whether so many bytes of pixels are kept in a file."""
    return size >= LEAST_BYTES and free_disk() > 2 * size


def scratch(size: int) -> tuple[BinaryIO, mmap.mmap]:
    """A nameless file of so many bytes, all of them set aside, and a view of them.

    Raises
    ------
    OSError
        where there is no room for it.
    """
    # opened by nobody else, so that nobody can shorten it while it is mapped
    file = cast(BinaryIO, tempfile.TemporaryFile(dir=_folder(), buffering=0))
    if hasattr(os, "posix_fallocate"):
        # a full disk would otherwise end the process in the middle of writing
        os.posix_fallocate(file.fileno(), 0, size)
    else:
        for start in range(0, size, 2**20):
            file.write(bytes(min(2**20, size - start)))
    return file, mmap.mmap(file.fileno(), size)


def _folder() -> str:
    # where the usual folder is one in memory, this one is not (Filesystem Hierarchy
    # Standard 3.0, section 5.15)
    lasting = Path("/var/tmp")
    return str(lasting) if os.access(lasting, os.W_OK) else tempfile.gettempdir()


class Room:
    """A place for the pixels of one picture while they are decoded.

    Attributes
    ----------
    pixels : (height, width, channels) array to be filled; not to be kept by others.
    """

    def __init__(self, height: int, width: int, channels: int, dtype):
        shape, self._file = (height, width, channels), None
        size = height * width * channels * np.dtype(dtype).itemsize
        if goes_to_disk(size):
            try:
                self._file, view = scratch(size)
            except OSError:
                pass  # another program was quicker to fill the disk
            else:
                self.pixels = np.frombuffer(view, dtype).reshape(shape)
                return
        self.pixels = np.empty(shape, dtype)

    def store(self) -> Store:
        """What was filled in, to be read only; the room is gone."""
        pixels = self.__dict__.pop("pixels")
        if self._file is None:
            return HeldStore(pixels)
        return FiledStore(self._file, pixels.shape, pixels.dtype)


class FiledStore:
    """Finished pixels in a file of our own."""

    def __init__(self, file: BinaryIO, shape: tuple[int, ...], dtype: np.dtype):
        self._file, self._lock = file, threading.Lock()
        self.height, self.width, self.channels = shape
        self.dtype = dtype

    def bands(self, max_pixels: int) -> list[tuple[int, int]]:
        return even_bands(self.height, self.width, max_pixels)

    def read(self, y0: int, y1: int, x0: int, x1: int) -> np.ndarray:
        pixels = np.empty((y1 - y0, x1 - x0, self.channels), self.dtype)
        pixel = self.channels * self.dtype.itemsize
        if x1 - x0 == self.width:
            self._read_into(y0 * self.width * pixel, pixels)
        else:
            for y, row in zip(range(y0, y1), pixels, strict=True):
                self._read_into((y * self.width + x0) * pixel, row)
        return pixels

    def _read_into(self, offset: int, target: np.ndarray) -> None:
        rest = target.data.cast("B")
        with self._lock:
            self._file.seek(offset)
            while rest:
                # one call moves at most two gigabytes
                rest = rest[self._file.readinto(rest) :]  # type: ignore[attr-defined]
