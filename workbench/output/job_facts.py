"""The rows of a job sheet, worked out from a plan."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import PurePath
from typing import Any

from workbench.analysis.cost import ml_text
from workbench.analysis.crop import ppi_text
from workbench.analysis.gamut import colour_shift, gamut_report
from workbench.analysis.mount import opening_for
from workbench.analysis.plausible import doubt_words
from workbench.analysis.printed_black import DARKEST, PICTURE_BLACK, black_words, printed_black
from workbench.analysis.sheets import IN_MM, length_text, number_in_unit
from workbench.analysis.words import INTENT_NAMES, on_or_off, percent
from workbench.characteristics import in_section, word_of
from workbench.colour.profile import read_profile
from workbench.errors import PaperError, WorkbenchError
from workbench.files.text import clean_text
from workbench.language import numeral, tr
from workbench.output.care import care_rows, feed_words, too_thick
from workbench.output.check import SMALL_DIFFERENCE
from workbench.output.job import PrintJob
from workbench.output.layout import Layout
from workbench.output.render import sharpening_of
from workbench.output.solved import Solved, pixel_mm
from workbench.paper import Paper
from workbench.paper_readings import AnyPaper, condition_words
from workbench.planned import Planned

UNSTATED = tr("not stated")
NOT_WRITTEN = tr("not written yet")
COST = tr("Cost")


@dataclass(frozen=True)
class Group:
    """Rows of (label, value) under a heading."""

    title: str
    rows: tuple[tuple[str, str], ...]


def title_of(job: Planned) -> str:
    """The picture's name without its ending."""
    name = clean_text(job.picture.name or "")
    stem = PurePath(name).stem if job.picture.kind != "invented" else name
    return stem or tr("Picture without a name")


def subtitle_of(solved: Solved) -> str:
    """Size and paper in one line."""
    job = solved.job
    size = size_of(solved.layout.front_mm, solved.unit)
    if job.paper is None:
        return size
    return tr("{size} on {paper}", size=size, paper=clean_text(job.paper.name))


def groups_of(solved: Solved, written) -> tuple[Group, ...]:
    """All groups in order: at the printer, paper, care, print, colour, expected, file, cost."""
    job = solved.job
    groups = [
        Group(tr("Set at the printer"), _settings(solved)),
        Group(tr("Paper"), _paper_rows(job.paper)),
        Group(tr("With care"), care_rows(solved)),
        Group(tr("Picture and print"), _print_rows(solved)),
        Group(tr("Colour"), _colour_rows(job)),
        Group(tr("Expected on paper"), _expected_rows(solved, written)),
        Group(tr("File"), _file_rows(solved, written)),
        Group(COST, _cost_rows(solved)),
    ]
    return tuple(group for group in groups if group.rows)


def cautions_of(solved: Solved, written) -> tuple[str, ...]:
    """What stands in the way of a good print."""
    said, job, fit = [], solved.job, solved.fit
    if fit is not None and not fit.fits and not job.on_sheet:
        said.append(tr("The print {fits}.", fits=fit.text("mm")))
    if thick := too_thick(solved):
        said.append(thick)
    if job.paper is None:
        said.append(tr("No paper is chosen: choose its profile in the driver yourself."))
    elif doubt := doubt_words(job.paper):
        said.append(doubt)
    if warning := job_black_warning(job):
        said.append(warning)
    if written is not None and written.mean_difference >= SMALL_DIFFERENCE:
        said.append(
            tr(
                "The file differs from the proof by {by:.1f} CIEDE2000 on average: look at it "
                "before printing.",
                by=written.mean_difference,
            )
        )
    return tuple(said)


def job_black_warning(job: PrintJob) -> str | None:
    """A sentence where the picture's black misses the paper's darkest colour; or None."""
    if not isinstance(job.paper, Paper):
        return None
    return printed_black(
        job.paper,
        job.picture,
        intent=job.intent,
        black_point_compensation=job.black_point_compensation,
    ).warning


def profile_of(paper: AnyPaper | None) -> bytes | None:
    """The paper's profile; None without a paper, or for one known by readings only."""
    try:
        return None if paper is None else paper.profile
    except PaperError:
        return None


def sheet_text(solved: Solved) -> str:
    """The print's sheet with its size and which way it lies."""
    fit = solved.fit
    if fit is None:
        return tr("none takes the print")
    if fit.sheet.is_roll:
        return tr(
            "{roll}, {length} of its length",
            roll=fit.sheet.label,
            length=length_text(fit.length_used_mm or 0, solved.unit),
        )
    sheet = f"{fit.sheet.label}, {fit.sheet.size_text(solved.unit)}"
    if fit.orientation == "landscape":
        return tr("{sheet}, landscape", sheet=sheet)
    return tr("{sheet}, portrait", sheet=sheet)


_PLACES = {"mm": 1, "cm": 2, "in": 2}  # finer than a person can cut


def _fine(lengths_mm, unit: str) -> list[str]:
    """Lengths as a job sheet needs them, without their unit."""
    return [numeral(length / IN_MM[unit], f".{_PLACES[unit]}f") for length in lengths_mm]


def size_of(lengths_mm, unit: str) -> str:
    """Width by height, such as "50.8 × 33.9 mm"."""
    return f"{' × '.join(_fine(lengths_mm, unit))} {unit}"


def _stated(paper: AnyPaper | None, trait: str, unit: str = "") -> str:
    value = getattr(paper, trait, None)
    if isinstance(value, float | int):
        return f"{numeral(value)} {unit}"
    return clean_text(word_of(value) or "") or UNSTATED


def _moved_text(solved: Solved) -> str:
    """How far from the middle of the sheet the file has the print; "" where it is there."""
    if solved.fit is None or not solved.job.on_sheet:
        return ""
    return solved.fit.moved_text(solved.unit)


def _settings(solved: Solved):
    job, layout, paper = solved.job, solved.layout, solved.job.paper
    name = tr("not chosen")
    if paper is not None:
        name = clean_text(paper.name)
        if getattr(paper, "invented", False) and "invented" not in name.lower():
            name = tr("{paper} (invented)", paper=name)
    return (
        (tr("Paper"), name),
        *_known(paper, "printer"),
        (tr("Size"), size_of(layout.front_mm, solved.unit)),
        *(() if solved.unit == "in" else ((tr("Size in inches"), size_of(layout.front_mm, "in")),)),
        (tr("Sheet"), sheet_text(solved)),
        *(((tr("Moved on the sheet"), moved),) if (moved := _moved_text(solved)) else ()),
        *(((tr("Feed"), feed),) if (feed := feed_words(solved)) else ()),
        (tr("Resolution"), f"{ppi_text(layout.ppi)} ppi"),
        (
            tr("Colour conversion"),
            tr("done in the file; driver off")
            if job.converts == "workbench"
            else tr("by the printer driver"),
        ),
    )


def _paper_rows(paper: AnyPaper | None):
    return () if paper is None else _known(paper, "packet", "hand")


def _known(paper: AnyPaper | None, *sections: str):
    """A line for each characteristic of these sections, with its unit."""
    return tuple(
        (each.label, _stated(paper, key, each.unit)) for key, each in in_section(*sections).items()
    )


def _print_rows(solved: Solved):
    job, layout, unit = solved.job, solved.layout, solved.unit
    picture = job.picture
    _, _, width, height = job.crop
    part = tr("the whole picture")
    if (width, height) != (picture.width_px, picture.height_px):
        lost = 1 - width * height / (picture.width_px * picture.height_px)
        part = tr(
            "{width} × {height} of its pixels, {share} cut away",
            width=width,
            height=height,
            share=percent(lost),
        )
    own, seen = layout.ppi / layout.factor, solved.seen_detail()
    rows = [
        (tr("Part of the picture"), part),
        (tr("Its own pixels"), tr("{ppi} ppi at this size", ppi=ppi_text(own))),
        (tr("Looks sharp"), seen.from_text(unit)),
        (tr("Fine detail seen"), seen.shares),
        (tr("Borders"), _borders(layout, unit)),
    ]
    if solved.overlap_mm:
        opening = opening_for(*layout.front_mm, solved.overlap_mm)
        rows.append(
            (
                tr("Mount opening"),
                tr(
                    "{size}, covers {overlap}",
                    size=size_of(opening, unit),
                    overlap=length_text(solved.overlap_mm, unit),
                ),
            )
        )
    if job.bleed_mm:
        how = {"mirrored": tr("its edges mirrored"), "stretched": tr("its outermost pixels drawn out"),
               "picture": tr("its own outer part"), "white": tr("white")}[job.bleed]  # fmt: skip
        bars, fold = job.bar_depth_mm, job.bleed_mm - job.bar_depth_mm
        if bars:
            canvas = tr(
                "{bars} round the bars, {fold} folded, {how}",
                bars=length_text(bars, unit),
                fold=length_text(fold, unit),
                how=how,
            )
            rows.append((tr("Canvas"), canvas))
        else:
            rows.append(
                (
                    tr("Bleed"),
                    tr(
                        "{length} beyond each edge, {how}",
                        length=length_text(job.bleed_mm, unit),
                        how=how,
                    ),
                )
            )
    sharpening = sharpening_of(job, layout)
    rows.append(
        (
            tr("Sharpening"),
            tr(
                "{amount:.0f} % over {radius:.1f} px",
                amount=100 * sharpening.amount,
                radius=sharpening.radius_px,
            )
            if sharpening.amount
            else tr("none"),
        )
    )
    if job.adjustments.made_for:
        rows.append((tr("Made for"), job.adjustments.made_for))
    rows.append((tr("Adjustments"), replace(job.adjustments, made_for="").brief))
    return tuple(rows)


def _borders(layout: Layout, unit: str) -> str:
    """Bare paper around the picture and its bleed, as it comes out in whole pixels."""
    x, y, width, height = layout.front_box_px
    right, below = layout.width_px - x - width, layout.height_px - y - height
    sides = tuple(each - layout.beyond_px for each in (y, right, below, x))
    if not any(sides):
        return tr("none")
    lengths = [number_in_unit(side * pixel_mm(layout), unit) for side in sides]
    if len(set(lengths)) == 1:
        return tr("{length} {unit} on every side", length=lengths[0], unit=unit)
    names = (tr("top"), tr("right"), tr("bottom"), tr("left"))
    return (
        ", ".join(f"{name} {each}" for name, each in zip(names, lengths, strict=True)) + f" {unit}"
    )


def _colour_rows(job: PrintJob):
    intent = INTENT_NAMES[job.intent]
    compensation = on_or_off(job.black_point_compensation)
    if job.intent == "absolute":
        compensation = tr("none with this intent")
    rows = [(tr("Intent"), intent), (tr("Black point compensation"), compensation)]
    rows.append((tr("The picture's space"), clean_text(job.picture.profile_name or UNSTATED)))
    if (profile := profile_of(job.paper)) is not None:
        rows.append((tr("The paper's profile"), read_profile(profile).description or tr("unnamed")))
    return tuple(rows)


def _expected_rows(solved: Solved, written):
    job, threshold = solved.job, solved.threshold
    paper, picture = job.paper, job.picture
    rows = []
    if isinstance(paper, Paper):
        how: dict[str, Any] = {
            "intent": job.intent,
            "black_point_compensation": job.black_point_compensation,
        }
        report = gamut_report(picture, paper, threshold=threshold)
        shift = colour_shift(picture, paper, threshold=threshold, **how)
        # the counts are of the picture itself, as on the desk
        counted = (
            tr("every pixel, before the adjustments") if job.adjustments else tr("every pixel")
        )
        white = _lab_text(paper.white_lab)
        black = printed_black(paper, picture, **how)
        rows = [
            (
                tr("Out of gamut"),
                tr(
                    "{share} of the picture ({counted})",
                    share=percent(report.share_outside),
                    counted=counted,
                ),
            ),
            (
                tr("Moved by the rendering"),
                tr(
                    "{share} of the picture ({counted})",
                    share=percent(shift.share_moved),
                    counted=counted,
                ),
            ),
            (
                tr("White"),
                tr("absolute Lab {lab}", lab=white)
                if paper.white_is_known
                else tr("its tint is not known"),
            ),
            (tr("Measuring condition (ISO 13655)"), condition_words(paper)),
            (PICTURE_BLACK, black_words(black.density, black.lab[0])),
            (DARKEST, black_words(black.darkest_density, black.darkest_lab[0])),
        ]
    elif paper is not None:
        # known by readings of its white, and perhaps its black
        rows = [(tr("White"), tr("absolute Lab {lab}", lab=_lab_text(paper.white_lab)))]
        if paper.black is not None:
            rows.append((DARKEST, black_words(paper.black_density, paper.black_lab[0])))
    if written is not None:
        apart = tr(
            "{by:.2f} CIEDE2000 on average (relative)",
            by=written.mean_difference,
        )
        rows.append((tr("File against proof"), apart))
    return tuple(rows)


def _lab_text(lab) -> str:
    # no minus before a nought, and a minus rather than a hyphen
    return " ".join(numeral(round(value, 1) + 0.0, ".1f") for value in lab).replace("-", "−")


def _file_rows(solved: Solved, written):
    job, layout = solved.job, solved.layout
    pixels = f"{numeral(layout.width_px, ',')} × {numeral(layout.height_px, ',')}"
    rows = [(tr("Print file"), NOT_WRITTEN if written is None else clean_text(written.path.name))]
    bits = job.bit_depth if written is None else written.bit_depth
    rows.append((tr("Pixels"), tr("{pixels}, {bits} bits", pixels=pixels, bits=bits)))
    rows.append((tr("Whole file"), size_of((layout.width_mm, layout.height_mm), solved.unit)))
    return tuple(rows)


def checksums_of(job: PrintJob, written) -> tuple[tuple[str, str], ...]:
    """(label, SHA-256) of the print file and of the paper's profile."""
    rows = [(tr("SHA-256 of the print file"), NOT_WRITTEN if written is None else written.checksum)]
    if (profile := profile_of(job.paper)) is not None:
        rows.append((tr("SHA-256 of the profile"), read_profile(profile).checksum))
    return tuple(rows)


def _cost_rows(solved: Solved):
    try:
        cost = solved.cost
    except WorkbenchError:
        # a price that is none is the shelf's business, and no reason to give no sheet
        return ()

    rows = []
    if cost.paper is not None:
        rows.append((tr("Paper for one print"), clean_text(cost.money(cost.paper.amount))))
    if cost.ink_ml is not None:
        price = "" if cost.ink_amount is None else f", {cost.money(cost.ink_amount)}"
        rows.append(
            (
                tr("Ink for one print"),
                clean_text(tr("about {ml}", ml=ml_text(cost.ink_ml)) + price),
            )
        )
    if cost.copies > 1:
        price = "" if cost.total is None else f", {cost.money(cost.total)}"
        rows.append(
            (
                tr("Edition"),
                clean_text(tr("{copies} prints", copies=cost.copies) + price),
            )
        )
    rows += [(what, clean_text(words)) for what, words in cost.extras]
    return tuple(rows)
