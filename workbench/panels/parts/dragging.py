"""Direct hands: what is shown as a picture is moved with mouse, finger or arrow keys."""

from __future__ import annotations

import math
from dataclasses import dataclass

#: of a drag: where it began, went on and ended; and an arrow key
BEGIN, MOVE, END, KEY = "begin", "move", "end", "key"


@dataclass(frozen=True)
class Hand:
    """What a hand does on a picture, in shares of its width and height from the top left.

    Attributes
    ----------
    phase : `BEGIN`, `MOVE`, `END` or `KEY`.
    x, y : where it is; 0.5 for a key.
    by_x, by_y : how far it has come since it began, or by how much the key moves.
    """

    phase: str
    x: float
    y: float
    by_x: float
    by_y: float


def follow_hand(front, widget, moved, *, across: bool = True, down: bool = True) -> None:
    """Call ``moved(Hand)`` for each thing that a hand does on the picture in a widget.

    Parameters
    ----------
    widget : a box with one image in it; it can be reached by Tab.
    moved : wrap it in ``guarded``.
    across, down : which arrow keys are taken.
    """

    def heard(content: dict) -> None:
        try:
            values = [float(content.get(name, 0.0)) for name in ("x", "y", "by_x", "by_y")]
        except (TypeError, ValueError):
            return
        phase = content.get("phase")
        if phase in (BEGIN, MOVE, END, KEY) and all(map(math.isfinite, values)):
            moved(Hand(phase, *values))

    front.listen(widget, "hand", heard, across=across, down=down)
