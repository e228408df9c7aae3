"""Which papers are at hand: changes of the plan's papers that keep every choice in step.

Papers are compared as objects wherever they are chosen, so one that takes another's place
must do so in all of the plan's roles at once.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import fields

from workbench.paper import same_sheet

# what else may hold one of the papers at hand
_ROLES = ("other_paper", "reference")


def alike(one, other) -> bool:
    """Whether two papers say the same in every field."""
    return type(one) is type(other) and all(
        getattr(one, field.name) == getattr(other, field.name) for field in fields(one)
    )


def bring_in(
    plan, before: Sequence, now: Sequence, moved: Mapping[int, object] | None = None
) -> list:
    """Put the shelf's papers at hand in the place of those it had before.

    Parameters
    ----------
    before : the papers that the shelf had put at hand, as objects.
    now : those it has now.
    moved : ``id`` of a paper -> the one of ``now`` that takes its place, where names do
        not tell.

    Returns
    -------
    ``now``, with papers that were at hand already as the same objects.  Papers opened by
    hand stay.  Whatever was chosen stays chosen; of a paper that is gone, the one of the
    same name or the neighbour is printed on.
    """
    at_hand = plan.papers
    kept = [next((each for each in at_hand if alike(each, paper)), paper) for paper in now]
    place = {old: kept[_index(now, new)] for old, new in (moved or {}).items()}
    mine = {id(paper) for paper in (*before, *kept)}
    by_hand = []
    for paper in at_hand:
        twin = next((each for each in kept if same_sheet(each, paper)), None)
        if id(paper) in place:
            continue
        if twin is not None and twin is not paper:
            place[id(paper)] = twin
        elif id(paper) not in mine:
            by_hand.append(paper)
    chosen = place.get(id(plan.paper), plan.paper)
    if chosen is not None and not _among(chosen, (*kept, *by_hand)):
        chosen = _instead(chosen, before, kept) if _among(chosen, before) else chosen
        if not _among(chosen, kept):
            by_hand.append(chosen)
    with plan.hold_trait_notifications():
        plan.papers = (*kept, *by_hand)
        plan.paper = chosen
        for role in _ROLES:
            holder = getattr(plan, role)
            if id(holder) in place:
                setattr(plan, role, place[id(holder)])
            elif _among(holder, before) and not _among(holder, plan.papers):
                setattr(plan, role, None)
    return kept


def _among(paper, papers) -> bool:
    return any(paper is each for each in papers)


def _index(papers, paper) -> int:
    return next(i for i, each in enumerate(papers) if each is paper)


def _instead(gone, before, now):
    """The paper to print on when the chosen one is gone; itself if there is no other."""
    if not now:
        return gone
    for paper in now:
        if paper.name == gone.name:
            return paper
    at = next((i for i, each in enumerate(before) if each is gone), 0)
    return now[min(at, len(now) - 1)]
