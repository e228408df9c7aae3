"""What a person calls in a notebook cell: the desk, or one panel alone."""

from __future__ import annotations

import inspect

from workbench.panels.registry import DOORS


def desk(picture=None, papers=None, plan=None):
    """The whole workbench: picture on paper, the answers, and the panels in five stages.

    Parameters
    ----------
    picture : a Picture or a path; by default the file named on the command line, or
        the invented picture.
    papers : Papers or profile paths; by default those named on the command line, or
        the invented ones.
    plan : a Plan to go on with.

    Returns
    -------
    A Desk, which shows itself as the last line of a notebook cell.

    Raises
    ------
    Nothing: what cannot be opened is told on the desk.

    Examples
    --------
    >>> desk = wb.desk(picture, papers)
    >>> sorted(desk.answers)
    ['black', 'gamut', 'light', 'size', 'white']
    """
    from workbench.files.session import named_here
    from workbench.panels.desk import Desk

    # the command line's files are for a desk that has been given none
    named = named_here()
    if picture is None and getattr(plan, "picture", None) is None:
        picture = named.picture
    if papers is None and (plan is None or not (plan.papers or plan.paper)):
        papers = named.papers
    return Desk(picture, papers, plan)


def _door(entry):
    """The public function that shows one panel alone in a notebook cell."""
    takes = [inspect.Parameter(n, _PLAIN, default=None) for n in (*entry.takes, "plan")]
    signature = inspect.Signature(takes)

    def door(*given, **named):
        bound = signature.bind(*given, **named).arguments
        return _alone(entry, **bound)

    door.__name__ = door.__qualname__ = entry.door
    door.__signature__ = signature
    door.__doc__ = f"""{entry.title}, alone in a notebook cell: {entry.question}

    Parameters
    ----------
    {", ".join(entry.takes) or "plan"} : {"opened, or their paths." if entry.takes else "a Plan."}
    plan : a Plan to go on with.

    Returns
    -------
    A `workbench.panels.face.Face`: it shows itself, and its decisions can be set by name.

    Shows {entry.shows}.
    """
    return door


_PLAIN = inspect.Parameter.POSITIONAL_OR_KEYWORD
globals().update({door: _door(entry) for door, entry in DOORS.items()})


def _alone(entry, picture=None, paper=None, papers=(), plan=None):
    from workbench.panels.face import Face
    from workbench.panels.sources.panel import as_picture
    from workbench.panels.sources.papers import as_paper
    from workbench.plan import Plan

    plan = plan or Plan()
    papers = tuple(map(as_paper, papers if paper is None else (paper,)))
    if papers:
        plan.paper = papers[0]
    plan.papers = (*plan.papers, *(each for each in papers if each not in plan.papers))
    if picture is not None:
        plan.picture = as_picture(picture)
    return Face(entry.load()(plan))
