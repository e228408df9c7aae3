"""How the print is looked at on the desk."""

from __future__ import annotations

from workbench.decisions import rules
from workbench.decisions.decision import Decision
from workbench.language import tr

DECLARED = (
    Decision(
        "adaptation", 1.0, "seeing", tr("Adaptation to paper white"),
        tr("0 %: a whiter sheet lies beside the print, and the eye keeps to it. 100 %: the print "
        "hangs alone under one light, and its paper passes for white."),
        about=tr("0 side by side with the reference white, 1 adapted to the paper"),
        high=1.0, slider=(0, 1, 0.01),
    ),
    Decision(
        "reference", None, "seeing", tr("Seen beside"),
        tr("The white sheet that lies beside the print, against which its white is judged; alone, the eye "
        "takes the print's own white for white"),
        optional=True, rule=rules.anything, saved=False,
    ),
    Decision(
        "white_wish", "any", "seeing", tr("White that you prefer"),
        tr("A paper's tint is a choice, not a fault; it counts in a comparison only where you say so"),
        choices=(
            ("any", tr("any")),
            ("neutral", tr("neutral")),
            ("cool", tr("cool")),
            ("warm", tr("warm")),
        ),
    ),
    Decision(
        "display", "sRGB", "seeing", tr("Display"),
        tr("What shows the proof: your screen's kind of colours, or its own profile"),
        rule=rules.anything, saved=False,
    ),
    Decision(
        "screen_ppi", None, "seeing", tr("Resolution of your screen"),
        tr("Pixels per inch, as in the screen's data sheet; or measure it in the full window, with a "
        "bank card held against the screen"),
        unit="ppi", low=10.0, high=2000.0, optional=True,
    ),
    Decision(
        "highlight_lightness", 90.0, "seeing", tr("Highlights begin above"),
        tr("Parts of the print that are lighter than this take the paper's tint; 100 is the bare "
        "paper"),
        unit=tr("L*, relative"), low=50.0, high=99.0, slider=(50, 99, 0.5),
    ),
    Decision(
        "tolerance", 1.0, "seeing", tr("Greys merge when closer than"),
        tr("How far two greys must lie apart to be told from each other; about 1 is just "
        "noticeable side by side"),
        unit="CIEDE2000", low=0.1, high=5.0, slider=(0.3, 3, 0.1),
    ),
)  # fmt: skip
