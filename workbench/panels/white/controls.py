"""The paper white panel's controls; those that say how a print is looked at, for others too."""

from __future__ import annotations

import ipywidgets as widgets

from workbench.analysis.adaptation import REFERENCE_WHITES
from workbench.panels import parts
from workbench.panels.print_knobs import numbered

# the choice of nothing; None would leave the list without a choice
_ALONE = ""
#: What a print may lie beside, apart from other papers.
SHEETS = (("nothing: the print alone", _ALONE), *((name, name) for name in REFERENCE_WHITES))

_WIDTH_PX, _SLIDER_PX = 440, 328


class EyeControls:
    """What a print is seen beside, and how used to its paper the eye is; tied to the plan."""

    def __init__(self, panel):
        front, self._plan = panel.front, panel.plan
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
        with_ends = parts.column(self.adaptation, ends)
        with_ends.layout.grid_gap = "0"
        panel.bind(
            self.adaptation,
            "adaptation",
            to_plan=lambda percents: percents / 100,
            from_plan=lambda share: 100 * share,
        )
        self.reference = parts.choice(
            front,
            "Seen beside",
            options=list(SHEETS),
            help="The white sheet that lies beside the print, by which its white is told; alone, "
            "the eye takes the print's own white for white",
        )
        self.reference.on_change(panel.safely(self._lay_beside))
        self.row = parts.row(with_ends, self.reference)

    def _lay_beside(self, reference) -> None:
        """Lay a sheet beside the print, or take it away.

        Where none lay there, the eye starts side by side; else the choice would change nothing.
        """
        plan = self._plan
        with plan.hold_trait_notifications():
            if reference == _ALONE:
                plan.adaptation = 1.0
            elif plan.reference is None:
                plan.adaptation = 0.0
            plan.reference = reference or None

    def offer(self) -> None:
        """What a print may lie beside just now: the sheets, the other papers, the chosen one."""
        plan = self._plan
        others = [(label, plan.papers[place]) for label, place in numbered(plan.papers)]
        options = [
            *SHEETS,
            *((f"paper {label}", paper) for label, paper in others if paper is not plan.paper),
        ]
        if hasattr(plan.reference, "name") and plan.reference not in dict(options).values():
            own = " itself" if plan.reference is plan.paper else ""
            options.append((f"{plan.reference.name}{own}", plan.reference))
        chosen = _ALONE if plan.reference is None else plan.reference
        known = chosen in dict(options).values()
        self.reference.replace(options, chosen if known else None)
        self.adaptation.disabled = plan.reference is None


def lightness_slider(front):
    """Where highlights begin."""
    return parts.slider(
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
