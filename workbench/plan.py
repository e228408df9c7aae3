"""The plan: everything the person has decided, in one observable place.

Panels watch it and set it, and keep no state of their own.
"""

from __future__ import annotations

import traitlets as t

from workbench.analysis.eye import resolvable_ppi
from workbench.analysis.size import PrintSize, print_size
from workbench.decisions import DECISIONS
from workbench.rendering import Rendering

UNITS = tuple(value for value, _ in DECISIONS["unit"].choices)
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


class Decided(t.TraitType):
    """A trait declared in `workbench.decisions` under its own name."""

    def class_init(self, cls, name):
        self.decision = DECISIONS[name]
        self.default_value = self.decision.default
        self.help = self.decision.comment
        super().class_init(cls, name)

    def validate(self, obj, value):
        return self.decision.check(value)


class Plan(t.HasTraits):
    """A print in the making.

    What it holds, within which limits and in which units, `workbench.decisions` says;
    setting anything else raises PlanError in a sentence.  ``size_from`` names what decides
    the size: ``ppi``, ``long_side_mm`` ("size"), ``sheet``, or ``viewing_distance_mm``; the
    others follow from it.

    Raises
    ------
    PlanError
        for a value that a decision cannot have.

    Examples
    --------
    >>> plan = Plan(threshold=3)
    >>> plan.rendering.threshold
    3.0
    """

    picture = t.Any(None, allow_none=True, help="the Picture to print")
    paper = t.Any(None, allow_none=True, help="the Paper to print on")
    papers = t.Tuple(help="the papers at hand, the chosen one among them")
    measured_paper = t.Any(None, allow_none=True, help="the readings opened last, a MeasuredPaper")
    other_paper = t.Any(None, allow_none=True, help="the paper compared with the chosen one")
    adjustments = t.Any(None, allow_none=True, help="Adjustments that the person has accepted")

    size_from = Decided()
    ppi = Decided()
    long_side_mm = Decided()
    sheet = Decided()
    viewing_distance_mm = Decided()
    printer_ppi = Decided()
    crop_ratio = Decided()
    border_mm = Decided()
    unit = Decided()

    intent = Decided()
    black_point_compensation = Decided()
    threshold = Decided()

    reference = Decided()
    adaptation = Decided()
    highlight_lightness = Decided()
    display = Decided()
    tolerance = Decided()

    illuminance_lux = Decided()
    light = Decided()
    glass = Decided()
    room_share = Decided()
    screen_luminance_cd_m2 = Decided()
    screen_contrast_ratio = Decided()

    # how the file is made; the names are PrintJob's
    converts = Decided()
    sharpening = Decided()
    bit_depth = Decided()
    compression = Decided()
    on_sheet = Decided()
    optical_offset_mm = Decided()
    bleed_mm = Decided()
    bleed = Decided()
    description = Decided()

    copies = Decided()
    ink_ml_per_m2 = Decided()
    ink_price_per_ml = Decided()
    notes = Decided()

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
    def rendering(self) -> Rendering:
        """What answers about the picture on the paper depend on, apart from these two."""
        return Rendering.of(self)

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
