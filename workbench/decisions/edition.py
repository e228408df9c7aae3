"""How many prints, what they cost, and notes."""

from __future__ import annotations

from workbench.decisions import rules
from workbench.decisions.decision import Decision
from workbench.language import tr

DECLARED = (
    Decision(
        "copies", 1, "edition", tr("Copies of the edition"),
        tr("How many prints the price and the job sheet are worked out for"),
        about=tr("prints of the edition"), low=1, high=1_000_000, whole=True,
    ),
    Decision(
        "ink_ml_per_m2", None, "edition", tr("Ink on an average picture"),
        tr("What the printer lays down on a square metre of a picture that is neither dark nor light; "
        "this picture's own colours make it more or less. 0 where not known"),
        about=tr("millilitres of ink to the square metre; left out, not known"),
        unit="ml/m²", high=1e9, optional=True,
    ),
    Decision(
        "ink_price_per_ml", None, "edition", tr("Price of ink"),
        tr("A cartridge's price divided by its millilitres; 0 where not known"),
        about=tr("in the paper's currency; left out, not known"),
        unit=tr("per ml"), high=1e9, optional=True,
    ),
    Decision(
        "test_strips", 0, "edition", tr("Test strips"),
        tr("Printed before the edition; each takes a page of A5 and its ink"),
        about=tr("strips printed before the edition"), low=0, high=1000, whole=True,
    ),
    Decision(
        "reject_share", 0.0, "edition", tr("Prints that fail"),
        tr("Of all that are printed: marked, creased, or not as they should be"),
        about=tr("share of all prints that fail"), high=0.9, slider=(0, 0.5, 0.01),
    ),
    Decision("notes", "", "edition", tr("Notes for the job sheet"),
             tr("Your own words to whoever stands at the printer"), about=tr("your own"), rule=rules.notes),
)  # fmt: skip
