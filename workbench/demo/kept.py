"""What is invented, remembered from one start to the next.

Working it out takes seconds of every start; the files may be deleted or damaged at any time,
and are not read once the code that makes what they hold has changed.
"""

from __future__ import annotations

import hashlib
import io
import zipfile
import zlib
from collections.abc import Callable, Iterable
from pathlib import Path

import numpy as np

from workbench.errors import FileError
from workbench.files import read_regular, write_whole
from workbench.library.cache import measuring_mark
from workbench.library.folders import user_cache_folder

_MOST_BYTES = 128 * 2**20
_MARK = "made by"


def kept(
    name: str, make: Callable[[], dict[str, np.ndarray]], sources: Iterable[Path]
) -> dict[str, np.ndarray]:
    """Arrays by their names, as ``make`` gives them.

    Parameters
    ----------
    name : of the file in the person's cache folder, without its ending.
    sources : of the code that says what they are; a change in it, or in how profiles are made,
        has them made anew.
    """
    digest = hashlib.sha256(measuring_mark().encode())
    for source in sources:
        digest.update(source.read_bytes())
    path, mark = user_cache_folder() / f"{name}.npz", digest.hexdigest()
    if (found := _read(path, mark)) is not None:
        return found
    made = make()
    held, arrays = io.BytesIO(), {_MARK: np.array(mark), **made}
    np.savez(held, **arrays)  # type: ignore[arg-type]  # no array is called allow_pickle
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        write_whole(path, held.getvalue(), overwrite=True, error=FileError)
    except (FileError, OSError):
        pass  # the next start takes as long as this one
    return made


def _read(path: Path, mark: str) -> dict[str, np.ndarray] | None:
    try:
        data = read_regular(path, _MOST_BYTES, missing_ok=True)
        with np.load(io.BytesIO(data or b""), allow_pickle=False) as file:
            if file[_MARK] != mark:
                return None
            # each array's bytes are held against their sum in the file
            return {name: file[name] for name in file.files if name != _MARK}
    except (FileError, OSError, ValueError, KeyError, EOFError, TypeError,
            zipfile.BadZipFile, zlib.error, NotImplementedError, RuntimeError):  # fmt: skip
        return None
