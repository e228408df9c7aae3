"""What a print is seen beside, and how used to its paper the eye is: controls for panels."""

from __future__ import annotations

import ipywidgets as widgets

from workbench.analysis.adaptation import REFERENCE_WORDS
from workbench.language import tr
from workbench.panels import parts
from workbench.panels.knobs import knob, told
from workbench.panels.print_knobs import numbered

# the choice of nothing; None would leave the list without a choice
_ALONE = ""
#: What a print may lie beside, apart from other papers.
SHEETS = (
    (tr("nothing: the print alone"), _ALONE),
    *((words, name) for name, words in REFERENCE_WORDS.items()),
)

_WIDTH_PX, _SLIDER_PX = 440, 328


class EyeControls:
    """Both controls, tied to the plan; ``row`` is what to lay out."""

    def __init__(self, panel):
        self._plan = plan = panel.plan
        self.adaptation = knob(panel, "adaptation")
        self.adaptation.widget.layout.width = f"{_WIDTH_PX}px"
        ends = widgets.HTML(
            '<div class="wb-muted" style="display:flex;justify-content:space-between;gap:12px">'
            f"<span>{tr('side by side')}</span>"
            f"<span>{tr('eye fully adapted to the paper')}</span></div>"
        )
        ends.layout.width = f"{_SLIDER_PX}px"
        with_ends = parts.column(self.adaptation, ends)
        with_ends.layout.grid_gap = "0"
        label, help = told("reference")
        self.reference = parts.choice(panel.front, label, options=list(SHEETS), help=help)
        self.reference.on_change(panel.safely(lambda chosen: plan.see_beside(chosen or None)))
        self.row = parts.row(with_ends, self.reference)
        self.offer()
        plan.observe(self.offer, names=["papers", "paper", "reference"])

    def offer(self, change=None) -> None:
        """What a print may lie beside just now: the sheets, the other papers, the chosen one."""
        plan = self._plan
        others = [(label, plan.papers[place]) for label, place in numbered(plan.papers)]
        options = [
            *SHEETS,
            *(
                (tr("paper {label}", label=label), paper)
                for label, paper in others
                if paper is not plan.paper
            ),
        ]
        if hasattr(plan.reference, "name") and plan.reference not in dict(options).values():
            name = plan.reference.name
            words = tr("{name} itself", name=name) if plan.reference is plan.paper else name
            options.append((words, plan.reference))
        chosen = _ALONE if plan.reference is None else plan.reference
        known = chosen in dict(options).values()
        self.reference.replace(options, chosen if known else None)
        self.adaptation.disabled = plan.reference is None
