"""Which paper, which intent, compensation or not: one set of knobs for desk and panels.

The desk has them above all panels; a panel that stands alone in a notebook cell brings
its own.  Whoever they are for (``owner``) is a desk or a `Panel`: it has the plan, the
front, and ``safely``, which tells the person what went wrong.
"""

from __future__ import annotations

from workbench.language import tr
from workbench.panels import parts
from workbench.panels.knobs import knob

#: The one thing on offer while no paper is at hand.
NONE_YET = (tr("none yet"), None)


def numbered(papers) -> list[tuple[str, int]]:
    """(label, place) of papers to choose from, numbered from 1 as everywhere."""
    return [(f"{place + 1}. {paper.name}", place) for place, paper in enumerate(papers)]


def place_of(paper, papers) -> int | None:
    """Where this very paper stands among them; None if it does not."""
    return next((place for place, each in enumerate(papers) if each is paper), None)


def paper_knob(owner, help: str = tr("The paper to print on")):
    """The choice of a paper; it follows the plan's papers and the chosen one by itself."""
    plan = owner.plan
    made = parts.choice(owner.front, tr("Paper"), options=[NONE_YET], help=help)

    def choose(place) -> None:
        if place is not None:
            plan.paper = plan.papers[place]

    def offer(change=None) -> None:
        made.replace(numbered(plan.papers) or [NONE_YET], place_of(plan.paper, plan.papers))

    offer()
    made.on_change(owner.safely(choose))
    plan.observe(offer, names=["papers", "paper"])
    return made


def print_knobs(owner, **paper) -> list:
    """All three; they become the owner's ``paper``, ``intent`` and ``compensation``.

    ``paper`` is for `paper_knob`.
    """
    owner.paper = paper_knob(owner, **paper)
    owner.intent = knob(owner, "intent")
    owner.compensation = knob(owner, "black_point_compensation")
    return [owner.paper, owner.intent, owner.compensation]


def lone_row(panel, **paper) -> list:
    """A row of `print_knobs` for a panel that stands alone; nothing on a desk."""
    return [parts.row(*print_knobs(panel, **paper))] if panel.alone else []
