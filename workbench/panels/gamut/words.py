"""The gamut panel's quieter words, and its table of all ways to print."""

from __future__ import annotations

from html import escape

from workbench.analysis.gamut import ColourShift, GamutReport, colour_shift
from workbench.analysis.words import (
    INTENT_NAMES,
    SHORT_INTENT_NAMES,
    begin_large,
    on_or_off,
    percent,
)
from workbench.figures.gamut_overlay import COLOURS, NEAR
from workbench.language import numeral, tr
from workbench.panels.parts.facts import facts_table

# every way to print, as (intent, black point compensation)
WAYS = tuple(
    (intent, on)
    for intent in INTENT_NAMES
    for on in ((False,) if intent == "absolute" else (False, True))
)
RELATIVE = tr("relative to the paper's white")
_MOVES_ALL = ("perceptual", "saturation")


def counted_words(report: GamutReport) -> str:
    if report.noise_floor > report.threshold:
        return tr(
            "Counted from {limit:.1f} CIEDE2000 on: the noise of this profile's own tables, above "
            "your threshold; relative to the paper's white.",
            limit=report.limit,
        )
    return tr(
        "Counted from {limit:.1f} CIEDE2000 on, relative to the paper's white; this profile's own "
        "tables are good to {noise_floor:.1f}.",
        limit=report.limit,
        noise_floor=report.noise_floor,
    )


def far_words(shift: ColourShift) -> str:
    moves = shift.percentiles
    return tr(
        "From picture to print, {frame}: half the pixels by less than {half:.1f}, the furthest "
        "by {furthest:.1f}, on average {mean:.1f}.",
        frame=tr("absolute") if shift.intent == "absolute" else RELATIVE,
        half=moves[50],
        furthest=moves[100],
        mean=shift.mean,
    )


def moved_words(report: GamutReport, shift: ColourShift) -> str:
    """What moves although the paper could hold it, and whose doing that is."""
    moves = tr(
        "{share} of the picture by more than {limit:.1f}",
        share=percent(shift.share_moved),
        limit=shift.limit,
    )
    if dict(shift.counts.paper.shared_intents).get(shift.intent) == "relative":
        intent = SHORT_INTENT_NAMES[shift.intent]
        if not shift.black_point_compensation:
            return tr(
                "This profile has no {intent} tables of its own, so nothing moves more than with "
                "relative colorimetric.",
                intent=intent,
            )
        return tr(
            "This profile has no {intent} tables of its own; with black point compensation {moves} "
            "moves.",
            intent=intent,
            moves=moves,
        )
    if shift.intent in _MOVES_ALL:
        return tr(
            "This intent moves colours on purpose: {moves}. Out of gamut is what the paper "
            "does not have at all.",
            moves=moves,
        )
    compensates = shift.black_point_compensation and shift.intent != "absolute"
    if compensates and shift.share_moved > report.share_outside:
        return tr(
            "Black point compensation deliberately lightens shadows; with it the print moves "
            "{moves}.",
            moves=moves,
        )
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
        tr("The picture as it will print on {paper}", paper=printed_on)
        if printed_on
        else tr("The picture as it is")
    )
    if near is not None:
        lightness, a, b = near
        colour_words = f"L* {lightness:.0f}, a* {a:.0f}, b* {b:.0f}"
        words = tr(
            "Black marks the places of {colour}, within {near:g} CIEDE2000",
            colour=colour_words,
            near=NEAR,
        )
        return f"{below}. {words}.", tr("{words}; click beside the slice to go back.", words=words)
    if not of:
        return below, below
    name = {value: name for name, value in COLOURS}[colour]
    said = {"colour": begin_large(name), "share": percent(share)}
    words = (
        tr("{colour} marks what is out of gamut: {share} of the picture", **said)
        if of == "beyond"
        else tr("{colour} marks what is moved by the print: {share} of the picture", **said)
    )
    return f"{below}. {words}.", tr("{words}; stronger where further.", words=words)


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
        counting = tr("Being counted …")
        return f'<span class="wb-muted">{counting}</span>'
    head = (
        tr("Rendering intent"),
        tr("Black point compensation"),
        tr("Moved in print"),
        tr("95 % move by less than"),
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
            tr("not used") if absolute else on_or_off(each.black_point_compensation),
            percent(each.share_moved),
            numeral(each.percentiles[95], ".1f"),
            tr("◀ chosen") if chosen else _tables_note(each.counts.paper, each.intent),
        ))  # fmt: skip
    note = tr(
        "Shares of the whole picture's pixels, by more than {limit:.1f} CIEDE2000 from picture to "
        "print, relative to the paper's white; with absolute colorimetric against its measured "
        "white.",
        limit=shifts[0].limit,
    )
    table = facts_table(rows, head, strong=strong)
    return f'{table}<div class="wb-muted">{escape(note)}</div>'


def _tables_note(paper, intent: str) -> str:
    """What a person should know of the profile's tables for an intent."""
    shared = dict(paper.shared_intents)
    if intent in shared:
        return tr("same tables as {intent}", intent=SHORT_INTENT_NAMES[shared[intent]])
    table = "relative" if intent == "absolute" else intent
    return "" if table in paper.intents else tr("the profile has no tables for it")
