"""What the panels have in common: they watch the plan, set it, and hold no state."""

from __future__ import annotations

import ipywidgets as widgets

from workbench.analysis.plausible import doubt_words
from workbench.panels import parts
from workbench.plan import Plan


class Panel:
    """A face on the plan.

    A panel on a desk shares the desk's ``front``, and with it the desk's scheduler; alone, it
    brings its own.  Subclasses name the plan's traits they ``watch``, make their widgets in
    ``build`` (which returns the items of the body) and bring them up to date in
    ``follow``.  What is wrong, and what is being worked on, stands at the top, unless
    ``build`` has given ``status`` another place.  A hidden panel does no work until it is
    shown.

    Parameters
    ----------
    plan : the Plan to watch and set.
    """

    title = ""
    watch: tuple[str, ...] = ()

    def __init__(self, plan: Plan, front=None):
        self.plan = plan
        self.alone = front is None
        self.front = front or parts.Front()
        self.worker = self.front.scheduler.on(parts.WHOLE)
        self.status = parts.StatusLine(self.front)
        self.doubt = parts.html("")  # where the paper's figures cannot be a real sheet's
        self.doubt.layout.display = "none"
        self.safely = parts.guarded(self.status)
        self._shown, self._stale = True, False
        self._shown_for: dict = {}  # what each part was last brought up to date for
        items = self.build()
        if self.status not in items:
            items = [self.status, *items]
        items = [self.doubt, *items]
        self.body = parts.column(*items)
        self.widget = parts.root(self.front, self.body) if self.alone else self.body
        self._follow = self.safely(self._follow_now)
        plan.observe(self._changed, names=list(self.watch))
        if self.alone:
            self._follow()
        else:
            self._shown, self._stale = False, True

    def build(self) -> list:
        """Make the widgets; returns the body's items from top to bottom."""
        raise NotImplementedError

    def follow(self) -> None:
        """Bring figures and pictures up to date with the plan, quickly; submit the rest."""
        raise NotImplementedError

    def missing(self) -> str:
        """What the plan lacks for an answer, as a sentence; empty if nothing."""
        if self.plan.picture is None or self.plan.paper is None:
            return "Open a picture and choose a paper to see the answer here."
        return ""

    def _follow_now(self) -> None:
        if missing := self.missing():
            self.status.say(missing)
            return
        if self.status.kind == "remark":
            self.status.clear()
        if "paper" in self.watch and self.plan.paper is not None:
            doubt = doubt_words(self.plan.paper)
            parts.set_html(self.doubt, doubt, "wb-problem" if doubt else "")
            self.doubt.layout.display = "" if doubt else "none"
        self.follow()

    def _once(self, part: str, key: tuple, show) -> None:
        """Bring a part up to date unless it is already."""
        if self._shown_for.get(part) != key:
            self._shown_for.pop(part, None)  # should it fail, it is tried again
            show()
            self._shown_for[part] = key

    def _changed(self, change) -> None:
        with self.front.turn:
            if self._shown:
                self._follow()
            else:
                self._stale = True

    def show(self, shown: bool) -> None:
        """Tell the panel whether it is in view."""
        with self.front.turn:
            self._shown = shown
            if shown and self._stale:
                self._stale = False
                self._follow()

    def bind(self, control, trait: str, *, to_plan=lambda v: v, from_plan=lambda v: v):
        """Tie a control to a trait of the plan, both ways; returns the control."""
        return tied(self, control, trait, to_plan=to_plan, from_plan=from_plan)

    def _repr_mimebundle_(self, **options):
        return self.widget._repr_mimebundle_(**options)


def tied(owner, control, trait: str, *, to_plan=lambda v: v, from_plan=lambda v: v):
    """A control tied to a trait of the owner's plan, both ways; the owner is a panel or a desk."""

    def moved(value):
        setattr(owner.plan, trait, to_plan(value))

    control.value = from_plan(getattr(owner.plan, trait))
    control.on_change(owner.safely(moved))
    owner.plan.observe(
        lambda change: setattr(control, "value", from_plan(change["new"])), names=[trait]
    )
    return control


def labelled(widget: widgets.Widget, text: str):
    """A widget below a small label."""
    return parts.column(parts.html(text, "wb-label"), widget)
