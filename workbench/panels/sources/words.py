"""What files say of a picture and of papers, as rows of facts."""

from __future__ import annotations

from workbench.analysis.plausible import doubt_words
from workbench.analysis.printed_black import DARKEST
from workbench.analysis.white import cie_whiteness
from workbench.analysis.words import INTENT_NAMES, signed, tint_words
from workbench.panels.parts.facts import lab_text
from workbench.paper import Paper
from workbench.paper_readings import MeasuredPaper
from workbench.picture import Picture


def picture_facts(picture: Picture) -> list[tuple[str, str]]:
    """What a picture's file says, as (name, value) rows."""
    assumed = ", chosen by you" if picture.profile_assumed else ""
    ppi = f"{picture.ppi_tag:g} ppi" if picture.ppi_tag else "none"
    rows = [
        ("Picture", picture.name or "unnamed"),
        (
            "Pixels",
            f"{picture.width_px} × {picture.height_px} ({picture.megapixels:.1f} MP), "
            f"{picture.bit_depth} bits, {'grey' if picture.channels == 1 else 'RGB'}",
        ),
        ("Colour space", f"{picture.profile_name or 'not stated'}{assumed}"),
        ("Resolution noted in the file", ppi),
    ]
    return rows + [("Note", note) for note in picture.notes]


def paper_facts(paper: Paper) -> list[tuple[str, str]]:
    """What a paper's profile says, as (name, value) rows."""
    facts, icc = paper.facts, paper.icc
    tables = ", ".join(INTENT_NAMES[intent] for intent in facts.intents)
    for intent, other in facts.shared_intents:
        tables += f"; {INTENT_NAMES[intent]} shares those of {INTENT_NAMES[other]}"
    cast = facts.neutral_cast_lab
    volume = f"{facts.gamut_volume:,.0f}".replace(",", "\u2009")  # thin spaces
    rows = [
        ("Paper", paper.name + (" (invented: a model, not a product)" if paper.invented else "")),
        (
            "Profile",
            f"{icc.description or 'without a description'}, "
            f"ICC version {icc.version[0]}.{icc.version[1]}, {icc.space}",
        ),
        ("Tables for", tables),
        ("White (absolute)", lab_text(facts.white_lab)),
        (
            f"{DARKEST} (absolute)",
            f"{lab_text(facts.black_lab)}; density {facts.black_density:.2f}; what L* 0 "
            "comes to by the colorimetric table",
        ),
        ("Contrast ratio, white to darkest (absolute)", f"{facts.contrast_ratio:.0f}:1"),
        ("Gamut volume", f"{volume} cubic Lab units (absolute)"),
        (
            "Cast of the grey scale (relative)",
            f"a* {signed(cast[1])}, b* {signed(cast[2])} on average, "
            f"chroma up to {facts.neutral_cast_chroma:.1f}",
        ),
        ("Noise of the profile's tables", f"{facts.noise_floor:.1f} CIEDE2000"),
    ]
    tag, table = facts.white_tag_lab, facts.white_lab
    if doubt := doubt_words(paper):
        rows.append(("Caution", doubt))
    elif max(abs(a - b) for a, b in zip(tag, table, strict=True)) > 0.2:
        rows.append(("White by the profile's tag (absolute)", lab_text(tag)))
    return rows


def measured_facts(paper: MeasuredPaper):
    """What readings tell of a paper, as (name, value) rows."""
    white = cie_whiteness(paper.white_lab)
    yield "Paper", paper.name
    yield "What was read", paper.sentence
    yield "White (absolute)", lab_text(paper.white_lab)
    yield "Its tint", tint_words(paper.white_lab)
    yield (
        "CIE whiteness (estimate)",
        f"{white.whiteness:.0f}" if white.valid else "not valid for this white",
    )
    if paper.black is not None:
        yield f"{DARKEST} (absolute)", lab_text(paper.black_lab)
        yield f"{DARKEST}, density (absolute)", f"{paper.black_density:.2f}"
        yield (
            "Contrast ratio (absolute)",
            f"{paper.contrast_ratio:.0f} : 1, {paper.stops:.1f} stops",
        )
