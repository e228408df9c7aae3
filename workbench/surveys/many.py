"""Thousands of pictures on several papers, through any executor, to be gone on with later."""

from __future__ import annotations

import math
import os
import tempfile
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import (
    FIRST_COMPLETED,
    BrokenExecutor,
    Executor,
    Future,
    ProcessPoolExecutor,
    wait,
)
from dataclasses import dataclass, field
from multiprocessing import get_context
from pathlib import Path

from workbench.analysis.gamut import checked_threshold
from workbench.decisions import DECISIONS
from workbench.errors import Cancelled, WorkbenchError
from workbench.files import path_of, shown
from workbench.language import tr
from workbench.paper import Paper
from workbench.picture.sniff import EXTENSIONS
from workbench.rendering import DEFAULTS
from workbench.results import Result
from workbench.surveys import page, tables
from workbench.surveys.journal import Journal, stamp_of
from workbench.surveys.judging import KEYS, Asked, Judged, judge

# pictures that go to a process at once: papers travel with each handful
_HANDFUL = 8
# handfuls under way for each process, so that none waits
_AHEAD = 2
_WORKERS_UNKNOWN = 16
_ENDINGS = tuple(end for ends in EXTENSIONS.values() for end in ends)
_ENDED = tr("The process that read it came to an end twice; the file may be damaged or too large.")


@dataclass(frozen=True, eq=False)
class Survey(Result):
    """What each picture would do on each paper.  Rows stay on disk and are read as asked for.

    Attributes
    ----------
    pictures : paths, in order.
    papers : names, in order.
    failures : (path, why) of pictures that could not be judged.
    path : of the file that holds what was found.
    threshold : CIEDE2000 beyond which a colour was counted as out of gamut.
    """

    pictures: tuple[str, ...] = field(repr=False)
    papers: tuple[str, ...]
    failures: tuple[tuple[str, str], ...]
    path: Path
    threshold: float
    _journal: Journal = field(repr=False)
    _held: object = field(repr=False, default=None)

    def __iter__(self) -> Iterator[dict]:
        """Rows as dictionaries by the keys of `judging.COLUMNS`, a picture after the other."""
        return (dict(zip(KEYS, row, strict=True)) for row in self._lines())

    def table(self) -> list[dict]:
        """All rows at once."""
        return list(self)

    def write_csv(self, path, *, overwrite: bool = False) -> Path:
        """All rows as CSV, titles first; whole or not at all.  Returns its path."""
        return tables.write_csv(self._lines(), path, overwrite=overwrite)

    def write_parquet(self, path, *, overwrite: bool = False) -> Path:
        """All rows as Parquet, with the package pyarrow; whole or not at all."""
        return tables.write_parquet(self._lines(), path, overwrite=overwrite)

    def write_page(
        self, path, *, by: str = "share_outside", most: int = 300, overwrite: bool = False
    ) -> Path:
        """A page of thumbnails, for each paper those with most of a figure first.

        Parameters
        ----------
        by : key of a column of numbers.
        most : pictures shown for each paper.
        """
        return page.write_page(self, path, by, most, overwrite)

    @property
    def sentence(self) -> str:
        """How far it came."""
        done = len(self.pictures) - len(self.failures)
        many = tr("{done:,} pictures", done=done) if done != 1 else tr("1 picture")
        count = len(self.papers)
        papers = tr("on {count} papers", count=count) if count != 1 else tr("on 1 paper")
        if not self.failures:
            return tr("{many} judged {on_papers}.", many=many, on_papers=papers)
        return tr(
            "{many} judged {on_papers}; {failed:,} could not be judged.",
            many=many,
            on_papers=papers,
            failed=len(self.failures),
        )

    def _lines(self) -> Iterator[tuple]:
        for each in self.judged():
            yield from each.rows

    def judged(self) -> Iterator[Judged]:
        """What was found, a picture after the other."""
        return self._journal.read(self.pictures)


def survey(
    pictures,
    papers: Iterable[Paper],
    executor: Executor | None = None,
    *,
    keep_in=None,
    ppi: float | None = None,
    threshold: float | None = None,
    assume_profile: str | None = None,
    progress: Callable[[float], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> Survey:
    """Judge many pictures on each of several papers.

    Parameters
    ----------
    pictures : a folder, looked through with all in it, or paths.
    papers : with profiles.
    executor : of `concurrent.futures`; a pool of processes on this computer if left out.
        Files must be under the same paths where it runs, as on a cluster with shared disks.
    keep_in : file for what is found, made if it is not there.  Where it holds a part of the
        same survey, only the rest is done; a picture that has changed is judged again.
        Left out, it is a temporary file that goes with the result.
    ppi : at which print sizes are told; the plan's default if left out.
    threshold : CIEDE2000 beyond which a colour is out of gamut.
    assume_profile : for pictures without a profile, which otherwise fail.
    progress : told the share done, 0..1.
    cancelled : asked between handfuls; true ends with `Cancelled`, what was found is kept.

    Returns
    -------
    A `Survey`.

    Raises
    ------
    WorkbenchError
        without pictures or papers, for a ``keep_in`` that holds something else, or where the
        executor given breaks down.

    Examples
    --------
    >>> done = wb.survey([folder / "nothing.tif"], papers[:1], keep_in=folder / "found.jsonl")
    >>> done.sentence
    '0 pictures judged on 1 paper; 1 could not be judged.'
    """
    papers = _checked_papers(papers)
    paths = _paths(pictures)
    asked = Asked(
        ppi=DECISIONS["ppi"].check(DECISIONS["ppi"].default if ppi is None else ppi),
        threshold=checked_threshold(DEFAULTS.threshold if threshold is None else threshold),
        assume_profile=assume_profile,
    )
    held = tempfile.TemporaryDirectory() if keep_in is None else None
    kept = Path(held.name) / "survey.jsonl" if held else path_of(keep_in)
    journal = Journal(kept, papers, asked)
    stamps = {path: stamp_of(path) for path in paths}
    waiting = [path for path in paths if not journal.has(path, stamps[path])]
    of = max(len(paths), 1)
    done = len(paths) - len(waiting)

    def keep(found: list[Judged]) -> None:
        nonlocal done
        journal.add(found)
        done += len(found)
        if progress:
            progress(done / of)
        if cancelled and cancelled():
            raise Cancelled

    if progress:
        progress(done / of)
    tasks = [(path, stamps[path]) for path in waiting]
    _hand_out(tasks, papers, asked, executor, keep)
    failures = [(each.path, each.failure) for each in journal.read(paths) if each.failure]
    names = tuple(paper.name for paper in papers)
    return Survey(tuple(paths), names, tuple(failures), kept, asked.threshold, journal, held)


def _hand_out(tasks: list, papers, asked: Asked, executor: Executor | None, keep) -> None:
    """Let the executor judge all, a few handfuls ahead; pools of our own are made anew."""
    suspects: list = []
    while tasks or suspects:
        pool = executor or ProcessPoolExecutor(mp_context=get_context("spawn"))
        workers = getattr(pool, "_max_workers", None) or _WORKERS_UNKNOWN
        # the last ones in smaller handfuls, so that no process is left with all of the rest
        size = max(1, min(_HANDFUL, math.ceil(len(tasks) / (_AHEAD * workers))))
        # what was under way at a breakdown goes one by one, so that only the cause is given up
        handfuls = [[task] for task in suspects] or [
            tasks[at : at + size] for at in range(0, len(tasks), size)
        ]
        ahead = 1 if suspects else _AHEAD * workers
        try:
            broken, rest = _through(pool, handfuls, ahead, papers, asked, keep)
        finally:
            if executor is None:
                pool.shutdown(cancel_futures=True)
        if (broken or rest) and executor is not None:
            raise WorkbenchError(
                tr(
                    "The executor broke down. What was found so far is kept: name the same file "
                    "as keep_in to go on."
                )
            )
        if suspects:
            for path, stamp in broken:
                keep([Judged(path, stamp, failure=_ENDED)])
            suspects = rest
        else:
            suspects, tasks = broken, rest


def _through(pool: Executor, handfuls: list, ahead: int, papers, asked, keep) -> tuple:
    """Returns the tasks that were under way when the pool broke, and those not begun."""
    rest = iter(handfuls)
    under_way: dict[Future, list] = {}
    broken: list = []
    try:
        while True:
            while len(under_way) < ahead and not broken and (some := next(rest, None)):
                try:
                    under_way[pool.submit(judge, some, papers, asked)] = some
                except BrokenExecutor:
                    broken += some
            if not under_way:
                return broken, [task for some in rest for task in some]
            found: list[Judged] = []
            for future in wait(under_way, return_when=FIRST_COMPLETED).done:
                some = under_way.pop(future)
                try:
                    found += future.result()
                except BrokenExecutor:
                    broken += some
            keep(found)
    finally:
        for future in under_way:
            future.cancel()


def _checked_papers(papers) -> tuple[Paper, ...]:
    papers = (papers,) if isinstance(papers, Paper) else tuple(papers)
    if not papers:
        raise WorkbenchError(tr("There is no paper to judge on; give at least one."))
    for paper in papers:
        if not isinstance(paper, Paper):
            raise WorkbenchError(
                tr(
                    "“{shown}” has no profile, so pictures cannot be judged on it; open its "
                    "profile with open_paper.",
                    shown=shown(getattr(paper, "name", paper)),
                )
            )
    return papers


def _paths(pictures) -> list[str]:
    """Absolute paths, each once, in order."""
    if isinstance(pictures, (str, os.PathLike)):
        folder = path_of(pictures)
        if not folder.is_dir():
            raise WorkbenchError(
                tr("There is no folder “{shown}”; give one, or paths.", shown=shown(folder))
            )
        found = [
            os.path.join(where, name)
            for where, _, names in sorted(os.walk(folder))
            for name in sorted(names)
            if name.lower().endswith(_ENDINGS)
        ]
        if not found:
            raise WorkbenchError(
                tr(
                    "There is no picture in “{shown}” (TIFF, PNG and JPEG files are read).",
                    shown=shown(folder),
                )
            )
    else:
        found = [str(path_of(each)) for each in pictures]
        if not found:
            raise WorkbenchError(tr("There is no picture to judge; give a folder, or paths."))
    return list(dict.fromkeys(os.path.abspath(path) for path in found))
