"""Handling paper and print: the way through the printer, and what can hurt.

Common practice, no source; the words of caution are those that go with such tools anywhere.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from workbench.files.text import clean_text
from workbench.language import tr

if TYPE_CHECKING:
    from workbench.output.solved import Solved

# a sheet that is larger than the print by less is left as it is
_CUT_FROM_MM = 1.5
#: whatever is cut
CUTTING = tr(
    "fresh blade, steel rule with a guard, several light strokes; the other hand behind the blade"
)


def load_step(solved: Solved) -> str:
    """How the paper is loaded: which side, which feed, flat.

    Parameters
    ----------
    solved : what a plan was solved to.

    Returns
    -------
    A sentence or two.
    """
    paper = solved.job.paper
    name = tr("your paper")
    if paper is not None:
        name = tr("“{name}”", name=clean_text(paper.name))
    coated = getattr(paper, "coated_side", None)
    if coated == "one side":
        said = tr(
            "Load {name}, with its coated side to the ink: a moist fingertip sticks to it a little.",
            name=name,
        )
    elif coated == "both sides":
        said = tr("Load {name}, either side up: both take the ink.", name=name)
    else:
        said = tr("Load {name}, with the side that takes the ink the right way round.", name=name)
    curls = (getattr(paper, "curl", None) or "lies flat") != "lies flat"
    if curls or (solved.fit is not None and solved.fit.sheet.is_roll):
        said += " " + tr("Flatten what curls: a raised edge strikes the print head.")
    return said


def feed_words(solved: Solved) -> str:
    """The way through the printer in a few words; "" where no printer is known.

    Parameters
    ----------
    solved : what a plan was solved to.

    Returns
    -------
    Such as "rear or front, for 0.48 mm; takes up to 0.5 mm".
    """
    printer, fit = solved.printer, solved.fit
    if printer is None:
        return ""
    thickness = getattr(solved.job.paper, "thickness_mm", None)
    if fit is not None and fit.sheet.is_roll:
        words = tr("roll")
    elif printer.is_thick(solved.feed_path, thickness):
        words = tr("rear or front")
    else:
        words = tr("usual")
    if thickness is not None:
        words = tr("{feed}, for {thickness:g} mm", feed=words, thickness=thickness)
    if printer.thickest_mm:
        words = tr("{feed}; takes up to {most:g} mm", feed=words, most=printer.thickest_mm)
    return words


def too_thick(solved: Solved) -> str | None:
    """A sentence where the paper is thicker than the printer takes; or None.

    Parameters
    ----------
    solved : what a plan was solved to.

    Returns
    -------
    The sentence; None where it goes through, or either thickness is not known.
    """
    thickness = getattr(solved.job.paper, "thickness_mm", None)
    if solved.printer is None or not solved.printer.too_thick(thickness):
        return None
    return tr(
        "The paper is {thickness:g} mm thick and the printer takes {most:g} mm at most: do not "
        "feed it.",
        thickness=thickness,
        most=solved.printer.thickest_mm,
    )


def care_rows(solved: Solved) -> tuple[tuple[str, str], ...]:
    """(what, how) for all that can hurt with this print.

    Parameters
    ----------
    solved : what a plan was solved to.

    Returns
    -------
    Rows for cutting, where paper or a mount is cut; for glass, where it goes behind one; for
    sprays, where canvas or a matte print goes without.
    """
    job = solved.job
    canvas = job.bar_depth_mm > 0 or getattr(job.paper, "base", None) == "canvas"
    rows = []
    if _is_cut(solved):
        rows.append((tr("Cutting"), CUTTING))
    if solved.glass:
        how = tr(
            "cut-proof gloves and glasses; carry it upright; tape cracks before you lift the pieces"
        )
        rows.append((tr("Glass"), how))
    if canvas or (not solved.glass and getattr(job.paper, "finish", None) == "matte"):
        how = tr(
            "outdoors or with extraction, a mask for solvent vapour, no flames; on a dry print"
        )
        rows.append((tr("Varnish, sprays"), how))
    return tuple(rows)


def _is_cut(solved: Solved) -> bool:
    """Whether paper or a mount is cut: from a roll, off a sheet, a bleed, or an opening."""
    job, fit, layout = solved.job, solved.fit, solved.layout
    if solved.overlap_mm or (layout.beyond_px and not job.bar_depth_mm):
        return True
    if fit is None or (job.on_sheet and not fit.sheet.is_roll):
        return False
    sides = (fit.width_mm, layout.width_mm), (fit.height_mm, layout.height_mm)
    filled = all(abs(whole - part) < _CUT_FROM_MM for whole, part in sides)
    return fit.sheet.is_roll or not filled
