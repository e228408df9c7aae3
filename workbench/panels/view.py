"""What a panel declares: views, each from a request through a computation to what is shown."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Hashable
from dataclasses import dataclass
from typing import Any

from workbench.language import tr


@dataclass(frozen=True)
class View:
    """One thing that a panel shows.

    Attributes
    ----------
    name : of the view, its own in the panel.
    request : () -> a frozen, hashable snapshot of all that the view depends on, cheap to
        make; None where there is nothing to show.
    compute : (request) -> result; in a lane (request, cancelled, progress) -> result.  It
        touches neither widgets nor the plan: a function of the floors below.
    show : (result), which puts it on the page.
    lane : None works it out where it is asked for, for what takes less than some 50 ms;
        otherwise the scheduler's lane that it waits in.
    rest_s : how long the request must stay the newest before work in a lane begins.
    doing : what is being done, in words, for the line that tells of progress.
    keep : how many results are kept, for going back and forth between choices.
    forget : () called where there is nothing to show, or no longer, as after a failure.
    status : the line that tells of its work and trouble; None takes the panel's.
    """

    name: str
    request: Callable[[], Hashable | None]
    compute: Callable[..., Any]
    show: Callable[[Any], None]
    lane: str | None = None
    rest_s: float | None = None
    doing: str = ""
    keep: int = 0
    forget: Callable[[], None] | None = None
    status: Any = None


class Views:
    """Brings views up to date: what has not changed stays, and the newest request wins.

    Parameters
    ----------
    scheduler : of the desk.
    status : the line that tells of work and of what went wrong in a lane.
    """

    def __init__(self, views, scheduler, status):
        self._views, self._status = tuple(views), status
        self._doors = {
            view.name: scheduler.on(view.lane, view.rest_s) for view in self._views if view.lane
        }
        self._asked: dict[str, Hashable] = {}
        self._kept: dict[str, OrderedDict] = {view.name: OrderedDict() for view in self._views}

    def follow(self) -> None:
        """Ask every view for its request, and see to those that are another's.

        Raises
        ------
        Whatever the first view that fails raises; the views after it are still seen to.
        """
        problem = None
        for view in self._views:
            try:
                self._see_to(view)
            except Exception as error:
                problem = problem or error
        if problem is not None:
            raise problem

    def again(self, *names: str) -> None:
        """Let views be shown once more, as if their requests had changed."""
        for name in names or list(self._asked):
            self._asked.pop(name, None)

    def _see_to(self, view: View) -> None:
        try:
            request = view.request()
        except Exception:
            self._drop(view)
            raise
        if request is None:
            self._drop(view)
        elif self._asked.get(view.name) != request:
            self._asked.pop(view.name, None)  # should it fail, it is tried again
            try:
                self._work_out(view, request)
            except Exception:
                self._drop(view)
                raise

    def _drop(self, view: View) -> None:
        self._asked.pop(view.name, None)
        if view.lane:
            self._doors[view.name].cancel(view.name)
        if view.forget is not None:
            view.forget()

    def _work_out(self, view: View, request: Hashable) -> None:
        kept = self._kept[view.name]
        if request in kept:
            kept.move_to_end(request)
            if view.lane:
                self._doors[view.name].cancel(view.name)
            self._done(view, request, kept[request])
        elif view.lane is None:
            self._done(view, request, view.compute(request))
        else:
            self._asked[view.name] = request
            self._submit(view, request)

    def _submit(self, view: View, request: Hashable) -> None:
        from workbench.panels.parts.guard import report

        status = view.status or self._status

        def failed(error) -> None:
            self._drop(view)
            report(status, error, view.name)

        def told(fraction, text) -> None:
            status.working(text or view.doing or tr("Working"), fraction)

        self._doors[view.name].submit(
            view.name,
            lambda cancelled, progress: view.compute(request, cancelled, progress),
            lambda result: self._done(view, request, result),
            told,
            failed,
            status,
        )

    def _done(self, view: View, request: Hashable, result) -> None:
        if view.keep:
            kept = self._kept[view.name]
            kept[request] = result
            while len(kept) > view.keep:
                kept.popitem(last=False)
        (view.status or self._status).solved(view.name)
        view.show(result)
        self._asked[view.name] = request
