"""The gamut panel's controls.

The threshold belongs to the plan; the others only say how its consequences are looked
at.
"""

from __future__ import annotations

from workbench.figures.gamut_overlay import COLOURS
from workbench.panels import parts

NONE = -1  # for no other paper


class GamutControls:
    """Made, labelled and explained; what they do is the panel's business."""

    def __init__(self, front):
        self.threshold = parts.slider(
            front,
            "Count as beyond from",
            value=2.0,
            min=0.5,
            max=20,
            step=0.1,
            unit="CIEDE2000",
            typed=(0.1, 50),
            help="How far a colour must lie beyond the paper to count; 1 is about the "
            "smallest difference seen side by side, 5 is plain to see",
        )
        self._make_marks(front)
        self._make_views(front)

    def _make_marks(self, front) -> None:
        self.marks = parts.tick(
            front, "Show where, over the picture", value=True, help="Stripes over what is counted"
        )
        self.marks_of = parts.choice(
            front,
            "The stripes mark",
            options=[("what lies beyond the paper", "beyond"), ("what the print moves", "moved")],
            help="Beyond: the paper has no such colour. Moved: the print differs from the "
            "picture, whether it must or the intent does so on purpose",
        )
        self.marks_colour = parts.choice(
            front,
            "Colour of the stripes",
            options=list(COLOURS),
            help="Choose one that the picture does not hold",
        )
        self.below = parts.choice(
            front,
            "Picture below the stripes",
            options=[("as it is", "picture"), ("as it will print", "print")],
            help="As it will print, to an eye that takes the paper for white",
        )

    def _make_views(self, front) -> None:
        self.lightness = parts.slider(
            front,
            "Lightness of the slice",
            value=50,
            min=0,
            max=100,
            unit="L*",
            help="The slice shows colours within 2.5 of this lightness",
        )
        self.other = parts.choice(
            front,
            "Outline of another paper",
            options=[("none", NONE)],
            help="Drawn dashed in the slice",
        )
        self.turn = parts.slider(
            front,
            "Turn",
            value=30,
            min=0,
            max=360,
            step=2,
            unit="degrees",
            help="Turns the body around its lightness axis",
        )
        self.tilt = parts.slider(
            front,
            "Tilt",
            value=25,
            min=0,
            max=90,
            unit="degrees",
            help="0 looks from the side, 90 from above",
        )
