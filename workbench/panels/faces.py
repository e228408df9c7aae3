"""What a person calls in a notebook cell: the desk, or one panel alone."""

from __future__ import annotations


def desk(picture=None, papers=None, plan=None):
    """The whole workbench: picture on paper, four answers, and the panels.

    Parameters
    ----------
    picture : a Picture or a path; by default the file named on the command line, or
        the invented picture.
    papers : Papers or profile paths; by default those named on the command line, or
        the invented ones.
    plan : a Plan to go on with.
    """
    from workbench.panels.desk import Desk

    return Desk(picture, papers, plan)


def size_panel(picture, paper=None, plan=None):
    """Print size, resolution and sheets for a picture, alone in a notebook cell."""
    from workbench.panels.size.panel import SizePanel

    return _alone(SizePanel, picture, paper, plan)


def gamut_panel(picture, paper, plan=None):
    """Which of the picture's colours the paper cannot hold, alone in a notebook cell."""
    from workbench.panels.gamut.panel import GamutPanel

    return _alone(GamutPanel, picture, paper, plan)


def white_panel(picture, paper, plan=None):
    """What the paper's white does to the highlights, alone in a notebook cell."""
    from workbench.panels.white.panel import WhitePanel

    return _alone(WhitePanel, picture, paper, plan)


def black_panel(picture, paper, plan=None):
    """What the paper's black does to the shadows, alone in a notebook cell."""
    from workbench.panels.black.panel import BlackPanel

    return _alone(BlackPanel, picture, paper, plan)


def proof_panel(picture, paper, plan=None):
    """The picture as it will look, which intent suits it, and a closer look; alone in a cell."""
    from workbench.panels.proof.panel import ProofPanel

    return _alone(ProofPanel, picture, paper, plan)


def compare_panel(picture, papers, plan=None):
    """Papers side by side for a picture, in an order you weight; alone in a cell."""
    from workbench.panels.compare.panel import ComparePanel
    from workbench.panels.sources.panel import as_paper
    from workbench.plan import Plan

    papers = tuple(as_paper(paper) for paper in papers)
    plan = plan or Plan()
    plan.papers = (*plan.papers, *(p for p in papers if p not in plan.papers))
    return _alone(ComparePanel, picture, papers[0] if papers else None, plan)


def screen_panel(picture, paper, plan=None):
    """Screen, light, glass and wall: how bright screen and print look; alone in a cell."""
    from workbench.panels.screen.panel import ScreenPanel

    return _alone(ScreenPanel, picture, paper, plan)


def print_file_panel(picture, paper, plan=None):
    """How the file is made, its sharpening and adjustments, and writing it; alone in a cell."""
    from workbench.panels.print_file.panel import PrintFilePanel

    return _alone(PrintFilePanel, picture, paper, plan)


def strip_panel(picture, paper, plan=None):
    """A test strip before the sheet, and several prints on one sheet; alone in a cell."""
    from workbench.panels.strip.panel import StripPanel

    return _alone(StripPanel, picture, paper, plan)


def target_panel(paper, plan=None):
    """A target to print and the verdict on what was measured of it; alone in a cell."""
    from workbench.panels.target.panel import TargetPanel

    return _alone(TargetPanel, None, paper, plan)


def record_panel(plan=None):
    """The record of prints made, and the cost of the present one; alone in a cell."""
    from workbench.panels.record.panel import RecordPanel

    return _alone(RecordPanel, None, None, plan)


def _alone(kind, picture, paper, plan):
    from workbench.panels.sources.panel import as_paper, as_picture
    from workbench.plan import Plan

    plan = plan or Plan()
    if paper is not None:
        plan.paper = as_paper(paper)
        if plan.paper not in plan.papers:
            plan.papers = (*plan.papers, plan.paper)
    if picture is not None:
        plan.picture = as_picture(picture)
    return kind(plan)
