"""The gamut panel's controls.

The threshold belongs to the plan; the others only say how its consequences are looked
at.
"""

from __future__ import annotations

from workbench.figures.gamut_overlay import COLOURS
from workbench.panels import parts
from workbench.panels.knobs import knob

NONE = -1  # for no other paper


class GamutControls:
    """Made, labelled and explained; what they do is the panel's business."""

    def __init__(self, panel):
        front = panel.front
        self.threshold = knob(panel, "threshold")
        self.marks = parts.tick(
            front, "Gamut overlay", value=True, help="Stripes over what is out of gamut"
        )
        self.marks_of = parts.choice(
            front,
            "The overlay marks",
            options=[("what is out of gamut", "beyond"), ("what the print moves", "moved")],
            help="Out of gamut: the paper has no such colour. Moved: the print differs from the "
            "picture, whether it must or the intent does so on purpose",
        )
        self.marks_colour = parts.choice(
            front,
            "Colour of the overlay",
            options=list(COLOURS),
            help="That of the plots, or one that the picture does not hold",
        )
        self.below = parts.choice(
            front,
            "Picture below the overlay",
            options=[("as it is", "picture"), ("as it will print", "print")],
            help="As it will print, to an eye that takes the paper for white",
        )
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
            help="Turns the gamut solid around its lightness axis",
        )
        self.tilt = parts.slider(
            front,
            "Tilt",
            value=25,
            min=0,
            max=90,
            unit="degrees",
            help="0° looks from the side, 90° from above",
        )

    @property
    def overlay(self) -> list:
        """Those of the picture and its overlay."""
        return [self.marks, self.marks_of, self.marks_colour, self.below]
