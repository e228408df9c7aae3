"""The size panel: how large, how sharp, on which sheet."""

from __future__ import annotations

import numpy as np

from workbench.analysis.crop import parse_ratio, resampling_choices
from workbench.analysis.proof import picture_grid
from workbench.analysis.sheets import find_sheet, positive
from workbench.decisions import HIGHEST_PPI
from workbench.errors import SizeError, UntaggedPictureError, WorkbenchError
from workbench.figures.size import SizeFigure
from workbench.panels import parts
from workbench.panels.panel import Panel
from workbench.panels.parts.choice_or_typed import ChoiceOrTyped
from workbench.panels.parts.lengths import bound_length, sheet_options
from workbench.plan import SIZE_TRAITS, UNITS

THUMBNAIL_PX = 320

_RATIOS = (
    ("the whole picture", ""),
    ("1:1", "1:1"),
    ("5:4", "5:4"),
    ("4:3", "4:3"),
    ("3:2", "3:2"),
    ("16:9", "16:9"),
    ("3:1", "3:1"),
    ("the sheet's, inside its borders", "sheet"),
)
_PRINTERS = tuple((f"{p} ppi", str(p)) for p in (360, 300, 720, 600))
_AUTOMATIC_SHEET = ("the smallest that fits", "")
# what stands for the picture while its colours are not known
_NO_COLOURS = 170
# lengths on sliders: trait -> (label, ends in mm, help)
_LENGTHS = {
    "long_side_mm": ("Long side", (50, 1500), "Of the print, without borders"),
    "border_mm": (
        "White border", (0, 150),
        "Left unprinted on every side, at the least; 0 prints to the edge",
    ),
    "viewing_distance_mm": (
        "Viewing distance", (0, 5000),
        "From the eye to the print; 0 takes the usual 1.5 diagonals",
    ),
}  # fmt: skip


class SizePanel(Panel):
    """Solves pixels, ppi, size and viewing distance from one another, and draws the sheet."""

    title = "Size"
    watch = ("picture", *SIZE_TRAITS, "unit")

    def build(self) -> list:
        front, plan = self.front, self.plan
        self.decides = parts.choice(
            front,
            "What decides the size",
            options=[
                ("the resolution you choose", "ppi"),
                ("the length of the long side", "size"),
                ("the sheet, filled inside its borders", "sheet"),
                ("the viewing distance: as large as stays sharp", "viewing distance"),
            ],
            help="The one you choose is kept; the others follow from it and the pixels",
        )
        # before it is bound: the size is carried over while the old way still decides
        self.decides.on_change(self.safely(self._carry_over))
        self.bind(self.decides, "size_from")
        self.ppi = self.bind(
            parts.slider(
                front,
                "Picture resolution",
                value=360,
                min=60,
                max=720,
                unit="ppi",
                typed=(1, 10000),
                decimals=1,
                help="Pixels of the picture on each inch of paper",
            ),
            "ppi",
        )
        self.printer = self.bind(
            ChoiceOrTyped(
                front,
                "Printer's own resolution",
                options=_PRINTERS,
                help="What the printer works at; most photo printers belong to the 360 or "
                "the 300 ppi class",
                placeholder="ppi, for example 400",
            ),
            "printer_ppi",
            to_plan=_printer_ppi,
            from_plan=lambda ppi: f"{ppi:g}",
        )
        self.sheet = self.bind(
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
        self.crop = self.bind(
            ChoiceOrTyped(
                front,
                "Crop to",
                options=_RATIOS,
                help="Width to height; the middle of the picture is kept",
                placeholder="7:5",
            ),
            "crop_ratio",
            to_plan=_ratio,
        )
        self.unit = self.bind(
            parts.choice(front, "Show sizes in", options=list(UNITS), help="cm, mm or inches"),
            "unit",
        )
        self.lengths = {
            trait: bound_length(self, trait, *length) for trait, length in _LENGTHS.items()
        }
        plan.observe(lambda change: self.sheet.replace(_sheets(change["new"])), names=["unit"])
        self.drawing = parts.PlotView(
            front, SizeFigure(width_px=740), alt="The print on its sheet, to scale"
        )
        self.notes = parts.html("")
        self.resampling = parts.html("")
        self._thumbnail_of = None
        self.results = parts.column(self.drawing, self.notes, self.resampling)
        knobs = parts.row(
            self.decides,
            self.ppi,
            self.lengths["long_side_mm"],
            self.lengths["viewing_distance_mm"],
            self.sheet,
            self.lengths["border_mm"],
            self.crop,
            self.printer,
            self.unit,
        )
        knobs.add_class("wb-knobs")
        return [knobs, self.status, self.results]

    def _carry_over(self, way: str) -> None:
        """Let another way to decide begin at what is shown."""
        plan = self.plan
        if plan.picture is None:
            return
        try:
            size = plan.print_size()
        except SizeError:  # nothing is shown, so the way's own last value stands
            return
        if way == "ppi":
            plan.ppi = size.ppi
        elif way == "size":
            plan.long_side_mm = max(size.width_mm, size.height_mm)
        elif way == "sheet" and not plan.sheet and size.best_fit is not None:
            plan.sheet = size.best_fit.name
        elif way == "viewing distance" and not plan.viewing_distance_mm:
            plan.viewing_distance_mm = size.viewing_distance_mm

    def missing(self) -> str:
        # a size needs no paper
        return "" if self.plan.picture is not None else "Open a picture to see its sizes here."

    def follow(self) -> None:
        self.ppi.visible = self.plan.size_from == "ppi"
        self.lengths["long_side_mm"].visible = self.plan.size_from == "size"
        try:
            self._show()
        except WorkbenchError:
            self.results.layout.display = "none"  # nothing is shown that no longer holds
            raise
        self.results.layout.display = ""

    def _show(self) -> None:
        plan = self.plan
        if plan.size_from == "sheet" and not plan.sheet:
            raise SizeError("Choose the sheet that the print is to fill.")
        if plan.size_from == "viewing distance" and not plan.viewing_distance_mm:
            raise SizeError("Set the viewing distance that the print is to look sharp from.")
        size = plan.print_size()
        self.drawing.figure.update(size, unit=plan.unit, thumbnail=self._thumbnail())
        self.drawing.show(alt=self.drawing.figure.alt_text(size))
        self.notes.value = _paragraphs(size.sentences(plan.unit))
        self.resampling.value = _resampling_table(size)

    def _thumbnail(self):
        """The picture in screen colours, made once for each picture."""
        picture = self.plan.picture
        if self._thumbnail_of is not picture:
            self._thumbnail_of = picture
            small = picture.preview(THUMBNAIL_PX)
            try:
                return picture_grid(picture.require_profile()).apply(small)
            except UntaggedPictureError:
                return np.full((*small.shape[:2], 3), _NO_COLOURS, np.uint8)
        return None


def _sheets(unit: str) -> list[tuple[str, str]]:
    return [_AUTOMATIC_SHEET, *sheet_options(unit)]


def _printer_ppi(text: str) -> float:
    number = text.lower().removesuffix("ppi").strip()
    try:
        value = float(number)
    except ValueError:
        raise SizeError(f"“{text}” is no resolution; type a number of ppi, such as 400.") from None
    return positive(value, "printer's resolution", unit="ppi", at_most=HIGHEST_PPI)


def _ratio(text: str) -> str:
    if text and text != "sheet":
        parse_ratio(text)
    return text


def _paragraphs(sentences) -> str:
    from html import escape

    return "".join(
        f'<p class="tex2jax_ignore mathjax_ignore">{escape(sentence)}</p>' for sentence in sentences
    )


def _resampling_table(size) -> str:
    rows = "".join(
        f"<tr><th>{each.printer_ppi:g} ppi</th><td>{_RESAMPLING[each.kind]}</td>"
        f"<td>× {each.factor:.3g}</td>"
        f"<td>{each.target_width_px} × {each.target_height_px}</td></tr>"
        for each in resampling_choices(size)
    )
    return (
        '<table class="wb-facts tex2jax_ignore mathjax_ignore"><tr><th>Printer</th><th>What it means</th><th>Factor</th>'
        f"<th>Pixels sent</th></tr>{rows}</table>"
    )


_RESAMPLING = {
    "none": "pixel for pixel",
    "enlarge": "enlarged: no new detail",
    "reduce": "reduced: finest detail averaged",
}
