"""How the file is made."""

from __future__ import annotations

from workbench.decisions import rules
from workbench.decisions.decision import LARGEST_MM, Decision
from workbench.language import tr

DECLARED = (
    Decision(
        "sharpening", "auto", "file", tr("Sharpening for print"),
        tr("Enlarged pixels and ink that spreads in paper soften a print; sharpening makes up for "
        "both. Its width is always matched; you may set its strength"),
        about=tr('"auto", "none" or 0 to 1'), high=1.0, rule=rules.sharpening,
    ),
    Decision(
        "bit_depth", 16, "file", tr("Bits per channel"),
        tr("16 bits keep more steps than an eye or a printer can tell apart; with 8, noise of one step "
        "hides where they end"),
        choices=((16, tr("16: soft gradients stay smooth")), (8, tr("8, dithered"))),
    ),
    Decision(
        "compression", None, "file", tr("Compression of the TIFF"),
        tr("Smaller files that take longer; every pixel stays as it is"),
        choices=((None, tr("none")), ("deflate", tr("deflate, without loss"))),
    ),
    Decision(
        "on_sheet", False, "file", tr("The file is as large as the sheet"),
        tr("Ticked, the picture lies in the middle of the sheet; otherwise the file ends where the "
        "borders end"),
    ),
    Decision(
        "moved_right_mm", 0.0, "file", tr("Moved to the right"),
        tr("Of the sheet's middle, as far as the printer's margins let it; less than 0 is to the "
        "left. The print can be dragged on the drawing too"),
        about=tr("how far right of the sheet's middle the print lies; left where below 0"),
        unit="mm", low=-LARGEST_MM, high=LARGEST_MM, slider=(-200, 200, 0.1),
    ),
    Decision(
        "moved_down_mm", 0.0, "file", tr("Moved down"),
        tr("Of the sheet's middle, as far as the printer's margins let it; less than 0 is up. The "
        "print can be dragged on the drawing too"),
        about=tr("how far below the sheet's middle the print lies; above where below 0"),
        unit="mm", low=-LARGEST_MM, high=LARGEST_MM, slider=(-200, 200, 0.1),
    ),
    Decision(
        "bar_depth_mm", 0.0, "file", tr("Depth of the bars"),
        tr("Of the frame that a canvas is stretched on; the canvas goes round its sides. 0 where it is "
        "not stretched"),
        about=tr("of the bars that a canvas is stretched on; 0 where it is not stretched"),
        unit="mm", high=LARGEST_MM, slider=(0, 60, 0.1),
    ),
    Decision(
        "bleed_mm", 0.0, "file", tr("Bleed beyond each edge"),
        tr("To be cut away, or folded behind the bars of a stretched canvas: 20 to 30 mm is usual "
        "there (common practice, no source)"),
        about=tr("beyond each edge, or behind the bars; to cut away or to fold"),
        unit="mm", high=LARGEST_MM, slider=(0, 100, 0.1),
    ),
    Decision(
        "bleed", "mirrored", "file", tr("Filled beyond the edges with"),
        tr("Mirrored or stretched edges keep all of the picture at the front; its own outer part is "
        "then missing there"),
        choices=(
            ("mirrored", tr("the picture's edges, mirrored")),
            ("stretched", tr("its outermost pixels, drawn out")),
            ("picture", tr("the picture's own outer part")),
            ("white", tr("white")),
        ),
    ),
    Decision(
        "description", "", "file", tr("Description inside the file"),
        tr("A line that other programs show; left empty, it names picture and paper"),
        about=tr('embedded in the file; "" has one written'),
    ),
)  # fmt: skip
