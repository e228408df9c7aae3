"""What is settled so far, stage by stage, in a few figures: the plan read at a glance."""

from __future__ import annotations

from workbench.analysis.sheets import area_text
from workbench.analysis.words import SHORT_INTENT_NAMES, percent
from workbench.errors import SizeError
from workbench.language import tr
from workbench.plan import Plan


def settled(
    plan: Plan, *, share_outside: float | None = None, written=None, prints: int | None = None
) -> dict[str, str]:
    """A few figures for each stage of the desk.

    Parameters
    ----------
    plan : as it stands.
    share_outside : 0..1 of the picture that is out of the paper's gamut, where it is known.
    written : the file made of the plan as it stands, if there is one.
    prints : in the person's record, where it is known.

    Returns
    -------
    Name of a stage -> words without a full stop; of what is missing, they say so.

    Examples
    --------
    >>> settled(Plan(picture=picture, paper=papers[0]), share_outside=0.03, prints=4)["keep"]
    '4 prints'
    """
    return {
        "picture": _picture(plan),
        "paper": _paper(plan, share_outside),
        "proof": tr(
            "{lux:,.0f} lux, {intent}",
            lux=plan.illuminance_lux,
            intent=SHORT_INTENT_NAMES[plan.intent],
        ),
        "print": (
            tr("{ppi:g} ppi, written", ppi=plan.printer_ppi)
            if written
            else tr("{ppi:g} ppi, not written yet", ppi=plan.printer_ppi)
        ),
        "keep": _prints(prints),
    }


def _picture(plan: Plan) -> str:
    picture = plan.picture
    if picture is None:
        return tr("none yet")
    try:
        size = plan.print_size()
    except SizeError:
        return tr(
            "{width} × {height}, no size yet", width=picture.width_px, height=picture.height_px
        )
    area = area_text(size.width_mm, size.height_mm, plan.unit)
    return f"{picture.width_px} × {picture.height_px}, {area}"


def _paper(plan: Plan, share: float | None) -> str:
    if plan.paper is None:
        return tr("none yet")
    return (
        plan.paper.name
        if share is None
        else tr("{share} out of gamut, {paper}", share=percent(share), paper=plan.paper.name)
    )


def _prints(count: int | None) -> str:
    if not count:
        return tr("no prints yet")
    return tr("1 print") if count == 1 else tr("{count:,} prints", count=count)
