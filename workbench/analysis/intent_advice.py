"""Which rendering intent to advise for a photograph: few rules, all of them here.

Common practice, no source: perceptual makes room for what lies beyond the paper by moving
everything; relative leaves what fits as it is and cuts off the rest; black point
compensation saves the shadows from being cut off.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from workbench.analysis.words import percent
from workbench.language import tr

if TYPE_CHECKING:
    from workbench.analysis.gamut import GamutReport
    from workbench.analysis.intents import IntentRow

# below this share beyond the paper, colours may as well be printed as they are
_FEW_OUTSIDE = 0.02
# detail that must be won, in shares of what the picture has, to be worth moving the rest
_WORTH = 0.04


def advise(rows: Iterable[IntentRow], gamut: GamutReport) -> tuple[IntentRow, str]:
    """The row to take, and the reason, of all rows of an `intents.IntentTable`, and its gamut report.

    1. Absolute imitates another print's paper, saturation is for charts: neither is advised
       for a photograph.
    2. Where the paper holds nearly all colours but for those that are only too dark, which
       black point compensation looks after, or the profile has no perceptual table of
       its own: relative, which leaves them as they are.
    3. Otherwise perceptual, if it keeps clearly more detail where the paper ends.
    4. Black point compensation, unless it costs shadow detail or, where there are hardly
       any shadows, moves colours.
    """
    by_name = {(row.intent, row.black_point_compensation): row for row in rows}
    relative = _compensated(by_name, "relative")
    perceptual = _compensated(by_name, "perceptual")
    outside = gamut.share_outside - gamut.share_too_dark
    if outside < _FEW_OUTSIDE:
        reason = tr(
            "hardly any of the picture's colours are too saturated for the paper, so they may "
            "be printed as they are"
        )
        return relative, reason + _shadow_words(by_name, relative)
    if not perceptual.own_table:
        reason = tr(
            "{percent} of the picture is too saturated for the paper, but the profile has "
            "no perceptual table of its own that could make room for it",
            percent=percent(outside),
        )
        return relative, reason + _shadow_words(by_name, relative)
    gains = _gains(perceptual, relative)
    name, gain = max(gains, key=lambda item: item[1], default=("", 0.0))
    loss = min((value for _, value in gains), default=0.0)
    if gain >= _WORTH and gain > -loss:
        field_name = f"{name}_detail"
        reason = tr(
            "{percent} of the picture is too saturated for the paper, and perceptual keeps "
            "{kept} of the detail {where} against {other} with relative; in "
            "return all colours move, by {shift:.1f} CIEDE2000 on average against "
            "{other_shift:.1f}",
            percent=percent(outside),
            kept=percent(getattr(perceptual, field_name)),
            where=_WHERE[name],
            other=percent(getattr(relative, field_name)),
            shift=perceptual.mean_shift,
            other_shift=relative.mean_shift,
        )
        return perceptual, reason
    reason = tr(
        "{percent} of the picture is too saturated for the paper, but perceptual would "
        "keep hardly more detail and move all colours, by {shift:.1f} CIEDE2000 "
        "on average against {other_shift:.1f}",
        percent=percent(outside),
        shift=perceptual.mean_shift,
        other_shift=relative.mean_shift,
    )
    return relative, reason + _shadow_words(by_name, relative)


_WHERE = {
    "shadow": tr("in the shadows"),
    "highlight": tr("in the highlights"),
    "colour": tr("in the colours out of gamut"),
}


def _gains(one, other) -> list[tuple[str, float]]:
    """By how much the first keeps more detail, kind by kind."""
    pairs = [(n, getattr(one, f"{n}_detail"), getattr(other, f"{n}_detail")) for n in _WHERE]
    return [(name, a - b) for name, a, b in pairs if a is not None and b is not None]


def _compensated(by_name: dict, intent: str):
    """The row with or without black point compensation."""
    off, on = by_name[intent, False], by_name[intent, True]
    if on.shadow_detail is None:
        return on if on.mean_shift <= off.mean_shift + 0.1 else off
    return off if off.shadow_detail > on.shadow_detail + _WORTH else on


def _shadow_words(by_name: dict, chosen) -> str:
    """What the choice of black point compensation does for the shadows, if anything."""
    other = by_name[chosen.intent, not chosen.black_point_compensation]
    if chosen.shadow_detail is None or chosen.shadow_detail - other.shadow_detail < 0.01:
        return ""
    shares = {"kept": percent(chosen.shadow_detail), "other": percent(other.shadow_detail)}
    if chosen.black_point_compensation:
        return tr(
            "; black point compensation keeps {kept} of the shadows' detail against {other} "
            "without it",
            **shares,
        )
    return tr(
        "; leaving the black as it is keeps {kept} of the shadows' detail against {other} with "
        "black point compensation",
        **shares,
    )
