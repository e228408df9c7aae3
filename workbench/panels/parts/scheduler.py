"""Who works when: one scheduler for a desk, where the newest request wins.

A slider that moves on must not queue what it leaves behind, and must not wait for the
count of a whole picture.  What is quick is worked out where it is asked for; the rest
goes to one of three lanes, each with one thread: what makes a picture finer, what reads
a whole picture, and what opens and writes files.  Results are shown by one thread at a time,
whoever holds the ``turn``; there is no other lock.
"""

from __future__ import annotations

import math
import threading
import time
from dataclasses import dataclass, field

from workbench.language import tr
from workbench.panels.parts.guard import report

#: lanes: finer pictures and lists, whole pictures, files that are opened or written
FINER, WHOLE, FILES = "finer", "whole", "files"
REST_S = 0.04
_PROGRESS_GAP_S = 0.1
_LINGER_S = 5.0


@dataclass(eq=False)
class _Request:
    key: object
    function: object
    on_done: object
    on_progress: object = None
    on_error: object = None
    status: object = None
    due: float = math.inf
    cancelled: bool = field(default=False)

    def told(self, fraction: float, text: str) -> None:
        if self.on_progress is not None:
            self.on_progress(fraction, text)
        elif self.status is not None:
            self.status.working(text or tr("Working"), fraction)

    def failed(self, error: BaseException) -> None:
        if self.on_error is not None:
            self.on_error(error)
        else:
            report(self.status, error, self.key)


class Scheduler:
    """The work of a desk, or of a panel that stands alone.

    Parameters
    ----------
    rest_s : seconds a request must stay the newest before it starts, unless it says.
    linger_s : seconds an idle thread stays; a later request starts a new one, so a desk
        that is run again leaves no threads behind.

    Attributes
    ----------
    turn : the lock that whoever sets or shows anything holds.
    """

    def __init__(self, rest_s: float = REST_S, linger_s: float = _LINGER_S):
        self.rest_s, self.linger_s = rest_s, linger_s
        self.turn = threading.RLock()
        self._changed = threading.Condition()  # guards what is below, held for moments only
        self._lanes = {name: _Lane(self, name) for name in (FINER, WHOLE, FILES)}
        self._closed = False

    def submit(
        self, key, function, on_done, on_progress=None, on_error=None, status=None, *,
        lane: str = WHOLE, rest_s: float | None = None,
    ) -> None:  # fmt: skip
        """Ask for work; an older request with the same key in the same lane is given up.

        function(cancelled, progress) runs on the lane's thread and returns the result.
        ``cancelled()`` says whether a newer request came: check it between strips and
        return (or raise Cancelled).  ``progress(fraction, text="")`` may be called as
        often as wanted.

        on_done(result), on_progress(fraction, text) and on_error(exception) are called
        with the turn, and only while the request is the newest of its key.  With a
        ``status`` line, progress shows there unless ``on_progress`` is given, errors
        become a sentence there unless ``on_error`` is given, and success clears both;
        without either, errors are logged.

        When ``submit`` or ``cancel`` returns, no older result for the key is being shown
        any more, so a preview shown afterwards stays.  After ``close`` requests are
        ignored.
        """
        request = _Request(key, function, on_done, on_progress, on_error, status)
        rest_s = self.rest_s if rest_s is None else rest_s
        with self.turn, self._changed:
            if not self._closed:
                request.due = time.monotonic() + rest_s
                self._lanes[lane].take(request)
                self._changed.notify_all()

    def on(self, lane: str, rest_s: float | None = None) -> Work:
        """One user's door to a lane: its keys are its own."""
        return Work(self, lane, rest_s)

    def cancel(self, key=None) -> None:
        """Give up the requests of one key, or all of them."""
        with self.turn, self._changed:
            for lane in self._lanes.values():
                lane.drop(key)
            self._changed.notify_all()

    def is_busy(self, key=None) -> bool:
        """Whether work for this key (or any) is waiting or running."""
        keys = self.keys()
        return bool(keys) if key is None else key in keys

    def keys(self) -> set:
        """Of all that waits or runs."""
        with self._changed:
            return set().union(*(lane.keys() for lane in self._lanes.values()))

    def wait_until_idle(self, timeout: float = 10, of: Work | None = None) -> bool:
        """Wait until nothing waits, runs or is shown; False if it took longer.

        With ``of``, only what came through that door counts.  What rests begins at once:
        whoever waits for it does not go on.
        """

        def concerned(key) -> bool:
            return of is None or (isinstance(key, tuple) and key[0] is of)

        def idle() -> bool:
            busy, now = False, time.monotonic()
            for lane in self._lanes.values():
                waiting = [each for each in lane.waiting.values() if concerned(each.key)]
                for each in waiting:
                    if each.due > now:
                        each.due = now
                        self._changed.notify_all()
                running = lane.running is not None and concerned(lane.running.key)
                busy = busy or running or bool(waiting)
            return not busy

        with self._changed:
            return self._changed.wait_for(idle, timeout)

    def close(self, timeout: float = 2) -> None:
        """Give up everything and end the threads (waits for each, up to ``timeout``)."""
        with self._changed:
            self._closed = True
            threads = [lane.thread for lane in self._lanes.values() if lane.thread]
        self.cancel()
        for thread in threads:
            if thread is not threading.current_thread():
                thread.join(timeout)


class Work:
    """One user's door to a lane of the desk's scheduler; its keys meet no other's."""

    def __init__(self, scheduler: Scheduler, lane: str, rest_s: float | None):
        self.scheduler, self.lane, self.rest_s = scheduler, lane, rest_s

    def submit(self, key, *given, **named) -> None:
        """As `Scheduler.submit`."""
        self.scheduler.submit((self, key), *given, **named, lane=self.lane, rest_s=self.rest_s)

    def cancel(self, key=None) -> None:
        """Give up the request of one key, or all that came through this door."""
        for each in self._keys() if key is None else [(self, key)]:
            self.scheduler.cancel(each)

    def is_busy(self, key=None) -> bool:
        """Whether work for this key (or any from here) is waiting or running."""
        return bool(self._keys()) if key is None else self.scheduler.is_busy((self, key))

    def _keys(self) -> list:
        keys = self.scheduler.keys()
        return [key for key in keys if isinstance(key, tuple) and key[0] is self]

    def wait_until_idle(self, timeout: float = 10) -> bool:
        """Wait until nothing from here waits, runs or is shown; False if it took longer."""
        return self.scheduler.wait_until_idle(timeout, of=self)

    def close(self) -> None:
        """End the desk's scheduler."""
        self.scheduler.close()


class _Lane:
    """One thread and what waits for it; its owner's condition is held by every caller."""

    def __init__(self, owner: Scheduler, name: str):
        self.owner, self.name = owner, name
        self.waiting: dict = {}  # key -> request
        self.running: _Request | None = None
        self.thread: threading.Thread | None = None

    def take(self, request: _Request) -> None:
        self.drop(request.key)
        self.waiting[request.key] = request
        if self.thread is None:
            name = f"workbench-{self.name}"
            self.thread = threading.Thread(target=self._run, name=name, daemon=True)
            self.thread.start()

    def drop(self, key=None) -> None:
        if self.running is not None and (key is None or self.running.key == key):
            self.running.cancelled = True
        for each in list(self.waiting) if key is None else [key]:
            self.waiting.pop(each, None)

    def keys(self) -> set:
        running = self.running
        active = set() if running is None or running.cancelled else {running.key}
        return set(self.waiting) | active

    # on the lane's own thread ---------------------------------------------------

    def _run(self) -> None:
        changed = self.owner._changed
        while True:
            with changed:
                self.running = self._next_due()
                if self.running is None:
                    self.thread = None
                    return
            try:
                self._work(self.running)
            finally:
                with changed:
                    self.running = None
                    changed.notify_all()

    def _next_due(self) -> _Request | None:
        """Take the request that is due first; None when it is time to end."""
        idle_since = time.monotonic()
        while True:
            now = time.monotonic()
            if self.waiting:
                request = min(self.waiting.values(), key=lambda each: each.due)
                if request.due <= now:
                    return self.waiting.pop(request.key)
                self.owner._changed.wait(min(request.due - now, 60))
                idle_since = time.monotonic()
            elif self.owner._closed or now - idle_since >= self.owner.linger_s:
                return None
            else:
                self.owner._changed.wait(self.owner.linger_s - (now - idle_since))

    def _work(self, request: _Request) -> None:
        last = -math.inf

        def progress(fraction: float, text: str = "") -> None:
            nonlocal last
            now = time.monotonic()
            if now - last >= _PROGRESS_GAP_S:
                last = now
                self._show(request, request.told, min(max(float(fraction), 0.0), 1.0), text)

        try:
            result = request.function(lambda: request.cancelled, progress)
        except Exception as error:
            self._show(request, request.failed, error)
            return
        shown = self._show(request, request.on_done, result)
        if shown and request.status is not None:
            self._show(request, request.status.finished, request.key)

    def _show(self, request: _Request, callback, *given) -> bool:
        """Call back, if this is still the newest request of its key; True if it went well."""
        with self.owner.turn:
            if request.cancelled:
                return False
            try:
                callback(*given)
                return True
            except Exception as error:
                report(request.status, error, request.key)
                return False
