"""What drawings of sheets and prints to scale have in common: colours, boxes, dimension lines."""

from __future__ import annotations

import math

# on the surround, which is the same grey in dark themes, so these stay too
LIGHT, DARK = "#fafafa", "#202020"
PAPER, NO_PICTURE = "#ffffff", "#b8b8b8"
ROLL_ON = "#d9d9d9"  # the roll's paper beyond the cuts
_TICK_PX = 4


def pill(pad: float = 0.25) -> dict:
    """A light ground behind words, as ``bbox``."""
    return {"boxstyle": f"round,pad={pad}", "fc": LIGHT, "ec": "none"}


def add_box(axes, xywh=(0, 0, 0, 0), **style):
    """A rectangle without an edge, unless ``style`` gives one."""
    from matplotlib.patches import Rectangle

    style = {"edgecolor": "none", "linewidth": 1.0, **style}
    return axes.add_patch(Rectangle(xywh[:2], *xywh[2:], **style))


def place_box(box, xywh, visible: bool = True) -> None:
    """Move a rectangle, and show or hide it."""
    box.set_bounds(*xywh)
    box.set_visible(visible)


def dimension_line(start: float, length: float, at: float, upright: bool = False) -> tuple:
    """x and y of a dimension line with its end ticks, in one broken line.

    Parameters
    ----------
    start, length : along the line, in CSS pixels.
    at : where it lies across.
    upright : it runs down rather than to the right.
    """
    end, gap = start + length, math.nan
    along = [start, end, gap, start, start, gap, end, end]
    cross = [at, at, gap, *(2 * [at - _TICK_PX, at + _TICK_PX, gap])[:-1]]
    return (cross, along) if upright else (along, cross)
