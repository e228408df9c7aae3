"""The gamut panel's quieter words, and its table of all ways to print."""

from __future__ import annotations

from html import escape

from workbench.analysis.gamut import ColourShift, GamutReport, colour_shift
from workbench.analysis.words import INTENT_NAMES, percent
from workbench.figures.gamut_overlay import COLOURS, NEAR
from workbench.panels.parts.facts import facts_table

# every way to print, as (intent, black point compensation)
WAYS = tuple(
    (intent, on)
    for intent in INTENT_NAMES
    for on in ((False,) if intent == "absolute" else (False, True))
)
RELATIVE = "relative to the paper's white"
_MOVES_ALL = ("perceptual", "saturation")


def counted_words(report: GamutReport) -> str:
    counted = f"Counted from {report.limit:.1f} CIEDE2000 on"
    if report.noise_floor > report.threshold:
        noise = "the noise of this profile's own tables, above your threshold"
        return f"{counted}: {noise}; {RELATIVE}."
    return f"{counted}, {RELATIVE}; this profile's own tables are good to {report.noise_floor:.1f}."


def far_words(shift: ColourShift) -> str:
    moves = shift.percentiles
    return (
        f"From picture to print, {_frame(shift)}: half the pixels by less than {moves[50]:.1f}, "
        f"the furthest by {moves[100]:.1f}, on average {shift.mean:.1f}."
    )


def _frame(shift: ColourShift) -> str:
    return "absolute" if shift.intent == "absolute" else RELATIVE


def moved_words(report: GamutReport, shift: ColourShift) -> str:
    """What moves although the paper could hold it, and whose doing that is."""
    moves = f"{percent(shift.share_moved)} of the picture by more than {shift.limit:.1f}"
    if dict(shift.counts.paper.shared_intents).get(shift.intent) == "relative":
        own = f"This profile has no {shift.intent} tables of its own"
        if not shift.black_point_compensation:
            return f"{own}, so nothing moves more than with relative colorimetric."
        return f"{own}; with black point compensation {moves} moves."
    if shift.intent in _MOVES_ALL:
        return (
            f"This intent moves colours on purpose: {moves}. Out of gamut is what the paper does "
            "not have at all."
        )
    if shift.black_point_compensation and shift.share_moved > report.share_outside:
        return f"Black point compensation deliberately lightens shadows: it moves {moves}."
    return ""


def caption(
    printed_on: str, of: str, colour: str, share: float, near: tuple[float, float, float] | None
) -> tuple[str, str]:
    """Words for the picture for those who cannot see it, and its caption.

    Parameters
    ----------
    printed_on : name of the paper, where the picture is shown as it will print.
    of : "beyond" or "moved": what the overlay marks; empty without it.
    near : Lab of a colour that was clicked in the slice, whose places are marked instead.
    """
    below = (
        f"The picture as it will print on {printed_on}" if printed_on else "The picture as it is"
    )
    if near is not None:
        lightness, a, b = near
        colour_words = f"L* {lightness:.0f}, a* {a:.0f}, b* {b:.0f}"
        words = f"Black marks the places of {colour_words}, within {NEAR:g} CIEDE2000"
        return f"{below}. {words}.", f"{words}; click beside the slice to go back."
    if not of:
        return below, below
    name = {value: name for name, value in COLOURS}[colour]
    does = "is out of gamut" if of == "beyond" else "is moved by the print"
    words = f"{name.capitalize()} marks what {does}: {percent(share)} of the picture"
    return f"{below}. {words}.", f"{words}; stronger where further."


def every_way(asked: tuple, cancelled, progress) -> tuple[ColourShift, ...]:
    """How far each way to print moves a picture's colours: (picture, paper, threshold).

    Progress is not told: a line that comes and goes would move all below it.
    """
    picture, paper, threshold = asked
    found = []
    for intent, on in WAYS:
        how = {"intent": intent, "black_point_compensation": on, "threshold": threshold}
        found.append(colour_shift(picture, paper, **how, cancelled=cancelled))
    return tuple(found)


def table_of_ways(shifts, intent: str, black_point_compensation: bool) -> str:
    """HTML of all intents with and without black point compensation; the chosen one marked."""
    if not shifts:
        return '<span class="wb-muted">Being counted …</span>'
    head = (
        "Rendering intent",
        "Black point compensation",
        "Moved in print",
        "95 % move by less than",
        "",
    )
    rows, strong = [], None
    for each in shifts:
        absolute = each.intent == "absolute"
        chosen = each.intent == intent and (
            absolute or each.black_point_compensation == black_point_compensation
        )
        if chosen:
            strong = len(rows)
        rows.append((
            INTENT_NAMES[each.intent],
            "not used" if absolute else "on" if each.black_point_compensation else "off",
            percent(each.share_moved),
            f"{each.percentiles[95]:.1f}",
            "◀ chosen" if chosen else _tables_note(each.counts.paper, each.intent),
        ))  # fmt: skip
    note = (
        f"Shares of the whole picture's pixels, by more than {shifts[0].limit:.1f} CIEDE2000 from "
        f"picture to print, {RELATIVE}; with absolute colorimetric against its measured white."
    )
    table = facts_table(rows, head, strong=strong)
    return f'{table}<div class="wb-muted">{escape(note)}</div>'


def _tables_note(paper, intent: str) -> str:
    """What a person should know of the profile's tables for an intent."""
    shared = dict(paper.shared_intents)
    if intent in shared:
        return f"same tables as {shared[intent]}"
    table = "relative" if intent == "absolute" else intent
    return "" if table in paper.intents else "the profile has no tables for it"
