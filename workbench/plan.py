"""The plan: everything the person has decided, in one observable place.

Panels watch it and set it, and keep no state of their own.
"""

from __future__ import annotations

import traitlets as t

from workbench.analysis.eye import resolvable_ppi
from workbench.analysis.size import PrintSize, print_size
from workbench.analysis.white import OFFICE_SHEET
from workbench.colour.engine import INTENTS
from workbench.output.job import BLEEDS, CONVERTS

UNITS = ("cm", "mm", "in")
SIZE_FROM = ("ppi", "size", "sheet", "viewing distance")
#: What the picture's size on paper follows from, see `Plan.print_size`.
SIZE_TRAITS = (
    "size_from", "ppi", "long_side_mm", "sheet", "viewing_distance_mm", "printer_ppi",
    "crop_ratio", "border_mm",
)  # fmt: skip
#: What a print file's pixels follow from, see `workbench.output.job.PrintJob`.
JOB_TRAITS = (
    "picture", "paper", *SIZE_TRAITS, "intent", "black_point_compensation", "converts",
    "sharpening", "adjustments", "bit_depth", "compression", "on_sheet", "optical_offset_mm",
    "bleed_mm", "bleed",
)  # fmt: skip


class Plan(t.HasTraits):
    """A print in the making.

    Sizes are in millimetres, resolutions in pixels per inch.  ``size_from`` names what
    decides the size: ``ppi``, ``long_side_mm`` ("size"), ``sheet``, or
    ``viewing_distance_mm``; the others follow from it.
    """

    picture = t.Any(None, allow_none=True, help="the Picture to print")
    paper = t.Any(None, allow_none=True, help="the Paper to print on")
    papers = t.Tuple(help="the papers at hand, the chosen one among them")
    measured_paper = t.Any(None, allow_none=True, help="the readings opened last, a MeasuredPaper")

    size_from = t.Enum(SIZE_FROM, "ppi", help="what decides the size")
    ppi = t.Float(360.0, help="picture pixels per inch of paper")
    long_side_mm = t.Float(400.0, help="long side of the print")
    sheet = t.Unicode("", help="name of the chosen sheet; empty takes the smallest that fits")
    viewing_distance_mm = t.Float(0.0, help="0 takes the usual one for the size")
    printer_ppi = t.Float(360.0, help="the printer's own resolution")
    crop_ratio = t.Unicode("", help="such as 5:4; empty keeps the whole picture")
    border_mm = t.Float(0.0, help="white border on every side, at the least")
    unit = t.Enum(UNITS, "cm", help="unit in which sizes are shown")

    intent = t.Enum(INTENTS, "relative", help="rendering intent")
    black_point_compensation = t.Bool(True)
    threshold = t.Float(2.0, help="CIEDE2000 above which a colour counts as beyond the paper")

    reference = t.Any(OFFICE_SHEET, help="the white the paper is seen beside: a name or a Paper")
    adaptation = t.Float(0.0, help="0 side by side .. 1 fully adapted to the paper")
    highlight_lightness = t.Float(90.0, help="L* above which a pixel takes the paper's tint")
    display = t.Any(
        "sRGB", help="what shows the proof: a name, a path or bytes, as for find_display"
    )

    other_paper = t.Any(None, allow_none=True, help="the paper compared with the chosen one")
    tolerance = t.Float(1.0, help="CIEDE2000 below which two greys cannot be told apart")

    illuminance_lux = t.Float(500.0, help="light on the print, measured in front of its glass")
    light = t.Unicode("D50", help="an illuminant or a colour temperature, as for find_light")
    glass = t.Unicode("", help="name of the glass before the print; empty for none")
    room_share = t.Float(
        None,
        allow_none=True,
        help="what glass and gloss mirror, 1 being as bright as a white sheet in the print's "
        "place; None takes the usual",
    )
    screen_luminance_cd_m2 = t.Float(120.0, help="of the screen's white; 0 where not known")
    screen_contrast_ratio = t.Float(1000.0, help="of the screen, white over black; 0 not known")

    # how the file is made; the names are PrintJob's
    converts = t.Enum(CONVERTS, "workbench", help="who brings the colours to the paper's")
    sharpening = t.Any("auto", allow_none=True, help='0..1, "auto" or None')
    adjustments = t.Any(None, allow_none=True, help="Adjustments that the person has accepted")
    bit_depth = t.Enum((16, 8), 16)
    compression = t.Enum((None, "deflate"), None, help="of a TIFF file")
    on_sheet = t.Bool(False, help="the file is as large as the sheet")
    optical_offset_mm = t.Float(0.0, help="how far above the middle the picture is placed")
    bleed_mm = t.Float(0.0, help="picture carried on beyond each edge, for a stretched canvas")
    bleed = t.Enum(BLEEDS, "mirrored", help="what the bleed is made of")
    description = t.Unicode("", help="embedded in the file; empty has one written")

    copies = t.Int(1, min=1, help="prints of the edition")
    ink_ml_per_m2 = t.Float(None, allow_none=True, help="None where not known")
    ink_price_per_ml = t.Float(None, allow_none=True, help="in the paper's currency")
    notes = t.Unicode("", help="the person's own")

    # what has come of it since; forgotten with another picture or paper
    written = t.Any(None, allow_none=True, help="the WrittenFile last made from this plan")
    verdict = t.Any(None, allow_none=True, help="the Verdict on what was measured on this paper")
    measurements = t.Unicode("", help="the measurements it is on, as CGATS text")

    @t.observe("picture", "paper")
    def _another_print(self, change) -> None:
        self.written = self.verdict = None
        self.measurements = ""

    def copy(self, **changes) -> Plan:
        """A plan of its own that holds the same, but for ``changes``, by the traits' names.

        What has come of this one comes along, unless another picture or paper is among them.

        Raises
        ------
        traitlets.TraitError
            for a name that a plan does not have, or a value that it does not take.
        """
        held = {name: getattr(self, name) for name in self.class_trait_names()}
        copy = Plan(**held)
        # its first picture and paper were another print to it, which forgot them
        for name in ("written", "verdict", "measurements"):
            copy.set_trait(name, held[name])
        for name, value in changes.items():
            copy.set_trait(name, value)
        return copy

    @property
    def rendering(self) -> dict:
        """Intent and compensation, as the analyses take them."""
        return {
            "intent": self.intent,
            "black_point_compensation": self.black_point_compensation,
        }

    def print_size(self) -> PrintSize:
        """The size that follows from the plan.

        Raises
        ------
        SizeError
            where its numbers do not add up.
        """
        decides = {}
        if self.size_from == "ppi":
            decides = {"ppi": self.ppi}
        elif self.size_from == "size":
            decides = {"long_side_mm": self.long_side_mm}
        elif self.size_from == "viewing distance" and self.viewing_distance_mm:
            # as a resolution, because a sheet would decide before the distance does
            decides = {"ppi": resolvable_ppi(self.viewing_distance_mm)}
        return print_size(
            self.picture,
            **decides,
            sheet=self.sheet or None,
            viewing_distance_mm=self.viewing_distance_mm or None,
            printer_ppi=self.printer_ppi,
            crop_ratio=self.crop_ratio or None,
            borders_mm=self.border_mm,
        )
