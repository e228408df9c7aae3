"""A sheet with several pieces on it, drawn to scale: a test strip, or prints side by side."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from workbench.analysis.sheets import MM_PER_INCH, area_text, check_unit, length_text
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
)
from workbench.figures.live import LiveFigure
from workbench.figures.placed import PlacedPicture, checked_thumbnail
from workbench.figures.style import QUIET, SIZE_NOTE, SURROUND, colour, words
from workbench.language import tr

_MARGIN_PX, _ROLL_ON_PX = 40, 14
_SMALLEST_PX = 200
# CSS pixels that a letter of a label takes, about
_LETTER_PX = 6.9
# height of a line of a label for a point of its size, and the smallest size still legible
_LINE_PX, _SMALLEST_LABEL = 1.36, 7.0


@dataclass(frozen=True, eq=False)
class DrawnPiece:
    """A piece on a sheet.

    Attributes
    ----------
    x_mm, y_mm, width_mm, height_mm : from the sheet's upper left corner.
    labels : the same label, longest first; the longest that fits is shown.
    thumbnail : (h, w, 3) uint8 of display colours, as it lies; None for a grey area.
    chosen : drawn with a frame.
    below : the label stands below the piece, as on a strip; otherwise in it.
    below_mm : how much bare paper there is for it; the label is made small enough.
    """

    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float
    labels: tuple[str, ...] = ()
    thumbnail: np.ndarray | None = field(default=None, repr=False)
    chosen: bool = False
    below: bool = False
    below_mm: float = math.inf


@dataclass(frozen=True, eq=False)
class SheetDrawing:
    """A sheet to be drawn; ``is_roll`` where its height is a length of a roll."""

    name: str
    width_mm: float
    height_mm: float
    is_roll: bool
    pieces: tuple[DrawnPiece, ...]


class GangFigure(LiveFigure):
    """A live drawing of a `SheetDrawing`.

    ``unit`` is "cm", "mm" or "in".  Raises SizeError for another one, or a drawing of
    less than 200 × 200 pixels.
    """

    def __init__(self, drawing: SheetDrawing | None = None, *, unit: str = "cm",
                 width_px: int = 700, height_px: int = 560, scale: float = 1.0):  # fmt: skip
        super().__init__(width_px, height_px, scale=scale)
        if min(width_px, height_px) < _SMALLEST_PX:
            raise SizeError(
                tr(
                    "The drawing of a sheet needs at least {smallest_px} pixels on each side.",
                    smallest_px=_SMALLEST_PX,
                )
            )
        self._unit = check_unit(unit)
        self._drawing: SheetDrawing | None = None
        self._made: list[Any] = []
        self._axes = self.figure.add_axes((0, 0, 1, 1))
        self._axes.set_axis_off()
        self._ground = self._box((0, 0, 1, 1), facecolor=SURROUND, kept=True)
        if drawing is not None:
            self.update(drawing)

    def _fit(self) -> None:
        if self._drawing is not None:
            self.update(self._drawing)

    def update(self, result: SheetDrawing, *, unit: str | None = None) -> None:
        """Show another sheet; ``unit`` stays as it is unless given."""
        if unit is not None:
            self._unit = check_unit(unit)
        self._drawing = result
        for artist in self._made:
            artist.remove()
        self._made = []
        self._draw(result)
        self.invalidate()

    def _draw(self, drawing: SheetDrawing) -> None:
        width, height = self.size_px
        self._axes.set(xlim=(0, width), ylim=(height, 0))
        self._ground.set_bounds(0, 0, width, height)
        roll = _ROLL_ON_PX if drawing.is_roll else 0
        room = width - 2 * _MARGIN_PX, height - 2 * _MARGIN_PX - 2 * roll
        scale = min(room[0] / drawing.width_mm, room[1] / drawing.height_mm)
        sheet_w, sheet_h = drawing.width_mm * scale, drawing.height_mm * scale
        x, y = (width - sheet_w) / 2 + 6, (height - sheet_h) / 2 + 6
        if roll:
            self._box((x, y - roll, sheet_w, sheet_h + 2 * roll), facecolor=ROLL_ON, zorder=1)
            ends = [x, x + sheet_w, math.nan, x, x + sheet_w]
            cuts = [y, y, math.nan, y + sheet_h, y + sheet_h]
            self._line(ends, cuts, color=QUIET, linewidth=1.0, linestyle=(0, (5, 3)))
        self._box((x, y, sheet_w, sheet_h), facecolor=PAPER, zorder=2)
        self._rule(x, sheet_w, y - roll - 13, length_text(drawing.width_mm, self._unit))
        self._rule(y, sheet_h, x - 13, length_text(drawing.height_mm, self._unit), upright=True)
        for piece in drawing.pieces:
            self._piece(piece, x, y, scale)

    def _piece(self, piece: DrawnPiece, x: float, y: float, scale: float) -> None:
        x, y = x + piece.x_mm * scale, y + piece.y_mm * scale
        width, height = piece.width_mm * scale, piece.height_mm * scale
        box = (x, y, width, height)
        if piece.thumbnail is None:
            self._box(box, facecolor=NO_PICTURE, edgecolor=DARK, linewidth=0.8, zorder=3)
        else:
            image = PlacedPicture()
            image.pixels, image.box = checked_thumbnail(piece.thumbnail), box
            image.set_zorder(3)
            self._axes.add_artist(image)
            self._made.append(image)
        if piece.chosen:
            self._box(box, facecolor="none", edgecolor=colour("chosen"), linewidth=2.0, zorder=5)
        label = next((each for each in piece.labels if len(each) * _LETTER_PX <= width), "")
        if not label:
            return
        if piece.below:
            # up against its own piece, so that it is not taken for the next one's
            fitting = (piece.below_mm * scale - 2) / _LINE_PX
            size = max(_SMALLEST_LABEL, min(SIZE_NOTE, fitting))
            below = y + height + 1 + 0.5 * _LINE_PX * size
            self._words(x, below, label, size=size, color=DARK, va="center", ha="left")
        else:
            ground = {**pill(0.2), "alpha": 0.85}
            at = x + width / 2, y + height / 2
            self._words(*at, label, color=DARK, va="center", ha="center", bbox=ground)

    def _rule(self, start, length, at, text, upright: bool = False) -> None:
        """A dimension line with end ticks and its length in the middle."""
        self._line(*dimension_line(start, length, at, upright), color=LIGHT, linewidth=1.0)
        middle = start + length / 2
        place = (at, middle) if upright else (middle, at)
        self._words(*place, text, color=DARK, va="center", ha="center", bbox=pill(),
                    rotation=90 if upright else 0)  # fmt: skip

    def _box(self, xywh, *, kept: bool = False, **style):
        made = add_box(self._axes, xywh, **style)
        if not kept:
            self._made.append(made)
        return made

    def _line(self, x, y, **style) -> None:
        (made,) = self._axes.plot(x, y, solid_capstyle="butt", zorder=4, **style)
        self._made.append(made)

    def _words(self, x, y, text, *, size: float = SIZE_NOTE, **style) -> None:
        self._made.append(words(self._axes, x, y, text, size=size, zorder=6, **style))


def strip_drawing(strip, proofs=None, chosen=None) -> SheetDrawing:
    """The drawing of a `Strip`.

    Parameters
    ----------
    proofs : (letter, step) -> (h, w, 3) uint8 of the patch on screen; what is missing is
        drawn as a grey area.
    chosen : the step to frame, or None.
    """
    per_px = MM_PER_INCH / strip.ppi
    rows = sorted({patch.y_px for patch in strip.patches})
    pitch_mm = min((b - a for a, b in zip(rows, rows[1:], strict=False)), default=math.inf) * per_px
    below_mm = pitch_mm - strip.patch_mm[1]
    pieces = tuple(
        DrawnPiece(
            patch.x_px * per_px,
            patch.y_px * per_px,
            patch.crop.width_px * per_px,
            patch.crop.height_px * per_px,
            (*patch.labels, patch.crop.letter),
            (proofs or {}).get((patch.crop.letter, patch.step)),
            patch.step == chosen,
            below=True,
            below_mm=below_mm,
        )
        for patch in strip.patches
    )
    return SheetDrawing(strip.sheet.name, strip.width_mm, strip.height_mm, False, pieces)


def nest_drawing(nest, thumbnails=None, *, unit: str = "cm") -> SheetDrawing:
    """The drawing of a `Nest`.

    ``thumbnails`` holds one (h, w, 3) uint8 upright picture for each piece, or None.
    """
    per_px = MM_PER_INCH / nest.ppi
    pieces = []
    for piece, small in zip(nest.pieces, thumbnails or [None] * len(nest.pieces), strict=True):
        if small is not None and piece.turned:
            # to the left, as it is printed
            small = np.ascontiguousarray(np.rot90(small))
        sides = piece.width_px * per_px, piece.height_px * per_px
        size = area_text(*sides, unit)
        pieces.append(
            DrawnPiece(
                piece.x_px * per_px,
                piece.y_px * per_px,
                *sides,
                (f"{piece.name}, {size}", size, size.rsplit(" ", 1)[0]),
                small,
            )
        )
    roll = nest.sheet.is_roll
    return SheetDrawing(nest.sheet.name, nest.width_mm, nest.height_mm, roll, tuple(pieces))


def alt_text(drawing: SheetDrawing, unit: str = "cm") -> str:
    """A drawing in words, for a reader who does not see it."""
    size = area_text(drawing.width_mm, drawing.height_mm, unit)
    pieces = "; ".join(piece.labels[0] for piece in drawing.pieces if piece.labels)
    count = len(drawing.pieces)
    return tr(
        "Drawing to scale of {name}, {size}, with {count} pieces: {pieces}.",
        name=drawing.name,
        size=size,
        count=count,
        pieces=pieces,
    )
