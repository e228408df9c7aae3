"""Finding profiles: a report of what lies in the system's and the person's folders.

A scan reads only what is new: files are known again by size and times, measurements by
checksum.  It can be repeated at any time; nothing needs restarting.
"""

from __future__ import annotations

import datetime as dt
import os
import time
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, replace
from pathlib import Path

from workbench import files
from workbench.colour.profile import DEVICE_CLASSES, MOST_PROFILE_BYTES
from workbench.errors import Cancelled, FileError, LibraryError
from workbench.language import tr
from workbench.library.cache import Cache, load_cache, save_cache
from workbench.library.examine import Examiner, facts_from, with_examiners
from workbench.library.folders import system_profile_folders
from workbench.library.walk import MOST_ENTRIES, Problems, walk
from workbench.paper import PaperFacts

_HEADER_BYTES = 132


@dataclass(frozen=True)
class FoundProfile:
    """An output profile on this computer.

    Attributes
    ----------
    path : of its file.
    description : its own; the file's name where it has none.
    device_class, space, version : as for `workbench.colour.profile.Profile`.
    checksum : SHA-256 of the file.
    size_bytes : of the file.
    modified : when the file was last written, UTC.
    created : when the profile says that it was made, UTC, or None.
    facts : white, black, volume and more, or None.
    note : why there are no facts; None also where they have not been measured yet.
    duplicate_of : path of an earlier file of the same bytes, or None.
    status : "new", "changed" or "known" since a scan last listed this path.
    """

    path: Path
    description: str
    device_class: str
    space: str
    version: tuple[int, int]
    checksum: str
    size_bytes: int
    modified: dt.datetime
    created: dt.datetime | None = None
    facts: PaperFacts | None = field(default=None, repr=False)
    note: str | None = None
    duplicate_of: Path | None = None
    status: str = "new"


@dataclass(frozen=True)
class ScanReport:
    """What a scan came to.

    Attributes
    ----------
    found : output profiles, by description.
    problems : sentences about what could not be read or was left out.
    others : how many sound profiles of other kinds there were (screens, cameras, …).
    gone : paths that an earlier scan listed and that are no longer there.
    looked_at : how many files and folders were looked at.
    complete : False where a limit ended the scan; ``problems`` says so.
    first : no scan was remembered, so that all is new.
    folders : that were looked through.
    seconds : that it took.
    """

    found: tuple[FoundProfile, ...]
    problems: tuple[str, ...]
    others: int
    gone: tuple[Path, ...]
    looked_at: int
    complete: bool
    first: bool
    folders: tuple[Path, ...]
    seconds: float


@dataclass(frozen=True)
class _Outcome:
    """What came of one file: another kind of profile, a problem, or a record."""

    checksum: str | None = None
    record: dict | None = None
    mark: tuple | None = None
    problem: str | None = None


def scan_profiles(
    folders: Iterable | str | os.PathLike | None = None,
    *,
    cache=None,
    measure: bool = True,
    most_entries: int = MOST_ENTRIES,
    cancelled: Callable[[], bool] | None = None,
    progress: Callable[[float], None] | None = None,
) -> ScanReport:
    """Look for output profiles, and measure those that are new.

    Parameters
    ----------
    folders : to look through, with the folders in them; by default those of the system.
        For both: ``[*system_profile_folders(), "my profiles"]``.
    cache : folder in which measurements are remembered; by default the person's own.
    measure : False lists at once and leaves ``facts`` of new profiles to `measure_found`.
    most_entries : files and folders looked at before the scan ends and says so.
    cancelled : asked now and then; true ends the scan with `Cancelled`.  What was measured
        until then is remembered, what was listed is not.
    progress : called with the fraction done, 0..1.

    Returns
    -------
    A ScanReport: the profiles found, and what could not be read.

    Raises
    ------
    Cancelled
        and nothing else: whatever the folders hold ends in the report.

    Examples
    --------
    >>> _ = (folder / "one.icc").write_bytes(papers[0].profile)
    >>> len(wb.scan_profiles(folder, cache=folder / "cache").found)
    1
    """
    begin = time.perf_counter()
    problems, memory = Problems(), load_cache(cache)
    if memory.damaged:
        problems.add(
            tr(
                "What was remembered of earlier scans in “{path}” cannot be used; it is "
                "measured anew.",
                path=files.shown(memory.path),
            )
        )
    system = system_profile_folders()
    ground = walk(
        system if folders is None else _paths(folders, problems),
        problems,
        may_lack=system,
        most_bytes=MOST_PROFILE_BYTES,
        most_entries=most_entries,
        cancelled=cancelled,
    )
    outcomes = _outcomes(ground.candidates, memory, measure, problems, cancelled, progress)
    first = not memory.seen
    found, others = _found(ground.candidates, outcomes, memory, problems)
    gone = _gone(ground.roots, memory)
    memory.forget(str(path) for path in gone)
    memory.seen.update((str(each.path), each.checksum) for each in found)
    _remember(memory, problems)
    return ScanReport(
        found=tuple(sorted(found, key=lambda each: (each.description.casefold(), each.path))),
        problems=problems.sentences(),
        others=others,
        gone=gone,
        looked_at=ground.looked_at,
        complete=ground.complete,
        first=first,
        folders=tuple(ground.roots),
        seconds=time.perf_counter() - begin,
    )


def measure_found(
    report: ScanReport,
    *,
    cache=None,
    cancelled: Callable[[], bool] | None = None,
    progress: Callable[[float], None] | None = None,
) -> ScanReport:
    """The same report with the facts of all profiles, for one made with ``measure=False``.

    Parameters and errors as for `scan_profiles`.
    """
    begin = time.perf_counter()
    problems, memory = Problems(), load_cache(cache)
    for sentence in report.problems:
        problems.add(sentence)
    missing = {each.path: each for each in report.found if not each.facts and not each.note}
    wanted = []
    for path in missing:
        try:
            wanted.append((path, files.status_of(path, MOST_PROFILE_BYTES)))
        except FileError as problem:
            problems.add(str(problem))
    outcomes = _outcomes(wanted, memory, True, problems, cancelled, progress)
    _remember(memory, problems)
    found = []
    for each in report.found:
        outcome = outcomes.get(each.path)
        if outcome is None or outcome.record is None:
            found.append(each)
        elif "broken" in outcome.record:
            found.append(replace(each, note=outcome.record["broken"]))
        elif outcome.checksum != each.checksum:
            changed = tr("The file has changed since it was listed; scan again.")
            found.append(replace(each, note=changed))
        else:
            facts, note = _measured(outcome.record)
            found.append(replace(each, facts=facts, note=note))
    seconds = report.seconds + time.perf_counter() - begin
    return replace(report, found=tuple(found), problems=problems.sentences(), seconds=seconds)


def _paths(folders, problems: Problems) -> list[Path]:
    if isinstance(folders, (str, os.PathLike)):
        folders = [folders]
    paths = []
    for folder in folders:
        try:
            paths.append(files.path_of(folder).absolute())
        except FileError as problem:
            problems.add(str(problem))
    return list(dict.fromkeys(paths))


def _outcomes(candidates, memory: Cache, measure, problems, cancelled, progress) -> dict:
    """path -> `_Outcome`; new measurements go into the memory, also when cancelled."""
    outcomes, unknown = {}, []
    for path, status in candidates:
        known = memory.known.get(str(path))
        record = memory.profiles.get(known[3]) if known else None
        if (
            known
            and record
            and known[:3] == files.fingerprint(status)
            and _suffices(record, measure)
        ):
            outcomes[path] = _Outcome(known[3], record, known[:3])
        else:
            unknown.append(path)

    def work(path: Path, examiner: Examiner) -> _Outcome:
        return _outcome(path, examiner, memory, measure)

    try:
        for path, outcome in with_examiners(unknown, work, cancelled=cancelled, progress=progress):
            outcomes[path] = outcome
            if outcome.record is not None:
                memory.profiles[outcome.checksum] = outcome.record
            if outcome.mark is not None:
                memory.known[str(path)] = (*outcome.mark, outcome.checksum)
    except Cancelled:
        _remember(memory, problems)
        raise
    if progress is not None:
        progress(1.0)
    return outcomes


def _suffices(record: dict, measure: bool) -> bool:
    return "broken" in record or record["measured"] or not measure


def _outcome(path: Path, examiner: Examiner, memory: Cache, measure: bool) -> _Outcome:
    try:
        head = files.read_regular(path, MOST_PROFILE_BYTES, first=_HEADER_BYTES)
        if len(head) < _HEADER_BYTES or head[36:40] != b"acsp":
            return _Outcome(problem=tr("“{path}” is not an ICC profile.", path=files.shown(path)))
        if DEVICE_CLASSES.get(head[12:16], "output") != "output":
            return _Outcome()
        mark = files.fingerprint(files.status_of(path, MOST_PROFILE_BYTES))
        data = files.read_regular(path, MOST_PROFILE_BYTES)
        checksum = files.checksum(data)
        record = memory.profiles.get(checksum)
        if record is None or not _suffices(record, measure):
            record = examiner.examine(data, measure)
    except (FileError, LibraryError) as problem:
        return _Outcome(problem=str(problem))
    return _Outcome(checksum, record, mark)


def _found(candidates, outcomes: dict, memory: Cache, problems: Problems):
    """The output profiles in order of finding, and how many of other kinds there were."""
    found, others = [], 0
    first: dict[str, Path] = {}
    for path, status in candidates:
        outcome = outcomes[path]
        if outcome.problem:
            problems.add(outcome.problem)
        elif outcome.record is None:
            others += 1
        elif "broken" in outcome.record:
            problems.add(
                tr(
                    "“{path}”: {problem}",
                    path=files.shown(path),
                    problem=outcome.record["broken"],
                )
            )
        else:
            record, checksum = outcome.record, outcome.checksum
            before = memory.seen.get(str(path))
            facts, note = _measured(record)
            found.append(
                FoundProfile(
                    path=path,
                    description=record["description"] or files.shown(path.stem),
                    device_class=record["device_class"],
                    space=record["space"],
                    version=tuple(record["version"]),
                    checksum=checksum,
                    size_bytes=status.st_size,
                    modified=dt.datetime.fromtimestamp(_plausible(status.st_mtime), dt.UTC),
                    created=_moment(record["created"]),
                    facts=facts,
                    note=note,
                    duplicate_of=first.get(checksum),
                    status="new"
                    if before is None
                    else "known"
                    if before == checksum
                    else "changed",
                )
            )
            first.setdefault(checksum, path)
    return found, others


def _measured(record: dict) -> tuple[PaperFacts | None, str | None]:
    return facts_from(record["facts"]), record["note"]


def _moment(text: str | None) -> dt.datetime | None:
    try:
        return dt.datetime.fromisoformat(text).replace(tzinfo=dt.UTC) if text else None
    except ValueError:
        return None


def _plausible(seconds: float) -> float:
    """Within the years that dates can hold; file systems hold others."""
    return min(max(seconds, -2e9), 2.5e11)


def _gone(roots, memory: Cache) -> tuple[Path, ...]:
    paths = [Path(each) for each in memory.seen]
    return tuple(
        sorted(
            path
            for path in paths
            if any(root in path.parents for root in roots) and not os.path.lexists(path)
        )
    )


def _remember(memory: Cache, problems: Problems) -> None:
    try:
        save_cache(memory)
    except LibraryError as problem:
        problems.add(tr("The next scan starts from nothing. {problem}", problem=problem))
