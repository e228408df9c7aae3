"""What a person marks in photographs of a sheet, as it stands in fields: points and lamp's places."""

from __future__ import annotations

import math
import re

from workbench.errors import WorkbenchError
from workbench.language import numeral, tr
from workbench.surface.directions import Ball, Pin

_NUMBER = re.compile(r"[-−+]?\d+(?:[.,]\d+)?")


def pairs_of(text: str, what: str) -> tuple[tuple[float, float], ...]:
    """Pairs of numbers, as a person types them.

    Parameters
    ----------
    text : such as "120 80; 360 80"; decimals with a point, or a comma where the pairs are apart
        by semicolons or lines.
    what : the pairs are, for the sentence that says what is wrong.

    Raises
    ------
    WorkbenchError

    Examples
    --------
    >>> pairs_of("0 35; 45 30,5", "lamp's places")
    ((0.0, 35.0), (45.0, 30.5))
    >>> pairs_of("120, 80", "points")
    ((120.0, 80.0),)
    """
    pieces = [each for each in re.split(r"[;\n]", text) if each.strip()]
    pairs: list[tuple[float, float]] = []
    for piece in pieces:
        # a comma before a space parts two numbers, one within digits does not
        found = _NUMBER.findall(re.sub(r",\s", " ", piece))
        if len(found) != 2:
            raise WorkbenchError(
                tr(
                    "The {what} are pairs of numbers such as “120 80; 360 80”; “{piece}” is not "
                    "one.",
                    what=what,
                    piece=piece.strip()[:40],
                )
            )
        x, y = (float(each.replace("−", "-").replace(",", ".")) for each in found)
        pairs.append((x, y))
    return tuple(pairs)


def point_of(text: str, what: str) -> tuple[float, float]:
    """One such pair.  Raises WorkbenchError where there is none, or more."""
    pairs = pairs_of(text, what)
    if len(pairs) != 1:
        raise WorkbenchError(
            tr("Mark the {what}: click on it in the photograph, or type its x and y.", what=what)
        )
    return pairs[0]


def text_of(points) -> str:
    """Pairs as `pairs_of` reads them.

    >>> text_of([(120.4, 80.0), (3, 4)])
    '120.4 80; 3 4'
    """
    return "; ".join(f"{numeral(round(x, 1))} {numeral(round(y, 1))}" for x, y in points)


def evenly_round(count: int, first_deg: float, elevation_deg: float, clockwise: bool = False):
    """Azimuth and elevation of a lamp that goes once round a sheet in even steps.

    Parameters
    ----------
    count : of photographs.
    first_deg : azimuth of the first: 0 from the right, 90 from the top.
    elevation_deg : above the sheet.

    Examples
    --------
    >>> evenly_round(4, 90, 35)
    ((90.0, 35.0), (180.0, 35.0), (270.0, 35.0), (0.0, 35.0))
    """
    step = (-360.0 if clockwise else 360.0) / max(count, 1)
    return tuple(((first_deg + k * step) % 360, float(elevation_deg)) for k in range(count))


def part_between(one, other) -> tuple[float, float, float, float]:
    """(x, y, width, height) of the rectangle with two opposite corners.

    >>> part_between((30, 5), (10, 25))
    (10, 5, 20, 20)
    """
    (x0, y0), (x1, y1) = one, other
    return min(x0, x1), min(y0, y1), abs(x1 - x0), abs(y1 - y0)


def ball_between(middle, edge, shiny: bool) -> Ball:
    """A ball by its middle and a point on its edge.

    >>> ball_between((10, 10), (13, 14), True).radius_px
    5.0
    """
    x, y = middle
    return Ball(x, y, math.dist(middle, edge), shiny)


def pin_with(foot, height_mm: float, tips) -> Pin:
    """A pin by its foot, its height and the tips of its shadows.

    Raises
    ------
    WorkbenchError
        for a pin without a height.

    Examples
    --------
    >>> pin_with((5, 5), 8, [(9, 5)]).height_mm
    8.0
    """
    if not (math.isfinite(height_mm) and 0.1 <= height_mm <= 1000):
        raise WorkbenchError(tr("A pin stands 0.1 to 1000 mm above the sheet; measure it again."))
    x, y = foot
    return Pin(x, y, float(height_mm), tuple((float(across), float(down)) for across, down in tips))
