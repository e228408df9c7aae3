"""What files say of a picture and of papers, as rows of facts."""

from __future__ import annotations

from workbench.analysis.plausible import doubt_words
from workbench.analysis.printed_black import DARKEST
from workbench.analysis.white import cie_whiteness
from workbench.analysis.words import INTENT_NAMES, signed, tint_words
from workbench.language import tr
from workbench.panels.parts.facts import lab_text
from workbench.paper import Paper
from workbench.paper_readings import MeasuredPaper
from workbench.picture import Picture


def picture_facts(picture: Picture) -> list[tuple[str, str]]:
    """What a picture's file says, as (name, value) rows."""
    assumed = tr(", chosen by you") if picture.profile_assumed else ""
    ppi = tr("{ppi_tag:g} ppi", ppi_tag=picture.ppi_tag) if picture.ppi_tag else "none"
    rows = [
        (tr("Picture"), picture.name or "unnamed"),
        (
            tr("Pixels"),
            tr(
                "{width_px} × {height_px} ({megapixels:.1f} MP), {bit_depth} bits, {part}",
                width_px=picture.width_px,
                height_px=picture.height_px,
                megapixels=picture.megapixels,
                bit_depth=picture.bit_depth,
                part="grey" if picture.channels == 1 else "RGB",
            ),
        ),
        (tr("Colour space"), f"{picture.profile_name or 'not stated'}{assumed}"),
        (tr("Resolution noted in the file"), ppi),
    ]
    return rows + [(tr("Note"), note) for note in picture.notes]


def paper_facts(paper: Paper) -> list[tuple[str, str]]:
    """What a paper's profile says, as (name, value) rows."""
    facts, icc = paper.facts, paper.icc
    tables = ", ".join(INTENT_NAMES[intent] for intent in facts.intents)
    for intent, other in facts.shared_intents:
        tables += tr(
            "; {intent_names} shares those of {intent_names_2}",
            intent_names=INTENT_NAMES[intent],
            intent_names_2=INTENT_NAMES[other],
        )
    cast = facts.neutral_cast_lab
    volume = f"{facts.gamut_volume:,.0f}".replace(",", "\u2009")  # thin spaces
    rows = [
        (
            tr("Paper"),
            paper.name + (tr(" (invented: a model, not a product)") if paper.invented else ""),
        ),
        (
            tr("Profile"),
            tr(
                "{part}, ICC version {version}.{version_2}, {space}",
                part=icc.description or "without a description",
                version=icc.version[0],
                version_2=icc.version[1],
                space=icc.space,
            ),
        ),
        (tr("Tables for"), tables),
        (tr("White (absolute)"), lab_text(facts.white_lab)),
        (
            tr("{darkest} (absolute)", darkest=DARKEST),
            tr(
                "{lab_text}; density {black_density:.2f}; what L* 0 comes to by the "
                "colorimetric table",
                lab_text=lab_text(facts.black_lab),
                black_density=facts.black_density,
            ),
        ),
        (
            tr("Contrast ratio, white to darkest (absolute)"),
            tr("{contrast_ratio:.0f}:1", contrast_ratio=facts.contrast_ratio),
        ),
        (tr("Gamut volume"), tr("{volume} cubic Lab units (absolute)", volume=volume)),
        (
            tr("Cast of the grey scale (relative)"),
            tr(
                "a* {signed}, b* {signed_2} on average, chroma up to {neutral_cast_chroma:.1f}",
                signed=signed(cast[1]),
                signed_2=signed(cast[2]),
                neutral_cast_chroma=facts.neutral_cast_chroma,
            ),
        ),
        (
            tr("Noise of the profile's tables"),
            tr("{noise_floor:.1f} CIEDE2000", noise_floor=facts.noise_floor),
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
        yield tr("{darkest}, density (absolute)", darkest=DARKEST), f"{paper.black_density:.2f}"
        yield (
            tr("Contrast ratio (absolute)"),
            tr(
                "{contrast_ratio:.0f} : 1, {stops:.1f} stops",
                contrast_ratio=paper.contrast_ratio,
                stops=paper.stops,
            ),
        )
