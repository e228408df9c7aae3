"""Mounts with an opening: the opening for a print, the print for an opening, the card around it."""

from __future__ import annotations

from dataclasses import dataclass

from workbench.analysis.sheets import area_text, find_sheet, length_text
from workbench.errors import SizeError
from workbench.language import tr

#: What a mount usually covers of a print on each side (common practice, no source).
USUAL_OVERLAP_MM = 3.0


def opening_for(width_mm: float, height_mm: float, overlap_mm: float) -> tuple[float, float]:
    """(width, height) in mm of the opening that covers so much of a print on each side.

    Parameters
    ----------
    width_mm, height_mm : of the print, without borders.
    overlap_mm : that the mount covers on each side; 0 or more.

    Raises
    ------
    SizeError
        where nothing of the print would be seen.

    Examples
    --------
    >>> opening_for(400, 300, 3)
    (394, 294)
    """
    opening = width_mm - 2 * overlap_mm, height_mm - 2 * overlap_mm
    if min(opening) <= 0:
        raise SizeError(
            tr(
                "A mount that covers {overlap} on each side leaves nothing of {size}; "
                "let it cover less.",
                overlap=length_text(overlap_mm, "mm"),
                size=area_text(width_mm, height_mm, "mm"),
            )
        )
    return opening


def print_for_opening(opening, overlap_mm: float, *, landscape: bool) -> tuple[float, float]:
    """(width, height) in mm of the print that a mount's opening asks for.

    Parameters
    ----------
    opening : such as "28 x 38 cm", or a pair of mm, in either order.
    overlap_mm : that the mount covers on each side.
    landscape : whether the picture lies.

    Raises
    ------
    SizeError
        for an opening that says no size.

    Examples
    --------
    >>> print_for_opening("28 x 38 cm", 3, landscape=True)
    (386.0, 286.0)
    """
    sheet = find_sheet(opening)
    if sheet.height_mm is None:
        raise SizeError(
            tr("An opening has two sides, such as 28 x 38 cm; {name} has one.", name=sheet.label)
        )
    short, long = sheet.width_mm + 2 * overlap_mm, sheet.height_mm + 2 * overlap_mm
    return (long, short) if landscape else (short, long)


@dataclass(frozen=True)
class Mount:
    """A mount in its frame; lengths in mm.

    Attributes
    ----------
    opening_mm : (width, height) of the opening.
    outer_mm : (width, height) of the card.
    left_mm, right_mm, top_mm, bottom_mm : of card beside the opening.
    """

    opening_mm: tuple[float, float]
    outer_mm: tuple[float, float]
    left_mm: float
    right_mm: float
    top_mm: float
    bottom_mm: float


def mount_in(
    outer_mm: tuple[float, float], opening_mm: tuple[float, float], *, bottom_weight_mm: float = 0.0
) -> Mount:
    """Where an opening lies in a card of a frame's size.

    Parameters
    ----------
    outer_mm : (width, height) of the card.
    opening_mm : (width, height) of the opening.
    bottom_weight_mm : how much more card lies below than above: a picture in the very
        middle seems to sink (common practice, no source).

    Raises
    ------
    SizeError
        where the card has no room for it.

    Examples
    --------
    >>> mount = mount_in((500, 400), (394, 294), bottom_weight_mm=10)
    >>> mount.left_mm, mount.top_mm, mount.bottom_mm
    (53.0, 48.0, 58.0)
    """
    across, down = outer_mm[0] - opening_mm[0], outer_mm[1] - opening_mm[1]
    top = (down - bottom_weight_mm) / 2
    if min(across, top, top + bottom_weight_mm) < 0:
        raise SizeError(
            tr(
                "An opening of {opening} has no room in a card of {card}; take a "
                "larger frame, or less weight below.",
                opening=area_text(*opening_mm, "mm"),
                card=area_text(*outer_mm, "mm"),
            )
        )
    return Mount(opening_mm, outer_mm, across / 2, across / 2, top, top + bottom_weight_mm)
