"""A print file drawn to scale: sheet, borders, printed picture and bleed, with dimensions.

All coordinates are CSS pixels from the figure's top left corner; the file's pixels are
scaled to them, so that every edge lies where it does in the file.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from workbench.analysis.sheets import MM_PER_INCH, length_text
from workbench.errors import SizeError
from workbench.figures.drawing import (
    DARK,
    LIGHT,
    NO_PICTURE,
    PAPER,
    add_box,
    dimension_line,
    pill,
    place_box,
)
from workbench.figures.live import LiveFigure
from workbench.figures.placed import PlacedPicture, checked_thumbnail
from workbench.figures.style import SIZE_NOTE, SURROUND, colour, words
from workbench.language import numeral, tr

# room for a rule and its words on each side, CSS pixels
_MARGIN_PX = 46
_OUT_PX = 20  # from the file's edge to its rule
_LEAST_PX = (280, 300)
_NEAR_PX = 5  # of the frame, where a hand still takes hold of it


class PrintLayoutFigure(LiveFigure):
    """A live drawing of a `Layout`.

    The file is white paper; on it lies the picture, with its bleed.  A dashed line marks
    the front where there is a bleed, a thin frame the part that is looked at closely.
    Above and at the left stand the file's own dimensions; below and at the right those of
    the picture's front, where it is smaller than the file.

    A dotted line marks the back edge of the bars that a canvas is stretched on.

    ``update(layout, bleed=..., thumbnail=..., window=..., unit=...)`` shows another one:
    ``unit`` is "cm", "mm" or "in"; ``bleed``
    is "mirrored", "stretched", "picture" or "white"; ``thumbnail`` the part of the picture that is
    printed as a (h, w, 3) uint8 array of display colours, ``window`` a box (x0, y0, x1,
    y1) in pixels of the printed picture or None.  Raises SizeError for a drawing of less
    than 280 × 300 pixels.
    """

    def __init__(self, width_px: int = 560, height_px: int = 400, scale: float = 1.0):
        if width_px < _LEAST_PX[0] or height_px < _LEAST_PX[1]:
            raise SizeError(tr("The drawing of a print file needs at least 280 × 300 pixels."))
        super().__init__(width_px, height_px, scale=scale)
        self._layout: Any = None  # a Layout of the floor above
        self._window: tuple[int, int, int, int] | None = None
        self._bleed: str | None = None
        self._thumbnail: np.ndarray | None = None
        self._unit = "cm"
        axes = self._axes = self.figure.add_axes((0, 0, 1, 1))
        axes.set_axis_off()
        self._ground = self._box(facecolor=SURROUND)
        self._span()
        moving = self.moving
        self.paper = moving(self._box(facecolor=PAPER, zorder=2))
        self.blank = moving(self._box(facecolor=NO_PICTURE, zorder=3))
        self.pictures = [moving(PlacedPicture()) for _ in range(5)]
        for part in self.pictures:
            part.set_zorder(4)
            axes.add_artist(part)
        self.veil = [moving(self._box(facecolor=LIGHT, alpha=0.45, zorder=5)) for _ in range(4)]
        self.front = moving(
            self._box(facecolor="none", edgecolor=DARK, linewidth=1.4, linestyle=(0, (5, 3)),
                      zorder=6)
        )  # fmt: skip
        self.front_light = moving(
            self._box(facecolor="none", edgecolor=LIGHT, linewidth=1.4,
                      linestyle=(4, (4, 4)), zorder=6.1)
        )  # fmt: skip
        self.bars = moving(
            self._box(facecolor="none", edgecolor=DARK, linewidth=0.9, linestyle=(0, (2, 3)),
                      zorder=6)
        )  # fmt: skip
        self.window = moving(
            self._box(facecolor="none", edgecolor=colour("chosen"), linewidth=2.0, zorder=7)
        )
        self.rules = {side: self._rule() for side in ("top", "left", "bottom", "right")}

    # building -------------------------------------------------------------

    def _box(self, **style):
        return add_box(self._axes, **style)

    def _rule(self):
        (line,) = self._axes.plot([], [], solid_capstyle="butt", zorder=8, color=LIGHT,
                                  linewidth=1.0)  # fmt: skip
        label = words(self._axes, 0, 0, "", size=SIZE_NOTE, color=DARK, ha="center", va="center",
                      zorder=9)  # fmt: skip
        label.set_bbox(pill())
        return self.moving(line), self.moving(label)

    def _span(self) -> None:
        width, height = self.size_px
        self._axes.set(xlim=(0, width), ylim=(height, 0))
        self._ground.set_bounds(0, 0, width, height)

    def _fit(self) -> None:
        self._span()
        if self._layout is not None:
            self.update(self._layout)

    # showing --------------------------------------------------------------

    def update(
        self, result=None, *, bleed=None, thumbnail=None, window=..., unit: str | None = None
    ) -> None:
        """Show another `Layout`, or other parts of it; what is left out stays."""
        result = self._layout = result or self._layout
        self._bleed = bleed or self._bleed or "mirrored"
        self._unit = unit or self._unit
        if thumbnail is not None:
            self._thumbnail = checked_thumbnail(thumbnail)
        if window is not ...:
            self._window = window
        width, height = self.size_px
        self.scale_px = min(
            (width - 2 * _MARGIN_PX) / result.width_px, (height - 2 * _MARGIN_PX) / result.height_px
        )  # CSS pixels for each pixel of the file
        self._left = (width - self.scale_px * result.width_px) / 2
        self._top = (height - self.scale_px * result.height_px) / 2
        file = self._placed(0, 0, result.width_px, result.height_px)
        front = self._placed(*result.front_box_px)
        place_box(self.paper, file)
        self._show_picture(result)
        self._show_bleed(result, front)
        self._show_window()
        self._show_rules(result, file, front)

    def _placed(self, x, y, width, height) -> tuple[float, float, float, float]:
        """A rectangle of the file in CSS pixels."""
        s = self.scale_px
        return self._left + s * x, self._top + s * y, s * width, s * height

    @property
    def px_per_mm(self) -> float:
        """CSS pixels for each millimetre of paper."""
        return self.scale_px * self._layout.ppi / MM_PER_INCH

    def on_window(self, x: float, y: float) -> bool:
        """Whether a share of the figure (from the top left) lies on the frame, or near it."""
        if self._window is None:
            return False
        left, top, width, height = self._window_px(self._window)
        at = x * self.size_px[0] - left, y * self.size_px[1] - top
        return all(
            -_NEAR_PX <= each <= size + _NEAR_PX
            for each, size in zip(at, (width, height), strict=True)
        )

    def share_at(self, x: float, y: float) -> tuple[float, float]:
        """Where a share of the figure (from the top left) lies in the printed picture, 0..1."""
        left, top, width, height = self._placed(*self._inner(self._layout))
        at = (x * self.size_px[0] - left) / width, (y * self.size_px[1] - top) / height
        return min(max(at[0], 0.0), 1.0), min(max(at[1], 0.0), 1.0)

    def _inner(self, layout) -> tuple[int, int, int, int]:
        """The printed picture without a mirrored bleed, in the file."""
        bleed = layout.bleed_px
        return layout.x_px + bleed, layout.y_px + bleed, layout.across.n_out, layout.down.n_out

    def _show_picture(self, layout) -> None:
        small = self._thumbnail
        known = small is not None
        x, y, width, height = self._inner(layout)
        bleed = layout.bleed_px
        whole = self._placed(layout.x_px, layout.y_px, *layout.printed_px)
        place_box(self.blank, whole, visible=not known)
        for part in self.pictures:
            part.set_visible(known and (bleed > 0 or part is self.pictures[0]))
        if small is None:
            return
        self.pictures[0].pixels, self.pictures[0].box = small, self._placed(x, y, width, height)
        if not bleed:
            return
        rows, columns = small.shape[:2]
        # the strips beyond the edges, cut from the thumbnail as they are from the picture
        down = max(1, min(rows, round(rows * bleed / height)))
        across = max(1, min(columns, round(columns * bleed / width)))
        if self._bleed == "stretched":
            down = across = 1
        left, right = small[:, :across][:, ::-1], small[:, -across:][:, ::-1]
        tall = np.concatenate([left, small, right], axis=1)
        strips = (
            (left, (x - bleed, y, bleed, height)),
            (right, (x + width, y, bleed, height)),
            (tall[:down][::-1], (x - bleed, y - bleed, width + 2 * bleed, bleed)),
            (tall[-down:][::-1], (x - bleed, y + height, width + 2 * bleed, bleed)),
        )
        for part, (pixels, box) in zip(self.pictures[1:], strips, strict=True):
            part.pixels, part.box = np.ascontiguousarray(pixels), self._placed(*box)

    def _show_bleed(self, layout, front) -> None:
        beyond = layout.beyond_px > 0
        for line in (self.front, self.front_light):
            place_box(line, front, visible=beyond)
        x, y, width, height = front
        bar = layout.bar_px * self.scale_px
        on_bars = x - bar, y - bar, width + 2 * bar, height + 2 * bar
        place_box(self.bars, on_bars, visible=0 < layout.bar_px < layout.beyond_px)
        b = layout.beyond_px * self.scale_px
        around = (
            (x - b, y - b, width + 2 * b, b),
            (x - b, y + height, width + 2 * b, b),
            (x - b, y, b, height),
            (x + width, y, b, height),
        )
        for veil, box in zip(self.veil, around, strict=True):
            place_box(veil, box, visible=beyond and self._bleed != "white")

    def _show_window(self) -> None:
        if self._window is None:
            place_box(self.window, (0, 0, 0, 0), visible=False)
            return
        place_box(self.window, self._window_px(self._window))

    def _window_px(self, window) -> tuple[float, float, float, float]:
        x0, y0, x1, y1 = window
        x, y, _, _ = self._inner(self._layout)
        left, top, width, height = self._placed(x + x0, y + y0, x1 - x0, y1 - y0)
        # so small that it could not be seen, it is drawn round the place
        grow_x, grow_y = max(0.0, 8 - width) / 2, max(0.0, 8 - height) / 2
        return left - grow_x, top - grow_y, width + 2 * grow_x, height + 2 * grow_y

    def _show_rules(self, layout, file, front) -> None:
        _, _, width, height = layout.front_box_px
        smaller = (width, height) != (layout.width_px, layout.height_px)
        low, far = file[1] + file[3], file[0] + file[2]
        self._put("top", file[0], file[2], file[1] - _OUT_PX, layout.width_px, layout.ppi)
        self._put("left", file[1], file[3], file[0] - _OUT_PX, layout.height_px, layout.ppi)
        self._put("bottom", front[0], front[2], low + _OUT_PX, width, layout.ppi, visible=smaller)
        self._put("right", front[1], front[3], far + _OUT_PX, height, layout.ppi, visible=smaller)

    def _put(self, side, start, length, at, pixels, ppi, visible=True) -> None:
        """A dimension line with end ticks and its words in the middle."""
        line, label = self.rules[side]
        line.set_visible(visible)
        label.set_visible(visible)
        upright = side in ("left", "right")
        line.set_data(*dimension_line(start, length, at, upright))
        room = self.size_px[1 if upright else 0]
        text = dimension_text(pixels, ppi, self._unit)
        # words as wide as the figure allows, centred on the rule as far as they fit
        half = 3.6 * len(text) + 8
        middle = min(max(start + length / 2, half), room - half)
        label.set_position((at, middle) if upright else (middle, at))
        label.set(text=text, rotation=90 if upright else 0)

    def alt_text(self, layout) -> str:
        """The drawing in words, for a reader who does not see it."""

        def told(pixels: int) -> str:
            return dimension_text(pixels, layout.ppi, self._unit)

        x, y, width, height = layout.front_box_px
        said = [
            tr("Drawing to scale."),
            tr(
                "The file is {width} wide and {height} high.",
                width=told(layout.width_px),
                height=told(layout.height_px),
            ),
        ]
        if (width, height) != (layout.width_px, layout.height_px):
            right, bottom = layout.width_px - x - width, layout.height_px - y - height
            above, beyond, below, before = (
                length_text(side / layout.ppi * MM_PER_INCH, self._unit)
                for side in (y, right, bottom, x)
            )
            said.append(
                tr(
                    "The picture's front is {width} wide and {height} high, with {above} above, "
                    "{right} right, {below} below, {left} left of it.",
                    width=told(width),
                    height=told(height),
                    above=above,
                    right=beyond,
                    below=below,
                    left=before,
                )
            )
        if layout.beyond_px:
            said.append(
                tr("The bleed goes on for {length} beyond it.", length=told(layout.beyond_px))
            )
        if layout.bar_px:
            said.append(tr("Of that, {length} go round the bars.", length=told(layout.bar_px)))
        return " ".join(said)


def dimension_text(pixels: int, ppi: float, unit: str = "cm") -> str:
    """A length in the person's unit and in pixels: "29.7 cm · 4,209 px"."""
    return f"{length_text(pixels / ppi * MM_PER_INCH, unit)} · {numeral(pixels, ',')} px"
