"""What earlier scans measured and saw, in a JSON file that may be deleted or damaged at any time."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path

from workbench import colour, files, paper
from workbench.errors import LibraryError
from workbench.language import LANGUAGE
from workbench.library.examine import facts_from
from workbench.library.folders import user_cache_folder

FILE_NAME = "profiles.json"
_VERSION = 1
_MOST_BYTES = 128 * 2**20
_MOST = 50_000


@dataclass
class Cache:
    """The memory of scans.

    Attributes
    ----------
    path : of its file.
    profiles : checksum -> record, see `workbench.library.examine.examine`.
    known : path -> (size, modified, changed, checksum), to know a file without reading it.
    seen : path -> checksum when a finished scan last listed it.
    damaged : the file was there and could not be used.
    """

    path: Path
    profiles: dict[str, dict] = field(default_factory=dict)
    known: dict[str, tuple[int, int, int, str]] = field(default_factory=dict)
    seen: dict[str, str] = field(default_factory=dict)
    damaged: bool = False
    forgotten: set[str] = field(default_factory=set)

    def forget(self, paths: Iterable[str]) -> None:
        """Strike out paths that are no longer there."""
        self.forgotten.update(paths)
        for path in self.forgotten:
            self.known.pop(path, None)
            self.seen.pop(path, None)


@lru_cache(maxsize=1)
def measuring_mark() -> str:
    """Changes whenever the code that measures does, so that no old figures survive it."""
    digest = hashlib.sha256()
    sources = sorted(Path(colour.__file__).parent.glob("*.py"))
    for source in (Path(paper.__file__), *sources):
        digest.update(source.read_bytes())
    if LANGUAGE != "en":  # what is wrong with a profile is remembered in words
        digest.update(LANGUAGE.encode())
    return digest.hexdigest()[:16]


def load_cache(folder=None) -> Cache:
    """The memory kept in a folder; empty where there is none, or none that can be used.

    Parameters
    ----------
    folder : by default the person's cache folder.
    """
    cache = Cache((user_cache_folder() if folder is None else Path(folder)) / FILE_NAME)
    try:
        data = files.read_regular(cache.path, _MOST_BYTES, missing_ok=True)
        if data is None:
            return cache
        stored = json.loads(data)
    except (ValueError, RecursionError):
        cache.damaged = True
        return cache
    if not isinstance(stored, dict) or stored.get("version") != _VERSION:
        cache.damaged = True
        return cache
    cache.profiles = {
        checksum: record
        for checksum, record in _table(stored, "profiles")
        if isinstance(record, dict) and _is_record(record)
    }
    if stored.get("mark") != measuring_mark():
        # what could not be read may be readable to newer code as well
        cache.profiles = {
            checksum: {**record, "measured": False, "facts": None, "note": None}
            for checksum, record in cache.profiles.items()
            if "broken" not in record
        }
    cache.known = {
        path: tuple(mark)
        for path, mark in _table(stored, "known")
        if isinstance(mark, list)
        and len(mark) == 4
        and all(isinstance(each, int) for each in mark[:3])
        and isinstance(mark[3], str)
    }
    cache.seen = {p: c for p, c in _table(stored, "seen") if isinstance(c, str)}
    return cache


def _table(stored: dict, name: str):
    table = stored.get(name)
    return table.items() if isinstance(table, dict) else ()


def _is_record(record: dict) -> bool:
    if "broken" in record:
        return isinstance(record["broken"], str)
    version = record.get("version")
    return (
        all(isinstance(record.get(key), str) for key in ("description", "device_class", "space"))
        and isinstance(version, list)
        and len(version) == 2
        and all(isinstance(each, int) for each in version)
        and isinstance(record.get("measured"), bool)
        and isinstance(record.get("created"), str | None)
        and _is_outcome(record["measured"], record.get("facts"), record.get("note"))
    )


def _is_outcome(measured: bool, facts, note) -> bool:
    if not measured:
        return facts is None and note is None
    if facts is None:
        return isinstance(note, str)
    return note is None and facts_from(facts) is not None


def save_cache(cache: Cache) -> None:
    """Write the memory whole, with what another scan has measured meanwhile.

    Raises
    ------
    LibraryError
        if it cannot be written; the scan itself is none the worse.
    """
    other = load_cache(cache.path.parent)
    profiles = {**other.profiles, **cache.profiles}
    known = {**other.known, **cache.known}
    seen = {**other.seen, **cache.seen}
    for path in cache.forgotten:
        known.pop(path, None)
        seen.pop(path, None)
    if max(len(profiles), len(known)) > _MOST:
        # what lay in folders that nobody has asked for lately
        known = cache.known
        wanted = {mark[3] for mark in known.values()}
        profiles = {checksum: each for checksum, each in profiles.items() if checksum in wanted}
    stored = {
        "version": _VERSION,
        "mark": measuring_mark(),
        "profiles": profiles,
        "known": known,
        "seen": seen,
    }
    try:
        cache.path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as problem:
        raise LibraryError(files.trouble(problem, cache.path.parent)) from None
    data = json.dumps(stored).encode()
    files.write_whole(cache.path, data, overwrite=True, error=LibraryError)
