"""What files say of a picture and of papers, as rows of facts."""

from __future__ import annotations

from workbench.analysis.plausible import doubt_words
from workbench.analysis.printed_black import DARKEST
from workbench.analysis.white import cie_whiteness
from workbench.analysis.words import INTENT_NAMES, lab_text, signed, tint_words
from workbench.language import numeral, tr
from workbench.panels.parts.facts import profile_rows
from workbench.paper import Paper
from workbench.paper_readings import MeasuredPaper
from workbench.picture import Picture


def picture_facts(picture: Picture) -> list[tuple[str, str]]:
    """What a picture's file says, as (name, value) rows."""
    space = picture.profile_name or tr("not stated")
    if picture.profile_assumed:
        space = tr("{space}, chosen by you", space=space)
    ppi = tr("{ppi:g} ppi", ppi=picture.ppi_tag) if picture.ppi_tag else tr("none")
    rows = [
        (tr("Picture"), picture.name or tr("unnamed")),
        (
            tr("Pixels"),
            tr(
                "{width_px} × {height_px} ({megapixels:.1f} MP), {bit_depth} bits, {channels}",
                width_px=picture.width_px,
                height_px=picture.height_px,
                megapixels=picture.megapixels,
                bit_depth=picture.bit_depth,
                channels=tr("grey") if picture.channels == 1 else "RGB",
            ),
        ),
        (tr("Colour space"), space),
        (tr("Resolution noted in the file"), ppi),
    ]
    return rows + [(tr("Note"), note) for note in picture.notes]


def paper_facts(paper: Paper) -> list[tuple[str, str]]:
    """What a paper's profile says, as (name, value) rows."""
    facts, icc = paper.facts, paper.icc
    tables = ", ".join(INTENT_NAMES[intent] for intent in facts.intents)
    for intent, other in facts.shared_intents:
        tables += tr(
            "; {intent} shares those of {other}",
            intent=INTENT_NAMES[intent],
            other=INTENT_NAMES[other],
        )
    cast = facts.neutral_cast_lab
    white, (darkest, black), volume = profile_rows(facts)
    rows = [
        (
            tr("Paper"),
            tr("{paper} (invented: a model, not a product)", paper=paper.name)
            if paper.invented
            else paper.name,
        ),
        (
            tr("Profile"),
            tr(
                "{description}, ICC version {major}.{minor}, {space}",
                description=icc.description or tr("without a description"),
                major=icc.version[0],
                minor=icc.version[1],
                space=icc.space,
            ),
        ),
        (tr("Tables for"), tables),
        white,
        (darkest, tr("{black}; what L* 0 comes to by the colorimetric table", black=black)),
        (
            tr("Contrast ratio, white to darkest (absolute)"),
            tr("{ratio:.0f}:1", ratio=facts.contrast_ratio),
        ),
        volume,
        (
            tr("Cast of the grey scale (relative)"),
            tr(
                "a* {a}, b* {b} on average, chroma up to {chroma:.1f}",
                a=signed(cast[1]),
                b=signed(cast[2]),
                chroma=facts.neutral_cast_chroma,
            ),
        ),
        (
            tr("Noise of the profile's tables"),
            tr("{difference:.1f} CIEDE2000", difference=facts.noise_floor),
        ),
    ]
    tag, table = facts.white_tag_lab, facts.white_lab
    if doubt := doubt_words(paper):
        rows.append((tr("Caution"), doubt))
    elif max(abs(a - b) for a, b in zip(tag, table, strict=True)) > 0.2:
        rows.append((tr("White by the profile's tag (absolute)"), lab_text(tag)))
    return rows


def measured_facts(paper: MeasuredPaper):
    """What readings tell of a paper, as (name, value) rows."""
    white = cie_whiteness(paper.white_lab)
    yield tr("Paper"), paper.name
    yield tr("What was read"), paper.sentence
    yield tr("White (absolute)"), lab_text(paper.white_lab)
    yield tr("Its tint"), tint_words(paper.white_lab)
    yield (
        tr("CIE whiteness (estimate)"),
        f"{white.whiteness:.0f}" if white.valid else tr("not valid for this white"),
    )
    if paper.black is not None:
        yield tr("{darkest} (absolute)", darkest=DARKEST), lab_text(paper.black_lab)
        yield (
            tr("{darkest}, density (absolute)", darkest=DARKEST),
            numeral(paper.black_density, ".2f"),
        )
        yield (
            tr("Contrast ratio (absolute)"),
            tr(
                "{ratio:.0f} : 1, {stops:.1f} stops",
                ratio=paper.contrast_ratio,
                stops=paper.stops,
            ),
        )
