"""Where the picture lies in the print file: borders, sheet, bleed, canvas, and the drawing."""

from __future__ import annotations

import numpy as np

from workbench.analysis.proof import picture_grid
from workbench.errors import WorkbenchError
from workbench.figures.print_layout import PrintLayoutFigure
from workbench.language import tr
from workbench.panels import parts
from workbench.panels.knobs import knob, sheet_knob
from workbench.panels.parts.dragging import BEGIN, END, KEY, Hand
from workbench.panels.parts.facts import facts_table
from workbench.panels.print_file.words import margins_rows
from workbench.panels.view import View
from workbench.picture.kept import kept_while_open

DRAWING_PX = (460, 360)
_THUMBNAIL_PX = 480
# an arrow key moves the print by 1 mm, with Shift by 10 (a key's step is a hundredth)
_KEY_MM = 100.0
# within this of the middle a dragged print goes there
_SNAP_PX = 4.0
# what each control would have to be for its part of the job to do no harm
_HARMLESS = {
    "bottom_weight_mm": 0.0, "bar_depth_mm": 0.0, "bleed_mm": 0.0, "on_sheet": False, "border_mm": 0.0,
}  # fmt: skip


class LayoutPart:
    """Controls with a line for what is wrong below each, and the drawing beside them."""

    def __init__(self, panel):
        self._panel, self._front = panel, panel.front
        self.border = knob(panel, "border_mm", decimals=2)
        self.on_sheet = knob(panel, "on_sheet")
        self.sheet = sheet_knob(panel)
        self.moved = {name: knob(panel, name) for name in ("moved_right_mm", "moved_down_mm")}
        self._held: tuple[float, float] | None = None  # of a print that a hand moves, in mm
        self.weight = knob(panel, "bottom_weight_mm", decimals=2)
        self.bars = knob(panel, "bar_depth_mm", decimals=2)
        self.bleed_mm = knob(panel, "bleed_mm", decimals=2)
        self.bleed = knob(panel, "bleed")
        controls = {
            "border_mm": self.border,
            "bottom_weight_mm": self.weight,
            "on_sheet": parts.column(self.on_sheet, self.sheet, *self.moved.values()),
            "bar_depth_mm": self.bars,
            "bleed_mm": self.bleed_mm,
        }
        self.problems = {trait: parts.StatusLine(self._front) for trait in controls}
        self._fields = {
            "border_mm": self.border.field, "bottom_weight_mm": self.weight.field,
            "on_sheet": self.on_sheet.field, "bar_depth_mm": self.bars.field,
            "bleed_mm": self.bleed_mm.field,
        }  # fmt: skip
        column = []
        for trait, control in controls.items():
            column += [control, self.problems[trait]]
        knobs = parts.column(*column, self.bleed)
        knobs.layout.flex = "1 1 220px"
        knobs.layout.grid_gap = "8px"
        self.figure = PrintLayoutFigure(*DRAWING_PX)
        self.drawing = parts.PlotView(
            self._front, self.figure, tr("The print file, drawn to scale")
        )
        self.measures = parts.html("")
        self.items = [parts.row(self.drawing, knobs), self.measures]
        self._window = None

    def follow(self, hand: Hand, sharpening) -> None:
        """Let the print follow a hand on its sheet, or the frame of the part that is looked at.

        The frame where the hand takes hold of it, and where the file has no sheet.
        """
        made = self._panel.made
        if made is None or hand.phase == END:
            return
        if hand.phase in (BEGIN, KEY):
            on_frame = hand.phase == BEGIN and self.figure.on_window(hand.x, hand.y)
            free = made.job.on_sheet and made.fit is not None and not on_frame
            self._held = made.fit.moved_mm if free else None
        if self._held is None:
            self._look(hand, sharpening)
        elif hand.phase == KEY:
            self._move([_KEY_MM * by for by in (hand.by_x, hand.by_y)], made.fit.reach_mm)
        else:
            mm = [
                by * px / self.figure.px_per_mm
                for by, px in zip((hand.by_x, hand.by_y), self.figure.size_px, strict=True)
            ]
            self._move(mm, made.fit.reach_mm, snap=_SNAP_PX / self.figure.px_per_mm)

    def _move(self, by_mm, reach_mm, snap: float = 0.0) -> None:
        """Move the print from where it was held, inside the printer's margins."""
        to = []
        for held, by, (low, high) in zip(self._held, by_mm, reach_mm, strict=True):
            wanted = round(held + by, 1)
            to.append(0.0 if abs(wanted) < snap else min(max(wanted, low), high))
        plan = self._panel.plan
        with plan.hold_trait_notifications():
            plan.moved_right_mm, plan.moved_down_mm = to

    def _look(self, hand: Hand, sharpening) -> None:
        if hand.phase == KEY:
            now = sharpening.across.value / 100, sharpening.down.value / 100
            x, y = now[0] + hand.by_x, now[1] + hand.by_y
            sharpening.stand_at_share(min(max(x, 0.0), 1.0), min(max(y, 0.0), 1.0))
        else:
            sharpening.stand_at_share(*self.figure.share_at(hand.x, hand.y))

    # what is wrong ----------------------------------------------------------

    def blame(self, problem) -> bool:
        """Put a problem below the control that causes it; False where none of these does."""
        trait = self._culprit()
        self.clear(but=trait)
        if trait is None:
            return False
        self.problems[trait].problem(str(problem), source=self)
        self._front.tag(self._fields[trait], aria_invalid="true")
        return True

    def _culprit(self) -> str | None:
        for trait, harmless in _HARMLESS.items():
            try:
                self._panel.plan.copy(**{trait: harmless}).solved()
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

    def shows(self) -> tuple[View, ...]:
        """What the panel declares of it."""
        return (
            View(
                "place", self._asked, placed, self._show, forget=lambda: self._show_results(False)
            ),
        )

    def _asked(self) -> tuple | None:
        if self._panel.made is None:
            return None
        job, layout = self._panel.made.job, self._panel.made.layout
        return job.picture, layout, job.bleed, self._panel.plan.unit

    def _show(self, found: tuple) -> None:
        layout, bleed, unit, printed = found
        self.bleed.disabled = not layout.beyond_px
        for control in self.moved.values():
            control.disabled = not self._panel.plan.on_sheet
        self.figure.update(layout, bleed=bleed, thumbnail=printed, window=self._window, unit=unit)
        self.drawing.show(alt=self.figure.alt_text(layout))
        rows = margins_rows(layout, unit)
        self.measures.value = facts_table(rows) if rows else ""
        self._show_results(True)

    def _show_results(self, shown: bool) -> None:
        for item in (self.drawing.widget, self.measures):
            # keeping their room, so that the control in hand stays where it is
            item.layout.visibility = "visible" if shown else "hidden"

    def mark(self, box) -> None:
        """Frame the part that is looked at closely, in pixels of the printed picture."""
        if box != self._window:
            self._window = box
            self.figure.update(window=box)
            self.drawing.show()


def placed(asked: tuple) -> tuple:
    """(layout, bleed, unit, the printed part of the picture in screen colours)."""
    picture, layout, bleed, unit = asked
    small = _thumbnail(picture)
    rows, columns = small.shape[:2]
    y0, y1 = _part(layout.down, rows / picture.height_px, rows)
    x0, x1 = _part(layout.across, columns / picture.width_px, columns)
    return layout, bleed, unit, np.ascontiguousarray(small[y0:y1, x0:x1])


@kept_while_open(maxsize=1)
def _thumbnail(picture) -> np.ndarray:
    return picture_grid(picture.require_profile()).apply(picture.preview(_THUMBNAIL_PX))


def _part(axis, scale: float, most: int) -> tuple[int, int]:
    first = min(max(0, round(axis.start * scale)), most - 1)
    return first, min(most, max(first + 1, round((axis.start + axis.length) * scale)))
