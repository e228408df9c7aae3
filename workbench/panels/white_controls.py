"""The paper white panel's controls, labelled and explained."""

from __future__ import annotations

import ipywidgets as widgets

from workbench.analysis.white import OFFICE_SHEET, PERFECT_DIFFUSER
from workbench.analysis.words import INTENT_NAMES
from workbench.panels import parts

#: What a print may lie beside, apart from other papers.
SHEETS = (("a perfect white", PERFECT_DIFFUSER), ("a bluish office sheet", OFFICE_SHEET))

_WIDTH_PX, _SLIDER_PX = 440, 328


class WhiteControls:
    """What they do is the panel's business."""

    def __init__(self, front):
        self.adaptation = parts.slider(
            front,
            "How far the eye is used to this paper",
            value=0,
            min=0,
            max=100,
            unit="%",
            help="0 %: a whiter sheet lies beside the print, and the eye keeps to it. "
            "100 %: the print hangs alone under one light, and its paper passes for white.",
        )
        self.adaptation.widget.layout.width = f"{_WIDTH_PX}px"
        ends = widgets.HTML(
            '<div class="wb-muted" style="display:flex;justify-content:space-between;gap:12px">'
            "<span>side by side</span><span>eye fully used to the paper</span></div>"
        )
        ends.layout.width = f"{_SLIDER_PX}px"
        self.adaptation_with_ends = parts.column(self.adaptation, ends)
        self.adaptation_with_ends.layout.grid_gap = "0"
        self.reference = parts.choice(
            front,
            "Seen beside",
            options=list(SHEETS),
            help="The white sheet that lies beside the print",
        )
        self.lightness = parts.slider(
            front,
            "Highlights begin above",
            value=90,
            min=50,
            max=99,
            step=0.5,
            unit="L*, relative",
            help="Parts of the print that are lighter than this take the paper's tint; "
            "100 is the bare paper",
        )
        self.paper = parts.choice(front, "Paper", options=[""], help="The paper to print on")
        self.intent = parts.choice(
            front,
            "Rendering intent",
            options=[(name, intent) for intent, name in INTENT_NAMES.items()],
            help="How colours that the paper cannot hold are brought into it",
        )
        self.compensation = parts.tick(
            front,
            "Black point compensation",
            help="Fit the picture's blacks to the paper's, so that shadows do not merge",
        )
