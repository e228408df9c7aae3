"""What has come of a plan: the file written from it, and the verdict on what was measured.

It belongs to a print that was made, so the plan does not hold it; the panels that watch
one plan share it, until it is noted in the record or another print is planned.
"""

from __future__ import annotations

from weakref import WeakKeyDictionary

import traitlets as t

from workbench.plan import Plan

_OF: WeakKeyDictionary[Plan, Outcome] = WeakKeyDictionary()


class Outcome(t.HasTraits):
    """Forgotten with another picture or paper; `Outcome.of` gives a plan's own."""

    written = t.Any(None, allow_none=True, help="the WrittenFile last made from the plan")
    verdict = t.Any(None, allow_none=True, help="the Verdict on what was measured on this paper")
    measurements = t.Unicode("", help="the measurements it is on, as CGATS text")
    surface = t.Any(None, allow_none=True, help="the KeptSurface last written beside the shelf")

    @classmethod
    def of(cls, plan: Plan) -> Outcome:
        """The one that all panels of a plan share."""
        if plan not in _OF:
            outcome = _OF[plan] = cls()
            plan.observe(lambda change: outcome.forget(), names=["picture", "paper"])
        return _OF[plan]

    def forget(self) -> None:
        """Nothing has come of it yet."""
        with self.hold_trait_notifications():
            self.written = self.verdict = None
            self.measurements = ""
