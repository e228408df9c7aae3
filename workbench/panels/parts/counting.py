"""What has been counted of a picture: the same for everybody on a desk, at the same moment.

A count of every pixel takes up to seconds.  Whoever needs one is given a quick one at once,
and is told when the exact one is there, together with everybody else.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable

from workbench.language import tr
from workbench.panels.parts.scheduler import WHOLE
from workbench.panels.parts.sentences import QUICK
from workbench.panels.parts.status import StatusLine

EVERY_PIXEL = tr("whole picture, every pixel")
# beside what is told of a picture that the plan adjusts
BEFORE = tr("This is the picture as it is in its file, before the plan's adjustments.")
# what still moves is not counted
_REST_S = 0.2
_KEPT = 24


def count_mark(exact: bool) -> str:
    """What to write beside a share: how it was counted."""
    return EVERY_PIXEL if exact else QUICK


class Counting:
    """The counts of a desk, or of a panel that stands alone.

    Views take what ``of`` returns into their requests: it stays the same object until the
    exact one takes its place.

    Attributes
    ----------
    status : the line that tells of counting, apart from those that say what went wrong.
    """

    def __init__(self, front):
        self._turn = front.turn
        self.status = StatusLine(front)
        self._work = front.scheduler.on(WHOLE, _REST_S)
        self._found: OrderedDict = OrderedDict()  # question -> answer
        self._wanted: dict = {}  # function -> the question being counted
        self._listeners: list = []

    def of(self, function: Callable, *given, **named):
        """What a function of `workbench.analysis` counts: exact if that is there, else quick.

        Parameters
        ----------
        function : such as `gamut_report`, `colour_shift`, `shadow_tally` or
            `lightness_tally`: it takes ``exact``, ``cancelled`` and ``progress``, and its
            results say whether they are ``exact``.
        given, named : what it is asked about; all hashable.  The newest question to a
            function wins: the plan's, as it is now.

        Raises
        ------
        Whatever the function raises.
        """
        question = (function, given, tuple(sorted(named.items())))
        with self._turn:
            found = self._found.pop(question, None) or function(*given, **named, exact=False)
            self._keep(question, found)
            if found.exact:
                if self._wanted.pop(function, None) is not None:
                    self._work.cancel(function)
            elif self._wanted.get(function) != question:
                self._count(question)
            return found

    def listen(self, callback: Callable) -> None:
        """Have a callback told, with the turn, whenever an exact count is there."""
        self._listeners.append(callback)

    def _keep(self, question: tuple, found) -> None:
        self._found[question] = found
        while len(self._found) > _KEPT:
            self._found.popitem(last=False)

    def _count(self, question: tuple) -> None:
        function, given, named = question
        self._wanted[function] = question

        def count(cancelled, progress):
            return function(*given, **dict(named), cancelled=cancelled, progress=progress)

        def counted(found) -> None:
            self._wanted.pop(function, None)
            self._keep(question, found)
            for callback in self._listeners:
                callback(None)

        self._work.submit(
            function,
            count,
            counted,
            lambda fraction, text: self.status.working(tr("Counting every pixel"), fraction),
            status=self.status,
        )
