"""How the colours come to the paper."""

from __future__ import annotations

from workbench.decisions.decision import Decision
from workbench.language import tr

DECLARED = (
    Decision(
        "converts", "workbench", "colour", tr("Who converts the colours"),
        tr("Only one of the two may: what is converted twice comes out wrong"),
        choices=(
            ("workbench", tr("the workbench, here")),
            ("driver", tr("the printer driver, later")),
        ),
    ),
    Decision(
        "intent", "relative", "colour", tr("Rendering intent"),
        tr("How colours that the paper cannot hold are brought into it"),
        choices=(
            ("relative", tr("relative colorimetric")),
            ("perceptual", tr("perceptual")),
            ("saturation", tr("saturation")),
            ("absolute", tr("absolute colorimetric")),
        ),
    ),
    Decision(
        "black_point_compensation", True, "colour", tr("Black point compensation"),
        tr("Fit the picture's blacks to the paper's, so that shadows do not merge"),
    ),
    Decision(
        "threshold", 2.0, "colour", tr("Out-of-gamut threshold"),
        tr("How far a colour must lie outside the paper's gamut to count; 1 is about the smallest "
        "difference seen side by side, 5 is plain to see"),
        unit="CIEDE2000", low=0.1, high=50.0, slider=(0.5, 20, 0.1),
    ),
)  # fmt: skip
