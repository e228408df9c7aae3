"""The print on its sheet, drawn to scale, beside the sheets that come close.

All coordinates are CSS pixels from the figure's top left corner, so the drawing
is laid out here once and only scaled to mm where a sheet or picture is placed.
"""

from __future__ import annotations

import math

import numpy as np

from workbench.analysis.crop import Crop
from workbench.analysis.fit import SheetFit, compared
from workbench.analysis.sheets import area_text, check_unit, in_to_mm, length_text
from workbench.analysis.size_answer import PrintSize
from workbench.errors import SizeError
from workbench.figures.drawing import (
    DARK,
    LIGHT,
    NO_PICTURE,
    PAPER,
    ROLL_ON,
    add_box,
    dimension_line,
    pill,
    place_box,
)
from workbench.figures.live import LiveFigure
from workbench.figures.placed import PlacedPicture, checked_thumbnail, cropped_thumbnail
from workbench.figures.style import (
    QUIET,
    SIZE_LABEL,
    SIZE_NOTE,
    SIZE_TITLE,
    SURROUND,
    colour,
    words,
)
from workbench.language import tr

_FAINT = "#9a9a9a"
_ROWS = 5  # sheets compared, where the figure is tall enough
_SIDE_PX = 222  # width of the comparison, which lies left of x = 0
_SIDE_X = 8 - _SIDE_PX
_STAGE_PX = 240  # the narrowest
_MARGIN_PX = 46  # around the sheet, for its dimensions
_ROW_TOP_PX, _ROW_PX, _ICON_PX = 116, 59, 46
_ROLL_ON_PX = 16
# Round lengths for the scale bar, mm; one is taken that is 50 to 125 px long.
_BARS_CM = tuple(n * 10.0**e for e in range(5) for n in (1, 2, 5))
_BARS_IN = tuple(in_to_mm(n) for n in (0.25, 0.5, 1, 2, 4, 6, 12, 24, 36, 72, 144, 288, 600, 1200))


class SizeFigure(LiveFigure):
    """A live drawing of a PrintSize: sheet, borders and picture to one scale.

    ``thumbnail`` is the whole picture, upright, as a small (h, w, 3) uint8 array of
    display colours; without it the picture is a grey area.  ``unit`` is "cm", "mm"
    or "in".  ``update(size, unit=..., thumbnail=...)`` shows another size; what is
    left out stays.  In less than 462 px of width the comparison is left out.  Raises
    SizeError for another unit, another kind of array or a drawing of less than
    240 × 234 pixels.
    """

    def __init__(self, size: PrintSize | None = None, thumbnail=None, *, unit: str = "cm",
                 width_px: int = 700, height_px: int = 420, scale: float = 1.0):  # fmt: skip
        super().__init__(width_px, height_px, scale=scale)
        self._unit = check_unit(unit)
        self._shown_box: Crop | None = None
        self._thumbnail: np.ndarray | None = None
        self._size: PrintSize | None = None
        if width_px < _STAGE_PX or height_px < _ROW_TOP_PX + 2 * _ROW_PX:
            raise SizeError(tr("The drawing of a print needs at least 240 × 234 pixels."))
        axes = self._axes = self.figure.add_axes((0, 0, 1, 1))
        axes.set_axis_off()
        self._count = min(_ROWS, int((height_px - _ROW_TOP_PX) // _ROW_PX))
        self._ground = self._box(facecolor=SURROUND)
        words(axes, _SIDE_X, 98, tr("Compared, all to one scale:"), quiet=True)
        self._lay_out()
        self._build_stage()
        self._build_side()
        if size is not None:
            self.update(size, thumbnail=thumbnail)

    def _fit(self) -> None:
        self._lay_out()
        if self._size is not None:
            self.update(self._size)

    def _lay_out(self):
        """The stage from x = 0 on, the comparison left of it where there is room."""
        width, height = self.size_px
        side = _SIDE_PX if width >= _SIDE_PX + _STAGE_PX else 0
        self._stage = (0.0, 0.0, float(width - side), float(height))
        self._axes.set(xlim=(-side, width - side), ylim=(height, 0))
        self._ground.set_bounds(*self._stage)

    # building -------------------------------------------------------------

    def _box(self, xywh=(0, 0, 0, 0), **style):
        return add_box(self._axes, xywh, **style)

    def _text(self, zorder, x=0.0, y=0.0, *, on_pill=False, moving=True, **style):
        style = {"va": "center", "zorder": zorder, **style}
        if on_pill:
            style["bbox"] = pill()
            style["ha"], style["color"] = "center", DARK
        made = words(self._axes, x, y, "", **style)
        return self.moving(made) if moving else made

    def _line(self, zorder: float, **style):
        (line,) = self._axes.plot([], [], solid_capstyle="butt", zorder=zorder, **style)
        return self.moving(line)

    def _build_stage(self):
        moving = self.moving
        self._roll_on = moving(self._box(facecolor=ROLL_ON, zorder=2))
        self._paper = moving(self._box(facecolor=PAPER, zorder=3))
        self._cuts = self._line(3.5, color=QUIET, linewidth=1.0, linestyle=(0, (5, 3)))
        self._beyond = moving(self._box(facecolor=NO_PICTURE, alpha=0.55, zorder=3.8))
        self._blank = moving(self._box(facecolor=NO_PICTURE, zorder=4))
        self._image = moving(PlacedPicture())
        self._image.set_zorder(5)
        self._axes.add_artist(self._image)
        self._frame = moving(
            self._box(facecolor="none", edgecolor=colour("problem"), linewidth=2.0, zorder=6)
        )
        # over the picture too, so that a picture larger than the sheet does not hide it
        self._outline = moving(
            self._box(facecolor="none", edgecolor=PAPER, linewidth=1.5, zorder=7)
        )
        self._inside = moving(self._box(facecolor="none", zorder=7, linestyle=(0, (4, 3))))
        quiet, ink = {"color": LIGHT, "linewidth": 1.0}, {"color": DARK, "linewidth": 1.0}
        self._rules = {
            side: (self._line(8, **(quiet if side in ("top", "left") else ink)),
                   self._text(9, on_pill=True))
            for side in ("top", "left", "bottom", "right")
        }  # fmt: skip
        self._bar = self._line(8, color=LIGHT, linewidth=3.0)
        self._bar_text = self._text(9, color="#ffffff", ha="left", va="center")

    def _build_side(self):
        x = _SIDE_X
        # Words are the dearest to draw, so those that seldom change are still parts.
        self._name = self._text(2, x, 22, size=SIZE_TITLE, weight="bold", moving=False)
        self._about = self._text(2, x, 44, size=SIZE_NOTE, quiet=True, moving=False)
        self._room = self._text(2, x, 66, size=SIZE_LABEL)
        self._rows = []
        x += _ICON_PX + 26
        for i in range(self._count):
            y = _ROW_TOP_PX + _ROW_PX * (i + 0.5)
            self._rows.append((
                self.moving(self._box(facecolor=PAPER, edgecolor=_FAINT, zorder=2)),
                self.moving(self._box(linewidth=1.4, zorder=3)),
                self._text(3, x, y - 10, moving=False),
                self._text(3, x, y + 9, quiet=True),
            ))  # fmt: skip

    # showing --------------------------------------------------------------

    def update(self, result: PrintSize, *, unit: str | None = None, thumbnail=None) -> None:
        """Show another PrintSize; ``unit`` and ``thumbnail`` stay as they are unless given."""
        if unit is not None:
            self._unit = check_unit(unit)
        if thumbnail is not None:
            self._thumbnail, self._shown_box = checked_thumbnail(thumbnail), None
        self._size = result
        fit = result.chosen or result.best_fit
        self._show_stage(result, fit)
        self._show_head(result, fit)
        self._show_rows(result)

    def _show_stage(self, size: PrintSize, fit: SheetFit | None):
        x0, y0, width, height = self._stage
        borders = fit.kept if fit else size.borders
        sheet_w, sheet_h = (fit.width_mm, fit.height_mm) if fit else (size.width_mm, size.height_mm)
        across, along = _rolls_on(fit)
        room_w, room_h = width - 2 * (_MARGIN_PX + along), height - 2 * (_MARGIN_PX + across)
        left = fit.left_mm + size.bleed_mm if fit else 0.0
        top = fit.top_mm + size.bleed_mm if fit else 0.0
        x_mm = min(0.0, left), max(sheet_w, left + size.width_mm)
        y_mm = min(0.0, top), max(sheet_h, top + size.height_mm)
        scale = min(room_w / (x_mm[1] - x_mm[0]), room_h / (y_mm[1] - y_mm[0]))
        x = x0 + width / 2 - scale * sum(x_mm) / 2
        y = y0 + height / 2 - scale * sum(y_mm) / 2
        sheet = (x, y, sheet_w * scale, sheet_h * scale)
        picture = (x + left * scale, y + top * scale, size.width_mm * scale, size.height_mm * scale)
        inside = (
            x + borders.left_mm * scale,
            y + borders.top_mm * scale,
            max(0.0, sheet_w - borders.across_mm) * scale,
            max(0.0, sheet_h - borders.down_mm) * scale,
        )
        beyond = size.bleed_mm * scale
        bleed = (picture[0] - beyond, picture[1] - beyond, picture[2] + 2 * beyond,
                 picture[3] + 2 * beyond)  # fmt: skip
        place_box(self._beyond, bleed, visible=beyond > 0 and size.bleed != "white")
        place_box(self._paper, sheet, visible=fit is not None)
        over = fit is not None and not fit.fits
        place_box(self._outline, sheet, visible=over)
        place_box(self._inside, inside, visible=fit is not None and inside != sheet)
        self._inside.set_edgecolor(PAPER if over else colour("picture"))
        place_box(self._frame, picture, visible=over)
        self._show_roll(fit, sheet)
        self._show_picture(size, picture)
        self._show_rules(size, fit, sheet, picture)
        self._show_bar(scale)

    def _show_roll(self, fit, sheet):
        is_roll = fit is not None and fit.sheet.is_roll
        self._roll_on.set_visible(is_roll)
        self._cuts.set_visible(is_roll)
        if not is_roll:
            return
        x, y, w, h = sheet
        across, along = _rolls_on(fit)
        place_box(self._roll_on, (x - along, y - across, w + 2 * along, h + 2 * across))
        if across:
            self._cuts.set_data([x, x + w, math.nan, x, x + w], [y, y, math.nan, y + h, y + h])
        else:
            self._cuts.set_data([x, x, math.nan, x + w, x + w], [y, y + h, math.nan, y, y + h])

    def _show_picture(self, size, place: tuple[float, float, float, float]):
        place_box(self._blank, place, visible=self._thumbnail is None)
        self._image.set_visible(self._thumbnail is not None)
        if self._thumbnail is None:
            return
        front = size.front
        if self._shown_box != front:
            self._image.pixels = cropped_thumbnail(self._thumbnail, front)
            self._shown_box = front
        self._image.box = place

    @property
    def cut_px(self) -> tuple[float, float]:
        """How much of the picture, to the drawing's scale, the crop leaves out across and down."""
        size, box = self._size, self._image.box
        if size is None or box is None:
            return 0.0, 0.0
        crop, front = size.crop, size.front
        return (
            box[2] * (crop.left_px + crop.right_px) / front.width_px,
            box[3] * (crop.top_px + crop.bottom_px) / front.height_px,
        )

    def _show_rules(self, size, fit, sheet, place: tuple[float, float, float, float]):
        unit = self._unit
        low = max(sheet[1] + sheet[3], place[1] + place[3])
        far = max(sheet[0] + sheet[2], place[0] + place[2])
        for side in ("top", "left"):
            for artist in self._rules[side]:
                artist.set_visible(fit is not None)
        if fit is not None:
            across, along = _rolls_on(fit)
            high, near = min(sheet[1] - across, place[1]), min(sheet[0] - along, place[0])
            low, far = max(low, sheet[1] + sheet[3] + across), max(far, sheet[0] + sheet[2] + along)
            self._rule("top", sheet[0], sheet[2], high - 14, length_text(fit.width_mm, unit))
            self._rule("left", sheet[1], sheet[3], near - 14, length_text(fit.height_mm, unit))
        self._rule("bottom", place[0], place[2], low + 14, length_text(size.width_mm, unit))
        self._rule("right", place[1], place[3], far + 14, length_text(size.height_mm, unit))

    def _rule(self, side, start, length, at, text):
        """A dimension line with end ticks and its length in the middle."""
        line, label = self._rules[side]
        upright = side in ("left", "right")
        line.set_data(*dimension_line(start, length, at, upright))
        middle = start + length / 2
        label.set_position((at, middle) if upright else (middle, at))
        label.set(text=text, rotation=90 if upright else 0)

    def _show_bar(self, scale):
        bars = _BARS_IN if self._unit == "in" else _BARS_CM
        mm = next((bar for bar in bars if bar * scale >= 50), bars[-1])
        y = self._stage[3] - 14
        self._bar.set_data([12, 12 + mm * scale], [y, y])
        self._bar_text.set_position((12 + mm * scale + 7, y))
        self._bar_text.set_text(length_text(mm, self._unit))

    def _show_head(self, size, fit):
        if fit is None:
            self._name.set_text(tr("No sheet listed fits"))
            self._about.set_text(tr("nor does any roll"))
            self._room.set_text("")
            return
        self._name.set_text(fit.sheet.label)
        way = {"across": tr("picture across the roll"), "along": tr("picture along the roll")}
        area = area_text(fit.width_mm, fit.height_mm, self._unit)
        turned = (
            tr("landscape, {area}", area=area)
            if fit.orientation == "landscape"
            else tr("portrait, {area}", area=area)
        )
        self._about.set_text(way.get(fit.orientation, turned))
        if fit.length_used_mm is not None and fit.fits:
            used = length_text(fit.length_used_mm, self._unit)
            self._room.set_text(tr("uses {length} of it", length=used))
        else:
            self._room.set_text(_room(fit, self._unit))

    def _show_rows(self, size):
        rows = compared(size.fits, self._count)
        widest = max((max(f.width_mm, f.height_mm, size.width_mm, size.height_mm) for f in rows),
                     default=1.0)  # fmt: skip
        scale = _ICON_PX / widest
        shown = size.chosen or size.best_fit
        centre_x = _SIDE_X + _ICON_PX / 2 + 4
        for i, (paper, picture, name, room) in enumerate(self._rows):
            if i >= len(rows):
                name.set_text("")
                room.set_text("")
                place_box(paper, (0, 0, 0, 0), visible=False)
                place_box(picture, (0, 0, 0, 0), visible=False)
                continue
            fit, y = rows[i], _ROW_TOP_PX + _ROW_PX * (i + 0.5)
            for box, w, h in ((paper, fit.width_mm, fit.height_mm),
                              (picture, size.width_mm, size.height_mm)):  # fmt: skip
                w, h = w * scale, h * scale
                place_box(box, (centre_x - w / 2, y - h / 2, w, h))
            role = colour("good" if fit.fits else "problem")
            picture.set(facecolor=(role, 0.25), edgecolor=role,
                        linestyle="-" if fit.fits else (0, (2, 1.5)))  # fmt: skip
            name.set_text(fit.sheet.label)
            weight = "bold" if shown and fit.name == shown.name else "normal"
            if name.get_weight() != weight:  # setting it would redraw the still parts
                name.set_weight(weight)
            room.set_text(_room(fit, self._unit))

    def settled(self):
        """Its matplotlib Figure with nothing left moving, to save or show as any other."""
        self.still(*self._moving)
        return self.figure

    def alt_text(self, size: PrintSize) -> str:
        """The drawing in words, for a reader who does not see it."""
        near = compared(size.fits, self._count)
        rows = "; ".join(f"{fit.sheet.label}: {_room(fit, self._unit)}" for fit in near)
        return tr(
            "Drawing to scale. {sentence} Compared: {rows}.",
            sentence=size.sentence(self._unit),
            rows=rows,
        )


def _rolls_on(fit: SheetFit | None) -> tuple[int, int]:
    """Pixels of roll shown beyond the cuts: (above and below, left and right)."""
    if fit is None or not fit.sheet.is_roll:
        return 0, 0
    return (_ROLL_ON_PX, 0) if fit.orientation == "across" else (0, _ROLL_ON_PX)


def _room(fit: SheetFit, unit: str) -> str:
    """Room in a few words, as the column is narrow."""
    if fit.fits and fit.length_used_mm is not None:
        return tr("uses {length}", length=length_text(fit.length_used_mm, unit))
    return fit.room_text(unit, short=True)


def size_figure(size: PrintSize, thumbnail=None, *, unit: str = "cm",
                width_px: int = 700, height_px: int = 420):  # fmt: skip
    """The drawing of a PrintSize as an ordinary matplotlib Figure; see SizeFigure."""
    live = SizeFigure(size, thumbnail, unit=unit, width_px=width_px, height_px=height_px)
    return live.settled()
