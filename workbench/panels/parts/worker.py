"""One background thread where the newest request wins.

A slider that moves on must not queue what it leaves behind.  A handler does
its quick preview itself and hands the long work (the whole picture) to a
``NewestWins``: a newer request with the same key replaces an older one, whether
it waits, runs or is about to publish.
"""

from __future__ import annotations

import math
import threading
import time

from workbench.panels.parts.guard import report

_PUBLISH_WAIT_S = 0.25


class _Request:
    def __init__(self, key, function, on_done, on_progress, on_error, status):
        self.key = key
        self.function = function
        self.on_done = on_done
        self.on_progress = on_progress or (self.working if status is not None else None)
        self.on_error = on_error or self.report
        self.status = status
        self.due = math.inf  # not before submit has returned
        self.cancelled = False

    def working(self, fraction: float, text: str) -> None:
        self.status.working(text or "Working", fraction)

    def report(self, error: BaseException) -> None:
        report(self.status, error, self.key)


class NewestWins:
    """A worker thread for a desk; the newest request for a key wins.

    Parameters
    ----------
    debounce_s : seconds a request must stay the newest before it starts.
    progress_hz : most progress reports per second passed on.
    linger_s : seconds an idle thread stays; a later request starts a new one,
        so a desk that is run again leaves no threads behind.
    """

    def __init__(self, debounce_s: float = 0.04, progress_hz: float = 10, linger_s: float = 5):
        self.debounce_s = debounce_s
        self._progress_gap_s = 1 / progress_hz
        self._linger_s = linger_s
        self._changed = threading.Condition()  # guards everything below
        self._waiting: dict = {}  # key -> request
        self._running: _Request | None = None
        self._publishing: _Request | None = None
        self._thread: threading.Thread | None = None
        self._closed = False

    def submit(self, key, function, on_done, on_progress=None, on_error=None, status=None) -> None:
        """Ask for work; older requests with the same key are cancelled.

        function(cancelled, progress) runs on the worker thread and returns the
        result.  ``cancelled()`` says whether a newer request came: check it
        between strips and return (or raise Cancelled).  ``progress(fraction,
        text="")`` may be called as often as wanted.

        on_done(result), on_progress(fraction, text) and on_error(exception) run
        on the worker thread, and only while the request is the newest of its
        key.  With a ``status`` line, progress shows there unless ``on_progress`` is
        given, errors of any of them become a sentence there unless ``on_error`` is
        given, and success clears both; without either, errors are logged.

        When ``submit`` or ``cancel`` returns, no older result for the key is being
        published any more (they wait at most a quarter second for an ``on_done``
        that holds them up).  So a handler that shows a quick preview first calls
        ``cancel(key)``, then shows it, then submits: neither an older result nor
        the new one can then be mixed up with the preview.  After ``close``
        requests are ignored.
        """
        with self._changed:
            if self._closed:
                return
            self._drop(key)
            request = _Request(key, function, on_done, on_progress, on_error, status)
            self._waiting[key] = request
            if self._thread is None:
                self._thread = threading.Thread(
                    target=self._run, name="workbench-newest-wins", daemon=True
                )
                self._thread.start()
            self._let_publishing_end(key)
            request.due = time.monotonic() + self.debounce_s
            self._changed.notify_all()

    def cancel(self, key=None) -> None:
        """Give up the request of one key, or all of them."""
        with self._changed:
            for each in self._keys() if key is None else [key]:
                self._drop(each)
            self._changed.notify_all()
            self._let_publishing_end(key)

    def wait_until_idle(self, timeout: float = 10) -> bool:
        """Wait until nothing waits, runs or publishes; False if it took longer."""
        with self._changed:
            return self._changed.wait_for(
                lambda: not self._waiting and self._running is None, timeout
            )

    def is_busy(self, key=None) -> bool:
        """Whether work for this key (or any) is waiting or running."""
        with self._changed:
            return bool(self._keys()) if key is None else key in self._keys()

    def close(self, timeout: float = 2) -> None:
        """Cancel everything and end the thread (waits for it, up to ``timeout``)."""
        with self._changed:
            self._closed = True
            thread = self._thread
        self.cancel()
        if thread is not None and thread is not threading.current_thread():
            thread.join(timeout)

    # -- inside; callers of these three hold the lock

    def _keys(self) -> set:
        running = self._running
        active = set() if running is None or running.cancelled else {running.key}
        return set(self._waiting) | active

    def _drop(self, key) -> None:
        self._waiting.pop(key, None)
        if self._running is not None and self._running.key == key:
            self._running.cancelled = True

    def _let_publishing_end(self, key) -> None:
        # from within on_done itself there is nothing to wait for
        if threading.current_thread() is self._thread:
            return
        self._changed.wait_for(
            lambda: self._publishing is None or (key is not None and self._publishing.key != key),
            _PUBLISH_WAIT_S,
        )

    # -- on the worker thread

    def _run(self) -> None:
        while True:
            with self._changed:
                request = self._next_due()
                if request is None:
                    self._thread = None
                    return
                self._running = request
            try:
                self._work(request)
            finally:
                with self._changed:
                    self._running = None
                    self._changed.notify_all()

    def _next_due(self) -> _Request | None:
        """Take the request that is due first; None when it is time to end."""
        idle_since = time.monotonic()
        while True:
            now = time.monotonic()
            if self._waiting:
                request = min(self._waiting.values(), key=lambda r: r.due)
                if request.due <= now:
                    return self._waiting.pop(request.key)
                self._changed.wait(min(request.due - now, 60))
                idle_since = time.monotonic()
            elif self._closed or now - idle_since >= self._linger_s:
                return None
            else:
                self._changed.wait(self._linger_s - (now - idle_since))

    def _work(self, request: _Request) -> None:
        last_report = float("-inf")

        def progress(fraction: float, text: str = "") -> None:
            nonlocal last_report
            now = time.monotonic()
            if request.on_progress is None or now - last_report < self._progress_gap_s:
                return
            last_report = now
            self._publish(request, request.on_progress, min(max(float(fraction), 0.0), 1.0), text)

        try:
            result = request.function(lambda: request.cancelled, progress)
        except Exception as error:
            self._publish(request, request.on_error, error)
            return
        shown = self._publish(request, request.on_done, result)
        if shown and request.status is not None:
            self._publish(request, request.status.finished, request.key)

    def _publish(self, request: _Request, callback, *args) -> bool:
        """Call back, if this is still the newest request of its key; True if it went well."""
        with self._changed:
            if request.cancelled:
                return False
            self._publishing = request
        try:
            callback(*args)
            return True
        except Exception as error:
            report(request.status, error, request.key)
            return False
        finally:
            with self._changed:
                self._publishing = None
                self._changed.notify_all()
