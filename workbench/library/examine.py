"""Examining strangers' profiles in processes of their own.

Profiles from anywhere reach native code here by the hundred.  A process apart keeps
the workbench alive whatever happens to it, uses the computer's other cores, and
leaves no memory behind.
"""

from __future__ import annotations

import dataclasses
import datetime as dt
import json
import math
import os
import queue
import struct
import subprocess
import sys
import threading
from collections import deque
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any, Self

from workbench.colour.profile import Profile, read_profile
from workbench.errors import Cancelled, LibraryError, ProfileError, WorkbenchError
from workbench.language import tr
from workbench.paper import PaperFacts, open_paper

_LONGEST_S = 30.0
_MOST_PROCESSES = 6
_HEADER = struct.Struct(">?Q")
_PACKAGE_PARENT = Path(__file__).resolve().parents[2]


def examine(data: bytes, measure: bool) -> dict:
    """What a profile is, ready for JSON.

    Returns
    -------
    {"broken": sentence}, or description, device_class, space, version, created (ISO, UTC,
    or None), measured, and after measuring either facts or a note why there are none.
    """
    try:
        profile = read_profile(data)
    except ProfileError as problem:
        return {"broken": str(problem)}
    record: dict[str, Any] = {
        "description": profile.description,
        "device_class": profile.device_class,
        "space": profile.space,
        "version": list(profile.version),
        "created": _created(profile),
        "measured": measure,
        "facts": None,
        "note": None,
    }
    if measure:
        try:
            record["facts"] = dataclasses.asdict(open_paper(data).facts)
        except WorkbenchError as problem:
            record["note"] = str(problem)
    return record


def _created(profile: Profile) -> str | None:
    # ICC.1:2022, 7.2.8: date and time of the profile's creation, UTC
    try:
        return dt.datetime(*struct.unpack_from(">6H", profile.data, 24)).isoformat()
    except ValueError:
        return None


def facts_from(stored) -> PaperFacts | None:
    """Facts from what JSON kept of them; None unless all is there and sound."""
    names = {each.name for each in dataclasses.fields(PaperFacts)}
    if not isinstance(stored, dict) or set(stored) != names:
        return None
    values = {}
    for name, value in stored.items():
        if name.endswith("_lab"):
            if not (isinstance(value, list) and len(value) == 3 and all(map(_finite, value))):
                return None
            value = tuple(value)
        elif name == "white_is_known":
            if not isinstance(value, bool):
                return None
        elif name in ("intents", "shared_intents"):
            if not isinstance(value, list):
                return None
            value = tuple(tuple(each) if isinstance(each, list) else each for each in value)
        elif not _finite(value):
            return None
        values[name] = value
    return PaperFacts(**values)


def _finite(value) -> bool:
    return isinstance(value, (int, float)) and not isinstance(value, bool) and math.isfinite(value)


def serve() -> None:
    """The process apart: profiles come in, one line of JSON for each goes out."""
    source, target = sys.stdin.buffer, sys.stdout.buffer
    while len(head := source.read(_HEADER.size)) == _HEADER.size:
        measure, size = _HEADER.unpack(head)
        target.write(json.dumps(examine(source.read(size), measure)).encode() + b"\n")
        target.flush()


class Examiner:
    """One process apart, started when first needed and anew after a mishap."""

    def __init__(self):
        self._process: subprocess.Popen[bytes] | None = None

    def examine(self, data: bytes, measure: bool) -> dict:
        """As `examine`; a profile that its process does not survive has a note that says so.

        Raises
        ------
        LibraryError
            if the system starts no process.
        """
        process = self._running()
        assert process.stdin is not None and process.stdout is not None
        timer = threading.Timer(_LONGEST_S, process.kill)
        timer.start()
        try:
            process.stdin.write(_HEADER.pack(measure, len(data)) + data)
            process.stdin.flush()
            answer = process.stdout.readline()
        except OSError:
            answer = b""
        finally:
            timer.cancel()
        if answer.endswith(b"\n"):
            return json.loads(answer)
        self._end()
        return {
            "broken": tr("The colour engine gave up on this profile; it is damaged or hostile.")
        }

    def _running(self) -> subprocess.Popen[bytes]:
        if self._process is None:
            # the package itself, and nothing that lies in the working folder
            paths = [str(_PACKAGE_PARENT), os.environ.get("PYTHONPATH", "")]
            command = "from workbench.library.examine import serve; serve()"
            try:
                self._process = subprocess.Popen(
                    [sys.executable, "-P", "-c", command],
                    stdin=subprocess.PIPE,
                    stdout=subprocess.PIPE,
                    stderr=subprocess.DEVNULL,
                    env={**os.environ, "PYTHONPATH": os.pathsep.join(filter(None, paths))},
                    # an interrupt meant for the workbench is not a mishap with a profile
                    start_new_session=True,
                    creationflags=getattr(subprocess, "CREATE_NO_WINDOW", 0),
                )
            except OSError as problem:
                raise LibraryError(
                    tr(
                        "Profiles are examined in a process of their own, and the system starts none "
                        "({reason}).",
                        reason=problem.strerror or type(problem).__name__,
                    )
                ) from None
        return self._process

    def _end(self) -> None:
        process, self._process = self._process, None
        if process is not None:
            process.kill()
            assert process.stdin is not None and process.stdout is not None
            process.stdout.close()
            try:
                process.stdin.close()
            except OSError:
                # what was not sent yet has nowhere to go
                pass
            process.wait()

    def interrupt(self) -> None:
        """End the process from another thread; the profile at work counts for nothing."""
        process = self._process
        if process is not None:
            process.kill()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_) -> None:
        self._end()


def with_examiners(
    items: Sequence,
    work: Callable,
    *,
    cancelled: Callable[[], bool] | None = None,
    progress: Callable[[float], None] | None = None,
):
    """Yield (item, work(item, examiner)) as they are done, on a few threads.

    ``cancelled`` and ``progress`` are called on the caller's thread.

    Raises
    ------
    Cancelled
    """
    todo = deque(items)
    done: queue.SimpleQueue[tuple[Any, Any, BaseException | None]] = queue.SimpleQueue()
    ending = threading.Event()
    examiners = [Examiner() for _ in range(min(len(items), os.cpu_count() or 1, _MOST_PROCESSES))]

    def run(examiner: Examiner) -> None:
        with examiner:
            while not ending.is_set():
                try:
                    item = todo.popleft()
                except IndexError:
                    return
                try:
                    done.put((item, work(item, examiner), None))
                except BaseException as problem:
                    done.put((item, None, problem))

    threads = [threading.Thread(target=run, args=(each,), daemon=True) for each in examiners]
    for thread in threads:
        thread.start()
    try:
        for count in range(len(items)):
            item, result, problem = _next(done, cancelled)
            if problem is not None:
                raise problem
            yield item, result
            if progress is not None:
                progress((count + 1) / len(items))
    finally:
        ending.set()
        for examiner in examiners:
            examiner.interrupt()
        for thread in threads:
            thread.join()


def _next(done: queue.SimpleQueue, cancelled):
    while True:
        if cancelled is not None and cancelled():
            raise Cancelled
        try:
            return done.get(timeout=0.1)
        except queue.Empty:
            continue
