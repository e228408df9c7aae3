"""The size panel: how large, how sharp, on which sheet."""

from __future__ import annotations

import numpy as np

from workbench.analysis.crop import parse_ratio, resampling_choices
from workbench.analysis.mount import USUAL_OVERLAP_MM
from workbench.analysis.proof import picture_grid
from workbench.analysis.seen import seen_at
from workbench.analysis.sheets import positive
from workbench.analysis.spectrum import spectrum_of
from workbench.decisions import HIGHEST_PPI
from workbench.errors import SizeError, UntaggedPictureError
from workbench.figures.seen import SeenFigure
from workbench.figures.size import SizeFigure
from workbench.language import decimal, numeral, tr
from workbench.panels import parts
from workbench.panels.knobs import knob, sheet_knob, told
from workbench.panels.panel import Panel
from workbench.panels.parts.choice_or_typed import ChoiceOrTyped
from workbench.panels.parts.dragging import BEGIN, KEY, Hand, follow_hand
from workbench.panels.parts.facts import facts_table
from workbench.panels.size.printer import PrinterPart
from workbench.panels.view import View
from workbench.picture.kept import kept_while_open
from workbench.plan import SIZE_TRAITS

THUMBNAIL_PX = 320
_REST_S = 0.15  # a slider that rests this long gets what it touches least as well

_RATIOS = (
    (tr("the whole picture"), ""),
    ("1:1", "1:1"),
    ("5:4", "5:4"),
    ("4:3", "4:3"),
    ("3:2", "3:2"),
    ("16:9", "16:9"),
    ("3:1", "3:1"),
    (tr("the sheet's, inside its borders"), "sheet"),
)
_PRINTERS = tuple((f"{ppi} ppi", str(ppi)) for ppi in (360, 300, 720, 600))
# what stands for the picture while its colours are not known
_NO_COLOURS = 170
_NO_SPECTRUM = tr("How much of its detail is seen can be worked out once its colours are known.")
_LENGTHS = (
    "long_side_mm", "border_mm", "bottom_weight_mm", "mount_overlap_mm", "viewing_distance_mm",
)  # fmt: skip


class SizePanel(Panel):
    """Solves pixels, ppi, size and viewing distance from one another, and draws the sheet."""

    watch = ("picture", *SIZE_TRAITS, "unit")

    def build(self) -> list:
        front = self.front
        # before it sets the plan: the size is carried over while the old way still decides
        self.decides = knob(self, "size_from", first=self._carry_over)
        self.ppi = knob(self, "ppi", decimals=1)
        self.printer = self.bind(
            ChoiceOrTyped(
                front,
                *told("printer_ppi"),
                options=_PRINTERS,
                placeholder=tr("ppi, for example 400"),
            ),
            "printer_ppi",
            to_plan=_printer_ppi,
            from_plan=numeral,
        )
        self.sheet = sheet_knob(self)
        self.crop = self.bind(
            ChoiceOrTyped(front, *told("crop_ratio"), options=_RATIOS, placeholder="7:5"),
            "crop_ratio",
            to_plan=_ratio,
        )
        self.crop_place = {name: knob(self, name) for name in ("crop_across", "crop_down")}
        self.unit = knob(self, "unit")
        self.region, self.feed_path = knob(self, "region"), knob(self, "feed_path")
        self.printer_part = PrinterPart(self)
        self.opening = knob(self, "mount_opening", placeholder=tr("28 x 38 cm"))
        self.lengths = {name: knob(self, name) for name in _LENGTHS}
        self.drawing = parts.PlotView(
            front, SizeFigure(width_px=740), alt=tr("The print on its sheet, to scale")
        )
        self._crop_held = (0.5, 0.5)  # where the crop was when a hand took hold of it
        follow_hand(front, self.drawing.widget, self.safely(self._crop_dragged))
        self.notes = parts.html("")
        self.resampling = parts.html("")
        self.spectrum = parts.PlotView(
            front, SeenFigure(), alt=tr("What the picture holds, and what the eye needs")
        )
        self.seen_notes = parts.html("")
        self._measured: tuple = (None, None)  # a picture and its spectrum
        self._seen: tuple | None = None  # what is seen of it, and the unit
        self.results = parts.column(
            self.drawing, self.notes, self.seen_notes, self.spectrum, self.resampling
        )
        knobs = parts.row(
            self.decides,
            self.ppi,
            self.lengths["long_side_mm"],
            self.lengths["viewing_distance_mm"],
            self.sheet,
            self.region,
            self.lengths["border_mm"],
            self.lengths["bottom_weight_mm"],
            self.opening,
            self.lengths["mount_overlap_mm"],
            self.feed_path,
            self.crop,
            *self.crop_place.values(),
            self.printer,
            self.unit,
        )
        knobs.add_class("wb-knobs")
        return [knobs, self.status, self.results, self.printer_part.fold]

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
        elif way == "opening" and not plan.mount_overlap_mm:
            plan.mount_overlap_mm = USUAL_OVERLAP_MM

    def _crop_dragged(self, hand: Hand) -> None:
        """Let the picture follow the hand under the crop that stays."""
        plan, figure = self.plan, self.drawing.figure
        if hand.phase in (BEGIN, KEY):
            self._crop_held = plan.crop_across, plan.crop_down
        moved = []
        for held, by, px, cut in zip(
            self._crop_held, (hand.by_x, hand.by_y), figure.size_px, figure.cut_px, strict=True
        ):
            moved.append(min(max(held - by * px / cut, 0.0), 1.0) if cut > 0 else held)
        plan.crop_across, plan.crop_down = moved

    def missing(self) -> str:
        # a size needs no paper
        return "" if self.plan.picture is not None else tr("Open a picture to see its sizes here.")

    def shows(self):
        return (
            View("knobs", lambda: self.plan.size_from, str, self._show_knobs),
            View(
                "size", self._asked, lambda asked: (*asked, thumbnail(asked[0])), self._show_size,
                forget=lambda: self._show_results(False),
            ),
            View(
                "spectrum", lambda: self.plan.picture, measured, self._keep_spectrum,
                lane=parts.FINER, doing=tr("Measuring the picture's detail"),
            ),
            View(
                "seen", self._seen_asked, lambda asked: (seen_at(*asked[:-1]), asked[-1]),
                self._show_seen, forget=lambda: self._show_seen(None),
            ),
            # beside the drawing it would hold up every move; the sentences do not wait
            View(
                "spectrum plot", lambda: self._seen, lambda found, *_: found, self._draw_seen,
                lane=parts.FINER, rest_s=_REST_S,
            ),
        )  # fmt: skip

    def _show_knobs(self, decides: str) -> None:
        self.ppi.visible = decides == "ppi"
        self.lengths["long_side_mm"].visible = decides == "size"
        self.opening.visible = decides == "opening"
        # an opening crops to its own ratio
        self.crop.widget.layout.display = "none" if decides == "opening" else ""

    def _asked(self) -> tuple:
        plan = self.plan
        if plan.size_from == "sheet" and not plan.sheet:
            raise SizeError(tr("Choose the sheet that the print is to fill."))
        if plan.size_from == "opening" and not plan.mount_opening:
            raise SizeError(tr("Type the opening of your mount, such as 28 x 38 cm."))
        return plan.picture, plan.print_size(), plan.unit

    def _keep_spectrum(self, found: tuple) -> None:
        self._measured = found
        self._changed(None)  # it can be read at the print's size now

    def _seen_asked(self) -> tuple | None:
        plan = self.plan
        picture, spectrum = self._measured
        if picture is not plan.picture:
            self._measured = (None, None)
        if self._measured[1] is None:
            return None
        ppi = self._asked()[1].ppi
        return spectrum, ppi, plan.viewing_distance_mm, plan.printer_ppi, plan.unit

    def _show_seen(self, found: tuple | None) -> None:
        self._seen = found
        self.spectrum.widget.layout.display = "" if found else "none"
        if found is None:
            self.seen_notes.value = _paragraphs([_NO_SPECTRUM] if self._measured[0] else [])
            return
        seen, unit = found
        self.seen_notes.value = _paragraphs(seen.sentences(unit))

    def _draw_seen(self, found: tuple) -> None:
        seen, unit = found
        self.spectrum.figure.update(seen, unit=unit)
        self.spectrum.show(alt=self.spectrum.figure.alt_text(seen))

    def _show_size(self, found: tuple) -> None:
        _, size, unit, small = found
        self.drawing.figure.update(size, unit=unit, thumbnail=small)
        self.drawing.show(alt=self.drawing.figure.alt_text(size))
        self.notes.value = _paragraphs(size.sentences(unit))
        self.resampling.value = _resampling_table(size)
        self._show_results(True)
        self.crop_place["crop_across"].visible = size.crop.left_px + size.crop.right_px > 0
        self.crop_place["crop_down"].visible = size.crop.top_px + size.crop.bottom_px > 0

    def _show_results(self, shown: bool) -> None:
        # nothing is shown that no longer holds
        self.results.layout.display = "" if shown else "none"


def measured(picture, cancelled, progress) -> tuple:
    """A picture and its spectrum; None for one whose colours are not known."""
    try:
        return picture, spectrum_of(picture)
    except UntaggedPictureError:
        return picture, None


@kept_while_open(maxsize=1)
def thumbnail(picture) -> np.ndarray:
    """A small picture in screen colours, (h, w, 3) uint8; grey while its colours are not known."""
    small = picture.preview(THUMBNAIL_PX)
    try:
        return picture_grid(picture.require_profile()).apply(small)
    except UntaggedPictureError:
        return np.full((*small.shape[:2], 3), _NO_COLOURS, np.uint8)


def _printer_ppi(text: str) -> float:
    number = text.lower().removesuffix("ppi").strip()
    try:
        value = decimal(number)
    except ValueError:
        raise SizeError(
            tr("“{typed}” is not a resolution; type a number of ppi, such as 400.", typed=text)
        ) from None
    return positive(value, tr("printer's resolution"), unit="ppi", at_most=HIGHEST_PPI)


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
    return facts_table(
        [
            (
                tr("{ppi:g} ppi", ppi=each.printer_ppi),
                _RESAMPLING[each.kind],
                tr("× {factor:.3g}", factor=each.factor),
                f"{each.target_width_px} × {each.target_height_px}",
            )
            for each in resampling_choices(size)
        ],
        (tr("Printer"), tr("What it means"), tr("Factor"), tr("Pixels sent")),
    )


_RESAMPLING = {
    "none": tr("pixel for pixel"),
    "enlarge": tr("enlarged: no new detail"),
    "reduce": tr("reduced: finest detail averaged"),
}
