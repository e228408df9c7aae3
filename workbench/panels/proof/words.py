"""What the proof panel says: its sentences, the table of intents, legends and the ruler."""

from __future__ import annotations

from html import escape

from workbench.analysis.adaptation import REFERENCE_WORDS, reference_white
from workbench.analysis.intents import IntentRow, IntentTable
from workbench.analysis.proof_maps import LimitShares, ProofMaps
from workbench.analysis.viewing import find_display
from workbench.analysis.words import (
    INTENT_NAMES,
    SHORT_INTENT_NAMES,
    begin_large,
    on_or_off,
    percent,
)
from workbench.figures.proof import LIMIT_COLOURS
from workbench.figures.proof_picture import DIFFERENCE, SPLIT, Proofed
from workbench.language import numeral, tr
from workbench.output.magnified import MagnifiedPrint

_HEAD = (
    tr("Rendering intent"),
    tr("Black point compen­sation"),
    tr("Moved"),
    tr("Mean shift"),
    tr("95 % by less than"),
    tr("Shadow detail kept"),
    tr("Highlight detail kept"),
    tr("Detail kept out of gamut"),
    tr("Drift of greys"),
)

_CELL = ' style="padding:3px 10px 3px 4px"'


def advice_words(table: IntentTable) -> tuple[str, str]:
    """The advice, and its reason as a sentence of its own."""
    return tr("Print it {name}.", name=table.advised.name), f"{begin_large(table.reason)}."


def shares_words(shares: LimitShares, display: str) -> tuple[str, str]:
    """The sentence on paper and display, and the quiet line below it."""
    sentence = tr(
        "The paper cannot hold {paper_share} of the picture; {display} cannot show "
        "{display_share} of its print; both apply to {both_share}.",
        paper_share=percent(shares.paper),
        display=display,
        display_share=percent(shares.display),
        both_share=percent(shares.both),
    )
    detail = tr(
        "Counted from {paper_limit:.1f} CIEDE2000 on for the paper, relative to its "
        "white and whatever the rendering, and from {display_limit:.1f} for the "
        "display, of the print as seen, by groups of similar colours.",
        paper_limit=shares.paper_limit,
        display_limit=shares.display_limit,
    )
    if shares.display > 0.001:
        detail += tr(" What only the display lacks prints all the same: do not judge it here.")
    return sentence, detail


def beside_words(rendering) -> str:
    """How the proof is looked at, such as “seen beside the brightened card, eye 50 % adapted to the paper”."""
    reference, adaptation = rendering.reference, rendering.adaptation
    if reference is None or adaptation >= 0.995:
        return tr("eye fully adapted to the paper")
    name = reference_white(reference)[0]
    if isinstance(reference, str):  # a white known here, not a paper's name
        beside = tr("seen beside the {name}", name=REFERENCE_WORDS[name])
    else:
        beside = tr("seen beside {name}", name=name)
    if adaptation <= 0.005:
        return beside
    return tr(
        "{beside}, eye {adaptation:.0f} % adapted to the paper",
        beside=beside,
        adaptation=100 * adaptation,
    )


def caption(proofed: Proofed, view: str, maps: ProofMaps | None) -> str:
    """What the picture shows."""
    rendering, paper = proofed.rendering, proofed.paper.name
    beside = beside_words(rendering)
    if view == SPLIT:
        return tr(
            "Left the picture, right its print on {paper} ({way}; {beside}).",
            paper=paper,
            way=way_words(*rendering.way.values()),
            beside=beside,
        )
    if view == DIFFERENCE:
        return tr(
            "CIEDE2000 from the picture to its print on {paper}, {beside}: on average {mean:.1f}.",
            paper=paper,
            beside=beside,
            mean=maps.difference.mean(),
        )
    name = find_display(rendering.display).name
    return tr(
        "Stripes mark what {paper} cannot hold and {name} cannot show.", paper=paper, name=name
    )


def magnified_words(found: MagnifiedPrint, unsure: bool, adjusted: bool) -> str:
    """What the magnifier shows; ``unsure`` where the screen's resolution was never given."""
    x0, y0, x1, y1 = found.seen.box
    words = tr(
        "{width_px} × {height_px} print pixels, {width_mm:.1f} × {height_mm:.1f} mm of paper at "
        "{ppi:g} ppi; every pixel worked out.",
        width_px=x1 - x0,
        height_px=y1 - y0,
        width_mm=found.width_mm,
        height_mm=found.height_mm,
        ppi=found.ppi,
    )
    if adjusted:
        words += tr(" Here the plan's adjustments are in it.")
    if unsure:
        words += tr(" True size only if your screen has the resolution above: check it once.")
    return words


def way_words(intent: str, compensate: bool) -> str:
    """One way of printing, in a few words."""
    if intent == "absolute":
        return INTENT_NAMES[intent]
    name = INTENT_NAMES[intent]
    if compensate:
        return tr("{intent}, with compensation", intent=name)
    return tr("{intent}, without compensation", intent=name)


def intents_html(table: IntentTable | None, intent: str, compensate: bool) -> str:
    """The table of intents, the advised row and the chosen one marked in words."""
    if table is None:
        said = tr("Being worked out …")
        return f'<span class="wb-muted">{said}</span>'
    head = "".join(f'<th scope="col"{_CELL}>{escape(name)}</th>' for name in _HEAD)
    body = "".join(_row_html(row, table, intent, compensate) for row in table.rows)
    notes = [
        tr(
            "Moved: share of the picture by more than {limit:.1f} CIEDE2000. Shifts in "
            "CIEDE2000 from picture to print, relative to the paper's white; with absolute "
            "colorimetric against its measured white. Detail: local contrast that is left, "
            "in a preview.",
            limit=table.limit,
        ),
        tr("Drift: distance in a* and b* of the picture's greys.")
        if table.greys == "picture"
        else tr("Drift: distance in a* and b* of an even scale of greys."),
        *table.notes,
    ]
    return (
        # without the containment a long name would make the whole page wider
        '<div style="contain:inline-size;overflow-x:auto"><table class="wb-facts wb-intents">'
        f"<tr>{head}</tr>{body}</table></div>"
        f'<div class="wb-muted" style="contain:inline-size">{escape(" ".join(notes))}</div>'
    )


def _row_html(row: IntentRow, table: IntentTable, intent: str, compensate: bool) -> str:
    absolute = row.intent == "absolute"
    chosen = row.intent == intent and (absolute or row.black_point_compensation == compensate)
    remarks = [tr("advised")] * (row is table.advised) + [tr("chosen")] * chosen
    if not row.own_table:
        remarks.append(tr("no table of its own"))
    cells = (
        tr("none") if absolute else on_or_off(row.black_point_compensation),
        percent(row.share_moved),
        numeral(row.mean_shift, ".1f"),
        numeral(row.shift_95, ".1f"),
        *(_kept(v) for v in (row.shadow_detail, row.highlight_detail, row.colour_detail)),
        numeral(row.neutral_drift, ".1f"),
    )
    style = ""
    if row is table.advised:
        style = ' style="font-weight:600;background:var(--wb-raised)"'
    mark = ' aria-current="true"' if chosen else ""
    inside = "".join(f"<td{_CELL}>{escape(cell)}</td>" for cell in cells)
    name = escape(SHORT_INTENT_NAMES[row.intent])
    if remarks:
        name += f'<div style="white-space:nowrap">▶ {escape(", ".join(remarks))}</div>'
    return f'<tr{style}{mark}><th scope="row"{_CELL}>{name}</th>{inside}</tr>'


def _kept(share: float | None) -> str:
    return "–" if share is None else percent(share)


def limits_legend() -> str:
    """HTML: what the stripes over the picture mean."""
    rows = (
        ("paper", "/", tr("the paper cannot hold it, whatever the screen")),
        ("display", "\\", tr("the display cannot show it, though the paper holds it")),
        ("both", "x", tr("both: the paper cannot hold it, nor the display show it")),
    )
    angles = {"/": ("135deg",), "\\": ("45deg",), "x": ("135deg", "45deg")}
    said = []
    for name, kind, text in rows:
        colour = LIMIT_COLOURS[name]
        stripes = ",".join(
            f"repeating-linear-gradient({angle},{colour} 0 3px,transparent 3px 6px)"
            for angle in angles[kind]
        )
        said.append(
            '<div style="display:flex;align-items:center;gap:8px"><span style="width:28px;'
            f'height:16px;flex:none;background:{stripes},#999"></span>{escape(text)}</div>'
        )
    return "".join(said)
