"""What the paper white panel says: its table, captions and notes."""

from __future__ import annotations

from html import escape

from workbench.analysis.white import Highlights, PaperWhite
from workbench.analysis.words import lab_text, percent, signed
from workbench.colour.lab import chroma, hue_deg
from workbench.figures.white_steps import BARE_COLOUR, REACH_COLOUR
from workbench.language import tr
from workbench.panels.parts.counting import count_mark

PLANE = tr(
    "The middle of the plane is what the eye takes for white. The rings are chroma 2, 4, 8 …; the "
    "words name the tints."
)
ESTIMATES = tr(
    "CIE whiteness and tint are estimates: the profile knows its paper under D50 only, without "
    "what brighteners do in daylight."
)

#: A check by eye of what no profile tells (common practice, no source).
TORCH = tr(
    "To see by eye whether a paper is brightened, lay it in a dark room beside a cotton cloth or "
    "sheet known to be without brightener, and shine an ultraviolet torch on both: a brightened "
    "sheet glows blue. Look at the paper only, never into the torch, wear glasses that stop "
    "ultraviolet, do not point it at anybody, and follow its maker's instructions (common practice, "
    "no source)."
)


def white_facts(white: PaperWhite, found: Highlights, condition: str) -> list[tuple[str, str]]:
    """The figures beside the plane, as (name, value); ``condition`` in words."""
    seen = (
        tr("White as the eye sees it"),
        f"{lab_text(white.seen_lab)}; {_polar(white.seen_lab)}",
    )
    counted = count_mark(found.exact)
    shares = [
        (label, tr("{percent} of the picture ({counted})", percent=percent(share), counted=counted))
        for label, share in (
            (
                tr("Lighter than L* {lightness:g} (relative)", lightness=found.lightness),
                found.share,
            ),
            (tr("Bare paper (within 1, relative)"), found.share_bare),
        )
    ]
    if not white.white_is_known:
        unknown = tr("the profile does not state it; look for the maker's own figure")
        return [(tr("White (absolute)"), unknown), *shares]
    whiteness = tr("not valid for this white")
    if white.whiteness.valid:
        value = white.whiteness
        whiteness = tr(
            "{whiteness:.0f}; tint {tint}", whiteness=value.whiteness, tint=signed(value.tint)
        )
    return [
        (tr("White (absolute)"), lab_text(white.white_lab)),
        (tr("Chroma and hue (absolute)"), _polar(white.white_lab)),
        (tr("In words"), white.tint),
        (tr("Measuring condition (ISO 13655)"), condition),
        (tr("CIE whiteness (estimate)"), whiteness),
        seen,
        *shares,
    ]


def _polar(lab) -> str:
    strength = float(chroma(lab))
    if strength < 0.05:
        return tr("chroma 0, no hue")
    return tr(
        "chroma {strength:.1f}, hue {hue_deg:.0f}°", strength=strength, hue_deg=float(hue_deg(lab))
    )


def dim_words(dim: float) -> str:
    """What is to be known about the crops' brightness."""
    said = [tr("Each crop lies on its own paper; one eye sees them all.")]
    if dim > 1.005:
        said.append(
            tr(
                "All patches and crops are shown {dim:.0f} % darker, so that the lightest white "
                "still fits on the screen.",
                dim=100 * (1 - 1 / dim),
            )
        )
    return " ".join(said)


def pair_words(names) -> str:
    """What one or two crops side by side show, by the names of their papers."""
    if len(names) == 1:
        return tr("The highlights of the picture on {name}", name=names[0])
    return tr(
        "The highlights of the picture on {name} and, beside it, on {other}",
        name=names[0],
        other=names[1],
    )


def captions(said, width_px: float, gap_px: float) -> str:
    """HTML of captions below the tiles of a pair: (name, remark) each."""
    cells = "".join(
        f'<div style="flex:0 1 {width_px:.0f}px;text-align:center;line-height:1.3">'
        f'<div>{escape(name)}</div><div class="wb-muted">{escape(tint)}</div></div>'
        for name, tint in said
    )
    return f'<div style="display:flex;justify-content:center;gap:{gap_px:g}px">{cells}</div>'


def legend() -> str:
    """The colours of the overview, as HTML."""
    rows = (
        (REACH_COLOUR, tr("lighter than the limit: takes the paper's tint")),
        (BARE_COLOUR, tr("bare paper: no ink, no detail")),
    )
    return "".join(
        '<div style="display:flex;align-items:center;gap:8px">'
        f'<span style="width:14px;height:14px;background:{hexadecimal}"></span>{escape(text)}</div>'
        for hexadecimal, text in rows
    )
