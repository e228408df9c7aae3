"""The gamut panel's controls.

The threshold belongs to the plan; the others only say how its consequences are looked
at.
"""

from __future__ import annotations

from workbench.figures.gamut_overlay import COLOURS
from workbench.language import tr
from workbench.panels import parts
from workbench.panels.knobs import knob

NONE = -1  # for no other paper


class GamutControls:
    """Made, labelled and explained; what they do is the panel's business."""

    def __init__(self, panel):
        front = panel.front
        self.threshold = knob(panel, "threshold")
        self.marks = parts.tick(
            front, tr("Gamut overlay"), value=True, help=tr("Stripes over what is out of gamut")
        )
        self.marks_of = parts.choice(
            front,
            tr("The overlay marks"),
            options=[(tr("what is out of gamut"), "beyond"), (tr("what the print moves"), "moved")],
            help=tr(
                "Out of gamut: the paper has no such colour. Moved: the print differs from the "
                "picture, whether it must or the intent does so on purpose"
            ),
        )
        self.marks_colour = parts.choice(
            front,
            tr("Colour of the overlay"),
            options=list(COLOURS),
            help=tr("That of the plots, or one that the picture does not hold"),
        )
        self.below = parts.choice(
            front,
            tr("Picture below the overlay"),
            options=[(tr("as it is"), "picture"), (tr("as it will print"), "print")],
            help=tr("As it will print, to an eye that takes the paper for white"),
        )
        self.lightness = parts.slider(
            front,
            tr("Lightness of the slice"),
            value=50,
            min=0,
            max=100,
            unit="L*",
            help=tr("The slice shows colours within 2.5 of this lightness"),
        )
        self.other = parts.choice(
            front,
            tr("Outline of another paper"),
            options=[(tr("none"), NONE)],
            help=tr("Drawn dashed in the slice"),
        )
        self.turn = parts.slider(
            front,
            tr("Turn"),
            value=30,
            min=0,
            max=360,
            step=2,
            unit=tr("degrees"),
            help=tr("Turns the gamut solid around its lightness axis"),
        )
        self.tilt = parts.slider(
            front,
            tr("Tilt"),
            value=25,
            min=0,
            max=90,
            unit=tr("degrees"),
            help=tr("0° looks from the side, 90° from above"),
        )

    @property
    def overlay(self) -> list:
        """Those of the picture and its overlay."""
        return [self.marks, self.marks_of, self.marks_colour, self.below]
