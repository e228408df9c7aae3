"""Where the picture lies in the print file: borders, sheet, offset, bleed, and the drawing."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from workbench.analysis.fit import as_borders
from workbench.analysis.proof import picture_grid
from workbench.analysis.sheets import find_sheet
from workbench.errors import WorkbenchError
from workbench.figures.print_layout import PrintLayoutFigure
from workbench.output.layout import layout_of
from workbench.panels import parts
from workbench.panels.parts.choice_or_typed import ChoiceOrTyped
from workbench.panels.parts.lengths import bound_length, sheet_options
from workbench.panels.print_file.words import margins_rows, rows_html

DRAWING_PX = (460, 360)
_THUMBNAIL_PX = 480
# what each control would have to be for its part of the job to do no harm
_HARMLESS = (
    ("optical_offset_mm", 0.0),
    ("bleed_mm", 0.0),
    ("on_sheet", False),
    ("border_mm", as_borders(0.0)),
)
_FIELDS = {"border_mm": "borders_mm"}


class LayoutPart:
    """Controls with a line for what is wrong below each, and the drawing beside them."""

    def __init__(self, panel):
        self.plan, front = panel.plan, panel.front
        plan = panel.plan
        self.border = bound_length(
            panel, "border_mm", "White border", (0, 150),
            "Bare paper on every side, at the least; 0 prints to the edge",
            decimals=2,
        )  # fmt: skip
        self.on_sheet = panel.bind(
            parts.tick(
                front,
                "The file is as large as the sheet",
                help="Ticked, the picture lies in the middle of the sheet; otherwise the file "
                "ends where the borders end",
            ),
            "on_sheet",
        )
        self.sheet = panel.bind(
            ChoiceOrTyped(
                front,
                "Sheet or roll",
                options=_sheets(plan.unit),
                help="Cut sheets and rolls; 40 x 60 cm and the like may be typed",
                placeholder="40 x 60 cm, roll 50 cm",
            ),
            "sheet",
            to_plan=lambda name: find_sheet(name).name if name else "",
        )
        plan.observe(lambda change: self.sheet.replace(_sheets(plan.unit)), names=["unit"])
        self.offset = bound_length(
            panel, "optical_offset_mm", "Placed higher than the middle by", (0, 40),
            "A picture in the very middle seems to sink; a little higher it seems to rest",
            decimals=2,
        )  # fmt: skip
        self.bleed_mm = bound_length(
            panel, "bleed_mm", "Bleed beyond each edge", (0, 100),
            "For canvas stretched round a frame: as wide as the bar is deep, and a little more",
            decimals=2,
        )  # fmt: skip
        self.bleed = panel.bind(
            parts.choice(
                front,
                "The bleed is made of",
                options=[
                    ("the picture's edges, mirrored", "mirrored"),
                    ("the picture's own outer part", "picture"),
                    ("white", "white"),
                ],
                help="Mirrored edges keep all of the picture at the front; its own outer part "
                "is then missing there",
            ),
            "bleed",
        )
        controls = {
            "border_mm": self.border,
            "on_sheet": parts.column(self.on_sheet, self.sheet),
            "optical_offset_mm": self.offset,
            "bleed_mm": self.bleed_mm,
        }
        self.problems = {trait: parts.StatusLine(front) for trait in controls}
        self._fields = {
            "border_mm": self.border.field, "on_sheet": self.on_sheet.field,
            "optical_offset_mm": self.offset.field, "bleed_mm": self.bleed_mm.field,
        }  # fmt: skip
        self._front = front
        column = []
        for trait, control in controls.items():
            column += [control, self.problems[trait]]
        knobs = parts.column(*column, self.bleed)
        knobs.layout.flex = "1 1 220px"
        knobs.layout.grid_gap = "8px"
        self.figure = PrintLayoutFigure(*DRAWING_PX)
        self.drawing = parts.PlotView(front, self.figure, "The print file, drawn to scale")
        self.measures = parts.html("")
        self.items = [parts.row(self.drawing, knobs), self.measures]
        self._thumbnail_of, self._thumbnail = None, None
        self._window = self._shown_for = None

    # what is wrong ----------------------------------------------------------

    def blame(self, job, problem) -> bool:
        """Put a problem below the control that causes it; False where none of these does."""
        trait = self._culprit(job)
        self.clear(but=trait)
        self._show_results(False)  # nothing is shown that no longer holds
        if trait is None:
            return False
        self.problems[trait].problem(str(problem), source=self)
        self._front.tag(self._fields[trait], aria_invalid="true")
        return True

    def _culprit(self, job) -> str | None:
        if job is None:
            return "on_sheet" if self.plan.on_sheet and not self.plan.sheet else None
        for trait, harmless in _HARMLESS:
            try:
                layout_of(replace(job, **{_FIELDS.get(trait, trait): harmless}))
            except WorkbenchError:
                continue
            return trait
        return None

    def clear(self, but: str | None = None) -> None:
        """Nothing is wrong here any more."""
        for trait, line in self.problems.items():
            if trait != but and line.kind:
                line.clear()
                self._front.tag(self._fields[trait], aria_invalid=None)

    # showing ------------------------------------------------------------------

    def show(self, job, layout) -> None:
        """Draw another layout."""
        self.clear()
        self._show_results(True)
        self.bleed.disabled = not job.bleed_mm
        if self._shown_for == (job.picture, layout, job.bleed):
            return
        self._shown_for = job.picture, layout, job.bleed
        with self.figure.lock:
            self.figure.update(
                layout, bleed=job.bleed, thumbnail=self._printed(job, layout), window=self._window
            )
        self.drawing.show(alt=self.figure.alt_text(layout))
        rows = margins_rows(layout)
        self.measures.value = rows_html(rows) if rows else ""

    def _show_results(self, shown: bool) -> None:
        for item in (self.drawing.widget, self.measures):
            # keeping their room, so that the control in hand stays where it is
            item.layout.visibility = "visible" if shown else "hidden"

    def mark(self, box) -> None:
        """Frame the part that is looked at closely, in pixels of the printed picture."""
        if box == self._window:
            return
        self._window = box
        with self.figure.lock:
            self.figure.update(window=box)
        self.drawing.show()

    def _printed(self, job, layout) -> np.ndarray:
        """The printed part of the picture in screen colours."""
        picture = job.picture
        if self._thumbnail_of is not picture:
            small = picture.preview(_THUMBNAIL_PX)
            self._thumbnail = picture_grid(picture.require_profile()).apply(small)
            self._thumbnail_of = picture
        rows, columns = self._thumbnail.shape[:2]
        y0, y1 = _part(layout.down, rows / picture.height_px, rows)
        x0, x1 = _part(layout.across, columns / picture.width_px, columns)
        return np.ascontiguousarray(self._thumbnail[y0:y1, x0:x1])


def _sheets(unit: str) -> list[tuple[str, str]]:
    return [("none chosen", ""), *sheet_options(unit)]


def _part(axis, scale: float, most: int) -> tuple[int, int]:
    first = min(max(0, round(axis.start * scale)), most - 1)
    return first, min(most, max(first + 1, round((axis.start + axis.length) * scale)))
