"""What the black panel says: its lines of figures and its tables."""

from __future__ import annotations

from workbench.analysis.black import BlackPoint
from workbench.analysis.printed_black import DARKEST, PICTURE_BLACK, black_words
from workbench.analysis.words import INTENT_NAMES, on_or_off, percent
from workbench.figures.black_scale import ratio_words
from workbench.language import numeral, tr
from workbench.panels.parts.counting import count_mark
from workbench.panels.parts.facts import facts_table
from workbench.panels.parts.sentences import span


def figures(black: BlackPoint) -> str:
    """A picture's black in one line of figures, beside the paper's, with any warning."""
    printed = black.printed
    text = tr(
        "{picture_black}: {black}, contrast {ratio}, {stops:.1f} stops. {darkest}: {deepest}.",
        picture_black=PICTURE_BLACK,
        black=black_words(printed.density, printed.lab[0]),
        ratio=ratio_words(black.contrast_ratio),
        stops=black.stops,
        darkest=DARKEST,
        deepest=black_words(printed.darkest_density, printed.darkest_lab[0]),
    )
    return f"{text} {printed.warning}" if printed.warning else text


def _lab_words(lab) -> str:
    # a zero has no sign
    lightness, a, b = (round(value, 1) + 0.0 for value in lab)
    said = tr("{lightness:.1f}, {a:.1f}, {b:.1f}", lightness=lightness, a=a, b=b)
    return said.replace("-", "−")


_FACTS = (
    (tr("{picture_black}, density (absolute)", picture_black=PICTURE_BLACK), lambda b: numeral(b.black_density, ".2f"), "—"),
    (tr("{picture_black}, Lab (absolute)", picture_black=PICTURE_BLACK), lambda b: _lab_words(b.black_lab), "—"),
    (tr("{darkest}, density (absolute)", darkest=DARKEST), lambda b: numeral(b.printed.darkest_density, ".2f"), "—"),
    (tr("{darkest}, Lab (absolute)", darkest=DARKEST), lambda b: _lab_words(b.printed.darkest_lab), "—"),
    (tr("White, Lab (absolute)"), lambda b: _lab_words(b.white_lab), "—"),
    (tr("Contrast ratio, white to this picture's black (absolute)"), lambda b: ratio_words(b.contrast_ratio), "—"),
    (tr("Stops from this picture's black to white (absolute)"), lambda b: numeral(b.stops, ".1f"), "—"),
    (tr("Grey levels of 255 that merge with black"), lambda b: str(b.merged_levels),
     lambda b: str(b.merged_levels_in_picture)),
    (tr("Merged up to L* of the picture (relative)"), lambda b: numeral(b.merged_lightness, ".1f"), "—"),
    (tr("Share of the picture there ({counted})"), lambda b: percent(b.share_merged),
     lambda b: percent(b.share_merged_in_picture)),
)  # fmt: skip


def facts_html(blacks) -> str:
    """HTML table of one or two `BlackPoint`, and what merges before any paper."""
    counted = count_mark(blacks[0].share_exact)
    rows = [
        (
            label.format(counted=counted),
            *map(value, blacks),
            alone if isinstance(alone, str) else alone(blacks[0]),
        )
        for label, value, alone in _FACTS
    ]
    return facts_table(rows, ("", *(black.name for black in blacks), tr("without a paper")))


def ways_html(shown, ways) -> str:
    """HTML table of merged levels and share for every way to print; the one in use is marked.

    Parameters
    ----------
    shown : the `BlackPoint` of each paper, as set.
    ways : for every way a list of them.
    """
    now = (shown[0].intent, shown[0].black_point_compensation)
    rows, chosen = [], None
    for number, blacks in enumerate(ways):
        intent, compensation = blacks[0].intent, blacks[0].black_point_compensation
        if (intent, compensation) == now or intent == now[0] == "absolute":
            chosen = number
        rows.append((
            INTENT_NAMES[intent],
            tr("not used") if intent == "absolute" else on_or_off(compensation),
            *(tr("{levels} levels, {share}", levels=b.merged_levels, share=percent(b.share_merged))
              for b in blacks),
            tr("◀ chosen") if number == chosen else "",
        ))  # fmt: skip
    names = (black.name for black in shown)
    table = facts_table(
        rows, (tr("Rendering intent"), tr("Black point compensation"), *names, ""), strong=chosen
    )
    counted = span(
        tr("Shares of the picture: {counted}.", counted=count_mark(shown[0].share_exact)),
        "wb-muted",
    )
    return f"{table}<div>{counted}</div>"
