"""What to check first when a print is off: signs, and what usually is behind them.

All of this is common practice, no source; the limits that tell a sign are our own.
"""

from __future__ import annotations

import numpy as np

from workbench.language import tr
from workbench.target.patches import Target

_NOTHING_FITS = 15.0
_ALL_OFF = 6.0
_PAPER_OFF = 1.5
_UNSTEADY = 1.0
_BLACK_OFF = 0.08
_LIGHTNESS_OFF, _CAST_OFF = 1.5, 1.5
# an ink's family is off that much more than the others
_FAMILY_TIMES, _FAMILY_LEAST = 2.2, 3.0
# patches that each ink is the main part of
_FAMILIES = {
    "cyan": ("Cyan", "Green", "Blue"),
    "magenta": ("Magenta", "Red", "Blue"),
    "yellow": ("Yellow", "Red", "Green"),
}
_INK_NAMES = {"cyan": tr("cyan"), "magenta": tr("magenta"), "yellow": tr("yellow")}


def first_checks(figures: dict, shifts, target: Target, difference, passed: bool) -> list[str]:
    """Sentences, the likeliest cause first; none where nothing stands out.

    Parameters
    ----------
    figures : of the verdict, by name.
    shifts : of the greys.
    difference : (n,) CIEDE2000 of the patches.
    """
    if figures["mean"] > _NOTHING_FITS:
        return [
            tr(
                "Nothing fits: check that this is the target for this paper, that the file was "
                "printed with the driver's own colour conversion off, and that the rows were "
                "measured in the target's order."
            )
        ]
    said = []
    if figures["repeats"] > _UNSTEADY:
        said.append(
            tr(
                "The same colour measured differently in two places: measure again on a flat, dry "
                "sheet, and look for banding or blocked nozzles with a nozzle check."
            )
        )
    if figures["white"] > _PAPER_OFF:
        said.append(
            tr(
                "The bare paper itself is not the profile's: check that it is this paper, the right "
                "side of it, and measured on the same backing and in the same mode (M0, M1 or M2; "
                "brighteners make these differ)."
            )
        )
    if ink := _weak_ink(target, difference):
        said.append(
            tr(
                "Colours that need {ink} ink are off more than the others: print a nozzle "
                "check and look at {ink}.",
                ink=_INK_NAMES[ink],
            )
        )
    away = figures["black_density"] - figures["expected_black_density"]
    if away < -_BLACK_OFF:
        said.append(
            tr(
                "Black is weaker than expected: check the media setting and the black ink first "
                "(photo black on a matte paper, or the other way round, does this)."
            )
        )
    elif away > _BLACK_OFF:
        said.append(
            tr(
                "Black is deeper than expected: the media setting lays down more ink than the one "
                "the profile was made with."
            )
        )
    if figures["mean"] > _ALL_OFF:
        said.append(
            tr(
                "Almost everything is off: the colours were probably converted twice or not at all; "
                "check the driver's colour setting, then the profile."
            )
        )
    elif not said:
        said += _by_shifts(shifts)
    if not said and not passed:
        said.append(
            tr(
                "No single cause stands out: let the print dry for a day and measure it again, then "
                "consider a new profile (printers and inks change with the months)."
            )
        )
    return said


def _by_shifts(shifts) -> list[str]:
    ways = [shift.lightness for shift in shifts]
    if max(map(abs, ways)) >= _LIGHTNESS_OFF:
        if min(ways) > 0:
            return [
                tr(
                    "All greys are too light: check the media setting and the print quality, "
                    "which decide how much ink is laid down."
                )
            ]
        if max(ways) < 0:
            return [
                tr(
                    "All greys are too dark: check the media setting and the print quality, "
                    "which decide how much ink is laid down."
                )
            ]
        return [
            tr("Greys are off in lightness: let the print dry for a day, then measure it again.")
        ]
    if max(shift.tint for shift in shifts) >= _CAST_OFF:
        return [
            tr(
                "The greys have a cast: print a nozzle check, let the print dry for a day and "
                "measure it again; if it stays, the profile no longer fits the printer."
            )
        ]
    return []


def _weak_ink(target: Target, difference) -> str:
    """The ink whose colours are off by far the most, or an empty word."""
    difference = np.asarray(difference)
    coloured = target.group("full colours", "half colours", "dark colours")
    hue = np.array([name.split(",")[0] for name in target.names])
    found = []
    for ink, family in _FAMILIES.items():
        inside = coloured & np.isin(hue, family)
        inner = float(np.median(difference[inside]))
        outer = float(np.median(difference[coloured & ~inside]))
        if inner >= _FAMILY_LEAST and inner > _FAMILY_TIMES * outer:
            found.append((inner / max(outer, 0.1), ink))
    return max(found)[1] if found else ""
