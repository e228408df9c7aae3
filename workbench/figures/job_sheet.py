"""The job sheet as a page to print: A4, one page, as a matplotlib figure and PDF."""

from __future__ import annotations

import io
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np

from workbench.figures.style import (
    FONT,
    INK,
    QUIET,
    SURROUND,
    VERMILION,
    add_axes,
    new_figure,
    words,
)
from workbench.language import tr
from workbench.output.job_facts import COST

A4_MM = (210.0, 297.0)
_PX_MM = 100 / 25.4  # the figure has 100 px to the inch
_POINT_MM = 25.4 / 72
_MARGIN, _GUTTER = 14.0, 9.0
_LEFT = 82.0  # width of the column with picture and checklist
_LABEL, _STRONG_LABEL = 37.0, 29.0
_PICTURE = 66.0  # height that the picture may take
_LINE = 1.32  # of the type's size, from line to line
# type sizes in points with the lines that one value may take, in the order of trying:
# smaller type on a full page, and where that is not enough, values cut with "…"
_TRIED = ((9.4, 3), (9.0, 3), (8.6, 3), (8.2, 3), (7.8, 3), (7.4, 3), (7.0, 3), (7.0, 2),
          (6.6, 2), (6.2, 1))  # fmt: skip
_SAFE = 0.985
_FACE = {"normal": FONT, "mono": "DejaVu Sans Mono"}


def job_sheet_figure(sheet, small_picture: np.ndarray | None = None):
    """The page of a `JobSheet`.

    Parameters
    ----------
    small_picture : (h, w, 3) uint8 sRGB, see `workbench.output.small_picture`; or None.

    Returns
    -------
    A Figure of A4 size, upright.  Words are wrapped, and cut with "…" where a value is
    longer than any that has to be set; type gets smaller on a full page.
    """
    for size, most in _TRIED:
        page = _Page(size, most)
        _compose(page, sheet, small_picture)
        if page.lowest <= A4_MM[1] - _MARGIN:
            break
    return page.figure()


def job_sheet_pdf(sheet, small_picture: np.ndarray | None = None) -> bytes:
    """The page as PDF, the same bytes for the same sheet: pictures as pixels, words as words."""
    figure = job_sheet_figure(sheet, small_picture)
    out = io.BytesIO()
    # no date, so that the same plan gives the same file
    about = {"Title": tr("Job sheet: {title}", title=sheet.title), "CreationDate": None}
    figure.savefig(out, format="pdf", facecolor=figure.get_facecolor(), metadata=about)
    return out.getvalue()


def _compose(page: _Page, sheet, small_picture) -> None:
    """Put everything in its place, from the top."""
    whole = A4_MM[0] - 2 * _MARGIN
    x, y = _MARGIN, _MARGIN
    page.text(x, y, tr("Job sheet"), 8, whole, quiet=True)
    y += 4.2
    y = page.text(x, y, sheet.title, 17, whole, bold=True, lines=2)
    y = page.text(x, y + 0.6, sheet.subtitle, 9.5, whole, lines=2) + 1.6
    page.rule(x, y, x + whole, 1.4)
    y += 4
    for caution in sheet.cautions:
        end = page.text(x + 3, y, caution, page.size, whole - 3, bold=True, lines=page.most)
        page.bar(x, y, end - y)
        y = end + 1.6
    right = _MARGIN + _LEFT + _GUTTER
    room = A4_MM[0] - _MARGIN - right
    first, *others = sheet.groups
    at = _group(page, right, y, room, first, strong=True)
    if small_picture is not None:
        y = page.picture(x, y, _LEFT, _PICTURE, small_picture) + 5
    steps = _checklist(page, x, y, sheet.checklist)
    for group in others:
        if group.title == COST:
            steps = _group(page, x, steps + 2, _LEFT, group)
        else:
            at = _group(page, right, at, room, group)
    if sheet.notes:
        steps = page.text(x, steps + 2, tr("Notes"), page.size, _LEFT, bold=True) + 0.6
        notes = " / ".join(sheet.notes.split("\n"))
        steps = page.text(x, steps, notes, page.size, _LEFT, lines=2 * page.most)
    _foot(page, sheet, max(steps, at))


def _group(page: _Page, x: float, y: float, room: float, group, *, strong=False) -> float:
    y = page.text(x, y, group.title, page.size, room, bold=True) + 0.6
    labels = _STRONG_LABEL if strong else _LABEL
    for number, (label, value) in enumerate(group.rows):
        if strong and number:
            page.rule(x, y, x + room, 0.4, quiet=True)
            y += 0.7
        # the smaller type stands on the same line
        lower = y + 0.98 * 0.8 * _POINT_MM
        down = page.text(x, lower, label, page.size - 0.8, labels - 2, quiet=True, lines=2)
        end = page.text(x + labels, y, value, page.size, room - labels, bold=strong,
                        lines=page.most)  # fmt: skip
        y = max(end, down) + (0.7 if strong else 0.3)
    return y + 2.4


def _checklist(page: _Page, x: float, y: float, steps) -> float:
    y = page.text(x, y, tr("In the printer's dialog"), page.size, _LEFT, bold=True) + 1.0
    for step in steps:
        page.box(x, y + 0.35, 3.0)
        y = page.text(x + 5.2, y, step, page.size, _LEFT - 5.2, lines=page.most + 1) + 1.5
    return y


def _foot(page: _Page, sheet, y: float) -> None:
    """Lines to write on, and the footnote, at the end of the page or below what is longer."""
    whole = A4_MM[0] - 2 * _MARGIN
    note = page.lines(sheet.footnote, 7, whole)
    line = 7 * _LINE * _POINT_MM
    height = 14 + (len(sheet.checksums) + len(note)) * line
    y = max(y + 1, A4_MM[1] - _MARGIN - height)
    third = (whole - 2 * _GUTTER) / 3
    for number, label in enumerate((tr("Printed on"), tr("By"), tr("Print no."))):
        left = _MARGIN + number * (third + _GUTTER)
        page.text(left, y, label, 8.5, third)
        page.rule(left, y + 8.5, left + third, 0.6)
    page.rule(_MARGIN, y + 12, A4_MM[0] - _MARGIN, 0.4, quiet=True)
    y += 13
    for label, checksum in sheet.checksums:
        page.text(_MARGIN, y, label, 7, _LABEL, quiet=True)
        y = page.text(_MARGIN + _LABEL, y, checksum, 7, whole - _LABEL, face="mono")
    page.text(_MARGIN, y, sheet.footnote, 7, whole, quiet=True, lines=3)


@dataclass(frozen=True)
class _Words:
    x: float
    y: float
    lines: tuple[str, ...]
    size: float
    bold: bool
    quiet: bool
    face: str


class _Page:
    """A page in millimetres from the upper left; notes what is put on it, and how far down."""

    def __init__(self, size: float, most: int):
        self.size, self.most = size, most
        self.lowest = 0.0
        self._words: list[_Words] = []
        self._marks: list[tuple] = []
        self._picture: tuple[Any, ...] | None = None

    def lines(self, text: str, size: float, room: float, *, bold=False, face="normal",
              most: int = 99) -> tuple[str, ...]:  # fmt: skip
        """A text in lines of at most ``room`` mm, the last one cut with "…" if there are more."""
        return wrapped(text, size, room * _SAFE, bold=bold, face=face, most=most)

    def text(self, x, y, text: str, size: float, room: float, *, bold=False, quiet=False,
             face="normal", lines: int = 1) -> float:  # fmt: skip
        """Put a text with its top at ``y``; returns where the next line would begin."""
        parts = self.lines(text, size, room, bold=bold, face=face, most=lines)
        self._words.append(_Words(x, y, parts, size, bold, quiet, face))
        return self._down(y + len(parts) * size * _LINE * _POINT_MM)

    def rule(self, x0, y, x1, points: float, *, quiet=False) -> None:
        self._marks.append(("rule", x0, y, x1, points, "#bbbbbb" if quiet else INK))
        self._down(y)

    def bar(self, x, y, height: float) -> None:
        self._marks.append(("bar", x, y, 1.0, height))

    def box(self, x, y, side: float) -> None:
        self._marks.append(("box", x, y, side, side))

    def picture(self, x, y, width, height, pixels) -> float:
        """A picture on neutral grey, as large as the room allows; returns its lower end."""
        pad = 3.0
        scale = min((width - 2 * pad) / pixels.shape[1], (height - 2 * pad) / pixels.shape[0])
        wide, high = pixels.shape[1] * scale, pixels.shape[0] * scale
        self._picture = (pixels, x + (width - wide) / 2, y + pad, wide, high)
        self._marks.append(("ground", x, y, width, high + 2 * pad))
        return self._down(y + high + 2 * pad)

    def _down(self, y: float) -> float:
        self.lowest = max(self.lowest, y)
        return y

    def figure(self):
        from matplotlib.image import AxesImage
        from matplotlib.lines import Line2D
        from matplotlib.patches import Rectangle

        width, height = A4_MM
        figure = new_figure(width * _PX_MM, height * _PX_MM)
        figure.set_facecolor("white")
        axes = add_axes(figure, left_px=0, right_px=0, top_px=0, bottom_px=0)
        axes.set_axis_off()
        axes.set(xlim=(0, width), ylim=(height, 0))
        axes.set_title("")
        for kind, x, y, a, b, *colour in self._marks:
            if kind == "rule":
                axes.add_line(Line2D([x, a], [y, y], color=colour[0], linewidth=b))
                continue
            fill = {"bar": VERMILION, "ground": SURROUND, "box": "none"}[kind]
            edge = INK if kind == "box" else "none"
            axes.add_patch(Rectangle((x, y), a, b, facecolor=fill, edgecolor=edge, linewidth=0.8))
        if self._picture is not None:
            pixels, x, y, wide, high = self._picture
            # "none" keeps the pixels as they are
            image = AxesImage(
                axes, interpolation="none", origin="upper", extent=(x, x + wide, y + high, y)
            )
            # on its ground, which comes before it
            image.set_zorder(2)
            image.set_data(pixels)
            axes.add_image(image)
        for each in self._words:
            self._set(axes, each)
        return figure

    @staticmethod
    def _set(axes, each: _Words) -> None:
        # the baseline stands where capitals of this size end
        for number, line in enumerate(each.lines):
            y = each.y + (0.98 + number * _LINE) * each.size * _POINT_MM
            made = words(axes, each.x, y, line, size=each.size, va="baseline",
                         fontweight="bold" if each.bold else "normal")  # fmt: skip
            made.set_fontfamily(_FACE[each.face])
            made.set_color(QUIET if each.quiet else INK)


def wrapped(text: str, size: float, room_mm: float, *, bold=False, face="normal",
            most: int = 99) -> tuple[str, ...]:  # fmt: skip
    """A text in lines no wider than ``room_mm``, measured with the type it is set in.

    Words longer than a line are broken; with more than ``most`` lines the last ends in "…".
    Letters the type does not have become "\N{REPLACEMENT CHARACTER}".
    """
    # no type has letters narrower than a tenth of its size for long
    enough = int(most * 10 * room_mm / (size * _POINT_MM)) + 1
    text = _known(" ".join(text.split())[:enough], bold, face)

    def fits(line: str) -> bool:
        return _width_mm(line, size, bold, face) <= room_mm

    lines, line = [], ""
    for word in text.split(" "):
        longer = f"{line} {word}" if line else word
        if fits(longer):
            line = longer
            continue
        if line:
            lines.append(line)
        line = word
        while not fits(line) and len(line) > 1:
            at = _most_letters(line, fits)
            lines.append(line[:at])
            line = line[at:]
    lines.append(line)
    if len(lines) > most:
        last = lines[most - 1]
        while last and not fits(f"{last.rstrip()}…"):
            last = last[:-1]
        lines = [*lines[: most - 1], f"{last.rstrip()}…"]
    return tuple(lines)


def _most_letters(line: str, fits) -> int:
    low, high = 1, len(line)
    while low < high:
        middle = (low + high + 1) // 2
        low, high = (middle, high) if fits(line[:middle]) else (low, middle - 1)
    return low


def _properties(bold: bool, face: str, size: float = 10):
    from matplotlib.font_manager import FontProperties

    return FontProperties(family=_FACE[face], weight="bold" if bold else "normal", size=size)


@lru_cache(maxsize=8)
def _letters(bold: bool, face: str) -> frozenset[int]:
    from matplotlib.font_manager import findfont, get_font

    return frozenset(get_font(findfont(_properties(bold, face))).get_charmap())


def _known(text: str, bold: bool, face: str) -> str:
    letters = _letters(bold, face)
    return "".join(c if ord(c) in letters else "\N{REPLACEMENT CHARACTER}" for c in text)


@lru_cache(maxsize=4096)
def _advance(letter: str, bold: bool, face: str) -> float:
    """How far a letter moves the pen, of its size, without hinting, as a PDF sets it."""
    from matplotlib.font_manager import findfont, get_font

    font = get_font(findfont(_properties(bold, face)))
    font.set_size(100, 72)
    return font.load_char(ord(letter)).linearHoriAdvance / 65536 / 100


def _width_mm(line: str, size: float, bold: bool, face: str) -> float:
    # kerning, which mostly draws letters together, is left out: a hair wider than it gets
    return sum(_advance(letter, bold, face) for letter in line) * size * _POINT_MM
