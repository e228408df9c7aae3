"""How the file is made."""

from __future__ import annotations

from workbench.decisions import rules
from workbench.decisions.decision import LARGEST_MM, Decision

DECLARED = (
    Decision(
        "sharpening", "auto", "file", "Sharpening for print",
        "Enlarged pixels and ink that spreads in paper soften a print; sharpening makes up for "
        "both. Its width is always matched; you may set its strength",
        about='"auto", "none" or 0 to 1', high=1.0, rule=rules.sharpening,
    ),
    Decision(
        "bit_depth", 16, "file", "Bits per channel",
        "16 bits keep more steps than an eye or a printer can tell apart; with 8, noise of one step "
        "hides where they end",
        choices=((16, "16: soft gradients stay smooth"), (8, "8, dithered")),
    ),
    Decision(
        "compression", None, "file", "Compression of the TIFF",
        "Smaller files that take longer; every pixel stays as it is",
        choices=((None, "none"), ("deflate", "deflate, without loss")),
    ),
    Decision(
        "on_sheet", False, "file", "The file is as large as the sheet",
        "Ticked, the picture lies in the middle of the sheet; otherwise the file ends where the "
        "borders end",
    ),
    Decision(
        "moved_right_mm", 0.0, "file", "Moved to the right",
        "Of the sheet's middle, as far as the printer's margins let it; less than 0 is to the "
        "left. The print can be dragged on the drawing too",
        about="how far right of the sheet's middle the print lies; left where below 0",
        unit="mm", low=-LARGEST_MM, high=LARGEST_MM, slider=(-200, 200, 0.1),
    ),
    Decision(
        "moved_down_mm", 0.0, "file", "Moved down",
        "Of the sheet's middle, as far as the printer's margins let it; less than 0 is up. The "
        "print can be dragged on the drawing too",
        about="how far below the sheet's middle the print lies; above where below 0",
        unit="mm", low=-LARGEST_MM, high=LARGEST_MM, slider=(-200, 200, 0.1),
    ),
    Decision(
        "bar_depth_mm", 0.0, "file", "Depth of the bars",
        "Of the frame that a canvas is stretched on; the canvas goes round its sides. 0 where it is "
        "not stretched",
        about="of the bars that a canvas is stretched on; 0 where it is not stretched",
        unit="mm", high=LARGEST_MM, slider=(0, 60, 0.1),
    ),
    Decision(
        "bleed_mm", 0.0, "file", "Bleed beyond each edge",
        "To be cut away, or folded behind the bars of a stretched canvas: 20 to 30 mm is usual "
        "there (common practice, no source)",
        about="beyond each edge, or behind the bars; to cut away or to fold",
        unit="mm", high=LARGEST_MM, slider=(0, 100, 0.1),
    ),
    Decision(
        "bleed", "mirrored", "file", "Filled beyond the edges with",
        "Mirrored or stretched edges keep all of the picture at the front; its own outer part is "
        "then missing there",
        choices=(
            ("mirrored", "the picture's edges, mirrored"),
            ("stretched", "its outermost pixels, drawn out"),
            ("picture", "the picture's own outer part"),
            ("white", "white"),
        ),
    ),
    Decision(
        "description", "", "file", "Description inside the file",
        "A line that other programs show; left empty, it names picture and paper",
        about='embedded in the file; "" has one written',
    ),
)  # fmt: skip
