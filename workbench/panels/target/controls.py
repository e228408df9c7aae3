"""The target panel's knobs, labelled and explained."""

from __future__ import annotations

from workbench.colour.spaces import RGB_SPACES, space_label
from workbench.language import tr
from workbench.panels import parts
from workbench.panels.sources.readings import FILE_EXTENSIONS
from workbench.target.tolerances import TOLERANCES

SCAN_EXTENSIONS = (".tif", ".tiff", ".png", ".jpg", ".jpeg")
SHEETS = ("A4", "A3", "A5", "Letter")


class WriteControls:
    """How the target is written."""

    def __init__(self, front):
        self.sheet = parts.choice(
            front, tr("Sheet"), options=[(tr("only the page itself"), ""), *((each, each) for each in SHEETS)],
            help=tr("Centred on a sheet, or as a small page to place beside other prints"),
        )  # fmt: skip
        self.patch = parts.number(
            front, tr("Side of a patch"), value=9, min=5, max=40, step=0.5, unit="mm",
            help=tr("As wide as your instrument's opening asks for; 8 to 10 mm suit most that are "
            "placed by hand (common practice, no source)"),
        )  # fmt: skip


class ReadControls:
    """What was measured, and by which limits it is judged."""

    def __init__(self, front, on_measured, on_scan, on_before):
        self.tolerances = parts.choice(
            front, tr("Judge by"), options=[(known.label, known.name) for known in TOLERANCES],
            help=tr("Sets of limits. The ISO ones are made for press proofs: a yardstick only"),
        )  # fmt: skip
        self.take_d50 = parts.tick(
            front, tr("Where a file does not say its light, take D50 and 2°"),
            help=tr("Most instruments for prints give these (ISO 13655); tick it if yours does"),
        )  # fmt: skip
        self.measured = parts.FileChooser(
            front, tr("Measurements (CGATS.17 text)"), on_measured, extensions=FILE_EXTENSIONS,
            help=tr("Spectra, Lab or XYZ; patches by name such as A1, or in the target's order"),
        )  # fmt: skip
        self.scan = parts.FileChooser(
            front, tr("Scan or photograph of the target"), on_scan, extensions=SCAN_EXTENSIONS,
            help=tr("With its four corner marks in the picture; turned or tilted is fine"),
        )  # fmt: skip
        self.assume = parts.choice(
            front, tr("Where the scan has no profile"),
            options=[(tr("say so"), ""), *((space_label(name), name) for name in RGB_SPACES)],
            help=tr("The colour space to take its numbers for"),
        )  # fmt: skip
        self.before = parts.FileChooser(
            front, tr("Earlier measurements of the same target"), on_before,
            extensions=FILE_EXTENSIONS,
            help=tr("From the day the printer was known to be good, or from last month"),
        )  # fmt: skip
