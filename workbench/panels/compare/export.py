"""Taking a comparison away: the view as PNG or PDF, the table as CSV."""

from __future__ import annotations

from pathlib import Path

from workbench.colour.spaces import standard_profile
from workbench.errors import WorkbenchError
from workbench.figures.compare_sheet import pdf_of, png_of, sheet_figure
from workbench.figures.compare_view import wall_rgb
from workbench.files import save_new
from workbench.output.compare_file import csv_bytes
from workbench.panels import parts
from workbench.panels.parts.folders import folder_for

_INVENTED = "Papers marked invented are models, not products."


class Export:
    """A folder to type and three buttons; ``body`` holds the items to lay out.

    Nothing that exists is written over: a new file gets a new name, and the line below
    the buttons says where it went.

    Parameters
    ----------
    owner : the side-by-side panel.
    """

    def __init__(self, owner):
        self._owner = owner
        front = owner.front
        self.said = parts.StatusLine(front)
        self.worker = front.scheduler.on(parts.FILES, rest_s=0)
        safely = parts.guarded(self.said)
        self.folder = parts.text(
            front, "Folder to save in", placeholder="the picture's own folder",
            help="Left empty, files go to the folder that the picture came from",
        )  # fmt: skip
        self.folder.widget.layout.width = "420px"
        self.buttons = {}
        field = front.tag(self.folder.field)
        for kind, label, said in (
            ("png", "Save the view as PNG", "The pictures on their papers, as pixels in sRGB"),
            ("pdf", "Save the view as PDF", "The pictures on their papers, on one page"),
            ("csv", "Save the table as CSV", "All figures, for a spreadsheet"),
        ):
            save = safely(lambda typed=None, kind=kind: self.save(kind, typed))
            made = parts.button(front, label, save, help=said)
            # with the text of the field, which a click may overtake
            front.listen(
                made, "press", lambda c, save=save: save(str(c.get("text", ""))), field=field
            )
            self.buttons[kind] = made
        self.body = [parts.row(self.folder), parts.row(*self.buttons.values()), self.said]

    def save(self, kind: str, typed: str | None = None) -> None:
        """Save "png", "pdf" or "csv" to the folder typed (by default, what the field says)."""
        owner = self._owner
        own = getattr(owner.plan.picture, "path", None)
        folder = folder_for(self.folder.value if typed is None else typed, own)
        name = owner.plan.picture.name if owner.plan.picture is not None else ""
        stem = f"{Path(name).stem if name else 'picture'}, side by side"
        if kind == "csv":
            if owner.comparison is None:
                raise WorkbenchError("Nothing has been compared yet; wait a moment.")
            comparison = owner.comparison
            make = lambda: csv_bytes(comparison)  # noqa: E731
        else:
            make = self._sheet(kind)

        def work(cancelled, progress):
            return save_new(folder, stem, f".{kind}", make())

        self.said.working("Saving")
        self.worker.submit(
            f"save {kind}", work, lambda path: self.said.say(f"Saved as {path}"), status=self.said
        )

    def _sheet(self, kind: str):
        """A function that draws what is in view now, larger."""
        owner, plan = self._owner, self._owner.plan
        papers = owner.with_profile if plan.picture is not None else []
        if not papers:
            raise WorkbenchError(
                "There is no view to save; open a picture and tick a paper with a profile."
            )
        eye, view = owner.view.eye(papers), owner.view
        captions = view.captions(papers, owner.numbers)
        tiles, times = view.for_export(papers, eye)
        wall = wall_rgb(view.wall.value, eye.dim)
        title = f"{plan.picture.name or 'The picture'} on {len(papers)} papers"
        if len(papers) == 1:
            title = f"{plan.picture.name or 'The picture'} on {papers[0].name}"
        note = view.note_words(eye)
        if times > 1:
            note += f" On this sheet every pixel is {times} × {times} large."
        if any(paper.invented for paper in papers):
            note += f" {_INVENTED}"

        def make() -> bytes:
            figure = sheet_figure(title, note, tiles, captions, wall)
            return (
                png_of(figure, standard_profile("sRGB")) if kind == "png" else pdf_of(figure, title)
            )

        return make
