"""The gamut panel's quieter words, and its table of all ways to print."""

from __future__ import annotations

from html import escape

from workbench.analysis.gamut import ColourShift, GamutReport, colour_shift
from workbench.analysis.words import INTENT_NAMES, percent

# every way to print, as (intent, black point compensation)
WAYS = tuple(
    (intent, on)
    for intent in INTENT_NAMES
    for on in ((False,) if intent == "absolute" else (False, True))
)
_MOVES_ALL = ("perceptual", "saturation")


def counted_words(report: GamutReport) -> str:
    counted = f"Counted from {report.limit:.1f} CIEDE2000 on"
    if report.noise_floor > report.threshold:
        return f"{counted}: the noise of this profile's own tables, above your threshold."
    return f"{counted}; this profile's own tables are good to {report.noise_floor:.1f}."


def far_words(shift: ColourShift) -> str:
    moves = shift.percentiles
    return (
        f"From picture to print, {_frame(shift)}: half the pixels by less than {moves[50]:.1f}, "
        f"the furthest by {moves[100]:.1f}, on average {shift.mean:.1f}."
    )


def _frame(shift: ColourShift) -> str:
    return "absolute" if shift.intent == "absolute" else "relative to the paper's white"


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
            f"This intent moves colours on purpose: {moves}. Beyond is what the paper does not "
            "have at all."
        )
    if shift.black_point_compensation and shift.share_moved > report.share_outside:
        return f"Black point compensation lightens shadows on purpose: it moves {moves}."
    return ""


def table_of_ways(counts, plan) -> str:
    """HTML of all intents with and without black point compensation; the chosen one marked."""
    if not counts:
        return '<span class="wb-muted">Being counted …</span>'
    head = (
        "Rendering intent",
        "Black point compensation",
        "Moved in print",
        "95 % move by less than",
        "",
    )
    rows = []
    for each in counts:
        report = colour_shift(
            each.picture,
            each.paper,
            intent=each.intent,
            black_point_compensation=each.black_point_compensation,
            threshold=plan.threshold,
            counts=each,
            exact=False,
        )
        chosen = report.intent == plan.intent and (
            report.intent == "absolute"
            or report.black_point_compensation == plan.black_point_compensation
        )
        if report.intent == "absolute":
            compensation = "not used"
        else:
            compensation = "on" if report.black_point_compensation else "off"
        cells = (
            compensation,
            percent(report.share_moved),
            f"{report.percentiles[95]:.1f}",
            "◀ chosen" if chosen else _tables_note(plan.paper, report.intent),
        )
        body = "".join(f"<td>{escape(cell)}</td>" for cell in cells)
        strong = ' style="font-weight:600" aria-current="true"' if chosen else ""
        rows.append(f"<tr{strong}><th>{escape(INTENT_NAMES[report.intent])}</th>{body}</tr>")
    limit = max(plan.threshold, plan.paper.noise_floor)
    note = (
        f"Shares of the whole picture's pixels, by more than {limit:.1f} CIEDE2000, counted by "
        "groups of equal colours (quick count), from picture to print."
    )
    return (
        '<table class="wb-facts"><tr>'
        + "".join(f"<th>{escape(h)}</th>" for h in head)
        + f"</tr>{''.join(rows)}</table><div class='wb-muted'>{escape(note)}</div>"
    )


def _tables_note(paper, intent: str) -> str:
    """What a person should know of the profile's tables for an intent."""
    shared = dict(paper.shared_intents)
    if intent in shared:
        return f"same tables as {shared[intent]}"
    table = "relative" if intent == "absolute" else intent
    return "" if table in paper.intents else "the profile has no tables for it"
