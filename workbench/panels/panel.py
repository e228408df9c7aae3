"""What the panels have in common: they watch the plan, set it, and hold no state."""

from __future__ import annotations

from workbench.analysis.plausible import doubt_words
from workbench.language import tr
from workbench.panels import parts
from workbench.panels.knobs import tied
from workbench.panels.parts.take_figures import plots_in, take_figures
from workbench.panels.registry import PANELS
from workbench.panels.view import View, Views
from workbench.plan import Plan


class Panel:
    """A face on the plan.

    A panel on a desk shares the desk's ``front``, and with it the desk's scheduler; alone, it
    brings its own.  Subclasses name the plan's traits they ``watch``, make their widgets in
    ``build`` (which returns the items of the body) and declare what they show in ``shows``; the base
    does the rest: it asks them for their requests when the plan, the screen or a control
    changes, and lets the newest win.  What is wrong, and what is being worked on, stands at
    the top, unless ``build`` has given ``status`` another place.  A hidden panel does no
    work until it is shown.

    Parameters
    ----------
    plan : the Plan to watch and set.
    """

    watch: tuple[str, ...] = ()
    #: whether it tells of the picture as its file has it, whatever the plan adjusts
    of_file = False

    def __init__(self, plan: Plan, front=None):
        self.plan = plan
        self.alone = front is None
        self.front = front or parts.Front()
        self.status = parts.StatusLine(self.front)
        self.doubt = parts.html("")  # where a paper's figures cannot be a real sheet's
        self.doubt.layout.display = "none"
        # where the plan adjusts the picture
        self.before_adjustments = parts.html(parts.BEFORE, "wb-muted")
        self.before_adjustments.layout.display = "none"
        self.safely = parts.guarded(self.status)
        self._shown, self._stale = True, False
        items = self.build()
        if self.status not in items:
            items = [self.status, *items]
        # behind the status line, which has its room in the margin where it comes first
        at = 1 if items[0] is self.status else 0
        items[at:at] = [self.doubt, self.before_adjustments] if self.of_file else [self.doubt]
        if next(plots_in(*items), None) is not None:
            self.taking, taking = take_figures(
                self.front, list(items), self._called(), lambda: _path_of(self.plan.picture)
            )
            items.append(taking)
        if self.alone:  # a desk has it beside its answers
            items.append(self.front.counting.status)
        self._views = Views(self.shows(), self.front.scheduler, self.status)
        self.body = parts.column(*items)
        self.widget = parts.root(self.front, self.body) if self.alone else self.body
        self._follow = self.safely(self._follow_now)
        watched = {*self.watch, "adjustments"} if self.of_file else self.watch
        plan.observe(self._changed, names=list(watched))
        self.front.observe(self._changed, "pixel_ratio")
        self.front.counting.listen(self._changed)
        if self.alone:
            with self.front.turn:
                self._follow()
        else:
            self._shown, self._stale = False, True

    def _called(self) -> str:
        return next(
            (each.title for each in PANELS.values() if each.kind == type(self).__name__),
            tr("Figure"),
        )

    def build(self) -> list:
        """Make the widgets; returns the body's items from top to bottom."""
        raise NotImplementedError

    def shows(self) -> tuple[View, ...]:
        """What the panel shows, in the order of working it out."""
        return ()

    def follow(self) -> None:
        """Bring all views up to date with the plan, the screen and the controls."""
        self._views.follow()

    def look(self, *controls):
        """Let controls that only say how things are looked at bring the views up to date."""
        for control in controls:
            control.on_change(lambda value: self._changed(value))
        return controls[0] if len(controls) == 1 else controls

    def fine(self, css_px: float) -> int:
        """Screen pixels of a length in CSS pixels, on screens up to three times as fine."""
        return self.front.fine(css_px)

    def papers_shown(self) -> tuple:
        """The papers whose figures are shown; where one cannot be a real sheet's, that is said."""
        return (self.plan.paper,)

    def missing(self) -> str:
        """What the plan lacks for an answer, as a sentence; empty if nothing."""
        if self.plan.picture is None or self.plan.paper is None:
            return tr("Open a picture and choose a paper to see the answer here.")
        return ""

    def _follow_now(self) -> None:
        if missing := self.missing():
            self.status.say(missing)
            return
        if self.status.kind == "remark":
            self.status.clear()
        if "paper" in self.watch and self.plan.paper is not None:
            doubt = " ".join(filter(None, map(doubt_words, self.papers_shown())))
            parts.set_html(self.doubt, doubt, "wb-problem" if doubt else "")
            self.doubt.layout.display = "" if doubt else "none"
        self.before_adjustments.layout.display = (
            "" if self.of_file and self.plan.adjustments else "none"
        )
        self.follow()

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


def _path_of(picture):
    return getattr(picture, "path", None)
