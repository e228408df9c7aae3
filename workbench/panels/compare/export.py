"""Taking a comparison away: the view as PNG, PDF or a live page, the table as CSV."""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path

from workbench.colour.spaces import standard_profile
from workbench.errors import WorkbenchError
from workbench.figures.compare_sheet import pdf_of, png_of, sheet_figure
from workbench.files import save_new
from workbench.language import tr
from workbench.output.compare_file import csv_bytes
from workbench.panels.parts.saving import Act, SaveTo
from workbench.paper import Paper
from workbench.rendering import Rendering
from workbench.takeaway.page import MOST_PAPERS, page_bytes

_INVENTED = tr("Papers marked invented are models, not products.")


def export(owner) -> SaveTo:
    """What saves the side-by-side panel's view and table; ``owner`` is the panel."""

    def act(kind: str, label: str, help: str, make) -> Act:
        def begin(folder):
            data = make(owner, kind)
            name = owner.plan.picture.name if owner.plan.picture is not None else ""
            stem = tr("{name}, side by side", name=Path(name).stem if name else tr("picture"))
            return lambda cancelled, progress: save_new(folder, stem, f".{kind}", data())

        return Act(label, help, begin)

    return SaveTo(
        owner.front,
        {
            "png": act("png", tr("Save the view as PNG"),
                       tr("The pictures on their papers, as pixels in sRGB"), _sheet),
            "pdf": act("pdf", tr("Save the view as PDF"),
                       tr("The pictures on their papers, on one page"), _sheet),
            "html": act("html", tr("Save a page to take away"),
                        tr("One file that shows the papers live in any browser, without Python"),
                        _takeaway),
            "csv": act("csv", tr("Save the table as CSV"), tr("All figures, for a spreadsheet"), _table),
        },
        original=lambda: getattr(owner.plan.picture, "path", None),
    )  # fmt: skip


def _table(owner, kind: str):
    """A function that gives the bytes of the table as it stands now."""
    comparison = owner.comparison
    if comparison is None:
        raise WorkbenchError(tr("Nothing has been compared yet; wait a moment."))
    return lambda: csv_bytes(comparison)


def _takeaway(owner, kind: str):
    """A function that makes the live page of the papers that are compared."""
    plan, compared = owner.plan, owner.comparison
    papers = (
        [row.paper for row in compared.rows if isinstance(row.paper, Paper)] if compared else []
    )
    if plan.picture is None or not papers:
        raise WorkbenchError(
            tr("There is nothing to show yet; open a picture and tick a paper with a profile.")
        )
    given = plan.picture, papers[:MOST_PAPERS]
    eye = Rendering.of(plan, "intent", "black_point_compensation", "reference", "adaptation")
    more = {"threshold": plan.threshold, "tolerance": plan.tolerance}
    with suppress(WorkbenchError):  # a print without a size has the usual one
        size = plan.print_size()
        more["long_side_mm"] = max(size.width_mm, size.height_mm)
    return lambda: page_bytes(*given, **eye.way, **eye.eye, **more)


def _sheet(owner, kind: str):
    """A function that draws what is in view now, larger, and gives its bytes."""
    large = owner.view.for_export() if owner.plan.picture is not None else None
    if large is None:
        raise WorkbenchError(
            tr("There is no view to save; open a picture and tick a paper with a profile.")
        )
    name = owner.plan.picture.name or tr("The picture")

    def data() -> bytes:
        seen, said, note = large()
        papers = seen.of.papers
        title = (
            tr("{name} on {count} papers", name=name, count=len(papers))
            if len(papers) > 1
            else tr("{name} on {paper}", name=name, paper=papers[0].name)
        )
        if any(paper.invented for paper in papers):
            note += f" {_INVENTED}"
        figure = sheet_figure(title, note, seen.sheets, said, seen.wall)
        return png_of(figure, standard_profile("sRGB")) if kind == "png" else pdf_of(figure, title)

    return data
