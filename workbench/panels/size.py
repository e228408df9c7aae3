"""The size panel: how large, how sharp, on which sheet."""

from __future__ import annotations

from workbench.analysis.crop import parse_ratio, resampling_choices
from workbench.analysis.proof import picture_grid
from workbench.analysis.sheets import FAMILIES, SHEETS, find_sheet
from workbench.errors import SizeError, UntaggedPictureError
from workbench.figures.size import SizeFigure
from workbench.panels import parts
from workbench.panels.choice_or_typed import ChoiceOrTyped
from workbench.panels.panel import Panel
from workbench.plan import UNITS

THUMBNAIL_PX = 320

_PER_UNIT = {"cm": 10.0, "mm": 1.0, "in": 25.4}
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
# lengths on sliders: (trait, lowest, highest) in mm
_LENGTHS = (("long_side_mm", 50, 1500), ("border_mm", 0, 150), ("viewing_distance_mm", 0, 5000))


class SizePanel(Panel):
    """Solves pixels, ppi, size and viewing distance from one another, and draws the sheet."""

    title = "Size"
    watch = (
        "picture",
        "size_from",
        "ppi",
        "long_side_mm",
        "sheet",
        "viewing_distance_mm",
        "printer_ppi",
        "crop_ratio",
        "border_mm",
        "unit",
    )

    def build(self) -> list:
        front, plan = self.front, self.plan
        self.decides = self.bind(
            parts.choice(
                front,
                "What decides the size",
                options=[
                    ("the resolution you choose", "ppi"),
                    ("the length of the long side", "size"),
                    ("the sheet, filled inside its borders", "sheet"),
                    ("the viewing distance: as large as stays sharp", "viewing distance"),
                ],
                help="The one you choose is kept; the others follow from it and the pixels",
            ),
            "size_from",
        )
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
            to_plan=_number,
            from_plan=lambda ppi: f"{ppi:g}",
        )
        self.sheet = self.bind(
            ChoiceOrTyped(
                front,
                "Sheet or roll",
                options=[("the smallest that fits", ""), *_sheet_options()],
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
            "long_side_mm": parts.slider(
                front, "Long side", value=400, min=50, max=1500, step=0.1, typed=(1, 50000),
                help="Of the print, without borders",
            ),
            "border_mm": parts.slider(
                front, "White border", value=0, min=0, max=150, step=0.1, typed=(0, 1000),
                help="Left unprinted on every side, at the least; 0 prints to the edge",
            ),
            "viewing_distance_mm": parts.slider(
                front, "Viewing distance", value=0, min=0, max=5000, step=0.1,
                typed=(0, 100000),
                help="From the eye to the print; 0 takes the usual 1.5 diagonals",
            ),
        }  # fmt: skip
        for trait, control in self.lengths.items():
            control.on_change(
                self.safely(
                    lambda value, trait=trait: setattr(
                        plan, trait, value * _PER_UNIT[plan.unit]
                    )
                )
            )
        plan.observe(lambda change: self._set_lengths(), names=["unit", *self.lengths])
        self._set_lengths()
        self.drawing = parts.PlotView(front, SizeFigure(width_px=740), alt="The print on its sheet, to scale")
        self.notes = parts.html("")
        self.resampling = parts.html("")
        self._thumbnail_of = None
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
        return [knobs, self.drawing, self.notes, self.resampling]

    def _set_lengths(self) -> None:
        unit = self.plan.unit
        per = _PER_UNIT[unit]
        for trait, low, high in _LENGTHS:
            control = self.lengths[trait]
            control.rename(control.label, unit)
            control.limits(low / per, high / per, typed=(low and 1 / per, 50000 / per))
            control.value = getattr(self.plan, trait) / per

    def _follow_now(self) -> None:
        # a size needs no paper
        if self.plan.picture is None:
            self.status.say("Open a picture to see its sizes here.")
        else:
            self.follow()

    def follow(self) -> None:
        plan = self.plan
        self.ppi.visible = plan.size_from == "ppi"
        self.lengths["long_side_mm"].visible = plan.size_from == "size"
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
            try:
                source = picture.require_profile()
                thumbnail = picture_grid(source).apply(picture.preview(THUMBNAIL_PX))
            except UntaggedPictureError:
                thumbnail = None
            return thumbnail
        return None


def _sheet_options():
    for family in FAMILIES:
        for sheet in SHEETS:
            if sheet.family == family:
                yield f"{sheet.name} ({sheet.family}, {sheet.size_text('mm')})", sheet.name


def _number(text: str) -> float:
    try:
        return float(text)
    except ValueError:
        raise SizeError(f"“{text}” is no resolution; type a number of ppi, such as 400.") from None


def _ratio(text: str) -> str:
    if text and text != "sheet":
        parse_ratio(text)
    return text


def _paragraphs(sentences) -> str:
    from html import escape

    return "".join(f"<p>{escape(sentence)}</p>" for sentence in sentences)


def _resampling_table(size) -> str:
    rows = "".join(
        f"<tr><th>{each.printer_ppi:g} ppi</th><td>{_RESAMPLING[each.kind]}</td>"
        f"<td>× {each.factor:.3g}</td>"
        f"<td>{each.target_width_px} × {each.target_height_px}</td></tr>"
        for each in resampling_choices(size)
    )
    return (
        '<table class="wb-facts"><tr><th>Printer</th><th>What it means</th><th>Factor</th>'
        f"<th>Pixels sent</th></tr>{rows}</table>"
    )


_RESAMPLING = {
    "none": "pixel for pixel",
    "enlarge": "enlarged: no new detail",
    "reduce": "reduced: finest detail averaged",
}
