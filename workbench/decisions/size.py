"""How large, and on which sheet."""

from __future__ import annotations

from workbench.decisions import rules
from workbench.decisions.decision import FARTHEST_MM, HIGHEST_PPI, LARGEST_MM, Decision
from workbench.language import tr

DECLARED = (
    Decision(
        "size_from", "ppi", "size", tr("What decides the size"),
        tr("The one you choose is kept; the others follow from it and the pixels"),
        choices=(
            ("ppi", tr("the resolution you choose")),
            ("size", tr("the length of the long side")),
            ("sheet", tr("the sheet, filled inside its borders")),
            ("opening", tr("the opening of a mount that you have")),
            ("viewing distance", tr("the viewing distance: as large as its pixels are enough for")),
        ),
    ),
    Decision(
        "ppi", 360.0, "size", tr("Picture resolution"),
        tr("Pixels of the picture on each inch of paper"),
        about=tr("picture pixels per inch of paper"),
        unit="ppi", high=HIGHEST_PPI, above=True, slider=(60, 720, 1),
    ),
    Decision(
        "long_side_mm", 400.0, "size", tr("Long side"), tr("Of the print, without borders"),
        about=tr("long side of the printed picture"),
        unit="mm", high=LARGEST_MM, above=True, slider=(50, 1500, 0.1),
    ),
    Decision(
        "sheet", "", "size", tr("Sheet or roll"),
        tr("Cut sheets and rolls; 40 x 60 cm and the like may be typed"),
        about=tr('such as "A3" or "24 in roll"; "" takes what fits'),
    ),
    Decision(
        "viewing_distance_mm", 2000.0, "size", tr("Viewing distance"),
        tr("From the eye to the print across the room; what is seen in the hand and at arm's length "
        "is given as well"),
        about=tr("from the eye to the print across the room"),
        unit="mm", high=FARTHEST_MM, above=True, slider=(300, 6000, 0.1), rule=rules.distance,
    ),
    Decision(
        "region", "", "size", tr("Sheets sold where you are"),
        tr("The smallest that fits is looked for among these; every other sheet can be chosen too"),
        choices=(
            ("", tr("A sizes and inches")),
            ("centimetres", tr("A sizes, and sheets in centimetres")),
            ("inches", tr("letter, ledger, and sheets in inches")),
            ("everything", tr("all there are, B and architects' sizes too")),
        ),
    ),
    Decision(
        "feed_path", "auto", "size", tr("Way through the printer"),
        tr("Thick sheets go in from the rear or the front and may need wider margins; borderless prints "
        "run over the edge, if the printer can"),
        choices=(
            ("auto", tr("by the paper's thickness")),
            ("usual", tr("the usual feed")),
            ("thick", tr("the rear or front feed, for thick sheets")),
            ("borderless", tr("borderless, over the edge")),
        ),
    ),
    Decision(
        "printer_ppi", 360.0, "size", tr("Printer's own resolution"),
        tr("What the printer works at; most photo printers belong to the 360 or the 300 ppi class"),
        unit="ppi", high=HIGHEST_PPI, above=True,
    ),
    Decision(
        "crop_ratio", "", "size", tr("Crop to"),
        tr("Width to height"),
        about=tr('such as "5:4"; "" keeps the whole picture'),
    ),
    Decision(
        "crop_across", 0.5, "size", tr("Crop from the left"),
        tr("Which part is kept; the picture can be dragged in the drawing too"),
        about=tr("0 keeps the left of the picture, 1 the right"), high=1.0, slider=(0, 1, 0.01),
    ),
    Decision(
        "crop_down", 0.5, "size", tr("Crop from the top"),
        tr("Which part is kept; the picture can be dragged in the drawing too"),
        about=tr("0 keeps the top of the picture, 1 the bottom"), high=1.0, slider=(0, 1, 0.01),
    ),
    Decision(
        "border_mm", 0.0, "size", tr("White border"),
        tr("Bare paper on every side, at the least; 0 prints to the edge"),
        about=tr("white border on every side"),
        unit="mm", high=LARGEST_MM, slider=(0, 150, 0.1),
    ),
    Decision(
        "bottom_weight_mm", 0.0, "size", tr("Wider below by"),
        tr("A picture in the very middle seems to sink; with more paper below it seems to rest "
        "(common practice, no source)"),
        about=tr("how much wider the white border is below"),
        unit="mm", high=LARGEST_MM, slider=(0, 40, 0.1),
    ),
    Decision(
        "mount_opening", "", "size", tr("Mount opening"),
        tr("Of the mount that you have, such as 28 x 38 cm; it is turned as the picture is"),
        about=tr('such as "28 x 38 cm"'),
    ),
    Decision(
        "mount_overlap_mm", 0.0, "size", tr("Covered by a mount"),
        tr("On each side of the picture; 3 to 5 mm is usual (common practice, no source), 0 without "
        "a mount"),
        about=tr("what a mount covers of the picture on each side; 0 without one"),
        unit="mm", high=LARGEST_MM, slider=(0, 20, 0.1),
    ),
    Decision(
        "unit", "cm", "size", tr("Show sizes in"), tr("cm, mm or inches"),
        choices=(("cm", "cm"), ("mm", "mm"), ("in", tr("inches"))),
    ),
)  # fmt: skip
