"""The printer: what it takes, and what it cannot print on."""

from __future__ import annotations

from workbench.decisions import rules
from workbench.decisions.decision import LARGEST_MM, Decision, within
from workbench.language import tr

DECLARED = (
    Decision("printer_name", "", "printer", tr("Printer"), tr("What you call it")),
    Decision(
        "printer_width_mm", 0.0, "printer", tr("Widest sheet or roll"),
        tr("That goes into the printer; 0 where it is not known"),
        about=tr("widest sheet or roll that it takes; 0 where not known"),
        unit="mm", high=LARGEST_MM, slider=(0, 1700, 0.1),
    ),
    Decision(
        "printer_length_mm", 0.0, "printer", tr("Longest print"),
        tr("That the printer and its driver take, on rolls too; 0 where it is not known"),
        about=tr("longest print that it takes; 0 where not known"),
        unit="mm", high=LARGEST_MM, slider=(0, 20000, 0.1),
    ),
    Decision(
        "printer_rolls", "", "printer", tr("Rolls it takes"),
        tr("Their widths, with commas; left empty, all that are not wider than the printer takes"),
        about=tr('widths of rolls, such as "17 in, 24 in"; "" for all that are not wider'),
        rule=rules.rolls,
    ),
    *(
        Decision(
            f"{name}_mm", least, "printer", label,
            tr("{where}; in the printer's manual, or measured on a print that reaches to the edges. "
               "Not known: {least:g} mm is typical (common practice, no source)",
               where=where, least=least),
            about=within(where),
            unit="mm", high=500.0, slider=(0, 50, 0.1),
        )
        for name, least, label, where in (
            ("margin_left", 3.0, tr("Margin on the left"),
             tr("What it leaves bare on the left, seen as the sheet goes in")),
            ("margin_right", 3.0, tr("Margin on the right"),
             tr("What it leaves bare on the right, seen as the sheet goes in")),
            ("margin_leading", 3.0, tr("Margin where the sheet goes in"),
             tr("What it leaves bare at the edge that goes in first")),
            ("margin_trailing", 3.0, tr("Margin at the sheet's end"),
             tr("What it leaves bare at the edge that goes in last")),
            ("thick_leading", 3.0, tr("Thick sheets: where they go in"),
             tr("What it leaves bare at the first edge of sheets fed from the rear or the front")),
            ("thick_trailing", 20.0, tr("Thick sheets: at their end"),
             tr("What it leaves bare at the last edge of sheets fed from the rear or the front")),
        )
    ),
    Decision(
        "thick_from_mm", 0.35, "printer", tr("Thick from"),
        tr("Papers of this thickness and more take the rear or front feed; 0.35 mm is a usual limit "
        "(common practice, no source)"),
        about=tr("thickness from which a paper takes the rear or front feed"),
        unit=tr("millimetres"), high=20.0,
    ),
    Decision(
        "thickest_mm", 0.0, "printer", tr("Thickest paper"),
        tr("That the printer's thickest feed takes; 0 where it is not known"),
        about=tr("thickest paper that it takes; 0 where not known"),
        unit=tr("millimetres"), high=20.0,
    ),
)  # fmt: skip
