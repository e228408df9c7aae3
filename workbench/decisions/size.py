"""How large, and on which sheet."""

from __future__ import annotations

from workbench.decisions import rules
from workbench.decisions.decision import FARTHEST_MM, HIGHEST_PPI, LARGEST_MM, Decision

DECLARED = (
    Decision(
        "size_from", "ppi", "size", "What decides the size",
        "The one you choose is kept; the others follow from it and the pixels",
        choices=(
            ("ppi", "the resolution you choose"),
            ("size", "the length of the long side"),
            ("sheet", "the sheet, filled inside its borders"),
            ("opening", "the opening of a mount that you have"),
            ("viewing distance", "the viewing distance: as large as stays sharp"),
        ),
    ),
    Decision(
        "ppi", 360.0, "size", "Picture resolution",
        "Pixels of the picture on each inch of paper",
        about="picture pixels per inch of paper",
        unit="ppi", high=HIGHEST_PPI, above=True, slider=(60, 720, 1),
    ),
    Decision(
        "long_side_mm", 400.0, "size", "Long side", "Of the print, without borders",
        about="long side of the printed picture",
        unit="mm", high=LARGEST_MM, above=True, slider=(50, 1500, 0.1),
    ),
    Decision(
        "sheet", "", "size", "Sheet or roll",
        "Cut sheets and rolls; 40 x 60 cm and the like may be typed",
        about='such as "A3" or "24 in roll"; "" takes what fits',
    ),
    Decision(
        "viewing_distance_mm", 2000.0, "size", "Viewing distance",
        "From the eye to the print across the room; what is seen in the hand and at arm's length "
        "is given as well",
        about="from the eye to the print across the room",
        unit="mm", high=FARTHEST_MM, above=True, slider=(300, 6000, 0.1), rule=rules.distance,
    ),
    Decision(
        "region", "", "size", "Sheets sold where you are",
        "The smallest that fits is looked for among these; every other sheet can be chosen too",
        choices=(
            ("", "A sizes and inches"),
            ("centimetres", "A sizes, and sheets in centimetres"),
            ("inches", "letter, ledger, and sheets in inches"),
            ("everything", "all there are, B and architects' sizes too"),
        ),
    ),
    Decision(
        "feed_path", "auto", "size", "Way through the printer",
        "Thick sheets go in from the rear or the front and may need wider margins; borderless prints "
        "run over the edge, if the printer can",
        choices=(
            ("auto", "by the paper's thickness"),
            ("usual", "the usual feed"),
            ("thick", "the rear or front feed, for thick sheets"),
            ("borderless", "borderless, over the edge"),
        ),
    ),
    Decision(
        "printer_ppi", 360.0, "size", "Printer's own resolution",
        "What the printer works at; most photo printers belong to the 360 or the 300 ppi class",
        unit="ppi", high=HIGHEST_PPI, above=True,
    ),
    Decision(
        "crop_ratio", "", "size", "Crop to",
        "Width to height",
        about='such as "5:4"; "" keeps the whole picture',
    ),
    Decision(
        "crop_across", 0.5, "size", "Crop from the left",
        "Which part is kept; the picture can be dragged in the drawing too",
        about="0 keeps the left of the picture, 1 the right", high=1.0, slider=(0, 1, 0.01),
    ),
    Decision(
        "crop_down", 0.5, "size", "Crop from the top",
        "Which part is kept; the picture can be dragged in the drawing too",
        about="0 keeps the top of the picture, 1 the bottom", high=1.0, slider=(0, 1, 0.01),
    ),
    Decision(
        "border_mm", 0.0, "size", "White border",
        "Bare paper on every side, at the least; 0 prints to the edge",
        about="white border on every side",
        unit="mm", high=LARGEST_MM, slider=(0, 150, 0.1),
    ),
    Decision(
        "bottom_weight_mm", 0.0, "size", "Wider below by",
        "A picture in the very middle seems to sink; with more paper below it seems to rest "
        "(common practice, no source)",
        about="how much wider the white border is below",
        unit="mm", high=LARGEST_MM, slider=(0, 40, 0.1),
    ),
    Decision(
        "mount_opening", "", "size", "Mount opening",
        "Of the mount that you have, such as 28 x 38 cm; it is turned as the picture is",
        about='such as "28 x 38 cm"',
    ),
    Decision(
        "mount_overlap_mm", 0.0, "size", "Covered by a mount",
        "On each side of the picture; 3 to 5 mm is usual (common practice, no source), 0 without "
        "a mount",
        about="what a mount covers of the picture on each side; 0 without one",
        unit="mm", high=LARGEST_MM, slider=(0, 20, 0.1),
    ),
    Decision(
        "unit", "cm", "size", "Show sizes in", "cm, mm or inches",
        choices=(("cm", "cm"), ("mm", "mm"), ("in", "inches")),
    ),
)  # fmt: skip
