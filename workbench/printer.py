"""A printer: what it takes, and what it cannot print on.

>>> Printer().feed().trailing_mm, Printer().feed(thickness_mm=0.5).trailing_mm
(3.0, 20.0)
"""

from __future__ import annotations

import math
from dataclasses import dataclass, fields, replace

from workbench.decisions import DECISIONS, default_of
from workbench.planned import Planned


@dataclass(frozen=True)
class Feed:
    """How a sheet goes through a printer, short side first; lengths in mm.

    Attributes
    ----------
    left_mm, right_mm : left bare on either side, seen as the sheet goes in.
    leading_mm, trailing_mm : left bare at the edge that goes in first, and last.
    roll_ends_mm : left bare at the first and the last edge of a print on a roll.
    widest_mm, longest_mm : sheet or roll that the printer takes, and the longest print.
    thick : whether sheets go in at the rear or front, as thick ones must.
    """

    left_mm: float = default_of("margin_left_mm")
    right_mm: float = default_of("margin_right_mm")
    leading_mm: float = default_of("margin_leading_mm")
    trailing_mm: float = default_of("margin_trailing_mm")
    roll_ends_mm: tuple[float, float] = (
        default_of("margin_leading_mm"), default_of("margin_trailing_mm"),
    )  # fmt: skip
    widest_mm: float = math.inf
    longest_mm: float = math.inf
    thick: bool = False

    def bare_mm(self, *, roll: bool = False) -> float:
        """The widest margin of all edges: enough on each, whichever way a page is fed."""
        ends = self.roll_ends_mm if roll else (self.leading_mm, self.trailing_mm)
        return max(self.left_mm, self.right_mm, *ends)


#: A printer of which nothing is known: typical margins (common practice, no source).
TYPICAL = Feed()
#: Printing over the edge, or on a sheet that is cut down later.
BORDERLESS = Feed(0.0, 0.0, 0.0, 0.0, (0.0, 0.0))


@dataclass(frozen=True)
class Printer:
    """What a person knows of their printer.

    Every field is declared in `workbench.decisions`: its limits, unit and default stand
    there, and nothing outside them can be held.

    Attributes
    ----------
    printer_name : what the person calls it.
    printer_ppi : its own resolution.
    printer_width_mm, printer_length_mm : widest sheet or roll, longest print; 0 not known.
    printer_rolls : widths of rolls, such as "17 in, 24 in"; "" for all that are not wider.
    margin_left_mm, margin_right_mm, margin_leading_mm, margin_trailing_mm : left bare on the
        sheets of the usual feed.
    thick_leading_mm, thick_trailing_mm : left bare on sheets fed from the rear or front.
    thick_from_mm : thickness from which a paper is fed so.
    thickest_mm : paper that it takes; 0 not known.
    ink_ml_per_m2, ink_price_per_ml : what it lays down, and what that costs; None not known.
    region : which sheets are sold where it stands, as in `workbench.analysis.sheets.REGIONS`.

    Raises
    ------
    PlanError
        for a value that a decision cannot have.

    Examples
    --------
    >>> Printer(margin_left_mm=5).feed().left_mm
    5.0
    """

    printer_name: str = default_of("printer_name")
    printer_ppi: float = default_of("printer_ppi")
    printer_width_mm: float = default_of("printer_width_mm")
    printer_length_mm: float = default_of("printer_length_mm")
    printer_rolls: str = default_of("printer_rolls")
    margin_left_mm: float = default_of("margin_left_mm")
    margin_right_mm: float = default_of("margin_right_mm")
    margin_leading_mm: float = default_of("margin_leading_mm")
    margin_trailing_mm: float = default_of("margin_trailing_mm")
    thick_leading_mm: float = default_of("thick_leading_mm")
    thick_trailing_mm: float = default_of("thick_trailing_mm")
    thick_from_mm: float = default_of("thick_from_mm")
    thickest_mm: float = default_of("thickest_mm")
    ink_ml_per_m2: float | None = default_of("ink_ml_per_m2")
    ink_price_per_ml: float | None = default_of("ink_price_per_ml")
    region: str = default_of("region")

    def __post_init__(self):
        for name in NAMES:
            object.__setattr__(self, name, DECISIONS[name].check(getattr(self, name)))

    @classmethod
    def of(cls, plan: Planned) -> Printer:
        """That of a plan, or of anything with attributes of these names."""
        return cls(**{name: getattr(plan, name) for name in NAMES})

    def is_thick(self, path: str, thickness_mm: float | None) -> bool:
        """Whether a paper takes the rear or front feed: chosen, or by its thickness if known."""
        thick = thickness_mm is not None and thickness_mm >= self.thick_from_mm
        return path == "thick" or (path == "auto" and thick)

    def feed(self, path: str = "auto", thickness_mm: float | None = None) -> Feed:
        """How a paper goes through.

        Parameters
        ----------
        path : "usual", "thick", "borderless", or "auto" by the thickness.
        thickness_mm : of the paper; None where not known.

        Raises
        ------
        PlanError
            for another path.
        """
        path = DECISIONS["feed_path"].check(path)
        # a roll has its own way, however thick
        roll_ends = self.margin_leading_mm, self.margin_trailing_mm
        thick_ends = self.thick_leading_mm, self.thick_trailing_mm
        thick = self.is_thick(path, thickness_mm)
        ends = thick_ends if thick else roll_ends
        feed = Feed(self.margin_left_mm, self.margin_right_mm, *ends, roll_ends, thick=thick)
        return replace(
            BORDERLESS if path == "borderless" else feed,
            widest_mm=self.printer_width_mm or math.inf,
            longest_mm=self.printer_length_mm or math.inf,
        )

    def too_thick(self, thickness_mm: float | None) -> bool:
        """Whether a paper is thicker than the printer takes; no where either is not known."""
        return thickness_mm is not None and 0 < self.thickest_mm < thickness_mm


NAMES = tuple(field.name for field in fields(Printer))
