"""How many prints, what they cost, and notes."""

from __future__ import annotations

from workbench.decisions import rules
from workbench.decisions.decision import Decision

DECLARED = (
    Decision(
        "copies", 1, "edition", "Copies of the edition",
        "How many prints the price and the job sheet are worked out for",
        about="prints of the edition", low=1, high=1_000_000, whole=True,
    ),
    Decision(
        "ink_ml_per_m2", None, "edition", "Ink on an average picture",
        "What the printer lays down on a square metre of a picture that is neither dark nor light; "
        "this picture's own colours make it more or less. 0 where not known",
        about="millilitres of ink to the square metre; left out, not known",
        unit="ml/m²", high=1e9, optional=True,
    ),
    Decision(
        "ink_price_per_ml", None, "edition", "Price of ink",
        "A cartridge's price divided by its millilitres; 0 where not known",
        about="in the paper's currency; left out, not known",
        unit="per ml", high=1e9, optional=True,
    ),
    Decision(
        "test_strips", 0, "edition", "Test strips",
        "Printed before the edition; each takes a page of A5 and its ink",
        about="strips printed before the edition", low=0, high=1000, whole=True,
    ),
    Decision(
        "reject_share", 0.0, "edition", "Prints that fail",
        "Of all that are printed: marked, creased, or not as they should be",
        about="share of all prints that fail", high=0.9, slider=(0, 0.5, 0.01),
    ),
    Decision("notes", "", "edition", "Notes for the job sheet",
             "Your own words to whoever stands at the printer", about="your own", rule=rules.notes),
)  # fmt: skip
