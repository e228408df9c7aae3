"""Wrap widget callbacks, because exceptions in them are invisible to a person."""

from __future__ import annotations

import functools
import logging

from workbench.errors import Cancelled, WorkbenchError
from workbench.language import tr

log = logging.getLogger("workbench")

UNEXPECTED = tr(
    "Something went wrong inside the workbench, so this was not brought up to date; "
    "your settings are kept. Try again; the notebook's log has the details."
)


def guarded(status):
    """A decorator for callbacks that must never raise.

    ``status`` is a StatusLine, or a function returning one (for methods whose
    status line is made later).  One of our own errors puts its sentence there;
    any other is logged with its traceback to the "workbench" logger and a plain
    sentence is shown; ``Cancelled`` is nothing to tell.  When the callback later
    succeeds, a problem it had caused is taken away again.
    """

    def wrap(callback):
        @functools.wraps(callback)
        def safely(*args, **kwargs):
            line = None
            try:
                line = status() if callable(status) else status
                value = callback(*args, **kwargs)
                line.solved(callback)
                return value
            except Exception as error:
                report(line, error, callback)
            return None

        return safely

    return wrap


def report(line, error: BaseException, source=None) -> None:
    """Show an exception as a sentence; never raises, never shows a traceback.

    ``line`` may be None (nothing to show it in), then it is only logged.
    """
    if isinstance(error, Cancelled):
        return
    known = isinstance(error, WorkbenchError)
    if not known or line is None:
        log.error("a callback of the panels failed", exc_info=error)
    if line is None:
        return
    try:
        line.problem(str(error) if known else UNEXPECTED, source=source)
    except Exception:  # the page was closed under it
        log.exception("the status line could not be set")
