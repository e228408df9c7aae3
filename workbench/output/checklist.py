"""What to see to in a printer driver's dialog, in general words, in the order of doing it.

Common practice, no source: drivers differ in their words and their order.
"""

from __future__ import annotations

from workbench.analysis.chain import SAME_PROFILE
from workbench.analysis.crop import ppi_text
from workbench.analysis.words import INTENT_NAMES
from workbench.characteristics import drying_text, word_of
from workbench.colour.profile import read_profile
from workbench.files.text import clean_text
from workbench.language import tr
from workbench.output import job_facts
from workbench.output.care import load_step
from workbench.output.job import PrintJob
from workbench.output.solved import Solved, printed_mm

# a print that comes this near to the sheet's edges cannot be printed with borders
_EDGE_MM = 1.5


def checklist_for(solved: Solved) -> tuple[str, ...]:
    """The steps for one print, each a sentence or two."""
    job, paper = solved.job, solved.job.paper
    steps = [load_step(solved)]
    setting = clean_text(getattr(paper, "media_setting", None) or "")
    steps.append(
        tr(
            "Media setting: choose “{setting}”. The profile holds for this one only.",
            setting=setting,
        )
        if setting
        else tr("Media setting: choose the one that the paper's profile was made with.")
    )
    ink = clean_text(word_of(getattr(paper, "black_ink", None)) or "")
    if ink:
        steps.append(
            tr("Black ink: {ink}. If the printer has to change over, let it do so first.", ink=ink)
        )
    steps.append(tr("Paper size: {sheet}.", sheet=job_facts.sheet_text(solved)))
    steps.append(tr("Scale: 100 %. No fitting to the page, no enlarging, no cutting off."))
    steps.append(_borderless(solved))
    steps.append(
        tr(
            "Quality: high. The file has {ppi} ppi; where a resolution can be chosen, take this "
            "one or a multiple of it.",
            ppi=ppi_text(solved.layout.ppi),
        )
    )
    steps += _colour(job)
    steps.append(tr("Everything that improves pictures by itself: off, sharpening too."))
    copies = solved.prices.copies
    steps.append(
        tr(
            "Look at the preview: the right way up, the borders as planned, {copies} copies.",
            copies=copies,
        )
        if copies > 1
        else tr("Look at the preview: the right way up, the borders as planned.")
    )
    steps.append(
        tr(
            "Let the print dry, lying open, for {time} before you judge or frame it: vapour "
            "from fresh ink hazes the glass.",
            time=drying_text(paper),
        )
    )
    return tuple(steps)


def _borderless(solved: Solved) -> str:
    fit = solved.fit
    if fit is not None and not fit.sheet.is_roll:
        sheet, printed = (fit.width_mm, fit.height_mm), printed_mm(solved.layout)
        filled = [abs(a - b) < _EDGE_MM for a, b in zip(sheet, printed, strict=True)]
        if any(filled):
            if all(filled):
                return tr(
                    "Borderless printing: on, as the picture fills the sheet; set its enlarging to "
                    "none."
                )
            return tr(
                "Borderless printing: on, as the picture reaches two of the sheet's edges; set its "
                "enlarging to none."
            )
    return tr("Borderless printing: off. It enlarges the picture.")


def _colour(job: PrintJob) -> list[str]:
    if job.converts == "workbench":
        return [
            tr(
                "Colour: switch the driver's own conversion off. The file is in the paper's "
                "colours already."
            ),
            tr(
                "In the program you print from: no conversion either; the numbers go to the "
                "printer as they are."
            ),
            SAME_PROFILE,
        ]
    profile = tr("the paper's profile")
    if (data := job_facts.profile_of(job.paper)) is not None:
        name = read_profile(data).description or tr("without a name")
        profile = tr("the paper's profile “{name}”", name=name)
    how = tr("intent {intent}", intent=INTENT_NAMES[job.intent])
    if job.intent != "absolute":
        how = (
            tr("{how}, black point compensation on", how=how)
            if job.black_point_compensation
            else tr("{how}, black point compensation off", how=how)
        )
    return [
        tr(
            "Colour: switch the driver's conversion on, from the file's own profile to "
            "{profile}, {how}.",
            profile=profile,
            how=how,
        ),
        tr("In the program you print from: no conversion, so that it happens once only."),
    ]
